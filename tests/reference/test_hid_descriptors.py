"""Report descriptors and reports against the HID class definition, version 1.11, and against hid-tools 0.12."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
import yaml

from matrixmap.hid.descriptor import Descriptor, parse_descriptor
from matrixmap.hid.keyboard import keyboard_facts
from matrixmap.hid.recording import BOOT_DESCRIPTOR
from matrixmap.hid.report import Decoder, Keys, State
from tests.desk import generate, oracle
from tests.desk.generate import collection, item, logical, main_item, page, report_id, shape, usage, usages

HERE = Path(__file__).parent
EXAMPLES = {
    name: example
    for file in ("hid-boot-examples.yaml", "hid-descriptors.yaml")
    for name, example in yaml.safe_load((HERE / file).read_text("utf-8")).items()
}
GENERATED = 600


def parsed(data: bytes) -> Descriptor:
    """A descriptor that makes sense."""
    found = parse_descriptor(data)
    assert found.fault is None
    return found.descriptor


def array_of(size: int, values: int) -> Descriptor:
    """A modifier byte and an array, as in the examples of the standard that are shorter than a boot report."""
    inside = generate.MODIFIERS + page(7) + usages(0, 255) + item(0x14, 0) + b"\x26\xff\x00"
    return parsed(page(1) + usage(6) + collection(1, inside + shape(size, values) + main_item("input", 0)))


def test_appendix_e6() -> None:
    """HID 1.11 appendix E.6, the bytes as printed: 8 bytes in, 1 byte out, six keys up to usage 101, a boot report."""
    example = EXAMPLES["descriptor_e6"]
    descriptor = parsed(bytes.fromhex(example["bytes"]))
    facts = keyboard_facts(descriptor)
    assert len(descriptor.data) == example["length"]
    assert {report.kind.value: report.bytes for report in descriptor.reports} == {
        "input": example["input_report_bytes"],
        "output": example["output_report_bytes"],
    }
    array = facts.fields[-1]
    assert (array.count, max(array.keys), array.rolls) == (6, example["array_logical_max"], True)
    assert [led.usage for led in facts.leds] == [1, 2, 3, 4, 5]
    assert (facts.not_boot, facts.beyond_boot, facts.oddities) == ((), frozenset(), ())


def test_appendix_b1() -> None:
    """HID 1.11 appendix B.1, bytes derived from the printed items: the descriptor that boot reports are read with."""
    example = EXAMPLES["descriptor_b1"]
    assert bytes.fromhex(example["bytes_derived"]) == BOOT_DESCRIPTOR
    assert len(BOOT_DESCRIPTOR) == example["length_derived"]
    facts = keyboard_facts(parsed(BOOT_DESCRIPTOR))
    assert max(facts.fields[-1].keys) == example["array_logical_max"]
    assert not facts.not_boot


def test_section_8_3() -> None:
    """HID 1.11 section 8.3, Control, Alt and Delete one after the other, with an array of one."""
    example = EXAMPLES["section_8_3_ctrl_alt_del"]
    keys = Keys(Decoder(array_of(8, example["array_fields"])))
    for step in example["steps"]:
        down = keys.take(keys.decoder.decode(bytes([step["modifier"], *step["array"]])))
        modifiers = {0xE0 + bit for bit in range(8) if step["modifier"] >> bit & 1}
        assert down == modifiers | set(step["array"]) - {0}, step["event"]


def test_appendix_c() -> None:
    """HID 1.11 appendix C, its 4-byte reports: the phantom state keeps the keys and follows the modifiers."""
    example = EXAMPLES["appendix_c"]
    keys = Keys(Decoder(array_of(8, example["array_fields"])))
    held: set[int] = set()
    for step in example["steps"]:
        decoded = keys.decoder.decode(bytes([step["modifier"], *step["array"]]))
        rolled = step["array"] == [1, 1, 1]
        held = held if rolled else set(step["array"]) - {0}
        assert decoded.state is (State.ROLLED if rolled else State.KEYS)
        modifiers = {0xE0 + bit for bit in range(8) if step["modifier"] >> bit & 1}
        assert keys.take(decoded) == modifiers | held, step["event"]


def test_appendix_f5_boot_decode() -> None:
    """HID 1.11 appendix F.5: the printed boot report means A, F1 and keypad 5."""
    example = EXAMPLES["appendix_f5_boot_decode"]
    assert Decoder(parsed(BOOT_DESCRIPTOR)).decode(bytes(example["report"])).key_set == set(example["keys"])


def keypad(count: int) -> bytes:
    """The keypad of appendix F.5 after the reference's facts: usages listed one by one, values that are their indices."""
    example = EXAMPLES["appendix_f5_indexed_keypad"]
    listed = b"".join(map(usage, example["usages"]))
    inside = page(7) + listed + logical(example["logical_min"], example["logical_max"]) + item(0x74, 8)
    return page(1) + usage(7) + item(0x94, count) + collection(1, inside + main_item("input", 0))


