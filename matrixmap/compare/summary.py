"""What every form of a comparison says in the same words: headlines, findings, sizes, cautions."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.compare.comparison import Comparison, own_breaking
from matrixmap.compare.item import Item, Section
from matrixmap.compare.layouts import LayoutComparison, Status
from matrixmap.compare.words import Words, count_of, join_words, listed, say
from matrixmap.model.finding import Finding
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
    breaking, worse = comparison.breaking, sum(len(layout.findings.worse()) for layout in comparison.layouts)
    touched = comparison.of_status(Status.CHANGED, Status.ADDED, Status.REMOVED, Status.BROKEN)
    parts = [count_of(breaking, "breaking change")] if breaking else []
    parts += [count_of(worse, "new finding")] if worse else []
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
            return f"new; {_reach(layout.reach[1], layout.new)}, {count_of(len(layout.findings.new), 'finding')}"
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


def finding_rows(layout: LayoutComparison) -> Iterator[tuple[str, Finding, str]]:
    """What happened to each finding: a word, the finding, and what to add to its text."""
    changes = layout.findings
    yield from (("new", finding, "") for finding in changes.new)
    yield from (("grown", after, _was(before, after)) for before, after in changes.grown)
    yield from (("no longer accepted", finding, "") for finding in changes.exposed)
    yield from (("shrunk", after, _was(before, after)) for before, after in changes.shrunk)
    yield from (("accepted now", finding, "") for finding in changes.accepted)
    yield from (("gone", finding, "") for finding in changes.gone)


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
        (changes.unchanged, "unchanged"),
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


def reach_words(layout: LayoutComparison) -> Words:
    """The characters and functions that are lost or gained, in a row."""
    parts = []
    if layout.lost:
        parts.append(say("lost: {}", listed(layout.lost)))
    if layout.gained:
        parts.append(say("gained: {}", listed(layout.gained)))
    return join_words(parts, comma="; ", last="; ")
