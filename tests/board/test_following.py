"""Boards whose contacts follow the select lines: the written routine answers both edges in time, and is never torn."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from matrixmap.board.closers import Closers, Line
from matrixmap.circuit.following import AVR_MHZ, MARGIN_CYCLES
from matrixmap.emit.boards.follow_c import follow_lines
from tests import tools
from tests.bench.bench_board_follow import avr_board, measured, on_avr, table
from tests.board.boards import checked
from tests.project import ROOT
from tests.shipped import some_of

FAULTS = {
    "the set that counts is written": (
        "uint8_t set = board->set == 0u ? (uint8_t)MM_BOARD_SET : 0u;",
        "uint8_t set = board->set;",
    ),
    "a line that is not looked at": ("    if ((lines0 & 0x20u) == 0u) {", "    if (false) {"),
    "a loop that does not compare": ("if ((mm_board_bits)(MM_BOARD_READ(MM_PORT_D) & 0xFFu) == lines0) {", "{"),
    "masks that stay": (
        "        low[at] = (mm_board_low)select[at];",
        "        low[at] = (mm_board_low)(low[at] | select[at]);",
    ),
}
"""What is wrong -> an edit of the written C that makes it so."""


def test_the_board_of_the_tests_is_sound() -> None:
    """The board that the figures are measured on has no finding, and its sense lines lie in two ports."""
    board = avr_board()
    assert board.findings == ()
    assert board.traced is not None
    assert board.traced.how == "follows-select"


def test_the_page_has_the_cycles_as_measured() -> None:
    """The cycles of docs/board.md are those of the routines in the simulators; no sense line is ever wrong meanwhile."""
    assert table() in (ROOT / "docs" / "board.md").read_text(encoding="utf-8")


@pytest.mark.campaign
def test_the_page_has_the_cycles_with_pads(tmp_path: Path) -> None:
    """The sense lines that pads pull cost what docs/board.md says, and none is ever wrong meanwhile."""
    found = on_avr(tmp_path, pads=True)
    page = (ROOT / "docs" / "board.md").read_text(encoding="utf-8")
    assert f"takes {max(found.alone, found.close)} cycles at most, where changes are close" in page


def test_the_demo_is_answered_in_time() -> None:
    """On an AVR and a Cortex-M0+ the sense lines are right before the demo's machine reads; the Pommel says what was measured."""
    time = avr_board().machine.scan.strobe_to_read_us
    assert time is not None
    avr, arm = measured()
    assert avr.us + MARGIN_CYCLES / AVR_MHZ < 12 < time
    driver = checked("pommel").adapter.driver
    assert driver is not None
    assert driver.follow_us is not None
    assert arm.us <= driver.follow_us <= arm.us * 31 / 30


@pytest.mark.parametrize("what", some_of(FAULTS, "following", 2))
def test_a_wrong_routine_is_noticed(what: str, tmp_path: Path) -> None:
    """Masks that are torn, a line that is not looked at, a loop that does not compare, masks that stay: each is caught."""
    with pytest.raises(AssertionError, match=r"(torn|overwritten|stale|never shown): strobed"):
        on_avr(tmp_path, [FAULTS[what]])


ANY_PINS = """
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#define MM_FOLLOW_INLINE static inline
enum { MM_PORT_A, MM_PORT_B, MM_PORT_C };
typedef uint16_t mm_board_bits;
typedef uint8_t mm_board_low;
typedef struct { mm_board_low low[16]; uint8_t set; } mm_board;
static uint16_t in[3], out[3];
#define MM_BOARD_READ(port) in[port]
static void put(int port, uint16_t mask, uint16_t bits)
{
    if ((bits & ~mask) != 0) exit(1);
    out[port] = (uint16_t)((out[port] & ~mask) | bits);
}
#define MM_BOARD_WRITE(port, mask, bits) put(port, mask, bits)
#define MM_BOARD_INTERRUPTS_OFF() (void)0
#define MM_BOARD_INTERRUPTS_ON() (void)0
%(routine)s
static const int select[8][2] = {%(select)s}, sense[8][2] = {%(sense)s};
int main(void)
{
    static mm_board board;
    int strobed, n, loop;
    for (n = 0; n < 16; n++) board.low[n] = (mm_board_low)(n * 37 + 11);
    for (strobed = 0; strobed < 1024; strobed++) {
        uint8_t want = 0;
        board.set = strobed & 256 ? 8 : 0;
        loop = strobed & 512;
        for (n = 0; n < 3; n++) in[n] = out[n] = 0xFFFF;
        for (n = 0; n < 8; n++) {
            if (strobed >> n & 1) {
                in[select[n][0]] &= (uint16_t)~(1u << select[n][1]);
                want |= board.low[board.set + n];
            }
        }
        if (loop) mm_board_follow_in_loop(&board); else mm_board_follow_inline(&board);
        for (n = 0; n < 8; n++) {
            if ((out[sense[n][0]] >> sense[n][1] & 1) == (want >> n & 1)) return 2;
            out[sense[n][0]] |= (uint16_t)(1u << sense[n][1]);
        }
        for (n = 0; n < 3; n++) if (out[n] != 0xFFFF) return 3;
    }
    return 0;
}
"""


@pytest.mark.parametrize("seed", range(12))
def test_lines_may_be_on_any_pins(seed: int, tmp_path: Path) -> None:
    """Whatever pins the lines are on, each set of strobed lines pulls just its sense lines, and no other bit of a port is written."""
    draw = random.Random(seed)
    pins = draw.sample([(port, bit) for port in range(3) for bit in range(10)], 16)
    select, sense = ([Line(port="ABC"[port], bit=bit, low=True) for port, bit in some] for some in (pins[:8], pins[8:]))
    traced = avr_board().traced
    assert traced is not None
    closers = Closers(stores=(), chain=None, contacts={}, select=tuple(select), sense=tuple(sense))
    rows = [", ".join(f"{{{port}, {bit}}}" for port, bit in some) for some in (pins[:8], pins[8:])]
    text = ANY_PINS % {"routine": "\n".join(follow_lines(traced, closers)), "select": rows[0], "sense": rows[1]}
    (tmp_path / "any.c").write_text(text, encoding="utf-8")
    tools.run(tools.tool("gcc"), "-std=c99", "-Wall", "-Wextra", "-O1", tmp_path / "any.c", "-o", tmp_path / "any")
    tools.run(tmp_path / "any")
