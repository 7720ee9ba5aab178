"""One layout on both sides of a comparison."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from matrixmap.check.run import Found, own_findings
from matrixmap.compare.items.code import CodeChange, compare_code
from matrixmap.compare.items.findings import FindingChanges, all_gone, all_new, match_findings
from matrixmap.compare.items.host_items import host_items
from matrixmap.compare.items.item import Item, Part, Section
from matrixmap.compare.items.keyboard_items import keyboard_items
from matrixmap.compare.items.layout_items import layout_items
from matrixmap.compare.items.machine_items import machine_items
from matrixmap.compare.items.presses import (
    PressChange,
    accent_items,
    character_items,
    pair_changes,
    pair_items,
    press_changes,
    press_items,
)
from matrixmap.compare.items.strokes import stroke_items
from matrixmap.compare.items.together import together_items
from matrixmap.compare.sides.changes import NO_CHANGES, Changes, find_changes
from matrixmap.compare.sides.conflicts import KnownConflicts
from matrixmap.compare.sides.facts import facts
from matrixmap.compare.sides.outcomes import outcomes_of
from matrixmap.compare.sides.pair import Pair
from matrixmap.model.finding import Finding
from matrixmap.model.plan import Plan


class Status(Enum):
    """What happened to a layout as a whole."""

    ADDED = "added"
    REMOVED = "removed"
    BROKEN = "broken"
    CHANGED = "changed"
    SAME = "same"
    UNTOUCHED = "untouched"


FELT = (Section.CHARACTERS, Section.PRESSES, Section.DEAD_KEYS, Section.LOCKS, Section.TOGETHER)
"""What the typist notices; of machine and host, only breaking changes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutComparison:
    """A layout on both sides.

    `id` is its id in the new files, `old_id` in the old ones; None if it is missing there. Status BROKEN: it cannot be
    read on at least one side, because of `old_faults` and `new_faults`. SAME: some of its files changed (`files`), but
    no fact and, if they are compared, no finding. `findings` is None if they are not compared. `reach` counts what can
    be typed before and after. `sibling` is an older layout of the same machine: its findings are no news in a new
    layout.
    """

    id: str | None
    old_id: str | None
    status: Status
    old: Plan | None = None
    new: Plan | None = None
    changes: Changes = NO_CHANGES
    items: tuple[Item, ...] = ()
    presses: tuple[PressChange, ...] = ()
    gained: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    reach: tuple[int, int] = (0, 0)
    findings: FindingChanges | None = None
    code: CodeChange | None = None
    files: tuple[str, ...] = ()
    sibling: str | None = None
    old_faults: tuple[Finding, ...] = ()
    new_faults: tuple[Finding, ...] = ()

    @property
    def name(self) -> str:
        """The id by which a report calls it."""
        return self.id or self.old_id or ""

    @property
    def breaking(self) -> int:
        """The number of breaking changes, including those of machine and host."""
        if self.status is Status.REMOVED or self.newly_broken:
            return 1
        fault = self.code is not None and self.code.fault is not None and self.code.old_bytes is not None
        return sum(item.breaking for item in self.items) + fault

    @property
    def newly_broken(self) -> bool:
        """Whether it could be read before and cannot be read now."""
        return (
            self.status is Status.BROKEN and bool(self.new_faults) and self.old_id is not None and not self.old_faults
        )

    @property
    def gives_the_same(self) -> bool:
        """Whether something changed, but each press gives the typist what it gave before; both sides can be played."""
        if self.status is not Status.CHANGED or self.code is None or None in (self.code.old_bytes, self.code.new_bytes):
            return False
        felt = (
            item.section in FELT and (item.part is Part.LAYOUT or item.breaking or bool(item.gains))
            for item in self.items
        )
        return not (self.presses or self.lost or self.gained or any(felt))


def compare_plans(
    old: Plan,
    new: Plan,
    files: tuple[str, ...] = (),
    another: frozenset[str] = frozenset(),
    conflicts: KnownConflicts | None = None,
) -> LayoutComparison:
    """The changes from one plan to the other; `files` are the names of changed files, the rest is as in `Pair`."""
    pair = Pair(old, new, another, conflicts)
    if not pair.changes:
        # Equal plans need not be played.
        return LayoutComparison(id=new.id, old_id=old.id, status=Status.SAME, old=old, new=new, files=files)
    presses, pairs = press_changes(pair), pair_changes(pair)
    return LayoutComparison(
        id=new.id,
        old_id=old.id,
        status=Status.CHANGED,
        old=old,
        new=new,
        changes=pair.changes,
        items=all_items(pair, presses, pairs),
        presses=(*presses, *pairs),
        gained=tuple(text for text in pair.new_ways if text not in pair.old_ways) if pair.played else (),
        lost=tuple(text for text in pair.old_ways if text not in pair.new_ways) if pair.played else (),
        reach=(len(pair.old_ways), len(pair.new_ways)),
        code=compare_code(pair.before, pair.after, new),
        files=files,
    )


def all_items(pair: Pair, presses: tuple[PressChange, ...], pairs: tuple[PressChange, ...]) -> tuple[Item, ...]:
    """Every change of a pair in words, breaking ones first. At least one item covers each changed fact."""
    items = [
        *character_items(pair, presses),
        *keyboard_items(pair),
        *press_items(pair, presses),
        *pair_items(pair, pairs),
        *accent_items(pair),
        *together_items(pair),
        *machine_items(pair),
        *host_items(pair),
    ]
    told = {fact for item in items for fact in item.facts}
    items += stroke_items(pair, told)
    items += layout_items(pair, told)
    return tuple(sorted(items, key=Item.order))


def added_layout(new: Plan) -> LayoutComparison:
    """A new layout."""
    outcomes = outcomes_of(new)
    texts = tuple(outcomes.ways) if outcomes else ()
    return LayoutComparison(
        id=new.id,
        old_id=None,
        status=Status.ADDED,
        new=new,
        changes=find_changes({}, facts(new)),
        gained=texts,
        reach=(0, len(texts)),
        code=compare_code(None, outcomes, new),
    )


def removed_layout(old: Plan) -> LayoutComparison:
    """A removed layout."""
    outcomes = outcomes_of(old)
    texts = tuple(outcomes.ways) if outcomes else ()
    return LayoutComparison(
        id=None,
        old_id=old.id,
        status=Status.REMOVED,
        old=old,
        changes=find_changes(facts(old), {}),
        lost=texts,
        reach=(len(texts), 0),
        code=compare_code(outcomes, None, None),
    )


def with_findings(layout: LayoutComparison, sibling: Plan | None = None) -> LayoutComparison:
    """A layout with its findings compared. In a new one, those of a sibling (same machine and host) are no news."""
    old, new = layout.old, layout.new
    if new is not None and old is not None:
        findings = match_findings(own_findings(old), own_findings(new), dict(layout.changes.renames))
        status = Status.CHANGED if findings and layout.status is Status.SAME else layout.status
        return replace(layout, findings=findings, status=status)
    if new is not None:
        known: Found | None = own_findings(sibling) if sibling else None
        changes = all_new(own_findings(new), known)
        return replace(layout, findings=changes, sibling=sibling.id if sibling else None)
    return replace(layout, findings=all_gone(own_findings(old))) if old is not None else layout
