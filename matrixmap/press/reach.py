"""Which presses close each contact of the machine: by the stroke of a key, by a modifier or latch key, after a dead key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from matrixmap.model.machine import Contact
from matrixmap.press.every import Pressed
from matrixmap.press.table import Kind
from matrixmap.press.ways import KeyPress, Way, Ways, key_press


def ways_to_close(ways: Ways) -> Mapping[Contact, tuple[Way, ...]]:
    """Contact -> the ways to close it as a key's own, the easiest first; none that is refused.

    For a contact that no key closes so: after a dead key, else as a modifier of another contact's stroke.
    """
    as_modifier = _single(ways.where(ways.every.single, _modifiers))
    found = {**as_modifier, **_pairs(ways), **_single(_alone(ways))}
    return {Contact(contact): found[contact] for contact in sorted(found)}


def _single(presses: Mapping[int, tuple[KeyPress, ...]]) -> dict[int, tuple[Way, ...]]:
    return {value: tuple((press,) for press in found) for value, found in presses.items()}


def _alone(ways: Ways) -> Mapping[int, tuple[KeyPress, ...]]:
    """What single keys close as their own: strokes, and what modifier and latch keys close."""
    every = ways.every
    compiled = every.rules.compiled
    found = {contact: list(presses) for contact, presses in ways.where(every.single, _own).items()}
    for value, presses in ways.of_kind(Kind.LATCH).items():
        for contact in bits(compiled.mask_of(value)):
            found.setdefault(contact, []).extend(presses)
    for key in every.keys:
        for contact in bits(compiled.mask_of(compiled.feeds.get(key.usage, 0))):
            found.setdefault(contact, []).append(key_press(every, key, 1, 0))
    return {contact: tuple(sorted(presses, key=KeyPress.ease)) for contact, presses in found.items()}


def _pairs(ways: Ways) -> Mapping[int, tuple[Way, ...]]:
    """What keys close after a dead key: the easiest press, and the easiest dead key before it."""
    every = ways.every
    found: dict[int, list[Way]] = {}
    for accent in every.dead_keys:
        dead = ways.dead_press(accent)
        pairs = (pressed for pressed in every.pairs if pressed.accent == accent)
        for contact, presses in ways.where(pairs, _own).items() if dead else ():
            found.setdefault(contact, []).extend((dead, press) for press in presses if dead)
    return {contact: tuple(found[contact]) for contact in found}


def _own(pressed: Pressed) -> Iterator[int]:
    return bits(pressed.done.closed)


def _modifiers(pressed: Pressed) -> Iterator[int]:
    return bits(pressed.done.modifiers if pressed.done.closed else 0)


def bits(mask: int) -> Iterator[int]:
    """The numbers of the bits of a mask, ascending."""
    while mask:
        yield (mask & -mask).bit_length() - 1
        mask &= mask - 1
