"""Make the table of letter pairs: matrixmap/check/digrams.txt.

Run it after a change of what it takes: python -m tests.make_digrams. With --check it writes nothing and exits with 1 if
the file is stale. The counts are those of the language profiles in the package langdetect, which is a dependency of the
tests; nothing of it is needed to use the table.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from importlib import metadata

from tests.project import ROOT

TABLE = ROOT / "matrixmap" / "check" / "digrams.txt"
PACKAGE, VERSION = "langdetect", "1.0.9"
WHOLE = 10_000
LEAST = 2
"""Pairs of less than so many in `WHOLE` are left out."""

LANGUAGES = (
    *("bg", "ca", "cs", "da", "de", "el", "en", "es", "et", "fi", "fr", "he", "hr", "hu", "it", "lt", "lv", "mk", "nb"),
    *("nl", "pl", "pt", "ro", "ru", "sk", "sl", "sq", "sv", "tr", "uk"),
)
"""The languages of the shipped hosts of which there is a profile that tells letters apart: not Japanese and Korean."""

PROFILES = {"nb": "no"}
"""Profiles that have another name."""

TOLD_APART = {
    "ro": {"ş": "ș", "ţ": "ț"},  # the profiles have the cedilla for the comma below
    "tr": {"I": "ı", "İ": "i"},  # in lower case
}
BLANK = "_"

HEAD = f"""\
# How often two letters follow each other in text, by language.
#
# SPDX-FileCopyrightText: 2010-2014 Cybozu Labs, Inc.
# SPDX-FileCopyrightText: 2014-2015 Michal "Mimino" Danilak
# SPDX-License-Identifier: Apache-2.0
#
# Changed: these are counts of the language profiles in the Python package {PACKAGE} {VERSION} (a port of the library
# language-detection of Cybozu Labs), put together without case and in parts of {WHOLE:,}; whatever was rarer than
# {LEAST} is left out. By the README of the package a profile is made of the abstracts of Wikipedia in its language; of
# which date it does not say. Words in capitals are not counted there, nor what is rarer than one in 100,000 letters.
#
# [language] pairs counted, and how many of {WHOLE:,} are listed. A line has a weight and the pairs that have it,
# the two letters of each with a hyphen between them, so that no pair looks like a word.
# {BLANK} is whatever stands between words: blanks, digits, punctuation, the end of a line, any number of them.
# Made by python -m tests.make_digrams.
"""


def profile(language: str) -> Mapping[str, int]:
    """The counts of a language's profile: of one, two and three letters."""
    package = metadata.distribution(PACKAGE)
    assert package.version == VERSION, f"the table is made of {PACKAGE} {VERSION}, and {package.version} is installed"
    path = package.locate_file(f"{PACKAGE}/profiles/{PROFILES.get(language, language)}")
    counts: dict[str, int] = json.loads(path.read_text(encoding="utf-8"))["freq"]
    return counts


def pairs(language: str) -> Counter[str]:
    """The pairs of a language without case, with their counts."""
    found: Counter[str] = Counter()
    apart = TOLD_APART.get(language, {})
    for gram, count in profile(language).items():
        if len(gram) == 2:
            pair = "".join(apart.get(letter, letter).lower() for letter in gram).replace(" ", BLANK)
            assert len(pair) == 2, f"{gram!r} is another number of letters in lower case"
            found[pair] += count
    return found


def section(language: str) -> Iterator[str]:
    """The lines of a language."""
    counts = pairs(language)
    total = sum(counts.values())
    weights = {pair: round(count * WHOLE / total) for pair, count in counts.items()}
    kept = {pair: weight for pair, weight in weights.items() if weight >= LEAST}
    yield f"[{language}] {total} {sum(kept.values())}"
    for weight in sorted(set(kept.values()), reverse=True):
        yield f"{weight} {' '.join('-'.join(pair) for pair in sorted(kept) if kept[pair] == weight)}"


def table() -> str:
    """The whole file."""
    lines = [line for language in LANGUAGES for line in section(language)]
    return HEAD + "".join(f"{line}\n" for line in lines)


def main(words: list[str]) -> int:
    """Writes the file, or looks whether it is fresh."""
    fresh = table()
    if words == ["--check"]:
        return int(TABLE.read_text(encoding="utf-8") != fresh)
    TABLE.write_text(fresh, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
