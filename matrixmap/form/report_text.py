"""The report of a check for reading in a terminal: plain lines, nothing that a terminal would obey."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.check.run import Checked
from matrixmap.form.report import WORST_FEW, Group, Result, Unread, counted, group, practice_outcome, verdict_lines
from matrixmap.model.finding import Finding
from matrixmap.model.place import Place
from matrixmap.model.words import shown


def report_text(results: Iterable[Result], all_findings: bool) -> Iterator[str]:
    """A piece of the report for each layout, with the worst few findings of each group or with all of them."""
    for number, result in enumerate(results):
        if number:
            yield ""
        yield "\n".join(_unread(result) if isinstance(result, Unread) else _checked(result, all_findings))


def finding_line(finding: Finding) -> str:
    """A finding as `file:line:column: slug: text`."""
    place = f"{finding.place}: " if finding.place else ""
    return shown(f"{place}{finding.slug}: {finding.text}")


def _unread(unread: Unread) -> Iterator[str]:
    yield f"{shown(unread.name)}: cannot be read, and was not checked"
    for finding in unread.findings:
        yield finding_line(finding)


def _checked(checked: Checked, all_findings: bool) -> Iterator[str]:
    yield f"{checked.plan.id}: {shown(checked.plan.layout.title)}"
    for line in verdict_lines(checked.verdict):
        yield f"  {line}"
    if all_findings:
        for practice in checked.verdict.practice:
            yield shown(f"  In practice, {practice.press}: {practice_outcome(practice)}.")
    yield f"  Findings: {counted(checked.findings)}{_accepted(checked)}."
    for each in group(checked.findings):
        yield ""
        yield from _group(each, all_findings, checked.plan.layout.place)


def _accepted(checked: Checked) -> str:
    if not checked.accepted:
        return ""
    slugs = dict.fromkeys(finding.slug for finding in checked.accepted)
    reasons = {line.slug: line.reason for line in checked.plan.layout.accept}
    words = [f"{slug} ({shown(reasons[slug])})" for slug in slugs]
    return f"; accepted: {', '.join(words)}"


def _group(each: Group, all_findings: bool, header: Place) -> Iterator[str]:
    # A finding that no line causes stands at the line that names the layout, which need not be repeated.
    yield f"{each.severity.word}: {each.rule.slug}, {each.count}: {each.rule.purpose}"
    told = each.findings if all_findings else each.findings[:WORST_FEW]
    for finding in told:
        place = f"{finding.place}: " if finding.place and finding.place != header else ""
        times = f" ({finding.count} combinations)" if finding.witness and finding.count > 1 else ""
        yield shown(f"  {place}{finding.text}{times}")
    if len(told) < each.count:
        yield f"  and {each.count - len(told)} more (--all shows them, matrixmap explain {each.rule.slug} what they mean)"
