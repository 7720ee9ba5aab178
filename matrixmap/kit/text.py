"""Which text shows every fault that can be shown, typed in one go, and whether there is a shorter one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from matrixmap.kit.fewest import SECONDS, fewest, needed
from matrixmap.kit.screen import Screen
from matrixmap.kit.table import FaultTable, Model
from matrixmap.kit.trials.bench import Bench, Images
from matrixmap.kit.trials.faults import Fault, Kind

LENGTHS = (2, 4, 8, 16, 24, 32, 40, 48)
"""Lengths of the beginnings of a text that are played before the whole text is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """Presses to make one after the other, as numbers, and the faults that then show; `at_least` as many presses are needed.

    `missed` are faults that a press shows from a reset array, and this text does not.
    """

    presses: tuple[int, ...]
    at_least: int
    missed: tuple[Fault, ...]

    @property
    def is_exact(self) -> bool:
        """Whether no shorter text does."""
        return len(self.presses) == self.at_least and not self.missed


def text_of(table: FaultTable, seconds: float = SECONDS) -> Text:
    """The fewest presses that show every fault that each model shows, looked at again as one sequence. NoSolverError."""
    models = [(fault, model) for fault in table.shown for model in table.models[fault]]
    count = len(table.presses)
    rows = needed([table.row(model.answers) for _, model in models])
    found = fewest(rows, count, seconds)
    # What presses before do counts for some faults; the bound is of those for which it does not.
    surely = needed([table.row(model.answers) for _, model in models if not model.remembers])
    bound = found if set(surely) == set(rows) else fewest(surely, count, seconds)
    presses = list(found.chosen)
    played = _InARow(table)
    missed = [fault for fault, model in models if not shows(played, presses, fault, model)]
    for fault in dict.fromkeys(missed):
        more = [number for model in table.models[fault] for number in _differing(table, model) if number not in presses]
        extended = [*more[:1], *presses]
        if more and all(shows(played, extended, fault, model) for model in table.models[fault]):
            presses = extended
    missed = [fault for fault, model in models if not shows(played, presses, fault, model)] if missed else []
    return Text(presses=tuple(presses), at_least=bound.at_least, missed=tuple(dict.fromkeys(missed)))


def _differing(table: FaultTable, model: Model) -> list[int]:
    row = table.row(model.answers)
    return [number for number in range(len(table.presses)) if row >> number & 1]


class _InARow:
    """The board on which presses are played in a row; one for each row of presses is kept."""

    def __init__(self, table: FaultTable) -> None:
        self.table = table
        self._benches: dict[tuple[int, ...], Bench] = {}

    def bench(self, asks: tuple[int, ...]) -> Bench:
        """The board with what a row of presses asks for in turn."""
        table = self.table
        if asks not in self._benches:
            self._benches[asks] = Bench(table.board, table.bench.closers, [asks], table.bench.solver)
        return self._benches[asks]


def shows(played: _InARow, presses: Sequence[int], fault: Fault, model: Model) -> bool:
    """Whether presses one after the other, without a reset between, show a fault in a model: something else appears at one."""
    table = played.table
    if table.healthy[0] != model.answers[0]:
        return True
    row = table.row(model.answers)
    if model.remembers and fault.kind is not Kind.LAYOUT:
        if presses and model.answers[presses[0] + 1] != table.healthy[presses[0] + 1]:
            return True
        early = next((at + 1 for at, number in enumerate(presses) if row >> number & 1), len(presses))
        # Beginnings of a few lengths share their boards; what a beginning shows, the whole shows too.
        beginning = next((length for length in LENGTHS if early <= length < len(presses)), len(presses))
        return any(
            _differs_at(table, model.screen, _together(played, presses[:count], fault, model), presses, count)
            for count in dict.fromkeys((beginning, len(presses)))
        )
    first = (at for at, number in enumerate(presses) if row >> number & 1)
    return any(
        _differs_at(table, model.screen, [model.images[number] for number in presses[: at + 1]], presses, at + 1)
        for at in first
    )


def _differs_at(
    table: FaultTable, screen: Screen, images: Sequence[Images], presses: Sequence[int], count: int
) -> bool:
    """Whether any of some presses in a row shows something else than on a board without fault."""
    row: list[int] = list(images[0][:1])
    for number, each in zip(presses[:count], images, strict=True):
        start = len(row)
        row += each[1:]
        if screen.appears(row, start) != table.healthy[number + 1]:
            return True
    return False


def _together(played: _InARow, presses: Sequence[int], fault: Fault, model: Model) -> list[Images]:
    """What the machine reads of presses in a row on a board that remembers: for each what it reads from its start on."""
    asks: list[int] = [0]
    ends = [0]
    for number in presses:
        asks += played.table.presses[number].asks[1:]
        ends.append(len(asks) - 1)
    bench = played.bench(tuple(asks))
    (images,) = bench.try_wired(bench.wired_with((fault,)), model.high).images
    return [images[start : end + 1] for start, end in pairwise(ends)]
