"""Which directions a stick shows: eight sectors of the pair X and Y, and a single axis by itself.

An axis that runs from `min` to `max` is at v = 2 value - (min + max), which is 0 in the middle and max - min at its
end. The stick leaves its dead zone when x^2 + y^2 >= press^2, and is back in it below release^2. Outside, it is
straight or diagonal. Straight becomes diagonal if twice the lesser of x and y is more than the greater; diagonal
becomes straight if three times the lesser is less. These borders are at 26.57 and 18.43 degrees, equally far from 22.5
degrees on either side, because atan 1/2 + atan 1/3 = 45 degrees. A stick that leaves its dead zone is diagonal beyond
22.5 degrees itself, which is (x + y)^2 > 2 max(x, y)^2. Nothing is shown until a report was inside the dead zone.

The numbers are those of `mm_pad.c`, where no product has more than 32 bits.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from matrixmap.hid.pads.sources import Direction

PRESS: Final = 50
RELEASE: Final = 40
"""Per cent of the way from the middle to the end; common practice for sticks that act as switches."""

_LARGEST: Final = 0x7FFF


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Where the dead zone ends and where it begins again, in per cent: 1 to 100, release not above press."""

    press: int = PRESS
    release: int = RELEASE


USUAL: Final = Thresholds()


class Reach(Enum):
    """The state of a stick: not yet seen at rest, in its dead zone, or out of it and straight or diagonal."""

    NEW = 0
    CENTRE = 1
    STRAIGHT = 2
    DIAGONAL = 3


Shown = tuple[Reach, frozenset[Direction]]
NOTHING: Final[Shown] = (Reach.NEW, frozenset())


def moved(before: Reach, x: int, x_range: int, y: int, y_range: int, limits: Thresholds) -> Shown:
    """What the stick shows at x and y, each within plus or minus its range (1 to 65535), given what it showed."""
    across, up, end = abs(x), abs(y), x_range
    if x_range != y_range:
        across, up, end = across * y_range, up * x_range, x_range * y_range
    while end > _LARGEST:
        across, up, end = across >> 1, up >> 1, end >> 1
    away = across * across + up * up
    out = before in (Reach.STRAIGHT, Reach.DIAGONAL)
    if away < _part(end, limits.press if before is Reach.CENTRE else limits.release) ** 2:
        return Reach.CENTRE, frozenset()
    if before is Reach.NEW:
        return NOTHING
    lesser, greater = min(across, up), max(across, up)
    if not out:
        diagonal = lesser * (lesser + 2 * greater) > greater * greater
    elif before is Reach.DIAGONAL:
        diagonal = 3 * lesser >= greater
    else:
        diagonal = 2 * lesser > greater
    found = set()
    if diagonal or up > across:
        found.add(Direction.UP if y < 0 else Direction.DOWN)
    if diagonal or up <= across:
        found.add(Direction.LEFT if x < 0 else Direction.RIGHT)
    return Reach.DIAGONAL if diagonal else Reach.STRAIGHT, frozenset(found)


class Side(Enum):
    """The state of a single axis: not yet seen at rest, in its dead zone, or at its low or its high end."""

    NEW = 0
    CENTRE = 1
    LOW = 2
    HIGH = 3


def slid(before: Side, value: int, end: int, limits: Thresholds) -> Side:
    """The state of an axis at a value within plus or minus `end`, after its state before."""
    away = abs(value)
    if before is Side.NEW:
        return Side.CENTRE if away < _part(end, limits.release) else before
    side = Side.LOW if value < 0 else Side.HIGH
    return side if away >= _part(end, limits.release if before is side else limits.press) else Side.CENTRE


def _part(end: int, percent: int) -> int:
    """A percentage of the way, in whole steps, rounded up."""
    return (percent * end + 99) // 100
