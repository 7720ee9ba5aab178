"""Sets of modifier keys that hands hold, as masks: bit n is usage 0xE0 + n. At most one side of each modifier."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from itertools import product

from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CONTROL_LEFT,
    CONTROL_RIGHT,
    META_LEFT,
    META_RIGHT,
    MODIFIER_BITS,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Trigger

SIDES = (
    (SHIFT_LEFT, SHIFT_RIGHT),
    (CONTROL_LEFT, CONTROL_RIGHT),
    (ALT_LEFT, ALT_RIGHT),
    (META_LEFT, META_RIGHT),
)
"""The left and the right key of each modifier; if the host has AltGr, right Alt is AltGr."""

# The order in which modifiers are checked for being held without meaning.
NAMES = (
    (ALT_RIGHT, "AltGr"),
    (SHIFT_LEFT, "Shift"),
    (SHIFT_RIGHT, "Shift"),
    (ALT_LEFT, "Alt"),
    (CONTROL_LEFT, "Control"),
    (CONTROL_RIGHT, "Control"),
    (META_LEFT, "Meta"),
    (META_RIGHT, "Meta"),
)


def bit(usage: Usage) -> int:
    """The mask of one modifier key."""
    return 1 << MODIFIER_BITS[usage]


SHIFTS_AND_ALTGR = bit(SHIFT_LEFT) | bit(SHIFT_RIGHT) | bit(ALT_RIGHT)


def _choices(altgr: bool) -> Iterator[tuple[int, ...]]:
    for left, right in SIDES:
        if altgr and right == ALT_RIGHT:
            yield 0, bit(left)
            yield 0, bit(right)
        else:
            yield 0, bit(left), bit(right)


@cache
def hold_sets(altgr: bool) -> tuple[int, ...]:
    """Every set, the fewest keys first; with `altgr`, right Alt is a modifier of its own."""
    found = (sum(chosen) for chosen in product(*_choices(altgr)))
    return tuple(sorted(found, key=lambda held: (held.bit_count(), held)))


def with_one_fewer(held: int, altgr: bool) -> Iterator[tuple[str, int]]:
    """The sets with one key less, each with the name of its modifier."""
    for usage, name in NAMES:
        if held & bit(usage):
            yield name if altgr or usage != ALT_RIGHT else "Alt", held ^ bit(usage)


def without_sides(sets: Iterable[int], altgr: bool) -> tuple[tuple[int, int], ...]:
    """Sets with the same effect; those that differ only in a side are merged.

    A merged entry has the left key, and a mask of the keys for which either side works.
    """
    found = dict.fromkeys((held, 0) for held in sets)
    for left, right in SIDES:
        if altgr and right == ALT_RIGHT:
            continue
        low, high = bit(left), bit(right)
        for held, either in list(found):
            other = (held ^ low ^ high, either)
            if held & low and not held & high and other in found:
                del found[held, either], found[other]
                found[held, either | low] = None
    return tuple(found)


def held_for(trigger: Trigger, keypad: bool, altgr: bool) -> tuple[int, ...]:
    """The sets that make a trigger of a key, left keys first; for the digits of the keypad, the level needs none."""
    choices: list[tuple[int, ...]] = []
    if not keypad:
        choices += [(bit(SHIFT_LEFT), bit(SHIFT_RIGHT))] * (trigger.level in (2, 4))
        choices += [(bit(ALT_RIGHT),)] * (trigger.level in (3, 4))
    sides = {
        HostModifier.CONTROL: (CONTROL_LEFT, CONTROL_RIGHT),
        HostModifier.ALT: (ALT_LEFT,) if altgr else (ALT_LEFT, ALT_RIGHT),
        HostModifier.META: (META_LEFT, META_RIGHT),
    }
    choices += [tuple(map(bit, sides[extra])) for extra in HostModifier if extra in trigger.extras]
    sets = [sum(chosen) for chosen in product(*choices)]
    known = hold_sets(altgr)
    return tuple(held for held in sets if held in known)
