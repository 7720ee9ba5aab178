"""Two plans of one layout, with everything that a comparison needs to know about both."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property

from matrixmap.compare.sides.changes import Change, Changes, find_changes
from matrixmap.compare.sides.conflicts import KnownConflicts
from matrixmap.compare.sides.facts import Fact, Name, facts
from matrixmap.compare.sides.held import held_for
from matrixmap.compare.sides.outcomes import NO_LOCK, Does, Outcome, Outcomes, Press, outcomes_of
from matrixmap.compare.sides.words import Words, join_words, say
from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, MODIFIER_BITS, NUM_LOCK, Usage
from matrixmap.model.host import Host
from matrixmap.model.layout import HostModifier
from matrixmap.model.place import Place
from matrixmap.model.plan import Plan, Trigger
from matrixmap.model.press import KeyPress, Way
from matrixmap.model.words import printed_keys, trigger_name
from matrixmap.press.how_to_type import key_press
from matrixmap.press.keyboard import PhysicalKey, key_usage
from matrixmap.press.table.cells import ACCENT_ALONE
from matrixmap.press.words import REFUSALS, held_words, press_words

Both = tuple[Outcome, Outcome]
"""What a press did and does, in the names of the new plan."""


class Pair:
    """The old and the new plan of a layout; each answer is computed once.

    `before` and `after` are None if no table can hold the plan, so that nothing can be played.
    """

    def __init__(
        self, old: Plan, new: Plan, another: frozenset[str] = frozenset(), conflicts: KnownConflicts | None = None
    ) -> None:
        """`another` has `machine` or `host` if the layout now joins another one, not a renamed one."""
        self.old = old
        self.new = new
        self.another = another
        self.conflicts = conflicts or KnownConflicts()
        self.altgr = old.layout.host.has_altgr or new.layout.host.has_altgr

    @cached_property
    def before(self) -> Outcomes | None:
        """What the presses of the old plan do."""
        return outcomes_of(self.old)

    @cached_property
    def after(self) -> Outcomes | None:
        """What the presses of the new plan do."""
        return outcomes_of(self.new)

    @cached_property
    def played(self) -> tuple[Outcomes, Outcomes] | None:
        """Both sides, if both can be played."""
        return (self.before, self.after) if self.before and self.after else None

    @cached_property
    def changes(self) -> Changes:
        """All differences."""
        return find_changes(facts(self.old), facts(self.new))

    @cached_property
    def changed(self) -> Mapping[Fact, Change]:
        """The changed facts."""
        return {change.fact: change for change in self.changes.facts}

    @cached_property
    def changed_by_usage(self) -> Mapping[Usage, list[tuple[Trigger, Fact]]]:
        """The changed facts that are about a trigger, with that trigger, by usage."""
        found: dict[Usage, list[tuple[Trigger, Fact]]] = {}
        for fact in self.changed:
            trigger = trigger_of(fact)
            if trigger:
                found.setdefault(trigger.usage, []).append((trigger, fact))
        return found

    @cached_property
    def names(self) -> Mapping[Name, Name]:
        """Old names -> the new ones that replaced them."""
        return dict(self.changes.renames)

    # What a press did and does.

    @cached_property
    def same_machine(self) -> bool:
        """Whether equal entries of the two tables do the same: the machine reads and names everything as before."""
        return not self.names and self.played is not None and self.played[0].common == self.played[1].common

    def may_differ(self, usage: Usage) -> bool:
        """Whether some press of a key can have another effect than before."""
        assert self.played
        before, after = self.played
        return not self.same_machine or before.answers(usage) != after.answers(usage)

    @cached_property
    def same_play(self) -> bool:
        """Whether every press has the same effect as before: both tables have the same entries for the same machine."""
        usages = {ACCENT_ALONE, *self.usages} if self.played else ()
        return self.same_machine and not any(map(self.may_differ, usages))

    @cached_property
    def usages(self) -> tuple[Usage, ...]:
        """The keys to examine, with both usages of a key that has two."""
        keys = [key for side in self.played or () for key in side.every.keys]
        return tuple(sorted({usage for key in keys for usage in (key.usage, *key.others)}))

    @cached_property
    def locks(self) -> tuple[Usage, ...]:
        """The lock and latch keys that are the same on both sides, and Num Lock if one side keeps it."""
        assert self.played
        found = []
        for usage in sorted({usage for side in self.played for usage in side.locks if usage}):
            before, after = self.outcome(Press(usage))
            if usage == NUM_LOCK or (before == after and before.does in (Does.LOCK, Does.LATCH)):
                found.append(usage)
        return tuple(found)

    def locks_for(self, usage: Usage) -> Iterator[Usage]:
        """The locks that can affect a key, other than Num Lock on its digits."""
        assert self.played
        for lock in self.locks:
            caps = lock != CAPS_LOCK or any(side.rules.compiled.caps_pairs(usage) for side in self.played)
            if lock not in (usage, NUM_LOCK) and caps:
                yield lock

    def outcome(self, press: Press) -> Both:
        """What a press did and does, in the names of the new plan."""
        assert self.played
        before, after = self.played
        return self.renamed(before.of(press)), after.of(press)

    def after_dead_key(self, press: Press, accent: str) -> tuple[Both, tuple[bool, bool]]:
        """What a press after a dead key typed and types, and whether they were and are a pair."""
        assert self.played
        numbers = tuple(side.number_of(accent) for side in self.played)
        done = [side.after_accent(press, n) for side, n in zip(self.played, numbers, strict=True)]
        paired = [side.is_pair(press, n) for side, n in zip(self.played, numbers, strict=True)]
        return (self.renamed(done[0]), done[1]), (paired[0], paired[1])

    def presses_of(self, trigger: Trigger) -> tuple[Press, ...]:
        """The presses that make a trigger, one for each choice of sides; none if a keyboard cannot give it."""
        usage, keypad = trigger.usage, trigger.usage in KEYPAD_DIGITS
        lock = NUM_LOCK if keypad and trigger.level == 2 else NO_LOCK
        if lock and not any(side.keeps(NUM_LOCK) for side in self.played or ()):
            return ()
        own = 1 << MODIFIER_BITS[usage] if usage in MODIFIER_BITS else 0
        sets = held_for(trigger, keypad, self.altgr)
        return tuple(Press(usage, held, lock) for held in sets if not held & own)

    # What can be typed.

    @property
    def old_ways(self) -> Mapping[str, tuple[Way, ...]]:
        """What could be typed, and how; functions that are only the name of a renamed key keep their old name."""
        return self.before.ways if self.before else {}

    @property
    def new_ways(self) -> Mapping[str, tuple[Way, ...]]:
        """What can be typed, and how."""
        if self.same_play and not any(fact[0] in ("host", "print", "unprinted") for fact in self.changed):
            return self.old_ways
        return self.after.ways if self.after else {}

    def dead_keys(self, accent: str) -> frozenset[Press]:
        """The dead keys of an accent that both plans have, else all that one of them has."""
        sides = [side.dead_presses(accent) for side in self.played or ()]
        return sides[0] & sides[1] or sides[0] | sides[1]

    # Presses in words.

    @cached_property
    def _keys(self) -> Mapping[Usage, PhysicalKey]:
        return {key.usage: key for side in self.played or () for key in side.every.keys}

    def key_press(self, press: Press, either: int = 0) -> KeyPress:
        """A press with the keys that it holds; `either` are those for which the right key works, too."""
        side = self.after or self.before
        assert side is not None
        key = self._keys.get(press.usage) or PhysicalKey(usage=press.usage, others=(), usual=False)
        keys = side.rules.compiled.keys(frozenset(side.every.usages_of(press.held)))
        level = side.rules.compiled.level(press.usage, keys, False, press.lock != NUM_LOCK)
        on = (press.lock,) if press.lock else ()
        return key_press(side.every, key, level, press.held, either, on)

    @cached_property
    def _lines(self) -> Mapping[Trigger, Place | None]:
        return {binding.trigger: binding.place for binding in self.new.bindings}

    def line_of(self, press: Trigger) -> Place | None:
        """The line of the new layout that causes the effect of a trigger, if there is one."""
        return self._lines.get(press)

    def renamed(self, outcome: Outcome) -> Outcome:
        """An outcome of the old plan in the names of the new one."""
        if not self.names:
            return outcome
        also = tuple(self._new_name(name, "key") for name in outcome.also)
        if outcome.does is Does.PRESSES:
            pieces = outcome.text.split(" + ")
            text = " + ".join(self._new_name(piece, "modifier", "key") for piece in pieces)
            return Outcome(outcome.does, text, also=also)
        kind = {Does.MODIFIER: "modifier", Does.LATCH: "key"}.get(outcome.does)
        return Outcome(outcome.does, self._new_name(outcome.text, kind)) if kind else outcome

    def _new_name(self, text: str, *kinds: str) -> str:
        for kind in kinds:
            name = self.names.get(Name(kind, text))
            if name is not None:
                return name.text
        return text

    def new_key_name(self, name: str) -> str:
        """The new name of a key of the old machine."""
        return self._new_name(name, "key")

    def _hosts(self) -> tuple[Host, Host]:
        return self.old.layout.host, self.new.layout.host

    def trigger_words(self, trigger: Trigger) -> str:
        """A trigger by the print of its key, or as a file writes it if the print of the two hosts differs there."""
        printed = [printed_keys(host, key_trigger(host, trigger)) for host in self._hosts()]
        return printed[1] if printed[0] == printed[1] else trigger_name(trigger)

    def press_name(self, press: KeyPress) -> str:
        """A press by the print of its key; by its trigger if the print of the two hosts differs there."""
        printed = [press_words(host, press) for host in self._hosts()]
        if printed[0] == printed[1]:
            return printed[1]
        name, sides = trigger_name(press.trigger), [held_words(host, press) for host in self._hosts()]
        one_side = [word for word in sides[1] if word.startswith(("left ", "right "))]
        return f"{name} ({' '.join(one_side)})" if one_side else name

    def way_words(self, way: Way) -> Words:
        """Consecutive presses."""
        return join_words((self.press_name(press) for press in way), last=" then ")

    def old_way(self, text: str) -> Words:
        """The easiest way in which something could be typed."""
        return self.way_words(self.old_ways[text][0])

    def new_way(self, text: str) -> Words:
        """The easiest way in which something can be typed."""
        return self.way_words(self.new_ways[text][0])


def key_trigger(host: Host, trigger: Trigger) -> Trigger:
    """A trigger with the usage that identifies its key: for a key with two usages, the host's."""
    return replace(trigger, usage=key_usage(host, trigger.usage))


