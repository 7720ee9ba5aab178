"""Strokes by themselves: what one press makes the machine read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.check.reach import listed
from matrixmap.check.record import CheckRule, Report
from matrixmap.check.subject import Item, Subject
from matrixmap.circuit.reading import phantoms
from matrixmap.model.finding import Place, Severity
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Stroke
from matrixmap.model.witness import Witness
from matrixmap.model.words import key_name, printed_keys, stroke_name


def closed_by(stroke: Stroke) -> tuple[Contact, ...]:
    """The contacts that a stroke closes while the typist holds no modifier besides, in order."""
    return tuple(sorted({*stroke.contacts, *stroke.holds}))


def place_of(subject: Subject, items: Iterable[Item]) -> Place | None:
    """The first layout line among those that cause some strokes."""
    wanted = {trigger for item in items for trigger in item.triggers}
    places = [binding.place for binding in subject.plan.bindings if binding.trigger in wanted and binding.place]
    return min(places, default=None)


def _lying_strokes(subject: Subject) -> Iterator[Report]:
    plan = subject.plan
    machine = plan.layout.machine
    cases: dict[tuple[Contact, ...], list[Item]] = {}
    for item in subject.items:
        cases.setdefault(closed_by(item.stroke), []).append(item)
    for closed, items in cases.items():
        read = tuple(sorted(phantoms(machine, closed, plan.contacts)))
        if read:
            item = items[0]
            yield Report(
                f"{printed_keys(plan.layout.host, item.trigger)} closes {stroke_name(machine, item.stroke)} "
                f"({', '.join(machine.contact_name(contact) for contact in closed)}), and the machine reads "
                f"{listed(key_name(machine, contact) for contact in read)} as well; choose another stroke, or close the contacts "
                "through diodes",
                place_of(subject, [item]),
                count=sum(len(each.triggers) for each in items),
                witness=Witness(presses=(item.trigger,), closed=closed, phantoms=read),
            )


STROKE_MAKES_PHANTOM = CheckRule(
    slug="stroke-makes-phantom",
    severity=Severity.ERROR,
    purpose="One press alone makes the machine read a key that is not pressed.",
    explanation="Three contacts of one stroke, its modifiers counted, lie at three corners of a rectangle of select and "
    "sense lines, and current finds its way to the fourth. The key never works, so the guard does not close it. "
    "Another key of the modifier or other keys avoid it, and so do diodes in the adapter.",
    bad="keys: {F1: d1 + q + d2}",
    good="keys: {F1: d1 + q}",
    function=_lying_strokes,
)

RULES = (STROKE_MAKES_PHANTOM,)
