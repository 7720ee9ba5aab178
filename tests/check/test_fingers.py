"""What is worked out without a record of each event is what playing the events comes to."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest

from matrixmap.check.counts.tally import Matrix, _count, _planes
from matrixmap.check.engine.closers import together
from matrixmap.check.engine.fingers import NO_STROKE, Finger, Fingers, Together
from matrixmap.check.engine.playing import Hands
from matrixmap.check.engine.strokes import PlanStrokes, make_strokes
from matrixmap.circuit.corners import Corners
from matrixmap.hid.usages import Usage
from matrixmap.model.press import Way
from matrixmap.press.rules import Rules
from tests.press.machines import random_plans
from tests.project import shipped_plan

SEEDS = 12
"""So many random layouts, beside the shipped ones."""

IDS = (
    "quillon8-de-DE-positional",
    "quillon8-fr-FR-symbolic",
    "ricasso12-fo-de-DE-positional",
    "langet41-en-US-symbolic",
)


@pytest.fixture(scope="module")
def plans() -> list[PlanStrokes]:
    """The strokes of shipped and of random layouts."""
    return [
        make_strokes(plan) for plan in (*map(shipped_plan, IDS), *random_plans(SEEDS, 5), *random_plans(SEEDS, 7, True))
    ]


def chosen_ways(strokes: PlanStrokes, rng: Random) -> tuple[tuple[Usage, ...], tuple[Way, ...]] | None:
    """Keys to hold, and ways of two to four strokes that can go together; None where those drawn cannot."""
    items = rng.sample(strokes.items, min(len(strokes.items), rng.randint(1, 4)))
    usages = sorted(strokes.feeds)
    held = tuple(rng.sample(usages, min(len(usages), rng.choice((0, 0, 1, 2)))))
    return (held, tuple([rng.choice(item.ways) for item in items])) if together(items) else None


def test_what_is_left_of_presses_is_what_playing_leaves(plans: list[PlanStrokes]) -> None:
    """Strokes that stay, modifiers, refusals and what is opened are those of the events, with and without the limits."""
    answered = refused = opened = 0
    for number, strokes in enumerate(plans):
        rng = Random(number)
        for rules in (strokes.rules, strokes.bare):
            hands, fingers = Hands(strokes.plan, rules), Fingers(strokes.plan, rules)
            for _ in range(150):
                drawn = chosen_ways(strokes, rng)
                held, ways = drawn or ((), ())
                first = rng.randint(0, len(ways)) if held else 0
                left = fingers.press(held, ways, first)
                if left is None:
                    continue
                played = hands.play(held, ways, first)
                usages = [way[-1].usage for way in ways]
                answered += 1
                refused += bool(left.refused)
                opened += bool(left.opened)
                assert (left.strokes, left.modifiers) == (played.standing.strokes, played.standing.modifiers)
                assert {usages[place]: cause for place, cause in left.refused} == played.refused(usages)
                assert dict(left.opened) == played.opened(usages)
    assert answered > 1_000
    assert refused > 50
    assert opened > 50


def played_orders(
    strokes: PlanStrokes, rules: Rules, held: tuple[Usage, ...], ways: tuple[Way, ...], first: int
) -> list[tuple[tuple[int, ...], int]]:
    """The orders of presses that close all strokes, by playing each."""
    hands, found = Hands(strokes.plan, rules), []
    for order in permutations(range(len(ways))):
        standing = hands.play(held, tuple([ways[number] for number in order]), first).standing
        if len(standing.strokes) == len(ways):
            found.append((order, standing.modifiers))
    return found


def test_the_orders_that_close_all_are_those_of_playing(plans: list[PlanStrokes]) -> None:
    """Guard and rollover aside, strokes stay closed together where they ask for the same modifiers at every moment."""
    some = none = none_made = 0
    for number, strokes in enumerate(plans):
        rng, rules = Random(number), strokes.bare
        fingers = Fingers(strokes.plan, rules)
        for _ in range(150):
            held, ways = chosen_ways(strokes, rng) or ((), ())
            fed = fingers.fed(held)
            before = tuple([fingers.finger(way, ()) for way in ways])
            beside = tuple([fingers.finger(way, held) for way in ways])
            if fed is None or None in before or None in beside:
                continue
            made = Together(_made(before), _made(beside), fed)
            for first in range(len(ways) + 1 if held else 1):
                at = [(before if place < first else beside)[place] for place in range(len(ways))]
                # A press that comes to a stroke at one time only has the contacts of that.
                masks = [max(each.stroke.mask for each in pair if each) for pair in zip(before, beside, strict=True)]
                none_made += NO_STROKE in at
                if len(ways) < 2 or sum(masks) != _union(masks) or not _alike(before, beside):
                    continue
                found = list(made.orders(first))
                assert found == played_orders(strokes, rules, held, ways, first)
                some += bool(found)
                none += not found
    assert some > 100
    assert none > 100
    assert none_made > 10


def _union(masks: list[int]) -> int:
    union = 0
    for mask in masks:
        union |= mask
    return union


def _made(fingers: tuple[Finger | None, ...]) -> tuple[Finger | None, ...]:
    return tuple([None if finger == NO_STROKE else finger for finger in fingers])


def _alike(before: tuple[Finger | None, ...], beside: tuple[Finger | None, ...]) -> bool:
    """Whether each press comes to one stroke at most, whenever it is made: which of two was meant is said elsewhere."""
    return all(
        one is None or other is None or one.stroke == other.stroke
        for one, other in zip(_made(before), _made(beside), strict=True)
    )


def test_contacts_that_lie_with_closed_ones_are_found_line_by_line() -> None:
    """The mask of all contacts that make a phantom with some closed ones is that of trying each."""
    rng = Random(3)
    for _ in range(1_500):
        height, width, direct = rng.randint(2, 5), rng.randint(2, 5), rng.randint(0, 2)
        row, column = (1 << width) - 1, sum(1 << select * width for select in range(height))
        corners = Corners(
            tuple(row << select * width for select in range(height)), tuple(column << sense for sense in range(width))
        )
        count = height * width + direct
        matrix = Matrix(corners, height * width, count)
        closed = sum(1 << contact for contact in rng.sample(range(count), min(height * width, rng.randint(0, 6))))
        tried = [contact for contact in range(count) if not closed >> contact & 1]
        assert matrix.lying_with(closed) == sum(1 << contact for contact in tried if matrix.lies(closed | 1 << contact))


def test_planes_count_as_the_masks_do() -> None:
    """However many masks are put together, what they have of any mask is the sum of what each has."""
    rng = Random(4)
    for count in range(40):
        masks = [rng.getrandbits(70) for _ in range(count)]
        planes, among = _planes(masks), rng.getrandbits(70)
        assert _count(planes, among) == sum((mask & among).bit_count() for mask in masks)
        assert len(planes) <= count.bit_length()
