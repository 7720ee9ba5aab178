"""What the rules look at: a plan, and what several of them need to know of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType
from typing import NamedTuple

from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.join.typed import EXTRA_USAGES, fed_state, held_usages, pairs, state_during
from matrixmap.model.layout import HostModifier
from matrixmap.model.legend import Legend
from matrixmap.model.machine import Contact, Key, ShiftState
from matrixmap.model.plan import Action, Demand, Feed, Latch, Plan, Stroke, Trigger, Way
from matrixmap.model.words import usage_name

NO_EXTRAS: frozenset[HostModifier] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Item:
    """A stroke of one host key: the ways to make it by that key, the easiest first.

    Those after a dead key are among the ways only if no single press of the key makes the stroke.

    `hold` and `lift` are masks over the contacts of the machine's modifier keys: those that the stroke closes, and
    those that are open while it is closed. Bits in neither are as the typist has them. `mask` has the bits of its
    contacts. `unlikelihood` says how unlikely its key is to be held together with others, 0 for arrows and Space. A
    `plain` one closes a single contact, holds nothing, and is made with no modifier.
    """

    usage: Usage
    ways: tuple[Way, ...]
    stroke: Stroke
    hold: int
    lift: int
    mask: int
    unlikelihood: int
    plain: bool

    @property
    def trigger(self) -> Trigger:
        """The press of the easiest way that stays down."""
        return self.ways[0][-1]


def are_plain(items: Iterable[Item]) -> bool:
    """Whether all of some strokes are plain; a loop, for it is asked thousands of times."""
    for item in items:  # noqa: SIM110
        if not item.plain:
            return False
    return True


class Press(NamedTuple):
    """A press: the way, the action, the machine's modifiers that the typist feeds meanwhile, and what is typed."""

    way: Way
    action: Action
    fed: ShiftState
    types: Legend | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A plan under check.

    `items` are its strokes by host key. `modifier_keys` are the contacts that the bits of an item's masks stand for:
    those of the machine's modifier keys, and of latches elsewhere; `feeds` says which of them each host key closes while it is down; a latch stands among the feeds. `pressed` is every
    press that can do something, alone or with a dead key before it. `keys` are the machine's keys by contact.
    """

    plan: Plan
    items: tuple[Item, ...]
    modifier_keys: tuple[Contact, ...]
    feeds: Mapping[Usage, Contact]
    pressed: tuple[Press, ...]
    keys: Mapping[Contact, Key]


def make_subject(plan: Plan) -> Subject:
    """The plan with what the rules need to know of it."""
    machine = plan.layout.machine
    feeds = _feeds(plan)
    keys = MappingProxyType({key.contact: key for key in machine.keys})
    own = [machine.key(name).contact for modifier in machine.modifiers for name in modifier.keys]
    modifier_keys = tuple(dict.fromkeys((*own, *sorted(feeds.values()))))
    return Subject(
        plan=plan,
        items=_items(plan, modifier_keys, frozenset(feeds.values())),
        modifier_keys=modifier_keys,
        feeds=feeds,
        pressed=_pressed(plan, keys),
        keys=keys,
    )


def _pressed(plan: Plan, keys: Mapping[Contact, Key]) -> tuple[Press, ...]:
    """Every press that can do something, in the order of `presses`, then those after a dead key.

    What is the same for many is worked out once.
    """
    cells: dict[tuple[Usage, int], dict[frozenset[HostModifier], Action]] = {}
    for binding in plan.bindings:
        trigger = binding.trigger
        cells.setdefault((trigger.usage, trigger.level), {})[trigger.extras] = binding.action
    sets = extras_told_apart(plan)
    fed: dict[tuple[bool, int, frozenset[HostModifier]], ShiftState] = {}
    known: dict[tuple[int, ShiftState], Legend | None] = {}
    pressed = []
    for (usage, level), actions in cells.items():
        if all(isinstance(action, Feed) for action in actions.values()):
            continue
        if not can_be_made(Trigger(usage=usage, level=level)):
            continue
        plain = actions.get(NO_EXTRAS)
        keypad = usage in KEYPAD_DIGITS
        for extras in sets:
            action = actions.get(extras, plain)
            if action is None:
                continue
            trigger = Trigger(usage=usage, level=level, extras=extras)
            held = (keypad, level, extras)
            if held not in fed:
                fed[held] = fed_state(plan, held_usages(trigger))
            cell = (id(action), fed[held])
            if cell not in known:
                known[cell] = _typed(plan, keys, action, fed[held])
            pressed.append(Press((trigger,), action, fed[held], known[cell]))
    for way, stroke in pairs(plan):
        if all(map(can_be_made, way)):
            given = fed_state(plan, held_usages(way[-1]))
            pressed.append(Press(way, stroke, given, _typed(plan, keys, stroke, given)))
    return tuple(pressed)


def _typed(plan: Plan, keys: Mapping[Contact, Key], action: Action, fed: ShiftState) -> Legend | None:
    """What the machine types for an action while the typist feeds some modifiers, as `typed_by` has it."""
    if not isinstance(action, Stroke) or len(action.contacts) != 1:
        return None
    key = keys.get(action.contacts[0])
    return key.types.get(state_during(plan.layout.machine, action, fed) & key.selectors) if key else None


def extras_told_apart(plan: Plan) -> tuple[frozenset[HostModifier], ...]:
    """The sets of Control, Alt and Meta that the plan tells apart or that feed modifiers of the machine."""
    feeding = [extra for extra, usage in EXTRA_USAGES.items() if fed_state(plan, (usage,))]
    subsets = (frozenset(subset) for count in range(len(feeding) + 1) for subset in combinations(feeding, count))
    named = {binding.trigger.extras for binding in plan.bindings}
    return tuple(sorted({*subsets, *named}, key=lambda extras: sorted(extra.value for extra in extras)))


def _feeds(plan: Plan) -> Mapping[Usage, Contact]:
    feeds = {}
    for binding in plan.bindings:
        if isinstance(binding.action, Feed | Latch):
            feeds[binding.trigger.usage] = binding.action.contact
    return MappingProxyType(feeds)


def _items(plan: Plan, modifier_keys: tuple[Contact, ...], fed: frozenset[Contact]) -> tuple[Item, ...]:
    cells: dict[tuple[Usage, Stroke], list[Way]] = {}
    masks: dict[Stroke, tuple[int, int]] = {}
    for binding in plan.bindings:
        if isinstance(binding.action, Stroke) and can_be_made(binding.trigger):
            cells.setdefault((binding.trigger.usage, binding.action), []).append((binding.trigger,))
    single = frozenset(cells)
    for way, stroke in pairs(plan):
        if (way[-1].usage, stroke) not in single and all(map(can_be_made, way)):
            cells.setdefault((way[-1].usage, stroke), []).append(way)
    items = []
    for (usage, stroke), ways in cells.items():
        if stroke not in masks:
            masks[stroke] = _masks(plan, stroke, modifier_keys, fed)
        hold, lift = masks[stroke]
        easiest = tuple(sorted(ways, key=lambda way: (len(way[-1].extras), way[-1].level)))
        press = easiest[0][-1]
        items.append(
            Item(
                usage=usage,
                ways=easiest,
                stroke=stroke,
                hold=hold,
                lift=lift,
                mask=contact_mask(stroke.contacts),
                unlikelihood=unlikelihood(easiest[0]),
                plain=len(easiest[0]) == len(stroke.contacts) == 1
                and not hold
                and press.level == 1
                and not press.extras,
            )
        )
    return tuple(items)


def can_be_made(trigger: Trigger) -> bool:
    """Whether a keyboard can give a trigger: Num Lock chooses between two levels of the keypad, and AltGr none."""
    return trigger.usage not in KEYPAD_DIGITS or trigger.level <= 2


def _masks(plan: Plan, stroke: Stroke, modifier_keys: tuple[Contact, ...], fed: frozenset[Contact]) -> tuple[int, int]:
    """Which modifier keys a stroke closes and which it keeps open; where it passes, those that no typist can close."""
    machine = plan.layout.machine
    hold = sum(1 << modifier_keys.index(contact) for contact in stroke.holds)
    lift = 0
    for modifier, demand in zip(machine.modifiers, stroke.demands, strict=True):
        for name in modifier.keys:
            contact = machine.key(name).contact
            if demand is not Demand.PASS or contact not in fed:
                lift |= 1 << modifier_keys.index(contact)
    return hold, lift & ~hold


def contact_mask(contacts: Iterable[Contact]) -> int:
    """Contacts as a mask: bit c is contact c."""
    mask = 0
    for contact in contacts:
        mask |= 1 << contact
    return mask


# How likely a host key is to be held together with others: lower is likelier. Common practice, from typing and games.
LIKELY = (
    ("Arrow", 0),
    ("Space", 0),
    ("Key", 1),
    ("Enter", 1),
    ("Digit", 2),
    ("Tab", 2),
    ("Backspace", 2),
    ("F", 4),
    ("Numpad", 5),
)


def unlikelihood(way: Way) -> int:
    """How unlikely a press is to be held together with others: 0 for arrows and Space, more for farther keys."""
    *dead, trigger = way
    name = usage_name(trigger.usage)
    base = next((rank for prefix, rank in LIKELY if name.startswith(prefix)), 3)
    shifted = 0 if trigger.usage in KEYPAD_DIGITS else trigger.level - 1
    return base + 3 * shifted + 4 * len(trigger.extras) + 12 * len(dead)
