"""How quickly recordings are read and replayed, in how much memory, and how large the C decoder is.

Run by hand: `python -m tests.bench.bench_desk [--reports N]`. Times are processor time of this process, so that other
work on the machine counts little; what is judged are ratios, counts and bytes.
"""

from __future__ import annotations

import argparse
import ctypes
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from matrixmap.emit.keyboards.keyboard_c import report_table
from matrixmap.hid.descriptor import parse_descriptor
from matrixmap.hid.recording import Recording, split_lines
from tests import tools
from tests.desk import compiled, make_keyboards, oracle

BLOCK = 1 << 18
STEP_US = 8_000


def write_recording(path: Path, name: str, reports: int, *, repeated: bool) -> None:
    """A recording of a visitor's keyboard: sessions again and again, or made-up reports of which hardly two are equal."""
    visitor = make_keyboards.VISITORS[name]
    rng = random.Random(1)
    descriptor = parse_descriptor(visitor.descriptor).descriptor
    length = max(report.bytes for report in descriptor.inputs)
    sessions = [[data for _, data, _, _ in make_keyboards.session(visitor, seed)] for seed in range(8)]

    def sent() -> Iterator[bytes]:
        while repeated:
            yield from rng.choice(sessions)
        while True:
            data = bytearray(rng.randbytes(length))
            data[0] = sessions[0][0][0] if descriptor.numbered else data[0]
            yield bytes(data)

    with path.open("w", encoding="ascii") as file:
        file.write(f"R: {len(visitor.descriptor)} {visitor.descriptor.hex(' ')}\n")
        now = 0
        for data, _ in zip(sent(), range(reports), strict=False):
            now += STEP_US
            file.write(f"E: {now // 1_000_000:06d}.{now % 1_000_000:06d} {len(data)} {data.hex(' ')}\n")


def blocks(path: Path) -> Iterator[bytes]:
    """A file in blocks."""
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            yield block


def read_by_us(path: Path) -> tuple[int, int]:
    """Reports and, over all of them, keys down."""
    reports = keys = 0
    for event in Recording().events(split_lines(blocks(path))):
        reports += 1
        keys += len(event.keys)
    return reports, keys


def read_by_hid_tools(path: Path) -> tuple[int, int]:
    """The same with hid-tools, by the shortest reader of this form that it allows: it decodes, but keeps no state."""
    reports = keys = 0
    descriptor = None
    with path.open(encoding="ascii") as file:
        for line in file:
            tag, _, rest = line.partition(": ")
            if tag == "R":
                descriptor = tools.module("hidtools.hid", "hid-tools").ReportDescriptor.from_string(rest)
            elif tag == "E" and descriptor is not None:
                report = [int(digits, 16) for digits in rest.split()[2:]]
                reports += 1
                keys += len(oracle.down(descriptor, report) or ())  # type: ignore[arg-type]
    return reports, keys


def seconds(function: object, *arguments: object) -> tuple[float, object]:
    """Processor time of a call, and its result."""
    start = time.process_time()
    result = function(*arguments)  # type: ignore[operator]
    return time.process_time() - start, result


def print_reading(folder: Path, reports: int) -> None:
    """Python against hid-tools on the same file in the same run."""
    print(f"Reading a recording of {reports} reports, against hid-tools on the same file:")
    for name in ("six-key", "bitmap", "two-collections"):
        for repeated in (True, False):
            path = folder / f"{name}-{repeated}.rec"
            write_recording(path, name, reports, repeated=repeated)
            ours, (count, _) = seconds(read_by_us, path)  # type: ignore[misc]
            theirs, _ = seconds(read_by_hid_tools, path)
            kind = "typing" if repeated else "random"
            print(f"  {name:16} {kind}: {count / ours:9.0f} reports/s, {theirs / ours:6.1f} times as fast")


