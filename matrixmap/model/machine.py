"""The home computer: its matrix, its keys and what each of them types."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType
from typing import NewType

from matrixmap.model.legend import Legend
from matrixmap.model.place import Place
from matrixmap.model.values.electric import LineValues

Contact = NewType("Contact", int)
"""The number of a contact: select index * sense lines + sense index for a crosspoint; direct lines come after these."""

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
    known to type nothing. `place` is where the file first names the key, `where` where it says what a state types. In
    the states of `also` the key has more than one meaning: `types` has the first, which is shown, and `also` the
    others, by which it is found too. In the states of `dead` it is a dead key of the machine, with that accent; these
    states are in `silent` too. `modes` has what it types in modes of the machine.
    """

    name: str
    contact: Contact
    types: Mapping[ShiftState, Legend]
    place: Place
    silent: frozenset[ShiftState] = frozenset()
    where: Mapping[ShiftState, Place] = field(default_factory=lambda: MappingProxyType({}), compare=False)
    also: Mapping[ShiftState, tuple[Legend, ...]] = field(default_factory=lambda: MappingProxyType({}))
    dead: Mapping[ShiftState, str] = field(default_factory=dict)
    modes: Mapping[str, Mapping[ShiftState, Legend]] = field(default_factory=dict)

    def meanings(self, state: ShiftState) -> tuple[Legend, ...]:
        """Everything that the key means in a shift state, the shown meaning first."""
        return (self.types[state], *self.also.get(state, ())) if state in self.types else ()

    @property
    def selectors(self) -> frozenset[str]:
        """The modifiers that change what this key types; others change nothing."""
        return frozenset().union(*self.types, *self.silent)


@dataclass(frozen=True, slots=True, kw_only=True)
class Modifier:
    """A modifier of the machine and the names of its keys, in the order of the file."""

    name: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Keystroke:
    """A stroke on the machine's own keyboard: a key in a shift state, or only modifiers together (`key` is None)."""

    state: ShiftState
    key: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """A mode of the machine, in which its keys type other things.

    The stroke `by` begins it; if `by` is None, the machine decides. It ends with the next key if it is `one_key`, else
    with the stroke `until` (None: not stated). `when` is a phrase for people.
    """

    name: str
    by: Keystroke | None
    one_key: bool
    until: Keystroke | None
    when: str | None


class Debounce(Enum):
    """What the machine compares from scan to scan until it is certain: each key by itself, or whole scans.

    With WHOLE, every change of any contact, even of a modifier, restarts the count of equal scans.
    """

    KEY = "key"
    WHOLE = "whole"


class MoreKeys(Enum):
    """What the machine does with a scan that finds more keys than it tells apart.

    KEPT: the scan is ignored, and what was down stays down. FIRST: only the first keys in the order of the lines are
    found. RELEASED: it finds no key at all. Modifiers and direct lines are read in any case.
    """

    KEPT = "kept"
    FIRST = "first"
    RELEASED = "released"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """How the machine reads its keyboard.

    `period_us` is the time from one scan to the next, `sweep_us` the time that one scan takes (None: not stated).
    `samples_down` and `samples_up` are the equal scans that make a press or a release certain. `tolerance_percent`
    applies to all these times. `rollover` is the most keys, without modifiers, that the machine tells apart (None: no
    limit). `strobe_to_read_us` is the time from strobing a select line to reading the sense lines (None: not stated). A
    key that stays down repeats after `repeat_delay_ms`, then every `repeat_every_ms` (None: not stated). `poll_us` is
    the time from one poll of the controllers to the next (None: not stated). `more_keys` is what happens with more keys
    than the rollover; if there are several values, it is one of them, but not known which (empty: not stated).
    """

    period_us: int
    sweep_us: int | None
    samples_down: int
    samples_up: int
    tolerance_percent: float
    rollover: int | None
    strobe_to_read_us: float | None
    repeat_delay_ms: int | None = None
    repeat_every_ms: int | None = None
    debounce: Debounce = Debounce.KEY
    poll_us: int | None = None
    more_keys: tuple[MoreKeys, ...] = ()

    @property
    def with_more_keys(self) -> tuple[MoreKeys, ...]:
        """What may happen with more keys than the rollover: what is stated, else what such machines usually do.

        One that tells a single key apart ends its scan at the first; others ignore a scan with more (common practice).
        """
        return self.more_keys or ((MoreKeys.FIRST,) if self.rollover == 1 else (MoreKeys.KEPT,))

    @property
    def longest_sweep_us(self) -> int:
        """The longest time that a scan may take: if it is not stated, all the time until the next scan."""
        return self.period_us if self.sweep_us is None else self.sweep_us


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRow:
    """A row of the physical keyboard: top edge and left edge in key pitches, keys from left to right.

    Each key has a name and a width in key pitches; a name of None is a gap.
    """

    row: float
    left: float
    keys: tuple[tuple[str | None, float], ...]


