"""The times of a plan on a board, with its driver's time, which depends on how many contacts change together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from matrixmap.circuit.timing import timing_of
from matrixmap.model.boards.adapter import DriverTime
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Latch, Plan, Stroke

HELD = 10
"""The most strokes that the runtime keeps closed: MM_HELD as in mm_config.h."""


def most_changes(plan: Plan, held: int = HELD) -> int:
    """An upper bound for the contacts, and sense lines that pads pull, that change at one moment, whatever is typed.

    Each changes once. Modifiers, latches, direct lines and the switches that pads close may all change. The keys that
    were closed may open, at most as many as the machine tells apart, or `held` strokes. Then one stroke closes, or all
    strokes that come back.
    """
    machine = plan.layout.machine
    longest = max((len(stroke.contacts) for stroke in _strokes(plan)), default=0)
    closed = held * longest
    if machine.scan.rollover is not None:
        closed = min(closed, machine.scan.rollover)
    closes = closed if plan.layout.resumes else min(longest, closed)
    free = {machine.key(key).contact for modifier in machine.modifiers for key in modifier.keys}
    free |= {binding.action.contact for binding in plan.bindings if isinstance(binding.action, Latch)}
    free |= {Contact(machine.crosspoints + number) for number in range(len(machine.direct))}
    pulled: set[int] = set()
    if plan.driven is not None:
        switches = [switch for controller in machine.controllers for switch in controller.switches]
        free |= {
            Contact(switch.select * len(machine.sense) + switch.sense)
            for switch in switches
            if switch.select is not None
        }
        # A switch that pulls its sense line regardless of the strobed line has a separate switch on the board.
        pulled = {switch.sense for switch in switches if switch.select is None}
    return min(len(free) + closed + closes, machine.crosspoints + len(machine.direct)) + len(pulled)


def _strokes(plan: Plan) -> Iterator[Stroke]:
    for binding in (*plan.bindings, *plan.pad_bindings):
        if isinstance(binding.action, Stroke):
            yield from (*binding.action.before, binding.action)
    yield from (*plan.dead_keys.accents.values(), *plan.dead_keys.pairs.values())


def with_driver(plan: Plan, driver: DriverTime | None) -> Plan:
    """The plan with the times that a board with this driver needs; unchanged if the driver has not been measured."""
    if driver is None:
        return plan
    machine = plan.layout.machine
    spread = driver.spread(most_changes(plan))
    return replace(plan, timing=timing_of(machine.scan, len(machine.select), spread))
