"""Changing the layout at any moment."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

import pytest

from .engine import Engine
from .layouts import (
    CAPS,
    CLOSE,
    CONTROL_CONTACT,
    F1,
    F4,
    F5,
    LAYOUT,
    LEAD,
    M_CONTROL,
    M_SHIFT,
    OPEN,
    OPEN_LAYOUT,
    SHIFT_CONTACT,
    THREE,
    TWO,
    A,
    B,
    contact,
)
from .table import CAPS_LOCK, Group, Kind, Table

Start = Callable[[bytes], Engine]
LONG = 20_000

# Another machine on the same wires: every key elsewhere, Shift feeds another modifier key.
OTHER = Table(
    modifiers=((Kind.CROSSPOINT, 0x66), (Kind.DIRECT, 1)),
    direct=2,
    demands=((0, 0), (3, 0)),
    groups=(
        Group(kind=Kind.MODIFIER, entries=((0xE1, 2),)),
        Group(kind=Kind.CROSSPOINT, when=0x01, entries=((A, 0x40), (B, 0x41))),
        Group(kind=Kind.CROSSPOINT, when=0x02, entries=((A, 0x50), (B, 0x51))),
    ),
    close=100,
    open=70,
    lead=9,
)
A_THERE, A_THERE_SHIFTED, SHIFT_THERE = ("x", 4, 0), ("x", 5, 0), ("d", 1, 0)


def test_an_idle_change(start: Start) -> None:
    """With nothing closed the new layout stands at once."""
    engine = start(LAYOUT.to_bytes())
    assert engine.change_layout(OTHER.to_bytes())
    engine.report(A)
    assert engine.contacts == {A_THERE}


def test_keys_down_count_as_released(start: Start) -> None:
    """Contacts open with the usual times; keys still down do nothing in the new layout until pressed again."""
    engine = start(LAYOUT.to_bytes())
    engine.report(THREE)
    engine.run(LONG)
    engine.mark()
    engine.change_layout(OTHER.to_bytes())
    engine.run(LONG)
    assert engine.story == [(0, {SHIFT_CONTACT}), (LEAD, frozenset())]
    engine.report(THREE, A)
    engine.run(LONG)
    assert engine.contacts == {A_THERE}
    engine.report(A)
    engine.run(LONG)
    assert engine.contacts == {A_THERE}


def test_presses_before_it_are_played_before(start: Start) -> None:
    """Presses that wait finish with the old layout, those made after the call are played with the new one."""
    engine = start(LAYOUT.to_bytes())
    engine.mark()
    engine.report(A)
    engine.report(A, TWO)
    engine.report()
    engine.change_layout(OTHER.to_bytes())
    engine.report(B)
    engine.report()
    engine.run(LONG)
    assert [contacts for _, contacts in engine.story] == [
        {contact(A)},
        frozenset(),
        {contact(TWO)},
        frozenset(),
        {("x", 4, 1)},
        frozenset(),
    ]
    assert engine.story[4][0] - engine.story[3][0] == OPEN


def test_levels_of_presses_after_the_call(start: Start) -> None:
    """A press after the call has level and modifiers as the new layout sees them, even while the old one plays."""
    engine = start(LAYOUT.to_bytes())
    engine.report(TWO)
    engine.report(modifiers=M_SHIFT)
    engine.change_layout(OTHER.to_bytes())
    engine.report(A, modifiers=M_SHIFT)
    engine.report(modifiers=M_SHIFT)
    engine.report()
    engine.mark()
    engine.run(LONG)
    assert {A_THERE_SHIFTED, SHIFT_THERE} in [contacts for _, contacts in engine.story]
    assert not any(SHIFT_CONTACT in contacts for _, contacts in engine.story)


def test_modifiers_held_count_at_once(start: Start) -> None:
    """A modifier that is held acts in the new layout as soon as that stands."""
    engine = start(LAYOUT.to_bytes())
    engine.report(modifiers=M_SHIFT | M_CONTROL)
    engine.run(LONG)
    engine.mark()
    engine.change_layout(OTHER.to_bytes())
    engine.run(LONG)
    assert engine.story == [(0, frozenset()), (LEAD, {SHIFT_THERE})]
    engine.report(modifiers=M_CONTROL)
    engine.run(LONG)
    assert engine.contacts == frozenset()


def test_latches_open_and_locks_stay(start: Start) -> None:
    """Latches are opened; the locks stay, and are shown where the new layout keeps them."""
    engine = start(LAYOUT.to_bytes())
    engine.report(F4, CAPS)
    engine.report()
    engine.run(LONG)
    assert engine.contacts == {SHIFT_CONTACT}
    assert engine.leds == 3
    engine.change_layout(replace(LAYOUT, flags=LAYOUT.flags & ~CAPS_LOCK).to_bytes())
    engine.run(LONG)
    assert engine.contacts == frozenset()
    assert engine.leds == 1
    engine.report(A)
    engine.run(LONG)
    assert engine.contacts == {contact(A)}
    engine.change_layout(LAYOUT.to_bytes())
    engine.report()
    engine.run(LONG)
    assert engine.leds == 3
    engine.report(A)
    engine.run(LONG)
    assert engine.contacts == {contact(A), SHIFT_CONTACT}


def keys_at_once(engine: Engine, *usages: int) -> None:
    """A boot report that nothing acts on yet."""
    assert engine.lib.mm_boot_report(engine.state, 0, bytes([0, 0, *usages, *bytes(6 - len(usages))]), 8) == 0


def test_a_latch_of_the_same_report_opens(start: Start) -> None:
    """A latch and a command in one report: the firmware that changes the layout on the command leaves no latch closed.

    The latch has not closed its modifier yet, so that nothing is closed that the change would have to wait for.
    """
    engine = start(LAYOUT.to_bytes())
    keys_at_once(engine, F4, F5)
    while engine.advance() == 0:
        if engine.command() == 7:
            engine.lib.mm_change_layout(engine.state, *engine._keep(OTHER.to_bytes()))
    engine.report()
    engine.run(LONG)
    assert engine.contacts == frozenset()
    assert engine.leds == 1
    assert engine.idle
    engine.report(A)
    engine.run(LONG)
    assert engine.contacts == {A_THERE}


def test_a_latch_opens_between_any_two_calls(start: Start) -> None:
    """A change asked for between two calls that follow at once opens the latch that the first of them toggled."""
    engine = start(LAYOUT.to_bytes())
    keys_at_once(engine, F4)
    assert engine.advance() == 0
    engine.change_layout(OTHER.to_bytes())
    engine.report()
    engine.run(LONG)
    assert engine.contacts == frozenset()
    assert engine.leds == 1
    assert engine.idle


def test_the_same_layout_again(start: Start) -> None:
    """A change to the layout that stands is a change: everything opens."""
    table = LAYOUT.to_bytes()
    engine = start(table)
    engine.report(A, F4)
    engine.run(LONG)
    engine.change_layout(table)
    engine.run(LONG)
    assert engine.contacts == frozenset()


def test_a_second_change_replaces_the_first(start: Start) -> None:
    """A change asked for while one waits takes its place; presses made in between are dropped and counted."""
    engine = start(LAYOUT.to_bytes())
    engine.report(TWO)
    engine.change_layout(OTHER.to_bytes())
    engine.report(TWO, A, B)
    assert engine.change_layout(OPEN_LAYOUT.to_bytes())
    assert engine.overflows == 2
    engine.report(TWO, A, B, F1)
    engine.run(LONG)
    assert engine.contacts == {contact(F1)}


def test_a_damaged_layout_is_refused(start: Start) -> None:
    """A table that is refused leaves everything as it was."""
    engine = start(LAYOUT.to_bytes())
    engine.report(A)
    engine.run(LONG)
    for bad in (b"", b"\x01" + OTHER.to_bytes()[1:], OTHER.to_bytes()[:-1], OTHER.to_bytes() + b"\x00"):
        assert not engine.change_layout(bad)
        engine.run(LONG)
        assert engine.contacts == {contact(A)}
        assert engine.leds == 1


@pytest.mark.parametrize("seed", range(8))
def test_changes_at_random_moments(start: Start, seed: int) -> None:
    """Whatever is going on at the change, nothing sticks and the new layout plays afterwards."""
    rng = random.Random(seed)
    engine = start(LAYOUT.to_bytes())
    tables = [table.to_bytes() for table in (LAYOUT, OTHER, OPEN_LAYOUT)]
    keys = [A, B, TWO, THREE, F1, F4, 0xE0, 0xE1]
    down: set[int] = set()
    for _ in range(600):
        if rng.random() < 0.08:
            engine.change_layout(rng.choice(tables))
        else:
            down ^= {rng.choice(keys)}
            engine.usages(down)
        engine.run(rng.choice([0, 1, LEAD, 50, CLOSE, OPEN, 1000]))
    engine.usages(())
    engine.change_layout(OTHER.to_bytes())
    engine.run(LONG)
    assert engine.idle
    assert engine.contacts == frozenset()
    engine.report(A, modifiers=M_SHIFT)
    engine.run(LONG)
    assert engine.contacts == {A_THERE_SHIFTED, SHIFT_THERE}
    assert CONTROL_CONTACT not in engine.contacts
