"""What stays closed when strokes come one after the other, with the runtime's guard on or off.

The rule: start from the newest stroke and the modifiers held with it; where these alone make a phantom, that stroke is
refused and the next newest is tried. Then, from newer to older, a stroke stays closed if with all kept so far it breaks
no rule: no modifier in two states, no contact twice, no more keys than the machine's rollover and, the guard being on,
no phantom. Modifiers are never opened: those that make a phantom among themselves are the one exception.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.check.subject import Item, Subject
from matrixmap.check.ways import fed_bits, together
from matrixmap.circuit.reading import phantoms
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Demand


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What stays closed: the strokes kept, newest first, those refused and opened, and all closed contacts."""

    kept: tuple[Item, ...]
    refused: tuple[Item, ...]
    opened: tuple[Item, ...]
    closed: tuple[Contact, ...]


def held_contacts(subject: Subject, fed: int) -> frozenset[Contact]:
    """The contacts that bits of modifier keys stand for."""
    return frozenset(contact for number, contact in enumerate(subject.modifier_keys) if fed >> number & 1)


def modifier_contacts(subject: Subject, item: Item | None, fed: int) -> frozenset[Contact]:
    """The modifier contacts closed while a stroke rules and the typist feeds some; without a stroke the typist's own."""
    if item is None:
        return held_contacts(subject, fed)
    machine = subject.plan.layout.machine
    own = {machine.key(name).contact: modifier.name for modifier in machine.modifiers for name in modifier.keys}
    demands = dict(zip((modifier.name for modifier in machine.modifiers), item.stroke.demands, strict=True))
    passed = {
        contact for contact in held_contacts(subject, fed) if demands.get(own.get(contact, "")) in (None, Demand.PASS)
    }
    return frozenset(item.stroke.holds) | passed


def settle(subject: Subject, newest_first: Iterable[Item], fed: int, on: bool) -> Settled:
    """What stays closed of some strokes while the typist feeds modifiers, the guard being on or off."""
    plan = subject.plan
    machine = plan.layout.machine
    items = list(newest_first)
    refused: list[Item] = []
    while on and items and _lies(subject, items[0], fed):
        refused.append(items.pop(0))
    if not items:
        return Settled(kept=(), refused=tuple(refused), opened=(), closed=tuple(sorted(held_contacts(subject, fed))))
    modifiers = modifier_contacts(subject, items[0], fed)
    kept, opened = [items[0]], []
    closed = modifiers | frozenset(items[0].stroke.contacts)
    for item in items[1:]:
        wider = closed | frozenset(item.stroke.contacts)
        room = machine.scan.rollover is None or len(wider - modifiers) <= machine.scan.rollover
        fits = room and together((*kept, item), fed_bits(subject)) and agrees(subject, items[0], item, fed)
        if fits and not (on and phantoms(machine, wider, plan.contacts)):
            kept.append(item)
            closed = wider
        else:
            opened.append(item)
    return Settled(kept=tuple(kept), refused=tuple(refused), opened=tuple(opened), closed=tuple(sorted(closed)))


def agrees(subject: Subject, newest: Item, older: Item, fed: int) -> bool:
    """Whether an older stroke asks for the states of the machine's modifiers that the newest one asks for."""
    machine = subject.plan.layout.machine
    held = held_contacts(subject, fed)
    for modifier, new, old in zip(machine.modifiers, newest.stroke.demands, older.stroke.demands, strict=True):
        typist = any(machine.key(name).contact in held for name in modifier.keys)
        states = [typist if demand is Demand.PASS else demand is Demand.HOLD for demand in (new, old)]
        if states[0] != states[1]:
            return False
    return True


def _lies(subject: Subject, item: Item, fed: int) -> bool:
    closed = modifier_contacts(subject, item, fed) | frozenset(item.stroke.contacts)
    return bool(phantoms(subject.plan.layout.machine, closed, subject.plan.contacts))
