"""Names of functions: the key values of W3C UI Events, and other names that people use for them.

Values: W3C, UI Events KeyboardEvent key Values, chapter 3 (named key attribute values), from memory; those of
television sets and remote controls are left out. Other names: common practice of keyboards and of computers' handbooks.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

GROUPS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "modifiers and locks": (
            "Alt",
            "AltGraph",
            "CapsLock",
            "Control",
            "Fn",
            "FnLock",
            "Hyper",
            "Meta",
            "NumLock",
            "ScrollLock",
            "Shift",
            "Super",
            "Symbol",
            "SymbolLock",
        ),
        "blanks": ("Enter", "Tab"),
        "movement": ("ArrowDown", "ArrowLeft", "ArrowRight", "ArrowUp", "End", "Home", "PageDown", "PageUp"),
        "editing": (
            "Backspace",
            "Clear",
            "Copy",
            "CrSel",
            "Cut",
            "Delete",
            "EraseEof",
            "ExSel",
            "Insert",
            "Paste",
            "Redo",
            "Undo",
        ),
        "commands": (
            "Accept",
            "Again",
            "Attn",
            "Cancel",
            "Close",
            "ContextMenu",
            "Escape",
            "Execute",
            "Find",
            "Help",
            "New",
            "Open",
            "Pause",
            "Play",
            "Print",
            "Props",
            "Save",
            "Select",
            "SpellCheck",
            "ZoomIn",
            "ZoomOut",
        ),
        "device": (
            "BrightnessDown",
            "BrightnessUp",
            "Eject",
            "Hibernate",
            "LogOff",
            "Power",
            "PowerOff",
            "PrintScreen",
            "Standby",
            "WakeUp",
            "AudioVolumeDown",
            "AudioVolumeMute",
            "AudioVolumeUp",
        ),
        "input of text": (
            "AllCandidates",
            "Alphanumeric",
            "CodeInput",
            "Compose",
            "Convert",
            "Dead",
            "FinalMode",
            "GroupFirst",
            "GroupLast",
            "GroupNext",
            "GroupPrevious",
            "ModeChange",
            "NextCandidate",
            "NonConvert",
            "PreviousCandidate",
            "Process",
            "SingleCandidate",
            "HangulMode",
            "HanjaMode",
            "JunjaMode",
            "Eisu",
            "Hankaku",
            "Hiragana",
            "HiraganaKatakana",
            "KanaMode",
            "KanjiMode",
            "Katakana",
            "Romaji",
            "Zenkaku",
            "ZenkakuHankaku",
        ),
        "function keys": (*(f"F{number}" for number in range(1, 25)), "Soft1", "Soft2", "Soft3", "Soft4"),
    }
)
"""Topic -> the names of its functions."""

NAMES: Final = frozenset(name for names in GROUPS.values() for name in names)

SPACE_NAMES: Final = frozenset(("space", "spacebar", "spc", "blank"))
"""Other names, in lower case, of the space, which is a character."""

OTHER_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "return": "Enter",
        "newline": "Enter",
        "ret": "Enter",
        "cr": "Enter",
        "esc": "Escape",
        "del": "Delete",
        "ins": "Insert",
        "bs": "Backspace",
        "bksp": "Backspace",
        "backsp": "Backspace",
        "rubout": "Backspace",
        "up": "ArrowUp",
        "down": "ArrowDown",
        "left": "ArrowLeft",
        "right": "ArrowRight",
        **{
            name.format(way): f"Arrow{way.capitalize()}"
            for way in ("up", "down", "left", "right")
            for name in ("cursor{}", "{}arrow", "crsr{}", "cur{}")
        },
        "pgup": "PageUp",
        "prior": "PageUp",
        "pgdn": "PageDown",
        "pgdown": "PageDown",
        "ctrl": "Control",
        "ctl": "Control",
        "altgr": "AltGraph",
        "caps": "CapsLock",
        "capslk": "CapsLock",
        "shiftlock": "CapsLock",
        "numlk": "NumLock",
        "prtsc": "PrintScreen",
        "printscr": "PrintScreen",
        "menu": "ContextMenu",
        "tabulator": "Tab",
        "cls": "Clear",
        "clr": "Clear",
    }
)
"""Another name of a function, in lower case -> its W3C name."""


def standard_name(name: str) -> str | None:
    """The W3C name for another name, or a slip, of a function; a blank for a space; None for a W3C or unknown name."""
    if name in NAMES:
        return None
    low = name.lower()
    if low in SPACE_NAMES:
        return " "
    if low in OTHER_NAMES:
        return OTHER_NAMES[low]
    same = next((known for known in sorted(NAMES) if known.lower() == low), None)
    if same is not None:
        return same
    # Short names are close to many others; a machine's own Send is no slip of End.
    return next(
        (known for known in sorted(NAMES) if len(known) >= 5 and len(low) >= 4 and _one_slip(low, known.lower())), None
    )


def _one_slip(name: str, known: str) -> bool:
    """Whether one more letter, one less, another one, or two changed letters in a row turn one name into the other."""
    if abs(len(name) - len(known)) > 1 or any(char.isdigit() for char in known):
        return False
    start = 0
    while start < min(len(name), len(known)) and name[start] == known[start]:
        start += 1
    rest, other = name[start:], known[start:]
    return (
        rest[1:] == other[1:]
        or rest[1:] == other
        or rest == other[1:]
        or (rest[:2] == other[1::-1] and rest[2:] == other[2:])
    )
