"""Lines that fit: words wrapped to a width in columns, wide characters counted as two."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from unicodedata import combining, east_asian_width

CUT = "..."


def cells(text: str) -> int:
    """The columns of a text on a terminal: wide characters take two (Unicode Standard Annex 11), combining none."""
    if text.isascii():
        return len(text)
    return sum(0 if combining(char) else 1 + (east_asian_width(char) in "WF") for char in text)


def wrapped(text: str, width: int) -> list[str]:
    """Text in lines of at most `width` columns, broken at blanks; a word is broken only if it is longer than a line."""
    from rich.cells import cell_len

    lines: list[str] = []
    line, used = "", 0
    for word in text.split(" "):
        for piece in _pieces(word, width):
            columns = cell_len(piece)
            if line and used + 1 + columns > width:
                lines.append(line)
                line, used = piece, columns
            else:
                line, used = (f"{line} {piece}", used + 1 + columns) if line else (piece, columns)
    return [*lines, line] if line or not lines else lines


def _pieces(word: str, width: int) -> Iterator[str]:
    """A word in pieces that fit a line."""
    from rich.cells import cell_len

    while cell_len(word) > width:
        count = 1
        while cell_len(word[: count + 1]) <= width:
            count += 1
        yield word[:count]
        word = word[count:]
    yield word


def cut(lines: Sequence[str], most: int, width: int) -> list[str]:
    """At most `most` lines; if some are left out, the last one ends with three points."""
    from rich.cells import cell_len

    if len(lines) <= most:
        return list(lines)
    kept = list(lines[:most])
    last = kept[-1]
    while cell_len(last) > width - len(CUT) - 1:
        last = last.rpartition(" ")[0] or last[:-1]
    kept[-1] = f"{last.rstrip(' ;,')} {CUT}"
    return kept
