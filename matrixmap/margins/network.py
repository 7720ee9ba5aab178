"""The voltage of each node in a network of resistances: exact, or to a stated closeness if there are diodes.

This is nodal analysis: the currents into each node that no source holds sum to zero (Kirchhoff). Resistances, sources
and leaks alone make linear equations, which are solved in fractions, so the answer is exact. A resistance of 0 makes
its two nodes one. With junctions of diodes, Newton's method solves the equations in floating point, until no current is
off by more than `CLOSE_A`. A junction follows Shockley's equation at 27 degrees Celsius.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import exp, log1p
from typing import NamedTuple

from matrixmap.circuit.margin import THERMAL_V
from matrixmap.model.values.electric import Interval

CLOSE_A = 1e-12
"""Amperes by which the sum of currents at a node may be off, if there are junctions."""

LEAST_SIEMENS = 1e-12
"""From each node to ground if there are junctions, as in circuit simulators; 5 pA at 5 V."""

MOST_A = 10.0
"""Amperes beyond which a junction counts as a resistance."""

STEPS = 2000
"""The most steps of Newton's method; a few dozen are usual."""


class Span(NamedTuple):
    """A least and a most value, exact."""

    least: Fraction
    most: Fraction

    @property
    def is_point(self) -> bool:
        """Whether both are equal."""
        return self.least == self.most


def fraction(value: float) -> Fraction:
    """A number of a file exactly as it is written: 0.1 is one tenth."""
    return Fraction(repr(value))


def span(interval: Interval | None, otherwise: float = 0.0, scale: Fraction = Fraction(1)) -> Span:
    """An interval of a file, or one value if there is none, in other units."""
    least, most = interval if interval is not None else (otherwise, otherwise)
    return Span(fraction(least) * scale, fraction(most) * scale)


class Resistor(NamedTuple):
    """A resistance between two nodes, in ohms."""

    name: str
    a: str
    b: str
    ohms: Span


class Source(NamedTuple):
    """A node that is held at some volts against ground."""

    name: str
    node: str
    volts: Span


class Leak(NamedTuple):
    """A current in amperes that flows into a node from outside; below 0 it flows out."""

    name: str
    node: str
    amps: Span


class Junction(NamedTuple):
    """A diode from anode to cathode, without its resistance: saturation current in amperes, emission coefficient."""

    name: str
    anode: str
    cathode: str
    saturation: Span
    emission: Span


Point = Mapping[str, Fraction]
"""A value for each part of a network; for a junction, its share of the way from the least drop to the most, 0 to 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Nodes by name, joined by parts with values in spans. Each source has a separate node."""

    resistors: tuple[Resistor, ...] = ()
    sources: tuple[Source, ...] = ()
    leaks: tuple[Leak, ...] = ()
    junctions: tuple[Junction, ...] = ()

    @property
    def nodes(self) -> tuple[str, ...]:
        """All nodes, sorted."""
        found = {end for each in self.resistors for end in (each.a, each.b)}
        found |= {end for each in self.junctions for end in (each.anode, each.cathode)}
        return tuple(sorted(found | {each.node for each in self.sources}))

    @property
    def outer(self) -> tuple[str, ...]:
        """The names of everything that comes from outside: sources and leaks."""
        return (*(each.name for each in self.sources), *(each.name for each in self.leaks))

    @property
    def spans(self) -> dict[str, Span]:
        """The values of all parts by name; a junction's go from 0 (drops least) to 1 (drops most)."""
        found = {each.name: each.ohms for each in self.resistors}
        found |= {each.name: each.volts for each in self.sources}
        found |= {each.name: each.amps for each in self.leaks}
        return found | {each.name: Span(Fraction(0), Fraction(1)) for each in self.junctions}


class ShortError(Exception):
    """Two sources are joined without any resistance, so their current has no limit."""


