"""The shortest times for which contacts must stay closed and open, from how the machine scans.

A sweep reads the machine's n select lines within s = sweep * (n - 1) / n, and each line once a period T. If a contact
stays unchanged for k * T, k scans read it so, whatever the phase; for a shorter time, in some phase fewer scans do.
Modifiers that are presented s before a key and held for s after it are read in every sweep that reads the key. If s
passes between the opening of one key and the closing of another, no sweep reads both keys.

The closed time is s longer than its scans take. When it ends, modifiers may follow the typist while the key is still
closed, and by then the sweep of its last scan must be over. When an open time ends, only the key itself changes.

A machine that compares whole scans counts equal scans of all contacts together, and each change of one contact restarts
the count. Then only scans that read all lines between two changes count. So the open time, too, is s longer than its
scans take, unless one scan is enough, because that needs no equal scan. The closed time already is s longer. When it
begins, a lead has passed since the change before, so the sweep of its first scan sees nothing else change. The runtime
changes nothing in a closed time, and restarts open times with each change.

The machine's clock may be slow by its tolerance. The runtime counts in whole ticks of a clock that it reads in whole
ticks. So the time between two changes may be up to one tick shorter than it counts. It may be shorter still by the
difference between the fastest and the slowest moment at which the board's driver changes a contact.
"""

from __future__ import annotations

from fractions import Fraction

from matrixmap.model.machine import Debounce, Scan
from matrixmap.model.plan import Timing

TICK_US = 100
"""Microseconds in one tick of the runtime's clock."""

JITTER_US = TICK_US
"""Two changes are at most this much closer together than the runtime counts."""


def timing_of(scan: Scan, lines: int, driver_us: float = 0.0) -> Timing:
    """Closed time, open time and lead of the modifiers, in ticks, rounded up, for this many select lines.

    `driver_us` is how much closer together changes at the contacts may be than they were asked for.
    """
    slow = 1 + Fraction(str(scan.tolerance_percent)) / 100
    period = scan.period_us * slow
    span = scan.longest_sweep_us * slow * (lines - 1) / lines
    whole = scan.debounce is Debounce.WHOLE and scan.samples_up > 1
    jitter = JITTER_US + Fraction(str(driver_us))
    return Timing(
        close_ticks=_ticks(scan.samples_down * period + span + jitter),
        open_ticks=_ticks(scan.samples_up * period + span * whole + jitter),
        lead_ticks=_ticks(span + jitter),
        driver_us=driver_us,
    )


def poll_ticks(scan: Scan) -> int | None:
    """Ticks in which a machine surely polls its controllers once; None if its file does not give the poll time."""
    if scan.poll_us is None:
        return None
    return _ticks(scan.poll_us * (1 + Fraction(str(scan.tolerance_percent)) / 100) + JITTER_US)


def _ticks(microseconds: Fraction) -> int:
    return -int(-microseconds // TICK_US)
