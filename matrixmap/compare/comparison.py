"""Two sides of a comparison, layout by layout: which are the same under another name, what is broken, what is untouched."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace

from matrixmap.compare.items.item import Item, Part
from matrixmap.compare.layouts import LayoutComparison, Status, added_layout, compare_plans, removed_layout
from matrixmap.compare.sides.changes import find_changes
from matrixmap.compare.sides.facts import facts
from matrixmap.compare.threeway import Clash, find_clashes, gone_clash
from matrixmap.join.plan import compile_plan
from matrixmap.model.finding import Finding
from matrixmap.model.layout import Layout
from matrixmap.model.plan import Plan
from matrixmap.source.folder import KINDS, SUFFIX
from matrixmap.source.kinds.project import Loaded, Project

ALIKE = 0.5
"""The share of equal triggers from which a layout that came is taken for one that went, under another name."""


@dataclass(frozen=True, slots=True)
class LayoutFile:
    """A layout file outside the folders of a project."""

    id: str
    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison: its name as the user gave it, and the project that it reads.

    With a `file` it has that layout only, and the project gives machine and host.
    """

    name: str
    project: Project
    file: LayoutFile | None = None

    def own_ids(self) -> tuple[str, ...]:
        """The layouts of the side's own folder."""
        if self.file is not None:
            return (self.file.id,)
        return tuple(entry.id for entry in self.project.entries("layout") if entry.folder == 0)

    def all_ids(self) -> tuple[str, ...]:
        """The layouts of the side, those that ship with the program among them."""
        return (self.file.id,) if self.file is not None else self.project.ids("layout")

    def load(self, id: str) -> Loaded[Layout] | None:
        """A layout, None if there is none of that id."""
        if self.file is None:
            return self.project.layout(id)
        if id != self.file.id:
            return None
        return self.project.layout_text(id, self.file.name, self.file.data)


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseFile:
    """A file of a machine or host that changed and that no layout of either side uses; findings are those of the new one."""

    name: str
    change: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedPart:
    """A machine or host that several layouts join, with what changed in it."""

    part: Part
    name: str
    layouts: tuple[str, ...]
    items: tuple[Item, ...]

    @property
    def breaking(self) -> int:
        """How many of the changes are breaking."""
        return sum(item.breaking for item in self.items)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """All that a comparison found. `theirs` names the third side of a comparison of two branches, None without one."""

    old: str
    new: str
    layouts: tuple[LayoutComparison, ...]
    loose: tuple[LooseFile, ...] = ()
    theirs: str | None = None
    clashes: tuple[Clash, ...] = ()

    def shared(self) -> tuple[SharedPart, ...]:
        """What changed in machines and hosts, each once with the layouts that join it."""
        found: dict[tuple[Part, str], tuple[list[str], dict[object, Item]]] = {}
        for layout in self.layouts:
            for item in layout.items:
                if item.part is Part.LAYOUT or layout.new is None:
                    continue
                joined = layout.new.layout
                name = joined.machine.id if item.part is Part.MACHINE else joined.host.id
                names, items = found.setdefault((item.part, name), ([], {}))
                if layout.name not in names:
                    names.append(layout.name)
                known = items.setdefault((item.section, item.words), item)
                if item.breaking and not known.breaking:
                    items[item.section, item.words] = item
        return tuple(
            SharedPart(part=part, name=name, layouts=tuple(names), items=tuple(items.values()))
            for (part, name), (names, items) in sorted(
                found.items(), key=lambda entry: (entry[0][0].value, entry[0][1])
            )
        )

    @property
    def breaking(self) -> int:
        """How many breaking changes there are; one of a machine or host counts once."""
        own = sum(own_breaking(layout) for layout in self.layouts)
        return own + sum(part.breaking for part in self.shared())

    def of_status(self, *statuses: Status) -> tuple[LayoutComparison, ...]:
        """The layouts to which one of these happened."""
        return tuple(layout for layout in self.layouts if layout.status in statuses)

    @property
    def nothing_compared(self) -> bool:
        """Whether no layout could be read on both sides, or on the one where it is."""
        return bool(self.layouts) and all(layout.status is Status.BROKEN for layout in self.layouts)


def own_breaking(layout: LayoutComparison) -> int:
    """How many breaking changes a layout has besides those of its machine and host."""
    return layout.breaking - sum(item.breaking for item in layout.items if item.part is not Part.LAYOUT)


def compare_sides(old: Side, new: Side, wanted: Collection[str] = ()) -> Comparison:
    """Both sides layout by layout: those wanted, else all of their own folders, else those that ship with the program."""
    pairs = list(match_layouts(old, new))
    if wanted:
        pairs = [pair for pair in pairs if pair[0] in wanted or pair[1] in wanted]
    layouts = [_compare(old, new, old_id, new_id) for old_id, new_id in pairs]
    loose = () if wanted or old.file or new.file else tuple(_loose_files(old, new, pairs))
    return Comparison(old=old.name, new=new.name, layouts=tuple(sorted(layouts, key=_order)), loose=loose)


