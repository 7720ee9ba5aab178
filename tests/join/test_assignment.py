"""The assignment of least total cost, proven by its prices and by trying everything."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matrixmap.join.assignment import Assignment, least_assignment


def is_proven(costs: list[list[int]], found: Assignment) -> bool:
    """Whether the prices show that nothing is cheaper (duality of linear programs)."""
    fits = all(
        costs[row][column] >= found.row_prices[row] + found.column_prices[column]
        for row in range(len(costs))
        for column in range(len(costs[0]))
    )
    tight = all(
        costs[row][column] == found.row_prices[row] + found.column_prices[column]
        for row, column in enumerate(found.columns)
    )
    free = [price for column, price in enumerate(found.column_prices) if column not in found.columns]
    return fits and tight and all(price == 0 for price in free) and all(price <= 0 for price in found.column_prices)


@st.composite
def tables(draw: st.DrawFn, most: int) -> list[list[int]]:
    """Costs with at least as many columns as rows."""
    rows = draw(st.integers(1, most))
    columns = draw(st.integers(rows, most + 2))
    row = st.lists(st.integers(-50, 50), min_size=columns, max_size=columns)
    return draw(st.lists(row, min_size=rows, max_size=rows))


@given(tables(4))
def test_no_assignment_costs_less(costs: list[list[int]]) -> None:
    """The sum is that of the best of all ways to choose."""
    found = least_assignment(costs)
    total = sum(costs[row][column] for row, column in enumerate(found.columns))
    ways = permutations(range(len(costs[0])), len(costs))
    assert total == min(sum(costs[row][column] for row, column in enumerate(way)) for way in ways)


@given(tables(12))
def test_the_prices_prove_the_result(costs: list[list[int]]) -> None:
    """Each row has a column of its own, and the prices show that no sum is less."""
    found = least_assignment(costs)
    assert len(set(found.columns)) == len(costs)
    assert is_proven(costs, found)


def test_nearest_first_is_not_least() -> None:
    """Where taking the nearest first leaves a costly rest, the solution is another one."""
    costs = [[1, 2], [2, 100]]
    assert least_assignment(costs).columns == (1, 0)


def test_nothing_to_assign() -> None:
    """No rows have no columns."""
    assert least_assignment([]).columns == ()


def test_more_rows_than_columns_cannot_be() -> None:
    """Each row needs a column."""
    with pytest.raises(AssertionError):
        least_assignment([[1], [2]])
