"""How long lines take: by the usual formula, by a circuit simulator, and bounds that no simulated course exceeds."""

from __future__ import annotations

import random
from fractions import Fraction
from math import exp, inf, log
from pathlib import Path

import pytest

from matrixmap.emit.boards.spice import Circuit, Course
from matrixmap.margins.network import Network, Resistor, Source, solve
from matrixmap.margins.times import Rates, Settling
from matrixmap.margins.worst import Box
from tests.margins.boards import margins
from tests.margins.random_boards import random_box, random_corner, spice_answers
from tests.margins.test_network import least, path_of_three, point

PICO = Fraction(1, 10**12)


def test_the_worked_example_in_time() -> None:
    """With 150 pF a line, N1 of the worked example falls to 2.0 V 201.7 ns after the strobe (worked elsewhere)."""
    network = path_of_three(185, 3300, 20)
    rates = Rates(network, least(network), dict.fromkeys(("S0", "N0", "S1", "N1"), 150 * PICO))
    seconds = rates.crossing(dict.fromkeys(network.nodes, 5.0), "N1", 2.0)
    assert seconds * 1e9 == pytest.approx(201.7, abs=0.05)


def one_line(contact: int = 65, joined: bool = True) -> tuple[Box, dict[str, Fraction]]:
    """A sense line of 200 pF that 47 k pull up, and a select line of 200 pF that a closed contact joins to it."""
    resistors = [Resistor("pull", "supply", "N0", point(47_000))]
    farads = {"N0": 200 * PICO}
    if joined:
        resistors.append(Resistor("contact", "S0", "N0", point(contact)))
        farads["S0"] = 200 * PICO
    network = Network(resistors=tuple(resistors), sources=(Source("supply", "supply", point(5)),))
    return Box(network, "", frozenset({"supply"})), farads


def test_carry_over_by_the_usual_formula() -> None:
    """Rp (C of all lines joined) ln(Vcc / (Vcc - VIH)): 22.6 us up to 3.5 V; with the sense line's own C alone half of that."""
    times = []
    for joined in (True, False):
        box, farads = one_line(joined=joined)
        settles = Settling(box, farads, Fraction(0), {"pull": True, "supply": False}).settles("N0", Fraction(7, 2))
        formula = 47e3 * 200e-12 * (1 + joined) * log(5 / 1.5)
        assert settles.computed == pytest.approx(formula, rel=2e-3)
        assert settles.computed <= settles.bound <= 1.01 * formula
        times.append(settles.computed)
    assert times[0] == pytest.approx(22.6e-6, rel=3e-3)
    assert times[0] == pytest.approx(2 * times[1], rel=3e-3)
    # 12 us between the strobes would pass with the own capacitance alone, and do not.
    assert times[1] < 12e-6 < times[0]


def test_the_bound_is_that_of_the_formula_with_the_contact() -> None:
    """For one sense line it is (Rp (C of all) + Rc C) ln(...), as the text of the module says."""
    box, farads = one_line(contact=1000)
    bound = Settling(box, farads, Fraction(0), {"pull": True, "supply": False}).bound("N0", Fraction(7, 2))
    assert bound == pytest.approx((47e3 * 400e-12 + 1000 * 200e-12) * log(5 / 1.5), rel=1e-5)


def test_a_line_that_need_not_get_there_is_told_so() -> None:
    """A threshold beyond the end of a line is never surely passed."""
    box, farads = one_line()
    settling = Settling(box, farads, Fraction(0), {"pull": True, "supply": False})
    assert settling.settles("N0", Fraction(6)) == (inf, inf)


