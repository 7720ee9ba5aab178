"""Keys that every physical form has: W3C UI Events KeyboardEvent code Values, 2023, section 3.1."""

from __future__ import annotations

import pytest

from matrixmap.hid.geometry import FORM_NAMES, form
from matrixmap.hid.usages import Usage, by_code, code_or_number

NAVIGATION = range(0x49, 0x4F)
ARROWS = range(0x4F, 0x53)
KEYPAD = range(0x53, 0x64)
"""Usages of control pad, arrow pad, and numpad section (HUT 1.5, section 10: Num Lock to the keypad's point)."""


@pytest.mark.parametrize("name", FORM_NAMES)
def test_every_form_has_navigation_keys_arrows_and_keypad(name: str) -> None:
    """No key of these blocks is missing on any form."""
    there = set(form(name).by_usage)
    assert {*NAVIGATION, *ARROWS, *KEYPAD} <= there


def test_a_usage_without_a_code_is_told_by_its_number() -> None:
    """One that HUT names and UI Events does not (0x9C, Clear), and one that HUT reserves (0xA6)."""
    assert code_or_number(by_code("KeyA")[0]) == "KeyA"
    assert code_or_number(Usage(0x9C)) == "0x9C"
    assert code_or_number(Usage(0xA6)) == "0xA6"
