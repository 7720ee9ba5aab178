"""Plain switches, some with a diode: what the machine reads, and which diodes prevent phantoms.

A diode passes current only from the sense to the select line. In a phantom's path, current enters at the sense line of
the open crosspoint. It passes a first contact forward, the corner of the path backward, and a third contact forward to
the strobed line. A longer path begins with such a path. If the crosspoint of that beginning is closed, current may take
it instead, and the rest of the path is shorter. So there is a phantom if and only if some corner with an open fourth
crosspoint has no diode: each such corner needs one, and no other contact does.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from matrixmap.circuit.corners import corners_of
from matrixmap.circuit.reading import ClosedCrosspoint, Conduction, read_points
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Machine


def read_with_diodes(machine: Machine, closed: Iterable[Contact], diodes: Collection[Contact]) -> frozenset[Contact]:
    """The crosspoints that the machine reads closed if some of the contacts have a diode and the others are plain."""
    points = []
    for contact in closed:
        lines = machine.lines(contact)
        if lines:
            points.append(ClosedCrosspoint(*lines, Conduction.FORWARD if contact in diodes else Conduction.BOTH))
    return read_points(machine, points)


def diodes_needed(machine: Machine, moments: Iterable[int]) -> frozenset[Contact]:
    """The fewest contacts that need a diode so that no set of closed contacts makes a phantom; the others are plain.

    `moments` are the sets, as masks: bit n is contact n. There is only one smallest answer.
    """
    corners = corners_of(machine, Contacts.SWITCH)
    if corners is None:
        return frozenset()
    return frozenset(
        corner for closed in moments for corner, _, _, phantom in corners.triples(closed) if not closed >> phantom & 1
    )
