"""What a change of contacts costs on an AVR and a Cortex-M0+: python -m tests.bench.bench_board [--write].

The driver of the Ferrule runs in simavr with ports of an ATmega328P, at -Os, with the mm_board_write of docs/firmware.md, which is a
call; tests/board/avr_writes.c tells when each port is written. The drivers of the Locket and the Pommel run in qemu, whose log of instructions is
counted up to each call of mm_board_write. A moment is counted from entry of mm_board_show to the write that changes a contact; the
spread is what lies between the fastest of all and the slowest of those where so many contacts change. `--write` puts the figures
into docs/board.md; the `driver` of the adapters' files states them, and tests/board/test_driver_time.py holds the two together.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from tests import tools
from tests.bench import executed
from tests.board.drivers import written
from tests.project import ROOT

PAGE = ROOT / "docs" / "board.md"
MHZ = {"ferrule": 16, "locket": 125, "pommel": 125}
"""Of an ATmega328P, and of an RP2040 as its board sets it (pico-sdk, from memory)."""

CYCLES = {"ferrule": 1, "locket": 3, "pommel": 3}
"""Cycles of what is counted: simavr counts cycles; an instruction of a Cortex-M0+ takes 1 to 3 but for those that move several
registers (Cortex-M0+ Technical Reference Manual, instruction set summary; from memory)."""

MOST = {"ferrule": 12, "locket": 3, "pommel": 3}
"""How many contacts change together at most in what is measured: those behind a chain all change at one write, those that follow
select lines all at once when mm_board_show is done."""

SEED = 20

Shown = tuple[int, int]
"""The closed crosspoints, bit n for contact n, and the direct lines."""

FIRMWARE = """
#include "%(name)s.h"
static const uint8_t *shown;
uint16_t mm_select_mask(const mm_state *state, uint8_t select) { (void)state; return select < 8u ? MM_READ(shown + select) : 0u; }
uint8_t mm_direct_mask(const mm_state *state) { (void)state; return MM_READ(shown + 8); }
static mm_board board;
__attribute__((noinline)) void shown_all(void) { __asm__ volatile("" ::: "memory"); }
static const uint8_t cases[%(count)d][9] MM_TABLE = {%(cases)s};
%(own)s
int main(void)
{
    uint16_t n;
    mm_board_begin(&board);
    for (n = 0; n < %(count)du; n++) {
        shown = cases[n];
        mm_board_show(&board, 0);
        shown_all();
    }
    %(end)s
    return 0;
}
"""

AVR = """
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
static volatile uint8_t *const ports[3] = {&PORTB, &PORTC, &PORTD};
void mm_board_write(uint8_t port, mm_board_bits mask, mm_board_bits bits)
{
    *ports[port] = (uint8_t)((*ports[port] & (uint8_t)~mask) | bits);
}
mm_board_bits mm_board_read(uint8_t port) { return *ports[port]; }
void mm_board_wait(uint16_t nanoseconds) { (void)nanoseconds; }
"""

CORTEX = """
#include "platform.h"
static volatile uint32_t out;
void mm_board_write(uint8_t port, mm_board_bits mask, mm_board_bits bits) { (void)port; out = (out & ~mask) | bits; }
mm_board_bits mm_board_read(uint8_t port) { (void)port; return out; }
void mm_board_wait(uint16_t nanoseconds) { (void)nanoseconds; }
"""

DESK = """
#include <stdio.h>
void mm_board_write(uint8_t port, mm_board_bits mask, mm_board_bits bits)
{
    printf("%u %u %u\\n", port, (unsigned)mask, (unsigned)bits);
}
mm_board_bits mm_board_read(uint8_t port) { (void)port; return 0; }
void mm_board_wait(uint16_t nanoseconds) { (void)nanoseconds; }
#define mm_board_show(board, state) (printf("show\\n"), mm_board_show(board, state))
"""
"""The same on the desk, which tells what each write was."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Moments of one board: the fastest of all, and (how many contacts change, how many of them open) -> the slowest."""

    board: str
    fastest: float
    slowest: Mapping[int, float]

    def spread(self, changes: int) -> float:
        """Microseconds between the fastest moment and the slowest where at most so many contacts change."""
        return max(at for count, at in self.slowest.items() if count <= changes) - self.fastest


