"""The times of a plan on a board: with what its driver takes, which depends on how many contacts change together."""

from __future__ import annotations

from dataclasses import replace

from matrixmap.circuit.timing import timing_of
from matrixmap.model.boards.adapter import DriverTime
from matrixmap.model.plan import Latch, Plan, Stroke

HELD = 10
"""Strokes that the runtime keeps closed at most: MM_HELD as mm_config.h has it."""


def most_changes(plan: Plan, held: int = HELD) -> int:
    """No more contacts than these change at one moment, whatever is typed.

    Each contact changes once. Modifiers, latches and direct lines may all change. Of keys those that were closed may open, no
    more than the machine tells apart, or `held` strokes; then a stroke closes, or all that come back.
    """
    machine = plan.layout.machine
    strokes = [
        stroke
        for binding in plan.bindings
        if isinstance(binding.action, Stroke)
        for stroke in (*binding.action.before, binding.action)
    ]
    longest = max((len(stroke.contacts) for stroke in strokes), default=0)
    closed = held * longest
    if machine.scan.rollover is not None:
        closed = min(closed, machine.scan.rollover)
    closes = closed if plan.layout.resumes else min(longest, closed)
    held_down = {machine.key(key).contact for modifier in machine.modifiers for key in modifier.keys}
    held_down |= {binding.action.contact for binding in plan.bindings if isinstance(binding.action, Latch)}
    direct = range(machine.crosspoints, machine.crosspoints + len(machine.direct))
    most = len(held_down.union(direct)) + closed + closes
    return min(most, machine.crosspoints + len(machine.direct))


def driven(plan: Plan, driver: DriverTime | None) -> Plan:
    """The plan with the times that a board with this driver needs; as it is where the driver has not been measured."""
    if driver is None:
        return plan
    machine = plan.layout.machine
    spread = driver.spread(most_changes(plan))
    return replace(plan, timing=timing_of(machine.scan, len(machine.select), spread))
