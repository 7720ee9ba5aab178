"""The runtime on other compilers and processors: it compiles, fits, and does the same."""

from __future__ import annotations

import ctypes
import random
import re
import subprocess
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from tests.shipped import in_campaign

from .conftest import RUNTIME, SMALL, STRICT, build, run, tool
from .engine import Engine
from .table import Controller, Table, Wired, crosspoint
from .targets.big import BIG

TARGETS = Path(__file__).parent / "targets"
SOURCES = sorted(RUNTIME.glob("*.c"))
RUNTIME_C = RUNTIME / "mm_runtime.c"
RAM = 0x800000  # where avr-nm puts data addresses
DEVICE = "atmega328p"
SETTINGS = (
    (),
    SMALL,
    ("-DMM_KEYBOARDS=4",),
    ("-DMM_SEQUENCES=1",),
    ("-DMM_RESUME=1", "-DMM_KEYBOARDS=2"),
    ("-DMM_TAPS=0", "-DMM_CHECKSUM=0"),
    ("-DMM_HELD=1", "-DMM_WAITING=1"),
    ("-DMM_WAITING=255", "-DMM_RESUME=1"),
    ("-DMM_WHOLE=1",),
    ("-DMM_WHOLE=1", "-DMM_RESUME=1", "-DMM_SEQUENCES=1", "-DMM_TAPS=0"),
    ("-DMM_SELECT_MAX=11", "-DMM_SENSE_MAX=8", "-DMM_KEYBOARDS=2"),
    ("-DMM_PADS=1",),
    ("-DMM_PADS=1", "-DMM_CONTROLLERS=8", "-DMM_WHOLE=1", "-DMM_RESUME=1", "-DMM_SEQUENCES=1", "-DMM_TAPS=0"),
)


def write_table(folder: Path, table: bytes) -> None:
    """The table as a C array that lies where MM_TABLE puts it."""
    numbers = ", ".join(str(byte) for byte in table)
    folder.joinpath("table.h").write_text(f"static const uint8_t table_bytes[] MM_TABLE = {{{numbers}}};\n", "ascii")


def key_sets(seed: int, count: int) -> list[tuple[list[int], int, bool, int]]:
    """Keys, modifier byte, rollover and time of a hasty typist who holds up to six keys."""
    rng = random.Random(seed)
    usages = [usage for group in BIG.groups for usage, _ in group.entries if 4 <= usage < 0xE0] + [0x39, 0x53, 0x70]
    held: list[int] = []
    modifiers, now, out = 0, 0, []
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
        now += rng.choice((0, 1, 5, 21, 75, 401, 421))
        out.append((held, modifiers, rng.random() < 0.03, now & 0xFFFF))
    return out


def reports(seed: int, count: int) -> list[tuple[bytes, int]]:
    """Boot reports with times."""
    return [
        (bytes((modifiers, 0)) + (bytes((1,)) * 6 if rolled else bytes((*held, *bytes(6)))[:6]), now)
        for held, modifiers, rolled, now in key_sets(seed, count)
    ]


def bitmaps(seed: int, count: int) -> list[tuple[bytes, int]]:
    """Bitmaps of anything from no key to all, with times."""
    rng = random.Random(seed)
    full = bytes((0xF0,)) + bytes((0xFF,)) * 31
    out, now = [], 0
    for _ in range(count):
        now += rng.choice((0, 5, 21, 401, 421))
        some = bytes(byte & rng.randrange(256) for byte in full)
        out.append((rng.choice((full, bytes(32), some, some)), now & 0xFFFF))
    return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """What the simulated firmware did: cycles of input and of mm_advance, what is shown, stack in bytes."""

    cycles: tuple[tuple[int, int], ...]
    shown: tuple[tuple[int, ...], ...]
    stack: int

    @property
    def both(self) -> list[int]:
        """Cycles of an input and one mm_advance, sorted, the first loop without input left out."""
        return sorted(first + second for first, second in self.cycles[1:])


