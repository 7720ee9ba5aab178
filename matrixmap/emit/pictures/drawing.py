"""A layout as a picture in SVG: the host's keyboard, the machine's keyboard and its matrix.

Nothing depends on colour alone: kinds of keys also differ by outline and by words. The picture has its own paper, light
in print, and dark on screen if the reader prefers that.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from matrixmap.emit.pictures.faces import Faces, form_of
from matrixmap.emit.pictures.grid import draw_grid, make_grid
from matrixmap.emit.pictures.keys import PITCH, USUAL, Letters, host_key, machine_key
from matrixmap.emit.pictures.svg import element, number, picture, text_line, wrap
from matrixmap.emit.pictures.words import Tongue, captions, host_label, machine_label, subtitle, tongue_of
from matrixmap.emit.texts.language import FALLBACK
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import TableError, make_table

LEAST_WIDTH = 960.0

PART_NAMES = ("host", "machine", "matrix")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of a picture: its markup with the upper left corner at 0, 0, and its size in units."""

    markup: str
    width: float
    height: float


def draw_host(faces: Faces, letters: Letters = USUAL, tongue: Tongue | None = None) -> Part | None:
    """The host's keyboard with what each key types on the machine; None if the form cannot be drawn."""
    plan = faces.plan
    board = form_of(plan.layout.host)
    if board is None:
        return None
    tongue = tongue or tongue_of()
    keys = [host_key(face, faces.columns, letters, tongue) for face in faces.host(board)]
    group = element("g", *keys, role="list", aria_label=host_label(tongue, plan), class_="keys")
    return Part(markup=group, width=board.width * PITCH, height=board.height * PITCH)


def draw_machine(faces: Faces, letters: Letters = USUAL, tongue: Tongue | None = None) -> Part | None:
    """The machine's keyboard with what each key types and what reaches it; None if the machine gives no places."""
    layout = faces.plan.layout
    machine = layout.machine
    if not machine.rows:
        return None
    tongue = tongue or tongue_of()
    drawn = faces.machine(form_of(layout.host))
    keys = []
    right = bottom = 0.0
    for name, left, top, width in machine_places(machine):
        keys.append(machine_key(machine, drawn[name], (left, top, width), letters, tongue))
        right, bottom = max(right, left + width), max(bottom, top + 1)
    group = element("g", *keys, role="list", aria_label=machine_label(tongue, machine), class_="keys")
    return Part(markup=group, width=right * PITCH, height=bottom * PITCH)


def machine_places(machine: Machine) -> Iterator[tuple[str, float, float, float]]:
    """Name, left edge, top edge and width of each placed key, in key pitches, with the leftmost and topmost at 0."""
    lefts = [row.left for row in machine.rows]
    tops = [row.row for row in machine.rows]
    for row in machine.rows:
        left = row.left - min(lefts)
        for name, width in row.keys:
            if name is not None:
                yield name, left, row.row - min(tops), width
            left += width


def draw_matrix(faces: Faces, width: float = LEAST_WIDTH, tongue: Tongue | None = None) -> Part:
    """The matrix as a grid of crosspoints with what reaches each, with the direct lines below, in a given width."""
    layout = faces.plan.layout
    reached = faces.reaching(form_of(layout.host))
    grid = make_grid(layout.machine, reached, width, tongue or tongue_of())
    return Part(markup=draw_grid(grid), width=grid.width, height=grid.height)


# ---- the sheet of paper around the parts ----

