"""What is on at a pad after its reports, against the standard and against the rules of the Linux kernel, written anew."""

from __future__ import annotations

import random
from typing import Any

import pytest

from matrixmap.hid.descriptor import Descriptor, Field, parse_descriptor
from matrixmap.hid.pads.decoder import PadDecoder, PadResult, sources_on
from matrixmap.hid.pads.sources import NAMES, SOURCES, Source, direction_of, source_name, source_named
from matrixmap.hid.pads.steps import Axis, pads_of
from tests.desk import oracle
from tests.desk.generate import collection, item, logical, main_item, page, report_id, shape, usage, usages
from tests.pads import generate


def joystick(mended: bool) -> bytes:
    """The joystick of HID 1.11, appendix D.1, from memory of its items.

    As printed, the last two buttons have two Usage Minimum items, and Throttle is on the page that Pop brings back.
    """
    hat = usage(0x39) + logical(0, 3) + item(0x34, 0) + item(0x44, 270) + item(0x64, 0x14)
    first = (
        page(1)
        + usage(1)
        + item(0xA0, 0)
        + logical(-127, 127)
        + shape(8, 2)
        + b"\xa4"
        + usage(0x30)
        + usage(0x31)
        + main_item("input", 2)
        + hat
        + item(0x94, 1)
        + item(0x74, 4)
        + main_item("input", 0x42)
        + logical(0, 1)
        + item(0x94, 2)
        + item(0x74, 1)
        + page(9)
        + usages(1, 2)
        + item(0x64, 0)
        + main_item("input", 2)
        + b"\xc0"
    )
    last = item(0x18, 3) + item(0x28 if mended else 0x18, 4) + main_item("input", 2) + b"\xb4"
    throttle = (page(2) if mended else b"") + usage(0xBB) + item(0x94, 1) + main_item("input", 2)
    return page(1) + usage(4) + collection(1, first + last + throttle)


def parsed(data: bytes) -> Descriptor:
    """A descriptor that makes sense."""
    found = parse_descriptor(data)
    assert found.fault is None
    return found.descriptor


def names(on: int) -> set[str]:
    """The names of what is on."""
    return {source_name(source) for source in sources_on(on)}


def decoder_of(inside: bytes) -> PadDecoder:
    """The decoder of a game pad with these items."""
    descriptor = parsed(page(1) + usage(5) + collection(1, inside))
    return PadDecoder(descriptor, pads_of(descriptor)[0])


def test_the_joystick_of_the_standard_as_printed_is_refused() -> None:
    """HID 1.11 appendix D.1 as printed: the field after two Usage Minimum items, at byte 69, has no usages to know."""
    (pad,) = pads_of(parsed(joystick(mended=False)))
    assert pad.fault is not None
    assert pad.fault.offset == 69
    assert "Usage Minimum without a Usage Maximum" in pad.fault.text


def test_the_joystick_of_the_standard_mended_is_read() -> None:
    """HID 1.11 appendix D.1, mended: 81 bytes, a report of 4 bytes with X, Y, a hat of four and four buttons."""
    data = joystick(mended=True)
    assert len(data) == 81
    descriptor = parsed(data)
    (pad,) = pads_of(descriptor)
    assert (pad.title, pad.fault, pad.notes) == ("Joystick", None, ())
    assert [report.bytes for report in pad.reports] == [4]
    decoder = PadDecoder(descriptor, pad)
    decoder.take(bytes((0, 0, 0x0F, 0)))
    assert names(decoder.on) == set()
    decoder.take(bytes((127, 0, 0x91, 5)))
    assert names(decoder.on) == {"X+", "Hat right", "Button 1", "Button 4"}


def test_every_source_has_a_name_that_finds_it() -> None:
    """52 sources; opposite directions are told apart by one bit."""
    assert len(set(NAMES)) == SOURCES == 52
    for number, name in enumerate(NAMES):
        assert source_named(name) == number
        assert source_named(f"  {name.upper()} ") == number
        direction = direction_of(Source(number))
        if direction is not None:
            assert direction.opposite.opposite is direction
            assert direction.opposite is not direction
    assert source_named("Button 33") is source_named("Hat") is None


def kernel_hat(value: int, low: int, high: int) -> tuple[int, int]:
    """hidinput_hid_event of the Linux kernel, drivers/hid/hid-input.c: the hat as x and y, C's division included."""
    quotient = abs(value - low) * 8 // (high - low + 1)
    place = (quotient if value >= low else -quotient) + 1
    place = 0 if place < 0 or place > 8 else place
    return ((0, 0), (0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1))[place]


