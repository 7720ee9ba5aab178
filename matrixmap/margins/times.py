"""How long lines take: to fall after a strobe, and to rise after it, when the next line is read.

Lines have capacitance, so a network of lines follows C v' = b - G v, with the conductances G of its resistances. There
are two answers:

- `crossing` at one point of the box is exact up to rounding: the modes of the network by Jacobi's method, then bisection.
- `Settling.bound` holds for the whole box. For capacitances, pull-ups, driver and leaks, the slow ends are known. Take
  two such networks with all voltages moving one way. The one with more capacitance, or with less current towards the
  end, is later at each moment (comparison of cooperative systems). The contacts are tried at both ends. Let
  w = G^-1 C 1 be the sums of resistance times capacitance that each node sees, and u how far the nodes are from their
  end. Then a w exp(-t / T) with T = max w stays above u if it is above u at first. The reason is that its own rate
  -1/T is no faster than the network's: C w / T <= C 1 = G w. So a node is within d of its end after
  T ln(max(u / w) w / d) at the latest. For one sense line with its select lines this is (Rp (C of all) + Rc C) ln(...).
  That is a little more than the usual formula, which takes the contacts as 0 ohms.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import atan2, cos, exp, inf, log, sin, sqrt

from matrixmap.margins.network import Network, Point, ShortError, eliminated, groups, solve
from matrixmap.margins.shapes import Kinds, Shape
from matrixmap.margins.worst import Box

LEAST_FARADS = Fraction(1, 10**15)
"""The capacitance of a node that is said to have none: a femtofarad."""

MOST_CONTACTS = 9
"""The most contacts that are tried at both ends: 512 corners."""


class Settles(tuple[float, float]):
    """Seconds after which a line has surely passed its threshold, and those at the corner with the most ohms."""

    __slots__ = ()

    @property
    def bound(self) -> float:
        """Seconds that are surely enough; infinite if the line need not pass its threshold."""
        return self[0]

    @property
    def computed(self) -> float:
        """Seconds at the corner where everything is slow and each contact has its most ohms."""
        return self[1]


@dataclass(frozen=True)
class Rates:
    """A network of resistances at a point with its nodes' farads: matrices over the nodes that no source holds."""

    network: Network
    point: Point
    farads: Mapping[str, Fraction]

    def parts(self) -> tuple[list[str], list[list[Fraction]], list[Fraction], dict[str, str]]:
        """The free nodes, their conductances and farads, and for each node the one it is joined to without ohms."""
        root = groups(self.network, self.point)
        held = {root[each.node] for each in self.network.sources}
        free = sorted(set(root.values()) - held)
        at = {node: number for number, node in enumerate(free)}
        matrix = [[Fraction(0)] * len(free) for _ in free]
        for each in self.network.resistors:
            a, b = root[each.a], root[each.b]
            if a == b:
                continue
            siemens = 1 / self.point[each.name]
            for here, there in ((a, b), (b, a)):
                if here in at:
                    matrix[at[here]][at[here]] += siemens
                    if there in at:
                        matrix[at[here]][at[there]] -= siemens
        farads = [LEAST_FARADS] * len(free)
        for node, own in self.farads.items():
            if root.get(node) in at:
                farads[at[root[node]]] += own
        return free, matrix, farads, root

    def delays(self) -> dict[str, Fraction]:
        """For each node, the sum of resistance times capacitance that it sees, in seconds."""
        free, matrix, farads, root = self.parts()
        found = eliminated([[*row, own] for row, own in zip(matrix, farads, strict=True)])
        known = dict(zip(free, found, strict=True))
        return {node: known.get(own, Fraction(0)) for node, own in root.items()}

    def crossing(self, start: Mapping[str, float], node: str, threshold: float) -> float:
        """Seconds until a node that moves one way reaches the threshold; infinite if it never does."""
        free, matrix, farads, root = self.parts()
        if root[node] not in free:
            return 0.0
        end = solve(self.network, self.point).volts
        far = [start[name] - float(end[name]) for name in free]
        here = free.index(root[node])
        goal = threshold - float(end[node])
        if far[here] == 0 or goal / far[here] <= 0:
            return inf
        if goal / far[here] >= 1:
            return 0.0
        rates, amounts = _modes(matrix, farads, far, here)

        def left(seconds: float) -> float:
            return sum(amount * exp(-rate * seconds) for rate, amount in zip(rates, amounts, strict=True)) / goal - 1

        late = 1 / min(rates)
        while left(late) > 0:
            late *= 2
        early = 0.0
        for _ in range(100):
            middle = (early + late) / 2
            early, late = (middle, late) if left(middle) > 0 else (early, middle)
        return late


def _modes(
    matrix: Sequence[Sequence[Fraction]], farads: Sequence[Fraction], far: Sequence[float], here: int
) -> tuple[list[float], list[float]]:
    """The rates of a network's modes, and the share of each in one node: of C^-1/2 G C^-1/2, which is symmetric."""
    size = len(farads)
    roots = [sqrt(float(own)) for own in farads]
    scaled = [
        [float(matrix[row][column]) / roots[row] / roots[column] for column in range(size)] for row in range(size)
    ]
    values, vectors = _jacobi(scaled)
    amounts = [
        sum(vectors[row][mode] * roots[row] * far[row] for row in range(size)) * vectors[here][mode] / roots[here]
        for mode in range(size)
    ]
    return values, amounts


