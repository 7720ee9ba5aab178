"""Keys as drawn: plates with a cut corner, with print, legends and signs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from matrixmap.emit.pictures.columns import Column
from matrixmap.emit.pictures.faces import Face, Kind, MachineFace, state_columns
from matrixmap.emit.pictures.shapes import shape_of
from matrixmap.emit.pictures.svg import NARROWEST, element, glyph, markup, number, wrap
from matrixmap.emit.pictures.words import Tongue, spoken_face, spoken_machine_face, tongue_of
from matrixmap.emit.pictures.written import legend, line, line_width
from matrixmap.hid.geometry import Cap
from matrixmap.hid.usages import KEYPAD_DIGITS
from matrixmap.model.machine import Machine

PITCH = 64.0
"""Units of the drawing in one key pitch."""

GAP = 4.0
"""Units between neighbouring keys."""

CUT = 7.0
"""Units cut from the upper right corner of a key."""

STRIP = 14.0
"""Height of the strip with the print, at the top of a host key."""

FOOT = 24.0
"""Height of the strip that says what reaches a machine key, at its foot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Letters:
    """Sizes of letters in units: no text is smaller than `least`, the print in the strip has the size `print`."""

    least: float = 8.0
    print: float = 10.0


USUAL = Letters()

# Common practice on key tops; screen readers say the whole name.
_SHORT_PRINTS = {
    "PrintScreen": "PrtSc", "ScrollLock": "ScrLk", "NumLock": "NumLk", "CapsLock": "Caps", "PageUp": "PgUp", "PageDown": "PgDn",
    "ContextMenu": "Menu", "Escape": "Esc", "Insert": "Ins", "Delete": "Del", "NonConvert": "NonConv", "KanaMode": "Kana",
}  # fmt: skip


def host_key(face: Face, columns: tuple[Column, ...], letters: Letters = USUAL, tongue: Tongue | None = None) -> str:
    """A host key as a list item: its print in the strip at the top, what it types below."""
    cap = face.cap
    left, top = cap.left * PITCH + GAP / 2, cap.top * PITCH + GAP / 2
    width, height = cap.width * PITCH - GAP, cap.height * PITCH - GAP
    tongue = tongue or tongue_of()
    spoken = spoken_face(tongue, face, columns)
    sign = _kind_sign(face.kind, left + width - 11, top + STRIP / 2 + 1)
    parts = [
        element("title", markup(spoken)),
        element("path", d=outline(cap), class_="cap"),
        element("path", d=rule(left, top + STRIP, width), class_="rule"),
        _print(
            face.printed,
            left + 4,
            top + STRIP - 3.2 + 0.35 * (letters.print - 10),
            width - (20 if sign else 9),
            letters,
        ),
        *sign,
    ]
    body = (left + 4, top + STRIP + 2, width - 8, min(height, PITCH - GAP) - STRIP - 4)
    parts += _body(tongue, face, columns, body, letters)
    return element("g", *parts, role="listitem", aria_label=spoken, class_=f"key {face.kind.value}")


def _print(printed: str, left: float, baseline: float, room: float, letters: Letters) -> str:
    """The print of a key in its strip: arrows as symbols, long names short."""
    if printed.startswith("Arrow"):
        return legend(printed, left, baseline, room, letters.print, class_="print")
    # The blank print of a Space key would be unreadable.
    text = _SHORT_PRINTS.get(printed, printed)
    return line(glyph(text), left, baseline, room, letters.print, least=letters.least, class_="print")


def outline(cap: Cap, inset: float = 0.0) -> str:
    """The outline of a host key as an SVG path, its upper right corner cut; Enter over two rows has six more sides."""
    left, top = cap.left * PITCH + GAP / 2 + inset, cap.top * PITCH + GAP / 2 + inset
    right, bottom = (cap.left + cap.width) * PITCH - GAP / 2 - inset, (cap.top + cap.height) * PITCH - GAP / 2 - inset
    if cap.lower is None:
        return plate(left, top, right, bottom)
    waist = (cap.top + 1) * PITCH - GAP / 2 - inset
    inner = cap.lower[0] * PITCH + GAP / 2 + inset
    points = ((left, top), (right - CUT, top), (right, top + CUT), (right, bottom), (inner, bottom), (inner, waist))
    return _path((*points, (left, waist)))


def plate(left: float, top: float, right: float, bottom: float) -> str:
    """The outline of a key: a plate with its upper right corner cut."""
    return _path(((left, top), (right - CUT, top), (right, top + CUT), (right, bottom), (left, bottom)))


def rule(left: float, top: float, width: float) -> str:
    """A level line, as an SVG path."""
    return f"M{number(left)} {number(top)}h{number(width)}"


