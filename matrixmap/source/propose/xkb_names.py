"""The names that libxkbcommon uses for the keys, functions and accents of a host file.

Key codes: Linux key codes of input-event-codes.h by HID usage, as in the kernel's hid-input.c; an XKB key code is eight
more. Functions: keysyms of keysymdef.h and their W3C key values (UI Events KeyboardEvent key Values), paired from
memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from matrixmap.hid.usages import Usage

_LETTERS = (30, 48, 46, 32, 18, 33, 34, 35, 23, 36, 37, 38, 50, 49, 24, 25, 16, 19, 31, 20, 22, 47, 17, 45, 21, 44)
_DIGITS = (2, 3, 4, 5, 6, 7, 8, 9, 10, 11)
_FROM_ENTER = (28, 1, 14, 15, 57, 12, 13, 26, 27, 43, 43, 39, 40, 41, 51, 52, 53, 58)
_FUNCTION_KEYS = (59, 60, 61, 62, 63, 64, 65, 66, 67, 68, 87, 88)
_FROM_PRINT = (99, 70, 119, 110, 102, 104, 111, 107, 109, 106, 105, 108, 103)
_KEYPAD = (69, 98, 55, 74, 78, 96, 79, 80, 81, 75, 76, 77, 71, 72, 73, 82, 83, 86, 127, 116, 117)
# fmt: off
_OTHERS = {
    0x74: 134, 0x75: 138, 0x78: 128, 0x7A: 131, 0x7B: 137, 0x7C: 133, 0x7D: 135, 0x7E: 136, 0x7F: 113, 0x80: 115,
    0x81: 114, 0x85: 121, 0x87: 89, 0x88: 93, 0x89: 124, 0x8A: 92, 0x8B: 94, 0x8C: 95, 0x90: 122, 0x91: 123, 0x92: 90,
    0x93: 91, 0x94: 85, 0xB6: 179, 0xB7: 180,
}
# fmt: on
_MODIFIERS = (29, 42, 56, 125, 97, 54, 100, 126)


def _key_codes() -> Mapping[Usage, int]:
    runs = ((0x04, (*_LETTERS, *_DIGITS, *_FROM_ENTER, *_FUNCTION_KEYS, *_FROM_PRINT, *_KEYPAD)), (0xE0, _MODIFIERS))
    codes = {Usage(first + n): code + 8 for first, run in runs for n, code in enumerate(run)}
    codes.update({Usage(usage): code + 8 for usage, code in _OTHERS.items()})
    return MappingProxyType(dict(sorted(codes.items())))


# Usage -> XKB key code, without the usages that are another key in Linux than in HID and W3C:
# F13 to F24, Menu (0x76), Select, Again, and Clear (0x9C, 0xD8).
KEY_CODES: Final = _key_codes()

# Keysym -> function.
FUNCTIONS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "Return": "Enter",
        "KP_Enter": "Enter",
        "Escape": "Escape",
        "BackSpace": "Backspace",
        "Tab": "Tab",
        "ISO_Left_Tab": "Tab",
        "Caps_Lock": "CapsLock",
        "Num_Lock": "NumLock",
        "Scroll_Lock": "ScrollLock",
        "Print": "PrintScreen",
        "Pause": "Pause",
        "Insert": "Insert",
        "KP_Insert": "Insert",
        "Delete": "Delete",
        "KP_Delete": "Delete",
        "Home": "Home",
        "KP_Home": "Home",
        "End": "End",
        "KP_End": "End",
        "Prior": "PageUp",
        "KP_Prior": "PageUp",
        "Next": "PageDown",
        "KP_Next": "PageDown",
        "Up": "ArrowUp",
        "KP_Up": "ArrowUp",
        "Down": "ArrowDown",
        "KP_Down": "ArrowDown",
        "Left": "ArrowLeft",
        "KP_Left": "ArrowLeft",
        "Right": "ArrowRight",
        "KP_Right": "ArrowRight",
        "KP_Begin": "Clear",
        "Menu": "ContextMenu",
        "Help": "Help",
        "Cancel": "Cancel",
        "Undo": "Undo",
        "Redo": "Redo",
        "Find": "Find",
        "XF86Open": "Open",
        "XF86Cut": "Cut",
        "XF86Copy": "Copy",
        "XF86Paste": "Paste",
        "XF86AudioMute": "AudioVolumeMute",
        "XF86AudioRaiseVolume": "AudioVolumeUp",
        "XF86AudioLowerVolume": "AudioVolumeDown",
        "XF86PowerOff": "Power",
        "Hiragana_Katakana": "HiraganaKatakana",
        "Henkan_Mode": "Convert",
        "Muhenkan": "NonConvert",
        "Hangul": "HangulMode",
        "Hangul_Hanja": "HanjaMode",
        "Katakana": "Katakana",
        "Hiragana": "Hiragana",
        "Romaji": "Romaji",
        "Zenkaku_Hankaku": "ZenkakuHankaku",
        "Eisu_toggle": "Eisu",
        **{f"F{number}": f"F{number}" for number in range(1, 13)},
    }
)

# Dead keysym -> its accent. Accents without a spacing character in Unicode have the combining one.
ACCENTS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "dead_grave": "`",
        "dead_acute": "´",
        "dead_circumflex": "^",
        "dead_tilde": "~",
        "dead_macron": "¯",
        "dead_breve": "˘",
        "dead_abovedot": "˙",
        "dead_diaeresis": "¨",
        "dead_abovering": "˚",
        "dead_doubleacute": "˝",
        "dead_caron": "ˇ",
        "dead_cedilla": "¸",
        "dead_ogonek": "˛",
        "dead_iota": "ͺ",
        "dead_belowdot": "\u0323",
        "dead_hook": "\u0309",
        "dead_horn": "\u031b",
        "dead_stroke": "/",
        "dead_abovecomma": "᾿",
        "dead_abovereversedcomma": "῾",
        "dead_doublegrave": "˵",
        "dead_belowring": "˳",
        "dead_belowmacron": "ˍ",
        "dead_belowcircumflex": "ꞈ",
        "dead_belowbreve": "\u032e",
        "dead_invertedbreve": "\u0311",
        "dead_belowcomma": ",",
        "dead_currency": "¤",
        "dead_greek": "µ",
        "dead_longsolidusoverlay": "\u0338",
    }
)
