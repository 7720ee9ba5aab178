"""Which fault shows what for which press? The table of faults and presses, and the classes of faults that no press tells apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from matrixmap.board.closers import closers_of
from matrixmap.board.nets import Board
from matrixmap.board.routes import Traced
from matrixmap.kit.presses import Press, in_other_layout, presses_of
from matrixmap.kit.screen import Screen, screens_of
from matrixmap.kit.trials.bench import Bench, Images, Tried
from matrixmap.kit.trials.faults import Fault, Kind, faults_of
from matrixmap.kit.trials.lines import Solver
from matrixmap.kit.trials.wired import Wired
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Plan
from matrixmap.press.rules import Rules

Answers = tuple[str, ...]
"""What appears while nothing is touched, and then for each press."""

UNTOUCHED = 0
"""The number of the answer while nothing is touched; press n has the answer n + 1."""


class NoPressError(Exception):
    """No press of the layout types anything."""


class Model(NamedTuple):
    """A fault as it is read in one model: the answers, what the machine reads, whether presses before may count, what shows."""

    answers: Answers
    images: tuple[Images, ...]
    high: bool
    remembers: bool
    screen: Screen


@dataclass(frozen=True)
class FaultTable:
    """What each fault shows.

    `models` has for each fault the models in which it may be read; where all agree, one. `healthy` are the answers of a board
    without fault.
    """

    board: Board
    plan: Plan
    presses: tuple[Press, ...]
    healthy: Answers
    models: Mapping[Fault, tuple[Model, ...]]
    bench: Bench
    screens: tuple[Screen, ...]

    @cached_property
    def classes(self) -> tuple[Class, ...]:
        """Answers with the faults that may give them, the board without fault first; no press tells the faults of one apart."""
        found: dict[Answers, list[Fault]] = {self.healthy: []}
        for fault, models in self.models.items():
            for model in models:
                found.setdefault(model.answers, []).append(fault)
        return tuple(Class(answers, tuple(faults)) for answers, faults in found.items())

    @cached_property
    def shown(self) -> tuple[Fault, ...]:
        """The faults that show something in every model."""
        return tuple(
            fault for fault, models in self.models.items() if all(one.answers != self.healthy for one in models)
        )

    @cached_property
    def hidden(self) -> tuple[Fault, ...]:
        """The faults that no press shows, or not in every model."""
        return tuple(
            fault for fault, models in self.models.items() if any(one.answers == self.healthy for one in models)
        )

    def row(self, answers: Answers, other: Answers | None = None) -> int:
        """The presses that tell answers from those of a board without fault, or from others, as a mask."""
        against = self.healthy if other is None else other
        pairs = zip(answers[1:], against[1:], strict=True)
        return sum(1 << number for number, (one, two) in enumerate(pairs) if one != two)


class Class(NamedTuple):
    """Faults that give the same answers to all presses."""

    answers: Answers
    faults: tuple[Fault, ...]


def fault_table(traced: Traced, plan: Plan, others: Sequence[Rules] = ()) -> FaultTable:
    """The table of a traced board with a layout; `others` are the rules of layouts that may be in the chip by mistake. ClosersError, NoPressError, TableError."""
    board, presses = traced.board, presses_of(plan)
    if not presses:
        raise NoPressError(plan.id)
    closers = closers_of(traced)
    solver = Solver(board.machine)
    bench = Bench(board, closers, [press.asks for press in presses], solver)
    screens = screens_of(board.machine, Contacts(traced.how))
    kept: dict[object, tuple[Model, ...]] = {}
    found: dict[Fault, tuple[Model, ...]] = {}
    layouts = {other.plan.id: other for other in others}
    for fault in faults_of(board, layouts):
        if fault.kind is Kind.LAYOUT:
            asks = in_other_layout(layouts[fault.layout], presses)
            images = bench.images_of(asks)
            found[fault] = _apart(Model(seen(screen, images), images, True, False, screen) for screen in screens)
            continue
        wired = bench.wired_with((fault,))
        shape = wired.shape()
        if shape not in kept:
            kept[shape] = models_of(bench, screens, wired)
        found[fault] = kept[shape]
    # A right board never reads more keys than the rollover, and is asked for nothing that shows at times only.
    (healthy,) = {seen(screen, bench.images) for screen in screens}
    return FaultTable(
        board=board, plan=plan, presses=presses, healthy=healthy, models=found, bench=bench, screens=screens
    )


def models_of(bench: Bench, screens: Sequence[Screen], wired: Wired) -> tuple[Model, ...]:
    """The models of a wired board, those whose answers differ: what the files leave open on the board, and of what is seen."""

    def seen_in(high: bool, tried: Tried) -> Iterator[Model]:
        for screen in screens:
            yield Model(seen(screen, tried.images), tried.images, high, tried.remembers, screen)

    tried = bench.try_wired(wired, high=True)
    found = list(seen_in(True, tried))
    if tried.differs:
        found += seen_in(False, bench.try_wired(wired, high=False))
    return _apart(found)


def _apart(models: Iterable[Model]) -> tuple[Model, ...]:
    """The first model of each answers."""
    found: dict[Answers, Model] = {}
    for model in models:
        found.setdefault(model.answers, model)
    return tuple(found.values())


def seen(screen: Screen, images: Sequence[Images]) -> Answers:
    """What appears untouched, and for each press."""
    return (screen.appears(images[0][:1], 0), *(screen.appears(each) for each in images))
