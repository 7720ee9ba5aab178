"""When contacts change: lead and lag, close and open times, the waiting line, the clock."""

from __future__ import annotations

import ctypes
import random
from collections.abc import Callable
from dataclasses import replace

import pytest

from .engine import NEVER, Engine, Result
from .layouts import (
    CLOSE,
    F1,
    F2,
    F3,
    F4,
    F5,
    LAYOUT,
    LEAD,
    M_SHIFT,
    ONE,
    OPEN,
    OPEN_LAYOUT,
    PLACES,
    SHIFT_CONTACT,
    THREE,
    TWO,
    A,
    B,
    C,
    D,
    E,
    contact,
)
from .table import Group, Kind

Start = Callable[[bytes], Engine]
LONG = 20_000


def test_modifiers_lead_and_lag(start: Start) -> None:
    """The modifier closes the lead time before its key and opens the lag time after it."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(THREE)
    engine.run(1000)
    engine.report()
    engine.run(LONG)
    both = {SHIFT_CONTACT, contact(THREE)}
    assert engine.story == [
        (0, {SHIFT_CONTACT}),
        (LEAD, both),
        (1000, {SHIFT_CONTACT}),
        (1000 + LEAD, frozenset()),
    ]


def test_a_short_press_has_its_close_time(start: Start) -> None:
    """However short the keyboard made it, a contact stays closed for its close time, with its modifiers."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(A, modifiers=M_SHIFT)
    engine.report()
    engine.run(LONG)
    assert engine.story == [
        (0, {SHIFT_CONTACT}),
        (LEAD, {SHIFT_CONTACT, contact(A)}),
        (LEAD + CLOSE, {SHIFT_CONTACT}),
        (LEAD + CLOSE + LEAD, frozenset()),
    ]


def test_a_key_twice(start: Start) -> None:
    """Between two closings of one contact lies its open time."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    for _ in range(2):
        engine.report(TWO)
        engine.report()
    engine.run(LONG)
    assert engine.story == [
        (0, {contact(TWO)}),
        (CLOSE, frozenset()),
        (CLOSE + OPEN, {contact(TWO)}),
        (CLOSE + OPEN + CLOSE, frozenset()),
    ]


def test_presses_follow_one_another(start: Start) -> None:
    """The next press closes when the close time of the one before has ended, and keeps it closed if it is held."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(A, B, C)
    engine.run(LONG)
    assert engine.story == [
        (0, {contact(A)}),
        (CLOSE, {contact(A), contact(B)}),
        (2 * CLOSE, {contact(A), contact(B), contact(C)}),
    ]


def test_a_released_press_makes_way(start: Start) -> None:
    """A key released before its turn is opened when its close time has ended; the next waits for the lag."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(A)
    engine.report()
    engine.report(B)
    engine.report()
    engine.run(LONG)
    assert engine.story == [
        (0, {contact(A)}),
        (CLOSE, frozenset()),
        (CLOSE + LEAD, {contact(B)}),
        (2 * CLOSE + LEAD, frozenset()),
    ]


def test_contradiction_takes_its_steps(start: Start) -> None:
    """Older opened, then modifiers, then the newest: a lead time between each."""
    engine = start(LAYOUT.to_bytes())
    engine.report(ONE)
    engine.run(LONG)
    engine.mark()
    engine.report(ONE, THREE)
    engine.run(LONG)
    assert engine.story == [
        (0, frozenset()),
        (LEAD, {SHIFT_CONTACT}),
        (2 * LEAD, {SHIFT_CONTACT, contact(THREE)}),
    ]


def test_typist_of_the_moment(start: Start) -> None:
    """A waiting press has the modifiers of its moment until its close time has ended, the live ones after."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(TWO)
    engine.report(TWO, F1, modifiers=M_SHIFT)
    engine.report(F1)
    engine.run(LONG)
    assert engine.story == [
        (0, {contact(TWO)}),
        (CLOSE, frozenset()),
        (CLOSE + LEAD, {SHIFT_CONTACT}),
        (CLOSE + 2 * LEAD, {SHIFT_CONTACT, contact(F1)}),
        (2 * CLOSE + 2 * LEAD, {contact(F1)}),
    ]