def simulate(folder: Path, function: str, steps: list[tuple[bytes, int]], *defines: str, table: Table = BIG) -> Trace:
    """Runs the firmware through the steps on a simulated AVR."""
    compiler, names = tool("avr-gcc"), tool("avr-nm")
    tool("simavr")
    write_table(folder, table.to_bytes())
    include = (f"-I{RUNTIME}", f"-I{folder}")
    common = (compiler, f"-mmcu={DEVICE}", *STRICT, "-Os", *SMALL, *defines, *include)
    run(*common, "-o", folder / "fw.elf", TARGETS / "avr_main.c", *SOURCES)
    run(tool("gcc"), "-O2", "-o", folder / "host", TARGETS / "avr_host.c", "-lsimavr", "-lelf")
    symbols: dict[str, int] = {}
    for line in run(names, folder / "fw.elf").stdout.splitlines():
        address, _, name = line.split()[-3:]
        symbols[name] = int(address, 16)
    assert symbols["table_bytes"] < RAM, "the table belongs into program memory"
    probe = folder / "probe.c"
    probe.write_text('#include <stddef.h>\n#include "mm_runtime.h"\nchar masks[offsetof(mm_state, closed)];\n', "ascii")
    run(*common, "-c", probe, "-o", folder / "probe.o")
    size = re.search(r" ([0-9a-f]+) [BC] masks", run(names, "-S", folder / "probe.o").stdout)
    assert size
    size_of_step = len(steps[0][0])
    numbers = (
        symbols[function],
        symbols["mm_controller" if "-DPADS" in defines else function],
        symbols["mm_advance"],
        symbols["state"] - RAM + int(size.group(1), 16),
        9,
        symbols["input"] - RAM,
        size_of_step,
        symbols["now"] - RAM,
    )
    records = b"".join(step + now.to_bytes(2, "little") for step, now in steps)
    command = [str(folder / "host"), str(folder / "fw.elf"), DEVICE, *(str(number) for number in numbers)]
    done = subprocess.run(command, input=records, capture_output=True, timeout=300)
    assert done.returncode == 0, done.stderr.decode()
    lines = [
        line.split() for line in done.stdout.decode().splitlines() if line[:1].isdigit() or line.startswith("stack")
    ]
    stack = int(lines.pop()[1])
    rows = [tuple(int(word) for word in line) for line in lines]
    assert len(rows) == len(steps) + 1
    return Trace(cycles=tuple(row[:2] for row in rows), shown=tuple(row[2:] for row in rows), stack=stack)


def on_the_host(lib: ctypes.CDLL, steps: list[tuple[bytes, int]], table: Table = BIG) -> list[tuple[int, ...]]:
    """What the same steps show here, one call of mm_advance each; with pads the byte of a report that does not count is theirs."""
    engine = Engine(lib, table.to_bytes())
    shown = []
    for step, now in [(bytes(len(steps[0][0])), 0), *steps]:
        if len(step) == 8:
            lib.mm_boot_report(engine.state, 0, step, 8)
        else:
            lib.mm_usages(engine.state, 0, step)
        if table.controllers:
            lib.mm_controller(engine.state, step[1] & 1, step[1] >> 1)
        wait = int(lib.mm_advance(engine.state, now))
        masks = engine.masks
        shown.append((wait, *masks[:8], masks[16]))
    return shown


def test_avr_boot_reports(lib: ctypes.CDLL, tmp_path: Path, record_figure: Callable[[str], None]) -> None:
    """Step by step an AVR shows the same as the host; a boot report and one advance take at most 6000 cycles."""
    steps = reports(3, 6000)
    trace = simulate(tmp_path, "mm_boot_report", steps)
    assert list(trace.shown) == on_the_host(lib, steps)
    report, advance = (max(pair[n] for pair in trace.cycles[1:]) for n in (0, 1))
    record_figure(
        f"AVR cycles: boot report {report}, advance {advance}, both {trace.both[-1]} at most, "
        f"{trace.both[len(trace.both) // 2]} in the median; stack {trace.stack} bytes"
    )
    assert trace.both[-1] <= 6000


def test_avr_pads(tmp_path: Path, record_figure: Callable[[str], None]) -> None:
    """The same with two pads, which change every now and then: a boot report, mm_controller and one advance take at most 6500 cycles."""
    controllers = (
        Controller(switches=tuple((Wired.GROUND, sense) for sense in (5, 3, 6)), opposites=((0, 1),)),
        Controller(
            switches=tuple((Wired.CONTACT, crosspoint(line, 7 - line)) for line in range(5)), opposites=((0, 1), (2, 3))
        ),
    )
    table = replace(BIG, controllers=controllers, poll=200)
    rng = random.Random(5)
    held = [0, 0]
    steps = []
    for step, now in reports(3, 6000):
        pad = rng.randrange(2)
        if rng.random() < 0.3:
            held[pad] ^= 1 << rng.randrange(5)
        steps.append((bytes((step[0], pad | held[pad] << 1)) + step[2:], now))
    host = build("gcc", tmp_path, "-DMM_PADS=1")
    trace = simulate(tmp_path, "mm_boot_report", steps, "-DMM_PADS=1", "-DPADS", table=table)
    assert list(trace.shown) == on_the_host(host, steps, table)
    idle = simulate(tmp_path, "mm_boot_report", reports(3, 6000), "-DMM_PADS=1")
    without = simulate(tmp_path, "mm_boot_report", reports(3, 6000))
    for words, one in (("two pads", trace), ("pads compiled in, none used", idle), ("no pads", without)):
        record_figure(
            f"AVR cycles with {words}: boot report and advance, with mm_controller where pads are, {one.both[-1]} at most, "
            f"{one.both[len(one.both) // 2]} in the median; stack {one.stack} bytes"
        )
    assert idle.both[-1] - without.both[-1] <= 800
    assert trace.both[-1] <= 6500


