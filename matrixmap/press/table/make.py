"""Makes the table of a plan: `format.py` describes the format, `contract.py` what the runtime requires."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set

from matrixmap.circuit.timing import TICK_US
from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.join.dead import Ending, ending
from matrixmap.model.host import CapsLock
from matrixmap.model.layout import Contacts, HostModifier
from matrixmap.model.machine import Contact, Debounce, Key, Machine, Wiring
from matrixmap.model.plan import Action, Command, DeadKeys, Demand, Feed, Latch, Nothing, Plan, Stroke, Trigger
from matrixmap.press.table.cells import ACCENT_ALONE, ACCENT_GOES_ON, Cell, number_sequences, stroke_key
from matrixmap.press.table.contract import Breach, breaches
from matrixmap.press.table.format import (
    ALL_LEVELS,
    ALT,
    CONTROL,
    FLAG_ALTGR,
    FLAG_APART,
    FLAG_CAPS_LOCK,
    FLAG_GUARD,
    FLAG_NUM_LOCK,
    FLAG_RESUME,
    FLAG_SEQUENCES,
    FLAG_WHOLE,
    LONGEST_TICKS,
    META,
    MOST_DEAD_KEYS,
    NO_ROLLOVER,
    SEQUENCE,
    CapsRange,
    Controls,
    Entry,
    Group,
    Kind,
    Table,
    Wired,
    contact_bytes,
)

EXTRA_BITS = {HostModifier.CONTROL: CONTROL, HostModifier.ALT: ALT, HostModifier.META: META}
AFTER = {Ending.ACCENT_FIRST: 0, Ending.KEEPS: 29, Ending.TAKES_BACK: 30, Ending.DROPS: 31}
"""The number above the kind of a group: what its entries do with a pending dead key; or the number of a dead key."""


class TableError(Exception):
    """No table can hold the plan, or its table would break what the runtime requires; `breaches` say what is wrong."""

    def __init__(self, id: str, breaches: tuple[Breach, ...]) -> None:
        super().__init__(f"{id} cannot be built: {'; '.join(dict.fromkeys(some.text for some in breaches))}")
        self.breaches = breaches


def make_table(plan: Plan, times: bool = True) -> Table:
    """The table of a plan. TableError if the runtime could not work with it.

    Without `times`, times that are too long for a table are cut: what a press does depends on none of them.
    """
    machine = plan.layout.machine
    keys = _modifier_keys(plan)
    accents = _accents(plan.dead_keys)
    merged, sequences = number_sequences(_merged(plan, accents), len(accents) + 2)
    chords = _chords(cell.does for cell in merged)
    modifiers = [_mask(keys, map(machine.key, modifier.keys)) for modifier in machine.modifiers]
    masks = [_demand_masks(modifiers, keys, cell.does) for cell in merged]
    demands = tuple(sorted({*masks, (0, 0)}))
    parts: dict[tuple[int, int, Kind, int], list[Entry]] = {}
    for cell, mask in zip(merged, masks, strict=True):
        kind, value = _kind_and_value(machine, keys, chords, accents, cell)
        demand = demands.index(mask)
        part = parts.setdefault((_when(plan, cell), demand, kind, cell.after), [])
        part.append(Entry(usage=cell.usage, value=value, triggers=tuple(cell.triggers), does=cell.does))
    groups = tuple(
        Group(
            when=when,
            demand=demand,
            kind=kind,
            after=after,
            entries=tuple(sorted(entries, key=lambda entry: entry.usage)),
        )
        for (when, demand, kind, after), entries in sorted(parts.items(), key=lambda part: _group_order(*part[0]))
    )
    close, open_, lead, poll = (ticks if times else min(ticks, LONGEST_TICKS) for ticks in _times(plan))
    table = Table(
        machine=machine,
        accents=accents,
        sequences=tuple(sequences),
        modifier_keys=keys,
        demands=demands,
        caps=tuple(_caps_ranges(plan)),
        chords=chords,
        groups=groups,
        flags=_flags(plan) | FLAG_SEQUENCES * bool(sequences),
        rollover=machine.scan.rollover or NO_ROLLOVER,
        times=(close, open_, lead),
        controllers=tuple(_controllers(plan, keys)),
        poll=poll,
    )
    found = breaches(table, plan)
    if found:
        raise TableError(plan.id, found)
    return table


def _flags(plan: Plan) -> int:
    return (
        FLAG_ALTGR * plan.layout.host.has_altgr
        | FLAG_GUARD * (plan.guard and plan.contacts is Contacts.SWITCH)
        | FLAG_APART * plan.layout.apart
        | FLAG_RESUME * plan.layout.resumes
        | FLAG_CAPS_LOCK * plan.caps_lock
        | FLAG_NUM_LOCK * plan.num_lock
        | FLAG_WHOLE * (plan.layout.machine.scan.debounce is Debounce.WHOLE)
    )


def _times(plan: Plan) -> tuple[int, int, int, int]:
    """Close, open, lead and poll time in ticks.

    The poll time is 0 if pads drive nothing, and that of a key if unspecified.
    """
    timing, driven = plan.timing, plan.driven
    poll = 0
    if driven is not None:
        # Two changes of a driver may be closer together than requested, here as well as at a key.
        late = -int(-timing.driver_us // TICK_US)
        poll = timing.close_ticks if driven.poll_ticks is None else driven.poll_ticks + late
    return timing.close_ticks, timing.open_ticks, timing.lead_ticks, poll


def _controllers(plan: Plan, keys: tuple[Contact, ...]) -> Iterator[Controls]:
    """What pads drive: all controllers of the machine, in the order of its file; none if they drive none."""
    machine, driven = plan.layout.machine, plan.driven
    if driven is None:
        return
    wires = {Wiring.CONTACT: Wired.CONTACT, Wiring.GATED: Wired.GATED, Wiring.GROUND: Wired.GROUND}
    for controller in machine.controllers:
        if not driven.drives(controller.name):
            yield Controls(name=controller.name, switches=(), opposites=())
            continue
        functions = [switch.function for switch in controller.switches]
        switches = []
        for switch in controller.switches:
            value = (switch.select or 0) << 4 | switch.sense
            key = Contact((switch.select or 0) * len(machine.sense) + switch.sense)
            same = controller.wired is Wiring.CONTACT and key in keys
            switches.append((wires[controller.wired], value, 1 << keys.index(key) if same else 0))
        pairs = [
            sum(1 << functions.index(function) for function in pair)
            for name, *pair in driven.opposites
            if name == controller.name
        ]
        yield Controls(name=controller.name, switches=tuple(switches), opposites=tuple(pairs))


def _modifier_keys(plan: Plan) -> tuple[Contact, ...]:
    """The contacts of the machine's modifier keys, and of latches on other keys, which are held like modifiers."""
    machine = plan.layout.machine
    keys = [machine.key(name).contact for modifier in machine.modifiers for name in modifier.keys]
    for binding in plan.bindings:
        if isinstance(binding.action, Latch) and binding.action.contact not in keys:
            keys.append(binding.action.contact)
    return tuple(keys)


