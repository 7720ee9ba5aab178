"""The visual order of the letters in a line of SVG, for a PDF maker that draws them one by one as they come."""

from __future__ import annotations

import re
import unicodedata
from html import escape, unescape
from itertools import groupby

from matrixmap.emit.pictures.svg import BACKWARD, FORWARD

MARKS = {"\u200e": "L", BACKWARD: "", FORWARD: ""}
_MIRRORED = str.maketrans("()[]{}<>«»", ")(][}{><»«")
_KINDS = {"L": "L", "R": "R", "AL": "R", "EN": "E", "AN": "E", "CS": "S", "ES": "S", "ET": "T"}
_TEXT = re.compile(r"(<text[^>]*>)([^<]+)(</text>)")


def in_order_of_sight(svg: str) -> str:
    """One of our SVG documents with the letters of each line of text from left to right."""
    return _TEXT.sub(lambda found: f"{found[1]}{_escaped(visual(unescape(found[2])))}{found[3]}", svg)


def _escaped(text: str) -> str:
    return escape(text, quote=False)


def visual(text: str) -> str:
    """A line in visual order from left to right (after Unicode Standard Annex 9, for lines without further embedding).

    Its own direction is from left to right, unless it is between marks that say otherwise.
    """
    kinds = [MARKS.get(char, _kind(char)) for char in text]
    if "R" not in kinds and BACKWARD not in text:
        return "".join(char for char in text if char not in MARKS)
    base = 1 if text.startswith(BACKWARD) else 0
    marked = [(char, kind) for char, kind in zip(text, kinds, strict=True) if kind]
    levels = _levels("".join(char for char, _ in marked), [kind for _, kind in marked], base)
    pairs = [
        (char.translate(_MIRRORED) if level % 2 else char, level)
        for (char, _), level in zip(marked, levels, strict=True)
        if char not in MARKS
    ]
    # From the highest level down to one, everything at that level or above is reversed (rule L2).
    for least in range(2, 0, -1):
        turned: list[tuple[str, int]] = []
        for high, some in groupby(pairs, key=lambda pair: pair[1] >= least):
            run = list(some)
            turned += reversed(run) if high else run
        pairs = turned
    return "".join(char for char, _ in pairs)


def _kind(char: str) -> str:
    """L and R for letters, E for digits, S and T for what may be in a number and beside one, N for the rest."""
    return _KINDS.get(unicodedata.bidirectional(char), "N")


def _whole_numbers(kinds: list[str]) -> list[str]:
    """The kinds; separators and terminators in numbers are digits (rules W4 and W5), others are the rest (W6)."""
    found = list(kinds)
    for at in range(1, len(found) - 1):
        if found[at] == "S" and found[at - 1] == found[at + 1] == "E":
            found[at] = "E"
    for run in re.finditer("T+", "".join(found)):
        if "E" in found[max(run.start() - 1, 0) : run.start()] + found[run.end() : run.end() + 1]:
            found[run.start() : run.end()] = "E" * len(run[0])
    return ["N" if kind in "ST" else kind for kind in found]


def _levels(text: str, kinds: list[str], base: int) -> list[int]:
    """The level of each character: even from left to right, odd from right to left."""
    own = "R" if base else "L"
    before, strong = own, []
    for kind in _whole_numbers(kinds):
        # A number among left-to-right letters is one of them (rule W7).
        strong.append("L" if kind == "E" and before == "L" else kind)
        before = kind if kind in "LR" else before
    _pair_brackets(text, strong, own)
    # Numbers count as right-to-left beside neutral characters (rule N1); between unlike ones the line decides (N2).
    sides = ["R" if kind == "E" else kind for kind in strong]
    resolved = []
    for at, kind in enumerate(strong):
        if kind == "N":
            left = next((other for other in reversed(sides[:at]) if other != "N"), own)
            right = next((other for other in sides[at:] if other != "N"), own)
            resolved.append(left if left == right else own)
        else:
            resolved.append(kind)
    return [{"L": 2 * base, "R": 1, "E": 2}[kind] for kind in resolved]


def _pair_brackets(text: str, strong: list[str], own: str) -> None:
    """Gives both brackets of a pair one direction: the line's if it is inside, else the one inside and before (N0)."""
    for found in re.finditer(r"\([^()]*\)", text):
        first, last = found.start(), found.end() - 1
        inside = {"R" if kind == "E" else kind for kind in strong[first + 1 : last]} - {"N"}
        before = next((kind for kind in reversed(strong[:first]) if kind in "LR"), own)
        if inside:
            strong[first] = strong[last] = own if own in inside else before
