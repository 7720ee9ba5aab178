"""Descriptors and recordings beyond any keyboard's are told, and cost little."""

from __future__ import annotations

import sys
from collections.abc import Iterator

from matrixmap import limits
from matrixmap.hid.descriptor import parse_descriptor
from matrixmap.hid.recording import REMEMBERED_BYTES, Event, Recording
from matrixmap.hid.report import CACHED_KEYS, Decoder, Keys, State

BEGIN = bytes.fromhex("0501 0906 a101 0507 1500 27ffffff7f 7520 9501")
"""A keyboard whose next field has values of 32 bits."""

END = bytes.fromhex("8100 c0")
RANGE = bytes.fromhex("1901 29ff")


def ranges(count: int) -> bytes:
    """A descriptor of one array with so many ranges of usages."""
    return BEGIN + RANGE * count + END


def play(*lines: str) -> tuple[list[Event], Recording]:
    """The events of a recording of some lines."""
    recording = Recording()
    return list(recording.events(line.encode() for line in lines)), recording


def described(data: bytes) -> str:
    """The line of a descriptor."""
    return f"R: {len(data)} {data.hex(' ')}"


def faults(events: list[Event]) -> list[tuple[int, str]]:
    """Line and text of each fault."""
    return [(event.line, event.fault or "") for event in events if event.state is State.FAULT]


def test_a_descriptor_has_a_most_of_usages() -> None:
    """Usages, ranges and fields are counted together; one too many ends the reading at its place."""
    assert parse_descriptor(ranges(limits.DESCRIPTOR_USAGES - 2)).fault is None
    for many in (
        ranges(limits.DESCRIPTOR_USAGES + 1),
        BEGIN + b"\x09\x04\x81\x02" * limits.DESCRIPTOR_USAGES + b"\xc0",
    ):
        fault = parse_descriptor(many).fault
        assert fault is not None
        assert str(limits.DESCRIPTOR_USAGES) in fault.text
        assert 0 < fault.offset < len(many)
    assert len(parse_descriptor(BEGIN + b"\xf0" * 60_000 + END).descriptor.oddities) <= limits.DESCRIPTOR_NOTES + 1


def test_an_array_is_no_list_of_its_values() -> None:
    """A value of 32 bits is looked for in its range: a decoder of many wide ranges is small, and finds the same."""
    count = limits.DESCRIPTOR_USAGES - 2
    decoder = Decoder(parse_descriptor(ranges(count)).descriptor)
    (reader,) = decoder._readers.values()
    assert sum(map(sys.getsizeof, _reached(reader))) < 1 << 20
    for value in (0, 1, 254, 255, 256, 255 * count - 1, 255 * count, 0x7FFFFFFF):
        decoded = decoder.decode(value.to_bytes(4, "little"))
        usage = value % 255 + 1
        expected = {usage} if value < 255 * count and usage > 3 else set()
        assert set(decoded.key_set) == expected, value


def _reached(thing: object) -> Iterator[object]:
    """The functions and containers that a function holds on to."""
    waiting, seen = [thing], set()
    while waiting:
        one = waiting.pop()
        if id(one) in seen:
            continue
        seen.add(id(one))
        yield one
        for cell in getattr(one, "__closure__", None) or ():
            waiting.append(cell.cell_contents)
        if isinstance(one, list | tuple):
            waiting += one
        elif isinstance(one, dict):
            waiting += [*one.keys(), *one.values()]


def test_a_recording_has_a_most_of_descriptors() -> None:
    """Descriptors that differ are counted in bytes; one that comes again, as after a lost link, counts once."""
    large = [bytes([0x05, number]) * 15_000 for number in range(1, 6)]
    events, _ = play(*(described(data) for data in large))
    told = [line for line, text in faults(events) if str(limits.DESCRIPTORS_BYTES) in text]
    assert told == [3, 4, 5]
    again, _ = play(*[described(ranges(4))] * 4_000)
    assert not faults(again)


def test_a_recording_has_a_most_of_keyboards() -> None:
    """One keyboard more than the limit is told at the line that names it."""
    names = [f"D: {number}" for number in range(limits.RECORDED_KEYBOARDS + 1)]
    events, recording = play(*names)
    assert faults(events) == [(len(names), f"this recording has more than {limits.RECORDED_KEYBOARDS} keyboards")]
    assert len(recording.keyboards) == limits.RECORDED_KEYBOARDS


def test_reports_are_remembered_within_bounds() -> None:
    """Reports of many bytes that all differ are forgotten before they fill the memory."""
    length = 0x2000
    data = (
        bytes.fromhex("0501 0906 a101 0507 1500 2501 7508 96")
        + (length).to_bytes(2, "little")
        + bytes.fromhex("0904 8102 c0")
    )
    lines = (f"E: {n:06d}.000000 {length} {n:02x} {'00 ' * (length - 1)}".rstrip() for n in range(256))
    most = 0
    recording = Recording()
    for _ in recording.events(line.encode() for line in [described(data), *lines]):
        most = max(most, sum(map(len, recording.keyboards[0].by_text)))
    assert 0 < most < REMEMBERED_BYTES + 4 * length


def test_key_sets_are_remembered_within_bounds() -> None:
    """Sets of many keys out of several reports are forgotten before they fill the memory."""
    bitmap = "0501 0906 a101 0507 85{id:02x} 1500 2501 7501 95a0 1904 29a3 8102 c0"
    descriptor = parse_descriptor(bytes.fromhex("".join(bitmap.format(id=id) for id in (1, 2)))).descriptor
    keys = Keys(Decoder(descriptor))
    for number in range(2_000):
        report = b"\x01" + (((1 << 160) - 1) ^ number << 20).to_bytes(20, "little")
        keys.take(keys.decoder.decode(report))
    assert 0 < sum(map(len, keys._sets.values())) < CACHED_KEYS + 256
