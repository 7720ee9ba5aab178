"""Dead keys: which triggers wait for the next key, and what each pair types."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from enum import Enum
from types import MappingProxyType

from matrixmap.hid.usages import CAPS_LOCK, MODIFIER_BITS, NUM_LOCK, SCROLL_LOCK
from matrixmap.join.symbolic import StrokeMaker, find_offers, levels_of
from matrixmap.model.layout import Join, Layout
from matrixmap.model.legend import Legend
from matrixmap.model.plan import Binding, DeadKeys, Plan, Stroke, Trigger
from matrixmap.model.words import usage_name

KEEPING = frozenset({*MODIFIER_BITS, CAPS_LOCK, NUM_LOCK, SCROLL_LOCK})
"""Usages that leave a dead key pending: modifiers and locks."""

DROPPING = frozenset({"Backspace", "Escape"})
"""Functions that cancel a dead key and do nothing else."""


def join_dead_keys(layout: Layout, bindings: Mapping[Trigger, Binding], stand_ins: Set[Trigger]) -> DeadKeys:
    """The dead keys of a symbolic layout.

    A trigger with a line in the layout does only what that line says. A trigger with another legend as its stand-in is
    no dead key.
    """
    if layout.join is Join.POSITIONAL:
        return DeadKeys(triggers=MappingProxyType({}), accents=MappingProxyType({}), pairs=MappingProxyType({}))
    cells = {
        trigger: legend
        for usage, key in layout.host.keys.items()
        for level in levels_of(layout, usage)
        if (legend := key.at(level)) and not _has_own_line(bindings, trigger := Trigger(usage=usage, level=level))
    }
    triggers = {trigger: legend.text for trigger, legend in cells.items() if legend.dead and trigger not in stand_ins}
    offers = find_offers(layout)
    strokes = StrokeMaker(layout)
    used = sorted(set(triggers.values()))
    accents = {accent: stroke for accent in used if (stroke := strokes.find(offers, Legend(accent)))}
    pairs = {
        (accent, trigger.usage, trigger.level): stroke
        for accent in used
        # Few of some hundred legends are composed, so the others are left out at once.
        for made in [layout.host.composes.get(accent, {})]
        for trigger, legend in cells.items()
        if legend.text in made
        and (composed := _composed(made, accent, legend))
        and (stroke := strokes.find(offers, composed))
    }
    return DeadKeys(
        triggers=MappingProxyType(triggers), accents=MappingProxyType(accents), pairs=MappingProxyType(pairs)
    )


def _has_own_line(bindings: Mapping[Trigger, Binding], trigger: Trigger) -> bool:
    binding = bindings.get(trigger)
    return binding is not None and binding.place is not None


def _composed(made: Mapping[str, str], accent: str, legend: Legend) -> Legend | None:
    """The character that an accent makes of a legend, by its compositions; a dead key composes only with itself."""
    if not legend.is_character or (legend.dead and legend.text != accent):
        return None
    if not legend.dead and legend.text == accent:
        return None  # the pair of the accent with itself is the dead key pressed twice
    result = made.get(legend.text)
    return Legend(result) if result else None


class Ending(Enum):
    """What a press that forms no pair does with a pending dead key."""

    ACCENT_FIRST = "types the accent, then acts"
    KEEPS = "leaves it pending and acts"
    TAKES_BACK = "takes it back, and no more"
    DROPS = "drops it and acts"


def ending(plan: Plan, press: Trigger) -> Ending:
    """What a press that does something does with a pending dead key, if the two form no pair."""
    if press.usage in KEEPING:
        return Ending.KEEPS
    key = plan.layout.host.keys.get(press.usage)
    legend = key.at(press.level) if key else None
    if press.extras or legend is None:
        return Ending.DROPS
    if legend.is_character:
        return Ending.ACCENT_FIRST
    return Ending.TAKES_BACK if legend.text in DROPPING else Ending.DROPS


def pairs(plan: Plan) -> Iterator[tuple[tuple[Trigger, Trigger], Stroke]]:
    """Every press after a dead key that types its own character, with its stroke: after the easiest such dead key."""
    dead: dict[str, Trigger] = {}
    for press, accent in sorted(plan.dead_keys.triggers.items(), key=lambda item: ease(item[0])):
        dead.setdefault(accent, press)
    for (accent, usage, level), stroke in plan.dead_keys.pairs.items():
        yield (dead[accent], Trigger(usage=usage, level=level)), stroke


def ease(press: Trigger) -> tuple[int, bool, int, tuple[int, int, tuple[str, ...]]]:
    """A sort key that puts the easiest presses first."""
    keypad = usage_name(press.usage).startswith("Numpad")
    return len(press.extras), keypad, press.level, press.sort_key()
