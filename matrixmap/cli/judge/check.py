"""`matrixmap check`: what can go wrong with layouts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FailOnOption,
    RootOption,
    choose_fail_on,
    choose_format,
    line_width,
    open_project,
    print_not_read,
    print_overrides,
    read_layouts,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from matrixmap.board.routes import Traced
    from matrixmap.cli.judge.checking import Piece
    from matrixmap.source.kinds.project import Project

app = make_app()

FORMATS = ("text", "json", "sarif", "markdown", "annotations")
CONTACTS = ("switch", "switch-with-diode", "follows-select")


@app.command(epilog="Example: matrixmap check quillon8-de-DE-symbolic --fail-on warning")
def check(
    layouts: list[str] = typer.Argument(
        None, metavar="[LAYOUT]...", help="Ids of layouts, or YAML files; all layouts when left out."
    ),
    root: Path | None = RootOption,
    machine: str | None = typer.Option(
        None, "--machine", metavar="MACHINE", help="Check a machine by itself: its id, or a YAML file."
    ),
    contacts: str | None = typer.Option(
        None,
        "--contacts",
        metavar="|".join(CONTACTS),
        help="With --machine, how the adapter closes a contact (switch if not given).",
    ),
    adapter: str | None = typer.Option(
        None,
        "--adapter",
        metavar="ADAPTER",
        help=(
            "Check the layouts on the board of this adapter: its driver's time, the machine's own keyboard beside "
            "it, and by its voltages which phantoms are really read."
        ),
    ),
    format: str = typer.Option("text", "--format", metavar="|".join(FORMATS), help="How to print the report."),
    all_findings: bool = typer.Option(
        False, "--all", help="Show everything, including all notes and the conflicts that belong to the machine."
    ),
    only: list[str] = typer.Option([], "--only", metavar="SLUG,...", help="Report only these rules."),
    without: list[str] = typer.Option([], "--without", metavar="SLUG,...", help="Leave these rules out."),
    fail_on: str = FailOnOption,
    schema: bool = typer.Option(False, "--schema", help="Print the JSON Schema of --format json and exit."),
) -> None:
    """Report what can go wrong with layouts, or with a machine. Exit 0 clean, 1 findings at or above --fail-on, 2 unusable input."""
    if schema:
        from matrixmap.cli.session import print_json
        from matrixmap.form.schemas import findings_schema

        print_json(findings_schema())
        return
    choose_format(format, FORMATS)
    fails_from = choose_fail_on(fail_on)
    wanted = _wanted_slugs(only, without)
    project = open_project(root)
    if machine is not None:
        if layouts:
            raise UsageError("--machine checks a machine by itself; leave out the layouts")
        if adapter is not None:
            raise UsageError(
                "--adapter needs layouts; matrixmap adapter checks the wiring of a board by itself, and matrixmap "
                "margins its voltages"
            )
        worst = _check_machine(project, machine, contacts, format, all_findings, wanted)
        unread = False
    else:
        if contacts is not None:
            raise UsageError("--contacts needs --machine; a layout itself says how its contacts close")
        if not layouts:
            print_not_read(project)
        if format == "text":
            print_overrides(project, layouts or ())
        worst, unread = _check_layouts(project, layouts or [], format, all_findings, wanted, adapter)
    if unread:
        raise typer.Exit(2)
    if worst >= fails_from:
        raise typer.Exit(1)


def _check_layouts(
    project: Project, layouts: list[str], form: str, everything: bool, slugs: frozenset[str], adapter: str | None
) -> tuple[int, bool]:
    """Prints the report of layouts. Returns the worst severity, and whether one could not be read."""
    from matrixmap.cli.judge.checking import Wanted, check_all
    from matrixmap.cli.session import layout_names

    names = layout_names(project, layouts)
    known = project.known("layout")
    # An unknown name is reported before anything is printed.
    read_layouts(project, [name for name in names if name not in known])
    boards = _boards(project, names, adapter) if adapter is not None else {}
    many = len(names) > 1
    wanted = Wanted(form=form, everything=everything, slugs=slugs, width=line_width(), many=many, boards=boards)
    pieces: list[Piece] = []

    def texts() -> Iterator[str]:
        for piece in check_all(project, names, wanted):
            # The findings are kept if the report needs those of all layouts.
            pieces.append(piece if form in ("sarif", "annotations") else replace(piece, text=""))
            yield piece.text

    for part in _in_form(texts(), pieces, form, everything):
        typer.echo(part)
    return max((piece.worst for piece in pieces), default=0), any(piece.unread for piece in pieces)


def _boards(project: Project, names: list[str], adapter: str) -> dict[str, list[Traced]]:
    """Machine id -> the traced boards of the adapter on it, one per revision, for the machines of readable layouts."""
    from matrixmap.cli.judge.volts import volts_missing
    from matrixmap.cli.look.adapter import sound_boards

    layouts = [reading.loaded.value for reading in read_layouts(project, names)]
    machines = {layout.machine.id: layout.machine for layout in layouts if layout is not None}
    boards = sound_boards(project, adapter, machines.values()) if machines else {}
    traced = {id: [each.traced for each in checked if each.traced is not None] for id, checked in boards.items()}
    for each in (board for of_machine in traced.values() for board in of_machine):
        if missing := volts_missing(each):
            typer.echo(
                f"the voltages of {adapter} on {each.board.fit.name} cannot be known without {', '.join(missing)}, so "
                "phantoms are reported as on the bare matrix; see matrixmap margins",
                err=True,
            )
    return traced


def _in_form(texts: Iterator[str], pieces: list[Piece], form: str, everything: bool) -> Iterator[str]:
    """The report, from the texts of the layouts or from their findings."""
    match form:
        case "json":
            from matrixmap.form.as_json import check_json

            yield from check_json(texts)
        case "sarif" | "annotations":
            for _ in texts:
                pass
            told = [piece.told for piece in pieces]
            if form == "sarif":
                from matrixmap.form.as_sarif import sarif_log

                yield sarif_log(told)
            else:
                from matrixmap.form.as_annotations import annotation_lines

                yield from annotation_lines(told, everything)
        case "markdown":
            yield from _with_blanks(texts)
        case _:
            from matrixmap.form.as_text import summary

            # Full reports are separated by blank lines; single lines of many layouts are not, and end with a sum.
            yield from _with_blanks(texts) if everything else texts
            if len(pieces) > 1:
                yield ""
                yield summary([piece.told for piece in pieces])


def _with_blanks(texts: Iterator[str]) -> Iterator[str]:
    for number, text in enumerate(texts):
        if number:
            yield ""
        yield text


def _check_machine(
    project: Project, name: str, contacts: str | None, form: str, everything: bool, slugs: frozenset[str]
) -> int:
    """Prints the report of a machine; returns the worst severity."""
    from matrixmap.check.machine import check_machine
    from matrixmap.cli.session import one_machine
    from matrixmap.form.parts.report import Told
    from matrixmap.model.layout import Contacts

    if contacts is not None and contacts not in CONTACTS:
        raise UsageError(f"there are no contacts {contacts!r} (choices: {', '.join(CONTACTS)})")
    checked = check_machine(one_machine(project, name), Contacts(contacts or CONTACTS[0]))
    checked = replace(checked, findings=tuple(finding for finding in checked.findings if finding.slug in slugs))
    told = Told(name=checked.machine.id, findings=checked.findings)
    match form:
        case "json":
            from matrixmap.form.as_json import check_json, machine_json

            parts = check_json((), [machine_json(checked)])
        case "sarif":
            from matrixmap.form.as_sarif import sarif_log

            parts = iter([sarif_log([told])])
        case "markdown":
            from matrixmap.form.as_markdown import machine_markdown

            parts = iter([machine_markdown(checked, everything)])
        case "annotations":
            from matrixmap.form.as_annotations import annotation_lines

            parts = annotation_lines([told], everything)
        case _:
            from matrixmap.form.as_text import machine_text

            parts = iter([machine_text(checked, everything, line_width())])
    for part in parts:
        typer.echo(part)
    return max((finding.severity for finding in checked.findings), default=0)


def _wanted_slugs(only: list[str], without: list[str]) -> frozenset[str]:
    """The slugs to report; a usage error for a slug without a rule."""
    from matrixmap.check.registry import known_slugs

    known = known_slugs()
    selected, left_out = _slugs(only, "--only", known), _slugs(without, "--without", known)
    return frozenset(selected or known) - frozenset(left_out)


def _slugs(values: Iterable[str], option: str, known: tuple[str, ...]) -> list[str]:
    from matrixmap.source.report import nearest

    slugs = [slug.strip() for value in values for slug in value.split(",") if slug.strip()]
    for slug in slugs:
        if slug not in known:
            raise UsageError(f"{option}: there is no rule {slug!r}{nearest(slug, known)} (see matrixmap rules)")
    return slugs
