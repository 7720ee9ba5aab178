"""Conflicts carried out: in which order hands press the keys, and what the rules of the runtime make of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import permutations
from typing import NamedTuple

from matrixmap.check.subject import Item, Subject
from matrixmap.hid.usages import ALT_LEFT, ALT_RIGHT, KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Latch, Plan
from matrixmap.model.press import KeyPress, Way
from matrixmap.model.witness import Event, Witness
from matrixmap.press.every import SIDES
from matrixmap.press.rules import REST, Cause, Outcome, Rules, Standing
from matrixmap.press.table import Kind


class Played(NamedTuple):
    """What came of some events: what is so then, and the outcome of each key that went down."""

    standing: Standing
    outcomes: tuple[tuple[Usage, Outcome], ...]

    def refused(self, usages: Iterable[Usage]) -> dict[Usage, Cause]:
        """The keys among some whose strokes were never closed, each with the reason."""
        wanted = frozenset(usages)
        return {usage: outcome.refused for usage, outcome in self.outcomes if outcome.refused and usage in wanted}

    def opened(self, usages: Iterable[Usage]) -> dict[Usage, Cause]:
        """The keys among some whose strokes were opened while they were down, each with the first reason."""
        found: dict[Usage, Cause] = {}
        for _, outcome in self.outcomes:
            for usage, cause in outcome.opened:
                found.setdefault(usage, cause)
        wanted = frozenset(usages)
        return {usage: cause for usage, cause in found.items() if usage in wanted}


def play(rules: Rules, events: Iterable[Event], standing: Standing = REST) -> Played:
    """Carries events out, one after the other."""
    outcomes = []
    for down, usage in events:
        if down:
            outcome = rules.press(standing, usage)
            outcomes.append((usage, outcome))
            standing = outcome.after
        else:
            standing = rules.release(standing, usage)
    return Played(standing, tuple(outcomes))


class Hands:
    """Hands on the keyboard of a plan, by one set of rules; what is held throughout is worked out once."""

    def __init__(self, plan: Plan, rules: Rules) -> None:
        self.plan = plan
        self.rules = rules
        self.latches = latch_usages(plan)
        self._held: dict[tuple[Usage, ...], Standing] = {}
        self._shapes: dict[object, tuple[Mapping[Usage, Cause], frozenset[Cause], int]] = {}
        self._contacts: dict[Usage, Contact] = {}

    def play(self, held: tuple[Usage, ...], presses: tuple[Way, ...], first: int) -> Played:
        """What comes of presses, of which the first ones come before the keys that are held throughout."""
        if first:
            return play(self.rules, steps(self.plan, self.latches, held, presses, first))
        if held not in self._held:
            self._held[held] = play(self.rules, steps(self.plan, self.latches, held, (), 0)).standing
        return play(self.rules, pressing(self.plan, self.latches, held, presses), self._held[held])

    def comes_of(self, made: Made, plain: bool) -> tuple[Mapping[Usage, Cause], frozenset[Cause], int]:
        """Which keys are refused, each with the reason; and why others are opened, and how many of them.

        Of `plain` strokes alone, a contact each, nothing matters but which of them share lines: each such shape is
        played once.
        """
        usages = tuple([way[-1].usage for way in made.presses])
        shape = self._shape(usages) if plain else None
        found = self._shapes.get(shape) if shape else None
        if found is None:
            played = self.play(made.held, made.presses, made.first)
            opened = played.opened(usages)
            found = played.refused(usages), frozenset(opened.values()), len(opened)
            if shape and not found[0]:
                self._shapes[shape] = found
        return found

    def _shape(self, usages: tuple[Usage, ...]) -> tuple[tuple[int, int, bool], ...]:
        """Plain strokes by the lines of their contacts, numbered as they come; -1 for a direct line. Empty if one is refused."""
        machine, masks = self.plan.layout.machine, self.rules.modifier_mask
        selects: dict[int, int] = {}
        senses: dict[int, int] = {}
        shape = []
        for usage in usages:
            contact = self._plain_contact(usage)
            if contact < 0:
                return ()
            lines = machine.lines(contact)
            select, sense = lines or (-1, -1)
            if lines:
                select, sense = selects.setdefault(select, len(selects)), senses.setdefault(sense, len(senses))
            shape.append((select, sense, bool(masks >> contact & 1)))
        return tuple(shape)

    def _plain_contact(self, usage: Usage) -> Contact:
        """The one contact that a key closes with nothing held; -1 if it is refused."""
        found = self._contacts.get(usage)
        if found is None:
            closed = self.rules.closed(
                self.play((), ((KeyPress(usage=usage, level=1, extras=frozenset()),),), 0).standing
            )
            found = self._contacts[usage] = Contact(closed.bit_length() - 1)
        return found


def latch_usages(plan: Plan) -> frozenset[Usage]:
    """The host keys that work a latch of the machine: they are pressed and let go, not held."""
    return frozenset(binding.trigger.usage for binding in plan.bindings if isinstance(binding.action, Latch))


def events_of(plan: Plan, witness: Witness) -> tuple[Event, ...]:
    """What to do, key by key, for a witness to show itself; switches of controllers are closed at the end."""
    return tuple(steps(plan, latch_usages(plan), witness.held, witness.presses, witness.first))


def steps(
    plan: Plan, latches: frozenset[Usage], held: tuple[Usage, ...], presses: tuple[Way, ...], first: int
) -> Iterator[Event]:
    """Presses in their order, of which the first ones come before the keys that are held throughout."""
    if first:
        yield from pressing(plan, latches, (), presses[:first], alone=False)
    for usage in held:
        yield Event(True, usage)
        if usage in latches:
            yield Event(False, usage)
    yield from pressing(plan, latches, held, presses[first:], alone=len(presses) == 1)


def pressing(
    plan: Plan,
    latches: frozenset[Usage],
    held: tuple[Usage, ...],
    presses: tuple[Way, ...],
    alone: bool | None = None,
) -> Iterator[Event]:
    """Presses while some keys are held.

    What a press needs besides is held for it alone: to the end only for a single press. A dead key is let go.
    """
    alone = len(presses) == 1 if alone is None else alone
    num = True
    for way in presses:
        for press in way:
            if press.usage in KEYPAD_DIGITS and plan.num_lock and num is not (press.level == 1):
                yield from (Event(True, NUM_LOCK), Event(False, NUM_LOCK))
                num = not num
            own = tuple([usage for usage in press.hold if not is_held(plan, usage, held)]) if press.hold else ()
            for usage in own:
                yield Event(True, usage)
            yield Event(True, press.usage)
            waits = press is not way[-1]
            if waits:
                yield Event(False, press.usage)
            if waits or not alone:
                for usage in reversed(own):
                    yield Event(False, usage)


def is_held(plan: Plan, usage: Usage, down: tuple[Usage, ...]) -> bool:
    """Whether a modifier is down already, be it by the other of its two keys; where right Alt is AltGr it is no Alt."""
    if usage in (ALT_LEFT, ALT_RIGHT) and plan.layout.host.has_altgr:
        return usage in down
    return any(side in down for pair in SIDES if usage in pair for side in pair)


class Made(NamedTuple):
    """How strokes are made together: the keys held throughout, the presses in order, and what closes without limits.

    `first` of the presses come before the keys are held.
    """

    held: tuple[Usage, ...]
    presses: tuple[Way, ...]
    first: int
    closed: int


class Maker:
    """Finds orders of presses that close strokes together, guard and rollover aside.

    Without these rules only what strokes ask of the modifiers decides, so that strokes which are alike in that need be
    tried once.
    """

    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self.hands = Hands(subject.plan, subject.bare)
        self._found: dict[object, tuple[tuple[int, ...], int, int] | None] = {}
        self._same: dict[tuple[Way, tuple[Usage, ...]], bool] = {}

    def make(self, items: tuple[Item, ...], held: tuple[Usage, ...], ways: tuple[Way, ...], fed: int) -> Made | None:
        """The first order of presses that closes all strokes while the typist feeds modifiers; None if none does."""
        alike = tuple(
            [
                (item.held.rules, item.held.holds, self._comes_to_the_same(way, held), *[press.hold for press in way])
                for item, way in zip(items, ways, strict=True)
            ]
        )
        cell = (held, fed, alike, _pressed_twice(ways))
        if cell not in self._found:
            self._found[cell] = self._try(items, held, ways, fed)
        found = self._found[cell]
        if found is None:
            return None
        order, first, closed = found
        for item in items:
            closed |= item.mask
        return Made(held, tuple([ways[number] for number in order]), first, closed)

    def _comes_to_the_same(self, way: Way, held: tuple[Usage, ...]) -> bool:
        """Whether the presses of a way come to the same entries while keys are held throughout."""
        if not held:
            return True
        cell = (way, held)
        if cell not in self._same:
            self._same[cell] = self._entries(way, ()) == self._entries(way, held)
        return self._same[cell]

    def _entries(self, way: Way, held: tuple[Usage, ...]) -> list[object]:
        compiled = self.subject.bare.compiled
        found: list[object] = []
        accent = 0
        for press in way:
            keys = compiled.keys(frozenset((*held, *press.hold, press.usage)))
            num = press.usage not in KEYPAD_DIGITS or press.level == 1
            level = compiled.level(press.usage, keys, False, num)
            entry = compiled.look_up(press.usage, level, keys.extras, 0 if keys.extras else accent)
            accent = entry.value if entry and entry.kind is Kind.DEAD_KEY else 0
            found.append(entry)
        return found

    def _try(
        self, items: tuple[Item, ...], held: tuple[Usage, ...], ways: tuple[Way, ...], fed: int
    ) -> tuple[tuple[int, ...], int, int] | None:
        """The order, how many come before the held keys, and the modifiers that are closed in the end."""
        compiled = self.subject.bare.compiled
        wanted = {item.held for item in items}
        for order in permutations(range(len(ways))):
            for first in range(len(order) + 1 if held else 1):
                standing = self.hands.play(held, tuple([ways[number] for number in order]), first).standing
                if set(standing.strokes) == wanted and fed & ~standing.modifiers == 0:
                    return order, first, compiled.mask_of(standing.modifiers)
        return None


def _pressed_twice(ways: tuple[Way, ...]) -> tuple[tuple[int, int], ...]:
    """Ways after a dead key on the very key that another one keeps down: which of them comes first matters then."""
    return tuple(
        [
            (one, other)
            for one, way in enumerate(ways)
            if len(way) > 1
            for other, last in enumerate(ways)
            if other != one and last[-1].usage == way[0].usage
        ]
    )
