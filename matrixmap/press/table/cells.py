"""What do the lines of a table do, before they are put into groups? Sequences become numbered strokes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from matrixmap.hid.usages import Usage
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Action, Stroke, Trigger

ACCENT_ALONE = Usage(0)
"""In the pairs of a number, this usage is the accent of a dead key alone, or the first stroke of a sequence."""
ACCENT_GOES_ON = Usage(1)
"""In the pairs of a sequence, this usage is for its further strokes if it is the accent of a dead key alone."""


@dataclass(slots=True, kw_only=True)
class Cell:
    """What one usage does at some levels, with the same further modifiers and after the same dead key.

    `number` is the number of the sequence that it begins, 0 for none.
    """

    usage: Usage
    extras: frozenset[HostModifier]
    after: int
    does: Action | str
    triggers: list[Trigger]
    number: int = 0


def stroke_key(stroke: Stroke) -> object:
    """Equal for two strokes that are the same for the machine."""
    return stroke.contacts, stroke.demands, stroke.holds, tuple(map(stroke_key, stroke.before))


@dataclass(slots=True)
class _Numbered:
    """The sequences of one number: their first stroke, and what each press does after it."""

    first: Stroke
    rest: dict[tuple[Usage, int], tuple[object, Stroke]] = field(default_factory=dict)

    def takes(self, cell: Cell, rest: Stroke) -> bool:
        """Whether a sequence of a press fits here: the press has no other sequence that begins with this stroke."""
        key = stroke_key(rest)
        return all(self.rest.get(place, (key,))[0] == key for place in _places(cell))

    def add(self, cell: Cell, rest: Stroke) -> None:
        self.rest.update((place, (stroke_key(rest), rest)) for place in _places(cell))


def _places(cell: Cell) -> list[tuple[Usage, int]]:
    """The usage and the levels at which the further strokes of a sequence are looked up."""
    usage = ACCENT_GOES_ON if cell.usage in (ACCENT_ALONE, ACCENT_GOES_ON) else cell.usage
    return [(usage, trigger.level) for trigger in cell.triggers]


def number_sequences(cells: Iterable[Cell], first: int) -> tuple[list[Cell], list[Stroke]]:
    """Numbers the sequences among some cells from `first` on. Returns all cells, and the first stroke of each number.

    The cells of their strokes are included. Sequences share a number if they begin with the same stroke and no press
    has two of them. The continuation of a sequence has a higher number, so that no sequence is endless.
    """
    done: list[Cell] = []
    strokes: list[Stroke] = []
    todo = list(cells)
    while todo:
        round_: list[_Numbered] = []
        for cell in todo:
            done.append(cell)
            if isinstance(cell.does, Stroke) and cell.does.before:
                cell.number = first + len(strokes) + _place_in(round_, cell, cell.does)
        todo = [cell for place, some in enumerate(round_) for cell in _cells_of(some, first + len(strokes) + place)]
        strokes += [some.first for some in round_]
    return done, strokes


def _place_in(numbered: list[_Numbered], cell: Cell, stroke: Stroke) -> int:
    """The number of a round for a sequence; a new one if no other has room."""
    begins, rest = stroke.before[0], replace(stroke, before=stroke.before[1:])
    for place, some in enumerate(numbered):
        if stroke_key(some.first) == stroke_key(begins) and some.takes(cell, rest):
            some.add(cell, rest)
            return place
    numbered.append(_Numbered(begins))
    numbered[-1].add(cell, rest)
    return len(numbered) - 1


def _cells_of(some: _Numbered, number: int) -> Iterable[Cell]:
    """The cells of one number: its first stroke, and the continuations of the presses."""
    start = Trigger(usage=ACCENT_ALONE, level=1)
    yield Cell(usage=ACCENT_ALONE, extras=frozenset(), after=number, does=some.first, triggers=[start])
    merged: dict[tuple[Usage, object], Cell] = {}
    for (usage, level), (key, stroke) in sorted(some.rest.items(), key=lambda item: item[0]):
        empty = Cell(usage=usage, extras=frozenset(), after=number, does=stroke, triggers=[])
        merged.setdefault((usage, key), empty).triggers.append(Trigger(usage=usage, level=level))
    yield from merged.values()
