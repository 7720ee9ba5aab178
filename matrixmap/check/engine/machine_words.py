"""Contacts of a machine in words: which close, what is also read and what that types, switches of controllers."""

from __future__ import annotations

from collections.abc import Iterable

from matrixmap.model.machine import PLAIN, Contact, Controller, Machine, Switch
from matrixmap.model.words import in_a_row, key_name, shown


class MachineWords:
    """Words for the contacts and readings of one machine; each is worked out once."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        count = machine.crosspoints + len(machine.direct)
        self.lines = tuple(machine.contact_name(Contact(number)) for number in range(count))
        self.keys = {key.contact: key for key in machine.keys}
        self._modifier_of = {
            machine.key(name).contact: modifier.name for modifier in machine.modifiers for name in modifier.keys
        }
        self._reads: dict[tuple[Contact, frozenset[str]], str] = {}

    def closes(self, contacts: Iterable[Contact]) -> str:
        """Contacts by their lines: `S0/N3 and S1/N3`."""
        return in_a_row([self.lines[contact] for contact in contacts])

    def reads(self, extra: tuple[Contact, ...], closed: tuple[Contact, ...]) -> str:
        """What the machine reads in addition, and what it types: `s (S1/N2) as well and types s`."""
        modifiers = [self._modifier_of[contact] for contact in (*closed, *extra) if contact in self._modifier_of]
        state = frozenset(modifiers) if modifiers else PLAIN
        if len(extra) == 1:
            return self._reading(extra[0], state)
        return in_a_row([self._reading(contact, state) for contact in extra])

    def _reading(self, contact: Contact, state: frozenset[str]) -> str:
        cell = (contact, state)
        if cell not in self._reads:
            words = f"{key_name(self.machine, contact)} ({self.lines[contact]})"
            key = self.keys.get(contact)
            if key is None:
                words = f"{self.lines[contact]}, where there is no key"
            elif contact in self._modifier_of:
                words += f", so everything is typed with {self._modifier_of[contact]}"
            elif typed := key.types.get(state & key.selectors):
                words += f", which types {shown(typed.text)}"
            self._reads[cell] = words
        return self._reads[cell]

    def switch(self, controller: Controller, switch: Switch) -> str:
        """A controller's switch with its lines: `oar Pull (N5)`."""
        sense = self.machine.sense[switch.sense]
        lines = sense if switch.select is None else f"{self.machine.select[switch.select]}/{sense}"
        return f"{controller.name} {switch.function} ({lines})"
