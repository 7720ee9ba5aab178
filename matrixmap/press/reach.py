"""Which keys of the host close each contact of the machine? As their own, or as a modifier of their strokes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from matrixmap.model.machine import Contact, ShiftState
from matrixmap.press.compiled import bits
from matrixmap.press.every import Every, Pressed
from matrixmap.press.keyboard import PhysicalKey
from matrixmap.press.rules import STROKES
from matrixmap.press.table.format import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """The keys that close a contact, by usage: as their own, or only as a modifier of their strokes."""

    own: tuple[PhysicalKey, ...] = ()
    beside: tuple[PhysicalKey, ...] = ()


def closing(every: Every) -> Mapping[Contact, Closing]:
    """Contact -> the keys that close it, with or without held keys; contacts that no key closes are missing.

    Keys that close it only after a dead key count only if no other key does.
    """
    own: dict[int, dict[PhysicalKey, None]] = {}
    beside: dict[int, dict[PhysicalKey, None]] = {}
    for key, contacts in _own(every):
        for contact in contacts:
            own.setdefault(contact, {})[key] = None
    alone = frozenset(own)
    for pressed in (*every.pairs, *every.accents):
        for contact in bits(pressed.done.closed):
            if contact not in alone:
                own.setdefault(contact, {})[pressed.key] = None
    for pressed in (*every.single, *every.pairs, *every.accents):
        if pressed.done.kind in STROKES and not pressed.done.refused:
            held = every.classes[pressed.hold].typist | every.locks[pressed.locks].standing.latches
            modifiers = pressed.done.modifiers
            for earlier, more in pressed.done.before:
                modifiers |= more
                for contact in bits(earlier):
                    if contact not in alone:
                        own.setdefault(contact, {})[pressed.key] = None
            for contact in bits(modifiers & ~every.rules.compiled.mask_of(held)):
                beside.setdefault(contact, {})[pressed.key] = None
    return {
        Contact(contact): Closing(own=_sorted(own.get(contact, {})), beside=_sorted(beside.get(contact, {})))
        for contact in sorted({*own, *beside})
    }


def _own(every: Every) -> Iterator[tuple[PhysicalKey, Iterator[int]]]:
    """Keys with the contacts that they close: strokes, keys that feed a modifier, and latches."""
    compiled = every.rules.compiled
    for key in every.keys:
        if key.usage in compiled.feeds:
            yield key, bits(compiled.mask_of(compiled.feeds[key.usage]))
    for pressed in every.single:
        if pressed.done.kind is Kind.LATCH:
            yield pressed.key, bits(compiled.mask_of(pressed.done.value))
        elif pressed.done.closed:
            yield pressed.key, bits(pressed.done.closed)


def pressed_states(every: Every, usual: bool = False) -> Mapping[tuple[Contact, ShiftState], Pressed]:
    """Every contact with every state of the machine's modifiers in which some press closes it, with the first such press.

    With `usual`, only presses of keys that the host's form has.
    """
    rules = every.rules
    found: dict[tuple[Contact, ShiftState], Pressed] = {}
    known: set[tuple[int, int]] = set()
    for pressed in (*every.single, *every.pairs, *every.accents):
        done = pressed.done
        if (done.closed, done.modifiers) in known or not done.closed or (usual and not pressed.key.usual):
            continue
        known.add((done.closed, done.modifiers))
        state = rules.state(done.modifiers)
        for contact in bits(done.closed):
            found.setdefault((Contact(contact), state), pressed)
    return found


def _sorted(keys: Mapping[PhysicalKey, None]) -> tuple[PhysicalKey, ...]:
    return tuple(sorted(keys, key=lambda key: key.usage))
