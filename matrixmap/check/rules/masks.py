"""Masks: contacts that open and close unseen by the machine while others stay closed."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.engine.conflict_words import contacts_of
from matrixmap.check.engine.conflicts import likeliest, unlikely
from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.rules.phantoms import exceeds_rollover, never_together, not_told, what_happens
from matrixmap.circuit.reading import masked, phantoms
from matrixmap.model.finding import Severity
from matrixmap.model.words import stroke_name
from matrixmap.press.rules import Cause


def _masked_changes(conflicts: PlanConflicts) -> Iterator[Report]:
    wording, bare = conflicts.wording, conflicts.strokes.bare
    usual = Severity.NOTE if conflicts.plan.guard else Severity.WARNING
    together = [conflict for conflict in conflicts.masks if not exceeds_rollover(conflicts, conflict)]
    beyond = len(conflicts.masks) - len(together)
    told, more = likeliest(together)
    for conflict in told:
        items, fed, combinations = conflict.how
        guarded, severity = what_happens(conflicts, conflict, "not seen", usual)
        unseen, also = conflict.contacts, ""
        witness = wording.witness(items, fed, unseen=unseen)
        if witness.closed != unseen:
            closed = sum([1 << contact for contact in witness.closed])
            unseen, extra = contacts_of(bare.masked(closed)), contacts_of(bare.phantoms(closed))
            if not unseen:
                continue
            witness = witness._replace(phantoms=extra, unseen=unseen)
            also = f", and also reads {wording.reads(extra, witness.closed)}" if extra else ""
        yield Report(
            f"{wording.press(witness)}: while {wording.closes(unseen)} are closed, the machine cannot see one of them "
            f"open or close again{also}; {guarded}",
            place=wording.place(items),
            cases=combinations,
            witness=witness,
            likelihood=unlikely(conflict),
            at_most=severity,
        )
    if beyond:
        rectangles = "one rectangle" if beyond == 1 else f"{beyond} rectangles"
        yield never_together(conflicts, f"{rectangles} would be closed", beyond)
    if more:
        yield not_told(more, "rectangles would be closed", usual)


CHANGE_IS_MASKED = CheckRule(
    slug="change-is-masked",
    severity=Severity.WARNING,
    purpose="Four contacts of a rectangle are closed, and the machine cannot see one of them open or close.",
    explanation=(
        "While any three of them stay closed, current reaches the fourth crosspoint through them. The machine "
        "misses the release of the fourth contact, and also the press that closed it. With the guard on, the third "
        "contact already opens the oldest one; then the finding is a note."
    ),
    bad="keys: {KeyQ: q, KeyO: o, KeyA: a, KeyL: l}",
    good="keys: {KeyQ: q, KeyO: o, KeyA: a, KeyK: k}",
    of_machine=True,
    function=_masked_changes,
)


def _own_rectangles(conflicts: PlanConflicts) -> Iterator[Report]:
    machine, how, wording = conflicts.plan.layout.machine, conflicts.plan.contacts, conflicts.wording
    for item in conflicts.strokes.items:
        chord = item.stroke.contacts
        if len(chord) < 2:
            continue
        witness = wording.witness((item,), 0)
        refused = conflicts.strokes.rules.refusal(item.held, item.hold)
        if refused is not Cause.PHANTOM or phantoms(machine, witness.closed, how):
            continue
        unseen = tuple(sorted(masked(machine, witness.closed, how)))
        yield Report(
            f"{wording.press(witness)}: {stroke_name(machine, item.stroke)} closes {wording.closes(witness.closed)}; "
            "before the last of them closes, the others already make a phantom there, so the guard never closes the "
            "stroke; choose another stroke, or close contacts through diodes",
            place=wording.place((item,)),
            cases=item.count,
            witness=wording.witness((item,), 0, unseen=unseen),
            likelihood=item.unlikelihood,
        )


STROKE_CLOSES_RECTANGLE = CheckRule(
    slug="stroke-closes-rectangle",
    severity=Severity.ERROR,
    purpose="One stroke closes all four contacts of a rectangle, and the guard refuses it.",
    explanation=(
        "The runtime closes the contacts of a stroke one after the other. With three of them closed, current "
        "already reaches the fourth crosspoint, so the guard refuses the stroke each time. With the guard off, the "
        "stroke is closed."
    ),
    bad="keys: {F9: q + o + a + l}",
    good="keys: {F9: q + o}",
    function=_own_rectangles,
)

RULES = (STROKE_CLOSES_RECTANGLE, CHANGE_IS_MASKED)
