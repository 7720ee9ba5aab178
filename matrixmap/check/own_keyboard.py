"""The machine's own keyboard beside the adapter: which strokes make a phantom while one of its keys is held.

The guard of the runtime does not see these keys. The adapter's contacts close as its board closes them; own keys close
with or without the diodes of the machine's keyboard.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.circuit.reading import ClosedCrosspoint, Conduction, adapter_points, read_points
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Diodes, Key, Machine
from matrixmap.model.plan import Plan, Stroke


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A stroke, by the contacts that it closes, with an own key held: what the machine reads in addition."""

    stroke: frozenset[Contact]
    types: str
    key: Key
    extra: frozenset[Contact]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """How many strokes there are, how many pairs of a stroke and an own key, and those that make a phantom."""

    strokes: int
    pairs: int
    clashes: tuple[Clash, ...]

    @property
    def suffering(self) -> tuple[frozenset[Contact], ...]:
        """The strokes that make a phantom with some own key, those with the most such keys first."""
        counts: dict[frozenset[Contact], int] = {}
        for clash in self.clashes:
            counts[clash.stroke] = counts.get(clash.stroke, 0) + 1
        return tuple(sorted(counts, key=lambda stroke: (-counts[stroke], sorted(stroke))))


def beside_own_keyboard(plan: Plan, how: Contacts) -> Beside:
    """Every stroke of a plan with every key of the machine's own keyboard."""
    machine = plan.layout.machine
    strokes = dict(_strokes(plan))
    keys = [key for key in machine.keys if key.contact < machine.crosspoints]
    clashes = []
    pairs = 0
    for closed, types in sorted(strokes.items(), key=lambda item: sorted(item[0])):
        for key in keys:
            if key.contact in closed:
                continue
            pairs += 1
            extra = _read(machine, closed, key, how) - closed - {key.contact}
            if extra:
                clashes.append(Clash(stroke=closed, types=types, key=key, extra=extra))
    return Beside(strokes=len(strokes), pairs=pairs, clashes=tuple(clashes))


def _strokes(plan: Plan) -> Iterator[tuple[frozenset[Contact], str]]:
    for binding in plan.bindings:
        if isinstance(binding.action, Stroke):
            for stroke in (*binding.action.before, binding.action):
                closed = frozenset((*stroke.contacts, *stroke.holds))
                yield closed, stroke.types.text if stroke.types else ""


def _read(machine: Machine, closed: frozenset[Contact], key: Key, how: Contacts) -> frozenset[Contact]:
    """The crosspoints that are read while the adapter's contacts and one own key are closed."""
    lines = machine.lines(key.contact)
    assert lines is not None
    one_way = machine.diodes is Diodes.ALL or key.contact in machine.diode_contacts
    own = ClosedCrosspoint(*lines, Conduction.FORWARD if one_way else Conduction.BOTH)
    return read_points(machine, [*adapter_points(machine, closed, how), own])
