"""Checks a plan: all rules, the layout's acceptances, and the verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.check.acceptance import accepted_slugs, idle_acceptances
from matrixmap.check.registry import CHECK_RULES
from matrixmap.check.subject import make_subject
from matrixmap.check.verdict import Verdict, make_verdict
from matrixmap.model.finding import Finding
from matrixmap.model.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What a check found: findings, the worst first, those that the layout accepts apart, and the verdict."""

    plan: Plan
    findings: tuple[Finding, ...]
    accepted: tuple[Finding, ...]
    verdict: Verdict


def check_plan(plan: Plan) -> Checked:
    """All findings on a plan."""
    subject = make_subject(plan)
    found = [finding for rule in CHECK_RULES for finding in rule.findings(subject)]
    found += idle_acceptances(plan.layout, found)
    accepted = accepted_slugs(plan.layout)
    return Checked(
        plan=plan,
        findings=_sorted(finding for finding in found if finding.slug not in accepted),
        accepted=_sorted(finding for finding in found if finding.slug in accepted),
        verdict=make_verdict(subject),
    )


def _sorted(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=Finding.sort_key))
