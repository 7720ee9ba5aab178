"""The format of a table, as `mm_runtime.h` describes it: its parts, as the C text shows them, and its bytes."""

from __future__ import annotations

from binascii import crc_hqx
from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum

from matrixmap.hid.usages import Usage
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.plan import Action, Stroke, Trigger

TABLE_VERSION = 3
HEADER_BYTES = 17
CHECKSUM_BYTES = 2
MOST_MODIFIER_KEYS = 8
MOST = 255
LONGEST_TICKS = 0x3FFF  # the runtime counts 14 bits
ALL_LEVELS = 0x0F
CONTROL, ALT, META = 0x10, 0x40, 0x80
"""Bits of `when` for the modifiers Control, Alt and Meta that must be held."""

HELD_BITS = CONTROL | ALT | META
MOST_DEAD_KEYS = 28
NO_ROLLOVER = 255


class Wired(IntEnum):
    """The effect of a controller's switch, in the table's section of controllers."""

    CONTACT = 0x00
    GATED = 0x10
    GROUND = 0x11


MOST_SWITCHES = 8
"""The most switches of a controller that pads can drive."""
MOST_CONTROLLERS = 8
MOST_PAIRS = 2
NO_SWITCH = (3, 0, 0)


class Kind(IntEnum):
    """The meaning of an entry's value."""

    CROSSPOINT = 0
    DIRECT = 1
    CHORD = 2
    MODIFIER = 3
    LATCH = 4
    COMMAND = 5
    NOTHING = 6
    DEAD_KEY = 7


AFTER_SHIFT = 3
SEQUENCE = 0x80
"""Bit in the value of a dead key: it is the sequence with the number in the low bits."""
NUMBER = 0x1F
"""Bits in the value of a dead key or sequence that hold its number."""
FLAG_ALTGR, FLAG_GUARD, FLAG_APART, FLAG_RESUME = 0x01, 0x02, 0x04, 0x08
FLAG_CAPS_LOCK, FLAG_NUM_LOCK, FLAG_SEQUENCES, FLAG_WHOLE = 0x10, 0x20, 0x40, 0x80


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of a table: a usage, its value, and the triggers that it answers.

    `does` is an action, or the accent of a dead key.
    """

    usage: Usage
    value: int
    triggers: tuple[Trigger, ...]
    does: Action | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Entries with the same levels and the same demand: `when` and `demand` as in the table.

    `after` is what they do while a dead key is pending.
    """

    when: int
    demand: int
    kind: Kind
    after: int
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CapsRange:
    """Usages from `first` to `last` on which Caps Lock swaps levels: bit 0 for 1 and 2, bit 1 for 3 and 4."""

    first: Usage
    last: Usage
    pairs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Controls:
    """A controller that pads drive: `(wired, value, modifier keys)` of each switch, and masks of two opposite switches."""

    name: str
    switches: tuple[tuple[Wired, int, int], ...]
    opposites: tuple[int, ...]

    def to_bytes(self) -> bytes:
        """Its record."""
        pairs = (*self.opposites, 0, 0)[:MOST_PAIRS]
        filler = (NO_SWITCH,) * (MOST_SWITCHES - len(self.switches))
        return bytes(pairs) + b"".join(bytes(switch) for switch in (*self.switches, *filler))


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A plan as the runtime reads it.

    `modifier_keys` are contacts; a demand is `(rule, hold)`, masks over these; chords are tuples of contacts. `accents`
    are those of the dead keys with their own numbers; all dead keys that can only be dropped share the next one.
    `sequences` are the first strokes of the sequences, which have the numbers after that. `times` are close, open and
    lead time in ticks of 0.1 ms. `controllers` are those that pads drive, and `poll` is the poll time of their
    switches, in ticks.
    """

    machine: Machine
    accents: tuple[str, ...]
    sequences: tuple[Stroke, ...]
    modifier_keys: tuple[Contact, ...]
    demands: tuple[tuple[int, int], ...]
    caps: tuple[CapsRange, ...]
    chords: tuple[tuple[Contact, ...], ...]
    groups: tuple[Group, ...]
    flags: int
    rollover: int
    times: tuple[int, int, int]
    controllers: tuple[Controls, ...] = ()
    poll: int = 0

    @property
    def header(self) -> tuple[int, ...]:
        """The bytes before the modifier keys."""
        machine = self.machine
        return (
            TABLE_VERSION,
            len(machine.select),
            len(machine.sense),
            len(machine.direct),
            *map(len, (self.modifier_keys, self.demands, self.caps, self.chords, self.groups)),
            self.flags,
            self.rollover,
            *(byte for time in self.times for byte in (time & 0xFF, time >> 8)),
        )

    @property
    def first_sequence(self) -> int:
        """The number of the first sequence."""
        return len(self.accents) + 2

    def to_bytes(self) -> bytes:
        """All bytes, header first, checksum last."""
        out = bytearray(self.header)
        for contact in self.modifier_keys:
            out += bytes(contact_bytes(self.machine, contact))
        for demand in self.demands:
            out += bytes(demand)
        for caps in self.caps:
            out += bytes((caps.first, caps.last, caps.pairs))
        for chord in self.chords:
            out += bytes(chord_bytes(self.machine, chord))
        for group in self.groups:
            out += bytes((group.when, group.demand, group.after << AFTER_SHIFT | group.kind, len(group.entries)))
            for entry in group.entries:
                out += bytes((entry.usage, entry.value))
        if self.controllers:
            out += bytes((len(self.controllers), *self.poll.to_bytes(2, "little")))
            for controller in self.controllers:
                out += controller.to_bytes()
        return with_checksum(bytes(out))


def with_checksum(data: bytes) -> bytes:
    """Bytes followed by their checksum: the CRC of ITU-T V.41, starting with all ones, high byte first."""
    return data + crc_hqx(data, 0xFFFF).to_bytes(2, "big")


def contact_bytes(machine: Machine, contact: Contact) -> tuple[int, int]:
    """A contact as kind and value: select and sense index in one byte, or the index of a direct line."""
    lines = machine.lines(contact)
    if lines is None:
        return Kind.DIRECT, contact - machine.crosspoints
    return Kind.CROSSPOINT, lines[0] << 4 | lines[1]


def chord_bytes(machine: Machine, chord: tuple[Contact, ...]) -> Iterator[int]:
    """The eight bytes of a chord of at most four contacts."""
    for contact in chord:
        yield from contact_bytes(machine, contact)
    yield from [0xFF] * (8 - 2 * len(chord))
