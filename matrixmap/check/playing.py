"""Conflicts carried out: in which order hands press the keys, and what the rules of the runtime make of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import permutations
from typing import NamedTuple

from matrixmap.check.subject import Item, Subject
from matrixmap.hid.usages import ALT_LEFT, ALT_RIGHT, KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.model.plan import Latch, Plan
from matrixmap.model.press import Way
from matrixmap.model.witness import Event, Witness
from matrixmap.press.every import SIDES
from matrixmap.press.rules import REST, Cause, Outcome, Rules, Standing


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


def play(rules: Rules, events: Iterable[Event]) -> Played:
    """Carries events out, one after the other."""
    standing, outcomes = REST, []
    for down, usage in events:
        if down:
            outcome = rules.press(standing, usage)
            outcomes.append((usage, outcome))
            standing = outcome.after
        else:
            standing = rules.release(standing, usage)
    return Played(standing, tuple(outcomes))


def latch_usages(plan: Plan) -> frozenset[Usage]:
    """The host keys that work a latch of the machine: they are pressed and let go, not held."""
    return frozenset(binding.trigger.usage for binding in plan.bindings if isinstance(binding.action, Latch))


def events_of(plan: Plan, witness: Witness) -> tuple[Event, ...]:
    """What to do, key by key, for a witness to show itself; switches of controllers are closed at the end."""
    return tuple(steps(plan, witness.held, witness.presses, witness.first))


def steps(plan: Plan, held: tuple[Usage, ...], presses: tuple[Way, ...], first: int) -> Iterator[Event]:
    """Presses in their order, of which the first ones come before the keys that are held throughout.

    What a press needs besides is held for it alone: to the end only for a single press. A dead key is let go.
    """
    latches = latch_usages(plan)
    down: set[Usage] = set()
    num = True

    def hold() -> Iterator[Event]:
        for usage in held:
            yield Event(True, usage)
            if usage in latches:
                yield Event(False, usage)
            else:
                down.add(usage)

    if not first:
        yield from hold()
    for number, way in enumerate(presses):
        if number == first and first:
            yield from hold()
        for press in way:
            if press.usage in KEYPAD_DIGITS and plan.num_lock and num is not (press.level == 1):
                yield from (Event(True, NUM_LOCK), Event(False, NUM_LOCK))
                num = not num
            own = tuple(usage for usage in press.hold if not _is_held(plan, usage, down))
            yield from (Event(True, usage) for usage in own)
            yield Event(True, press.usage)
            waits = press is not way[-1]
            if waits:
                yield Event(False, press.usage)
            if waits or len(presses) > 1 or first:
                yield from (Event(False, usage) for usage in reversed(own))
    if first and first == len(presses):
        yield from hold()


def _is_held(plan: Plan, usage: Usage, down: set[Usage]) -> bool:
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


def make_together(
    subject: Subject, items: tuple[Item, ...], held: tuple[Usage, ...], ways: tuple[Way, ...], wanted: int
) -> Made | None:
    """The first order of presses that closes all strokes and some contacts, guard and rollover aside; None if none does."""
    bare, plan = subject.bare, subject.plan
    for order in permutations(ways):
        for first in range(len(order) + 1 if held else 1):
            standing = play(bare, steps(plan, held, order, first)).standing
            closed = bare.closed(standing)
            if len(standing.strokes) == len(items) and wanted & ~closed == 0:
                return Made(held, order, first, closed)
    return None
