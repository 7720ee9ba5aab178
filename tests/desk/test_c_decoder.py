"""The decoder in C and the one in Python are two writings of one thing: same tables, same keys, same faults."""

from __future__ import annotations

import ctypes
import random
import struct
from collections.abc import Sequence
from pathlib import Path

import pytest

from matrixmap import limits
from matrixmap.emit.keyboards.keyboard_c import keyboard_files, no_table, report_table
from matrixmap.hid import descriptor as descriptor_reader
from matrixmap.hid.descriptor import Parsed, parse_descriptor
from matrixmap.hid.keyboard import keyboard_facts
from matrixmap.hid.lights import light_report
from matrixmap.hid.recording import BOOT_DESCRIPTOR
from matrixmap.hid.report import Decoder, Keys, State
from tests import tools
from tests.desk import compiled, generate
from tests.desk.compiled import DescriptorResult, Keyboard, ReportResult, read_descriptor
from tests.desk.generate import collection, logical, main_item, page, report_id, shape, usage, usages
from tests.shipped import seeds_up_to

HERE = Path(__file__).parent
CASES = 2000

RESULTS = {
    State.KEYS: ReportResult.KEYS,
    State.ROLLED: ReportResult.ROLLED,
    State.OTHER: ReportResult.OTHER,
    State.MALFORMED: ReportResult.MALFORMED,
}


def wanted(parsed: Parsed) -> DescriptorResult:
    """What C should say about a descriptor."""
    if parsed.fault is not None:
        return DescriptorResult.MALFORMED
    reason = no_table(parsed.descriptor)
    if reason is None:
        return DescriptorResult.READ
    return DescriptorResult.NO_KEYS if reason == "it has no keys" else DescriptorResult.NO_ROOM


def made(seed: int) -> tuple[random.Random, bytes]:
    """A made-up descriptor, two of three of them broken."""
    rng = random.Random(seed)
    return rng, generate.keyboard(rng) if seed % 3 == 0 else generate.broken(rng)


def compare(libs: Sequence[ctypes.CDLL], seed: int) -> DescriptorResult:
    """One descriptor through Python, and through C by each of some compilers."""
    rng, data = made(seed)
    parsed, state = parse_descriptor(data), rng.getstate()
    results = set()
    for lib in libs:
        rng.setstate(state)
        results.add(compare_one(lib, seed, data, parsed, rng))
    (result,) = results
    return result


def compare_one(lib: ctypes.CDLL, seed: int, data: bytes, parsed: Parsed, rng: random.Random) -> DescriptorResult:
    """One descriptor, as Python has read it, through C."""
    result, size, table = read_descriptor(lib, data)
    if result is DescriptorResult.NO_ROOM and wanted(parsed) is not DescriptorResult.NO_ROOM:
        # What the table's format cannot hold, C may refuse: a report of more than 8191 bytes, or a Pop that changes the page.
        assert b"\xb4" in data or any(len_bits > 65528 for len_bits in item_bits(data))
        return result
    if parsed.fault is not None and "make a report longer" in parsed.fault.text:
        return result  # C does not measure output and feature reports
    assert result is wanted(parsed), (seed, data.hex(" "), parsed.fault)
    if parsed.fault is not None:
        assert size == parsed.fault.offset
    if result is not DescriptorResult.READ:
        return result
    assert table == report_table(parsed.descriptor).to_bytes(), (seed, data.hex(" "))
    same_keys(lib, parsed, table, rng)
    return result


def item_bits(data: bytes) -> list[int]:
    """Report Size times Report Count of every input field, as far as the bytes are items."""
    bits, size, count, at = [], 0, 0, 0
    while at < len(data):
        prefix = data[at]
        length = (0, 1, 2, 4)[prefix & 3] if prefix != 0xFE else 2 + (data[at + 1] if at + 1 < len(data) else 0)
        value = int.from_bytes(data[at + 1 : at + 1 + length], "little")
        match prefix & 0xFC:
            case 0x74:
                size = value
            case 0x94:
                count = value
            case 0x80:
                bits.append(size * count)
        bits.append(sum(bits))
        at += 1 + length
    return bits


