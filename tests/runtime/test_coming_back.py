"""Keys that come back: one that was opened for a newer key closes again when that goes and it is still down."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from .conftest import build
from .engine import NEVER, Engine
from .layouts import CLOSE, LAYOUT, LEAD, M_CONTROL, M_SHIFT, SHIFT_CONTACT, THREE, A, contact
from .table import GUARD, RESUME, Group, Kind, Table, crosspoint

LONG = 20_000
BACK = replace(LAYOUT, flags=LAYOUT.flags | RESUME)
# Right shares a select line with Up and a sense line with Space: with all three a machine without diodes reads a fourth.
RIGHT, UP, SPACE, OTHER = 0x4F, 0x52, 0x2C, 0x2D
GAME = Table(
    groups=(
        Group(
            kind=Kind.CROSSPOINT,
            entries=(
                (RIGHT, crosspoint(0, 0)),
                (UP, crosspoint(0, 1)),
                (SPACE, crosspoint(1, 0)),
                (OTHER, crosspoint(2, 2)),
            ),
        ),
    ),
    flags=GUARD | RESUME,
    close=400,
    open=300,
    lead=20,
)
AT = {RIGHT: ("x", 0, 0), UP: ("x", 0, 1), SPACE: ("x", 1, 0), OTHER: ("x", 2, 2)}


@pytest.fixture(scope="module", params=["gcc", "clang"])
def start(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Callable[[bytes], Engine]:
    """Starts an engine whose keys may come back."""
    lib: ctypes.CDLL = build(request.param, tmp_path_factory.mktemp("back"), "-DMM_RESUME=1")

    def begin(table: bytes) -> Engine:
        made = Engine(lib, table)
        assert made.sound
        return made

    return begin


Start = Callable[[bytes], Engine]


def held(engine: Engine, *usages: int, ticks: int = LONG) -> None:
    """These keys are down for a while."""
    engine.report(*usages)
    engine.run(ticks)


def test_two_arrows_and_a_tap_of_space(start: Start) -> None:
    """Right and Up are held, Space is tapped: what was opened for it comes back. Without the flag it does not."""
    for back in (True, False):
        engine = start(replace(GAME, flags=GUARD | (RESUME if back else 0)).to_bytes())
        held(engine, RIGHT)
        held(engine, RIGHT, UP)
        assert engine.contacts == {AT[RIGHT], AT[UP]}
        engine.mark()
        engine.report(RIGHT, UP, SPACE)
        engine.run(100)
        engine.report(RIGHT, UP)
        engine.run(LONG)
        assert engine.contacts == ({AT[RIGHT], AT[UP]} if back else {AT[UP]})
        assert not engine.idle
        shown = [closed for _, closed in engine.story]
        # Up is no corner with Space: Right alone is opened. The close time of Space runs out, then Right comes back.
        assert shown[:3] == [{AT[UP]}, {AT[UP], AT[SPACE]}, {AT[UP]}]
        if back:
            at = [at for at, _ in engine.story]
            assert at == [0, LEAD, LEAD + CLOSE, 2 * LEAD + CLOSE]
            assert engine.settle() == NEVER
        engine.report()
        engine.run(LONG)
        assert engine.idle


def test_one_that_was_released_does_not(start: Start) -> None:
    """A key that went up while it stood aside is over."""
    engine = start(GAME.to_bytes())
    held(engine, RIGHT)
    held(engine, RIGHT, UP)
    held(engine, RIGHT, UP, SPACE)
    assert engine.contacts == {AT[UP], AT[SPACE]}
    held(engine, UP, SPACE)
    held(engine, UP)
    assert engine.contacts == {AT[UP]}
    held(engine)
    assert engine.idle


def test_not_before_its_open_time_is_over(start: Start) -> None:
    """The machine has seen it open when it closes again, however short the key between was."""
    engine = start(replace(GAME, close=50, open=3000).to_bytes())
    held(engine, RIGHT)
    held(engine, RIGHT, UP)
    engine.mark()
    engine.report(RIGHT, UP, SPACE)
    engine.report(RIGHT, UP)
    engine.run(LONG)
    away = [at for at, closed in engine.story if AT[RIGHT] not in closed]
    back = [at for at, closed in engine.story if AT[RIGHT] in closed]
    assert back[0] - away[0] >= 3000


def test_a_key_that_stays_is_not_opened_for_it(start: Start) -> None:
    """What stands aside waits as long as something would be opened for it, whichever key that is."""
    engine = start(GAME.to_bytes())
    held(engine, RIGHT)
    held(engine, RIGHT, SPACE)
    held(engine, RIGHT, SPACE, UP)
    assert engine.contacts == {AT[SPACE], AT[UP]}
    held(engine, RIGHT, SPACE)
    assert engine.contacts == {AT[RIGHT], AT[SPACE]}


def test_the_newest_first(start: Start) -> None:
    """Of several the newest comes back, and the next one if it fits with that."""
    table = replace(GAME, rollover=1)
    engine = start(table.to_bytes())
    for keys in ((RIGHT,), (RIGHT, UP), (RIGHT, UP, OTHER)):
        held(engine, *keys)
    assert engine.contacts == {AT[OTHER]}
    held(engine, RIGHT, UP)
    assert engine.contacts == {AT[UP]}
    held(engine, RIGHT)
    assert engine.contacts == {AT[RIGHT]}


def test_one_opened_for_other_modifiers(start: Start) -> None:
    """`a` lifts Shift and is opened for a key that holds it; it comes back with Shift lifted again."""
    engine = start(BACK.to_bytes())
    held(engine, A)
    held(engine, A, THREE)
    assert contact(A) not in engine.contacts
    assert SHIFT_CONTACT in engine.contacts
    held(engine, A)
    assert engine.contacts == {contact(A)}


def test_one_that_breaks_a_rule_alone_does_not(start: Start) -> None:
    """Opened by the typist's modifiers, and not for a newer key, it stays open until it is pressed again."""
    engine = start(
        replace(BACK, groups=(*BACK.groups, Group(kind=Kind.CROSSPOINT, entries=((0x30, 0x07),)))).to_bytes()
    )
    held(engine, 0x30)
    assert engine.contacts == {("x", 0, 7)}
    engine.report(0x30, modifiers=M_SHIFT | M_CONTROL)
    engine.run(LONG)
    assert ("x", 0, 7) not in engine.contacts
    held(engine, 0x30)
    assert engine.contacts == frozenset()


