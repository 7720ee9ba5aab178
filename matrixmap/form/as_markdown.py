"""Findings and changes as Markdown, fit for a comment: short first, the rest folded, never longer than allowed.

Names from the user's files are put in code elements, so that they are not obeyed as Markdown and not taken for the name
of a person or an issue (GitHub Flavored Markdown 0.29, section 6.11, and common practice of pull request pages).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from matrixmap.check.machine import MachineChecked
from matrixmap.check.run import Checked
from matrixmap.compare.comparison import Comparison
from matrixmap.compare.gist import gist
from matrixmap.compare.items.item import Audience
from matrixmap.compare.layouts import Status
from matrixmap.compare.once import News, clash_news, layouts_words
from matrixmap.compare.sides.words import Words, count_of, join_words, rendered, say
from matrixmap.emit.tables.keylist import markdown
from matrixmap.form.comparison import (
    CAUTION,
    FirmwareLine,
    calm_lines,
    counts,
    finding_news,
    finding_text,
    findings_line,
    firmware_lines,
    layout_headline,
    needs_caution,
    others_words,
    taken_lines,
    where_words,
    whole_layouts,
)
from matrixmap.form.parts.report import WORST_FEW, Group, Result, Unread, counted, group, verdict_lines
from matrixmap.form.parts.screen import machine_rows, screen_rows
from matrixmap.model.finding import Finding

MOST_CHARACTERS = 60_000
"""Slightly less than pull request pages accept in one comment, so that a line around it fits too."""

MARKER = "<!-- matrixmap compare -->"
"""The first line of every report; a program finds its earlier comment by it."""

SHORT = 12
"""The most breaking changes above the fold."""

ROOM_FOR_END = 400


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a block. If there is no room for all lines, those of lower rank are kept first."""

    rank: int
    text: str


@dataclass(frozen=True, slots=True)
class Block:
    """Lines, and what is written before and after them if there are any."""

    opening: str
    rows: tuple[Row, ...]
    closing: str = "\n"


def markdown_report(comparison: Comparison, most: int = MOST_CHARACTERS, findings: bool = False) -> str:
    """The comparison in at most `most` characters, with a count of the lines that were cut; findings if asked for."""
    head = "\n".join(_head(comparison)) + "\n"
    blocks = [*_above_the_fold(comparison), *_details(comparison, findings)]
    kept, cut = _fitting(blocks, most - len(head) - ROOM_FOR_END)
    parts = [head]
    for block, rows in zip(blocks, kept, strict=True):
        if rows:
            parts += [block.opening, "".join(f"{row.text}\n" for row in rows), block.closing]
    if cut:
        parts.append(f"{count_of(cut, 'line')} cut here; `matrixmap compare --all` shows all.\n")
    return "".join(parts)


def _fitting(blocks: list[Block], room: int) -> tuple[list[list[Row]], int]:
    """The rows of each block that fit, and how many do not fit."""
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
            last_rank = min(last_rank, rank)  # a short line of less weight must not take the room of a longer one
        else:
            room -= cost
            chosen[number].add(index)
    kept = [[row for index, row in enumerate(block.rows) if index in chosen[n]] for n, block in enumerate(blocks)]
    return kept, cut


def code(text: str) -> str:
    """A name as code."""
    return f"<code>{markdown(text)}</code>"


def prose(text: str) -> str:
    """A sentence that contains names from the user's files, such as that of a finding."""
    return re.sub(r"[@#](?=\w)", r"<code>\g<0></code>", markdown(text))


def words_text(words: Words) -> str:
    """Words with their names as code."""
    return rendered(words, code)


def _head(comparison: Comparison) -> Iterator[str]:
    yield MARKER
    yield f"### {words_text(gist(comparison))}"
    yield ""
    yield f"{code(comparison.old)} to {code(comparison.new)}; {counts(comparison)}."
    if needs_caution(comparison):
        yield ""
        yield f"**Caution.** {CAUTION}"


