"""Conflicts carried out: in which order hands press the keys, and what the rules of the runtime then do."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

from matrixmap.check.engine.fingers import Finger, Fingers, Together, is_held
from matrixmap.check.engine.strokes import Item, PlanStrokes
from matrixmap.hid.usages import KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.model.plan import Latch, Plan
from matrixmap.model.press import KeyPress, Way
from matrixmap.model.witness import Event, Witness
from matrixmap.press.compiled import Compiled, Entry, bits
from matrixmap.press.rules import REST, STROKES, Cause, Held, Outcome, Rules, Standing
from matrixmap.press.table.format import Kind

FRESH = 1 << 8
"""Lines that modifiers do not use are numbered from here on, in order of appearance."""

ALL_MODIFIERS = 0xFF


class Played(NamedTuple):
    """The result of some events: the standing then, and the outcome of each key that was pressed."""

    standing: Standing
    outcomes: tuple[tuple[Usage, Outcome], ...]

    def refused(self, usages: Iterable[Usage]) -> dict[Usage, Cause]:
        """The keys among some with strokes that were never closed, each with the reason."""
        wanted = frozenset(usages)
        return {usage: outcome.refused for usage, outcome in self.outcomes if outcome.refused and usage in wanted}

    def opened(self, usages: Iterable[Usage]) -> dict[Usage, Cause]:
        """The keys among some with strokes that were opened while the keys were down, each with the first reason."""
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


class Lines(NamedTuple):
    """A stroke as the rules see it: what it asks of the modifier keys, and the lines of its contacts, in order."""

    rules: int
    holds: int
    lines: tuple[tuple[int, int], ...]


class Comes(NamedTuple):
    """The result of presses: the refused ones by number, each with the reason; why others are opened, and how many."""

    refused: tuple[tuple[int, Cause], ...]
    causes: frozenset[Cause]
    opened: int


class Hands:
    """Hands on the keyboard of a plan, by one set of rules; what is held throughout is worked out once."""

    def __init__(self, plan: Plan, rules: Rules) -> None:
        self.plan = plan
        self.rules = rules
        self.latches = latch_usages(plan)
        self.fingers = Fingers(plan, rules)
        self._held: dict[tuple[Usage, ...], Standing] = {}
        self._shapes: dict[object, Comes] = {}
        self._strokes: dict[object, Lines | None] = {}
        self._own: dict[int, tuple[dict[int, int], dict[int, int]]] = {}
        self._width = len(plan.layout.machine.sense)
        self._crosspoints = plan.layout.machine.crosspoints

    def play(self, held: tuple[Usage, ...], presses: tuple[Way, ...], first: int) -> Played:
        """The result of presses; `first` of them come before the keys that are held throughout."""
        if first:
            return play(self.rules, steps(self.plan, self.latches, held, presses, first))
        if held not in self._held:
            self._held[held] = play(self.rules, steps(self.plan, self.latches, held, (), 0)).standing
        return play(self.rules, pressing(self.plan, self.latches, held, presses), self._held[held])

    def comes_of(self, made: Made) -> Comes:
        """The result of strokes that are made together.

        The rules see which contacts share lines, not which lines these are. Presses that share lines alike are played
        once.
        """
        shape = self._shape(made)
        found = self._shapes.get(shape) if shape else None
        if found is None:
            found = self._comes_of(made)
            if shape:
                self._shapes[shape] = found
        return found

    def _comes_of(self, made: Made) -> Comes:
        left = self.fingers.press(made.held, made.presses, made.first)
        if left is not None:
            return Comes(left.refused, frozenset([cause for _, cause in left.opened]), len(left.opened))
        usages = [way[-1].usage for way in made.presses]
        played = self.play(made.held, made.presses, made.first)
        refused, opened = played.refused(usages), played.opened(usages)
        numbered = tuple([(usages.index(usage), cause) for usage, cause in refused.items()])
        return Comes(numbered, frozenset(opened.values()), len(opened))

    def _shape(self, made: Made) -> object:
        """What the rules see of presses: what is held, and each stroke by the lines of its contacts.

        Lines that modifiers use keep their numbers; others are numbered as they appear. None if a press is not a single
        stroke.
        """
        held, first = made.held, made.first
        fed = self._fed(held) if held else 0
        strokes = []
        for number, way in enumerate(made.presses):
            found = self._stroke(way[0], () if number < first else held) if len(way) == 1 else None
            if found is None:
                return None
            hold = way[0].hold
            fed |= found.holds | self._fed(hold) if hold else found.holds
            strokes.append((hold, found))
        selects, senses = self._own_lines(fed)
        selects, senses = selects.copy(), senses.copy()
        shape: list[object] = [held, first]
        for hold, (rules, holds, lines) in strokes:
            shape += (hold, rules, holds)
            for select, sense in lines:
                if select < 0:
                    shape += (select, sense)
                else:
                    shape.append(selects.setdefault(select, FRESH + len(selects)))
                    shape.append(senses.setdefault(sense, FRESH + len(senses)))
        return tuple(shape)

    def _fed(self, usages: tuple[Usage, ...]) -> int:
        """The modifier keys that host keys feed; all modifier keys if one of the host keys works a latch."""
        fed = 0
        for usage in usages:
            fed |= ALL_MODIFIERS if usage in self.latches else self.rules.compiled.feeds.get(usage, 0)
        return fed

    def _own_lines(self, modifiers: int) -> tuple[dict[int, int], dict[int, int]]:
        """The select and the sense lines of modifier keys, each mapped to its own number."""
        if modifiers not in self._own:
            contacts = self.rules.compiled.mask_of(modifiers) & (1 << self._crosspoints) - 1
            lines = [divmod(contact, self._width) for contact in bits(contacts)]
            self._own[modifiers] = {line: line for line, _ in lines}, {line: line for _, line in lines}
        return self._own[modifiers]

    def _stroke(self, press: KeyPress, held: tuple[Usage, ...]) -> Lines | None:
        """The stroke that a press makes while keys are held; None if it does something else."""
        cell = (press.usage, press.level, press.hold, held)
        if cell not in self._strokes:
            entry = entry_of(self.rules.compiled, press, held, 0)
            self._strokes[cell] = None
            if entry is not None and entry.kind in STROKES:
                stroke = self.rules.stroke(press.usage, entry)
                lines = [self._lines_of(contact) for contact in stroke.contacts]
                self._strokes[cell] = Lines(stroke.rules, stroke.holds, tuple(lines))
        return self._strokes[cell]

    def _lines_of(self, contact: int) -> tuple[int, int]:
        """Select and sense index of a crosspoint; -1 and the contact for a direct line."""
        return divmod(contact, self._width) if contact < self._crosspoints else (-1, contact)


def entry_of(compiled: Compiled, press: KeyPress, held: tuple[Usage, ...], accent: int) -> Entry | None:
    """The entry for a press while keys are held and the dead key with this number is pending."""
    keys = compiled.keys(frozenset((*held, *press.hold, press.usage)))
    num = press.usage not in KEYPAD_DIGITS or press.level == 1
    level = compiled.level(press.usage, keys, False, num)
    return compiled.look_up(press.usage, level, keys.extras, 0 if keys.extras else accent)


def latch_usages(plan: Plan) -> frozenset[Usage]:
    """The host keys that work a latch of the machine: they are pressed and released, not held."""
    return frozenset(binding.trigger.usage for binding in plan.bindings if isinstance(binding.action, Latch))


def events_of(plan: Plan, witness: Witness) -> tuple[Event, ...]:
    """What to do, key by key, to show a witness; switches of controllers are closed at the end."""
    return tuple(steps(plan, latch_usages(plan), witness.held, witness.presses, witness.first))


def steps(
    plan: Plan, latches: frozenset[Usage], held: tuple[Usage, ...], presses: tuple[Way, ...], first: int
) -> Iterator[Event]:
    """The events of presses, in order; `first` of them come before the keys that are held throughout."""
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
    """The events of presses while some keys are held.

    Further keys that a press needs are held for that press only; they stay down until the end if it is the only press.
    A dead key is released.
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


