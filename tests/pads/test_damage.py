"""The C decoder of pads under sanitizers and a fuzzer, and for microcontrollers."""

from __future__ import annotations

import ctypes
import random
import struct
from pathlib import Path

import pytest

from matrixmap.emit.keyboards.pad_c import PAD_DESCRIPTOR_BYTES, pad_table
from matrixmap.hid.descriptor import parse_descriptor
from matrixmap.hid.pads.decoder import PadResult
from matrixmap.hid.pads.steps import pads_of
from tests import tools
from tests.bench.bench_pads import usual_pad
from tests.desk.compiled import RUNTIME, SANITIZED
from tests.pads import generate
from tests.pads.compiled import SOURCES, CPad
from tests.pads.test_c_decoder import made
from tests.shipped import in_campaign

HERE = Path(__file__).parent
RUNS = 20_000


def tables(count: int) -> list[bytes]:
    """Tables of whole descriptors."""
    found = []
    for seed in range(0, 3 * count, 3):
        descriptor = parse_descriptor(made(seed)[1]).descriptor
        found += [pad_table(descriptor, pad).to_bytes() for pad in pads_of(descriptor) if pad.reports and not pad.fault]
    return found


MAP = bytes((1, 50, 40, 1, 7, 0xE8, 2, 1, 2, 1, 2, 36, 42, 2, 1, 37, 0, 1, 0, 2, 0, 1))
"""A button that is usage 0xE8, a controller 1 with up and down, a controller 0 with two switches."""


