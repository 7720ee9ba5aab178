"""`matrixmap adapter`: an adapter's wiring on the machines that it fits, and the faults in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.files import read_named
from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FailOnOption,
    RootOption,
    choose_fail_on,
    choose_format,
    open_project,
    print_json,
    print_reading_findings,
    usable_one,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matrixmap.board.rules.run import BoardChecked
    from matrixmap.model.boards.adapter import Adapter
    from matrixmap.model.machine import Machine
    from matrixmap.source.kinds.project import Loaded, Project

app = make_app()

FORMATS = ("text", "json", "svg", "checklist", "netlist")


@app.command(epilog="Example: matrixmap adapter ferrule --machine quillon8/late")
def adapter(
    name: str = typer.Argument(..., metavar="ADAPTER", help="Id of an adapter, or its YAML file."),
    machine: str | None = typer.Option(
        None,
        "--machine",
        metavar="MACHINE[/REVISION]",
        help="One of the machines that it fits (all of them when left out).",
    ),
    format: str = typer.Option("text", "--format", metavar="|".join(FORMATS), help="How to print."),
    matings: bool = typer.Option(
        False, "--matings", help="Show all ways to put it on: what each does, and what prevents it."
    ),
    layout: str | None = typer.Option(
        None,
        "--layout",
        metavar="LAYOUT",
        help="Show which strokes of this layout conflict with the machine's own keyboard.",
    ),
    fail_on: str = FailOnOption,
    root: Path | None = RootOption,
) -> None:
    """Trace an adapter's wiring to the machines that it fits: what closes each contact, and what is wrong."""
    choose_format(format, FORMATS)
    fails_from = choose_fail_on(fail_on)
    if matings and format not in ("text", "json"):
        raise UsageError(f"--matings is for text and json, not for {format}")
    if layout is not None and format != "text":
        raise UsageError(f"--layout is for text, not for {format}")
    project = open_project(root)
    checked = checked_boards(project, name, machine)
    if format in ("svg", "checklist", "netlist"):
        _print_file(checked, format)
    elif format == "json":
        from matrixmap.form.as_board_json import board_json

        print_json({"boards": [board_json(each, matings) for each in checked]})
    else:
        from matrixmap.form.as_board_text import board_text

        typer.echo("\n\n".join(board_text(each, matings) for each in checked))
        if layout is not None:
            typer.echo("\n" + "\n".join(_own_keyboard(project, layout, checked[0])))
    worst = max((finding.severity for each in checked for finding in each.findings), default=0)
    if worst >= fails_from:
        raise typer.Exit(1)


def _own_keyboard(project: Project, layout: str, checked: BoardChecked) -> list[str]:
    """The strokes of a layout that make a phantom with a key of the machine's own keyboard, which stays on."""
    from matrixmap.check.on_board import can_read_back, own_key_words
    from matrixmap.check.own_keyboard import beside_own_keyboard
    from matrixmap.cli.session import one_plan
    from matrixmap.model.boards.adapter import Mates
    from matrixmap.model.layout import Contacts
    from matrixmap.model.words import key_name, shown

    if next(checked.adapter.headers(Mates.OWN_KEYBOARD), None) is None or checked.traced is None:
        raise UsageError(
            f"no header of {checked.adapter.id} has mates: own-keyboard, so the machine's own keyboard is not connected"
        )
    plan = one_plan(project, layout)
    machine = plan.layout.machine
    if machine.id != checked.machine.id:
        raise UsageError(f"{layout} is for {machine.id}, but this board is on {checked.machine.id}")
    found = beside_own_keyboard(plan, Contacts(checked.traced.how))
    lines = [
        f"with one key of the machine's own keyboard held, {len(found.suffering)} of {found.strokes} strokes of {plan.id} make a "
        f"phantom with some key: {len(found.clashes)} of {found.pairs} pairs"
    ]
    for stroke in found.suffering:
        own = [clash for clash in found.clashes if clash.stroke == stroke]
        pressed = " + ".join(key_name(machine, contact) for contact in sorted(stroke))
        lines.append(f"  {pressed}: with {own_key_words(machine, own)}")
    can, guard = ("can", "may be told") if can_read_back(checked.traced) else ("cannot", "cannot know")
    lines.append(f"the board {can} read the sense lines back, so the guard {guard} of such a key")
    return [shown(line) for line in lines]


