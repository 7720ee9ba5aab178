"""From reports to keys, case by case."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.hid.descriptor import Descriptor, parse_descriptor
from matrixmap.hid.descriptor_text import read_descriptor_text
from matrixmap.hid.keyboard import keyboard_facts
from matrixmap.hid.recording import BOOT_DESCRIPTOR
from matrixmap.hid.report import Decoder, Keys, State, key_set
from tests.desk.generate import collection, item, logical, main_item, page, report_id, shape, usage, usages


def described(inside: bytes) -> Descriptor:
    """The descriptor of a keyboard with these fields."""
    return parse_descriptor(page(1) + usage(6) + collection(1, inside)).descriptor


def decoder(inside: bytes) -> Decoder:
    """The decoder of a keyboard with these fields."""
    return Decoder(described(inside))


def field(flags: int, size: int, count: int, low: int = 0, high: int = 1) -> bytes:
    """An input field."""
    return logical(low, high) + shape(size, count) + main_item("input", flags)


@pytest.mark.parametrize(
    ("inside", "report", "keys"),
    [
        (page(7) + usages(4, 11) + field(2, 1, 8), "81", {4, 11}),
        (page(7) + usages(4, 7) + field(2, 2, 4), "42", {4, 7}),
        (page(7) + usages(4, 7) + field(2, 3, 8), "08 00 00", {5}),
        (page(7) + usages(4, 5) + field(2, 1, 8), "02", {5}),
        (page(7) + usages(4, 5) + field(2, 1, 8), "80", {5}),
        (page(7) + usages(4, 5) + field(2, 1, 8), "01", {4}),
        (page(12) + usage(0xE9) + usage(0x70004) + field(2, 1, 8), "01", set()),
        (page(12) + usage(0xE9) + usage(0x70004) + field(2, 1, 8), "02", {4}),
        (page(7) + usages(4, 0x67) + field(0, 8, 2, 0, 99), "00 63", {4, 0x67}),
        (page(7) + usages(4, 0x67) + field(0, 8, 2, 4, 0x67), "04 00", {4}),
        (page(7) + usages(4, 0x67) + field(0, 8, 1, 0, 9), "0a", set()),
        (page(7) + usages(4, 0x67) + field(0, 4, 2, -8, 7), "f8", {4, 11}),
        (page(7) + usages(4, 0x67) + field(0, 8, 1, -2, 100), "fe", {4}),
        (page(7) + usages(4, 0x67) + field(0, 8, 1, -2, 100), "00", {6}),
        (page(7) + usages(4, 0x67) + field(0, 16, 1, 0x100, 0x163), "01 01", {5}),
        (page(7) + usages(4, 0x67) + field(0, 32, 1, 0, 99), "01 00 00 00", {5}),
        (page(7) + usages(4, 0x67) + field(0, 32, 1, 0, 99), "01 00 01 00", set()),
        (page(7) + usages(4, 0x1FF) + field(0, 16, 1, 0, 0x1FB), "fb 00", {0xFF}),
        (page(7) + usages(4, 0x1FF) + field(0, 16, 1, 0, 0x1FB), "fc 00", set()),
        (page(7) + usages(4, 11) + field(3, 1, 8), "ff", set()),
        (page(7) + usages(4, 11) + field(6, 1, 8), "01", {4}),
    ],
)  # fmt: skip
def test_fields(inside: bytes, report: str, keys: set[int]) -> None:
    """Section 6.2.2.5: bits and values of every size, with and without sign, in and out of their range."""
    assert decoder(inside).decode(bytes.fromhex(report)).key_set == keys


def test_what_is_no_report_of_keys_has_none() -> None:
    """An empty, a short and another report say of no key, not even of usage 0, that it is down."""
    keyboard = decoder(
        report_id(1) + page(7) + usages(4, 11) + field(2, 1, 8) + report_id(2) + page(12) + usage(0xE9) + field(2, 1, 8)
    )
    for report, state in ((b"", State.MALFORMED), (b"\1", State.MALFORMED), (b"\2\1", State.OTHER)):
        decoded = keyboard.decode(report)
        assert (decoded.state, decoded.keys, decoded.followed) == (state, 0, 0)


@pytest.mark.parametrize("bit", range(8))
def test_a_key_in_the_reserved_byte_is_no_boot_report(bit: int) -> None:
    """HID 1.11, appendix B.1: the second byte is reserved, so whichever of its bits is a key, a boot host loses it."""
    before, after = (shape(1, count) + main_item("input", 3) if count else b"" for count in (bit, 7 - bit))
    modifiers = page(7) + usages(0xE0, 0xE7) + field(2, 1, 8)
    array = page(7) + usages(0, 0x65) + field(0, 8, 6, 0, 0x65)
    key = usage(0x68) + field(2, 1, 1)
    one = keyboard_facts(described(modifiers + before + key + after + array))
    none = keyboard_facts(described(modifiers + shape(1, 8) + main_item("input", 3) + array))
    assert (len(one.not_boot), len(none.not_boot)) == (1, 0)
    assert "second byte" in one.not_boot[0]


@pytest.mark.parametrize("text", [b"0x05 0x01 9", b"0X05, 0X01, 9", b"{ 0X05, 1, 0X09 }", b"05 01 09"])
def test_a_descriptor_is_read_from_c_and_from_hexadecimal_digits(text: bytes) -> None:
    """C writes the prefix of a hexadecimal number with a small or a capital X (ISO/IEC 9899, 6.4.4.1)."""
    read = read_descriptor_text(text)
    assert (read.data, read.fault) == (b"\5\1\x09", None)


@pytest.mark.parametrize("status", [1, 2, 3])
def test_status_usages_roll_over(status: int) -> None:
    """ErrorRollOver, POSTFail and ErrorUndefined in any place of the array keep the keys and let the modifiers pass."""
    for place in range(6):
        keys = Keys(Decoder(parse_descriptor(BOOT_DESCRIPTOR).descriptor))
        assert keys.take(keys.decoder.decode(bytes([1, 0, 4, 5, 0, 0, 0, 0]))) == {0xE0, 4, 5}
        report = bytearray([0x82, 0, 6, 6, 6, 6, 6, 6])
        report[2 + place] = status
        decoded = keys.decoder.decode(bytes(report))
        assert decoded.state is State.ROLLED
        assert keys.take(decoded) == {0xE1, 0xE7, 4, 5}


def test_a_status_bit_in_a_bitmap_rolls_over() -> None:
    """A bitmap from usage 0 on has bits for the status usages; set, they mean what they mean in an array."""
    keys = Keys(decoder(page(7) + usages(0xE0, 0xE7) + field(2, 1, 8) + usages(0, 7) + field(2, 1, 8)))
    assert keys.take(keys.decoder.decode(b"\x01\x30")) == {0xE0, 4, 5}
    assert keys.take(keys.decoder.decode(b"\x02\xc2")) == {0xE1, 4, 5}
    assert keys.take(keys.decoder.decode(b"\x02\xc1")) == {0xE1, 6, 7}


def test_modifiers_in_the_array_stay_while_rolled_over() -> None:
    """Modifiers without bits of their own cannot be followed under rollover: they stay as they were."""
    keys = Keys(
        decoder(page(7) + usages(0, 0xE7) + item(0x14, 0) + b"\x26\xe7\x00" + shape(8, 3) + main_item("input", 0))
    )
    assert keys.take(keys.decoder.decode(b"\xe1\x04\x00")) == {0xE1, 4}
    assert keys.take(keys.decoder.decode(b"\x01\x01\x01")) == {0xE1, 4}


def test_two_reports_are_one_set() -> None:
    """A key is down while any report of its keyboard says so."""
    bits = field(2, 1, 8)
    keys = Keys(decoder(report_id(1) + page(7) + usages(4, 11) + bits + report_id(2) + usages(4, 11) + bits))
    sets = [keys.take(keys.decoder.decode(bytes.fromhex(report))) for report in ("01 01", "02 03", "01 00", "02 00")]
    assert sets == [{4}, {4, 5}, {4, 5}, set()]
    assert keys.down == frozenset()


@pytest.mark.parametrize(
    ("report", "text"),
    [
        ("", "the report is empty"),
        ("01", "report 1 has 1 byte, but its descriptor says 2"),
        ("07 00", "the descriptor has no input report 7 (it has 1, 2)"),
    ],
)
def test_malformed_reports(report: str, text: str) -> None:
    """A report that is too short or of an id that the descriptor has not changes nothing, and says why."""
    keys = Keys(
        decoder(
            report_id(1)
            + page(7)
            + usages(4, 11)
            + field(2, 1, 8)
            + report_id(2)
            + page(12)
            + usage(1)
            + field(2, 8, 1)
        )
    )
    keys.take(keys.decoder.decode(b"\x01\x01"))
    decoded = keys.decoder.decode(bytes.fromhex(report))
    assert (decoded.state, decoded.text) == (State.MALFORMED, text)
    assert keys.take(decoded) == {4}
    assert keys.decoder.decode(b"\x02\x00").state is State.OTHER


def test_a_longer_report_is_cut() -> None:
    """Bytes beyond what the descriptor says mean nothing."""
    boot = Decoder(parse_descriptor(BOOT_DESCRIPTOR).descriptor)
    assert boot.decode(bytes([0, 0, 4, 0, 0, 0, 0, 0, 5, 6])).key_set == {4}


@given(
    st.integers(0, 2**256 - 1)
    | st.sets(st.integers(0, 255), max_size=20).map(lambda keys: sum(1 << key for key in keys))
)
@settings(max_examples=200, deadline=None)
def test_key_set(bits: int) -> None:
    """Few or many, the usages are those whose bits are set."""
    assert key_set(bits) == {usage for usage in range(256) if bits >> usage & 1}