def same_keys(lib: ctypes.CDLL, parsed: Parsed, table: bytes, rng: random.Random) -> None:
    """Reports of the right length, and some shorter, longer or of unknown ids, give the same keys."""
    keys = Keys(Decoder(parsed.descriptor))
    keyboard, beside = (Keyboard(lib, table, in_ram=rng.random() < 0.5) for _ in range(2))
    assert keyboard.sound
    same_leds(keyboard, parsed, rng.randrange(256))
    for _ in range(6):
        report = rng.choice(parsed.descriptor.inputs)
        length = max(0, report.bytes + rng.choice((0, 0, 0, 0, -1, 1)))
        sent = generate.report(rng, length, rng.choice((report.id, report.id, report.id, rng.randrange(256))))
        decoded = keys.decoder.decode(sent)
        result, down = keyboard.take(sent)
        assert down == keys.take(decoded), sent.hex(" ")
        # A table does not list the reports without keys, so that C cannot tell that one of them is unknown or short.
        assert result is RESULTS[decoded.state] or (decoded.state, result) == (State.MALFORMED, ReportResult.OTHER)
        if sent:
            numbered = parsed.descriptor.numbered
            assert beside.take_of(sent[0] if numbered else 0, sent[numbered:]) == (result, down)


def same_leds(keyboard: Keyboard, parsed: Parsed, leds: int) -> None:
    """C writes the bits where Python says that the LEDs are, and no other."""
    lights = light_report(parsed.descriptor)
    if lights is None:
        assert keyboard.leds(leds) == (0, 0, b"")
        return
    lit = sum(1 << bit for bit, usage in lights.bit_usages().items() if leds >> usage - 1 & 1)
    data = lit.to_bytes(lights.bytes, "little")[1 if lights.id else 0 :]
    assert keyboard.leds(leds) == (len(data), lights.id, data)


def test_descriptors_and_reports(libs: Sequence[ctypes.CDLL]) -> None:
    """2,000 descriptors, whole and broken: same verdict, same place of the fault, same table to the byte, same keys."""
    results = [compare(libs, seed) for seed in range(CASES)]
    assert min(results.count(result) for result in (DescriptorResult.READ, DescriptorResult.MALFORMED)) > CASES // 5
    assert results.count(DescriptorResult.NO_ROOM) < CASES // 50


@pytest.mark.campaign
def test_many_descriptors_and_reports(libs: Sequence[ctypes.CDLL]) -> None:
    """The same for 200,000 descriptors."""
    for seed in range(CASES, 200_000):
        compare(libs, seed)


def test_a_boot_keyboard_by_table_is_a_boot_keyboard(lib: ctypes.CDLL) -> None:
    """Reports through the table of the boot descriptor leave the runtime with the usages that mm_boot_report leaves."""
    from tests.runtime.table import Group, Kind, Table, crosspoint

    entries = tuple((usage, crosspoint(usage >> 4, usage & 15)) for usage in range(4, 0x80))
    plan = Table(select=16, sense=16, groups=(Group(kind=Kind.CROSSPOINT, entries=entries),)).to_bytes()
    kept = ctypes.create_string_buffer(plan, len(plan))
    size = lib.mm_test_state_size()
    by_table, by_boot = ctypes.create_string_buffer(size), ctypes.create_string_buffer(size)
    assert lib.mm_test_init(by_table, kept, len(plan))
    assert lib.mm_test_init(by_boot, kept, len(plan))
    keyboard = Keyboard(lib, report_table(parse_descriptor(BOOT_DESCRIPTOR).descriptor).to_bytes())
    rng = random.Random(8)
    rolled, empty = 0, False
    for _ in range(3000):
        report = generate.report(rng, 8, 0)
        # Reserved usages are the one thing that the two may tell apart: 0xE0 to 0xE7 in the array are no modifiers there.
        report = report[:2] + bytes(value if value < 0xE0 else 0 for value in report[2:])
        result, _ = keyboard.take(report)
        rolled += result is ReportResult.ROLLED
        # An empty field is usage 0, which the runtime keeps with the set but does not count.
        if result is not ReportResult.ROLLED:
            empty = 0 in report[2:]
        down = bytearray(keyboard.down)
        down[0] |= empty
        lib.mm_usages(by_table, 0, bytes(down))
        lib.mm_boot_report(by_boot, 0, report, len(report))
        assert by_table.raw == by_boot.raw, report.hex(" ")
    assert 100 < rolled < 2900


