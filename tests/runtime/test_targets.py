"""The runtime on other compilers and processors: it compiles, fits, and does the same."""

from __future__ import annotations

import ctypes
import random
import re
import subprocess
from pathlib import Path

import pytest

from .conftest import RUNTIME, SMALL, STRICT, run, tool
from .engine import Engine
from .targets.big import BIG

HERE = Path(__file__).parent
TARGETS = HERE / "targets"
SOURCES = sorted(RUNTIME.glob("*.c"))


def write_table(folder: Path, table: bytes) -> None:
    """The table as a C array that lies where MM_TABLE puts it."""
    numbers = ", ".join(str(byte) for byte in table)
    folder.joinpath("table.h").write_text(f"static const uint8_t table_bytes[] MM_TABLE = {{{numbers}}};\n", "ascii")


def steps(seed: int, count: int) -> list[tuple[bytes, int]]:
    """Boot reports of a hasty typist who holds up to six keys, with times."""
    rng = random.Random(seed)
    held: list[int] = []
    modifiers, now, out = 0, 0, []
    usages = [usage for group in BIG.groups for usage, _ in group.entries if 4 <= usage < 0xE0] + [0x39, 0x53, 0x70]
    for _ in range(count):
        action = rng.random()
        if action < 0.4:
            held = rng.sample(usages, rng.randrange(7))
        elif action < 0.6 and len(held) < 6:
            held = [*held, rng.choice(usages)]
        elif action < 0.7:
            held = held[1:]
        elif action < 0.8:
            modifiers = rng.choice((0, 0, 0x02, 0x20, 0x01, 0x40, 0x42, 0x04, 0xFF))
        array = bytes((*held, *bytes(6)))[:6] if action < 0.97 else bytes((1,)) * 6
        now += rng.choice((0, 1, 5, 21, 75, 401, 421))
        out.append((bytes((modifiers, 0)) + array, now & 0xFFFF))
    return out


@pytest.fixture(scope="module")
def avr(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[list[int]] | int]:
    """What the firmware on a simulated ATmega328P shows for each step, with cycles and stack."""
    compiler, simulator = tool("avr-gcc"), tool("simavr")
    names = tool("avr-nm")
    assert simulator
    folder = tmp_path_factory.mktemp("avr")
    write_table(folder, BIG.to_bytes())
    include = (f"-I{RUNTIME}", f"-I{folder}")
    run(
        compiler,
        "-mmcu=atmega328p",
        *STRICT,
        "-Os",
        *SMALL,
        *include,
        "-o",
        folder / "fw.elf",
        TARGETS / "avr_main.c",
        *SOURCES,
    )
    run("gcc", "-O2", "-o", folder / "host", TARGETS / "avr_host.c", "-lsimavr", "-lelf")
    symbols = {}
    for line in run(names, folder / "fw.elf").stdout.splitlines():
        address, _, name = line.split()[-3:]
        symbols[name] = int(address, 16)
    ram = 0x800000
    probe = folder / "probe.c"
    probe.write_text(
        '#include <stddef.h>\n#include "mm_runtime.h"\nchar closed[offsetof(mm_state, closed)];\n', "ascii"
    )
    run(compiler, "-mmcu=atmega328p", "-std=c99", "-Os", *SMALL, *include, "-c", probe, "-o", folder / "probe.o")
    size = re.search(r" ([0-9a-f]+) [BC] closed", run(names, "-S", folder / "probe.o").stdout)
    assert size
    closed = symbols["state"] - ram + int(size.group(1), 16)
    records = b"".join(report + now.to_bytes(2, "little") for report, now in steps(3, 6000))
    command = [
        folder / "host",
        folder / "fw.elf",
        "atmega328p",
        *(hex(symbols[n]) for n in ("mm_boot_report", "mm_advance")),
    ]
    command += [hex(closed), "9", *(hex(symbols[n] - ram) for n in ("report", "now", "wait"))]
    done = subprocess.run([str(word) for word in command], input=records, capture_output=True, timeout=300)
    assert done.returncode == 0, done.stderr.decode()
    lines = [
        line.split() for line in done.stdout.decode().splitlines() if line[:1].isdigit() or line.startswith("stack")
    ]
    stack = int(lines.pop()[1])
    return {"lines": [[int(word) for word in line] for line in lines], "stack": stack}


def test_avr_does_the_same(avr: dict[str, list[list[int]] | int], lib: ctypes.CDLL) -> None:
    """Step by step the AVR shows the same masks as the host, with its table in program memory."""
    engine = Engine.__new__(Engine)
    engine.lib, engine.tables = lib, []
    engine.state = ctypes.create_string_buffer(lib.mm_test_state_size())
    engine.shown = (ctypes.c_uint16 * 17)()
    lib.mm_init(engine.state, *engine._keep(BIG.to_bytes()))
    lines = avr["lines"]
    assert isinstance(lines, list)
    assert len(lines) == 6001
    for number, (report, now) in enumerate([(bytes(8), 0), *steps(3, 6000)]):
        lib.mm_boot_report(engine.state, 0, report, 8)
        wait = lib.mm_advance(engine.state, now)
        masks = engine.masks
        assert lines[number][2:] == [wait, *masks[:8], masks[16]], number


def test_avr_figures(avr: dict[str, list[list[int]] | int], capsys: pytest.CaptureFixture[str]) -> None:
    """On an AVR a boot report and one advance take at most 6000 cycles together."""
    lines = avr["lines"]
    assert isinstance(lines, list)
    both = sorted(line[0] + line[1] for line in lines[1:])
    with capsys.disabled():
        print(
            f"\nAVR cycles: report {max(line[0] for line in lines[1:])}, advance {max(line[1] for line in lines[1:])}, "
            f"both at most {both[-1]}, median {both[len(both) // 2]}; stack {avr['stack']} bytes"
        )
    assert both[-1] <= 6000
