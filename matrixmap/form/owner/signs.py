"""Signs on the owner's page, which need no font: each is drawn once, and a use stands wherever it occurs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from matrixmap.emit.pictures.shapes import paths_of, shape_of
from matrixmap.emit.pictures.signs import Shape
from matrixmap.emit.pictures.svg import element, markup, number
from matrixmap.emit.pictures.written import runs, sign_name
from matrixmap.emit.texts.language import FALLBACK, texts_of

BECOMES: Final = "becomes"
"""The arrow between what a key did and what it does: with two shafts, for a key may type an arrow."""

_ARROW: Final = Shape(
    lines=(((0.0, 0.38), (0.74, 0.38)), ((0.0, 0.62), (0.74, 0.62)), ((0.6, 0.14), (0.96, 0.5), (0.6, 0.86)))
)
_BOX: Final = 112.0
"""Height of a sign's view: a cell of 100 units, and room around it for the width of its lines."""

STYLE: Final = (
    "use{stroke-width:9}use.n{stroke-width:14}.x{fill:none;stroke:var(--soft);stroke-width:1}"
    ":is(p,li,td,b,bdi,kbd,dt,code,strong)>svg:not(.sample){width:1em;height:1em;vertical-align:-.13em}"
)
"""How signs look: bold where they are new, crossed out where they are old, as high as a capital in running text."""


class Signs:
    """The signs that occur on a page."""

    def __init__(self) -> None:
        self._ids: dict[str, str] = {}

    def inline(self, text: str) -> str:
        """Text as the content of an HTML element, each sign drawn, with its name for screen readers."""
        return "".join(markup(run.text) if run.shape is None else self.whole(run.text) for run in runs(text))

    def whole(self, text: str) -> str:
        """A legend that is one sign, in HTML."""
        return element("svg", element("use", href=f"#{self._id(text)}"))

    def drawn(self, text: str, left: float, baseline: float, wide: float, size: float, class_: str) -> str:
        """A sign in a picture, in a place of some width beside letters of a size, and crossed out where it is old."""
        high = 0.96 * size
        use = element(
            "use",
            href=f"#{self._id(text)}",
            x=left,
            y=baseline + 0.13 * size - high,
            width=wide,
            height=high,
            class_=class_ or None,
        )
        return use + (self._strike(left, baseline, wide, size) if "o" in class_.split() else "")

    def _strike(self, left: float, baseline: float, wide: float, size: float) -> str:
        # A level line would be lost in signs that have one, such as arrows.
        return element(
            "path", d=f"M{number(left)} {number(baseline)}l{number(wide)} {number(-0.75 * size)}", class_="x"
        )

    def _id(self, text: str) -> str:
        return self._ids.setdefault(text, f"_s{len(self._ids)}")

    def definitions(self) -> str:
        """The signs that occurred, to stand in the page once."""
        symbols = tuple(self._symbols())
        return element("svg", element("defs", *symbols), class_="defs", aria_hidden="true") if symbols else ""

    def _symbols(self) -> Iterator[str]:
        names = texts_of("signs", FALLBACK)
        for text, id in self._ids.items():
            shape = _ARROW if text == BECOMES else shape_of(text)
            assert shape is not None
            yield _symbol(id, shape, text, sign_name(text, names) if len(text) == 1 else text)


def whole_sign(text: str) -> bool:
    """Whether a legend of several letters, such as Enter, is drawn as one sign on a key."""
    return len(text) > 1 and shape_of(text) is not None


def _symbol(id: str, shape: Shape, sign: str, name: str) -> str:
    """A definition. Its name is heard wherever it is used: a browser's accessibility tree has what a use shows."""
    frame, filled, lines = paths_of(shape, 0, 0, 100)
    paths = [element("path", d=frame, fill="none", stroke="currentColor", stroke_width=4)] if frame else []
    if filled:
        paths.append(element("path", d=filled, fill="currentColor", stroke="none"))
    if lines:
        width = 9 * shape.weight if shape.weight != 1 else None
        paths.append(element("path", d=lines, fill="none", stroke="currentColor", stroke_width=width))
    body = element("g", *paths, role="img", aria_label=name)
    box = f"-6 -6 {number(100 * shape.width + 12)} {number(_BOX)}"
    return element("symbol", body, viewBox=box, id=id, data_sign=sign)