def _print_file(checked: list[BoardChecked], format: str) -> None:
    """Prints the file made from the adapter, or from it on one machine."""
    first, *more = checked
    if format == "checklist":
        from matrixmap.emit.boards.checklist import checklist

        typer.echo(checklist(first.adapter), nl=False)
        return
    if format == "netlist":
        from matrixmap.emit.boards.netlist import netlist_text

        typer.echo(netlist_text(first.adapter), nl=False)
        return
    if more:
        known = ", ".join(each.fit.name for each in checked)
        raise UsageError(f"{format} shows one machine; say which with --machine (fits: {known})")
    if first.traced is None:
        raise UsageError(f"{first.findings[0].place}: {first.findings[0].text}")
    from matrixmap.emit.boards.connectors import connectors_svg

    typer.echo(connectors_svg(first.traced.board), nl=False)


def checked_boards(project: Project, name: str, machine: str | None) -> list[BoardChecked]:
    """The adapter on each machine that it fits, or on one. Findings of reading end the program with exit code 2."""
    from matrixmap.board.rules.run import check_board
    from matrixmap.source.report import named, nearest

    adapter = one_adapter(project, name)
    known = [fit.name for fit in adapter.fits]
    fits = [fit for fit in adapter.fits if machine in (None, fit.name)]
    if not fits:
        if machine is None:
            raise UsageError(f"{adapter.id} fits no machine; name one under fits")
        raise UsageError(f"{adapter.id} does not fit {machine!r}{nearest(machine, known)} (fits: {named(known)})")
    checked = []
    for fit in fits:
        loaded = project.machine(fit.machine)
        assert loaded is not None
        assert loaded.value is not None
        checked.append(check_board(adapter, loaded.value, fit))
    return checked


def sound_boards(project: Project, name: str, machines: Iterable[Machine]) -> dict[str, list[BoardChecked]]:
    """Machine id -> the adapter on it and its revisions, for those of these machines that it fits.

    A board with an error ends the program: its findings go to stderr, with exit code 2. UsageError if it fits none.
    """
    from matrixmap.board.rules.run import check_board
    from matrixmap.model.finding import Severity

    adapter = one_adapter(project, name)
    known = {machine.id: machine for machine in machines}
    boards: dict[str, list[BoardChecked]] = {}
    for fit in adapter.fits:
        if fit.machine in known:
            boards.setdefault(fit.machine, []).append(check_board(adapter, known[fit.machine], fit))
    if not boards:
        raise UsageError(f"{adapter.id} fits none of the machines of these layouts ({', '.join(sorted(known))})")
    errors = [
        finding
        for checked in boards.values()
        for board in checked
        for finding in board.findings
        if finding.severity is Severity.ERROR
    ]
    if errors:
        print_reading_findings(dict.fromkeys(errors))
        raise typer.Exit(2)
    return boards


def need_same_contacts(layout: str, contacts: str, checked: BoardChecked) -> None:
    """UsageError if a board closes contacts in another way than a layout says."""
    assert checked.traced is not None
    if contacts != checked.traced.how:
        raise UsageError(
            f"{layout} says contacts: {contacts}, but {checked.adapter.id} closes them as {checked.traced.how}; "
            "change the layout, or choose another adapter"
        )


def one_adapter(project: Project, name: str) -> Adapter:
    """The one adapter of a command: an id, or a YAML file; otherwise its findings go to stderr, with exit code 2."""
    from matrixmap.source.folder import SUFFIX

    loaded = _read_file(project, name) if name.endswith((SUFFIX, ".yml")) else project.adapter(name)
    return usable_one(project, "adapter", name, loaded)


def _read_file(project: Project, name: str) -> Loaded[Adapter]:
    from matrixmap.source.kinds.kind import kind_of

    path, data = Path(name), read_named(name)
    kind = kind_of(data)
    if kind not in ("adapter", None):
        raise UsageError(f"{name} describes a {kind}, not an adapter")
    try:
        return project.adapter_text(path.stem, name, data, lambda file: _beside(path, file))
    except OSError as error:
        raise UsageError(f"cannot read {error.filename or name}: {error.strerror}") from error


def _beside(path: Path, file: str) -> bytes | None:
    """The bytes of a netlist beside an adapter's file."""
    from matrixmap.source.folder import read_file

    at = path.parent / file
    return read_file(at) if at.is_file() else None
