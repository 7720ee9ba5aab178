"""Pages are read in one go: short sentences, and no words that a reader stumbles over."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGES = {
    str(path.relative_to(ROOT)): path.read_text(encoding="utf-8")
    for path in (
        ROOT / "README.md",
        ROOT / "DEVELOPERS.md",
        *sorted((ROOT / "docs").glob("*.md")),
        *sorted((ROOT / "examples").glob("*/README.md")),
    )
}
MOST_WORDS = 30
MOST_IN_THE_FIRST_PARAGRAPH = 90
STUMBLES = (
    "lets be",
    "tells of",
    "whose",
    "that of which",
    "has part in",
    "what waits",
    "left off",
    "save that",
    "whichever",
)
"""Turns of phrase that are correct and slow: each has a plainer one."""

OTHER_NAMES = {
    "crosspoint": ("intersection", "junction", "cross point"),
    "select line": ("strobe line", "drive line", "scan line"),
    "sense line": ("return line", "read line"),
    "usage": ("key code", "keycode", "scan code", "scancode"),
    "phantom": ("ghost key", "ghost press"),
    "legend": ("engraving",),
    "layout": ("key map", "keymap"),
    "adapter": ("dongle", "converter"),
    "finding": ("diagnostic", "lint"),
    "voltage": ("low level", "high level", "voltage level"),
}
"""Words that others use for a term of the table of words; `level` is that of ISO/IEC 9995 alone."""


def sentences(page: str) -> Iterator[str]:
    """The sentences of a page, without tables, headings and code blocks; code in a line counts as one word."""
    page = re.sub(r"^ *```.*?^ *```$|<!--.*?-->", "\n", page, flags=re.DOTALL | re.MULTILINE)
    lines = [line.strip().removeprefix("> ") for line in page.splitlines()]
    lines = ["" if line.startswith(("|", "#", "![")) else re.sub(r"^([-*]|\d+\.) ", "\n\n", line) for line in lines]
    for paragraph in re.split(r"\n\s*\n", "\n".join(lines)):
        text = re.sub(r"\]\([^)]*\)", "]", re.sub(r"`[^`]*`", "code", paragraph))
        yield from filter(None, re.split(r"(?<=[.!?])[*)]*\s+", text.strip()))


def words(sentence: str) -> int:
    """How many words a sentence has."""
    return len(re.findall(r"[\w'’-]+", sentence))


@pytest.mark.parametrize("name", PAGES)
def test_sentences_are_short(name: str) -> None:
    """No sentence of a page has more words than one keeps in mind."""
    assert [sentence for sentence in sentences(PAGES[name]) if words(sentence) > MOST_WORDS] == []


@pytest.mark.parametrize("name", PAGES)
def test_no_phrase_makes_a_reader_stumble(name: str) -> None:
    """The plainer word is used."""
    text = " ".join(sentences(PAGES[name])).lower()
    assert [phrase for phrase in STUMBLES if re.search(rf"\b{phrase}\b", text)] == []


def test_sentences_are_found() -> None:
    """A page's sentences are its prose alone, and a list's points are apart."""
    page = "# No\n\nOne two. `a b c` four\nfive: six.\n\n- Seven (eight)!\n- Nine?\n\n| no |\n\n```sh\nno. no\n```\n> Ten.\n"
    assert [*sentences(page)] == ["One two.", "code four\nfive: six.", "Seven (eight)!", "Nine?", "Ten."]
    assert words("code four\nfive: six.") == 4


def test_the_readme_opens_with_one_short_paragraph() -> None:
    """Who, what, why and what comes out, in three or four sentences."""
    first = PAGES["README.md"].split("\n\n")[1]
    assert words(first) <= MOST_IN_THE_FIRST_PARAGRAPH
    assert len([*sentences(first)]) in (3, 4)


@pytest.mark.parametrize("name", PAGES)
def test_a_thing_has_one_name(name: str) -> None:
    """No page calls a term of the table of words by another word."""
    text = " ".join(sentences(PAGES[name])).lower()
    others = [other for names in OTHER_NAMES.values() for other in names]
    assert [other for other in others if re.search(rf"\b{other}s?\b", text)] == []
