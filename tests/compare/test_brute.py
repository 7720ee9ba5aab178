"""What a comparison tells of presses and texts, against both tables played by the compiled C."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, assume, example, given, settings

from matrixmap.compare.items.presses import PressChange, pair_changes, press_changes
from matrixmap.compare.sides.held import SIDES, bit, hold_sets
from matrixmap.compare.sides.outcomes import Does, Outcome
from matrixmap.compare.sides.pair import Pair
from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CAPS_LOCK,
    CONTROL_LEFT,
    MODIFIER_BITS,
    NUM_LOCK,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress
from tests.compare import brute
from tests.compare.brute import Player

ASKED = tuple(map(Usage, (0x04, 0x05, 0x08, 0x1E, 0x2E, 0x28, 0x2C, 0x3A, 0x31, 0x32, 0x5F)))
"""A, B, E, 1, =, Enter, Space, F1, both usages of Backslash, keypad 7."""

HELD = (CONTROL_LEFT, SHIFT_LEFT, ALT_LEFT, SHIFT_RIGHT, ALT_RIGHT)
SHIFTS = bit(SHIFT_LEFT) | bit(SHIFT_RIGHT)

few = settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck))


def usages_of(mask: int) -> tuple[Usage, ...]:
    return tuple(usage for usage, number in MODIFIER_BITS.items() if mask >> number & 1)


def masks_of(press: KeyPress) -> Iterator[int]:
    """Every set of held keys that a press stands for."""
    masks = [sum(map(bit, press.hold))]
    for left, right in SIDES:
        if left in press.either:
            masks += [mask ^ bit(left) ^ bit(right) for mask in masks]
    yield from masks


def texts(outcome: Outcome) -> tuple[str, ...] | None:
    """What an outcome says is typed; None where the machine's file does not say what is."""
    if outcome.does is Does.TYPES:
        return (outcome.text,)
    return None if outcome.does in (Does.PRESSES, Does.TYPES_MORE) else ()


def agree(outcome: Outcome, typed: tuple[str, ...]) -> bool:
    """Whether an outcome is what was typed."""
    said = texts(outcome)
    return said == typed if said is not None else len(typed) > 1 or typed == ("?",)


def tells_what_changes(pair: Pair, players: tuple[Player, Player]) -> None:
    """Each press that types something else is told, with a breaking change if Shift at most is held; no other is told so."""
    told: dict[Usage, list[tuple[int, PressChange]]] = {}
    for change in press_changes(pair):
        for (press,) in change.presses:
            for mask in masks_of(press) if not set(press.on) - {NUM_LOCK} else ():
                told.setdefault(press.usage, []).append((mask, change))
                num_off = (((), NUM_LOCK),) if press.on else ()
                before, after = (player.typed(usages_of(mask), press.usage, num_off) for player in players)
                assert agree(change.before, before), (press, change, before)
                assert agree(change.after, after), (press, change, after)
    for usage in ASKED:
        for held in hold_sets(pair.altgr):
            if set(usages_of(held)) - set(HELD):
                continue
            before, after = (player.typed(usages_of(held), usage) for player in players)
            if before and before != after:
                found = [
                    change
                    for mask, change in told.get(usage, ())
                    if not mask & ~held and agree(change.before, before) and agree(change.after, after)
                ]
                assert found, (usage, usages_of(held), before, after)
                assert held & ~SHIFTS or any(change.breaking for change in found), (usage, held, found)


def typed_by(player: Player, plan: Plan) -> set[str]:
    """Everything that some press types exactly, with locks and after dead keys."""
    altgr = plan.layout.host.has_altgr
    sets = [held for held in hold_sets(altgr) if not set(usages_of(held)) - set(HELD)]
    presses = [(usages_of(held), usage) for held in sets for usage in ASKED]
    found = {player.typed(*press) for press in presses}
    for lock in (CAPS_LOCK, NUM_LOCK):
        found |= {player.typed(held, usage, (((), lock),)) for held, usage in presses}
    equal = Usage(0x2E), Usage(0x04)
    dead = [press for press in presses if press[1] in equal and not set(press[0]) & {CONTROL_LEFT, ALT_LEFT}]
    for press in dead:
        for held, usage in presses:
            if len(press[0]) < 2 and not set(held) & {CONTROL_LEFT, ALT_LEFT}:
                found |= {player.typed(held, usage, (press,))}
    return {some[0] for some in found if len(some) == 1} - {"?", "refused"}


def check(plans: brute.TwoSmallPlans) -> None:
    assume(plans.old is not None and plans.new is not None)
    assert plans.old
    assert plans.new
    pair = Pair(plans.old, plans.new)
    players = Player(plans.old), Player(plans.new)
    tells_what_changes(pair, players)
    for ways, player in zip((pair.old_ways, pair.new_ways), players, strict=True):
        assert set(ways) == typed_by(player, player.plan)
    pair_changes(pair)


READ_IN_TURN = {
    "swap": (0, 0),
    "shift": "shift, shift-r",
    "graph": "â",
    "upper": "B",
    "rollover": "",
    "a": "a, A",
    "equal": "{dead: '^'}",
    "caps": "",
    "composes": "aâ eê space^ ^^",
    "join": "symbolic",
    "keys": "{F1: a + b}",
    "pass": "{Alt: graph}",
    "types": "{a: e}",
    "guard": "off",
    "resume": "",
    "keyboards": "",
}
"""Two keys at once, of which the machine reads first the one that stands first in the grid."""


@few
@given(brute.two_small_plans())
@example(brute.TwoSmallPlans(READ_IN_TURN, {"swap": (0, 1)}))
def test_what_is_told_is_what_the_runtime_does(plans: brute.TwoSmallPlans) -> None:
    """Presses that type something else are told and no others, and what can be typed is what the C types."""
    check(plans)


@pytest.mark.campaign
@settings(few, max_examples=500)
@given(brute.two_small_plans())
def test_many_small_projects(plans: brute.TwoSmallPlans) -> None:
    """The same for many more projects."""
    check(plans)
