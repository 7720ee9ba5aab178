"""The report that sets a keyboard's LEDs has the right bits, and no other; the id of a report may come beside it."""

from __future__ import annotations

import ctypes
import json
import random
from pathlib import Path

import pytest

from matrixmap.emit.keyboards.keyboard_c import no_table, report_table
from matrixmap.hid.descriptor import parse_descriptor
from matrixmap.hid.keyboard import keyboard_facts
from matrixmap.hid.lights import light_report
from matrixmap.hid.recording import BOOT_DESCRIPTOR
from tests.desk import generate, make_keyboards, oracle
from tests.desk.compiled import DescriptorResult, Keyboard, ReportResult, read_descriptor
from tests.desk.generate import (
    DESKTOP,
    LEDS,
    MODIFIERS,
    VENDOR,
    collection,
    logical,
    main_item,
    page,
    report_id,
    shape,
    usage,
    usages,
)
from tests.desk.test_visitors import VISITORS, reports
from tests.project import call as matrixmap

NUM, CAPS, SCROLL, COMPOSE, KANA = 1, 2, 4, 8, 16
OUT = main_item("output", 2)
GAP = shape(1, 3) + main_item("output", 1)


def leds(first: int, last: int, size: int = 1) -> bytes:
    """LEDs in a row, a value each."""
    return page(LEDS) + usages(first, last) + logical(0, 1) + shape(size, last - first + 1) + OUT


def board(inside: bytes, kind: int = 0x06) -> bytes:
    """An application collection of the Generic Desktop page: a keyboard, unless said otherwise."""
    return page(DESKTOP) + usage(kind) + collection(1, inside)


THREE = leds(1, 3) + shape(5, 1) + main_item("output", 1)

BOARDS = {
    "a boot keyboard": (BOOT_DESCRIPTOR, {NUM | CAPS: "03", 0xFF: "1f", 0: "00"}, 0),
    "under an id": (board(report_id(6) + MODIFIERS + THREE), {CAPS: "02", KANA: "00"}, 6),
    "another id than the keys": (
        board(report_id(1) + MODIFIERS + report_id(9) + GAP + leds(2, 2) + GAP + leds(1, 1)),
        {CAPS: "08", NUM: "80", CAPS | NUM: "88"},
        9,
    ),
    "one by one, in another order": (
        board(MODIFIERS + page(LEDS) + usage(3) + usage(1) + usage(2) + logical(0, 1) + shape(1, 3) + OUT),
        {NUM: "02", CAPS: "04", SCROLL: "01"},
        0,
    ),
    "over the end of a byte": (
        board(MODIFIERS + GAP + GAP + leds(1, 5) + page(VENDOR) + usage(1) + shape(5, 1) + OUT),
        {NUM: "4000", SCROLL: "0001", 0xFF: "c007"},
        0,
    ),
    "eight bits each": (board(MODIFIERS + leds(1, 2, size=8)), {NUM: "0100", CAPS: "0001"}, 0),
    "with usages that are none of the five": (board(MODIFIERS + leds(0, 7)), {0xFF: "3e", NUM: "02"}, 0),
    "more values than LEDs": (
        board(MODIFIERS + page(LEDS) + usages(1, 2) + logical(0, 1) + shape(1, 8) + OUT),
        {CAPS: "02", 0xFF: "03"},
        0,
    ),
    "more LEDs than values": (
        board(MODIFIERS + page(LEDS) + usages(1, 5) + logical(0, 1) + shape(1, 2) + OUT),
        {CAPS: "02", 0xFF: "03"},
        0,
    ),
    "one LED twice": (board(MODIFIERS + leds(2, 2) + GAP + leds(2, 2)), {CAPS: "11", NUM: "00"}, 0),
    "a keypad": (board(MODIFIERS + leds(1, 1), kind=0x07), {NUM: "01"}, 0),
    "first in the keyboard, not in the device": (
        board(report_id(3) + leds(1, 5), kind=0x80)
        + board(report_id(4) + MODIFIERS + GAP + leds(1, 5))
        + board(report_id(5) + leds(1, 5)),
        {NUM: "08"},
        4,
    ),
    "of two keyboards in one report both": (board(MODIFIERS + THREE) + board(THREE), {CAPS: "0202"}, 0),
    "of two collections in one report the keyboard": (
        board(MODIFIERS + THREE) + board(THREE, kind=0x80),
        {CAPS: "0200"},
        0,
    ),
    "a report without an id among others": (
        board(MODIFIERS + leds(1, 5) + report_id(2) + GAP + leds(1, 1) + MODIFIERS),
        {NUM: "08"},
        2,
    ),
    "none of the five in another report": (
        board(MODIFIERS + report_id(1) + MODIFIERS + leds(1, 3) + report_id(5) + leds(8, 9)),
        {0xFF: "07"},
        1,
    ),
    "a keyboard inside another application": (
        board(MODIFIERS + board(leds(1, 5)), kind=0x80) + board(GAP + leds(1, 5) + board(leds(1, 1), kind=0x80)),
        {NUM: "0021"},
        0,
    ),
    "a report without an id after others": (
        board(MODIFIERS + b"\xa4" + report_id(2) + GAP + b"\xb4" + leds(1, 5)),
        {0xFF: ""},
        0,
    ),
    "no LEDs": (board(MODIFIERS), {0xFF: ""}, 0),
    "LEDs of none of the five": (board(MODIFIERS + leds(6, 9)), {0xFF: ""}, 0),
    "an array": (
        board(MODIFIERS + page(LEDS) + usages(1, 3) + logical(1, 3) + shape(2, 1) + main_item("output", 0)),
        {0xFF: ""},
        0,
    ),
    "a constant": (
        board(MODIFIERS + page(LEDS) + usages(1, 3) + logical(0, 1) + shape(1, 3) + main_item("output", 3)),
        {0xFF: ""},
        0,
    ),
    "outside every collection": (collection(0, MODIFIERS) + leds(1, 3), {0xFF: ""}, 0),
    "inputs": (
        board(MODIFIERS + page(LEDS) + usages(1, 3) + shape(1, 3) + main_item("input", 2)),
        {0xFF: ""},
        0,
    ),
}


