"""The least time between two keystrokes that a machine keeps up with, over a whole row of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from matrixmap.circuit.timing import TICK_US
from matrixmap.hid.usages import ALT_RIGHT, MODIFIER_BITS, SHIFT_LEFT
from matrixmap.model.plan import Demand, Plan, Stroke, Trigger
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER, Sizes
from matrixmap.simulate.model import Model

ROW = 16
"""Keystrokes of a row: enough that its beginning has no influence."""


class Pace(NamedTuple):
    """Microseconds from one keystroke to the next, sustained; None if a layout has no such keys.

    `other_us` for two keys in turn, `same_us` for one key repeatedly, `shifted_us` if each needs other modifiers of the
    machine than the one before. The keys are the first of the layout that need no modifier.
    """

    other_us: int | None
    same_us: int | None
    shifted_us: int | None


def pace_of(plan: Plan) -> Pace:
    """The pace of a row of keystrokes, played by the model in the same way as pasted text."""
    plain = _presses(plan, lambda stroke: Demand.HOLD not in stroke.demands)
    held = _presses(plan, lambda stroke: Demand.HOLD in stroke.demands)
    lifted = [press for press in plain if Demand.LIFT in _stroke(plan, press).demands]
    turns = [
        [low, high]
        for low in lifted[:1]
        for high in held
        if _stroke(plan, low).contacts != _stroke(plan, high).contacts
    ]
    contacts = {_stroke(plan, press).contacts: press for press in reversed(plain)}
    two = list(contacts.values())[::-1][:2]
    return Pace(
        other_us=_row(plan, two) if len(two) == 2 else None,
        same_us=_row(plan, plain[:1]) if plain else None,
        shifted_us=_row(plan, turns[0]) if turns else None,
    )


def _stroke(plan: Plan, press: Trigger) -> Stroke:
    stroke = plan.by_trigger[press]
    assert isinstance(stroke, Stroke)
    return stroke


def _presses(plan: Plan, wanted: Callable[[Stroke], bool]) -> list[Trigger]:
    """The presses without Control, Alt and Meta that close one crosspoint and have a stroke of the wanted kind."""
    crosspoints = plan.layout.machine.crosspoints
    return [
        binding.trigger
        for binding in plan.bindings
        if isinstance(stroke := binding.action, Stroke)
        and not binding.trigger.extras
        and binding.trigger.usage not in MODIFIER_BITS
        and not stroke.before
        and len(stroke.contacts) == 1
        and stroke.contacts[0] < crosspoints
        and wanted(stroke)
    ]


def _row(plan: Plan, presses: Sequence[Trigger]) -> int | None:
    """Microseconds from one closing to the next in a row of these presses in turn; None if one of them is refused."""
    model = Model([plan], Sizes(waiting=ROW))
    for number in range(ROW):
        press = presses[number % len(presses)]
        model.type(press.usage, _held(press.level))
    closings: list[int] = []
    now = 0
    while (wait := model.advance(now % CLOCK_TICKS)) != NEVER:
        if model.close_left == model.closing.close:
            closings.append(now)
        now += wait
    if model.refusals or len(closings) != ROW:
        return None
    return round((closings[-1] - closings[0]) * TICK_US / (ROW - 1))


def _held(level: int) -> int:
    """The bits of the modifier byte that choose a level."""
    bits = 1 << MODIFIER_BITS[SHIFT_LEFT] if level in (2, 4) else 0
    return bits | (1 << MODIFIER_BITS[ALT_RIGHT] if level > 2 else 0)
