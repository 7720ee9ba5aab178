"""What `mm_runtime.h` requires of a table, sentence by sentence, and where a table breaks it.

The runtime relies on these sentences: if a table breaks one, its behaviour is undefined. So no such table is ever made,
neither for a build nor for the model or a check.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import NamedTuple

from matrixmap.hid.usages import META_RIGHT, Usage
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Debounce, Machine
from matrixmap.model.plan import Plan, Timing, Trigger
from matrixmap.model.words import key_name, trigger_name
from matrixmap.press.table.format import (
    ALL_LEVELS,
    FLAG_GUARD,
    FLAG_SEQUENCES,
    FLAG_WHOLE,
    HELD_BITS,
    LONGEST_TICKS,
    MOST,
    MOST_CONTROLLERS,
    MOST_DEAD_KEYS,
    MOST_MODIFIER_KEYS,
    MOST_PAIRS,
    MOST_SWITCHES,
    NUMBER,
    SEQUENCE,
    Entry,
    Group,
    Kind,
    Table,
)


class Breach(NamedTuple):
    """How a table breaks a sentence, in words; and the triggers that cause it, none if the whole table does."""

    sentence: str
    text: str
    triggers: tuple[Trigger, ...] = ()


class _Asked(NamedTuple):
    """A table with the times that its machine needs, and whether its contacts are plain switches."""

    table: Table
    needed: Timing
    plain: bool


_Check = Callable[[_Asked], Iterator[tuple[str, tuple[Trigger, ...]]]]


def breaches(table: Table, plan: Plan) -> tuple[Breach, ...]:
    """Everything in the table of a plan that the runtime does not allow; if it is too large, only that."""
    asked = _Asked(table, plan.timing, plan.contacts is Contacts.SWITCH)
    # With a wrong count, checking the rest makes no sense.
    return _found(SIZES, asked) or _found(SENTENCES, asked)


def _found(sentences: Mapping[str, _Check], asked: _Asked) -> tuple[Breach, ...]:
    return tuple(
        Breach(sentence, text, triggers) for sentence, check in sentences.items() for text, triggers in check(asked)
    )


def _more(count: int, what: str, most: int) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    if count > most:
        yield f"{count} {what} are more than the {most} for which a table has room", ()


def _lines(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    machine = asked.table.machine
    for what, count, most in (
        ("select lines", len(machine.select), 16),
        ("sense lines", len(machine.sense), 16),
        ("direct lines", len(machine.direct), 8),
    ):
        yield from _more(count, what, most)


def _counts(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    table = asked.table
    yield from _more(len(table.modifier_keys), "modifier keys and latches", MOST_MODIFIER_KEYS)
    for what, parts in (
        ("demands on modifiers", table.demands),
        ("ranges for Caps Lock", table.caps),
        ("chords", table.chords),
        ("groups", table.groups),
    ):
        yield from _more(len(parts), what, MOST)
    if not table.demands:
        yield "there is no demand", ()


def _controllers(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    yield from _more(len(asked.table.controllers), "controllers that pads drive", MOST_CONTROLLERS)
    for one in asked.table.controllers:
        yield from _more(len(one.switches), f"switches of {one.name}", MOST_SWITCHES)
        yield from _more(len(one.opposites), f"pairs of opposite switches of {one.name}", MOST_PAIRS)
    yield from _more(asked.table.poll, "ticks of 0.1 ms of a poll time", LONGEST_TICKS)


def _ticks(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    yield from _more(max(asked.table.times), "ticks of 0.1 ms that a key takes", LONGEST_TICKS)


def _times(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    close, open_, lead = asked.table.times
    needed = asked.needed
    for what, time, least in (
        ("close", close, min(needed.close_ticks, LONGEST_TICKS)),
        ("open", open_, min(max(needed.open_ticks, lead), LONGEST_TICKS)),
        ("lead", lead, min(needed.lead_ticks, LONGEST_TICKS)),
    ):
        if time < least:
            yield f"the {what} time is {time} ticks, and the machine needs {least}", ()


def _whole(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    if bool(asked.table.flags & FLAG_WHOLE) != (asked.table.machine.scan.debounce is Debounce.WHOLE):
        yield "the flag does not say whether the machine compares whole scans", ()


def _masks(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    table = asked.table
    for rule, hold in table.demands:
        if (rule | hold) >> len(table.modifier_keys):
            yield f"a demand names a modifier key beyond the {len(table.modifier_keys)} that there are", ()


def _caps(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    for first, last, pairs in ((some.first, some.last, some.pairs) for some in asked.table.caps):
        if not first <= last <= META_RIGHT or not 1 <= pairs <= 3:
            yield f"the range for Caps Lock from {first} to {last} swaps {pairs}", ()


def _chords(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    table = asked.table
    for chord in table.chords:
        if len(chord) > 4 or len(set(chord)) < len(chord) or not all(_is_there(table.machine, one) for one in chord):
            yield f"a stroke closes {_names(table.machine, chord)}", ()


def _is_there(machine: Machine, contact: Contact) -> bool:
    return 0 <= contact < machine.crosspoints + len(machine.direct)


def _names(machine: Machine, contacts: Iterable[Contact]) -> str:
    return " + ".join(
        key_name(machine, contact) if _is_there(machine, contact) else str(contact) for contact in contacts
    )


def _usages(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    for group in asked.table.groups:
        usages = [entry.usage for entry in group.entries]
        if usages != sorted(set(usages)) or usages[-1:] > [META_RIGHT]:
            yield f"the usages of a group are {usages}", ()


def _when(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    for group in asked.table.groups:
        if group.when & ~(ALL_LEVELS | HELD_BITS) or not 0 <= group.demand < len(asked.table.demands):
            yield f"a group answers {group.when:#04x} with the demand {group.demand}", ()


def _values(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    table = asked.table
    machine, keys = table.machine, len(table.modifier_keys)
    for group, entry in _entries(table):
        value = entry.value
        match group.kind:
            case Kind.CROSSPOINT:
                good = value >> 4 < len(machine.select) and value & 15 < len(machine.sense)
            case Kind.DIRECT:
                good = value < len(machine.direct)
            case Kind.CHORD:
                good = value < len(table.chords)
            case Kind.MODIFIER | Kind.LATCH:
                good = 0 < value < 1 << keys
            case Kind.COMMAND | Kind.NOTHING:
                good = value <= MOST
            case Kind.DEAD_KEY:
                good = not value & ~(SEQUENCE | NUMBER) and 1 <= value & NUMBER <= MOST_DEAD_KEYS
        if not good:
            yield f"{group.kind.name.lower()} {value} is none that there is", entry.triggers


def _dead_keys(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    table = asked.table
    yield from _more(len(table.accents), "dead keys with pairs", MOST_DEAD_KEYS - 1)
    both = "dead keys and first strokes of sequences"
    yield from _more(len(table.accents) + 1 + len(table.sequences), both, MOST_DEAD_KEYS)


def _numbers(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    """Dead keys have the numbers below the first sequence, and sequences the numbers from there on."""
    table = asked.table
    for group, entry in _entries(table):
        if group.kind is Kind.DEAD_KEY and bool(entry.value & SEQUENCE) != (
            entry.value & NUMBER >= table.first_sequence
        ):
            yield f"{entry.value & NUMBER} is the number of a dead key and of a sequence", entry.triggers


def _flag(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    table = asked.table
    any_ = any(group.kind is Kind.DEAD_KEY and entry.value & SEQUENCE for group, entry in _entries(table))
    if any_ != bool(table.flags & FLAG_SEQUENCES):
        yield "the flag does not say whether there are sequences", ()


def _guard(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    if asked.table.flags & FLAG_GUARD and not asked.plain:
        yield "the guard is on, and no contact of the adapter is a plain switch", ()


def _higher(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    for group, entry in _entries(asked.table):
        sequence = group.kind is Kind.DEAD_KEY and entry.value & SEQUENCE
        if (
            sequence
            and asked.table.first_sequence <= group.after <= MOST_DEAD_KEYS
            and entry.value & NUMBER <= group.after
        ):
            yield f"sequence {group.after} goes on with sequence {entry.value & NUMBER}", entry.triggers


def _one_answer(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    """Also among the pairs of one number; a usage that feeds a modifier is no press."""
    answered: set[tuple[Usage, int, int, int]] = set()
    for group, entry in _entries(asked.table):
        if group.kind is Kind.MODIFIER:
            continue
        of = group.after if _is_pair(group) else 0
        presses = {(entry.usage, level, group.when & HELD_BITS, of) for level in range(4) if group.when >> level & 1}
        if not answered.isdisjoint(presses):
            yield f"two entries answer usage {entry.usage}", entry.triggers
        answered |= presses


def _modifiers_first(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    kinds = [group.kind is Kind.MODIFIER for group in asked.table.groups]
    if kinds != sorted(kinds, reverse=True):
        yield "a modifier stands behind what is none", ()
    for group in asked.table.groups:
        if group.kind is Kind.MODIFIER and group.after:
            yield "a modifier says what it does after a dead key", ()


def _pairs_first(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    others = False
    for group, entry in _entries(asked.table):
        if group.kind is Kind.MODIFIER:
            continue
        if not _is_pair(group):
            others = True
        elif others:
            yield f"a pair with usage {entry.usage} stands behind what answers without a dead key", entry.triggers


def _apart(asked: _Asked) -> Iterator[tuple[str, tuple[Trigger, ...]]]:
    """Strokes that name the contact of a modifier key, or of a latch on another key."""
    table = asked.table
    own = dict(zip(table.modifier_keys, _roles(table), strict=True))
    for group, entry in _entries(table):
        for contact in _contacts(table, group, entry):
            if contact in own:
                key = key_name(table.machine, contact)
                yield f"{_press(entry)} closes {key} by itself, but {own[contact]}", entry.triggers


def _roles(table: Table) -> Iterator[str]:
    """The role of each modifier key of a table, and what to write instead of its own name."""
    of = {table.machine.key(key).contact: some.name for some in table.machine.modifiers for key in some.keys}
    for contact in table.modifier_keys:
        if contact in of:
            yield f"that is a key of the modifier {of[contact]}; name the modifier in the stroke"
        else:
            yield "a latch keeps that key closed; choose another key for one of them"


def _press(entry: Entry) -> str:
    """The easiest press that an entry answers."""
    return trigger_name(entry.triggers[0])


def _contacts(table: Table, group: Group, entry: Entry) -> tuple[Contact, ...]:
    """The contacts that an entry names; none if it is not a stroke, or names something that does not exist."""
    machine = table.machine
    match group.kind:
        case Kind.CROSSPOINT:
            return (Contact((entry.value >> 4) * len(machine.sense) + (entry.value & 15)),)
        case Kind.DIRECT:
            return (Contact(machine.crosspoints + entry.value),)
        case Kind.CHORD if entry.value < len(table.chords):
            return table.chords[entry.value]
        case _:
            return ()


def _is_pair(group: Group) -> bool:
    return 1 <= group.after <= MOST_DEAD_KEYS


def _entries(table: Table) -> Iterator[tuple[Group, Entry]]:
    return ((group, entry) for group in table.groups for entry in group.entries)


SIZES: dict[str, _Check] = {
    "select lines, 0 to 16      2  sense lines, 0 to 16     3  direct lines, 0 to 8": _lines,
    "modifier keys M, 0 to 8    5  demands D, 1 to 255      6  caps ranges C    7  chords H    8  groups G": _counts,
    "ticks, low byte first, up to 0x3FFF (1.6 s)": _ticks,
    "their number, 1 to MM_CONTROLLERS; the poll time, two bytes as the times above": _controllers,
    "dead key (value = its number, 1 to 28), or with bit 7 set a sequence (bits 0-4 = its number, 1 to 28)": _dead_keys,
}
"""Sentences about the capacity of a table, as written in the header."""

SENTENCES: dict[str, _Check] = {
    "D demands {rule, hold}, bit n = modifier key n": _masks,
    "C caps ranges {first usage, last usage, pairs}: bit 0 Caps Lock swaps levels 1 and 2, bit 1 levels 3 and 4": _caps,
    "H chords: four times {kind, value}, kind 0 crosspoint, 1 direct line, 0xFF unused": _chords,
    "usages up to 0xE7, each above the one before": _usages,
    "when: bits 0-3 levels 1 to 4 that the group answers; bits 4, 6, 7 Control, Alt, Meta must be held": _when,
    "kind, bits 0-2:": _values,
    "At most one entry answers a press, apart from pairs.": _one_answer,
    "They stand before all others save those of kind 3": _pairs_first,
    "Dead keys and sequences have no number in common.": _numbers,
    "bit 6 there are sequences": _flag,
    "bit 1 the guard is on: only where contacts are plain switches": _guard,
    "or a sequence of a higher number": _higher,
    "Groups of kind 3 stand before all others. Their bits 3-7 are clear": _modifiers_first,
    "No entry and no chord names the contact of a modifier key.": _apart,
    "Close time: long enough for all samples that the machine takes of a key, and for the sweep of the last one to end. "
    "- Open time: long enough for the samples of an open key, and not shorter than the lead time. If several whole scans are "
    "compared, it also covers the sweep of the last sample. - Lead time: one sweep.": _times,
    "bit 7 the machine compares whole scans": _whole,
}
"""The other sentences of the header that require something of a table, as written there, each with its check."""
