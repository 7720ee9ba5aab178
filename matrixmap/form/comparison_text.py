"""A comparison for the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.items.item import Item
from matrixmap.compare.layouts import LayoutComparison, Status
from matrixmap.compare.sides.words import count_of, plain
from matrixmap.form.comparison import (
    CAUTION,
    FindingGroup,
    code_words,
    counts,
    file_words,
    finding_counts,
    finding_groups,
    finding_text,
    headline,
    layout_headline,
    needs_caution,
    new_name,
    place_words,
    rest_words,
    sorted_items,
)
from matrixmap.model.finding import Finding
from matrixmap.model.words import shown

MOST_ITEMS = 30
"""Items of a layout, machine or host that are told without `--all`."""


def text_report(comparison: Comparison, every: bool) -> Iterator[str]:
    """The lines of a comparison; without `every`, long lists are cut with a count."""
    yield f"{shown(comparison.old)} -> {shown(comparison.new)}"
    yield counts(comparison)
    yield headline(comparison)
    for part in comparison.shared():
        yield ""
        yield f"{part.part.value} {part.name} ({count_of(len(part.layouts), 'layout')})"
        yield from _items(sorted_items(part.items), every)
    for layout in comparison.layouts:
        if layout.status is not Status.UNTOUCHED:
            yield from _layout(layout, every)
    if comparison.loose:
        yield ""
    for file in comparison.loose:
        yield f"{shown(file.name)}: {file.change}, but no layout uses it"
        yield from _faults(file.findings)
    yield from _clashes(comparison)
    if needs_caution(comparison):
        yield ""
        yield CAUTION


def _layout(layout: LayoutComparison, every: bool) -> Iterator[str]:
    yield ""
    was = new_name(layout)
    files = f" ({plain(file_words(layout))})" if layout.status is Status.SAME else ""
    yield f"{shown(layout.name)}{f' (was {shown(was)})' if was else ''}: {layout_headline(layout)}{files}"
    if layout.status is Status.SAME:
        return
    if layout.status is Status.BROKEN:
        yield from _faults(layout.new_faults or layout.old_faults)
        return
    yield from _items(layout.own_items(), every)
    numbers = finding_counts(layout)
    if numbers:
        yield f"  findings  {numbers}"
    if layout.status is not Status.REMOVED:
        groups = finding_groups(layout)
        for group in groups:
            yield from _group(layout, group, every)
        if not every:
            yield from (f"    {line}" for line in rest_words(groups))
    code = code_words(layout)
    if code:
        yield f"  C         {shown(code)}"


def _items(items: Iterable[Item], every: bool) -> Iterator[str]:
    lines = [f"  {'breaking' if item.breaking else '':8}  {plain(item.words)}" for item in items]
    yield from _cut(lines, every)


def _cut(lines: list[str], every: bool) -> Iterator[str]:
    most = len(lines) if every or len(lines) <= MOST_ITEMS + 1 else MOST_ITEMS
    yield from lines[:most]
    if most < len(lines):
        yield f"  {'':8}  ... and {len(lines) - most} more (--all tells them)"


def _group(layout: LayoutComparison, group: FindingGroup, every: bool) -> Iterator[str]:
    for finding, more in group.rows if every else group.told():
        place = place_words(layout, finding)
        where = f"{shown(place)}: " if place else ""
        yield f"    {group.word} {group.severity.word}: {where}{group.slug}: {shown(finding.text + more if every else finding_text(finding, more))}"


def _faults(findings: Iterable[Finding]) -> Iterator[str]:
    for finding in findings:
        yield f"    {shown(str(finding.place))}: {finding.slug}: {shown(finding.text)}"


def _clashes(comparison: Comparison) -> Iterator[str]:
    if comparison.theirs is None:
        return
    yield ""
    if not comparison.clashes:
        yield f"nothing was changed differently in {shown(comparison.theirs)}"
        return
    yield f"changed here and in {shown(comparison.theirs)}, each in its own way:"
    for clash in comparison.clashes:
        yield f"  {shown(clash.layout)}: {plain(clash.subject)}"
        yield f"    before  {plain(clash.base)}"
        yield f"    here    {plain(clash.ours)}"
        yield f"    there   {plain(clash.theirs)}"
