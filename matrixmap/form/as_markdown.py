"""Findings and changes as Markdown, fit for a comment: short first, the rest folded; a comparison is never longer than a comment may be.

Names out of the user's files stand in code elements, where they are neither obeyed as Markdown nor taken for the name
of a person or an issue (GitHub Flavored Markdown 0.29, section 6.11, and common practice of pull request pages).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from matrixmap.check.machine import MachineChecked
from matrixmap.check.run import Checked
from matrixmap.compare.comparison import Comparison, SharedPart, own_breaking
from matrixmap.compare.items.item import Item, Part
from matrixmap.compare.layouts import LayoutComparison, Status
from matrixmap.compare.sides.words import Words, count_of, listed, rendered, say
from matrixmap.emit.tables.keylist import markdown
from matrixmap.form.comparison import (
    CAUTION,
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
from matrixmap.form.report import WORST_FEW, Group, Result, Unread, counted, group, verdict_lines
from matrixmap.form.screen import machine_rows, screen_rows
from matrixmap.model.finding import Finding
from matrixmap.model.words import shown

MOST_CHARACTERS = 60_000
"""A little less than pull request pages take in one comment, so that a line around it fits too."""

MARKER = "<!-- matrixmap compare -->"
"""First line of every report, by which a program finds the comment that it wrote before."""

SHORT = 12
"""Breaking changes that stand above the fold."""

ROOM_FOR_END = 400


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a block; lines of a lower rank are kept first when there is no room for all."""

    rank: int
    text: str


@dataclass(frozen=True, slots=True)
class Block:
    """Lines with what stands before and after them if there are any."""

    opening: str
    rows: tuple[Row, ...]
    closing: str = "\n"


def markdown_report(comparison: Comparison, most: int = MOST_CHARACTERS) -> str:
    """The comparison in at most that many characters, with a count of the lines that were cut."""
    head = "\n".join(_head(comparison)) + "\n"
    blocks = [*_above_the_fold(comparison), *_details(comparison)]
    kept, cut = _fitting(blocks, most - len(head) - ROOM_FOR_END)
    parts = [head]
    for block, rows in zip(blocks, kept, strict=True):
        if rows:
            parts += [block.opening, "".join(f"{row.text}\n" for row in rows), block.closing]
    if cut:
        parts.append(f"{count_of(cut, 'line')} cut here; `matrixmap compare --all` tells all.\n")
    return "".join(parts)


def _fitting(blocks: list[Block], room: int) -> tuple[list[list[Row]], int]:
    """The rows of each block that fit, and how many do not."""
    order = sorted(
        (row.rank, number, index) for number, block in enumerate(blocks) for index, row in enumerate(block.rows)
    )
    chosen: list[set[int]] = [set() for _ in blocks]
    cut = 0
    last_rank = max((rank for rank, _, _ in order), default=0)
    for rank, number, index in order:
        block = blocks[number]
        cost = len(block.rows[index].text) + 1
        cost += 0 if chosen[number] else len(block.opening) + len(block.closing)
        if cost > room or rank > last_rank:
            cut += 1
            last_rank = min(last_rank, rank)  # a short line of less weight does not take the room of a longer one
        else:
            room -= cost
            chosen[number].add(index)
    kept = [[row for index, row in enumerate(block.rows) if index in chosen[n]] for n, block in enumerate(blocks)]
    return kept, cut


def code(text: str) -> str:
    """A name as code."""
    return f"<code>{markdown(text)}</code>"


def prose(text: str) -> str:
    """A sentence with names of the user's in it, such as that of a finding."""
    return re.sub(r"[@#](?=\w)", r"<code>\g<0></code>", markdown(text))


def words_text(words: Words) -> str:
    """Words with their names as code."""
    return rendered(words, code)


