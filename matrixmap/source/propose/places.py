"""Where are the keys of a proposed machine? As on usual keyboards, or row by row as a second pasted text says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from matrixmap.hid.geometry import Cap, form
from matrixmap.hid.usages import by_code
from matrixmap.model.machine import PlaceRow
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.propose.columns import Piece, pieces_of_line
from matrixmap.source.propose.grid import Cell
from matrixmap.source.propose.keytops import read_keytop
from matrixmap.source.propose.proposal import ProposedKey
from matrixmap.source.report import Report
from matrixmap.source.text.nodes import decode

USUAL_FORM = "ansi-104"
LAST_ROW = 7.0

_WIDTH = re.compile(r"(?P<key>.*?)\s*\((?P<width>\d{1,2}(?:\.\d{1,3})?)\)")

# The places of these characters on usual keyboards (common practice). If a code has several, the first that exists.
# fmt: off
_CODES = {
    "Escape": ("escape", "esc"), "Backquote": ("grave", "tilde"), "Minus": ("minus",), "Equal": ("equal", "caret", "plus"),
    "Backspace": ("Backspace",), "Tab": ("Tab",), "BracketLeft": ("bracket-left", "at"), "BracketRight": ("bracket-right",),
    "Backslash": ("backslash", "bar"), "CapsLock": ("CapsLock",), "Semicolon": ("semicolon",),
    "Quote": ("apostrophe", "colon", "quote"), "Enter": ("Enter",), "ShiftLeft": ("shift-left", "shift", "caps-shift"),
    "Comma": ("comma",), "Period": ("period",), "Slash": ("slash",), "ShiftRight": ("shift-right", "symbol-shift"),
    "ControlLeft": ("control-left", "control"), "AltLeft": ("alt-left", "alt", "graph"), "Space": ("space",),
    "AltRight": ("alt-right", "altgr", "code"), "ControlRight": ("control-right",), "NumpadEnter": ("keypad-enter",),
    "NumpadAdd": ("keypad-plus",), "NumpadSubtract": ("keypad-minus",), "NumpadMultiply": ("keypad-asterisk",),
    "NumpadDivide": ("keypad-slash",), "NumpadDecimal": ("keypad-period", "keypad-comma"),
    **{code: (code,) for code in ("Insert", "Delete", "Home", "End", "PageUp", "PageDown", "Pause", "PrintScreen",
                                  "ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "Escape")},
    **{f"F{number}": (f"F{number}",) for number in range(1, 13)},
    **{f"Numpad{digit}": (f"keypad-{digit}",) for digit in range(10)},
    **{f"Digit{digit}": (f"d{digit}",) for digit in range(10)},
    **{f"Key{letter.upper()}": (letter,) for letter in "abcdefghijklmnopqrstuvwxyz"},
}
# fmt: on


def usual_rows(keys: Iterable[ProposedKey], modifiers: Mapping[str, list[str]]) -> list[PlaceRow]:
    """The keys in the places of a usual keyboard; keys that it lacks get a row of their own below."""
    called: dict[str, str] = {}
    listed = list(keys)
    for key in listed:
        function = key.types.get("plain", "")
        for name in (key.name, function) if len(function) > 1 else (key.name,):
            called.setdefault(name, key.name)
    for modifier, held in modifiers.items():
        called.setdefault(modifier, held[0])
    placed: dict[str, Cap] = {}
    caps = form(USUAL_FORM).by_usage
    for code, names in _CODES.items():
        found = next((called[name] for name in names if name in called and called[name] not in placed), None)
        cap = next((caps[usage] for usage in by_code(code) if usage in caps), None)
        if found is not None and cap is not None:
            placed[found] = cap
    tops = sorted({cap.top for cap in placed.values()})
    rows = [_row(top, [(cap, name) for name, cap in placed.items() if cap.top == top]) for top in tops]
    rest = tuple((key.name, 1.0) for key in listed if key.name not in placed)
    return [*rows, *([PlaceRow(row=LAST_ROW, left=0.0, keys=rest)] if rest else [])]


def _row(top: float, caps: Iterable[tuple[Cap, str]]) -> PlaceRow:
    keys: list[tuple[str | None, float]] = []
    ordered = sorted(caps, key=lambda pair: pair[0].left)
    at = left = ordered[0][0].left
    for cap, name in ordered:
        if cap.left > at:
            keys.append((None, cap.left - at))
        keys.append((name, cap.width))
        at = cap.left + cap.width
    return PlaceRow(row=top, left=left, keys=tuple(keys))


def pasted_rows(data: bytes, file: str, keys: Iterable[ProposedKey], report: Report) -> list[PlaceRow] | None:
    """The rows of a pasted text, one line for each row from the top; None after a finding.

    A key is given by its name or its print, with its width after it as in `SPACE(6)`; `(0.5)` alone is a gap.
    An empty line is half a row high.
    """
    text = decode(data, file, report)
    if text is None:
        return None
    before = len(report.findings)
    known = _by_print(keys)
    rows: list[PlaceRow] = []
    placed: dict[str, Place] = {}
    top = 0.0
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            top += 0.5 if rows else 0.0
            continue
        row = [_placed(piece, known, placed, report) for piece in pieces_of_line(line, number, file) if piece.text]
        left = row[0][1] if row and row[0] and row[0][0] is None else 0.0
        items = tuple(item for item in (row[1:] if left else row) if item is not None)
        if items:
            rows.append(PlaceRow(row=top, left=left, keys=items))
        top += 1.0
    if not rows and len(report.findings) == before:
        report.add(
            rules.EMPTY_FILE,
            Place(file=file, line=1, column=1),
            "there are no rows; expected a line for each row of keys",
        )
    return rows if len(report.findings) == before else None


def _by_print(keys: Iterable[ProposedKey]) -> dict[str, str]:
    """The name of a key, its text in the table, and what it types plain -> its name."""
    listed = list(keys)
    known = {key.name: key.name for key in listed}
    for key in listed:
        known.setdefault(key.keytop.cell.text.strip().lower(), key.name)
    for key in listed:
        known.setdefault(key.types.get("plain", key.name).lower(), key.name)
    return known


def _placed(
    piece: Piece, known: Mapping[str, str], placed: dict[str, Place], report: Report
) -> tuple[str | None, float] | None:
    """A key and its width, or a gap; None after a finding."""
    sized = _WIDTH.fullmatch(piece.text)
    text, width = (sized["key"], float(sized["width"])) if sized else (piece.text, 1.0)
    if sized and not text:
        if width > 40:
            report.add(rules.BAD_NUMBER, piece.place, f"a gap is at most 40 pitches wide, not {width:g}")
        return None, width
    if not 0.25 <= width <= 20:
        report.add(rules.BAD_NUMBER, piece.place, f"a key is 0.25 to 20 pitches wide, not {width:g}")
        return None
    name = known.get(text.lower())
    if name is None:
        top = read_keytop(Cell(text=text, place=piece.place), (), Report())
        name = known.get(top.name) or (known.get(top.legends[0].lower()) if top.legends else None) if top else None
    if name is None:
        report.add(rules.UNKNOWN_KEY, piece.place, f"the table has no key {text}{report.nearest(text.lower(), known)}")
        return None
    if name in placed:
        report.add(rules.NAME_TWICE, piece.place, f"{name} already has a place, in line {placed[name].line}")
        return None
    placed[name] = piece.place
    return name, width
