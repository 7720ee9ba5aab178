"""The difference of two plans: changed names, and other changed facts.

Applied to the facts of the old plan, the changes give those of the new one; mirrored, they lead back.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final

from matrixmap.compare.sides.facts import Fact, Facts, Name, Value
from matrixmap.compare.sides.renames import find_renames


class Absent(Enum):
    """The value of a fact that a plan does not have."""

    ABSENT = "absent"


ABSENT: Final = Absent.ABSENT


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A fact with its value before and after, in the names of the new plan."""

    fact: Fact
    old: Value | Absent
    new: Value | Absent


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """All differences: `renames` are pairs of an old name and a new one, sorted; `facts` are sorted by fact."""

    renames: tuple[tuple[Name, Name], ...]
    facts: tuple[Change, ...]

    def __bool__(self) -> bool:
        return bool(self.renames or self.facts)


NO_CHANGES = Changes(renames=(), facts=())


def find_changes(old: Facts, new: Facts) -> Changes:
    """The changes from some facts to others."""
    renames = find_renames(old, new)
    before = renamed_facts(old, renames)
    changed = before.items() ^ new.items()
    found = {fact for fact, _ in changed}
    listed = [Change(fact=fact, old=before.get(fact, ABSENT), new=new.get(fact, ABSENT)) for fact in found]
    return Changes(renames=renames, facts=_sorted(listed))


def apply_changes(old: Facts, changes: Changes) -> dict[Fact, Value]:
    """The facts that result from the old ones and the changes."""
    result = dict(renamed_facts(old, changes.renames))
    for change in changes.facts:
        if change.new is ABSENT:
            del result[change.fact]
        else:
            result[change.fact] = change.new
    return result


def mirrored(changes: Changes) -> Changes:
    """The changes that lead back."""
    back = {new: old for old, new in changes.renames}

    def turned(value: Value | Absent) -> Value | Absent:
        return value if value is ABSENT else renamed(value, back)

    listed = [
        Change(fact=_renamed_fact(change.fact, back), old=turned(change.new), new=turned(change.old))
        for change in changes.facts
    ]
    return Changes(renames=tuple(sorted(back.items())), facts=_sorted(listed))


def renamed_facts(some: Facts, renames: Iterable[tuple[Name, Name]]) -> Facts:
    """Facts with some names replaced."""
    names = dict(renames)
    if not names:
        return some
    return {_renamed_fact(fact, names): renamed(value, names) for fact, value in some.items()}


def _renamed_fact(fact: Fact, names: Mapping[Name, Name]) -> Fact:
    return tuple(renamed(part, names) for part in fact)


def renamed(value: Value, names: Mapping[Name, Name]) -> Value:
    """A value with some names replaced, at any depth."""
    if isinstance(value, Name):
        return names.get(value, value)
    if isinstance(value, tuple):
        return tuple(renamed(part, names) for part in value)
    if isinstance(value, frozenset):
        return frozenset(renamed(part, names) for part in value)
    return value


def _sorted(changes: Iterable[Change]) -> tuple[Change, ...]:
    return tuple(sorted(changes, key=lambda change: value_order(change.fact)))


Order = tuple[int, float, str, tuple["Order", ...]]


def value_order(value: Value) -> Order:
    """A sort key for values of any kind: nothing, then numbers, texts, lists."""
    if value is None:
        return 0, 0, "", ()
    if isinstance(value, bool | int | float):
        return 1, value, "", ()
    if isinstance(value, str):
        return 2, 0, value, ()
    if isinstance(value, Name):
        return 3, 0, f"{value.kind} {value.text}", ()
    parts = tuple(value_order(part) for part in value)
    return 4, 0, "", tuple(sorted(parts)) if isinstance(value, frozenset) else parts