def test_a_press_comes_first(start: Start) -> None:
    """What waits in the line is played before anything comes back."""
    engine = start(GAME.to_bytes())
    held(engine, RIGHT)
    held(engine, RIGHT, UP)
    engine.mark()
    engine.report(RIGHT, UP, SPACE)
    engine.report(RIGHT, UP)
    engine.report(RIGHT, UP, OTHER)
    engine.run(LONG)
    closed_at = {name: next(at for at, closed in engine.story if AT[name] in closed) for name in (SPACE, OTHER)}
    back = next(at for at, closed in engine.story if at > 0 and AT[RIGHT] in closed)
    assert closed_at[SPACE] < closed_at[OTHER] < back
    assert engine.contacts == {AT[RIGHT], AT[UP], AT[OTHER]}


def test_places_run_out(start: Start) -> None:
    """With all places taken the oldest gives up its place, also one that stands aside."""
    keys = tuple((0x04 + number, crosspoint(number // 6, number % 6)) for number in range(24))
    table = replace(GAME, rollover=1, groups=(Group(kind=Kind.CROSSPOINT, entries=keys),))
    engine = start(table.to_bytes())
    down: set[int] = set()
    for number in range(14):
        down.add(0x04 + number)
        engine.usages(down)
        engine.run(LONG)
        assert engine.contacts == {("x", number // 6, number % 6)}
    for number in range(13, 3, -1):
        down.remove(0x04 + number)
        engine.usages(down)
        engine.run(LONG)
        # Ten have places: those before the fifth are forgotten.
        assert engine.contacts == ({("x", (number - 1) // 6, (number - 1) % 6)} if number > 4 else frozenset()), number
    engine.usages(())
    engine.run(LONG)
    assert engine.idle


def test_a_layout_change_forgets_it(start: Start) -> None:
    """Keys that stand aside count as released then, and hold nothing up."""
    engine = start(GAME.to_bytes())
    held(engine, RIGHT)
    held(engine, RIGHT, UP)
    held(engine, RIGHT, UP, SPACE)
    engine.change_layout(GAME.to_bytes())
    engine.run(LONG)
    assert engine.contacts == frozenset()
    held(engine, RIGHT, UP)
    assert engine.contacts == frozenset()
    held(engine)
    assert engine.idle


def test_a_lost_link_forgets_it(start: Start) -> None:
    """All keys of that keyboard count as released."""
    engine = start(GAME.to_bytes())
    held(engine, RIGHT)
    held(engine, RIGHT, UP)
    held(engine, RIGHT, UP, SPACE)
    engine.disconnect()
    engine.run(LONG)
    assert engine.idle


def test_a_runtime_without_it_refuses_the_table(tmp_path: Path) -> None:
    """As it does one with sequences."""
    lib = build("gcc", tmp_path, "-DMM_RESUME=0")
    assert not Engine(lib, GAME.to_bytes()).sound
    assert Engine(lib, replace(GAME, flags=GUARD).to_bytes()).sound
