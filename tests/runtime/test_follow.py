"""Contacts that follow select lines: the right sense lines, in time, and never a torn mask."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from matrixmap.circuit.following import FOLLOW_CYCLES, MARGIN_CYCLES
from tests import tools
from tests.bench import bench_follow

from .conftest import RUNTIME

MOST_CYCLES = 192
"""For 8 by 8 lines: 12 microseconds at 16 MHz."""

SIZES = ((1, 1), (7, 6), (8, 8), (8, 9), (9, 8), (12, 8), (16, 16))

PROGRAM = r"""
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "mm_follow.h"

int main(void)
{
    static mm_state state;
    static mm_follow follow;
    unsigned turn, line, strobed;
    for (strobed = 0u; strobed < 1u << MM_SELECT_MAX; strobed++) {
        if (mm_follow_sense(&follow, (mm_lines)strobed) != 0u) {
            printf("not open at first\n");
            return 1;
        }
    }
    for (turn = 0u; turn < 6u; turn++) {
        for (line = 0u; line < MM_SELECT_MAX; line++) {
            state.closed[line] = (mm_mask)((unsigned)rand() & (unsigned)rand() & ((1u << MM_SENSE_MAX) - 1u));
        }
        mm_follow_copy(&follow, &state);
        for (strobed = 0u; strobed < 1u << MM_SELECT_MAX; strobed++) {
            unsigned asked = 0u;
            for (line = 0u; line < MM_SELECT_MAX; line++) {
                asked |= (strobed >> line & 1u) != 0u ? (unsigned)state.closed[line] : 0u;
            }
            if (mm_follow_sense(&follow, (mm_lines)strobed) != asked) {
                printf("strobed %x: %x is asked\n", strobed, asked);
                return 1;
            }
        }
    }
    return 0;
}
"""


@pytest.mark.parametrize(("select", "sense"), SIZES)
def test_what_is_pulled_low_is_what_strobed_lines_close(tmp_path: Path, select: int, sense: int) -> None:
    """For every set of strobed lines: the contacts closed on any of them, the newest copy alone, and nothing before one."""
    (tmp_path / "program.c").write_text(PROGRAM, encoding="ascii")
    sizes = (f"-DMM_SELECT_MAX={select}", f"-DMM_SENSE_MAX={sense}", f"-I{RUNTIME}")
    sanitizers = ("-fsanitize=address,undefined,bounds-strict", "-fno-sanitize-recover=all", "-O1")
    sources = (tmp_path / "program.c", RUNTIME / "mm_runtime.c")
    tools.run(tools.tool("gcc"), *tools.STRICT, *sanitizers, *sizes, *sources, "-o", tmp_path / "program")
    tools.run(tmp_path / "program")


@pytest.mark.parametrize("compiler", ["gcc", "g++", "clang", "arm-none-eabi-gcc", "sdcc -mz80", "sdcc -mmcs51"])
@pytest.mark.parametrize(("select", "sense"), [(8, 8), (16, 16)])
def test_the_header_is_portable(tmp_path: Path, compiler: str, select: int, sense: int) -> None:
    """It compiles as strict C99 and as C++11, without a warning, also for parts that gcc does not know."""
    name, *words = compiler.split()
    text = (
        '#include "mm_follow.h"\nextern mm_follow follow;\nvoid copy(const mm_state *state);\nmm_mask sense(mm_lines lines);\n'
        "mm_follow follow;\nvoid copy(const mm_state *state) { mm_follow_copy(&follow, state); }\n"
        "mm_mask sense(mm_lines lines) { return mm_follow_sense(&follow, lines); }\n"
    )
    source = tmp_path / ("user.cpp" if name == "g++" else "user.c")
    source.write_text(text, encoding="ascii")
    strict = tools.STRICT
    if name == "g++":
        strict = ["-std=c++11", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wshadow", "-Wundef", "-Werror"]
    if name == "sdcc":
        strict = ["--std-c99", "--Werror", *words, *(["--model-large"] if "-mmcs51" in words else [])]
    sizes = (f"-DMM_SELECT_MAX={select}", f"-DMM_SENSE_MAX={sense}", f"-I{RUNTIME}")
    tools.run(tools.tool(name), *strict, *sizes, "-c", source, "-o", tmp_path / "user.o")


def measure(folder: Path, select: int, sense: int, record_figure: Callable[[str], None]) -> int:
    """The worst cycles of a size; what the package says is within its margin and 5 percent of it."""
    bench_follow.begin(folder)
    found = bench_follow.measure(folder, select, sense)
    said = FOLLOW_CYCLES[select, sense]
    record_figure(f"{found.device} follows select lines, {select} by {sense}: {found.worst} cycles, {said} are said")
    assert 0.95 * said <= found.worst <= said + MARGIN_CYCLES
    return found.worst


def test_an_avr_follows_eight_lines_in_twelve_microseconds(
    tmp_path: Path, record_figure: Callable[[str], None]
) -> None:
    """The code of docs/firmware.md on an ATmega328P: 192 cycles at most, whatever the loop does and was strobed before."""
    assert measure(tmp_path, 8, 8, record_figure) <= MOST_CYCLES


OTHERS = [size for size in FOLLOW_CYCLES if size != (8, 8)]


@pytest.mark.parametrize(
    ("select", "sense"),
    [size if size == (12, 8) else pytest.param(*size, marks=pytest.mark.campaign) for size in OTHERS],
)
def test_the_package_says_what_is_measured(
    tmp_path: Path, record_figure: Callable[[str], None], select: int, sense: int
) -> None:
    """The figures by which a check judges machines are those of the simulator."""
    measure(tmp_path, select, sense, record_figure)


@pytest.mark.parametrize(
    ("file", "old", "new", "fault"),
    [
        ("mm_follow.h", "follow->shown == 0u ? (uint8_t)MM_FOLLOW_BYTES : 0u", "0u", "torn"),
        ("mm_follow.h", "MM_FOLLOW_LINE(lines, 5, 5)", "MM_FOLLOW_LINE(lines, 5, 6)", "torn"),
        ("follow_page.c", "if (select_lines() == strobed)", "if (select_lines() == strobed && 0)", "stale"),
        (
            "follow_page.c",
            "    interrupts_off();\n    if (select_lines() == strobed)",
            "    interrupts_off();\n    if (1)",
            "overwritten",
        ),
    ],
    ids=["one set of masks", "another line", "no look by the loop", "no second look by the loop"],
)
def test_a_fault_is_seen(tmp_path: Path, file: str, old: str, new: str, fault: str) -> None:
    """What these tests say of the header and the page is seen to be wrong where either has a fault."""
    bench_follow.begin(tmp_path)
    text = (tmp_path / file).read_text(encoding="ascii")
    assert old in text
    (tmp_path / file).write_text(text.replace(old, new), encoding="ascii")
    with pytest.raises(AssertionError, match=rf"{fault}: strobed"):
        bench_follow.measure(tmp_path, 8, 8, 3)


def test_docs_say_what_is_measured() -> None:
    """docs/firmware.md and docs/figures.md have the figure for 8 by 8 lines by which a check judges."""
    cycles = FOLLOW_CYCLES[8, 8] + MARGIN_CYCLES
    said = re.search(r"are right at most ([\d.]+) microseconds", bench_follow.PAGE.read_text(encoding="utf-8"))
    assert said
    assert float(said[1]) == -(-cycles * 10 // 16) / 10
    rows = re.findall(
        r"^\| \w+ \| (\d+) by (\d+) \| \d+ \| (\d+) \| \d+ \| (\d+) \|",
        bench_follow.FIGURES.read_text(encoding="utf-8"),
        re.MULTILINE,
    )
    assert {(int(a), int(b)): max(int(c), int(d)) for a, b, c, d in rows} == FOLLOW_CYCLES
