"""Plain switches with a diode in some of them: what the machine reads, and which diodes are needed against phantoms.

A diode lets current pass from the sense to the select line alone. In a phantom's path current enters at the open
crosspoint's sense line, passes a first contact forward, the corner of the path backward, and a third contact forward to
the strobed line. A longer path has such a one at its beginning; where the crosspoint of that is closed, current may take
it instead, and the rest of the path is shorter. So there is a phantom if and only if some corner whose fourth crosspoint
is open has no diode: the corners need one each, and no other contact does.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from matrixmap.circuit.corners import corners_of
from matrixmap.circuit.reading import ClosedCrosspoint, Conduction, read_points
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Machine


def read_with_diodes(machine: Machine, closed: Iterable[Contact], diodes: Collection[Contact]) -> frozenset[Contact]:
    """The crosspoints that the machine reads closed where some of the contacts have a diode and the others are plain."""
    points = []
    for contact in closed:
        lines = machine.lines(contact)
        if lines:
            points.append(ClosedCrosspoint(*lines, Conduction.FORWARD if contact in diodes else Conduction.BOTH))
    return read_points(machine, points)


def diodes_needed(machine: Machine, moments: Iterable[int]) -> frozenset[Contact]:
    """The fewest contacts that need a diode so that no set of closed contacts makes a phantom, the others being plain.

    `moments` are the sets, as masks: bit n is contact n. The answer is the only smallest one.
    """
    corners = corners_of(machine, Contacts.SWITCH)
    if corners is None:
        return frozenset()
    return frozenset(
        corner for closed in moments for corner, _, _, phantom in corners.triples(closed) if not closed >> phantom & 1
    )
