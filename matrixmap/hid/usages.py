"""Usages of the Keyboard/Keypad page (0x07): names, W3C codes, modifiers, boot report, LEDs.

Sources: USB-IF, HID Usage Tables, chapter 10 (usages) and chapter 11 (LEDs);
USB-IF, Device Class Definition for HID 1.11, section 8.3, appendices B.1 and C (boot keyboard);
W3C, UI Events KeyboardEvent code Values, 2023 (codes).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NewType

from matrixmap.hid.usage_table import NOTES, ROWS

# A usage number of page 0x07: 0x00 to 0xE7.
Usage = NewType("Usage", int)

KEYBOARD_PAGE: Final = 0x07
LED_PAGE: Final = 0x08


@dataclass(frozen=True, slots=True, kw_only=True)
class UsageFact:
    """One defined usage of page 0x07.

    `name` is its name in the HID Usage Tables. `code` is the W3C UI Events code; None if W3C has none, and then the
    usage is written as its number. `note` is what the name alone does not say.
    """

    usage: Usage
    name: str
    code: str | None
    note: str | None


def _facts() -> Iterator[UsageFact]:
    notes = dict(NOTES)
    for number, name, code in ROWS:
        yield UsageFact(usage=Usage(number), name=name, code=code, note=notes.get(number))


def _codes() -> Mapping[str, tuple[Usage, ...]]:
    codes: dict[str, tuple[Usage, ...]] = {}
    for fact in USAGES:
        if fact.code is not None:
            codes[fact.code] = (*codes.get(fact.code, ()), fact.usage)
    return MappingProxyType(codes)


# Ascending by number, without the reserved numbers 0xA5-0xAF, 0xDE, 0xDF and those from 0xE8 on.
USAGES: Final[tuple[UsageFact, ...]] = tuple(_facts())

_BY_NUMBER: Final = MappingProxyType({int(fact.usage): fact for fact in USAGES})
_BY_CODE: Final = _codes()

# Members of the key array that are not keys (HID 1.11, appendix C, on phantom states).
NO_EVENT: Final = Usage(0x00)
ERROR_ROLL_OVER: Final = Usage(0x01)
POST_FAIL: Final = Usage(0x02)
ERROR_UNDEFINED: Final = Usage(0x03)
STATUS_USAGES: Final = (ERROR_ROLL_OVER, POST_FAIL, ERROR_UNDEFINED)

CAPS_LOCK: Final = Usage(0x39)
SCROLL_LOCK: Final = Usage(0x47)
NUM_LOCK: Final = Usage(0x53)

# The keypad's 1 to 9, 0 and decimal separator: Num Lock turns them into navigation keys.
KEYPAD_DIGITS: Final = tuple(Usage(number) for number in range(0x59, 0x64))

CONTROL_LEFT: Final = Usage(0xE0)
SHIFT_LEFT: Final = Usage(0xE1)
ALT_LEFT: Final = Usage(0xE2)
META_LEFT: Final = Usage(0xE3)
CONTROL_RIGHT: Final = Usage(0xE4)
SHIFT_RIGHT: Final = Usage(0xE5)
ALT_RIGHT: Final = Usage(0xE6)
META_RIGHT: Final = Usage(0xE7)

# Usage -> its bit number in the modifier byte of a boot report (HID 1.11, section 8.3).
MODIFIER_BITS: Final[Mapping[Usage, int]] = MappingProxyType({Usage(0xE0 + bit): bit for bit in range(8)})

# The boot input report (HID 1.11, appendix B.1): modifier bits, a reserved byte, six usages.
BOOT_REPORT_BYTES: Final = 8
BOOT_MODIFIER_BYTE: Final = 0
BOOT_RESERVED_BYTE: Final = 1
BOOT_FIRST_KEY_BYTE: Final = 2
BOOT_KEYS: Final = 6

# The boot output report (HID 1.11, appendix B.1): one byte of these; bit n is LED usage n + 1.
BOOT_OUTPUT_BYTES: Final = 1
LED_NUM_LOCK: Final = 0x01
LED_CAPS_LOCK: Final = 0x02
LED_SCROLL_LOCK: Final = 0x04
LED_COMPOSE: Final = 0x08
LED_KANA: Final = 0x10
LAST_BOOT_LED: Final = 0x05
"""The usage of Kana on the LED page; that of Num Lock is 0x01 (HID Usage Tables, chapter 11)."""


def by_number(number: int) -> UsageFact | None:
    """The usage with this number; None if page 0x07 defines none."""
    return _BY_NUMBER.get(number)


def code_or_number(usage: Usage) -> str:
    """The W3C code of a usage, or its number if it has no code: `KeyA`, `0x9C`."""
    fact = by_number(usage)
    return fact.code if fact and fact.code else f"0x{usage:02X}"


def by_code(code: str) -> tuple[Usage, ...]:
    """The usages of a W3C code, ascending; empty for an unknown code.

    Letter case counts. Only `Backslash` has two usages: 0x31 on ANSI boards, 0x32 on ISO boards.
    """
    return _BY_CODE.get(code, ())


def find(pattern: str) -> tuple[UsageFact, ...]:
    """The usages that a pattern names, each once: by code, then by number, then by part of a name.

    A number is decimal, or hexadecimal with 0x. Letter case and outer blanks do not count. A blank pattern finds
    nothing. Within each of the three kinds the order is ascending.
    """
    wanted = pattern.strip().casefold()
    if not wanted:
        return ()
    number = _number(wanted)
    codes = [fact for fact in USAGES if fact.code is not None and fact.code.casefold() == wanted]
    numbers = [fact for fact in USAGES if fact.usage == number]
    names = [fact for fact in USAGES if wanted in fact.name.casefold()]
    return tuple(dict.fromkeys((*codes, *numbers, *names)))


def _number(text: str) -> int | None:
    # int() alone would also take signs, underscores and the digits of other scripts.
    digits, base = (text[2:], 16) if text.startswith("0x") else (text, 10)
    if not (digits.isascii() and digits.isalnum()) or len(digits) > len("0xFFFF"):
        return None
    try:
        return int(digits, base)
    except ValueError:
        return None
