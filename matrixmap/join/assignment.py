"""The assignment problem: each row gets a separate column so that the sum of costs is least.

The Hungarian method with row and column prices (H. W. Kuhn, Naval Research Logistics Quarterly 2, 1955; the shortest
path form of R. Jonker and A. Volgenant, Computing 38, 1987), as remembered; the final prices prove the result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Assignment:
    """The column of each row, and the prices that prove that the sum is least.

    No cost is less than its row price plus its column price, and each chosen cost equals that sum. Columns without a
    row have the price 0, and no column has a price above 0. So no other choice can cost less.
    """

    columns: tuple[int, ...]
    row_prices: tuple[int, ...]
    column_prices: tuple[int, ...]


def least_assignment(costs: Sequence[Sequence[int]]) -> Assignment:
    """The assignment of least total cost, for at most as many rows as columns, in rows * rows * columns steps.

    Costs are whole numbers, so nothing is rounded. The same costs always give the same assignment.
    """
    rows = len(costs)
    columns = len(costs[0]) if rows else 0
    assert rows <= columns
    row_prices = [0] * rows
    column_prices = [0] * columns
    row_of: list[int | None] = [None] * columns
    for row in range(rows):
        _add_row(costs, row, row_of, row_prices, column_prices)
    columns_of = {row: column for column, row in enumerate(row_of) if row is not None}
    return Assignment(
        columns=tuple(columns_of[row] for row in range(rows)),
        row_prices=tuple(row_prices),
        column_prices=tuple(column_prices),
    )


def _add_row(
    costs: Sequence[Sequence[int]],
    new: int,
    row_of: list[int | None],
    row_prices: list[int],
    column_prices: list[int],
) -> None:
    """Gives a column to one more row: the shortest path of changes to a free column, with prices adjusted along it."""
    columns = len(row_of)
    far = 1 + 2 * sum(max(line) - min(line) + abs(min(line)) for line in costs)
    reach = [far] * columns
    came_from: list[int | None] = [None] * columns  # the column of the row from which a column is reached
    visited: list[int] = []
    is_open = [True] * columns
    row, at, distance = new, None, 0
    while True:
        nearest, where = far, -1
        for column in range(columns):
            if not is_open[column]:
                continue
            length = distance + costs[row][column] - row_prices[row] - column_prices[column]
            if length < reach[column]:
                reach[column], came_from[column] = length, at
            if reach[column] < nearest:
                nearest, where = reach[column], column
        distance, at = nearest, where
        is_open[at] = False
        visited.append(at)
        taken = row_of[at]
        if taken is None:
            break
        row = taken
    row_prices[new] += distance
    for column in visited[:-1]:
        owner = row_of[column]
        assert owner is not None
        row_prices[owner] += distance - reach[column]
        column_prices[column] -= distance - reach[column]
    while at is not None:
        before = came_from[at]
        row_of[at] = new if before is None else row_of[before]
        at = before
