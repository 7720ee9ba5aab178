"""How many conflicts a machine's keys have by themselves: what no layout changes, so that it is told once of the machine."""

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
    """Counts of machines, each worked out once however many layouts join it."""

    def __init__(self) -> None:
        # The machine is kept with its counts, so that no other can take its identity.
        self._known: dict[tuple[int, Contacts], tuple[Machine, ConflictCounts]] = {}

    def of(self, machine: Machine, how: Contacts) -> ConflictCounts:
        """The conflicts of a machine with contacts that close in one way."""
        cell = (id(machine), how)
        if cell not in self._known:
            found = machine_conflicts(machine, how)
            counts = ConflictCounts(phantoms=found.phantoms, masks=len(found.masks), pulls=len(found.pulls))
            self._known[cell] = machine, counts
        return self._known[cell][1]
