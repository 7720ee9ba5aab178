"""What the runtime costs on microcontrollers: python -m tests.bench.bench_runtime [--write].

Bytes come from the compilers, AVR cycles from simavr, instructions on Cortex-M and RISC-V from qemu's log of executed
instructions; all are exact and the same on every run with the same compilers. `--write` keeps them in docs/figures.md.
Of these figures, those of contacts that follow select lines can be made alone: python -m tests.bench.bench_follow --write.
"""

from __future__ import annotations

import random
import re
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from matrixmap.hid.usages import BOOT_KEYS
from matrixmap.model.plan import Demand, Plan, Stroke
from matrixmap.simulate import tape
from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.typing.reports import boot_report
from tests import tools
from tests.agree.layouts import FEW, few_plans
from tests.agree.processors import HERE as TARGETS
from tests.agree.processors import PROCESSORS, Processor, build_firmware
from tests.agree.streams import Stream, Typist, random_stream
from tests.bench import bench_follow, bench_pads, features, sharing, worst_case
from tests.bench.executed import executed
from tests.project import ROOT, shipped_ids, shipped_plan

BY_HAND = Path(__file__).with_name("by_hand")
FIGURES = ROOT / "docs" / "figures.md"
LAYOUT = "quillon8-en-GB-symbolic"
BY_NAME = {processor.name: processor for processor in PROCESSORS}
ONE_KEYBOARD = Sizes()
RUNTIME_CALLS = ("mm_boot_report", "mm_usages", "mm_advance")

