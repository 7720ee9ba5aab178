"""How long a driver takes: stated as measured, and counted in the times of a table for as many contacts as change together."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest

from matrixmap.circuit.driver import most_changes, with_driver
from matrixmap.circuit.timing import TICK_US
from matrixmap.model.boards.adapter import DriverTime
from matrixmap.model.plan import Driven, Plan
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER
from tests.bench.bench_board import MOST, measured, table
from tests.board.boards import SHIPPED, checked
from tests.check.adapter import Adapter
from tests.project import ROOT, call, shipped_plan, write_project

LAYOUT = "quillon8-en-GB-symbolic"
LAYOUTS = (LAYOUT, "quillon8-en-US-positional", "langet41-en-GB-symbolic", "ricasso12-fo-en-GB-symbolic")


def driver_of(id: str) -> DriverTime:
    """What a shipped adapter says."""
    driver = checked(id).adapter.driver
    assert driver is not None
    return driver


@pytest.mark.parametrize("id", SHIPPED)
def test_adapters_say_what_was_measured(id: str) -> None:
    """For each number of contacts that change together the stated spread covers the measured one, with no more than 1 in 30 to spare."""
    found, stated = measured(id), driver_of(id)
    for changes in range(1, MOST[id] + 1):
        spread = found.spread(changes)
        assert spread <= stated.spread(changes) <= spread * 31 / 30 + 0.5


def test_eight_changes_of_the_ferrule_lie_within_100_microseconds() -> None:
    """As many as change together in a shipped layout of its machine are all written within one tick of each other."""
    assert most_changes(shipped_plan(LAYOUT)) == 8
    assert driver_of("ferrule").spread(8) <= TICK_US


def test_the_page_has_the_moments_as_measured() -> None:
    """The moments of docs/board.md are those of the drivers in the simulators."""
    assert table() in (ROOT / "docs" / "board.md").read_text(encoding="utf-8")


def seen_changes(plan: Plan, seed: int, inputs: int = 400) -> int:
    """The most contacts that change between two looks, with keys pressed and let go at random, one or many at a time."""
    draw = random.Random(seed)
    adapter = Adapter(plan)
    engine = adapter.engine
    engine.library.mm_begin(engine.state, engine.tables[0], len(engine.tables[0]))
    usages = sorted({binding.trigger.usage for binding in plan.bindings} | set(range(0xE0, 0xE8)))
    down: set[int] = set()
    time, most, before = 0, 0, engine.shown().contacts
    for _ in range(inputs):
        kind = draw.random()
        if kind < 0.1:
            down = set()
        elif kind < 0.3:
            down = set(draw.sample(usages, draw.randint(1, 12)))
        else:
            down ^= set(draw.sample(usages, draw.randint(1, 3)))
        bitmap = bytearray(32)
        for usage in down:
            bitmap[usage >> 3] |= 1 << (usage & 7)
        engine.usages(0, bytes(bitmap))
        for _ in range(draw.randint(1, 8)):
            wait = engine.advance(time)
            now = engine.shown().contacts
            most, before = max(most, len(now ^ before)), now
            if wait == NEVER:
                break
            time = (time + wait + draw.choice((0, 0, 0, 40))) % CLOCK_TICKS
    return most


@pytest.mark.parametrize("id", LAYOUTS)
def test_no_more_contacts_change_together_than_is_counted(id: str) -> None:
    """Whatever is pressed, at most as many contacts change between two looks as `most_changes` says."""
    plan = shipped_plan(id)
    seen = max(seen_changes(plan, seed) for seed in range(6))
    assert 2 <= seen <= most_changes(plan)


def test_times_grow_by_what_the_driver_takes() -> None:
    """Each time is the shortest number of ticks that covers what the scan needs, one tick, and the spread of the driver."""
    plan = shipped_plan(LAYOUT)
    machine = plan.layout.machine
    slow = 1 + Fraction(str(machine.scan.tolerance_percent)) / 100
    span = machine.scan.longest_sweep_us * slow * (len(machine.select) - 1) / len(machine.select)
    for spread in (0.0, 0.5, 98.0, 100.0, 250.25):
        driver = DriverTime(spread_us=(spread,), each_us=0.0, write_ns=0, follow_us=None, measured="invented")
        timing = with_driver(plan, driver).timing
        needed = machine.scan.samples_down * machine.scan.period_us * slow + span + TICK_US + Fraction(str(spread))
        assert (timing.close_ticks - 1) * TICK_US < needed <= timing.close_ticks * TICK_US
        assert timing.driver_us == spread
    assert with_driver(plan, None) is plan


def test_contacts_beyond_those_stated_add_their_own_time() -> None:
    """Up to the length of the list it is what the list says, at least what fewer take; beyond it each adds `each_us`."""
    driver = DriverTime(spread_us=(10.0, 30.0, 25.0), each_us=4.0, write_ns=0, follow_us=None, measured="invented")
    assert [driver.spread(changes) for changes in (0, 1, 2, 3, 4, 6)] == [10.0, 10.0, 30.0, 30.0, 34.0, 42.0]


def test_build_makes_tables_for_the_board(tmp_path) -> None:
    """With --adapter the table has the longer times, says so, and so does the summary."""
    plain = call("build", LAYOUT, "--out", tmp_path / "plain")
    done = call("build", LAYOUT, "--adapter", "ferrule", "--out", tmp_path / "out")
    assert (done.returncode, done.stderr) == (0, "")
    assert "the times of tables for quillon8 allow for up to 98 microseconds of the driver of ferrule" in done.stdout
    assert "microseconds of the driver" not in plain.stdout
    text = (tmp_path / "out" / f"{LAYOUT}.c").read_text(encoding="utf-8")
    without = (tmp_path / "plain" / f"{LAYOUT}.c").read_text(encoding="utf-8")
    timing = shipped_plan(LAYOUT).timing
    assert f"close time {timing.close_ticks}, open time {timing.open_ticks}, lead time {timing.lead_ticks}," in without
    assert (
        f"close time {timing.close_ticks + 1}, open time {timing.open_ticks + 1}, lead time {timing.lead_ticks + 1},"
        in text
    )
    assert "These times include 98 microseconds for the board's driver." in text
    header = (tmp_path / "out" / "mm_board_ferrule_quillon8.h").read_text(encoding="utf-8")
    assert "98 microseconds for 8" in " ".join(header.replace("*", "").split())


def test_a_driver_that_nobody_measured_is_told(tmp_path) -> None:
    """Without `driver` the build says that its tables count none of it."""
    text = (ROOT / "shared/adapters/ferrule.yaml").read_text(encoding="utf-8")
    root = write_project(tmp_path, {"shared/adapters/ferrule.yaml": text[: text.index("# How long mm_board_show")]})
    done = call("build", LAYOUT, "--adapter", "ferrule", "--out", "out", cwd=root)
    assert done.returncode == 0
    assert "ferrule does not say how long its driver takes on quillon8" in done.stdout


def test_the_model_of_times_needs_no_more_than_the_plan() -> None:
    """A plan whose machine keeps nothing apart still counts each contact once."""
    plan = shipped_plan(LAYOUT)
    machine = plan.layout.machine
    none = replace(
        plan, layout=replace(plan.layout, machine=replace(machine, scan=replace(machine.scan, rollover=None)))
    )
    assert most_changes(plan) < most_changes(none) <= machine.crosspoints + len(machine.direct)


def test_switches_that_pads_close_count() -> None:
    """Where pads drive the controllers through the adapter, what each of their switches closes or pulls may change with all else."""
    plan = shipped_plan(LAYOUT)
    machine = plan.layout.machine
    lines = {(switch.select, switch.sense) for controller in machine.controllers for switch in controller.switches}
    assert len(lines) == 8
    assert sum(select is None for select, _ in lines) == 3
    assert most_changes(replace(plan, driven=Driven())) == most_changes(plan) + len(lines)
