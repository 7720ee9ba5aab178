"""What every form of a comparison says in the same words: headlines, findings, sizes, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.firmware import Firmware
from matrixmap.compare.gist import gist
from matrixmap.compare.items.item import Section
from matrixmap.compare.layouts import LayoutComparison, Status
from matrixmap.compare.once import News, layouts_words
from matrixmap.compare.sides.words import Words, count_of, join_words, listed, plain, say
from matrixmap.emit.tables.id16 import id16_text
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.plan import Plan
from matrixmap.press.table.format import TABLE_VERSION
from matrixmap.source.kinds.project import why_not_read

CAUTION = (
    "Wiring changed. Common practice: switch the computer off and unplug it before you touch its connector; check "
    "the alignment and pin 1 before you apply power; never drive a line that the computer also drives; guard against "
    "static discharge. Follow your local electrical rules, and ask a qualified person where you are unsure."
)


def needs_caution(comparison: Comparison) -> bool:
    """Whether the report says anything about wiring."""
    return any(news.item.section is Section.WIRING for news in comparison.news)


def headline(comparison: Comparison) -> str:
    """The result in one sentence."""
    return plain(gist(comparison))


def counts(comparison: Comparison) -> str:
    """How many layouts there are of each status."""
    words = {
        Status.BROKEN: "broken",
        Status.REMOVED: "removed",
        Status.CHANGED: "changed",
        Status.ADDED: "added",
        Status.SAME: "with changed files and the same meaning",
        Status.UNTOUCHED: "untouched",
    }
    parts = [f"{count} {word}" for status, word in words.items() if (count := len(comparison.of_status(status)))]
    return f"{count_of(len(comparison.layouts), 'layout')}: {', '.join(parts)}" if parts else "no layouts"


def layout_headline(layout: LayoutComparison) -> str:
    """What happened to a layout as a whole, without its name."""
    match layout.status:
        case Status.ADDED:
            return f"new; {_reach(layout.reach[1], layout.new)}"
        case Status.REMOVED:
            return f"removed; {_reach(layout.reach[0], layout.old)}"
        case Status.BROKEN:
            return _broken(layout)
        case Status.SAME:
            return "its files changed, but nothing changes for anybody"
        case Status.UNTOUCHED:
            return "untouched"
    return "no press gives anything else" if layout.gives_the_same else "changed"


def whole_layouts(comparison: Comparison) -> tuple[LayoutComparison, ...]:
    """The layouts that need more than a list of changes: those that were added or removed, or cannot be read."""
    return comparison.of_status(Status.BROKEN, Status.REMOVED, Status.ADDED)


MOST_CHANGED = 8
"""The most changed layouts that are named; if there are more, only their number is given."""


def calm_lines(comparison: Comparison) -> Iterator[Words]:
    """Which layouts changed, in which of them every press gives the same, and which only have other files."""
    same = tuple(layout.name for layout in comparison.of_status(Status.CHANGED) if layout.gives_the_same)
    if same:
        yield say("no press gives anything else {}", in_layouts(comparison, same))
    files: dict[tuple[str, ...], list[str]] = {}
    changed = comparison.of_status(Status.CHANGED)
    if 1 < len(changed) <= MOST_CHANGED:
        yield say("changed: {}", join_words(layout.name for layout in changed))
    for layout in comparison.of_status(Status.SAME):
        files.setdefault(layout.files, []).append(layout.name)
    for names, layouts in files.items():
        said = say(
            "{}: files changed, but nothing changes for anybody ({})",
            layouts_words(tuple(layouts)),
            listed(names, most=6),
        )
        yield said


def taken_lines(comparison: Comparison) -> Iterator[Words]:
    """That these are the first layouts; the shipped files that a side uses, those that the new side lost first."""
    if comparison.first:
        yield say("{} has no folder layouts/ yet: these are the first layouts", comparison.old)
    for words, some in (
        ("gone, so the shipped one is used: {}", comparison.filled),
        ("no longer the shipped one: {}", tuple(file.name for file in comparison.taken if file.old and not file.new)),
        (
            "from the shipped set, on both sides: {}",
            tuple(file.name for file in comparison.taken if file.old and file.new),
        ),
    ):
        if some:
            yield say(words, join_words(some))
    if comparison.misnamed:
        for name in comparison.misnamed:
            yield say("{} is not read: {}", name, (why_not_read(name),))


def where_words(comparison: Comparison, news: News) -> Words:
    """Where a change applies: `machine quillon8, in all 57 layouts`."""
    part, _, name = news.subject.partition(" ")
    if not news.layouts:
        return say(f"{part} {{}}", name)
    names = in_layouts(comparison, news.layouts)
    if not news.subject:
        return names
    return say(f"{part} {{}}, {{}}", name, names)


def in_layouts(comparison: Comparison, names: tuple[str, ...]) -> Words:
    """Layouts to which something applies: by name, by number, or all that changed."""
    changed = len(comparison.of_status(Status.CHANGED))
    if len(names) == changed > 1:
        return ("in both layouts" if changed == 2 else f"in all {changed} layouts",)
    return ("in ", *layouts_words(names))


def others_words(news: News) -> str:
    """That a change is listed for some layouts with other keys, or in other words."""
    return f" (in {news.others} of them in other words)" if news.others else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmwareLine:
    """A sentence for people who build firmware, and whether it breaks what was built for the old files."""

    breaking: bool
    words: Words


def firmware_lines(comparison: Comparison) -> Iterator[FirmwareLine]:
    """What firmware must know: names in C, places in the index, sizes, and whether to flash again."""
    firmware = comparison.firmware
    for name in firmware.faults:
        fault = next(layout.code.fault for layout in comparison.layouts if layout.name == name and layout.code)
        yield FirmwareLine(breaking=True, words=say("{} cannot be built any more: {}", name, str(fault)))
    if firmware.gone:
        yield FirmwareLine(breaking=True, words=say("names in C that are gone: {}", listed(firmware.gone)))
    for each in firmware.stored:
        now = f"; it is {id16_text(each.new)} now" if each.new else ""
        words = say(f"firmware that stored {each.id16} ({{}}) no longer finds that layout{now}", each.layout)
        yield FirmwareLine(breaking=True, words=words)
    if firmware.moved:
        moved = (
            say("{} is number {}, was {}", each.layout, (str(each.new),), (str(each.old),)) for each in firmware.moved
        )
        parts = list(moved)
        rest = f", and {len(parts) - MOST_MOVED} more" if len(parts) > MOST_MOVED else ""
        words = say("another place in mm_layouts: {}", join_words(parts[:MOST_MOVED], last=", "))
        yield FirmwareLine(breaking=False, words=(*words, rest) if rest else words)
    if firmware.come:
        yield FirmwareLine(breaking=False, words=say("new names in C: {}", listed(firmware.come)))
    if comparison.of_status(Status.CHANGED, Status.ADDED, Status.REMOVED):
        yield FirmwareLine(breaking=False, words=_flash_words(firmware))


MOST_MOVED = 6
"""The most layouts with a new place in the index that are named; if there are more, only their number is given."""


def _flash_words(firmware: Firmware) -> Words:
    flash = "flash again" if firmware.flash else "no need to flash again"
    if not firmware.tables:
        return (flash,)
    if not firmware.differ:
        why = "the index of layouts changed; " if firmware.flash else ""
        return (f"{flash}: {why}no byte of {count_of(firmware.tables, 'table')} differs",)
    sizes = (
        f"{firmware.old_bytes} bytes as before"
        if firmware.old_bytes == firmware.new_bytes
        else f"{_sizes(firmware.old_bytes, firmware.new_bytes)}"
    )
    most = f", at most {firmware.most:+} in one" if firmware.differ > 1 and firmware.most > 0 else ""
    which = "the table differs" if firmware.tables == 1 else f"{firmware.differ} of {firmware.tables} tables differ"
    return (f"{flash}: {which}, {sizes}{most}; table version {TABLE_VERSION}",)


def _reach(texts: int, plan: Plan | None) -> str:
    assert plan is not None
    return f"{count_of(texts, 'character or function', 'characters and functions')} by {count_of(len(plan.bindings), 'trigger')}"


def _broken(layout: LayoutComparison) -> str:
    if layout.newly_broken:
        return "cannot be read any more"
    if layout.old_faults and not layout.new_faults:
        return "can be read again; it was broken" if layout.id is not None else "removed; it was broken"
    return "new, and cannot be read" if layout.old_id is None else "cannot be read, as before"


def new_name(layout: LayoutComparison) -> str | None:
    """The old id of a layout that has a new one now."""
    return layout.old_id if layout.id is not None and layout.old_id not in (None, layout.id) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingNews:
    """What happened to a finding, once for all layouts that have it, with what to add to its text.

    `word` says what happened: new, grown, no longer accepted, shrunk, accepted now, gone.
    """

    word: str
    finding: Finding
    more: str
    layouts: tuple[str, ...]
    place: str | None

    @property
    def is_worse(self) -> bool:
        """Whether this is new to a reviewer."""
        return self.word in WORSE


WORSE = ("new", "grown", "no longer accepted")
WORDS = (*WORSE, "shrunk", "accepted now", "gone")


def finding_news(comparison: Comparison) -> tuple[FindingNews, ...]:
    """What happened to findings, each once, the most urgent first; a removed layout's findings are gone with it."""
    cells: dict[tuple[str, Severity, str, str, str | None], list[tuple[str, Finding, str]]] = {}
    for layout in comparison.layouts:
        if layout.findings is None or layout.status is Status.REMOVED:
            continue
        for word, finding, more in _happened(layout):
            cell = (word, finding.severity, finding.slug, finding.text, place_words(layout, finding))
            cells.setdefault(cell, []).append((layout.name, finding, more))
    found = (
        FindingNews(
            word=cell[0],
            finding=some[0][1],
            more=some[0][2],
            layouts=tuple(dict.fromkeys(name for name, _, _ in some)),
            place=cell[4],
        )
        for cell, some in cells.items()
    )
    return tuple(sorted(found, key=lambda news: (not news.is_worse, -news.finding.severity, WORDS.index(news.word))))