def test_times_of_a_table_count_at_least_one_tick(start: Start) -> None:
    """A time of zero counts as one tick: no change is skipped."""
    engine = start(replace(LAYOUT, close=0, open=0, lead=0).to_bytes())
    engine.mark()
    engine.report(THREE)
    engine.report()
    engine.run(LONG)
    assert [at for at, _ in engine.story] == [0, 1, 2, 3]


def test_ready_time_is_when_something_changes(start: Start) -> None:
    """mm_advance returns the time to the next change; with nothing to come, the named constant."""
    engine = start(LAYOUT.to_bytes())
    assert engine.settle() == NEVER
    engine.report(THREE)
    assert engine.settle() == LEAD
    engine.now += LEAD
    assert engine.settle() == CLOSE
    engine.now += CLOSE
    assert engine.settle() == NEVER
    engine.report()
    assert engine.settle() == LEAD


def test_the_returned_time_is_never_late(start: Start) -> None:
    """Nothing changes before the returned time has passed, whatever the moment."""
    rng = random.Random(3)
    engine = start(replace(LAYOUT, close=40, open=30, lead=6, rollover=2).to_bytes())
    keys = [*PLACES, 0xE0, 0xE1]
    down: set[int] = set()
    slept = 0
    for _ in range(400):
        down ^= {rng.choice(keys)}
        if len(down) > 4:
            down.pop()
        engine.usages(down)
        engine.run(rng.choice((0, 1, 4, 30, 90)))
        wait = engine.settle()
        before, state = engine.masks, engine.state.raw
        for tick in range(1, min(wait, 100)):
            engine.lib.mm_advance(engine.state, engine.now + tick & 0xFFFF)
            assert engine.masks == before
            slept += 1
        ctypes.memmove(engine.state, state, len(state))
    assert slept > 2000


def test_the_longest_times(start: Start) -> None:
    """The longest times that a table may have are played, and leave a late caller room below half the clock's range."""
    engine = start(replace(LAYOUT, close=0x3FFF, open=0x3FFF, lead=0x3FFF).to_bytes())
    engine.mark()
    engine.report(THREE)
    engine.report()
    engine.run(5 * 0x3FFF)
    assert [at for at, _ in engine.story] == [0, 0x3FFF, 2 * 0x3FFF, 3 * 0x3FFF]
    assert engine.idle


def test_late_calls_are_made_up_for(start: Start) -> None:
    """A call that comes late delays what it should have changed, and shortens nothing."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A)
    engine.report()
    engine.now += 10 * CLOSE
    engine.mark()
    engine.report(B)
    engine.report()
    engine.run(LONG)
    assert engine.story[-1] == (LEAD + CLOSE, frozenset())


@pytest.mark.parametrize("start_at", [0, 0x7FF0, 0xFFF0, 0xFF00])
def test_the_clock_may_wrap(lib: ctypes.CDLL, start_at: int) -> None:
    """Times are the same wherever the clock stands."""
    engine = Engine(lib, LAYOUT.to_bytes(), start=start_at)
    engine.mark()
    engine.report(THREE)
    engine.report()
    engine.run(LONG)
    assert [at for at, _ in engine.story] == [0, LEAD, LEAD + CLOSE, LEAD + CLOSE + LEAD]


@pytest.mark.parametrize("back", [1, 50, 256, 0x7FFF, 0x8000])
def test_a_step_back_shortens_nothing(start: Start, back: int) -> None:
    """A step of half the range or more, so any step back, counts as none, and the clock does not go back with it.

    A 16-bit clock that is read byte by byte while it ticks over is 256 behind for one call.
    """
    engine = start(LAYOUT.to_bytes())
    engine.run(100)
    engine.report(A)
    engine.report()
    engine.now += 10
    engine.settle()
    engine.now -= back
    engine.settle()
    engine.now += back
    engine.settle()
    assert engine.contacts == {contact(A)}
    engine.now += CLOSE - 11
    engine.settle()
    assert engine.contacts == {contact(A)}
    engine.now += 1
    engine.settle()
    assert engine.contacts == frozenset()


def test_a_step_back_during_a_lead_time_shortens_nothing(start: Start) -> None:
    """The same while nothing but the lead time runs: the clock is not idle then, and the next key waits for its end."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A)
    engine.run(CLOSE)
    engine.report()
    engine.now += 1
    engine.settle()
    assert not engine.idle
    engine.now -= 256
    engine.settle()
    engine.now += 256
    engine.mark()
    engine.report(B)
    engine.run(LONG)
    assert engine.story == [(LEAD - 1, {contact(B)})]