def _path(points: Iterable[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + "Z"


def _kind_sign(kind: Kind, x: float, y: float) -> list[str]:
    """A small sign beside the print, with a shape for each kind of key except the usual one."""
    match kind:
        case Kind.MODIFIER:
            return [element("path", d=_path(((x - 4, y + 3), (x, y - 4), (x + 4, y + 3))), class_="sign")]
        case Kind.LOCK:
            return [element("circle", cx=x, cy=y, r=3.5, class_="sign")]
        case Kind.LATCH:
            return [
                element(
                    "path",
                    d=_path(((x - 3.5, y - 3.5), (x + 3.5, y - 3.5), (x + 3.5, y + 3.5), (x - 3.5, y + 3.5))),
                    class_="sign",
                )
            ]
        case Kind.COMMAND:
            return [element("path", d=_path(((x - 4, y), (x, y - 4), (x + 4, y), (x, y + 4))), class_="sign")]
        case _:
            return []


Box = tuple[float, float, float, float]


def _body(tongue: Tongue, face: Face, columns: tuple[Column, ...], box: Box, letters: Letters) -> list[str]:
    """What the key types: one text across it, or a text at each place of the grid of columns; hatched for nothing."""
    left, top, width, height = box
    if face.kind is Kind.NOTHING:
        return [element("path", d=hatching(left, top, width, height), class_="hatch")]
    if face.whole is not None:
        return _whole(tongue.deed(face.whole), box, "types" if face.kind is Kind.TYPES else "other", letters)
    parts = []
    # Columns keep their places on every key that has more than the first one.
    count = 1 if face.usage in KEYPAD_DIGITS or not any(face.places[2:]) else len(columns)
    size = {1: 19.0, 2: 18.0}.get(count, 15.0)
    # A word needs the full width of its key; other columns are placed as on keys of one pitch.
    words = any(place is not None and len(place.text) > 1 and not shape_of(place.text) for place in face.places)
    room = (width if words else min(width, PITCH)) / count
    once = drawn_once(face)
    drawn = tuple(text if index in once else None for index, text in enumerate(face.texts[: 2 * count]))
    used = used_columns(drawn, room, letters.least)
    room *= count / len(used)
    for index, place in enumerate(face.places[: 2 * count]):
        if place is None or drawn[index] is None:
            continue
        column, upper = index // 2, index % 2
        y = top + height * (0.42 if upper else 0.92)
        middle = left + room * (used.index(column) + 0.5)
        class_ = "types further" if columns[column].further else "types"
        least = min(letters.least, size)
        parts.append(
            legend(tongue.deed(place.text), middle, y, room - 1, size, least=least, anchor="middle", class_=class_)
        )
        if not place.press.printed:
            parts.append(element("path", d=rule(middle - 7, y + 2.5, 14), class_="unprinted"))
        if place.waits:
            parts.append(element("path", d=dots(middle, y + 1.8), class_="waits"))
    return parts


def used_columns(texts: tuple[str | None, ...], room: float, least: float) -> tuple[int, ...]:
    """The columns of a key that get room: all, or, if a word would be cut, those with a legend."""
    every = tuple(range(len(texts) // 2))
    words = (text for text in texts if text is not None and len(text) > 1 and not shape_of(text))
    if all(NARROWEST * line_width(word, least) <= room - 1 for word in words):
        return every
    return tuple(column for column in every if any(texts[2 * column : 2 * column + 2]))


def drawn_once(face: Face) -> frozenset[int]:
    """The drawn places of a key: of columns that type the same on it only the first, and of two cases one.

    A further column that says no more than an earlier one is left out; a function that Shift does not change appears
    once.
    """
    texts = face.texts
    drawn: set[int] = set()
    told: list[tuple[str | None, str | None]] = []
    for lower in range(0, len(texts), 2):
        pair = (texts[lower], texts[lower + 1])
        again = any(all(text is None or text == other for text, other in zip(pair, one, strict=True)) for one in told)
        if not again:
            drawn.update((lower,) if pair[0] == pair[1] else (lower, lower + 1))
        told.append(pair)
    return frozenset(drawn)


def dots(middle: float, y: float) -> str:
    """Three dots in a row, as an SVG path of lines of length 0: the sign of a legend that waits for the next key."""
    return "".join(f"M{number(middle + step)} {number(y)}h0" for step in (-4.0, 0.0, 4.0))


def hatching(left: float, top: float, width: float, height: float) -> str:
    """Parallel slanting lines inside a box, as an SVG path."""
    lines = []
    step = 9.0
    offset = step
    while offset < width + height:
        x0, y0 = left + max(0.0, offset - height), top + min(offset, height)
        x1, y1 = left + min(offset, width), top + max(0.0, offset - width)
        lines.append(f"M{number(x0)} {number(y0)}L{number(x1)} {number(y1)}")
        offset += step
    return "".join(lines)


def _whole(text: str, box: Box, class_: str, letters: Letters) -> list[str]:
    left, top, width, height = box
    if shape_of(text):
        size = min(24.0, height * 0.8)
        return [
            legend(text, left + width / 2, top + height / 2 + size * 0.35, width, size, anchor="middle", class_=class_)
        ]
    size = 20.0 if len(text) == 1 else max(13.0, letters.least)
    lines = wrap(glyph(text), size, width, 2) if len(text) > 1 else [glyph(text)]
    pitch = size + 2
    first = top + height / 2 - pitch * (len(lines) - 1) / 2 + size * 0.36
    least = letters.least
    return [
        line(part, left + width / 2, first + pitch * index, width, size, least=least, anchor="middle", class_=class_)
        for index, part in enumerate(lines)
    ]


def machine_key(
    machine: Machine,
    face: MachineFace,
    place: tuple[float, float, float],
    letters: Letters = USUAL,
    tongue: Tongue | None = None,
) -> str:
    """A key of the machine as a list item: what it types at the top, what reaches it in the strip at its foot."""
    left, top = place[0] * PITCH + GAP / 2, place[1] * PITCH + GAP / 2
    width, height = place[2] * PITCH - GAP, PITCH - GAP
    tongue = tongue or tongue_of()
    spoken = spoken_machine_face(tongue, machine, face)
    idle = not face.reached.keys
    foot = top + height - FOOT
    parts = [
        element("title", markup(spoken)),
        element("path", d=plate(left, top, left + width, top + height), class_="cap"),
        element("path", d=rule(left, foot, width), class_="rule"),
        *_machine_types(machine, face, (left + 3, top + 2, width - 6, foot - top - 3), letters),
    ]
    if idle:
        parts.append(
            element("path", d=hatching(left + 1, foot + 1, width - 2, top + height - foot - 2), class_="hatch")
        )
    parts += _reached(tuple(map(tongue.key, face.reached.short)), left + 3, foot, width - 6, letters)
    classes = "key machine" + (" idle" if idle else "")
    return element("g", *parts, role="listitem", aria_label=spoken, class_=classes)


def _machine_types(machine: Machine, face: MachineFace, box: Box, letters: Letters) -> list[str]:
    """What a machine key types, one column for each state without the first modifier; else its name."""
    left, top, width, height = box
    texts = dict(face.types)
    if not texts:
        return _whole(face.name, box, "other", letters)
    if len(texts) == 1:
        return _whole(next(iter(texts.values())), box, "types", letters)
    first = frozenset({machine.modifiers[0].name}) if machine.modifiers else frozenset()
    columns = [
        (machine.state_name(state), machine.state_name(state | first))
        for state in state_columns(machine)
        if machine.state_name(state) in texts or machine.state_name(state | first) in texts
    ]
    room = width / len(columns)
    parts = []
    for index, names in enumerate(columns):
        for upper, name in enumerate(names):
            text = texts.get(name)
            if text is not None and (upper == 0 or name != names[0]):
                x, y = left + room * (index + 0.5), top + height * (0.45 if upper else 0.95)
                least = min(letters.least, 15.0)
                parts.append(legend(text, x, y, room - 1, 15, least=least, anchor="middle", class_="types"))
    return parts


BETWEEN = " · "
"""The separator between keys that reach something."""


def _reached(names: tuple[str, ...], left: float, top: float, width: float, letters: Letters) -> list[str]:
    """The host keys that reach a machine key, in at most two lines; the rest is counted."""
    if not names:
        return []
    size = max(9.0, letters.least)
    step = size + 1.0
    lines = list(_reach_lines(names, size, width, 2 if 2 * step <= FOOT - 2 else 1))
    first = top + FOOT / 2 - step * (len(lines) - 1) / 2 + size * 0.36
    return [
        line(
            reach,
            left + width / 2,
            first + step * index,
            width,
            size,
            least=letters.least,
            anchor="middle",
            class_="reach",
        )
        for index, reach in enumerate(lines)
    ]


def _reach_lines(names: tuple[str, ...], size: float, width: float, most: int) -> Iterator[str]:
    lines: list[str] = []
    for index, name in enumerate(names):
        left_out = len(names) - index - 1
        more = f" +{left_out}" if left_out else ""
        joined = f"{lines[-1]}{BETWEEN}{name}" if lines else name
        last = len(lines) == most
        if lines and line_width(joined + (more if last else ""), size) <= width:
            lines[-1] = joined
        elif not last:
            lines.append(name)
        else:
            lines[-1] += f" +{left_out + 1}"
            break
    yield from lines
