"""From a keyboard's reports to the keys that are down.

Under ErrorRollOver, POSTFail and ErrorUndefined the keys stay as they were, and the modifiers with separate bits are
followed (USB-IF, HID 1.11, appendix C). A malformed report changes nothing.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from enum import Enum
from functools import cache
from typing import Final, NamedTuple

from matrixmap.hid.descriptor import Descriptor
from matrixmap.hid.steps import Array, Bits, KeyReport, Step, key_reports
from matrixmap.hid.usages import MODIFIER_BITS, NO_EVENT, STATUS_USAGES, Usage

KeySet = frozenset[Usage]

NO_KEYS: Final[KeySet] = frozenset()

CACHED_REPORTS: Final = 1 << 12
"""The most different reports or key sets that are remembered; then all of them are forgotten.

A typist makes a few hundred; a set of a hundred keys, which only junk makes, takes 8 KiB.
"""

CACHED_KEYS: Final = 1 << 15
"""The most keys in all those sets together: some megabytes."""

_STATUS: Final = sum(1 << usage for usage in STATUS_USAGES)
_NO_KEYS: Final = _STATUS | 1 << NO_EVENT
_MODIFIERS: Final = sum(1 << usage for usage in MODIFIER_BITS)


class State(Enum):
    """What a report, or a line of a recording, says about the keys."""

    KEYS = "keys"
    ROLLED = "rolled"
    OTHER = "other"
    MALFORMED = "malformed"
    CONNECTED = "connected"
    FAULT = "fault"


class Decoded(NamedTuple):
    """One report by itself. A named tuple, because recordings have millions.

    `slot` numbers the reports with keys from 0. `keys` has bit n set if usage n is down; `followed` are the modifiers
    with separate bits in this report. `text` says what is malformed. `report` is the report itself if the device has a
    pad, because the pad's decoder reads it too.
    """

    state: State
    slot: int = 0
    keys: int = 0
    followed: int = 0
    key_set: KeySet = NO_KEYS
    text: str | None = None
    report: bytes = b""


Reader = Callable[[bytes, int], int]


class Decoder:
    """Reads the reports of one keyboard; made once from its descriptor."""

    def __init__(self, descriptor: Descriptor) -> None:
        self.reports: tuple[KeyReport, ...] = key_reports(descriptor)
        self.numbered = descriptor.numbered
        self._lengths = {report.id: report.bytes for report in descriptor.inputs}
        self._readers = {report.id: _compiled(slot, report) for slot, report in enumerate(self.reports)}

    def decode(self, report: bytes) -> Decoded:
        """What a report says, including the byte of its id if the keyboard has ids. Longer reports are cut."""
        if not report:
            return Decoded(state=State.MALFORMED, text="the report is empty")
        id = report[0] if self.numbered else 0
        length = self._lengths.get(id)
        if length is None:
            known = ", ".join(str(id) for id in sorted(self._lengths))
            text = (
                f"the descriptor has no input report {id} (it has {known})"
                if known
                else "the descriptor has no input report"
            )
            return Decoded(state=State.MALFORMED, text=text)
        if len(report) < length:
            name = f"report {id}" if id else "the report"
            text = f"{name} has {len(report)} byte{'s' if len(report) > 1 else ''}, but its descriptor says {length}"
            return Decoded(state=State.MALFORMED, text=text)
        reader = self._readers.get(id)
        return reader(report[:length]) if reader else Decoded(state=State.OTHER)


# Looking up a member in its class costs as much as decoding a report that is already known.
_STATE_KEYS: Final = State.KEYS
_STATE_ROLLED: Final = State.ROLLED


class Keys:
    """The keys of one keyboard that are down after each report; a key is down if any of its reports says so."""

    def __init__(self, decoder: Decoder) -> None:
        self.decoder = decoder
        self._slots = [0] * max(len(decoder.reports), 1)
        self._only = len(decoder.reports) <= 1
        self._down = NO_KEYS
        self._sets: dict[int, KeySet] = {}
        self._remembered = 0

    @property
    def down(self) -> KeySet:
        """The keys that are down now."""
        return self._down

    def take(self, decoded: Decoded) -> KeySet:
        """The keys that are down after this report."""
        state = decoded.state
        if state is _STATE_KEYS:
            self._slots[decoded.slot] = decoded.keys
            if self._only:
                self._down = decoded.key_set
                return self._down
        elif state is _STATE_ROLLED:
            before = self._slots[decoded.slot]
            self._slots[decoded.slot] = before & ~decoded.followed | decoded.keys & decoded.followed
        else:
            return self._down
        down = 0
        for slot in self._slots:
            down |= slot
        found = self._sets.get(down)
        if found is None:
            if len(self._sets) >= CACHED_REPORTS or self._remembered >= CACHED_KEYS:
                self._sets.clear()
                self._remembered = 0
            found = self._sets[down] = key_set(down)
            self._remembered += len(found)
        self._down = found
        return found


FEW_KEYS: Final = 16


def key_set(bits: int) -> KeySet:
    """The usages of the set bits."""
    found: list[Usage] = []
    if bits.bit_count() <= FEW_KEYS:
        while bits:
            lowest = bits & -bits
            found.append(Usage(lowest.bit_length() - 1))
            bits ^= lowest
        return frozenset(found)
    for place, value in enumerate(bits.to_bytes((bits.bit_length() + 7) // 8, "little")):
        if value:
            found += _usages_of_byte(place, value)
    return frozenset(found)


@cache
def _usages_of_byte(place: int, value: int) -> tuple[Usage, ...]:
    """The usages of one byte of a bitmap; there are at most 8,192 of these bytes."""
    return tuple(Usage(8 * place + bit) for bit in range(8) if value >> bit & 1)


def _compiled(slot: int, report: KeyReport) -> Callable[[bytes], Decoded]:
    """A function that reads this report; its steps are prepared, so it looks at no description."""
    readers = [_reader(step) for step in report.steps]
    own_bits = [_reader(step) for step in report.steps if isinstance(step, Bits)]
    followed = 0
    for step in report.steps:
        if isinstance(step, Bits):
            followed |= ((1 << step.count) - 1) << step.usage
    followed &= _MODIFIERS

    def read(data: bytes) -> Decoded:
        number = int.from_bytes(data, "little")
        keys = 0
        for reader in readers:
            keys |= reader(data, number)
        if keys & _STATUS:
            keys = 0
            for reader in own_bits:
                keys |= reader(data, number)
            return Decoded(state=State.ROLLED, slot=slot, keys=keys & followed, followed=followed)
        keys &= ~_NO_KEYS
        return Decoded(state=State.KEYS, slot=slot, keys=keys, followed=followed, key_set=key_set(keys))

    return read


def _reader(step: Step) -> Reader:
    """A function of a report, as bytes and as a number, that gives the bits of the usages that one step finds."""
    if isinstance(step, Array):
        return _bytes_reader(step) if step.size == 8 and step.bit % 8 == 0 else _array_reader(step)
    return _bits_reader(step) if step.size == 1 else _wide_reader(step)


def _bits_reader(step: Bits) -> Reader:
    shift, usage, mask = step.bit, step.usage, (1 << step.count) - 1
    return lambda data, number: (number >> shift & mask) << usage


def _wide_reader(step: Bits) -> Reader:
    """Values of several bits; each value that is not zero counts."""
    mask = (1 << step.size) - 1
    places = [(step.bit + step.size * index, 1 << (step.usage + index)) for index in range(step.count)]

    def read(data: bytes, number: int) -> int:
        keys = 0
        for shift, key in places:
            if number >> shift & mask:
                keys |= key
        return keys

    return read


def _meanings(step: Array) -> dict[int, int]:
    """Value -> the bit of its usage; if two ranges name one value, the bits of both."""
    found: dict[int, int] = {}
    for values in step.values:
        for index in range(values.count):
            value = values.first + index
            found[value] = found.get(value, 0) | 1 << (values.usage + index)
    return found


def _bytes_reader(step: Array) -> Reader:
    """Values of one whole byte each, the usual case."""
    meanings = _meanings(step)
    keys_of = [meanings.get(value, 0) for value in range(256)]
    first, last = step.bit // 8, step.bit // 8 + step.count

    def read(data: bytes, number: int) -> int:
        keys = 0
        for value in data[first:last]:
            keys |= keys_of[value]
        return keys

    return read


def _array_reader(step: Array) -> Reader:
    """Values of any size; no two ranges name one value, so each is looked up in the only range that can have it."""
    runs = sorted(step.values, key=lambda values: values.first)
    firsts = [values.first for values in runs]
    size, start = step.size, step.bit
    mask, end = (1 << size) - 1, start + size * step.count

    def read(data: bytes, number: int) -> int:
        keys = 0
        for shift in range(start, end, size):
            value = number >> shift & mask
            run = runs[bisect_right(firsts, value) - 1]
            if 0 <= value - run.first < run.count:
                keys |= 1 << (run.usage + value - run.first)
        return keys

    return read
