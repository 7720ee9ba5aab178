"""Stickers for the keys of a host at true scale, in SVG with the millimetre as its unit.

The stickers of a row touch each other, so that one cut separates two: their pitch always equals their width.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from matrixmap.emit.pictures.columns import Column
from matrixmap.emit.pictures.faces import Face, Faces, Kind, Place, form_of
from matrixmap.emit.pictures.keys import drawn_once, used_columns
from matrixmap.emit.pictures.shapes import shape_of
from matrixmap.emit.pictures.svg import element, glyph, number, picture, text_line, wrap
from matrixmap.emit.pictures.words import Tongue, side_words, sticker_label, sticker_reading, tongue_of
from matrixmap.emit.pictures.written import legend, line
from matrixmap.emit.texts.language import FALLBACK
from matrixmap.hid.geometry import Block
from matrixmap.hid.usages import KEYPAD_DIGITS
from matrixmap.model.legend import other_case
from matrixmap.model.plan import Plan
from matrixmap.model.words import printed_name

SHEETS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType({"A4": (297.0, 210.0), "Letter": (279.4, 215.9)})
"""Width and height in millimetres, landscape: A4 after ISO 216, Letter after ANSI/ASME Y14.1 (11 by 8 1/2 inches)."""

EDGE = 10.0
"""Empty margin of the sheet in millimetres: many printers cannot reach it."""

HEADING = 13.0
RULER = 13.0
RULER_LENGTH = 100
CAPTION = 4.0
"""Millimetres below a row of stickers for the names of its keys."""

LEAST = 2.2
"""The smallest size of a legend's letters, in millimetres."""

ROWS = 2.1
"""The height of two legends above each other, in sizes of their letters."""


Box = tuple[float, float, float, float]


class TooSmallError(ValueError):
    """Stickers on which legends of the smallest size do not fit: the reason, and the necessary size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """How stickers are cut: width and height of one, the empty margin inside it, all in millimetres, and the sheet.

    The default is safe on a key top of 12.5 mm: it leaves 0.75 mm on each side. With `every` there is a sticker for
    each key that types something, even if it types what is printed on it.
    """

    width: float = 11.0
    height: float = 11.0
    margin: float = 1.0
    sheet: str = "A4"
    every: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Sticker:
    """A sticker: the face of its key, and its left and top edge in millimetres."""

    face: Face
    left: float
    top: float


def sticker_pages(plan: Plan, cut: Cut, language: str = FALLBACK) -> tuple[str, ...]:
    """The sheets as SVG documents; none if no key needs a sticker. Needs a drawable form and a language with a file.

    TableError if no table can hold the plan: the table says what a press does. TooSmallError if legends of LEAST do not
    fit.
    """
    board = form_of(plan.layout.host)
    if board is None:
        raise ValueError(f"the form {plan.layout.host.form} has no known geometry")
    made = Faces(plan)
    _check_room(cut, len(made.columns))
    faces = [face for face in map(made.of_use, made.host(board)) if _is_wanted(plan, face, cut.every)]
    pages = list(_place(faces, cut))
    tongue = tongue_of(language)
    return tuple(
        _page(tongue, plan, cut, made.columns, page, (index + 1, len(pages))) for index, page in enumerate(pages)
    )


def _check_room(cut: Cut, columns: int) -> None:
    """Refuses stickers without room for two legends above each other, or for all columns beside each other."""
    for side, inner, needed in (
        ("high", cut.height - 2 * cut.margin, ROWS * LEAST),
        ("wide", cut.width - 2 * cut.margin, 0.8 * columns * LEAST),
    ):
        if inner < needed:
            least = number(needed + 2 * cut.margin)
            raise TooSmallError(
                f"legends of {LEAST:g} mm do not fit a sticker of {cut.width:g} by {cut.height:g} mm with a margin of "
                f"{cut.margin:g} mm; it must be at least {least} mm {side}"
            )


def _is_wanted(plan: Plan, face: Face, every: bool) -> bool:
    """Whether a key gets a sticker: what it types differs from its print."""
    if face.kind in (Kind.NOTHING, Kind.LOCK):
        return False
    if face.kind is Kind.MODIFIER:
        return _is_renamed(face)
    if face.kind is not Kind.TYPES or every:
        return True
    return any(not _is_readable(plan, place) for place in face.places if place is not None)


def _is_readable(plan: Plan, place: Place) -> bool:
    """Whether the host's key prints what is typed at a place, a letter in either case; with a lock on, at any level."""
    press = place.press
    key = plan.layout.host.keys.get(press.usage)
    if key is None or press.extras or not press.printed:
        return False
    locked = press.on and press.usage not in KEYPAD_DIGITS
    levels = [level for level in (1, 2) if key.is_printed(level)] if locked else [press.level]
    legends = (legend.text for level in levels if (legend := key.at(level)))
    return any(place.text in (text, other_case(text)) for text in legends)


