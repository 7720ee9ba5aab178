"""The bound of the mean number of questions is below the best tree of small tables, of which all trees are tried."""

from __future__ import annotations

import random
from fractions import Fraction
from functools import cache
from itertools import combinations

import pytest

from matrixmap.kit.mean import Sold, mean_at_least
from tests.kit.boards import TIMELY, tree_of

Table = tuple[tuple[str, ...], ...]


def random_table(number: int) -> tuple[Table, list[Fraction]]:
    """The answers of up to eight classes to six questions, and their weights."""
    chosen = random.Random(number)
    letters = "aab" if number % 2 else "aaabc"
    classes = {tuple(chosen.choice(letters) for _ in range(6)) for _ in range(8)}
    return tuple(sorted(classes)), [Fraction(chosen.randint(1, 4), chosen.randint(1, 2)) for _ in classes]


def best_mean(table: Table, weights: list[Fraction]) -> Fraction:
    """The least mean over all trees, that of class 0 not counted."""

    @cache
    def least(classes: tuple[int, ...]) -> Fraction:
        if len(classes) == 1:
            return Fraction()
        found = []
        for column in range(len(table[0])):
            parts: dict[str, list[int]] = {}
            for number in classes:
                parts.setdefault(table[number][column], []).append(number)
            if len(parts) > 1:
                found.append(sum((least(tuple(part)) for part in parts.values()), Fraction()))
        return min(found) + sum((weights[number] for number in classes if number), Fraction())

    return least(tuple(range(len(table)))) / sum(weights[1:], Fraction())


def test_no_tree_is_below_the_bound() -> None:
    """Of random tables with all their trees; the bound is met by some of them, and is more than one question for most."""
    met = more = 0
    for number in range(60):
        table, weights = random_table(number)
        bound, best = mean_at_least(tuple(zip(*table, strict=True)), weights), best_mean(table, weights)
        assert bound <= float(best) + 1e-9, number
        met += bound > float(best) - 1e-9
        more += bound > 1
    assert met
    assert more > 50


def test_questions_show_no_more_than_prices_say() -> None:
    """Of random tables with all choices of so many questions; what most of them show is met by the bound for some."""
    met = 0
    for number in range(40):
        table, weights = random_table(number)
        whole = [0, *(int(weight * 2) for weight in weights[1:])]
        shown = [[at for at, row in enumerate(table) if row[column] != table[0][column]] for column in range(6)]
        sold = Sold(shown, whole)
        for count in range(1, 6):
            most = max(
                sum(whole[at] for at in {at for some in chosen for at in some}) for chosen in combinations(shown, count)
            )
            assert most <= sold.by(count), (number, count)
            met += sold.by(count) - most < 1
    assert met > 100


@pytest.mark.parametrize("adapter", TIMELY)
def test_the_bound_says_something_of_an_adapter(adapter: str) -> None:
    """It is more than two questions, and no more than the tree takes; in words it is rounded down."""
    tree = tree_of(adapter)
    assert 2 < tree.mean_at_least <= tree.mean
    assert tree.mean_at_least - 0.1 < float(tree.least) <= tree.mean_at_least
