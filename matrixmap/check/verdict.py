"""The short verdict: what cannot be reached, and how much of what is pressed together lies."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.check.subject import Item, Subject
from matrixmap.circuit.reading import phantoms
from matrixmap.model.machine import Contact


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Counts over the strokes of a plan, each host key's own ones counted once.

    `pairs` are those that two host keys can hold closed together; `lying_pairs` make a phantom on the bare matrix.
    """

    strokes: int
    lying_strokes: int
    pairs: int
    lying_pairs: int


def make_verdict(subject: Subject) -> Verdict:
    """The verdict on a plan."""
    plan = subject.plan
    lies: dict[frozenset[Contact], bool] = {}

    def lying(*items: Item) -> bool:
        closed = frozenset(contact for item in items for contact in (*item.stroke.contacts, *item.stroke.holds))
        if closed not in lies:
            lies[closed] = bool(phantoms(plan.layout.machine, closed, plan.contacts))
        return lies[closed]

    items = subject.items
    pairs = [
        (one, other)
        for number, one in enumerate(items)
        for other in items[:number]
        if one.usage != other.usage
        and not (one.hold | other.hold) & (one.lift | other.lift)
        and set(one.stroke.contacts).isdisjoint(other.stroke.contacts)
    ]
    return Verdict(
        strokes=len(items),
        lying_strokes=sum(lying(item) for item in items),
        pairs=len(pairs),
        lying_pairs=sum(lying(*pair) for pair in pairs),
    )