IdPair = tuple[str | None, str | None]


def compare_branches(base: Side, ours: Side, theirs: Side, wanted: Collection[str] = ()) -> Comparison:
    """Our branch against what both branches come from, and where both changed one thing differently."""
    comparison = compare_sides(base, ours, wanted)
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
    plans = _plan(base), _plan(ours), _plan(theirs)
    if plans[0] is None or plans[1] is None or plans[2] is None:
        return ()
    return find_clashes(plans[0], plans[1], plans[2])


def match_layouts(old: Side, new: Side) -> Iterator[IdPair]:
    """Old and new id of every layout, None on the side where it is not; renamed ones are found by what they do."""
    before, after = old.own_ids(), new.own_ids()
    if not before and not after:
        before, after = old.all_ids(), new.all_ids()
    if old.file and new.file:
        yield before[0], after[0]
        return
    if old.file or new.file:
        # The one layout of the file is compared with its namesake, be it one that ships with the program.
        id = (before if old.file else after)[0]
        yield (id if id in old.all_ids() else None), (id if id in new.all_ids() else None)
        return
    gone = [id for id in before if id not in after]
    come = [id for id in after if id not in before]
    renamed = dict(_renamed_layouts(old, new, gone, come))
    for id in before:
        if id in after:
            yield id, id
        else:
            yield id, renamed.get(id)
    taken = set(renamed.values())
    yield from ((None, id) for id in come if id not in taken)


def _renamed_layouts(old: Side, new: Side, gone: list[str], come: list[str]) -> Iterator[tuple[str, str]]:
    if not gone or not come:
        return
    before = {id: plan for id in gone if (plan := _plan(old.load(id)))}
    after = {id: plan for id in come if (plan := _plan(new.load(id)))}
    scores = [
        (-_likeness(one, other), one.id, other.id)
        for one in before.values()
        for other in after.values()
        if _may_be_one(old, new, one, other)
    ]
    used: set[str] = set()
    for score, one_id, other_id in sorted(scores):
        if -score >= ALIKE and f"old {one_id}" not in used and f"new {other_id}" not in used:
            used |= {f"old {one_id}", f"new {other_id}"}
            yield one_id, other_id


def _plan(loaded: Loaded[Layout] | None) -> Plan | None:
    return compile_plan(loaded.value) if loaded and loaded.value else None


def _may_be_one(old: Side, new: Side, one: Plan, other: Plan) -> bool:
    """Whether both join the same machine and host, or ones that took another name as well."""
    if one.layout.join is not other.layout.join:
        return False
    for kind, before, after in (
        ("machine", one.layout.machine.id, other.layout.machine.id),
        ("host", one.layout.host.id, other.layout.host.id),
    ):
        if before != after and (before in new.project.ids(kind) or after in old.project.ids(kind)):
            return False
    return True


def _likeness(one: Plan, other: Plan) -> float:
    """The share of triggers that are equal, renamed keys taken into account."""
    before, after = facts(one), facts(other)
    changed = sum(change.fact[0] == "trigger" for change in find_changes(before, after).facts)
    triggers = {fact for fact in (*before, *after) if fact[0] == "trigger"}
    return 1 - changed / len(triggers) if triggers else 1.0


def _compare(old: Side, new: Side, old_id: str | None, new_id: str | None) -> LayoutComparison:
    before = old.load(old_id) if old_id is not None else None
    after = new.load(new_id) if new_id is not None else None
    faults = (before.findings if before else (), after.findings if after else ())
    if faults[0] or faults[1]:
        return LayoutComparison(
            id=new_id, old_id=old_id, status=Status.BROKEN, old_faults=faults[0], new_faults=faults[1]
        )
    if before and after and before.inputs == after.inputs:
        return LayoutComparison(id=new_id, old_id=old_id, status=Status.UNTOUCHED)
    one, other = _plan(before), _plan(after)
    if one and other and before and after:
        return compare_plans(one, other, _changed_files(before, after))
    if other:
        return added_layout(other, _sibling(old, other))
    assert one is not None, (old_id, new_id)
    return removed_layout(one)


def _sibling(old: Side, new: Plan) -> Plan | None:
    """An old layout of the machine of a new one, of the same join if there is one."""
    found = None
    for id in old.own_ids() or old.all_ids():
        loaded = old.load(id)
        if loaded and loaded.value and loaded.value.machine.id == new.layout.machine.id:
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
    """Files of machines and hosts that changed, but that no layout reads."""
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
