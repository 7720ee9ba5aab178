"""The driver of an adapter among the files of a build."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError
from matrixmap.cli.session import print_reading_findings

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matrixmap.model.machine import Machine
    from matrixmap.model.plan import Plan
    from matrixmap.source.kinds.project import Project


def board_texts(project: Project, name: str, plans: Iterable[Plan]) -> dict[str, str]:
    """File name -> text of the drivers of an adapter for the machines of these layouts.

    Nothing is written for a board with an error, whose findings go to stderr with exit code 2; UsageError where the adapter
    fits none of the machines, or closes contacts in another way than a layout says.
    """
    from matrixmap.board.closers import ClosersError
    from matrixmap.cli.look.adapter import one_adapter
    from matrixmap.emit.boards.board_c import BoardError, driver_files

    adapter = one_adapter(project, name)
    listed = list(plans)
    machines = {plan.layout.machine.id: plan.layout.machine for plan in listed}
    fits = {fit.machine for fit in adapter.fits}
    if not fits & set(machines):
        raise UsageError(f"{adapter.id} fits none of the machines of these layouts ({', '.join(sorted(machines))})")
    texts = dict(driver_files())
    for id in sorted(fits & set(machines)):
        how = {plan.layout.contacts.value: plan.id for plan in listed if plan.layout.machine.id == id}
        try:
            texts |= _driver(project, name, machines[id], how)
        except (BoardError, ClosersError) as fault:
            raise UsageError(f"{adapter.id} on {id}: {fault}") from fault
    return texts


def _driver(project: Project, name: str, machine: Machine, how: dict[str, str]) -> dict[str, str]:
    """The driver for one machine; all its revisions have to be worked by the same tables."""
    from matrixmap.board.rules.run import check_board
    from matrixmap.cli.look.adapter import one_adapter
    from matrixmap.emit.boards.board_c import board_files
    from matrixmap.emit.tables.build import MADE_BY
    from matrixmap.model.finding import Severity

    adapter = one_adapter(project, name)
    made: dict[str, dict[str, str]] = {}
    for fit in adapter.fits:
        if fit.machine != machine.id:
            continue
        checked = check_board(adapter, machine, fit)
        errors = [finding for finding in checked.findings if finding.severity is Severity.ERROR]
        if errors:
            print_reading_findings(errors)
            raise typer.Exit(2)
        assert checked.traced is not None
        for contacts, layout in how.items():
            if contacts != checked.traced.how:
                raise UsageError(
                    f"{layout} says contacts: {contacts}, but {adapter.id} closes them as {checked.traced.how}; "
                    "change the layout, or choose another adapter"
                )
        made[fit.name] = board_files(checked.traced, MADE_BY)
    first, *others = made
    for other in others:
        if made[other] != made[first]:
            raise UsageError(
                f"{adapter.id} needs other tables on {other} than on {first}; give each an adapter file of its own"
            )
    return made[first]