class Made(NamedTuple):
    """How strokes are made together: the keys held throughout, the presses in order, and what closes without limits.

    `first` of the presses come before the keys are held.
    """

    held: tuple[Usage, ...]
    presses: tuple[Way, ...]
    first: int
    closed: int


class Order(NamedTuple):
    """An order of presses: their numbers, how many come before the held keys, and the modifiers finally closed."""

    numbers: tuple[int, ...]
    first: int
    closed: int


class Maker:
    """Finds orders of presses that close strokes together, ignoring guard and rollover.

    Without these rules, only what strokes ask of the modifiers matters. So strokes that ask for the same are tried
    once.
    """

    def __init__(self, strokes: PlanStrokes) -> None:
        self.strokes = strokes
        self.hands = Hands(strokes.plan, strokes.bare)
        self._found: dict[object, Order | None] = {}
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
        """Whether the presses of a way give the same entries while keys are held throughout."""
        if not held:
            return True
        cell = (way, held)
        if cell not in self._same:
            self._same[cell] = self._entries(way, ()) == self._entries(way, held)
        return self._same[cell]

    def _entries(self, way: Way, held: tuple[Usage, ...]) -> list[object]:
        compiled = self.strokes.bare.compiled
        found: list[object] = []
        accent = 0
        for press in way:
            entry = entry_of(compiled, press, held, accent)
            accent = entry.value if entry and entry.kind is Kind.DEAD_KEY and not entry.sequence else 0
            found.append(entry)
        return found

    def _try(self, items: tuple[Item, ...], held: tuple[Usage, ...], ways: tuple[Way, ...], fed: int) -> Order | None:
        """The first order that closes all strokes."""
        compiled = self.strokes.bare.compiled
        wanted = {item.held for item in items}
        most = len(ways) if held else 0
        fingers, held_fed = self.hands.fingers, self.hands.fingers.fed(held)
        before = [fingers.finger(way, ()) for way in ways]
        beside = [fingers.finger(way, held) for way in ways] if held else before
        if held_fed is not None and None not in before and None not in beside:
            together = Together(_coming_to(wanted, before), _coming_to(wanted, beside), held_fed)
            found = [self._first(together, first, fed) for first in range(most + 1)]
            return min(filter(None, found), default=None)
        orders: list[Order] = []
        for first in range(most + 1):
            standing = Walk(self.hands, held, ways, first, frozenset(wanted), fed).standing_at_the_end()
            if standing is not None:
                orders.append(Order(standing[0], first, compiled.mask_of(standing[1])))
        return min(orders, default=None)

    def _first(self, together: Together, first: int, fed: int) -> Order | None:
        """The first order with this many presses before the held keys."""
        for order, modifiers in together.orders(first):
            if not fed & ~modifiers:
                return Order(order, first, self.strokes.bare.compiled.mask_of(modifiers))
        return None