def _accents(dead: DeadKeys) -> tuple[str, ...]:
    """The accents of dead keys that type something."""
    return tuple(sorted({accent for accent, _, _ in dead.pairs} | set(dead.accents)))


def _merged(plan: Plan, accents: tuple[str, ...]) -> Iterable[Cell]:
    """Triggers of one usage with the same action and further modifiers, merged."""
    cells: dict[object, Cell] = {}

    def add(trigger: Trigger, after: int, does: Action | str) -> None:
        same = does if isinstance(does, str) else _same(does)
        key = (trigger.usage, trigger.extras, after, same)
        empty = Cell(usage=trigger.usage, extras=trigger.extras, after=after, does=does, triggers=[])
        cells.setdefault(key, empty).triggers.append(trigger)

    dead = plan.dead_keys
    for binding in (*plan.bindings, *plan.pad_bindings):
        trigger = binding.trigger
        # With further modifiers, the runtime itself drops a dead key.
        plain = bool(dead.triggers) and (not trigger.extras or ending(plan, trigger) is Ending.KEEPS)
        feeds = isinstance(binding.action, Feed | Nothing)
        add(trigger, AFTER[ending(plan, trigger)] if plain and not feeds else 0, binding.action)
    for trigger, accent in sorted(dead.triggers.items(), key=lambda item: item[0].sort_key()):
        add(trigger, 0, accent if accent in accents else "")
    for (accent, usage, level), stroke in sorted(dead.pairs.items()):
        add(Trigger(usage=usage, level=level), accents.index(accent) + 1, stroke)
    for accent, stroke in sorted(dead.accents.items()):
        add(Trigger(usage=ACCENT_ALONE, level=1), accents.index(accent) + 1, stroke)
    return cells.values()


def _same(action: Action) -> object:
    """Equal for two actions that are one line of the table."""
    return stroke_key(action) if isinstance(action, Stroke) else action


def _chords(done: Iterable[Action | str]) -> tuple[tuple[Contact, ...], ...]:
    strokes = (does.contacts for does in done if isinstance(does, Stroke) and not does.before)
    return tuple(sorted({contacts for contacts in strokes if len(contacts) != 1}))


