"""Which fault shows what for which press? The table of faults and presses, and the classes of faults that no press tells apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from matrixmap.board.closers import closers_of
from matrixmap.board.nets import Board
from matrixmap.board.routes import Traced
from matrixmap.kit.bench import Bench
from matrixmap.kit.faults import Fault, Kind, faults_of
from matrixmap.kit.lines import Solver
from matrixmap.kit.presses import Press, in_other_layout, presses_of
from matrixmap.kit.screen import Screen
from matrixmap.kit.wired import Wired
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Plan

Answers = tuple[str, ...]
"""What appears while nothing is touched, and then for each press."""

UNTOUCHED = 0
"""The number of the answer while nothing is touched; press n has the answer n + 1."""


@dataclass(frozen=True)
class FaultTable:
    """What each fault shows.

    `answers` has for each fault the answers in each model in which it may be read; where all models agree, one. `healthy` are
    the answers of a board without fault.
    """

    board: Board
    plan: Plan
    presses: tuple[Press, ...]
    healthy: Answers
    answers: Mapping[Fault, tuple[Answers, ...]]
    bench: Bench
    screen: Screen

    @cached_property
    def classes(self) -> tuple[tuple[Answers, tuple[Fault, ...]], ...]:
        """Answers with the faults that may give them, the board without fault first; no press tells the faults of one apart."""
        found: dict[Answers, list[Fault]] = {self.healthy: []}
        for fault, models in self.answers.items():
            for answers in models:
                found.setdefault(answers, []).append(fault)
        return tuple((answers, tuple(faults)) for answers, faults in found.items())

    @cached_property
    def shown(self) -> tuple[Fault, ...]:
        """The faults that show something in every model."""
        return tuple(fault for fault, models in self.answers.items() if self.healthy not in models)

    @cached_property
    def hidden(self) -> tuple[Fault, ...]:
        """The faults that no press shows, or not in every model."""
        return tuple(fault for fault, models in self.answers.items() if self.healthy in models)

    def asks(self, number: int) -> str:
        """What is asked for: the words of a press, by the number of its answer."""
        return self.presses[number - 1].words


def fault_table(board: Board, plan: Plan, others: Sequence[Plan] = ()) -> FaultTable:
    """The table of a board with a layout; `others` may be in the chip by mistake. ClosersError, TableError."""
    presses = presses_of(plan)
    traced = Traced(board)
    closers = closers_of(traced)
    solver = Solver(board.machine)
    bench = Bench(board, closers, [press.asks for press in presses], solver)
    screen = Screen(board.machine, Contacts(traced.how))
    healthy = seen(screen, bench.images)
    kept: dict[object, tuple[Answers, ...]] = {}
    found: dict[Fault, tuple[Answers, ...]] = {}
    layouts = {other.id: other for other in others}
    for fault in faults_of(board, layouts):
        if fault.kind is Kind.LAYOUT:
            asks = in_other_layout(layouts[fault.layout], presses)
            found[fault] = (seen(screen, Bench(board, closers, asks, solver).images),)
            continue
        wired = Wired(board, bench.wired, (fault,))
        shape = wired.shape()
        if shape not in kept:
            kept[shape] = answers_of(bench, screen, wired)
        found[fault] = kept[shape]
    return FaultTable(
        board=board, plan=plan, presses=presses, healthy=healthy, answers=found, bench=bench, screen=screen
    )


def answers_of(bench: Bench, screen: Screen, wired: Wired) -> tuple[Answers, ...]:
    """The answers of a wired board in each model, those that differ."""
    images, differs = bench.try_wired(wired, high=True)
    found = [seen(screen, images)]
    if differs:
        found.append(seen(screen, bench.try_wired(wired, high=False)[0]))
    return tuple(dict.fromkeys(found))


def seen(screen: Screen, images: Sequence[tuple[int, ...]]) -> Answers:
    """What appears untouched, and for each press."""
    return (screen.appears(images[0][:1], 0), *(screen.appears(each) for each in images))
