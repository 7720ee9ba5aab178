"""A rule: what one kind of finding means, for the report, the `explain` command and the documentation."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.model.finding import Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """The record of one kind of finding.

    `slug` is the fault as a kebab-case claim, `purpose` one line, `explanation` the long text. `bad` and `good` are
    excerpts of a file with and without the fault.
    """

    slug: str
    severity: Severity
    purpose: str
    explanation: str
    bad: str
    good: str
