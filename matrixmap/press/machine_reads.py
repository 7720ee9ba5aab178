"""What does the machine read for closed contacts, and what does it type for newly read keys? Answers are cached.

Sets of contacts are masks: bit n is contact n.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from matrixmap.circuit.reading import read_mask
from matrixmap.model.layout import Contacts
from matrixmap.model.legend import Legend
from matrixmap.model.machine import Contact, Machine, ShiftState
from matrixmap.press.compiled import bits
from matrixmap.press.turns import in_the_end


class Typed(NamedTuple):
    """A newly read key: its contact, the state in which the machine reads it, and what it then types.

    `also` holds further meanings of the key.
    `waits`: it begins a sequence or the like. `completes`: how many keys before it belong to what it types.
    """

    contact: Contact
    state: ShiftState
    legend: Legend | None
    also: tuple[Legend, ...] = ()
    waits: bool = False
    completes: int = 0


class MachineReads:
    """A machine with contacts closed by an adapter in its way; readings are cached."""

    def __init__(self, machine: Machine, contacts: Contacts) -> None:
        self.machine = machine
        self.contacts = contacts
        self.crosspoints = (1 << machine.crosspoints) - 1
        self._width = len(machine.sense)
        self._row = (1 << self._width) - 1
        self._modifier_at = {
            machine.key(name).contact: modifier.name for modifier in machine.modifiers for name in modifier.keys
        }
        self.modifier_mask = sum(1 << contact for contact in self._modifier_at)
        self._keys = {key.contact: key for key in machine.keys}
        self._acting = bool(machine.acting)
        self._read: dict[int, int] = {}
        self._typed: dict[tuple[int, int], tuple[Typed, ...]] = {}

    def read(self, closed: int) -> int:
        """All contacts that the machine reads closed, as a mask."""
        found = self._read.get(closed)
        if found is None:
            crosspoints = closed & self.crosspoints
            found = read_mask(crosspoints, self._width, self.contacts) | closed & ~self.crosspoints
            self._read[closed] = found
        return found

    def phantoms(self, closed: int) -> int:
        """The contacts that read closed but are not, as a mask."""
        return self.read(closed) & ~closed

    def masked(self, closed: int) -> int:
        """The closed contacts that could each open without any change in what the machine reads, as a mask."""
        read = self.read(closed)
        return sum([1 << contact for contact in bits(closed) if self.read(closed & ~(1 << contact)) == read])

    def state(self, read: int) -> ShiftState:
        """The machine's modifiers among the contacts that it reads."""
        return frozenset(name for contact, name in self._modifier_at.items() if read >> contact & 1)

    def acting(self, read: int) -> int:
        """The modifier's key that types something while only modifiers are read, as a mask; usually none."""
        if not self._acting or read & ~self.modifier_mask:
            return 0
        acts = self.machine.acts(self.state(read))
        return (1 << acts[0].contact) & read if acts else 0

    def typed(self, before: int, after: int) -> tuple[Typed, ...]:
        """The newly read keys between two sets of closed contacts, by contact, without modifiers that type nothing."""
        found = self._typed.get((before, after))
        if found is None:
            read = self.read(after)
            fresh = read & ~self.read(before) & ~self.modifier_mask | self.acting(read) & ~self.acting(
                self.read(before)
            )
            state = self.state(read)
            found = tuple(self._type(Contact(bit), state) for bit in range(fresh.bit_length()) if fresh >> bit & 1)
            self._typed[before, after] = found
        return found

    def _type(self, contact: Contact, state: ShiftState) -> Typed:
        key = self._keys.get(contact)
        if key is None:
            return Typed(contact, state, None)
        own = state & key.selectors
        return Typed(contact, state, key.types.get(own), key.also.get(own, ()))


def typed_in_the_end(typed: Iterable[Typed]) -> list[Typed]:
    """Of keys read in sequence, those that type something, or nothing at all; not those that only begin a sequence."""
    return in_the_end(typed, lambda one: (one.legend, one.waits, one.completes))