def cases(most: int) -> list[Shown]:
    """What is shown one after the other: from each to the next up to `most` contacts change."""
    draw = random.Random(SEED)
    found: list[Shown] = [(0, 0)]
    for count in range(1, most + 1):
        for opens in sorted({0, count // 2, count}):
            # One of each line at its last sense line, those of one line, and some drawn; the direct line too.
            ends = [8 * (7 - at % 8) + 7 - at // 8 for at in range(count)]
            for places in (ends, list(range(count)), *(draw.sample(range(64), count) for _ in range(6))):
                before = sum(1 << place for place in places[:opens])
                after = sum(1 << place for place in places[opens:])
                found += [(0, 0), (before, 0), (after, 0)]
        found += [(0, 0), (0, 1)]
    return found


def _rows(shown: list[Shown]) -> str:
    lines = ((*(crosspoints >> 8 * at & 0xFF for at in range(8)), direct) for crosspoints, direct in shown)
    return ", ".join("{" + ", ".join(map(str, line)) + "}" for line in lines)


def _sources(board: str, folder: Path, own: str, end: str) -> tuple[str, list[Shown]]:
    name = written(board, folder)
    shown = cases(MOST[board])
    text = FIRMWARE % {"name": name, "count": len(shown), "cases": _rows(shown), "own": own, "end": end}
    (folder / "bench.c").write_text(text, encoding="utf-8")
    return name, shown


def _ferrule(folder: Path) -> tuple[list[Shown], list[list[float]]]:
    """What is shown, and for each of it the moments at which contacts change, in cycles."""
    name, shown = _sources("ferrule", folder, AVR, "cli(); sleep_mode();")
    elf = folder / "bench.elf"
    flags = ("-mmcu=atmega328p", "-std=gnu99", "-Os", f"-I{folder}")
    tools.run(tools.tool("avr-gcc"), *flags, folder / "bench.c", folder / f"{name}.c", "-o", elf)
    tools.run("gcc", "-O2", "-o", folder / "host", ROOT / "tests/board/avr_writes.c", "-lsimavr", "-lelf")
    listed = tools.run(tools.tool("avr-nm"), elf).stdout
    entry = re.search(r"^([0-9a-f]+) T mm_board_show$", listed, re.MULTILINE)
    assert entry is not None
    moments: list[list[float]] = []
    was = {"B": 0, "D": 0}
    for line in tools.run(folder / "host", elf, f"0x{entry[1]}").stdout.splitlines():
        words = line.split()
        if words[0] == "call":
            moments.append([])
        elif words[0] in was:
            value = int(words[1])
            changed = value ^ was[words[0]]
            # The gate of the direct line at PB0, and the rising edge of the strobe at PD6.
            if (words[0] == "B" and changed & 1) or (words[0] == "D" and changed & value & 0x40):
                moments[-1].append(float(words[2]))
            was[words[0]] = value
    return shown, moments


def _on_cortex(board: str, folder: Path) -> tuple[list[Shown], list[list[float]]]:
    """The same in instructions up to the calls of mm_board_write that pulse the latch or work the direct line, or to the end."""
    name, shown = _sources(board, folder, DESK, "")
    tools.run("gcc", "-w", f"-I{folder}", folder / "bench.c", folder / f"{name}.c", "-o", folder / "desk")
    writes: list[list[tuple[int, int]]] = []
    for line in tools.run(folder / "desk").stdout.splitlines():
        if line == "show":
            writes.append([])
        elif writes:
            _, mask, bits = map(int, line.split())
            writes[-1].append((mask, bits))
    _sources(board, folder, CORTEX, "")
    elf, symbols = executed.cortex_firmware(folder, name)
    latch, direct = {"locket": (1 << 4, 1 << 7), "pommel": (0, 1 << 18)}[board]
    moments = []
    before = 0
    for own, (*at, end), (closed, _) in zip(writes, _counted(elf, symbols), shown, strict=True):
        assert len(own) == len(at)
        found = [when for (mask, bits), when in zip(own, at, strict=True) if mask & direct or mask & bits & latch]
        moments.append(found + [end] * (board == "pommel" and closed != before))
        before = closed
    return shown, moments


def _counted(elf: Path, at: Mapping[str, int]) -> list[list[float]]:
    """Instructions from each entry of mm_board_show to its calls of mm_board_write, and to its end, by qemu's log."""
    runs: list[list[float]] = []
    count = 0
    for here in executed.executed(executed.CORTEX, elf):
        count += 1
        if here == at["mm_board_show"]:
            runs.append([])
            count = 0
        elif here in (at["mm_board_write"], at["shown_all"]) and runs:
            runs[-1].append(float(count))
    return runs


def measured(board: str) -> Measured:
    """The moments of a board in microseconds."""
    with tempfile.TemporaryDirectory() as made:
        shown, moments = _ferrule(Path(made)) if board == "ferrule" else _on_cortex(board, Path(made))
    assert len(shown) == len(moments)
    us = CYCLES[board] / MHZ[board]
    slowest: dict[int, float] = {}
    fastest: list[float] = []
    for (before, after), found in zip(pairwise([(0, 0), *shown]), moments, strict=True):
        changes = (before[0] ^ after[0]).bit_count() + (before[1] ^ after[1]).bit_count()
        assert bool(found) == bool(changes)
        if found:
            fastest.append(found[0] * us)
            slowest[changes] = max(slowest.get(changes, 0.0), found[-1] * us)
    return Measured(board=board, fastest=min(fastest), slowest=dict(sorted(slowest.items())))


TITLES = {
    "ferrule": "Ferrule, ATmega328P at 16 MHz",
    "locket": "Locket, RP2040 at 125 MHz, 3 cycles an instruction",
    "pommel": "Pommel, the same",
}


def table() -> str:
    """The figures as rows of the page."""
    rows = [
        "| microseconds from `mm_board_show` to the change | fastest | slowest of 1 | of 2 | of 8 | spread for 8 |",
        "| --- | ---: | ---: | ---: | ---: | ---: |",
    ]
    for board, title in TITLES.items():
        found = measured(board)
        slowest = [max(at for count, at in found.slowest.items() if count <= most) for most in (1, 2, 8)]
        cells = [found.fastest, *slowest, found.spread(8)]
        rows.append(f"| {title} | " + " | ".join(f"{cell:.1f}" for cell in cells) + " |")
    return "\n".join(rows)


def main() -> None:
    """Print the figures, or keep them on the page."""
    text = table()
    if "--write" in sys.argv:
        page = PAGE.read_text(encoding="utf-8")
        pattern = r"\| microseconds from `mm_board_show`.*?\n\n"
        PAGE.write_text(re.sub(pattern, lambda _: f"{text}\n\n", page, flags=re.DOTALL), encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
