"""The orders of presses that are walked press by press are those that playing each whole order finds."""

from __future__ import annotations

from itertools import permutations
from random import Random

from matrixmap.check.engine.playing import Hands, Walk
from matrixmap.check.engine.strokes import Item, make_strokes
from matrixmap.hid.usages import Usage
from matrixmap.model.press import Way
from matrixmap.press.rules import Held
from matrixmap.press.table.make import TableError
from tests.press.machines import random_plans

MOST_AT_ONCE = 4
DRAWN = 40


def by_whole_orders(
    hands: Hands, held: tuple[Usage, ...], ways: tuple[Way, ...], first: int, wanted: frozenset[Held], fed: int
) -> tuple[tuple[int, ...], int] | None:
    """The first order that closes what is wanted, each order played from rest."""
    for order in permutations(range(len(ways))):
        standing = hands.play(held, tuple(ways[number] for number in order), first).standing
        if set(standing.strokes) == wanted and not fed & ~standing.modifiers:
            return order, standing.modifiers
    return None


def test_a_walk_finds_the_first_order() -> None:
    """With and without keys held throughout, sequences and dead keys, a walk and playing each order agree."""
    found, in_vain = 0, 0
    for number, plan in enumerate(random_plans(30, 7, sequences=True)):
        try:
            strokes = make_strokes(plan)
        except TableError:
            continue
        chosen = Random(number)
        items: list[Item] = [item for item in strokes.items if item.ways]
        feeders = sorted(strokes.feeds)
        hands = Hands(plan, strokes.bare)
        for _ in range(DRAWN):
            together = chosen.sample(items, min(len(items), chosen.randint(1, MOST_AT_ONCE)))
            held = tuple(chosen.sample(feeders, min(len(feeders), chosen.randint(0, 2))))
            ways = tuple(chosen.choice(item.ways) for item in together)
            first = chosen.randint(0, len(ways)) if held else 0
            wanted = frozenset(item.held for item in together)
            walked = Walk(hands, held, ways, first, wanted, 0).standing_at_the_end()
            assert walked == by_whole_orders(hands, held, ways, first, wanted, 0), (number, together, held, first)
            found += walked is not None
            in_vain += walked is None
    assert found > 100
    assert in_vain > 100
