"""The few steps that find the keys that are down in each of a keyboard's reports.

The decoder in Python, the table for the C decoder and the description of a keyboard are all made from these steps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from matrixmap.hid.descriptor import Descriptor, Field, UsageRange
from matrixmap.hid.usages import KEYBOARD_PAGE, Usage

KEYS: Final = 0x100
"""Usages of the keyboard page that a key set can hold: 0x00 to 0xFF; those from 0xE8 on are reserved."""

MAX_ARRAY_BITS: Final = 32
"""A value of an array cannot span more than four bytes (HID 1.11, section 8.4)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bits:
    """`count` values of `size` bits from bit `bit` on, for `count` usages from `usage` on: down if not zero."""

    bit: int
    size: int
    count: int
    usage: Usage


@dataclass(frozen=True, slots=True, kw_only=True)
class Values:
    """`count` values in a row, from `first` on, and their usages, from `usage` on."""

    first: int
    count: int
    usage: Usage


@dataclass(frozen=True, slots=True, kw_only=True)
class Array:
    """`count` values of `size` bits each from bit `bit` on, each of which may name a key that is down.

    `values` are compared as unsigned numbers.
    """

    bit: int
    size: int
    count: int
    values: tuple[Values, ...]


Step = Bits | Array


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyReport:
    """A report that carries keys: its id (0: none), its length in bytes, and the steps to read it.

    `placed_steps` has each step with the place of its field in the descriptor, in order.
    """

    id: int
    bytes: int
    placed_steps: tuple[tuple[int, Step], ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps without their places."""
        return tuple(step for _, step in self.placed_steps)


def key_reports(descriptor: Descriptor) -> tuple[KeyReport, ...]:
    """The input reports that carry usages of the keyboard page, in the order of their first fields with keys."""
    found = []
    for report in descriptor.inputs:
        placed = tuple((field.offset, step) for field in report.fields for step in field_steps(field))
        if placed:
            found.append(KeyReport(id=report.id, bytes=report.bytes, placed_steps=placed))
    return tuple(sorted(found, key=lambda report: report.placed_steps[0][0]))


def field_steps(field: Field) -> Iterator[Step]:
    """The steps of one field; none if it carries no keys."""
    if field.constant or not field.usages or not field.size or not field.count:
        return
    if field.variable:
        yield from _bits(field)
    elif field.size <= MAX_ARRAY_BITS:
        values = tuple(_values(field))
        if values:
            yield Array(bit=field.bit, size=field.size, count=field.count, values=values)


def keys_of(first: int, last: int) -> tuple[int, int]:
    """The usages of the keyboard page at the start of a range: the first and how many (none: 0 or less).

    The range is on one page.
    """
    if first >> 16 != KEYBOARD_PAGE:
        return 0, 0
    return first & 0xFFFF, min(last & 0xFFFF, KEYS - 1) - (first & 0xFFFF) + 1


def merged(usages: Iterable[UsageRange]) -> Iterator[tuple[int, int]]:
    """The ranges, with adjacent ones joined."""
    first = last = None
    for run in usages:
        if first is None or last is None:
            first, last = run.first, run.last
        elif run.first == last + 1 and run.first & 0xFFFF:
            last = run.last
        else:
            yield first, last
            first, last = run.first, run.last
    if first is not None and last is not None:
        yield first, last


def _bits(field: Field) -> Iterator[Bits]:
    index = 0
    last = 0
    for first, last in merged(field.usages):
        usage, count = keys_of(first, last)
        count = min(count, field.count - index)
        if count > 0:
            yield Bits(bit=field.bit + index * field.size, size=field.size, count=count, usage=Usage(usage))
        index += last - first + 1
        if index >= field.count:
            return
    # The last usage applies to all values without a usage of their own: down if any of them is not zero.
    usage, count = keys_of(last, last)
    if count > 0:
        rest = (field.count - index) * field.size
        yield Bits(bit=field.bit + index * field.size, size=rest, count=1, usage=Usage(usage))


def _values(field: Field) -> Iterator[Values]:
    """The values of an array that name keys: its logical range, as far as its bits can hold it."""
    low, high = field.logical_min, field.logical_max
    smallest, largest = field.holds
    numbers = 1 << field.size
    index = 0
    for first, last in merged(field.usages):
        usage, count = keys_of(first, last)
        start = low + index
        skipped = max(smallest - start, 0)
        end = min(start + count - 1, high, largest)
        index += last - first + 1
        start += skipped
        usage += skipped
        if start < 0 <= end:
            yield Values(first=start + numbers, count=-start, usage=Usage(usage))
            usage -= start
            start = 0
        if start <= end:
            yield Values(first=start % numbers, count=end - start + 1, usage=Usage(usage))