class UnsolvedError(Exception):
    """Newton's method did not converge: in a network with junctions, some currents have no path."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """A network at a point: `volts` of each node, and `into` each source the amperes that flow."""

    volts: Mapping[str, Fraction]
    into: Mapping[str, Fraction]


def solve(network: Network, point: Point) -> Solved:
    """The voltages at a point. ShortError if sources are joined without resistance; UnsolvedError for odd junctions."""
    group = groups(network, point)
    held = {group[each.node]: point[each.name] for each in network.sources}
    if len(held) < len(network.sources):
        raise ShortError
    free = sorted({root for root in group.values() if root not in held})
    if network.junctions:
        volts = _by_newton(network, point, group, held, free)
    else:
        volts = _by_elimination(network, point, group, held, free)
    into = {each.name: Fraction(0) for each in network.sources}
    owner = {group[each.node]: each.name for each in network.sources}
    for here, amps in _currents(network, point, group, volts):
        if here in owner:
            into[owner[here]] += amps
    return Solved(volts={node: volts[root] for node, root in group.items()}, into=into)


def groups(network: Network, point: Point) -> dict[str, str]:
    """Each node with the node that represents all nodes joined to it without resistance."""
    root = {node: node for node in network.nodes}
    for each in network.resistors:
        if point[each.name] == 0 and root[each.a] != root[each.b]:
            kept, gone = sorted((root[each.a], root[each.b]))
            root = {node: kept if own == gone else own for node, own in root.items()}
    return root


def _currents(
    network: Network, point: Point, group: Mapping[str, str], volts: Mapping[str, Fraction]
) -> Iterable[tuple[str, Fraction]]:
    """The currents that flow into groups through each part."""
    for each in network.resistors:
        a, b = group[each.a], group[each.b]
        if a != b:
            amps = (volts[a] - volts[b]) / point[each.name]
            yield b, amps
            yield a, -amps
    for leak in network.leaks:
        yield group[leak.node], point[leak.name]
    for junction in network.junctions:
        a, b = group[junction.anode], group[junction.cathode]
        current, _ = _shockley(junction, point, float(volts[a] - volts[b]))
        yield b, Fraction(current)
        yield a, Fraction(-current)


def _by_elimination(
    network: Network, point: Point, group: Mapping[str, str], held: Mapping[str, Fraction], free: list[str]
) -> dict[str, Fraction]:
    at = {node: number for number, node in enumerate(free)}
    rows = [[Fraction(0)] * (len(free) + 1) for _ in free]
    for each in network.resistors:
        a, b = group[each.a], group[each.b]
        if a == b:
            continue
        siemens = 1 / point[each.name]
        for here, there in ((a, b), (b, a)):
            if here in at:
                row = rows[at[here]]
                row[at[here]] += siemens
                if there in at:
                    row[at[there]] -= siemens
                else:
                    row[-1] += siemens * held[there]
    for leak in network.leaks:
        if group[leak.node] in at:
            rows[at[group[leak.node]]][-1] += point[leak.name]
    return {**held, **dict(zip(free, eliminated(rows), strict=True))}


def eliminated(rows: list[list[Fraction]]) -> list[Fraction]:
    """The solution of linear equations with the matrix of a network, for which no row must change its place.

    The last item of a row is its right side. The rows are overwritten.
    """
    size = len(rows)
    for here in range(size):
        pivot = rows[here]
        for row in rows[here + 1 :]:
            if row[here]:
                share = row[here] / pivot[here]
                for column in range(here, size + 1):
                    row[column] -= share * pivot[column]
    found = [Fraction(0)] * size
    for here in reversed(range(size)):
        row = rows[here]
        rest = sum((row[column] * found[column] for column in range(here + 1, size)), Fraction(0))
        found[here] = (row[-1] - rest) / row[here]
    return found


def _between(values: Span, share: Fraction) -> float:
    return float(values.least + (values.most - values.least) * share)


def _shockley(junction: Junction, point: Point, volts: float) -> tuple[float, float]:
    """Current and conductance of a junction at a voltage; with the least saturation current it drops most."""
    share = point[junction.name]
    saturation = _between(junction.saturation, 1 - share)
    scale = _between(junction.emission, share) * THERMAL_V
    most = scale * log1p(MOST_A / saturation)
    if volts > most:
        # A straight line from here on: no answer is there, and the way to an answer passes no number that is too large.
        siemens = (MOST_A + saturation) / scale
        return MOST_A + siemens * (volts - most), siemens
    grown = exp(volts / scale)
    return saturation * (grown - 1), saturation * grown / scale


def _by_newton(
    network: Network, point: Point, group: Mapping[str, str], held: Mapping[str, Fraction], free: list[str]
) -> dict[str, Fraction]:
    """Newton's method from all free nodes at the highest source; a junction rises at most 0.1 V a step."""
    at = {node: number for number, node in enumerate(free)}
    fixed = {node: float(volts) for node, volts in held.items()}
    volts = {**fixed, **dict.fromkeys(free, max(fixed.values(), default=0.0))}
    linear = [(group[each.a], group[each.b], 1 / float(point[each.name] or 1)) for each in network.resistors]
    for _ in range(STEPS):
        rows = [[0.0] * (len(free) + 1) for _ in free]
        for number, node in enumerate(free):
            rows[number][number] += LEAST_SIEMENS
            rows[number][-1] -= LEAST_SIEMENS * volts[node]
        parts = [(a, b, siemens, siemens * (volts[a] - volts[b])) for a, b, siemens in linear if a != b]
        for each in network.junctions:
            a, b = group[each.anode], group[each.cathode]
            current, siemens = _shockley(each, point, volts[a] - volts[b])
            parts.append((a, b, siemens + LEAST_SIEMENS, current))
        for a, b, siemens, current in parts:
            for here, there, sign in ((a, b, 1), (b, a, -1)):
                if here in at:
                    rows[at[here]][at[here]] += siemens
                    rows[at[here]][-1] -= sign * current
                    if there in at:
                        rows[at[here]][at[there]] -= siemens
        for leak in network.leaks:
            if group[leak.node] in at:
                rows[at[group[leak.node]]][-1] += float(point[leak.name])
        if all(abs(row[-1]) < CLOSE_A for row in rows):
            break
        step = _solved([list(row) for row in rows])
        moved = {**dict.fromkeys(fixed, 0.0), **dict(zip(free, step, strict=True))}
        wider = [moved[group[each.anode]] - moved[group[each.cathode]] for each in network.junctions]
        scale = min(1.0, 0.1 / max([*map(abs, wider), 0.1]))
        for node in free:
            volts[node] += scale * moved[node]
    else:
        raise UnsolvedError
    return {node: Fraction(value) for node, value in volts.items()} | dict(held)


def _solved(rows: list[list[float]]) -> list[float]:
    """The same as `eliminated`, in floating point."""
    size = len(rows)
    for here in range(size):
        pivot = rows[here]
        for row in rows[here + 1 :]:
            share = row[here] / pivot[here]
            for column in range(here, size + 1):
                row[column] -= share * pivot[column]
    found = [0.0] * size
    for here in reversed(range(size)):
        row = rows[here]
        found[here] = (row[-1] - sum(row[at] * found[at] for at in range(here + 1, size))) / row[here]
    return found
