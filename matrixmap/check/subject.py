"""What the rules look at: a plan, and what several of them need to know of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CONTROL_LEFT,
    CONTROL_RIGHT,
    KEYPAD_DIGITS,
    META_LEFT,
    META_RIGHT,
    MODIFIER_BITS,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.join.dead import after_dead_key
from matrixmap.join.typed import EXTRA_USAGES, ease, pairs, typed_when
from matrixmap.model.host import CapsLock
from matrixmap.model.layout import HostModifier
from matrixmap.model.legend import Legend
from matrixmap.model.machine import PLAIN, Contact, Key, ShiftState
from matrixmap.model.plan import Action, Demand, Feed, Latch, Plan, Stroke, Trigger, Way
from matrixmap.model.words import usage_name

SIDES = {
    HostModifier.CONTROL: (CONTROL_LEFT, CONTROL_RIGHT),
    HostModifier.ALT: (ALT_LEFT, ALT_RIGHT),
    HostModifier.META: (META_LEFT, META_RIGHT),
}
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
    """A press: the way, the action, the host keys held or turned on meanwhile, what they feed, and what is typed."""

    way: Way
    action: Action
    held: tuple[Usage, ...]
    fed: ShiftState
    types: Legend | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A plan under check.

    `items` are its strokes by host key. `modifier_keys` are the contacts that the bits of an item's masks stand for:
    those of the machine's modifier keys, and of latches elsewhere; `feeds` says which of them each host key closes while it is down; a latch stands among the feeds. `pressed` is every
    press that can do something, alone or after a dead key, with all that can be held meanwhile. `keys` are the machine's keys by contact.
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
    own = [machine.key(name).contact for modifier in machine.modifiers for name in modifier.keys]
    modifier_keys = tuple(dict.fromkeys((*own, *sorted(feeds.values()))))
    return Subject(
        plan=plan,
        items=_items(plan, modifier_keys, frozenset(feeds.values())),
        modifier_keys=modifier_keys,
        feeds=feeds,
        pressed=_pressed(plan, feeds),
        keys=MappingProxyType({key.contact: key for key in machine.keys}),
    )


class _Hold(NamedTuple):
    """Host keys that are held or turned on together: the level and further modifiers they choose, and what they feed."""

    usages: tuple[Usage, ...]
    shift: bool
    altgr: bool
    extras: frozenset[HostModifier]
    fed: ShiftState

    @property
    def level(self) -> int:
        return 1 + self.shift + 2 * self.altgr


def _holds(plan: Plan, feeds: Mapping[Usage, Contact]) -> tuple[_Hold, ...]:
    """Every way to hold host keys that makes a difference to a press, each once, by the fewest and most usual keys."""
    machine, altgr = plan.layout.machine, plan.layout.host.has_altgr
    modifier_of = {machine.key(name).contact: each.name for each in machine.modifiers for name in each.keys}
    named = {EXTRA_USAGES[extra] for binding in plan.bindings for extra in binding.trigger.extras}
    choosing = {*feeds, *named, SHIFT_LEFT, *([ALT_RIGHT] if altgr else [])}
    among = sorted(choosing, key=lambda usage: (usage not in MODIFIER_BITS, usage))
    found: dict[tuple[bool, bool, frozenset[HostModifier], ShiftState], _Hold] = {}
    # One key after the other, for the subsets of many keys that feed one modifier would be too many.
    holds = [_Hold((), False, False, NO_EXTRAS, PLAIN)]
    for usage in among:
        name = modifier_of.get(feeds[usage]) if usage in feeds else None
        chooses = altgr and usage == ALT_RIGHT
        for hold in list(holds):
            wider = _Hold(
                usages=(*hold.usages, usage),
                shift=hold.shift or usage in (SHIFT_LEFT, SHIFT_RIGHT),
                altgr=hold.altgr or chooses,
                extras=hold.extras | frozenset(extra for extra, keys in SIDES.items() if usage in keys and not chooses),
                fed=hold.fed | {name} if name else hold.fed,
            )
            cell = wider[1:]
            if cell not in found or _effort(wider) < _effort(found[cell]):
                found[cell] = wider
        found.setdefault(holds[0][1:], holds[0])
        holds = sorted(found.values(), key=_effort)
    return tuple(sorted(holds, key=lambda hold: sorted(extra.value for extra in hold.extras)))


def _effort(hold: _Hold) -> tuple[int, list[tuple[bool, Usage]]]:
    """Fewest keys first; of as many, those that are modifiers on every keyboard."""
    return len(hold.usages), [(usage not in MODIFIER_BITS, usage) for usage in hold.usages]


def _pressed(plan: Plan, feeds: Mapping[Usage, Contact]) -> tuple[Press, ...]:
    """Every press that can do something, then those after a dead key. What is the same for many is worked out once."""
    holds = _holds(plan, feeds)
    known: dict[tuple[int, ShiftState], Legend | None] = {}

    def pressed(way: Way, action: Action, hold: _Hold) -> Press:
        cell = (id(action), hold.fed)
        if cell not in known:
            known[cell] = typed_when(plan, action, hold.fed) if isinstance(action, Stroke) else None
        return Press(way, action, hold.usages, hold.fed, known[cell])

    found = [pressed((trigger,), action, hold) for trigger, action, hold in _single(plan, holds)]
    dead = {accent: trigger for trigger, accent in reversed(_by_ease(plan))}
    for way, stroke in pairs(plan):
        if all(map(can_be_made, way)):
            found += [pressed(way, stroke, hold) for hold in _choosing(plan, holds, way[-1]) if not hold.extras]
    for accent, stroke in plan.dead_keys.accents.items():
        for hold, trigger in _without_pair(plan, holds, accent):
            found.append(pressed((dead[accent], trigger), stroke, hold))
    return tuple(found)


def _by_ease(plan: Plan) -> list[tuple[Trigger, str]]:
    return sorted(plan.dead_keys.triggers.items(), key=lambda item: ease(item[0]))


def _single(plan: Plan, holds: tuple[_Hold, ...]) -> Iterator[tuple[Trigger, Action, _Hold]]:
    """Every press of one key, with what it does while host keys are held."""
    cells: dict[tuple[Usage, int], dict[frozenset[HostModifier], Action]] = {}
    feeding = feeding_usages(plan)
    for binding in plan.bindings:
        trigger = binding.trigger
        if trigger.usage not in feeding and can_be_made(trigger):
            cells.setdefault((trigger.usage, trigger.level), {})[trigger.extras] = binding.action
    for (usage, level), actions in cells.items():
        for hold in _choosing(plan, holds, Trigger(usage=usage, level=level)):
            action = actions.get(hold.extras, actions.get(NO_EXTRAS))
            if action is not None and usage not in hold.usages:
                yield Trigger(usage=usage, level=level, extras=hold.extras), action, hold


def _choosing(plan: Plan, holds: tuple[_Hold, ...], press: Trigger) -> list[_Hold]:
    """What may be held for a press: any on the keypad, else what chooses its level, with Caps Lock on or off."""
    if press.usage in KEYPAD_DIGITS:
        return list(holds)
    wanted = [hold for hold in holds if hold.level == press.level]
    key = plan.layout.host.keys.get(press.usage)
    swapped = CapsLock.ALTGR if press.level > 2 else CapsLock.SHIFT
    if plan.caps_lock and key and key.caps in (swapped, CapsLock.BOTH):
        other = press.level + (1 if press.level % 2 else -1)
        wanted += [hold for hold in holds if hold.level == other and HostModifier.CONTROL not in hold.extras]
    return wanted


def _without_pair(plan: Plan, holds: tuple[_Hold, ...], accent: str) -> Iterator[tuple[_Hold, Trigger]]:
    """For all that can be held, one press before which the accent of a pending dead key is typed by itself."""
    bound = dict.fromkeys((binding.trigger.usage, binding.trigger.level) for binding in plan.bindings)
    cells = [Trigger(usage=usage, level=level) for usage, level in bound]
    for hold in holds:
        for press in cells if not hold.extras else ():
            if press.usage in hold.usages or not can_be_made(press) or hold not in _choosing(plan, holds, press):
                continue
            after = after_dead_key(plan, accent, press)
            if after.strokes and after.acts:
                yield hold, press
                break


def feeding_usages(plan: Plan) -> frozenset[Usage]:
    """The host keys that are modifiers of the machine, whatever else is said of them at other levels."""
    return frozenset(binding.trigger.usage for binding in plan.bindings if isinstance(binding.action, Feed))


def _feeds(plan: Plan) -> Mapping[Usage, Contact]:
    feeds = {}
    for binding in plan.bindings:
        if isinstance(binding.action, Feed | Latch):
            feeds[binding.trigger.usage] = binding.action.contact
    return MappingProxyType(feeds)


def _items(plan: Plan, modifier_keys: tuple[Contact, ...], fed: frozenset[Contact]) -> tuple[Item, ...]:
    cells: dict[tuple[Usage, Stroke], list[Way]] = {}
    masks: dict[Stroke, tuple[int, int]] = {}
    feeding = feeding_usages(plan)
    for binding in plan.bindings:
        trigger = binding.trigger
        if isinstance(binding.action, Stroke) and can_be_made(trigger) and trigger.usage not in feeding:
            cells.setdefault((trigger.usage, binding.action), []).append((trigger,))
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
