"""How soon the sense lines of a board are right after a strobe: python -m tests.bench.bench_board_follow [--write].

On an AVR the routine that is written for tests/board/avr-pins.yaml runs in simavr under the host of bench_follow, which changes the
select lines at any moment and looks for wrong sense lines. On a Cortex-M0+ the routine of the Pommel runs in qemu for every set of
select lines; an instruction is taken for 3 cycles, and its worst case is put together: the loop compares and writes, the interrupt
of one change runs as a whole, then that of the next. `--write` puts the figures into docs/board.md.
"""

from __future__ import annotations

import re
import sys
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from matrixmap.board.rules.run import BoardChecked, check_board
from matrixmap.emit.boards.board_c import board_files, driver_files
from matrixmap.emit.tables.build import MADE_BY
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from tests import tools
from tests.agree.processors import write_tables
from tests.bench import executed
from tests.bench.bench_follow import FLAG_CYCLES, LAYOUT, RAM, RESPONSE_CYCLES, TARGETS, VECTOR_BYTES
from tests.board.drivers import written
from tests.project import ROOT, shipped_plan
from tests.source.memory import MemoryFolder

PAGE = ROOT / "docs" / "board.md"
AVR, AVR_MHZ = "atmega328p", 16
CORTEX_MHZ, CORTEX_CYCLES = 125, 3
ENTRY_CYCLES = 16
"""From the interrupt's request to its first instruction, and as many to leave it: Cortex-M0+ Technical Reference Manual, exceptions;
from memory, rounded up."""

AVR_PINS = ROOT / "tests" / "board" / "avr-pins.yaml"

WITH_PADS = ", with pads"

