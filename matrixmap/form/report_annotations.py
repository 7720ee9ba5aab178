"""The report of a check as workflow commands, which a workflow's log turns into annotations of a pull request.

A command is `::level key=value,...::message`. In a message % and line ends are escaped, in a value : and , as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.check.run import Checked
from matrixmap.form.report import WORST_FEW, Result, Unread, counted, group
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.words import shown

LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def report_annotations(results: Iterable[Result], all_findings: bool) -> Iterator[str]:
    """A command a finding: errors and warnings, the worst few of each group or all of them; notes only with all."""
    for result in results:
        if isinstance(result, Unread):
            for finding in result.findings:
                yield _command(finding, "")
        else:
            yield from _checked(result, all_findings)


def _checked(checked: Checked, all_findings: bool) -> Iterator[str]:
    for each in group(checked.findings):
        if each.severity is Severity.NOTE and not all_findings:
            continue
        told = each.findings if all_findings else each.findings[:WORST_FEW]
        for number, finding in enumerate(told):
            rest = each.count - len(told)
            more = f" ({rest} more of this kind)" if rest and number == len(told) - 1 else ""
            yield _command(finding, more)
    yield f"{checked.plan.id}: {counted(checked.findings)}"


def _command(finding: Finding, more: str) -> str:
    values = []
    if finding.place:
        place = finding.place
        values = [f"file={_value(place.file)}", f"line={place.line}", f"col={place.column}"]
    values.append(f"title={_value(finding.slug)}")
    return f"::{LEVELS[finding.severity]} {','.join(values)}::{_message(finding.text + more)}"


def _message(text: str) -> str:
    return shown(text).replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _value(text: str) -> str:
    return _message(text).replace(":", "%3A").replace(",", "%2C")
