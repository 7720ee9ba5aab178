"""Directions of a stick against independent geometry, and how often they change in a slow turn."""

from __future__ import annotations

import math
import random
from fractions import Fraction
from pathlib import Path

import pytest

from matrixmap.hid.pads.sources import Direction
from matrixmap.hid.pads.stick import Reach, Side, Thresholds, moved, slid

LIMITS = Thresholds()
END = 255
"""2 value - (min + max) of an axis of 8 bits runs from -255 to 255 in steps of 2."""
PLACES = range(-END, END + 1, 2)

STRAIGHT = {0: Direction.RIGHT, 2: Direction.DOWN, 4: Direction.LEFT, 6: Direction.UP}


def by_angle(x: int, y: int) -> frozenset[Direction]:
    """The sector of 45 degrees by the arc tangent, with right at 0 and down at 90 degrees."""
    sector = round(math.degrees(math.atan2(y, x)) / 45) % 8
    if sector in STRAIGHT:
        return frozenset({STRAIGHT[sector]})
    return frozenset({STRAIGHT[(sector - 1) % 8], STRAIGHT[(sector + 1) % 8]})


def exactly_diagonal(x: int, y: int) -> bool:
    """Beyond 22.5 degrees: (|x| + |y|)^2 > 2 max(|x|, |y|)^2, in whole numbers."""
    return (abs(x) + abs(y)) ** 2 > 2 * max(abs(x), abs(y)) ** 2


def test_all_points_from_rest() -> None:
    """Each of the 65,536 points of 8 bits, from the middle: outside the dead zone the sector of the exact test and of atan2."""
    outside = 0
    for x in PLACES:
        for y in PLACES:
            reach, shown = moved(Reach.CENTRE, x, END, y, END, LIMITS)
            if x * x + y * y < Fraction(END * END, 4):
                assert (reach, shown) == (Reach.CENTRE, frozenset()), (x, y)
            elif reach is Reach.CENTRE:  # the threshold is a whole number, rounded up
                assert x * x + y * y < 128 * 128, (x, y)
            else:
                outside += 1
                assert (reach is Reach.DIAGONAL) == exactly_diagonal(x, y), (x, y)
                assert shown == by_angle(x, y), (x, y)
    assert outside > 50_000


def test_all_points_from_a_straight_and_from_a_diagonal_one() -> None:
    """Each of the 65,536 points: beyond 26.57 degrees it is diagonal, below 18.43 straight, between them as it was."""
    kept = 0
    for x in PLACES:
        for y in PLACES:
            lesser, greater = sorted((abs(x), abs(y)))
            straight, _ = moved(Reach.STRAIGHT, x, END, y, END, LIMITS)
            diagonal, _ = moved(Reach.DIAGONAL, x, END, y, END, LIMITS)
            if x * x + y * y < 102 * 102:
                assert straight is diagonal is Reach.CENTRE, (x, y)
                continue
            angle = math.degrees(math.atan2(lesser, greater))
            if angle > 26.5651:
                assert straight is diagonal is Reach.DIAGONAL, (x, y)
                assert exactly_diagonal(x, y)
            elif angle < 18.4349:
                assert straight is diagonal is Reach.STRAIGHT, (x, y)
                assert not exactly_diagonal(x, y)
            else:
                kept += 1
                assert (straight, diagonal) == (Reach.STRAIGHT, Reach.DIAGONAL), (x, y)
    assert kept > 8_000


@pytest.mark.parametrize(("x_end", "y_end"), [(255, 65_535), (2, 255), (1_023, 254), (65_535, 65_535), (3, 1)])
def test_axes_of_other_ranges(x_end: int, y_end: int) -> None:
    """Random points of axes with different ranges, or of 16 bits: the sector of the exact test in fractions.

    Points within a few ten-thousandths of its border are left out.
    """
    rng = random.Random(x_end)
    for _ in range(5_000):
        x, y = rng.randint(-x_end, x_end), rng.randint(-y_end, y_end)
        reach, _ = moved(Reach.CENTRE, x, x_end, y, y_end, LIMITS)
        across, up = abs(Fraction(x, x_end)), abs(Fraction(y, y_end))
        away = across**2 + up**2
        if abs(away - Fraction(1, 4)) < Fraction(1, 100) or away < Fraction(1, 4):
            continue
        both, greater = (across + up) ** 2, 2 * max(across, up) ** 2
        if abs(both - greater) > greater / 5_000:
            assert reach is (Reach.DIAGONAL if both > greater else Reach.STRAIGHT), (x, y)


