"""Pages and the program's own texts are read in one go: short sentences, and no words that a reader stumbles over."""

from __future__ import annotations

import ast
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
    "whoever",
    "so far as",
    "(?:is|are|was|were) told(?! apart| from)",
    "(?<!can )(?<!cannot )tells? (?:how|what|which|why|whether|all|every)",
    "let(?:s|ting)? go of",
    "goes down",
    "of what",
    "has to",
    "tak(?:es?|en|ing) over",
    "mak(?:es|ing)? up for",
    "in the way of",
    "(?:stands?|lies?) (?:above|behind|below|beside|here|there|twice|under)",
    "(?<!there )is no (?:file|folder|key|layout|legend|length|list|name|number|range|report|stroke|text|time|trigger)",
    "is there already",
    "as it stands",
    "parted by",
    "shall",
    ", for (?:it|nobody|no|they|the machine|the runtime)",
)
"""Turns of phrase that are correct and slow, as patterns: each has a plainer one."""

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


PACKAGE = ROOT / "matrixmap"
QUOTES = ("press/table/contract.py",)
"""Modules with sentences of a header, word by word."""


TAG = r"</?[a-z][a-z0-9]*(?:\s[^<>]*)?/?>"
CLOSED = r"</[a-z][a-z0-9]*>"
"""A tag of HTML, and one that closes an element: a text with such a one is HTML and no sentence."""


def _texts(module: ast.Module) -> Iterator[str]:
    """The texts of a module that people may read, with code for each value put into them; docstrings apart."""
    apart: set[int] = set()
    for node in ast.walk(module):
        for line in getattr(node, "body", None) or () if not isinstance(node, ast.Lambda | ast.IfExp) else ():
            if isinstance(line, ast.Expr):
                apart.add(id(line.value))
        if isinstance(node, ast.JoinedStr):
            apart.update(id(value) for value in node.values)
    for node in ast.walk(module):
        if isinstance(node, ast.JoinedStr):
            yield "".join(str(value.value) if isinstance(value, ast.Constant) else "`code`" for value in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in apart:
            yield node.value


def _said(path: Path) -> list[str]:
    """What a module says in sentences: findings, errors, help, rules; not code of other languages, which has several lines.

    Of HTML only the sentences between the tags are said, each by itself.
    """
    found = [
        piece
        for text in _texts(ast.parse(path.read_text(encoding="utf-8")))
        for piece in (re.split(TAG, text) if re.search(CLOSED, text) else [text])
    ]
    return [text for text in found if len(re.findall(r"[A-Za-z]{2,}", text)) > 3 and "\n" not in text.strip()]


SAID = {
    name: _said(path)
    for path in sorted(PACKAGE.rglob("*.py"))
    if (name := str(path.relative_to(PACKAGE))) not in QUOTES and not name.startswith("emit/texts/")
}
"""The texts of each module; those for readers in other languages have tests of their own."""


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


def stumbles(phrase: str, text: str) -> bool:
    """Whether a text has a phrase of STUMBLES, between the borders of words."""
    return re.search(rf"(?:^|(?<!\w)|(?=,)){phrase}\b", text) is not None


@pytest.mark.parametrize("name", PAGES)
def test_sentences_are_short(name: str) -> None:
    """No sentence of a page has more words than one keeps in mind."""
    assert [sentence for sentence in sentences(PAGES[name]) if words(sentence) > MOST_WORDS] == []


@pytest.mark.parametrize("name", PAGES)
def test_no_phrase_makes_a_reader_stumble(name: str) -> None:
    """The plainer word is used."""
    text = " ".join(sentences(PAGES[name])).lower()
    assert [phrase for phrase in STUMBLES if stumbles(phrase, text)] == []


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


def test_what_the_program_says_is_short() -> None:
    """No part of a finding, an error, a rule or a help text, up to a semicolon or colon, has more words than one keeps in mind."""
    parts = [(name, part) for name, texts in SAID.items() for text in texts for part in re.split(r"[;:]\s", text)]
    found = [(name, one) for name, part in parts if "{" not in part for one in sentences(part)]
    assert [(name, one) for name, one in found if words(one) > MOST_WORDS] == []


def test_what_the_program_says_makes_nobody_stumble() -> None:
    """Findings, errors, rules and help use the plainer word, too."""
    found = [(name, text, phrase) for name, texts in SAID.items() for text in texts for phrase in STUMBLES]
    assert [one for one in found if stumbles(one[2], one[1].lower())] == []


def test_texts_of_a_module_are_found() -> None:
    """Texts with values in them are found as one, and docstrings are not texts."""
    module = ast.parse('"""No."""\n\ndef f(a):\n    """No, too."""\n    return f"one {a} three", "four"\n')
    assert sorted(_texts(module)) == ["four", "one `code` three"]


def test_html_is_no_sentence_and_what_it_says_is(tmp_path: Path) -> None:
    """Tags part sentences, whether they close or not; a text with the signs of a comparison, or a place to fill, is one sentence."""
    module = tmp_path / "module.py"
    html, plain = "<p class='a b'>One two three four.</p><td>five</td>", "a < b and <name> stands for it"
    module.write_text(f"TEXTS = {html!r}, {plain!r}\n", encoding="utf-8")
    assert _said(module) == ["One two three four.", plain]
