"""`matrixmap stickers`: stickers for the keys of a host, at true scale."""

from __future__ import annotations

import re
from pathlib import Path

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

app = make_app()

LEAST_SIZE = 5.0
MOST_SIZE = 40.0


@app.command(epilog="Example: matrixmap stickers quillon8-en-US-positional --sheet Letter --out stickers.pdf")
def stickers(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    out: Path | None = typer.Option(
        None,
        "--out",
        metavar="FILE",
        help="File to write, ending in .svg or .pdf (default: the layout's id, -stickers.svg).",
    ),
    sheet: str = typer.Option("A4", "--sheet", metavar="A4|Letter", help="The paper, in landscape."),
    size: str = typer.Option("11", "--size", metavar="MM[xMM]", help="Width and height of a sticker in millimetres."),
    margin: float = typer.Option(1.0, "--margin", metavar="MM", help="The empty margin inside a sticker."),
    every: bool = typer.Option(
        False,
        "--all",
        help=(
            "Make a sticker for every key that types, not only for keys that type something else than is printed "
            "on them."
        ),
    ),
    language: str = typer.Option(
        "", "--language", metavar="TAG", help="Language of the sheet, such as de or uk (default: that of the keyboard)."
    ),
    format: str = FormatOption,
    root: Path | None = RootOption,
) -> None:
    """Make a sticker for each key that types something else than is printed on it, with cut lines and a ruler."""
    from matrixmap.cli.files import write_all
    from matrixmap.cli.make.pictures import (
        check_language,
        check_paper,
        check_suffix,
        language_of,
        refuse_unknown_form,
        svg_pages_as_pdf,
    )
    from matrixmap.emit.pictures.stickers import SHEETS, Cut, TooSmallError, sticker_pages

    check_paper(sheet, SHEETS)
    width, height = _read_size(size)
    if not 0 <= margin <= min(width, height) / 3:
        raise UsageError(f"a margin of {margin:g} mm does not fit a sticker of {width:g} by {height:g} mm")
    if language:
        check_language(language)
    choose_format(format)
    check_suffix(out, (".svg", ".pdf"))
    project = open_project(root)
    print_overrides(project, [layout])
    plan = one_plan(project, layout)
    refuse_unknown_form(plan.layout.host)
    try:
        cut = Cut(width=width, height=height, margin=margin, sheet=sheet, every=every)
        pages = sticker_pages(plan, cut, language_of(language, plan.layout.host))
    except TooSmallError as fault:
        raise UsageError(str(fault)) from fault
    if not pages:
        typer.echo("no key types anything other than what is printed on it; --all makes stickers anyway", err=True)
        if format == "json":
            print_written(format, [])
        return
    target = out or Path(f"{plan.id}-stickers.svg")
    contents: dict[str, str | bytes] = {}
    if target.suffix.lower() == ".pdf":
        contents[target.name] = svg_pages_as_pdf(pages)
    else:
        for index, page in enumerate(pages):
            contents[target.name if index == 0 else f"{target.stem}-{index + 1}{target.suffix}"] = page
    write_all(target.parent, contents)
    print_written(format, [target.parent / name for name in contents])


def _read_size(text: str) -> tuple[float, float]:
    """`11`, `13.5` or `13x11`, in millimetres."""
    found = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,3})?)(?:x([0-9]{1,3}(?:\.[0-9]{1,3})?))?", text)
    if found is None:
        raise UsageError(f"cannot read the size {text!r}; write millimetres, such as 11 or 13x11")
    width = float(found[1])
    height = float(found[2]) if found[2] else width
    if not (LEAST_SIZE <= width <= MOST_SIZE and LEAST_SIZE <= height <= MOST_SIZE):
        raise UsageError(f"a sticker is {LEAST_SIZE:g} to {MOST_SIZE:g} mm wide and high, not {width:g} by {height:g}")
    return width, height
