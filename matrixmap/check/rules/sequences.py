"""Sequences that do not type what they should: one of their strokes is refused, or the machine reads something else."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.model.finding import Severity
from matrixmap.model.plan import Stroke
from matrixmap.model.words import shown, stroke_name
from matrixmap.press.every import Pressed
from matrixmap.press.how_to_type import key_press
from matrixmap.press.words import REFUSALS, press_words


def _sequences(conflicts: PlanConflicts) -> Iterator[tuple[Pressed, Stroke]]:
    """Every press that plays a sequence, with its last stroke as the plan has it."""
    every, plan = conflicts.strokes.every, conflicts.plan
    accents = every.rules.table.accents
    for pressed in (*every.single, *every.pairs):
        if not pressed.done.before:
            continue
        press = key_press(every, pressed.key, pressed.level, every.classes[pressed.hold].sets[0])
        stroke: object = plan.lookup(press.trigger)
        if pressed.accent:
            stroke = plan.dead_keys.pairs.get((accents[pressed.accent - 1], pressed.key.usage, pressed.level))
        if isinstance(stroke, Stroke):
            yield pressed, stroke


def _sequence_goes_wrong(conflicts: PlanConflicts) -> Iterator[Report]:
    every, host = conflicts.strokes.every, conflicts.plan.layout.host
    told: set[tuple[object, ...]] = set()
    for pressed, stroke in _sequences(conflicts):
        done, wanted = pressed.done, stroke.types.text if stroke.types else ""
        # Further held keys are a matter for the other rules.
        if done.text == wanted or (stroke, done.refused) in told or every.classes[pressed.hold].typist:
            continue
        told.add((stroke, done.refused))
        press = press_words(host, key_press(every, pressed.key, pressed.level, every.classes[pressed.hold].sets[0]))
        strokes = stroke_name(conflicts.plan.layout.machine, stroke)
        what = REFUSALS[done.refused] if done.refused in REFUSALS else f"types {shown(done.text or 'something else')}"
        yield Report(
            f"{press} plays {strokes} to type {shown(wanted)}, but one of these strokes is {what}"
            if done.refused
            else f"{press} plays {strokes} to type {shown(wanted)}, but the machine {what}",
        )


SEQUENCE_GOES_WRONG = CheckRule(
    slug="sequence-goes-wrong",
    severity=Severity.ERROR,
    purpose="A sequence of strokes does not type what it should.",
    explanation=(
        "The guard or the rollover refuses one of its strokes, or the machine reads a phantom, so the other "
        "strokes type something else. Another sequence in the machine file helps, or a diode in each contact; "
        "diodes-cost-margin says what diodes cost."
    ),
    bad="join: symbolic",
    good="join: symbolic\ncontacts: switch-with-diode",
    function=_sequence_goes_wrong,
)

RULES = (SEQUENCE_GOES_WRONG,)