def trigger_of(fact: Fact) -> Trigger | None:
    """The trigger that a fact is about, None for facts of another kind."""
    match fact:
        case ("trigger", int(usage), int(level), tuple(extras)):
            held = frozenset(HostModifier(extra) for extra in extras)
            return Trigger(usage=Usage(usage), level=level, extras=held)
        case ("dead key" | "stand-in", int(usage), int(level)):
            return Trigger(usage=Usage(usage), level=level)
    return None


PAST = {
    Does.TYPES: "typed {}",
    Does.TYPES_MORE: "typed {}",
    Does.PRESSES: "pressed {}",
    Does.MODIFIER: "was {}",
    Does.LATCH: "worked the latch {}",
    Does.LOCK: "was {}, kept by the adapter",
    Does.COMMAND: "gave command {}",
    Does.DEAD_KEY: "was the dead key {}",
}
PRESENT = {
    Does.TYPES: "types {}",
    Does.TYPES_MORE: "types {}",
    Does.PRESSES: "presses {}",
    Does.MODIFIER: "is {}",
    Does.LATCH: "works the latch {}",
    Does.LOCK: "is {}, kept by the adapter",
    Does.COMMAND: "gives command {}",
    Does.DEAD_KEY: "is the dead key {}",
}


def did(outcome: Outcome) -> Words:
    """What a press did."""
    if outcome.cause is not None:
        return (f"was {REFUSALS[outcome.cause]}",)
    if not outcome:
        return ("did nothing",)
    return (*say(PAST[outcome.does], outcome.text), *_also(outcome, "read"))


def does(outcome: Outcome) -> Words:
    """What a press does."""
    if outcome.cause is not None:
        return (f"is {REFUSALS[outcome.cause]}",)
    if not outcome:
        return ("does nothing",)
    return (*say(PRESENT[outcome.does], outcome.text), *_also(outcome, "reads"))


def _also(outcome: Outcome, verb: str) -> Words:
    if outcome.waiting:
        return say(", after which the dead key {} waits", outcome.waiting)
    return say(f", with which the machine also {verb} {{}}", join_words(outcome.also)) if outcome.also else ()
