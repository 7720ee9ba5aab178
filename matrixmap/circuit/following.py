"""How long a microcontroller takes to follow a select line in software, as measured with mm_follow.h.

The figures are cycles of an AVR from the change of a select line to the change of the last output port. They are the
worst of `python -m tests.bench.bench_follow`, which runs the code of docs/firmware.md in a simulator and writes
docs/figures.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from matrixmap.model.machine import Machine

AVR_MHZ = 16
"""A usual clock of AVR boards (common practice)."""

FOLLOW_CYCLES = {(8, 8): 176, (12, 8): 220, (16, 8): 258, (8, 16): 215, (12, 16): 302, (16, 16): 362}
"""(Select lines, sense lines) -> the worst cycles found, for machines with at most these lines."""

MARGIN_CYCLES = 4
"""Added to what was found: not every moment of loop and timer is tried, and other draws found up to 2 more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Following:
    """What was measured for at most these lines: cycles from the change of a select line to the outputs."""

    select: int
    sense: int
    cycles: int

    @property
    def us(self) -> float:
        """Microseconds at AVR_MHZ with the margin, rounded up to a tenth."""
        return ceil((self.cycles + MARGIN_CYCLES) * 10 / AVR_MHZ) / 10


def following_of(machine: Machine) -> Following:
    """What was measured for the smallest numbers of lines that cover those of the machine."""
    covers = [
        (cycles, lines)
        for lines, cycles in FOLLOW_CYCLES.items()
        if lines[0] >= len(machine.select) and lines[1] >= len(machine.sense)
    ]
    cycles, (select, sense) = min(covers)
    return Following(select=select, sense=sense, cycles=cycles)
