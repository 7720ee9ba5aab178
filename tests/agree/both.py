"""Plays one stream with both engines and finds the first difference."""

from __future__ import annotations

import ctypes
from collections.abc import Sequence
from pathlib import Path

from matrixmap.model.plan import Plan
from matrixmap.model.words import key_name
from matrixmap.press.table.make import make_table
from matrixmap.simulate.compiled import EVERY_FEATURE, ROW_BYTES, compile_library, load_library, shown_of
from matrixmap.simulate.engine import Result, Sizes
from matrixmap.simulate.tape import ModelTape, play_compiled, rows_of
from tests import tools
from tests.agree.streams import Stream

ROWS_A_EVENT = 200
"""More rows than a run of the longest time in these streams gives."""

NAMES = {"i": "start", "t": "paste", "g": "unplug", "x": "disconnect", "l": "layout", "c": "on command layout"}

FLAGS = (*tools.STRICT, "-O2", "-fPIC", "-shared")


class Known:
    """Some layouts of one machine as tables and in the model: the same for every compiler, and made once a process."""

    def __init__(self, plans: Sequence[Plan], sizes: Sizes) -> None:
        self.plans = plans
        self.tables = [make_table(plan).to_bytes() for plan in plans]
        self.model = ModelTape(plans, sizes)


_known: dict[object, Known] = {}


def known(plans: Sequence[Plan], sizes: Sizes) -> Known:
    """The tables and the model of these very plans."""
    key = (tuple(map(id, plans)), sizes)
    if key not in _known:
        _known[key] = Known(plans, sizes)
    return _known[key]


class Both:
    """Some layouts of one machine in the model and in a compiled library."""

    def __init__(self, plans: Sequence[Plan], sizes: Sizes, library: ctypes.CDLL) -> None:
        self.plans = plans
        self.sizes = sizes
        self.library = library
        self.tables = known(plans, sizes).tables
        self.model = known(plans, sizes).model

    def compiled_rows(self, stream: Stream, most: int | None = None) -> bytes:
        """The rows of the compiled runtime, at most so many."""
        most = len(stream) * ROWS_A_EVENT if most is None else most
        return play_compiled(self.library, self.tables, b"".join(stream), most)

    def model_rows(self, stream: Stream) -> bytes:
        """The rows of the model."""
        return self.model.play(b"".join(stream))

    def differ(self, stream: Stream) -> bool:
        """Whether the engines show anything different."""
        rows = self.model_rows(stream)
        return rows != self.compiled_rows(stream, len(rows) // ROW_BYTES + 1)

    def check(self, stream: Stream) -> int:
        """Asserts that both show the same after every event; how many events there were.

        A difference is reported with the shortest stream that was found for it.
        """
        assert not self.differ(stream), self.explain(self.shorten(stream))
        return len(stream)

    def shorten(self, stream: Stream) -> Stream:
        """A stream with fewer events that still makes a difference; the first event, the start, stays."""
        step = len(stream) // 2
        while step:
            at = 1
            while at < len(stream):
                shorter = stream[:at] + stream[at + step :]
                if self.differ(shorter):
                    stream = shorter
                else:
                    at += step
            step //= 2
        return stream

    def explain(self, stream: Stream) -> str:
        """The events of a stream, and the rows around the first difference."""
        model, compiled = rows_of(self.model_rows(stream)), rows_of(self.compiled_rows(stream))
        pairs = list(zip(model, compiled, strict=False))
        first = next((at for at, (left, right) in enumerate(pairs) if left != right), len(pairs))
        lines = [f"layout {self.plans[stream[0][1]].id}", *map(event_words, stream)]
        for at in range(max(first - 2, 0), min(first + 1, len(pairs))):
            lines += [f"{at} model {self.row_words(model[at])}", f"{at} C     {self.row_words(compiled[at])}"]
        return "\n".join(lines)

    def row_words(self, row: bytes) -> str:
        """A row for reading."""
        machine = self.plans[0].layout.machine
        shown = shown_of(row, machine)
        wait = int.from_bytes(row[1:3], "little")
        closed = ", ".join(key_name(machine, contact) for contact in sorted(shown.contacts)) or "nothing"
        return (
            f"{Result(row[0]).name.lower()}, next in {wait}, LEDs {shown.leds}, commands {row[4]} ({row[5]}), "
            f"overflows {shown.overflows}, refusals {shown.refusals}, {'idle' if shown.idle else 'busy'}: {closed}"
        )


def event_words(event: bytes) -> str:
    """An event of a tape for reading."""
    letter = chr(event[0])
    match letter:
        case "b":
            return f"report {event[3:].hex(' ')} on {event[1]}"
        case "u":
            down = [usage for usage in range(256) if event[2 + (usage >> 3)] >> (usage & 7) & 1]
            return f"bitmap {' '.join(f'{usage:02x}' for usage in down)} on {event[1]}"
        case "p":
            return f"pad {event[1]} {event[2]:08b}"
        case "r" | "j":
            return f"{'run' if letter == 'r' else 'jump'} {int.from_bytes(event[1:3], 'little')}"
    return f"{NAMES[letter]} {event[1]}"


def build(
    folder: Path,
    sizes: Sizes,
    compiler: str = "gcc",
    runtime: Path | None = None,
    flags: Sequence[str] = FLAGS,
) -> ctypes.CDLL:
    """The runtime in a shared library, compiled without a warning."""
    return load_library(compile_library(folder, sizes, tools.tool(compiler), flags, runtime, EVERY_FEATURE))
