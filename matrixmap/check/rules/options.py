"""Options: keys that only some of the machines have, and what a layout types with them."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.rules.reach import listed
from matrixmap.join.symbolic import best_offers
from matrixmap.model.finding import Severity
from matrixmap.model.plan import Plan, Stroke


def _needed_options(conflicts: PlanConflicts) -> Iterator[Report]:
    plan = conflicts.plan
    machine = plan.layout.machine
    typed = conflicts.strokes.typed
    only = {text: key.name for text, (key, _) in best_offers(machine).items() if text in typed}
    for option, keys in machine.options.items():
        texts = [text for text, key in only.items() if key in keys]
        lines = _lines(plan, keys)
        parts = [f"only these keys type {listed(texts)}"] if texts else []
        parts += (
            [
                f"{'lines' if len(lines) > 1 else 'line'} {', '.join(map(str, lines))} {'press' if len(lines) > 1 else 'presses'} them"
            ]
            if lines
            else []
        )
        if parts:
            yield Report(
                f"a machine without the option {option} lacks {listed(keys)}: {', and '.join(parts)}",
                cases=len(texts) + len(lines),
            )


def _lines(plan: Plan, keys: tuple[str, ...]) -> list[int]:
    """The numbers of the lines of the layout's own file that press keys of an option."""
    contacts = {plan.layout.machine.key(key).contact for key in keys}
    return sorted(
        {
            binding.place.line
            for binding in plan.bindings
            if binding.place is not None
            and binding.place.file == plan.layout.place.file
            and isinstance(binding.action, Stroke)
            and contacts.intersection((*binding.action.contacts, *binding.action.holds))
        }
    )


NEEDS_OPTION = CheckRule(
    slug="needs-option",
    severity=Severity.NOTE,
    purpose="A layout types something by keys that only some of the machines have.",
    explanation=(
        "A machine file lists such keys under `options`. The join by print uses one only if no other key types the "
        "character. On a machine without the option, nobody can type the characters that the finding names."
    ),
    bad="options: {pad: [pad-one]}\nb: {plain: b}\npad-one: {plain: 1, shift: a}",
    good="options: {pad: [pad-one]}\nb: {plain: b, shift: 1}\npad-one: {plain: 1, shift: a}",
    function=_needed_options,
)

RULES = (NEEDS_OPTION,)
