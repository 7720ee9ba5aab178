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

    Simple case pairs of Unicode only: `ß` (upper case `SS`) has none.
    """
    for other in (text.upper(), text.lower()):
        if len(text) == 1 and len(other) == 1 and other != text:
            return other
    return None
