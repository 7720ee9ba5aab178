"""What can a layout not type on a keyboard that lacks some keys? Characters and functions, with the missing keys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress
from matrixmap.press.every import SIDES
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.press.keyboard import same_key


@dataclass(frozen=True, slots=True, kw_only=True)
class Untypable:
    """A character or function of the machine that cannot be typed.

    `lacks` are the keys missing for the easiest way; empty if the layout types it with no key at all.
    """

    text: str
    lacks: tuple[Usage, ...]


def untypable(plan: Plan, keys: frozenset[Usage]) -> tuple[Untypable, ...]:
    """The characters and functions of the machine that the layout cannot type with only these host keys.

    In the order of the machine's keys, each once.
    """
    ways = ways_to_type(plan)
    texts = dict.fromkeys(legend.text for key in plan.layout.machine.keys for legend in key.types.values())
    found = []
    for text in texts:
        lacks = [
            tuple(dict.fromkeys(usage for press in way for usage in _lacking(press, keys)))
            for way in ways.get(text, ())
        ]
        if all(lacks):
            found.append(Untypable(text=text, lacks=lacks[0] if lacks else ()))
    return tuple(found)


def keys_needed(press: KeyPress) -> Iterator[tuple[Usage, ...]]:
    """What a press needs: one host key of each tuple."""
    yield same_key(press.usage)
    for usage in press.hold:
        yield next(pair for pair in SIDES if usage in pair) if usage in press.either else (usage,)
    for usage in press.on:
        yield same_key(usage)


def _lacking(press: KeyPress, keys: frozenset[Usage]) -> Iterator[Usage]:
    """The missing keys of a press; of a left and a right key, the left one if both are missing."""
    for choice in keys_needed(press):
        if not keys.intersection(choice):
            yield press.usage if press.usage in choice else choice[0]
