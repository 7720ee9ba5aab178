"""The physical forms of keyboards: where each usage's key sits, in key pitches.

Widths and positions of the alphanumeric rows of ANSI and ISO boards: common practice, in agreement with the drawings
of W3C UI Events code (keyboard-101-us, keyboard-102-uk) and xkb-data 2.35.1, geometry pc104 and pc105; row offsets of
1/2, 1/4 and 1/2 key: The PC Guide, keycap size, spacing and alignment. Which keys a form has: W3C UI Events code,
sections on the alphanumeric section and its Korean, Brazilian and Japanese variants. Where those forms put their
extra keys: common practice, as in the key maps of xkb-data 2.35.1 (jp106, abnt2, kr106); the width of their bottom
rows differs from maker to maker. Space between the blocks: common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cache
from types import MappingProxyType
from typing import Final

from matrixmap.hid.usages import Usage

PITCH_MM: Final = 19.05
"""From the middle of a key to the middle of the next: 3/4 inch (The PC Guide; ISO 9241-4:1998 has 19 mm +- 1)."""

KEY_TOP_MM: Final = 12.5
"""The flat top of a letter key, about 1/2 inch (W. L. Rosch, Hardware Bible, 6th edition, chapter 20)."""


class Block(Enum):
    """A part of the keyboard."""

    FUNCTION = "function keys"
    MAIN = "letters and digits"
    NAVIGATION = "navigation keys"
    KEYPAD = "keypad"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cap:
    """A key of a form: its usage, block and row (K, E, D, C, B, A from top to bottom), and its outline.

    `left` and `top` are counted from the upper left corner of the board, all in key pitches. `lower` is set for an
    Enter key of two rows: left edge and width of its lower part, which is one key pitch high and below the upper part.
    """

    usage: Usage
    block: Block
    row: str
    left: float
    top: float
    width: float = 1.0
    height: float = 1.0
    lower: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A physical form: its name, its size in key pitches, and its keys, row by row from left to right and by usage."""

    name: str
    title: str
    width: float
    height: float
    caps: tuple[Cap, ...]
    by_usage: Mapping[Usage, Cap] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_usage", MappingProxyType({cap.usage: cap for cap in self.caps}))


# The rows have letters from the space bar up, after ISO/IEC 9995-1; K is the row of function keys.
TOPS: Final = MappingProxyType({"K": 0.0, "E": 1.5, "D": 2.5, "C": 3.5, "B": 4.5, "A": 5.5})
NAVIGATION_LEFT: Final = 15.25
KEYPAD_LEFT: Final = 18.5
WIDTH: Final = 22.5
HEIGHT: Final = 6.5

_DIGITS = (0x35, *range(0x1E, 0x28), 0x2D, 0x2E)
_TOP_LETTERS = (0x14, 0x1A, 0x08, 0x15, 0x17, 0x1C, 0x18, 0x0C, 0x12, 0x13, 0x2F, 0x30)
_HOME_LETTERS = (0x04, 0x16, 0x07, 0x09, 0x0A, 0x0B, 0x0D, 0x0E, 0x0F, 0x33, 0x34)
_LOW_LETTERS = (0x1D, 0x1B, 0x06, 0x19, 0x05, 0x11, 0x10, 0x36, 0x37, 0x38)
_ENTER = 0x28

_Keys = tuple[tuple[int, float], ...]


def _ones(usages: Iterable[int]) -> _Keys:
    return tuple((usage, 1.0) for usage in usages)


_BOTTOM: _Keys = (
    (0xE0, 1.25),
    (0xE3, 1.25),
    (0xE2, 1.25),
    (0x2C, 6.25),
    (0xE6, 1.25),
    (0xE7, 1.25),
    (0x65, 1.25),
    (0xE4, 1.25),
)
# Hangul and Hanja are on either side of a shorter space bar.
_BOTTOM_KOREAN: _Keys = (
    (0xE0, 1.25),
    (0xE3, 1.25),
    (0xE2, 1.25),
    (0x91, 1.0),
    (0x2C, 4.25),
    (0x90, 1.0),
    (0xE6, 1.25),
    (0xE7, 1.25),
    (0x65, 1.25),
    (0xE4, 1.25),
)
# NonConvert to the left of the space bar, Convert and KanaMode to its right.
_BOTTOM_JAPANESE: _Keys = (
    (0xE0, 1.25),
    (0xE3, 1.25),
    (0xE2, 1.25),
    (0x8B, 1.25),
    (0x2C, 3.0),
    (0x8A, 1.0),
    (0x88, 1.0),
    (0xE6, 1.25),
    (0xE7, 1.25),
    (0x65, 1.25),
    (0xE4, 1.25),
)

