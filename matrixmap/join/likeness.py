"""Which keys of a machine and a host are alike: they type the same, are the same modifier, or are on a keypad."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import hypot

from matrixmap.hid.geometry import Block, form
from matrixmap.hid.usages import CAPS_LOCK, MODIFIER_BITS, NUM_LOCK, SCROLL_LOCK, Usage, by_number
from matrixmap.model.basic import ARROWS, SHIFTS, coded, letter_or_digit
from matrixmap.model.host import Host
from matrixmap.model.legend import other_case
from matrixmap.model.machine import PLAIN, Machine

CHARACTER, KEYPAD, MODIFIER, FUNCTION, LOCK = "character", "keypad", "modifier", "function", "lock"

SHIFT = "shift"
DIGITS = frozenset("0123456789")

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cap:
    """A key in its place: the middle of its cap, its kind, and what it means, if anything.

    Its meaning is the character or function that the key types plain, with letters in lower case, or the modifier that
    it is. `by_code` is the letter or digit of a host key's W3C code.
    """

    at: Spot
    kind: str
    means: str | None
    by_code: str | None = None


def distance(one: Spot, two: Spot) -> float:
    """How far apart two spots are, in key pitches."""
    return hypot(one[0] - two[0], one[1] - two[1])


def machine_caps(machine: Machine) -> dict[str, Cap]:
    """Each placed key that closes a contact, row by row, including caps in parallel; rows are one pitch high."""
    places = dict(_places(machine))
    pad = _keypad(machine, places)
    caps = {}
    for name, at in places.items():
        legend, modifier = machine.cap_types(name).get(PLAIN), machine.modifier_of(_closed_alone(machine, name))
        if modifier:
            caps[name] = Cap(at=at, kind=MODIFIER, means=SHIFT if modifier == machine.host_shift else modifier)
        else:
            character = legend is not None and legend.is_character
            kind = KEYPAD if name in pad else CHARACTER if character else FUNCTION
            caps[name] = Cap(at=at, kind=kind, means=_small(legend.text) if legend else None)
    return caps


def _closed_alone(machine: Machine, name: str) -> str:
    """The key with the contact that a cap closes, if it closes one; else the cap itself."""
    closed = machine.parallel.get(name, ())
    return closed[0] if len(closed) == 1 else name


def _small(text: str) -> str:
    return text.lower() if other_case(text) else text


def _places(machine: Machine) -> Iterator[tuple[str, Spot]]:
    known = {*(key.name for key in machine.keys), *machine.parallel}
    for row in machine.rows:
        left = row.left
        for name, width in row.keys:
            if name in known:
                yield str(name), (left + width / 2, row.row + 0.5)
            left += width


def _keypad(machine: Machine, places: Mapping[str, Spot]) -> frozenset[str]:
    """The keys of the machine's keypad: the digits that occur a second time, and the keys around them.

    Of two keys of one digit, the one with more digits next to each other in its row belongs to the row of digits.
    """
    digits: dict[str, list[str]] = {}
    for name in places:
        legend = machine.cap_types(name).get(PLAIN)
        if legend and legend.text in DIGITS:
            digits.setdefault(legend.text, []).append(name)
    runs = _runs(machine, {name for names in digits.values() for name in names})
    second = {
        max(names, key=lambda name: (-runs[name], places[name][1], names.index(name)))
        for names in digits.values()
        if len(names) > 1
    }
    if len(second) < 3:
        return frozenset()  # no keypad has so few digits
    others = {name for names in digits.values() for name in names} - second
    across, down = zip(*(places[name] for name in second), strict=True)
    near = {
        name
        for name, (x, y) in places.items()
        if min(across) - 1 <= x <= max(across) + 1 and min(down) - 1 <= y <= max(down) + 1
        if name not in others and not machine.modifier_of(name)
    }
    return frozenset(
        name
        for name in near
        if min(across) <= places[name][0] <= max(across) or not _touches(places, name, places.keys() - near)
    )


def _touches(places: Mapping[str, Spot], name: str, others: Iterable[str]) -> bool:
    """Whether a key has a neighbour in its row, with less than half a key between them."""
    x, y = places[name]
    return any(abs(places[other][1] - y) < 0.5 and abs(places[other][0] - x) < 1.5 for other in others)


def _runs(machine: Machine, digits: set[str]) -> dict[str, int]:
    """Each key that types a digit, with the number of digit keys side by side there."""
    runs: dict[str, int] = {}
    for row in machine.rows:
        run: list[str] = []
        for name, _ in (*row.keys, (None, 0)):
            if name in digits:
                run.append(str(name))
            else:
                runs |= {each: len(run) for each in run}
                run = []
    return runs


def host_caps(host: Host) -> dict[Usage, Cap]:
    """Each key of the host's form."""
    caps = {}
    for cap in form(host.form).caps:
        key = host.keys.get(cap.usage)
        legend = key.at(1) if key else None
        kind = CHARACTER if legend and legend.is_character else FUNCTION
        means = letter_or_digit(host, cap.usage) or (_small(legend.text) if legend and not legend.dead else None)
        fact = by_number(cap.usage)
        if cap.usage in MODIFIER_BITS and fact and fact.code:
            # ShiftLeft and ShiftRight mean shift, whatever the machine calls its other modifiers.
            kind, means = MODIFIER, fact.code.removesuffix("Left").removesuffix("Right").lower()
        elif cap.usage in (CAPS_LOCK, NUM_LOCK, SCROLL_LOCK):
            kind = LOCK
        elif cap.block is Block.KEYPAD:
            kind, means = KEYPAD, _small(legend.text) if legend else None
        at = (cap.left + cap.width / 2, cap.top + cap.height / 2)
        caps[cap.usage] = Cap(at=at, kind=kind, means=means, by_code=coded(cap.usage))
    return caps


def is_free(usage: Usage, cap: Cap, keys: Iterable[Cap]) -> bool:
    """Whether a host key may go to a machine's key that is not like it; else it stays dead, which is reported.

    A person who presses Enter or an arrow never means another function.
    """
    if usage in SHIFTS:
        return all(key.means != SHIFT for key in keys)
    return cap.kind == KEYPAD or cap.means not in (" ", "Enter", "Backspace", *ARROWS)
