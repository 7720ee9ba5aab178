"""Presses of a plan as triggers, and the left keys that hands hold for them: what the scripts of the comparison are made of."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, combinations

from matrixmap.hid.usages import ALT_LEFT, ALT_RIGHT, CONTROL_LEFT, KEYPAD_DIGITS, META_LEFT, SHIFT_LEFT, Usage
from matrixmap.model.layout import HostModifier
from matrixmap.model.machine import ShiftState
from matrixmap.model.plan import Feed, Plan, Trigger

EXTRA_USAGES = {HostModifier.CONTROL: CONTROL_LEFT, HostModifier.ALT: ALT_LEFT, HostModifier.META: META_LEFT}


def held_usages(press: Trigger) -> tuple[Usage, ...]:
    """The host modifier keys, the left ones, that a typist holds for a trigger."""
    held = [EXTRA_USAGES[extra] for extra in HostModifier if extra in press.extras]
    if press.usage not in KEYPAD_DIGITS:
        held += [SHIFT_LEFT] * (press.level in (2, 4)) + [ALT_RIGHT] * (press.level in (3, 4))
    return tuple(held)


def fed_state(plan: Plan, held: tuple[Usage, ...]) -> ShiftState:
    """The machine modifiers that held host keys feed."""
    actions = (plan.by_trigger.get(Trigger(usage=usage, level=1)) for usage in held)
    return frozenset(action.modifier for action in actions if isinstance(action, Feed))


def presses(plan: Plan) -> Iterator[Trigger]:
    """Every press that can do something.

    Each bound usage and level, with every set of Control, Alt and Meta that the plan tells apart or that feeds a
    machine modifier.
    """
    feeding = [extra for extra, usage in EXTRA_USAGES.items() if fed_state(plan, (usage,))]
    named = {binding.trigger.extras for binding in plan.bindings}
    subsets = chain.from_iterable(combinations(feeding, count) for count in range(len(feeding) + 1))
    every = sorted({*map(frozenset, subsets), *named}, key=lambda extras: sorted(extra.value for extra in extras))
    cells = {
        (binding.trigger.usage, binding.trigger.level): None
        for binding in plan.bindings
        if not isinstance(binding.action, Feed)
    }
    for usage, level in cells:
        for extras in every:
            press = Trigger(usage=usage, level=level, extras=extras)
            if plan.lookup(press) is not None:
                yield press
