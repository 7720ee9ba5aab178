"""The usage table against two sources outside the project.

hid-usages.yaml beside this file: HID Usage Tables, W3C codes and HID 1.11, with its own sources.
hid-tools 0.12: its page 7, a second transcription of USB-IF, HID Usage Tables, chapter 10.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
import yaml

from matrixmap.hid import usages
from matrixmap.hid.usage_names import NAMES
from matrixmap.hid.usages import USAGES, Usage, by_code, by_number

# What hid-tools 0.12 writes otherwise than the HID Usage Tables, with the reason to keep our name.
HID_TOOLS_SLIPS = {
    0x03: ("ErrorUndefine", "the last letter is missing"),
    0x36: ("Keyboard, and <", "the blank before the comma, which is the key's legend, is missing"),
    **{0x86 + n: (f"Kanji{n}", f"the name is International{n}; Kanji was a working name") for n in range(1, 10)},
}


@pytest.fixture(scope="module")
def facts() -> dict[str, Any]:
    """The reference facts, as read."""
    text = (Path(__file__).parent / "hid-usages.yaml").read_text(encoding="utf-8")
    read: dict[str, Any] = yaml.safe_load(text)
    return read


# The same, of other pages.
OTHER_SLIPS = {
    (0x01, 0x05): "Game Pad",
    (0x0C, 0xE9): "Volume Up",
    (0x0C, 0xEA): "Volume Down",
    (0x0C, 0x183): "AL Consumer Control Config",
}


@pytest.fixture(scope="module")
def hid_tools(outside_module: Callable[[str, str], ModuleType]) -> dict[int, str]:
    """Usage -> name on page 7 of hid-tools."""
    page = outside_module("hidtools.hut", "hid-tools").HUT[0x07]
    return {number: usage.name for number, usage in page.items()}


def test_every_usage_has_the_name_and_code_of_the_standards(facts: dict[str, Any]) -> None:
    """The table holds the defined usages of page 0x07 with name and W3C code, and no others."""
    expected = [(row["id"], row["name"], row["code"]) for row in facts["usages"]]
    assert [(fact.usage, fact.name, fact.code) for fact in USAGES] == expected


def test_usages_of_other_pages_are_named_as_hid_tools_names_them(
    outside_module: Callable[[str, str], ModuleType],
) -> None:
    """Desktop, LED and Consumer page: each number that has a name here has the same one there, but for capitals.

    HID Usage Tables 1.5, section 4, writes `Hat Switch` and `D-pad Up` (from memory).
    """
    table = outside_module("hidtools.hut", "hid-tools").HUT
    ours = {(page, number): name for page, names in NAMES.items() for number, name in names.items()}
    assert len(ours) > 30
    theirs = {cell: table[cell[0]][cell[1]].name.casefold() for cell in ours}
    assert theirs == {cell: name.casefold() for cell, name in (ours | OTHER_SLIPS).items()}


def test_reserved_numbers_are_not_usages(facts: dict[str, Any]) -> None:
    """A reserved number is no usage; with the defined ones the reserved ones fill the page."""
    reserved = {number for span in facts["reserved_ranges"] for number in range(span["first"], span["last"] + 1)}
    assert [number for number in sorted(reserved) if by_number(number) is not None] == []
    assert {fact.usage for fact in USAGES} == set(range(0x10000)) - reserved


def test_codes_without_a_usage_find_none(facts: dict[str, Any]) -> None:
    """W3C codes for keys that page 0x07 does not have stand for no usage."""
    codes = facts["w3c_codes_without_page7_usage"]
    assert "Sleep" in codes
    assert {code: by_code(code) for code in codes} == dict.fromkeys(codes, ())


def test_modifiers_are_the_bits_of_the_boot_report(facts: dict[str, Any]) -> None:
    """HID 1.11, section 8.3: bit n of the modifier byte is usage 0xE0 + n."""
    rows = facts["modifier_bits"]
    assert [(row["usage"], row["bit"]) for row in rows] == list(usages.MODIFIER_BITS.items())
    assert [by_code(row["code"]) for row in rows] == [(u,) for u in usages.MODIFIER_BITS]
    dynamic = [row["id"] for row in facts["usages"] if row["type"] == "DV"]
    assert dynamic == list(usages.MODIFIER_BITS)


def test_boot_input_report_is_eight_bytes(facts: dict[str, Any]) -> None:
    """HID 1.11, appendix B.1: modifier bits, a reserved byte, six key codes."""
    contents = {row["byte"]: row["content"] for row in facts["boot_input_report"]}
    first = usages.BOOT_FIRST_KEY_BYTE
    assert len(contents) == usages.BOOT_REPORT_BYTES == first + usages.BOOT_KEYS
    assert contents[usages.BOOT_MODIFIER_BYTE] == "modifier bits"
    assert contents[usages.BOOT_RESERVED_BYTE].startswith("reserved")
    keys = [contents[first + n] for n in range(usages.BOOT_KEYS)]
    assert keys == [f"keycode {n}" for n in range(1, 7)]


def test_leds_are_the_bits_of_the_boot_output_report(facts: dict[str, Any]) -> None:
    """HID 1.11, appendix B.1: five LEDs from bit 0 on; bit n is usage n + 1 of the LED page."""
    masks = {
        "NUM LOCK": usages.LED_NUM_LOCK,
        "CAPS LOCK": usages.LED_CAPS_LOCK,
        "SCROLL LOCK": usages.LED_SCROLL_LOCK,
        "COMPOSE": usages.LED_COMPOSE,
        "KANA": usages.LED_KANA,
    }
    rows = [row for row in facts["boot_output_report"] if "bit" in row]
    assert {row["name"]: 1 << row["bit"] for row in rows} == masks
    ids = {row["name"].upper(): row["id"] for row in facts["led_usages"]}
    assert {name: mask.bit_length() for name, mask in masks.items()} == ids


def test_names_agree_with_hid_tools(hid_tools: dict[int, str]) -> None:
    """Every name that hid-tools has is ours, but for its slips, each named with its reason."""
    assert dict(_otherwise(hid_tools)) == {number: name for number, (name, _reason) in HID_TOOLS_SLIPS.items()}


def test_usages_that_hid_tools_lacks_are_two_known_parts(hid_tools: dict[int, str]) -> None:
    """hid-tools has no usage that we lack; it lacks 0x00 and the wide keypad, 0xB0 to 0xDD."""
    ours = {fact.usage for fact in USAGES}
    assert set(hid_tools) - ours == set()
    assert ours - set(hid_tools) == {0x00, *range(0xB0, 0xDE)}


def _otherwise(hid_tools: dict[int, str]) -> Iterator[tuple[Usage, str]]:
    # hid-tools leaves out the word Keyboard, but keeps Keypad.
    for fact in USAGES:
        name = hid_tools.get(fact.usage)
        if name is not None and name != fact.name.removeprefix("Keyboard "):
            yield fact.usage, name
