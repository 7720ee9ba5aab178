"""Pictures of keyboards on which each changed key shows what it gave and what it gives.

What pictures share is written once a page: the outlines of a form, the print that all its keyboards have, and a changed
key that looks the same on several. Each picture is on the page as a whole, and in three parts for narrow screens.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from matrixmap.emit.pictures.faces import cap_at, form_of
from matrixmap.emit.pictures.keys import GAP, PITCH, outline
from matrixmap.emit.pictures.svg import element, glyph, markup, number, shorten, text_line
from matrixmap.emit.pictures.written import is_sign
from matrixmap.form.owner.lines import BETWEEN, LAST, Span, draw_line
from matrixmap.form.owner.marks import Mark
from matrixmap.form.owner.rows import ACCENT, Gift, Row, print_text
from matrixmap.form.owner.signs import Signs, whole_sign
from matrixmap.hid.geometry import Cap, Form
from matrixmap.hid.usages import Usage
from matrixmap.model.host import Host
from matrixmap.press.keyboard import key_usage

MOST_ROWS = 4
"""The most changes of one key drawn on it; if it has more, one less is drawn, and the number of the rest."""

WIDEST = 2.5
"""A key wider than this, in pitches, has its text at the left, so that no split of a picture cuts it."""

# Where the left part of a picture ends, by the top of the row in pitches: after F4, 6, T, G, B and in the space bar.
_ENDS = ((0.0, 6.25), (1.25, 7.0), (2.5, 6.5), (3.5, 6.75), (4.5, 7.25), (5.5, 7.25))
LEFT_END, RIGHT_BEGIN, RIGHT_END, PAD_BEGIN = 7.25, 6.25, 15.0, 15.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A keyboard to draw with its changes; `form` is None if it is not drawn."""

    host: Host
    form: Form | None
    rows: tuple[Row, ...]


def shown(host: Host, rows: tuple[Row, ...]) -> Shown:
    """A keyboard to draw; it is not drawn if its form has none of the changed keys."""
    form = form_of(host)
    some = Shown(host=host, form=form, rows=rows)
    return some if form and any(_by_cap(some, form)) else Shown(host=host, form=None, rows=rows)


