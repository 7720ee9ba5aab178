"""Names of a machine that changed while the thing that they name stayed the same.

A rename needs an old name that is gone and a new name. Lines are identified by their number, modifiers by their keys,
keys by their crosspoint (or, if they moved, by what they type), controllers by their switches.
All of this is symmetric, so that a comparison in the other direction finds the same pairs.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from typing import TypeVar, cast

from matrixmap.compare.sides.facts import Facts, Name, Value, of_kind

Thing = TypeVar("Thing", bound=Hashable)


def find_renames(old: Facts, new: Facts) -> tuple[tuple[Name, Name], ...]:
    """Pairs of an old name and its new one, sorted."""
    names: dict[Name, Name] = {}
    names.update(_lines(old, new))
    if _same_names(old, new):
        return tuple(sorted(names.items()))
    contacts = (_contacts(old, names), _contacts(new, {}))
    names.update(_modifiers(old, new, contacts))
    names.update(_keys(old, new, contacts, names))
    names.update(_latches(old, new, names))
    names.update(_controllers(old, new, names))
    # A key and a latch share the names of keys: a key of one machine may be a latch in the other.
    known = (_all_keys(old), _all_keys(new))
    pairs = (pair for pair in names.items() if pair[0] not in known[1] and pair[1] not in known[0])
    return tuple(sorted(pairs))


def _all_keys(some: Facts) -> set[Value]:
    return {fact[1] for fact in some if fact[0] in ("key", "latching", "parallel")}


def _same_names(old: Facts, new: Facts) -> bool:
    """Whether both machines name the same keys, modifiers and controllers, so that nothing can have a new name."""
    kinds = {"key", "modifier", "latching", "parallel"}
    listed = [{fact for fact in some if fact[0] in kinds} for some in (old, new)]
    controllers = [some.get(("machine", "controllers")) for some in (old, new)]
    return listed[0] == listed[1] and set(_names(controllers[0])) == set(_names(controllers[1]))


def _names(value: Value) -> tuple[Name, ...]:
    return cast(tuple[Name, ...], value) if isinstance(value, tuple) else ()


def _lines(old: Facts, new: Facts) -> Iterator[tuple[Name, Name]]:
    fields = [("machine", field) for field in ("select", "sense", "direct")]
    known = [{name for field in fields for name in _names(some.get(field))} for some in (old, new)]
    for field in fields:
        for before, after in zip(_names(old.get(field)), _names(new.get(field)), strict=False):
            if before not in known[1] and after not in known[0]:
                yield before, after


Contacts = Mapping[Name, tuple[Value, ...]]


def _contacts(some: Facts, names: Mapping[Name, Name]) -> Contacts:
    """Key -> its lines, by the names of the new machine."""
    found: dict[Name, tuple[Value, ...]] = {}
    for (_, key), lines in of_kind(some, "key").items():
        found[cast(Name, key)] = tuple(names.get(line, line) for line in _names(lines))
    return found


def _modifiers(old: Facts, new: Facts, contacts: tuple[Contacts, Contacts]) -> Iterator[tuple[Name, Name]]:
    wired = []
    for some, where in zip((old, new), contacts, strict=True):
        keys = of_kind(some, "modifier")
        wired.append({cast(Name, fact[1]): tuple(where[key] for key in _names(value)) for fact, value in keys.items()})
    yield from _matched(wired[0], wired[1])


def _keys(
    old: Facts, new: Facts, contacts: tuple[Contacts, Contacts], names: Mapping[Name, Name]
) -> Iterator[tuple[Name, Name]]:
    types = (_types(old, names), _types(new, {}))
    gone, come = _only(contacts[0], contacts[1])
    at = {contacts[1][name]: name for name in come}
    found: dict[Name, Name] = {}
    for name in gone:
        other = at.get(contacts[0][name])
        if other is not None and _alike(types[0].get(name), types[1].get(other)):
            found[name] = other
    yield from found.items()
    moved = ({name: types[0][name] for name in gone if name in types[0] and name not in found},)
    taken = set(found.values())
    arrived = {name: types[1][name] for name in come if name in types[1] and name not in taken}
    yield from _matched(moved[0], arrived)


Types = frozenset[tuple[Value, Value]]


def _types(some: Facts, names: Mapping[Name, Name]) -> dict[Name, Types]:
    """Key -> its shift states with their legends, by the new machine's names; without keys that type nothing."""
    found: dict[Name, set[tuple[Value, Value]]] = {}
    for (_, key, state), legend in of_kind(some, "types").items():
        held = frozenset(names.get(name, name) for name in cast(frozenset[Name], state))
        found.setdefault(cast(Name, key), set()).add((held, legend))
    return {key: frozenset(pairs) for key, pairs in found.items()}


def _alike(one: Types | None, other: Types | None) -> bool:
    """Whether two keys at one crosspoint type something in common, or both type nothing."""
    return bool(one & other) if one and other else one == other


def _latches(old: Facts, new: Facts, names: Mapping[Name, Name]) -> Iterator[tuple[Name, Name]]:
    before, after = of_kind(old, "latching"), of_kind(new, "latching")
    yield from _matched(
        {cast(Name, fact[1]): names.get(cast(Name, key), cast(Name, key)) for fact, key in before.items()},
        {cast(Name, fact[1]): cast(Name, key) for fact, key in after.items()},
    )


def _controllers(old: Facts, new: Facts, names: Mapping[Name, Name]) -> Iterator[tuple[Name, Name]]:
    yield from _matched(_switches(old, names), _switches(new, {}))


def _switches(some: Facts, names: Mapping[Name, Name]) -> dict[Name, Types]:
    found: dict[Name, set[tuple[Value, Value]]] = {name: set() for name in _names(some.get(("machine", "controllers")))}
    for (_, controller, function), lines in of_kind(some, "switch").items():
        here = tuple(
            names.get(line, line) if isinstance(line, Name) else line for line in cast(tuple[Value, ...], lines)
        )
        found[cast(Name, controller)].add((function, here))
    return {name: frozenset(switches) for name, switches in found.items()}


def _only(old: Iterable[Name], new: Iterable[Name]) -> tuple[list[Name], list[Name]]:
    """The names that are gone, and the new names."""
    before, after = set(old), set(new)
    return sorted(before - after), sorted(after - before)


def _matched(old: Mapping[Name, Thing], new: Mapping[Name, Thing]) -> Iterator[tuple[Name, Name]]:
    """Gone and new names of the same thing, if no other name has it."""
    gone, come = _only(old, new)
    for name in gone:
        same = [other for other in come if new[other] == old[name]]
        if len(same) == 1 and sum(old[other] == old[name] for other in gone) == 1:
            yield name, same[0]
