"""A compiled table as the runtime reads it: its sections, and the entry that answers a press.

The bytes are those of `table.py`; the rules are those of `mm_runtime.h`, THE TABLE, INPUT and OUTPUT 3. Contacts and
sets of modifier keys are masks: bit n is contact n, or modifier key n of the table.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CONTROL_LEFT,
    CONTROL_RIGHT,
    KEYPAD_DIGITS,
    META_LEFT,
    META_RIGHT,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.press.table.format import (
    AFTER_SHIFT,
    ALT,
    CHECKSUM_BYTES,
    CONTROL,
    FLAG_ALTGR,
    FLAG_APART,
    FLAG_CAPS_LOCK,
    FLAG_GUARD,
    FLAG_NUM_LOCK,
    FLAG_RESUME,
    FLAG_WHOLE,
    HEADER_BYTES,
    HELD_BITS,
    META,
    MOST_PAIRS,
    MOST_SWITCHES,
    NO_ROLLOVER,
    NO_SWITCH,
    NUMBER,
    SEQUENCE,
    Kind,
    Wired,
)

LEVEL_KEYS = frozenset(
    (SHIFT_LEFT, SHIFT_RIGHT, ALT_LEFT, ALT_RIGHT, CONTROL_LEFT, CONTROL_RIGHT, META_LEFT, META_RIGHT)
)
"""The keys that determine the level of a press and its Control, Alt and Meta."""

KEEPS, TAKES_BACK, DROPS = 29, 30, 31
"""The number above a group's kind, for presses that are not pairs: what happens to a pending dead key."""

CHORD_CONTACTS = 4
UNUSED = 0xFF


class Entry(NamedTuple):
    """The answer to a press: the number of its group's demand, its kind, its effect after a dead key, its value."""

    when: int
    demand: int
    kind: Kind
    after: int
    value: int

    @property
    def sequence(self) -> int:
        """The number of the sequence, 0 if the entry is not one."""
        return self.value & NUMBER if self.kind is Kind.DEAD_KEY and self.value & SEQUENCE else 0


class CapsRange(NamedTuple):
    """Usages on which Caps Lock swaps levels: bit 0 of `pairs` for 1 and 2, bit 1 for 3 and 4."""

    first: int
    last: int
    pairs: int


class Controller(NamedTuple):
    """A controller that pads drive: masks of opposite switches, and `(wired, value, modifier keys)` of each switch."""

    opposites: tuple[int, ...]
    switches: tuple[tuple[Wired, int, int], ...]


class Keys(NamedTuple):
    """What the held keys contribute to a press: Shift and AltGr, and the bits of Control, Alt and Meta."""

    shift: bool
    altgr: bool
    extras: int


