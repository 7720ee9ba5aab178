"""Findings and changes for reading in a terminal: plain lines, with nothing that a terminal would obey."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from matrixmap.check.machine import MachineChecked
from matrixmap.check.run import Checked
from matrixmap.compare.comparison import Comparison
from matrixmap.compare.items.item import Audience
from matrixmap.compare.once import clash_news, layouts_words
from matrixmap.compare.sides.words import count_of, plain
from matrixmap.form.comparison import (
    CAUTION,
    calm_lines,
    counts,
    finding_news,
    finding_text,
    findings_line,
    firmware_lines,
    headline,
    in_layouts,
    layout_headline,
    needs_caution,
    others_words,
    taken_lines,
    where_words,
    whole_layouts,
)
from matrixmap.form.parts.report import (
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
from matrixmap.form.parts.screen import WIDTH, first_screen, machine_screen, task_words
from matrixmap.form.parts.wrapping import wrapped
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.place import Place
from matrixmap.model.words import shown


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
    """Lines wrapped at a width; the rest of a line is indented further than its beginning."""
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
    """A layout among many: one line, with what to do below it."""
    if all_findings or isinstance(result, Unread):
        return layout_text(result, all_findings, width)
    lines = [f"{result.plan.id}: {counted(result.findings)}"]
    for each in group(result.findings):
        if each.severity > Severity.NOTE:
            more = f" (and {each.count - 1} more)" if each.count > 1 else ""
            lines.append(f"  {task_words(each.findings[0])}{more}")
    return "\n".join(fitting(lines, width))


def summary(told: Sequence[Told]) -> str:
    """How many layouts there are and their state: `67 layouts: 66 without errors or warnings, 1 with some`."""
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
"""The further indent, in columns, of the rest of a wrapped line."""


def finding_line(finding: Finding) -> str:
    """A finding as `file:line:column: slug: text`."""
    place = f"{finding.place}: " if finding.place else ""
    return shown(f"{place}{finding.slug}: {finding.text}")


def _unread(unread: Unread) -> Iterator[str]:
    yield f"{shown(unread.name)}: {unread.why}, and was not checked"
    for finding in unread.findings:
        yield finding_line(finding)


def _checked(checked: Checked) -> Iterator[str]:
    """Everything that is known about a layout."""
    yield f"{checked.plan.id}: {shown(checked.plan.layout.title)}"
    for line in verdict_lines(checked.verdict):
        yield f"  {line}"
    for practice in checked.verdict.practice:
        yield shown(f"  In practice, {practice.press}: {practice_outcome(practice)}.")
    yield f"  Findings: {counted(checked.findings)}{_accepted(checked)}."
    yield from _groups(checked.findings, checked.plan.layout.place, True, Severity.NOTE)


def _groups(findings: Iterable[Finding], header: Place, all_findings: bool, least: Severity) -> Iterator[str]:
    """The findings of some severity or worse, kind by kind, each kind after an empty line."""
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
    # A finding that no line causes is placed at the line that names the layout, which need not be repeated.
    yield f"{each.severity.word}: {each.rule.slug}, {each.count}: {each.rule.purpose}"
    told = each.findings if all_findings else each.findings[:WORST_FEW]
    for finding in told:
        place = f"{finding.place}: " if finding.place and finding.place != header else ""
        times = f" ({finding.count} combinations)" if finding.witness and finding.count > 1 else ""
        yield shown(f"  {place}{finding.text}{times}")
    if len(told) < each.count:
        yield (
            f"  and {each.count - len(told)} more (--all shows them; matrixmap explain {each.rule.slug} says what "
            "they mean)"
        )


MOST_ITEMS = 30
"""The most changes for one audience that are listed without `--all`."""


def text_report(comparison: Comparison, every: bool, findings: bool = False) -> Iterator[str]:
    """The lines of a comparison. Without `every`, long lists are cut with a count; findings are listed if asked for."""
    yield headline(comparison)
    yield f"{shown(comparison.old)} -> {shown(comparison.new)}; {counts(comparison)}"
    yield from (plain(words) for words in (*calm_lines(comparison), *taken_lines(comparison)))
    for layout in whole_layouts(comparison):
        yield f"{shown(layout.name)}: {layout_headline(layout)}"
        yield from _faults(layout.new_faults or layout.old_faults)
    for audience in Audience:
        yield from _for(comparison, audience, every)
    yield from _findings(comparison, every, findings)
    if comparison.loose:
        yield ""
    for file in comparison.loose:
        yield f"{shown(file.name)}: {file.change}, but no layout uses it"
        yield from _faults(file.findings)
    yield from _clashes(comparison)
    if needs_caution(comparison):
        yield ""
        yield CAUTION


def _for(comparison: Comparison, audience: Audience, every: bool) -> Iterator[str]:
    """What one audience must know, block by block: the changes of the same layouts are listed together."""
    blocks: dict[str, list[str]] = {}
    told = [news for news in comparison.news if news.item.audience is audience]
    kept = told if every or len(told) <= MOST_ITEMS + 1 else told[:MOST_ITEMS]
    for news in kept:
        blocks.setdefault(plain(where_words(comparison, news)), []).append(
            _line(news.breaking, plain(news.item.words) + others_words(news))
        )
    if audience is Audience.FIRMWARE:
        lines = [_line(line.breaking, plain(line.words)) for line in firmware_lines(comparison)]
        blocks.update({"": lines} if lines else {})
    if not blocks:
        return
    yield ""
    yield f"For the {audience.value}"
    for where, lines in blocks.items():
        if where:
            yield f"  {where}"
        yield from lines
    if len(kept) < len(told):
        yield f"    {'':8}  ... and {len(told) - len(kept)} more (--all shows them)"


def _line(breaking: bool, words: str) -> str:
    return f"    {'breaking' if breaking else '':8}  {words}"


def _findings(comparison: Comparison, every: bool, asked: bool) -> Iterator[str]:
    line = findings_line(comparison)
    if line is None:
        return
    yield ""
    yield line if asked else f"{line} (--findings {'tells' if comparison.findings_compared else 'compares'} them)"
    told = finding_news(comparison) if asked else ()
    rest: dict[str, int] = {}
    known: dict[tuple[str, str], int] = {}
    for news in told:
        kind = (news.word, news.finding.slug)
        known[kind] = known.get(kind, 0) + 1
        if every or known[kind] <= WORST_FEW:
            where = f"{shown(news.place)}: " if news.place else ""
            text = news.finding.text + news.more if every else finding_text(news.finding, news.more)
            layouts = plain(in_layouts(comparison, news.layouts))
            yield f"  {news.word} {news.finding.severity.word}: {where}{news.finding.slug}: {shown(text)} ({layouts})"
        else:
            rest[f"{news.word} {news.finding.slug}"] = rest.get(f"{news.word} {news.finding.slug}", 0) + 1
    yield from (f"  {count} more {kind} (--all shows them)" for kind, count in rest.items())


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
    for news in clash_news(comparison.clashes):
        clash = news.clash
        yield f"  {plain(layouts_words(news.layouts))}: {plain(clash.subject)}"
        yield f"    before  {plain(clash.base)}"
        yield f"    here    {plain(clash.ours)}"
        yield f"    there   {plain(clash.theirs)}"
