"""Which letter or blank is this, if it looks like another? Its Unicode name says so."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from typing import Final

# Letters of other scripts that look like a Latin letter; from memory, after the code charts of Unicode.
_CYRILLIC = "аaеeоoрpсcуyхxіiјjѕsһhԁdԛqԝwАAВBЕEЅSІIЈJКKМMНHОOРPСCТTУYХXԌGԚQԜW"
_GREEK = "οoνvαaιiρpυuχxκkΑAΒBΕEΖZΗHΙIΚKΜMΝNΟOΡPΤTΥYΧX"
_OTHERS = "ıiȷjɡgɑa‐-‑-‒-–-—-−-﹣-_-"
_PAIRS = _CYRILLIC + _GREEK + _OTHERS
LATIN: Final = dict(zip(_PAIRS[::2], _PAIRS[1::2], strict=True))

UNSEEN = {"Cf", "Zs", "Cc", "Zl", "Zp"}

_INDENT = re.compile(r"^[ ]*(?:[^\S\n\r\t ]|[\u200b\u2060\ufeff])+")
_BESIDE = re.compile(
    r"(?<=[:,\[{+])([^\S\n\r\t ]|[\u200b\u2060\ufeff])(?=[ ]*[^\s,\]}])|(?<=[^\s,\[{:])([^\S\n\r\t ])(?=[ ]*[+:\]}])"
)


def latin(text: str) -> str:
    """A text with Latin letters and hyphens for all look-alikes (full width included), without unseen characters."""
    folded = unicodedata.normalize("NFKC", text)
    return "".join(LATIN.get(char, char) for char in folded if unicodedata.category(char) != "Cf")


def strange(text: str) -> str:
    """Which character of a name is not the letter it looks like, as `; the а in it is U+0430 ...`, or nothing."""
    for char in text:
        if char.isascii():
            continue
        name = f"U+{ord(char):04X} {unicodedata.name(char, 'without a name')}"
        if unicodedata.category(char) in UNSEEN:
            return f"; it contains {name}, which is invisible; type the name anew"
        ours = latin(char)
        if ours != char and ours.isascii():
            kind = (
                "character" if not ours.isalnum() else "plain" if "LATIN" in name or "DIGIT" in name else "Latin letter"
            )
            return f"; the {char} in it is {name}, not the {kind} {ours}"
        if char.isalpha():
            return f"; the {char} in it is {name}, and names have Latin letters"
    return ""


def other_blanks(line: str) -> Iterator[int]:
    """The columns of blanks that should be spaces: in the indent, after a colon or comma, beside +.

    A blank in quotes is a legend, and a blank between two words is part of the text.
    """
    indent = _INDENT.match(line)
    if indent:
        yield from (at for at in range(indent.end()) if line[at] != " ")
    bare = re.sub(r"'(?:[^']|'')*+'|\"(?:[^\"\\]|\\.)*+\"", lambda found: "q" * len(found.group()), line)
    start = indent.end() if indent else 0
    yield from (found.start() for found in _BESIDE.finditer(bare, start))
