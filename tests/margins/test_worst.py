"""The worst corner: no point of the box goes further, and it is one of the corners that are all tried."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

import pytest

from matrixmap.margins.network import Junction, Leak, Network, Resistor, Source, Span, solve
from matrixmap.margins.worst import Box, CycleError
from tests.margins.random_boards import random_box, random_corner
from tests.shipped import in_campaign
from tests.tools import module

BOXES = 40
CORNERS = 1_100_000
"""Tries; a part of them takes seconds."""
FEW_CORNERS = 40_000


def volts_of_many(box: Box, values: dict[str, object], node: str, count: int) -> object:
    """The voltage of a node at many points at once, by dense matrices of numpy: a solver that shares nothing with the project's."""
    numpy = module("numpy", "numpy")
    network = box.network
    held = {each.node: values[each.name] for each in network.sources}
    free = [name for name in network.nodes if name not in held]
    matrix = numpy.zeros((count, len(free), len(free)))
    right = numpy.zeros((count, len(free)))
    for each in network.resistors:
        siemens = 1 / numpy.maximum(values[each.name], 1e-9)
        for here, there in ((each.a, each.b), (each.b, each.a)):
            if here in free:
                matrix[:, free.index(here), free.index(here)] += siemens
                if there in free:
                    matrix[:, free.index(here), free.index(there)] -= siemens
                else:
                    right[:, free.index(here)] += siemens * held[there]
    for leak in network.leaks:
        right[:, free.index(leak.node)] += values[leak.name]
    return numpy.linalg.solve(matrix, right[:, :, None])[:, free.index(node), 0]


@pytest.mark.parametrize("corners", [in_campaign(FEW_CORNERS), in_campaign(CORNERS)])
@pytest.mark.parametrize("most", [True, in_campaign(False)], ids=["most", "least"])
def test_a_random_search_never_beats_the_worst_case(most: bool, corners: int) -> None:
    """In forty thousand, or more than a million, random corners and points of random boards none goes further, and with enough of them one comes near."""
    numpy = module("numpy", "numpy")
    draw, many = random.Random(11), numpy.random.default_rng(11)
    tried, near = 0, 0
    while tried < corners // 2:
        box = random_box(draw)
        node = "N0" if draw.random() < 0.5 else max(name for name in box.network.nodes if name.startswith("N"))
        try:
            worst = box.worst(node, most).number
        except CycleError:
            continue
        count = corners // 2 // BOXES
        spans = {name: (float(each.least), float(each.most)) for name, each in box.network.spans.items()}
        values = {}
        for name, (low, high) in spans.items():
            ends = many.integers(0, 2, count)
            inside = many.random(count)
            # Half of the tries are corners, half are points within.
            values[name] = low + (high - low) * numpy.where(numpy.arange(count) % 2 == 0, ends, inside)
        found = volts_of_many(box, values, node, count)
        furthest = found.max() if most else found.min()
        assert furthest <= worst + 1e-7 if most else furthest >= worst - 1e-7
        near += bool(abs(furthest - worst) < 0.02)
        tried += count
    assert near > BOXES / 2


def test_the_worst_corner_is_that_of_all_corners() -> None:
    """For small boards all corners are tried one by one, exactly: the same voltage, high and low, and the same current."""
    draw = random.Random(5)
    compared = 0
    while compared < 25:
        box = random_box(draw)
        spans = box.network.spans
        if 2 ** len(spans) > 1100:
            continue
        solved = [
            solve(box.network, dict(zip(spans, ends, strict=True)))
            for ends in product(*(set(each) for each in spans.values()))
        ]
        assert box.worst("N0", True).value == max(each.volts["N0"] for each in solved)
        assert box.worst("N0", False).value == min(each.volts["N0"] for each in solved)
        assert box.worst_into("strobe").value == max(each.into["strobe"] for each in solved)
        compared += 1


def test_without_a_closed_cycle_one_corner_is_enough() -> None:
    """Where all current surely flows towards the strobed line, and contacts make no closed cycle, nothing is tried twice."""
    draw, seen = random.Random(3), 0
    for _ in range(60):
        box = random_box(draw, cycles=False)
        if box.flows_in:
            assert box.worst("N0", True).tried == 1
            seen += 1
    assert seen > 20


