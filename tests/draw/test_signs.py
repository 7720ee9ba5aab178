"""No generated picture or paper needs more than a text font: every other sign is drawn, and has a name to be heard."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterator
from html import unescape
from xml.etree import ElementTree

import pytest

from matrixmap.emit.page.document import page_data
from matrixmap.emit.pictures.drawing import draw
from matrixmap.emit.pictures.poster import poster
from matrixmap.emit.pictures.sheet import sheet_html
from matrixmap.emit.pictures.signs import signs
from matrixmap.emit.pictures.stickers import Cut, sticker_pages
from matrixmap.emit.pictures.written import inline, is_sign, line, line_width, said, sign_name
from matrixmap.emit.texts.language import LANGUAGES, texts_of
from matrixmap.model.plan import Plan
from tests.project import shipped_ids, shipped_plan

SVG = "{http://www.w3.org/2000/svg}"

PAGES = (1250, 1251, 1252, 1253, 1254, 1255, 1257, 1258)
"""The 8-bit code pages of the languages' scripts: a text font of a language has the signs of its page (common practice)."""

SCRIPTS = ("LATIN", "GREEK", "CYRILLIC", "HEBREW", "HIRAGANA", "KATAKANA", "CJK UNIFIED", "HANGUL", "MODIFIER LETTER")
"""Scripts of the hosts' languages, as the names of their letters begin in Unicode."""

KANA_SIGNS = (range(0x3000, 0x3040), range(0x30FB, 0x30FF), range(0xFF01, 0xFF61))
"""What a font of kana has beside letters: punctuation, the long mark, wide forms of ASCII."""

UNSEEN = {"\u200e", "\u202b", "\u202c", "\n"}
"""Marks of direction, and the end of a document."""

SIGNS = {char for char, _ in signs()}


def in_text_fonts(char: str) -> bool:
    """Whether a font for text of a language has a character."""
    code, name = ord(char), unicodedata.name(char, "")
    if (char.isascii() and (char.isprintable() or char in UNSEEN)) or char in UNSEEN:
        return True
    if any(char in bytes(range(0x80, 0x100)).decode(f"cp{page}", "ignore") for page in PAGES):
        return True
    is_letter = unicodedata.category(char).startswith("L") and name.startswith(SCRIPTS)
    return is_letter or any(code in some for some in KANA_SIGNS)


def texts_of_svg(svg: str) -> Iterator[str]:
    """What an SVG document shows as text, and what it says."""
    for node in ElementTree.fromstring(svg).iter():
        if node.tag != f"{SVG}style":
            yield from (node.text or "", node.tail or "", node.get("aria-label", ""))


def texts_of_html(html: str) -> str:
    """The text of an HTML document, without styles and markup."""
    return unescape(re.sub(r"<[^>]*>", "", re.sub(r"<style>.*?</style>", "", html, flags=re.S)))


def documents(plan: Plan, language: str) -> Iterator[str]:
    """All that pictures and the sheet of a layout show and say as text."""
    drawings = [draw(plan, language=language), *sticker_pages(plan, Cut(every=True), language)]
    drawings += [made for keyboard in ("host", "machine") if (made := poster(plan, keyboard, "A3", language))]
    for drawing in drawings:
        yield from texts_of_svg(drawing)
    yield texts_of_html(sheet_html(plan, "A4", language=language))


SHOWN = {"quillon8-de-DE-positional": "uk", "langet41-de-DE-symbolic": "he"}
"""Layouts that are looked at in the suite, with the language that they are shown in."""


@pytest.mark.parametrize(
    ("id", "language"),
    [*SHOWN.items(), *(pytest.param(id, "en", marks=pytest.mark.campaign) for id in shipped_ids())],
)
def test_no_text_needs_more_than_a_text_font(id: str, language: str) -> None:
    """Every character that drawing, poster, stickers and sheet have as text is one that fonts of its script have."""
    characters = set("".join(documents(shipped_plan(id), language)))
    assert len(characters) > 80
    assert {f"{char} U+{ord(char):04X}" for char in characters if not in_text_fonts(char)} == set()