def test_rollover_in_one_report_leaves_the_other(lib: ctypes.CDLL) -> None:
    """While one report of a keyboard is rolled over, the keys of its other report are followed, and its modifiers too."""
    array = page(7) + usages(0, 0x65) + logical(0, 0x65) + shape(8, 3) + main_item("input", 0)
    bits = page(7) + usages(0x68, 0x6F) + logical(0, 1) + shape(1, 8) + main_item("input", 2)
    data = page(1) + usage(6) + collection(1, report_id(1) + generate.MODIFIERS + array + report_id(2) + bits)
    keys = Keys(Decoder(parse_descriptor(data).descriptor))
    keyboard = Keyboard(lib, read_descriptor(lib, data)[2])
    for report, expected in (
        ("01 01 04 05 00", {0xE0, 4, 5}),
        ("02 01", {0xE0, 4, 5, 0x68}),
        ("01 02 01 01 01", {0xE1, 4, 5, 0x68}),
        ("02 02", {0xE1, 4, 5, 0x69}),
        ("01 00 05 00 00", {5, 0x69}),
        ("02 00", {5}),
    ):
        sent = bytes.fromhex(report)
        assert keyboard.take(sent)[1] == expected
        assert keys.take(keys.decoder.decode(sent)) == expected
    keyboard.disconnect()
    assert keyboard.take(b"")[1] == frozenset()


def test_a_malformed_report_changes_nothing(lib: ctypes.CDLL) -> None:
    """A report that is too short, empty, or of an unknown id leaves the keys as they were."""
    keyboard = Keyboard(lib, report_table(parse_descriptor(BOOT_DESCRIPTOR).descriptor).to_bytes())
    assert keyboard.take(bytes([2, 0, 4, 0, 0, 0, 0, 0])) == (ReportResult.KEYS, {0xE1, 4})
    assert keyboard.take(bytes([0, 0, 5, 0, 0, 0, 0])) == (ReportResult.MALFORMED, {0xE1, 4})
    assert keyboard.take(b"") == (ReportResult.MALFORMED, {0xE1, 4})
    assert keyboard.take(bytes(9)) == (ReportResult.KEYS, frozenset())


def test_a_damaged_table_is_refused(lib: ctypes.CDLL) -> None:
    """Every table that is cut, or has one byte changed so that it would read beyond a report, is refused or stays in bounds."""
    table = report_table(parse_descriptor(BOOT_DESCRIPTOR).descriptor).to_bytes()
    for length in range(len(table)):
        assert not Keyboard(lib, table[:length]).sound
    assert not Keyboard(lib, table + b"\0").sound
    refused = 0
    for at in range(len(table)):
        for value in range(256):
            keyboard = Keyboard(lib, table[:at] + bytes([value]) + table[at + 1 :])
            refused += not keyboard.sound
            if not keyboard.sound:
                assert keyboard.take(bytes(8)) == (ReportResult.MALFORMED, frozenset())
    assert refused > len(table) * 100