def _head(comparison: Comparison) -> Iterator[str]:
    yield MARKER
    yield f"### For the person typing: {_lower(headline(comparison))}"
    yield ""
    yield f"{code(comparison.old)} to {code(comparison.new)}; {counts(comparison)}."
    if needs_caution(comparison):
        yield ""
        yield f"**Caution.** {CAUTION}"


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _above_the_fold(comparison: Comparison) -> Iterator[Block]:
    yield Block("\n**Breaking**\n\n", tuple(_breaking_rows(comparison)))
    yield Block(
        "\n| | breaking | others | findings | C |\n| --- | --- | --- | --- | --- |\n", tuple(_table(comparison))
    )
    yield Block("\n**Changed on both branches, differently**\n\n", tuple(_clash_rows(comparison)))


def _breaking_rows(comparison: Comparison) -> Iterator[Row]:
    lines: dict[str, list[str]] = {}
    for layout in comparison.layouts:
        if layout.newly_broken or layout.status is Status.REMOVED:
            lines.setdefault(layout_headline(layout), []).append(code(layout.name))
    for part in comparison.shared():
        for item in part.items:
            if item.breaking:
                lines.setdefault(words_text(item.words), []).append(_part_name(part))
    for layout in comparison.layouts:
        for item in layout.own_items():
            if item.breaking:
                lines.setdefault(words_text(item.words), []).append(code(layout.name))
    for text, names in list(lines.items())[:SHORT]:
        more = f" and {count_of(len(names) - 1, 'more', 'more')}" if len(names) > 1 else ""
        yield Row(0, f"- {names[0]}{more}: {text}")
    if len(lines) > SHORT:
        yield Row(0, f"- and {len(lines) - SHORT} more, below")


def _part_name(part: SharedPart) -> str:
    return f"{part.part.value} {code(part.name)}"


def _table(comparison: Comparison) -> Iterator[Row]:
    for part in comparison.shared():
        name = f"{_part_name(part)} ({count_of(len(part.layouts), 'layout')})"
        yield Row(0, f"| {name} | {part.breaking or ''} | {len(part.items) - part.breaking or ''} | | |")
    for layout in comparison.layouts:
        if layout.status in (Status.UNTOUCHED, Status.SAME):
            continue
        was = new_name(layout)
        name = code(layout.name) + (f" (was {code(was)})" if was else "")
        if layout.status is not Status.CHANGED:
            name += f": {layout_headline(layout)}"
        breaking = own_breaking(layout)
        others = sum(not item.breaking for item in layout.own_items())
        size = markdown(code_words(layout) or "")
        yield Row(0, f"| {name} | {breaking or ''} | {others or ''} | {finding_counts(layout)} | {size} |")
    same = comparison.of_status(Status.SAME)
    for layout in same:
        yield Row(3, f"| {code(layout.name)}: {layout_headline(layout)} ({words_text(file_words(layout))}) | | | | |")
    for file in comparison.loose:
        faults = f"; {count_of(len(file.findings), 'finding')}" if file.findings else ""
        yield Row(3, f"| {code(file.name)}: {file.change}, but no layout uses it{faults} | | | | |")


def _clash_rows(comparison: Comparison) -> Iterator[Row]:
    for clash in comparison.clashes:
        words = say(
            "{}, {}: before, it {}; here it {}; in {} it {}",
            clash.layout,
            clash.subject,
            clash.base,
            clash.ours,
            comparison.theirs or "",
            clash.theirs,
        )
        yield Row(0, f"- {words_text(words)}")


def _details(comparison: Comparison) -> Iterator[Block]:
    for part in comparison.shared():
        title = f"{part.part.value} {code(part.name)}: {count_of(len(part.items), 'change')}"
        rows = (*_item_rows(part.items), Row(3, f"\nJoined by {words_text(listed(part.layouts))}."))
        yield _folded(title, rows)
    for layout in comparison.layouts:
        if layout.status not in (Status.UNTOUCHED, Status.SAME):
            yield from _layout_blocks(layout)
    for file in comparison.loose:
        if file.findings:
            yield _folded(f"{code(file.name)} cannot be read", tuple(_fault_rows(file.findings)))


