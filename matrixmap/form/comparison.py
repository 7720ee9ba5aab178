"""What every form of a comparison says in the same words: headlines, findings, sizes, cautions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.compare.comparison import Comparison, own_breaking
from matrixmap.compare.items.item import Item, Section
from matrixmap.compare.layouts import LayoutComparison, Status
from matrixmap.compare.sides.words import Words, count_of, listed
from matrixmap.form.report import WORST_FEW, counted
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.plan import Plan

CAUTION = (
    "Wiring changed. Common practice: switch the computer off and unplug it before you touch its connector; "
    "check alignment and pin 1 before power; never drive a line that the computer also drives; guard against static. "
    "Local electrical rules and a qualified person decide."
)


def needs_caution(comparison: Comparison) -> bool:
    """Whether something about wiring is told."""
    return any(item.section is Section.WIRING for layout in comparison.layouts for item in layout.items)


def headline(comparison: Comparison) -> str:
    """The outcome in a sentence."""
    breaking = comparison.breaking
    worse = [finding for layout in comparison.layouts for finding in layout.findings.worse()]
    touched = comparison.of_status(Status.CHANGED, Status.ADDED, Status.REMOVED, Status.BROKEN)
    parts = [count_of(breaking, "breaking change")] if breaking else []
    parts += [f"new findings: {counted(worse)}"] if worse else []
    parts += [f"{count_of(len(comparison.clashes), 'thing')} that both branches changed"] if comparison.clashes else []
    if not touched:
        return "Nothing changes for anybody."
    if not parts:
        return "Nothing is lost, and there are no new findings."
    return f"{'; '.join(parts)}."


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
    """What happened to a layout, without its name."""
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
    own, breaking = len(layout.own_items()), own_breaking(layout)
    parts = [count_of(breaking, "breaking change")] if breaking else []
    others = own - sum(item.breaking for item in layout.own_items())
    parts += (
        [f"{others} other{'s' if others != 1 else ''}" if breaking else count_of(others, "change")] if others else []
    )
    parts += ["its machine or host changed"] if len(layout.items) > own else []
    parts += ["no press gives anything else"] if layout.gives_the_same else []
    return ", ".join(parts) or "the same, with other findings"


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
    """The old id of a layout that has another one now."""
    return layout.old_id if layout.id is not None and layout.old_id not in (None, layout.id) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingGroup:
    """Findings of one rule and severity to which the same happened, each with what to add to its text.

    `word` says what: new, grown, no longer accepted, shrunk, accepted now, gone.
    """

    word: str
    severity: Severity
    slug: str
    rows: tuple[tuple[Finding, str], ...]

    @property
    def is_worse(self) -> bool:
        """Whether a reviewer has not seen these before."""
        return self.word in WORSE

    def told(self) -> tuple[tuple[Finding, str], ...]:
        """The rows that a short report tells: all of a few, else the worst few of what needs a look, else none."""
        if len(self.rows) <= WORST_FEW:
            return self.rows
        return self.rows[:WORST_FEW] if self.is_worse and self.severity > Severity.NOTE else ()

    @property
    def rest(self) -> int:
        """How many rows a short report leaves out."""
        return len(self.rows) - len(self.told())


WORSE = ("new", "grown", "no longer accepted")


def finding_groups(layout: LayoutComparison) -> tuple[FindingGroup, ...]:
    """What happened to the findings of a layout, the worst first, in groups."""
    changes = layout.findings
    rows = [
        *(("new", finding, "") for finding in changes.new),
        *(("grown", after, _was(before, after)) for before, after in changes.grown),
        *(("no longer accepted", finding, "") for finding in changes.exposed),
        *(("shrunk", after, _was(before, after)) for before, after in changes.shrunk),
        *(("accepted now", finding, "") for finding in changes.accepted),
        *(("gone", finding, "") for finding in changes.gone),
    ]
    groups: dict[tuple[str, Severity, str], list[tuple[Finding, str]]] = {}
    for word, finding, more in rows:
        groups.setdefault((word, finding.severity, finding.slug), []).append((finding, more))
    return tuple(
        FindingGroup(word=word, severity=severity, slug=slug, rows=tuple(found))
        for (word, severity, slug), found in groups.items()
    )


def rest_words(groups: Iterable[FindingGroup]) -> tuple[str, ...]:
    """What a short report leaves out, a line a severity: `new notes left out: 38 two-keys-make-phantom, ...`."""
    lines: dict[str, list[str]] = {}
    for group in groups:
        if group.rest:
            head = f"{group.word} {group.severity.word}s left out"
            lines.setdefault(head, []).append(f"{group.rest} {group.slug}")
    return tuple(f"{head}: {', '.join(counts)}" for head, counts in lines.items())


def place_words(layout: LayoutComparison, finding: Finding) -> str | None:
    """Where a finding stands, None for the line that only names the layout."""
    headers = [plan.layout.place for plan in (layout.new, layout.old) if plan]
    return None if finding.place is None or finding.place in headers else str(finding.place)


LONGEST = 300
"""Characters of a finding that a short report tells; some list all keys of a layout."""


def finding_text(finding: Finding, more: str) -> str:
    """The text of a finding with what to add, cut where it is long."""
    text = f"{finding.text}{more}"
    return text if len(text) <= LONGEST else f"{text[:LONGEST].rstrip()} ..."


def _was(before: Finding, after: Finding) -> str:
    if before.count != after.count:
        return f" ({count_of(after.count, 'case')}, before {before.count})"
    return f" (before: {before.text})"


def finding_counts(layout: LayoutComparison) -> str:
    """The findings of a layout in numbers; empty where nothing happened to them."""
    changes = layout.findings
    parts = [
        (len(changes.new), "new"),
        (len(changes.grown), "grown"),
        (len(changes.exposed), "no longer accepted"),
        (len(changes.shrunk), "shrunk"),
        (len(changes.accepted), "accepted now"),
        (len(changes.gone), "gone"),
        (changes.unchanged, f"as in {layout.sibling}" if layout.sibling else "unchanged"),
    ]
    return ", ".join(f"{count} {word}" for count, word in parts if count)


def code_words(layout: LayoutComparison) -> str | None:
    """The size of the C table, and how many lines of C differ."""
    code = layout.code
    if code is None:
        return None
    if code.fault is not None:
        return (
            f"cannot be built any more: {code.fault}"
            if code.old_bytes is not None
            else f"cannot be built: {code.fault}"
        )
    if code.old_bytes is None:
        return f"{code.new_bytes} bytes"
    if code.new_bytes is None:
        return f"{code.old_bytes} bytes less"
    size = (
        f"{code.old_bytes} bytes as before"
        if code.old_bytes == code.new_bytes
        else _sizes(code.old_bytes, code.new_bytes)
    )
    lines = f"{count_of(code.removed, 'line')} of C out and {code.added} in" if code.lines else "no line of C differs"
    return f"{size}; {lines}"


def _sizes(old: int, new: int) -> str:
    return f"{old} -> {new} bytes ({new - old:+})"


def file_words(layout: LayoutComparison) -> Words:
    """The files of a layout that changed."""
    return listed(layout.files, most=6)


def sorted_items(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """Items with the breaking ones first, each kind together."""
    return tuple(sorted(items, key=Item.order))
