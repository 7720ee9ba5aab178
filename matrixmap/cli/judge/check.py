"""`matrixmap check`: what can go wrong with layouts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import RootOption, choose_format, open_project, print_overrides, read_layouts

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from matrixmap.cli.session import Reading
    from matrixmap.form.report import Result

app = make_app()

FORMATS = ("text", "json", "sarif", "markdown", "annotations")
FAIL_ON = {"error": 3, "warning": 2, "none": 4}


@app.command(epilog="Example: matrixmap check quillon8-de-DE-symbolic --fail-on warning")
def check(
    layouts: list[str] = typer.Argument(
        None, metavar="[LAYOUT]...", help="Ids of layouts, or YAML files; all when left out."
    ),
    root: Path | None = RootOption,
    format: str = typer.Option("text", "--format", metavar="|".join(FORMATS), help="How to print the report."),
    all_findings: bool = typer.Option(False, "--all", help="Show every finding, not only the worst few of each kind."),
    select: list[str] = typer.Option([], "--select", metavar="SLUG,...", help="Report these rules only."),
    ignore: list[str] = typer.Option([], "--ignore", metavar="SLUG,...", help="Leave these rules out."),
    fail_on: str = typer.Option(
        "error", "--fail-on", metavar="error|warning|none", help="Exit with 1 from this severity on."
    ),
    schema: bool = typer.Option(False, "--schema", help="Print the JSON Schema of --format json and exit."),
) -> None:
    """Report what can go wrong with layouts. Exit 0 clean, 1 findings at or above --fail-on, 2 unusable input."""
    if schema:
        from matrixmap.cli.session import print_json
        from matrixmap.form.schemas import findings_schema

        print_json(findings_schema())
        return
    choose_format(format, FORMATS)
    if fail_on not in FAIL_ON:
        raise UsageError(f"there is no severity {fail_on!r} for --fail-on (choices: {', '.join(FAIL_ON)})")
    wanted = _wanted_slugs(select, ignore)
    project = open_project(root)
    if format == "text":
        print_overrides(project, layouts or ())
    judge = _Judge()
    results = judge.through(_results(read_layouts(project, layouts or ()), wanted))
    for piece in _in_form(results, format, all_findings):
        typer.echo(piece)
    if judge.unread:
        raise typer.Exit(2)
    if judge.worst >= FAIL_ON[fail_on]:
        raise typer.Exit(1)


class _Judge:
    """Lets results through and keeps what the exit code depends on: the worst severity, and whether all could be read."""

    def __init__(self) -> None:
        self.worst = 0
        self.unread = False

    def through(self, results: Iterable[Result]) -> Iterator[Result]:
        from matrixmap.form.report import Unread

        for result in results:
            if isinstance(result, Unread):
                self.unread = True
            else:
                self.worst = max([self.worst, *(finding.severity for finding in result.findings)])
            yield result


def _wanted_slugs(select: list[str], ignore: list[str]) -> frozenset[str]:
    """The slugs to report; a usage error for one that no rule has."""
    from matrixmap.check.registry import known_slugs

    known = known_slugs()
    selected, ignored = _slugs(select, "--select", known), _slugs(ignore, "--ignore", known)
    return frozenset(selected or known) - frozenset(ignored)


def _slugs(values: Iterable[str], option: str, known: tuple[str, ...]) -> list[str]:
    from matrixmap.source.report import nearest

    slugs = [slug.strip() for value in values for slug in value.split(",") if slug.strip()]
    for slug in slugs:
        if slug not in known:
            raise UsageError(f"{option}: there is no rule {slug!r}{nearest(slug, known)} (see matrixmap rules)")
    return slugs


def _results(readings: Iterable[Reading], wanted: frozenset[str]) -> Iterator[Result]:
    """What became of each layout, one after the other."""
    from dataclasses import replace

    from matrixmap.check.run import Checked, find_in_plan
    from matrixmap.form.report import Unread
    from matrixmap.join.plan import compile_plan

    for reading in readings:
        if reading.loaded.value is None:
            yield Unread(name=reading.name, findings=reading.loaded.findings)
            continue
        result = find_in_plan(compile_plan(reading.loaded.value))
        if not isinstance(result, Checked):
            yield Unread(name=reading.name, findings=result.findings, why="has no table")
            continue
        yield replace(
            result,
            findings=tuple(finding for finding in result.findings if finding.slug in wanted),
            accepted=tuple(finding for finding in result.accepted if finding.slug in wanted),
        )


def _in_form(results: Iterable[Result], form: str, all_findings: bool) -> Iterator[str]:
    match form:
        case "json":
            from matrixmap.form.as_json import report_json

            return report_json(results)
        case "sarif":
            from matrixmap.form.as_sarif import report_sarif

            return report_sarif(results)
        case "markdown":
            from matrixmap.form.as_markdown import report_markdown

            return report_markdown(results, all_findings)
        case "annotations":
            from matrixmap.form.as_annotations import report_annotations

            return report_annotations(results, all_findings)
    from matrixmap.form.as_text import report_text

    return report_text(results, all_findings)
