"""The items of a HID report descriptor, one after the other.

Source: USB-IF, Device Class Definition for HID 1.11, sections 5.2, 5.3 and 6.2.2.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum
from typing import Final

from matrixmap.limits import DESCRIPTOR_BYTES

MAX_DESCRIPTOR_BYTES: Final = DESCRIPTOR_BYTES
"""wDescriptorLength, which gives the length of a report descriptor, has 16 bits (HID 1.11, section 6.2.1)."""

LONG_ITEM: Final = 0xFE
"""The prefix of a long item (section 6.2.2.3)."""


class Tag(IntEnum):
    """Type and tag of a short item: its prefix without the two bits of the size."""

    INPUT = 0x80
    OUTPUT = 0x90
    COLLECTION = 0xA0
    FEATURE = 0xB0
    END_COLLECTION = 0xC0
    USAGE_PAGE = 0x04
    LOGICAL_MINIMUM = 0x14
    LOGICAL_MAXIMUM = 0x24
    PHYSICAL_MINIMUM = 0x34
    PHYSICAL_MAXIMUM = 0x44
    UNIT_EXPONENT = 0x54
    UNIT = 0x64
    REPORT_SIZE = 0x74
    REPORT_ID = 0x84
    REPORT_COUNT = 0x94
    PUSH = 0xA4
    POP = 0xB4
    USAGE = 0x08
    USAGE_MINIMUM = 0x18
    USAGE_MAXIMUM = 0x28
    DESIGNATOR_INDEX = 0x38
    DESIGNATOR_MINIMUM = 0x48
    DESIGNATOR_MAXIMUM = 0x58
    STRING_INDEX = 0x78
    STRING_MINIMUM = 0x88
    STRING_MAXIMUM = 0x98
    DELIMITER = 0xA8

    @property
    def title(self) -> str:
        """The name as the standard writes it: `Report Count`."""
        words = self.name.split("_")
        return " ".join(word if word == "ID" else word.capitalize() for word in words)


KNOWN_TAGS: Final = {int(tag): tag for tag in Tag}


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One item: its byte offset, its tag (None: reserved or long) and its data.

    `size` is the number of data bytes; `unsigned` is their value, low byte first, or 0 without data.
    """

    offset: int
    prefix: int
    tag: Tag | None
    size: int
    unsigned: int

    @property
    def signed(self) -> int:
        """The value as a two's complement number of its size."""
        top = 1 << (8 * self.size - 1) if self.size else 0
        return self.unsigned - 2 * top if self.unsigned & top else self.unsigned


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A remark on a place in a descriptor: its byte offset and the text."""

    offset: int
    text: str

    def __str__(self) -> str:
        return f"byte {self.offset}: {self.text}"


class MalformedDescriptorError(Exception):
    """The descriptor stops making sense at `note.offset`."""

    def __init__(self, offset: int, text: str) -> None:
        super().__init__(text)
        self.note = Note(offset=offset, text=text)


def read_items(data: bytes) -> Iterator[Item]:
    """The items of a descriptor in order.

    Raises MalformedDescriptorError at an item that ends after the last byte.
    """
    at = 0
    while at < len(data):
        prefix = data[at]
        if prefix == LONG_ITEM:
            length = _long_length(data, at)
            yield Item(offset=at, prefix=prefix, tag=None, size=length, unsigned=0)
            at += length + 3
            continue
        size = (0, 1, 2, 4)[prefix & 3]
        tag = KNOWN_TAGS.get(prefix & 0xFC)
        if at + 1 + size > len(data):
            raise MalformedDescriptorError(at, _cut(prefix, tag, size, len(data) - at - 1))
        value = int.from_bytes(data[at + 1 : at + 1 + size], "little")
        yield Item(offset=at, prefix=prefix, tag=tag, size=size, unsigned=value)
        at += 1 + size


def _long_length(data: bytes, at: int) -> int:
    """The number of data bytes of the long item at `at`: a prefix, this number, a tag and the data."""
    left = len(data) - at - 3
    length = data[at + 1] if at + 1 < len(data) else 0
    if left < length:
        raise MalformedDescriptorError(at, f"the descriptor ends inside a long item of {length} bytes")
    return length


def _cut(prefix: int, tag: Tag | None, size: int, left: int) -> str:
    name = tag.title if tag else "reserved"
    return f"the descriptor ends inside the item 0x{prefix:02X} ({name}): it has {left} of its {size} bytes"
