"""What a paper or a page says in the language of its reader.

`languages/` has one JSON file per language, named by its BCP 47 tag: sections of texts by key, and the section
`language` with the language's own name and its direction. A text may have places in braces, such as `{machine}`.
English is complete; it replaces any missing language or text.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

FALLBACK: Final = "en"
"""The language that has every text."""

LANGUAGES: Final = ("de", "en", "es", "fr", "he", "ja", "uk")
"""The tags of the languages with a file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """A section of texts in one language: its tag, and whether it is written from right to left.

    With `isolates`, the text in a place keeps its own direction and disturbs no other (Unicode Standard Annex 9,
    section 2.4).
    """

    language: str
    right_to_left: bool
    words: Mapping[str, str]
    isolates: bool = False

    @property
    def direction(self) -> str:
        """The value of the HTML attribute `dir`."""
        return "rtl" if self.right_to_left else "ltr"

    def say(self, key: str, /, **places: str | int) -> str:
        """A text with its places filled. KeyError if no language has the key: that is a bug."""
        if self.isolates:
            return self.words[key].format(**{name: isolated(str(filled)) for name, filled in places.items()})
        return self.words[key].format(**places) if places else self.words[key]


LEFT_TO_RIGHT, RIGHT_TO_LEFT, END = "\u2066", "\u2067", "\u2069"


def isolated(text: str) -> str:
    """A text between characters that isolate its direction: right to left if any of its letters is."""
    to_left = any(unicodedata.bidirectional(char) in ("R", "AL") for char in text)
    return f"{RIGHT_TO_LEFT if to_left else LEFT_TO_RIGHT}{text}{END}"


def language_for(wanted: Iterable[str]) -> str:
    """The first of some BCP 47 tags with texts: `de-AT` finds `de`; else English."""
    for tag in wanted:
        parts = tag.replace("_", "-").split("-")
        while parts:
            if (found := "-".join([parts[0].lower(), *parts[1:]])) in LANGUAGES:
                return found
            parts.pop()
    return FALLBACK


def texts_of(section: str, language: str = FALLBACK) -> Texts:
    """A section in a language with a file; missing texts are English."""
    own, english = language_file(language), language_file(FALLBACK)
    words = {**english[section], **own.get(section, {})}
    right_to_left = own["language"]["direction"] == "rtl"
    return Texts(language=language, right_to_left=right_to_left, words=MappingProxyType(words))


@cache
def language_file(tag: str) -> Mapping[str, Mapping[str, str]]:
    """The contents of a language's file: section -> key -> text."""
    path = files("matrixmap") / "emit" / "texts" / "languages" / f"{tag}.json"
    return MappingProxyType(dict(json.loads(path.read_text(encoding="utf-8"))))


def key_text(keys: Texts, name: str) -> str:
    """Translated names of keys, from English, by the section `keys`: `right Shift`, `keypad 7`, `^, then Space`."""
    if keys.language == FALLBACK:
        return name

    def word(key: str, of: str) -> str:
        return keys.say(key, key=of)

    name = _SIDED.sub(lambda found: word(found[1], found[2]), name)
    name = _NUM_OFF.sub(lambda found: word("num-off", found[1]), name)
    name = _ON.sub(lambda found: word("on", found[1]), name)
    return name.replace(", then ", f", {keys.say('then')} ").replace(" or ", f" {keys.say('or')} ")


_LOCKS = "(?:Caps|Num|Scroll) Lock"
_SIDED = re.compile(rf"\b(left|right|keypad|num) ({_LOCKS}|[^\s,+]+|[+,])")
_NUM_OFF = re.compile(r"(\S+) with Num Lock off")
_ON = re.compile(rf"({_LOCKS}) on\b")
