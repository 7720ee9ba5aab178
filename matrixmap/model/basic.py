"""The basic keys of a host: those that every text needs."""

from __future__ import annotations

from typing import Final

from matrixmap.hid.geometry import Block, form
from matrixmap.hid.usages import SHIFT_LEFT, SHIFT_RIGHT, Usage, by_code, code_or_number
from matrixmap.model.host import Host

ARROWS: Final = ("ArrowUp", "ArrowLeft", "ArrowDown", "ArrowRight")
SHIFTS: Final = (SHIFT_LEFT, SHIFT_RIGHT)
_OTHERS: Final = tuple(usage for code in ("Space", "Enter", "Backspace", *ARROWS) for usage in by_code(code))


def letter_or_digit(host: Host, usage: Usage) -> str | None:
    """The letter, in lower case, or digit by which a person finds a key; None if its print is something else."""
    text = host.prints.get(usage, "")
    return text.lower() if len(text) == 1 and (text.isalpha() or text.isdecimal()) else None


def coded(usage: Usage) -> str | None:
    """The letter or digit in a key's W3C code, which is what that place means in America: `a` for `KeyA`."""
    code = code_or_number(usage)
    for word in ("Key", "Digit"):
        if code.startswith(word) and len(code) == len(word) + 1:
            return code[-1].lower()
    return None


def basic_keys(host: Host) -> tuple[Usage, ...]:
    """Letters, digits, both Shifts, Space, Enter, Backspace and arrows, as far as the host's form has them, by usage.

    A letter is a key that prints one of the 26 of ISO 646, or any letter on a key with a letter in its W3C code.
    National letters in the places of marks are not basic, because few machines have them. The keypad has no basic keys.
    """
    return tuple(
        sorted(cap.usage for cap in form(host.form).caps if cap.block is not Block.KEYPAD and _basic(host, cap.usage))
    )


def _basic(host: Host, usage: Usage) -> bool:
    if usage in SHIFTS:
        return True
    if usage in _OTHERS:
        return usage in host.keys
    text = letter_or_digit(host, usage)
    return text is not None and (text.isascii() or (coded(usage) or "").isalpha())
