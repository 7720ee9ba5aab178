"""Signs that text fonts often lack, each as a shape: arrows, hands, flags, mathematics, small digits and fractions.

The text fonts of a language have its letters and the signs of its 8-bit code page; everything else is drawn. A shape is
in a cell of one unit per side, with its upper left corner at 0, 0; a narrower shape gives its width.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import cos, pi, sin
from typing import Final

Point = tuple[float, float]
Line = tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Filled closed outlines, stroked lines, and whether there is a frame around the cell.

    `width` is the used part of the cell from the left, `weight` the weight of its lines relative to others.
    """

    filled: tuple[Line, ...] = ()
    lines: tuple[Line, ...] = ()
    framed: bool = False
    width: float = 1.0
    weight: float = 1.0


def arc(middle: Point, radius: float, start: float = 0.0, end: float = 2.0, steps: int = 24, flat: float = 1.0) -> Line:
    """An arc as a line with many sides; angles in half turns, clockwise from the right. `flat` is height by width."""
    turns = (start + (end - start) * step / steps for step in range(steps + 1))
    return tuple((middle[0] + radius * cos(pi * turn), middle[1] + flat * radius * sin(pi * turn)) for turn in turns)


def turned(shape: Shape, quarters: int) -> Shape:
    """A shape turned clockwise about the middle of its cell."""

    def turn(line: Line) -> Line:
        for _ in range(quarters):
            line = tuple((1 - y, x) for x, y in line)
        return line

    return replace(shape, filled=tuple(map(turn, shape.filled)), lines=tuple(map(turn, shape.lines)))


def _mirrored(line: Line) -> Line:
    return tuple((1 - x, y) for x, y in line)


ARROW: Final = Shape(lines=(((0.5, 0.9), (0.5, 0.12)), ((0.2, 0.42), (0.5, 0.12), (0.8, 0.42))))
"""An arrow that points up."""

LEVEL: Final = Shape(lines=(((0.5, 0.06), (0.94, 0.5), (0.7, 0.5), (0.7, 0.92), (0.3, 0.92), (0.3, 0.5), (0.06, 0.5), (0.5, 0.06)),))  # fmt: skip
"""The sign of ISO/IEC 9995-7 for the second level."""


def _arrows() -> Iterator[tuple[str, Shape]]:
    for quarters, char in enumerate("↑→↓←"):
        yield char, turned(ARROW, quarters)
    yield "⇧", LEVEL
    both = (
        ((0.06, 0.5), (0.94, 0.5)),
        ((0.3, 0.26), (0.06, 0.5), (0.3, 0.74)),
        ((0.7, 0.26), (0.94, 0.5), (0.7, 0.74)),
    )
    yield "↔", Shape(lines=both)
    yield "⇌", Shape(lines=(((0.06, 0.38), (0.94, 0.38), (0.66, 0.14)), ((0.94, 0.62), (0.06, 0.62), (0.34, 0.86))))
    # An open circle with its head at the upper right, clockwise; its mirror image is anticlockwise.
    ring = (arc((0.5, 0.54), 0.38, -0.2, 1.5, 24), ((0.87, 0.04), (0.83, 0.32), (0.55, 0.3)))
    yield "↻", Shape(lines=ring)
    yield "↺", Shape(lines=tuple(map(_mirrored, ring)))


def _things() -> Iterator[tuple[str, Shape]]:
    """Flags and hands: filled for black, outlined for white, as The Unicode Standard names them."""
    cloth: Line = ((0.22, 0.1), (0.9, 0.1), (0.7, 0.33), (0.9, 0.56), (0.22, 0.56))
    pole: Line = ((0.22, 0.06), (0.22, 0.96))
    yield "⚑", Shape(filled=(cloth,), lines=(pole,))
    yield "⚐", Shape(lines=(pole, (*cloth, cloth[0])))
    # A cuff, the fist with its thumb, and the finger that points to the right.
    hand: Line = (
        (0.2, 0.3), (0.38, 0.3), (0.5, 0.14), (0.6, 0.2), (0.54, 0.36), (0.96, 0.36), (0.96, 0.5), (0.64, 0.5), (0.64, 0.62), (0.58, 0.74), (0.5, 0.86), (0.2, 0.86),
    )  # fmt: skip
    cuff: Line = ((0.03, 0.26), (0.14, 0.26), (0.14, 0.9), (0.03, 0.9))
    yield "☛", Shape(filled=(hand, cuff))
    yield "☞", Shape(lines=((*hand, hand[0]), (*cuff, cuff[0])))