def test_avr_bitmaps(lib: ctypes.CDLL, tmp_path: Path, record_figure: Callable[[str], None]) -> None:
    """The same for bitmaps of any content: at most 16,000 cycles."""
    steps = bitmaps(4, 1500)
    trace = simulate(tmp_path, "mm_usages", steps, "-DBITMAP")
    assert list(trace.shown) == on_the_host(lib, steps)
    record_figure(f"AVR cycles: bitmap and advance {trace.both[-1]} at most; stack {trace.stack} bytes")
    assert trace.both[-1] <= 16_000


PLAIN = {"MM_SEQUENCES": 0, "MM_RESUME": 0, "MM_WHOLE": 0, "MM_TAPS": 0, "MM_CHECKSUM": 0, "MM_PADS": 0}
# What may be compiled out, and what it may cost in bytes of flash on an AVR and on a Cortex-M0+; pasted text has no setting, for what is not called the linker leaves out.
FEATURES = {
    "": (0, 0),
    "MM_SEQUENCES": (200, 200),
    "MM_TAPS": (160, 190),
    "MM_CHECKSUM": (90, 70),
    "MM_RESUME": (800, 400),
    "MM_WHOLE": (160, 150),
    "MM_PADS": (900, 830),
}
MOST_AVR, MOST_ARM, MOST_RAM = 3600, 2600, 144


def settings_with(feature: str) -> tuple[str, ...]:
    """The runtime without what may be compiled out, save one feature."""
    return tuple(f"-D{name}={int(value or name == feature)}" for name, value in PLAIN.items())


@pytest.mark.parametrize("feature", FEATURES)
def test_avr_size(tmp_path: Path, record_figure: Callable[[str], None], feature: str) -> None:
    """What the runtime weighs on an AVR, all of its functions used but those for pasted text, and how much RAM a state takes."""
    write_table(tmp_path, BIG.to_bytes())
    elf = tmp_path / "all.elf"
    flags = ("-Os", "-ffunction-sections", "-Wl,--gc-sections", "-mrelax", *SMALL, f"-I{RUNTIME}", f"-I{tmp_path}")
    settings = settings_with(feature)
    run(tool("avr-gcc"), f"-mmcu={DEVICE}", *STRICT, *flags, *settings, "-o", elf, TARGETS / "avr_all.c", *SOURCES)
    own, state = 0, 0
    for line in run(tool("avr-nm"), "-S", elf).stdout.splitlines():
        words = line.split()
        if len(words) == 4:
            if words[2] in "tT" and words[3] not in ("main", "table_bytes") and not words[3].startswith("__"):
                own += int(words[1], 16)
            if words[3] == "state":
                state = int(words[1], 16)
    record_figure(f"AVR {feature}: {own} bytes of flash, {state} bytes of RAM a state (8x8, one keyboard)")
    assert own <= MOST_AVR + FEATURES[feature][0]
    # An opened stroke keeps its key as well where keys come back.
    assert state <= MOST_RAM + {"MM_RESUME": 36, "MM_PADS": 36}.get(feature, 0)


@pytest.mark.parametrize("feature", FEATURES)
def test_arm_size(tmp_path: Path, record_figure: Callable[[str], None], feature: str) -> None:
    """What the runtime weighs on a Cortex-M0+, without the functions for pasted text."""
    common = (tool("arm-none-eabi-gcc"), "-mcpu=cortex-m0plus", "-mthumb", *STRICT, "-Os", *SMALL, f"-I{RUNTIME}")
    common = (*common, *settings_with(feature))
    run(*common, "-ffunction-sections", "-c", RUNTIME_C, "-o", tmp_path / "runtime.o")
    text = 0
    for line in run(tool("arm-none-eabi-size"), "-A", tmp_path / "runtime.o").stdout.splitlines():
        words = line.split()
        if words and words[0].startswith(".text") and words[0] not in (".text.mm_type", ".text.mm_room"):
            text += int(words[1])
    probe = tmp_path / "probe.c"
    probe.write_text('#include "mm_runtime.h"\nmm_state state;\n', "ascii")
    run(*common, "-c", probe, "-o", tmp_path / "probe.o")
    size = re.search(r" ([0-9a-f]+) [BC] state", run(tool("arm-none-eabi-nm"), "-S", tmp_path / "probe.o").stdout)
    assert size
    state = int(size.group(1), 16)
    record_figure(f"Cortex-M0+ {feature}: {text} bytes of flash, {state} bytes of RAM a state (8x8, one keyboard)")
    assert text <= MOST_ARM + FEATURES[feature][1]
    assert state <= MOST_RAM + {"MM_RESUME": 36, "MM_TAPS": 4, "MM_PADS": 40}.get(feature, 0)


