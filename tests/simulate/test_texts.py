"""Texts at fifteen characters a second: read back exactly where physics allows it, and the limit named where not."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from fractions import Fraction

import pytest

from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.simulate.engine import Engine
from matrixmap.simulate.scan import Reader
from matrixmap.simulate.texts import difference, legends_of, meant_by, play_typing
from matrixmap.simulate.texts import presses_of as all_presses
from matrixmap.simulate.typing.reports import Link
from matrixmap.simulate.typing.typist import perform, usual_style
from tests.project import sample_ids, shipped_ids, shipped_plan
from tests.simulate.typing_cells import CELLS, PROSE, Cell, plan_with_scan, presses_of, random_presses, typing, ways_of

Start = Callable[[list[Plan]], Engine]


def check_cell(start: Start, plan: Plan, presses: Sequence[KeyPress], cell: Cell) -> None:
    """Feasible: every character once, in order. Not feasible: nothing sticks, and no loss is without a count."""
    typed = typing(plan, presses, cell)
    player = play_typing(start([plan]), typed)
    limits = typed.limits().limits
    assert not player.last.contacts
    assert player.last.refusals == 0
    reader = Reader(plan.layout.machine, plan.contacts, slow_percent=plan.layout.machine.scan.tolerance_percent)
    rng = random.Random(len(presses))
    for phase in (0, rng.randrange(reader.pace.period), rng.randrange(reader.pace.period)):
        differs = difference(meant_by(plan, presses), legends_of(reader.read(player.moments, phase)))
        if not limits:
            assert (differs.lost, differs.extra) == ((), ())
            assert player.last.overflows == 0
        elif any(plan.dead_key(press.trigger) is not None for press in presses):
            # Where the line drops one press of a pair, the other types something else.
            assert player.last.overflows or not (differs.lost or differs.extra) or cell.link is Link.SAMPLED
        elif cell.link is Link.QUEUED:
            assert differs.extra == ()
            # What the line dropped may also be the press of a host modifier that does nothing by itself.
            assert len(differs.lost) <= player.last.overflows
    assert limits or player.last.overflows == 0


@pytest.mark.parametrize(
    ("start", "cell"),
    [
        pytest.param(engine, cell, marks=[] if number % 8 == turn else [pytest.mark.campaign], id=f"{engine}-{cell}")
        for turn, engine in enumerate(("c", "model"))
        for number, cell in enumerate(CELLS)
    ],
    indirect=["start"],
)
def test_cells(start: Start, cell: Cell) -> None:
    """Eighty characters of prose and of chance, on a layout in turn, in every cell; in the suite by either engine in turn."""
    ids = shipped_ids()
    plan = plan_with_scan(ids[CELLS.index(cell) % len(ids)], cell.period_us, cell.samples)
    check_cell(start, plan, presses_of(plan, PROSE)[:80], cell)
    check_cell(start, plan, random_presses(plan, 80, CELLS.index(cell)), cell)


@pytest.mark.campaign
@pytest.mark.parametrize("cell", CELLS, ids=str)
def test_long_cells(start: Start, cell: Cell) -> None:
    """10,000 characters of prose and 10,000 of chance in every cell."""
    plan = plan_with_scan("quillon8-en-GB-symbolic", cell.period_us, cell.samples)
    prose = presses_of(plan, PROSE)
    check_cell(start, plan, (prose * (10_000 // len(prose) + 1))[:10_000], cell)
    check_cell(start, plan, random_presses(plan, 10_000, 1), cell)


def test_the_pace_of_a_scan_changes_no_way_to_type() -> None:
    """What is pressed for a text hangs on the layout alone, so that all cells of one can take its presses."""
    for id in sample_ids():
        plan = plan_with_scan(id, 60000, 1)
        assert ways_to_type(plan) == ways_of(plan.id)


def test_some_cells_are_feasible_and_some_are_not() -> None:
    """The grid holds both, and each limit has its case."""
    limits: set[str] = set()
    feasible = 0
    for cell in CELLS:
        plan = plan_with_scan("quillon8-en-GB-symbolic", cell.period_us, cell.samples)
        found = typing(plan, random_presses(plan, 24, 1), cell).limits().limits
        feasible += not found
        limits |= {limit.split(" ")[1] for limit in found}
    assert feasible >= len(CELLS) // 3
    assert limits == {"key", "machine", "reports"}


@pytest.mark.parametrize(
    ("start", "id"),
    [("c", id) for id in shipped_ids()]
    + [("model", id) for id in sample_ids()]
    + [pytest.param("model", id, marks=pytest.mark.campaign) for id in shipped_ids() if id not in sample_ids()],
    indirect=["start"],
)
def test_every_character(start: Start, id: str) -> None:
    """Every character and function that a layout reaches is read back, and nothing is refused.

    What begins a mode of the machine comes last, for it changes what the keys after it type.
    """
    plan = shipped_plan(id)
    ways = ways_of(id)
    machine = plan.layout.machine
    begins = {
        legend.text
        for mode in machine.modes
        if mode.by is not None and mode.by.key is not None
        for legend in machine.key(mode.by.key).types.values()
    }
    cell = Cell(interval_us=7500, link=Link.QUEUED, period_us=20000, samples=2)
    names = sorted(ways, key=lambda name: (name in begins, name))
    presses = tuple(press for name in names for press in all_presses(ways[name][0]))
    player = play_typing(start([plan]), typing(plan, presses, cell))
    reader = Reader(plan.layout.machine, plan.contacts)
    assert legends_of(reader.read(player.moments, 4321)) == names
    assert player.last.refusals == 0


def test_the_moves_of_a_text_ascend() -> None:
    """A key that is held for longer than a beat goes up after the next one has gone down, and its move stands there."""
    plan = shipped_plan("quillon8-en-US-positional")
    presses = tuple(ways_to_type(plan)[text][0][0] for text in "ab")
    moves = perform(presses, usual_style(Fraction(4))).moves
    assert [move.down for move in moves] == [True, True, False, False]
    assert [move.time_us for move in moves] == [250_000, 500_000, 562_500, 812_500]


def test_difference() -> None:
    """Gaps are losses; what was not typed is extra."""
    assert difference("abcd", "abcd").lost == ()
    assert difference("abcabc", "abc").lost == ("a", "b", "c")
    assert difference("abcd", "ad").lost == ("b", "c")
    assert (difference("abcd", "abxd").lost, difference("abcd", "abxd").extra) == (("c",), ("x",))
