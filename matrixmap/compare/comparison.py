"""Two sides of a comparison, layout by layout: which are the same under another name, which are broken or untouched."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from matrixmap.compare.boards import board_files, board_news
from matrixmap.compare.firmware import Firmware, firmware_of
from matrixmap.compare.items.item import Audience
from matrixmap.compare.layouts import (
    LayoutComparison,
    Status,
    added_layout,
    compare_plans,
    removed_layout,
    with_findings,
)
from matrixmap.compare.matching import IdPair, match_layouts, other_files, plan_of
from matrixmap.compare.once import News, news_of
from matrixmap.compare.side import Side, changed_lines
from matrixmap.compare.sides.conflicts import KnownConflicts
from matrixmap.compare.threeway import Clash, find_clashes, gone_clash
from matrixmap.join.plan import compile_plan
from matrixmap.model.finding import Finding
from matrixmap.model.layout import Layout
from matrixmap.model.plan import Plan
from matrixmap.source.folder import KINDS, SUFFIX
from matrixmap.source.kinds.project import Loaded


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseFile:
    """A changed file of a machine or host that no layout of either side uses, with the findings of the new file."""

    name: str
    change: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EditedFile:
    """A changed file: its name in the inputs of a layout, its name in findings, and its changed lines.

    For removed lines, the line that is now in their place counts.
    """

    name: str
    shown: str
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenFile:
    """A file that a side lacks and takes from the shipped set; `old` and `new` say which side does so."""

    name: str
    old: bool
    new: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The results of a comparison. `theirs` names the third side of a comparison of two branches, None without one.

    `news` are the changes of all layouts, each once, followed by those of adapters and parts, which have no layouts.
    `edited` are the changed files of the new side. `first` means that the old side dates from before the first layout.
    `misnamed` are files of the new side that look like files of a project but are not read.
    """

    old: str
    new: str
    layouts: tuple[LayoutComparison, ...]
    news: tuple[News, ...] = ()
    firmware: Firmware = field(default_factory=Firmware)
    taken: tuple[TakenFile, ...] = ()
    first: bool = False
    misnamed: tuple[str, ...] = ()
    edited: tuple[EditedFile, ...] = ()
    loose: tuple[LooseFile, ...] = ()
    theirs: str | None = None
    clashes: tuple[Clash, ...] = ()

    @property
    def breaking(self) -> int:
        """The number of breaking changes, each counted once, even if many layouts have it."""
        whole = sum(layout.status is Status.REMOVED or layout.newly_broken for layout in self.layouts)
        return whole + sum(news.breaking for news in self.news) + self.firmware.breaking

    def breaks(self, audience: Audience) -> bool:
        """Whether anything is breaking for an audience."""
        if audience is Audience.FIRMWARE and self.firmware.breaking:
            return True
        if audience is Audience.TYPIST and any(
            layout.status is Status.REMOVED or layout.newly_broken for layout in self.layouts
        ):
            return True
        return any(news.breaking and news.item.audience is audience for news in self.news)

    @property
    def findings_compared(self) -> bool:
        """Whether findings were compared."""
        return any(layout.findings is not None for layout in self.layouts)

    @property
    def filled(self) -> tuple[str, ...]:
        """Files that the new side no longer has, so that it uses those of the shipped set."""
        return tuple(file.name for file in self.taken if file.new and not file.old)

    def of_status(self, *statuses: Status) -> tuple[LayoutComparison, ...]:
        """The layouts with one of these statuses."""
        return tuple(layout for layout in self.layouts if layout.status in statuses)

    @property
    def unreadable(self) -> bool:
        """Whether a new or previously readable layout, adapter or part cannot be read, or no layout could be compared at all."""
        broken = [layout for layout in self.layouts if layout.status is Status.BROKEN]
        fresh = any(layout.new_faults and (layout.old_id is None or not layout.old_faults) for layout in broken)
        fresh = fresh or any(news.broken for news in self.news)
        return fresh or (bool(broken) and len(broken) == len(self.layouts))


MANY = 8
"""If more layouts than this changed, findings are compared only on request: they cost as much as everything else."""


