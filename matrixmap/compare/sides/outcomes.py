"""What does the typist get from each press of a plan? The compiled table answers.

A press is a key with a set of modifier keys held, as a mask: bit n is usage 0xE0 + n. A lock key may have been pressed
before, and a dead key may be pending.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from typing import NamedTuple

from matrixmap.hid.usages import CAPS_LOCK, MODIFIER_BITS, NUM_LOCK, Usage
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Plan
from matrixmap.model.press import Way
from matrixmap.model.words import key_name, shown
from matrixmap.press.compiled import KEEPS, Entry
from matrixmap.press.every import Done, Every, Pressed
from matrixmap.press.how_to_type import HowToType
from matrixmap.press.keyboard import PhysicalKey
from matrixmap.press.machine_reads import typed_in_the_end
from matrixmap.press.rules import STROKES, Cause, Rules
from matrixmap.press.rules import Outcome as Played
from matrixmap.press.table.cells import ACCENT_ALONE
from matrixmap.press.table.format import Kind
from matrixmap.press.table.make import TableError


class Does(Enum):
    """The kinds of outcome."""

    NOTHING = "nothing"
    TYPES = "types"
    TYPES_MORE = "types more"
    PRESSES = "presses"
    MODIFIER = "modifier"
    LATCH = "latch"
    LOCK = "lock"
    COMMAND = "command"
    DEAD_KEY = "dead key"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a press does: its kind, and the character, function, stroke, modifier, latch, lock, number or accent.

    TYPES_MORE types several things in sequence. PRESSES closes keys for which the machine's file gives no single thing
    that they type; `also` are further keys that the machine then reads. `cause` says why a stroke is refused. `waiting`
    is the dead key that is pending after a press that follows another one.
    """

    does: Does
    text: str = ""
    also: tuple[str, ...] = ()
    cause: Cause | None = None
    waiting: str = ""

    def __bool__(self) -> bool:
        """Whether the press gives the typist anything."""
        return self.does not in (Does.NOTHING, Does.REFUSED)


NOTHING = Outcome(Does.NOTHING)
LOCK_NAMES = {CAPS_LOCK: "Caps Lock", NUM_LOCK: "Num Lock"}


NO_LOCK = Usage(0)


class Press(NamedTuple):
    """A key, the held modifier keys, and the lock key that was pressed before."""

    usage: Usage
    held: int = 0
    lock: Usage = NO_LOCK


