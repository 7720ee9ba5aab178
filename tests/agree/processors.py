"""Plays tapes on other processors, each in its simulator."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from matrixmap.emit.tables.c import table_symbol
from matrixmap.model.plan import Plan
from matrixmap.simulate.engine import Sizes
from tests import tools
from tests.emit.compiled import write_build

HERE = Path(__file__).with_name("targets")
PACKAGE = Path(str(files("matrixmap")))
SHIM_FOLDER = PACKAGE / "simulate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Processor:
    """A target: how to compile for it, and what plays the firmware."""

    name: str
    compiler: str
    flags: tuple[str, ...]
    sources: tuple[str, ...]
    simulator: tuple[str, ...]
    tools: tuple[str, ...] = ()


BARE = ("-ffreestanding", "-nostdlib", "-nostartfiles", "-Wl,-T,bare.ld", "-lgcc")
QEMU = (
    "-nographic",
    "-monitor",
    "none",
    "-serial",
    "none",
    "-semihosting-config",
    "enable=on,target=native",
    "-kernel",
)

PROCESSORS = (
    Processor(
        name="host",
        compiler="gcc",
        flags=(),
        sources=("play.c", "stdio.c"),
        simulator=(),
    ),
    Processor(
        name="avr",
        compiler="avr-gcc",
        flags=("-mmcu=atmega328p", "-DMM_SENSE_MAX=8", "-Wno-pedantic"),
        sources=("avr_play.c",),
        simulator=("./avr-host",),
        tools=("simavr",),
    ),
    Processor(
        name="cortex-m0plus",
        compiler="arm-none-eabi-gcc",
        flags=("-mcpu=cortex-m0plus", "-mthumb", *BARE, "-Wl,--defsym=ORIGIN_CODE=0,--defsym=ORIGIN_DATA=0x20000000"),
        sources=("play.c", "semihosting.c"),
        simulator=("qemu-system-arm", "-M", "mps2-an385", *QEMU),
    ),
    Processor(
        name="rv32",
        compiler="riscv64-unknown-elf-gcc",
        flags=(
            "-march=rv32imc",
            "-mabi=ilp32",
            "-Ibare",
            *BARE,
            "-Wl,--defsym=ORIGIN_CODE=0x80000000,--defsym=ORIGIN_DATA=0x80100000",
        ),
        sources=("play.c", "semihosting.c"),
        simulator=("qemu-system-riscv32", "-M", "virt", "-bios", "none", *QEMU),
    ),
    Processor(
        name="powerpc",  # the most significant byte first
        compiler="powerpc-linux-gnu-gcc",
        flags=("-static",),
        sources=("play.c", "stdio.c"),
        simulator=("qemu-ppc",),
    ),
)


def write_tables(folder: Path, plans: Sequence[Plan]) -> None:
    """The generated files of some plans, and one array with all tables."""
    write_build(folder, plans)
    names = [table_symbol(plan.id) for plan in plans]
    lines = ['#include "mm_layouts.h"', "static const uint8_t *const all_tables[] = {"]
    lines += [f"    {name}," for name in names]
    lines += ["};", "static const uint16_t all_sizes[] = {", *(f"    {name.upper()}_SIZE," for name in names), "};", ""]
    (folder / "tables.h").write_text("\n".join(lines), encoding="ascii")


def copy_files(folder: Path) -> None:
    """The C of this folder and how to link it, into another."""
    for path in HERE.iterdir():
        if path.suffix in {".c", ".h", ".ld"}:
            shutil.copy(path, folder)


def flags_in(processor: Processor, folder: Path) -> list[str]:
    """The flags for a processor in a folder with a copy of these files, without `-lgcc`, which has to come last."""
    return [
        flag.replace("-Ibare", f"-I{HERE / 'bare'}").replace("bare.ld", str(folder / "bare.ld"))
        for flag in processor.flags
        if flag != "-lgcc"
    ]


def build_firmware(processor: Processor, plans: Sequence[Plan], sizes: Sizes, folder: Path) -> Path:
    """Firmware that plays tapes with these layouts."""
    write_tables(folder, plans)
    copy_files(folder)
    defines = [f"-DMM_KEYBOARDS={sizes.keyboards}", f"-DMM_WAITING={sizes.waiting}", f"-DMM_HELD={sizes.held}"]
    runtime = [folder / "mm_runtime.c", *(folder / f"{plan.id}.c" for plan in plans)]
    sources = [folder / name for name in processor.sources]
    firmware = folder / "firmware.elf"
    last = ["-lgcc"] if "-lgcc" in processor.flags else []
    tools.run(
        tools.tool(processor.compiler),
        *(flag for flag in tools.STRICT if flag not in ("-Wcast-qual",)),
        "-Os",
        *defines,
        *flags_in(processor, folder),
        f"-I{folder}",
        f"-I{SHIM_FOLDER}",
        "-o",
        firmware,
        *sources,
        *runtime,
        *last,
    )
    if processor.name == "avr":
        tools.run("gcc", "-O2", "-o", folder / "avr-host", folder / "avr_host.c", "-lsimavr", "-lelf")
    return firmware


def play_on(processor: Processor, firmware: Path, tape: bytes) -> bytes:
    """The rows that the processor gives for a tape."""
    folder = firmware.parent
    (folder / "tape.bin").write_bytes(tape)
    rows = folder / "rows.bin"
    rows.unlink(missing_ok=True)
    command = [*processor.simulator, str(firmware)]
    if processor.name == "avr":
        command.append(str(rows))
    elif processor.simulator:
        tools.tool(processor.simulator[0])
    done = subprocess.run(command, input=tape, cwd=folder, capture_output=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr.decode(errors="replace")[-2000:]
    return rows.read_bytes() if rows.exists() else done.stdout
