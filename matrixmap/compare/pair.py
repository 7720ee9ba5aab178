"""Two plans of one layout with what both sides of a comparison need to know of them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from matrixmap.compare.changes import Change, Changes, find_changes
from matrixmap.compare.facts import Fact, Name, facts
from matrixmap.compare.outcomes import NOTHING, Does, Outcome, Outcomes, with_one_fewer
from matrixmap.compare.words import Words, join_words, say
from matrixmap.hid.usages import Usage
from matrixmap.join.typed import ease
from matrixmap.model.finding import Place
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import PairKey, Plan, Trigger, Way
from matrixmap.model.words import printed_keys, trigger_name


class Pair:
    """The old and the new plan of a layout; what is asked of them is worked out once."""

    def __init__(self, old: Plan, new: Plan) -> None:
        self.old = old
        self.new = new
        self.before = Outcomes(old)
        self.after = Outcomes(new)

    @cached_property
    def changes(self) -> Changes:
        """All that differs."""
        return find_changes(facts(self.old), facts(self.new))

    @cached_property
    def changed(self) -> Mapping[Fact, Change]:
        """The changed facts."""
        return {change.fact: change for change in self.changes.facts}

    @cached_property
    def changed_triggers(self) -> tuple[tuple[Trigger, Fact], ...]:
        """The changed facts that are about a trigger, with that trigger."""
        return tuple((trigger, fact) for fact in self.changed if (trigger := trigger_of(fact)))

    @cached_property
    def changed_by_usage(self) -> Mapping[Usage, list[tuple[Trigger, Fact]]]:
        """The same by usage."""
        found: dict[Usage, list[tuple[Trigger, Fact]]] = {}
        for trigger, fact in self.changed_triggers:
            found.setdefault(trigger.usage, []).append((trigger, fact))
        return found

    @cached_property
    def names(self) -> Mapping[Name, Name]:
        """Old names and the new ones that took their place."""
        return dict(self.changes.renames)

    @cached_property
    def old_ways(self) -> Mapping[str, tuple[Way, ...]]:
        """What could be typed, and how; functions that are only the name of a renamed key keep their old name."""
        return self.before.ways()

    @cached_property
    def new_ways(self) -> Mapping[str, tuple[Way, ...]]:
        """What can be typed, and how."""
        return self.after.ways()

    @cached_property
    def old_pairs(self) -> Mapping[PairKey, Outcome]:
        """What the pairs of a dead key and the next key typed."""
        return self.before.pairs()

    @cached_property
    def new_pairs(self) -> Mapping[PairKey, Outcome]:
        """What the pairs of a dead key and the next key type."""
        return self.after.pairs()

    def pair_outcome(self, cell: PairKey) -> tuple[Outcome, Outcome]:
        """What a pair typed and types."""
        return self.renamed(self.old_pairs.get(cell, NOTHING)), self.new_pairs.get(cell, NOTHING)

    def dead_key(self, accent: str) -> Trigger:
        """The easiest dead key of an accent that both plans have, else the easiest that one of them has."""
        sides = [
            {press for press, other in plan.dead_keys.triggers.items() if other == accent}
            for plan in (self.old, self.new)
        ]
        return min(sides[0] & sides[1] or sides[0] | sides[1], key=ease)

    def outcome(self, press: Trigger) -> tuple[Outcome, Outcome]:
        """What a press did and does, in the names of the new plan."""
        return self.renamed(self.before.of(press)), self.after.of(press)

    def differs(self, press: Trigger) -> bool:
        """Whether a press does something else than before."""
        before, after = self.outcome(press)
        return before != after

    def needless(self, press: Trigger, side: int) -> str | None:
        """The modifier without which a press does the same in the old plan (side 0) or the new one (1); None if none."""
        outcome = self.outcome(press)[side]
        for other in with_one_fewer(press):
            if outcome and self.outcome(other)[side] == outcome:
                extras = press.extras - other.extras
                return next(iter(extras)).value if extras else {1: "Shift", 2: "AltGr"}[press.level - other.level]
        return None

    @cached_property
    def _lines(self) -> Mapping[Trigger, Place | None]:
        return {binding.trigger: binding.place for binding in self.new.bindings}

    def line_of(self, press: Trigger) -> Place | None:
        """The line of the new layout that causes what a trigger does, if there is one."""
        return self._lines.get(press)

    def renamed(self, outcome: Outcome) -> Outcome:
        """An outcome of the old plan in the names of the new one."""
        if not self.names:
            return outcome
        kind = {Does.MODIFIER: "modifier", Does.LATCH: "key"}.get(outcome.does)
        if outcome.does is Does.PRESSES:
            pieces = outcome.text.split(" + ")
            return Outcome(outcome.does, " + ".join(self._new_name(piece, "modifier", "key") for piece in pieces))
        return Outcome(outcome.does, self._new_name(outcome.text, kind)) if kind else outcome

    def _new_name(self, text: str, *kinds: str) -> str:
        for kind in kinds:
            name = self.names.get(Name(kind, text))
            if name is not None:
                return name.text
        return text

    def press_name(self, press: Trigger) -> str:
        """A press by the print of its key; by its trigger where the two hosts print different things there."""
        hosts = self.old.layout.host, self.new.layout.host
        printed = [printed_keys(host, press) for host in hosts]
        return printed[1] if printed[0] == printed[1] else trigger_name(press)

    def way_words(self, way: Way) -> Words:
        """Presses one after the other."""
        return join_words((self.press_name(press) for press in way), last=" then ")

    def old_way(self, text: str) -> Words:
        """The easiest way in which something could be typed."""
        return self.way_words(self.old_ways[text][0])

    def new_way(self, text: str) -> Words:
        """The easiest way in which something can be typed."""
        return self.way_words(self.new_ways[text][0])


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
    Does.PRESSES: "pressed {}",
    Does.MODIFIER: "was {}",
    Does.LATCH: "worked the latch {}",
    Does.LOCK: "was {}, kept by the adapter",
    Does.COMMAND: "gave command {}",
    Does.DEAD_KEY: "was the dead key {}",
}
PRESENT = {
    Does.TYPES: "types {}",
    Does.PRESSES: "presses {}",
    Does.MODIFIER: "is {}",
    Does.LATCH: "works the latch {}",
    Does.LOCK: "is {}, kept by the adapter",
    Does.COMMAND: "gives command {}",
    Does.DEAD_KEY: "is the dead key {}",
}


def did(outcome: Outcome) -> Words:
    """What a press did."""
    return say(PAST[outcome.does], outcome.text) if outcome else ("did nothing",)


def does(outcome: Outcome) -> Words:
    """What a press does."""
    return say(PRESENT[outcome.does], outcome.text) if outcome else ("does nothing",)