def _is_renamed(face: Face) -> bool:
    """Whether a modifier key is a modifier with a different name: Alt that is blazon, but not Ctrl for control."""
    own = face.name.removesuffix("Left").removesuffix("Right").casefold()
    return face.whole is not None and face.whole.casefold() not in (own, face.printed.casefold())


def _place(faces: list[Face], cut: Cut) -> Iterator[list[Sticker]]:
    """The stickers, sheet by sheet; each row of the keyboard begins a new line of adjacent stickers."""
    across, down = cut.width, cut.height + CAPTION
    width, height = SHEETS[cut.sheet]
    right, bottom = width - EDGE, height - EDGE - RULER
    page: list[Sticker] = []
    left, top = EDGE, EDGE + HEADING
    row: tuple[Block, str] | None = None
    for face in faces:
        block = Block.MAIN if face.cap.block is Block.FUNCTION else face.cap.block
        here = (block, "" if block is Block.NAVIGATION else face.cap.row)
        if page and (left + cut.width > right + 1e-6 or (row is not None and here != row and left > EDGE)):
            left, top = EDGE, top + down
        if top + cut.height + CAPTION > bottom:
            yield page
            page, left, top = [], EDGE, EDGE + HEADING
        page.append(Sticker(face=face, left=left, top=top))
        left += across
        row = here
    if page:
        yield page


def _page(
    tongue: Tongue, plan: Plan, cut: Cut, columns: tuple[Column, ...], page: list[Sticker], number_of: tuple[int, int]
) -> str:
    """A sheet of stickers; `number_of` is its number and the number of sheets."""
    width, height = SHEETS[cut.sheet]
    title = tongue.say("stickers", layout=plan.layout.title)
    room, back = width - 2 * EDGE, tongue.right_to_left
    head = [
        text_line(title, EDGE, EDGE + 4.2, room, 4.6, least=2, bold=True, backward=back),
        text_line(sticker_reading(tongue, columns, *number_of), EDGE, EDGE + 8.2, room, 2.6, least=1.5, backward=back),
    ]
    if sides := "; ".join(_sides(tongue, [sticker.face for sticker in page])):
        head.append(line(f"{sides}.", EDGE, EDGE + 11.6, room, 2.6, least=1.5, backward=back))
    stickers = [_sticker(tongue, plan, sticker, columns, cut) for sticker in page]
    name = f"{plan.id}-stickers-{number_of[0]}"
    size = {"width": number(cut.width), "height": number(cut.height)}
    described = tongue.say("stickers-described", count=len(page), paper=cut.sheet, length=RULER_LENGTH, **size)
    listed = element("g", *stickers, role="list", aria_label=tongue.say("stickers-label"))
    body = (*head, listed, _ruler(tongue, EDGE, height - EDGE - 5))
    return picture(
        name, title, described, (width, height), *body, style=STYLE, class_="stickers", unit="mm", language=tongue.language
    )  # fmt: skip


STYLE = (
    ".stickers .paper{fill:#fff}.stickers text{fill:#000}.stickers .further{font-style:italic}"
    ".stickers .shape path{fill:none;stroke:#000}.stickers .shape .filled{fill:#000;stroke:none}"
    ".stickers .cut{fill:none;stroke:#000;stroke-width:.1}.stickers .scale{fill:none;stroke:#000;stroke-width:.2}"
)


def _sides(tongue: Tongue, faces: Iterable[Face]) -> Iterator[str]:
    """What only one side of a modifier types: `Only with right Shift+Alt: ↺ ▶`."""
    sides: dict[str, dict[str, None]] = {}
    for face in faces:
        for index, side in face.sides.items():
            sides.setdefault(side, {})[glyph(face.texts[index] or "")] = None
    return (side_words(tongue, side, texts) for side, texts in sides.items())


