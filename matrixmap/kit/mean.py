"""How few questions can it take on average? A bound that no tree of questions goes below, whatever it asks.

A tree tells some classes from all others within d questions. Each class that is left has one question more at least. So the mean is the
sum, over all d from 0 on, of the share that is left. How much one and two questions tell at most is found by trying all.
Of more questions only this is used: the first d of those that a right board is asked have to show a class at all, and what d
questions show is at most what prices say (duality of linear programs). All sums are of whole numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm

from matrixmap.kit.fewest import NoSolverError
from matrixmap.press.compiled import bits

SCALE = 10**6
"""The shares of a weight in which prices are counted."""
FURTHER = 1.4
"""Prices are found anew for so many times as many questions."""
TRIED = 2
"""For so many questions what they tell at most is found by trying all."""


def mean_at_least(columns: Sequence[Sequence[str]], weights: Sequence[Fraction]) -> float:
    """The least mean of any tree, by what each class answers to each question; class 0 is a right board. NoSolverError."""
    scale = lcm(*(weight.denominator for weight in weights))
    whole = [0, *(int(weight * scale) for weight in weights[1:])]
    total = sum(whole)
    if not total:
        return 0.0
    every = (1 << len(whole)) - 1
    told = Told(columns, whole)
    left = Fraction(3 * total - told.by_one(every) - told.by_two(every))
    shown = [[number for number, answer in enumerate(column) if answer != column[0]] for column in columns]
    sold = Sold(shown, whole)
    for count in range(TRIED + 1, len(columns)):
        rest = total - sold.by(count)
        if rest <= 0:
            break
        left += rest
    return float(left / total)


class Told:
    """How much weight a question, or two, tell from all other classes at most."""

    def __init__(self, columns: Sequence[Sequence[str]], weights: Sequence[int]) -> None:
        self.weights = weights
        self._parts = tuple(tuple(_parts(column)) for column in columns)
        self._found: dict[int, int] = {}

    def by_one(self, classes: int) -> int:
        """By one question, of some classes given as a mask."""
        found = self._found.get(classes)
        if found is None:
            alone = {
                sum(classes & part for part in parts if not (classes & part) & (classes & part) - 1)
                for parts in self._parts
            }
            found = self._found[classes] = max(map(self._weight, alone))
        return found

    def by_two(self, classes: int) -> int:
        """By two questions; the second may hang on the answer to the first."""
        return max(sum(self.by_one(classes & part) for part in parts if classes & part) for parts in self._parts)

    def _weight(self, classes: int) -> int:
        return sum(self.weights[number] for number in bits(classes))


def _parts(column: Sequence[str]) -> Iterator[int]:
    """The classes that answer alike, as masks."""
    found: dict[str, int] = {}
    for number, answer in enumerate(column):
        found[answer] = found.get(answer, 0) | 1 << number
    yield from found.values()


class Sold:
    """A bound of the weight that so many questions show; `shown` has the classes that each question shows.

    Each class has a price from 0 to its weight. Questions show no more than what lies above the prices, and for each of them
    the prices of what it shows. Any prices prove a bound for any number of questions; the solver finds good ones for some.
    """

    def __init__(self, shown: Sequence[Sequence[int]], weights: Sequence[int]) -> None:
        self.shown, self.weights = shown, weights
        self._offers: list[tuple[int, list[int]]] = []
        self._solved_for = 0

    def by(self, count: int) -> Fraction:
        """The bound for so many questions, asked for in ascending order. NoSolverError."""
        if count >= self._solved_for * FURTHER:
            self._solved_for = count
            prices = _prices(count, self.shown, self.weights)
            paid = sorted((sum(prices[number] for number in classes) for classes in self.shown), reverse=True)
            self._offers.append((sum(prices), paid))
        return sum(self.weights) + Fraction(min(sum(paid[:count]) - prices for prices, paid in self._offers), SCALE)


def _prices(count: int, shown: Sequence[Sequence[int]], weights: Sequence[int]) -> list[int]:
    try:
        from scipy.optimize import linprog
        from scipy.sparse import csr_array
    except ImportError as error:
        raise NoSolverError from error
    classes, questions = len(weights), len(shown)
    terms = [(number, at, -1.0) for at, some in enumerate(shown) for number in some]
    terms += [(number, questions + number, 1.0) for number in range(classes)]
    terms += [(classes, at, 1.0) for at in range(questions)]
    rows, places, by = zip(*terms, strict=True)
    found = linprog(
        [*[0.0] * questions, *(-float(weight) for weight in weights)],
        A_ub=csr_array((by, (rows, places)), shape=(classes + 1, questions + classes)),
        b_ub=[*[0.0] * classes, float(count)],
        bounds=(0, 1),
        method="highs",
    )
    duals = [-float(each) for each in found.ineqlin.marginals] if found.status == 0 else [0.0] * classes
    return [max(0, min(weight * SCALE, int(dual * SCALE))) for weight, dual in zip(weights, duals, strict=False)]
