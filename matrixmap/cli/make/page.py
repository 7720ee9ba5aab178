"""`matrixmap page`: a web page for trying layouts."""

from __future__ import annotations

from pathlib import Path

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    open_project,
    print_overrides,
    print_written,
    read_layouts,
    usable,
)

app = make_app()


@app.command(epilog="Example: matrixmap page quillon8-de-DE-symbolic quillon8-fr-FR-symbolic --out try.html")
def page(
    layouts: list[str] = typer.Argument(
        None, metavar="[LAYOUT]...", help="Ids or YAML files; all layouts when left out."
    ),
    out: Path = typer.Option(Path("page.html"), "--out", metavar="FILE", help="File to write, ending in .html."),
    format: str = FormatOption,
    root: Path | None = RootOption,
) -> None:
    """Make one HTML file to try layouts on, in any browser, without a network."""
    from matrixmap.cli.files import write_all
    from matrixmap.cli.make.pictures import check_suffix, refuse_unknown_form
    from matrixmap.emit.page.document import page_html
    from matrixmap.join.plan import compile_plan
    from matrixmap.press.table.make import TableError

    choose_format(format)
    check_suffix(out, (".html",))
    project = open_project(root)
    print_overrides(project, layouts or ())
    plans = [compile_plan(layout) for layout in usable(read_layouts(project, layouts or []))]
    for plan in plans:
        refuse_unknown_form(plan.layout.host)
    try:
        text = page_html(plans)
    except TableError as fault:
        raise UsageError(str(fault)) from fault
    write_all(out.parent, {out.name: text})
    if format == "json":
        print_written(format, [out], layouts=[plan.id for plan in plans], bytes=len(text.encode()))
        return
    typer.echo(
        f"{out} written: {len(plans)} layout{'s' if len(plans) != 1 else ''}, {len(text.encode()) / 1000:.0f} KB"
    )