_ROWS_ANSI: Mapping[str, _Keys] = {
    "E": (*_ones(_DIGITS), (0x2A, 2.0)),
    "D": ((0x2B, 1.5), *_ones(_TOP_LETTERS), (0x31, 1.5)),
    "C": ((0x39, 1.75), *_ones(_HOME_LETTERS), (_ENTER, 2.25)),
    "B": ((0xE1, 2.25), *_ones(_LOW_LETTERS), (0xE5, 2.75)),
    "A": _BOTTOM,
}
# The Enter key of two rows is in row D here; its lower part ends row C.
_ROWS_ISO: Mapping[str, _Keys] = {
    "E": (*_ones(_DIGITS), (0x2A, 2.0)),
    "D": ((0x2B, 1.5), *_ones(_TOP_LETTERS), (_ENTER, 1.5)),
    "C": ((0x39, 1.75), *_ones((*_HOME_LETTERS, 0x32))),
    "B": ((0xE1, 1.25), *_ones((0x64, *_LOW_LETTERS)), (0xE5, 2.75)),
    "A": _BOTTOM,
}
_ROWS_JAPANESE: Mapping[str, _Keys] = {
    **_ROWS_ISO,
    # IntlYen takes one key pitch from Backspace.
    "E": (*_ones((*_DIGITS, 0x89)), (0x2A, 1.0)),
    # IntlRo takes one from the right Shift, and Z keeps its place.
    "B": ((0xE1, 2.25), *_ones((*_LOW_LETTERS, 0x87)), (0xE5, 1.75)),
    "A": _BOTTOM_JAPANESE,
}
_ROWS_BRAZILIAN: Mapping[str, _Keys] = {
    **_ROWS_ISO,
    "B": ((0xE1, 1.25), *_ones((0x64, *_LOW_LETTERS, 0x87)), (0xE5, 1.75)),
}
_ROWS_KOREAN: Mapping[str, _Keys] = {**_ROWS_ANSI, "A": _BOTTOM_KOREAN}

_TITLES = {
    "ansi-104": "ANSI, 104 keys",
    "iso-105": "ISO, 105 keys, with an Enter key of two rows",
    "jis-109": "Japanese, 109 keys",
    "abnt-107": "Brazilian, 107 keys",
    "ks-106": "Korean, 106 keys",
}
_ROWS = {
    "ansi-104": _ROWS_ANSI,
    "iso-105": _ROWS_ISO,
    "jis-109": _ROWS_JAPANESE,
    "abnt-107": _ROWS_BRAZILIAN,
    "ks-106": _ROWS_KOREAN,
}

FORM_NAMES: Final = tuple(_ROWS)


@cache
def form(name: str) -> Form:
    """The form with this name, one of FORM_NAMES; KeyError for another name."""
    main = [cap for row, keys in _ROWS[name].items() for cap in _row(Block.MAIN, row, 0.0, keys)]
    main = [_two_rows(cap) if cap.usage == _ENTER and cap.row == "D" else cap for cap in main]
    caps = (*_function_row(), *main, *_navigation(), *_keypad(comma=name == "abnt-107"))
    return Form(name=name, title=_TITLES[name], width=WIDTH, height=HEIGHT, caps=caps)


def _row(block: Block, row: str, left: float, keys: _Keys) -> Iterable[Cap]:
    for usage, width in keys:
        yield Cap(usage=Usage(usage), block=block, row=row, left=left, top=TOPS[row], width=width)
        left += width


def _two_rows(cap: Cap) -> Cap:
    """An Enter key with a lower part that is a quarter of a pitch narrower and ends at the same right edge."""
    return Cap(
        usage=cap.usage,
        block=cap.block,
        row=cap.row,
        left=cap.left,
        top=cap.top,
        width=cap.width,
        height=2.0,
        lower=(cap.left + 0.25, cap.width - 0.25),
    )


def _function_row() -> Iterable[Cap]:
    yield from _row(Block.FUNCTION, "K", 0.0, _ones((0x29,)))
    for left, first in ((2.0, 0x3A), (6.5, 0x3E), (11.0, 0x42)):
        yield from _row(Block.FUNCTION, "K", left, _ones(range(first, first + 4)))


def _navigation() -> Iterable[Cap]:
    for row, usages in (("K", (0x46, 0x47, 0x48)), ("E", (0x49, 0x4A, 0x4B)), ("D", (0x4C, 0x4D, 0x4E))):
        yield from _row(Block.NAVIGATION, row, NAVIGATION_LEFT, _ones(usages))
    yield from _row(Block.NAVIGATION, "B", NAVIGATION_LEFT + 1, _ones((0x52,)))
    yield from _row(Block.NAVIGATION, "A", NAVIGATION_LEFT, _ones((0x50, 0x51, 0x4F)))


def _keypad(comma: bool) -> Iterable[Cap]:
    """The keypad; with `comma`, plus is one row high, and a second separator is below it."""
    yield from _row(Block.KEYPAD, "E", KEYPAD_LEFT, _ones((0x53, 0x54, 0x55, 0x56)))
    yield from _row(Block.KEYPAD, "D", KEYPAD_LEFT, _ones((0x5F, 0x60, 0x61)))
    yield _tall(0x57, "D", 1.0 if comma else 2.0)
    yield from _row(Block.KEYPAD, "C", KEYPAD_LEFT, _ones((0x5C, 0x5D, 0x5E)))
    if comma:
        yield _tall(0x85, "C", 1.0)
    yield from _row(Block.KEYPAD, "B", KEYPAD_LEFT, _ones((0x59, 0x5A, 0x5B)))
    yield _tall(0x58, "B", 2.0)
    yield from _row(Block.KEYPAD, "A", KEYPAD_LEFT, ((0x62, 2.0), (0x63, 1.0)))


def _tall(usage: int, row: str, height: float) -> Cap:
    """A key at the right edge of the keypad."""
    return Cap(usage=Usage(usage), block=Block.KEYPAD, row=row, left=KEYPAD_LEFT + 3, top=TOPS[row], height=height)
