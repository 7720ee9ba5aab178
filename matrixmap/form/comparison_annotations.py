"""A comparison as workflow commands that a pull request shows beside the lines of the change.

The form is common practice of workflow runners: `::error file=a,line=1,col=2,title=t::text`, with percent signs and ends
of lines written as %25, %0D and %0A, and in properties also colons and commas as %3A and %2C.
"""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.items.item import Item, Part
from matrixmap.compare.sides.words import plain
from matrixmap.form.comparison import finding_groups
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
            yield from (_finding("error", finding) for finding in layout.new_faults)
        for group in finding_groups(layout):
            # Notes about contacts that machine and host bring with them would bury what needs a look.
            if group.is_worse and group.severity is not Severity.NOTE:
                told = group.told()
                for number, (finding, _) in enumerate(told, start=1):
                    more = f" ({group.rest} more of this kind)" if group.rest and number == len(told) else ""
                    yield command(LEVELS[group.severity], finding.place, group.slug, finding.text + more)
        yield from (_breaking(layout.name, item) for item in layout.items if item.breaking)
    for file in comparison.loose:
        yield from (_finding("error", finding) for finding in file.findings)


def _finding(level: str, finding: Finding) -> str:
    return command(level, finding.place, finding.slug, finding.text)


def _breaking(layout: str, item: Item) -> str:
    subject = f"{layout}: " if item.part is Part.LAYOUT else ""
    return command("warning", item.place, "breaking change", f"{subject}{plain(item.words)}")


def command(level: str, place: Place | None, title: str, text: str) -> str:
    """One workflow command. A place in a revision, which is no file of the work tree, is left out."""
    properties = []
    if place is not None and ":" not in place.file:
        properties = [f"file={_property(place.file)}", f"line={place.line}", f"col={place.column}"]
    properties.append(f"title={_property(shown(title))}")
    return f"::{level} {','.join(properties)}::{_data(shown(text))}"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
