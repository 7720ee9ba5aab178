"""The record of a rule that looks at a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from matrixmap.check.subject import Subject
from matrixmap.model.finding import Finding, Place, Severity
from matrixmap.model.rule import Rule
from matrixmap.model.witness import Witness


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRule(Rule):
    """A rule of checking: its record and the function that finds what it is about.

    `bad` and `good` are excerpts of the rule's case in the tests, which shows the one with the finding and the other
    without it.
    """

    function: Callable[[Subject], Iterable[Report]]

    def findings(self, subject: Subject) -> Iterable[Finding]:
        """The findings of this rule on a plan, in the order of the function."""
        for report in self.function(subject):
            yield Finding(
                slug=self.slug,
                severity=min(self.severity, report.at_most),
                place=report.place or subject.plan.layout.place,
                text=report.text,
                count=report.count,
                witness=report.witness,
                likelihood=report.likelihood,
            )


@dataclass(frozen=True, slots=True)
class Report:
    """What a rule's function says of one case: the finding but for the rule's slug.

    A `place` of None is the line that names the layout; `at_most` lowers the severity of the rule.
    """

    text: str
    place: Place | None = None
    count: int = 1
    witness: Witness | None = None
    likelihood: int = 0
    at_most: Severity = Severity.ERROR
