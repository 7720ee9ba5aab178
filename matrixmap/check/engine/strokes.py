"""The strokes of a plan under check, and what several rules need to know about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.join.dead import pairs
from matrixmap.model.machine import Contact, Key
from matrixmap.model.plan import Demand, Feed, Latch, Plan, Stroke, Trigger
from matrixmap.model.press import KeyPress, Way
from matrixmap.model.words import usage_name
from matrixmap.press.every import Every
from matrixmap.press.how_to_type import HowToType
from matrixmap.press.levels import held_choices
from matrixmap.press.reach import Closing, closing
from matrixmap.press.rules import Held, Rules
from matrixmap.press.table.make import EXTRA_BITS


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Item:
    """A stroke of one host key: the ways to make it with that key, the easiest first.

    Ways after a dead key are included only if no single press of the key makes the stroke.

    `held` is the stroke as the rules know it. `hold` and `lift` are masks over the contacts of the machine's modifier
    keys: those that the stroke closes, and those that stay open while it is closed. Bits in neither are as the typist
    has them. `mask` has the bits of its contacts. `unlikelihood` says how unlikely its key is to be held together with
    others, 0 for arrows and Space. A `plain` stroke closes a single contact, holds nothing, and is made without
    modifiers.
    """

    usage: Usage
    ways: tuple[Way, ...]
    stroke: Stroke
    held: Held
    hold: int
    lift: int
    mask: int
    unlikelihood: int
    plain: bool

    @property
    def trigger(self) -> Trigger:
        """The press of the easiest way that stays down."""
        return self.ways[0][-1].trigger

    @property
    def count(self) -> int:
        """The number of ways; those that differ only in the side of a modifier count once."""
        return len({tuple(press.trigger for press in way) for way in self.ways})


def are_plain(items: Iterable[Item]) -> bool:
    """Whether all of some strokes are plain. A loop, because this is asked thousands of times."""
    for item in items:  # noqa: SIM110
        if not item.plain:
            return False
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanStrokes:
    """A plan under check.

    `rules` decide what the runtime does, `bare` what it would do without guard and rollover. `every` has every press of
    one key, `typed` the ways to type each character and function. `items` are the strokes by host key: those of the
    keys on the host's form, and of other keys only those that the layout's own lines give. `modifier_keys` are the
    contacts for the bits of an item's masks, as in the table. `feeds` maps each host key to the modifier key that it
    closes while it is down; it includes latches. `keys` are the machine's keys by contact, `closing` the host keys that
    close each contact.
    """

    plan: Plan
    rules: Rules
    bare: Rules
    every: Every
    typed: Mapping[str, tuple[Way, ...]]
    items: tuple[Item, ...]
    modifier_keys: tuple[Contact, ...]
    feeds: Mapping[Usage, Contact]
    keys: Mapping[Contact, Key]
    closing: Mapping[Contact, Closing]


def make_strokes(plan: Plan, ways: bool = True, known: Every | None = None) -> PlanStrokes:
    """The plan with what the rules need to know about it. TableError if no table can hold it.

    Without `ways`, `typed` and `closing` are empty: the strokes alone cost a third of the time. `known` are the presses
    of the plan, else worked out.
    """
    every = known or Every(Rules(plan))
    rules = every.rules
    feeds = _feeds(every)
    modifier_keys = rules.table.modifier_keys
    return PlanStrokes(
        plan=plan,
        rules=rules,
        bare=Rules(plan, rules.table, limits=False),
        every=every,
        typed=HowToType(every).to_type() if ways else MappingProxyType({}),
        items=_items(every, frozenset(feeds.values())),
        modifier_keys=modifier_keys,
        feeds=feeds,
        keys=MappingProxyType({key.contact: key for key in plan.layout.machine.keys}),
        closing=closing(every) if ways else MappingProxyType({}),
    )


def own_ways(item: Item) -> list[Way]:
    """The ways to make a stroke, without those that hold all that another way holds and more."""
    holds = [frozenset(way[-1].hold) for way in item.ways]
    return [way for way, hold in zip(item.ways, holds, strict=True) if not any(other < hold for other in holds)]


def closed_by(strokes: PlanStrokes, item: Item, way: Way) -> int:
    """A mask of what a way of a stroke closes, ignoring guard and rollover, without latches."""
    compiled, fed = strokes.rules.compiled, 0
    for usage in way[-1].hold:
        fed |= compiled.feeds.get(usage, 0)
    return item.mask | compiled.mask_of(item.held.wants(fed))


def lies(strokes: PlanStrokes, item: Item, way: Way) -> bool:
    """Whether a way of a stroke makes a phantom, on whatever side its modifiers are held."""
    return all(strokes.bare.phantoms(closed_by(strokes, item, other)) for other in sides_of(item, way))


def sides_of(item: Item, way: Way) -> list[Way]:
    """The ways that are the same press except for the side of a modifier."""
    if len(item.ways) == 1:
        return [way]
    return [other for other in item.ways if [each.trigger for each in other] == [each.trigger for each in way]]


def lies_alone(strokes: PlanStrokes, item: Item) -> bool:
    """Whether a stroke makes a phantom in every way of making it."""
    return all(lies(strokes, item, way) for way in own_ways(item))


def is_refused(strokes: PlanStrokes, item: Item) -> bool:
    """Whether the runtime refuses a stroke in every way of making it."""
    feeds = strokes.rules.compiled.feeds
    for way in item.ways:
        fed = 0
        for usage in way[-1].hold:
            fed |= feeds.get(usage, 0)
        if strokes.rules.refusal(item.held, item.held.wants(fed)) is None:
            return False
    return True


def held_contacts(strokes: PlanStrokes, fed: int) -> frozenset[Contact]:
    """The contacts for bits of modifier keys."""
    return frozenset(contact for number, contact in enumerate(strokes.modifier_keys) if fed >> number & 1)


def feeding_usages(plan: Plan) -> frozenset[Usage]:
    """The host keys that are modifiers of the machine, whatever they do at other levels."""
    return frozenset(binding.trigger.usage for binding in plan.bindings if isinstance(binding.action, Feed))


def _feeds(every: Every) -> Mapping[Usage, Contact]:
    feeds, counted = {}, {key.usage for key in every.keys}
    for binding in every.plan.bindings:
        if isinstance(binding.action, Feed | Latch) and binding.trigger.usage in counted:
            feeds[binding.trigger.usage] = binding.action.contact
    return MappingProxyType(feeds)


def _items(every: Every, fed: frozenset[Contact]) -> tuple[Item, ...]:
    plan, modifier_keys = every.plan, every.rules.table.modifier_keys
    cells: dict[tuple[Usage, Stroke], list[Way]] = {}
    masks: dict[Stroke, tuple[int, int]] = {}
    feeding = feeding_usages(plan)
    counted = {key.usage: key.usual for key in every.keys}
    for binding in plan.bindings:
        trigger = binding.trigger
        usual = counted.get(trigger.usage)
        if usual is None or not (usual or binding.place):
            continue
        if isinstance(binding.action, Stroke) and can_be_made(trigger) and trigger.usage not in feeding:
            cells.setdefault((trigger.usage, binding.action), []).extend((way,) for way in presses_of(every, trigger))
    single = frozenset(cells)
    for (dead, trigger), stroke in pairs(plan):
        if counted.get(trigger.usage) and (trigger.usage, stroke) not in single and can_be_made(trigger):
            first = presses_of(every, dead)[0]
            ways = cells.setdefault((trigger.usage, stroke), [])
            ways += [(first, press) for press in presses_of(every, trigger)]
    items = []
    for (usage, stroke), ways in cells.items():
        if stroke not in masks:
            masks[stroke] = _masks(plan, stroke, modifier_keys, fed)
        hold, lift = masks[stroke]
        easiest = tuple(sorted(ways, key=lambda way: (len(way[-1].extras), way[-1].level)))
        press = easiest[0][-1]
        held = _held(every, easiest[0])
        items.append(
            Item(
                usage=usage,
                ways=easiest,
                stroke=stroke,
                held=held,
                hold=hold,
                lift=lift,
                mask=held.mask,
                unlikelihood=unlikelihood(easiest[0]),
                plain=len(easiest[0]) == len(stroke.contacts) == 1
                and not hold
                and press.level == 1
                and not press.extras,
            )
        )
    return tuple(items)


def _held(every: Every, way: Way) -> Held:
    """The stroke of a way, as the table has it."""
    compiled, accents = every.rules.compiled, every.rules.table.accents
    *dead, press = way
    accent = accents.index(every.plan.dead_keys.triggers[dead[0].trigger]) + 1 if dead else 0
    entry = compiled.look_up(press.usage, press.level, sum(EXTRA_BITS[extra] for extra in press.extras), accent)
    assert entry, f"the table has no entry for {press.trigger}"
    return every.rules.stroke(press.usage, every.rules.parts(press.usage, press.level, entry)[-1])


def presses_of(every: Every, trigger: Trigger) -> tuple[KeyPress, ...]:
    """A trigger as hands make it, once for each side of a modifier that makes a difference; the left one first.

    A modifier key that does something by itself is held only if the other key of its pair does too.
    """
    feeds = every.rules.compiled.feeds
    presses = [KeyPress(usage=trigger.usage, level=trigger.level, extras=trigger.extras)]
    for choice in held_choices(every.plan.layout.host, trigger):
        usages = [usage for usage in choice if usage not in every.acting and usage != trigger.usage] or list(choice)
        both = len(usages) > 1 and len({feeds.get(usage, 0) for usage in usages}) == 1
        presses = [
            replace(press, hold=(*press.hold, usage), either=press.either | ({usage} if both else set()))
            for press in presses
            for usage in (usages[:1] if both else usages)
        ]
    return tuple(presses)


def can_be_made(trigger: Trigger) -> bool:
    """Whether a keyboard can send a trigger: Num Lock chooses between two levels of the keypad, and AltGr adds none."""
    return trigger.usage not in KEYPAD_DIGITS or trigger.level <= 2


def _masks(plan: Plan, stroke: Stroke, modifier_keys: tuple[Contact, ...], fed: frozenset[Contact]) -> tuple[int, int]:
    """The modifier keys that a stroke closes, and those it keeps open; if it passes, those no typist can close."""
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
    """How unlikely a press is to be held together with others: 0 for arrows and Space, more for keys farther away."""
    *dead, trigger = way
    name = usage_name(trigger.usage)
    base = next((rank for prefix, rank in LIKELY if name.startswith(prefix)), 3)
    shifted = 0 if trigger.usage in KEYPAD_DIGITS else trigger.level - 1
    return base + 3 * shifted + 4 * len(trigger.extras) + 12 * len(dead)
