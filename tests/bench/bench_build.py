"""What a build costs, and what comes out of it: python -m tests.bench.bench_build.

Times are the shortest of several runs of whole processes, by the clock and by the processor, and are given as ratios to a
bare import of typer and yaml, measured in turn with them. Sizes are bytes.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

from matrixmap.emit.tables.figures import Figures, figures_of
from tests import tools
from tests.emit.compiled import write_build
from tests.project import ROOT, RUN, shipped_ids, shipped_plan

AVR = ("-mmcu=atmega328p", "-std=c99", "-Os")
CORTEX = ("-mcpu=cortex-m0plus", "-mthumb", "-std=c99", "-Os")


@dataclass(frozen=True, slots=True, kw_only=True)
class Time:
    """Seconds that a process took: by the clock, and of the processor (user and system), which other programs disturb less."""

    clock: float
    processor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """The shortest times of whole processes."""

    bare: Time
    none: Time
    one: Time
    all: Time
    layouts: int

    @property
    def per_layout(self) -> Time:
        """The time of each layout beyond the first."""
        more = self.layouts - 1
        return Time(
            clock=(self.all.clock - self.one.clock) / more, processor=(self.all.processor - self.one.processor) / more
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """The runtime on one target: bytes of program, and of state for one machine of 8 x 8 and one keyboard."""

    target: str
    flash: int
    ram: int


def time_of(command: Sequence[str]) -> Time:
    """The time of one run."""
    begun = perf_counter()
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(command, cwd=ROOT, env=env, stdout=subprocess.DEVNULL) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, command
    return Time(clock=perf_counter() - begun, processor=used.ru_utime + used.ru_stime)


def measure_times(repeats: int) -> Times:
    """Times of the bare imports, of --version, of one layout and of all, taken in turn so that a busy spell meets all."""
    ids = shipped_ids()
    with tempfile.TemporaryDirectory() as out:
        build = [sys.executable, "-c", RUN, "build", "--quiet", "--out", out]
        commands = {
            "bare": [sys.executable, "-c", "import typer, yaml"],
            "none": [sys.executable, "-c", RUN, "--version"],
            "one": [*build, ids[0]],
            "all": [*build, *ids],
        }
        runs = [{name: time_of(command) for name, command in commands.items()} for _ in range(repeats + 1)][1:]
    best = {
        name: Time(clock=min(run[name].clock for run in runs), processor=min(run[name].processor for run in runs))
        for name in commands
    }
    return Times(layouts=len(ids), **best)


def measure_runtime(folder: Path, target: str, prefix: str, flags: Sequence[str]) -> Sizes:
    """Flash and RAM of mm_runtime.c alone."""
    made = folder / f"{prefix}.o"
    tools.run(tools.tool(f"{prefix}gcc"), *flags, "-c", folder / "mm_runtime.c", "-o", made)
    state = folder / "state.c"
    state.write_text('#include "mm_runtime.h"\nmm_state state;\n')
    tools.run(f"{prefix}gcc", *flags, "-fno-common", "-c", state, "-o", folder / f"{prefix}state.o")
    ram = sum(object_sizes(f"{prefix}size", folder / f"{prefix}state.o")[1:])
    return Sizes(target=target, flash=object_sizes(f"{prefix}size", made)[0], ram=ram)


def object_sizes(command: str, made: Path) -> tuple[int, int, int]:
    """Bytes of text, data and bss of an object."""
    text, data, bss = tools.run(tools.tool(command), made).stdout.splitlines()[1].split()[:3]
    return int(text), int(data), int(bss)


def runtime_sizes(folder: Path) -> list[Sizes]:
    """The runtime on AVR and Cortex-M0+, compiled in a folder that a build wrote."""
    return [
        measure_runtime(folder, "AVR (atmega328p)", "avr-", AVR),
        measure_runtime(folder, "Cortex-M0+", "arm-none-eabi-", CORTEX),
    ]


def table_figures() -> dict[str, Figures]:
    """The figures of each shipped layout."""
    return {id: figures_of(shipped_plan(id)) for id in shipped_ids()}


def main() -> None:
    """Prints the figures of tables, runtime and time."""
    print(f"{'layout':28} {'triggers':>8} {'strokes':>8} {'header':>8} {'table':>8} {'floor':>8} {'ratio':>6}")
    for id, row in table_figures().items():
        sizes = f"{row.header_bytes:6} B {row.table_bytes:6} B {row.floor_bytes:6.0f} B"
        print(f"{id:28} {row.triggers:8} {row.strokes:8} {sizes} {row.ratio:6.2f}")
    with tempfile.TemporaryDirectory() as place:
        folder = write_build(Path(place), [shipped_plan(id) for id in shipped_ids()])
        for size in runtime_sizes(folder):
            print(f"runtime on {size.target}: {size.flash} B of flash, {size.ram} B of RAM a machine")
    times = measure_times(repeats=7)
    bare = times.bare
    rows = {
        "import typer, yaml": bare,
        "matrixmap --version": times.none,
        "matrixmap build of one layout": times.one,
        f"matrixmap build of all {times.layouts}": times.all,
        "each layout more": times.per_layout,
    }
    for name, time in rows.items():
        clock = f"clock {time.clock * 1000:5.0f} ms {time.clock / bare.clock:5.2f} x"
        print(f"{name:30} {clock}   processor {time.processor * 1000:5.0f} ms {time.processor / bare.processor:5.2f} x")


if __name__ == "__main__":
    main()