Cell = tuple[int, int]
"""Row and column of a pin, from 0."""


class Numbering(Enum):
    """How pins are counted: row by row, or column by column (odd pins in one row of two, even ones in the other)."""

    ROWS = "rows"
    ZIGZAG = "zigzag"


class Gender(Enum):
    """Whether a connector has pins or holes."""

    PLUG = "plug"
    SOCKET = "socket"


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """The shape of a connector: R x C pins of one pitch.

    `clearance` is by how many pitches a body that is put on may overhang before it meets its neighbourhood. With a
    shroud, it cannot be shifted or turned.
    """

    rows: int
    columns: int
    numbering: Numbering
    gender: Gender
    shrouded: bool = False
    clearance: int | None = None

    @property
    def size(self) -> int:
        """How many pins it has."""
        return self.rows * self.columns

    def pin(self, cell: Cell) -> int:
        """The number of the pin in a cell, from 1."""
        row, column = cell
        at = row * self.columns + column if self.numbering is Numbering.ROWS else column * self.rows + row
        return at + 1

    def cell(self, pin: int) -> Cell:
        """The cell of a pin by its number."""
        if self.numbering is Numbering.ROWS:
            return divmod(pin - 1, self.columns)
        column, row = divmod(pin - 1, self.rows)
        return row, column

    def cells(self) -> tuple[Cell, ...]:
        """All cells, row by row."""
        return tuple((row, column) for row in range(self.rows) for column in range(self.columns))


class Drive(Enum):
    """What the machine does to a line: only pulls it low, drives it both ways, or reads it."""

    LOW_ONLY = "low-only"
    PUSH_PULL = "push-pull"
    INPUT = "input"


@dataclass(frozen=True, slots=True, kw_only=True)
class Electric:
    """The electrical side of a machine's lines (common facts of its circuit, or invented with the machine).

    `supply_v` and `supply_ma` belong to the supply pin. `line_v` are the volts of a line that nothing pulls. `select`,
    `sense` and `direct` are what the machine does to these lines. `closes_to` is the other end of a direct line's
    switch; the default is ground. `unselected_high`: select lines that are not strobed are driven high and do not
    float. `values` has the other known numbers of the circuit. `place` is where the file has all this.
    """

    supply_v: float | None = None
    supply_ma: float | None = None
    line_v: float | None = None
    select: Drive = Drive.LOW_ONLY
    sense: Drive = Drive.INPUT
    direct: Drive = Drive.INPUT
    unselected_high: bool = False
    closes_to: Mapping[str, str] | None = None
    values: LineValues = field(default_factory=LineValues)
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector:
    """The key connector: the line on each pin in order (None: not connected), and the blanked pin (None: none).

    Pins are numbered from 1. `shape` says where they are (None: not stated).
    """

    pins: tuple[str | None, ...]
    key_pin: int | None
    shape: Header | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """A variant of a machine: what differs in connector or electrical values (None: nothing)."""

    name: str
    connector: Connector | None
    electric: Electric | None


