"""The C decoder of pads and the one in Python agree on every descriptor and report, good or broken."""

from __future__ import annotations

import ctypes
import random
import struct
from collections import Counter

import pytest

from matrixmap.emit.keyboards.pad_c import no_pad_table, pad_table
from matrixmap.hid.descriptor import Descriptor, parse_descriptor
from matrixmap.hid.items import Note, Tag
from matrixmap.hid.pads.decoder import PadDecoder
from matrixmap.hid.pads.steps import Pad, pads_of
from matrixmap.hid.pads.stick import Thresholds
from tests.desk.compiled import DescriptorResult
from tests.desk.generate import collection, logical, main_item, page, shape, usage
from tests.pads import generate
from tests.pads.compiled import CPad, read_pad

SEEDS = 1_500
CAMPAIGN = 100_000


def made(seed: int) -> tuple[random.Random, bytes]:
    """The descriptor of a seed; one in three is damaged."""
    rng = random.Random(seed)
    data = generate.pad(rng)
    return rng, generate.damaged(rng, data) if seed % 3 == 2 else data


def is_of_output(data: bytes, fault: Note) -> bool:
    """Whether an output or feature report is too long: of these the runtime's reader of pads counts no bits."""
    prefix = data[fault.offset] & 0xFC if fault.offset < len(data) else 0
    return "make a report longer" in fault.text and prefix in (Tag.OUTPUT, Tag.FEATURE)


def compare(lib: ctypes.CDLL, seed: int, counted: Counter[str]) -> None:
    """Everything of one seed."""
    rng, data = made(seed)
    parsed = parse_descriptor(data)
    pads = pads_of(parsed.descriptor)
    for number in range(len(pads) + 1):
        result, size, table = read_pad(lib, data, number)
        counted[result.name] += 1
        if parsed.fault is not None and is_of_output(data, parsed.fault):
            counted["long outputs"] += 1
            return
        if parsed.fault is not None:
            assert result is DescriptorResult.MALFORMED or result is DescriptorResult.NO_ROOM, (seed, parsed.fault)
            if result is DescriptorResult.MALFORMED:
                assert size == parsed.fault.offset, seed
            return
        fault = pads[number].fault if number < len(pads) else None
        if fault is not None:
            assert (result, size) == (DescriptorResult.MALFORMED, fault.offset) or result is DescriptorResult.NO_ROOM, (
                seed
            )
            counted["lone ends"] += 1
            continue
        if number == len(pads) or not pads[number].reports:
            assert (result, size) == (DescriptorResult.NO_KEYS, len(pads)) or result is DescriptorResult.NO_ROOM, seed
            continue
        if result is DescriptorResult.NO_ROOM:
            return
        assert no_pad_table(parsed.descriptor, pads[number]) is None
        assert table == pad_table(parsed.descriptor, pads[number]).to_bytes(), (seed, data.hex(" "))
        counted["reports"] += compare_reports(lib, rng, parsed.descriptor, pads[number], table, seed)
        counted["largest"] = max(counted["largest"], len(table))


def compare_reports(
    lib: ctypes.CDLL, rng: random.Random, descriptor: Descriptor, pad: Pad, table: bytes, seed: int
) -> int:
    """Twelve reports of each id through both, with thresholds of any size."""
    release = rng.choice((40, 40, rng.randint(1, 100)))
    limits = Thresholds(press=rng.choice((max(50, release), release, 100)), release=release)
    decoder = PadDecoder(descriptor, pad, limits)
    c = CPad(lib, table, in_ram=rng.random() < 0.5)
    assert c.sound
    lib.mm_test_thresholds(c.state, limits.press, limits.release)
    inputs = [report for report in descriptor.inputs if report.bytes < 600]
    for _ in range(2):  # and once more after the link was lost
        sent = [generate.report(rng, report.bytes, report.id) for _ in range(6) for report in inputs]
        for report, (result, on) in zip(sent, c.take_all(sent), strict=True):
            assert (decoder.take(report), decoder.on) == (result, on), (seed, descriptor.data.hex(" "), report.hex(" "))
        decoder.disconnect()
        lib.mm_pad_disconnected(c.state)
    return 12 * len(inputs)


def test_both_decoders_agree(lib: ctypes.CDLL) -> None:
    """Tables, faults with their places, and what is on after each report are the same, of thousands of descriptors."""
    counted: Counter[str] = Counter()
    for seed in range(SEEDS):
        compare(lib, seed, counted)
    assert counted["READ"] > SEEDS // 2
    assert counted["MALFORMED"] > SEEDS // 20
    assert counted["NO_KEYS"] > SEEDS // 2
    assert counted["lone ends"] > 20
    assert counted["NO_ROOM"] < SEEDS // 20
    assert counted["reports"] > 10 * SEEDS


@pytest.mark.campaign
def test_both_decoders_agree_on_many(lib: ctypes.CDLL) -> None:
    """The same for the rest of 100,000 descriptors."""
    counted: Counter[str] = Counter()
    for seed in range(SEEDS, CAMPAIGN):
        compare(lib, seed, counted)
    print(dict(counted))
    assert counted["NO_ROOM"] < CAMPAIGN // 20
    assert counted["long outputs"] < CAMPAIGN // 1000


def stick_of(x_low: int, x_high: int, y_low: int, y_high: int) -> Descriptor:
    """A pad with X and Y of 16 bits, each with a range of its own."""
    axes = b"".join(
        page(1) + usage(number) + logical(low, high) + shape(16, 1) + main_item("input", 2)
        for number, low, high in ((0x30, x_low, x_high), (0x31, y_low, y_high))
    )
    return parse_descriptor(page(1) + usage(4) + collection(1, axes)).descriptor


@pytest.mark.parametrize(
    "ranges",
    [
        (0, 0xFFFF, 0, 0xFFFF),
        (-0x8000, 0x7FFF, -0x8000, 0x7FFF),
        (0, 0xFFFF, -300, 1000),
        (0, 255, 0, 1023),
        (-1, 1, 0, 255),
    ],
)
def test_sticks_agree_at_their_borders(lib: ctypes.CDLL, ranges: tuple[int, int, int, int]) -> None:
    """12,000 points within a few steps of the borders of sectors and of the dead zone, of axes of several ranges: the same directions."""
    rng = random.Random(11)
    x_low, x_high, y_low, y_high = ranges
    descriptor = stick_of(*ranges)
    (pad,) = pads_of(descriptor)
    decoder, c = PadDecoder(descriptor, pad), CPad(lib, pad_table(descriptor, pad).to_bytes())
    sent = []
    for _ in range(12_000):
        far = rng.choice((0.39, 0.4, 0.41, 0.49, 0.5, 0.51, 0.7, 1.0))
        slope = rng.choice((0.0, 1 / 3, 2**0.5 - 1, 0.5, 1.0))
        x, y = (far, far * slope) if rng.random() < 0.5 else (far * slope, far)
        x, y = x * rng.choice((-1, 1)), y * rng.choice((-1, 1))
        places = []
        for part, low, high in ((x, x_low, x_high), (y, y_low, y_high)):
            value = round((low + high) / 2 + part * (high - low) / 2) + rng.randint(-2, 2)
            places.append(min(max(value, low), high) & 0xFFFF)
        sent.append(struct.pack("<HH", *places))
    shown = set()
    for report, (result, on) in zip(sent, c.take_all(sent), strict=True):
        assert (decoder.take(report), decoder.on) == (result, on), (ranges, report.hex(" "))
        shown.add(on)
    assert len(shown) == 9