def _above_the_fold(comparison: Comparison) -> Iterator[Block]:
    whole = (
        Row(0, f"- {code(layout.name)}: {layout_headline(layout)}")
        for layout in whole_layouts(comparison)
        if layout.status is not Status.ADDED
    )
    breaking = [Row(0, _news_line(comparison, news)) for news in comparison.news if news.breaking]
    breaking += [
        Row(0, f"- firmware: {words_text(line.words)}") for line in firmware_lines(comparison) if line.breaking
    ]
    rest = [Row(0, f"- and {len(breaking) - SHORT} more, below")] if len(breaking) > SHORT else []
    yield Block("\n**Breaking**\n\n", (*whole, *breaking[:SHORT], *rest))
    yield Block("\n**Changed on both branches, differently**\n\n", tuple(_clash_rows(comparison)))
    others = [*taken_lines(comparison), *calm_lines(comparison)]
    yield Block("\n", tuple(Row(1, f"- {words_text(words)}") for words in others))
    line = findings_line(comparison)
    yield Block("\n", (Row(1, f"{line[0].upper()}{line[1:]}."),) if line else ())


def _news_line(comparison: Comparison, news: News) -> str:
    """One change with its audience and its layouts."""
    who = "" if news.item.audience is Audience.TYPIST else f"{news.item.audience.value}: "
    return f"- {who}{_told(comparison, news)}"


def _told(comparison: Comparison, news: News) -> str:
    return f"{words_text(news.item.words)}{others_words(news)}; {words_text(where_words(comparison, news))}"


def _clash_rows(comparison: Comparison) -> Iterator[Row]:
    for news in clash_news(comparison.clashes):
        clash = news.clash
        words = say(
            "{}, {}: before, it {}; here it {}; in {} it {}",
            layouts_words(news.layouts),
            clash.subject,
            clash.base,
            clash.ours,
            comparison.theirs or "",
            clash.theirs,
        )
        yield Row(0, f"- {words_text(words)}")


def _details(comparison: Comparison, findings: bool) -> Iterator[Block]:
    for audience in Audience:
        told = [news for news in comparison.news if news.item.audience is audience]
        rows = [
            Row(1 if news.breaking else 4, f"- {'**breaking** ' if news.breaking else ''}{_told(comparison, news)}")
            for news in told
        ]
        if audience is Audience.FIRMWARE:
            rows += [_firmware_row(line) for line in firmware_lines(comparison)]
        yield _folded(f"For the {audience.value}: {count_of(len(rows), 'change')}", rows)
    names = dict.fromkeys(news.layouts for news in comparison.news if len(news.layouts) > 3)
    yield _folded("Which layouts", (Row(4, f"- {len(some)} layouts: {words_text(join_words(some))}") for some in names))
    for layout in comparison.of_status(Status.BROKEN):
        faults = layout.new_faults or layout.old_faults
        yield _folded(f"{code(layout.name)}: {layout_headline(layout)}", tuple(_fault_rows(faults)))
    added = comparison.of_status(Status.ADDED)
    yield _folded("New", (Row(3, f"- {code(layout.name)}: {layout_headline(layout)}") for layout in added))
    if findings:
        yield _folded("Findings", tuple(_finding_rows(comparison)))
    for file in comparison.loose:
        faults_of = f"; {count_of(len(file.findings), 'finding')}" if file.findings else ""
        yield Block("\n", (Row(3, f"- {code(file.name)}: {file.change}, but no layout uses it{faults_of}"),))
        if file.findings:
            yield _folded(f"{code(file.name)} cannot be read", tuple(_fault_rows(file.findings)))


def _firmware_row(line: FirmwareLine) -> Row:
    return Row(1 if line.breaking else 4, f"- {'**breaking** ' if line.breaking else ''}{words_text(line.words)}")


def _folded(title: str, rows: Iterable[Row]) -> Block:
    return Block(f"\n<details><summary>{title}</summary>\n\n", tuple(rows), "\n</details>\n")


def _finding_rows(comparison: Comparison) -> Iterator[Row]:
    for news in finding_news(comparison):
        where = f" ({code(news.place)})" if news.place else ""
        head = f"- {news.word} {news.finding.severity.word} {code(news.finding.slug)}"
        layouts = words_text(layouts_words(news.layouts))
        text = prose(finding_text(news.finding, news.more))
        yield Row(2 if news.is_worse else 4, f"{head}: {text}{where}; in {layouts}")


def _fault_rows(findings: Iterable[Finding]) -> Iterator[Row]:
    for finding in findings:
        yield Row(2, f"- {code(str(finding.place))}: {code(finding.slug)}: {prose(finding.text)}")


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
