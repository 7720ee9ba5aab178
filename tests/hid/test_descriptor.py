"""Reading report descriptors: every kind of item, and everything that is wrong with a descriptor."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.hid.descriptor import Descriptor, Field, UsageRange, parse_descriptor
from matrixmap.hid.items import MAX_DESCRIPTOR_BYTES, Tag, read_items
from tests.desk import generate
from tests.desk.generate import (
    MODIFIERS,
    collection,
    item,
    logical,
    main_item,
    page,
    report_id,
    shape,
    usage,
    usages,
)


def keyboard(inside: bytes) -> bytes:
    """An application collection Keyboard."""
    return page(1) + usage(6) + collection(1, inside)


def parsed(data: bytes) -> Descriptor:
    """A descriptor that makes sense."""
    found = parse_descriptor(data)
    assert found.fault is None, found.fault
    return found.descriptor


def fields(data: bytes) -> list[Field]:
    """The fields of all reports."""
    return [field for report in parsed(data).reports for field in report.fields]


@pytest.mark.parametrize("tag", list(Tag))
@pytest.mark.parametrize(("size", "code"), [(0, 0), (1, 1), (2, 2), (4, 3)])
def test_short_items(tag: Tag, size: int, code: int) -> None:
    """Section 6.2.2.2: the two low bits of the prefix are the size, 3 stands for 4, and the low byte comes first."""
    data = bytes([tag | code]) + bytes([0x80 + n for n in range(size)])
    (found,) = read_items(data)
    assert (found.tag, found.size, found.offset) == (tag, size, 0)
    assert found.unsigned == sum((0x80 + n) << 8 * n for n in range(size))
    assert found.signed == (found.unsigned - (1 << 8 * size) if size else 0)


def test_long_items_are_skipped() -> None:
    """Section 6.2.2.3: a long item says its length, and what follows it is read as before."""
    data = b"\xfe\x03\x55abc" + keyboard(MODIFIERS)
    assert fields(data)[0].usages == fields(keyboard(MODIFIERS))[0].usages
    assert [(note.offset, note.text) for note in parsed(data).oddities] == [
        (0, "a reserved or long item (0xFE), which means nothing in HID 1.11")
    ]


def test_push_and_pop() -> None:
    """Section 6.2.2.7: Pop brings back all global items, the report id included."""
    inside = (
        report_id(1)
        + page(7)
        + logical(0, 1)
        + shape(1, 8)
        + b"\xa4"
        + report_id(2)
        + page(12)
        + logical(-5, 9)
        + shape(4, 2)
    )
    inside += usage(0xE9) + main_item("input", 2) + b"\xb4" + usages(4, 11) + main_item("input", 2)
    other, keys = fields(keyboard(inside))
    assert (other.report_id, other.size, other.count, other.logical_min, other.logical_max) == (2, 4, 2, -5, 9)
    assert (keys.report_id, keys.size, keys.count, keys.logical_min, keys.logical_max) == (1, 1, 8, 0, 1)
    assert keys.usages == (UsageRange(first=0x70004, last=0x7000B),)


def test_each_report_counts_its_own_bits() -> None:
    """Section 6.2.2.7: fields go behind those of the same report and kind; an id takes the first byte."""
    one = shape(8, 1) + main_item("input", 1)
    inside = report_id(1) + one + report_id(2) + one + main_item("output", 1) + report_id(1) + one
    reports = {(report.kind.value, report.id): report for report in parsed(keyboard(inside)).reports}
    assert [field.bit for field in reports["input", 1].fields] == [8, 16]
    assert [(key, report.bits) for key, report in reports.items()] == [
        (("input", 1), 24),
        (("input", 2), 16),
        (("output", 2), 16),
    ]


def test_long_usages_bring_their_page() -> None:
    """Section 6.2.2.8: a usage of four bytes has its page in the upper two, whatever Usage Page says."""
    (field,) = fields(keyboard(page(12) + usage(0x70004) + usage(0xE9) + shape(1, 2) + main_item("input", 2)))
    assert [field.usage_at(index) for index in range(2)] == [0x70004, 0xC00E9]
    (field,) = fields(keyboard(page(12) + usages(0x70004, 0x70006) + shape(1, 3) + main_item("input", 2)))
    assert field.usages == (UsageRange(first=0x70004, last=0x70006),)


def test_a_page_after_its_usages() -> None:
    """Section 6.2.2.8: the main item joins usage and page, so that a page may follow; a usage of that page stops it."""
    (field,) = fields(keyboard(page(12) + usage(4) + page(7) + shape(1, 1) + main_item("input", 2)))
    assert field.usage_at(0) == 0x70004
    (field,) = fields(keyboard(page(12) + usage(0xE9) + page(7) + usage(4) + shape(1, 2) + main_item("input", 2)))
    assert [field.usage_at(index) for index in range(2)] == [0xC00E9, 0x70004]


def test_ranges_and_usages_keep_their_order() -> None:
    """Section 6.2.2.8: usages are assigned in the order in which they were declared; the maximum may come first."""
    inside = page(7) + usage(0x39) + item(0x28, 6) + item(0x18, 4) + usage(0x10) + shape(1, 6) + main_item("input", 2)
    (field,) = fields(keyboard(inside))
    assert [field.usage_at(index) & 0xFFFF for index in range(6)] == [0x39, 4, 5, 6, 0x10, 0x10]  # type: ignore[operator]


def test_an_array_has_no_usage_beyond_its_last() -> None:
    """Section 6.2.2.8: the last usage answers for further variables, but an array's index beyond it names nothing."""
    (field,) = fields(keyboard(page(7) + usages(4, 5) + logical(0, 9) + shape(8, 3) + main_item("input", 0)))
    assert [field.usage_at(index) for index in range(3)] == [0x70004, 0x70005, None]