def _jacobi(matrix: list[list[float]]) -> tuple[list[float], list[list[float]]]:
    """Eigenvalues and eigenvectors (by column) of a symmetric matrix; rotations remove what is off the diagonal."""
    size = len(matrix)
    vectors = [[float(row == column) for column in range(size)] for row in range(size)]
    for _ in range(60):
        off = sum(matrix[row][column] ** 2 for row in range(size) for column in range(row))
        if off <= 1e-30 * sum(matrix[row][row] ** 2 for row in range(size)):
            break
        for p in range(size):
            for q in range(p + 1, size):
                if matrix[p][q]:
                    angle = 0.5 * atan2(2 * matrix[p][q], matrix[q][q] - matrix[p][p])
                    _turn(matrix, vectors, p, q, angle)
    return [matrix[row][row] for row in range(size)], vectors


def _turn(matrix: list[list[float]], vectors: list[list[float]], p: int, q: int, angle: float) -> None:
    c, s = cos(angle), sin(angle)
    for row in matrix:
        row[p], row[q] = c * row[p] - s * row[q], s * row[p] + c * row[q]
    first, second = matrix[p], matrix[q]
    matrix[p] = [c * a - s * b for a, b in zip(first, second, strict=True)]
    matrix[q] = [s * a + c * b for a, b in zip(first, second, strict=True)]
    for row in vectors:
        row[p], row[q] = c * row[p] - s * row[q], s * row[p] + c * row[q]


@dataclass(frozen=True)
class Settling:
    """Lines of a network that all move one way: from `start` volts towards the network's resting volts.

    `slow` says for each part that is not a contact whether its most or its least is the slow end.
    """

    box: Box
    farads: Mapping[str, Fraction]
    start: Fraction
    slow: Mapping[str, bool]

    def _points(self) -> list[Point]:
        spans = self.box.network.spans
        settled = {name: each.most if self.slow.get(name, True) else each.least for name, each in spans.items()}
        tried = [name for name, each in spans.items() if name not in self.slow and not each.is_point]
        if len(tried) > MOST_CONTACTS:
            return []
        return [
            settled | dict(zip(tried, ends, strict=True))
            for ends in product(*((spans[name].least, spans[name].most) for name in tried))
        ]

    def settles(self, node: str, threshold: Fraction) -> Settles:
        """Seconds until a node has surely passed a threshold, and those with the most ohms of each contact."""
        points = self._points()
        if not points or self.box.network.junctions:
            return Settles((inf, inf))
        try:
            return Settles((self.bound(node, threshold), self._computed(points[-1], node, threshold)))
        except ShortError:
            return Settles((inf, inf))

    def bound(self, node: str, threshold: Fraction) -> float:
        """Seconds after which a node has surely passed a threshold; infinite if it need not, or if that is unknown.

        ShortError if sources are joined without resistance.
        """
        points = self._points()
        if not points or self.box.network.junctions:
            return inf
        longest, own, away = Fraction(0), Fraction(0), Fraction(0)
        shortest: list[Fraction] = []
        left: list[Fraction] = []
        for point in points:
            delays = {name: each for name, each in Rates(self.box.network, point, self.farads).delays().items() if each}
            ends = solve(self.box.network, point).volts
            if node not in delays:
                continue
            longest, own = max(longest, *delays.values()), max(own, delays[node])
            shortest.append(min(delays.values()))
            away = max(away, *(abs(self.start - ends[name]) for name in delays))
            left.append((threshold - ends[node]) * (1 if self.start > threshold else -1))
        if not shortest:
            return 0.0
        if min(left) <= 0:
            return inf
        return float(longest) * log(max(1.0, float(away / min(shortest) * own / min(left))))

    def course(
        self, node: str, threshold: Fraction
    ) -> tuple[Network, Point, Mapping[str, Fraction], float, str, float] | None:
        """What `settles` computes: network, point, farads, starting volts, node, threshold; None for nothing."""
        points = self._points()
        if not points or self.box.network.junctions:
            return None
        return self.box.network, points[-1], self.farads, float(self.start), node, float(threshold)

    def _computed(self, point: Point, node: str, threshold: Fraction) -> float:
        start = dict.fromkeys(self.box.network.nodes, float(self.start))
        return Rates(self.box.network, point, self.farads).crossing(start, node, float(threshold))


def farads_of(kinds: Kinds, shape: Shape) -> dict[str, Fraction]:
    """The most farads of each line of a shape."""
    found = {f"S{at}": kinds.lines[kind].farads.most for at, kind in enumerate(shape.selects)}
    return found | {f"N{at}": kinds.lines[kind].farads.most for at, kind in enumerate(shape.senses)}


def falling(kinds: Kinds, shape: Shape, strobed: int) -> Settling:
    """All lines of a part, starting from the supply, while one of its select lines is strobed."""
    box = kinds.box(shape, strobed)
    slow = dict.fromkeys(box.network.outer, True)
    slow |= dict.fromkeys(box.pulls, False) | {"driver": True}
    return Settling(box, farads_of(kinds, shape), kinds.facts.supply.most, slow)


def rising(kinds: Kinds, shape: Shape, strobed: int) -> Settling:
    """All lines of a part, starting from ground, after the strobe of one of its select lines: none is pulled then.

    If the machine drives select lines high that are not strobed, still only the pull-ups are counted. A diode is left
    out, because it only reduces what the line must charge.
    """
    box = kinds.released(shape, strobed)
    slow = dict.fromkeys(box.network.outer, False) | dict.fromkeys(box.pulls, True)
    return Settling(box, farads_of(kinds, shape), Fraction(0), slow)
