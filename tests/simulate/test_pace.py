"""The sustained pace is what the times of the table give, and what comes at that pace is read."""

from __future__ import annotations

from dataclasses import replace

import pytest

from matrixmap.join.plan import compile_plan
from matrixmap.model.machine import Debounce
from matrixmap.simulate.pace import pace_of
from tests.project import shipped_plan


@pytest.mark.parametrize("id", ["quillon8-en-GB-symbolic", "quillon8-de-DE-symbolic"])
def test_a_row_takes_what_the_times_say(id: str) -> None:
    """Another key closes a lead after the close time, the same key after the open time, one with other modifiers two leads after.

    By mm_runtime.h, OUTPUT 5 and 6: with a rollover of two the key before is opened when the next is led.
    """
    plan = shipped_plan(id)
    timing, pace = plan.timing, pace_of(plan)
    assert pace.other_us == 100 * (timing.close_ticks + timing.lead_ticks)
    assert pace.same_us == 100 * (timing.close_ticks + timing.open_ticks)
    assert pace.shifted_us == 100 * (timing.close_ticks + 2 * timing.lead_ticks)


def test_with_one_key_at_once_each_waits_for_the_open_time() -> None:
    """A machine that tells one key apart takes no key before the one before it was seen open."""
    plan = shipped_plan("quillon8-en-GB-symbolic")
    machine = plan.layout.machine
    scan = replace(machine.scan, rollover=1)
    one = compile_plan(replace(plan.layout, machine=replace(machine, scan=scan)))
    pace = pace_of(one)
    assert pace.other_us == pace.same_us == 100 * (one.timing.close_ticks + one.timing.open_ticks)


def test_where_whole_scans_are_compared_another_key_takes_no_longer() -> None:
    """Only the same key waits longer, by a sweep: what is open must be so for all lines of each of its scans."""
    by_key = shipped_plan("quillon8-en-GB-symbolic")
    machine = by_key.layout.machine
    scan = replace(machine.scan, debounce=Debounce.WHOLE)
    whole = compile_plan(replace(by_key.layout, machine=replace(machine, scan=scan)))
    pace, before = pace_of(whole), pace_of(by_key)
    assert (pace.other_us, pace.shifted_us) == (before.other_us, before.shifted_us)
    assert pace.same_us == 100 * (whole.timing.close_ticks + whole.timing.open_ticks)
    assert before.same_us is not None
    assert pace.same_us - before.same_us == 100 * (whole.timing.open_ticks - by_key.timing.open_ticks) > 0


def test_what_a_layout_has_no_keys_for_has_no_pace() -> None:
    """Where all modifiers pass, as in a positional layout, no two keys ask for different ones."""
    pace = pace_of(shipped_plan("quillon8-en-US-positional"))
    assert pace.shifted_us is None
    assert pace.other_us is not None
