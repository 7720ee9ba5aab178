"""`matrixmap list`: machines, hosts, layouts, parts and adapters with their titles and origins."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    line_width,
    open_project,
    print_json,
    print_reading_findings,
)

if TYPE_CHECKING:
    from matrixmap.model.boards.adapter import Adapter, Part
    from matrixmap.model.finding import Finding
    from matrixmap.model.host import Host
    from matrixmap.model.layout import Layout
    from matrixmap.model.machine import Machine
    from matrixmap.source.kinds.project import Entry, Loaded, Project

app = make_app()

LISTED = ("machine", "host", "layout", "part", "adapter")


@app.command(name="list", epilog="Example: matrixmap list --format json")
def list_all(root: Path | None = RootOption, format: str = FormatOption) -> None:
    """List machines, hosts, layouts, parts and adapters with their titles and where they come from."""
    choose_format(format)
    project = open_project(root)
    tables = {kind: [_row(project, entry) for entry in _entries(project, kind)] for kind in LISTED}
    if format == "json":
        print_json({f"{kind}s": rows for kind, rows in tables.items()})
    else:
        for kind, rows in tables.items():
            _print_table(kind, rows, {entry.id for entry in project.files(kind) if entry.hides})
    findings = [finding for entry in _all_entries(project) for finding in _findings(project, entry)]
    if findings:
        print_reading_findings(findings)
        raise typer.Exit(2)


def _print_table(kind: str, rows: list[dict[str, str | None]], hiding: set[str]) -> None:
    from matrixmap.form.parts.wrapping import cells, wrapped
    from matrixmap.model.words import shown

    typer.echo(f"{kind}s")
    width = max((len(shown(row["id"] or "")) for row in rows), default=0)
    for row in rows:
        own = f"{row['from']}, in place of the shipped one" if row["id"] in hiding else row["from"]
        title = "cannot be read" if row["title"] is None else shown(row["title"])
        id16 = f"  {row['id16'] or '':6}" if kind == "layout" else ""
        head = f"  {shown(row['id'] or ''):{width}}{id16}  "
        told = f"{title}  ({own})"
        if len(head) + cells(told) <= line_width():
            typer.echo(head + told)
            continue
        # On a narrow terminal, a row is a paragraph.
        typer.echo(head.rstrip())
        for line in wrapped(told, line_width() - 4):
            typer.echo(f"    {line}")


def _all_entries(project: Project) -> list[Entry]:
    return [entry for kind in LISTED for entry in _entries(project, kind)]


def _findings(project: Project, entry: Entry) -> tuple[Finding, ...]:
    loaded = _load(project, entry)
    return loaded.findings if loaded else ()


def _entries(project: Project, kind: str) -> list[Entry]:
    entries = project.entries(kind)
    return [entry for entry in entries if kind != "host" or not project.is_base(entry.id)]


def _row(project: Project, entry: Entry) -> dict[str, str | None]:
    from matrixmap.emit.tables.id16 import id16_text

    loaded = _load(project, entry)
    value = loaded.value if loaded else None
    where = "yours" if entry.folder == 0 and len(project.folders) > 1 else "shipped"
    # The name of a file that cannot be read may not be an id at all.
    id16 = {"id16": id16_text(value.id) if value else None} if entry.kind == "layout" else {}
    return {"id": entry.id, **id16, "title": value.title if value else None, "from": where}


def _load(
    project: Project, entry: Entry
) -> Loaded[Machine] | Loaded[Host] | Loaded[Layout] | Loaded[Part] | Loaded[Adapter] | None:
    match entry.kind:
        case "machine":
            return project.machine(entry.id)
        case "host":
            return project.host(entry.id)
        case "part":
            return project.part(entry.id)
        case "adapter":
            return project.adapter(entry.id)
        case _:
            return project.layout(entry.id)
