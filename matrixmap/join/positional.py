"""Proposed pairs of a positional layout: like goes with like, and every other key with the one in the same place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from statistics import median

from matrixmap.hid.usages import Usage
from matrixmap.join.assignment import least_assignment
from matrixmap.join.likeness import (
    CHARACTER,
    FUNCTION,
    KEYPAD,
    MODIFIER,
    SHIFT,
    Cap,
    Spot,
    distance,
    host_caps,
    is_free,
    machine_caps,
)
from matrixmap.model.basic import SHIFTS
from matrixmap.model.host import Host
from matrixmap.model.machine import Machine
from matrixmap.model.pairs import PlacedPair

UNITS_PER_PITCH = 1000
"""Distances are whole numbers, thousandths of a key pitch, so that sums are exact."""

FARTHEST = 6 * UNITS_PER_PITCH
"""The cost of a key without a pair: to make room for it, other keys are moved by no more than this in total."""

UNLIKE = 10_000 * UNITS_PER_PITCH
"""The cost of a pair of two kinds of key: more than all distances together."""

UNDER_KEYPAD = 1.0
"""A key that is on no keypad is under the host's keypad if it is this near, in key pitches."""

Keys = Mapping[str, Cap]
Usages = Mapping[Usage, Cap]
Chosen = dict[Usage, str]
Far = Callable[[str, Usage], float]
Token = Callable[[Cap], str | None]
"""What a key means in a comparison; keys with the same token are alike, and None is like nothing."""


def propose_pairs(machine: Machine, host: Host) -> tuple[PlacedPair, ...]:
    """The pairs, in the order of the machine's place rows.

    The two keyboards are laid over each other so that letters and digits match. Then keys that are alike are paired
    wherever they are, the nearest if there are several: letters and digits, keys that type the same function or a
    space, modifiers with the same name, a keypad with a keypad. The remaining keys are paired within their kind,
    character keys, modifiers and function keys, by the least total distance. A key gets no pair if its pair would move
    keys by more than six pitches in total. One key can have two host keys: both Shifts, if the machine has only one.
    """
    keys, usages = machine_caps(machine), host_caps(host)
    if not keys:
        return ()
    far = _distances(keys, usages)
    alike = _alike(keys, usages, far)
    left_keys = {name: cap for name, cap in keys.items() if name not in alike.values()}
    left_usages = {
        usage: cap for usage, cap in usages.items() if usage not in alike and is_free(usage, cap, keys.values())
    }
    chosen = alike | _by_place(left_keys, left_usages, far)
    return tuple(
        PlacedPair(usage=usage, key=name, distance=far(name, usage), alike=usage in alike)
        for name in keys
        for usage in sorted(chosen)
        if chosen[usage] == name
    )


def _distances(keys: Keys, usages: Usages) -> Far:
    """How far apart a key and a host key are; two keypads are measured as if they were laid over each other."""
    main = _offset(keys, usages, keypad=False)
    pad = _offset(keys, usages, keypad=True)

    def far(name: str, usage: Usage) -> float:
        key, cap = keys[name], usages[usage]
        right, down = pad if key.kind == cap.kind == KEYPAD else main
        return distance((key.at[0] + right, key.at[1] + down), cap.at)

    return far


def _offset(keys: Keys, usages: Usages, keypad: bool) -> Spot:
    """How far to move the machine's keyboard: the median move from its letters and digits to the host's.

    Without letters and digits, the middles of the two keyboards are laid over each other.
    """
    ours = [cap for cap in keys.values() if (cap.kind == KEYPAD) == keypad]
    theirs = [cap for cap in usages.values() if (cap.kind == KEYPAD) == keypad]
    moves = []
    for key in ours:
        named = [cap for cap in theirs if key.means and key.means == (cap.means if keypad else cap.by_code)]
        if not named:
            named = [cap for cap in theirs if _is_sign(key) and cap.means == key.means]
        if len(named) == 1:
            moves.append((named[0].at[0] - key.at[0], named[0].at[1] - key.at[1]))
    if not moves:
        right, down = (_middle(usages.values(), axis) - _middle(keys.values(), axis) for axis in (0, 1))
        moves = [(right, down)]
    return median(move[0] for move in moves), median(move[1] for move in moves)


def _middle(caps: Iterable[Cap], axis: int) -> float:
    values = [cap.at[axis] for cap in caps]
    return (min(values) + max(values)) / 2


def _is_sign(cap: Cap) -> bool:
    """Whether a key means a letter or a digit."""
    return cap.kind in (CHARACTER, KEYPAD) and cap.means is not None and cap.means.isalnum() and len(cap.means) == 1


