"""What the papers of a kit say in the language of their reader.

One JSON file a language lies in `languages/`, named by its BCP 47 tag: texts by key, some with places in braces such as `{machine}`.
English is complete; a text that is missing falls back to it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

FALLBACK = "en"
"""The language that has every text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """The texts of one language."""

    language: str
    words: Mapping[str, str]

    def say(self, key: str, /, **places: str | int) -> str:
        """A text with its places filled. KeyError for a key that English does not have: that is a bug."""
        return self.words[key].format(**places) if places else self.words[key]


@cache
def languages() -> tuple[str, ...]:
    """The tags of the languages that there is a file for."""
    folder = files("matrixmap") / "kit" / "languages"
    return tuple(sorted(path.name.removesuffix(".json") for path in folder.iterdir() if path.name.endswith(".json")))


@cache
def texts_in(language: str = FALLBACK) -> Texts:
    """The texts of a language of `languages()`; what it lacks is English."""
    words = {**_file(FALLBACK), **_file(language)}
    return Texts(language=language, words=MappingProxyType(words))


def _file(tag: str) -> dict[str, str]:
    path = files("matrixmap") / "kit" / "languages" / f"{tag}.json"
    return dict(json.loads(path.read_text(encoding="utf-8")))
