"""What each feature of the runtime costs: bytes of flash on AVR and Cortex-M0+, bytes of RAM a state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tests import tools
from tests.project import ROOT

RUNTIME = ROOT / "matrixmap" / "runtime"
PLAIN = {
    "MM_SELECT_MAX": 8,
    "MM_SENSE_MAX": 8,
    "MM_SEQUENCES": 0,
    "MM_RESUME": 0,
    "MM_WHOLE": 0,
    "MM_TAPS": 0,
    "MM_CHECKSUM": 0,
    "MM_PADS": 0,
}
FEATURES = {
    "MM_SEQUENCES": "several strokes in turn for one press",
    "MM_RESUME": "a key that was opened for a newer one closes again",
    "MM_WHOLE": "machines that compare whole scans",
    "MM_TAPS": "a modifier that is only tapped is shown for a close time",
    "MM_CHECKSUM": "a damaged table is refused",
    "MM_PADS": "pads close the switches of two controllers",
}
"""Setting -> what it is for."""

PASTING = ("mm_type", "mm_room")
WAITING = (8, 64, 255)
FLAGS = {
    "avr": ("-mmcu=atmega328p",),
    "arm-none-eabi": ("-mcpu=cortex-m0plus", "-mthumb"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """Bytes of flash without pasted text, of the functions for that, and of a state."""

    flash: int
    pasting: int
    ram: int


def weight_of(folder: Path, prefix: str, changed: Mapping[str, int]) -> Weight:
    """The runtime on a processor, plain but for some settings."""
    source = folder / "state.c"
    source.write_text('#include "mm_runtime.h"\nmm_state one_state = {0};\n', encoding="ascii")
    defines = [f"-D{name}={value}" for name, value in {**PLAIN, **changed}.items()]
    flags = ("-std=c99", "-Os", "-ffunction-sections", *FLAGS[prefix], *defines, f"-I{RUNTIME}")
    sections: dict[str, int] = {}
    for path in (RUNTIME / "mm_runtime.c", source):
        tools.run(tools.tool(f"{prefix}-gcc"), *flags, "-c", path, "-o", folder / "one.o")
        for line in tools.run(tools.tool(f"{prefix}-size"), "-A", folder / "one.o").stdout.splitlines():
            words = line.split()
            if len(words) == 3 and words[1].isdigit():
                sections[words[0]] = sections.get(words[0], 0) + int(words[1])
    pasting = sum(sections.pop(f".text.{name}") for name in PASTING)
    flash = sum(size for name, size in sections.items() if name.startswith((".text", ".rodata")))
    return Weight(flash=flash, pasting=pasting, ram=sections[".bss"])


def section(folder: Path) -> list[str]:
    """The lines of the page."""
    plain = {prefix: weight_of(folder, prefix, {}) for prefix in FLAGS}
    lines = [
        "## What each feature costs",
        "",
        "Sizes are for 8 by 8 lines and one keyboard, at `-Os` and before linking. The first row is the runtime without any of the six settings; the others say what each feature adds by itself.",
        "Pasted text has no setting, because the linker leaves out functions that nobody calls.",
        "",
        "| feature | AVR, flash | Cortex-M0+, flash | AVR, RAM a state | Cortex-M0+, RAM a state |",
        "| --- | --- | --- | --- | --- |",
        "| none of them | "
        + " | ".join([*(str(one.flash) for one in plain.values()), *(str(one.ram) for one in plain.values())])
        + " |",
    ]

    def row(title: str, changed: Mapping[str, int]) -> str:
        made = {prefix: weight_of(folder, prefix, changed) for prefix in FLAGS}
        flash = [f"{made[prefix].flash - plain[prefix].flash:+}" for prefix in FLAGS]
        ram = [f"{made[prefix].ram - plain[prefix].ram:+}" for prefix in FLAGS]
        return f"| {title} | {' | '.join(flash + ram)} |"

    lines += [row(f"`{name}`: {what}", {name: 1}) for name, what in FEATURES.items()]
    pasting = " | ".join(f"+{one.pasting}" for one in plain.values())
    lines += [f"| `mm_type` and `mm_room`: pasted text | {pasting} | +0 | +0 |"]
    lines += [row("a second keyboard, `MM_KEYBOARDS` 2", {"MM_KEYBOARDS": 2})]
    lines += [
        "",
        "The size of a state with a longer waiting line:",
        "",
        "| `MM_WAITING` | AVR, RAM | Cortex-M0+, RAM | AVR with `MM_RESUME` | Cortex-M0+ with `MM_RESUME` |",
        "| --- | --- | --- | --- | --- |",
    ]
    for waiting in WAITING:
        cells = [
            str(weight_of(folder, prefix, {"MM_WAITING": waiting, "MM_RESUME": resume}).ram)
            for resume in (0, 1)
            for prefix in FLAGS
        ]
        lines.append(f"| {waiting} | {' | '.join(cells)} |")
    return [*lines, ""]
