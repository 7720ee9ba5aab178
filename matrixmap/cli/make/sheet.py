"""`matrixmap sheet`: one page for the desk."""

from __future__ import annotations

from pathlib import Path

import typer

from matrixmap.cli.main import make_app
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


@app.command(epilog="Example: matrixmap sheet quillon8-fr-FR-symbolic --out desk.pdf")
def sheet(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    out: Path | None = typer.Option(
        None,
        "--out",
        metavar="FILE",
        help="File to write, ending in .html or .pdf (default: the layout's id, -sheet.html).",
    ),
    paper: str = typer.Option("A4", "--sheet", metavar="A4|Letter", help="The paper, in portrait."),
    language: str = typer.Option(
        "", "--language", metavar="TAG", help="Language of the sheet, such as de or uk (default: that of the keyboard)."
    ),
    format: str = FormatOption,
    root: Path | None = RootOption,
) -> None:
    """Make one page that tells how to type every special character and function of the machine, and what cannot be typed."""
    from matrixmap.cli.files import write_all
    from matrixmap.cli.make.pictures import check_language, check_paper, check_suffix, language_of, one_page_pdf
    from matrixmap.emit.pictures.sheet import PAPERS, sheet_content, sheet_html, sizes_to_try

    check_paper(paper, PAPERS)
    if language:
        check_language(language)
    choose_format(format)
    check_suffix(out, (".html", ".pdf"))
    project = open_project(root)
    print_overrides(project, [layout])
    plan = one_plan(project, layout)
    target = out or Path(f"{plan.id}-sheet.html")
    tongue = language_of(language, plan.layout.host)
    content: str | bytes = sheet_html(plan, paper, language=tongue)
    if target.suffix.lower() == ".pdf":
        sizes = sizes_to_try(sheet_content(plan, tongue))
        content = one_page_pdf(sheet_html(plan, paper, size, tongue) for size in sizes)
    write_all(target.parent, {target.name: content})
    print_written(format, [target])
