"""Proposes the pairs of a positional layout: for each key of the machine the host key that lies where it lies."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import hypot
from statistics import median

from matrixmap.hid.geometry import Block, form
from matrixmap.hid.usages import CAPS_LOCK, MODIFIER_BITS, NUM_LOCK, SCROLL_LOCK, Usage, by_code, by_number
from matrixmap.join.assignment import least_assignment
from matrixmap.model.host import Host
from matrixmap.model.machine import Machine

UNITS_PER_PITCH = 1000
"""Distances are whole numbers, thousandths of a key pitch, so that sums are exact."""

FARTHEST = 6 * UNITS_PER_PITCH
"""What a key without a pair counts: no other keys are moved by more than this, all in all, to make room for it."""

UNLIKE = 10_000 * UNITS_PER_PITCH
"""What a pair of two kinds of key counts, or of other keys than those that are alike: more than all distances together."""

CHARACTER, KEYPAD, MODIFIER, FUNCTION, LOCK = "character", "keypad", "modifier", "function", "lock"

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPair:
    """A host key, the machine's key that it stands for, and how far apart they are in key pitches."""

    usage: Usage
    key: str
    distance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spot:
    """A key in its place: the middle of its cap, its kind, and the function or modifier that it is, if any."""

    at: Spot
    kind: str
    means: str | None


def propose_pairs(machine: Machine, host: Host) -> tuple[PlacedPair, ...]:
    """The pairs of least total distance between the middles of keys, in the order of the machine's place rows.

    Keys of one function or modifier are paired wherever they lie. Otherwise a character key gets a character key, not
    one of the keypad, a modifier a modifier, and a function key another; a key gets none where that would move keys
    by more than six pitches, all in all. The two keyboards are laid over each other so that letters and digits fall together.
    """
    keys, usages = dict(_machine_spots(machine)), dict(_host_spots(host, machine.host_shift))
    if not keys:
        return ()
    right, down = _offset(machine, keys, usages)
    meanings = {spot.means for spot in usages.values() if spot.means}
    costs, distances = [], []
    for number, key in enumerate(keys.values()):
        row = [hypot(key.at[0] + right - spot.at[0], key.at[1] + down - spot.at[1]) for spot in usages.values()]
        alike = key.means in meanings
        none = [UNLIKE] * len(keys)  # columns for keys without a pair, one a key
        none[number] = UNLIKE if alike else FARTHEST
        distances.append(row)
        pairs = zip(usages.values(), row, strict=True)
        costs.append([*(_cost(key, spot, far, alike) for spot, far in pairs), *none])
    chosen = least_assignment(costs).columns
    named = list(usages)
    return tuple(
        PlacedPair(usage=named[column], key=key, distance=distances[row][column])
        for row, (key, column) in enumerate(zip(keys, chosen, strict=True))
        if column < len(named)
    )


def _cost(key: _Spot, spot: _Spot, distance: float, alike: bool) -> int:
    unlike = key.means != spot.means if alike else key.kind != spot.kind
    return round(distance * UNITS_PER_PITCH) + UNLIKE * unlike


def _machine_spots(machine: Machine) -> Iterator[tuple[str, _Spot]]:
    """Each placed key that closes a contact, caps in parallel included; rows are one pitch high."""
    keys = {*(key.name for key in machine.keys), *machine.parallel}
    for row in machine.rows:
        left = row.left
        for name, width in row.keys:
            if name in keys:
                legend = machine.cap_types(name).get(frozenset()) if name else None
                modifier = machine.modifier_of(_closed_alone(machine, name)) if name else None
                means = modifier or (legend.text if legend and not legend.is_character else None)
                kind = MODIFIER if modifier else CHARACTER if legend and legend.is_character else FUNCTION
                yield str(name), _Spot(at=(left + width / 2, row.row + 0.5), kind=kind, means=means)
            left += width


def _closed_alone(machine: Machine, name: str) -> str:
    """The key whose contact a cap closes, if it is one; else the cap."""
    closed = machine.parallel.get(name, ())
    return closed[0] if len(closed) == 1 else name


def _host_spots(host: Host, host_shift: str | None) -> Iterator[tuple[Usage, _Spot]]:
    for cap in form(host.form).caps:
        key = host.keys.get(cap.usage)
        legend = key.at(1) if key else None
        kind = CHARACTER if legend and legend.is_character else FUNCTION
        means = legend.text if legend and not legend.is_character else None
        fact = by_number(cap.usage)
        if cap.usage in MODIFIER_BITS and fact and fact.code:
            # ShiftLeft and ShiftRight mean the modifier that they feed, whatever the machine calls it.
            kind, means = MODIFIER, fact.code.removesuffix("Left").removesuffix("Right").lower()
            means = host_shift if host_shift and means == "shift" else means
        elif cap.usage in (CAPS_LOCK, NUM_LOCK, SCROLL_LOCK):
            kind = LOCK
        elif cap.block is Block.KEYPAD:
            kind = KEYPAD
        at = (cap.left + cap.width / 2, cap.top + cap.height / 2)
        yield cap.usage, _Spot(at=at, kind=kind, means=means)


def _offset(machine: Machine, keys: Mapping[str, _Spot], usages: Mapping[Usage, _Spot]) -> Spot:
    """How far to move the machine's keyboard: by the middle one of the ways from its letters and digits to those of W3C.

    Without any the middles of the two keyboards fall together.
    """
    moves = []
    for key in machine.keys:
        texts = {legend.text.upper() for legend in key.types.values() if legend.is_character}
        named = [usage for text in texts for name in ("Key", "Digit") for usage in by_code(f"{name}{text}")]
        if key.name in keys and len(named) == 1:
            here, there = keys[key.name].at, usages[named[0]].at
            moves.append((there[0] - here[0], there[1] - here[1]))
    if not moves:
        right, down = (_middle(usages.values(), axis) - _middle(keys.values(), axis) for axis in (0, 1))
        moves = [(right, down)]
    return median(move[0] for move in moves), median(move[1] for move in moves)


def _middle(spots: Iterable[_Spot], axis: int) -> float:
    values = [spot.at[axis] for spot in spots]
    return (min(values) + max(values)) / 2