def test_all_at_most_is_not_the_worst_in_a_rectangle() -> None:
    """A bridge: the contact across the strobed line's lowers or raises a voltage, as the others are; corners find the worst."""
    draw = random.Random(1)
    missed = 0
    for _ in range(40):
        span = {name: sorted(draw.sample([5, 20, 65, 185, 700, 1000], 2)) for name in ("a", "b", "c", "d")}
        ends = {"a": ("S0", "N0"), "b": ("S1", "N0"), "c": ("S1", "N1"), "d": ("S0", "N1")}
        resistors = [Resistor(name, *ends[name], Span(*map(Fraction, span[name]))) for name in ends]
        resistors += [
            Resistor("driver", "low", "S0", Span(Fraction(20), Fraction(20))),
            Resistor("p0", "supply", "N0", Span(Fraction(3300), Fraction(3300))),
            Resistor("p1", "supply", "N1", Span(Fraction(3300), Fraction(3300))),
        ]
        sources = (
            Source("strobe", "low", Span(Fraction(0), Fraction(0))),
            Source("supply", "supply", Span(Fraction(5), Fraction(5))),
        )
        box = Box(Network(resistors=tuple(resistors), sources=sources), "strobe", frozenset({"supply"}))
        all_most = solve(box.network, {name: each.most for name, each in box.network.spans.items()}).volts["N0"]
        worst = box.worst("N0", True).value
        assert worst is not None
        assert worst >= all_most
        missed += worst > all_most
    assert missed > 5


def test_diodes_in_a_tree_have_a_worst_corner_too() -> None:
    """Of 60 random stars with diodes no random corner goes further."""
    draw = random.Random(9)
    for _ in range(60):
        box = random_box(draw, diodes=True, cycles=False, leaks=False)
        worst = box.worst("N0", True).number
        for _ in range(20):
            found = solve(box.network, random_corner(draw, box.network)).volts["N0"]
            assert float(found) <= worst + 1e-7


def test_a_diode_in_a_closed_cycle_is_refused() -> None:
    """No corner is called the worst there."""
    span = Span(Fraction(50), Fraction(100))
    network = Network(
        resistors=(
            Resistor("driver", "low", "S0", span),
            Resistor("a", "S0", "N0", span),
            Resistor("b", "S0", "D", span),
            Resistor("p", "supply", "N0", Span(Fraction(3300), Fraction(4000))),
        ),
        sources=(
            Source("strobe", "low", Span(Fraction(0), Fraction(0))),
            Source("supply", "supply", Span(Fraction(5), Fraction(5))),
        ),
        junctions=(
            Junction("d", "N0", "D", Span(Fraction(1, 10**12), Fraction(1, 10**9)), Span(Fraction(1), Fraction(2))),
        ),
    )
    with pytest.raises(CycleError):
        Box(network, "strobe", frozenset({"supply"})).worst("N0", True)


def test_leaks_can_turn_a_current_round() -> None:
    """Where a leak takes more than a pull-up brings, the branch is a load: then more ohms to it raise the line, and both ends are tried."""
    span = {"one": (60, 70), "two": (100, 500)}
    resistors = [
        Resistor("driver", "low", "S0", Span(Fraction(20), Fraction(20))),
        Resistor("one", "S0", "N0", Span(*map(Fraction, span["one"]))),
        Resistor("two", "S0", "N1", Span(*map(Fraction, span["two"]))),
        Resistor("p0", "supply", "N0", Span(Fraction(3300), Fraction(3300))),
        Resistor("p1", "supply", "N1", Span(Fraction(47_000), Fraction(47_000))),
    ]
    sources = (
        Source("strobe", "low", Span(Fraction(0), Fraction(0))),
        Source("supply", "supply", Span(Fraction(5), Fraction(5))),
    )
    amps = Fraction(2, 1000)
    leaks = (Leak("leak", "N1", Span(-amps, amps)),)
    box = Box(Network(resistors=tuple(resistors), sources=sources, leaks=leaks), "strobe", frozenset({"supply"}))
    spans = box.network.spans
    corners = [dict(zip(spans, ends, strict=True)) for ends in product(*(set(each) for each in spans.values()))]
    lowest = min(solve(box.network, corner).volts["N0"] for corner in corners)
    assert box.worst("N0", False).value == lowest
    assert box.worst("N0", False).tried > 1
