"""A line of text on a key of the owner's page: texts of several styles beside each other, signs among them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from matrixmap.emit.pictures.shapes import CELL, shape_of
from matrixmap.emit.pictures.svg import element, markup, text_width
from matrixmap.emit.pictures.written import AROUND, CIRCLE, Run, line_width, runs
from matrixmap.form.owner.signs import BECOMES, Signs

BETWEEN, LAST = " \u2192 ", " \u2192"
"""The arrow between what a key did and does, and the same at the end of a line."""

_BLANK: Final = text_width(" ", 1.0)
_SIGN: Final = CELL + 2 * AROUND


@dataclass(frozen=True, slots=True)
class Span:
    """A class of the style and a text; `whole`: the text, such as Enter, is one sign. The arrow alone has no class."""

    class_: str
    text: str
    whole: bool = False

    def width(self, size: float) -> float:
        """How wide it is; rather too much than too little."""
        if self.is_arrow:
            return (_SIGN + _BLANK * (len(self.text) - 1)) * size
        if self.whole:
            return self.runs()[0].width(size)
        return line_width(self.text, size, self._bold)

    @property
    def _bold(self) -> bool:
        return self.class_.startswith("n")

    @property
    def is_arrow(self) -> bool:
        """Whether it is the arrow between old and new."""
        return not self.class_

    @property
    def can_be_cut(self) -> bool:
        """Whether a letter can be left out."""
        return not self.whole and not self.is_arrow and len(self.text) > 3

    def cut(self) -> Span:
        """One letter less, and an ellipsis."""
        return Span(self.class_, f"{self.text.rstrip('… ')[:-1]}…{' ' if self.class_ == 'h' else ''}")

    def runs(self) -> list[Run]:
        """Letters and signs in their order."""
        return [Run(self.text, shape_of(self.text))] if self.whole else list(runs(self.text))


def draw_line(
    spans: Sequence[Span], x: float, y: float, width: float, size: float, signs: Signs, *, end: bool = False
) -> str:
    """Texts on one line of a size, condensed where they are wider than the width; with `end` they end at x."""
    own = sum(span.width(size) for span in spans)
    tight = own > 0.8 * width
    if not any(span.is_arrow or any(run.shape for run in span.runs()) for span in spans):
        pieces = (element("tspan", markup(span.text), class_=span.class_) for span in spans)
        return element(
            "text",
            *pieces,
            x=x,
            y=y,
            font_size=size,
            text_anchor="end" if end else None,
            textLength=min(own, width) if tight else None,
            lengthAdjust="spacingAndGlyphs" if tight else None,
        )
    share = min(1.0, width / own)
    pen = _Pen(at=x - own * share if end else x, y=y, size=size, share=share, tight=tight, signs=signs)
    drawn = [part for span in spans for part in pen.write(span)]
    if len(drawn) == 1 and drawn[0].startswith("<use"):
        return drawn[0]
    return element("g", *drawn, font_size=size, class_=spans[0].class_ if len(spans) == 1 else None)


@dataclass(slots=True, kw_only=True)
class _Pen:
    """Writes spans one beside the other, each as wide as it is reckoned, whatever font draws it."""

    at: float
    y: float
    size: float
    share: float
    tight: bool
    signs: Signs

    def write(self, span: Span) -> Iterator[str]:
        """A span, at the place where the one before it ended."""
        if span.is_arrow:
            left = self.at + _BLANK * self.size * self.share
            yield self._sign(BECOMES, left, _SIGN * self.size, span.class_)
            self.at += span.width(self.size) * self.share
            return
        yield from self._runs(span.runs(), span.class_)

    def _runs(self, some: Iterable[Run], class_: str) -> Iterator[str]:
        circle: float | None = None
        for run in some:
            bold = class_.startswith("n")
            wide = run.width(self.size, bold) * self.share
            if run.shape is not None:
                yield self._sign(run.text, self.at, wide / self.share, class_)
                circle = self.at + wide / 2 if run.text == CIRCLE else None
            else:
                text = run.text
                if circle is not None:
                    # The circle is a path: a blank is what its mark stands on.
                    yield element("text", markup(text[:2]), x=circle, y=self.y, text_anchor="middle", class_=class_)
                    text, circle = text[2:], None
                    wide = text_width(text, self.size, bold) * self.share
                yield from self._letters(text, bold, class_)
            self.at += wide

    def _sign(self, text: str, left: float, wide: float, class_: str) -> str:
        around = AROUND * self.size
        return self.signs.drawn(
            text, left + around * self.share, self.y, (wide - 2 * around) * self.share, self.size, class_
        )

    def _letters(self, text: str, bold: bool, class_: str) -> Iterator[str]:
        inner = text.strip()
        if not inner:
            return
        before = text_width(text[: len(text) - len(text.lstrip())], self.size, bold) * self.share
        wide = text_width(inner, self.size, bold) * self.share
        fixed = self.tight and len(inner) > 1
        yield element(
            "text",
            markup(text.lstrip()),
            x=self.at + before,
            y=self.y,
            textLength=wide if fixed else None,
            lengthAdjust="spacingAndGlyphs" if fixed else None,
            class_=class_ or None,
        )
