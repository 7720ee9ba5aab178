"""Which list of presses, all typed before anything is looked up, tells all classes of faults apart? By integer programming.

Any two classes have to differ at a press of the list. A further inequality makes the proof short. A class that differs from a right
board at one press of the list alone is told by what appears there, so of these at most one class has each answer of that press. All
other classes differ at two presses or more.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from matrixmap.kit.fewest import SECONDS, Cut, Fewest, needed, solve
from matrixmap.kit.table import Answers, FaultTable


def list_of(table: FaultTable, seconds: float = SECONDS) -> Fewest:
    """The fewest questions, by the numbers of their answers, that tell all classes of a table apart. NoSolverError."""
    return tell_apart([each.answers for each in table.classes], seconds)


def tell_apart(classes: Sequence[Answers], seconds: float = SECONDS) -> Fewest:
    """The fewest columns by which any two of some rows of answers differ; no two rows are equal. NoSolverError."""
    if len(classes) < 2:
        return Fewest(chosen=(), at_least=0)
    cuts, more = _alone(classes)
    return solve(_differences(classes), len(classes[0]), cuts, more, seconds)


def _differences(classes: Sequence[Answers]) -> list[int]:
    """For any two rows the columns in which they differ, as a mask, without masks that hold another one whole."""
    numbers: dict[str, int] = {}
    rows = [[numbers.setdefault(answer, len(numbers)) for answer in answers] for answers in classes]
    # A row is one number with a field for each column; the bit above a field catches what the field carries over.
    width, columns = len(numbers).bit_length() + 1, len(classes[0])
    carry = sum(1 << (column + 1) * width - 1 for column in range(columns))
    full = carry - sum(1 << column * width for column in range(columns))
    packed = [sum(number << column * width for column, number in enumerate(row)) for row in rows]
    wide = needed(list({(one ^ other) + full & carry for one, other in combinations(packed, 2)}))
    return [sum(1 << column for column in range(columns) if mask >> (column + 1) * width - 1 & 1) for mask in wide]


def _alone(classes: Sequence[Answers]) -> tuple[list[Cut], int]:
    """The inequalities, and how many unknowns they have: whether a class differs from the first at one column alone."""
    first, columns = classes[0], len(classes[0])
    cuts: list[Cut] = []
    unknown = columns
    told: dict[tuple[int, str], list[int]] = {}
    for answers in classes[1:]:
        where = [column for column in range(columns) if answers[column] != first[column]]
        for number, column in enumerate(where):
            told.setdefault((column, answers[column]), []).append(unknown + number)
        cuts.append((tuple((one, 1) for one in (*where, *range(unknown, unknown + len(where)))), 2))
        unknown += len(where)
    for (column, _), some in told.items():
        cuts.append((((column, 1), *((one, -1) for one in some)), 0))
    return cuts, unknown - columns
