"""The 16-bit id of a layout: the number by which firmware stores that it was chosen.

It is made of the id alone, so that it stays the same when layouts are added, removed or put in another order.
"""

from __future__ import annotations

from binascii import crc_hqx
from collections.abc import Iterable, Mapping

RESERVED: Mapping[int, int] = {0x0000: 0x0001, 0xFFFF: 0xFFFE}
"""No layout has these: empty memory reads as zeros, erased memory as ones. An id with such a CRC has the number beside it."""


def id16(layout_id: str) -> int:
    """The 16-bit id of a layout's id, 0x0001 to 0xFFFE.

    The CRC of ITU-T V.41 (x^16 + x^12 + x^5 + 1) over its ASCII characters, begun with all ones, the high bit of a character
    first: the one that a table ends with.
    """
    crc = crc_hqx(layout_id.encode("ascii"), 0xFFFF)
    return RESERVED.get(crc, crc)


def id16_text(layout_id: str) -> str:
    """The same as it is printed and stands in C: four hexadecimal digits behind `0x`."""
    return f"0x{id16(layout_id):04X}"


def sharing(ids: Iterable[str]) -> dict[str, str]:
    """Id -> the first one before it with the same 16-bit id; those that have theirs for themselves are left out."""
    first: dict[int, str] = {}
    pairs = {id: first.setdefault(id16(id), id) for id in ids}
    return {id: other for id, other in pairs.items() if id != other}
