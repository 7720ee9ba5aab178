"""How few presses show every fault? By integer programming, with a bound where that is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

SECONDS = 5.0
"""So long a search may take; then the best that was found is told with its bound."""

GAP = 0.3
"""With further inequalities a search ends where no column fewer does; of lists of one length the easiest is not looked for."""


class NoSolverError(Exception):
    """The extra libraries are not installed."""

    def __init__(self) -> None:
        super().__init__("scipy finds the fewest presses: pip install 'matrixmap[kit]'")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fewest:
    """Columns that hit every row, and how many it takes at least: the search was exhaustive where these are as many."""

    chosen: tuple[int, ...]
    at_least: int

    @property
    def is_exact(self) -> bool:
        """Whether fewer are proven not to do."""
        return len(self.chosen) == self.at_least


def fewest(rows: Sequence[int], columns: int, seconds: float = SECONDS) -> Fewest:
    """The fewest columns of which each row has one; a row is a mask of columns, none is 0. Earlier columns are preferred.

    Raises NoSolverError without scipy.
    """
    rows = needed(rows)
    return solve(rows, columns, (), 0, seconds) if rows else Fewest(chosen=(), at_least=0)


Term = tuple[int, int]
"""A column or, from the number of columns on, a further unknown, 0 or 1; and its factor."""
Cut = tuple[tuple[Term, ...], int]
"""Terms with what they add up to at least."""


def solve(rows: Sequence[int], columns: int, cuts: Sequence[Cut], more: int, seconds: float) -> Fewest:
    """The fewest columns of which each row has one, with further inequalities in `more` unknowns.

    The inequalities only help the proof: each choice of columns that hits all rows fulfils them for some values of the
    unknowns. Raises NoSolverError without scipy.
    """
    try:
        import numpy
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array
    except ImportError as error:
        raise NoSolverError from error
    used = [column for column in range(columns) if any(row >> column & 1 for row in rows)]
    at = {column: number for number, column in enumerate(used)}
    at |= {columns + number: len(used) + number for number in range(more)}
    terms = [(number, at[column], 1) for number, row in enumerate(rows) for column in used if row >> column & 1]
    terms += [(len(rows) + number, at[one], by) for number, (cut, _) in enumerate(cuts) for one, by in cut if one in at]
    places = [number for number, _, _ in terms], [one for _, one, _ in terms]
    shape = len(rows) + len(cuts), len(used) + more
    # Together the shares for the order are less than one column, so that they decide between equals alone.
    shares = 1 + numpy.arange(len(used)) / (2.0 * len(used) ** 2)
    found = milp(
        numpy.concatenate([shares, numpy.zeros(more)]),
        constraints=LinearConstraint(
            csr_array(([float(by) for _, _, by in terms], places), shape=shape),
            lb=numpy.array([*[1] * len(rows), *[least for _, least in cuts]]),
        ),
        integrality=numpy.ones(len(used) + more),
        bounds=Bounds(0, 1),
        options={"time_limit": seconds, "mip_rel_gap": GAP / len(_greedily(rows, columns)) if cuts else 0.0},
    )
    chosen = () if found.x is None else tuple(column for column in used if found.x[at[column]] > 0.5)
    if found.status != 0:  # The search was cut.
        greedy = _greedily(rows, columns)
        chosen = min(chosen or greedy, greedy, key=len)
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else 1.0
    return Fewest(chosen=chosen, at_least=min(len(chosen), max(1, at_least(bound, len(used)))))


def at_least(bound: float, columns: int) -> int:
    """How many of some columns a bound of the cost proves.

    The share of one column for its place is less than 1 / (2 columns), and all of them add up to less than a half.
    """
    from math import ceil

    return ceil(max(bound - 0.5, bound / (1 + 0.5 / columns)) - 1e-6)


def needed(rows: Sequence[int]) -> list[int]:
    """The rows without those that hold another one whole."""
    kept: list[int] = []
    for row in sorted(set(rows), key=int.bit_count):
        if not any(other & ~row == 0 for other in kept):
            kept.append(row)
    return kept


def _greedily(rows: Sequence[int], columns: int) -> tuple[int, ...]:
    left, chosen = list(rows), []
    while left:
        best = max(range(columns), key=lambda column: (sum(row >> column & 1 for row in left), -column))
        chosen.append(best)
        left = [row for row in left if not row >> best & 1]
    return tuple(sorted(chosen))
