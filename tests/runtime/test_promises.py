"""Typing through the runtime into machines that scan: each keystroke is read once, in order, with its modifiers."""

from __future__ import annotations

import ctypes
import random
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path

import pytest

from tests.shipped import in_campaign, seeds_up_to

from .conftest import build
from .engine import Engine
from .layouts import (
    CONTROL_LEFT,
    FOUR,
    LAYOUT,
    MODIFIER_PLACES,
    ONE,
    PLACES,
    SHIFT_KEY,
    SHIFT_KEY_2,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    THREE,
    TWO,
    A,
    B,
    C,
    D,
    E,
    F,
    G,
    H,
)
from .machine import Keystroke, Machine, phantoms
from .table import GUARD, WHOLE, Table

KEYS = (A, B, C, D, E, F, G, H, ONE, TWO, THREE, FOUR)
SHIFTS = (SHIFT_LEFT, SHIFT_RIGHT)
PLACE = [(place >> 4, place & 15) for place in MODIFIER_PLACES]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """A machine's scan in ticks of 100 microseconds, and the times that follow from it."""

    period: int
    sweep: int
    down: int = 1
    up: int = 1
    rollover: int = 0
    whole: bool = False
    repeat: int = 0

    def table(self, table: Table) -> Table:
        """Every phase has its samples in the close time.

        The sweep of the last one ends in it too, for modifiers that pass are live after it. Where whole scans are compared the
        sweep of the last one must end in the open time as well, before anything else changes. A time of n ticks by this clock
        may be one tick shorter in truth, hence the ones.
        """
        return replace(
            table,
            flags=table.flags | WHOLE * self.whole,
            close=self.down * self.period + self.sweep + 1,
            open=self.up * self.period + self.sweep * (self.whole and self.up > 1) + 1,
            lead=self.sweep + 1,
            rollover=self.rollover,
        )

    def machine(self) -> Machine:
        """The machine itself."""
        return Machine(
            period=self.period,
            sweep=self.sweep,
            down=self.down,
            up=self.up,
            rollover=self.rollover,
            modifiers=frozenset(PLACE),
            whole=self.whole,
            repeat=self.repeat,
        )


SCANS = (
    Scan(period=200, sweep=16, down=2, up=2, rollover=2),
    Scan(period=167, sweep=167),
    Scan(period=200, sweep=8, down=1, up=5, rollover=3),
    Scan(period=100, sweep=40, down=3, up=1, rollover=1),
)
WHOLE_SCANS = tuple(replace(scan, whole=True) for scan in SCANS)
ONE_SCAN = Scan(period=200, sweep=16, down=1, up=5, repeat=35)


def expected_of(usage: int, shift: bool, control: bool) -> Keystroke | None:
    """What a press must be read as, by the layout's groups."""
    place = PLACES[usage]
    modifiers = {PLACE[2]} if control else set()
    if usage in (A, B, C, D, E, F, G, H):
        modifiers |= {PLACE[0]} if shift else set()
    elif usage == ONE and shift:
        place = PLACES[THREE]
    elif shift:
        return None
    elif usage == THREE:
        modifiers.add(PLACE[0])
    elif usage == FOUR:
        modifiers.add(PLACE[1])
    return Keystroke(key=(place >> 4, place & 15), modifiers=frozenset(modifiers))


def alone_makes_phantom(stroke: Keystroke) -> bool:
    """Whether the key with its own modifiers makes a phantom: then the runtime refuses it."""
    masks = [0] * 17
    for line, sense in (stroke.key, *stroke.modifiers):
        masks[line] |= 1 << sense
    return bool(phantoms(masks))