def _sticker(tongue: Tongue, plan: Plan, sticker: Sticker, columns: tuple[Column, ...], cut: Cut) -> str:
    left, top = sticker.left, sticker.top
    name = printed_name(plan.layout.host, sticker.face.usage)
    return element(
        "g",
        element("path", d=_rectangle(left, top, cut.width, cut.height), class_="cut"),
        *_legends(tongue, sticker.face, columns, (left + cut.margin, top + cut.margin, cut.width - 2 * cut.margin, cut.height - 2 * cut.margin)),
        line(glyph(tongue.key(name.replace("keypad ", "num "))), left + cut.width / 2, top + cut.height + 2.8, cut.width - 0.4, 2.2, least=1.8, anchor="middle", class_="name"),
        role="listitem",
        aria_label=sticker_label(tongue, name, _sides(tongue, [sticker.face])),
    )  # fmt: skip


def _rectangle(left: float, top: float, width: float, height: float) -> str:
    return f"M{number(left)} {number(top)}h{number(width)}v{number(height)}h{number(-width)}Z"


def _legends(tongue: Tongue, face: Face, columns: tuple[Column, ...], box: Box) -> Iterator[str]:
    left, top, width, height = box
    once = drawn_once(face)
    texts = _as_printed(tuple(text if index in once else None for index, text in enumerate(face.texts)))
    if face.whole is not None or len(set(filter(None, texts))) == 1:
        yield from _one_legend(tongue.deed(face.whole or next(text for text in texts if text is not None)), box)
        return
    # Columns keep their places on every sticker with more than the first one, so that a place has one meaning.
    further = face.usage not in KEYPAD_DIGITS and any(texts[2:])
    count = len(columns) if further else 1
    used = used_columns(texts[: 2 * count], width / count, LEAST)
    room = width / len(used)
    size = max(LEAST, min(height * 0.42, room * 0.95, 3.9))
    for at, column in enumerate(used):
        for upper, text in enumerate(_pair(texts, column)):
            if text is not None:
                x, y = left + room * (at + 0.5), top + height * (0.4 if upper else 0.94)
                class_ = "further" if columns[column].further else ""
                yield legend(tongue.deed(text), x, y, room - 0.2, size, least=LEAST, anchor="middle", class_=class_)


def _one_legend(text: str, box: Box) -> Iterator[str]:
    """A legend across the whole sticker, in two lines if it is long."""
    left, top, width, height = box
    if shape_of(text):
        size = min(height * 0.75, 5.5)
        yield legend(text, left + width / 2, top + height / 2 + size * 0.35, width, size, anchor="middle")
        return
    text = glyph(text)
    size = min(height * 0.75, 5.5) if len(text) == 1 else max(LEAST, min(height * 0.36, 2.8))
    lines = wrap(text, size, width, 2)
    first = top + height / 2 - size * 1.15 * (len(lines) - 1) / 2 + size * 0.36
    for index, part in enumerate(lines):
        y = first + index * size * 1.15
        yield line(part, left + width / 2, y, width, size, least=LEAST, anchor="middle")


def _pair(texts: tuple[str | None, ...], column: int) -> tuple[str | None, ...]:
    return texts[2 * column : 2 * column + 2]


def _as_printed(texts: tuple[str | None, ...]) -> tuple[str | None, ...]:
    """The legends as keys print them: of the two cases of a letter only the capital, and a repeated legend once."""
    printed = list(texts)
    for lower in range(0, len(printed), 2):
        low, up = printed[lower], printed[lower + 1]
        if low is not None and up is not None and (low == up or other_case(low) == up):
            printed[lower], printed[lower + 1] = (None, up) if low != up else (low, None)
    return tuple(printed)


def _ruler(tongue: Tongue, left: float, top: float) -> str:
    """A ruler of 100 mm: one tick per millimetre, longer ones at 5 and 10."""
    ticks = [f"M{number(left)} {number(top)}h{RULER_LENGTH}"]
    for millimetre in range(RULER_LENGTH + 1):
        length = 4.0 if millimetre % 10 == 0 else 3.0 if millimetre % 5 == 0 else 2.0
        ticks.append(f"M{number(left + millimetre)} {number(top)}v{number(-length)}")
    numbers = [
        text_line(str(at), left + at, top + 3, 8, 2.2, least=1, anchor="middle")
        for at in range(0, RULER_LENGTH + 1, 50)
    ]
    said = tongue.say("ruler", length=RULER_LENGTH)
    text = text_line(said, left + RULER_LENGTH + 4, top, 150, 2.8, least=1.5, backward=tongue.right_to_left)
    path = element("path", d="".join(ticks), class_="scale")
    return element(
        "g", element("g", path, *numbers, role="img", aria_label=tongue.say("ruler-label", length=RULER_LENGTH)), text
    )