def test_a_circuit_simulator_takes_as_long(tmp_path: Path) -> None:
    """60 random boards fall, and 60 rise: the times of ngspice within 1 percent, on netlists that the tool writes."""
    draw = random.Random(21)
    courses: list[Course] = []
    for falls in (True, False):
        count = 0
        while count < 60:
            network = random_box(draw, leaks=False).network
            if not falls:
                kept = tuple(each for each in network.resistors if each.name != "driver")
                network = Network(resistors=kept, sources=network.sources[1:])
            corner = random_corner(draw, network)
            farads = {
                node: draw.randint(40, 400) * PICO for node in network.nodes if node[0] in "NS" and node != "supply"
            }
            end = float(solve(network, corner).volts["N0"])
            threshold = round(end + (4.4 - end) * 0.4 if falls else end * 0.6, 4)
            start = 4.4 if falls else 0.0
            seconds = Rates(network, corner, farads).crossing(dict.fromkeys(network.nodes, start), "N0", threshold)
            if not 1e-10 < seconds < 1e-3 or any(not corner[each.name] for each in network.resistors):
                continue
            courses.append(Course(Circuit(network, corner, "N0", "a board"), farads, start, threshold, falls, seconds))
            count += 1
    for at in range(0, len(courses), 20):
        # Courses that take about as long share a run, so that its step suits them.
        same = (
            sorted(courses[:60], key=_seconds)[at : at + 20]
            if at < 60
            else sorted(courses[60:], key=_seconds)[at - 60 : at - 40]
        )
        _, found = spice_answers([], same, tmp_path)
        for seconds, course in zip(found, same, strict=True):
            assert seconds == pytest.approx(course.seconds, rel=0.01)


def _seconds(course: Course) -> float:
    return course.seconds


def test_no_point_of_the_box_takes_longer_than_the_bound() -> None:
    """300 random boards with random values in the box: none is later than its bound, and some come near it."""
    draw = random.Random(4)
    shares = []
    for _ in range(60):
        box = random_box(draw, cycles=draw.random() < 0.5, leaks=False)
        if sum(each.name.startswith("contact") for each in box.network.resistors) > 6:
            continue
        farads = {node: draw.randint(40, 400) * PICO for node in box.network.nodes if node[0] in "NS"}
        farads.pop("supply", None)
        slow = dict.fromkeys(box.network.outer, True) | dict.fromkeys(box.pulls, False) | {"driver": True}
        top = max(each.volts.most for each in box.network.sources)
        settling = Settling(box, farads, top, slow)
        worst = solve(box.network, {name: each.most for name, each in box.network.spans.items()}).volts["N0"]
        bound = settling.bound("N0", worst + 1)
        for _ in range(5):
            inside = {
                name: each.least + (each.most - each.least) * Fraction(draw.randint(0, 100), 100)
                for name, each in box.network.spans.items()
            }
            less = {node: own * Fraction(draw.randint(50, 100), 100) for node, own in farads.items()}
            start = dict.fromkeys(box.network.nodes, float(inside["supply"]))
            seconds = Rates(box.network, inside, less).crossing(start, "N0", float(worst + 1))
            assert seconds <= bound * (1 + 1e-9)
            shares.append(seconds / bound if bound < inf else 0.0)
    assert max(shares) > 0.3


def test_a_course_by_hand() -> None:
    """One kilohm and one nanofarad: after one microsecond 1 / e is left."""
    network = Network(resistors=(Resistor("r", "low", "N", point(1000)),), sources=(Source("low", "low", point(0)),))
    rates = Rates(network, least(network), {"N": 1000 * PICO})
    assert rates.crossing({"low": 0.0, "N": 1.0}, "N", exp(-1)) == pytest.approx(1e-6, rel=1e-5)


def test_the_next_row_is_asked_by_the_time_that_the_file_gives() -> None:
    """From the end of a strobe to the next read where that is stated, else the time from a strobe to its read: it is no longer."""
    stated = margins("ferrule")
    assert {(time.of, float(time.limit or 0)) for time in stated.times if not time.falls} == {
        ("strobe_end_to_read_us", 25e-6)
    }
    edits = {("machine", "quillon8"): [("  strobe_end_to_read_us: 25\n", "")]}
    fallback = margins("ferrule", edits)
    assert {(time.of, float(time.limit or 0)) for time in fallback.times} == {("strobe_to_read_us", 18e-6)}
    assert stated.line_time == pytest.approx(55e-6)