def _mathematics() -> Iterator[tuple[str, Shape]]:
    wave: Line = tuple((0.06 + 0.88 * step / 16, -0.1 * sin(2 * pi * step / 16)) for step in range(17))
    wave_at = [tuple((x, y + top) for x, y in wave) for top in (0.34, 0.5, 0.66)]
    level: Line = ((0.1, 0.5), (0.9, 0.5))
    equals: tuple[Line, ...] = (((0.08, 0.38), (0.92, 0.38)), ((0.08, 0.64), (0.92, 0.64)))
    less: Line = ((0.88, 0.1), (0.12, 0.42), (0.88, 0.74))
    under: Line = ((0.12, 0.94), (0.88, 0.94))
    wedge: Line = ((0.1, 0.88), (0.5, 0.12), (0.9, 0.88))
    cup: Line = ((0.14, 0.12), *arc((0.5, 0.52), 0.36, 1.0, 0.0, 14), (0.86, 0.12))
    yield "√", Shape(lines=(((0.02, 0.56), (0.18, 0.48), (0.4, 0.92), (0.66, 0.08), (0.98, 0.08)),))
    # A lemniscate of Gerono: x by the cosine, y by sine times cosine.
    lemniscate = tuple((0.5 + 0.46 * cos(t), 0.52 + 0.5 * sin(t) * cos(t)) for t in (pi * i / 16 for i in range(33)))
    yield "∞", Shape(lines=(lemniscate,))
    yield from (("≈", Shape(lines=(wave_at[0], wave_at[2]))), ("∼", Shape(lines=(wave_at[1],))))
    yield "≠", Shape(lines=(*equals, ((0.72, 0.1), (0.28, 0.92))))
    yield from (("≤", Shape(lines=(less, under))), ("≥", Shape(lines=(_mirrored(less), under))))
    yield "∅", Shape(lines=(arc((0.5, 0.5), 0.36), ((0.88, 0.08), (0.12, 0.92))))
    yield "∪", Shape(lines=(cup,))
    yield from (("∧", Shape(lines=(wedge,))), ("∨", turned(Shape(lines=(wedge,)), 2)))
    yield from (("−", Shape(lines=(level,))), ("∕", Shape(lines=(((0.75, 0.06), (0.25, 0.94)),))))
    yield "⋅", Shape(filled=(arc((0.2, 0.54), 0.09, steps=12),), width=0.4)
    corner: Line = ((0.34, 0.02), (0.1, 0.5), (0.34, 0.98))
    yield "⟨", Shape(lines=(corner,), width=0.44)
    yield "⟩", Shape(lines=(tuple((0.44 - x, y) for x, y in corner),), width=0.44)
    prime: Line = ((0.1, 0.42), (0.2, 0.06), (0.32, 0.08))
    yield "′", Shape(filled=(prime,), width=0.42)
    yield "″", Shape(filled=(prime, tuple((x + 0.28, y) for x, y in prime)), width=0.7)


# Digits as lines in a box of one half by one, as plotters draw them.
_DIGITS: Final[dict[str, tuple[Line, ...]]] = {
    "0": (((0.25, 0.04), (0.42, 0.16), (0.46, 0.5), (0.42, 0.84), (0.25, 0.96), (0.08, 0.84), (0.04, 0.5), (0.08, 0.16), (0.25, 0.04)),),
    "1": (((0.08, 0.24), (0.28, 0.04), (0.28, 0.96)),),
    "2": (((0.06, 0.22), (0.14, 0.06), (0.36, 0.06), (0.45, 0.22), (0.42, 0.42), (0.05, 0.96), (0.47, 0.96)),),
    "3": (((0.07, 0.06), (0.45, 0.06), (0.22, 0.42), (0.4, 0.46), (0.46, 0.68), (0.38, 0.9), (0.2, 0.96), (0.05, 0.86)),),
    "4": (((0.36, 0.96), (0.36, 0.04), (0.03, 0.7), (0.48, 0.7)),),
    "5": (((0.43, 0.06), (0.1, 0.06), (0.08, 0.44), (0.28, 0.4), (0.45, 0.52), (0.46, 0.78), (0.32, 0.95), (0.05, 0.92)),),
    "6": (((0.42, 0.08), (0.2, 0.14), (0.06, 0.46), (0.05, 0.76), (0.16, 0.95), (0.36, 0.95), (0.46, 0.76), (0.4, 0.5), (0.2, 0.46), (0.06, 0.62)),),
    "7": (((0.04, 0.06), (0.46, 0.06), (0.18, 0.96)),),
    "8": (((0.25, 0.48), (0.08, 0.36), (0.1, 0.1), (0.25, 0.04), (0.4, 0.1), (0.42, 0.36), (0.25, 0.48), (0.05, 0.64), (0.07, 0.88), (0.25, 0.96), (0.43, 0.88), (0.45, 0.64), (0.25, 0.48)),),
    "9": (((0.08, 0.92), (0.3, 0.86), (0.44, 0.54), (0.45, 0.24), (0.34, 0.05), (0.14, 0.05), (0.04, 0.24), (0.1, 0.5), (0.3, 0.54), (0.44, 0.38)),),
}  # fmt: skip