def test_a_maximum_below_a_minimum_of_zero() -> None:
    """`25 FF` after a minimum of 0 can only mean 255; below a negative minimum it is -1."""
    (field,) = fields(
        keyboard(page(7) + usages(0, 255) + item(0x14, 0) + b"\x25\xff" + shape(8, 1) + main_item("input", 0))
    )
    assert field.logical_max == 255
    (field,) = fields(
        keyboard(
            page(7) + usages(0, 9) + item(0x14, -9, signed=True) + b"\x25\xff" + shape(8, 1) + main_item("input", 0)
        )
    )
    assert field.logical_max == -1


MALFORMED = {
    "empty": (b"", 0, "the descriptor is empty"),
    "cut in the data": (b"\x05\x01\x26\xff", 2, "inside the item 0x26 (Logical Maximum): it has 1 of its 2 bytes"),
    "cut after a prefix": (b"\x05", 0, "inside the item 0x05 (Usage Page): it has 0 of its 1 bytes"),
    "cut in a long item": (b"\xfe\x09\x10abc", 0, "inside a long item of 9 bytes"),
    "cut after a long prefix": (b"\x05\x01\xfe", 2, "inside a long item of 0 bytes"),
    "end without begin": (
        keyboard(MODIFIERS) + b"\xc0",
        len(keyboard(MODIFIERS)),
        "an End Collection without a Collection",
    ),
    "not closed": (page(1) + b"\xa1\x01" + b"\xa1\x00", 6, "2 collections are not closed; the last opens at byte 4"),
    "pop without push": (page(1) + b"\xb4", 2, "a Pop without a Push"),
    "report id 0": (page(1) + b"\x85\x00", 2, "Report ID is 1 to 255, not 0"),
    "report id 300": (b"\x86\x2c\x01", 0, "Report ID is 1 to 255, not 300"),
    "range backwards": (page(7) + usages(9, 4), 4, "the usages from 0x70009 to 0x70004 are not a range"),
    "range over pages": (usages(0x70004, 0xC0004), 5, "the usages from 0x70004 to 0xC0004 are not a range"),
    "too long": (
        page(7) + shape(16, 65535) + main_item("input", 2),
        7,
        "65535 fields of 16 bits make a report longer than 65535 bytes",
    ),
    "too long together": (
        keyboard((shape(8, 40000) + main_item("input", 1)) * 2),
        18,
        "40000 fields of 8 bits make a report longer",
    ),
    "too many pushes": (b"\xa4" * 17, 16, "more than 16 Push items without a Pop"),
    "delimiter inside a set": (b"\xa9\x01\xa9\x01", 2, "a Delimiter that neither opens nor closes a set"),
    "delimiter without a set": (b"\xa9\x00", 0, "a Delimiter that neither opens nor closes a set"),
    "delimiter not closed": (
        page(7) + b"\xa9\x01" + usage(4) + main_item("input", 2),
        6,
        "a set of alternative usages (Delimiter) is not closed",
    ),
    "thirty thousand collections": (
        b"\xa1\x01" * 30000,
        60000,
        "30000 collections are not closed; the last opens at byte 59998",
    ),
    "too many bytes": (b"\x05\x01" * 40000, MAX_DESCRIPTOR_BYTES, "80000 bytes are too many for a report descriptor"),
}


