"""The basic keys of a host."""

from __future__ import annotations

from matrixmap.hid.usages import SHIFT_LEFT, SHIFT_RIGHT, by_code
from matrixmap.model.basic import basic_keys
from tests.project import shipped_plan


def test_the_basic_keys_of_en_us_are_forty_five() -> None:
    """26 letters, 10 digits, two Shift keys, Space, Enter, Backspace and four arrows, each by its W3C code."""
    codes = [f"Key{letter}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"] + [f"Digit{digit}" for digit in range(10)]
    codes += ["Space", "Enter", "Backspace", "ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight"]
    wanted = {usage for code in codes for usage in by_code(code)} | {SHIFT_LEFT, SHIFT_RIGHT}
    assert len(wanted) == 45
    assert set(basic_keys(shipped_plan("quillon8-en-US-symbolic").layout.host)) == wanted
