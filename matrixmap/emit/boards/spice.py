"""Margins as a netlist for a circuit simulator of the SPICE family: the worst corners, and the slowest lines.

`ngspice -b FILE` prints the voltage of each line in the table, and the time that each line takes; the computed values
are in comments beside the circuits. One file holds several circuits, each with its own node names.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import NamedTuple

from matrixmap.margins.network import Network, Point
from matrixmap.margins.run import Margins
from matrixmap.model.words import shown

OPTIONS = ".options reltol=1e-6 abstol=1e-15 vntol=1e-9 gmin=1e-12"


class Circuit(NamedTuple):
    """A network at a point of its box, the node with the wanted voltage, and the text about it."""

    network: Network
    point: Point
    node: str
    words: str


class Course(NamedTuple):
    """A circuit over time: farads of nodes, initial volts of all, and the threshold that its node crosses."""

    circuit: Circuit
    farads: Mapping[str, Fraction]
    start: float
    threshold: float
    falls: bool
    seconds: float


def _number(value: Fraction | float) -> str:
    return repr(float(value))


def _node(prefix: str, name: str) -> str:
    return prefix + "".join(char if char.isalnum() else "_" for char in name)


def circuit_lines(circuit: Circuit, prefix: str) -> Iterator[str]:
    """The parts of a circuit. A resistance of 0 is a source of 0 V, unless it closes a ring of such sources."""
    network, point = circuit.network, circuit.point
    yield f"* {shown(circuit.words)}"
    root = {name: name for name in network.nodes}
    for number, each in enumerate(network.sources):
        yield f"V{prefix}{number} {_node(prefix, each.node)} 0 {_number(point[each.name])}"
    for number, resistor in enumerate(network.resistors):
        ends = f"{_node(prefix, resistor.a)} {_node(prefix, resistor.b)}"
        if point[resistor.name]:
            yield f"R{prefix}{number} {ends} {_number(point[resistor.name])}"
        elif root[resistor.a] != root[resistor.b]:
            gone, kept = root[resistor.a], root[resistor.b]
            root = {name: kept if own == gone else own for name, own in root.items()}
            yield f"V{prefix}r{number} {ends} 0"
    for number, leak in enumerate(network.leaks):
        if point[leak.name]:
            yield f"I{prefix}{number} 0 {_node(prefix, leak.node)} {_number(point[leak.name])}"
    for number, junction in enumerate(network.junctions):
        share = point[junction.name]
        saturation = junction.saturation.most + (junction.saturation.least - junction.saturation.most) * share
        emission = junction.emission.least + (junction.emission.most - junction.emission.least) * share
        yield f"D{prefix}{number} {_node(prefix, junction.anode)} {_node(prefix, junction.cathode)} M{prefix}{number}"
        yield f".model M{prefix}{number} D(IS={_number(saturation)} N={_number(emission)})"


def netlist(title: str, circuits: Iterable[Circuit], courses: Iterable[Course] = ()) -> str:
    """A file with operating points of circuits, printed in their order, followed by courses over time."""
    lines = [f"* {shown(title)}", OPTIONS]
    asked: list[str] = []
    for number, circuit in enumerate(circuits):
        prefix = f"c{number}x"
        lines += circuit_lines(circuit, prefix)
        asked.append(f"v({_node(prefix, circuit.node)})")
    measured: dict[bool, list[tuple[str, Course]]] = {}
    for number, course in enumerate(courses):
        prefix = f"t{number}x"
        lines += circuit_lines(course.circuit, prefix)
        for index, (name, farads) in enumerate(sorted(course.farads.items())):
            if name in course.circuit.network.nodes and farads:
                lines.append(f"C{prefix}{index} {_node(prefix, name)} 0 {_number(farads)} IC={course.start!r}")
        edge = "FALL" if course.falls else "RISE"
        words = f"meas tran t{number} WHEN v({_node(prefix, course.circuit.node)})={course.threshold!r} {edge}=1"
        measured.setdefault(course.falls, []).append((words, course))
    lines += [".control", "set numdgt=15"]
    lines += ["op", *(f"print {each}" for each in asked)] if asked else []
    for same in measured.values():
        longest, shortest = (pick(course.seconds for _, course in same) for pick in (max, min))
        lines.append(f"tran {shortest / 200!r} {3 * longest!r} 0 {shortest / 200!r} uic")
        lines += [words for words, _ in same]
    return "\n".join([*lines, "quit", ".endc", ".end", ""])


def margins_spice(margins: Margins) -> str:
    """The worst corner of each row of the table, and the slowest course of each time at its corner of most ohms."""
    circuits = []
    for row in margins.rows:
        if not row.worst:
            continue  # a bound has no corner
        value = row.most if row.closed else row.least
        words = f"{row.kind}: V of {row.node} computed as {float(value)!r}"
        circuits.append(Circuit(row.network, row.worst, row.node, words))
    courses = []
    for time in margins.times:
        if time.course is None or not 0 < time.settles.computed < float("inf"):
            continue
        words = f"{time.kind} {'falls' if time.falls else 'rises'} within {time.settles.computed!r} s, surely within {time.settles.bound!r}"
        network, point, farads, start, node, threshold = time.course
        courses.append(
            Course(Circuit(network, point, node, words), farads, start, threshold, time.falls, time.settles.computed)
        )
    title = f"{margins.facts.title if margins.facts else 'nothing'}: worst corners"
    return netlist(title, circuits, courses)
