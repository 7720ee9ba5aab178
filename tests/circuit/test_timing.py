"""Times of contacts, worked out by hand from how a machine scans."""

from __future__ import annotations

from matrixmap.circuit.timing import timing_of
from matrixmap.model.machine import Scan


def test_times_by_hand() -> None:
    """Two scans of 14 ms and 2 %, a sweep of 0.44 ms and 2 % over seven of eight lines, a tick of 0.1 ms for jitter.

    Closed: 2 * 14.28 + 0.3927 + 0.1 = 29.0527 ms, 291 ticks. Open: 28.56 + 0.1 = 28.66 ms, 287 ticks. Lead: 0.4927 ms, 5.
    """
    scan = Scan(
        period_us=14000,
        sweep_us=440,
        samples_down=2,
        samples_up=2,
        tolerance_percent=2,
        rollover=2,
        strobe_to_read_us=None,
    )
    times = timing_of(scan, 8)
    assert (times.close_ticks, times.open_ticks, times.lead_ticks) == (291, 287, 5)


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