class Pictures:
    """The pictures of a page; `marks` are the signs that occur in them, once they are drawn."""

    def __init__(self, keyboards: Sequence[Shown], signs: Signs) -> None:
        self.marks: set[Mark] = set()
        self._signs = signs
        self._keys: dict[tuple[Cap, str], str] = {}
        self._forms: dict[str, str] = {}
        self._boards: list[str] = []
        self._common: dict[str, set[tuple[Usage, str]]] = {}
        self._drawn: dict[str, Form] = {}
        prints = [self._prints(some) for some in keyboards]
        for some, own in zip(keyboards, prints, strict=True):
            if some.form:
                self._drawn[some.form.name] = some.form
                self._common.setdefault(some.form.name, set(own.items())).intersection_update(own.items())
        for number_of, (some, own) in enumerate(zip(keyboards, prints, strict=True)):
            if some.form:
                self._boards.append(self._board(f"_b{number_of}", some, some.form, own))

    def _prints(self, some: Shown) -> dict[Usage, str]:
        if some.form is None:
            return {}
        return {cap.usage: print_text(some.host, key_usage(some.host, cap.usage)) for cap in some.form.caps}

    def _board(self, name: str, some: Shown, form: Form, prints: Mapping[Usage, str]) -> str:
        own = (cap for cap in form.caps if (cap.usage, prints[cap.usage]) not in self._common[form.name])
        keys = (element("use", href=f"#{self._key(cap, prints[cap.usage], rows)}") for cap, rows in _by_cap(some, form))
        texts = _prints(((cap, prints[cap.usage]) for cap in own), self._signs)
        return element("g", element("use", href=f"#_f-{form.name}"), *texts, *keys, id=name)

    def _key(self, cap: Cap, print: str, rows: Sequence[Row]) -> str:
        """The name of a drawn key, which is drawn once for all keyboards that have it."""
        drawn = self._draw(cap, print, rows)
        return self._keys.setdefault((cap, drawn), f"_k{len(self._keys)}")

    def definitions(self) -> str:
        """What the pictures share; it is written on the page once, before them."""
        common = {name: dict(some) for name, some in self._common.items()}
        forms = [
            element(
                "g",
                element("path", d="".join(outline(cap) for cap in form.caps), class_="cap"),
                *_prints(((cap, text) for cap in form.caps if (text := common[name].get(cap.usage))), self._signs),
                id=f"_f-{name}",
            )
            for name, form in sorted(self._drawn.items())
        ]
        keys = [element("g", drawn, id=name) for (_, drawn), name in self._keys.items()]
        if not forms:
            return ""
        clips = [
            element("clipPath", element("path", d=path), id=name)
            for name, path in (("_left", _left_path()), ("_right", _right_path()))
        ]
        body = element("defs", *clips, *forms, *keys, *self._boards)
        return element("svg", body, class_="defs", aria_hidden="true")

    def figure(self, number_of: int, some: Shown, label: str) -> str:
        """The picture of a keyboard; empty if it is not drawn."""
        if some.form is None:
            return ""
        use = {"href": f"#_b{number_of}"}
        width, height = some.form.width, some.form.height
        parts = (
            ("whole", "", 0.0, width, None),
            ("part left", ", left part", 0.0, LEFT_END, "url(#_left)"),
            ("part right", ", right part", RIGHT_BEGIN, RIGHT_END, "url(#_right)"),
            ("part pad", ", arrow keys and number pad", PAD_BEGIN, width, None),
        )
        return element(
            "figure",
            *(
                element(
                    "svg",
                    element("use", clip_path=clip, **use),
                    viewBox=f"{number(left * PITCH)} 0 {number((right - left) * PITCH)} {number(height * PITCH)}",
                    role="img",
                    aria_label=f"{label}{more}",
                    class_=class_,
                )
                for class_, more, left, right, clip in parts
            ),
        )

    # ---- a changed key ----

    def _draw(self, cap: Cap, print: str, rows: Sequence[Row]) -> str:
        left, top = cap.left * PITCH + GAP / 2, cap.top * PITCH + GAP / 2
        width = cap.width * PITCH - GAP
        ear = f"M{number(left + width - 10)} {number(top)}h10v10Z"
        self.marks |= {Mark.CHANGED, Mark.OLD, Mark.NEW, *([Mark.PRINT] if print else [])}
        return "".join(
            (
                element("path", d=outline(cap, 1.5), class_="hot"),
                element("path", d=ear, class_="flag"),
                _print(cap, print, self._signs),
                *self._body(rows, left + 4, top + 13, min(width, WIDEST * PITCH) - 8, _printed(print).width(SMALL)),
            )
        )

    def _body(self, rows: Sequence[Row], left: float, top: float, width: float, print: float) -> Iterator[str]:
        """The changes of a key: one large, several small below each other; `print` is the width of the key's print."""
        if len(rows) == 1:
            yield from self._one(rows[0], left, top, width, print)
            return
        kept = rows if len(rows) <= MOST_ROWS else rows[: MOST_ROWS - 1]
        pitch = 45 / (len(kept) + (len(kept) < len(rows)))
        for index, row in enumerate(kept):
            label, spans, y = self._label(row), self._spans(row), top + pitch * index
            if len(rows) == 2:
                yield from (self._line(label, left, y + 7, width, 7.5),) if label else ()
                yield self._line(spans, left, y + (18 if label else 14), width, 12)
            else:
                yield self._line([*label, *spans], left, y + pitch * 0.8, width, min(11.0, pitch - 1))
        if len(kept) < len(rows):
            self.marks.add(Mark.MORE)
            yield self._line([Span("h", f"{len(rows) - len(kept)} more")], left, top + pitch * 3.8, width, 10)

    def _one(self, row: Row, left: float, top: float, width: float, print: float) -> Iterator[str]:
        label = self._label(row)
        beside = bool(label) and label[0].width(9) + print + 14 <= width
        if beside:
            yield self._line(label, left + width - 6, top, width, 9, end=True)
        elif label:
            yield self._line(label, left, top + 9, width, 8.5)
        small = bool(label) and not beside
        old, new = self._gift("o", row.before), self._gift("n", row.after)
        yield self._line([*old, Span("", LAST)], left, top + (21 if small else 16), width, 12 if small else 15)
        yield self._line(new, left + width, top + 42, width - 9, 19.0 if small else 22.0, end=True)

    def _label(self, row: Row) -> list[Span]:
        """What to do in addition to pressing the key; empty for nothing."""
        self.marks |= {mark for has, mark in ((row.on or row.held, Mark.HELD), (row.accent, Mark.ACCENT)) if has}
        return [Span("h", f"{row.label} ")] if row.label else []

    def _spans(self, row: Row) -> list[Span]:
        return [*self._gift("o", row.before), Span("", BETWEEN), *self._gift("n", row.after)]

    def _gift(self, class_: str, gift: Gift) -> list[Span]:
        self._note(gift)
        text = f"{gift.text}{ACCENT if gift.waits else ''}"
        return [Span(f"{class_} s" if gift.named else class_, text, whole=_is_one(gift))]

    def _note(self, gift: Gift) -> None:
        """Remembers the signs of a legend."""
        signs = (
            (gift.waits, Mark.ACCENT),
            (gift.nothing, Mark.NOTHING),
            (gift.named, Mark.NAMED),
            (gift.text == "\u2423", Mark.SPACE),
            *((_is_one(gift) and gift.text.startswith(name), mark) for name, mark in _NAMED_SIGNS),
        )
        self.marks |= {mark for has, mark in signs if has}

    def _line(self, spans: Sequence[Span], x: float, y: float, width: float, size: float, *, end: bool = False) -> str:
        """Texts of several styles on one line within a width: first smaller, then shortened, then condensed."""
        own = sum(span.width(1.0) for span in spans)
        size = max(min(size, width / own), min(7.0, size))
        if own * size > width / 0.8:
            spans = self._shortened(spans, width / 0.8, size)
        return draw_line(spans, x, y, width, size, self._signs, end=end)

    def _shortened(self, spans: Sequence[Span], width: float, size: float) -> list[Span]:
        """The texts, with the longest cut until they fit."""
        found = list(spans)
        while sum(span.width(size) for span in found) > width:
            index = max(range(len(found)), key=lambda at: found[at].width(size) if found[at].can_be_cut else 0.0)
            if not found[index].can_be_cut:
                break
            found[index] = found[index].cut()
        if found != list(spans):
            self.marks.add(Mark.CUT)
        return found


