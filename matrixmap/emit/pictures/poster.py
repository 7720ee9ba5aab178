"""One keyboard as large as a sheet of paper allows, to hang up or put beside the computer, in millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import ceil
from types import MappingProxyType
from typing import Final

from matrixmap.emit.pictures.drawing import STYLE, Part, draw_host, draw_machine
from matrixmap.emit.pictures.faces import Faces, short_way, state_columns
from matrixmap.emit.pictures.keys import GAP, PITCH, Letters
from matrixmap.emit.pictures.svg import element, glyph, number, picture, text_line, wrap
from matrixmap.emit.pictures.words import Tongue, captions, tongue_of
from matrixmap.emit.pictures.written import legend, line
from matrixmap.emit.texts.language import FALLBACK
from matrixmap.model.plan import Plan

POSTERS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType({"A4": (297.0, 210.0), "A3": (420.0, 297.0)})
"""Width and height in millimetres, landscape, after ISO 216."""

KEYBOARDS: Final = ("host", "machine")

EDGE = 10.0
"""Empty margin in millimetres: many printers cannot reach it."""

LEAST_PT = 7.0
"""The smallest size of letters, in points of 1/72 inch."""

LEAST_MM = LEAST_PT * 25.4 / 72
HEAD = 12.0
LINE = 4.2

NARROWEST_ROOM = 0.85
"""The width that a legend needs, as a share of the size of its letters."""


BETWEEN = 6.0
"""Millimetres between the keyboard and the list below it."""


class CrowdedError(ValueError):
    """A keyboard with too many legends to be readable on a sheet: which one, and on which sheet it would be."""


def poster(plan: Plan, keyboard: str, paper: str, language: str = FALLBACK) -> str | None:
    """The keyboard of the `host` or `machine` on A4 or A3 in landscape, as an SVG document; None if it cannot be drawn.

    The language must have a file. CrowdedError if its letters would be smaller than LEAST_PT; TableError if no table
    can hold the plan.
    """
    faces, tongue = Faces(plan), tongue_of(language)
    width, height = POSTERS[paper]
    part = _part(faces, keyboard, Letters(), tongue)
    if part is None:
        return None
    lines = [
        part_line
        for caption in captions(tongue, faces, keyboard)
        for part_line in wrap(caption, LEAST_MM * 1.1, width - 2 * EDGE, 4)
    ]
    room = height - 2 * EDGE - HEAD - LINE * len(lines)
    unit = min((width - 2 * EDGE) / part.width, room / part.height)
    least = LEAST_MM / unit * 1.005
    columns = len(faces.columns if keyboard == "host" else state_columns(plan.layout.machine))
    if (PITCH - GAP - 8) / columns < NARROWEST_ROOM * least:
        raise CrowdedError(
            (
                f"the {keyboard}'s keys have {columns} columns of legends, too many for letters of {LEAST_PT:g} pt on "
                f"{paper}"
            )
            + ("; take A3" if paper == "A4" else "")
        )
    part = _part(faces, keyboard, Letters(least=max(least, 8.0), print=max(least, 10.0)), tongue)
    assert part is not None, "other letters leave a keyboard that can be drawn"
    return _page(faces, part, lines, paper, unit, tongue)


def _part(faces: Faces, keyboard: str, letters: Letters, tongue: Tongue) -> Part | None:
    draw_part = draw_host if keyboard == "host" else draw_machine
    return draw_part(faces, letters, tongue)


def _page(faces: Faces, part: Part, lines: list[str], paper: str, unit: float, tongue: Tongue) -> str:
    plan = faces.plan
    width, height = POSTERS[paper]
    inner = width - 2 * EDGE
    back = tongue.right_to_left
    body = [
        text_line(
            plan.layout.title, EDGE, EDGE + 6.5, inner, 6.5, least=LEAST_MM, bold=True, class_="title", backward=back
        )
    ]
    top = EDGE + HEAD
    for caption in lines:
        body.append(
            text_line(caption, EDGE, top, inner, LEAST_MM * 1.1, least=LEAST_MM, class_="caption", backward=back)
        )
        top += LINE
    left, below = (width - part.width * unit) / 2, top + part.height * unit + BETWEEN
    if height - EDGE - below > height / 5:
        body += _index(faces, below, inner, height - EDGE - below, tongue)
    place = f"translate({number(left)} {number(top)}) scale({unit:.5f})"
    body.append(element("g", part.markup, transform=place))
    name = f"{plan.id}-poster-{paper}"
    return picture(
        name,
        plan.layout.title,
        " ".join(lines),
        (width, height),
        *body,
        style=STYLE,
        class_="matrixmap",
        unit="mm",
        language=tongue.language,
    )


def _index(faces: Faces, top: float, width: float, height: float, tongue: Tongue) -> Iterator[str]:
    """How to type each special character and function, in columns that fill the room below a keyboard."""
    ways = [
        (text, tongue.key(short_way(faces.plan.layout.host, faces.to_type[text][0])))
        for text in sorted(faces.to_type, key=lambda text: (len(text) > 1, text))
        if not (len(text) == 1 and text.isascii() and text.isalnum())
    ]
    columns = next((count for count in range(4, 9) if height / ceil(len(ways) / count) >= 1.9 * LEAST_MM), None)
    if columns is None:
        return
    rows = ceil(len(ways) / columns)
    pitch, room = min(height / rows, 9.0), width / columns
    size = min(0.55 * pitch, 5.0)
    for index, (text, way) in enumerate(ways):
        x, y = EDGE + index // rows * room, top + (index % rows + 0.7) * pitch
        if len(text) > 1:
            yield line(glyph(text), x, y, room * 0.45, size, least=LEAST_MM, class_="types")
        else:
            yield legend(text, x, y, room * 0.2, size, least=LEAST_MM, class_="types")
        start = room * (0.48 if len(text) > 1 else 0.22)
        yield line(way, x + start, y, room - start - 2, size, least=LEAST_MM, class_="caption")