class Walk:
    """The orders of presses, played press by press, so that what orders have in common is played once.

    `first` of the presses come before the held keys. `wanted` are the strokes that must be closed in the end, and no
    others.
    """

    def __init__(
        self,
        hands: Hands,
        held: tuple[Usage, ...],
        ways: tuple[Way, ...],
        first: int,
        wanted: frozenset[Held],
        fed: int,
    ) -> None:
        self.hands = hands
        self.held = held
        self.ways = ways
        self.first = first
        self.wanted = wanted
        self.fed = fed
        self._in_vain: set[object] = set()

    def standing_at_the_end(self) -> tuple[tuple[int, ...], int] | None:
        """The first order that closes what is wanted, and the modifiers that are then closed; None if there is none."""
        return self._from((), 0, REST)

    def _from(self, order: tuple[int, ...], played: int, standing: Standing) -> tuple[tuple[int, ...], int] | None:
        """The same among the orders that begin with `order`, after `played` of its events."""
        left = [number for number in range(len(self.ways)) if number not in order]
        if not left:
            made = set(standing.strokes) == self.wanted and not self.fed & ~standing.modifiers
            return (order, standing.modifiers) if made else None
        # Only a rule of the guard depends on which stroke is newer, and there is no guard here.
        cell = (frozenset(left), standing._replace(strokes=()), frozenset(standing.strokes))
        if cell in self._in_vain or len(self.wanted.difference(standing.strokes, standing.places)) > len(left):
            return None
        for number in left:
            longer = (*order, number)
            events = self._events(longer)
            found = self._from(longer, len(events), play(self.hands.rules, events[played:], standing).standing)
            if found:
                return found
        self._in_vain.add(cell)
        return None

    def _events(self, order: tuple[int, ...]) -> list[Event]:
        """The events of the presses that an order begins with; those of a longer order begin with them."""
        plan, latches = self.hands.plan, self.hands.latches
        presses = tuple([self.ways[number] for number in order])
        if len(presses) == len(self.ways):
            return [*steps(plan, latches, self.held, presses, self.first)]
        if len(presses) <= self.first:
            return [*pressing(plan, latches, (), presses, alone=False)]
        events = [*steps(plan, latches, self.held, presses[: self.first], self.first)]
        return [*events, *pressing(plan, latches, self.held, presses[self.first :], alone=False)]


def _coming_to(wanted: Collection[Held], fingers: Iterable[Finger | None]) -> tuple[Finger | None, ...]:
    """Presses that give one of the wanted strokes; None in place of the others."""
    return tuple([finger if finger and finger.stroke in wanted else None for finger in fingers])


def _pressed_twice(ways: tuple[Way, ...]) -> tuple[tuple[int, int], ...]:
    """Ways after a dead key on a key that another way keeps down: then it matters which of the two comes first."""
    return tuple(
        [
            (one, other)
            for one, way in enumerate(ways)
            if len(way) > 1
            for other, last in enumerate(ways)
            if other != one and last[-1].usage == way[0].usage
        ]
    )