_NAMED_SIGNS = (("Enter", Mark.ENTER), ("Tab", Mark.TAB), ("Backspace", Mark.BACKSPACE), ("Arrow", Mark.ARROW))


def _is_one(gift: Gift) -> bool:
    """Whether a function such as Enter is drawn as one sign, as on other pictures; the name of a key is not."""
    return whole_sign(gift.text) and not gift.named and not gift.waits


SMALL = 10.0
"""The size of what is printed on a key, as in the style."""


def _prints(prints: Iterable[tuple[Cap, str]], signs: Signs) -> Iterator[str]:
    """What is printed on keys: the single characters of a row in one element, each with its place."""
    rows: dict[float, list[tuple[float, str]]] = {}
    for cap, text in prints:
        if _stands_alone(text):
            rows.setdefault(cap.top, []).append((cap.left * PITCH + 6, text))
        elif text:
            yield _print(cap, text, signs)
    for top, places in rows.items():
        at = " ".join(number(x) for x, _ in places)
        yield element("text", markup("".join(text for _, text in places)), x=at, y=top * PITCH + 13, class_="p")


def _stands_alone(text: str) -> bool:
    """Whether a viewer puts a character exactly at its place: one unit of UTF-16, read from left to right."""
    if len(glyph(text)) != 1 or ord(text) >= 0x10000 or is_sign(text):
        return False
    return unicodedata.bidirectional(text) not in ("R", "AL", "NSM")


def _printed(text: str) -> Span:
    """A print as it is drawn: arrow keys have their arrows."""
    return Span("p", glyph(text), whole=text.startswith("Arrow") and whole_sign(text))


def _print(cap: Cap, text: str, signs: Signs) -> str:
    """What is printed on one key."""
    room = cap.width * PITCH - 14
    if any(run.shape for run in _printed(text).runs()):
        return draw_line([_printed(text)], cap.left * PITCH + 6, cap.top * PITCH + 13, room, SMALL, signs)
    line = text_line(
        glyph(shorten(text, SMALL, room)), cap.left * PITCH + 6, cap.top * PITCH + 13, room, SMALL, class_="p"
    )
    return line.replace(f' font-size="{number(SMALL)}"', "") if text else ""


def _by_cap(some: Shown, form: Form) -> Iterator[tuple[Cap, list[Row]]]:
    """The changed keys that the form has, in its order, each with its changes."""
    found: dict[Usage, list[Row]] = {}
    for row in some.rows:
        caps = {cap.usage for usage in row.usages if (cap := _cap(some.host, form, usage))}
        for usage in sorted(caps):
            found.setdefault(usage, []).append(row)
    for cap in form.caps:
        if cap.usage in found:
            yield cap, found[cap.usage]


def _cap(host: Host, form: Form, usage: Usage) -> Cap | None:
    found = cap_at(form, usage)
    if found is not None:
        return found
    return next((cap for cap in form.caps if key_usage(host, cap.usage) == usage), None)


def changed_keys(some: Shown) -> int:
    """How many keys give something else, including those that the form does not have."""
    return len({row.usages for row in some.rows})


def _left_path() -> str:
    """What the left part of a picture shows, as a path."""
    steps = "".join(f"V{number(top * PITCH)}H{number(end * PITCH)}" for top, end in _ENDS)
    return f"M0 0{steps.removeprefix('V0')}V{number(6.5 * PITCH)}H0Z"


def _right_path() -> str:
    steps = "".join(f"V{number(top * PITCH)}H{number(end * PITCH)}" for top, end in _ENDS)
    right = number((RIGHT_END + 0.1) * PITCH)
    return f"M{right} 0{steps.removeprefix('V0')}V{number(6.5 * PITCH)}H{right}Z"
