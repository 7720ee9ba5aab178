"""Modifier keys by themselves: one that is only tapped is shown for a close time, and none makes a key wait."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from .conftest import build
from .engine import NEVER, Engine
from .layouts import (
    CLOSE,
    CONTROL_CONTACT,
    F4,
    LAYOUT,
    LEAD,
    M_CONTROL,
    M_SHIFT,
    SHIFT_CONTACT,
    A,
    B,
    contact,
)
from .test_promises import SCANS, Scan

Start = Callable[[bytes], Engine]
LONG = 20_000


@pytest.mark.parametrize("held", [0, 1, 50, 150, CLOSE - 1])
def test_a_tap_is_shown_for_a_close_time(start: Start, held: int) -> None:
    """However short it is, be it over before the first call."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    if held:
        engine.report(modifiers=M_CONTROL)
        engine.run(held)
        engine.report()
    else:
        engine.lib.mm_boot_report(engine.state, 0, bytes((M_CONTROL,)) + bytes(7), 8)
        engine.report()
    assert not engine.idle
    engine.run(LONG)
    assert engine.story == [(0, {CONTROL_CONTACT}), (CLOSE, frozenset())]
    assert engine.idle


def test_one_that_is_held_opens_at_once(start: Start) -> None:
    """Beyond its close time a modifier key is followed as before."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(modifiers=M_CONTROL)
    engine.run(CLOSE + 7)
    engine.report()
    engine.run(LONG)
    assert engine.story == [(0, {CONTROL_CONTACT}), (CLOSE + 7, frozenset())]


@pytest.mark.parametrize("scan", SCANS)
def test_a_tap_is_seen_at_every_phase(start: Start, scan: Scan) -> None:
    """A tap of 5 or 15 ms of Control is seen by a scan at whichever phase, as a key is."""
    for held in (50, 150):
        engine = start(scan.table(LAYOUT).to_bytes())
        engine.run(1000)
        engine.mark()
        engine.report(modifiers=M_CONTROL)
        engine.run(held)
        engine.report()
        engine.run(LONG)
        shown = [at for at, contacts in engine.story if CONTROL_CONTACT in contacts]
        opened = [at for at, contacts in engine.story if CONTROL_CONTACT not in contacts]
        line = CONTROL_CONTACT[1]
        for phase in range(scan.period):
            # A line is strobed once a period, at its place in the sweep.
            strobes = range(phase + scan.sweep * line // 8, LONG, scan.period)
            seen = [at for at in strobes if shown[0] <= at < opened[0]]
            assert len(seen) >= scan.down, (held, phase)


def test_a_press_ends_it(start: Start) -> None:
    """A key that comes meanwhile does not wait, and has its own modifiers."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(modifiers=M_SHIFT)
    engine.run(100)
    engine.report()
    engine.run(20)
    engine.report(A)
    engine.run(LONG)
    assert engine.story == [(0, {SHIFT_CONTACT}), (120, frozenset()), (120 + LEAD, {contact(A)})]


def test_a_press_takes_a_tap_with_it(start: Start) -> None:
    """Shift and a letter that are over before the first call are that letter with Shift, and no Shift after it."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    for report in ((M_SHIFT, 0, 0), (M_SHIFT, 0, A), (M_SHIFT, 0, 0), (0, 0, 0)):
        engine.lib.mm_boot_report(engine.state, 0, bytes(report) + bytes(5), 8)
    engine.run(LONG)
    shift = frozenset({SHIFT_CONTACT})
    assert [closed for _, closed in engine.story] == [shift, shift | {contact(A)}, shift, frozenset()]
    assert engine.story[2][0] - engine.story[1][0] == CLOSE
    assert engine.story[3][0] - engine.story[2][0] == LEAD


def test_a_tap_after_a_press_comes_after_it(start: Start) -> None:
    """It is shown once the line is empty and the key has had its close time."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(A)
    engine.report()
    engine.report(modifiers=M_CONTROL)
    engine.report()
    engine.run(LONG)
    assert engine.story == [
        (0, {contact(A)}),
        (CLOSE, frozenset()),
        (CLOSE + LEAD, {CONTROL_CONTACT}),
        (2 * CLOSE + LEAD, frozenset()),
    ]


def test_a_key_released_meanwhile_opens_at_once(start: Start) -> None:
    """The close time is that of the modifier, not that of the key that was closed last."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A)
    engine.run(LONG)
    engine.mark()
    engine.report(A, modifiers=M_CONTROL)
    engine.run(50)
    engine.report(modifiers=M_CONTROL)
    engine.run(LONG)
    assert engine.story == [(0, {contact(A), CONTROL_CONTACT}), (50, {CONTROL_CONTACT})]


def test_a_layout_change_ends_it(start: Start) -> None:
    """What was tapped for the old layout is not shown for the new one."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(modifiers=M_CONTROL)
    engine.report()
    engine.run(10)
    engine.change_layout(LAYOUT.to_bytes())
    engine.run(LONG)
    assert engine.story == [(0, {CONTROL_CONTACT}), (LEAD, frozenset())]
    assert engine.idle


def test_with_a_latch_closed_a_tap_still_takes_its_time(start: Start) -> None:
    """Nothing shows, but the state is not idle before it is over."""
    engine = start(LAYOUT.to_bytes())
    engine.report(F4)
    engine.report()
    engine.run(LONG)
    assert engine.idle
    engine.report(modifiers=M_SHIFT)
    engine.report()
    assert engine.advance() == CLOSE
    assert not engine.idle
    engine.run(CLOSE)
    assert engine.idle
    assert engine.contacts == {SHIFT_CONTACT}


def test_without_taps_a_modifier_is_followed(tmp_path: Path) -> None:
    """MM_TAPS 0: it is shown as long as it is held, if the lead time allows."""
    lib: ctypes.CDLL = build("gcc", tmp_path, "-DMM_TAPS=0")
    engine = Engine(lib, LAYOUT.to_bytes())
    engine.mark()
    engine.report(modifiers=M_CONTROL)
    engine.run(50)
    engine.report()
    engine.run(LONG)
    assert engine.story == [(0, {CONTROL_CONTACT}), (50, frozenset())]


def test_typing_is_not_slower(start: Start) -> None:
    """Shift held 2 ms before each letter: the letters close as soon as without that."""
    ends = []
    for early in (0, 20):
        engine = start(replace(LAYOUT, lead=5).to_bytes())
        engine.run(100)
        engine.mark()
        for usage in (A, B, A, B):
            engine.report(modifiers=M_SHIFT)
            engine.run(early)
            engine.report(usage, modifiers=M_SHIFT)
            engine.report()
        engine.run(LONG)
        assert engine.overflows == 0
        ends.append(engine.story[-1][0])
    assert ends[1] <= ends[0] + 20
    assert engine.settle() == NEVER
