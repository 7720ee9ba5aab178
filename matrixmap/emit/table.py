"""The table of a plan: the bytes that the C runtime reads, in the parts that the C text shows.

The format is described in `mm_runtime.h`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import IntEnum

from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.model.host import CapsLock
from matrixmap.model.layout import Contacts, HostModifier
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.plan import Action, Command, Demand, Feed, Latch, Nothing, Plan, Stroke, Trigger

TABLE_VERSION = 1
HEADER_BYTES = 17
MOST_MODIFIER_KEYS = 8
MOST = 255
LONGEST_TICKS = 0x3FFF  # the runtime counts 14 bits
ALL_LEVELS = 0x0F
EXTRA_BITS = {HostModifier.CONTROL: 0x10, HostModifier.ALT: 0x20, HostModifier.META: 0x40}
HOW_BITS = {Contacts.SWITCH: 0, Contacts.SWITCH_WITH_DIODE: 1, Contacts.FOLLOWS_SELECT: 2}


class TooLargeError(Exception):
    """A plan that no table can hold; the text says which part is too large."""


class Kind(IntEnum):
    """What the value of an entry is."""

    CROSSPOINT = 0
    DIRECT = 1
    CHORD = 2
    MODIFIER = 3
    LATCH = 4
    COMMAND = 5
    NOTHING = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of a table: a usage, its value, and the triggers that it answers."""

    usage: Usage
    value: int
    triggers: tuple[Trigger, ...]
    action: Action


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Entries that answer the same levels and demand the same: `when` and `demand` as in the table."""

    when: int
    demand: int
    kind: Kind
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CapsRange:
    """Usages from `first` to `last` on which Caps Lock swaps levels: bit 0 for 1 and 2, bit 1 for 3 and 4."""

    first: Usage
    last: Usage
    pairs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A plan as the runtime reads it.

    `modifier_keys` are contacts; a demand is `(rule, hold)`, masks over these; chords are tuples of contacts.
    """

    machine: Machine
    modifier_keys: tuple[Contact, ...]
    demands: tuple[tuple[int, int], ...]
    caps: tuple[CapsRange, ...]
    chords: tuple[tuple[Contact, ...], ...]
    groups: tuple[Group, ...]
    flags: int
    header: tuple[int, ...]

    def to_bytes(self) -> bytes:
        """All bytes, header first."""
        out = bytearray(self.header)
        for contact in self.modifier_keys:
            out += bytes(contact_bytes(self.machine, contact))
        for demand in self.demands:
            out += bytes(demand)
        for caps in self.caps:
            out += bytes((caps.first, caps.last, caps.pairs))
        for chord in self.chords:
            out += bytes(chord_bytes(self.machine, chord))
        for group in self.groups:
            out += bytes((group.when, group.demand, group.kind, len(group.entries)))
            for entry in group.entries:
                out += bytes((entry.usage, entry.value))
        return bytes(out)


def contact_bytes(machine: Machine, contact: Contact) -> tuple[int, int]:
    """A contact as kind and value: select and sense index in one byte, or the index of a direct line."""
    lines = machine.lines(contact)
    if lines is None:
        return Kind.DIRECT, contact - machine.crosspoints
    return Kind.CROSSPOINT, lines[0] << 4 | lines[1]


def chord_bytes(machine: Machine, chord: tuple[Contact, ...]) -> Iterator[int]:
    """The eight bytes of a chord of at most four contacts."""
    for contact in chord:
        yield from contact_bytes(machine, contact)
    yield from [0xFF] * (8 - 2 * len(chord))


def make_table(plan: Plan) -> Table:
    """The table of a plan. TooLargeError if the plan has more of something than a table can count."""
    machine = plan.layout.machine
    keys = _modifier_keys(plan)
    _check_size(plan, "modifier keys and latches", len(keys), MOST_MODIFIER_KEYS)
    merged = list(_merged(plan))
    chords = _chords(merged)
    masks = {id(action): _demand_masks(machine, keys, action) for _, _, action in merged}
    demands = tuple(sorted(set(masks.values()) | {(0, 0)}))
    parts: dict[tuple[int, int, Kind], list[Entry]] = {}
    for usage, triggers, action in merged:
        kind, value = _kind_and_value(machine, keys, chords, action)
        cell = (_when(plan, triggers), demands.index(masks[id(action)]), kind)
        parts.setdefault(cell, []).append(Entry(usage=usage, value=value, triggers=triggers, action=action))
    groups = tuple(
        Group(when=when, demand=demand, kind=kind, entries=tuple(sorted(entries, key=lambda entry: entry.usage)))
        for (when, demand, kind), entries in sorted(parts.items(), key=lambda part: _group_order(part[0]))
    )
    caps = tuple(_caps_ranges(plan))
    flags = _flags(plan)
    counts = (len(keys), len(demands), len(caps), len(chords), len(groups))
    for what, count in (("demands on modifiers", len(demands)), ("chords", len(chords)), ("groups", len(groups))):
        _check_size(plan, what, count, MOST)
    return Table(
        machine=machine,
        modifier_keys=keys,
        demands=demands,
        caps=caps,
        chords=chords,
        groups=groups,
        flags=flags,
        header=_header(plan, counts, flags),
    )


def _check_size(plan: Plan, what: str, count: int, most: int) -> None:
    if count > most:
        raise TooLargeError(f"{plan.id}: {count} {what} are more than the {most} for which a table has room")


