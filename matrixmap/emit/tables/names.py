"""The only way for the user's text into C: as identifiers and as comments."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable


def identifier(text: str, prefix: str) -> str:
    """A C identifier: our own prefix, which prevents reserved words, and the text.

    Characters that an identifier cannot have become an underscore.
    """
    return prefix + re.sub(r"[^A-Za-z0-9]", "_", text)


def identifiers(texts: Iterable[str], prefix: str) -> dict[str, str]:
    """Text -> identifier, each different; texts that collapse into the same one get numbers, in order."""
    found: dict[str, str] = {}
    used: set[str] = set()
    for text in texts:
        if text in found:
            continue
        name = wanted = identifier(text, prefix)
        number = 2
        while name in used:
            name = f"{wanted}_{number}"
            number += 1
        used.add(name)
        found[text] = name
    return found


def comment(text: str) -> str:
    """Text that is safe inside a C comment of one line: ASCII, no end of comment, no trigraph, no line splice.

    Any other character is written as its code point and, if it is alone, with its name.
    """
    shown = "".join(char if " " <= char <= "~" else _code_point(char, alone=len(text) == 1) for char in text)
    shown = re.sub(r"\?(?=\?)", "? ", shown.replace("*/", "* /").replace("/*", "/ *"))
    # Compilers splice lines at a backslash even if blanks follow it.
    return f"{shown}." if shown.rstrip().endswith("\\") else shown


def _code_point(char: str, alone: bool) -> str:
    name = unicodedata.name(char, "") if alone else ""
    return f"U+{ord(char):04X} {name}".rstrip() if alone else f"<U+{ord(char):04X}>"


def legend_comment(legend: str) -> str:
    """A legend in a comment: the character itself if it is plain ASCII, else with its name."""
    if legend in {" ", "\\", "/", "*", "?"}:
        return unicodedata.name(legend).lower()
    return comment(legend)


PIECE = 1000
"""The most characters of source in one literal of a long text.

Each compiler accepts lines of 4095 characters, and literals of 4095 after adjacent ones are joined (C99, 5.2.4.1); from
memory, older ones of Microsoft stop at 2048 before joining.
"""
TITLE_IN_COMMENT = 200
"""Characters of a title in a comment, each of at most ten as `<U+10FFFF>`. A layout's own title has no more."""


def title_comment(title: str) -> str:
    """A title in a comment of one line, cut if a joined title of several long ones would overflow a line of C."""
    shown = comment(title[:TITLE_IN_COMMENT])
    return shown if len(title) <= TITLE_IN_COMMENT else f"{shown}..."


def string(text: str) -> str:
    """A C string literal of the text in UTF-8, in ASCII without trigraphs; a long one is in pieces, one per line."""
    parts = []
    for byte in text.encode("utf-8"):
        char = chr(byte)
        # Three octal digits always end there; a question mark could begin a trigraph.
        parts.append(char if " " <= char <= "~" and char not in '"\\?' else f"\\{byte:03o}")
    pieces = [""]
    for part in parts:
        if len(pieces[-1]) + len(part) > PIECE:
            pieces.append("")
        pieces[-1] += part
    return "\n    ".join(f'"{piece}"' for piece in pieces)
