"""Pasted text: mm_type and mm_room."""

from __future__ import annotations

from collections.abc import Callable

from .engine import Engine
from .layouts import (
    CAPS,
    CLOSE,
    CONTROL_LEFT,
    KEYPAD_1,
    LAYOUT,
    LEAD,
    M_CONTROL,
    M_SHIFT,
    NUM,
    ONE,
    OPEN,
    PLACES,
    SHIFT_CONTACT,
    A,
    B,
    contact,
)

Start = Callable[[bytes], Engine]
LONG = 60_000


def paste(engine: Engine, usage: int, modifiers: int = 0) -> bool:
    """One keystroke of pasted text."""
    return bool(engine.lib.mm_type(engine.state, usage, modifiers))


def room(engine: Engine) -> int:
    """How many more the line takes."""
    return int(engine.lib.mm_room(engine.state))


def closings(engine: Engine) -> list[frozenset[tuple[str, int, int]]]:
    """What is closed each time that a key closes."""
    found, before = [], frozenset()
    for _, closed in engine.story:
        if closed - before - {SHIFT_CONTACT}:
            found.append(closed)
        before = closed
    return found


def test_the_machine_sets_the_pace(start: Start) -> None:
    """Forty letters at once: as many as there is room, the rest as room comes; none is lost, each is closed once and in order."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    text = [(A, M_SHIFT), (B, 0), (A, 0), (A, 0), (ONE, 0)] * 8
    left = list(text)
    while left:
        while room(engine):
            assert paste(engine, *left[0])
            del left[0]
            if not left:
                break
        engine.run(100)
    engine.run(LONG)
    wanted = [frozenset({contact(usage)} | ({SHIFT_CONTACT} if shift else set())) for usage, shift in text]
    assert closings(engine) == wanted
    assert engine.overflows == 0
    assert engine.idle


def test_each_is_closed_for_a_close_time(start: Start) -> None:
    """Its key is let go at once; the same key again is open in between."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    assert paste(engine, A)
    assert paste(engine, A)
    engine.run(LONG)
    a = {contact(A)}
    assert engine.story == [(0, a), (CLOSE, frozenset()), (CLOSE + OPEN, a), (2 * CLOSE + OPEN, frozenset())]


def test_a_full_line_says_no(start: Start) -> None:
    """And counts nothing: the caller keeps what is left."""
    engine = start(LAYOUT.to_bytes())
    assert room(engine) == 8
    assert all(paste(engine, A) for _ in range(8))
    assert room(engine) == 0
    assert not paste(engine, A)
    assert engine.overflows == 0


def test_what_no_key_is(start: Start) -> None:
    """Status usages, modifiers and what feeds a modifier of the machine are no text."""
    engine = start(LAYOUT.to_bytes())
    for usage in (0, 1, 3, CONTROL_LEFT, 0xE7, 0xE8, 0xFF):
        assert not paste(engine, usage)
    assert room(engine) == 8
    assert not Engine(engine.lib, b"").sound
    refused = Engine(engine.lib, b"")
    assert room(refused) == 0
    assert not paste(refused, A)


def test_locks_and_held_keys_do_not_count(start: Start) -> None:
    """Caps Lock on, Num Lock off, Shift held: what is pasted is what was asked for, and the locks stay."""
    engine = start(LAYOUT.to_bytes())
    for lock in (CAPS, NUM):
        engine.report(lock)
        engine.report()
    engine.report(modifiers=M_SHIFT)
    engine.run(LONG)
    leds = engine.leds
    engine.mark()
    assert paste(engine, B)
    assert paste(engine, KEYPAD_1)
    assert paste(engine, B, M_SHIFT)
    engine.run(LONG)
    one = ("x", PLACES[ONE] >> 4, PLACES[ONE] & 15)
    assert closings(engine) == [{contact(B)}, {one}, {contact(B), SHIFT_CONTACT}]
    assert engine.contacts == {SHIFT_CONTACT}
    assert engine.leds == leds


def test_modifiers_that_pass_are_its_own(start: Start) -> None:
    """Control in its byte is the machine's Control for this keystroke alone."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    assert paste(engine, A, M_CONTROL)
    engine.run(LONG)
    control = ("x", 7, 7)
    assert [closed for _, closed in engine.story] == [
        {control},
        {control, contact(A)},
        {control},
        frozenset(),
    ]
    assert [at for at, _ in engine.story] == [0, LEAD, LEAD + CLOSE, 2 * LEAD + CLOSE]