def test_appendix_f5_indexed_keypad() -> None:
    """HID 1.11 appendix F.5, mended to its three values: index 11 is keypad 5."""
    example = EXAMPLES["appendix_f5_indexed_keypad"]
    descriptor = parsed(keypad(example["array_fields"]))
    assert Decoder(descriptor).decode(bytes(example["report"])).key_set == {0x5D}
    assert any("count them from the logical minimum" in note.text for note in keyboard_facts(descriptor).oddities)


def test_appendix_f5_is_faulty() -> None:
    """HID 1.11 appendix F.5 as printed has Report Count 0 before the collection: the field holds nothing, and no key is sent."""
    facts = keyboard_facts(parsed(keypad(0)))
    assert [note.text for note in facts.oddities] == [
        "there are no keys: no input field has usages of the keyboard page",
        "the Input field is empty: its Report Count is 0",
    ]
    assert facts.keys == frozenset()


def check_against_oracle(data: bytes, rng: random.Random, reports: int) -> int:
    """Field layout and decoded values agree with hid-tools; how many values were compared."""
    descriptor = parsed(data)
    theirs = oracle.read(data)
    assert oracle.our_layout(descriptor) == oracle.their_layout(theirs), data.hex(" ")
    decoder = Decoder(descriptor)
    compared = 0
    for report in descriptor.inputs:
        for _ in range(reports):
            sent = generate.report(rng, report.bytes, report.id)
            if not sent:
                continue
            expected = oracle.down(theirs, sent)
            assert expected is not None
            found = decoder.decode(sent)
            compared += 1
            if found.state is State.ROLLED:
                assert expected & {1, 2, 3}
                followed = {usage for usage in range(0xE0, 0xE8) if found.followed >> usage & 1}
                assert {usage for usage in followed if found.keys >> usage & 1} <= expected & followed
            else:
                assert found.key_set == expected, (data.hex(" "), sent.hex(" "))
    return compared


def test_generated_descriptors_agree_with_hid_tools() -> None:
    """Of 600 made-up descriptors every value's bit, size and usages, and of several reports each all keys, are those of hid-tools."""
    compared = 0
    for seed in range(GENERATED):
        rng = random.Random(seed)
        compared += check_against_oracle(generate.keyboard(rng), rng, 3)
    assert compared > GENERATED * 10 // 3


@pytest.mark.campaign
def test_many_generated_descriptors_agree_with_hid_tools() -> None:
    """The same for the rest of 50,000 descriptors."""
    for seed in range(GENERATED, 50_000):
        rng = random.Random(seed)
        check_against_oracle(generate.keyboard(rng), rng, 3)


KEYS_OF = page(7) + logical(0, 1)