SIZED = {
    "AVR (ATmega328P)": ("avr", ("-mmcu=atmega328p",), "avr-size"),
    "Cortex-M0+": ("cortex-m0plus", ("-mcpu=cortex-m0plus", "-mthumb", "-ffreestanding"), "arm-none-eabi-size"),
    "RISC-V (RV32IMC)": (
        "rv32",
        ("-march=rv32imc", "-mabi=ilp32", "-ffreestanding", f"-I{TARGETS / 'bare'}"),
        "riscv64-unknown-elf-size",
    ),
}
"""Title -> processor, flags that choose it, and the tool that tells sizes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """Bytes of one target: code of the runtime, tables of the shipped layouts, a state of 8 by 8 and of 16 by 16 lines."""

    title: str
    runtime: int
    tables: tuple[int, ...]
    state_8: int
    state_16: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """Cycles or instructions of what a firmware does for a report: median, worst, and how many were counted."""

    title: str
    unit: str
    median: int
    worst: int
    count: int


def section_sizes(tool: str, path: Path) -> tuple[int, int, int]:
    """Text, data and bss of an object file."""
    words = tools.run(tools.tool(tool), path).stdout.splitlines()[1].split()
    return int(words[0]), int(words[1]), int(words[2])


def compile_object(processor: Processor, flags: Sequence[str], source: Path, out: Path, folder: Path) -> Path:
    """One object file at -Os."""
    tools.run(tools.tool(processor.compiler), "-std=c99", "-Os", *flags, f"-I{folder}", "-c", source, "-o", out)
    return out


def size_of(title: str, folder: Path, plans: Sequence[Plan]) -> Size:
    """The bytes of a target."""
    name, flags, tool = SIZED[title]
    processor = BY_NAME[name]
    build_firmware(processor, plans, ONE_KEYBOARD, folder)
    (folder / "state.c").write_text('#include "mm_runtime.h"\nmm_state one_state = {0};\n', encoding="ascii")

    def compiled(source: str, *more: str) -> tuple[int, int, int]:
        path = compile_object(processor, (*flags, *more), folder / source, folder / "one.o", folder)
        return section_sizes(tool, path)

    runtime = compiled("mm_runtime.c")
    assert runtime[1:] == (0, 0), "the runtime has variables of its own"
    tables = [compiled(f"{plan.id}.c") for plan in plans]
    assert all(table[1:] == (0, 0) for table in tables), "a table takes RAM"
    state_16 = compiled("state.c", "-DMM_SELECT_MAX=16", "-DMM_SENSE_MAX=16")
    return Size(
        title=title,
        runtime=runtime[0],
        tables=tuple(table[0] for table in tables),
        state_8=compiled("state.c", "-DMM_SELECT_MAX=8", "-DMM_SENSE_MAX=8")[2],
        state_16=state_16[2],
    )


def boot_stream(plan: Plan, seed: int, events: int) -> Stream:
    """Boot reports of somebody who types as hastily as can be, with layout 0; now and then all keys change at once."""
    rng = random.Random(seed)
    typist = Typist(rng, plan, 1)
    stream = [tape.start(0)]
    while len(stream) < events:
        _, down = typist.move(BOOT_KEYS)
        if rng.random() < 0.1:
            down.clear()
            down.update(rng.sample(typist.bound, BOOT_KEYS))
        stream += [tape.boot_report(boot_report(down)), tape.run(rng.choice((0, 5, 21, 75, 401, 421)))]
    return stream


def busy_stream(plan: Plan, seed: int, events: int) -> Stream:
    """Anything at all with layout 0."""
    return random_stream(seed, plan, 0, events)


def avr_calls(firmware: Path, stream: bytes, functions: Sequence[str]) -> tuple[list[tuple[str, int]], int]:
    """Each call of the functions with its cycles, in order, and the most stack that one took."""
    addresses = {}
    for line in tools.run(tools.tool("avr-nm"), firmware).stdout.splitlines():
        address, _, name = line.split()[-3:]
        addresses[name] = address
    words = [f"0x{addresses[name]}" for name in functions]
    done = subprocess.run(
        [firmware.parent / "avr-host", firmware, firmware.parent / "rows.bin", *words],
        input=stream,
        capture_output=True,
        timeout=600,
        check=True,
    )
    calls, stack = [], 0
    for which, cycles, depth in re.findall(r"^call (\d+) (\d+) (\d+)$", done.stderr.decode(), re.MULTILINE):
        calls.append((functions[int(which)], int(cycles)))
        stack = max(stack, int(depth))
    return calls, stack


def report_costs(calls: Sequence[tuple[str, int]], kind: str) -> list[int]:
    """Cost of each report of a kind and the call of mm_advance that follows it."""
    pairs = pairwise(calls)
    return [first[1] + second[1] for first, second in pairs if first[0] == kind and second[0] == "mm_advance"]


def summary(title: str, unit: str, costs: Sequence[int]) -> Cost:
    """Median and worst."""
    return Cost(title=title, unit=unit, median=int(statistics.median(costs)), worst=max(costs), count=len(costs))


def avr_costs(folder: Path, events: int) -> tuple[list[Cost], int]:
    """Cycles on an ATmega328P for a boot report, a bitmap, and one call of mm_advance, over a few layouts; most stack."""
    boot: list[int] = []
    bitmap: list[int] = []
    advance: list[int] = []
    deepest = 0
    for number, id in enumerate(FEW):
        own = folder / id
        own.mkdir()
        plan = shipped_plan(id)
        firmware = build_firmware(BY_NAME["avr"], [plan], ONE_KEYBOARD, own)
        for stream, costs_of in ((boot_stream, "mm_boot_report"), (busy_stream, "mm_usages")):
            calls, stack = avr_calls(firmware, b"".join(stream(plan, number, events)), RUNTIME_CALLS)
            (boot if costs_of == "mm_boot_report" else bitmap).extend(report_costs(calls, costs_of))
            advance += [cycles for name, cycles in calls if name == "mm_advance"]
            deepest = max(deepest, stack)
    costs = [
        summary("a boot report and one mm_advance", "cycles", boot),
        summary("a bitmap and one mm_advance", "cycles", bitmap),
        summary("one mm_advance", "cycles", advance),
    ]
    return costs, deepest


def traced_calls(processor: Processor, firmware: Path, stream: bytes, nm: str) -> list[tuple[str, int]]:
    """Each call of the runtime with the instructions executed in it, from qemu's log."""
    (firmware.parent / "tape.bin").write_bytes(stream)
    symbols = []
    for line in tools.run(tools.tool(nm), "-S", firmware).stdout.splitlines():
        words = line.split()
        if len(words) == 4 and words[2] in "tT":
            symbols.append((int(words[0], 16) & ~1, int(words[1], 16), words[3]))
    entries = {address: name for address, _, name in symbols if name in RUNTIME_CALLS}
    players = ("mm_play", "settle", "run", "show", "put_row", "main")
    outside = [range(address, address + size) for address, size, name in symbols if name.split(".")[0] in players]
    calls: list[tuple[str, int]] = []
    inside, count = "", 0
    for at in executed(processor, firmware):
        if not inside and at in entries:
            inside, count = entries[at], 1
        elif inside and any(at in part for part in outside):
            calls.append((inside, count))
            inside = ""
        elif inside:
            count += 1
    return calls