@pytest.mark.parametrize("name", MALFORMED)
def test_malformed_descriptors(name: str) -> None:
    """A descriptor that makes no sense has one fault, with the offset of the item at which it stops making any."""
    data, offset, text = MALFORMED[name]
    fault = parse_descriptor(data).fault
    assert fault is not None
    assert fault.offset == offset
    assert text in fault.text


def test_what_stands_before_a_fault_is_read() -> None:
    """Reading keeps the reports before the fault."""
    found = parse_descriptor(keyboard(MODIFIERS) + b"\x26\xff")
    assert found.fault is not None
    assert [report.bits for report in found.descriptor.reports] == [8]


ODD = {
    "a count of 65,535": (shape(1, 65535) + page(7) + usages(4, 5) + logical(0, 1) + main_item("input", 2), None),
    "nothing": (shape(8, 0) + main_item("input", 2), "the Input field is empty: its Report Count is 0"),
    "no size": (shape(0, 8) + main_item("output", 2), "the Output field is empty: its Report Size is 0"),
    "no usage": (shape(8, 1) + main_item("input", 2), "the Input field of 1 x 8 bits has data but no usage"),
    "no whole bytes": (shape(3, 1) + main_item("input", 1), "the input report ends inside a byte, after 3 bits: the padding is wrong"),
    "lone minimum": (item(0x18, 4) + shape(8, 1) + main_item("input", 1), "a Usage Minimum or Maximum without its other end; ignored"),
    "maximum below": (usage(1) + logical(9, 3) + shape(8, 1) + main_item("input", 2), "Logical Maximum 3 is below Logical Minimum 9"),
    "25 FF": (usage(1) + item(0x14, 0) + b"\x25\xff" + shape(8, 1) + main_item("input", 2), "Logical Maximum is written as -1, below the minimum; read as 255"),
    "wide array": (usage(1) + logical(0, 1) + shape(40, 1) + main_item("input", 0), "an array of 40 bits a value: HID 1.11, section 8.4, allows 32; ignored"),
    "ids and none": (shape(8, 1) + main_item("input", 1) + report_id(1) + main_item("input", 1), "the input report has no id, but others have: no host can tell it apart, and it is left out"),
    "push left": (b"\xa4" + shape(8, 1) + main_item("input", 1), "a Push without a Pop after it"),
    "trailing zero": (b"\x00" + shape(8, 1) + main_item("input", 1), "a reserved or long item (0x00), which means nothing in HID 1.11"),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_odd_descriptors(name: str) -> None:
    """What is odd but can be read is told with its place, and only that."""
    inside, text = ODD[name]
    told = [note.text for note in parsed(keyboard(inside)).oddities]
    assert (text in told) if text else not [words for words in told if "ends inside" not in words]


def test_outside_every_collection() -> None:
    """Section 6.2.2.4 puts fields into collections; one outside is read, and told."""
    told = [note.text for note in parsed(MODIFIERS).oddities]
    assert told == ["the Input field is outside every collection"]


@given(st.binary(max_size=300))
@settings(max_examples=600, deadline=None)
def test_any_bytes(data: bytes) -> None:
    """Any bytes are a descriptor or have a fault inside them; reading never raises and takes no more memory than they say."""
    found = parse_descriptor(data)
    assert found.fault is None or 0 <= found.fault.offset <= len(data)
    for report in found.descriptor.reports:
        assert report.bits == sum(field.size * field.count for field in report.fields) + (8 if report.id else 0)


@given(st.integers(0, 2**32))
@settings(max_examples=300, deadline=None)
def test_nearly_right_bytes(seed: int) -> None:
    """The same for descriptors that were whole before a few bytes changed."""
    import random

    test_any_bytes.hypothesis.inner_test(generate.broken(random.Random(seed)))  # type: ignore[attr-defined]