# Where this project reads otherwise than hid-tools, each with the reason; every row is one fact of both.
DISAGREEMENTS = {
    # Section 6.2.2.7: Report ID is a global item, so that Pop brings the old one back. hid-tools keeps the newer one.
    "pop-restores-the-report-id": (
        report_id(1)
        + b"\xa4"
        + report_id(2)
        + KEYS_OF
        + usage(4)
        + shape(1, 8)
        + main_item("input", 2)
        + b"\xb4"
        + page(7)
        + usage(5)
        + logical(0, 1)
        + shape(1, 8)
        + main_item("input", 2),
        b"\x01\x01",
        {5},
        None,
    ),
    # Section 6.2.2.7: Logical Maximum is signed; where the minimum is not negative, 25 FF can only mean 255, for both.
    # Below a negative minimum it is -1, which hid-tools takes for 255.
    "negative-maximum": (
        page(7) + usages(4, 0x20) + item(0x14, -8, signed=True) + b"\x25\xff" + shape(8, 1) + main_item("input", 0),
        b"\x01",
        set(),
        {13},
    ),
    # Section 6.2.2.8: usages and ranges of one field go together in their order. hid-tools takes the range alone.
    "usages-and-a-range": (
        KEYS_OF + usage(0x39) + usages(4, 6) + shape(1, 8) + main_item("input", 2),
        b"\x01",
        {0x39},
        {4},
    ),
    # Section 6.2.2.8: between delimiters the first usage is the preferred one. hid-tools takes each for a field's own.
    "alternative-usages": (
        KEYS_OF + b"\xa9\x01" + usage(4) + usage(5) + b"\xa9\x00" + usage(6) + shape(1, 8) + main_item("input", 2),
        b"\x02",
        {6},
        {5},
    ),
    # Section 6.2.2.8: local items end with every main item, End Collection among them. hid-tools keeps them then.
    "end-collection-ends-usages": (
        usage(1) + collection(0, page(7) + usage(4)) + KEYS_OF + usage(5) + shape(1, 8) + main_item("input", 2),
        b"\x01",
        {5},
        {4},
    ),
    # A value of one bit below zero is -1 (section 6.2.2.7). hid-tools reads values of one bit without sign.
    "one-signed-bit": (
        page(7)
        + usages(4, 5)
        + logical(-1, 0)
        + shape(1, 1)
        + main_item("input", 0)
        + shape(1, 7)
        + main_item("input", 1),
        b"\x01",
        {4},
        set(),
    ),
    # Section 6.2.2.7: if any report has an id, all have. hid-tools falls back on a report without one.
    "report-without-an-id": (
        KEYS_OF
        + usages(4, 11)
        + shape(1, 8)
        + main_item("input", 2)
        + report_id(1)
        + usage(0x39)
        + shape(1, 8)
        + main_item("input", 2),
        b"\x02",
        set(),
        {5},
    ),
    # Section 8.4 asks for whole bytes; where a descriptor has not, the last part of one counts as a byte. hid-tools drops it.
    "part-of-a-byte": (
        KEYS_OF + usages(4, 15) + shape(1, 12) + main_item("input", 2),
        b"\x01",
        set(),
        {4},
    ),
    # Section 6.2.2.8: Usage Minimum needs a Usage Maximum. hid-tools takes a lone one for a usage of the whole field.
    "lone-usage-minimum": (
        KEYS_OF + item(0x18, 4) + shape(1, 8) + main_item("input", 2),
        b"\x01",
        set(),
        {4},
    ),
}


@pytest.mark.parametrize("name", DISAGREEMENTS)
def test_disagreements_are_known(name: str) -> None:
    """Each known disagreement with hid-tools is there as described: ours, and theirs."""
    inside, report, ours, theirs = DISAGREEMENTS[name]
    data = page(1) + usage(6) + collection(1, inside)
    assert Decoder(parsed(data)).decode(report).key_set == ours
    assert oracle.down(oracle.read(data), report) == theirs


# What hid-tools takes and we refuse, and the other way round.
ACCEPTED_BY_THEM_ALONE = {
    "an unclosed collection": page(1) + usage(6) + item(0xA0, 1) + generate.MODIFIERS,
    "an End Collection too many": page(1) + b"\xc0",
    "Report ID 0": page(1) + usage(6) + collection(1, report_id(0) + generate.MODIFIERS),
    "a range that runs backwards": page(1)
    + usage(6)
    + collection(1, page(7) + usages(9, 4) + shape(1, 8) + main_item("input", 2)),
}
ACCEPTED_BY_US_ALONE = {
    # Section 6.2.2.3 defines long items, and that they may be skipped.
    "a long item": b"\xfe\x02\x10ab" + page(1) + usage(6) + collection(1, generate.MODIFIERS),
    # Section 6.2.2.1: reserved tags are for later editions.
    "a reserved item": b"\xd4" + page(1) + usage(6) + collection(1, generate.MODIFIERS),
}


@pytest.mark.parametrize("data", ACCEPTED_BY_THEM_ALONE.values(), ids=ACCEPTED_BY_THEM_ALONE)
def test_refused_by_us_alone(data: bytes) -> None:
    """What hid-tools lets pass and the standard does not."""
    assert parse_descriptor(data).fault is not None
    assert not oracle.rejects(data)


@pytest.mark.parametrize("data", ACCEPTED_BY_US_ALONE.values(), ids=ACCEPTED_BY_US_ALONE)
def test_refused_by_them_alone(data: bytes) -> None:
    """What the standard lets pass and hid-tools does not."""
    assert parse_descriptor(data).fault is None
    assert oracle.rejects(data)
