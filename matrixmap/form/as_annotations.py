"""Findings and changes as workflow commands, which a workflow's log turns into annotations of a pull request.

The form is common practice of workflow runners: `::error file=a,line=1,col=2,title=t::text`, with percent signs and ends
of lines written as %25, %0D and %0A, and in properties also colons and commas as %3A and %2C.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.items.item import Item, Part
from matrixmap.compare.sides.words import plain
from matrixmap.form.comparison import finding_groups
from matrixmap.form.report import Result, Told, causes, counted, told_of
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


MOST = 10
"""Annotations of one check: a runner shows no more of one step (common practice)."""


def report_annotations(results: Iterable[Result], all_findings: bool) -> Iterator[str]:
    """The worst causes as commands, each once however many layouts it is in; notes only with all. The last line counts."""
    yield from annotation_lines((told_of(result) for result in results), all_findings)


def annotation_lines(told: Iterable[Told], all_findings: bool) -> Iterator[str]:
    """The commands for what was found on some layouts, and a last line that is none."""
    listed = list(told)
    found = [
        cause
        for cause in causes(listed)
        if cause.reason is None and (all_findings or cause.finding.severity > Severity.NOTE)
    ]
    for cause in found[:MOST]:
        yield command(LEVELS[cause.finding.severity], cause.finding.place, cause.finding.slug, cause.words)
    what = listed[0].name if len(listed) == 1 else f"{len(listed)} layouts"
    more = f"; {len(found) - MOST} more causes are told by matrixmap check" if len(found) > MOST else ""
    yield shown(f"{what}: {counted(finding for each in listed for finding in each.findings)}{more}").replace(
        "::", ": :"
    )
