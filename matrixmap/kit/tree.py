"""Which press should be asked for next? The tree of questions that tells the classes of faults apart, with what it takes at least."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from matrixmap.kit.fewest import SECONDS, Fewest, fewest
from matrixmap.kit.mean import mean_at_least
from matrixmap.kit.table import FaultTable

TRIED = 3
"""So many of the best presses are followed up at a node with few classes."""
FEW = 16
"""A node has few classes up to here."""


@dataclass(frozen=True, slots=True)
class Node:
    """A question by the number of its answer, what each answer leads to, and the classes that are left."""

    asks: int
    then: Mapping[str, Node]
    classes: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """The questions from the first on, the most that are asked, and how many on average for a fault that shows something.

    `at_least` questions are needed in the worst case whatever is asked, `mean_at_least` on average.
    """

    root: Node
    worst: int
    mean: float
    at_least: int
    mean_at_least: float

    def __post_init__(self) -> None:
        assert self.at_least <= self.worst
        assert self.mean_at_least <= self.mean + 1e-9

    @property
    def least(self) -> str:
        """The bound of the mean in words, rounded down."""
        return f"{floor(self.mean_at_least * 10) / 10:.1f}"


def make_tree(table: FaultTable, seconds: float = SECONDS) -> Tree:
    """The tree of a table. NoSolverError."""
    return _Maker(table, seconds).tree()


class _Maker:
    def __init__(self, table: FaultTable, seconds: float) -> None:
        self.table, self.seconds = table, seconds
        self.classes = table.classes
        self.columns = tuple(zip(*(each.answers for each in self.classes), strict=True))
        self.weights = [sum(1 / len(table.models[fault]) for fault in each.faults) for each in self.classes]
        self.weights[0] = max(self.weights[0], 1.0)
        self._made: dict[tuple[int, ...], tuple[int, float, Node]] = {}

    def tree(self) -> Tree:
        every = tuple(range(len(self.classes)))
        root = self._spine(every)
        depths = dict(_depths(root))
        shown = range(1, len(self.classes))
        total = sum(self.weights[number] for number in shown)
        mean = sum(self.weights[number] * depths[number] for number in shown) / total if total else 0.0
        # Whoever gets the answers of a board without fault has to rule out each other class.
        cover = self._cover(every)
        branches = max(len(set(column)) for column in self.columns)
        return Tree(
            root=root,
            worst=max(depths.values()),
            mean=mean,
            at_least=max(cover.at_least, _log(len(self.classes), branches)),
            mean_at_least=mean_at_least(self.columns, self._fractions()),
        )

    def _fractions(self) -> list[Fraction]:
        """The weights in whole fractions: a fault counts once, shared among its models."""
        models = self.table.models
        return [sum((Fraction(1, len(models[fault])) for fault in each.faults), Fraction()) for each in self.classes]

    def _cover(self, classes: Sequence[int]) -> Fewest:
        rows = [
            sum(1 << column for column, answers in enumerate(self.columns) if answers[number] != answers[0])
            for number in classes
            if number
        ]
        return fewest(rows, len(self.columns), self.seconds)

    def _spine(self, classes: tuple[int, ...]) -> Node:
        """The questions while all answers are those of a board without fault: as few as rule out all others."""
        if len(classes) == 1:
            return Node(-1, {}, classes)
        chosen = self._cover(classes).chosen
        asks = min(chosen, key=lambda column: self._cost(column, classes))
        parts = self._parts(asks, classes)
        then = {
            answer: self._spine(part) if 0 in part else self._make(part)[2] for answer, part in sorted(parts.items())
        }
        return Node(asks, then, classes)

    def _parts(self, column: int, classes: tuple[int, ...]) -> dict[str, tuple[int, ...]]:
        answers = self.columns[column]
        parts: dict[str, list[int]] = {}
        for number in classes:
            parts.setdefault(answers[number], []).append(number)
        return {answer: tuple(part) for answer, part in parts.items()}

    def _cost(self, column: int, classes: tuple[int, ...]) -> tuple[float, ...]:
        """The most classes and the weight that an answer leaves, the least first; then the easiest press."""
        answers = self.columns[column]
        counts: dict[str, int] = {}
        weights: dict[str, float] = {}
        for number in classes:
            answer = answers[number]
            counts[answer] = counts.get(answer, 0) + 1
            weights[answer] = weights.get(answer, 0.0) + self.weights[number]
        return max(counts.values()), sum(weight * weight for weight in weights.values()), column

    def _make(self, classes: tuple[int, ...]) -> tuple[int, float, Node]:
        """Worst case, weighted sum of depths, and the node."""
        if len(classes) == 1:
            return 0, 0.0, Node(-1, {}, classes)
        found = self._made.get(classes)
        if found is None:
            ranked = sorted(range(len(self.columns)), key=lambda column: self._cost(column, classes))
            few = [
                each
                for each in ranked[: TRIED if len(classes) <= FEW else 1]
                if self._cost(each, classes)[0] < len(classes)
            ]
            found = min((self._with(column, classes) for column in few), key=lambda made: made[:2])
            self._made[classes] = found
        return found

    def _with(self, column: int, classes: tuple[int, ...]) -> tuple[int, float, Node]:
        made = {answer: self._make(part) for answer, part in sorted(self._parts(column, classes).items())}
        worst = 1 + max(each[0] for each in made.values())
        total = sum(self.weights[number] for number in classes) + sum(each[1] for each in made.values())
        return worst, total, Node(column, {answer: each[2] for answer, each in made.items()}, classes)


def _depths(node: Node, depth: int = 0) -> Iterator[tuple[int, int]]:
    if not node.then:
        yield from ((number, depth) for number in node.classes)
    for each in node.then.values():
        yield from _depths(each, depth + 1)


def _log(count: int, branches: int) -> int:
    depth, reached = 0, 1
    while reached < count:
        depth, reached = depth + 1, reached * max(branches, 2)
    return depth
