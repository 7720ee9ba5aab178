"""The 16-bit id of a layout: firmware stores this number to remember the chosen layout.

It depends only on the id, so that it stays the same when layouts are added, removed or reordered.
"""

from __future__ import annotations

from binascii import crc_hqx
from collections.abc import Iterable, Mapping

RESERVED: Mapping[int, int] = {0x0000: 0x0001, 0xFFFF: 0xFFFE}
"""No layout has these ids: empty memory reads as zeros, erased memory as ones. Such a CRC gets the number beside it."""


def id16(layout_id: str) -> int:
    """The 16-bit id for a layout's id, 0x0001 to 0xFFFE.

    The CRC of ITU-T V.41 (x^16 + x^12 + x^5 + 1) over its ASCII characters, starting with all ones, the high bit of a
    character first: the same CRC as at the end of a table.
    """
    crc = crc_hqx(layout_id.encode("ascii"), 0xFFFF)
    return RESERVED.get(crc, crc)


def id16_text(layout_id: str) -> str:
    """The 16-bit id as printed and as written in C: four hexadecimal digits after `0x`."""
    return f"0x{id16(layout_id):04X}"


def sharing(ids: Iterable[str]) -> dict[str, str]:
    """Id -> the first earlier id with the same 16-bit id; ids without such a double are left out."""
    first: dict[int, str] = {}
    pairs = {id: first.setdefault(id16(id), id) for id in ids}
    return {id: other for id, other in pairs.items() if id != other}