class Typist:
    """Sends key events one report each and notes what must be read."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self.down: set[int] = set()
        self.expected: list[Keystroke] = []
        self.refused = 0
        engine.run(1000)  # the machine scans before the first key

    def events(self, *usages: int) -> None:
        """Each key goes down if it was up and up if it was down, all in one report."""
        before = set(self.down)
        self.down ^= set(usages)
        overflows = self.engine.overflows
        for usage in sorted(self.down - before):
            stroke = (
                expected_of(usage, bool(self.down & set(SHIFTS)), CONTROL_LEFT in self.down) if usage in KEYS else None
            )
            if stroke is not None and alone_makes_phantom(stroke):
                self.refused += 1
            elif stroke is not None:
                self.expected.append(stroke)
        self.engine.usages(self.down)
        assert self.engine.overflows == overflows, "the test means to stay within the waiting line"

    def finish(self) -> None:
        """All keys up, and time enough for what waits."""
        self.engine.usages(())
        self.down.clear()
        for _ in range(60):
            self.engine.run(1000)
            if self.engine.idle:
                break


def check(engine: Engine, typist: Typist, scan: Scan, phases: range) -> None:
    """Nothing stuck, nothing phantom, and at every phase exactly the expected keystrokes."""
    assert engine.idle
    assert not any(engine.masks)
    assert engine.refusals == typist.refused
    for _, masks in engine.changes:
        strokes = list(masks)
        for line, sense in PLACE:
            strokes[line] &= ~(1 << sense)
        assert not any(strokes) or not phantoms(masks)
    for phase in phases:
        read = scan.machine().read(engine.changes, phase, engine.now)
        assert read == typist.expected, phase


@pytest.mark.parametrize("scan", SCANS, ids=str)
@pytest.mark.parametrize("seed", seeds_up_to(1, 3))
def test_random_typing(lib: ctypes.CDLL, scan: Scan, seed: int) -> None:
    """Random keys with rollover, Shift and Control, some far shorter than the scan: read once each, in order."""
    type_at_random(lib, scan, seed)


@pytest.mark.parametrize("scan", WHOLE_SCANS, ids=str)
@pytest.mark.parametrize("seed", seeds_up_to(1, 3))
def test_random_typing_where_whole_scans_are_compared(lib_of_whole_scans: ctypes.CDLL, scan: Scan, seed: int) -> None:
    """The same for machines that count anew with every change of any key or modifier."""
    type_at_random(lib_of_whole_scans, scan, seed)


def type_at_random(lib: ctypes.CDLL, scan: Scan, seed: int) -> None:
    """Types 150 events at random and looks at them at some phases."""
    rng = random.Random(seed)
    engine = Engine(lib, scan.table(LAYOUT).to_bytes())
    typist = Typist(engine)
    for _ in range(150):
        typist.events(rng.choice((*KEYS, *KEYS, *KEYS, *SHIFTS, CONTROL_LEFT)))
        if len(typist.down & set(KEYS)) > 3:
            typist.events(rng.choice(sorted(typist.down & set(KEYS))))
        engine.run(rng.choice((1, 5, 30, 400, 1500)))
        while engine.lib.mm_test_waiting(engine.state) > 4:
            engine.run(100)
    typist.finish()
    assert len(typist.expected) > 60
    check(engine, typist, scan, range(1, scan.period + 1, max(1, scan.period // 11)))


def orders() -> list[tuple[tuple[int, ...], ...]]:
    """All 13 orders of press and release of two keys 0 and 1, events in one report included."""
    found = []
    for times in product(range(4), repeat=4):
        down0, up0, down1, up1 = times
        if down0 < up0 and down1 < up1 and set(times) == set(range(max(times) + 1)):
            found.append(
                tuple(
                    tuple(key for key, at in ((0, down0), (0, up0), (1, down1), (1, up1)) if at == step)
                    for step in range(max(times) + 1)
                )
            )
    return sorted(set(found))


def test_thirteen_orders() -> None:
    """Two intervals can stand to each other in 13 ways."""
    assert len(orders()) == 13


@pytest.mark.parametrize("scan", SCANS[:2], ids=str)
@pytest.mark.parametrize("gap", [0, in_campaign(37), 900])
def test_two_keys_in_all_orders(lib: ctypes.CDLL, scan: Scan, gap: int) -> None:
    """Every pair of keys, with and without Shift, in every order of press and release, at several phases."""
    type_in_all_orders(lib, scan, gap)


@pytest.mark.parametrize("scan", WHOLE_SCANS[:2], ids=str)
@pytest.mark.parametrize("gap", [0, in_campaign(37), 150, in_campaign(900)])
def test_two_keys_in_all_orders_where_whole_scans_are_compared(
    lib_of_whole_scans: ctypes.CDLL, scan: Scan, gap: int
) -> None:
    """The same for machines that count anew with every change."""
    type_in_all_orders(lib_of_whole_scans, scan, gap)


ROLL_OVER = ((A,), 1000), ((A, B), 150), ((B,), 200), ((), 3000)
"""A down, B down after 100 ms, A up 15 ms and B up 35 ms after that; times in ticks."""


@pytest.mark.parametrize(("told", "lost"), [(False, 28), (True, 0)])
def test_roll_over_where_whole_scans_are_compared(lib_of_whole_scans: ctypes.CDLL, told: bool, lost: int) -> None:
    """By the times and rules of a machine that compares each key, B is lost in 28 of 40 phases; by its own in none."""
    scan = Scan(period=200, sweep=8, down=2, up=2, rollover=2, whole=True)
    engine = Engine(lib_of_whole_scans, replace(scan, whole=told).table(LAYOUT).to_bytes())
    engine.run(1000)
    for down, ticks in ROLL_OVER:
        engine.usages(down)
        engine.run(ticks)
    reads = [scan.machine().read(engine.changes, phase, engine.now) for phase in range(1, 201, 5)]
    both = [expected_of(A, False, False), expected_of(B, False, False)]
    assert len(reads) == 40
    assert sum(read != both for read in reads) == lost
    assert all(read in (both, both[:1]) for read in reads)


@pytest.mark.parametrize("whole", [False, True])
def test_short_keystrokes_do_not_repeat(lib_of_whole_scans: ctypes.CDLL, whole: bool) -> None:
    """A machine that needs one scan, and repeats a key after 35, reads what was let go before that once, at every phase."""
    scan = replace(ONE_SCAN, whole=whole)
    rng = random.Random(5)
    engine = Engine(lib_of_whole_scans, scan.table(LAYOUT).to_bytes())
    typist = Typist(engine)
    for _ in range(40):
        keys = rng.sample(KEYS, 2)
        for key in (keys[0], keys[1], *rng.sample(keys, 2)):
            typist.events(key)
            engine.run(rng.choice((1, 40, 150, 250, 900)))
        engine.run(rng.choice((1, 1500)))
        while engine.lib.mm_test_waiting(engine.state) > 4:
            engine.run(100)
    typist.finish()
    assert len(typist.expected) > 60
    check(engine, typist, scan, range(1, scan.period + 1, 3))


@pytest.mark.parametrize("whole", [False, True])
def test_a_key_that_stays_down_repeats(lib_of_whole_scans: ctypes.CDLL, whole: bool) -> None:
    """The machine of the tests does repeat: 35 scans after it was sure of the press."""
    scan = replace(ONE_SCAN, whole=whole)
    engine = Engine(lib_of_whole_scans, scan.table(LAYOUT).to_bytes())
    engine.run(1000)
    engine.usages((A,))
    engine.run(36 * scan.period)
    engine.usages(())
    engine.run(2000)
    for phase in range(1, scan.period + 1):
        assert scan.machine().read(engine.changes, phase, engine.now) == [expected_of(A, False, False)] * 2


def test_a_runtime_without_it_refuses_the_table(tmp_path: Path) -> None:
    """As it does one with sequences: by its rules such a machine would lose keystrokes."""
    without = build("gcc", tmp_path, "-DMM_WHOLE=0")
    table = WHOLE_SCANS[0].table(LAYOUT)
    assert not Engine(without, table.to_bytes()).sound
    assert Engine(without, replace(table, flags=table.flags & ~WHOLE).to_bytes()).sound


def type_in_all_orders(lib: ctypes.CDLL, scan: Scan, gap: int) -> None:
    """Plays all pairs in all orders with a gap between the steps."""
    pairs = [(A, B), (A, E), (ONE, THREE), (THREE, FOUR), (C, THREE), (TWO, H), (FOUR, TWO)]
    for (first, second), order, shift in product(pairs, orders(), (False, True)):
        engine = Engine(lib, scan.table(LAYOUT).to_bytes())
        typist = Typist(engine)
        if shift:
            typist.events(SHIFT_LEFT)
        for step in order:
            typist.events(*((first, second)[key] for key in step))
            engine.run(gap)
        typist.finish()
        check(engine, typist, scan, range(1, scan.period + 1, scan.period // 5))


def test_shorter_times_fail(lib: ctypes.CDLL) -> None:
    """The check can fail: with one tick less than the scan needs, some phase misses a keystroke."""
    scan = SCANS[0]
    short = replace(scan.table(LAYOUT), close=scan.down * scan.period - 1)
    engine = Engine(lib, short.to_bytes())
    typist = Typist(engine)
    for key in (A, B, E):
        typist.events(key)
        typist.events(key)
        engine.run(3000)
    typist.finish()
    reads = [scan.machine().read(engine.changes, phase, engine.now) for phase in range(1, scan.period)]
    assert any(read != typist.expected for read in reads)


def test_true_shift_in_every_set(lib: ctypes.CDLL) -> None:
    """While a stroke that lifts or holds shift is closed, shift is exactly so in every set presented."""
    demands = {}
    for usage in KEYS:
        for shift in (False, True):
            stroke = expected_of(usage, shift, False)
            if stroke is not None:
                demands.setdefault(stroke.key, set()).add(stroke.modifiers)
    rng = random.Random(11)
    engine = Engine(lib, replace(LAYOUT, flags=LAYOUT.flags & ~GUARD).to_bytes())
    down: set[int] = set()
    for _ in range(3000):
        down ^= {rng.choice((*KEYS, SHIFT_LEFT, SHIFT_RIGHT))}
        if len(down) > 5:
            down.remove(rng.choice(sorted(down)))
        engine.usages(down)
        engine.run(rng.choice((0, 3, 30, 500)))
    for _, masks in engine.changes:
        closed = {(line, sense) for line in range(8) for sense in range(8) if masks[line] >> sense & 1}
        shifts = frozenset(closed & set(PLACE[:2]))
        for key in closed - set(PLACE):
            assert shifts in demands[key]
    assert SHIFT_KEY != SHIFT_KEY_2
