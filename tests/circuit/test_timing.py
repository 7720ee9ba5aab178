"""Times of contacts, worked out by hand from how a machine scans."""

from __future__ import annotations

from dataclasses import replace

from matrixmap.circuit.timing import timing_of
from matrixmap.model.machine import Debounce, Scan

BY_HAND = Scan(
    period_us=14000,
    sweep_us=440,
    samples_down=2,
    samples_up=2,
    tolerance_percent=2,
    rollover=2,
    strobe_to_read_us=None,
)


def test_times_by_hand() -> None:
    """Two scans of 14 ms and 2 %, a sweep of 0.44 ms and 2 % over seven of eight lines, a tick of 0.1 ms for jitter.

    Closed: 2 * 14.28 + 0.3927 + 0.1 = 29.0527 ms, 291 ticks. Open: 28.56 + 0.1 = 28.66 ms, 287 ticks. Lead: 0.4927 ms, 5.
    """
    times = timing_of(BY_HAND, 8)
    assert (times.close_ticks, times.open_ticks, times.lead_ticks) == (291, 287, 5)


def test_times_by_hand_where_whole_scans_are_compared() -> None:
    """The open time has the sweep in it as the closed time has: 28.56 + 0.3927 + 0.1 = 29.0527 ms, 291 ticks."""
    times = timing_of(replace(BY_HAND, debounce=Debounce.WHOLE), 8)
    assert (times.close_ticks, times.open_ticks, times.lead_ticks) == (291, 291, 5)


def test_a_sweep_that_is_not_stated_may_take_the_whole_period() -> None:
    """14.28 ms over seven of eight lines is 12.495 ms: closed 28.56 + 12.495 + 0.1 ms, lead 12.595 ms."""
    times = timing_of(replace(BY_HAND, sweep_us=None), 8)
    assert (times.close_ticks, times.open_ticks, times.lead_ticks) == (412, 287, 126)
    assert times == timing_of(replace(BY_HAND, sweep_us=14000), 8)


def test_a_time_that_is_whole_ticks_already_is_not_rounded_up() -> None:
    """One scan of 9.9 ms without tolerance or sweep, and a tick: 10.0 ms, 100 ticks."""
    scan = Scan(
        period_us=9900,
        sweep_us=0,
        samples_down=1,
        samples_up=1,
        tolerance_percent=0,
        rollover=None,
        strobe_to_read_us=None,
    )
    assert timing_of(scan, 1).close_ticks == 100
