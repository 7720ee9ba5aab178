"""Acceptances: findings that a layout lives with, and those that have gone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.model.finding import Finding, Severity
from matrixmap.model.layout import Layout
from matrixmap.model.rule import Rule

ACCEPTANCE_MATCHES_NOTHING = Rule(
    slug="acceptance-matches-nothing",
    severity=Severity.WARNING,
    purpose="A layout accepts a finding that is not there.",
    explanation="The finding has gone, or never was; left in place, the line would hide the next one of its kind.",
    bad="accept: {stroke-makes-phantom: the machine copes}\nkeys: {KeyA: a}",
    good="accept: {unreachable-character: visitors need the letter A only}\nkeys: {KeyA: a}",
)


def accepted_slugs(layout: Layout) -> frozenset[str]:
    """The slugs that a layout accepts."""
    return frozenset(line.slug for line in layout.accept)


def idle_acceptances(layout: Layout, findings: Iterable[Finding]) -> Iterator[Finding]:
    """A finding for each acceptance that none of the findings matches."""
    found = {finding.slug for finding in findings}
    for line in layout.accept:
        if line.slug not in found:
            yield Finding(
                slug=ACCEPTANCE_MATCHES_NOTHING.slug,
                severity=ACCEPTANCE_MATCHES_NOTHING.severity,
                place=line.place,
                text=f"there is no {line.slug} in this layout; take the line out",
            )