def _header(plan: Plan, counts: tuple[int, ...], flags: int) -> tuple[int, ...]:
    machine, timing = plan.layout.machine, plan.timing
    times = (timing.close_ticks, timing.open_ticks, timing.lead_ticks)
    _check_size(plan, "ticks of 0.1 ms that a key takes", max(times), LONGEST_TICKS)
    return (
        TABLE_VERSION,
        len(machine.select),
        len(machine.sense),
        len(machine.direct),
        *counts,
        flags,
        machine.scan.rollover or 0,
        *(byte for time in times for byte in (time & 0xFF, time >> 8)),
    )


def _flags(plan: Plan) -> int:
    return (
        plan.layout.host.has_altgr
        | plan.guard << 1
        | HOW_BITS[plan.contacts] << 2
        | plan.caps_lock << 4
        | plan.num_lock << 5
    )


def _modifier_keys(plan: Plan) -> tuple[Contact, ...]:
    """The contacts of the machine's modifier keys, and of latches on other keys, which are held like modifiers."""
    machine = plan.layout.machine
    keys = [machine.key(name).contact for modifier in machine.modifiers for name in modifier.keys]
    for binding in plan.bindings:
        if isinstance(binding.action, Latch) and binding.action.contact not in keys:
            keys.append(binding.action.contact)
    return tuple(keys)


def _merged(plan: Plan) -> Iterator[tuple[Usage, tuple[Trigger, ...], Action]]:
    """Triggers of one usage that do the same under the same further modifiers, taken together."""
    cells: dict[tuple[Usage, frozenset[HostModifier], object], list[tuple[Trigger, Action]]] = {}
    for binding in plan.bindings:
        key = (binding.trigger.usage, binding.trigger.extras, _same(binding.action))
        cells.setdefault(key, []).append((binding.trigger, binding.action))
    for (usage, _, _), pairs in cells.items():
        yield usage, tuple(trigger for trigger, _ in pairs), pairs[0][1]


def _same(action: Action) -> object:
    """What makes two actions one line of the table."""
    return (action.contacts, action.demands, action.holds) if isinstance(action, Stroke) else action


def _chords(merged: Iterable[tuple[Usage, tuple[Trigger, ...], Action]]) -> tuple[tuple[Contact, ...], ...]:
    strokes = (action.contacts for _, _, action in merged if isinstance(action, Stroke))
    return tuple(sorted({contacts for contacts in strokes if len(contacts) != 1}))


def _demand_masks(machine: Machine, keys: tuple[Contact, ...], action: Action) -> tuple[int, int]:
    """Rule and hold masks over the modifier keys; all clear where everything passes."""
    if not isinstance(action, Stroke):
        return 0, 0
    rule = 0
    for modifier, demand in zip(machine.modifiers, action.demands, strict=True):
        if demand is not Demand.PASS:
            rule |= sum(1 << keys.index(machine.key(name).contact) for name in modifier.keys)
    return rule, sum(1 << keys.index(contact) for contact in action.holds)


def _kind_and_value(
    machine: Machine, keys: tuple[Contact, ...], chords: tuple[tuple[Contact, ...], ...], action: Action
) -> tuple[Kind, int]:
    match action:
        case Stroke(contacts=(contact,)):
            kind, value = contact_bytes(machine, contact)
            return Kind(kind), value
        case Stroke():
            return Kind.CHORD, chords.index(action.contacts)
        case Feed():
            return Kind.MODIFIER, 1 << keys.index(action.contact)
        case Latch():
            return Kind.LATCH, 1 << keys.index(action.contact)
        case Command():
            return Kind.COMMAND, action.number
        case Nothing():
            return Kind.NOTHING, 0


def _when(plan: Plan, triggers: tuple[Trigger, ...]) -> int:
    levels = {trigger.level for trigger in triggers}
    extras = sum(EXTRA_BITS[extra] for extra in triggers[0].extras)
    keypad = triggers[0].usage in KEYPAD_DIGITS
    every = levels == set(range(1, (2 if keypad else plan.layout.host.levels) + 1))
    return extras | (ALL_LEVELS if every else sum(1 << (level - 1) for level in levels))


def _group_order(cell: tuple[int, int, Kind]) -> tuple[int, ...]:
    when, demand, kind = cell
    # Modifiers first, then what answers every level, then level by level, then further modifiers.
    levels = when & ALL_LEVELS
    return (when >> 4, kind not in (Kind.MODIFIER, Kind.LATCH), levels != ALL_LEVELS, levels, demand, kind)


def _caps_ranges(plan: Plan) -> Iterator[CapsRange]:
    """The usages where Caps Lock changes what is typed, neighbours taken together."""
    if not plan.caps_lock:
        return
    first = last = None
    pairs = 0
    for usage, key in plan.layout.host.keys.items():
        here = _caps_pairs(plan, usage, key.caps)
        if first is not None and last is not None and (here != pairs or usage != last + 1):
            yield CapsRange(first=first, last=last, pairs=pairs)
            first = last = None
        if here:
            first, last, pairs = (usage if first is None else first), usage, here
    if first is not None and last is not None:
        yield CapsRange(first=first, last=last, pairs=pairs)


def _caps_pairs(plan: Plan, usage: Usage, caps: CapsLock) -> int:
    pairs = 0
    for bit, low, choices in ((1, 1, (CapsLock.SHIFT, CapsLock.BOTH)), (2, 3, (CapsLock.ALTGR, CapsLock.BOTH))):
        actions = [plan.by_trigger.get(Trigger(usage=usage, level=level)) for level in (low, low + 1)]
        if caps in choices and actions[0] != actions[1]:
            pairs |= bit
    return pairs
