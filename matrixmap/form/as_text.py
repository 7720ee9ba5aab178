"""Findings and changes for reading in a terminal: plain lines, nothing that a terminal would obey."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from matrixmap.check.machine import MachineChecked
from matrixmap.check.run import Checked
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
from matrixmap.form.report import (
    WORST_FEW,
    Group,
    Result,
    Told,
    Unread,
    counted,
    group,
    practice_outcome,
    verdict_lines,
)
from matrixmap.form.screen import WIDTH, first_screen, machine_screen, task_words
from matrixmap.form.wrapping import wrapped
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.place import Place
from matrixmap.model.words import shown


def report_text(results: Iterable[Result], all_findings: bool, width: int | None = None) -> Iterator[str]:
    """A piece of the report for each layout: its first screen with the worst few errors and warnings, or everything.

    Lines are wrapped at a width in columns, None for no wrapping.
    """
    for number, result in enumerate(results):
        if number:
            yield ""
        yield layout_text(result, all_findings, width)


def layout_text(result: Result, all_findings: bool, width: int | None = None) -> str:
    """The report of one layout."""
    if isinstance(result, Unread):
        lines = list(_unread(result))
    elif all_findings:
        lines = list(_checked(result))
    else:
        screen = first_screen(result, min(WIDTH, width or WIDTH))
        lines = [*screen, *_groups(result.findings, result.plan.layout.place, False, Severity.WARNING)]
    return "\n".join(fitting(lines, width))


def fitting(lines: Iterable[str], width: int | None) -> Iterator[str]:
    """Lines wrapped at a width, the rest of a line further in than its beginning."""
    for line in lines:
        if width is None or len(line) * 2 <= width:
            yield line
            continue
        text = line.lstrip(" ")
        indent = " " * (len(line) - len(text))
        first, *rest = wrapped(text, width - len(indent)) or [""]
        yield indent + first
        if rest:
            further = indent + " " * HANGING
            for more in wrapped(text[len(first) :].lstrip(" "), width - len(further)):
                yield further + more


def line_of_many(result: Result, all_findings: bool, width: int | None = None) -> str:
    """A layout among many: a line, with what is to do below it."""
    if all_findings or isinstance(result, Unread):
        return layout_text(result, all_findings, width)
    lines = [f"{result.plan.id}: {counted(result.findings)}"]
    for each in group(result.findings):
        if each.severity > Severity.NOTE:
            more = f" (and {each.count - 1} more)" if each.count > 1 else ""
            lines.append(f"  {task_words(each.findings[0])}{more}")
    return "\n".join(fitting(lines, width))


def summary(told: Sequence[Told]) -> str:
    """How many layouts there are, and how they stand: `67 layouts: 66 without errors or warnings, 1 with some`."""
    failed = sum(each.why is not None for each in told)
    wanting = sum(
        each.why is None and any(finding.severity > Severity.NOTE for finding in each.findings) for each in told
    )
    parts = [f"{len(told) - failed - wanting} without errors or warnings"]
    parts += [f"{wanting} with some"] if wanting else []
    parts += [f"{failed} not checked"] if failed else []
    return f"{count_of(len(told), 'layout')}: {', '.join(parts)}"


def machine_text(checked: MachineChecked, all_findings: bool, width: int | None = None) -> str:
    """The report of a machine by itself."""
    lines = machine_screen(checked, min(WIDTH, width or WIDTH))
    lines += _groups(checked.findings, checked.machine.place, all_findings, Severity.NOTE)
    return "\n".join(fitting(lines, width))


HANGING = 4
"""Columns by which the rest of a wrapped line stands further in."""


def finding_line(finding: Finding) -> str:
    """A finding as `file:line:column: slug: text`."""
    place = f"{finding.place}: " if finding.place else ""
    return shown(f"{place}{finding.slug}: {finding.text}")


def _unread(unread: Unread) -> Iterator[str]:
    yield f"{shown(unread.name)}: {unread.why}, and was not checked"
    for finding in unread.findings:
        yield finding_line(finding)


def _checked(checked: Checked) -> Iterator[str]:
    """Everything that is known of a layout."""
    yield f"{checked.plan.id}: {shown(checked.plan.layout.title)}"
    for line in verdict_lines(checked.verdict):
        yield f"  {line}"
    for practice in checked.verdict.practice:
        yield shown(f"  In practice, {practice.press}: {practice_outcome(practice)}.")
    yield f"  Findings: {counted(checked.findings)}{_accepted(checked)}."
    yield from _groups(checked.findings, checked.plan.layout.place, True, Severity.NOTE)


def _groups(findings: Iterable[Finding], header: Place, all_findings: bool, least: Severity) -> Iterator[str]:
    """The findings of some severity or worse, kind by kind, each after an empty line."""
    for each in group(findings):
        if each.severity >= least:
            yield ""
            yield from _group(each, all_findings, header)


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
            yield from _changed_group(layout, group, every)
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


def _changed_group(layout: LayoutComparison, group: FindingGroup, every: bool) -> Iterator[str]:
    for finding, more in group.rows if every else group.told():
        place = place_words(layout, finding)
        where = f"{shown(place)}: " if place else ""
        yield f"    {group.word} {group.severity.word}: {where}{group.slug}: {shown(finding.text + more if every else finding_text(finding, more))}"


def _faults(findings: Iterable[Finding]) -> Iterator[str]:
    for finding in findings:
        yield f"    {finding_line(finding)}"


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
