"""The ways to put one connector on another, and the pins that touch in each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from matrixmap.model.machine import Cell, Header


class Turn(Enum):
    """How a connector is held: as meant, turned round, or on the other side of the board, which swaps rows or ends."""

    STRAIGHT = "as meant"
    TURNED = "turned round"
    OTHER_SIDE = "on the other side"
    OTHER_SIDE_TURNED = "on the other side, turned round"


CELLS: Mapping[Turn, Callable[[Cell, int, int], Cell]] = {
    Turn.STRAIGHT: lambda cell, rows, columns: cell,
    Turn.TURNED: lambda cell, rows, columns: (rows - 1 - cell[0], columns - 1 - cell[1]),
    Turn.OTHER_SIDE: lambda cell, rows, columns: (rows - 1 - cell[0], cell[1]),
    Turn.OTHER_SIDE_TURNED: lambda cell, rows, columns: (cell[0], columns - 1 - cell[1]),
}
"""Turn -> the cell over a cell of the other connector, given the rows and columns of both."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way to put one connector on another: how it is held, and by how many rows and columns it is shifted."""

    turn: Turn
    down: int
    along: int

    def words(self) -> str:
        """The way in words: `turned round, shifted by 2 pins along`."""
        shifted = bool(self.along or self.down)
        parts = [] if shifted and self.turn is Turn.STRAIGHT else [self.turn.value]
        for by, where in ((self.along, "along"), (self.down, "across")):
            if by:
                parts.append(
                    f"shifted by {abs(by)} pin{'s' if abs(by) > 1 else ''} {'back' if by < 0 else 'on'} {where}"
                )
        return ", ".join(parts)


AS_MEANT = Way(turn=Turn.STRAIGHT, down=0, along=0)


def touching(fixed: Header, put_on: Header, way: Way) -> tuple[tuple[int, int], ...]:
    """The pins that touch: number on the fixed connector, number on the one put on it. Both have one size and pitch.

    A shift moves the connector that is put on. A pin with nothing below it touches nothing.
    """
    pairs: list[tuple[int, int]] = []
    for cell in put_on.cells():
        row, column = CELLS[way.turn](cell, put_on.rows, put_on.columns)
        row, column = row + way.down, column + way.along
        if 0 <= row < fixed.rows and 0 <= column < fixed.columns:
            pairs.append((fixed.pin((row, column)), put_on.pin(cell)))
    return tuple(sorted(pairs))


def ways(shape: Header, mirrored: bool = True) -> tuple[Way, ...]:
    """All ways in which at least one pin touches another; ways on the other side only if `mirrored`.

    For a single row, the ways on the other side are the same as those turned or not turned.
    """
    mirrored = mirrored and shape.rows > 1 and shape.columns > 1
    turns = tuple(Turn) if mirrored else (Turn.STRAIGHT, Turn.TURNED)
    return tuple(
        Way(turn=turn, down=down, along=along)
        for turn in turns
        for down in range(1 - shape.rows, shape.rows)
        for along in range(1 - shape.columns, shape.columns)
    )