def made(lib: ctypes.CDLL, data: bytes) -> Keyboard:
    """A keyboard by the table that C and Python make alike."""
    table = report_table(parse_descriptor(data).descriptor).to_bytes()
    assert read_descriptor(lib, data) == (DescriptorResult.READ, len(table), table)
    keyboard = Keyboard(lib, table)
    assert keyboard.sound
    return keyboard


@pytest.mark.parametrize("name", BOARDS)
def test_leds_of_a_board(name: str, lib: ctypes.CDLL) -> None:
    """The bytes for a few values of the LED byte, packed by hand, and the id of the report."""
    data, wanted, id = BOARDS[name]
    keyboard = made(lib, data)
    for value, text in wanted.items():
        out = bytes.fromhex(text)
        assert keyboard.leds(value) == (len(out), id, out), value


def test_a_short_room_is_not_written(lib: ctypes.CDLL) -> None:
    """With less room than the report needs its length is told all the same, and no byte is written."""
    keyboard = made(lib, BOARDS["over the end of a byte"][0])
    assert keyboard.leds(0xFF, room=2) == (2, 0, b"\xc0\x07")
    assert keyboard.leds(0xFF, room=1) == (2, 0, b"\xaa")


def test_no_table_no_leds(lib: ctypes.CDLL) -> None:
    """A keyboard whose table was refused has no LEDs."""
    assert Keyboard(lib, b"junk").leds(0xFF) == (0, 0, b"")


def test_leds_agree_with_hid_tools(lib: ctypes.CDLL) -> None:
    """In the bytes that C makes for made-up keyboards, hid-tools finds the LEDs that were asked for lit, and no more."""
    told = 0
    for seed in range(600):
        rng = random.Random(seed)
        data = generate.keyboard(rng)
        parsed = parse_descriptor(data)
        lights = light_report(parsed.descriptor)
        if lights is None or no_table(parsed.descriptor) or oracle.rejects(data):
            continue
        value = rng.randrange(1, 32)
        _, id, out = made(lib, data).leds(value)
        has = {usage for run in lights.runs for usage in range(run.usage, run.usage + run.count)}
        wanted = {LEDS << 16 | usage for usage in has if value >> usage - 1 & 1}
        assert oracle.lit(oracle.read(data), id, bytes([id] * (id > 0)) + out) == wanted, data.hex(" ")
        told += bool(wanted)
    assert told > 100


