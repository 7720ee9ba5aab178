"""The matrix as a grid of crosspoints: select lines across, sense lines down, and a key at each crossing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from matrixmap.emit.pictures.faces import Reach
from matrixmap.emit.pictures.keys import BETWEEN
from matrixmap.emit.pictures.svg import element, markup, number, text_line
from matrixmap.emit.pictures.words import Tongue, reach_words
from matrixmap.emit.pictures.written import line, line_width
from matrixmap.model.machine import Contact, Machine

LEAST_CELL = 104.0
CELL_HEIGHT = 46.0
HEAD = 56.0
"""Room for the names of the lines on the left."""

TOP = 34.0
"""Room for the names of the lines at the top."""

INSET = 14.0
"""Distance from the corner of a cell to its crosspoint."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The input of a grid: the machine, what reaches its contacts, the width of a cell, the language."""

    machine: Machine
    reached: Mapping[Contact, Reach]
    cell: float
    tongue: Tongue

    @property
    def width(self) -> float:
        """The width of the grid in units."""
        return HEAD + len(self.machine.sense) * self.cell

    @property
    def height(self) -> float:
        """The height of the grid with its direct lines."""
        return TOP + (len(self.machine.select) + len(self.machine.direct)) * CELL_HEIGHT


def make_grid(machine: Machine, reached: Mapping[Contact, Reach], width: float, tongue: Tongue) -> Grid:
    """The grid in a given width, or wider if its columns would get too narrow."""
    cell = max((width - HEAD) / len(machine.sense), LEAST_CELL)
    return Grid(machine=machine, reached=reached, cell=cell, tongue=tongue)


def draw_grid(grid: Grid) -> str:
    """The grid as a table: one row for each select line, then one for each direct line."""
    machine = grid.machine
    names = {key.contact: key.name for key in machine.keys}
    bottom = TOP + len(machine.select) * CELL_HEIGHT
    heads = [element("g", role="cell")]
    lines = []
    for column, sense in enumerate(machine.sense):
        x = HEAD + column * grid.cell + INSET
        heads.append(_head(sense, x, TOP - 12, "columnheader", "middle"))
        lines.append(element("path", d=f"M{number(x)} {number(TOP - 6)}V{number(bottom - 18)}", class_="line"))
    rows = [element("g", *heads, role="row")]
    for row, name in enumerate((*machine.select, *machine.direct)):
        y = TOP + row * CELL_HEIGHT + INSET
        count = len(machine.sense) if row < len(machine.select) else 1
        first = row * len(machine.sense) if count > 1 else machine.crosspoints + row - len(machine.select)
        reach = HEAD - 8 + INSET + (count - 1) * grid.cell + 12
        lines.append(element("path", d=f"M{number(HEAD - 8)} {number(y)}H{number(reach)}", class_="line"))
        cells = [_head(name, HEAD - 14, y + 4, "rowheader", "end")]
        for column in range(count):
            contact = Contact(first + column)
            cells.append(_cell(grid, contact, names.get(contact), HEAD + column * grid.cell + INSET, y))
        rows.append(element("g", *cells, role="row"))
    label = grid.tongue.say("matrix-label", machine=machine.title)
    table = element("g", *rows, role="table", aria_label=label)
    return element("g", *lines, aria_hidden="true") + table


def _head(name: str, x: float, y: float, role: str, anchor: str) -> str:
    text = text_line(name, x, y, HEAD - 18, 13, bold=True, anchor=anchor, class_="line-name")
    return element("g", text, role=role, aria_label=name)


def _cell(grid: Grid, contact: Contact, name: str | None, x: float, y: float) -> str:
    """A crosspoint: a filled dot for a reached key, a ring for a key that nothing reaches, a small cross for no key."""
    where = grid.machine.contact_name(contact)
    if name is None:
        cross = element("path", d=f"M{number(x - 3)} {number(y - 3)}l6 6m0 -6l-6 6", class_="none")
        spoken = grid.tongue.say("no-key", lines=where)
        return element("g", element("title", markup(spoken)), cross, role="cell", aria_label=spoken)
    reach = grid.reached.get(contact, Reach())
    spoken = f"{where}: {name}, {reach_words(grid.tongue, reach)}"
    room = grid.cell - 18
    parts = [
        element("title", markup(spoken)),
        element("circle", cx=x, cy=y, r=5, class_="dot" if reach.keys else "ring"),
        text_line(name, x + 9, y - 4, room, 11, bold=True, class_="cell-key"),
        line(
            _some(grid.tongue, tuple(map(grid.tongue.key, reach.short)), room), x + 9, y + 12, room, 10, class_="reach"
        ),
    ]
    return element("g", *parts, role="cell", aria_label=spoken, class_="crosspoint")


def _some(tongue: Tongue, names: tuple[str, ...], room: float) -> str:
    """As many names as fit, and the number of the others."""
    if not names:
        return tongue.page.say("none")
    text = names[0]
    for index, name in enumerate(names[1:], start=1):
        left_out = len(names) - index
        more = f" +{left_out - 1}" if left_out > 1 else ""
        if line_width(f"{text}{BETWEEN}{name}{more}", 10) > room:
            return f"{text} +{left_out}"
        text = f"{text}{BETWEEN}{name}"
    return text
