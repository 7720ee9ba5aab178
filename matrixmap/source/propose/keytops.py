"""What do handbooks print on keys? A cell's text becomes legends, a function or a modifier, and the key's name.

The usual words and marks of keys are common practice; functions have the names of W3C UI Events key values.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from types import MappingProxyType

from matrixmap.model.legend import other_case
from matrixmap.source import rules
from matrixmap.source.propose.grid import Cell
from matrixmap.source.report import Report
from matrixmap.source.shape.legends import FUNCTION, read_legend
from matrixmap.source.text.nodes import Text

# fmt: off
_FUNCTIONS = (
    # Function, name of its key (None: the name of the function), the words for it.
    ("Enter", None, "enter return newline"), ("Enter", "return", "ret cr ↵ ⏎ ⮐ ↩"), ("Enter", "newline", "new_line nl"),
    (" ", "space", "space spc sp spacebar space_bar ␣"),
    ("Escape", None, "escape esc"), ("Tab", None, "tab ⇥"), ("Backspace", None, "backspace bs rubout ⌫"),
    ("Backspace", "backspace", "back_space"), ("Backspace", "rubout", "rub_out"),
    ("Delete", None, "delete del delt"), ("Insert", None, "insert ins inst"), ("Home", None, "home hom ⇱"),
    ("End", None, "end"), ("Clear", None, "clear clr cls"),
    ("PageUp", "page-up", "page_up pageup pgup pg_up"), ("PageDown", "page-down", "page_down pagedown pgdn pgdown pg_dn"),
    ("ArrowUp", "up", "up cursor_up crsr_up cursor_↑ crsr_↑ cur_up arrow_up up_arrow"),
    ("ArrowDown", "down", "down dn cursor_down crsr_down cursor_↓ crsr_↓ cur_down arrow_down down_arrow"),
    ("ArrowLeft", "left", "left lt cursor_left crsr_left cursor_← crsr_← cur_left arrow_left left_arrow"),
    ("ArrowRight", "right", "right rt cursor_right crsr_right cursor_→ crsr_→ cur_right arrow_right right_arrow"),
    ("CapsLock", None, "caps cap caps_lock capslock capitals"), ("CapsLock", "alpha-lock", "alpha_lock alphalock"),
    ("NumLock", "num-lock", "num_lock numlock"), ("ScrollLock", "scroll-lock", "scroll_lock scrolllock"),
    ("Select", "select", "select sel"), ("Help", None, "help"), ("Stop", None, "stop"), ("Pause", None, "pause"),
    ("Print", None, "print"), ("PrintScreen", "print-screen", "print_screen prtsc prt_sc prtscr"),
    ("Run", None, "run"), ("Break", None, "break brk"), ("Undo", None, "undo"), ("Copy", None, "copy"),
    ("Execute", None, "execute exec"), ("Reset", None, "reset"),
)
_MODIFIERS = (
    ("shift", "shift shft shf ⇧"), ("control", "control ctrl ctl cntl cntrl"), ("alt", "alt"), ("altgr", "altgr alt_gr"),
    ("graph", "graph grph graphic graphics"), ("code", "code"), ("meta", "meta"), ("fn", "fn func fctn function"),
)
_MARKS = {
    "-": "minus", "=": "equal", ";": "semicolon", ":": "colon", "'": "apostrophe", '"': "quote", "`": "grave", ",": "comma",
    ".": "period", "/": "slash", "\\": "backslash", "[": "bracket-left", "]": "bracket-right", "{": "brace-left",
    "}": "brace-right", "(": "paren-left", ")": "paren-right", "@": "at", "^": "caret", "_": "underscore", "*": "asterisk",
    "+": "plus", "<": "less", ">": "greater", "?": "question", "!": "exclamation", "#": "hash", "$": "dollar",
    "%": "percent", "&": "ampersand", "|": "bar", "~": "tilde", "£": "pound", "€": "euro", "¥": "yen", " ": "space",
}
# fmt: on
ARROWS = MappingProxyType({"↑": "ArrowUp", "↓": "ArrowDown", "←": "ArrowLeft", "→": "ArrowRight"})
_WORDS = {word.upper(): (name or word, function) for function, name, words in _FUNCTIONS for word in words.split()}
_HELD = {word.upper(): name for name, words in _MODIFIERS for word in words.split()}
_SPELLED = {name.upper().replace("-", "_"): mark for mark, name in _MARKS.items() if len(name) > 2}
_SIDES = {"L": "left", "LEFT": "left", "LH": "left", "R": "right", "RIGHT": "right", "RH": "right"}

DASHES = "-\u2212\u2013"
"""Signs that a handbook may print for the minus, or for no key."""

EMPTY = frozenset({"", "NONE", "(NONE)", "N/C", "NC", "N.C.", "--", "---", "—", "..", "...", "…", "·"})
"""Texts that always mean no key."""

_STRAIGHT = str.maketrans({"‘": "'", "’": "'", "“": '"', "”": '"'})
_QUOTED = r"""(?:"(?:""|[^"]|[^"',|\t]{2,24})"|'(?:''|[^']|[^"',|\t]{2,24})'|\"{3}|'{3})"""
QUOTED = re.compile(_QUOTED)
_PARTS = re.compile(rf"{_QUOTED}(?=\s|/|$)|\S+")
_NOISE = {"SMALL", "CAPITAL", "LETTER", "LATIN", "WITH", "SIGN", "MARK"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Keytop:
    """What is on a key, according to one cell.

    `legends` are characters and functions in the order of the cell; `name` is a possible name of the key. A modifier's
    key has the name of the modifier, the side if the cell gives it, and no legends.
    """

    cell: Cell
    legends: tuple[str, ...]
    name: str
    modifier: str | None = None
    side: str | None = None


def read_keytop(cell: Cell, modifiers: Collection[str], report: Report) -> Keytop | None:
    """The meaning of a cell; `modifiers` are names of keys that are held. None after a finding."""
    text = unicodedata.normalize("NFC", cell.text.translate(_STRAIGHT)).strip()
    held = _modifier(text, modifiers)
    if held is not None:
        return Keytop(cell=cell, legends=(), name=_slug(text), modifier=held[0], side=held[1])
    parts = _parts(text)
    legends = [_legend(part, cell, report) for part in parts]
    if None in legends or not legends:
        return None
    found = tuple(dict.fromkeys(legend for _, legend in filter(None, legends)))
    first = legends[0][0] if legends[0] else ""
    if (
        len(parts) > 1
        and any(len(legend) > 1 for legend in found[:2])
        and not any(len(legend) == 1 for legend in found)
    ):
        first = "-".join(name for name, _ in filter(None, legends))
    return Keytop(cell=cell, legends=found, name=first)


def is_empty(text: str) -> bool:
    """Whether a cell means that there is no key."""
    bare = text.strip()
    return bare.upper() in EMPTY or (len(bare) > 1 and not bare.strip("-. ")) or bare in ("''", '""')


def bare_mark(text: str) -> str | None:
    """The mark of a cell that may be a key or no key, `-` or `.`; None for any other cell."""
    bare = text.strip()
    return "-" if len(bare) == 1 and bare in DASHES else "." if bare == "." else None


def mark_name(char: str) -> str:
    """The name for the key of a character: `d1`, `a`, `bracket-left`, `ae`."""
    if char.isdigit() and char.isascii():
        return f"d{char}"
    if char.isascii() and char.isalpha():
        return char.lower()
    if char in _MARKS:
        return _MARKS[char]
    words = [word for word in unicodedata.name(char, "").split() if word not in _NOISE]
    return _slug(" ".join(words)) or f"u{ord(char):x}"


def _modifier(text: str, modifiers: Collection[str]) -> tuple[str, str | None] | None:
    """The modifier in a cell, and its side: `CTRL`, `SHIFT (L)`, `left shift`, `CAPS SHIFT`, or one of `modifiers`."""
    words = re.findall(r"[^\W_]+|⇧", text.upper())
    if not words or QUOTED.fullmatch(text) or (len(text) == 1 and text != "⇧"):
        return None
    own = {_slug(name): name for name in modifiers}
    for kept, side in _without_side(words):
        phrase = "_".join(kept)
        name = own.get(_slug(" ".join(kept))) or _HELD.get(phrase)
        if name is None and len(kept) > 1 and _HELD.get(kept[-1]) == "shift" and not set(kept[:-1]) & set(_SIDES):
            name = _slug(" ".join([*kept[:-1], "shift"]))
        if name is None and len(kept) == 1 and side is None and kept[0][1:] == "SHIFT" and kept[0][0] in "LR":
            return "shift", _SIDES[kept[0][0]]
        if name is not None:
            return name, side
    return None


def _without_side(words: list[str]) -> Iterator[tuple[list[str], str | None]]:
    yield words, None
    if len(words) > 1:
        if words[-1] in _SIDES:
            yield words[:-1], _SIDES[words[-1]]
        if words[0] in _SIDES:
            yield words[1:], _SIDES[words[0]]


def _parts(text: str) -> list[str]:
    """The legends of a cell, each as written: `2 "`, `1/!`, `;+`, `'|' ~`; a phrase of words is one legend."""
    if len(text) == 1 or QUOTED.fullmatch(text) or _phrase(text) in _WORDS or _phrase(text) in _SPELLED:
        return [text]
    parts = _PARTS.findall(text)
    if len(parts) == 3 and parts[1] == "/":
        del parts[1]
    if len(parts) == 1:
        return _unspaced(text)
    if any(_single(part) for part in parts) or all(_known(part) for part in parts):
        return parts
    cut = [piece for piece in re.split(r"\s+/\s+|(?<=\w\w)/(?=\w\w)", text) if piece]
    return cut if len(cut) > 1 else [text]


def _unspaced(text: str) -> list[str]:
    """The legends of a cell without blanks."""
    if len(text) == 2 and not text.isalnum():
        return list(text)
    slash = re.fullmatch(rf"({_QUOTED}|.+?)/({_QUOTED}|.+)", text)
    if slash:
        return [slash[1], *(_unspaced(slash[2]) if not _single(slash[2]) else [slash[2]])]
    return [text]


def _single(part: str) -> bool:
    return len(part) == 1 or QUOTED.fullmatch(part) is not None


def _known(part: str) -> bool:
    return _phrase(part) in _WORDS or re.fullmatch(r"[A-Za-z]\d{1,2}", part) is not None


def _phrase(text: str) -> str:
    return re.sub(r"[\s_.\-]+", "_", text.upper()).strip("_")


def _legend(part: str, cell: Cell, report: Report) -> tuple[str, str] | None:
    """The name for a key with this legend, and the legend; None after a finding."""
    text = part
    if QUOTED.fullmatch(part) and len(part) > 2:
        text = part[1] if len(set(part)) == 1 else part[1:-1]
    word = _phrase(text)
    if word in _WORDS:
        return _WORDS[word][0].replace("_", "-"), _WORDS[word][1]
    text = _SPELLED.get(word, text)
    if len(text) > 1 and not FUNCTION.fullmatch(text):
        return _phrase_function(text, cell, report)
    if text in DASHES[1:]:
        text = "-"
    if len(text) > 1 and not re.search(r"[a-z]", text):
        text = text[0] + text[1:].lower() if text.isalpha() else text
    if len(text) > 1:
        text = text[0].upper() + text[1:]
    legend = read_legend(Text(text, cell.place, quoted=True), report)
    return (mark_name(legend.text) if legend.is_character else _slug(legend.text), legend.text) if legend else None


def _phrase_function(text: str, cell: Cell, report: Report) -> tuple[str, str] | None:
    """Consecutive words as the name of a function: `LINE FEED` is LineFeed."""
    words = re.findall(r"[A-Za-z0-9]+", text)
    function = "".join(word[0].upper() + word[1:].lower() for word in words)
    foreign = [char for char in text if char.isalnum() and not char.isascii()]
    if foreign or not FUNCTION.fullmatch(function) or other_case(function[0]) == function[1:]:
        report.add(
            rules.CELL_UNCLEAR,
            cell.place,
            f"{text!r} is not a legend that can be read: expected one character, two with a blank or a slash between "
            "them, a word in letters a to z, or none where there is no key",
        )
        return None
    return _slug(text), function


def _slug(text: str) -> str:
    return "-".join(re.findall(r"[a-z0-9]+", text.lower()))