def test_too_many_runs(lib: ctypes.CDLL) -> None:
    """LEDs in more than 255 runs have no table, and C has no room for them."""
    two = page(LEDS) + (usage(1) + usage(3)) * 127 + usage(1) + logical(0, 1)
    for count, result in ((255, DescriptorResult.READ), (256, DescriptorResult.NO_ROOM)):
        data = board(MODIFIERS + two + (usage(3) if count == 256 else b"") + shape(1, count) + OUT)
        assert read_descriptor(lib, data)[0] is result
        reason = no_table(parse_descriptor(data).descriptor)
        assert reason == (None if count == 255 else "its LEDs are 256 runs of bits; the runtime's decoder takes 255")


def test_the_second_reading_begins_anew(small_lib: ctypes.CDLL) -> None:
    """Push items that no Pop follows, as many as there is room for, are room again when LEDs are looked for."""
    data = b"\xa4" * 2 + board(MODIFIERS + GAP + leds(1, 3))
    assert made(small_lib, data).leds(NUM) == (1, 0, b"\x08")


def test_a_report_too_long(lib: ctypes.CDLL) -> None:
    """Output reports may be longer than the decoder takes, but not the one with the LEDs."""
    long = shape(8, 8192) + main_item("output", 1)
    for id, result in ((2, DescriptorResult.READ), (1, DescriptorResult.NO_ROOM)):
        data = board(report_id(1) + MODIFIERS + leds(1, 3) + report_id(id) + long)
        assert read_descriptor(lib, data)[0] is result
        assert (no_table(parse_descriptor(data).descriptor) is None) is (result is DescriptorResult.READ)


def test_a_damaged_table_of_leds_is_refused(lib: ctypes.CDLL) -> None:
    """A table whose LEDs are cut, of other usages, or outside the report or in its id is refused; the C has no bound later."""
    table = report_table(parse_descriptor(board(report_id(6) + MODIFIERS + THREE)).descriptor).to_bytes()
    assert table[-8:] == bytes([1, 6, 2, 0, 8, 0, 2, 1])
    assert Keyboard(lib, table).sound
    for at, value in (
        (-8, 0),
        (-8, 2),
        (-6, 1),
        (-5, 0x20),
        (-4, 7),
        (-4, 14),
        (-3, 1),
        (-2, 5),
        (-2, 255),
        (-1, 0),
        (-1, 4),
        (-1, 6),
    ):
        damaged = bytearray(table)
        damaged[at] = value
        assert not Keyboard(lib, bytes(damaged)).sound, (at, value)
    for length in range(1, 9):
        assert not Keyboard(lib, table[:-length]).sound
    in_the_id = bytearray(table)
    assert in_the_id[5:8] == bytes([1, 8, 0])
    in_the_id[6] = 7
    assert not Keyboard(lib, bytes(in_the_id)).sound


@pytest.mark.parametrize("name", VISITORS)
def test_the_id_beside_a_report(name: str, lib: ctypes.CDLL) -> None:
    """Every report of the recorded keyboards, whole, cut or too long, gives the same keys with its id beside it."""
    descriptor = parse_descriptor(make_keyboards.VISITORS[name].descriptor).descriptor
    front, beside = (made(lib, descriptor.data) for _ in range(2))
    rng = random.Random(2)
    results = set()
    for report in reports(name):
        sent = report[: rng.randint(1, len(report))] if rng.random() < 0.1 else report + bytes(rng.randrange(3))
        id, rest = (sent[0], sent[1:]) if descriptor.numbered else (0, sent)
        found = front.take(sent)
        assert beside.take_of(id, rest) == found
        results.add(found[0])
    assert {ReportResult.KEYS, ReportResult.MALFORMED} <= results


