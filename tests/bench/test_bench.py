"""The benchmarks run, and the figures that do not depend on the speed of the machine meet their aims."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench import bench_build, bench_check, bench_margins, bench_start, worst_case
from tests.bench.features import weight_of
from tests.project import shipped_plan

MOST_CYCLES = {"boot": 9000, "bitmap": 16_000, "advance": 7000}
"""Of the dearest moment that a search has found on AVR."""


def test_help_costs_at_most_seven_times_an_empty_program() -> None:
    """`matrixmap --help` takes at most 7 times the instructions of `python -c pass` under callgrind, `usages KeyA` 9 times."""
    alone = bench_start.python_alone()
    assert bench_start.command_cost("--help").instructions <= 7 * alone
    # No version of Typer loads its validator.
    assert bench_start.command_cost("usages", "KeyA").instructions <= 9 * alone


def test_tables_are_near_the_floor() -> None:
    """Each table is within twice the entropy of what it says and takes at most 700 bytes, the header aside.

    850 bytes where the machine has strokes in turn.
    """
    for id, row in bench_build.table_figures().items():
        assert row.ratio <= 2, id
        turns = shipped_plan(id).layout.machine.sequences
        assert row.table_bytes <= (850 if turns else 700), id


def test_the_runtime_fits_small_targets(tmp_path: Path) -> None:
    """Without what may be left out the runtime takes at most 3,600 B of flash on AVR and 2,600 B on Cortex-M0+, and 144 B of RAM, for 8x8 lines."""
    avr, cortex = (weight_of(tmp_path, prefix, {}) for prefix in ("avr", "arm-none-eabi"))
    assert avr.flash <= 3600
    assert cortex.flash <= 2600
    assert avr.ram <= 144
    assert cortex.ram <= 144


def test_margins_solve_few_networks() -> None:
    """All pairs and triples of 8x8 lines, and pairs with any modifiers, come down to at most 2,000 networks."""
    cost = bench_margins.cost_of("ferrule", "quillon8", repeats=1)
    assert cost.margins.sets is not None
    assert cost.margins.sets.looked_at == 64 + 2016 + 41_664 + 11 * 1770
    assert cost.solved <= 2000


@pytest.mark.campaign
def test_a_search_finds_what_costs_much(tmp_path: Path) -> None:
    """Without what was found before, half a minute leads to nine tenths of the worst boot report."""
    worst = max((case for case in worst_case.read_cases() if case.target == "boot"), key=lambda case: case.cycles)
    player = worst_case.Player(tmp_path / "avr", worst.layout)
    assert worst_case.search(player, shipped_plan(worst.layout), "boot", 30).cycles >= 0.9 * worst.cycles


@pytest.mark.campaign
def test_layouts_checked_together_share_their_work() -> None:
    """All layouts that ship take at most a third of the processor time of as many single runs."""
    assert bench_check.shared_ratio()[1] <= 1 / 3


@pytest.mark.campaign
def test_a_build_is_judged_by_start_up_and_layout() -> None:
    """A build of one layout takes at most 8 times the processor's time of importing typer and yaml, each layout more at most 1."""
    times = bench_build.measure_times(repeats=2)
    assert times.one.processor <= 8 * times.bare.processor
    assert times.per_layout.processor <= times.bare.processor