def instruction_costs(name: str, nm: str, folder: Path, events: int) -> Cost:
    """Instructions for a boot report and one mm_advance."""
    plan = shipped_plan(LAYOUT)
    firmware = build_firmware(BY_NAME[name], [plan], ONE_KEYBOARD, folder)
    calls = traced_calls(BY_NAME[name], firmware, b"".join(boot_stream(plan, 0, events)), nm)
    return summary("a boot report and one mm_advance", "instructions", report_costs(calls, "mm_boot_report"))


@dataclass(frozen=True, slots=True, kw_only=True)
class ByHand:
    """A table or switch written by hand, on AVR: bytes of flash and cycles of a report."""

    title: str
    flash: int
    cost: Cost


def by_hand_entries(plan: Plan) -> dict[tuple[int, int], tuple[int, int]]:
    """(usage, level - 1) -> place and flags, for keys that close one crosspoint."""
    machine = plan.layout.machine
    shift = next(number for number, one in enumerate(machine.modifiers) if one.name == "shift")
    found = {}
    for binding in plan.bindings:
        action = binding.action
        if isinstance(action, Stroke) and not binding.trigger.extras and len(action.contacts) == 1:
            lines = machine.lines(action.contacts[0])
            if lines is not None:
                demand = action.demands[shift]
                flags = 1 if demand is Demand.HOLD else 2 if demand is Demand.LIFT else 0
                found[binding.trigger.usage, binding.trigger.level - 1] = (lines[0] << 4 | lines[1], flags)
    return found


def write_by_hand(folder: Path, plan: Plan) -> None:
    """The header with the table and the cases."""
    entries = by_hand_entries(plan)
    first_shift = plan.layout.machine.key(plan.layout.machine.modifiers[0].keys[0]).contact
    lines = plan.layout.machine.lines(first_shift)
    assert lines is not None
    cells = (entries.get((usage, level), (0xFF, 0xFF)) for usage in range(256) for level in range(4))
    rows = ", ".join(f"{{{place}, {flags}}}" for place, flags in cells)
    rows = re.sub(r"((?:\{\d+, \d+\}, ){3}\{\d+, \d+\})", r"{\1}", rows)
    cases = " ".join(
        f"case {usage << 2 | level}: return {place | flags << 8};" for (usage, level), (place, flags) in entries.items()
    )
    text = "\n".join(
        [
            '#include "mm_runtime.h"',
            "#define BY_HAND_NOTHING 0xFFFFu",
            "#define BY_HAND_HOLD 0x100u",
            "#define BY_HAND_LIFT 0x200u",
            f"#define BY_HAND_SHIFT {lines[0] << 4 | lines[1]}u",
            f"#define BY_HAND_TABLE {{{rows}}}",
            f"#define BY_HAND_CASES {cases}",
            "void by_hand_report(const uint8_t *report, uint8_t *rows);",
            "",
        ]
    )
    (folder / "by_hand.h").write_text(text, encoding="ascii")


def by_hand_costs(folder: Path, events: int) -> list[ByHand]:
    """The hand-written ways on AVR, with the boot reports of the same stream."""
    plan = shipped_plan(LAYOUT)
    build_firmware(BY_NAME["avr"], [plan], ONE_KEYBOARD, folder)
    write_by_hand(folder, plan)
    stream = boot_stream(plan, FEW.index(LAYOUT), events)
    boot = b"".join(event[3:] for event in stream if event[:1] == b"b" and len(event) == 11)
    found = []
    for title, flags in (("a table [256][4]", ()), ("a switch over usage and level", ("-DBY_HAND_SWITCH",))):
        words = (tools.tool("avr-gcc"), "-mmcu=atmega328p", "-std=c99", "-Os", *flags, f"-I{folder}")
        firmware = folder / "by-hand.elf"
        tools.run(*words, "-o", firmware, BY_HAND / "by_hand_avr.c", BY_HAND / "by_hand.c")
        tools.run(*words, "-c", BY_HAND / "by_hand.c", "-o", folder / "by-hand.o")
        calls, _ = avr_calls(firmware, boot, ("by_hand_report",))
        cost = summary("a boot report", "cycles", [cycles for _, cycles in calls])
        found.append(ByHand(title=title, flash=section_sizes("avr-size", folder / "by-hand.o")[0], cost=cost))
    return found


def versions() -> list[str]:
    """The compilers, as they name themselves."""
    names = ("avr-gcc", "arm-none-eabi-gcc", "riscv64-unknown-elf-gcc")
    return [tools.run(tools.tool(name), "--version").stdout.splitlines()[0] for name in names]


