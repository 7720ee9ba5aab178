"""Checks layouts for `matrixmap check`: several at once on the available processors, each reported once it is done.

A process receives names and returns what is to be printed: a plan with its conflicts is too large to be passed on.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from matrixmap.board.routes import Traced
    from matrixmap.check.engine.machine_conflicts import MachineConflicts
    from matrixmap.cli.judge.volts import Volts
    from matrixmap.form.parts.report import Result, Told
    from matrixmap.model.layout import Contacts
    from matrixmap.model.machine import Machine
    from matrixmap.model.plan import Plan
    from matrixmap.source.kinds.project import Project

MANY = 8
"""From this many layouts on, processes share the work, and a terminal shows the progress."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a check looks for, and how it is printed; `many` if it is about several layouts.

    `boards` has the traced boards of an adapter, one per revision, for each machine that the layouts are checked on:
    their volts show which phantoms are really read.
    """

    form: str
    everything: bool
    slugs: frozenset[str]
    width: int | None
    many: bool
    boards: Mapping[str, Sequence[Traced]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The result for one layout: its part of the report, or its findings if the form needs all; the worst severity."""

    text: str
    told: Told
    worst: int
    unread: bool


@dataclass(slots=True)
class Checker:
    """Checks the layouts of one project, one after the other; shared results are computed once."""

    wanted: Wanted
    project: Project
    known: dict[tuple[str, str, str], MachineConflicts] = field(default_factory=dict)
    volts: dict[tuple[str, str, str], Volts | None] = field(default_factory=dict)

    def piece(self, name: str) -> Piece:
        """The part of the report about one layout."""
        from matrixmap.form.parts.report import Unread, told_of

        result = self.result(name)
        unread = isinstance(result, Unread)
        return Piece(
            text=self._text(result),
            told=told_of(result),
            worst=0 if unread else max([0, *(finding.severity for finding in result.findings)]),
            unread=unread,
        )

    def result(self, name: str) -> Result:
        """The result of checking one layout."""
        from matrixmap.check.run import Checked, find_in_plan
        from matrixmap.circuit.driver import with_driver
        from matrixmap.cli.session import read_layouts
        from matrixmap.form.parts.report import Unread
        from matrixmap.join.plan import compile_plan

        reading = read_layouts(self.project, [name])[0]
        if reading.loaded.value is None:
            return Unread(name=name, findings=reading.loaded.findings)
        plan = compile_plan(reading.loaded.value)
        slugs = self.wanted.slugs
        boards = self.wanted.boards.get(plan.layout.machine.id, ())
        if boards:
            plan = with_driver(plan, boards[0].board.adapter.driver)
        volts = self.volts_of(plan, boards)
        plan = volts.plan(plan) if volts is not None else plan
        known = self.known_of(plan.layout.machine, plan.contacts)
        result = find_in_plan(plan, self.wanted.everything, known, boards[0] if boards else None)
        if not isinstance(result, Checked):
            return Unread(name=name, findings=result.findings, why="has no table")
        findings = tuple(finding for finding in result.findings if finding.slug in slugs)
        return replace(
            result,
            findings=volts.told(findings) if volts is not None else findings,
            accepted=tuple(finding for finding in result.accepted if finding.slug in slugs),
        )

    def volts_of(self, plan: Plan, boards: Sequence[Traced]) -> Volts | None:
        """What the volts of the boards say about plans for a machine with such contacts, computed once."""
        from matrixmap.cli.judge.volts import volts_of

        machine = plan.layout.machine
        cell = (machine.place.file, machine.id, plan.contacts.value)
        if cell not in self.volts:
            self.volts[cell] = volts_of(plan, boards)
        return self.volts[cell]

    def known_of(self, machine: Machine, how: Contacts) -> MachineConflicts:
        """The conflicts of a machine, computed once."""
        from matrixmap.check.engine.machine_conflicts import machine_conflicts

        cell = (machine.place.file, machine.id, how.value)
        if cell not in self.known:
            self.known[cell] = machine_conflicts(machine, how)
        return self.known[cell]

    def _text(self, result: Result) -> str:
        wanted = self.wanted
        match wanted.form:
            case "json":
                from matrixmap.form.as_json import layout_json

                return layout_json(result)
            case "markdown":
                from matrixmap.form.as_markdown import layout_markdown

                return layout_markdown(result, wanted.everything)
            case "text":
                from matrixmap.form.as_text import layout_text, line_of_many

                tell = line_of_many if wanted.many else layout_text
                return tell(result, wanted.everything, wanted.width)
        return ""


_shared: list[Checker] = []
"""The checker with which processes that share the work begin; empty in a process that works alone."""


def _work(name: str) -> Piece:
    return _shared[0].piece(name)


def check_all(project: Project, names: Sequence[str], wanted: Wanted) -> Iterator[Piece]:
    """The part of the report for each layout, in order."""
    processes = min(os.cpu_count() or 1, len(names))
    checker = Checker(wanted, project)
    if len(names) < MANY or processes < 2 or not hasattr(os, "fork"):
        with _progress(len(names)) as done:
            for name in names:
                yield checker.piece(name)
                done()
        return
    from multiprocessing import get_context

    import matrixmap.check.run
    import matrixmap.form.as_text  # noqa: F401 - what every process needs is loaded once, before they begin

    # The processes start before the bar, which has a thread of its own.
    _shared[:] = [checker]
    try:
        with get_context("fork").Pool(processes) as pool, _progress(len(names)) as done:
            for piece in pool.imap(_work, names):
                yield piece
                done()
    finally:
        _shared.clear()


@contextmanager
def _progress(count: int) -> Iterator[Callable[[], None]]:
    """A bar on stderr while many layouts are checked, if stderr is a terminal; each call counts one more."""
    if count < MANY or not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    from matrixmap.cli.session import make_console

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=make_console(stderr=True), transient=True) as progress:
        task = progress.add_task("checking layouts", total=count)
        yield lambda: progress.advance(task)
