"""How long a microcontroller takes to follow a select line in software, as measured of mm_follow.h.

The figures are cycles of an AVR from the change of a select line to the last output port having changed: the worst of
`python -m tests.bench.bench_follow`, which runs the code of docs/firmware.md in a simulator and writes docs/figures.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from matrixmap.model.machine import Machine

AVR_MHZ = 16
"""A usual clock of AVR boards (common practice)."""

FOLLOW_CYCLES = {(8, 8): 166, (12, 8): 206, (16, 8): 250, (8, 16): 201, (12, 16): 297, (16, 16): 344}
"""(Select lines, sense lines) -> cycles at most, for machines of up to so many lines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Following:
    """What was measured for up to that many lines: cycles at most from the change of a select line to the outputs."""

    select: int
    sense: int
    cycles: int

    @property
    def us(self) -> float:
        """Microseconds at AVR_MHZ, rounded up to a tenth."""
        return ceil(self.cycles * 10 / AVR_MHZ) / 10


def following_of(machine: Machine) -> Following:
    """What was measured for the least numbers of lines that cover those of the machine."""
    covers = [
        (cycles, lines)
        for lines, cycles in FOLLOW_CYCLES.items()
        if lines[0] >= len(machine.select) and lines[1] >= len(machine.sense)
    ]
    cycles, (select, sense) = min(covers)
    return Following(select=select, sense=sense, cycles=cycles)