def test_the_page_draws_all_that_its_texts_lack_fonts_for() -> None:
    """Each character in what the page knows of layouts is in text fonts or has a shape there, with its name in each language."""
    data = page_data([shipped_plan(id) for id in SHOWN])
    told = json.dumps({key: value for key, value in data.items() if key not in ("shapes",)}, ensure_ascii=False)
    shapes, texts = data["shapes"], data["texts"]
    assert isinstance(shapes, dict)
    assert isinstance(texts, dict)
    beyond = {char for char in told if not in_text_fonts(char)}
    assert beyond >= set("⇧↑⚑↺⚀₉")
    assert beyond <= set(shapes)
    for tag in LANGUAGES:
        assert beyond <= set(texts[tag]["signs"]), tag


def test_what_fonts_have_and_lack() -> None:
    """The set that the tests refuse beyond: letters and signs of code pages, no arrows, flags or dice."""
    assert all(map(in_text_fonts, "Aé€½°·…–„№₪їהあ漢한、"))
    assert not any(map(in_text_fonts, "⇧↑↺⚑☛⚀■√∞⁴₄★␣◌✓"))
    assert not any(map(in_text_fonts, SIGNS - {"¹", "²", "³"}))


@pytest.mark.parametrize("tag", LANGUAGES)
def test_every_sign_has_a_name_of_its_own(tag: str) -> None:
    """In each language the names of signs are in letters and differ."""
    names = texts_of("signs", tag)
    found = {char: sign_name(char, names) for char in SIGNS}
    assert len(set(found.values())) == len(found)
    for char, name in found.items():
        assert all(map(in_text_fonts, name)), (char, name)
        assert re.search(r"\w", name)
        assert name != unicodedata.name(char).lower() or tag == "en", char


def test_signs_are_said_by_their_names() -> None:
    """A legend or a way is told with names: a blank, a sign, signs among letters; what no language names by that of Unicode."""
    keys, names = texts_of("keys"), texts_of("signs")
    assert said("⚀", keys, names) == "die with one"
    assert said("⇧# · 7", keys, names) == "Shift # · 7"
    assert said(" ", keys, names) == "space"
    assert said("█", keys, names) == "full block"
    assert said("⁴", keys, names) == "superscript 4"
    assert said("A", keys, names) == "A"
    assert said("⚑", texts_of("keys", "de"), texts_of("signs", "de")) == "schwarze Flagge"


@pytest.mark.parametrize("text", ["⇧# · num 7", "A⇧", "⇧", "↑→", "◌\u0301x", "⇧W · AltGr Ü · num Enter · ⇧⇧⇧"])
@pytest.mark.parametrize("width", [12.0, 40.0, 200.0])
@pytest.mark.parametrize("backward", [False, True])
def test_a_line_with_signs_keeps_its_width(text: str, width: float, backward: bool) -> None:
    """Letters and shapes lie beside each other inside the width, each at the place that its reckoned width gives."""
    root = ElementTree.fromstring(line(text, 10, 20, width, 9, least=6, backward=backward))
    ends = []
    for node in root.iter():
        if node.tag == "path":
            ends += [float(x) for x in re.findall(r"[ML]([0-9.-]+) ", node.get("d", ""))]
        elif node.tag == "text" and node.get("textLength"):
            left = float(node.get("x", 0))
            ends += [left, left + float(node.get("textLength", 0))]
    room = min(width, line_width(text, 9)) if not backward else width
    assert min(ends) >= 10 - 0.1
    assert max(ends) <= 10 + room + 0.1


def test_a_sign_in_html_is_a_picture_with_its_name() -> None:
    """Running text has a small picture for each sign, which is heard, and letters as they are."""
    html = inline("a⚀<b", texts_of("signs", "fr"))
    assert html.startswith('a<svg viewBox="')
    assert html.endswith("&lt;b")
    assert 'role="img" aria-label="dé, un"' in html
    assert not is_sign("a")
    assert not is_sign(" ")
