"""The legends that are drawn as paths, so that they need no font, and their shapes.

Blocks, lines and the open box for Space have a thin frame around their own cell, so that two neighbours never merge.
Arrows, Enter, Tab and Backspace are symbols; screen readers get their names from the key. A shape is in a cell of one
unit per side, with its upper left corner at 0, 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from math import cos, pi, sin
from typing import Final

from matrixmap.emit.pictures.signs import ARROW, Line, Shape, arc, signs, turned
from matrixmap.emit.pictures.svg import element, number

FRAME: Final[Line] = ((0, 0), (1, 0), (1, 1), (0, 1), (0, 0))

# U+2580 to U+259F of The Unicode Standard, chart "Block Elements": quadrants from the upper left, row by row.
_QUADRANTS = {
    "▖": "0010", "▗": "0001", "▘": "1000", "▙": "1011", "▚": "1001", "▛": "1110", "▜": "1101", "▝": "0100", "▞": "0110", "▟": "0111",
}  # fmt: skip
_SHADES = {"░": 1, "▒": 2, "▓": 3}
_EIGHTHS_FROM_BELOW = "▁▂▃▄▅▆▇█"
_EIGHTHS_FROM_LEFT = "▏▎▍▌▋▊▉"

# Arms of U+2500 to U+257F, chart "Box Drawing": up, right, down, left; 1 light, 2 heavy, 3 double.
_BOX = (
    "─0101 ━0202 │1010 ┃2020 ┌0110 ┍0210 ┎0120 ┏0220 ┐0011 ┑0012 ┒0021 ┓0022 └1100 ┕1200 ┖2100 ┗2200 ┘1001 ┙1002 ┚2001 ┛2002 "
    "├1110 ┝1210 ┞2110 ┟1120 ┠2120 ┡2210 ┢1220 ┣2220 ┤1011 ┥1012 ┦2011 ┧1021 ┨2021 ┩2012 ┪1022 ┫2022 "
    "┬0111 ┭0112 ┮0211 ┯0212 ┰0121 ┱0122 ┲0221 ┳0222 ┴1101 ┵1102 ┶1201 ┷1202 ┸2101 ┹2102 ┺2201 ┻2202 "
    "┼1111 ┽1112 ┾1211 ┿1212 ╀2111 ╁1121 ╂2121 ╃2112 ╄2211 ╅1122 ╆1221 ╇2212 ╈1222 ╉2122 ╊2221 ╋2222 "
    "═0303 ║3030 ╒0310 ╓0130 ╔0330 ╕0013 ╖0031 ╗0033 ╘1300 ╙3100 ╚3300 ╛1003 ╜3001 ╝3003 "
    "╞1310 ╟3130 ╠3330 ╡1013 ╢3031 ╣3033 ╤0313 ╥0131 ╦0333 ╧1303 ╨3101 ╩3303 ╪1313 ╫3131 ╬3333 "
    "╴0001 ╵1000 ╶0100 ╷0010 ╸0002 ╹2000 ╺0200 ╻0020 ╼0201 ╽1020 ╾0102 ╿2010"
)
_DASHED = {"┄": (3, 0), "┅": (3, 0), "┆": (3, 1), "┇": (3, 1), "┈": (4, 0), "┉": (4, 0), "┊": (4, 1), "┋": (4, 1), "╌": (2, 0), "╍": (2, 0), "╎": (2, 1), "╏": (2, 1)}  # fmt: skip
_HEAVY_DASHES = "┅┇┉┋╍╏"
_ARCS = {"╭": (1, 1), "╮": (-1, 1), "╯": (-1, -1), "╰": (1, -1)}
_WEIGHTS = {1: (0.0,), 2: (-0.05, 0.0, 0.05), 3: (-0.12, 0.12)}


def _box(left: float, top: float, right: float, bottom: float) -> Line:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _arms(arms: str) -> Iterator[Line]:
    """Lines from the middle of the cell to its edges; heavy and double ones are several lines side by side."""
    for (dx, dy), weight in zip(((0, -1), (1, 0), (0, 1), (-1, 0)), map(int, arms), strict=True):
        for aside in _WEIGHTS.get(weight, ()):
            x, y = 0.5 + aside * abs(dy), 0.5 + aside * abs(dx)
            yield (x, y), (x + 0.5 * dx, y + 0.5 * dy)


def _dashes(count: int, upright: int, heavy: bool) -> Iterator[Line]:
    for index in range(count):
        start, end = (index + 0.2) / count, (index + 0.8) / count
        for aside in _WEIGHTS[2 if heavy else 1]:
            at = 0.5 + aside
            yield ((at, start), (at, end)) if upright else ((start, at), (end, at))


def _arc(dx: int, dy: int) -> Line:
    """The quarter of U+256D to U+2570 from the right or left edge to the lower or upper one."""
    middle = (0.5 + 0.5 * dx, 0.5 + 0.5 * dy)
    start = {(1, 1): 1.0, (-1, 1): 1.5, (-1, -1): 0.0, (1, -1): 0.5}[dx, dy]
    return arc(middle, 0.5, start, start + 0.5, 8)


def _shade(quarters: int) -> Iterator[Line]:
    """One, two or three quarters of a grid of 6 by 6 squares, evenly spread."""
    step = 1 / 6
    for row in range(6):
        for column in range(6):
            odd = (row % 2, column % 2)
            if {1: odd == (0, 0), 2: odd[0] == odd[1], 3: odd != (0, 0)}[quarters]:
                yield _box(column * step, row * step, (column + 1) * step, (row + 1) * step)


def _blocks() -> Iterator[tuple[str, Shape]]:
    for index, char in enumerate(_EIGHTHS_FROM_BELOW, start=1):
        yield char, Shape(filled=(_box(0, 1 - index / 8, 1, 1),), framed=True)
    for index, char in enumerate(_EIGHTHS_FROM_LEFT):
        yield char, Shape(filled=(_box(0, 0, (index + 1) / 8, 1),), framed=True)
    yield "▀", Shape(filled=(_box(0, 0, 1, 0.5),), framed=True)
    yield "▐", Shape(filled=(_box(0.5, 0, 1, 1),), framed=True)
    yield "▔", Shape(filled=(_box(0, 0, 1, 1 / 8),), framed=True)
    yield "▕", Shape(filled=(_box(7 / 8, 0, 1, 1),), framed=True)
    for char, quadrants in _QUADRANTS.items():
        corners = ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5))
        parts = (_box(x, y, x + 0.5, y + 0.5) for (x, y), on in zip(corners, quadrants, strict=True) if on == "1")
        yield char, Shape(filled=tuple(parts), framed=True)
    for char, quarters in _SHADES.items():
        yield char, Shape(filled=tuple(_shade(quarters)), framed=True)


def _boxes() -> Iterator[tuple[str, Shape]]:
    for word in _BOX.split():
        yield word[0], Shape(lines=tuple(_arms(word[1:])), framed=True)
    for char, (count, upright) in _DASHED.items():
        yield char, Shape(lines=tuple(_dashes(count, upright, char in _HEAVY_DASHES)), framed=True)
    for char, (dx, dy) in _ARCS.items():
        yield char, Shape(lines=(_arc(dx, dy),), framed=True)
    rising, falling = ((0.0, 1.0), (1.0, 0.0)), ((0.0, 0.0), (1.0, 1.0))
    yield "╱", Shape(lines=(rising,), framed=True)
    yield "╲", Shape(lines=(falling,), framed=True)
    yield "╳", Shape(lines=(rising, falling), framed=True)


def _symbols() -> Iterator[tuple[str, Shape]]:
    """Signs as in ISO/IEC 9995-7: open box for Space, arrows, Enter, Tab, Backspace."""
    box = Shape(lines=(((0.18, 0.52), (0.18, 0.76), (0.82, 0.76), (0.82, 0.52)),), framed=True)
    yield from ((" ", box), ("␣", box))
    for quarters, name in enumerate(("ArrowUp", "ArrowRight", "ArrowDown", "ArrowLeft")):
        yield name, turned(ARROW, quarters)
    yield "Enter", Shape(lines=(((0.92, 0.2), (0.92, 0.62), (0.1, 0.62)), ((0.36, 0.36), (0.1, 0.62), (0.36, 0.88))))
    tab = (((0.02, 0.5), (0.84, 0.5)), ((0.58, 0.24), (0.84, 0.5), (0.58, 0.76)), ((0.96, 0.2), (0.96, 0.8)))
    yield "Tab", Shape(lines=tab)
    key = ((0.36, 0.2), (1.06, 0.2), (1.06, 0.8), (0.36, 0.8), (0.02, 0.5), (0.36, 0.2))
    yield "Backspace", Shape(lines=(key, ((0.5, 0.36), (0.82, 0.64)), ((0.5, 0.64), (0.82, 0.36))))


def _pips(places: str) -> tuple[Line, ...]:
    spots = {"a": (0.27, 0.27), "b": (0.73, 0.27), "c": (0.27, 0.5), "d": (0.5, 0.5), "e": (0.73, 0.5), "f": (0.27, 0.73), "g": (0.73, 0.73)}  # fmt: skip
    return tuple(arc(spots[place], 0.085, steps=10) for place in places)


def _plain_figures() -> Iterator[tuple[str, Shape]]:
    """Dice, squares, triangles, lozenges, discs and stars, filled and open (The Unicode Standard, "Geometric Shapes")."""
    square = _box(0.12, 0.12, 0.88, 0.88)
    upright = ((0.5, 0.1), (0.92, 0.86), (0.08, 0.86))
    lozenge = ((0.5, 0.04), (0.92, 0.5), (0.5, 0.96), (0.08, 0.5))
    disc = arc((0.5, 0.5), 0.42)
    star = tuple((0.5 + r * sin(pi * i / 5), 0.54 - r * cos(pi * i / 5)) for i, r in enumerate((0.5, 0.2) * 5))
    yield from (("■", Shape(filled=(square,))), ("□", _open(square)), ("◆", Shape(filled=(lozenge,))))
    yield from (("◇", _open(lozenge)), ("●", Shape(filled=(disc,))), ("○", _open(disc)))
    yield from (("★", Shape(filled=(star,))), ("☆", _open(star)))
    for quarters, (full, hollow) in enumerate((("▲", "△"), ("▶", "▷"), ("▼", "▽"), ("◀", "◁"))):
        yield full, turned(Shape(filled=(upright,)), quarters)
        yield hollow, turned(_open(upright), quarters)
    for char, start in (("◐", 0.5), ("◑", 1.5), ("◒", 0.0), ("◓", 1.0)):
        yield char, Shape(filled=(arc((0.5, 0.5), 0.42, start, start + 1.0, 12),), lines=(disc,))
    frame = (*_box(0.06, 0.06, 0.94, 0.94), (0.06, 0.06))
    for char, places in zip("⚀⚁⚂⚃⚄⚅", ("d", "bf", "bdf", "abfg", "abdfg", "abcefg"), strict=True):
        yield char, Shape(filled=_pips(places), lines=(frame,))


def _open(outline: Line) -> Shape:
    return Shape(lines=((*outline, outline[0]),))


@cache
def _shapes() -> dict[str, Shape]:
    return dict([*_blocks(), *_boxes(), *_symbols(), *_plain_figures(), *signs()])


def shape_of(text: str) -> Shape | None:
    """The shape of a legend; None if it is written with letters of a font."""
    return _shapes().get(text)


def paths_of(shape: Shape, x: float, y: float, size: float) -> tuple[str, str, str]:
    """The SVG paths of frame, filled outlines and lines in a cell at a place; empty if the shape has none."""
    return (
        _path((FRAME,), x, y, size) if shape.framed else "",
        _path(shape.filled, x, y, size, "Z"),
        _path(shape.lines, x, y, size),
    )


def _path(lines: Iterable[Line], x: float, y: float, size: float, end: str = "") -> str:
    return "".join(
        "M" + "L".join(f"{number(x + size * px)} {number(y + size * py)}" for px, py in line) + end for line in lines
    )


CELL = 0.86
"""The side of a shape's cell as a share of the size of the adjacent letters: about the height of a capital."""

BELOW = 0.08
"""How far the cell reaches below the baseline, as a share of the size of letters."""


def drawn_shape(shape: Shape, x: float, y: float, size: float, room: float, anchor: str, class_: str) -> str:
    """A shape instead of a text on the baseline y, as large as letters of a size, and not wider than its room."""
    side = min(size * CELL, room / shape.width)
    wide = side * shape.width
    left = x - {"middle": wide / 2, "end": wide}.get(anchor, 0.0)
    top = y + BELOW * size - side
    frame, filled, lines = paths_of(shape, left, top, side)
    parts = [element("path", d=frame, class_="cell", stroke_width=side / 24)] if frame else []
    if filled:
        parts.append(element("path", d=filled, class_="filled"))
    if lines:
        parts.append(element("path", d=lines, class_="stroked", stroke_width=shape.weight * side / 11))
    return element("g", *parts, class_=f"shape {class_}".rstrip())
