"""The shortest times for which contacts must stay closed and open, from how the machine scans.

A sweep reads the machine's n select lines within s = sweep * (n - 1) / n, and each line once a period T. A contact
that stays as it is for k * T is read so by k scans, whatever the phase; for less, some phase has fewer. Modifiers
presented s before a key and held for s after it are read in every sweep that reads the key. If as much time lies
between the opening of one key and the closing of another, no sweep reads keys of before and of after together.

The closed time is s longer than its scans take: when it ends, modifiers may follow the typist while the key is still
closed, and the sweep of its last scan must be over by then. An open time ends with nothing but the key itself.

A machine that compares whole scans counts equal scans of all contacts together, and each change of one begins the count
anew. Then scans count that read all lines between two changes: the open time, too, is s longer than its scans take, unless
one scan is enough, which has no equal to wait for. The closed time is so already, and a lead before it has passed since
the change before, so that the sweep of its first scan sees nothing else change. The runtime changes nothing in a closed
time, and begins open times anew with each change.

The machine's clock may be slow by its tolerance. The runtime counts in whole ticks of a clock that it reads in whole
ticks, so two changes may lie up to one tick less apart than it counts; and less by what lies between the fastest and the
slowest moment at which the driver of a board changes a contact.
"""

from __future__ import annotations

from fractions import Fraction

from matrixmap.model.machine import Debounce, Scan
from matrixmap.model.plan import Timing

TICK_US = 100
"""Microseconds in one tick of the runtime's clock."""

JITTER_US = TICK_US
"""Changes that are asked for lie at most this much closer together than the runtime counts."""


def timing_of(scan: Scan, lines: int, driver_us: float = 0.0) -> Timing:
    """Closed time, open time and lead of the modifiers, in ticks, rounded up, for that many select lines.

    `driver_us` is what changes at the contacts may lie closer together than they were asked for.
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
    """Ticks for which a machine surely looks at its controllers once; None where it does not say how often it looks."""
    if scan.poll_us is None:
        return None
    return _ticks(scan.poll_us * (1 + Fraction(str(scan.tolerance_percent)) / 100) + JITTER_US)


def _ticks(microseconds: Fraction) -> int:
    return -int(-microseconds // TICK_US)
