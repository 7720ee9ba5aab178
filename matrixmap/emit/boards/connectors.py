"""A drawing of both connectors: the machine's as seen by a person, the adapter's from its solder side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.board.cautions import CAUTIONS
from matrixmap.board.nets import GROUND, SUPPLY, Board
from matrixmap.emit.pictures.svg import BOLD, FONTS, element, text_line, text_width, wrap
from matrixmap.model.boards.adapter import Mates, Pin
from matrixmap.model.machine import Cell, Gender, Header

PITCH = 62.0
PAD = 13.0
MARGIN = 24.0
TITLE = 30.0
LEAST_WIDTH = 620.0

STYLE = """
text { font-family: %s; fill: #1b1b1b } .small { fill: #4d4d4d }
.body { fill: #f4f1ea; stroke: #6b6b6b; stroke-width: 1.5 } .pad { fill: #ffffff; stroke: #1b1b1b; stroke-width: 1.5 }
.first { stroke-width: 3 } .blank { fill: #d9d9d9; stroke: #1b1b1b; stroke-width: 1.5 } .cross { stroke: #1b1b1b; stroke-width: 1.5 }
.select { fill: #cfe3f7 } .sense { fill: #d8efd3 } .direct { fill: #f5e0c3 } .ground { fill: #c9c9c9 } .supply { fill: #f6c8c8 }
"""


def connectors_svg(board: Board) -> str:
    """Both connectors with the line on each pin, marks for pin 1 and the blanked pin, and the cautions below."""
    columns = max(board.shape.columns, board.own_shape.columns)
    width = max(columns * PITCH + 2 * MARGIN, LEAST_WIDTH)
    parts: list[str] = []
    y = MARGIN
    title = f"{board.adapter.title} on {board.machine.title}"
    title += f", {board.fit.revision}" if board.fit.revision else ""
    parts.append(text_line(title, MARGIN, y + 14, width - 2 * MARGIN, 18, bold=True))
    y += TITLE
    for heading, body, height in (_machine(board, width), _adapter(board, width)):
        for line in wrap(heading, 13 * BOLD, width - 2 * MARGIN, 3):
            parts.append(text_line(line, MARGIN, y + 12, width - 2 * MARGIN, 13, bold=True))
            y += 18
        parts.append(element("g", *body, transform=f"translate({MARGIN} {y + 6})"))
        y += height + 22
    for line in _legend(board):
        for piece in wrap(line, 12, width - 2 * MARGIN, 4):
            parts.append(text_line(piece, MARGIN, y + 12, width - 2 * MARGIN, 12, class_="small"))
            y += 17
    y += 8
    parts.append(
        text_line("Before you wire anything (common practice):", MARGIN, y + 12, width - 2 * MARGIN, 13, bold=True)
    )
    y += 20
    for caution in CAUTIONS:
        for number, piece in enumerate(wrap(caution, 12, width - 2 * MARGIN - 14, 3)):
            if not number:
                parts.append(text_line("\u2022", MARGIN, y + 12, 12, 12))
            parts.append(text_line(piece, MARGIN + 14, y + 12, width - 2 * MARGIN - 14, 12))
            y += 17
    height = y + MARGIN
    return (
        element(
            "svg",
            element("title", title.replace("<", "")),
            element("style", (STYLE % FONTS).replace("<", "")),
            element("rect", x=0, y=0, width=width, height=height, fill="#ffffff"),
            *parts,
            xmlns="http://www.w3.org/2000/svg",
            width=width,
            height=height,
            viewBox=f"0 0 {width:g} {height:g}",
        )
        + "\n"
    )


def _machine(board: Board, width: float) -> tuple[str, list[str], float]:
    lines = dict(enumerate(board.connector.pins, start=1))
    kind = "pins" if board.shape.gender is Gender.PLUG else "holes"
    side = ", which is on the other side of the machine's board" if board.fit.other_side else ""
    heading = f"The machine's connector{side}, seen as one looks at its {kind}"
    return heading, list(_connector(board, board.shape, lines, board.connector.key_pin, False)), _height(board.shape)


def _adapter(board: Board, width: float) -> tuple[str, list[str], float]:
    at = {own: board.connector.pins[pin - 1] for pin, own in board.pairs}
    names: dict[int, str | None] = {}
    for number in range(1, board.own_shape.size + 1):
        net = board.nets.get(Pin(board.header.ref, str(number)))
        names[number] = at.get(number) or (net.name if net is not None else None)
    heading = f"{board.header.ref} of the adapter, seen from the solder side: mirrored"
    if board.fit.through is not None:
        heading += f"; {board.fit.through.title} leads to the machine"
    return (
        heading,
        list(_connector(board, board.own_shape, names, board.header.key_pin, True)),
        _height(board.own_shape),
    )


def _height(shape: Header) -> float:
    return shape.rows * (PITCH + 8) + 6


def _place(shape: Header, cell: Cell, mirrored: bool) -> tuple[float, float]:
    row, column = cell
    across = shape.columns - 1 - column if mirrored else column
    return (across + 0.5) * PITCH, (row + 0.5) * (PITCH + 8)


def _connector(
    board: Board, shape: Header, lines: dict[int, str | None], blank: int | None, mirrored: bool
) -> Iterator[str]:
    yield element("rect", x=0, y=0, width=shape.columns * PITCH, height=_height(shape), rx=6, class_="body")
    for cell in shape.cells():
        pin = shape.pin(cell)
        x, y = _place(shape, cell, mirrored)
        yield from _pin(board, pin, lines.get(pin), pin == blank, x, y - 8)


def _pin(board: Board, pin: int, line: str | None, blank: bool, x: float, y: float) -> Iterator[str]:
    kind = "blank" if blank else f"pad {_kind(board, line)}"
    if pin == 1:
        yield element("rect", x=x - PAD, y=y - PAD, width=2 * PAD, height=2 * PAD, class_=f"{kind} first")
    else:
        yield element("circle", cx=x, cy=y, r=PAD, class_=kind)
    if blank:
        arm = PAD * 0.7
        yield element(
            "path",
            d=f"M{x - arm:g} {y - arm:g}L{x + arm:g} {y + arm:g}M{x - arm:g} {y + arm:g}L{x + arm:g} {y - arm:g}",
            class_="cross",
        )
    else:
        yield text_line(str(pin), x, y + 4, 2 * PAD - 4, 11, anchor="middle", bold=True)
    text = f"{pin} blanked" if blank else (line or "not used")
    size = 11.0
    room = PITCH - 4
    yield text_line(text, x, y + PAD + 15, room, size if text_width(text, size) <= room else 9.5, anchor="middle")


def _kind(board: Board, line: str | None) -> str:
    machine = board.machine
    for kind, lines in (("select", machine.select), ("sense", machine.sense), ("direct", machine.direct)):
        if line in lines:
            return kind
    return {GROUND: "ground", SUPPLY: "supply"}.get(line or "", "none")


def _legend(board: Board) -> Iterable[str]:
    yield "Pin 1 is square with a thick edge; a crossed pin is blanked: it is removed, or its hole is filled."
    electric = board.electric
    if electric.supply_v is not None and SUPPLY in board.connector.pins:
        most = f", at most {electric.supply_ma:g} mA" if electric.supply_ma is not None else ""
        yield f"The supply pin gives {electric.supply_v:g} V{most}."
    for use in board.adapter.headers(Mates.OWN_KEYBOARD):
        yield f"The machine's own keyboard goes on {use.ref}, in parallel."
    yield f"Source of the wiring: {board.adapter.source}. Source of the machine: {board.machine.source}."