def test_ids_that_a_keyboard_does_not_have(lib: ctypes.CDLL) -> None:
    """An id that no report with keys has changes nothing: 0 where there are ids, any other where there are none."""
    keyboard = made(lib, BOOT_DESCRIPTOR)
    assert keyboard.take_of(0, bytes([2, 0, 4, 0, 0, 0, 0, 0])) == (ReportResult.KEYS, {0xE1, 4})
    assert keyboard.take_of(1, bytes(8)) == (ReportResult.OTHER, {0xE1, 4})
    assert keyboard.take_of(0, bytes(7)) == (ReportResult.MALFORMED, {0xE1, 4})
    keyboard = made(lib, board(report_id(6) + MODIFIERS))
    assert keyboard.take_of(6, b"\x02") == (ReportResult.KEYS, {0xE1})
    assert keyboard.take_of(0, b"\x00") == (ReportResult.OTHER, {0xE1})
    assert keyboard.take_of(6, b"") == (ReportResult.MALFORMED, {0xE1})
    assert keyboard.take(b"\x06") == (ReportResult.MALFORMED, {0xE1})


ODD = {
    "an array": "these LEDs are an array; mm_report_leds sets only LEDs that have a bit each",
    "a constant": "LEDs are declared, but as a constant: they are padding",
    "outside every collection": "these LEDs are in no application collection; mm_report_leds sets only those of a keyboard or a keypad",
    "first in the keyboard, not in the device": "these LEDs are in a collection System Control; "
    "mm_report_leds sets only those of a keyboard or a keypad|"
    "these LEDs are in output report 5; mm_report_leds sets only those of report 4, which comes first",
    "more values than LEDs": "8 values for 2 LEDs: mm_report_leds leaves the others 0",
    "a boot keyboard": "",
    "one LED twice": "",
    "none of the five in another report": "",
}


@pytest.mark.parametrize("name", ODD)
def test_what_is_odd_about_leds(name: str) -> None:
    """LEDs that the firmware does not set are told with the reason."""
    notes = keyboard_facts(parse_descriptor(BOARDS[name][0]).descriptor).oddities
    assert "|".join(note.text for note in notes if "LED" in note.text) == ODD[name]


@pytest.mark.parametrize(("low", "high"), [(1, 2), (0, 0)])
def test_leds_with_other_values(low: int, high: int) -> None:
    """LEDs whose values are not 0 and 1 are told, for 0 and 1 is what is written."""
    data = board(MODIFIERS + page(LEDS) + usages(1, 2) + logical(low, high) + shape(2, 2) + OUT)
    notes = [note.text for note in keyboard_facts(parse_descriptor(data).descriptor).oddities]
    assert f"these LEDs have values from {low} to {high}; mm_report_leds writes 0 and 1" in notes


def test_which_leds_are_set() -> None:
    """The same bit and usage in another report is not one of the LEDs that are set."""
    data = board(report_id(1) + MODIFIERS + leds(1, 2) + report_id(5) + leds(1, 2))
    found = keyboard_facts(parse_descriptor(data).descriptor).leds
    assert [(led.report_id, led.bit, led.is_set) for led in found] == [
        (1, 8, True),
        (1, 9, True),
        (5, 8, False),
        (5, 9, False),
    ]


def test_the_command_tells_leds(tmp_path: Path) -> None:
    """Text and JSON of `matrixmap keyboard` say which LEDs are set by which bits of which report."""
    file = tmp_path / "board.bin"
    file.write_bytes(board(report_id(1) + MODIFIERS + report_id(9) + GAP + leds(2, 2) + leds(6, 7)))
    text = matrixmap("keyboard", str(file)).stdout
    assert (
        "Firmware can set Caps Lock by bit 11 of output report 9, 2 bytes, the first of them its id (mm_report_leds)."
        in text
    )
    (found,) = json.loads(matrixmap("keyboard", str(file), "--format", "json").stdout)["keyboards"]
    assert found["led_report"] == {"report": 9, "bytes": 2}
    assert found["leds"] == [
        {"led": 2, "report": 9, "bit": 11, "set": True},
        {"led": 6, "report": 9, "bit": 12, "set": False},
        {"led": 7, "report": 9, "bit": 13, "set": False},
    ]
    file.write_bytes(BOARDS["an array"][0])
    (found,) = json.loads(matrixmap("keyboard", str(file), "--format", "json").stdout)["keyboards"]
    assert (found["leds"], found["led_report"]) == ([], None)
    file.write_bytes(BOARDS["LEDs of none of the five"][0])
    assert "Firmware can set none of them (mm_report_leds)." in matrixmap("keyboard", str(file)).stdout