def compare_sides(old: Side, new: Side, wanted: Collection[str] = (), findings: bool | None = None) -> Comparison:
    """Both sides, layout by layout: the wanted ones, else all in their own folders, else the shipped ones.

    `findings` says whether findings are compared; None: if few layouts changed.
    """
    pairs = list(match_layouts(old, new))
    if wanted:
        pairs = [pair for pair in pairs if pair[0] in wanted or pair[1] in wanted]
    whole = not (wanted or old.file or new.file)
    conflicts = KnownConflicts()
    layouts = [_compare(old, new, old_id, new_id, conflicts) for old_id, new_id in pairs]
    changed = sum(layout.status in (Status.CHANGED, Status.ADDED, Status.REMOVED) for layout in layouts)
    if findings or (findings is None and changed <= MANY):
        layouts = [_with_findings(old, layout) for layout in layouts]
    news = (*news_of(layouts), *(board_news(old, new, _renamed_machines(new, layouts)) if whole else ()))
    return Comparison(
        old=old.name,
        new=new.name,
        layouts=tuple(sorted(layouts, key=_order)),
        news=news,
        firmware=_firmware(new, layouts, pairs if whole else None),
        taken=tuple(_taken(old, new, pairs)),
        first=old.before_first,
        misnamed=new.misnamed() if whole else (),
        edited=tuple(_edited(old, new, layouts, board_files(old, new) if whole else ())),
        loose=tuple(_loose_files(old, new, pairs)) if whole else (),
    )


def _renamed_machines(new: Side, layouts: Iterable[LayoutComparison]) -> dict[str, str]:
    """The ids of machines that were renamed."""
    there = set(new.project.ids("machine"))
    changes = (change for layout in layouts for change in layout.changes.facts if change.fact == ("machine", "id"))
    return {str(change.old): str(change.new) for change in changes if change.old not in there}


def _with_findings(old: Side, layout: LayoutComparison) -> LayoutComparison:
    if layout.status in (Status.UNTOUCHED, Status.BROKEN):
        return layout
    return with_findings(layout, _sibling(old, layout.new) if layout.old is None and layout.new else None)


def _firmware(new: Side, layouts: Sequence[LayoutComparison], pairs: Sequence[IdPair] | None) -> Firmware:
    untouched = {}
    for layout in layouts:
        loaded = new.load(layout.id) if layout.status is Status.UNTOUCHED and layout.id else None
        if loaded and loaded.value:
            untouched[loaded.value.machine.id] = loaded.value.machine
    order = None
    if pairs is not None:
        order = (
            sorted(old for old, _ in pairs if old is not None),
            sorted(id for _, id in pairs if id is not None),
        )
    return firmware_of(layouts, untouched.values(), order)


def _taken(old: Side, new: Side, pairs: Iterable[IdPair]) -> Iterator[TakenFile]:
    """Files of the compared layouts that a side takes from the shipped set."""
    listed = list(pairs)
    names = [
        side.taken(id for pair in listed if (id := pair[number]) is not None) for number, side in ((0, old), (1, new))
    ]
    for name in sorted(names[0] | names[1]):
        yield TakenFile(name=name, old=name in names[0], new=name in names[1])


def _edited(old: Side, new: Side, layouts: Iterable[LayoutComparison], others: Iterable[str]) -> Iterator[EditedFile]:
    """The files of layouts, and other files, that have a changed line on the new side."""
    for name in sorted({name for layout in layouts for name in layout.files} | {*others}):
        texts = [side.text(name) for side in (old, new)]
        lines = changed_lines(texts[0] or b"", texts[1]) if texts[1] is not None else ()
        if lines:
            yield EditedFile(name=name, shown=new.shown(name), lines=lines)


def compare_branches(
    base: Side, ours: Side, theirs: Side, wanted: Collection[str] = (), findings: bool | None = None
) -> Comparison:
    """Our branch against the common base of both branches, and where both changed one thing differently."""
    comparison = compare_sides(base, ours, wanted, findings)
    our_ids = {layout.old_id: layout.id for layout in comparison.layouts if layout.old_id is not None}
    clashes: list[Clash] = []
    for base_id, their_id in match_layouts(base, theirs):
        if base_id is not None and base_id in our_ids:
            our_id = our_ids[base_id]
            loaded = (
                base.load(base_id),
                ours.load(our_id) if our_id is not None else None,
                theirs.load(their_id) if their_id is not None else None,
            )
            clashes += _clashes(base_id, *loaded)
    return replace(comparison, theirs=theirs.name, clashes=tuple(clashes))


