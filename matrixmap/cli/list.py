"""`matrixmap list`: machines, hosts and layouts with their titles and where they come from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import make_app
from matrixmap.cli.session import FormatOption, RootOption, choose_format, open_project, print_json, print_overrides

if TYPE_CHECKING:
    from matrixmap.source.project import Entry, Project

app = make_app()


@app.command(name="list", epilog="Example: matrixmap list --format json")
def list_all(root: Path | None = RootOption, format: str = FormatOption) -> None:
    """List machines, hosts and layouts with their titles and where they come from."""
    choose_format(format)
    project = open_project(root)
    tables = {
        kind: [_row(project, entry) for entry in _entries(project, kind)] for kind in ("machine", "host", "layout")
    }
    if format == "json":
        print_json({f"{kind}s": rows for kind, rows in tables.items()})
    else:
        print_overrides(project)
        for kind, rows in tables.items():
            typer.echo(f"{kind}s")
            width = max((len(row["id"] or "") for row in rows), default=0)
            for row in rows:
                typer.echo(f"  {row['id']:{width}}  {row['title']}  ({row['from']})")
    if any(row["title"] is None for rows in tables.values() for row in rows):
        raise typer.Exit(2)


def _entries(project: Project, kind: str) -> list[Entry]:
    entries = project.entries(kind)
    return [entry for entry in entries if kind != "host" or not project.is_base(entry.id)]


def _row(project: Project, entry: Entry) -> dict[str, str | None]:
    from matrixmap.model.words import shown

    load = {"machine": project.machine, "host": project.host, "layout": project.layout}[entry.kind]
    loaded = load(entry.id)
    value = loaded.value if loaded else None
    where = "yours" if entry.folder == 0 and len(project.folders) > 1 else "shipped"
    row: dict[str, str | None] = {"id": entry.id, "title": shown(value.title) if value else None, "from": where}
    return row
