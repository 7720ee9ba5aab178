"""Legends: what a key types, as the person reads it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Legend:
    """A character (one code point, NFC) or the name of a function (longer, such as `Enter`).

    A dead legend is the spacing accent of a dead key.
    """

    text: str
    dead: bool = False

    @property
    def is_character(self) -> bool:
        """Whether this is a character and not a function."""
        return len(self.text) == 1

    def __str__(self) -> str:
        return self.text


def other_case(text: str) -> str | None:
    """The other case of a letter that has exactly one, else None: `a` for `A`, `A` for `a`.

    Simple pairs of Unicode that lead back to each other: `ß` (upper case `SS`) and `ſ` (lower case of `S` is `s`)
    have none.
    """
    if len(text) != 1:
        return None
    upper, lower = text.upper(), text.lower()
    if upper != text and upper.lower() == text and len(upper) == 1:
        return upper
    if lower != text and lower.upper() == text and len(lower) == 1:
        return lower
    return None
