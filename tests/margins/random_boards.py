"""Random parts of matrices with random values, as networks, and answers of a circuit simulator for them."""

from __future__ import annotations

import random
import re
from fractions import Fraction
from pathlib import Path

from matrixmap.emit.boards.spice import Circuit, Course, netlist
from matrixmap.margins.network import Junction, Leak, Network, Point, Resistor, Source, Span
from matrixmap.margins.worst import Box
from tests.tools import run, tool


def span_of(draw: random.Random, low: float, high: float, digits: int = 0) -> Span:
    """A random span between two numbers."""
    ends = sorted(Fraction(repr(round(draw.uniform(low, high), digits))) for _ in range(2))
    return Span(*ends)


def random_box(draw: random.Random, diodes: bool = False, cycles: bool = True, leaks: bool = True) -> Box:
    """A part that hangs together: a strobed line, up to 4 select and 4 sense lines, contacts, pull-ups, leaks.

    With `diodes` some contacts of the strobed line have one, and there is no closed cycle.
    """
    selects, senses = draw.randint(1, 4), draw.randint(1, 4)
    if diodes:
        selects = 1
    points = {(0, 0)}
    lines = [("S", 0), ("N", 0)]
    for kind, number in [("S", at) for at in range(1, selects)] + [("N", at) for at in range(1, senses)]:
        others = [at for other, at in lines if other != kind]
        points.add((number, draw.choice(others)) if kind == "S" else (draw.choice(others), number))
        lines.append((kind, number))
    for row in range(selects):
        for column in range(senses):
            if cycles and draw.random() < 0.3:
                points.add((row, column))
    most = draw.choice([65, 185, 1000])
    resistors = [Resistor("driver", "low", "S0", span_of(draw, 0, 60))]
    junctions = []
    for row, column in sorted(points):
        end = f"N{column}"
        if diodes and draw.random() < 0.8:
            end = f"D{column}"
            saturation = Span(*(each / 10**12 for each in span_of(draw, 1, 3000, 2)))
            junctions.append(Junction(f"diode {column}", f"N{column}", end, saturation, span_of(draw, 1, 2, 3)))
        resistors.append(Resistor(f"contact {row} {column}", f"S{row}", end, span_of(draw, 1, most)))
    pull = span_of(draw, 3000, 50_000)
    resistors += [Resistor(f"pull-up {column}", "supply", f"N{column}", pull) for column in range(senses)]
    sources = (
        Source("strobe", "low", span_of(draw, 0, 0.5, 3)),
        Source("supply", "supply", span_of(draw, 4.5, 5.5, 2)),
    )
    amps = Fraction(draw.randint(0, 40), 10**6)
    own = [*(f"S{row}" for row in range(1, selects)), *(f"N{column}" for column in range(senses))]
    found = tuple(Leak(f"leak {node}", node, Span(-amps, amps)) for node in own) if leaks else ()
    network = Network(resistors=tuple(resistors), sources=sources, leaks=found, junctions=tuple(junctions))
    return Box(network, "strobe", frozenset({"supply"}))


def random_corner(draw: random.Random, network: Network) -> Point:
    """A corner of a network's box."""
    return {name: draw.choice(each) for name, each in network.spans.items()}


def spice_answers(circuits: list[Circuit], courses: list[Course], folder: Path) -> tuple[list[float], list[float]]:
    """The voltages and the times that ngspice finds for a netlist as the tool writes it."""
    file = folder / "circuits.cir"
    file.write_text(netlist("random boards", circuits, courses), encoding="utf-8")
    said = run(tool("ngspice"), "-b", file).stdout
    volts = [float(each) for each in re.findall(r"^v\(\S+\) = (\S+)$", said, re.MULTILINE)]
    times = [float(each) for each in re.findall(r"^t\d+ +=  (\S+)", said, re.MULTILINE)]
    assert (len(volts), len(times)) == (len(circuits), len(courses)), said[-2000:]
    return volts, times
