"""The record of a rule about a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.place import Place
from matrixmap.model.rule import Rule
from matrixmap.model.witness import Witness


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRule(Rule):
    """A rule of checking: its record and the function that finds its cases.

    `bad` and `good` are excerpts of the rule's case in the tests, one with the finding and one without it. A rule with
    `of_machine` is about the machine and the adapter's contacts: it is reported once for the machine, and for a layout
    only if everything is asked for.
    """

    function: Callable[[PlanConflicts], Iterable[Report]]
    of_machine: bool = False

    def findings(self, conflicts: PlanConflicts) -> Iterable[Finding]:
        """The findings of this rule on a plan, in the order of the function."""
        layout_place = conflicts.plan.layout.place
        slug, severity = self.slug, self.severity
        for text, place, cases, witness, likelihood, at_most in self.function(conflicts):
            yield Finding(
                slug=slug,
                severity=severity if severity is at_most else min(severity, at_most),
                place=place or layout_place,
                text=text,
                count=cases,
                witness=witness,
                likelihood=likelihood,
            )


class Report(NamedTuple):
    """What a rule's function says about one case: the finding without the rule's slug. A tuple is made quickly.

    A `place` of None means the line that names the layout. `cases` is how many cases the finding counts for; `at_most`
    lowers the severity of the rule.
    """

    text: str
    place: Place | None = None
    cases: int = 1
    witness: Witness | None = None
    likelihood: int = 0
    at_most: Severity = Severity.ERROR
