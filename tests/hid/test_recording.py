"""Recordings: every form of a line, and every way in which one can be broken."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.hid.descriptor import parse_descriptor
from matrixmap.hid.recording import MAX_LINE_BYTES, Event, Recording, split_lines
from matrixmap.hid.report import State
from tests.desk.generate import MODIFIERS, collection, page, usage

MODIFIER_BOARD = page(1) + usage(6) + collection(1, MODIFIERS)
DESCRIBED = f"R: {len(MODIFIER_BOARD)} {MODIFIER_BOARD.hex(' ')}"


def read(text: str | bytes) -> list[Event]:
    """The events of a text."""
    data = text.encode("utf-8") if isinstance(text, str) else text
    return list(Recording().events(split_lines([data])))


def rows(text: str | bytes) -> list[tuple[int, str, set[int]]]:
    """Time, state and keys of each event."""
    return [(event.time_us, event.state.value, set(event.keys)) for event in read(text)]


@pytest.mark.parametrize(
    "line",
    [
        "E: 000001.250000 8 02 00 04 00 00 00 00 00",
        "E: 1.25 8 02 00 04 00 00 00 00 00",
        "E:  1.250000  8  0200040000000000 ",
        "1.250000: 02 00 04 00 00 00 00 00",
        "1.250000 02 00 04 00 00 00 00 00",
        "[1.25] 02 00 04 00 00 00 00 00",
        "[    1.250000] 0200040000000000",
        "1250ms: 02 00 04 00 00 00 00 00",
        "1250000us 02,00,04,00,00,00,00,00",
        "1.2500004: 0x02 0x00 0x04 0x00 0x00 0x00 0x00 0x00",
        "\t1.25:\t02 00 04 00 00 00 00 00\r",
    ],
)
def test_forms_of_a_report_with_its_time(line: str) -> None:
    """The same report at 1.25 s, in each form."""
    assert rows(line) == [(1_250_000, "keys", {0xE1, 4})]


def test_reports_without_times() -> None:
    """Lines of digits alone come an interval apart, the first at 0."""
    text = "00 00 04 00 00 00 00 00\n\n# a remark\n0x00,0x00,0x05,0,\n0000050000000000\n"
    recording = Recording(interval_us=8000)
    events = list(recording.events(split_lines([text.encode()])))
    assert [(event.time_us, set(event.keys), event.line) for event in events if event.fault is None] == [
        (0, {4}, 1),
        (8000, {5}, 5),
    ]
    assert [event.line for event in events if event.fault] == [4]


def test_a_recording_describes_its_keyboards() -> None:
    """R gives the descriptor, N the name, D chooses the keyboard; each has its own keys."""
    text = f"D: 0\n{DESCRIBED}\nN: First\nI: 3 1209 0001\nP: usb\nD: 1\nN: Second\nD: 0\nE: 1.0 1 02\nD: 1\nE: 2.0 8 00 00 04 00 00 00 00 00\nD: 0\nE: 3.0 1 00\n"
    recording = Recording()
    events = list(recording.events(split_lines([text.encode()])))
    assert [(event.keyboard, set(event.keys)) for event in events] == [(0, {0xE1}), (1, {4}), (0, set())]
    first, second = recording.keyboards[0], recording.keyboards[1]
    assert (first.name, first.described, first.descriptor.data) == ("First", True, MODIFIER_BOARD)
    assert (second.name, second.described) == ("Second", False)


def test_a_given_descriptor_serves_keyboards_without_one() -> None:
    """A recording without R lines is read with the descriptor given for it."""
    recording = Recording(parse_descriptor(MODIFIER_BOARD).descriptor)
    (event,) = recording.events([b"80"])
    assert event.keys == {0xE7}
    assert recording.keyboards[0].described


def test_a_second_descriptor_starts_anew() -> None:
    """A keyboard that gives its descriptor again has been connected again, with no key down."""
    found = rows(f"{DESCRIBED}\nE: 1.0 1 02\n{DESCRIBED}\nE: 2.0 1 04\n")
    assert found == [(1_000_000, "keys", {0xE1}), (1_000_000, "connected", set()), (2_000_000, "keys", {0xE2})]


FAULTS = {
    "junk": ("hello", "'hello' is not a report: pairs of hexadecimal digits are expected"),
    "terminal codes": ("\x1b[31m00", "'\\x1b[31m00' is not a report"),
    "unknown tag": ("X: 1", "no line of a recording begins with X:"),
    "odd digits": ("00 00 0", "is not a report"),
    "other digits": ("٠٠ ٠٠", "is not a report"),
    "cut in a report": ("E: 1.0 8 00 00 04", "the line has 3 of 8 bytes: it is cut short"),
    "cut in a byte": ("E: 1.0 8 00 00 0", "the line ends inside a byte"),
    "cut before the bytes": ("E: 1.0 8", "a report needs a time, a length and bytes: the line is cut short"),
    "too many bytes": ("E: 1.0 2 00 00 04", "the line has 3 bytes, but says 2"),
    "no length": ("E: 1.0 -8 00", "'-8' is not a length"),
    "no time": ("E: now 8 00", "'now' is not a time in seconds"),
    "time with a sign": ("E: -1.0 1 00", "'-1.0' is not a time in seconds"),
    "a huge time": ("E: 99999999999999999999.0 1 00", "is not a time in seconds"),
    "too many keyboards": ("D: 256", "'256' is not the number of a keyboard (0 to 255)"),
    "no keyboard": ("D: one", "'one' is not the number of a keyboard"),
    "cut descriptor": ("R: 9 05 01", "the descriptor: the line has 2 of 9 bytes: it is cut short"),
    "malformed descriptor": ("R: 3 05 01 a1", "the descriptor, byte 2: the descriptor ends inside the item 0xA1"),
    "no descriptor": ("R: 3 xx", "the descriptor: 'xx' is not a report"),
    "a long line": ("00 " * (MAX_LINE_BYTES // 3 + 1), f"the line is longer than {MAX_LINE_BYTES} bytes"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_faults(name: str) -> None:
    """A line that cannot be read is a fault with its number, changes no key, and the next line is read."""
    line, text = FAULTS[name]
    good = "E: 0.5 8 00 00 04 00 00 00 00 00"
    events = read(f"{good}\n{line}\nE: 7.0 8 00 00 05 00 00 00 00 00\n")
    assert (events[0].state, set(events[0].keys)) == (State.KEYS, {4})
    fault = events[1]
    assert (fault.state, fault.line, set(fault.keys)) == (State.FAULT, 2, {4})
    assert fault.fault is not None
    assert text in fault.fault
    assert events[-1].line == 3


def test_time_running_backwards() -> None:
    """A report before the last one's time is a fault, and counts at the last one's time."""
    text = "E: 2.0 8 00 00 04 00 00 00 00 00\nE: 1.0 8 00 00 05 00 00 00 00 00\nE: 2.0 8 00 00 06 00 00 00 00 00\n"
    events = read(text)
    assert [(event.time_us, event.state, event.line) for event in events] == [
        (2_000_000, State.KEYS, 1),
        (2_000_000, State.FAULT, 2),
        (2_000_000, State.KEYS, 2),
        (2_000_000, State.KEYS, 3),
    ]
    assert (
        events[1].fault
        == "time runs backwards: 1.000000 s after 2.000000 s; this report counts as sent at the later time"
    )


@pytest.mark.parametrize(
    "lines",
    [
        ("00 00 04 00 00 00 00 00", "1.0: 00 00 05 00 00 00 00 00"),
        ("1.0: 00 00 05 00 00 00 00 00", "00 00 04 00 00 00 00 00"),
    ],
)
def test_times_are_for_all_or_none(lines: tuple[str, str]) -> None:
    """Reports with and without times in one recording cannot be put in order."""
    first, second = read("\n".join(lines))
    assert first.fault is None
    assert second.fault is not None
    assert second.fault in (
        "a report with a time among reports without",
        "a report without a time among reports with times",
    )


def test_a_malformed_report_says_why() -> None:
    """A report that is too short for its descriptor changes nothing."""
    events = read("E: 1.0 8 00 00 04 00 00 00 00 00\nE: 2.0 3 00 00 05\n")
    assert (events[1].state, set(events[1].keys)) == (State.MALFORMED, {4})
    assert events[1].fault == "the report has 3 bytes, but its descriptor says 8"


def test_the_end_of_the_last_line_may_be_missing() -> None:
    """A last line without its end is read; byte order marks and blank lines do not matter."""
    assert rows(b"\xef\xbb\xbfE: 1.0 8 00 00 04 00 00 00 00 00") == [(1_000_000, "keys", {4})]


@given(
    st.lists(
        st.binary(max_size=60)
        | st.sampled_from(
            [
                *(line.encode() for line, _ in FAULTS.values() if len(line) < 100),
                DESCRIBED.encode(),
                b"E: 1.0 1 02",
                b"1.0: 00",
                b"D: 3",
            ]
        ),
        max_size=20,
    )
)
@settings(max_examples=300, deadline=None)
def test_any_lines(lines: list[bytes]) -> None:
    """Any bytes are events: numbered lines, times that never run backwards, and a text with every fault."""
    now = 0
    for event in Recording().events(split_lines([b"\n".join(lines)])):
        assert event.time_us >= now
        now = event.time_us
        assert (event.fault is not None) == (event.state in (State.FAULT, State.MALFORMED))
        assert event.fault is None or event.fault.isprintable()


@given(st.lists(st.binary(max_size=40), max_size=8), st.integers(1, 7))
@settings(deadline=None)
def test_blocks_do_not_matter(parts: list[bytes], size: int) -> None:
    """A file gives the same lines in whatever blocks it is read."""
    data = b"".join(parts)
    blocks = [data[start : start + size] for start in range(0, len(data), size)]
    assert list(split_lines(blocks)) == list(split_lines([data] if data else []))


def test_memory_stays_bounded() -> None:
    """20,000 different reports, and a line of 20 MB, take no more memory than the reports that are remembered."""

    def lines() -> Iterator[bytes]:
        for number in range(20_000):
            yield b"E: %06d.000000 8 00 00 %s 00 00 00\n" % (
                number,
                (number + 0x040404).to_bytes(3, "big").hex(" ").encode(),
            )

    def block() -> Iterator[bytes]:
        for _ in range(20):
            yield b"0" * 1_000_000

    tracemalloc.start()
    events = sum(1 for _ in Recording().events(split_lines(lines())))
    long = list(Recording().events(split_lines(block())))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert events == 20_000
    assert [event.state for event in long] == [State.FAULT]
    assert peak < 20_000_000
