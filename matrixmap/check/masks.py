"""Masks: contacts whose opening and closing the machine cannot see while others stay closed."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.phantoms import unlikely
from matrixmap.check.record import CheckRule, Report
from matrixmap.check.study import Study
from matrixmap.circuit.reading import masked, phantoms
from matrixmap.model.finding import Severity


def _masked_changes(study: Study) -> Iterator[Report]:
    machine, how = study.plan.layout.machine, study.plan.contacts
    teller = study.teller
    guarded = "the guard keeps it from coming to that" if study.plan.guard else "the guard is off, so it happens"
    severity = Severity.NOTE if study.plan.guard else Severity.WARNING
    for conflict in study.masks:
        items, fed, combinations = conflict.how
        unseen, also = conflict.contacts, ""
        witness = teller.witness(items, fed, unseen=unseen)
        if len(witness.closed) > len(unseen):
            unseen = tuple(sorted(masked(machine, witness.closed, how)))
            extra = tuple(sorted(phantoms(machine, witness.closed, how)))
            witness = teller.witness(items, fed, extra, unseen)
            also = f", and also reads {teller.reads(extra, witness.closed)}" if extra else ""
        yield Report(
            f"{teller.press(witness)}: while {teller.closes(unseen)} are closed, the machine sees neither that one of them "
            f"opens nor that it closes again{also}; {guarded}",
            place=teller.place(items),
            cases=combinations,
            witness=witness,
            likelihood=unlikely(conflict),
            at_most=severity,
        )


CHANGE_IS_MASKED = CheckRule(
    slug="change-is-masked",
    severity=Severity.WARNING,
    purpose="Four contacts of a rectangle are closed, and the machine does not see one of them open or close.",
    explanation="While any three of them stay closed, current reaches the fourth crosspoint through them. A release goes "
    "unseen, and so does the press that closed the fourth. With the guard on, the third one already opens the oldest; "
    "then this is a note.",
    bad="keys: {KeyQ: q, KeyW: w, KeyA: a, KeyS: s}",
    good="keys: {KeyQ: q, KeyW: w, KeyA: a, KeyD: d}",
    function=_masked_changes,
)

RULES = (CHANGE_IS_MASKED,)
