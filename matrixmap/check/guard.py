"""What stays closed when strokes come one after the other, with the runtime's guard on or off.

The rule: start from the newest stroke and the modifiers held with it; where these alone break a rule, that stroke is
refused and the next newest is tried. Then, from newer to older, a stroke stays closed if with all kept so far it breaks
no rule: the same keys of modifiers closed, no contact twice, no more keys than the machine's rollover and, the guard being on,
no phantom. Modifiers are never opened: those that make a phantom among themselves are the one exception.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.check.subject import Item, Subject
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


def settle(subject: Subject, newest_first: Iterable[Item], fed: int, on: bool, rollover: bool = True) -> Settled:
    """What stays closed of some strokes while the typist feeds modifiers.

    The guard is `on` or off; without `rollover` the machine is taken to tell all keys apart.
    """
    plan = subject.plan
    items = list(newest_first)
    refused: list[Item] = []
    most = plan.layout.machine.scan.rollover if rollover else None
    while items and _impossible(subject, items[0], fed, on, most):
        refused.append(items.pop(0))
    if not items:
        return Settled(kept=(), refused=tuple(refused), opened=(), closed=tuple(sorted(held_contacts(subject, fed))))
    modifiers = modifier_contacts(subject, items[0], fed)
    kept, opened = [items[0]], []
    pressed = frozenset(items[0].stroke.contacts)
    for item in items[1:]:
        wider = pressed | frozenset(item.stroke.contacts)
        same = modifier_contacts(subject, item, fed) == modifiers and pressed.isdisjoint(item.stroke.contacts)
        fits = same and not (most is not None and len(wider) > most)
        if fits and not (on and phantoms(plan.layout.machine, wider | modifiers, plan.contacts)):
            kept.append(item)
            pressed = wider
        else:
            opened.append(item)
    return Settled(
        kept=tuple(kept), refused=tuple(refused), opened=tuple(opened), closed=tuple(sorted(pressed | modifiers))
    )


def _impossible(subject: Subject, item: Item, fed: int, on: bool, most: int | None) -> bool:
    """Whether a stroke and its modifiers break a rule by themselves."""
    plan = subject.plan
    pressed = frozenset(item.stroke.contacts)
    if most is not None and len(pressed) > most:
        return True
    closed = pressed | modifier_contacts(subject, item, fed)
    return on and bool(phantoms(plan.layout.machine, closed, plan.contacts))
