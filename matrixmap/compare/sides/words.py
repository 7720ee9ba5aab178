"""Sentences that keep names apart from other words, so that each form can set and escape them in its own way."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from matrixmap.model.words import shown


@dataclass(frozen=True, slots=True)
class Quoted:
    """A name, legend or text from the user's files, or a key by its print."""

    text: str


Words = tuple[str | Quoted, ...]
"""Pieces of a sentence: ours as strings, the user's quoted."""


def say(template: str, *parts: str | Words) -> Words:
    """A sentence with a part for each `{}`: strings become quoted names, words stay as they are."""
    pieces = template.split("{}")
    said: list[str | Quoted] = [pieces[0]]
    for part, piece in zip(parts, pieces[1:], strict=True):
        said += [Quoted(part)] if isinstance(part, str) else part
        said.append(piece)
    return tuple(piece for piece in said if piece != "")


def join_words(parts: Iterable[str | Words], comma: str = ", ", last: str = " and ") -> Words:
    """Names or words in a row: `a, b and c`."""
    listed = [say("{}", part) for part in parts]
    said: list[str | Quoted] = []
    for number, part in enumerate(listed):
        if number:
            said.append(last if number == len(listed) - 1 else comma)
        said += part
    return tuple(said)


def listed(names: Iterable[str], most: int = 24) -> Words:
    """Names in a row, cut after `most` with a count of the rest."""
    every = list(names)
    rest = len(every) - most
    if rest <= 0:
        return join_words(every)
    return (*join_words(every[:most], last=", "), f" and {rest} more")


def count_of(number: int, one: str, many: str | None = None) -> str:
    """A count with its noun: `1 key`, `2 keys`."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def rendered(words: Words, quoted: Callable[[str], str], own: Callable[[str], str] = str) -> str:
    """Words as one text, with separate functions for quoted names and for our own words."""
    return "".join(quoted(piece.text) if isinstance(piece, Quoted) else own(piece) for piece in words)


def plain(words: Words) -> str:
    """Words as plain text, without anything that a terminal would obey."""
    return rendered(words, shown)
