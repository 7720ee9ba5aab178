"""What the decoder of pads costs on microcontrollers: python -m tests.bench.bench_pads [--write].

Sizes are those of object files at -Os, cycles those of simavr. `--write` keeps the figures in their section of
docs/figures.md and leaves the other sections as they are.
"""

from __future__ import annotations

import random
import re
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from matrixmap.emit.keyboards.pad_c import pad_table
from matrixmap.hid.descriptor import Descriptor, parse_descriptor
from matrixmap.hid.pads.decoder import PadDecoder
from matrixmap.hid.pads.steps import Pad, pads_of
from tests import tools
from tests.desk.generate import collection, logical, main_item, page, shape, usage, usages
from tests.project import ROOT

RUNTIME = ROOT / "matrixmap" / "runtime"
FIRMWARE = ROOT / "tests" / "bench" / "pads" / "pad_avr.c"
HOST = ROOT / "tests" / "agree" / "targets" / "avr_host.c"
FIGURES = ROOT / "docs" / "figures.md"
HEADING = "## Pads"
LAST_LINE = "Compilers: "
REPORTS = 2_000

TARGETS = {
    "AVR (ATmega328P)": ("avr-gcc", ("-mmcu=atmega328p",), "avr-size"),
    "Cortex-M0+": ("arm-none-eabi-gcc", ("-mcpu=cortex-m0plus", "-mthumb"), "arm-none-eabi-size"),
}


def usual_pad() -> bytes:
    """The descriptor of a pad with two sticks and two triggers of 8 bits, a hat of eight and sixteen buttons."""
    sticks = b"".join(map(usage, (0x30, 0x31, 0x32, 0x35, 0x33, 0x34)))
    axes = page(1) + sticks + logical(0, 255) + shape(8, 6) + main_item("input", 2)
    hat = usage(0x39) + logical(0, 7) + shape(4, 1) + main_item("input", 0x42) + shape(4, 1) + main_item("input", 1)
    buttons = page(9) + usages(1, 16) + logical(0, 1) + shape(1, 16) + main_item("input", 2)
    return page(1) + usage(5) + collection(1, axes + hat + buttons)


def object_sizes(title: str, source: Path, folder: Path, *flags: str) -> tuple[int, int]:
    """Flash, and RAM of variables."""
    compiler, target, size = TARGETS[title]
    out = folder / "one.o"
    words = ("-std=c99", "-Os", *target, *flags, f"-I{RUNTIME}", "-c", source, "-o", out)
    tools.run(tools.tool(compiler), *words)
    text, data, bss = map(int, tools.run(tools.tool(size), out).stdout.splitlines()[1].split()[:3])
    return text + data, data + bss


def sizes(title: str, folder: Path) -> dict[str, int]:
    """Each size of one target by its heading."""
    state = folder / "state.c"
    state.write_text('#include "mm_pad.h"\nmm_pad_state one = {0};\n', encoding="ascii")
    both = folder / "both.c"
    both.write_text('#include "mm_pad.h"\nmm_pads two = {0};\n', encoding="ascii")
    reader = RUNTIME / "mm_descriptor.c"
    without, _ = object_sizes(title, reader, folder)
    return {
        "`mm_pad.c`, flash": object_sizes(title, RUNTIME / "mm_pad.c", folder)[0],
        "`mm_descriptor.c` without pads": without,
        "with them": object_sizes(title, reader, folder, "-DMM_PADS=1")[0],
        "RAM of a pad": object_sizes(title, state, folder)[1],
        "of two with their places": object_sizes(title, both, folder)[1],
    }


def reports() -> list[bytes]:
    """Random reports of the usual pad, with fixed seed; in each the sticks are anywhere."""
    rng = random.Random(9)
    return [rng.randbytes(9) for _ in range(REPORTS)]