def test_a_clock_may_stand_anywhere_once_nothing_runs(start: Start) -> None:
    """After mm_advance said MM_NEVER, with a modifier held too, the time of the next call does not count."""
    for pause in (0x7FFF, 0x8000, 0xFFFF, 0x12345):
        engine = start(LAYOUT.to_bytes())
        engine.report(modifiers=M_SHIFT)
        engine.run(LEAD + CLOSE)
        assert engine.settle() == NEVER
        assert not engine.idle
        engine.now += pause
        engine.mark()
        engine.report(A, modifiers=M_SHIFT)
        engine.report()
        engine.run(LONG)
        closed = [at for at, contacts in engine.story if contact(A) in contacts]
        opened = next(at for at, contacts in engine.story if at > closed[0] and contact(A) not in contacts)
        assert opened - closed[0] == CLOSE


def test_a_long_pause_leaves_nothing_behind(start: Start) -> None:
    """After a pause of any length the next press is taken at once."""
    for pause in (1, 0x7FFF, 0x8000, 0xFFFF, 0x10000, 0x12345):
        engine = start(LAYOUT.to_bytes())
        engine.report(A)
        engine.run(CLOSE)
        engine.report()
        engine.run(OPEN)
        engine.now += pause
        engine.report(A)
        assert engine.contacts == {contact(A)}


def test_overflow_is_counted_and_sticks_nothing(start: Start) -> None:
    """The line holds eight presses; a ninth is dropped and counted, and its release does no harm."""
    engine = start(OPEN_LAYOUT.to_bytes())
    engine.report(A)
    assert engine.usages((A, B, C, D, E, ONE, TWO, F1, F2)) is Result.TAKEN
    assert engine.usages((A, B, C, D, E, ONE, TWO, F1, F2, F3)) is Result.DROPPED
    assert engine.overflows == 1
    assert engine.usages((A, B, C, D, E, ONE, TWO, F1, F2)) is Result.TAKEN
    engine.run(LONG)
    assert engine.contacts == {*(contact(u) for u in (A, B, C, D, E, ONE, TWO, F1)), ("d", 0, 0)}
    engine.usages(())
    engine.run(LONG)
    assert engine.contacts == frozenset()
    assert engine.idle
    assert engine.usages(range(4, 0xE0)) is Result.DROPPED
    assert engine.overflows == 1 + 0xDC - 2 - 8  # two of them are the locks


def test_a_key_that_does_nothing_takes_no_time(start: Start) -> None:
    """Presses without a stroke leave the line in no time."""
    engine = start(LAYOUT.to_bytes())
    engine.report(0x65, 0x66, 0x67, 0x68, F5, 0x6A)
    assert engine.command() == 7
    assert engine.overflows == 0
    engine.report(TWO)
    assert engine.contacts == {contact(TWO)}