def test_no_product_needs_more_than_32_bits() -> None:
    """The corners of the largest ranges: every number that the C works out fits without sign in 32 bits."""
    largest = 0x7FFF
    assert largest * largest * 2 < 1 << 32
    assert largest * (largest + 2 * largest) < 1 << 32
    assert 0xFFFF * 0xFFFF < 1 << 32
    assert 100 * 0xFFFF + 99 < 1 << 32


def test_nothing_shows_before_it_was_at_rest() -> None:
    """A stick that is held when it connects shows nothing until a report was inside the release threshold."""
    reach = Reach.NEW
    for x in (255, 255, 120, 104):
        reach, shown = moved(reach, x, END, 0, END, LIMITS)
        assert (reach, shown) == (Reach.NEW, frozenset())
    reach, _ = moved(reach, 100, END, 0, END, LIMITS)
    assert reach is Reach.CENTRE
    assert moved(reach, 255, END, 0, END, LIMITS)[1] == {Direction.RIGHT}
    assert slid(Side.NEW, -255, END, LIMITS) is Side.NEW
    assert slid(Side.CENTRE, -255, END, LIMITS) is Side.LOW


def test_press_and_release_have_two_thresholds() -> None:
    """Out at 50 per cent, back below 40; others where they are set. The same for an axis by itself."""
    for limits, out, back in ((LIMITS, 500, 399), (Thresholds(press=80, release=20), 800, 199)):
        assert moved(Reach.CENTRE, out - 1, 1000, 0, 1000, limits)[0] is Reach.CENTRE
        assert moved(Reach.CENTRE, out, 1000, 0, 1000, limits)[0] is Reach.STRAIGHT
        assert moved(Reach.STRAIGHT, back + 1, 1000, 0, 1000, limits)[0] is Reach.STRAIGHT
        assert moved(Reach.STRAIGHT, back, 1000, 0, 1000, limits)[0] is Reach.CENTRE
        assert slid(Side.CENTRE, out, 1000, limits) is Side.HIGH
        assert slid(Side.CENTRE, out - 1, 1000, limits) is Side.CENTRE
        assert slid(Side.HIGH, back + 1, 1000, limits) is Side.HIGH
        assert slid(Side.HIGH, back, 1000, limits) is Side.CENTRE
        assert slid(Side.HIGH, -back - 1, 1000, limits) is Side.CENTRE


def changes(noise: float, hysteresis: bool, steps: int = 36_000) -> int:
    """How often the directions change while a stick at its rim turns round once, with noise of a normal distribution.

    Of 8 bits; `noise` is its standard deviation as a part of the way to the rim. Without hysteresis the sector is that of
    the arc tangent alone.
    """
    rng = random.Random(7)
    reach, shown = Reach.CENTRE, frozenset[Direction]()
    count = 0
    for step in range(steps):
        angle = 2 * math.pi * step / steps
        places = []
        for part in (math.cos(angle), math.sin(angle)):
            value = round(127.5 + 127.5 * (part + rng.gauss(0, noise)))
            places.append(2 * min(max(value, 0), 255) - 255)
        before = shown
        if hysteresis:
            reach, shown = moved(reach, places[0], END, places[1], END, LIMITS)
        else:
            shown = by_angle(*places)
        count += shown != before and step > 0
    return count


@pytest.mark.parametrize(("noise", "most"), [(0.01, 8), (0.02, 8), (0.04, 120)])
def test_a_slow_noisy_turn_changes_seldom(noise: float, most: int) -> None:
    """A turn in 36,000 reports with noise of 1 and 2 per cent changes just eight times, where one border changes hundreds of times."""
    with_hysteresis, without = changes(noise, True), changes(noise, False)
    assert with_hysteresis <= most
    assert without > 20 * with_hysteresis


def test_the_page_has_these_numbers() -> None:
    """docs/pads.md says how often the direction changes, with and without hysteresis, as it is counted."""
    page = (Path(__file__).parents[2] / "docs" / "pads.md").read_text(encoding="utf-8")
    first, second = ([f"{changes(noise, way):,}" for noise in (0.01, 0.02, 0.04)] for way in (True, False))
    assert f"changes direction {first[0]}, {first[1]} and {first[2]} times" in page
    assert f"with a single border {second[0]}, {second[1]} and {second[2]} times" in page
