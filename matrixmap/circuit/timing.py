"""The shortest times for which a contact must stay closed and open, from how the machine scans.

A contact is sampled once a period, always at the same moment of the sweep. Whatever the phase, a closed time of
n periods holds n samples (sampling theory); the clock of the machine may be slow by its tolerance. One sweep more
keeps a change that falls into a running sweep from being seen by some of its lines only.
"""

from __future__ import annotations

from fractions import Fraction

from matrixmap.model.machine import Scan
from matrixmap.model.plan import Timing

TICK_US = 100
"""Microseconds in one tick of the runtime's clock."""


def timing_of(scan: Scan) -> Timing:
    """Closed time, open time and lead of the modifiers, in ticks, rounded up."""
    slow = 1 + Fraction(str(scan.tolerance_percent)) / 100
    period, sweep = scan.period_us * slow, scan.sweep_us * slow
    return Timing(
        close_ticks=_ticks(scan.samples_down * period + sweep),
        open_ticks=_ticks(scan.samples_up * period + sweep),
        lead_ticks=_ticks(sweep),
    )


def _ticks(microseconds: Fraction) -> int:
    return -int(-microseconds // TICK_US)
