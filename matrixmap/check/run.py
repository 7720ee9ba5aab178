"""Checks a plan: all rules, the layout's acceptances, and the verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.check.engine.acceptance import accepted_slugs, idle_acceptances
from matrixmap.check.engine.plan_conflicts import find_conflicts
from matrixmap.check.registry import CHECK_RULES
from matrixmap.check.rules.adapter import TABLE_TOO_LARGE
from matrixmap.check.verdict import Verdict, make_verdict
from matrixmap.model.finding import Finding
from matrixmap.model.plan import Plan
from matrixmap.press.table import TooLargeError


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found on a plan: findings, the worst first, and those that the layout accepts apart."""

    plan: Plan
    findings: tuple[Finding, ...]
    accepted: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked(Found):
    """What a whole check found, with the verdict."""

    verdict: Verdict


def find_in_plan(plan: Plan) -> Found:
    """All findings on a plan; of one with more parts than a table can count, this alone: nothing says what a press does."""
    try:
        return check_plan(plan)
    except TooLargeError as fault:
        place = plan.layout.place
        finding = Finding(slug=TABLE_TOO_LARGE.slug, severity=TABLE_TOO_LARGE.severity, place=place, text=str(fault))
        return Found(plan=plan, findings=(finding,))


def check_plan(plan: Plan) -> Checked:
    """All findings on a plan. TooLargeError if no table can hold it."""
    conflicts = find_conflicts(plan)
    found = [finding for rule in CHECK_RULES for finding in rule.findings(conflicts)]
    found += idle_acceptances(plan.layout, found)
    accepted = accepted_slugs(plan.layout)
    return Checked(
        plan=plan,
        findings=_sorted(finding for finding in found if finding.slug not in accepted),
        accepted=_sorted(finding for finding in found if finding.slug in accepted),
        verdict=make_verdict(conflicts),
    )


def _sorted(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """By severity, then by rule, the most harmful first, then by how likely the keys are to be held together."""
    order = {rule.slug: number for number, rule in enumerate(CHECK_RULES)}

    # Sorting keeps the order of the rule's function among equals, which is that of the layout's lines or contacts.
    return tuple(
        sorted(
            findings,
            key=lambda finding: (-finding.severity, order.get(finding.slug, len(order)), finding.likelihood),
        )
    )
