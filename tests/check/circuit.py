"""A machine's matrix by the plain model of the circuit, with what it read before."""

from __future__ import annotations

from dataclasses import dataclass, field

from matrixmap.circuit.reading import Conduction
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import ControllerSwitch, Machine
from tests.circuit import naive

WAYS = {
    Contacts.SWITCH: Conduction.BOTH,
    Contacts.SWITCH_WITH_DIODE: Conduction.FORWARD,
    Contacts.FOLLOWS_SELECT: Conduction.FORWARD,
}


Named = tuple[str, str]
"""A switch of a controller, by the names of both."""


@dataclass
class Circuit:
    """A machine's matrix by the plain model, with what it read before."""

    machine: Machine
    how: Contacts
    known: dict[tuple[frozenset[int], tuple[Named, ...]], frozenset[int]] = field(default_factory=dict)

    def read(self, closed: frozenset[int], switches: tuple[Named, ...] = ()) -> frozenset[int]:
        """All crosspoints that read closed."""
        cell = (closed, switches)
        if cell not in self.known:
            width = len(self.machine.sense)
            points = [
                (*divmod(contact, width), WAYS[self.how]) for contact in closed if contact < self.machine.crosspoints
            ]
            joined, pulls = naive.switch_parts(self.switch(*name) for name in switches)
            pairs = naive.read([*points, *joined], len(self.machine.select), width, pulls)
            self.known[cell] = frozenset(select * width + sense for select, sense in pairs)
        return self.known[cell]

    def extra(self, closed: frozenset[int], switches: tuple[Named, ...] = ()) -> frozenset[int]:
        """The crosspoints that read closed though neither a contact nor a switch itself closes them."""
        return self.read(closed, switches) - closed - self.own(switches)

    def own(self, switches: tuple[Named, ...]) -> frozenset[int]:
        """The crosspoints that each switch makes read by itself."""
        return frozenset[int]().union(*(self.read(frozenset(), (name,)) for name in switches))

    def switch(self, name: str, function: str) -> ControllerSwitch:
        """A switch with its controller."""
        return next(
            (controller, switch)
            for controller in self.machine.controllers
            for switch in controller.switches
            if (controller.name, switch.function) == (name, function)
        )

    def switches(self) -> list[Named]:
        """All switches by name."""
        return [
            (controller.name, switch.function)
            for controller in self.machine.controllers
            for switch in controller.switches
        ]
