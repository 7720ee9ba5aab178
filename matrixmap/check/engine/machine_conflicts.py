"""Conflicts of a machine under any layout: which of its keys, held together, are read wrongly.

The keys are those of the machine itself, each closed by a contact of the adapter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from matrixmap.check.engine.conflicts import pull_paths
from matrixmap.circuit.corners import corners_of
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, ControllerSwitch, Machine, Wiring


class MachineConflict(NamedTuple):
    """Contacts of keys and `switches` of controllers that make `extra` crosspoints read closed; none: a rectangle."""

    contacts: tuple[Contact, ...]
    extra: tuple[Contact, ...]
    switches: tuple[ControllerSwitch, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineConflicts:
    """The conflicts of a machine with contacts that close in one way.

    `by_keys` are sets of three contacts with a phantom at a key's crosspoint, by how many of the three are no
    modifier's. `without_key` are sets with a phantom where there is no key. `masks` are rectangles of four. `pulls` are
    sets with switches.
    """

    machine: Machine
    how: Contacts
    by_keys: tuple[tuple[MachineConflict, ...], ...]
    without_key: tuple[MachineConflict, ...]
    masks: tuple[MachineConflict, ...]
    pulls: tuple[MachineConflict, ...]

    @property
    def phantoms(self) -> int:
        """How many sets of three contacts make a phantom."""
        return sum(map(len, self.by_keys)) + len(self.without_key)


def machine_conflicts(machine: Machine, how: Contacts) -> MachineConflicts:
    """All conflicts of a machine's keys."""
    keys = frozenset(key.contact for key in machine.keys if key.contact < machine.crosspoints)
    modifiers = modifier_contacts(machine)
    corners = corners_of(machine, how)
    by_keys: tuple[list[MachineConflict], ...] = ([], [], [], [])
    without: list[MachineConflict] = []
    masks: list[MachineConflict] = []
    if corners:
        among = sum(1 << contact for contact in keys)
        for corner, beside, below, phantom in corners.triples(among):
            conflict = MachineConflict((corner, beside, below), (phantom,))
            if phantom in keys:
                by_keys[sum(contact not in modifiers for contact in conflict.contacts)].append(conflict)
            else:
                without.append(conflict)
        masks = [MachineConflict(rectangle, ()) for rectangle in corners.rectangles(among)]
    return MachineConflicts(
        machine=machine,
        how=how,
        by_keys=tuple(map(tuple, by_keys)),
        without_key=tuple(without),
        masks=tuple(masks),
        pulls=tuple(_pulls(machine, keys, corners is not None)),
    )


def modifier_contacts(machine: Machine) -> frozenset[Contact]:
    """The contacts of the keys of a machine's modifiers."""
    return frozenset(machine.key(name).contact for modifier in machine.modifiers for name in modifier.keys)


def _pulls(machine: Machine, keys: frozenset[Contact], two_way: bool) -> Iterator[MachineConflict]:
    if not two_way and not any(controller.wired is Wiring.CONTACT for controller in machine.controllers):
        return
    for contacts, extra, switches in pull_paths(machine, keys, two_way):
        read = tuple(contact for contact in extra if contact not in contacts)
        if read:
            yield MachineConflict(contacts, read, switches)
