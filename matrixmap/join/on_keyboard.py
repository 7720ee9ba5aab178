"""What a layout cannot type on a keyboard that lacks some keys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CONTROL_LEFT,
    CONTROL_RIGHT,
    KEYPAD_DIGITS,
    META_LEFT,
    META_RIGHT,
    NUM_LOCK,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.join.typed import ways_to_type
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Plan, Trigger

SIDES = {
    HostModifier.CONTROL: (CONTROL_LEFT, CONTROL_RIGHT),
    HostModifier.ALT: (ALT_LEFT, ALT_RIGHT),
    HostModifier.META: (META_LEFT, META_RIGHT),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Untypable:
    """A character or function of the machine that cannot be typed.

    `lacks` are the keys whose absence prevents the easiest way; none where the layout reaches it from no key at all.
    """

    text: str
    lacks: tuple[Usage, ...]


def untypable(plan: Plan, keys: frozenset[Usage]) -> tuple[Untypable, ...]:
    """The characters and functions of the machine that the layout cannot type with these host keys alone.

    In the order of the machine's keys, each once.
    """
    ways = ways_to_type(plan)
    texts = dict.fromkeys(legend.text for key in plan.layout.machine.keys for legend in key.types.values())
    found = []
    for text in texts:
        lacks = [
            tuple(dict.fromkeys(usage for press in way for usage in _lacking(plan, press, keys)))
            for way in ways.get(text, ())
        ]
        if all(lacks):
            found.append(Untypable(text=text, lacks=lacks[0] if lacks else ()))
    return tuple(found)


def _lacking(plan: Plan, press: Trigger, keys: frozenset[Usage]) -> Iterator[Usage]:
    """The keys of a press that are not there; of a left and a right key, the left one where both are missing."""
    alt_right = () if plan.layout.host.has_altgr else (ALT_RIGHT,)
    needed: list[tuple[Usage, ...]] = [(press.usage,)]
    if press.usage in KEYPAD_DIGITS:
        # Num Lock is on at the start, so that only its other state needs the key.
        needed += [(NUM_LOCK,)] if press.level == 2 else []
    else:
        needed += [(SHIFT_LEFT, SHIFT_RIGHT)] if press.level in (2, 4) else []
        needed += [(ALT_RIGHT,)] if press.level in (3, 4) else []
    for extra in HostModifier:
        if extra in press.extras:
            needed.append((ALT_LEFT, *alt_right) if extra is HostModifier.ALT else SIDES[extra])
    for choice in needed:
        if not keys.intersection(choice):
            yield choice[0]
