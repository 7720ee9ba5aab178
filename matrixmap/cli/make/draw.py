"""`matrixmap draw`: a layout as a picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    one_plan,
    open_project,
    print_overrides,
    print_written,
)

if TYPE_CHECKING:
    from matrixmap.model.plan import Plan

app = make_app()

FORMS = (".svg", ".png", ".pdf")


@app.command(epilog="Example: matrixmap draw quillon8-de-DE-symbolic --out keyboard.svg")
def draw(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    out: Path | None = typer.Option(
        None,
        "--out",
        metavar="FILE",
        help="File to write, ending in .svg, .png or .pdf (default: the layout's id, .svg).",
    ),
    parts: str = typer.Option(
        "host,machine,matrix", "--parts", metavar="PART,...", help="What to draw: host, machine, matrix."
    ),
    width: int = typer.Option(0, "--width", metavar="PIXELS", help="Width of a PNG (default: that of the drawing)."),
    paper: str = typer.Option(
        "",
        "--poster",
        metavar="A4|A3",
        help="Draw one keyboard, as large as this paper allows, in landscape: the first part of --parts.",
    ),
    language: str = typer.Option(
        "",
        "--language",
        metavar="TAG",
        help="Language of the drawing, such as de or uk (default: that of the keyboard).",
    ),
    format: str = FormatOption,
    root: Path | None = RootOption,
) -> None:
    """Draw the host's keyboard with what each key types, the machine's keyboard with what reaches it, and the matrix."""
    from matrixmap.cli.files import write_all
    from matrixmap.cli.make.pictures import check_language, check_suffix, language_of, svg_as_png, svg_pages_as_pdf
    from matrixmap.emit.pictures.drawing import PART_NAMES, left_out
    from matrixmap.emit.pictures.drawing import draw as draw_plan
    from matrixmap.emit.pictures.poster import POSTERS
    from matrixmap.source.report import nearest

    wanted = tuple(dict.fromkeys(parts.split(",")))
    for part in wanted:
        if part not in PART_NAMES:
            raise UsageError(f"there is no part {part!r}{nearest(part, PART_NAMES)} (parts: {', '.join(PART_NAMES)})")
    if width and not 100 <= width <= 20_000:
        raise UsageError(f"a width of {width} pixels is not possible; it must be 100 to 20000")
    if paper and paper not in POSTERS:
        raise UsageError(f"there is no poster {paper!r}{nearest(paper, POSTERS)} (posters: {', '.join(POSTERS)})")
    if language:
        check_language(language)
    choose_format(format)
    check_suffix(out, FORMS)
    project = open_project(root)
    print_overrides(project, [layout])
    plan = one_plan(project, layout)
    missing = left_out(plan, wanted)
    if len(missing) == len(wanted):
        raise UsageError("; ".join(missing))
    for reason in missing:
        typer.echo(f"note: {reason}", err=True)
    target = out or Path(f"{plan.id}.svg")
    tongue = language_of(language, plan.layout.host)
    picture = _poster(plan, wanted, paper, tongue) if paper else draw_plan(plan, wanted, tongue)
    content: str | bytes = picture
    if target.suffix.lower() == ".png":
        content = svg_as_png(picture, width or None)
    elif target.suffix.lower() == ".pdf":
        content = svg_pages_as_pdf([picture])
    write_all(target.parent, {target.name: content})
    print_written(format, [target])


def _poster(plan: Plan, wanted: tuple[str, ...], paper: str, language: str) -> str:
    """The first requested keyboard, on a sheet of paper."""
    from matrixmap.emit.pictures.poster import KEYBOARDS, CrowdedError, poster

    keyboard = next((part for part in wanted if part in KEYBOARDS), None)
    if keyboard is None:
        raise UsageError("a poster shows one keyboard: --parts host or --parts machine")
    try:
        picture = poster(plan, keyboard, paper, language)
    except CrowdedError as fault:
        raise UsageError(str(fault)) from fault
    if picture is None:
        raise UsageError(f"the keyboard of the {keyboard} cannot be drawn")
    return picture