def _mask(contacts: tuple[Contact, ...], keys: Iterable[Key]) -> int:
    """Some keys, as a mask over the modifier keys."""
    return sum(1 << contacts.index(key.contact) for key in keys)


def _demand_masks(modifiers: Sequence[int], keys: tuple[Contact, ...], does: Action | str) -> tuple[int, int]:
    """Rule and hold masks over the modifier keys, from the keys of each modifier; all clear if everything passes."""
    if not isinstance(does, Stroke) or does.before:
        return 0, 0
    rule = hold = 0
    for mask, demand in zip(modifiers, does.demands, strict=True):
        if demand is not Demand.PASS:
            rule |= mask
    for contact in does.holds:
        hold |= 1 << keys.index(contact)
    return rule, hold


def _kind_and_value(
    machine: Machine,
    keys: tuple[Contact, ...],
    chords: tuple[tuple[Contact, ...], ...],
    accents: tuple[str, ...],
    cell: Cell,
) -> tuple[Kind, int]:
    if cell.number:
        return Kind.DEAD_KEY, SEQUENCE | cell.number
    match does := cell.does:
        case str():
            return Kind.DEAD_KEY, (accents.index(does) if does else len(accents)) + 1
        case Stroke(contacts=(contact,)):
            kind, value = contact_bytes(machine, contact)
            return Kind(kind), value
        case Stroke():
            return Kind.CHORD, chords.index(does.contacts)
        case Feed():
            return Kind.MODIFIER, 1 << keys.index(does.contact)
        case Latch():
            return Kind.LATCH, 1 << keys.index(does.contact)
        case Command():
            return Kind.COMMAND, does.number
        case Nothing():
            return Kind.NOTHING, 0


def _when(plan: Plan, cell: Cell) -> int:
    levels = {trigger.level for trigger in cell.triggers}
    extras = sum(EXTRA_BITS[extra] for extra in cell.extras)
    most = 2 if cell.usage in KEYPAD_DIGITS else plan.layout.host.levels
    every = cell.usage in (ACCENT_ALONE, ACCENT_GOES_ON) or levels == set(range(1, most + 1))
    return extras | (ALL_LEVELS if every else sum(1 << (level - 1) for level in levels))


def _group_order(when: int, demand: int, kind: Kind, after: int) -> tuple[int, ...]:
    # Modifiers first, then pairs, then entries for every level, then level by level, then further modifiers.
    levels = when & ALL_LEVELS
    pair = 1 <= after <= MOST_DEAD_KEYS
    return (
        when >> 4,
        kind is not Kind.MODIFIER,
        not pair,
        after if pair else 0,
        kind is not Kind.LATCH,
        levels != ALL_LEVELS,
        levels,
        demand,
        kind,
        after,
    )


def _caps_ranges(plan: Plan) -> Iterator[CapsRange]:
    """The usages for which Caps Lock changes what is typed; neighbours are merged."""
    if not plan.caps_lock:
        return
    extras = {binding.trigger.extras for binding in plan.bindings}
    first = last = None
    pairs = 0
    for usage, key in plan.layout.host.keys.items():
        here = _caps_pairs(plan, extras, usage, key.caps)
        if first is not None and last is not None and (here != pairs or usage != last + 1):
            yield CapsRange(first=first, last=last, pairs=pairs)
            first = last = None
        if here:
            first, last, pairs = (usage if first is None else first), usage, here
    if first is not None and last is not None:
        yield CapsRange(first=first, last=last, pairs=pairs)


def _caps_pairs(plan: Plan, extras: Set[frozenset[HostModifier]], usage: Usage, caps: CapsLock) -> int:
    pairs = 0
    for bit, low, choices in ((1, 1, (CapsLock.SHIFT, CapsLock.BOTH)), (2, 3, (CapsLock.ALTGR, CapsLock.BOTH))):
        if caps in choices and _done_at(plan, extras, usage, low) != _done_at(plan, extras, usage, low + 1):
            pairs |= bit
    return pairs


def _done_at(plan: Plan, extras: Set[frozenset[HostModifier]], usage: Usage, level: int) -> object:
    """All that a key can do at a level, with each set of further modifiers that the plan distinguishes."""
    trigger, dead = Trigger(usage=usage, level=level), plan.dead_keys
    held = {some: plan.by_trigger.get(Trigger(usage=usage, level=level, extras=some)) for some in extras}
    pairs = [dead.pairs.get((accent, usage, level)) for accent in _accents(dead)]
    return held, dead.triggers.get(trigger), pairs