def _layout_blocks(layout: LayoutComparison) -> Iterator[Block]:
    name = code(layout.name)
    if layout.status is Status.BROKEN:
        yield _folded(f"{name}: {layout_headline(layout)}", tuple(_fault_rows(layout.new_faults or layout.old_faults)))
        return
    items = tuple(item for item in layout.items if item.part is Part.LAYOUT)
    yield _folded(f"{name}: {layout_headline(layout)}", tuple(_item_rows(sorted_items(items))))
    if layout.status is not Status.REMOVED:
        yield _folded(f"{name}: findings, {finding_counts(layout)}", tuple(_finding_rows(layout)))
    if layout.code is not None and layout.code.lines:
        fence = _fence(layout.code.lines)
        rows = tuple(Row(5, shown(line)) for line in layout.code.lines)
        title = f"{name}: C, {markdown(code_words(layout) or '')}"
        opening = f"\n<details><summary>{title}</summary>\n\n{fence}diff\n"
        yield Block(opening, rows, f"{fence}\n\n</details>\n")


def _folded(title: str, rows: Iterable[Row]) -> Block:
    return Block(f"\n<details><summary>{title}</summary>\n\n", tuple(rows), "\n</details>\n")


def _fence(lines: Iterable[str]) -> str:
    """A fence longer than any row of backquotes inside it."""
    longest = max((len(run) for line in lines for run in re.findall("`+", line)), default=0)
    return "`" * max(3, longest + 1)


def _item_rows(items: Iterable[Item]) -> Iterator[Row]:
    for item in items:
        mark = "**breaking** " if item.breaking else ""
        yield Row(1 if item.breaking else 4, f"- {mark}{words_text(item.words)}")


def _finding_rows(layout: LayoutComparison) -> Iterator[Row]:
    groups = finding_groups(layout)
    for same in groups:
        rank = 2 if same.is_worse else 4
        head = f"- {same.word} {same.severity.word} {code(same.slug)}"
        for finding, more in same.told():
            place = place_words(layout, finding)
            where = f" ({code(place)})" if place else ""
            yield Row(rank, f"{head}: {prose(finding_text(finding, more))}{where}")
    yield from (Row(4, f"- {line}") for line in rest_words(groups))


def _fault_rows(findings: Iterable[Finding]) -> Iterator[Row]:
    for finding in findings:
        yield Row(2, f"- {code(str(finding.place))}: {code(finding.slug)}: {prose(finding.text)}")


def report_markdown(results: Iterable[Result], all_findings: bool) -> Iterator[str]:
    """A piece of the report for each layout, with the worst few findings of each group or with all of them."""
    for number, result in enumerate(results):
        if number:
            yield ""
        yield layout_markdown(result, all_findings)


def layout_markdown(result: Result, all_findings: bool) -> str:
    """The report of one layout."""
    return "\n".join(_unread(result) if isinstance(result, Unread) else _checked(result, all_findings))


def machine_markdown(checked: MachineChecked, all_findings: bool) -> str:
    """The report of a machine by itself."""
    lines = [f"## {markdown(checked.machine.title)}", ""]
    lines += [
        f"Machine `{checked.machine.id}`, contacts: {checked.conflicts.how.value}; {counted(checked.findings)}.",
        "",
    ]
    lines += _rows(machine_rows(checked))
    for each in group(checked.findings):
        lines += ["", *_group(each, all_findings)]
    return "\n".join(lines)


def _rows(rows: Iterable[tuple[str, str]]) -> Iterator[str]:
    for title, text in rows:
        first, *rest = text.split("\n")
        yield f"- **{title}**: {markdown(first)}"
        yield from (f"  - {markdown(line)}" for line in rest)


def _unread(unread: Unread) -> Iterator[str]:
    yield f"## {markdown(unread.name)}"
    yield ""
    yield f"This layout {unread.why}, and was not checked."
    yield ""
    for finding in unread.findings:
        yield f"- {_place(finding)}{finding.slug}: {markdown(finding.text)}"


def _checked(checked: Checked, all_findings: bool) -> Iterator[str]:
    yield f"## {markdown(checked.plan.layout.title)}"
    yield ""
    yield f"Layout `{checked.plan.id}`: {counted(checked.findings)}."
    yield ""
    yield from _rows(screen_rows(checked))
    if all_findings:
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
