"""Several keyboards on one machine, and links that are lost."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from .engine import Engine, Result
from .layouts import (
    CLOSE,
    LAYOUT,
    LEAD,
    M_CONTROL,
    M_SHIFT,
    ONE,
    OPEN,
    OPEN_LAYOUT,
    SHIFT_CONTACT,
    A,
    B,
    C,
    contact,
)
from .table import APART

Start = Callable[[bytes], Engine]
LONG = 20_000


def test_each_keyboard_has_its_own_key_set(start: Start) -> None:
    """A report of one keyboard releases no key of the other."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A, keyboard=0)
    engine.run(LONG)
    engine.report(B, keyboard=1)
    engine.run(LONG)
    assert engine.contacts == {contact(A), contact(B)}
    engine.report(keyboard=0)
    engine.run(LONG)
    assert engine.contacts == {contact(B)}
    engine.report(keyboard=1)
    engine.run(LONG)
    assert engine.idle


def test_levels_come_from_any_keyboard(start: Start) -> None:
    """Shift on one keyboard counts for a press on another, as it does for a key that passes modifiers."""
    engine = start(LAYOUT.to_bytes())
    engine.report(modifiers=M_SHIFT, keyboard=0)
    engine.run(LONG)
    engine.report(A, keyboard=1)
    engine.run(LONG)
    assert engine.contacts == {contact(A), SHIFT_CONTACT}
    engine.report(keyboard=0)
    engine.report(keyboard=1)
    engine.run(LONG)
    engine.report(A, keyboard=1)
    engine.run(LONG)
    assert engine.contacts == {contact(A)}


def test_levels_come_from_the_keyboard_that_pressed(start: Start) -> None:
    """Where keyboards are apart, Shift on one does not change the level of a press on another."""
    engine = start(replace(LAYOUT, flags=LAYOUT.flags | APART).to_bytes())
    engine.report(modifiers=M_SHIFT, keyboard=0)
    engine.run(LONG)
    engine.report(A, keyboard=1)
    engine.run(LONG)
    assert engine.contacts == {contact(A)}
    engine.report(A, keyboard=1, modifiers=M_SHIFT)
    engine.report(keyboard=1, modifiers=M_SHIFT)
    engine.report(A, keyboard=1, modifiers=M_SHIFT)
    engine.run(LONG)
    assert engine.contacts == {contact(A), SHIFT_CONTACT}


def test_modifiers_of_all_keyboards_are_one(start: Start) -> None:
    """A machine modifier stays closed until the last keyboard that holds it lets go."""
    engine = start(LAYOUT.to_bytes())
    engine.report(modifiers=M_SHIFT | M_CONTROL, keyboard=0)
    engine.report(modifiers=M_SHIFT, keyboard=1)
    engine.report(keyboard=0)
    engine.run(LONG)
    assert engine.contacts == {SHIFT_CONTACT}
    engine.report(keyboard=1)
    engine.run(LONG)
    assert engine.contacts == frozenset()


def test_one_key_on_two_keyboards(start: Start) -> None:
    """The same key of two keyboards is two presses of one contact; the release of the older changes nothing."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A, keyboard=0)
    engine.run(LONG)
    engine.mark()
    engine.report(A, keyboard=1)
    engine.run(LONG)
    assert engine.story == [(0, frozenset()), (OPEN, {contact(A)})]
    engine.report(keyboard=0)
    engine.run(LONG)
    assert engine.contacts == {contact(A)}
    engine.report(keyboard=1)
    engine.run(LONG)
    assert engine.idle


def test_one_waiting_line(start: Start) -> None:
    """Presses of all keyboards are played in the order of their reports."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(C, keyboard=1)
    engine.report(A, keyboard=0)
    engine.report(B, C, keyboard=1)
    engine.run(LONG)
    assert engine.story == [
        (0, {contact(C)}),
        (CLOSE, {contact(C), contact(A)}),
        (2 * CLOSE, {contact(C), contact(A), contact(B)}),
    ]


def test_a_lost_link_releases_its_keys(start: Start) -> None:
    """All keys of the keyboard count as released; presses that wait are still played; the other keyboard goes on."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A, keyboard=1)
    engine.run(LONG)
    engine.mark()
    engine.report(B, C, modifiers=M_CONTROL, keyboard=0)
    engine.disconnect(0)
    engine.run(LONG)
    shown = [contacts for _, contacts in engine.story]
    assert any(contact(B) in contacts for contacts in shown)
    assert any(contact(C) in contacts for contacts in shown)
    assert engine.contacts == {contact(A)}
    engine.disconnect(1)
    engine.run(LONG)
    assert engine.idle


def test_locks_survive_a_lost_link(start: Start) -> None:
    """The locks, and so the LED byte that is due on reconnect, stay."""
    engine = start(LAYOUT.to_bytes())
    engine.report(0x39)
    engine.disconnect(0)
    assert engine.leds == 3


def test_keyboards_that_are_not_there(start: Start) -> None:
    """Reports of a keyboard beyond the configured number change nothing."""
    engine = start(LAYOUT.to_bytes())
    assert engine.report(A, keyboard=2) is Result.MALFORMED
    assert engine.usages((A,), keyboard=255) is Result.MALFORMED
    engine.disconnect(77)
    engine.run(LONG)
    assert engine.idle


def test_malformed_reports_change_nothing(start: Start) -> None:
    """A report shorter than eight bytes changes nothing; of a longer one the first eight count."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A)
    engine.run(LONG)
    for length in range(8):
        assert engine.raw(bytes([M_SHIFT, 0, B, 0, 0, 0, 0, 0])[:length]) is Result.MALFORMED
        engine.run(LONG)
        assert engine.contacts == {contact(A)}
    assert engine.raw(bytes([0, 0, A, 0, 0, 0, 0, 0, B, 1])) is Result.TAKEN
    engine.run(LONG)
    assert engine.contacts == {contact(A)}
    assert engine.raw(bytes([0, 0xFF, B, B, 0, B, 0, 0])) is Result.TAKEN
    engine.run(LONG)
    assert engine.contacts == {contact(B)}


def test_rollover_of_a_bitmap(start: Start) -> None:
    """A bitmap with usage 0x01, 0x02 or 0x03 keeps the keys too, and its modifiers are followed."""
    engine = start(OPEN_LAYOUT.to_bytes())
    engine.usages((A, B))
    engine.run(LONG)
    for usage in (1, 2, 3):
        assert engine.usages((usage, 0xE1, ONE)) is Result.ROLLED
        engine.run(LONG)
        assert engine.usages((usage,)) is Result.ROLLED
        engine.run(LONG)
        assert engine.contacts == {contact(A), contact(B)}
    engine.usages((0xE1, usage))
    assert engine.lib.mm_advance(engine.state, engine.now & 0xFFFF) != 0
    engine.now += LEAD
    engine.settle()
    assert SHIFT_CONTACT not in engine.contacts  # both letters ask for it to be lifted
