"""The part of a table that tells the runtime what the switches of controllers do, where pads close them.

The format is that of `mm_runtime.h`, THE TABLE. It stands before the checksum, in the firmware's tables alone: a runtime
without MM_PADS refuses such a table, and what a key does does not hang on it.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from matrixmap.circuit.timing import JITTER_US, TICK_US
from matrixmap.hid.pads.sources import Direction
from matrixmap.join.pads import DrivenController, driven_controllers
from matrixmap.model.machine import Contact, Controller, Machine, Switch, Wiring
from matrixmap.model.plan import Plan
from matrixmap.press.table.format import LONGEST_TICKS

MOST_CONTROLLERS: Final = 8
"""Controllers of a machine that a table can hold."""

_SWITCHES: Final = 8
_CONTACT, _GATED, _GROUND, _NONE = 0x00, 0x10, 0x11, 3
_PAIRS: Final = ((Direction.UP, Direction.DOWN), (Direction.LEFT, Direction.RIGHT))


def controller_count(plan: Plan) -> int:
    """How many controllers the table has: those of the file up to the last that pads drive."""
    if plan.layout.pads is None:
        return 0
    return 1 + max(one.number for one in driven_controllers(plan.layout.pads, plan.layout.machine))


def controller_parts(plan: Plan, modifier_keys: tuple[Contact, ...]) -> Iterator[tuple[bytes, str]]:
    """The part of a plan whose layout has pads, in pieces with what they say; nothing for others."""
    pads, machine = plan.layout.pads, plan.layout.machine
    if pads is None:
        return
    driven = {one.number: one for one in driven_controllers(pads, machine)}
    count, ticks = controller_count(plan), poll_ticks(plan)
    yield bytes((count, ticks & 0xFF, ticks >> 8)), f"controllers; a switch stays closed for {ticks} ticks"
    for number in range(count):
        controller = machine.controllers[number]
        one = driven.get(number)
        yield bytes(_opposites(one) if one else (0, 0)), f"{controller.name}: its opposite switches"
        for switch in controller.switches[:_SWITCHES]:
            text = f"{switch.function} {'' if switch.select is None else machine.select[switch.select] + '/'}"
            record = _switch(machine, controller, switch, modifier_keys) if one else (_NONE, 0, 0)
            yield bytes(record), text + machine.sense[switch.sense]
        left = _SWITCHES - len(controller.switches[:_SWITCHES])
        if left:
            yield bytes((_NONE, 0, 0)) * left, "no switch"


def poll_ticks(plan: Plan) -> int:
    """How long a switch stays closed at least: as the machine says how often it looks at controllers, else as a key does."""
    scan = plan.layout.machine.scan
    if scan.poll_us is None:
        return min(plan.timing.close_ticks, LONGEST_TICKS)
    slow = 1 + Fraction(str(scan.tolerance_percent)) / 100
    return min(-(-(scan.poll_us * slow + JITTER_US) // TICK_US), LONGEST_TICKS)


def _opposites(one: DrivenController) -> Iterator[int]:
    """Two masks of opposite switches; 0 where a controller has not just one of each."""
    for pair in _PAIRS:
        bits = [
            [bit for bit, each in enumerate(one.switches) if each.direction is direction and bit < _SWITCHES]
            for direction in pair
        ]
        yield sum(1 << found[0] for found in bits) if all(len(found) == 1 for found in bits) else 0


def _switch(
    machine: Machine, controller: Controller, switch: Switch, modifier_keys: tuple[Contact, ...]
) -> tuple[int, int, int]:
    if switch.select is None or controller.wired is Wiring.GROUND:
        return _GROUND, switch.sense, 0
    value = switch.select << 4 | switch.sense
    if controller.wired is Wiring.GATED:
        return _GATED, value, 0
    contact = Contact(switch.select * len(machine.sense) + switch.sense)
    return _CONTACT, value, sum(1 << number for number, key in enumerate(modifier_keys) if key == contact)
