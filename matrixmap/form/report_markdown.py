"""The report of a check as Markdown, fit for a comment: the verdict first, findings folded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.check.run import Checked
from matrixmap.emit.tables.keylist import markdown
from matrixmap.form.report import WORST_FEW, Group, Result, Unread, counted, group, verdict_lines
from matrixmap.model.finding import Finding


def report_markdown(results: Iterable[Result], all_findings: bool) -> Iterator[str]:
    """A piece of the report for each layout, with the worst few findings of each group or with all of them."""
    for number, result in enumerate(results):
        if number:
            yield ""
        yield "\n".join(_unread(result) if isinstance(result, Unread) else _checked(result, all_findings))


def _unread(unread: Unread) -> Iterator[str]:
    yield f"## {markdown(unread.name)}"
    yield ""
    yield "This layout cannot be read, and was not checked."
    yield ""
    for finding in unread.findings:
        yield f"- {_place(finding)}{finding.slug}: {markdown(finding.text)}"


def _checked(checked: Checked, all_findings: bool) -> Iterator[str]:
    yield f"## {markdown(checked.plan.layout.title)}"
    yield ""
    yield f"Layout `{checked.plan.id}`: {counted(checked.findings)}."
    yield ""
    for line in verdict_lines(checked.verdict):
        yield f"- {markdown(line)}"
    for each in group(checked.findings):
        yield ""
        yield from _group(each, all_findings)
    reasons = {line.slug: line.reason for line in checked.plan.layout.accept}
    slugs = dict.fromkeys(finding.slug for finding in checked.accepted)
    if slugs:
        yield ""
        yield "Accepted:"
        yield ""
        for slug in slugs:
            yield f"- {slug}: {markdown(reasons[slug])}"


def _group(each: Group, all_findings: bool) -> Iterator[str]:
    yield f"<details><summary>{each.severity.word}: {each.rule.slug}, {each.count}</summary>"
    yield ""
    yield markdown(each.rule.purpose)
    yield ""
    told = each.findings if all_findings else each.findings[:WORST_FEW]
    for finding in told:
        yield f"- {_place(finding)}{markdown(finding.text)}"
    if len(told) < each.count:
        yield f"- and {each.count - len(told)} more"
    yield ""
    yield "</details>"


def _place(finding: Finding) -> str:
    return f"{markdown(str(finding.place))}: " if finding.place else ""
