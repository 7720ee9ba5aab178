"""Shared by `kit` and `diagnose`: the table of faults of an adapter with a layout, or the reason why there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError
from matrixmap.cli.session import one_plan, print_reading_findings

if TYPE_CHECKING:
    from matrixmap.kit.table import FaultTable
    from matrixmap.model.plan import Plan
    from matrixmap.press.rules import Rules
    from matrixmap.source.kinds.project import Project


def table_of(project: Project, adapter: str, layout: str, machine: str | None) -> FaultTable:
    """The table of faults. If the adapter has an error, its findings are printed, with exit code 2 and no table."""
    from matrixmap.board.closers import ClosersError
    from matrixmap.cli.look.adapter import checked_boards, need_same_contacts
    from matrixmap.kit.table import NoPressError, fault_table
    from matrixmap.model.finding import Severity

    plan = one_plan(project, layout)
    own = plan.layout.machine.id
    if machine is not None and machine.partition("/")[0] != own:
        raise UsageError(f"{layout} is for {own}, not for {machine}")
    checked = [each for each in checked_boards(project, adapter, machine) if each.machine.id == own]
    if not checked:
        raise UsageError(f"{adapter} does not fit {own}, the machine of {layout}")
    board = checked[0]
    errors = [finding for finding in board.findings if finding.severity is Severity.ERROR]
    if errors or board.traced is None:
        print_reading_findings(errors or board.findings)
        raise typer.Exit(2)
    for finding in (each for each in board.findings if each.severity is Severity.WARNING):
        typer.echo(f"note: {finding.place}: {finding.slug}: {finding.text}", err=True)
    need_same_contacts(layout, plan.layout.contacts.value, board)
    try:
        return fault_table(board.traced, plan, _others(project, plan))
    except NoPressError as fault:
        raise UsageError(f"no press of {layout} types anything, so no press can show a fault") from fault
    except ClosersError as fault:
        raise UsageError(f"{board.adapter.id} on {board.fit.name}: {fault}") from fault


def _others(project: Project, plan: Plan) -> list[Rules]:
    """The rules of the machine's other layouts that a chip can hold: each of them may be in it by mistake."""
    from matrixmap.join.plan import compile_plan
    from matrixmap.press.rules import Rules
    from matrixmap.press.table.make import TableError, make_table

    found = []
    for id in project.ids("layout"):
        loaded = project.layout(id) if id != plan.id else None
        if loaded is None or loaded.value is None or loaded.value.machine.id != plan.layout.machine.id:
            continue
        other = compile_plan(loaded.value)
        try:
            found.append(Rules(other, make_table(other)))
        except TableError:
            continue
    return found


def need_solver() -> None:
    """UsageError if the library that finds the fewest is not installed, before anything takes time."""
    from importlib.util import find_spec

    if find_spec("scipy") is None:
        raise UsageError("scipy finds the fewest presses, but is not installed: pip install 'matrixmap[kit]'")
