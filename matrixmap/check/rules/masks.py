"""Masks: contacts whose opening and closing the machine cannot see while others stay closed."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.engine.conflict_words import contacts_of
from matrixmap.check.engine.examined import Study
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.rules.phantoms import unlikely, what_happens
from matrixmap.circuit.reading import masked, phantoms
from matrixmap.model.finding import Severity
from matrixmap.model.words import stroke_name
from matrixmap.press.rules import Cause


def _masked_changes(study: Study) -> Iterator[Report]:
    teller, bare = study.teller, study.subject.bare
    usual = Severity.NOTE if study.plan.guard else Severity.WARNING
    for conflict in study.masks:
        items, fed, combinations = conflict.how
        guarded, severity = what_happens(study, conflict, "not seen", usual)
        unseen, also = conflict.contacts, ""
        witness = teller.witness(items, fed, unseen=unseen)
        if witness.closed != unseen:
            closed = sum([1 << contact for contact in witness.closed])
            unseen, extra = contacts_of(bare.masked(closed)), contacts_of(bare.phantoms(closed))
            if not unseen:
                continue
            witness = witness._replace(phantoms=extra, unseen=unseen)
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
    bad="keys: {KeyQ: q, KeyO: o, KeyA: a, KeyL: l}",
    good="keys: {KeyQ: q, KeyO: o, KeyA: a, KeyK: k}",
    function=_masked_changes,
)


def _own_rectangles(study: Study) -> Iterator[Report]:
    machine, how, teller = study.plan.layout.machine, study.plan.contacts, study.teller
    for item in study.subject.items:
        chord = item.stroke.contacts
        if len(chord) < 2:
            continue
        witness = teller.witness((item,), 0)
        refused = study.subject.rules.refusal(item.held, item.hold)
        if refused is not Cause.PHANTOM or phantoms(machine, witness.closed, how):
            continue
        unseen = tuple(sorted(masked(machine, witness.closed, how)))
        yield Report(
            f"{teller.press(witness)}: {stroke_name(machine, item.stroke)} closes {teller.closes(witness.closed)}; before the "
            "last of them closes, the others make a phantom there, so the guard never closes the stroke; choose another "
            "stroke, or close contacts through diodes",
            place=teller.place((item,)),
            cases=item.count,
            witness=teller.witness((item,), 0, unseen=unseen),
            likelihood=item.unlikelihood,
        )


STROKE_CLOSES_RECTANGLE = CheckRule(
    slug="stroke-closes-rectangle",
    severity=Severity.ERROR,
    purpose="One stroke closes all four contacts of a rectangle, and the guard refuses it.",
    explanation="The runtime closes the contacts of a stroke one after the other. With three of them closed current already "
    "reaches the fourth crosspoint, so the guard refuses the stroke each time. With the guard off it is closed.",
    bad="keys: {F9: q + o + a + l}",
    good="keys: {F9: q + o}",
    function=_own_rectangles,
)

RULES = (STROKE_CLOSES_RECTANGLE, CHANGE_IS_MASKED)
