"""The matrix as a grid of crosspoints: select lines across, sense lines down, and the keys where they cross."""

from __future__ import annotations

from collections.abc import Mapping

from matrixmap.emit.faces import Reach
from matrixmap.emit.svg import element, glyph, markup, number, text_line, text_width
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.words import shown

CELL_WIDTH = 104.0
CELL_HEIGHT = 46.0
HEAD = 56.0
"""Room for the names of the lines, on the left and at the top."""


def grid_size(machine: Machine) -> tuple[float, float]:
    """Width and height of the grid with its direct lines, in units."""
    rows = len(machine.select) + len(machine.direct)
    return HEAD + len(machine.sense) * CELL_WIDTH + 8, HEAD * 0.6 + rows * CELL_HEIGHT + 4


def draw_grid(machine: Machine, reached: Mapping[Contact, Reach], marked: frozenset[Contact], word: str) -> str:
    """The grid as a table: a row a select line, then a row a direct line."""
    names = {key.contact: key.name for key in machine.keys}
    top = HEAD * 0.6
    heads = [element("g", role="columnheader", aria_label="select line")]
    lines = []
    for column, sense in enumerate(machine.sense):
        x = HEAD + column * CELL_WIDTH + 14
        heads.append(_head(sense, x, top - 12, "columnheader", "middle"))
        bottom = top + len(machine.select) * CELL_HEIGHT
        lines.append(element("path", d=f"M{number(x)} {number(top - 6)}V{number(bottom)}", class_="line"))
    rows = [element("g", *heads, role="row")]
    for row, select in enumerate(machine.select):
        y = top + row * CELL_HEIGHT + 14
        lines.append(
            element("path", d=f"M{number(HEAD - 8)} {number(y)}h{number(grid_size(machine)[0] - HEAD)}", class_="line")
        )
        cells = [_head(select, HEAD - 14, y + 4, "rowheader", "end")]
        for column in range(len(machine.sense)):
            contact = Contact(row * len(machine.sense) + column)
            place = (HEAD + column * CELL_WIDTH + 14, y)
            cells.append(
                _cell(machine, contact, names.get(contact), reached, place, word if contact in marked else None)
            )
        rows.append(element("g", *cells, role="row"))
    for index, line in enumerate(machine.direct):
        y = top + (len(machine.select) + index) * CELL_HEIGHT + 14
        contact = Contact(machine.crosspoints + index)
        lines.append(element("path", d=f"M{number(HEAD - 8)} {number(y)}h22", class_="line"))
        cell = _cell(machine, contact, names.get(contact), reached, (HEAD + 14, y), word if contact in marked else None)
        rows.append(element("g", _head(line, HEAD - 14, y + 4, "rowheader", "end"), cell, role="row"))
    label = f"The matrix of the {machine.title}: select lines are rows, sense lines are columns"
    table = element("g", *rows, role="table", aria_label=shown(label))
    return element("g", *lines, aria_hidden="true") + table


def _head(name: str, x: float, y: float, role: str, anchor: str) -> str:
    text = text_line(name, x, y, HEAD - 18, 13, bold=True, anchor=anchor, class_="line-name")
    return element("g", text, role=role, aria_label=name)


def _cell(
    machine: Machine,
    contact: Contact,
    name: str | None,
    reached: Mapping[Contact, Reach],
    place: tuple[float, float],
    mark: str | None,
) -> str:
    """A crosspoint: a filled dot for a reached key, a ring for one that nothing reaches, a small cross for no key."""
    x, y = place
    where = machine.contact_name(contact)
    if name is None:
        cross = element("path", d=f"M{number(x - 3)} {number(y - 3)}l6 6m0 -6l-6 6", class_="none")
        return element(
            "g", element("title", markup(f"{where}: no key")), cross, role="cell", aria_label=f"{where}: no key"
        )
    reach = reached.get(contact, Reach())
    by = ", ".join(shown(way) for way in reach.ways)
    spoken = f"{f'{mark}: ' if mark else ''}{where}: {name}, {f'reached by {by}' if by else 'reached by no key'}"
    room = CELL_WIDTH - 18
    parts = [
        element("title", markup(spoken)),
        element("circle", cx=x, cy=y, r=5, class_="dot" if by else "ring"),
        text_line(name, x + 9, y - 4, room, 11, bold=True, class_="cell-key"),
        text_line(_some(reach.keys, room), x + 9, y + 12, room, 10, class_="reach"),
    ]
    if mark:
        parts.append(element("path", d=f"M{number(x - 9)} {number(y - 9)}h18v18h-18Z", class_="mark"))
    classes = "crosspoint" + (" marked" if mark else "")
    return element("g", *parts, role="cell", aria_label=spoken, class_=classes)


def _some(names: tuple[str, ...], room: float) -> str:
    """As many names as fit, and how many are left out."""
    if not names:
        return "none"
    text = glyph(names[0])
    for index, name in enumerate(names[1:], start=1):
        if text_width(f"{text}  {glyph(name)}", 10) > room:
            return f"{text} +{len(names) - index}"
        text = f"{text}  {glyph(name)}"
    return text