def replay(folder: Path, reports: int) -> None:
    """A recording through the compiled runtime: from the text by the Python reader, and from bytes by the C decoder."""
    from matrixmap.cli.session import open_project
    from matrixmap.join.plan import compile_plan
    from matrixmap.press.table.make import make_table

    lib = compiled.compile_library("gcc", folder / "replay.so")
    loaded = open_project(None).layout("quillon8-en-GB-symbolic")
    assert loaded is not None
    assert loaded.value is not None
    table = make_table(compile_plan(loaded.value)).to_bytes()
    kept = ctypes.create_string_buffer(table, len(table))
    path = folder / "replay.rec"
    write_recording(path, "six-key", reports, repeated=True)

    def start() -> ctypes.Array[ctypes.c_char]:
        state = ctypes.create_string_buffer(lib.mm_test_state_size())
        assert lib.mm_test_init(state, kept, len(table))
        return state

    def from_text() -> tuple[int, int]:
        state, closed = start(), ctypes.c_uint32()
        bitmaps: dict[frozenset[int], bytes] = {}
        out, last, count = bytearray(), 0, 0
        for event in Recording().events(split_lines(blocks(path))):
            bitmap = bitmaps.get(event.keys)
            if bitmap is None:
                bitmap = bitmaps[event.keys] = sum(1 << usage for usage in event.keys).to_bytes(32, "little")
            ticks = event.time_us // 100
            out += (ticks - last).to_bytes(4, "little")
            out += bitmap
            last = ticks
            if len(out) > BLOCK:
                count += lib.mm_test_replay_sets(state, bytes(out), len(out), ctypes.byref(closed))
                out.clear()
        count += lib.mm_test_replay_sets(state, bytes(out), len(out), ctypes.byref(closed))
        return count, closed.value

    spent, (count, closed) = seconds(from_text)  # type: ignore[misc]
    print(f"Replaying {count} reports from the text file through the compiled runtime: {count / spent:.0f} reports/s")
    assert count == reports
    assert closed > reports // 2
    binary = bytearray()
    for line in path.read_text("ascii").splitlines()[1:]:
        data = bytes.fromhex("".join(line.split()[3:]))
        binary += (STEP_US // 100).to_bytes(4, "little") + len(data).to_bytes(2, "little") + data
    keyboard = compiled.Keyboard(
        lib, report_table(parse_descriptor(make_keyboards.VISITORS["six-key"].descriptor).descriptor).to_bytes()
    )
    state, total = start(), ctypes.c_uint32()
    spent, count = seconds(lib.mm_test_replay, keyboard.state, state, bytes(binary), len(binary), ctypes.byref(total))  # type: ignore[assignment]
    print(f"The same from bytes, decoder and runtime both in C: {count / spent:.0f} reports/s")


def print_memory(folder: Path, megabytes: int) -> None:
    """The most memory that `matrixmap keyboard` takes for a large recording, in a process of its own."""
    path = folder / "large.rec"
    write_recording(path, "bitmap", megabytes * 1_000_000 // 83, repeated=False)
    code = (
        "import atexit, re, sys; sys.argv = ['matrixmap', 'keyboard', sys.argv[1]]\n"
        "status = lambda: open('/proc/self/status').read()\n"
        "atexit.register(lambda: print(re.search(r'VmHWM:\\s+(\\d+)', status())[1], file=sys.stderr))\n"
        "from matrixmap.cli.main import run\nrun()"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], check=True, capture_output=True, text=True)
    peak = int(done.stderr.splitlines()[-1]) / 1024
    print(
        f"`matrixmap keyboard` on a recording of {path.stat().st_size / 1e6:.0f} MB of different reports: at most {peak:.0f} MB"
    )


def print_sizes(folder: Path) -> None:
    """Flash, and stack as the compiler tells it, of the C decoder; RAM of one keyboard."""
    print("The C decoder at -Os, bytes:")
    for title, compiler, flags in (
        ("AVR", "avr-gcc", ["-mmcu=atmega328p"]),
        ("Cortex-M0+", "arm-none-eabi-gcc", ["-mcpu=cortex-m0plus", "-mthumb"]),
    ):
        for name in ("mm_report", "mm_descriptor"):
            out = folder / f"{title}-{name}.o"
            words = [*flags, "-std=c99", "-Os", "-fstack-usage", f"-I{compiled.RUNTIME}", "-c", "-o", out]
            tools.run(tools.tool(compiler), *words, compiled.RUNTIME / f"{name}.c")
            text, data, bss = (
                tools.run(tools.tool(compiler.replace("gcc", "size")), out).stdout.splitlines()[1].split()[:3]
            )
            frames = [int(line.split("\t")[1]) for line in out.with_suffix(".su").read_text().splitlines()]
            print(
                f"  {title:10} {name:13} flash {text:>5}  static RAM {int(data) + int(bss)}  largest frame {max(frames)}"
            )
        source = folder / "ram.c"
        source.write_text('#include "mm_report.h"\nmm_report_state keyboard;\n')
        out = folder / f"{title}-ram.o"
        tools.run(
            tools.tool(compiler),
            *flags,
            "-std=c99",
            "-Os",
            "-fno-common",
            "-DMM_REPORTS=1",
            f"-I{compiled.RUNTIME}",
            "-c",
            "-o",
            out,
            source,
        )
        bss = tools.run(tools.tool(compiler.replace("gcc", "size")), out).stdout.splitlines()[1].split()[2]
        print(f"  {title:10} RAM of a keyboard with one report {bss}, and 32 for each report more")
    for name, visitor in make_keyboards.VISITORS.items():
        print(
            f"  table of the keyboard {name}: {len(report_table(parse_descriptor(visitor.descriptor).descriptor).to_bytes())}"
        )


def main() -> None:
    """Everything."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--reports", type=int, default=1_000_000, help="reports that are replayed")
    parser.add_argument("--decoded", type=int, default=20_000, help="reports that hid-tools decodes too")
    parser.add_argument("--megabytes", type=int, default=100, help="size of the large recording")
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        print_reading(Path(folder), wanted.decoded)
        replay(Path(folder), wanted.reports)
        print_memory(Path(folder), wanted.megabytes)
        print_sizes(Path(folder))


if __name__ == "__main__":
    main()