# Contrast of ink on paper and on plates is at least 4.5 to 1 (WCAG 2.2, 1.4.3) in light and in dark.
STYLE = """
.matrixmap .paper{fill:#f6f1e4}.matrixmap text{fill:#17283a}
.matrixmap path,.matrixmap circle{fill:none;stroke:#17283a}
.matrixmap .frame{stroke-width:1.5}.matrixmap .tick{stroke-width:1}
.matrixmap .cap{fill:#fffdf7;stroke-width:1.4}.matrixmap .rule{stroke:#8a8574;stroke-width:.8}
.matrixmap .modifier .cap,.matrixmap .lock .cap,.matrixmap .latch .cap,.matrixmap .command .cap{fill:#e3edf0}
.matrixmap .nothing .cap,.matrixmap .idle .cap{fill:#ece6d6}
.matrixmap .hatch{stroke:#8a8574;stroke-width:1}
.matrixmap .waits{stroke:#0d2a4a;stroke-width:2.4;stroke-linecap:round}
.matrixmap .unprinted{stroke:#0d2a4a;stroke-width:1}
.matrixmap .print,.matrixmap .reach,.matrixmap .caption{fill:#4b5a66}
.matrixmap .types{fill:#0d2a4a}.matrixmap .further{fill:#7a2e12;font-style:italic}
.matrixmap .other{fill:#17414d;font-style:italic}
.matrixmap .shape .cell{stroke:#8a8574}.matrixmap .shape .filled{fill:#0d2a4a;stroke:none}
.matrixmap .shape .stroked{stroke:#0d2a4a}.matrixmap .further .filled{fill:#7a2e12}.matrixmap .further .stroked{stroke:#7a2e12}
.matrixmap .shape.print .stroked,.matrixmap .shape.reach .stroked,.matrixmap .shape.caption .stroked{stroke:#4b5a66}
.matrixmap .shape.print .filled,.matrixmap .shape.reach .filled,.matrixmap .shape.caption .filled{fill:#4b5a66}
.matrixmap .sign,.matrixmap .dot{fill:#17283a}.matrixmap .ring{fill:#f6f1e4}
.matrixmap .line{stroke:#8a8574}.matrixmap .none{stroke:#8a8574;stroke-width:1.5}
@media screen and (prefers-color-scheme:dark){
.matrixmap .paper{fill:#0e1c26}.matrixmap text{fill:#ede6d3}
.matrixmap path,.matrixmap circle{stroke:#c9c2ae}
.matrixmap .cap{fill:#16303f}.matrixmap .rule,.matrixmap .hatch,.matrixmap .line,.matrixmap .none{stroke:#7f8b90}
.matrixmap .modifier .cap,.matrixmap .lock .cap,.matrixmap .latch .cap,.matrixmap .command .cap{fill:#27414a}
.matrixmap .nothing .cap,.matrixmap .idle .cap{fill:#122431}
.matrixmap .print,.matrixmap .reach,.matrixmap .caption{fill:#c3c8c4}
.matrixmap .waits,.matrixmap .unprinted{stroke:#fdf6e0}
.matrixmap .types{fill:#fdf6e0}.matrixmap .further{fill:#ffc59a}.matrixmap .other{fill:#a9dbe6}
.matrixmap .shape .cell{stroke:#7f8b90}.matrixmap .shape .filled{fill:#fdf6e0;stroke:none}
.matrixmap .shape .stroked{stroke:#fdf6e0}.matrixmap .further .filled{fill:#ffc59a}.matrixmap .further .stroked{stroke:#ffc59a}
.matrixmap .shape.print .stroked,.matrixmap .shape.reach .stroked,.matrixmap .shape.caption .stroked{stroke:#c3c8c4}
.matrixmap .shape.print .filled,.matrixmap .shape.reach .filled,.matrixmap .shape.caption .filled{fill:#c3c8c4}
.matrixmap .sign,.matrixmap .dot{fill:#ede6d3}.matrixmap .ring{fill:#0e1c26}
}
"""

BORDER = 26.0
"""Width of the frame: a double line with a tick at each key pitch, so that the picture shows its scale."""

MARGIN = 24.0
TITLE = 62.0
CAPTION = 18.0


def draw(plan: Plan, parts: Iterable[str] = PART_NAMES, language: str = FALLBACK) -> str:
    """An SVG document with some of the parts `host`, `machine` and `matrix`, in that order, in a language with a file.

    A part that cannot be drawn is left out; `left_out` says which and why. Every id in the document begins with the
    layout's id, so that one HTML page can hold the pictures of several layouts.
    """
    wanted = tuple(parts)
    faces, tongue = _faces(plan), tongue_of(language)
    drawn = list(_drawn(faces, wanted, tongue)) if faces else []
    return _paper(plan, drawn, wanted, tongue)


Drawn = tuple[tuple[str, ...], Part]
"""A part with its caption, one line each."""