def avr_cycles(folder: Path) -> tuple[int, list[int]]:
    """Cycles to read the descriptor, and of each report; what is on after each must be what Python says."""
    firmware, host = folder / "pad.elf", folder / "avr-host"
    sources = [FIRMWARE, *(RUNTIME / f"{name}.c" for name in ("mm_pad", "mm_descriptor"))]
    words = ("-std=c99", "-Os", "-mmcu=atmega328p", "-DMM_PADS=1", f"-I{RUNTIME}", "-o", firmware, *sources)
    tools.run(tools.tool("avr-gcc"), *words)
    tools.run(tools.tool("gcc"), "-O2", "-o", host, HOST, "-lsimavr", "-lelf")
    addresses = {
        line.split()[-1]: f"0x{line.split()[0]}"
        for line in tools.run(tools.tool("avr-nm"), firmware).stdout.splitlines()
    }
    functions = [addresses["mm_read_pad"], addresses["mm_pad_report"]]
    sent, data = reports(), usual_pad()
    stream = b"".join(bytes([len(part)]) + part for part in (data, *sent))
    rows = folder / "rows.bin"
    done = subprocess.run(
        [host, firmware, rows, *functions], input=stream, capture_output=True, timeout=300, check=True
    )
    calls = re.findall(r"^call (\d+) (\d+) (\d+)$", done.stderr.decode(), re.MULTILINE)
    assert rows.read_bytes() == shown_by_python(data, sent), "the AVR shows something else"
    cycles = [int(count) for which, count, _ in calls if which == "1"]
    assert len(cycles) == REPORTS
    return next(int(count) for which, count, _ in calls if which == "0"), cycles


def only_pad(data: bytes) -> tuple[Descriptor, Pad]:
    """The descriptor with its one pad."""
    descriptor = parse_descriptor(data).descriptor
    (pad,) = pads_of(descriptor)
    return descriptor, pad


def shown_by_python(data: bytes, sent: list[bytes]) -> bytes:
    """What is on after each report, 7 bytes each."""
    decoder = PadDecoder(*only_pad(data))
    out = b""
    for report in sent:
        decoder.take(report)
        out += decoder.on.to_bytes(7, "little")
    return out


def section(folder: Path) -> list[str]:
    """The section of the page of figures, from its heading to an empty line."""
    found = {title: sizes(title, folder) for title in TARGETS}
    reading, cycles = avr_cycles(folder)
    table = len(pad_table(*only_pad(usual_pad())).to_bytes())
    heads = list(next(iter(found.values())))
    return [
        HEADING,
        "",
        "These are the sizes of the decoder for joysticks and game pads, and of reading their descriptors, before linking.",
        "",
        f"| target | {' | '.join(heads)} |",
        "| --- |" + " --- |" * len(heads),
        *(f"| {title} | {' | '.join(map(str, row.values()))} |" for title, row in found.items()),
        "",
        f"On AVR, a pad with two sticks, two triggers, a hat and sixteen buttons has a table of {table} bytes.",
        f"Reading its descriptor takes {reading} cycles.",
        f"A report takes {int(statistics.median(cycles))} cycles at the median of {len(cycles)} random ones, and {max(cycles)} at most.",
        "",
    ]


def with_section(text: str, lines: list[str]) -> str:
    """The page with this section in place of the one it has, or else before its last line."""
    new = "\n".join(lines) + "\n"
    pattern = re.compile(rf"^{re.escape(HEADING)}\n.*?(?=^## |^{LAST_LINE})", re.MULTILINE | re.DOTALL)
    if pattern.search(text):
        return pattern.sub(lambda _: new, text)
    before, last, after = text.rpartition(LAST_LINE)
    return before + new + last + after


def main() -> None:
    """Prints the section, and keeps it if asked to."""
    with tempfile.TemporaryDirectory() as folder:
        lines = section(Path(folder))
    print("\n".join(lines))
    if "--write" in sys.argv[1:]:
        FIGURES.write_text(with_section(FIGURES.read_text(encoding="utf-8"), lines), encoding="utf-8")


if __name__ == "__main__":
    main()