def _alike(keys: Keys, usages: Usages, far: Far) -> Chosen:
    """The pairs of keys that are alike.

    Letters and digits go by the host's print or by its W3C codes, all in the same way: the one that puts them nearer. A
    key of the machine's keypad goes to the host's keypad, unless it alone types what the main part of the host needs.
    """
    printed, coded = _by_print, _by_code
    ways = [_signs(keys, usages, far, first, second) for first, second in ((printed, coded), (coded, printed))]
    chosen = min(ways, key=lambda way: sum(far(name, usage) for usage, name in way.items()))
    stages: tuple[tuple[Token, Token], ...] = (
        (_type_of(FUNCTION, CHARACTER), _main_function),
        (_type_of(KEYPAD), _main_function),
        (_of(MODIFIER), _of(MODIFIER)),
        (_of(KEYPAD), _of(KEYPAD)),
        (_of(FUNCTION), _of(KEYPAD)),
    )
    for ours, theirs in stages:
        chosen |= _pair(keys, usages, far, chosen, ours, theirs)
    shifts = [name for name, cap in keys.items() if cap.kind == MODIFIER and cap.means == SHIFT]
    for usage in SHIFTS:
        if shifts and usage in usages and usage not in chosen:
            chosen[usage] = shifts[0]
    return chosen


def _signs(keys: Keys, usages: Usages, far: Far, first: Token, second: Token) -> Chosen:
    """The pairs of letters and digits by `first`, which says what a host key means; the rest by `second`."""
    chosen: Chosen = {}
    for kind in (CHARACTER, KEYPAD):
        for theirs in (first, second):
            chosen |= _pair(keys, usages, far, chosen, _sign(kind), theirs)
    return chosen


def _pair(keys: Keys, usages: Usages, far: Far, chosen: Chosen, ours: Token, theirs: Token) -> Chosen:
    """Keys and host keys with the same token in pairs of least total distance, as many as are not yet chosen."""
    taken = set(chosen.values())
    names: dict[str, list[str]] = {}
    for name, cap in keys.items():
        if (token := ours(cap)) and name not in taken:
            names.setdefault(token, []).append(name)
    found: Chosen = {}
    for token, listed in names.items():
        there = [usage for usage, cap in usages.items() if theirs(cap) == token and usage not in chosen]
        found |= _nearest(listed, there, far)
    return found


def _nearest(names: Sequence[str], usages: Sequence[Usage], far: Far) -> Chosen:
    """As many pairs as possible, of least total distance."""
    costs = [[round(far(name, usage) * UNITS_PER_PITCH) for usage in usages] for name in names]
    if len(names) <= len(usages):
        columns = least_assignment(costs).columns
        return {usages[column]: name for name, column in zip(names, columns, strict=True)}
    columns = least_assignment([list(column) for column in zip(*costs, strict=True)]).columns if usages else ()
    return {usage: names[column] for usage, column in zip(usages, columns, strict=True)}


def _of(kind: str) -> Token:
    """What keys of a kind mean."""
    return lambda cap: cap.means if cap.kind == kind else None


def _sign(kind: str) -> Token:
    """The letter or digit that keys of a kind mean."""
    return lambda cap: cap.means if cap.kind == kind and _is_sign(cap) else None


def _type_of(*kinds: str) -> Token:
    """The function, or the space, that keys of these kinds type."""
    return lambda cap: (
        cap.means if cap.kind in kinds and cap.means and (len(cap.means) > 1 or cap.means == " ") else None
    )


def _main_function(cap: Cap) -> str | None:
    return None if cap.kind in (KEYPAD, MODIFIER) else cap.means


def _by_print(cap: Cap) -> str | None:
    return cap.means if cap.kind == CHARACTER else None


def _by_code(cap: Cap) -> str | None:
    return cap.by_code


def _by_place(keys: Keys, usages: Usages, far: Far) -> Chosen:
    """Pairs of one kind by least total distance; a key gets no pair if that would move keys too far."""
    if not keys or not usages:
        return {}
    names, columns = list(keys), list(usages)
    costs = []
    for number, name in enumerate(names):
        none = [UNLIKE] * len(names)  # columns for keys without a pair, one a key
        none[number] = FARTHEST
        costs.append([*(_cost(keys[name].kind, usages[usage].kind, far(name, usage)) for usage in columns), *none])
    chosen = least_assignment(costs).columns
    return {columns[column]: name for name, column in zip(names, chosen, strict=True) if column < len(columns)}


def _cost(key: str, cap: str, distance: float) -> int:
    under = cap == KEYPAD and key in (CHARACTER, FUNCTION) and distance <= UNDER_KEYPAD
    return round(distance * UNITS_PER_PITCH) + (0 if key == cap or under else UNLIKE)
