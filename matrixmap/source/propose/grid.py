"""A matrix before it has a file: its lines and the contents of its crosspoints, each with its place in the source."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.model.place import Place
from matrixmap.source.shape.names import LINE

LINE_NAME = re.compile(LINE)
RANGE = re.compile(r"([A-Za-z][A-Za-z0-9]*?)(\d+)\s*-\s*\1(\d+)")
PREFIX = re.compile(r"[A-Za-z]+")
SELECT_PREFIX, SENSE_PREFIX = "S", "N"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """The text for one key, and its place."""

    text: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Lines and the cells where they cross, one row for each select line; None where there is no key.

    `direct` holds keys on lines of their own, each with its line. `one_way` holds the cells with a contact that
    conducts one way only. `pins` lists the lines on the connector from pin 1, if known.
    """

    select: tuple[str, ...]
    sense: tuple[str, ...]
    rows: tuple[tuple[Cell | None, ...], ...]
    direct: tuple[tuple[Cell, str], ...] = ()
    one_way: frozenset[Cell] = frozenset()
    pins: tuple[str | None, ...] = ()

    def cells(self) -> Iterable[Cell]:
        """All cells with a key: row by row, then those on lines of their own."""
        yield from (cell for row in self.rows for cell in row if cell is not None)
        yield from (cell for cell, _ in self.direct)


def line_name(text: str, prefix: str) -> str | None:
    """A line's name from a table's label: `/A8` is A8, `bit 7` is bit7, `3` is the prefix and 3; None for no name."""
    name = "".join(re.findall(r"[A-Za-z0-9]+", text))
    if name[:1].isdigit():
        name = prefix + name
    return name if LINE_NAME.fullmatch(name) else None


def given_lines(text: str, labels: Iterable[str]) -> list[str] | None:
    """The names that an option gives: `A8-A15`, `X0,X1,X5`, or a prefix alone, which takes its number from each label.

    None if the text is none of these.
    """
    if PREFIX.fullmatch(text):
        return [f"{text}{_number(label, index)}" for index, label in enumerate(labels)]
    names: list[str] = []
    for part in text.split(","):
        found = RANGE.fullmatch(part.strip())
        if found:
            first, last = int(found[2]), int(found[3])
            if abs(last - first) > 64:
                return None
            step = 1 if last >= first else -1
            names += [f"{found[1]}{number}" for number in range(first, last + step, step)]
        elif LINE_NAME.fullmatch(part.strip()):
            names.append(part.strip())
        else:
            return None
    return names


def _number(label: str, index: int) -> str:
    found = re.search(r"\d+$", label)
    return found.group() if found else str(index)
