"""Strokes that contradict each other: two that cannot be closed together, of which the newest stays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.engine.strokes import Item
from matrixmap.model.finding import Severity
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Demand
from matrixmap.model.words import key_name


def _names(conflicts: PlanConflicts, items: Sequence[Item]) -> str:
    names = dict.fromkeys((conflicts.wording.cap(item.ways[0])) for item in items)
    return ", ".join(names)


def _pairs(one: Sequence[Item], other: Sequence[Item]) -> int:
    """The number of pairs of different host keys between two sets of strokes."""
    return sum(first.usage != second.usage for first in one for second in other)


def _contradicting(conflicts: PlanConflicts) -> Iterator[Report]:
    machine = conflicts.plan.layout.machine
    for number, modifier in enumerate(machine.modifiers):
        hold, lift, as_held = (
            [item for item in conflicts.strokes.items if item.stroke.demands[number] is demand]
            for demand in (Demand.HOLD, Demand.LIFT, Demand.PASS)
        )
        lifted = f"{_names(conflicts, hold)} hold {modifier.name}, and {_names(conflicts, lift)} lift it"
        yield from _apart(conflicts, lift, hold, lifted)
        own = {machine.key(name).contact for name in modifier.keys}
        by_key: dict[Contact, list[Item]] = {}
        for item in hold:
            for contact in own.intersection(item.stroke.holds):
                by_key.setdefault(contact, []).append(item)
        words = {
            contact: f"{_names(conflicts, items)} hold {modifier.name} by {key_name(machine, contact)}"
            for contact, items in by_key.items()
        }
        for first, second in combinations(by_key, 2):
            other = f"{_names(conflicts, by_key[second])} by {key_name(machine, second)}"
            yield from _apart(conflicts, by_key[first], by_key[second], f"{words[first]}, and {other}")
        for contact, items in by_key.items():
            if contact not in conflicts.strokes.feeds.values():
                free = f"which no host key holds, and {_names(conflicts, as_held)} leave it as it is"
                yield from _apart(conflicts, items, as_held, f"{words[contact]}, {free}")


def _apart(conflicts: PlanConflicts, one: Sequence[Item], other: Sequence[Item], words: str) -> Iterator[Report]:
    """A report on two sets of strokes: no stroke of one set can be closed with a stroke of the other."""
    count = _pairs(one, other)
    if count:
        back = "until the newer one is released" if conflicts.plan.layout.resumes else "until it is pressed again"
        yield Report(
            f"{words}: if one of each is held together, the runtime opens the older one, {back}",
            cases=count,
            witness=conflicts.wording.what_is_left(_likeliest(one, other), 0),
        )


def _likeliest(one: Sequence[Item], other: Sequence[Item]) -> tuple[Item, Item]:
    pairs = ((first, second) for first in one for second in other if first.usage != second.usage)
    return min(pairs, key=lambda pair: pair[0].unlikelihood + pair[1].unlikelihood)


STROKES_CONTRADICT = CheckRule(
    slug="strokes-contradict",
    severity=Severity.NOTE,
    purpose="Two strokes ask for different states of one modifier, so they cannot be closed together.",
    explanation=(
        "One stroke holds the modifier and the other lifts it. Or both hold it by different keys of the machine. "
        "Or one holds it by a key that no host key closes, and the other leaves it as it is. The "
        "newer stroke wins. The older one opens, and stays open until it is pressed again, or with `resume: on` "
        "until the newer one is released. Each stroke of the first list contradicts each stroke of the second."
    ),
    bad="keys: {F9: shift + a}",
    good="keys: {F9: b}",
    function=_contradicting,
)


def _sharing(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    machine = conflicts.plan.layout.machine
    by_contact: dict[Contact, list[Item]] = {}
    for item in strokes.items:
        for contact in item.stroke.contacts:
            by_contact.setdefault(contact, []).append(item)
    shared = {
        contact: items for contact, items in sorted(by_contact.items()) if len({item.usage for item in items}) > 1
    }
    if shared:
        words = "; ".join(
            f"{key_name(machine, contact)}: {_names(conflicts, items)}" for contact, items in shared.items()
        )
        older, newer = _likeliest(*([next(iter(shared.values()))] * 2))
        yield Report(
            f"these host keys press the same key of the machine ({words}): if two of them are held together, the "
            "older one is opened, so that the machine sees the newer one",
            cases=len(shared),
            witness=conflicts.wording.what_is_left((older, newer), 0),
        )


STROKES_SHARE_CONTACT = CheckRule(
    slug="strokes-share-contact",
    severity=Severity.NOTE,
    purpose="Several host keys press the same key of the machine.",
    explanation=(
        "If the second key is pressed while the first is held, it opens the contact for a moment and closes it "
        "again, so the machine sees two presses."
    ),
    bad="keys: {KeyA: a, F9: a}",
    good="keys: {KeyA: a, F9: b}",
    function=_sharing,
)

RULES = (STROKES_CONTRADICT, STROKES_SHARE_CONTACT)
