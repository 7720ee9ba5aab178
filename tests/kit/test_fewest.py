"""How few presses and questions it takes: formulas against the solver, the text as one sequence, and the tree against its bound."""

from __future__ import annotations

import builtins
import random
from fractions import Fraction
from itertools import combinations, product
from math import ceil, log2
from typing import Any

import pytest

from matrixmap.kit.apart import _alone, tell_apart
from matrixmap.kit.fewest import NoSolverError, at_least, fewest
from matrixmap.kit.tree import Node
from tests.kit.boards import TIMELY, lookup_of, shortest_of, table_of, tree_of

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


TOLD_APART = ((2, 2), (2, 3), (3, 4), (4, 4), (5, 4), (5, 5), (4, 8), (8, 8), (10, 8), (12, 12), (16, 8))


def open_lines(a: int, b: int) -> list[tuple[str, ...]]:
    """What each press of an a x b matrix shows: of a right board, and with each of its lines open."""
    presses = list(product(range(a), range(b)))
    lines = [{press for press in presses if press[0] == row} for row in range(a)]
    lines += [{press for press in presses if press[1] == column} for column in range(b)]
    return [tuple("nothing" if press in line else "key" for press in presses) for line in (set(), *lines)]


@pytest.mark.parametrize(("a", "b"), TOLD_APART)
def test_which_line_is_open_takes_as_many_presses_as_the_formula_says(a: int, b: int) -> None:
    """max(a, b, ceil(2(a + b)/3)) presses tell which line is open, and the solver proves that fewer do not."""
    classes = open_lines(a, b)
    found = tell_apart(classes, seconds=60)
    assert found.is_exact
    assert len(found.chosen) == max(a, b, ceil(2 * (a + b) / 3))
    assert len({tuple(answers[column] for column in found.chosen) for answers in classes}) == len(classes)


@pytest.mark.parametrize(("a", "b"), [*TOLD_APART, (16, 16), (24, 9)])
def test_the_inequalities_prove_the_formula_in_whole_fractions(a: int, b: int) -> None:
    """A third of each inequality, added up, says that 2(a + b)/3 presses are needed: no solver is asked."""
    columns = a * b
    cuts, more = _alone(open_lines(a, b))
    factors = [Fraction()] * (columns + more)
    least = Fraction()
    for terms, at_least_so_much in cuts:
        least += Fraction(at_least_so_much, 3)
        for unknown, factor in terms:
            factors[unknown] += Fraction(factor, 3)
    assert all(factor <= 1 for factor in factors[:columns])
    assert all(factor <= 0 for factor in factors[columns:])
    assert least == Fraction(2 * (a + b), 3)


@pytest.mark.parametrize("number", range(20))
def test_the_inequalities_hold_for_every_list_that_tells_apart(number: int) -> None:
    """Of random answers: where a list tells all apart, no inequality is broken by what each class shows at one press alone."""
    chosen = random.Random(number)
    columns = 8
    classes = sorted({tuple(chosen.choice("aaab?") for _ in range(columns)) for _ in range(10)})
    cuts, _ = _alone(classes)
    tried = 0
    for size in range(2, 6):
        for presses in combinations(range(columns), size):
            if len({tuple(answers[press] for press in presses) for answers in classes}) < len(classes):
                continue
            tried += 1
            values = dict.fromkeys(presses, 1)
            unknown = columns
            for answers in classes[1:]:
                where = [press for press in range(columns) if answers[press] != classes[0][press]]
                at = [press for press in where if press in presses]
                values |= {unknown + place: int(at == [press]) for place, press in enumerate(where)}
                unknown += len(where)
            assert all(sum(by * values.get(one, 0) for one, by in terms) >= least for terms, least in cuts)
    assert tried


@pytest.mark.parametrize(("a", "b"), [(2, 2), (2, 3), (3, 3)])
def test_every_list_of_fewer_presses_leaves_two_lines_alike(a: int, b: int) -> None:
    """All lists of small matrices, tried one by one: none that is shorter than the formula says tells the lines apart."""
    classes = open_lines(a, b)
    most = max(a, b, ceil(2 * (a + b) / 3)) - 1
    for presses in combinations(range(a * b), most):
        assert len({tuple(answers[press] for press in presses) for answers in classes}) < len(classes)


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
    classes = open_lines(10, 8)
    found = tell_apart(classes, seconds=0.0)
    assert 1 <= found.at_least <= 12 <= len(found.chosen)
    assert len({tuple(answers[column] for column in found.chosen) for answers in classes}) == len(classes)


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


@pytest.mark.parametrize("adapter", TIMELY)
def test_the_text_shows_all_in_one_go(adapter: str) -> None:
    """The presses show every fault that each model shows, typed without a reset between, and fewer are proven not to."""
    table = table_of(adapter)
    text = shortest_of(adapter)
    assert text.is_exact
    assert text.missed == ()
    rows = {table.row(model.answers) for fault in table.shown for model in table.models[fault]}
    chosen = sum(1 << number for number in text.presses)
    assert all(row & chosen for row in rows)
    # Each is needed: without it some fault shows nothing from a reset array.
    for left_out in text.presses:
        assert any(not row & chosen & ~(1 << left_out) for row in rows)


@pytest.mark.parametrize("adapter", TIMELY)
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


@pytest.mark.parametrize(
    ("cost", "columns", "presses"),
    [
        (8.0, 128, 8),
        (8.24, 1, 8),
        (7.6, 4, 8),
        (7.5, 1, 7),
        (7.0, 9, 7),
        (0.9, 1, 1),
        (21.34, 256, 22),
        (21.04, 256, 21),
    ],
)
def test_a_bound_of_the_cost_is_no_more_presses_than_it_proves(cost: float, columns: int, presses: int) -> None:
    """The shares by which earlier presses are preferred add up to less than a half, and each is small: so much is taken off."""
    assert at_least(cost, columns) == presses


@pytest.mark.parametrize("adapter", TIMELY)
def test_a_list_tells_all_classes_apart(adapter: str) -> None:
    """Any two classes differ at a press of the list, fewer are proven not to do, and each press is needed."""
    table = table_of(adapter)
    found = lookup_of(adapter)
    assert found.is_exact
    told = [tuple(each.answers[asks] for asks in found.chosen) for each in table.classes]
    assert len(set(told)) == len(told)
    for left_out in range(len(found.chosen)):
        assert len({(*row[:left_out], *row[left_out + 1 :]) for row in told}) < len(told)