@pytest.mark.parametrize(
    ("low", "high", "size"),
    [
        (0, 7, 4),
        (1, 8, 4),
        (0, 3, 4),
        (0, 3, 3),
        (1, 4, 3),
        (-4, 3, 4),
        (0, 7, 8),
        (-4, 3, 8),
        (8, 15, 8),
        (100, 107, 8),
    ],
)
def test_hats_are_the_kernels(low: int, high: int, size: int) -> None:
    """Each value of a hat shows what the kernel makes of it: outside the range it is at rest."""
    decoder = decoder_of(
        page(1)
        + usage(0x39)
        + logical(low, high)
        + shape(size, 1)
        + shape(size, 1)
        + main_item("input", 0x42)
        + shape(4, 1)
        + main_item("input", 1)
    )
    for raw in range(1 << size):
        value = raw - (1 << size) if low < 0 and raw >> size - 1 else raw
        assert decoder.take(raw.to_bytes(2, "little")) is PadResult.TAKEN
        x, y = kernel_hat(value, low, high)
        wanted = {
            f"Hat {name}"
            for name, there in (("up", y < 0), ("down", y > 0), ("left", x < 0), ("right", x > 0))
            if there
        }
        assert names(decoder.on) == wanted, raw


def kernel_value(raw: int, field: Field) -> int | None:
    """The value of a variable field that reaches the kernel's input core; None: it is ignored. The same function."""
    value = raw - (1 << field.size) if field.logical_min < 0 and raw >> field.size - 1 else raw
    if field.logical_min < field.logical_max:
        if field.flags & 0x40 and not field.logical_min <= value <= field.logical_max:
            return None
        value = min(max(value, field.logical_min), field.logical_max)
    return value


def test_values_outside_their_range_are_the_kernels() -> None:
    """Of random fields of axes and buttons each raw value is ignored, brought into the range, or taken, as the kernel does."""
    rng = random.Random(3)
    tried = ignored = 0
    while tried < 300:
        size = rng.choice((2, 4, 6, 8))
        low, high = sorted((rng.randint(-20, 20), rng.randint(-20, 300)))
        flags = rng.choice((0x02, 0x42))
        axis = rng.random() < 0.5
        named = page(1) + usage(0x30) if axis else page(9) + usage(1)
        inside = named + logical(low, high) + shape(size, 1) + main_item("input", flags)
        descriptor = parsed(
            page(1)
            + usage(5)
            + collection(1, inside + shape(8 - size, 1) + main_item("input", 1) if size < 8 else inside)
        )
        (pad,) = pads_of(descriptor)
        if not pad.reports:
            continue
        tried += 1
        field = descriptor.inputs[0].fields[0]
        decoder = PadDecoder(descriptor, pad)
        before: int | None = None
        for raw in rng.sample(range(1 << size), 1 << size):
            decoder.take(bytes([raw]))
            value = kernel_value(raw, field)
            ignored += value is None
            before = before if value is None else value
            if axis:
                assert decoder._values.get(0) == before
            else:
                assert names(decoder.on) == ({"Button 1"} if before else set())
    assert ignored > 1000


def test_what_is_not_read_is_told() -> None:
    """Hats of other counts or with no value for at rest, axes of more than 16 bits, second ones, buttons above 32."""

    def notes(inside: bytes) -> list[str]:
        (pad,) = pads_of(parsed(page(1) + usage(5) + collection(1, inside)))
        return [note.text for note in pad.notes]

    def hat(low: int, high: int, size: int, flags: int = 0x42) -> bytes:
        return page(1) + usage(0x39) + logical(low, high) + shape(size, 1) + main_item("input", flags)

    def axis(low: int, high: int, size: int, flags: int = 2) -> bytes:
        return page(1) + usage(0x30) + logical(low, high) + shape(size, 1) + main_item("input", flags)

    assert notes(hat(0, 8, 4)) == ["the hat has 9 values, 0 to 8; hats of 4 or 8 are read"]
    assert notes(hat(0, 7, 3)) == [
        "the hat's 3 bits have no value for rest, so it would always point somewhere; not read"
    ]
    assert notes(hat(1, 8, 3)) == []
    assert notes(hat(0, 7, 4, 2)) == ["the hat declares no null state; values outside its range count as at rest"]
    assert notes(hat(0, 7, 4) + hat(0, 7, 4)) == ["a second hat is not read"]
    assert notes(axis(0, 255, 24)) == ["X has 24 bits; at most 16 are read"]
    assert notes(axis(5, 5, 8)) == ["X runs from 5 to 5, which is not a range that can be read"]
    assert notes(axis(-127, 127, 8, 6)) == ["X is relative, as on a mouse: not read"]
    assert notes(axis(0, 255, 8) + axis(0, 255, 8)) == ["X appears again; the first one counts"]
    assert notes(page(9) + usages(30, 40) + logical(0, 1) + shape(1, 11) + main_item("input", 2)) == [
        "buttons above 32 are not read"
    ]


