"""Which instructions does firmware execute in qemu, which counts no cycles? By its log."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator, Mapping
from pathlib import Path

from tests import tools
from tests.agree.processors import PROCESSORS, Processor, copy_files, flags_in

CORTEX = next(each for each in PROCESSORS if each.name == "cortex-m0plus")


def executed(processor: Processor, firmware: Path) -> Iterator[int]:
    """The address of each instruction, one after the other; the firmware runs in its own folder."""
    simulator, *flags = processor.simulator[:-1]
    log = firmware.parent / "log.txt"
    command = [tools.tool(simulator), *flags, "-singlestep", "-d", "exec,nochain", "-D", log, "-kernel", firmware]
    subprocess.run(command, cwd=firmware.parent, check=True, timeout=600, capture_output=True)
    with log.open(encoding="ascii", errors="replace") as lines:
        for line in lines:
            match = re.match(r"Trace \d+: 0x[0-9a-f]+ \[[0-9a-f]+/([0-9a-f]+)/", line)
            if match:
                yield int(match.group(1), 16)


def cortex_firmware(folder: Path, name: str) -> tuple[Path, Mapping[str, int]]:
    """Firmware of bench.c and the driver `name` of a folder for a Cortex-M0+ at -Os, and where its functions begin."""
    copy_files(folder)
    elf = folder / "bench.elf"
    sources = (folder / "bench.c", folder / f"{name}.c", folder / "semihosting.c")
    flags = ("-Os", *flags_in(CORTEX, folder), f"-I{folder}")
    tools.run(tools.tool(CORTEX.compiler), *flags, *sources, "-o", elf, "-lgcc")
    listed = tools.run(tools.tool("arm-none-eabi-nm"), elf).stdout
    found = re.findall(r"^([0-9a-f]+) T (\w+)$", listed, re.MULTILINE)
    return elf, {symbol: int(value, 16) & ~1 for value, symbol in found}