def _happened(layout: LayoutComparison) -> Iterator[tuple[str, Finding, str]]:
    changes = layout.findings
    assert changes is not None
    yield from (("new", finding, "") for finding in changes.new)
    yield from (("grown", after, _was(before, after)) for before, after in changes.grown)
    yield from (("no longer accepted", finding, "") for finding in changes.exposed)
    yield from (("shrunk", after, _was(before, after)) for before, after in changes.shrunk)
    yield from (("accepted now", finding, "") for finding in changes.accepted)
    yield from (("gone", finding, "") for finding in changes.gone)


def findings_line(comparison: Comparison) -> str | None:
    """The findings in one line of counts; None if there is no layout to compare."""
    touched = comparison.of_status(Status.CHANGED, Status.ADDED, Status.SAME)
    if not touched:
        return None
    if not comparison.findings_compared:
        return "findings: not compared in so many layouts"
    counts: dict[str, int] = {}
    for news in finding_news(comparison):
        severity = f" {news.finding.severity.word}" if news.is_worse else ""
        counts[f"{news.word}{severity}"] = counts.get(f"{news.word}{severity}", 0) + 1
    parts = [
        f"{count} {words}{'s' if count > 1 and ' ' in words and words.split()[0] in ('new', 'grown') else ''}"
        for words, count in counts.items()
    ]
    return f"findings: {', '.join(parts)}" if parts else "findings: none new, none gone"


def place_words(layout: LayoutComparison, finding: Finding) -> str | None:
    """The place of a finding; None for the line that only names the layout."""
    headers = [plan.layout.place for plan in (layout.new, layout.old) if plan]
    return None if finding.place is None or finding.place in headers else str(finding.place)


LONGEST = 300
"""The most characters of a finding in a short report; some findings list all keys of a layout."""


def finding_text(finding: Finding, more: str) -> str:
    """The text of a finding with what to add, cut if it is long."""
    text = f"{finding.text}{more}"
    return text if len(text) <= LONGEST else f"{text[:LONGEST].rstrip()} ..."


def _was(before: Finding, after: Finding) -> str:
    if before.count != after.count:
        return f" ({count_of(after.count, 'case')}, before {before.count})"
    return f" (before: {before.text})"


def _sizes(old: int, new: int) -> str:
    return f"{old} -> {new} bytes ({new - old:+})"