def test_each_collection_is_a_pad_of_its_own() -> None:
    """Two joysticks in one device, by their ids: Button 1 of each is its own, and a report is one pad's alone."""
    buttons = page(9) + usages(1, 8) + logical(0, 1) + shape(1, 8) + main_item("input", 2)
    data = b"".join(
        page(1) + usage(kind) + collection(1, report_id(id) + buttons) for kind, id in ((4, 1), (6, 2), (5, 3))
    )
    descriptor = parsed(data)
    pads = pads_of(descriptor)
    assert [pad.title for pad in pads] == ["Joystick", "Gamepad"]
    first, second = (PadDecoder(descriptor, pad) for pad in pads)
    assert (first.take(b"\x03\x01"), second.take(b"\x03\x01")) == (PadResult.OTHER, PadResult.TAKEN)
    assert (first.on, names(second.on)) == (0, {"Button 1"})
    assert first.take(b"\x02\xff") is PadResult.OTHER


def test_a_malformed_report_changes_nothing() -> None:
    """A report that is too short, or none at all."""
    decoder = decoder_of(page(9) + usages(1, 16) + logical(0, 1) + shape(1, 16) + main_item("input", 2))
    assert decoder.take(b"\x01\x80") is PadResult.TAKEN
    before = decoder.on
    assert names(before) == {"Button 1", "Button 16"}
    for report in (b"", b"\x00"):
        assert decoder.take(report) is PadResult.MALFORMED
        assert decoder.on == before
    decoder.disconnect()
    assert decoder.on == 0


def their_values(read: Any, sent: bytes) -> dict[int, list[int]]:
    """Usage -> the values that hid-tools reads of a report, of fields that are no padding and no array."""
    found: dict[int, list[int]] = {}
    fields = read.get(sent[0], len(sent))
    for field in fields or ():
        if field.is_const or field.is_array:
            continue
        for place, value in enumerate(field.get_values(list(sent))):
            if not isinstance(value, str):
                number = field.usages[place] if field.usages else field.usage
                found.setdefault(number, []).append(value)
    return found


def check_against_oracle(data: bytes, rng: random.Random) -> int:
    """Raw values of axes inside their range, and buttons of one bit, are those of hid-tools; how many were compared."""
    descriptor = parsed(data)
    if oracle.rejects(data):
        return 0
    read = oracle.read(data)
    if oracle.our_layout(descriptor) != oracle.their_layout(read):
        return 0
    compared = 0
    for pad in pads_of(descriptor):
        usages_here = {}
        for report in descriptor.inputs:
            for field in report.fields:
                for place in range(field.count if field.variable and field.usages else 0):
                    usages_here.setdefault(field.usage_at(place), []).append(field)
        for report in pad.reports:
            for _ in range(4):
                sent = bytes([report.id] if report.id else []) + rng.randbytes(report.bytes - bool(report.id))
                if not sent:
                    continue
                theirs = their_values(read, sent)
                decoder = PadDecoder(descriptor, pad)
                decoder.take(sent)
                for step in report.steps:
                    number = 1 << 16 | 0x30 + step.axis if isinstance(step, Axis) else 0
                    if isinstance(step, Axis) and len(usages_here[number]) == 1 and number in theirs:
                        (value,) = theirs[number]
                        inside = step.low <= value <= step.high
                        ours = decoder._values.get(step.axis)
                        assert ours == (
                            value if inside else None if step.null else min(max(value, step.low), step.high)
                        )
                        compared += 1
                for source in range(32):
                    number = 9 << 16 | source + 1
                    fields = usages_here.get(number, [])
                    whole = (
                        len(fields) == 1
                        and fields[0].size == 1
                        and (fields[0].logical_min, fields[0].logical_max) == (0, 1)
                    )
                    if (
                        whole
                        and fields[0].collection == pad.collection
                        and number in theirs
                        and not any_array(descriptor)
                    ):
                        assert bool(decoder.on >> source & 1) == bool(theirs[number][0]), (data.hex(" "), sent.hex(" "))
                        compared += 1
    return compared


def any_array(descriptor: Descriptor) -> bool:
    """Whether some field is an array, whose values could name a button once more."""
    return any(not field.variable and not field.constant for report in descriptor.inputs for field in report.fields)


def test_values_are_those_of_hid_tools() -> None:
    """Of made-up descriptors that hid-tools lays out as we do, axes and buttons of one bit have the same values."""
    compared = 0
    for seed in range(1_500):
        rng = random.Random(seed)
        data = generate.pad(rng)
        if parse_descriptor(data).fault is None:
            compared += check_against_oracle(data, rng)
    assert compared > 2_000