CORTEX = """
#include <stdint.h>
static volatile struct { uint32_t in, out, toggle; } io;
#define MM_BOARD_READ(port) io.in
#define MM_BOARD_WRITE(port, mask, bits) (io.toggle = (io.out ^ (bits)) & (mask))
#include "mm_board_pommel_quillon8.h"
#include "platform.h"
static mm_board board;
void mm_board_write(uint8_t port, mm_board_bits mask, mm_board_bits bits) { (void)port; io.out = (io.out & ~mask) | bits; }
mm_board_bits mm_board_read(uint8_t port) { (void)port; return io.in; }
void mm_board_wait(uint16_t nanoseconds) { (void)nanoseconds; }
uint16_t mm_select_mask(const mm_state *state, uint8_t select) { (void)state; return (uint16_t)(1u << select); }
uint8_t mm_direct_mask(const mm_state *state) { (void)state; return 0; }
__attribute__((noinline)) void answer(void) { mm_board_follow_inline(&board); }
__attribute__((noinline)) void answered(void) { __asm__ volatile("" ::: "memory"); }
int main(void)
{
    uint32_t lines;
    mm_board_begin(&board);
    mm_board_show(&board, 0);
    for (lines = 0; lines < 256u; lines++) {
        io.in = lines << 2;
        answer();
        answered();
    }
    return 0;
}
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """Worst cycles from the change of a select line to the sense lines: with time between the changes, and at any moment."""

    title: str
    mhz: int
    alone: int
    close: int

    @property
    def us(self) -> float:
        """Microseconds of the worst of both."""
        return max(self.alone, self.close) / self.mhz


def avr_board() -> BoardChecked:
    """The board of the tests whose pins are on the lines."""
    project = Project([MemoryFolder({("adapter", "avr-pins"): AVR_PINS.read_bytes()}), shipped_folder()], ())
    adapter, machine = project.adapter("avr-pins"), project.machine("quillon8")
    assert adapter is not None
    assert adapter.value is not None
    assert machine is not None
    assert machine.value is not None
    return check_board(adapter.value, machine.value, adapter.value.fits[0])


def on_avr(folder: Path, edits: Iterable[tuple[str, str]] = (), pads: bool = False) -> Answered:
    """The AVR, after edits of the written C, if asked for with lines that pads pull. AssertionError, with what was shown, if a sense line was ever wrong."""
    write_tables(folder, [shipped_plan(LAYOUT)])
    board = avr_board()
    assert board.traced is not None
    texts = {**dict(driver_files()), **board_files(board.traced, MADE_BY)}
    for before, after in edits:
        (name,) = (name for name, text in texts.items() if before in text)
        texts[name] = texts[name].replace(before, after)
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    tools.tool("simavr")
    tools.run("gcc", "-O2", TARGETS / "avr_follow_host.c", "-o", folder / "host", "-lsimavr", "-lelf")
    firmware = folder / "firmware.elf"
    flags = (
        f"-mmcu={AVR}",
        *tools.STRICT,
        "-Os",
        "-DMM_SELECT_MAX=8",
        "-DMM_SENSE_MAX=8",
        f"-DMM_PADS={int(pads)}",
        f"-I{folder}",
    )
    sources = (
        ROOT / "tests/board/avr_follow_board.c",
        *(folder / f"{name}.c" for name in ("mm_board_avr-pins_quillon8", "mm_runtime", LAYOUT)),
    )
    tools.run(tools.tool("avr-gcc"), *flags, "-o", firmware, *sources)
    names = {
        line.split()[-1]: line.split()[0] for line in tools.run(tools.tool("avr-nm"), firmware).stdout.splitlines()
    }
    numbers = (int(names["which"], 16) - RAM, 8, 8, VECTOR_BYTES[AVR], RESPONSE_CYCLES, 1)
    shown = tools.run(folder / "host", firmware, AVR, *(str(number) for number in numbers)).stdout
    worst = {
        name: int(most) + FLAG_CYCLES
        for name, most in re.findall(r"^(alone|close) \d+ \d+ (\d+)$", shown, re.MULTILINE)
    }
    title = f"pins of an ATmega328P at 16 MHz{WITH_PADS * pads}"
    return Answered(title=title, mhz=AVR_MHZ, alone=worst["alone"], close=worst["close"])


def on_cortex(folder: Path) -> Answered:
    """The Pommel."""
    name = written("pommel", folder)
    (folder / "bench.c").write_text(CORTEX, encoding="utf-8")
    elf, at = executed.cortex_firmware(folder, name)
    counts, count = [], 0
    for here in executed.executed(executed.CORTEX, elf):
        count = 0 if here == at["answer"] else count + 1
        if here == at["answered"]:
            counts.append(count)
    assert len(counts) == 256
    routine = max(counts) * CORTEX_CYCLES
    alone = routine + ENTRY_CYCLES + routine
    return Answered(
        title="Pommel, RP2040 at 125 MHz, 3 cycles an instruction",
        mhz=CORTEX_MHZ,
        alone=alone,
        close=alone + ENTRY_CYCLES + ENTRY_CYCLES + routine,
    )


@cache
def measured() -> tuple[Answered, Answered]:
    """The AVR and the Pommel, measured once."""
    with tempfile.TemporaryDirectory() as one, tempfile.TemporaryDirectory() as other:
        return on_avr(Path(one)), on_cortex(Path(other))


def table() -> str:
    """The figures as rows of the page."""
    rows = [
        "| cycles until the sense lines are right, at most | alone | close | microseconds |",
        "| --- | ---: | ---: | ---: |",
    ]
    rows += [f"| {each.title} | {each.alone} | {each.close} | {each.us:.1f} |" for each in measured()]
    return "\n".join(rows)


def main() -> None:
    """Print the figures, or keep them on the page."""
    text = table()
    if "--write" in sys.argv:
        page = PAGE.read_text(encoding="utf-8")
        pattern = r"\| cycles until the sense lines are right.*?\n\n"
        PAGE.write_text(re.sub(pattern, lambda _: f"{text}\n\n", page, flags=re.DOTALL), encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
