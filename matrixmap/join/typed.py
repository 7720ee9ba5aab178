"""What the machine types for a press, with the typist's own modifiers taken into account."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, combinations

from matrixmap.hid.usages import ALT_LEFT, ALT_RIGHT, CONTROL_LEFT, KEYPAD_DIGITS, META_LEFT, SHIFT_LEFT, Usage
from matrixmap.join.dead import ease, pairs
from matrixmap.model.layout import HostModifier
from matrixmap.model.legend import Legend
from matrixmap.model.machine import Machine, ShiftState
from matrixmap.model.plan import Demand, Feed, Plan, Stroke, Trigger, Way

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


def state_during(machine: Machine, stroke: Stroke, fed: ShiftState) -> ShiftState:
    """The machine modifiers that are held while a stroke is closed and the typist feeds some."""
    pairs = zip(machine.modifiers, stroke.demands, strict=True)
    return frozenset(
        modifier.name
        for modifier, demand in pairs
        if demand is Demand.HOLD or (demand is Demand.PASS and modifier.name in fed)
    )


def typed_by(plan: Plan, press: Trigger) -> Legend | None:
    """What the machine types when a typist holds the modifiers of a trigger and presses its key.

    None where the press does nothing, closes several keys, or the machine's table has no entry for the state.
    """
    action = plan.lookup(press)
    return typed_by_stroke(plan, action, press) if isinstance(action, Stroke) else None


def typed_by_stroke(plan: Plan, action: Stroke, press: Trigger) -> Legend | None:
    """What the machine types for a stroke while a typist holds the modifiers of a trigger."""
    return typed_when(plan, action, fed_state(plan, held_usages(press)))


def typed_when(plan: Plan, action: Stroke, fed: ShiftState) -> Legend | None:
    """What the machine types for a stroke while the typist feeds some of its modifiers."""
    machine = plan.layout.machine
    if len(action.contacts) != 1:
        return None
    key = next((key for key in machine.keys if key.contact == action.contacts[0]), None)
    if key is None:
        return None
    return key.types.get(state_during(machine, action, fed) & key.selectors)


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


def ways_to_type(plan: Plan) -> dict[str, tuple[Way, ...]]:
    """Character or function -> the ways to type it, the easiest first: single presses, then after a dead key.

    Further modifiers that change nothing are left out. Easiest: fewest further modifiers, not on the keypad, which small keyboards lack, lowest level, then by usage.
    """
    ways: dict[str, list[Way]] = {}
    named = {binding.trigger for binding in plan.bindings}
    for press in presses(plan):
        legend = typed_by(plan, press)
        plain = Trigger(usage=press.usage, level=press.level)
        needless = press.extras and press not in named and legend == typed_by(plan, plain)
        if legend is not None and not needless:
            ways.setdefault(legend.text, []).append((press,))
    for way, stroke in pairs(plan):
        legend = typed_by_stroke(plan, stroke, way[-1])
        if legend is not None:
            ways.setdefault(legend.text, []).append(way)
    return {text: tuple(sorted(found, key=_ease_of_way)) for text, found in ways.items()}


def _ease_of_way(way: Way) -> tuple[object, ...]:
    return len(way), *(ease(press) for press in reversed(way))
