"""What a change of contacts costs on an AVR: python -m tests.bench.bench_board [--write].

The driver of the Ferrule runs in simavr with ports of an ATmega328P; each call of mm_board_show_masks is counted from entry to
return, at -Os, with a mm_board_write that is a call. `--write` puts the figures into docs/board.md, between the heading of the section and the next.
"""

from __future__ import annotations

import re
import sys
import tempfile
from pathlib import Path

from tests import tools
from tests.board.drivers import written
from tests.project import ROOT

PAGE = ROOT / "docs" / "board.md"
MHZ = 16
CASES = {"one contact closes": (0x0001, 0), "one opens and another closes": (0x0002, 0), "eight close": (0x00FE, 0x01)}
"""What is measured, in order: masks of select lines 0 and 1 that are shown one after the other."""

HOST = ROOT / "tests" / "agree" / "targets" / "avr_host.c"

FIRMWARE = """
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include "%(name)s.h"
void mm_board_write(uint8_t port, mm_board_bits mask, mm_board_bits bits)
{
    volatile uint8_t *at = port == MM_PORT_B ? &PORTB : port == MM_PORT_C ? &PORTC : &PORTD;
    *at = (uint8_t)((*at & (uint8_t)~mask) | bits);
}
mm_board_bits mm_board_read(uint8_t port) { (void)port; return 0; }
void mm_board_wait(uint16_t nanoseconds) { (void)nanoseconds; }
uint16_t mm_select_mask(const mm_state *state, uint8_t select) { (void)state; (void)select; return 0; }
uint8_t mm_direct_mask(const mm_state *state) { (void)state; return 0; }
static mm_board board;
static uint16_t select[MM_SELECT_MAX];
static void show(uint16_t first, uint16_t second)
{
    select[0] = first; select[1] = second;
    mm_board_show_masks(&board, select, 0);
}
int main(void)
{
    mm_board_begin(&board);
    %(calls)s
    cli();
    sleep_mode();
    return 0;
}
"""


def measured() -> dict[str, int]:
    """Case -> cycles from entry to return."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        name = written("ferrule", folder)
        calls = " ".join(f"show({first}, {second});" for first, second in CASES.values())
        (folder / "bench.c").write_text(FIRMWARE % {"name": name, "calls": calls}, encoding="utf-8")
        elf = folder / "bench.elf"
        flags = ("-mmcu=atmega328p", "-std=gnu99", "-Os", f"-I{folder}")
        tools.run(tools.tool("avr-gcc"), *flags, folder / "bench.c", folder / f"{name}.c", "-o", elf)
        tools.run("gcc", "-O2", "-o", folder / "host", HOST, "-lsimavr", "-lelf")
        listed = tools.run(tools.tool("avr-nm"), elf).stdout
        entry = re.search(r"^([0-9a-f]+) T mm_board_show_masks$", listed, re.MULTILINE)
        assert entry is not None
        done = tools.run(folder / "host", elf, folder / "rows.bin", f"0x{entry[1]}")
        cycles = [int(line.split()[2]) for line in done.stderr.splitlines() if line.startswith("call ")]
    assert len(cycles) == len(CASES), done.stdout + done.stderr
    return dict(zip(CASES, cycles, strict=True))


def table() -> str:
    """The figures as rows of the page."""
    rows = ["| Ferrule, ATmega328P at 16 MHz | cycles | microseconds |", "| --- | ---: | ---: |"]
    rows += [f"| {case} | {cycles:,} | {cycles / MHZ:.0f} |" for case, cycles in measured().items()]
    return "\n".join(rows)


def main() -> None:
    """Print the figures, or keep them on the page."""
    text = table()
    if "--write" in sys.argv:
        page = PAGE.read_text(encoding="utf-8")
        PAGE.write_text(
            re.sub(r"\| Ferrule, ATmega328P.*?\n\n", lambda _: f"{text}\n\n", page, flags=re.DOTALL), encoding="utf-8"
        )
    print(text)


if __name__ == "__main__":
    main()
