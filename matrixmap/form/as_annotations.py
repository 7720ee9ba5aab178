"""Findings and changes as workflow commands, which a workflow's log turns into annotations of a pull request.

The form is common practice of workflow runners: `::error file=a,line=1,col=2,title=t::text`, with percent signs and ends
of lines written as %25, %0D and %0A, and in properties also colons and commas as %3A and %2C.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.check.run import Checked
from matrixmap.compare.comparison import Comparison
from matrixmap.compare.items.item import Item, Part
from matrixmap.compare.sides.words import plain
from matrixmap.form.comparison import finding_groups
from matrixmap.form.report import WORST_FEW, Result, Unread, counted, group
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.place import Place
from matrixmap.model.words import shown

LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def annotation_report(comparison: Comparison) -> str:
    """A line for each breaking change, the worst new errors and warnings, and all faults of files, each once."""
    lines = dict.fromkeys(_lines(comparison))
    return "".join(f"{line}\n" for line in lines)


def _lines(comparison: Comparison) -> Iterator[str]:
    for layout in comparison.layouts:
        if layout.newly_broken:
            yield from (_told(finding) for finding in layout.new_faults)
        for same in finding_groups(layout):
            # Notes about contacts that machine and host bring with them would bury what needs a look.
            if same.is_worse and same.severity is not Severity.NOTE:
                told = same.told()
                for number, (finding, _) in enumerate(told, start=1):
                    more = f" ({same.rest} more of this kind)" if same.rest and number == len(told) else ""
                    yield _told(finding, more)
        yield from (_breaking(layout.name, item) for item in layout.items if item.breaking)
    for file in comparison.loose:
        yield from (_told(finding) for finding in file.findings)


def _told(finding: Finding, more: str = "") -> str:
    return command(LEVELS[finding.severity], finding.place, finding.slug, finding.text + more)


def _breaking(layout: str, item: Item) -> str:
    subject = f"{layout}: " if item.part is Part.LAYOUT else ""
    return command("warning", item.place, "breaking change", f"{subject}{plain(item.words)}")


def command(level: str, place: Place | None, title: str, text: str) -> str:
    """One workflow command. A place in a revision or in the shipped data, which is no file of the work tree, is left out."""
    properties = []
    if place is not None and ":" not in place.file:
        properties = [f"file={_property(shown(place.file))}", f"line={place.line}", f"col={place.column}"]
    properties.append(f"title={_property(shown(title))}")
    return f"::{level} {','.join(properties)}::{_data(shown(text))}"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")


def report_annotations(results: Iterable[Result], all_findings: bool) -> Iterator[str]:
    """A command a finding: errors and warnings, the worst few of each group or all of them; notes only with all."""
    for result in results:
        if isinstance(result, Unread):
            for finding in result.findings:
                yield _told(finding)
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
            yield _told(finding, more)
    yield f"{checked.plan.id}: {counted(checked.findings)}"
