"""The driver of an adapter, as part of the files of a build."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from matrixmap.board.rules.run import BoardChecked
    from matrixmap.model.plan import Plan
    from matrixmap.source.kinds.project import Project


@dataclass(frozen=True, slots=True, kw_only=True)
class OnBoards:
    """What an adapter adds to a build: plans as its boards need them, the texts of its drivers, and lines to print.

    A plan has the times that the boards need. It has no guard if its layout does not ask for one and the volts prove
    that no phantom is ever read.
    """

    plans: list[Plan]
    texts: Mapping[str, str]
    told: tuple[str, ...]


def on_boards(project: Project, name: str, plans: Iterable[Plan]) -> OnBoards:
    """The plans on the boards of an adapter, with the drivers for the machines of these layouts.

    Nothing is written for a board with an error; its findings go to stderr with exit code 2. UsageError if the adapter
    fits none of the machines, or closes contacts in another way than a layout says.
    """
    from matrixmap.board.closers import ClosersError
    from matrixmap.cli.look.adapter import sound_boards
    from matrixmap.emit.boards.board_c import BoardError, driver_files

    listed = list(plans)
    boards = sound_boards(project, name, {plan.layout.machine.id: plan.layout.machine for plan in listed}.values())
    texts = dict(driver_files())
    for id, checked in sorted(boards.items()):
        how = {plan.layout.contacts.value: plan.id for plan in listed if plan.layout.machine.id == id}
        try:
            texts |= _driver(checked, how)
        except (BoardError, ClosersError) as fault:
            raise UsageError(f"{checked[0].adapter.id} on {id}: {fault}") from fault
    adapter = next(iter(boards.values()))[0].adapter
    own = [
        _on_board(plan, boards[plan.layout.machine.id]) if plan.layout.machine.id in boards else plan for plan in listed
    ]
    _tell_pulls(own, boards)
    return OnBoards(plans=own, texts=texts, told=tuple(_told(adapter.id, own, boards)))


def _tell_pulls(plans: Iterable[Plan], boards: Mapping[str, list[BoardChecked]]) -> None:
    """Prints the switches that pads should close but a board cannot: findings on stderr, each once."""
    from matrixmap.check.on_board import PULLS_NOT_DRIVEN, OnBoard
    from matrixmap.model.words import shown

    found = dict.fromkeys(
        finding
        for plan in plans
        for checked in boards.get(plan.layout.machine.id, ())
        if checked.traced is not None
        for finding in PULLS_NOT_DRIVEN.findings(OnBoard(plan=plan, traced=checked.traced))
    )
    for finding in found:
        typer.echo(f"{shown(str(finding.place))}: {finding.slug}: {shown(finding.text)}", err=True)


def _on_board(plan: Plan, boards: Iterable[BoardChecked]) -> Plan:
    """A plan on the boards of an adapter, one per revision of its machine."""
    from matrixmap.circuit.driver import with_driver
    from matrixmap.cli.judge.volts import volts_of

    traced = [each.traced for each in boards if each.traced is not None]
    volts = volts_of(plan, traced) if plan.guard and plan.layout.guard is None else None
    plan = volts.plan(plan) if volts is not None else plan
    return with_driver(plan, traced[0].board.adapter.driver)


def _told(adapter: str, plans: Iterable[Plan], boards: Mapping[str, object]) -> Iterable[str]:
    """The driver's time that the tables include, one line per machine."""
    counted: dict[str, float] = {}
    for plan in plans:
        id = plan.layout.machine.id
        if id in boards:
            counted[id] = max(counted.get(id, 0.0), plan.timing.driver_us)
    for id, most in sorted(counted.items()):
        if most:
            yield f"the times of tables for {id} allow for up to {most:g} microseconds of the driver of {adapter}"
        else:
            yield (
                f"{adapter} does not say how long its driver takes on {id}, so the times of tables do not allow for it"
            )


def _driver(boards: list[BoardChecked], how: Mapping[str, str]) -> dict[str, str]:
    """The driver for one machine; the same tables must work for all its revisions."""
    from matrixmap.cli.look.adapter import need_same_contacts
    from matrixmap.emit.boards.board_c import board_files
    from matrixmap.emit.tables.build import MADE_BY

    made: dict[str, dict[str, str]] = {}
    for checked in boards:
        assert checked.traced is not None
        for contacts, layout in how.items():
            need_same_contacts(layout, contacts, checked)
        made[checked.fit.name] = board_files(checked.traced, MADE_BY)
    first, *others = made
    for other in others:
        if made[other] != made[first]:
            raise UsageError(
                f"{boards[0].adapter.id} needs other tables on {other} than on {first}; give each an adapter file of its own"
            )
    return made[first]