RAISED: Final = "⁰¹²³⁴⁵⁶⁷⁸⁹"
LOWERED: Final = "₀₁₂₃₄₅₆₇₈₉"
EIGHTHS: Final = {"⅛": "1", "⅜": "3", "⅝": "5", "⅞": "7"}
SMALL: Final = 0.72
"""The height of a small digit, as a share of the cell."""

FINE: Final = 0.75
"""The weight of the lines of small digits."""


def _digit(digit: str, left: float, top: float, height: float) -> tuple[Line, ...]:
    return tuple(tuple((left + height * x, top + height * y) for x, y in line) for line in _DIGITS[digit])


def _small_digits() -> Iterator[tuple[str, Shape]]:
    wide = SMALL / 2 + 0.1
    for number, char in enumerate(RAISED):
        yield char, Shape(lines=_digit(str(number), 0.05, 0.0, SMALL), width=wide, weight=FINE)
    for number, char in enumerate(LOWERED):
        yield char, Shape(lines=_digit(str(number), 0.05, 1.0 - SMALL, SMALL), width=wide, weight=FINE)
    bar: Line = ((0.72, 0.04), (0.28, 0.96))
    for char, above in EIGHTHS.items():
        yield char, Shape(lines=(*_digit(above, 0.04, 0.0, 0.5), bar, *_digit("8", 0.7, 0.5, 0.5)), weight=FINE)


def _letterlike() -> Iterator[tuple[str, Shape]]:
    """Currency signs of this century, signs of one language, and marks without a letter."""
    lira = (
        ((0.34, 0.04), (0.34, 0.95), *arc((0.34, 0.5), 0.45, 0.5, 0.0, 8)),
        ((0.1, 0.46), (0.62, 0.2)),
        ((0.1, 0.66), (0.62, 0.4)),
    )
    yield "₺", Shape(lines=lira, width=0.86)
    hryvnia: Line = (
        (0.2, 0.24),
        (0.34, 0.06),
        (0.62, 0.06),
        (0.76, 0.24),
        (0.68, 0.42),
        (0.3, 0.6),
        (0.22, 0.78),
        (0.36, 0.95),
        (0.64, 0.95),
        (0.8, 0.78),
    )
    yield "₴", Shape(lines=(hryvnia, ((0.06, 0.42), (0.92, 0.42)), ((0.06, 0.6), (0.92, 0.6))))
    drachma = (
        ((0.3, 0.94), (0.3, 0.06), *arc((0.44, 0.5), 0.44, 1.5, 2.5, 12), (0.3, 0.94)),
        ((0.06, 0.5), (0.6, 0.5)),
    )
    yield "₯", Shape(lines=drachma)
    yield "⁊", Shape(lines=(((0.1, 0.28), (0.6, 0.28), (0.3, 1.0)),), width=0.7)
    yield "˚", Shape(lines=(arc((0.25, 0.18), 0.14, steps=12),), width=0.5)
    spots = (
        arc((0.5 + 0.42 * cos(pi * turn / 6), 0.55 + 0.42 * sin(pi * turn / 6)), 0.045, steps=6) for turn in range(12)
    )
    yield "◌", Shape(filled=tuple(spots))


def signs() -> Iterator[tuple[str, Shape]]:
    """Every sign of this module with its shape."""
    yield from _arrows()
    yield from _things()
    yield from _mathematics()
    yield from _small_digits()
    yield from _letterlike()