def test_rooms(lib: ctypes.CDLL) -> None:
    """The table is made in exactly as many bytes as it needs, and with one less there is no room."""
    table = report_table(parse_descriptor(BOOT_DESCRIPTOR).descriptor).to_bytes()
    for room in range(len(table)):
        assert read_descriptor(lib, BOOT_DESCRIPTOR, room)[0] is DescriptorResult.NO_ROOM
    assert read_descriptor(lib, BOOT_DESCRIPTOR, len(table))[2] == table


def test_small_sizes(small_lib: ctypes.CDLL) -> None:
    """With the usual sizes too many reports, pushes and reports with keys are refused, and as many as fit are taken."""

    def with_reports(count: int, keys: int) -> bytes:
        vendor = page(0xFF00) + usage(1) + logical(0, 1) + shape(8, 1) + main_item("input", 2)
        parts = [report_id(1 + n) + (generate.MODIFIERS if n < keys else vendor) for n in range(count)]
        return page(1) + usage(6) + collection(1, b"".join(parts))

    def verdict(data: bytes) -> DescriptorResult:
        return read_descriptor(small_lib, data)[0]

    assert verdict(with_reports(12, 2)) is DescriptorResult.READ
    assert verdict(with_reports(13, 2)) is DescriptorResult.NO_ROOM
    assert verdict(with_reports(3, 3)) is DescriptorResult.NO_ROOM
    inside = generate.MODIFIERS
    assert verdict(b"\xa4" * 2 + collection(1, inside) + b"\xb4" * 2) is DescriptorResult.READ
    assert verdict(b"\xa4" * 3 + collection(1, inside) + b"\xb4" * 3) is DescriptorResult.NO_ROOM
    popped = b"\xa4" + page(7) + usages(4, 11) + b"\xb4" + logical(0, 1) + shape(1, 8) + main_item("input", 2)
    assert verdict(page(1) + collection(1, popped)) is DescriptorResult.NO_ROOM


@pytest.mark.parametrize("compiler", ["gcc", "clang"])
def test_a_written_table_compiles(compiler: str, tmp_path: Path) -> None:
    """Header and source of a keyboard compile without a warning, hold the table, and go into C++."""
    rng = random.Random(5)
    facts = keyboard_facts(parse_descriptor(BOOT_DESCRIPTOR + generate.keyboard(rng)).descriptor)
    nasty = "*/ int x = 1; \\ ??/ museum"
    texts = keyboard_files(nasty, facts, "matrixmap")
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="ascii")
    header, source = sorted(texts, reverse=True)
    symbol = header.removesuffix(".h")
    library = tmp_path / "table.so"
    flags = (*tools.STRICT, "-DMM_REPORTS=16", f"-I{compiled.RUNTIME}", f"-I{tmp_path}")
    tools.run(tools.tool(compiler), *flags, "-shared", "-fPIC", "-o", library, tmp_path / source)
    table = report_table(facts.descriptor).to_bytes()
    assert bytes((ctypes.c_uint8 * len(table)).in_dll(ctypes.CDLL(str(library)), symbol)) == table
    (tmp_path / "user.cpp").write_text(
        f'#include "{header}"\n#include "mm_descriptor.h"\nint main() {{ return {symbol}[0] - 1; }}\n'
    )
    tools.run(
        tools.tool("g++"),
        "-Wall",
        "-Wextra",
        "-Wpedantic",
        "-Werror",
        *flags[-3:],
        "-c",
        "-o",
        tmp_path / "user.o",
        tmp_path / "user.cpp",
    )