def measure(folder: Path, events: int, traced: int) -> str:
    """The page of figures."""
    plans = few_plans()
    sizes = []
    for number, title in enumerate(SIZED):
        own = folder / f"size{number}"
        own.mkdir()
        sizes.append(size_of(title, own, plans))
    for name in ("avr", "arm", "rv32", "hand", "follow", "features", "pads"):
        (folder / name).mkdir()
    costs, stack = avr_costs(folder / "avr", events)
    arm = instruction_costs("cortex-m0plus", "arm-none-eabi-nm", folder / "arm", traced)
    rv32 = instruction_costs("rv32", "riscv64-unknown-elf-nm", folder / "rv32", traced)
    shipped = [shipped_plan(id) for id in shipped_ids()]
    machines = {
        plan.layout.machine.id: [one for one in shipped if one.layout.machine == plan.layout.machine]
        for plan in shipped
    }
    sections = [
        *worst_case.section(worst_case.replay(folder / "worst", worst_case.read_cases())),
        *features.section(folder / "features"),
        *sharing.section(machines),
    ]
    by_hand = by_hand_costs(folder / "hand", events)
    text = page(sizes, costs, stack, {"Cortex-M0+": arm, "RISC-V (RV32IMC)": rv32}, by_hand, sections)
    text = bench_follow.with_section(text, bench_follow.section(bench_follow.measure_all(folder / "follow")))
    return bench_pads.with_section(text, bench_pads.section(folder / "pads"))


def page(
    sizes: Sequence[Size],
    avr: Sequence[Cost],
    stack: int,
    others: dict[str, Cost],
    hand: Sequence[ByHand],
    sections: Sequence[str],
) -> str:
    """The figures as Markdown; `sections` are lines of further ones."""
    ids = FEW
    lines = [
        "# Figures of the runtime",
        "",
        "`python -m tests.bench.bench_runtime --write` makes this page; do not edit it by hand.",
        "Sizes are bytes at `-Os`; cycles are exact counts from simavr, instructions are exact counts from qemu.",
        f"The streams of reports are random and fast, on {len(ids)} layouts of the Quillon 8 (8 by 8 lines, one keyboard); a bitmap may contain any keys.",
        "",
        "## Memory",
        "",
        "| target | runtime, flash | a table, flash | state, 8 by 8 | state, 16 by 16 |",
        "| --- | --- | --- | --- | --- |",
    ]
    for size in sizes:
        tables = f"{min(size.tables)} to {max(size.tables)}"
        lines.append(f"| {size.title} | {size.runtime} | {tables} | {size.state_8} | {size.state_16} |")
    lines += [
        "",
        f"The tables are those of {len(ids)} layouts; the largest of all layouts is [further down](#tables-together).",
        "The runtime has no variables of its own, and tables take no RAM: another layout costs only its table in flash.",
        f"The deepest stack of one call on AVR is {stack} bytes, including its return address.",
        "",
        "## Time",
        "",
        "These times are for the random streams; [the worst moment](#the-worst-moment) comes from a search.",
        "",
        "| target | what | unit | median | worst | counted |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    rows = [("AVR (ATmega328P)", cost) for cost in avr] + list(others.items())
    for title, cost in rows:
        lines.append(f"| {title} | {cost.title} | {cost.unit} | {cost.median} | {cost.worst} | {cost.count} |")
    lines += [
        "",
        "## Against a table by hand",
        "",
        f"For comparison, this is code written by hand for the one layout {LAYOUT}, on AVR: it turns a boot report into contacts.",
        "It has no times, guard, waiting line, locks, commands or several keyboards, so it loses and garbles keys that the runtime keeps.",
        "",
        "| way | flash, code and data | a boot report, median cycles | worst |",
        "| --- | --- | --- | --- |",
    ]
    lines += [f"| {one.title} | {one.flash} | {one.cost.median} | {one.cost.worst} |" for one in hand]
    own = sizes[0].runtime + sizes[0].tables[ids.index(LAYOUT)]
    lines.append(f"| the runtime and its table | {own} | {avr[0].median} | {avr[0].worst} |")
    lines += ["", *sections, "Compilers: " + "; ".join(versions()) + ".", ""]
    return "\n".join(lines)


def main() -> None:
    """Prints the figures, and keeps them if asked to."""
    with tempfile.TemporaryDirectory() as folder:
        text = measure(Path(folder), 3000, 300)
    print(text)
    if "--write" in sys.argv[1:]:
        FIGURES.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
