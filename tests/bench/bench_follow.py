"""How fast contacts follow select lines on an AVR: python -m tests.bench.bench_follow [--write].

The code of docs/firmware.md is compiled as it stands there, with the ports of a microcontroller, and runs in simavr;
tests/runtime/targets/avr_follow.c has the firmware, avr_follow_host.c works the select lines and counts. `--write` keeps
the figures in their section of docs/figures.md and leaves the other sections as they are.
"""

from __future__ import annotations

import re
import shutil
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from matrixmap.circuit.following import AVR_MHZ, FOLLOW_CYCLES, MARGIN_CYCLES, Following
from tests import tools
from tests.agree.processors import write_tables
from tests.project import ROOT, shipped_plan

TARGETS = ROOT / "tests" / "runtime" / "targets"
PAGE = ROOT / "docs" / "firmware.md"
FIGURES = ROOT / "docs" / "figures.md"
LAYOUT = "quillon8-en-GB-symbolic"
HEADING = "## Following the select lines"
LAST_LINE = "Compilers: "

RESPONSE_CYCLES = 4
"""From the flag of an interrupt to its vector, for a program counter of two bytes; simavr counts none of them. From
memory of the data sheets of ATmega328P and ATmega1284P, "Interrupt Response Time"."""

FLAG_CYCLES = 4
"""From the change of a pin to the flag of its interrupt, at most, of which simavr counts none either. From memory of the
same data sheets, the figure "Timing of pin change interrupts"."""

VECTOR_BYTES = {"atmega328p": 26 * 4, "atmega1284p": 35 * 4}
TITLES = {"atmega328p": "ATmega328P", "atmega1284p": "ATmega1284P"}
ROUNDS = 1
"""How often what is drawn is drawn; the tests draw as often, so that they find the same."""

RAM = 0x800000
"""Where avr-nm puts addresses of data."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Changes:
    """Cycles from changes of select lines to the sense lines: how many were counted, median and worst."""

    count: int
    median: int
    worst: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """What was measured of a microcontroller: changes with time between them, and at any distance from one another."""

    device: str
    alone: Changes
    close: Changes

    @property
    def worst(self) -> int:
        """The worst of all."""
        return max(self.alone.worst, self.close.worst)


def device_of(select: int, sense: int) -> str:
    """The part measured for that many lines: the smaller one, if it has the pins."""
    return "atmega328p" if select <= 8 and sense <= 8 else "atmega1284p"


def page_code() -> str:
    """The piece of docs/firmware.md that follows select lines, without its declarations of what is the board's."""
    blocks = re.findall(r"^```c\n(.*?)^```", PAGE.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    (block,) = (block for block in blocks if "mm_follow.h" in block)
    return re.sub(r"^extern .*\n", "", str(block), flags=re.MULTILINE)


def begin(folder: Path) -> None:
    """The files of the firmware and the program that works it, which a test may change before it measures."""
    write_tables(folder, [shipped_plan(LAYOUT)])
    (folder / "follow_page.c").write_text(page_code(), encoding="ascii")
    shutil.copy(TARGETS / "avr_follow.c", folder)
    tools.tool("simavr")
    flags = ("-O2", "-Wall", "-Wextra", "-Werror")
    tools.run(tools.tool("gcc"), *flags, TARGETS / "avr_follow_host.c", "-o", folder / "host", "-lsimavr", "-lelf")


def measure(folder: Path, select: int, sense: int, rounds: int = ROUNDS) -> Followed:
    """Compiles and runs what `begin` has put there. AssertionError, with what was shown, if a sense line was ever wrong."""
    device = device_of(select, sense)
    firmware = folder / f"follow-{select}-{sense}.elf"
    sizes = (f"-DMM_SELECT_MAX={select}", f"-DMM_SENSE_MAX={sense}")
    sources = (folder / "avr_follow.c", folder / "mm_runtime.c", folder / f"{LAYOUT}.c")
    flags = (f"-mmcu={device}", *tools.STRICT, "-Os", *sizes, f"-I{folder}")
    tools.run(tools.tool("avr-gcc"), *flags, "-o", firmware, *sources)
    names = {
        line.split()[-1]: line.split()[0] for line in tools.run(tools.tool("avr-nm"), firmware).stdout.splitlines()
    }
    numbers = (int(names["which"], 16) - RAM, select, sense, VECTOR_BYTES[device], RESPONSE_CYCLES, rounds)
    shown = tools.run(folder / "host", firmware, device, *(str(number) for number in numbers)).stdout
    found = {
        name: Changes(count=int(count), median=int(median) + FLAG_CYCLES, worst=int(worst) + FLAG_CYCLES)
        for name, count, median, worst in re.findall(r"^(alone|close) (\d+) (\d+) (\d+)$", shown, re.MULTILINE)
    }
    return Followed(device=device, alone=found["alone"], close=found["close"])


def measure_all(folder: Path) -> dict[tuple[int, int], Followed]:
    """(Select lines, sense lines) -> what was measured, for each size of the package's figures."""
    begin(folder)
    return {(select, sense): measure(folder, select, sense) for select, sense in FOLLOW_CYCLES}


def section(found: Mapping[tuple[int, int], Followed]) -> list[str]:
    """The section of the page of figures, from its heading to an empty line."""
    lines = [
        HEADING,
        "",
        "The contacts follow select lines with `mm_follow.h` and the code of docs/firmware.md.",
        "The figures are cycles from the change of select lines to the change of the last output port.",
        "Meanwhile a loop types, and a timer interrupts it ten times a millisecond.",
        "*Alone*: the changes have time between them. *Close*: a change comes at any moment after another one, even while the",
        f"interrupt of that one still runs. The figures include {RESPONSE_CYCLES} cycles for each interrupt's response and {FLAG_CYCLES} until a pin's flag is set,",
        "because simavr counts neither. Every set of 8 select lines was tried; for more lines, random sets were tried.",
        f"The least `strobe_to_read_us` is the worst of both plus {MARGIN_CYCLES} cycles for moments that were not tried, at {AVR_MHZ} MHz.",
        "",
        "| target | select by sense lines | alone, median | worst | close, median | worst | counted | least microseconds |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for (select, sense), one in found.items():
        least = Following(select=select, sense=sense, cycles=one.worst).us
        lines.append(
            f"| {TITLES[one.device]} | {select} by {sense} | {one.alone.median} | {one.alone.worst} | {one.close.median} "
            f"| {one.close.worst} | {one.alone.count + one.close.count} | {least:g} |"
        )
    return [*lines, ""]


def with_section(page: str, lines: list[str]) -> str:
    """The page with this section in place of the one it has, or else before its last line."""
    text = "\n".join(lines) + "\n"
    pattern = re.compile(rf"^{re.escape(HEADING)}\n.*?(?=^## |^{LAST_LINE})", re.MULTILINE | re.DOTALL)
    if pattern.search(page):
        return pattern.sub(lambda _: text, page)
    before, last, after = page.rpartition(LAST_LINE)
    return before + text + last + after


def main() -> None:
    """Prints the section, and keeps it if asked to."""
    with tempfile.TemporaryDirectory() as folder:
        lines = section(measure_all(Path(folder)))
    print("\n".join(lines))
    if "--write" in sys.argv[1:]:
        FIGURES.write_text(with_section(FIGURES.read_text(encoding="utf-8"), lines), encoding="utf-8")


if __name__ == "__main__":
    main()