def test_sizes_of_firmware_and_runtime_must_agree(tmp_path: Path) -> None:
    """A firmware compiled with other sizes than the runtime does not link, whichever size it is."""
    user = tmp_path / "user.c"
    user.write_text(
        '#include "mm_runtime.h"\nstatic mm_state state;\nint main(void) { return mm_init(&state, 0, 0); }\n', "ascii"
    )
    common = (tool("gcc"), "-std=c99", f"-I{RUNTIME}")
    run(*common, "-c", RUNTIME_C, "-o", tmp_path / "runtime.o")
    run(*common, user, tmp_path / "runtime.o", "-o", tmp_path / "user")
    values = {
        "MM_SELECT_MAX": 8,
        "MM_SENSE_MAX": 8,
        "MM_KEYBOARDS": 2,
        "MM_WAITING": 64,
        "MM_HELD": 9,
        "MM_SEQUENCES": 1,
    }
    for name, value in {**values, "MM_RESUME": 1, "MM_WHOLE": 1, "MM_TAPS": 0, "MM_CHECKSUM": 0, "MM_PADS": 1}.items():
        words = [
            str(word) for word in (*common, f"-D{name}={value}", user, tmp_path / "runtime.o", "-o", tmp_path / "user")
        ]
        done = subprocess.run(words, capture_output=True, text=True, check=False)
        assert done.returncode != 0, name
        assert "undefined reference to `mm_init_of_" in done.stderr, name


@pytest.mark.parametrize("settings", SETTINGS, ids=" ".join)
@pytest.mark.parametrize(
    "compiler", [in_campaign("gcc"), in_campaign("clang"), "avr-gcc", in_campaign("arm-none-eabi-gcc")]
)
def test_every_setting_compiles(tmp_path: Path, compiler: str, settings: tuple[str, ...]) -> None:
    """Each setting of the sizes compiles without a warning."""
    target = {"avr-gcc": (f"-mmcu={DEVICE}",), "arm-none-eabi-gcc": ("-mcpu=cortex-m0plus", "-mthumb")}
    flags = (*target.get(compiler, ()), *STRICT, "-Os", *settings, f"-I{RUNTIME}")
    run(tool(compiler), *flags, "-c", RUNTIME_C, "-o", tmp_path / "runtime.o")


@pytest.mark.parametrize("processor", ["-mz80", "-mmcs51 --model-large"])
def test_small_device_compiler(tmp_path: Path, processor: str) -> None:
    """Sdcc takes runtime and table for the Z80 and for the 8051."""
    write_table(tmp_path, BIG.to_bytes())
    user = tmp_path / "user.c"
    user.write_text(
        '#include "mm_runtime.h"\n#include "table.h"\nconst uint8_t *table(void) { return table_bytes; }\n', "ascii"
    )
    for source in (RUNTIME_C, user):
        flags = (*processor.split(), "--std-c99", "--Werror", f"-I{RUNTIME}", f"-I{tmp_path}")
        run(tool("sdcc"), *flags, "-c", source, "-o", tmp_path / f"{source.stem}.rel")


@pytest.mark.parametrize(
    "setting", ["-DMM_TABLE_VERSION_WANTED=1", "-DMM_KEYBOARDS=5", "-DMM_SELECT_MAX=17", "-DMM_HELD=0", "-DMM_PADS=2"]
)
def test_settings_that_cannot_work(tmp_path: Path, setting: str) -> None:
    """A table version that the runtime does not know, or a size out of range, stops the compiler with a reason."""
    done = subprocess.run(
        [tool("gcc"), setting, f"-I{RUNTIME}", "-c", RUNTIME_C, "-o", tmp_path / "x.o"], capture_output=True, text=True
    )
    assert done.returncode != 0
    assert "#error" in done.stderr


def test_header_from_cpp(tmp_path: Path) -> None:
    """C++ firmware includes the header and links with the C."""
    program = tmp_path / "user.cpp"
    program.write_text(
        '#include "mm_runtime.h"\n'
        "int main() { mm_state state; return mm_init(&state, nullptr, 0) || mm_advance(&state, 0) != MM_NEVER; }\n",
        "ascii",
    )
    run(tool("gcc"), *STRICT, "-O1", f"-I{RUNTIME}", "-c", RUNTIME_C, "-o", tmp_path / "runtime.o")
    flags = ("-std=c++11", "-Wall", "-Wextra", "-Wpedantic", "-Werror", f"-I{RUNTIME}")
    run(tool("g++"), *flags, program, tmp_path / "runtime.o", "-o", tmp_path / "user")
    run(tmp_path / "user")
