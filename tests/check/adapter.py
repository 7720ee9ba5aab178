"""The compiled C runtime with a keyboard before it: key events in, closed contacts out."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from matrixmap.model.plan import Plan
from matrixmap.model.witness import Event
from matrixmap.press.table.format import with_checksum
from matrixmap.press.table.make import make_table
from matrixmap.simulate.compiled import EVERY_FEATURE, Compiled, compile_library, load_library
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER, Shown, Sizes

FLAGS, GUARD, RESUME, ROLLOVER, NO_ROLLOVER = 9, 0x02, 0x08, 10, 255
"""Where a table says whether the guard is on, and the rollover (mm_runtime.h, THE TABLE)."""


@cache
def _library():
    folder = tempfile.mkdtemp(prefix="adapter-")
    return load_library(compile_library(Path(folder), Sizes(), features=EVERY_FEATURE))


class Adapter:
    """One plan's table on the compiled runtime. Without `limits` its guard is off, it has no rollover, and no key comes back."""

    def __init__(self, plan: Plan, limits: bool = True) -> None:
        table = bytearray(make_table(plan).to_bytes())
        if not limits:
            table[FLAGS] &= ~(GUARD | RESUME) & 0xFF
            table[ROLLOVER] = NO_ROLLOVER
        self.engine = Compiled(_library(), plan.layout.machine, [with_checksum(bytes(table[:-2]))])

    def play(self, events: Iterable[Event]) -> Shown:
        """Carries events out from the start, each in a report of its own, and lets all times pass after each."""
        engine = self.engine
        engine.library.mm_begin(engine.state, engine.tables[0], len(engine.tables[0]))
        bitmap, time = bytearray(32), 0
        for down, usage in events:
            if down:
                bitmap[usage >> 3] |= 1 << (usage & 7)
            else:
                bitmap[usage >> 3] &= ~(1 << (usage & 7))
            engine.usages(0, bytes(bitmap))
            while (wait := engine.advance(time)) != NEVER:
                time = (time + wait) % CLOCK_TICKS
        return engine.shown()
