"""How few presses show every fault, or tell every class from one? By integer programming, with a bound where that is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

SECONDS = 5.0
"""So long a search may take; then the best that was found is told with its bound."""


class NoSolverError(Exception):
    """The extra libraries are not installed; the text says which."""


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
    rows = _needed(rows)
    if not rows:
        return Fewest(chosen=(), at_least=0)
    try:
        import numpy
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array
    except ImportError as error:
        raise NoSolverError("scipy finds the fewest presses: pip install 'matrixmap[kit]'") from error
    used = [column for column in range(columns) if any(row >> column & 1 for row in rows)]
    at = {column: number for number, column in enumerate(used)}
    pairs = [(number, at[column]) for number, row in enumerate(rows) for column in used if row >> column & 1]
    matrix = csr_array(
        (numpy.ones(len(pairs)), ([one for one, _ in pairs], [other for _, other in pairs])),
        shape=(len(rows), len(used)),
    )
    # Together the shares for the order are less than one column, so that they decide between equals alone.
    cost = 1 + numpy.arange(len(used)) / (2.0 * len(used) ** 2)
    found = milp(
        cost,
        constraints=LinearConstraint(matrix, lb=1),
        integrality=numpy.ones(len(used)),
        bounds=Bounds(0, 1),
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    greedy = _greedily(rows, columns)
    chosen = greedy if found.x is None else tuple(used[number] for number, on in enumerate(found.x) if on > 0.5)
    chosen = min(chosen, greedy, key=len)
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else 1.0
    return Fewest(chosen=chosen, at_least=min(len(chosen), max(1, at_least(bound))))


def at_least(bound: float) -> int:
    """How many columns a bound of the cost proves: the shares for the order add up to less than a half."""
    from math import ceil

    return ceil(bound - 0.5 - 1e-6)


def _needed(rows: Sequence[int]) -> list[int]:
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
