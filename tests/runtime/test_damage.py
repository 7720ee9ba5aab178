"""Damaged tables, odd reports and odd clocks: defined results, never a read or write out of bounds."""

from __future__ import annotations

import ctypes
import random
import struct
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tests.shipped import in_campaign

from .conftest import RUNTIME, SHIM, SMALL, STRICT, build, run, tool
from .engine import NEVER, Engine, Result, load
from .layouts import CLOSE, LAYOUT, A, B
from .table import RESUME, WHOLE, Group, Kind, Table, with_checksum

SEQUENCES = 0x40
"""In the flags: the table has strokes in turn."""

SANITIZED = ["-O1", "-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all"]
FILTER = Path(__file__).with_name("filter.c")
HEADER = 17


SETTINGS = {
    "gcc": ("-DMM_KEYBOARDS=2", "-DMM_WHOLE=1", "-DMM_RESUME=1", "-DMM_SEQUENCES=1"),
    "clang": ("-DMM_KEYBOARDS=2", "-DMM_WAITING=3", "-DMM_HELD=3"),  # the state then ends with its last key set
    "gcc small": (*SMALL, "-DMM_HELD=1", "-DMM_WAITING=1"),
}


@pytest.fixture(scope="module", params=["gcc", in_campaign("clang"), in_campaign("gcc small")])
def sanitized(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The filter program under the address and undefined behaviour sanitizers."""
    compiler = request.param.split()[0]
    program = tmp_path_factory.mktemp("filter") / "filter"
    # gcc takes an array at the end of a struct for one of any length, unless told otherwise.
    strict = ["-fsanitize=bounds-strict"] if compiler == "gcc" else []
    sources = (*sorted(RUNTIME.glob("*.c")), FILTER)
    flags = (*STRICT, *SANITIZED, *strict, *SETTINGS[request.param], f"-I{RUNTIME}")
    run(tool(compiler), *flags, "-o", program, *sources)
    return program


def play(program: Path, records: bytes) -> bytes:
    """What the filter writes; a sanitizer's complaint is a failure."""
    done = subprocess.run([program], input=records, capture_output=True, timeout=120)
    assert done.returncode == 0, done.stderr.decode()[:4000]
    return done.stdout


def table_record(letter: str, table: bytes) -> bytes:
    """A record that hands over a table."""
    return letter.encode() + struct.pack("<H", len(table)) + table


def events(rng: random.Random, count: int) -> bytes:
    """Random reports, bitmaps, losses of links and times."""
    out = bytearray()
    now = rng.randrange(0x10000)
    for _ in range(count):
        kind = rng.random()
        keyboard = rng.choice((0, 0, 0, 1, 2, 255))
        if kind < 0.3:
            length = rng.choice((8, 8, 8, 8, 0, 7, 9, 64))
            usages = bytes(
                rng.choice((0, 1, 4, 5, 6, 0x1E, 0x39, 0x3A, 0x53, 0x59, 0xE1, rng.randrange(256)))
                for _ in range(length)
            )
            out += b"R" + bytes((keyboard, length)) + usages
        elif kind < 0.4:
            out += b"U" + bytes((keyboard,)) + bytes(rng.randrange(256) & rng.randrange(256) for _ in range(32))
        elif kind < 0.42:
            out += b"D" + bytes((keyboard,))
        elif kind < 0.45:
            out += b"C"
        else:
            now += rng.choice((0, 1, 20, 300, 0x7FFF, 0x8000, 0xFFFF))
            out += b"A" + struct.pack("<H", now & 0xFFFF)
    return bytes(out)


def damaged(rng: random.Random) -> bytes:
    """A table of which something is wrong, mostly inside, and mostly behind a right checksum."""
    table = bytearray(LAYOUT.to_bytes())
    for _ in range(rng.randrange(1, 6)):
        table[rng.randrange(len(table))] = rng.randrange(256)
    if rng.random() < 0.2:
        del table[rng.randrange(len(table)) :]
    return bytes(table) if rng.random() < 0.2 else with_checksum(bytes(table[:-2]))


def sound_but_odd(rng: random.Random) -> bytes:
    """A table whose counts fit and whose other bytes are random."""
    counts = [rng.randrange(9), rng.randrange(1, 5), rng.randrange(3), rng.randrange(3)]
    body = bytearray(rng.randbytes(sum(n * size for n, size in zip(counts, (2, 2, 3, 8), strict=True))))
    groups = rng.randrange(1, 6)
    for _ in range(groups):
        entries = rng.randrange(12)
        body += bytes(
            (
                rng.randrange(256),
                rng.randrange(counts[1]),
                rng.randrange(32) << 3 | rng.choice((0, 0, 1, 2, 3, 4, 5, 6, 7)),
                entries,
            )
        )
        # Usages from 0xE8 on would be refused at once, as most chords of random numbers are.
        for usage in sorted(rng.sample(range(0xE8), entries)):
            body += bytes((usage if rng.random() < 0.5 else rng.randrange(4, 0x20), rng.randrange(256)))
    head = [3, rng.randrange(17), rng.randrange(17), rng.randrange(256), *counts, groups]
    flags, *rest = rng.randbytes(8)
    # A runtime without sequences refuses each table that says it has some, and so on.
    if rng.random() < 0.75:
        flags &= ~(SEQUENCES | RESUME | WHOLE)
    return with_checksum(bytes((*head, flags, *rest)) + bytes(body))


def test_damage_reads_nothing_outside(sanitized: Path) -> None:
    """Random damage to a table, at the start and by a layout change, never leads out of its bytes."""
    for records in damaged_runs():
        play(sanitized, records)


@cache
def damaged_runs() -> tuple[bytes, ...]:
    """Damaged tables with events on them, which are the same for every compiler."""
    rng = random.Random(5)
    runs = []
    for _ in range(60):
        records = bytearray(table_record("T", rng.choice((damaged, sound_but_odd))(rng)))
        for _ in range(20):
            records += events(rng, 60)
            records += table_record(rng.choice("LLLT"), rng.choice((damaged, sound_but_odd, sound_but_odd))(rng))
        runs.append(bytes(records))
    return tuple(runs)


def test_odd_tables_are_taken(sanitized: Path) -> None:
    """The random tables of the test above are not all refused: most that fit are played."""
    rng = random.Random(6)
    # One byte a table says whether it is taken.
    taken = play(sanitized, b"".join(table_record("T", sound_but_odd(rng)) for _ in range(80)))
    assert len(taken) == 80
    assert sum(taken) > 10
    chosen = play(sanitized, b"".join(table_record("T", damaged(rng)) for _ in range(40)))
    assert len(chosen) == 40
    assert 0 < sum(chosen) < 40


@pytest.mark.parametrize("keyboard", [0, 1])
def test_lost_keys_while_a_stroke_is_open(sanitized: Path, keyboard: int) -> None:
    """Roll-over is told in every tick while a stroke stands open with 255 ticks where its usage was: no read outside the state."""
    one, both = (bytes((0, 0, A, other, 0, 0, 0, 0)) for other in (0, B))
    rolled = bytes((0, 0, *[1] * 6))
    records = bytearray(table_record("T", replace(LAYOUT, rollover=1, open=0xFF).to_bytes()))
    now = 0
    for report, ticks in ((one, 2 * CLOSE), (both, 0xFF)):
        records += b"R" + bytes((keyboard, 8)) + report
        for _ in range(ticks):
            now += 1
            records += b"A" + struct.pack("<H", now) + b"R" + bytes((keyboard, 8)) + rolled
    play(sanitized, bytes(records))


def test_an_accent_that_is_a_dead_key_again(lib: ctypes.CDLL) -> None:
    """Where a damaged table makes the accent by itself a dead key, the next key ends it all the same."""
    dead = Group(kind=Kind.DEAD_KEY, entries=((B, 1),))
    alone = Group(kind=Kind.DEAD_KEY, entries=((0, 1),), after=1)
    engine = Engine(lib, Table(groups=(alone, dead, Group(kind=Kind.CROSSPOINT, entries=((A, 0x11),)))).to_bytes())
    for usage in (B, A):
        engine.report(usage)
        engine.run(20_000)
        engine.report()
        engine.run(20_000)
    assert engine.idle


def test_a_table_cut_short(lib: ctypes.CDLL) -> None:
    """A size below that of the table is refused, whichever."""
    table = LAYOUT.to_bytes()
    for size in range(len(table)):
        assert not Engine(lib, table[:size]).sound, size
        assert not Engine(lib, with_checksum(table[: max(size - 2, 0)])).sound, size


def test_damage_of_one_bit(lib: ctypes.CDLL) -> None:
    """Each bit that is wrong is found, and each two bits within 16 (ITU-T V.41, annex I: all bursts up to the length of the remainder)."""
    table = LAYOUT.to_bytes()
    bits = 8 * len(table)
    for bit in range(bits):
        for other in (None, *range(bit + 1, min(bit + 16, bits), 5)):
            wrong = bytearray(table)
            for place in (bit, other):
                if place is not None:
                    wrong[place >> 3] ^= 1 << (place & 7)
            assert not Engine(lib, bytes(wrong)).sound, (bit, other)


def test_without_checksum_only_the_counts_are_looked_at(tmp_path: Path) -> None:
    """With MM_CHECKSUM 0 the two bytes are there all the same, and say nothing."""
    library = build(tool("gcc"), tmp_path, "-DMM_CHECKSUM=0")
    table = LAYOUT.to_bytes()
    assert Engine(library, table[:-2] + bytes(2)).sound
    assert not Engine(library, table[:-2]).sound


def test_the_count_of_groups(lib: ctypes.CDLL) -> None:
    """Any other count of groups than the table has is refused."""
    table = bytearray(LAYOUT.to_bytes())
    for count in set(range(256)) - {len(LAYOUT.groups)}:
        table[8] = count
        assert not Engine(lib, with_checksum(bytes(table[:-2]))).sound, count


def test_a_chord_that_is_not_there(lib: ctypes.CDLL) -> None:
    """An entry with a chord beyond their count is refused."""
    group = Group(kind=Kind.CHORD, entries=((A, 1),))
    assert not Engine(lib, replace(LAYOUT, groups=(group,)).to_bytes()).sound
    assert Engine(lib, replace(LAYOUT, groups=(replace(group, entries=((A, 0),)),)).to_bytes()).sound


@pytest.mark.parametrize(("at", "value"), [(0, 2), (0, 4), (1, 17), (2, 17), (1, 255), (2, 255)])
def test_fields_that_this_runtime_cannot_serve(lib: ctypes.CDLL, at: int, value: int) -> None:
    """Another version, or more lines than were compiled in, is refused."""
    table = bytearray(LAYOUT.to_bytes())
    table[at] = value
    assert not Engine(lib, with_checksum(bytes(table[:-2]))).sound


def test_a_demand_that_is_not_there(lib: ctypes.CDLL) -> None:
    """A group with a demand beyond their count is refused."""
    table = bytearray(LAYOUT.to_bytes())
    first_group = HEADER + 2 * 3 + 2 * 4 + 3 * 1 + 8 * 1
    assert table[first_group : first_group + 4] == bytes((0x0F, 0, 3, 3))
    table[first_group + 1] = 4
    assert not Engine(lib, with_checksum(bytes(table[:-2]))).sound


def test_a_refused_state_is_safe(lib: ctypes.CDLL) -> None:
    """After a refusal every call is allowed, and nothing ever closes."""
    for table in (b"", b"\x01", bytes(HEADER), LAYOUT.to_bytes()[:-1]):
        engine = Engine(lib, table)
        assert not engine.sound
        assert engine.report(A) is Result.MALFORMED
        assert engine.usages((A,)) is Result.MALFORMED
        engine.disconnect(0)
        assert not engine.change_layout(LAYOUT.to_bytes())
        assert engine.advance() == NEVER
        assert engine.contacts == frozenset()
        assert engine.command() is None
        assert engine.idle


def test_an_empty_layout(lib: ctypes.CDLL) -> None:
    """A table without any group is sound and closes nothing."""
    engine = Engine(lib, Table().to_bytes())
    assert engine.sound
    engine.report(A, 0x39, modifiers=0xFF)
    engine.run(1000)
    assert engine.contacts == frozenset()
    assert engine.idle


def test_thousands_of_changes_between_two_calls(lib: ctypes.CDLL) -> None:
    """Any number of reports between two calls of mm_advance sticks nothing and counts what it drops."""
    engine = Engine(lib, LAYOUT.to_bytes())
    report = bytes((0, 0, A, 0, 0, 0, 0, 0))
    for _ in range(5000):
        lib.mm_boot_report(engine.state, 0, report, 8)
        lib.mm_boot_report(engine.state, 0, bytes(8), 8)
    engine.run(20_000)
    assert engine.overflows == 5000 - 8
    assert engine.idle


def test_a_crosspoint_beyond_the_lines(tmp_path: Path) -> None:
    """A contact beyond the lines closes nothing, whatever lies behind them in the state."""
    library = tmp_path / "small.so"
    run(tool("gcc"), *STRICT, *SMALL, "-fPIC", "-shared", f"-I{RUNTIME}", "-o", library, *RUNTIME.glob("*.c"), SHIM)
    lib = load(library)
    for value in (0x80, 0x90, 0xF0, 0x08, 0x7F):
        engine = Engine(lib, Table(groups=(Group(kind=Kind.CROSSPOINT, entries=((A, value),)),)).to_bytes())
        engine.report(A)
        engine.run(100)
        assert engine.contacts == frozenset()
    engine = Engine(lib, Table(groups=(Group(kind=Kind.CROSSPOINT, entries=((A, 0x77),)),)).to_bytes())
    engine.report(A)
    engine.run(100)
    assert engine.contacts == {("x", 7, 7)}
