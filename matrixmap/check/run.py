"""The check of a plan: all rules, the layout's acceptances, and the verdict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from matrixmap.board.routes import Traced
from matrixmap.check.engine.acceptance import accepted_findings, judge_acceptances
from matrixmap.check.engine.machine_conflicts import MachineConflicts
from matrixmap.check.engine.plan_conflicts import PlanConflicts, find_conflicts
from matrixmap.check.on_board import ON_BOARD_RULES, find_on_board
from matrixmap.check.registry import CHECK_RULES
from matrixmap.check.rules.adapter import TABLE_TOO_LARGE, TABLE_UNSOUND
from matrixmap.check.verdict import Verdict, make_verdict
from matrixmap.model.finding import Finding
from matrixmap.model.plan import Plan
from matrixmap.press.every import Every
from matrixmap.press.table.contract import SIZES, Breach
from matrixmap.press.table.make import TableError


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found on a plan: findings, the worst first, and separately those that the layout accepts."""

    plan: Plan
    findings: tuple[Finding, ...]
    accepted: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked(Found):
    """A whole check: findings, verdict and the plan's conflicts; `everything` includes the machine's own findings."""

    verdict: Verdict
    conflicts: PlanConflicts
    everything: bool = True


def find_in_plan(
    plan: Plan, everything: bool = True, known: MachineConflicts | None = None, traced: Traced | None = None
) -> Found:
    """All findings about a plan, or only its own. Without a table only the reasons: nothing says what a press does.

    With the traced board of an adapter, also the findings about the two together; the plan then has the times of the
    board.
    """
    on_board = find_on_board(plan, traced) if traced is not None else None
    try:
        return check_plan(plan, everything, known, on_board)
    except TableError as fault:
        return Found(plan=plan, findings=(*_why_no_table(plan, fault.breaches), *(on_board or ())))


def _why_no_table(plan: Plan, breaches: Iterable[Breach]) -> Iterator[Finding]:
    places = {binding.trigger: binding.place for binding in plan.bindings}
    for breach in breaches:
        rule = TABLE_TOO_LARGE if breach.sentence in SIZES else TABLE_UNSOUND
        place = next(filter(None, map(places.get, breach.triggers)), plan.layout.place)
        text = f"{breach.text}; build refuses the layout"
        yield Finding(slug=rule.slug, severity=rule.severity, place=place, text=text)


def check_plan(
    plan: Plan,
    everything: bool = True,
    known: MachineConflicts | None = None,
    on_board: tuple[Finding, ...] | None = None,
) -> Checked:
    """All findings about a plan, or only its own without the machine's. TableError if no table can hold it.

    `known` are the conflicts of its machine, else worked out; `on_board` is what was found with the board of an
    adapter.
    """
    conflicts = find_conflicts(plan)
    found = _judged(conflicts, everything, on_board)
    return Checked(
        plan=plan,
        findings=found.findings,
        accepted=found.accepted,
        verdict=make_verdict(conflicts, known),
        conflicts=conflicts,
        everything=everything,
    )


def own_findings(plan: Plan, known: Every | None = None) -> Found:
    """A plan's own findings, without the machine's and without a verdict; or why no table can hold the plan.

    `known` are the presses of the plan, else worked out.
    """
    try:
        return _judged(find_conflicts(plan, known), False)
    except TableError as fault:
        return Found(plan=plan, findings=tuple(_why_no_table(plan, fault.breaches)))


def _judged(conflicts: PlanConflicts, everything: bool, on_board: tuple[Finding, ...] | None = None) -> Found:
    """What the rules find, and which of it the layout accepts."""
    layout = conflicts.plan.layout
    if on_board is None:
        # Nobody has looked for what these lines accept.
        slugs = {rule.slug for rule in ON_BOARD_RULES}
        layout = replace(layout, accept=tuple(line for line in layout.accept if line.slug not in slugs))
    named = {line.slug for line in layout.accept}
    rules = [rule for rule in CHECK_RULES if everything or not rule.of_machine or rule.slug in named]
    found = [finding for rule in rules for finding in rule.findings(conflicts)]
    found += on_board or ()
    found += judge_acceptances(layout, found)
    accepted = accepted_findings(layout, found) if layout.accept else {}
    return Found(
        plan=conflicts.plan,
        findings=_sorted(finding for finding in found if finding not in accepted),
        accepted=_sorted(accepted),
    )


def _sorted(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """By severity, then by rule, the most harmful first, then by how likely the keys are to be held together."""
    order = {rule.slug: number for number, rule in enumerate((*CHECK_RULES, *ON_BOARD_RULES))}

    # Sorting is stable: equals keep the order of the rule's function, which is that of the layout's lines or contacts.
    return tuple(
        sorted(
            findings,
            key=lambda finding: (-finding.severity, order.get(finding.slug, len(order)), finding.likelihood),
        )
    )
