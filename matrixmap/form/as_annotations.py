"""Findings and changes as workflow commands, which a workflow's log turns into annotations of a pull request.

The form is common practice of workflow runners: `::error file=a,line=1,col=2,title=t::text`. Percent signs and ends of
lines are written as %25, %0D and %0A; in properties, colons and commas are also written, as %3A and %2C.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.once import clash_news, layouts_words
from matrixmap.compare.sides.words import plain
from matrixmap.form.comparison import finding_news, firmware_lines
from matrixmap.form.parts.report import Told, causes, counted
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.place import Place
from matrixmap.model.words import shown

LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def annotation_report(comparison: Comparison) -> str:
    """The worst facts, once each, on a changed line, at most MOST: faults of files first, then breaking changes."""
    lines = list(dict.fromkeys(_lines(comparison)))
    kept = lines if len(lines) <= MOST else lines[: MOST - 1]
    if len(kept) < len(lines):
        kept.append(command("notice", None, "review", f"{len(lines) - len(kept)} more are in the report"))
    return "".join(f"{line}\n" for line in kept)


def _lines(comparison: Comparison) -> Iterator[str]:
    for layout in comparison.layouts:
        if not layout.old_faults:
            yield from (_told(finding, finding.place) for finding in layout.new_faults)
    for file in comparison.loose:
        yield from (_told(finding, finding.place) for finding in file.findings)
    for clash in clash_news(comparison.clashes):
        there = plain(clash.clash.theirs)
        text = f"{plain(clash.clash.subject)} {plain(clash.clash.ours)}; in {comparison.theirs} it {there}"
        yield command("warning", _first_line(comparison, clash.layouts), "changed on both branches", text)
    for news in finding_news(comparison):
        if news.is_worse and news.finding.severity is Severity.ERROR:
            yield _told(news.finding, _changed(comparison, news.finding.place, news.layouts))
    for fact in comparison.news:
        if fact.breaking:
            place = _changed(comparison, fact.item.place, fact.layouts)
            layouts = plain(layouts_words(fact.layouts))
            text = f"{fact.subject or layouts}: {plain(fact.item.words)}"
            yield command("warning", place, f"breaking for the {fact.item.audience.value}", text)
    for line in firmware_lines(comparison):
        if line.breaking:
            yield command("warning", None, "breaking for the firmware", plain(line.words))
    for news in finding_news(comparison):
        if news.is_worse and news.finding.severity is Severity.WARNING:
            yield _told(news.finding, _changed(comparison, news.finding.place, news.layouts))


def _told(finding: Finding, place: Place | None) -> str:
    return command(LEVELS[finding.severity], place, finding.slug, finding.text)


def _changed(comparison: Comparison, place: Place | None, layouts: Iterable[str]) -> Place | None:
    """A place, if its line changed; else the nearest changed line of its file, or one in a file of the layouts."""
    file = next((file for file in comparison.edited if place is not None and place.file == file.shown), None)
    if place is None or file is None:
        return _first_line(comparison, layouts)
    if place.line in file.lines:
        return place
    line = min(file.lines, key=lambda number: (abs(number - place.line), number))
    return Place(file=file.shown, line=line, column=1)


def _first_line(comparison: Comparison, layouts: Iterable[str]) -> Place | None:
    """The first line that changed in the files of some layouts."""
    names = set(layouts)
    files = {name for layout in comparison.layouts if layout.name in names for name in layout.files}
    found = (Place(file=file.shown, line=file.lines[0], column=1) for file in comparison.edited if file.name in files)
    return next(found, None)


def command(level: str, place: Place | None, title: str, text: str) -> str:
    """One workflow command. A place in a revision or the shipped data is left out: it is no file of the work tree."""
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
"""Annotations of one check: a runner shows no more for one step (common practice)."""


def annotation_lines(told: Iterable[Told], all_findings: bool) -> Iterator[str]:
    """The commands for what was found on some layouts, and a last line that is not a command."""
    listed = list(told)
    found = [
        cause
        for cause in causes(listed)
        if cause.reason is None and (all_findings or cause.finding.severity > Severity.NOTE)
    ]
    for cause in found[:MOST]:
        yield command(LEVELS[cause.finding.severity], cause.finding.place, cause.finding.slug, cause.words)
    what = listed[0].name if len(listed) == 1 else f"{len(listed)} layouts"
    more = f"; matrixmap check lists {len(found) - MOST} more causes" if len(found) > MOST else ""
    yield shown(f"{what}: {counted(finding for each in listed for finding in each.findings)}{more}").replace(
        "::", ": :"
    )
