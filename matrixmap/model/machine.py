"""The home computer: its matrix, its keys and what each of them types."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import NewType

from matrixmap.model.finding import Place
from matrixmap.model.legend import Legend

Contact = NewType("Contact", int)
"""Number of a contact: select index * sense lines + sense index for a crosspoint, direct lines after these."""

SelectIndex = NewType("SelectIndex", int)
SenseIndex = NewType("SenseIndex", int)

ShiftState = frozenset[str]
"""Names of the machine's modifiers held together; empty is plain."""

PLAIN: ShiftState = frozenset()


class Diodes(Enum):
    """Which crosspoints of the machine's own keyboard have a diode."""

    NONE = "none"
    ALL = "all"
    SOME = "some"


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A key of the machine.

    `types` maps shift states to legends; a key without entries types nothing by itself. In the states of `silent` it is
    known to type nothing. `place` is where the file names the key first.
    """

    name: str
    contact: Contact
    types: Mapping[ShiftState, Legend]
    place: Place
    silent: frozenset[ShiftState] = frozenset()

    @property
    def selectors(self) -> frozenset[str]:
        """The modifiers that make a difference to what this key types; others change nothing."""
        return frozenset().union(*self.types, *self.silent)


@dataclass(frozen=True, slots=True, kw_only=True)
class Modifier:
    """A modifier of the machine and the names of its keys, in the order of the file."""

    name: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """How the machine reads its keyboard.

    `period_us` from one scan to the next; `sweep_us` the time that one scan takes; `samples_down` and
    `samples_up` the equal scans that make a press or a release certain; `tolerance_percent` of all these
    times; `rollover` the most keys, modifiers apart, that the machine tells apart (None: no limit);
    `strobe_to_read_us` from strobing a select line to reading the sense lines (None: not stated).
    """

    period_us: int
    sweep_us: int
    samples_down: int
    samples_up: int
    tolerance_percent: float
    rollover: int | None
    strobe_to_read_us: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRow:
    """A row of the physical keyboard: top edge and left edge in key pitches, keys from left to right.

    Each key is its name and its width in key pitches; a name of None is a gap.
    """

    row: float
    left: float
    keys: tuple[tuple[str | None, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector:
    """The key connector: the line on each pin in order (None: not connected), and the blanked pin (None: none).

    Pins are numbered from 1.
    """

    pins: tuple[str | None, ...]
    key_pin: int | None


class Wiring(Enum):
    """What the closed switches of a controller do to the lines that they share with the matrix.

    GROUND pulls a sense line low always. GATED pulls it only while its select line is strobed, and lets no current
    back, as through a diode or a transistor. CONTACT joins both lines as a key does, and conducts both ways.
    """

    GROUND = "ground"
    GATED = "gated"
    CONTACT = "contact"


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """A switch of a controller, by its function: on a sense line, or between a select and a sense line."""

    function: str
    sense: SenseIndex
    select: SelectIndex | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """A game controller whose switches share lines with the matrix.

    Each switch has a select line unless the controller is wired to GROUND, where none has.
    """

    name: str
    wired: Wiring
    switches: tuple[Switch, ...]


ControllerSwitch = tuple[Controller, Switch]
"""A switch and the controller that it belongs to, which says how it is wired."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A home computer.

    `keys` is ordered by contact; `latching` maps a latching key to the key that it is wired in parallel with.
    `diode_contacts` are the crosspoints with a diode when `diodes` is SOME.
    """

    id: str
    title: str
    source: str
    select: tuple[str, ...]
    sense: tuple[str, ...]
    direct: tuple[str, ...]
    diodes: Diodes
    diode_contacts: frozenset[Contact]
    keys: tuple[Key, ...]
    latching: Mapping[str, str]
    modifiers: tuple[Modifier, ...]
    scan: Scan
    rows: tuple[PlaceRow, ...]
    connector: Connector | None
    controllers: tuple[Controller, ...]
    place: Place

    @property
    def crosspoints(self) -> int:
        """How many crosspoints the matrix has."""
        return len(self.select) * len(self.sense)

    def key(self, name: str) -> Key:
        """The key of that name; KeyError if there is none."""
        for key in self.keys:
            if key.name == name:
                return key
        raise KeyError(name)

    def lines(self, contact: Contact) -> tuple[SelectIndex, SenseIndex] | None:
        """Select and sense index of a crosspoint, None for a direct line."""
        if contact >= self.crosspoints:
            return None
        return SelectIndex(contact // len(self.sense)), SenseIndex(contact % len(self.sense))

    def contact_name(self, contact: Contact) -> str:
        """The contact by its lines, such as `S0/N3`, or the name of a direct line."""
        lines = self.lines(contact)
        if lines is None:
            return self.direct[contact - self.crosspoints]
        return f"{self.select[lines[0]]}/{self.sense[lines[1]]}"

    def modifier_of(self, key: str) -> str | None:
        """The modifier that the key belongs to, or None."""
        for modifier in self.modifiers:
            if key in modifier.keys:
                return modifier.name
        return None

    def state_name(self, state: ShiftState) -> str:
        """A shift state in words: `plain`, `shift`, `shift + blazon`, in the order of the file."""
        names = [modifier.name for modifier in self.modifiers if modifier.name in state]
        return " + ".join(names) or "plain"