def test_latches_wait_their_turn(start: Start) -> None:
    """A latch toggles when the presses before it have had their close time."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(F1)
    engine.report(F1, F4)
    engine.run(LONG)
    assert engine.story == [(0, {contact(F1)}), (CLOSE, {contact(F1), SHIFT_CONTACT})]


def test_held_places(start: Start) -> None:
    """With every place for strokes taken, the oldest is opened for the newest."""
    keys = tuple((0x04 + n, 0x20 | n) for n in range(8)) + tuple((0x0C + n, 0x30 | n) for n in range(4))
    layout = replace(LAYOUT, flags=0, caps=(), groups=(Group(kind=Kind.CROSSPOINT, entries=keys),))
    engine = start(layout.to_bytes())
    for count in range(1, 11):
        engine.usages(range(4, 4 + count))
        engine.run(LONG)
    assert len(engine.contacts) == 10
    engine.mark()
    engine.usages(range(4, 15))
    engine.run(LONG)
    assert len(engine.contacts) == 10
    assert ("x", 2, 0) not in engine.contacts
    assert ("x", 3, 2) in engine.contacts
    assert engine.story[-1][0] == OPEN
    engine.usages(())
    engine.run(LONG)
    assert engine.idle


def test_rollover_opens_the_oldest(start: Start) -> None:
    """More keys than the machine's rollover are never closed; the machine has time to forget the one opened."""
    engine = start(replace(LAYOUT, rollover=2).to_bytes())
    for usages in ((A,), (A, B)):
        engine.report(*usages)
        engine.run(LONG)
    engine.mark()
    engine.report(A, B, C)
    engine.run(LONG)
    assert engine.story == [
        (0, {contact(B)}),
        (OPEN, {contact(B), contact(C)}),
    ]


def test_rollover_counts_what_was_just_opened(start: Start) -> None:
    """A key released a moment ago still counts: the machine may not have seen it go."""
    engine = start(replace(LAYOUT, rollover=2).to_bytes())
    for usages in ((A,), (A, B)):
        engine.report(*usages)
        engine.run(LONG)
    engine.mark()
    engine.report(B)
    engine.run(50)
    engine.report(B, C)
    engine.run(LONG)
    assert engine.story == [(0, {contact(B)}), (OPEN, {contact(B), contact(C)})]


def test_rollover_ignores_direct_lines_and_modifiers(start: Start) -> None:
    """Only crosspoints of strokes count against the rollover."""
    engine = start(replace(LAYOUT, rollover=1).to_bytes())
    for usages in ((F2,), (F1, F2)):
        engine.report(*usages, modifiers=M_SHIFT)
        engine.run(LONG)
    assert engine.contacts == {("d", 0, 0), contact(F1), SHIFT_CONTACT}


def test_a_chord_beyond_the_rollover_is_refused(start: Start) -> None:
    """A stroke that alone closes more keys than the machine tells apart is refused and counted."""
    engine = start(replace(LAYOUT, rollover=1).to_bytes())
    engine.report(F3)
    engine.run(LONG)
    assert engine.contacts == frozenset()
    assert engine.refusals == 1


def test_release_and_press_in_one_report(start: Start) -> None:
    """Releases come first: the other key closes the lag time after the first has opened."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A)
    engine.run(LONG)
    engine.mark()
    engine.report(B)
    engine.run(LONG)
    assert engine.story == [(0, frozenset()), (LEAD, {contact(B)})]


@pytest.mark.parametrize("usage", sorted(PLACES))
def test_nothing_sticks(start: Start, usage: int) -> None:
    """With all keys up and time passed every contact is open."""
    engine = start(LAYOUT.to_bytes())
    engine.report(usage, modifiers=M_SHIFT)
    engine.run(7)
    engine.report(modifiers=M_SHIFT)
    engine.run(3)
    engine.report()
    engine.run(LONG)
    assert engine.contacts == frozenset()
    assert engine.idle
