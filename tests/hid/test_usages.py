"""Looking up usages by number, code and pattern."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matrixmap.hid.usage_table import NOTES
from matrixmap.hid.usages import (
    KEYPAD_DIGITS,
    MODIFIER_BITS,
    STATUS_USAGES,
    USAGES,
    UsageFact,
    by_code,
    by_number,
    find,
)


def numbers(pattern: str) -> list[int]:
    """The usages found for a pattern, in their order."""
    return [fact.usage for fact in find(pattern)]


def test_usages_ascend_without_repeats() -> None:
    """The usages are in ascending order, each once."""
    order = [fact.usage for fact in USAGES]
    assert order == sorted(set(order))


def test_every_usage_is_found_by_its_number() -> None:
    """A defined number gives its fact; any other gives None."""
    assert [by_number(fact.usage) for fact in USAGES] == list(USAGES)
    assert [by_number(number) for number in (-1, 0xA5, 0xDE, 0xE8, 0x10004)] == [None] * 5


def test_every_code_leads_to_its_usages() -> None:
    """A code stands for every usage that carries it."""
    for fact in USAGES:
        if fact.code is not None:
            assert fact.usage in by_code(fact.code)
    total = sum(len(by_code(code)) for code in {fact.code for fact in USAGES if fact.code})
    assert total == sum(fact.code is not None for fact in USAGES)


def test_only_backslash_stands_for_two_usages() -> None:
    """Boards send 0x31 (ANSI) or 0x32 (ISO) for the one code Backslash."""
    several = {fact.code for fact in USAGES if fact.code and len(by_code(fact.code)) > 1}
    assert several == {"Backslash"}
    assert by_code("Backslash") == (0x31, 0x32)


@pytest.mark.parametrize("code", ["", "keya", "Keya", "KeyÄ", "Nonsense"])
def test_an_unknown_code_stands_for_no_usage(code: str) -> None:
    """A code is looked up as the standard writes it, letter case included."""
    assert by_code(code) == ()


def test_facts_cannot_be_changed() -> None:
    """A fact is frozen and has no room for other attributes."""
    with pytest.raises(AttributeError):
        USAGES[0].name = "other"  # type: ignore[misc]
    assert not hasattr(USAGES[0], "__dict__")


def test_notes_explain_the_usages_that_are_easily_taken_for_another() -> None:
    """The two Backslash keys, the ISO key and the status values carry a note; letters none."""
    for number in (0x31, 0x32, 0x64, 0x76, *STATUS_USAGES):
        fact = by_number(number)
        assert fact is not None
        assert fact.note
    assert {fact.note for fact in USAGES if fact.code and fact.code.startswith("Key")} == {None}


def test_every_note_belongs_to_a_usage() -> None:
    """No note is lost for want of its usage."""
    assert [number for number, _note in NOTES if by_number(number) is None] == []
    assert len(dict(NOTES)) == len(NOTES)


def test_keypad_digits_are_the_keypad_keys_with_two_names() -> None:
    """Num Lock changes the keypad's ten digits and its separator: 0x59 to 0x63."""
    codes = [f"Numpad{digit}" for digit in "1234567890"] + ["NumpadDecimal"]
    assert [by_code(code) for code in codes] == [(usage,) for usage in KEYPAD_DIGITS]


def test_modifiers_are_the_last_eight_usages() -> None:
    """The modifiers close the page, in the order of their bits."""
    assert [fact.usage for fact in USAGES[-8:]] == list(MODIFIER_BITS)
    assert list(MODIFIER_BITS.values()) == list(range(8))


@pytest.mark.parametrize(
    ("pattern", "first"),
    [
        ("KeyA", 0x04),
        ("keya", 0x04),
        (" KeyA ", 0x04),
        ("F1", 0x3A),
        ("Enter", 0x28),
        ("enter", 0x28),
        ("0x64", 0x64),
        ("0X64", 0x64),
        ("100", 0x64),
        ("0xe7", 0xE7),
        ("0", 0x00),
    ],
)
def test_find_gives_the_exact_match_first(pattern: str, first: int) -> None:
    """A code or number written in full comes before the names that contain it."""
    assert numbers(pattern)[0] == first


def test_find_orders_code_then_number_then_names() -> None:
    """Delete is the code of 0x4C and in two more names; 4 is a number and in seven names."""
    assert numbers("Delete") == [0x4C, 0x2A, 0x63]
    assert numbers("4") == [0x04, 0x21, 0x3D, 0x5C, 0x69, 0x73, 0x8A, 0x93]


def test_find_gives_both_backslash_keys() -> None:
    """The code Backslash finds the ANSI and the ISO key."""
    assert numbers("backslash") == [0x31, 0x32]


@pytest.mark.parametrize("pattern", ["", "  ", "nothing like this", "0x", "0xE8", "232", "1_0", "+4", "٤"])
def test_find_may_find_nothing(pattern: str) -> None:
    """Blanks, unknown words, reserved numbers and half-written numbers find nothing."""
    assert find(pattern) == ()


@given(st.text())
def test_find_takes_any_text(pattern: str) -> None:
    """Any text is a pattern; what it finds are usages, each once."""
    found = find(pattern)
    assert len(set(found)) == len(found)
    assert set(found) <= set(USAGES)


@given(st.sampled_from(USAGES), st.sampled_from(["{:d}", "0x{:x}", "0x{:02X}", "0X{:04X}"]))
def test_find_reads_every_number(fact: UsageFact, form: str) -> None:
    """Each usage is found by its number, decimal or hexadecimal."""
    assert fact in find(form.format(fact.usage))


def test_the_table_reads_no_yaml() -> None:
    """Start-up matters: importing the usages loads neither YAML nor the terminal library."""
    code = "import sys, matrixmap.hid.usages; print({'yaml', 'rich'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