class Outcomes:
    """The outcomes of one plan's presses, each computed once."""

    def __init__(self, plan: Plan) -> None:
        """TableError if no table can hold the plan."""
        self.plan = plan
        self.rules = Rules(plan)
        self.every = Every(self.rules)
        self.accents = self.rules.table.accents
        single = ((locks.on, number) for number, locks in enumerate(self.every.locks) if len(locks.on) < 2)
        self.locks: Mapping[Usage, int] = {on[0] if on else NO_LOCK: number for on, number in single}
        self._known: dict[tuple[Usage, int, Usage, int], Outcome] = {}
        # Most presses share their effect with others.
        self._done: dict[Done, Outcome] = {}
        self._names: dict[int, str] = {}

    def of(self, press: Press, accent: int = 0) -> Outcome:
        """What a press does; with the number of a pending dead key, what the pair does, NOTHING without a pair."""
        cell = (press.usage, self.every.class_of.get(press.held, ~press.held), press.lock, accent)
        found = self._known.get(cell)
        if found is None:
            found = self._known[cell] = self._outcome(press, accent)
        return found

    def _outcome(self, press: Press, accent: int) -> Outcome:
        compiled = self.rules.compiled
        if press.usage in compiled.feeds:
            return Outcome(Does.MODIFIER, self._modifiers(compiled.feeds[press.usage]))
        if self.keeps(press.usage):
            return Outcome(Does.LOCK, LOCK_NAMES[press.usage])
        pressed = self._pressed(press, accent)
        return NOTHING if pressed is None else self._of_done(pressed)

    def keeps(self, usage: Usage) -> bool:
        """Whether a key is a lock that the runtime keeps."""
        kept = {CAPS_LOCK: self.rules.compiled.caps_lock, NUM_LOCK: self.rules.compiled.num_lock}
        return kept.get(usage, False)

    def _pressed(self, press: Press, accent: int) -> Pressed | None:
        key = PhysicalKey(usage=press.usage, others=(), usual=True)
        return self.every.press_beside(key, press.held, self.locks.get(press.lock, 0), accent)

    def is_pair(self, press: Press, accent: int) -> bool:
        """Whether a press makes a pair with a pending dead key."""
        return accent > 0 and self._pressed(press, accent) is not None

    def after_accent(self, press: Press, accent: int) -> Outcome:
        """What a press types while a dead key is pending, pair or not; other effects are left out."""
        if self.is_pair(press, accent):
            return self.of(press, accent)
        standing = self.rules.hold(self.every.usages_of(press.held))
        return self._played(self.rules.press(standing._replace(accent=accent), press.usage))

    def _played(self, played: Played) -> Outcome:
        texts = [typed.legend.text for typed in typed_in_the_end(self.rules.types(played)) if typed.legend]
        number = played.after.accent
        waiting = self.accents[number - 1] if 0 < number <= len(self.accents) else ""
        if len(texts) == 1:
            return Outcome(Does.TYPES, texts[0], waiting=waiting)
        if texts:
            return Outcome(Does.TYPES_MORE, " then ".join(map(shown, texts)), waiting=waiting)
        return Outcome(Does.DEAD_KEY, waiting) if waiting else NOTHING

    def _of_done(self, pressed: Pressed) -> Outcome:
        done = pressed.done
        found = self._done.get(done)
        if found is None:
            found = self._done[done] = self._work_out(done)
        return found

    def _work_out(self, done: Done) -> Outcome:
        match done.kind:
            case Kind.LATCH:
                return Outcome(Does.LATCH, self._latch(done.value))
            case Kind.COMMAND:
                return Outcome(Does.COMMAND, str(done.value))
            case Kind.DEAD_KEY:
                return self._dead_key(done.value)
            case Kind.NOTHING:
                return NOTHING
        if done.refused is not None:
            return Outcome(Does.REFUSED, cause=done.refused)
        if done.text is not None:
            return Outcome(Does.TYPES, done.text)
        return Outcome(Does.PRESSES, self._stroke(done), also=tuple(self._besides(done)))

    def _dead_key(self, number: int) -> Outcome:
        """A dead key; if it composes nothing, it gives the typist nothing."""
        return Outcome(Does.DEAD_KEY, self.accents[number - 1]) if number <= len(self.accents) else NOTHING

    def _besides(self, done: Done) -> Iterator[str]:
        return (self._name(typed.contact) for typed in done.typed if not done.closed >> typed.contact & 1)

    def _name(self, contact: int) -> str:
        found = self._names.get(contact)
        if found is None:
            found = self._names[contact] = key_name(self.plan.layout.machine, Contact(contact))
        return found

    def _stroke(self, done: Done) -> str:
        """A stroke as a layout file writes it: its modifiers, then its keys in the order of their reading."""
        keys = (self._name(contact) for contact in sorted(self.rules.compiled.contacts(done.kind, done.value)))
        return " + ".join([*filter(None, [self._modifiers(done.holds)]), *keys])

    def _modifiers(self, mask: int) -> str:
        """The modifiers of some of the table's modifier keys, in the order of the machine."""
        machine = self.plan.layout.machine
        contacts = self.rules.compiled.mask_of(mask)
        names = (
            modifier.name
            for modifier in machine.modifiers
            if any(contacts >> machine.key(name).contact & 1 for name in modifier.keys)
        )
        return " + ".join(names)

    def _latch(self, mask: int) -> str:
        machine = self.plan.layout.machine
        contacts = self.rules.compiled.mask_of(mask)
        return next(
            latch for latch, parallel in machine.latching.items() if contacts >> machine.key(parallel).contact & 1
        )

    # What tells whether two tables do the same.

    @cached_property
    def common(self) -> tuple[object, ...]:
        """What decides the effect of a press, apart from entries: how the machine reads, what holds, what is kept."""
        compiled, machine = self.rules.compiled, self.plan.layout.machine
        return (
            tuple((key.contact, key.name, key.types, key.silent, key.dead, key.modes) for key in machine.keys),
            (machine.modes, machine.composes, machine.sequences),
            (machine.modifiers, machine.latching, machine.diodes, machine.diode_contacts, self.plan.contacts),
            (compiled.select, compiled.sense, compiled.direct, compiled.modifier_keys, compiled.feeds),
            (compiled.altgr, compiled.guard, compiled.rollover, compiled.caps_lock, compiled.num_lock),
        )

    def answers(self, usage: Usage) -> tuple[object, ...]:
        """The entries of a key by their effect, and the levels that Caps Lock swaps on it."""
        compiled = self.rules.compiled
        entries = (
            (
                entry.when,
                compiled.demands[entry.demand],
                entry.kind,
                self.accents[entry.after - 1] if 0 < entry.after < KEEPS else entry.after,
                compiled.contacts(entry.kind, entry.value),
                self._dead_key(entry.value) if entry.kind is Kind.DEAD_KEY and not entry.sequence else None,
                entry.value if entry.kind in (Kind.LATCH, Kind.COMMAND) else None,
                self._in_turn(usage, entry) if entry.sequence else None,
            )
            for entry in compiled.answers.get(usage, ())
            if not self.rules.is_within(entry)
        )
        return compiled.caps_pairs(usage), *entries

    def _in_turn(self, usage: Usage, entry: Entry) -> tuple[object, ...]:
        """The strokes of a sequence at each level at which it is played."""
        compiled = self.rules.compiled
        levels = (level for level in range(1, 5) if entry.when >> (level - 1) & 1)
        return tuple(
            tuple(
                (compiled.demands[part.demand], part.kind, compiled.contacts(part.kind, part.value))
                for part in self.rules.parts(usage, level, entry)
            )
            for level in levels
        )

    # What can be typed and closed at all.

    @cached_property
    def ways(self) -> Mapping[str, tuple[Way, ...]]:
        """Character or function -> the ways to type exactly this, the easiest first.

        A dead key pressed twice types its accent, too, if that is no pair: the second one then waits.
        """
        ways = HowToType(self.every)
        found = dict(ways.to_type())
        for number, presses in sorted(ways.of_kind(Kind.DEAD_KEY).items()) if self.accents else ():
            dead = next((press for press in presses if not press.on), None)
            if dead is not None and number <= len(self.accents):
                twice = self.after_accent(Press(dead.usage, self.every.mask_of(dead.hold)), number)
                known = found.get(twice.text, ())
                if twice.does is Does.TYPES and (dead, dead) not in known:
                    found[twice.text] = (*known, (dead, dead))
        return found

    def dead_presses(self, accent: str) -> frozenset[Press]:
        """The presses that make a dead key pending."""
        number, every = self.number_of(accent), self.every
        return frozenset(
            Press(key.usage, held)
            for key, hold in every.dead_keys.get(number, ())
            for held in every.classes[hold].sets
            if held < 1 << len(MODIFIER_BITS)
        )

    def alone(self, accent: str) -> Outcome:
        """What the accent of a dead key types alone, before a key with which it makes no pair."""
        number = self.number_of(accent)
        entry = self.rules.compiled.look_up(ACCENT_ALONE, 1, 0, number) if number else None
        if entry is None:
            return NOTHING
        done = self.every.done(entry, 0, 0)
        if done.refused is not None:
            return Outcome(Does.REFUSED, cause=done.refused)
        return Outcome(Does.TYPES, done.text) if done.text is not None else NOTHING

    def paired(self, accent: str) -> Iterator[Usage]:
        """The keys with a press that is a pair with a dead key."""
        number = self.number_of(accent)
        for usage, entries in self.rules.compiled.answers.items():
            if usage != ACCENT_ALONE and any(0 < entry.after == number for entry in entries):
                yield usage

    def number_of(self, accent: str) -> int:
        """The number in the table of a dead key that composes something, else 0."""
        return self.accents.index(accent) + 1 if accent in self.accents else 0

    @cached_property
    def closed(self) -> int:
        """The contacts that some press closes, as a mask, including those of its modifiers and latches."""
        compiled = self.rules.compiled
        closed = 0
        for mask in compiled.feeds.values():
            closed |= compiled.mask_of(mask)
        for done in self._strokes():
            closed |= compiled.mask_of(done.value) if done.kind is Kind.LATCH else done.closed | done.modifiers
            for own, modifiers in done.before:
                closed |= own | modifiers
        return closed

    def _strokes(self) -> Iterable[Done]:
        seen: dict[Done, None] = {}
        entries = (self.rules.compiled.look_up(ACCENT_ALONE, 1, 0, n + 1) for n in range(len(self.accents)))
        alone = (self.every.done(entry, 0, 0) for entry in entries if entry)
        for done in (*(pressed.done for pressed in (*self.every.single, *self.every.pairs)), *alone):
            if done.kind is Kind.LATCH or (done.kind in STROKES and done.refused is None):
                seen[done] = None
        return seen


def outcomes_of(plan: Plan) -> Outcomes | None:
    """The outcomes of a plan, None if no table can hold it."""
    try:
        return Outcomes(plan)
    except TableError:
        return None
