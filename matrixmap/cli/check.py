"""`matrixmap check`: what can go wrong with layouts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    open_project,
    print_json,
    print_overrides,
    read_layouts,
    usable,
)

if TYPE_CHECKING:
    from matrixmap.check.run import Checked
    from matrixmap.model.finding import Finding

app = make_app()

LEVELS = {"error": 3, "warning": 2, "none": 4}


@app.command(epilog="Example: matrixmap check quillon8-de-DE-symbolic --fail-on warning")
def check(
    layouts: list[str] = typer.Argument(
        None, metavar="[LAYOUT]...", help="Ids of layouts, or YAML files; all when left out."
    ),
    root: Path | None = RootOption,
    format: str = FormatOption,
    fail_on: str = typer.Option(
        "error", "--fail-on", metavar="error|warning|none", help="Exit with 1 from this severity on."
    ),
) -> None:
    """Report what can go wrong with layouts. Exit 0 clean, 1 findings at or above --fail-on, 2 unusable input."""
    from matrixmap.check.run import check_plan
    from matrixmap.join.plan import compile_plan

    choose_format(format)
    if fail_on not in LEVELS:
        raise UsageError(f"there is no severity {fail_on!r} for --fail-on (choices: {', '.join(LEVELS)})")
    project = open_project(root)
    if format == "text":
        print_overrides(project)
    results = [check_plan(compile_plan(layout)) for layout in usable(read_layouts(project, layouts or ()))]
    if format == "json":
        print_json({"layouts": [_document(checked) for checked in results]})
    else:
        for checked in results:
            _print_text(checked)
    if any(finding.severity >= LEVELS[fail_on] for checked in results for finding in checked.findings):
        raise typer.Exit(1)


def _document(checked: Checked) -> dict[str, object]:
    return {
        "layout": checked.plan.id,
        "findings": [_finding(finding) for finding in checked.findings],
        "accepted": [_finding(finding) for finding in checked.accepted],
        "strokes": checked.verdict.tally.strokes,
        "lying_strokes": checked.verdict.tally.lying_strokes,
        "pairs": checked.verdict.tally.pairs,
        "lying_pairs": checked.verdict.tally.lying_pairs,
    }


def _finding(finding: Finding) -> dict[str, object]:
    place = finding.place
    return {
        "slug": finding.slug,
        "severity": finding.severity.word,
        "file": place.file if place else None,
        "line": place.line if place else None,
        "column": place.column if place else None,
        "text": finding.text,
        "count": finding.count,
    }


def _print_text(checked: Checked) -> None:
    from matrixmap.model.words import shown

    verdict = checked.verdict
    typer.echo(f"{checked.plan.id}: {shown(checked.plan.layout.title)}")
    typer.echo(f"  {verdict.tally.lying_strokes} of {verdict.tally.strokes} strokes make a phantom alone")
    typer.echo(
        f"  {verdict.tally.lying_pairs} of {verdict.tally.pairs} pairs of host keys make a phantom without the guard"
    )
    for finding in checked.findings:
        place = shown(str(finding.place)) if finding.place else checked.plan.id
        typer.echo(f"{place}: {finding.severity.word}: {finding.slug}: {shown(finding.text)}")
    for slug in dict.fromkeys(finding.slug for finding in checked.accepted):
        reason = next(line.reason for line in checked.plan.layout.accept if line.slug == slug)
        typer.echo(f"  accepted: {slug}: {shown(reason)}")
