"""Phantoms by their three contacts: which crosspoints complete which pairs to a phantom.

There is a phantom if and only if three closed contacts form a path with an open fourth corner. Current enters at the
sense line of the open corner and passes a first contact to another select line. It runs back through a second contact,
the corner of the path, to another sense line, and through a third contact to the strobed line.

        N0    N1
    S0  x-----x     S0/N1 is the corner of the path
        |     |
    S1  ?-----x     S1/N0 reads closed when S1 is strobed

All masks here are over contacts: bit c is contact c. This is for plain switches only: a diode in the corner's contact,
conducting from sense to select line, breaks the path.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.circuit.reading import phantoms_possible
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Machine


@dataclass(frozen=True, slots=True)
class Corners:
    """A matrix of plain switches: its contacts by line, as masks."""

    rows: tuple[int, ...]
    columns: tuple[int, ...]

    def completing(self, one: int, other: int) -> int:
        """The contacts that each make a phantom with two given ones; 0 if the two are the same."""
        width = len(self.columns)
        (select, sense), (select_2, sense_2) = divmod(one, width), divmod(other, width)
        if select == select_2:
            if sense == sense_2:
                return 0
            return (self.columns[sense] | self.columns[sense_2]) & ~self.rows[select]
        if sense == sense_2:
            return (self.rows[select] | self.rows[select_2]) & ~self.columns[sense]
        return 1 << select * width + sense_2 | 1 << select_2 * width + sense

    def table(self) -> tuple[tuple[int, ...], ...]:
        """`completing` for all pairs of crosspoints, line by line."""
        width = len(self.columns)
        lines = list(enumerate(self.columns))
        table = []
        for select, across in enumerate(self.rows):
            for sense, down in lines:
                row: list[int] = []
                for other, across_2 in enumerate(self.rows):
                    if other == select:
                        row += [(down | down_2) & ~across if number != sense else 0 for number, down_2 in lines]
                        continue
                    below, beside = 1 << other * width + sense, 1 << select * width
                    cross = (across | across_2) & ~down
                    row += [beside << number | below if number != sense else cross for number, _ in lines]
                table.append(tuple(row))
        return tuple(table)

    def triples(self, among: int) -> Iterator[tuple[Contact, Contact, Contact, Contact]]:
        """All phantoms of three contacts in a mask: corner, the one on its select line, on its sense line, phantom."""
        width = len(self.columns)
        by_row = [list(_bits(row & among)) for row in self.rows]
        by_column = [list(_bits(column & among)) for column in self.columns]
        for select, row in enumerate(by_row):
            for corner in row:
                column = by_column[corner - select * width]
                for beside in row:
                    if beside == corner:
                        continue
                    for below in column:
                        if below != corner:
                            yield corner, beside, below, Contact(below - corner + beside)

    def rectangles(self, among: int) -> Iterator[tuple[Contact, Contact, Contact, Contact]]:
        """All rectangles with all four corners in a mask, row by row."""
        width = len(self.columns)
        for first, row in enumerate(self.rows):
            for second in range(first + 1, len(self.rows)):
                offset = (second - first) * width
                shared = [contact for contact in _bits(row & among) if among >> (contact + offset) & 1]
                for number, left in enumerate(shared):
                    for right in shared[number + 1 :]:
                        yield left, right, Contact(left + offset), Contact(right + offset)


def corners_of(machine: Machine, how: Contacts) -> Corners | None:
    """The corners of a machine's matrix; None if contacts closed in this way can make no phantom."""
    if not phantoms_possible(machine, how):
        return None
    width = len(machine.sense)
    row = (1 << width) - 1
    column = sum(1 << select * width for select in range(len(machine.select)))
    return Corners(
        rows=tuple(row << select * width for select in range(len(machine.select))),
        columns=tuple(column << sense for sense in range(width)),
    )


def _bits(mask: int) -> Iterator[Contact]:
    while mask:
        low = mask & -mask
        yield Contact(low.bit_length() - 1)
        mask ^= low
