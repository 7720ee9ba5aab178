"""Names of the user's reach C through one door, and nothing that they hold is obeyed."""

from __future__ import annotations

import re
import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from matrixmap.emit.tables.c import table_symbol
from matrixmap.emit.tables.names import PIECE, comment, identifier, identifiers, legend_comment, string, title_comment
from matrixmap.emit.tables.runtime import runtime_files, runtime_names

NASTY = [
    "*/",
    "/*",
    "**//",
    "*/*/",
    "/*/",
    "\\",
    "a\\",
    "a\\ ",
    "??/",
    "???/",
    "????/",
    "?\\",
    "//",
    "\r\n",
    "\x1b[31m",
    "\u202e",
    "\x85",
    "\ud800",
]
texts = st.text() | st.text(alphabet="*/\\? ", max_size=12) | st.sampled_from(NASTY)


def harmless(text: str) -> bool:
    """Whether a text can stand inside a comment of one line: printable ASCII, no mark of comments, trigraphs or splices."""
    marks = re.search(r"\*/|/\*|\?\?", text)
    return text.isascii() and text.isprintable() and not marks and not text.rstrip().endswith("\\")


@given(texts)
def test_a_comment_never_ends_early(text: str) -> None:
    """Whatever the text, its comment is one harmless line."""
    assert harmless(comment(text))
    assert harmless(title_comment(text))


@given(st.characters())
def test_a_legend_in_a_comment_is_harmless(char: str) -> None:
    """So is every single character, and it is told by its name where it would be hard to read."""
    told = legend_comment(char)
    assert harmless(told)
    assert told.strip()


@pytest.mark.parametrize(
    ("legend", "told"),
    [
        ("[", "["),
        ("]", "]"),
        ("\\", "reverse solidus"),
        ("#", "#"),
        ("'", "'"),
        ('"', '"'),
        (":", ":"),
        (",", ","),
        ("~", "~"),
        ("£", "U+00A3 POUND SIGN"),
        ("½", "U+00BD VULGAR FRACTION ONE HALF"),
        ("y", "y"),
        ("n", "n"),
        ("*", "asterisk"),
        ("/", "solidus"),
        ("?", "question mark"),
        (" ", "space"),
    ],
)
def test_legends_in_comments(legend: str, told: str) -> None:
    """A plain character stands for itself; one that C or a reader would stumble over is named."""
    assert legend_comment(legend) == told


@given(st.text(alphabet=st.characters(codec="utf-8")))
@example("?" * 600)
def test_a_string_is_its_bytes(text: str) -> None:
    """A string literal, its octal escapes taken back, is the text in UTF-8, in ASCII without trigraphs."""
    pieces = string(text).split("\n    ")
    assert all(len(piece) <= PIECE + 2 and piece[0] == piece[-1] == '"' for piece in pieces)
    literal = "".join(piece[1:-1] for piece in pieces)
    assert literal.isascii()
    assert literal.isprintable() or not literal
    assert "??" not in literal
    body = re.sub(r"\\([0-7]{3})", lambda found: chr(int(found.group(1), 8)), literal)
    assert body.encode("latin-1") == text.encode("utf-8")


@given(st.text())
def test_an_identifier_is_one(text: str) -> None:
    """Any text becomes an identifier that begins with the prefix, so it is no reserved word."""
    assert re.fullmatch(r"AT_[A-Za-z0-9_]*", identifier(text, "AT_"))


@given(st.lists(st.text(alphabet="ab-_.é", max_size=4)))
def test_names_that_collapse_are_told_apart(texts: list[str]) -> None:
    """Different texts have different identifiers, each text one, and the same on every run."""
    found = identifiers(texts, "AT_")
    assert set(found) == set(texts)
    assert len(set(found.values())) == len(set(texts))
    assert found == identifiers(list(texts), "AT_")


def test_the_second_of_two_that_collapse_is_numbered() -> None:
    """The first keeps its name, the second gets a number that nobody else has."""
    assert identifiers(["a-b", "a_b", "a-b-2"], "") == {"a-b": "a_b", "a_b": "a_b_2", "a-b-2": "a_b_2_2"}


@pytest.mark.parametrize(
    "id", ["init", "runtime", "state", "layouts", "layout", "index", "config", "Config", "slot", "select-mask"]
)
def test_a_table_keeps_clear_of_the_runtime(id: str) -> None:
    """A layout with an id that the runtime uses gets a symbol, a guard and a size that are new."""
    symbol = table_symbol(id)
    assert symbol == f"mm_{id.replace('-', '_')}_"
    for name in (symbol, *(f"{symbol}_{end}" for end in ("size", "h", "built", "id16"))):
        assert name.lower() not in runtime_names()


def test_an_ordinary_id_is_the_symbol() -> None:
    """Otherwise the symbol is the id with `mm_` before it."""
    assert table_symbol("quillon8-en-GB-symbolic") == "mm_quillon8_en_GB_symbolic"


def test_the_names_of_the_runtime_are_known() -> None:
    """Every function that a header of the runtime declares is among the names that tables keep clear of."""
    headers = "".join(text for name, text in runtime_files() if name.endswith(".h"))
    declared = re.findall(r"^\w[\w ]*\*? ?\b(mm_\w+)\(", headers, re.MULTILINE)
    assert len(declared) > 10
    assert set(declared) <= runtime_names()


def test_categories_of_shown_text() -> None:
    """What `comment` writes as a code point is exactly what is not printable ASCII."""
    for number in range(0x250):
        char = chr(number)
        kept = comment(f"x{char}x") == f"x{char}x"
        assert kept == (" " <= char <= "~"), unicodedata.name(char, hex(number))