class Wiring(Enum):
    """What the closed switches of a controller do to the lines that they share with the matrix.

    GROUND always pulls a sense line low. GATED pulls it only while its select line is strobed, and lets no current
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
    """A game controller with switches that share lines with the matrix.

    Each switch has a select line; if the controller is wired to GROUND, none has.
    """

    name: str
    wired: Wiring
    switches: tuple[Switch, ...]


ControllerSwitch = tuple[Controller, Switch]
"""A switch and its controller, which says how it is wired."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A home computer.

    `keys` is ordered by contact; `latching` maps a latching key to the key that it is wired in parallel with.
    `diode_contacts` are the crosspoints with a diode if `diodes` is SOME. `host_shift` is the modifier that the host's
    Shift feeds without a line, None for none. `parallel` maps a cap without its own contact to the keys that it closes:
    one key, or keys of modifiers and up to four others. `options` are keys that only some of the machines have, by
    their common name. `sources` says where the facts of some keys come from, if not from `source`. `composes` has what
    the accents of its own dead keys make of the character typed next. `sequences` maps a legend to the strokes that
    type it one after the other, as the file lists them; `model/sequences.py` adds those of dead keys and modes.
    `electric` is the electrical side of its lines, None if the file does not give it; `revisions` are its variants.
    `unseen` are the characters and functions that show nothing on the screen, `seen_at_times` those that show something
    only at times, in the order of the file.
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
    host_shift: str | None = None
    parallel: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    options: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    sources: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    modes: tuple[Mode, ...] = ()
    composes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    sequences: Mapping[str, tuple[Keystroke, ...]] = field(default_factory=dict)
    electric: Electric | None = None
    revisions: tuple[Revision, ...] = ()
    unseen: tuple[str, ...] = ()
    seen_at_times: tuple[str, ...] = ()

    @property
    def crosspoints(self) -> int:
        """How many crosspoints the matrix has."""
        return len(self.select) * len(self.sense)

    def key(self, name: str) -> Key:
        """The key with this name; KeyError if there is none."""
        for key in self.keys:
            if key.name == name:
                return key
        raise KeyError(name)

    def lines(self, contact: Contact) -> tuple[SelectIndex, SenseIndex] | None:
        """Select and sense index of a crosspoint; None for a direct line."""
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

    @property
    def optional(self) -> frozenset[str]:
        """The keys that only some of the machines have."""
        return frozenset(key for keys in self.options.values() for key in keys)

    def pressed(self, name: str) -> tuple[ShiftState, tuple[str, ...]]:
        """What a key or a cap in parallel presses: modifiers to hold, and keys; a lone modifier's key is a key."""
        closed = self.parallel.get(name, (name,))
        held = [modifier for key in closed if (modifier := self.modifier_of(key))] if len(closed) > 1 else []
        return frozenset(held), tuple(key for key in closed if not held or self.modifier_of(key) is None)

    def cap_types(self, name: str) -> Mapping[ShiftState, Legend]:
        """What a key or a cap in parallel types in each shift state; empty if it presses several keys."""
        held, keys = self.pressed(name)
        if len(keys) != 1:
            return MappingProxyType({})
        types = self.key(keys[0]).types
        return types if not held else {PLAIN: types[held]} if held in types else MappingProxyType({})

    def closes(self, name: str) -> str:
        """What a cap in parallel closes, as a stroke: `shift-left`, `caps-shift + d0`."""
        return " + ".join(self.parallel[name])

    @property
    def acting(self) -> tuple[Key, ...]:
        """Keys of modifiers that type something while another modifier, and no other key, is held."""
        return tuple(key for key in self.keys if self.modifier_of(key.name) and any(key.types))

    def acts(self, held: ShiftState) -> tuple[Key, ShiftState] | None:
        """The modifier's key that types something while only these modifiers are held, and in which state."""
        for key in self.acting:
            state = (held - {self.modifier_of(key.name)}) & key.selectors
            if self.modifier_of(key.name) in held and state and state in key.types:
                return key, state
        return None

    def keystroke_name(self, stroke: Keystroke) -> str:
        """A stroke in words: `shift + d2`, `a`, `shift + graph`."""
        held = [modifier.name for modifier in self.modifiers if modifier.name in stroke.state]
        return " + ".join([*held, *([stroke.key] if stroke.key else [])])

    def state_name(self, state: ShiftState) -> str:
        """A shift state in words: `plain`, `shift`, `shift + blazon`, in the order of the file."""
        names = [modifier.name for modifier in self.modifiers if modifier.name in state]
        return " + ".join(names) or "plain"
