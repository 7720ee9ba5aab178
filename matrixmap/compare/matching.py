"""Which layouts of two sides are the same one? By their id, or, under another name, by what they do."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.compare.side import Side
from matrixmap.compare.sides.changes import find_changes
from matrixmap.compare.sides.facts import facts
from matrixmap.join.plan import compile_plan
from matrixmap.model.layout import Layout
from matrixmap.model.plan import Plan
from matrixmap.source.kinds.project import Loaded

ALIKE = 0.5
"""A new layout with at least this share of equal triggers counts as a removed one under another name."""


IdPair = tuple[str | None, str | None]
"""Old and new id of a layout, None on the side without it."""


def match_layouts(old: Side, new: Side) -> Iterator[IdPair]:
    """Old and new id of every layout, None on the side without it; renamed layouts are found by what they do."""
    before, after = old.own_ids(), new.own_ids()
    if not before and not after:
        before, after = old.all_ids(), new.all_ids()
    if old.file and new.file:
        yield before[0], after[0]
        return
    if old.file or new.file:
        # The one layout of the file is compared with its namesake, even a shipped one.
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
    before = {id: plan for id in gone if (plan := plan_of(old.load(id)))}
    after = {id: plan for id in come if (plan := plan_of(new.load(id)))}
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


def plan_of(loaded: Loaded[Layout] | None) -> Plan | None:
    """The plan of a layout; None if the layout is missing or cannot be read."""
    return compile_plan(loaded.value) if loaded and loaded.value else None


def _may_be_one(old: Side, new: Side, one: Plan, other: Plan) -> bool:
    """Whether both join the same machine and host, possibly renamed."""
    return one.layout.join is other.layout.join and not any(other_files(old, new, one, other))


def other_files(old: Side, new: Side, one: Plan, other: Plan) -> Iterator[str]:
    """`machine` and `host` if two plans join different ones: the old one still exists, or the new one did before."""
    for kind, before, after in (
        ("machine", one.layout.machine.id, other.layout.machine.id),
        ("host", one.layout.host.id, other.layout.host.id),
    ):
        if before != after and (before in new.project.known(kind) or after in old.project.known(kind)):
            yield kind


def _likeness(one: Plan, other: Plan) -> float:
    """The share of equal triggers, with renamed keys taken into account."""
    before, after = facts(one), facts(other)
    changed = sum(change.fact[0] == "trigger" for change in find_changes(before, after).facts)
    triggers = {fact for fact in (*before, *after) if fact[0] == "trigger"}
    return 1 - changed / len(triggers) if triggers else 1.0