def test_too_many_reports_stop_the_compiler(tmp_path: Path) -> None:
    """A table of more reports than MM_REPORTS is a compile error that says what to define."""
    data = page(1) + usage(6) + collection(1, b"".join(report_id(n) + generate.MODIFIERS for n in (1, 2, 3)))
    texts = keyboard_files("three", keyboard_facts(parse_descriptor(data).descriptor), "matrixmap")
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="ascii")
    import subprocess

    done = subprocess.run(
        [tools.tool("gcc"), f"-I{compiled.RUNTIME}", "-c", "-o", "x.o", "mm_keyboard_three.c"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode != 0
    assert "define MM_REPORTS as that or more" in done.stderr


@pytest.mark.parametrize(
    ("compiler", "flags"),
    [
        ("avr-gcc", ["-mmcu=atmega328p", "-Os"]),
        ("arm-none-eabi-gcc", ["-mcpu=cortex-m0plus", "-mthumb", "-Os"]),
    ],
)
@pytest.mark.parametrize("name", ["mm_report", "mm_descriptor"])
def test_it_compiles_for_microcontrollers(compiler: str, flags: list[str], name: str, tmp_path: Path) -> None:
    """Without a warning, and without a byte of RAM of its own."""
    words = [
        "-std=c99",
        "-Wall",
        "-Wextra",
        "-Wpedantic",
        "-Wconversion",
        "-Wshadow",
        "-Werror",
        f"-I{compiled.RUNTIME}",
    ]
    out = tmp_path / "x.o"
    tools.run(tools.tool(compiler), *flags, *words, "-c", "-o", out, compiled.RUNTIME / f"{name}.c")
    sizes = tools.run(tools.tool(compiler.replace("gcc", "size")), out).stdout.splitlines()[1].split()
    assert sizes[1:3] == ["0", "0"]
    undefined = tools.run(tools.tool(compiler.replace("gcc", "nm")), "--undefined-only", out).stdout
    assert "malloc" not in undefined
    assert "printf" not in undefined


@pytest.mark.parametrize("port", [["-mz80"], ["-mmcs51", "--model-large"]])
@pytest.mark.parametrize("name", ["mm_report", "mm_descriptor"])
def test_it_compiles_with_sdcc(port: list[str], name: str, tmp_path: Path) -> None:
    """The same source serves a compiler for 8-bit processors."""
    words = ["--std-c99", "--Werror", f"-I{compiled.RUNTIME}", "-c", "-o", f"{tmp_path}/"]
    tools.run(tools.tool("sdcc"), *port, *words, compiled.RUNTIME / f"{name}.c", cwd=tmp_path)


def framed(descriptor: bytes, reports: list[bytes]) -> bytes:
    """A case for the fuzzer: the descriptor and the reports, each after its length."""
    return b"".join(struct.pack("<H", len(part)) + part for part in (descriptor, *reports))


def corpus(count: int) -> list[bytes]:
    """Cases that get deep into the decoder."""
    cases = []
    for seed in range(count):
        rng, data = made(seed)
        reports = [
            generate.report(rng, report.bytes, report.id)
            for report in parse_descriptor(data).descriptor.inputs
            if report.bytes < 600
        ]
        cases.append(framed(data, reports))
    return cases


def test_sanitizers_find_nothing(tmp_path: Path) -> None:
    """2,000 cases under AddressSanitizer and UndefinedBehaviorSanitizer: no wrong access, and the bounds of the header hold."""
    program = tmp_path / "cases"
    tools.run(
        tools.tool("gcc"),
        *compiled.SANITIZED,
        "-DMM_FUZZ_MAIN",
        f"-I{compiled.RUNTIME}",
        "-o",
        program,
        HERE / "fuzz_report.c",
        *compiled.SOURCES[:2],
    )
    cases = tmp_path / "cases.bin"
    cases.write_bytes(b"".join(struct.pack("<I", len(case)) + case for case in corpus(2000)))
    assert tools.run(program, cases).stdout == "2000 cases\n"


def test_fuzzing_finds_nothing(tmp_path: Path) -> None:
    """libFuzzer, from 300 made-up cases on and with a fixed seed, finds no wrong access and no broken promise in 60,000 runs."""
    program = tmp_path / "fuzz"
    tools.run(
        tools.tool("clang"),
        "-std=c99",
        "-g",
        "-O1",
        "-fsanitize=fuzzer,address,undefined",
        "-fno-sanitize-recover=undefined",
        f"-I{compiled.RUNTIME}",
        "-o",
        program,
        HERE / "fuzz_report.c",
        *compiled.SOURCES[:2],
    )
    seeds = tmp_path / "corpus"
    seeds.mkdir()
    for number, case in enumerate(corpus(300)):
        (seeds / f"{number:03}").write_bytes(case)
    tools.run(program, "-runs=60000", "-seed=8", "-max_len=2048", "-timeout=10", f"-artifact_prefix={tmp_path}/", seeds)


@pytest.mark.parametrize("seed", seeds_up_to(12, 40))
def test_as_many_usages_as_are_read(lib: ctypes.CDLL, seed: int) -> None:
    """Usages, ranges and fields are counted as Python counts them: to the most they are read, and then refused at one place."""
    rng = random.Random(seed)
    parts = [
        (1, lambda: usage(rng.randint(4, 0x1FF))),
        (1, lambda: usages(4, rng.randint(4, 0xFF))),
        (1, lambda: page(7) + b"\xa9\x01" + usage(4) + usage(5) + usages(6, 9) + b"\xa9\x00"),
        (
            1,
            lambda: (
                logical(0, 1)
                + shape(rng.choice((0, 1)), rng.choice((0, 1, 8)))
                + main_item("input", rng.choice((0, 1, 2)))
            ),
        ),
        (1, lambda: shape(1, 1) + main_item(rng.choice(("output", "feature")), 2)),
        (2, lambda: usage(rng.randint(4, 0xFF)) + logical(0, 1) + shape(1, 8) + main_item("input", 2)),
        (0, lambda: page(rng.choice((7, 7, 9)))),
    ]
    made, count = [generate.MODIFIERS], 2
    while count < limits.DESCRIPTOR_USAGES - 2:
        worth, part = rng.choice(parts)
        made.append(part())
        count += worth
    for more in range(6):
        inside = b"".join(made) + usage(4) * more + shape(1, 8) + main_item("input", 2)
        data = page(1) + usage(6) + collection(1, inside)
        parsed = parse_descriptor(data)
        result, size, table = read_descriptor(lib, data)
        assert result is wanted(parsed), (more, parsed.fault)
        if parsed.fault is None:
            assert table == report_table(parsed.descriptor).to_bytes()
        else:
            assert size == parsed.fault.offset
    assert parsed.fault is not None
    assert str(limits.DESCRIPTOR_USAGES) in parsed.fault.text


def test_the_most_usages_are_those_of_the_limits() -> None:
    """The C refuses what Python refuses, unless a firmware says otherwise."""
    text = (compiled.RUNTIME / "mm_descriptor.h").read_text(encoding="ascii")
    assert f"#define MM_DESCRIPTOR_USAGES {limits.DESCRIPTOR_USAGES} " in text


def test_a_table_too_long(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A descriptor whose table would be longer than its offsets can tell has no table, and C has no room for it.

    It is longer than what is read of anybody's descriptor, too.
    """
    lib = compiled.compile_library("gcc", tmp_path / "long.so", *compiled.LARGE, "-DMM_DESCRIPTOR_USAGES=65534")
    monkeypatch.setattr(descriptor_reader, "DESCRIPTOR_USAGES", 1 << 16)
    listed = b"".join(usage(4 + number % 2 * 7) for number in range(15000))
    data = (
        page(1) + usage(6) + collection(1, page(7) + listed + logical(0, 1) + shape(1, 15000) + main_item("input", 2))
    )
    parsed = parse_descriptor(data)
    assert parsed.fault is None
    assert no_table(parsed.descriptor) == "its table would have 75009 bytes; the runtime's decoder takes 65535"
    assert read_descriptor(lib, data)[0] is DescriptorResult.NO_ROOM
