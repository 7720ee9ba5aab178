"""Legends from the file into the model: each is the text as written, whatever YAML would make of it."""

import unicodedata
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matrixmap.model.legend import Legend
from matrixmap.source.kinds.project import Loaded
from matrixmap.source.report import Report
from matrixmap.source.shape.legends import FUNCTION, UNPRINTABLE, is_accent, read_legend
from matrixmap.source.text.nodes import Text

HOST = """host: bench
title: Bench
source: invented for this test
form: iso-105
legends: {{KeyA: [{0}, b, {0}]}}
"""
MACHINE = """machine: bench
title: Bench
source: invented for this test
matrix: {{select: [S0], sense: [N0], grid: {{S0: [d1]}}}}
types: {{d1: {{plain: {0}}}}}
scan: {{period_us: 20000}}
"""
BARE = ["y", "n", "no", "on", "1", "~", "=", ".", "<", "^", "(", ")", "$", "/", ";", "+", "_", "\\", "£", "½", "¤", "é"]
BARE += ["null", "true", "off", "NaN", "y", "Y", "N", "inf", "Enter", "U1", "٣"]
IN_QUOTES = [*"[]\\#'\":,~£½{}&*!|>%@`-?= ", "no", "on", "1", "\u00a0"]


def in_quotes(legend: str) -> str:
    """A legend in single quotes, as YAML writes them."""
    return "'" + legend.replace("'", "''") + "'"


@pytest.mark.parametrize(
    ("written", "legend"),
    [*((text, text) for text in BARE), *((in_quotes(text), text) for text in IN_QUOTES), ('"\\u00a0"', "\u00a0")],
)
def test_a_legend_is_the_text_as_written(written: str, legend: str, read_text: Callable[..., Loaded]) -> None:
    """Bare words and quoted marks reach the model of host and machine unchanged."""
    host = read_text("host", "bench", HOST.format(written))
    assert host.findings == ()
    assert [key.legends for key in host.value.keys.values()] == [(Legend(legend), Legend("b"), Legend(legend))]
    machine = read_text("machine", "bench", MACHINE.format(written))
    assert machine.findings == ()
    assert machine.value.key("d1").types == {frozenset(): Legend(legend)}


@pytest.mark.parametrize("accent", ["'´'", "'`'", "'^'", "¨", '"\\u0323"'])
def test_a_dead_legend_is_its_accent(accent: str, read_text: Callable[..., Loaded]) -> None:
    """A dead key is marked with its spacing accent, or with the combining one where Unicode has no other."""
    host = read_text("host", "bench", HOST.format(f"{{dead: {accent}}}"))
    assert host.findings == ()
    first = next(iter(host.value.keys.values())).legends[0]
    assert first.dead
    assert first.text in accent.replace("\\u0323", "\u0323")


def test_the_bare_word_none_is_no_legend(read_text: Callable[..., Loaded]) -> None:
    """`none` is nothing at a level; in quotes it is a word."""
    host = read_text("host", "bench", HOST.format("none"))
    assert next(iter(host.value.keys.values())).legends[0] is None
    host = read_text("host", "bench", HOST.format("'none'"))
    assert next(iter(host.value.keys.values())).legends[0] == Legend("none")


@given(st.characters(exclude_categories=["Cs"]))
def test_a_code_point_is_a_character_if_it_prints(char: str) -> None:
    """A code point alone is a character in NFC, but for what prints nothing, combines, or falls apart in NFC."""
    report = Report()
    legend = read_legend(Text(char, place=None), report)
    normal = unicodedata.normalize("NFC", char)
    fits = len(normal) == 1 and unicodedata.category(normal) not in UNPRINTABLE and not is_accent(normal)
    assert legend == (Legend(normal) if fits else None)
    assert len(report.findings) == (not fits)


@pytest.mark.parametrize(
    ("char", "accent"), [("\u0301", True), ("\u0323", True), ("\u20d7", True), ("ְ", False), ("ุ", False)]
)
def test_marks_of_a_script_are_legends(char: str, accent: bool) -> None:
    """A combining accent alone is a slip, a Hebrew point or a Thai vowel sign is on a key."""
    assert is_accent(char) == accent
    assert (read_legend(Text(char, place=None), Report()) is None) == accent


@given(st.text(min_size=2, max_size=8))
def test_a_longer_text_is_a_function_or_a_finding(text: str) -> None:
    """What NFC joins to one code point is a character, letters and digits are a function, the rest is a finding."""
    report = Report()
    legend = read_legend(Text(text, place=None), report)
    assert (legend is None) == (len(report.findings) == 1)
    if legend is not None:
        assert legend.text == unicodedata.normalize("NFC", text)
        assert legend.is_character or FUNCTION.fullmatch(legend.text)


def test_an_accent_in_two_code_points_is_the_letter(read_text: Callable[..., Loaded]) -> None:
    """A letter and a combining accent that one character replaces are that character."""
    host = read_text("host", "bench", HOST.format("'e\u0301'"))
    assert next(iter(host.value.keys.values())).legends[0] == Legend("é")


@pytest.mark.parametrize(
    "title", ["<b>8</b>", "[red]8[/red]", "8 | 9", "::error::", "*/ #define", "8 \\", "??/", '"8"']
)
def test_a_title_is_kept_as_text(title: str, read_text: Callable[..., Loaded]) -> None:
    """Markup in a title is nothing but text to the reader."""
    machine = read_text("machine", "bench", MACHINE.format("1").replace("title: Bench", f"title: {in_quotes(title)}"))
    assert machine.findings == ()
    assert machine.value.title == title
