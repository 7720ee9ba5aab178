"""Tables of format version 3, put together by hand for the tests of the C runtime."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

ALT_GR = 0x01
GUARD = 0x02
APART = 0x04
RESUME = 0x08
CAPS_LOCK = 0x10
NUM_LOCK = 0x20

CONTROL = 0x10
ALT = 0x40
META = 0x80
ANY_LEVEL = 0x0F
PLAIN = 0x01
SHIFTED = 0x02
THIRD = 0x04
FOURTH = 0x08


class Kind(IntEnum):
    """What an entry does."""

    CROSSPOINT = 0
    DIRECT = 1
    CHORD = 2
    MODIFIER = 3
    LATCH = 4
    COMMAND = 5
    NOTHING = 6
    DEAD_KEY = 7


class Wired(IntEnum):
    """What a switch of a controller does."""

    CONTACT = 0
    GATED = 0x10
    GROUND = 0x11


KEEPS, TAKES_BACK, DROPS = 29, 30, 31
DEAD_KEYS = range(1, 29)
ACCENT_ALONE = 0
GOES_ON = 1
SEQUENCE, NUMBER = 0x80, 0x1F
SEQUENCES = 0x40
WHOLE = 0x80


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Entries `(usage, value)` of one kind and demand; `when` has level bits 0-3 and Control, Alt, Meta above.

    `after` is what they do while a dead key is pending, or the number of the one that they make pairs with.
    """

    kind: Kind
    entries: tuple[tuple[int, int], ...]
    when: int = ANY_LEVEL
    demand: int = 0
    after: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """Switches `(wired, value)` of a controller, and pairs of numbers of opposite ones."""

    switches: tuple[tuple[Wired, int], ...]
    opposites: tuple[tuple[int, ...], ...] = ()

    def to_bytes(self, modifiers: tuple[tuple[int, int], ...]) -> bytes:
        """Its record."""
        pairs = [sum(1 << number for number in pair) for pair in self.opposites]
        out = bytearray((*pairs, 0, 0)[:2])
        for wired, value in self.switches:
            same = [number for number, key in enumerate(modifiers) if wired is Wired.CONTACT and key == (0, value)]
            out += bytes((wired, value, sum(1 << number for number in same)))
        return bytes(out) + bytes((3, 0, 0)) * (8 - len(self.switches))


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One layout; times in ticks of 100 microseconds, demands `(rule, hold)`, contacts `(kind, value)`."""

    select: int = 8
    sense: int = 8
    direct: int = 1
    modifiers: tuple[tuple[int, int], ...] = ()
    demands: tuple[tuple[int, int], ...] = ((0, 0),)
    caps: tuple[tuple[int, int, int], ...] = ()
    chords: tuple[tuple[tuple[int, int], ...], ...] = ()
    groups: tuple[Group, ...] = ()
    flags: int = 0
    rollover: int = 0
    close: int = 0
    open: int = 0
    lead: int = 0
    version: int = 3
    controllers: tuple[Controller, ...] = ()
    poll: int = 0

    def to_bytes(self) -> bytes:
        """The array as the emitter would write it; usages are put in ascending order."""
        out = bytearray(
            [
                self.version,
                self.select,
                self.sense,
                self.direct,
                len(self.modifiers),
                len(self.demands),
                len(self.caps),
                len(self.chords),
                len(self.groups),
                self.flags,
                self.rollover or 255,
            ]
        )
        for ticks in (self.close, self.open, self.lead):
            out += ticks.to_bytes(2, "little")
        for row in (*self.modifiers, *self.demands, *self.caps):
            out += bytes(row)
        for chord in self.chords:
            for contact in (*chord, *(((0xFF, 0xFF),) * (4 - len(chord)))):
                out += bytes(contact)
        for group in self.groups:
            out += bytes([group.when, group.demand, group.after << 3 | group.kind, len(group.entries)])
            for entry in sorted(group.entries):
                out += bytes(entry)
        if self.controllers:
            out += bytes((len(self.controllers), *self.poll.to_bytes(2, "little")))
            for controller in self.controllers:
                out += controller.to_bytes(self.modifiers)
        return with_checksum(bytes(out))


def with_checksum(data: bytes) -> bytes:
    """The bytes with their checksum, bit by bit after ITU-T V.41, annex I: the remainder by x^16 + x^12 + x^5 + 1."""
    rest = 0xFFFF
    for byte in data:
        for place in range(7, -1, -1):
            carry = rest >> 15 ^ (byte >> place & 1)
            rest = (rest << 1 & 0xFFFF) ^ (0x1021 if carry else 0)
    return data + bytes(divmod(rest, 256))


def crosspoint(select: int, sense: int) -> int:
    """The value of a crosspoint entry."""
    return select << 4 | sense