def _clashes(
    id: str, base: Loaded[Layout] | None, ours: Loaded[Layout] | None, theirs: Loaded[Layout] | None
) -> tuple[Clash, ...]:
    if base is None or any(side and side.inputs == base.inputs for side in (ours, theirs)):
        return ()
    if ours is None or theirs is None:
        return () if ours is theirs else (gone_clash(id, ours is None, theirs is None),)
    plans = plan_of(base), plan_of(ours), plan_of(theirs)
    if plans[0] is None or plans[1] is None or plans[2] is None:
        return ()
    return find_clashes(plans[0], plans[1], plans[2])


def _compare(
    old: Side, new: Side, old_id: str | None, new_id: str | None, conflicts: KnownConflicts
) -> LayoutComparison:
    before = old.load(old_id) if old_id is not None else None
    after = new.load(new_id) if new_id is not None else None
    faults = (before.findings if before else (), after.findings if after else ())
    if faults[0] or faults[1]:
        return LayoutComparison(
            id=new_id, old_id=old_id, status=Status.BROKEN, old_faults=faults[0], new_faults=faults[1]
        )
    if before and after and before.inputs == after.inputs:
        return LayoutComparison(id=new_id, old_id=old_id, status=Status.UNTOUCHED)
    one, other = plan_of(before), plan_of(after)
    if one and other and before and after:
        another = frozenset(other_files(old, new, one, other))
        return compare_plans(one, other, _changed_files(before, after), another, conflicts)
    if other:
        return added_layout(other)
    assert one is not None, (old_id, new_id)
    return removed_layout(one)


def _sibling(old: Side, new: Plan) -> Plan | None:
    """An old layout with the machine and host of a new one, and if possible its join; other countries do not count."""
    if old.before_first:
        return None
    found = None
    wanted = new.layout.machine.id, new.layout.host.id
    for id in old.own_ids() or old.all_ids():
        loaded = old.load(id)
        if loaded and loaded.value and (loaded.value.machine.id, loaded.value.host.id) == wanted:
            if loaded.value.join is new.layout.join:
                return compile_plan(loaded.value)
            found = found or loaded.value
    return compile_plan(found) if found else None


def _changed_files(before: Loaded[Layout], after: Loaded[Layout]) -> tuple[str, ...]:
    hashes = dict(before.inputs), dict(after.inputs)
    return tuple(sorted(name for name in {*hashes[0], *hashes[1]} if hashes[0].get(name) != hashes[1].get(name)))


ORDER = (Status.BROKEN, Status.REMOVED, Status.CHANGED, Status.ADDED, Status.SAME, Status.UNTOUCHED)


def _order(layout: LayoutComparison) -> tuple[bool, int, str]:
    return not layout.breaking, ORDER.index(layout.status), layout.name


def _loose_files(old: Side, new: Side, pairs: Iterable[IdPair]) -> Iterator[LooseFile]:
    """Changed files of machines and hosts that no layout reads."""
    used = set()
    for side, number in ((old, 0), (new, 1)):
        for pair in pairs:
            id = pair[number]
            loaded = side.load(id) if id is not None else None
            used |= {name for name, _ in loaded.inputs} if loaded else set()
    for kind in ("machine", "host"):
        folders = old.project.folders[0], new.project.folders[0]
        for id in sorted({*folders[0].ids(kind), *folders[1].ids(kind)}):
            name = f"{KINDS[kind]}/{id}{SUFFIX}"
            before, after = (folder.read(kind, id) for folder in folders)
            if name in used or before == after:
                continue
            change = "added" if before is None else "removed" if after is None else "changed"
            yield LooseFile(name=name, change=change, findings=_file_findings(new, kind, id))


def _file_findings(side: Side, kind: str, id: str) -> tuple[Finding, ...]:
    if kind == "machine":
        machine = side.project.machine(id)
        return machine.findings if machine else ()
    host = side.project.host(id)
    return host.findings if host and not side.project.is_base(id) else ()