def _drawn(faces: Faces, wanted: tuple[str, ...], tongue: Tongue) -> Iterator[Drawn]:
    inner = LEAST_WIDTH
    for name, draw_part in (("host", draw_host), ("machine", draw_machine)):
        if name in wanted and (part := draw_part(faces, tongue=tongue)):
            inner = max(inner, part.width)
            yield captions(tongue, faces, name), _widened(part, inner)
    if "matrix" in wanted:
        yield captions(tongue, faces, "matrix"), draw_matrix(faces, inner, tongue)


WIDEST = 1.75
"""The largest scale of another part relative to the host's keyboard."""


def _widened(part: Part, width: float) -> Part:
    """A part, as large as allowed in a width, so that a small keyboard leaves no part of the sheet empty."""
    scale = min(width / part.width, WIDEST)
    if scale < 1.02:
        return part
    larger = element("g", part.markup, transform=f"scale({number(scale)})")
    return Part(markup=larger, width=part.width * scale, height=part.height * scale)


def _paper(plan: Plan, drawn: list[Drawn], wanted: tuple[str, ...], tongue: Tongue) -> str:
    """The document with some parts, each with its caption."""
    inner = max([part.width for _, part in drawn] + [LEAST_WIDTH])
    x = BORDER + MARGIN
    y = BORDER + MARGIN
    back = tongue.right_to_left
    body = [text_line(plan.layout.title, x, y + 22, inner, 24, bold=True, class_="title", backward=back)]
    body.append(text_line(subtitle(tongue, plan), x, y + 44, inner, 13, class_="caption", backward=back))
    y += TITLE
    for lines, part in drawn:
        wrapped = [
            (part_line, index == 0) for index, line in enumerate(lines) for part_line in wrap(line, 13, inner, 4)
        ]
        for line, bold in wrapped:
            body.append(text_line(line, x, y + 14, inner, 13, bold=bold, class_="caption", backward=back))
            y += CAPTION
        y += 4
        body.append(element("g", part.markup, transform=f"translate({number(x)} {number(y)})"))
        y += part.height + MARGIN
    width, height = inner + 2 * x, y + BORDER
    name = f"{plan.id}-{'-'.join(wanted)}"
    description = " ".join(line for lines, _ in drawn for line in lines)
    body = [*_frame(width, height), *body]
    return picture(
        name,
        plan.layout.title,
        description,
        (width, height),
        *body,
        style=STYLE,
        class_="matrixmap",
        language=tongue.language,
    )


def left_out(plan: Plan, parts: Iterable[str] = PART_NAMES) -> tuple[str, ...]:
    """Why parts cannot be drawn, one sentence each."""
    layout = plan.layout
    try:
        make_table(plan)
    except TableError as fault:
        return tuple(f"the {_PART_TITLES[part]} is not drawn: {fault}" for part in parts)
    reasons = []
    if "host" in parts and form_of(layout.host) is None:
        reasons.append(f"the host {layout.host.id} is not drawn: its form {layout.host.form!r} has no known geometry")
    if "machine" in parts and not layout.machine.rows:
        reasons.append(f"the keyboard of {layout.machine.id} is not drawn: its file has no field place")
    return tuple(reasons)


_PART_TITLES = {"host": "host's keyboard", "machine": "machine's keyboard", "matrix": "matrix"}


def _faces(plan: Plan) -> Faces | None:
    """The faces of a plan's keys; None if no table can hold the plan, because then nobody can say what a press does."""
    try:
        return Faces(plan)
    except TableError:
        return None


def _frame(width: float, height: float) -> list[str]:
    """The double line around the paper with its ticks, as on a chart."""
    outer, inner = 8.0, BORDER
    frames = "".join(
        f"M{number(inset)} {number(inset)}H{number(width - inset)}V{number(height - inset)}H{number(inset)}Z"
        for inset in (outer, inner)
    )
    ticks = []
    at = inner + MARGIN
    while at <= width - inner:
        ticks.append(
            f"M{number(at)} {number(outer)}V{number(inner)}M{number(at)} {number(height - inner)}V{number(height - outer)}"
        )
        at += PITCH
    at = inner + MARGIN
    while at <= height - inner:
        ticks.append(
            f"M{number(outer)} {number(at)}H{number(inner)}M{number(width - inner)} {number(at)}H{number(width - outer)}"
        )
        at += PITCH
    path = element("path", d=frames, class_="frame") + element("path", d="".join(ticks), class_="tick")
    return [element("g", path, aria_hidden="true")]
