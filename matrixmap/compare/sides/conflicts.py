"""The number of conflicts that a machine's keys have by themselves: the same in all layouts, so reported once."""

from __future__ import annotations

from typing import NamedTuple

from matrixmap.check.engine.machine_conflicts import machine_conflicts
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Machine


class ConflictCounts(NamedTuple):
    """Sets of three keys that make a phantom, rectangles of four that mask one another, sets with switches of controllers."""

    phantoms: int
    masks: int
    pulls: int


class KnownConflicts:
    """Counts of machines, each computed once for all layouts that join the machine."""

    def __init__(self) -> None:
        # The machine is kept with its counts, so that no other object can get its identity.
        self._known: dict[tuple[int, Contacts], tuple[Machine, ConflictCounts]] = {}

    def of(self, machine: Machine, how: Contacts) -> ConflictCounts:
        """The conflicts of a machine with contacts that all close in the same way."""
        cell = (id(machine), how)
        if cell not in self._known:
            found = machine_conflicts(machine, how)
            counts = ConflictCounts(phantoms=found.phantoms, masks=len(found.masks), pulls=len(found.pulls))
            self._known[cell] = machine, counts
        return self._known[cell][1]
