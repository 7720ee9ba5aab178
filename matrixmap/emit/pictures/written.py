"""Texts with signs that need no font: in SVG as runs of letters and shapes, in HTML with small pictures."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from matrixmap.emit.pictures.shapes import CELL, drawn_shape, paths_of, shape_of
from matrixmap.emit.pictures.signs import LOWERED, RAISED, Shape
from matrixmap.emit.pictures.svg import (
    BACKWARD,
    FORWARD,
    NARROWEST,
    apart,
    element,
    glyph,
    markup,
    number,
    text_line,
    text_width,
)
from matrixmap.emit.texts.language import Texts
from matrixmap.model.words import shown

AROUND = 0.07
"""Space on each side of a sign among letters, as a share of their size."""

CIRCLE = "\u25cc"
"""The circle under a mark without a letter."""


class Run(NamedTuple):
    """A part of a text: letters, or one sign with its shape."""

    text: str
    shape: Shape | None

    def width(self, size: float, bold: bool = False) -> float:
        """Its width among letters of a size."""
        if self.shape is None:
            return text_width(self.text, size, bold)
        return size * (CELL * self.shape.width + 2 * AROUND)


def is_sign(char: str) -> bool:
    """Whether a character of a text is always drawn."""
    return not char.isspace() and shape_of(char) is not None


def runs(text: str) -> Iterator[Run]:
    """The parts of a text in order; marks after a circle belong to it."""
    letters, after_circle = "", False
    for char in text:
        if is_sign(char):
            if letters:
                yield Run(letters, None)
            yield Run(char, shape_of(char))
            letters, after_circle = "", char == CIRCLE
        elif after_circle:
            # The circle is a path, so the mark needs a base: a blank of the same width.
            letters, after_circle = f"\u00a0{char}", False
        else:
            letters += char
    if letters:
        yield Run(letters, None)


def line(
    text: str, x: float, y: float, width: float, size: float, *, least: float = 8.0, bold: bool = False,
    anchor: str = "start", class_: str = "", backward: bool = False,
) -> str:  # fmt: skip
    """A line of text on the baseline y that stays within a width, with the shape of each sign in it.

    With `backward` its language is written from right to left, and it begins at the right end of its width.
    """
    parts = list(runs(text))
    if all(part.shape is None for part in parts):
        return text_line(
            text, x, y, width, size, least=least, bold=bold, anchor=anchor, class_=class_ or None, backward=backward
        )
    own = _width(parts, size, bold)
    size = max(min(size, size * width / max(own, 0.01)), min(least, size))
    parts = _fitting(parts, size, width, bold)
    own = _width(parts, size, bold)
    share = min(1.0, width / own)
    left = x - {"middle": own * share / 2, "end": own * share}.get(anchor, 0.0)
    pen = _Pen(
        y=y, size=size, share=share, bold=bold, class_=class_, backward=backward, at=x + width if backward else left
    )
    for part in parts:
        pen.write(part)
    return element("g", *pen.drawn, class_=class_ or None)


@dataclass(slots=True, kw_only=True)
class _Pen:
    """Writes runs side by side, each in its computed width, independent of the font."""

    y: float
    size: float
    share: float
    bold: bool
    class_: str
    backward: bool
    at: float
    circle: float | None = None
    drawn: list[str] = field(default_factory=list)

    def write(self, part: Run) -> None:
        """Adds a run where the previous one ended."""
        if part.shape is None:
            self._letters(part.text)
            return
        wide = part.width(self.size, self.bold) * self.share
        middle = self._step(wide) + wide / 2
        self.drawn.append(drawn_shape(part.shape, middle, self.y, self.size, wide, "middle", self.class_))
        self.circle = middle if part.text == CIRCLE else None

    def _step(self, wide: float) -> float:
        """Advances, and returns the left edge of the next run."""
        before = self.at
        self.at += -wide if self.backward else wide
        return self.at if self.backward else before

    def _letters(self, text: str) -> None:
        if self.circle is not None:
            mark, text = text[:2], text[2:]
            class_ = self.class_ or None
            self.drawn.append(
                text_line(mark, self.circle, self.y, self.size, self.size, least=0, anchor="middle", class_=class_)
            )
            self.circle = None
        inner = text.strip()
        self._step(self._width(text[: len(text) - len(text.lstrip())] if inner else text))
        if not inner:
            return
        wide = self._width(inner)
        left = self._step(wide)
        content = apart(markup(inner))
        self.drawn.append(
            element(
                "text",
                f"{BACKWARD}{content}{FORWARD}" if self.backward else content,
                x=left,
                y=self.y,
                font_size=self.size,
                class_=self.class_ or None,
                font_weight="bold" if self.bold else None,
                textLength=wide if len(inner) > 1 else None,
                lengthAdjust="spacingAndGlyphs" if len(inner) > 1 else None,
            )
        )
        self._step(self._width(text[len(text.rstrip()) :]))

    def _width(self, text: str) -> float:
        return text_width(text, self.size, self.bold) * self.share


def _width(parts: list[Run], size: float, bold: bool) -> float:
    return sum(part.width(size, bold) for part in parts)


def _fitting(parts: list[Run], size: float, width: float, bold: bool) -> list[Run]:
    """The runs, or as many characters from the beginning as fit when condensed, with an ellipsis."""
    room = width / NARROWEST
    if _width(parts, size, bold) <= room:
        return parts
    left = room - text_width("…", size, bold)
    kept: list[Run] = []
    for part in parts:
        for char in part.text:
            one = Run(char, part.shape)
            left -= one.width(size, bold)
            if kept and left < 0:
                return [*_joined(kept), Run("…", None)]
            kept.append(one)
    return parts


def _joined(parts: list[Run]) -> Iterator[Run]:
    yield from runs("".join(part.text for part in parts))


def line_width(text: str, size: float, bold: bool = False) -> float:
    """The width of a text with signs at a font size; rather too large than too small."""
    return _width(list(runs(text)), size, bold)


def legend(
    text: str, x: float, y: float, width: float, size: float, *, least: float = 8.0, anchor: str = "start", class_: str = "",
) -> str:  # fmt: skip
    """A legend on the baseline y that stays within a width: its shape, else a line of text."""
    shape = shape_of(text)
    if shape is not None:
        return drawn_shape(shape, x, y, size, width, anchor, class_)
    return line(glyph(text), x, y, width, size, least=least, anchor=anchor, class_=class_)


def said(text: str, keys: Texts, signs: Texts) -> str:
    """A legend, or a text with signs in it, as spoken: a blank and each sign by its name."""
    if text == " ":
        return keys.say("space")
    if not any(map(is_sign, text)):
        return shown(text)
    words = (f" {sign_name(char, signs)} " if is_sign(char) else shown(char) if char != " " else char for char in text)
    return " ".join("".join(words).split())


def sign_name(char: str, signs: Texts) -> str:
    """The name of a sign: from the section `signs` of a language, else from Unicode, in English."""
    for key, digits in (("superscript", RAISED), ("subscript", LOWERED)):
        if char in digits:
            return signs.say(key, digit=digits.index(char))
    return signs.words.get(char) or unicodedata.name(char, char).lower()


def inline(text: str, signs: Texts) -> str:
    """Text as the content of an HTML element, each sign as a small picture with its name."""
    return "".join(
        markup(part.text) if part.shape is None else _small_picture(part.shape, sign_name(part.text, signs))
        for part in runs(text)
    )


def _small_picture(shape: Shape, name: str) -> str:
    """A shape as high as a capital, in the colour of the letters around it."""
    _, filled, lines = paths_of(shape, 0, 0, 100)
    paths = [element("path", d=filled, fill="currentColor")] if filled else []
    if lines:
        paths.append(element("path", d=lines, fill="none", stroke="currentColor", stroke_width=10 * shape.weight))
    box = f"-6 -6 {number(100 * shape.width + 12)} 112"
    return element("svg", *paths, viewBox=box, class_="sign", role="img", aria_label=name)


SIGN_STYLE = ".sign{height:.95em;width:auto;vertical-align:-.13em}"
"""The alignment of the small pictures among letters."""