def corpus(count: int) -> list[bytes]:
    """Cases that get deep into the decoder: descriptors with reports, tables, and maps."""
    cases = [MAP, *(bytes(table) for table in tables(count // 4))]
    for seed in range(count):
        rng, data = made(seed)
        reports = [
            generate.report(rng, report.bytes, report.id)
            for _ in range(3)
            for report in parse_descriptor(data).descriptor.inputs
            if report.bytes < 600
        ]
        cases.append(b"".join(struct.pack("<H", len(part)) + part for part in (data, *reports)))
    return cases


def test_sanitizers_find_nothing(tmp_path: Path) -> None:
    """Some thousand cases under AddressSanitizer and UndefinedBehaviorSanitizer: no wrong access, and what the header promises holds."""
    program = tmp_path / "cases"
    words = (*SANITIZED, "-DMM_PADS=1", "-DMM_FUZZ_MAIN", f"-I{RUNTIME}")
    tools.run(tools.tool("gcc"), *words, "-o", program, HERE / "fuzz_pad.c", *SOURCES)
    found = corpus(2_000)
    cases = tmp_path / "cases.bin"
    cases.write_bytes(b"".join(struct.pack("<I", len(case)) + case for case in found))
    assert tools.run(program, cases).stdout == f"{len(found)} cases\n"


def test_fuzzing_finds_nothing(tmp_path: Path) -> None:
    """libFuzzer, from made-up cases on and with a fixed seed, finds no wrong access and no broken promise in 20,000 runs."""
    program = tmp_path / "fuzz"
    sanitizers = ("-fsanitize=fuzzer,address,undefined", "-fno-sanitize-recover=undefined")
    words = ("-std=c99", "-g", "-O1", *sanitizers, "-DMM_PADS=1", f"-I{RUNTIME}")
    tools.run(tools.tool("clang"), *words, "-o", program, HERE / "fuzz_pad.c", *SOURCES)
    seeds = tmp_path / "corpus"
    seeds.mkdir()
    for number, case in enumerate(corpus(300)):
        (seeds / f"{number:03}").write_bytes(case)
    tools.run(
        program, f"-runs={RUNS}", "-seed=8", "-max_len=2048", "-timeout=10", f"-artifact_prefix={tmp_path}/", seeds
    )


def test_a_damaged_table_is_refused_or_read_within_its_bounds(lib: ctypes.CDLL) -> None:
    """No cut table starts, nor one of another version; none at all is malformed."""
    for table in tables(60):
        assert CPad(lib, table).sound
        for length in range(len(table)):
            assert not CPad(lib, table[:length]).sound
        assert not CPad(lib, bytes([table[0] + 1]) + table[1:]).sound
        assert not CPad(lib, table + b"\0").sound


TARGETS = [
    ("avr-gcc", ["-mmcu=atmega328p", "-Os"]),
    ("arm-none-eabi-gcc", ["-mcpu=cortex-m0plus", "-mthumb", "-Os"]),
]
WARNINGS = ["-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wshadow", "-Werror"]


@pytest.mark.parametrize(("compiler", "flags"), TARGETS)
@pytest.mark.parametrize("name", ["mm_pad", "mm_descriptor"])
def test_it_compiles_for_microcontrollers(compiler: str, flags: list[str], name: str, tmp_path: Path) -> None:
    """Without a warning, without a byte of RAM of its own, without floating point and products of 64 bits."""
    out = tmp_path / "x.o"
    words = [*flags, *WARNINGS, "-DMM_PADS=1", f"-I{RUNTIME}"]
    tools.run(tools.tool(compiler), *words, "-c", "-o", out, RUNTIME / f"{name}.c")
    sizes = tools.run(tools.tool(compiler.replace("gcc", "size")), out).stdout.splitlines()[1].split()
    assert sizes[1:3] == ["0", "0"]
    undefined = tools.run(tools.tool(compiler.replace("gcc", "nm")), "--undefined-only", out).stdout
    for unwanted in ("malloc", "printf", "float", "sf", "df", "muldi", "divdi", "lmul"):
        assert unwanted not in undefined


@pytest.mark.parametrize(("compiler", "flags"), TARGETS)
def test_keyboards_alone_pay_nothing(compiler: str, flags: list[str], tmp_path: Path) -> None:
    """Without MM_PADS the descriptor reader has no function of pads."""
    out = tmp_path / "x.o"
    tools.run(tools.tool(compiler), *flags, f"-I{RUNTIME}", "-c", "-o", out, RUNTIME / "mm_descriptor.c")
    assert "pad" not in tools.run(tools.tool(compiler.replace("gcc", "nm")), out).stdout


@pytest.mark.parametrize("port", [["-mz80"], pytest.param(["-mmcs51", "--model-large"], marks=pytest.mark.campaign)])
@pytest.mark.parametrize("name", ["mm_pad", in_campaign("mm_descriptor")])
def test_it_compiles_with_sdcc(port: list[str], name: str, tmp_path: Path) -> None:
    """The same source serves a compiler for 8-bit processors."""
    words = ["--std-c99", "--Werror", "-DMM_PADS=1", f"-I{RUNTIME}", "-c", "-o", f"{tmp_path}/"]
    tools.run(tools.tool("sdcc"), *port, *words, RUNTIME / f"{name}.c", cwd=tmp_path)


def test_usual_pads_fit_in_128_bytes() -> None:
    """A pad with two sticks, two triggers, a hat of eight and sixteen buttons over one report needs a table of less than 128 bytes."""
    descriptor = parse_descriptor(usual_pad()).descriptor
    (pad,) = pads_of(descriptor)
    assert len(pad.steps) == 8
    assert len(pad_table(descriptor, pad).to_bytes()) == 75 < PAD_DESCRIPTOR_BYTES


def test_how_large_tables_are() -> None:
    """Of made-up pads, whose fields are odder and more than those of real ones, at least nine in ten fit in 128 bytes."""
    sizes = sorted(len(table) for table in tables(600))
    assert sizes[len(sizes) * 9 // 10] <= PAD_DESCRIPTOR_BYTES


def test_random_steps_are_taken_or_refused(lib: ctypes.CDLL) -> None:
    """Of 20,000 tables of one report of 20 bytes and one random step some start and some do not; those take the report."""
    rng = random.Random(1)
    started = 0
    for _ in range(20_000):
        kind = rng.randint(0, 6)
        size = {2: 11, 4: 9, 5: 7}.get(kind, 6)
        step = bytes((kind, rng.randrange(180), rng.choice((0, 0, 0, 1)))) + bytes(
            rng.choice((0, 0, 1, rng.randrange(20), rng.randrange(256))) for _ in range(size - 3)
        )
        pad = CPad(lib, bytes((1, 0, 1, size, 0)) + step + bytes((0, 20, 0)))
        started += pad.sound
        result, _ = pad.take(rng.randbytes(20))
        assert result is (PadResult.TAKEN if pad.sound else PadResult.MALFORMED)
    assert 500 < started < 10_000, started
