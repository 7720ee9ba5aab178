"""Which presses a person can be asked for, and which contacts each asks to be closed, from start to release."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from matrixmap.hid.usages import ALT_RIGHT, Usage
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress
from matrixmap.press.every import Every
from matrixmap.press.how_to_type import key_press
from matrixmap.press.rules import REST, STROKES, Rules, Standing
from matrixmap.press.words import press_words

MOST_HELD = 1
"""Presses for which more keys have to be held are not asked for: a person holds one key and presses another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """A press that can be asked for: the keys, in words, and the masks of contacts that are asked for in turn, from 0 back to 0."""

    press: KeyPress
    words: str
    asks: tuple[int, ...]


def presses_of(plan: Plan) -> tuple[Press, ...]:
    """The presses of a layout that are worth asking for, the easiest first. TableError if no table can hold the plan.

    Left out are those that type nothing that shows at all times, and those that type what an easier one types and ask for no contact that none before
    asks for.
    """
    every = Every(Rules(plan))
    host = plan.layout.host
    found: dict[str, Press] = {}
    texts: set[tuple[str, ...]] = set()
    contacts = 0
    for press in sorted(_all(every), key=KeyPress.ease):
        asks, text = asked(every.rules, press)
        fresh = 0
        for mask in asks:
            fresh |= mask & ~contacts
        words = press_words(host, press)
        if _shows(plan.layout.machine, text) and words not in found and (fresh or text not in texts):
            contacts |= fresh
            texts.add(text)
            found[words] = Press(press=press, words=words, asks=asks)
    return tuple(found.values())


def _shows(machine: Machine, text: tuple[str, ...]) -> bool:
    """Whether a right board shows something, and the same at all times."""
    return not set(text) <= set(machine.unseen) and not set(text) & set(machine.seen_at_times)


def _all(every: Every) -> Iterator[KeyPress]:
    """Each key with each set of modifiers that the host's own keys give, no lock being on."""
    altgr = every.plan.layout.host.has_altgr
    seen: set[tuple[Usage, int]] = set()
    for pressed in every.single:
        if pressed.locks or pressed.done.kind not in STROKES or pressed.done.refused or not pressed.key.usual:
            continue
        fewest = every.classes[pressed.hold].sets[0].bit_count()
        own = every.mask_of({pressed.key.usage}.intersection(every.holding))
        sets = [held for held in every.classes[pressed.hold].sets if held.bit_count() == fewest and not held & own]
        for held, either in every.without_sides(sets) if fewest <= MOST_HELD else ():
            if (pressed.key.usage, held) not in seen and not (altgr and ALT_RIGHT in every.usages_of(either)):
                seen.add((pressed.key.usage, held))
                yield key_press(every, pressed.key, pressed.level, held, either)


def asked(rules: Rules, press: KeyPress) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """The masks that a press asks for, each another than the one before, and what the key types in the end.

    They are nothing, what is held for it, the key, nothing.
    """
    standing, masks = REST, [0]
    for usage in press.hold:
        standing, _ = _down(rules, standing, usage, masks)
    standing, typed = _down(rules, standing, press.usage, masks)
    last = rules.closed(rules.let_all_go(standing))
    return (*masks, *([last] if masks[-1] != last else [])), typed


def _down(rules: Rules, standing: Standing, usage: Usage, masks: list[int]) -> tuple[Standing, tuple[str, ...]]:
    outcome = rules.press(standing, usage)
    for mask in outcome.moments:
        if mask != masks[-1]:
            masks.append(mask)
    return outcome.after, tuple(one.legend.text for one in rules.types(outcome) if one.legend is not None)


def in_other_layout(rules: Rules, presses: tuple[Press, ...]) -> tuple[tuple[int, ...], ...]:
    """What the same keys ask for where another layout is in the chip."""
    return tuple(asked(rules, press.press)[0] for press in presses)


def by_words(presses: tuple[Press, ...]) -> Mapping[str, int]:
    """The number of each press by its words, and by its words in small letters where no other press has these."""
    found = {press.words: number for number, press in enumerate(presses)}
    lower: dict[str, list[int]] = {}
    for number, press in enumerate(presses):
        lower.setdefault(press.words.lower(), []).append(number)
    return {**{words: numbers[0] for words, numbers in lower.items() if len(numbers) == 1}, **found}
