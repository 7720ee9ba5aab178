"""How few presses and questions it takes: formulas against the solver, the text as one sequence, and the tree against its bound."""

from __future__ import annotations

import builtins
from itertools import combinations
from math import ceil, log2
from typing import Any

import pytest

from matrixmap.kit.fewest import NoSolverError, at_least, fewest
from matrixmap.kit.text import text_of
from matrixmap.kit.tree import Node
from tests.kit.boards import ADAPTERS, table_of, tree_of

SIZES = ((1, 1), (1, 4), (2, 2), (2, 3), (3, 3), (3, 5), (4, 4), (5, 4), (4, 8), (8, 8), (10, 8))


def lines_of(a: int, b: int) -> list[int]:
    """For each line of an a x b matrix a mask of the crosspoints on it: a press shows an open line that it uses."""
    rows = [sum(1 << row * b + column for column in range(b)) for row in range(a)]
    return rows + [sum(1 << row * b + column for row in range(a)) for column in range(b)]


@pytest.mark.parametrize(("a", "b"), SIZES)
def test_one_open_line_is_shown_by_as_many_presses_as_the_formula_says(a: int, b: int) -> None:
    """max(a, b) presses show any one open line of an a x b matrix, and fewer do not."""
    found = fewest(lines_of(a, b), a * b)
    assert found.is_exact
    assert len(found.chosen) == max(a, b)


TOLD_APART = ((2, 2), (2, 3), (3, 3), (3, 4), (3, 5), (4, 4), (5, 4), (3, 7), (4, 6), (5, 5), (4, 8))
"""Sizes for which the solver proves that fewer do not tell the lines apart."""


def rows_to_tell(a: int, b: int) -> list[int]:
    """The lines, and for any two of them the presses that use one and not the other."""
    lines = lines_of(a, b)
    return [*lines, *(one ^ other for one, other in combinations(lines, 2))]


@pytest.mark.parametrize(("a", "b"), TOLD_APART)
def test_which_line_is_open_takes_as_many_presses_as_the_formula_says(a: int, b: int) -> None:
    """max(a, b, ceil(2(a + b)/3)) presses tell which line is open, and fewer do not."""
    found = fewest(rows_to_tell(a, b), a * b, seconds=60)
    assert found.is_exact
    assert len(found.chosen) == max(a, b, ceil(2 * (a + b) / 3))


@pytest.mark.campaign
@pytest.mark.parametrize(("a", "b"), [(8, 8), (10, 8)])
def test_larger_sizes_are_found_but_not_proven(a: int, b: int) -> None:
    """Of 8x8 and 10x8 lines the solver finds what the formula says, and its bound does not exceed it."""
    found = fewest(rows_to_tell(a, b), a * b, seconds=120)
    assert found.at_least <= len(found.chosen) == max(a, b, ceil(2 * (a + b) / 3))


@pytest.mark.parametrize("nets", range(1, 7))
def test_the_fewest_patterns_are_as_many_as_a_counting_sequence_has(nets: int) -> None:
    """ceil(log2(n + 2)) patterns drive each of n nets both ways and any two of them otherwise, and fewer do not."""
    patterns = range(1 << nets)
    rows = [sum(1 << pattern for pattern in patterns if pattern >> net & 1) for net in range(nets)]
    rows += [sum(1 << pattern for pattern in patterns if not pattern >> net & 1) for net in range(nets)]
    rows += [
        sum(1 << pattern for pattern in patterns if (pattern >> one ^ pattern >> other) & 1)
        for one, other in combinations(range(nets), 2)
    ]
    found = fewest(rows, 1 << nets, seconds=60)
    assert found.is_exact
    assert len(found.chosen) == ceil(log2(nets + 2))


@pytest.mark.parametrize("nets", [1, 2, 3, 6, 7, 14, 15, 16, 20, 62, 63])
def test_a_counting_sequence_has_a_code_for_each_net(nets: int) -> None:
    """With ceil(log2(n + 2)) patterns each net gets a code of its own that is neither all low nor all high; with one less not."""
    bits = ceil(log2(nets + 2))
    assert has_codes(nets, bits)
    assert not has_codes(nets, bits - 1)


def has_codes(nets: int, bits: int) -> bool:
    """Whether the solver finds a code of so many bits for each net."""
    import numpy
    from scipy.optimize import Bounds, LinearConstraint, milp

    codes = [code for code in range(1 << bits) if code not in (0, (1 << bits) - 1)]
    if not codes:
        return False
    count = nets * len(codes)
    one_each = numpy.kron(numpy.eye(nets), numpy.ones(len(codes)))
    one_net = numpy.kron(numpy.ones(nets), numpy.eye(len(codes)))
    found = milp(
        numpy.zeros(count),
        constraints=[LinearConstraint(one_each, lb=1, ub=1), LinearConstraint(one_net, ub=1)],
        integrality=numpy.ones(count),
        bounds=Bounds(0, 1),
    )
    return bool(found.success)


def test_a_search_that_is_cut_tells_its_bound() -> None:
    """Without time the best that was found stands, with a bound that is no larger."""
    rows = rows_to_tell(10, 8)
    found = fewest(rows, 80, seconds=0.0)
    assert 1 <= found.at_least <= 12 <= len(found.chosen)
    assert all(any(row >> column & 1 for column in found.chosen) for row in rows)


def test_without_the_solver_the_error_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """The solver is an extra: what needs it says so."""
    real = builtins.__import__

    def without(name: str, *rest: Any) -> Any:
        if name.startswith("scipy"):
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(NoSolverError, match=r"matrixmap\[kit\]"):
        fewest([3], 2)


@pytest.mark.parametrize("adapter", ADAPTERS)
def test_the_text_shows_all_in_one_go(adapter: str) -> None:
    """The presses show every fault that each model shows, typed without a reset between, and fewer are proven not to."""
    table = table_of(adapter)
    text = text_of(table)
    assert text.is_exact
    assert text.missed == ()
    rows = {table.row(model.answers) for fault in table.shown for model in table.models[fault]}
    chosen = sum(1 << number for number in text.presses)
    assert all(row & chosen for row in rows)
    # Each is needed: without it some fault shows nothing from a reset array.
    for left_out in text.presses:
        assert any(not row & chosen & ~(1 << left_out) for row in rows)


@pytest.mark.parametrize("adapter", ADAPTERS)
def test_the_tree_is_as_shallow_as_it_says(adapter: str) -> None:
    """The worst case is that of the deepest leaf and no less than the bound; every class has one leaf."""
    tree, table = tree_of(adapter), table_of(adapter)
    leaves = dict(depths(tree.root))
    assert set(leaves) == set(range(len(table.classes)))
    assert max(leaves.values()) == tree.worst >= tree.at_least
    assert tree.mean >= tree.mean_at_least > 1


def depths(node: Node, depth: int = 0) -> list[tuple[int, int]]:
    """Each class with how many questions lead to it."""
    if not node.then:
        assert len(node.classes) == 1
        return [(node.classes[0], depth)]
    return [leaf for each in node.then.values() for leaf in depths(each, depth + 1)]


@pytest.mark.parametrize(("cost", "presses"), [(8.0, 8), (8.24, 8), (7.6, 8), (7.5, 7), (7.0, 7), (0.9, 1)])
def test_a_bound_of_the_cost_is_no_more_presses_than_it_proves(cost: float, presses: int) -> None:
    """The shares by which earlier presses are preferred add up to less than a half, so that much is taken off before rounding up."""
    assert at_least(cost) == presses