class Compiled:
    """A table's bytes, parsed once. The bytes must be intact: they come from `make_table`.

    Without `limits` there is neither guard nor rollover, and an opened stroke does not come back.
    """

    def __init__(self, table: bytes, limits: bool = True) -> None:
        self.select, self.sense, self.direct = table[1:4]
        keys, demands, caps, chords, groups = table[4:9]
        flags = table[9]
        self.altgr = bool(flags & FLAG_ALTGR)
        self.guard = limits and bool(flags & FLAG_GUARD)
        self.apart, self.resumes = bool(flags & FLAG_APART), limits and bool(flags & FLAG_RESUME)
        self.whole = bool(flags & FLAG_WHOLE)
        self.caps_lock, self.num_lock = bool(flags & FLAG_CAPS_LOCK), bool(flags & FLAG_NUM_LOCK)
        self.rollover = table[10] if limits and table[10] != NO_ROLLOVER else None
        at = HEADER_BYTES
        self.modifier_keys = tuple(self._contact(*table[at + 2 * n : at + 2 * n + 2]) for n in range(keys))
        at += 2 * keys
        self.demands = tuple((table[at + 2 * n], table[at + 2 * n + 1]) for n in range(demands))
        at += 2 * demands
        self.caps = tuple(CapsRange(*table[at + 3 * n : at + 3 * n + 3]) for n in range(caps))
        at += 3 * caps
        self.chords = tuple(tuple(self._chord(table[at + 8 * n : at + 8 * n + 8])) for n in range(chords))
        self.feeds: dict[Usage, int] = {}
        self.answers: dict[Usage, list[Entry]] = {}
        self.controllers, self.poll = self._read_controllers(table, self._read_groups(table, at + 8 * chords, groups))
        self._masks: dict[int, int] = {}
        self._feeding = frozenset(self.feeds)
        self._fed: dict[frozenset[Usage], int] = {}
        self._keys: dict[frozenset[Usage], Keys] = {}

    def _contact(self, kind: int, value: int) -> int:
        if kind == Kind.DIRECT:
            return self.select * self.sense + value
        return (value >> 4) * self.sense + (value & 15)

    def _chord(self, pairs: bytes) -> Iterator[int]:
        for n in range(CHORD_CONTACTS):
            kind, value = pairs[2 * n : 2 * n + 2]
            if kind != UNUSED:
                yield self._contact(kind, value)

    def _read_groups(self, table: bytes, at: int, groups: int) -> int:
        for _ in range(groups):
            when, demand, kind, count = table[at : at + 4]
            at += 4
            for usage, value in zip(table[at : at + 2 * count : 2], table[at + 1 : at + 2 * count : 2], strict=True):
                entry = Entry(when, demand, Kind(kind & 7), kind >> AFTER_SHIFT, value)
                if entry.kind is Kind.MODIFIER:
                    self.feeds[Usage(usage)] = self.feeds.get(Usage(usage), 0) | value
                else:
                    self.answers.setdefault(Usage(usage), []).append(entry)
            at += 2 * count
        return at

    def _read_controllers(self, table: bytes, at: int) -> tuple[tuple[Controller, ...], int]:
        """The section of the controllers, and their poll time."""
        if at == len(table) - CHECKSUM_BYTES:
            return (), 0
        count, poll, found = table[at], int.from_bytes(table[at + 1 : at + 3], "little"), []
        at += 3
        for _ in range(count):
            opposites = tuple(table[at : at + MOST_PAIRS])
            at += MOST_PAIRS
            records = [tuple(table[at + 3 * n : at + 3 * n + 3]) for n in range(MOST_SWITCHES)]
            at += 3 * MOST_SWITCHES
            switches = tuple([(Wired(kind), value, keys) for kind, value, keys in records if kind != NO_SWITCH[0]])
            found.append(Controller(opposites, switches))
        return tuple(found), poll

    def contacts(self, kind: Kind, value: int) -> tuple[int, ...]:
        """The contacts of an entry, in the order in which they close; none if the entry is not a stroke."""
        if kind is Kind.CHORD:
            return self.chords[value]
        return (self._contact(kind, value),) if kind in (Kind.CROSSPOINT, Kind.DIRECT) else ()

    def mask_of(self, modifier_keys: int) -> int:
        """The mask of the contacts of some modifier keys."""
        found = self._masks.get(modifier_keys)
        if found is None:
            found = 0
            for number, contact in enumerate(self.modifier_keys):
                if modifier_keys >> number & 1:
                    found |= 1 << contact
            self._masks[modifier_keys] = found
        return found

    def fed(self, down: frozenset[Usage]) -> int:
        """The modifier keys fed by the keys that are down, as a mask."""
        held = down & self._feeding
        found = self._fed.get(held)
        if found is None:
            found = 0
            for usage in held:
                found |= self.feeds[usage]
            self._fed[held] = found
        return found

    def keys(self, down: frozenset[Usage]) -> Keys:
        """What the keys that are down contribute to a press among them."""
        held = down & LEVEL_KEYS
        found = self._keys.get(held)
        if found is None:
            found = self._keys[held] = self._read_keys(held)
        return found

    def _read_keys(self, down: frozenset[Usage]) -> Keys:
        extras = CONTROL if CONTROL_LEFT in down or CONTROL_RIGHT in down else 0
        extras |= ALT if ALT_LEFT in down or (ALT_RIGHT in down and not self.altgr) else 0
        extras |= META if META_LEFT in down or META_RIGHT in down else 0
        return Keys(SHIFT_LEFT in down or SHIFT_RIGHT in down, self.altgr and ALT_RIGHT in down, extras)

    def level(self, usage: Usage, keys: Keys, caps: bool, num: bool) -> int:
        """The level of a press, 1 to 4. A lock that the table does not keep counts as Caps Lock off, Num Lock on."""
        if usage in KEYPAD_DIGITS:
            return 1 if num or not self.num_lock else 2
        shift = keys.shift
        if caps and self.caps_lock and not keys.extras & CONTROL:
            shift ^= bool(self.caps_pairs(usage) & (2 if keys.altgr else 1))
        return 1 + shift + 2 * keys.altgr

    def caps_pairs(self, usage: Usage) -> int:
        """The levels that Caps Lock swaps on a key, from the first range that contains the key."""
        return next((some.pairs for some in self.caps if some.first <= usage <= some.last), 0)

    def look_up(self, usage: Usage, level: int, extras: int, accent: int) -> Entry | None:
        """The answering entry: with exactly these of Control, Alt and Meta, else with none; of a dead key, its pairs.

        `accent` is the number of the pending dead key, 0 for none.
        """
        found = None
        for entry in self.answers.get(usage, ()):
            held = entry.when & HELD_BITS
            if not entry.when >> (level - 1) & 1 or held not in (0, extras):
                continue
            if 0 < entry.after < KEEPS and entry.after != accent:
                continue
            if held == extras:
                return entry
            found = entry
        return found


def bits(mask: int) -> Iterator[int]:
    """The indexes of the bits in a mask, ascending."""
    while mask:
        yield (mask & -mask).bit_length() - 1
        mask &= mask - 1
