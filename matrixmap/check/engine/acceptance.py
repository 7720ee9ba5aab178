"""Acceptances: findings that a layout lives with, those that are gone, and those with more cases than were accepted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from matrixmap.model.finding import Finding, Severity
from matrixmap.model.layout import Acceptance, Layout
from matrixmap.model.rule import Rule

ACCEPTANCE_MATCHES_NOTHING = Rule(
    slug="acceptance-matches-nothing",
    severity=Severity.WARNING,
    purpose="A layout accepts a finding that does not exist.",
    explanation=(
        "The finding has disappeared, or never existed. If the line stayed, it would hide the next finding of its kind."
    ),
    bad="accept: {stroke-makes-phantom: the machine copes}\nkeys: {KeyA: a}",
    good="accept: {unreachable-character: visitors need the letter A only}\nkeys: {KeyA: a}",
)
ACCEPTANCE_COUNTS_WRONG = Rule(
    slug="acceptance-counts-wrong",
    severity=Severity.WARNING,
    purpose="A layout accepts a number of cases of a finding, but there are more or fewer.",
    explanation=(
        "If there are more, all of them are reported, because nobody has looked at the new ones. If there are "
        "fewer, the number would hide the next case."
    ),
    bad="accept: {unreachable-key: {count: 1, reason: visitors need the letter A only}}\nkeys: {KeyA: a}",
    good="accept: {unreachable-key: {count: 3, reason: visitors need the letter A only}}\nkeys: {KeyA: a}",
)


def accepted_findings(layout: Layout, findings: Iterable[Finding]) -> dict[Finding, Acceptance]:
    """The findings that a layout accepts, each with the line that accepts it."""
    found = list(findings)
    accepted: dict[Finding, Acceptance] = {}
    for line in layout.accept:
        taken = _taken(line, found)
        if line.count is None or sum(finding.count for finding in taken) <= line.count:
            accepted.update(dict.fromkeys(taken, line))
    return accepted


def _taken(line: Acceptance, findings: Iterable[Finding]) -> list[Finding]:
    """The findings that a line is about, ignoring its count."""
    return [finding for finding in findings if finding.slug == line.slug and line.takes(finding.text)]


def judge_acceptances(layout: Layout, findings: Iterable[Finding]) -> Iterator[Finding]:
    """A finding for each acceptance that matches nothing, or not the number of cases that it gives."""
    found = list(findings)
    for line in layout.accept:
        taken = _taken(line, found)
        count = sum(finding.count for finding in taken)
        missing = [witness for witness in line.witnesses if not _any_begins(taken, witness)]
        if not taken or missing:
            of = f" that begins with {', '.join(missing)}" if missing else ""
            rest = "the line" if len(missing) == len(line.witnesses) else "that"
            text = f"there is no {line.slug}{of} in this layout; remove {rest}"
            yield _finding(ACCEPTANCE_MATCHES_NOTHING, line, text)
        elif line.count is not None and count != line.count:
            cases = "1 case" if line.count == 1 else f"{line.count} cases"
            there = "is 1" if count == 1 else f"are {count}"
            look = "look at them and " if count > line.count else ""
            yield _finding(
                ACCEPTANCE_COUNTS_WRONG,
                line,
                f"{cases} of {line.slug} accepted, and there {there}; {look}write count: {count}",
            )


def _any_begins(findings: Iterable[Finding], witness: str) -> bool:
    return any(finding.text.startswith(f"{witness}:") for finding in findings)


def _finding(rule: Rule, line: Acceptance, text: str) -> Finding:
    return Finding(slug=rule.slug, severity=rule.severity, place=line.place, text=text)


def reasons_of(accepted: Mapping[Finding, Acceptance]) -> dict[str, str]:
    """The slugs of accepted findings, each with its reason."""
    return {finding.slug: line.reason for finding, line in accepted.items()}
