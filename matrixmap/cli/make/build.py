"""`matrixmap build`: C tables, runtime, key lists and index of layouts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    RootOption,
    open_project,
    print_overrides,
    print_reading_findings,
    read_layouts,
    usable,
)

if TYPE_CHECKING:
    from matrixmap.model.plan import Plan

app = make_app()


@app.command(epilog="Example: matrixmap build quillon8-en-GB-symbolic --out firmware/tables")
def build(
    layouts: list[str] = typer.Argument(None, metavar="[LAYOUT]...", help="Ids or YAML files; all when left out."),
    out: Path = typer.Option(Path("generated"), "--out", metavar="DIR", help="Folder to write to."),
    check: bool = typer.Option(False, "--check", help="Write nothing; exit 1 if what stands there is stale."),
    quiet: bool = typer.Option(False, "--quiet", help="No summary."),
    root: Path | None = RootOption,
) -> None:
    """Write the C tables, the runtime, the key lists and the index of layouts."""
    from matrixmap.emit.tables.build import build_files
    from matrixmap.join.plan import compile_plan
    from matrixmap.press.table.make import TableError

    project = open_project(root)
    print_overrides(project, layouts or ())
    plans = [compile_plan(layout) for layout in usable(read_layouts(project, layouts or []))]
    _one_file_each(plans)
    try:
        texts = build_files(plans)
    except TableError as fault:
        raise UsageError(str(fault)) from fault
    if check:
        _check_fresh(out, texts)
        return
    from matrixmap.cli.files import write_all

    write_all(out, texts)
    if not quiet:
        _print_summary(plans, out, len(texts))


def _one_file_each(plans: list[Plan]) -> None:
    """Ids that differ in case only would be one file on many disks: findings, and exit code 2."""
    from matrixmap.source.report import Report
    from matrixmap.source.rules import IDS_DIFFER_IN_CASE

    report = Report()
    layouts = {plan.id: plan.layout.place for plan in plans}
    machines = {plan.layout.machine.id: plan.layout.machine.place for plan in plans}
    for kind, places in (("layout", layouts), ("machine", machines)):
        seen: dict[str, str] = {}
        for id, place in places.items():
            other = seen.setdefault(id.lower(), id)
            if other != id:
                fault = f"{id} differs from the {kind} {other} ({places[other]}) in case only, and both would share one file"
                report.add(IDS_DIFFER_IN_CASE, place, f"{fault}; rename one, or build them into different folders")
    if report.findings:
        print_reading_findings(report.findings)
        raise typer.Exit(2)


def _check_fresh(out: Path, texts: dict[str, str]) -> None:
    """Exit code 1 and a line a file if a file is missing or differs; files that a build did not write do not count."""
    from matrixmap.cli.files import read_text

    standing = {name: read_text(out / name) for name in texts}
    stale = [(name, text) for name, text in standing.items() if text != texts[name]]
    for name, text in stale:
        typer.echo(f"{out / name}: {'is missing' if text is None else 'is stale'}", err=True)
    gone = [name for name in _written_before(out) if name not in texts]
    for name in gone:
        typer.echo(f"{out / name}: no layout makes this file any more", err=True)
    if stale or gone:
        typer.echo(f"{len(stale) + len(gone)} files are stale; run matrixmap build", err=True)
        raise typer.Exit(1)
    typer.echo(f"{len(texts)} files in {out} are fresh")


def _written_before(out: Path) -> list[str]:
    """The files that the manifest of an earlier build names and that are still there."""
    import json

    from matrixmap.cli.files import read_text
    from matrixmap.emit.tables.build import MANIFEST

    try:
        manifest = json.loads(read_text(out / MANIFEST) or "{}")
        names = sorted(manifest.get("files", {}))
    except (ValueError, AttributeError, TypeError):
        return []
    return [name for name in names if "/" not in name and (out / name).is_file()]


def _print_summary(plans: list[Plan], out: Path, files: int) -> None:
    """A line a layout: what it does, and how its table compares with the smallest possible one."""
    from matrixmap.emit.tables.figures import figures_of

    rows = [("layout", "triggers", "strokes", "characters", "header", "table", "floor", "ratio")]
    for plan in plans:
        figures = figures_of(plan)
        rows.append(
            (
                plan.id,
                str(figures.triggers),
                str(figures.strokes),
                str(figures.characters),
                f"{figures.header_bytes} B",
                f"{figures.table_bytes} B",
                f"{figures.floor_bytes:.0f} B",
                f"{figures.ratio:.2f}",
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        cells = [
            cell.ljust(width) if not n else cell.rjust(width)
            for n, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        typer.echo("  ".join(cells).rstrip())
    typer.echo(f"{files} files written to {out}")
