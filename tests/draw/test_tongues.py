"""Drawing, poster and stickers in the language of their reader, from right to left where that is how it is read."""

from __future__ import annotations

import random
import re
from html import unescape
from pathlib import Path
from xml.etree import ElementTree

import pytest

from matrixmap.cli.make.visual import in_order_of_sight, visual
from matrixmap.emit.pictures.drawing import draw
from matrixmap.emit.pictures.faces import form_of
from matrixmap.emit.pictures.stickers import Cut, sticker_pages
from matrixmap.emit.texts.language import FALLBACK, LANGUAGES, language_file
from matrixmap.model.plan import Plan
from matrixmap.model.words import printed_name, usage_name
from tests import tools
from tests.project import call, shipped_plan

SVG = "{http://www.w3.org/2000/svg}"
LAYOUT = "quillon8-de-DE-positional"


def names_of(plan: Plan) -> set[str]:
    """The words in names of keys, modifiers, machine, host and layout, which stay as their files have them."""
    machine, host = plan.layout.machine, plan.layout.host
    board = form_of(host)
    assert board is not None
    texts = [plan.layout.title, plan.id, machine.title, host.title, board.title, *machine.latching]
    texts += [key.name for key in machine.keys] + [modifier.name for modifier in machine.modifiers]
    texts += [legend.text for key in machine.keys for legend in key.types.values()]
    texts += [name for cap in board.caps for name in (usage_name(cap.usage), printed_name(host, cap.usage))]
    texts += ["Shift", "Caps Lock", "Num Lock", "num"]
    return {word.lower() for text in texts for word in re.findall(r"[A-Za-z][a-z]*", text)}


def words_of(svg: str) -> str:
    """All that a document shows or says, in small letters."""
    root = ElementTree.fromstring(svg)
    parts = [part for node in root.iter() if node.tag != f"{SVG}style" for part in (node.text, node.get("aria-label"))]
    return " ".join(filter(None, parts)).lower()


SECTIONS = ("drawing", "page", "sheet", "keys")


def english(tag: str) -> set[str]:
    """The words of English texts that a language has no use for."""
    own, told = (
        " ".join(text for section in SECTIONS for text in language_file(each)[section].values()).lower()
        for each in (tag, FALLBACK)
    )
    return {word for word in re.findall(r"[a-z]{2,}", re.sub(r"\{[a-z]+\}", "", told)) if word not in own}


@pytest.mark.parametrize(
    "tag",
    [
        tag if tag in ("de", "he") else pytest.param(tag, marks=pytest.mark.campaign)
        for tag in LANGUAGES
        if tag != FALLBACK
    ],
)
def test_no_word_of_english_is_left(tag: str) -> None:
    """In another language pictures show and say no word of the English texts, and say which language they are in."""
    plan = shipped_plan(LAYOUT)
    beyond = english(tag) - names_of(plan)
    assert len(beyond) > 60
    for svg in (draw(plan, language=tag), *sticker_pages(plan, Cut(), tag)):
        assert ElementTree.fromstring(svg).get("lang") == tag
        assert set(re.findall(r"[a-z]{2,}", words_of(svg))) & beyond == set()


def test_keys_are_told_in_the_language() -> None:
    """The sentences of keys are those of the page: `R tippt allein r, mit Shift R, mit Alt Pfeil im Uhrzeigersinn`."""
    svg = draw(shipped_plan(LAYOUT), ("host", "machine"), "de")
    assert 'aria-label="R tippt allein r, mit Shift R, mit Alt Pfeil im Uhrzeigersinn' in svg
    assert "blazon-latch neben blazon" in svg
    assert "; erreicht von" in svg
    assert "Ctrl links" in svg


COMMANDS = (("draw", "p.svg", ("--poster", "A4")), ("stickers", "s.svg", ()))


@pytest.mark.parametrize(("command", "name", "options"), COMMANDS)
def test_commands_speak_the_keyboards_language_or_that_asked_for(
    tmp_path: Path, command: str, name: str, options: tuple[str, ...]
) -> None:
    """Without an option it is the language of the host, with one that, and an unknown one is refused."""
    for asked, tag in (((), "de"), (("--language", "ja"), "ja")):
        assert call(command, LAYOUT, *options, *asked, "--out", tmp_path / name).returncode == 0
        assert f'lang="{tag}"' in (tmp_path / name).read_text(encoding="utf-8")
    done = call(command, LAYOUT, *options, "--language", "xx", cwd=tmp_path)
    assert done.returncode == 2
    assert "there is no language 'xx'" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_lines_from_right_to_left_begin_at_the_right() -> None:
    """In Hebrew title, captions and notes end at the right edge of what they stand over; keyboards stay as they are."""
    hebrew, usual = (ElementTree.fromstring(draw(shipped_plan(LAYOUT), ("host",), tag)) for tag in ("he", "en"))
    lines = {
        tag: [text for text in root.iter(f"{SVG}text") if text.get("class") in ("title", "caption")]
        for tag, root in (("he", hebrew), ("en", usual))
    }
    assert {text.get("text-anchor") for text in lines["he"]} == {"end"}
    assert {text.get("text-anchor") for text in lines["en"]} == {None}
    assert len({text.get("x") for text in lines["he"]}) == 1
    assert all((text.text or "").startswith("\u202b") for text in lines["he"])
    caps = [
        [path.get("d") for path in root.iter(f"{SVG}path") if path.get("class") == "cap"] for root in (hebrew, usual)
    ]
    assert caps[0] == caps[1]


SEEN = (
    ("abc 12", "abc 12"),
    ("Ctrl אבג", "Ctrl גבא"),
    ("א · ב", "ב · א"),
    ("\u202bאבג: Quillon 8.\u202c", ".Quillon 8 :גבא"),
    ("\u202bאב 100 גד\u202c", "דג 100 בא"),
    ("\u202bאב: German (105 keys).\u202c", ".German (105 keys) :בא"),
    ("\u202bאב (גד)\u202c", "(דג) בא"),
    ("7\u200e · \u200eא\u200e · \u200eב", "7 · א · ב"),
)
"""Lines and how they are seen, by hand after Unicode Standard Annex 9."""


@pytest.mark.parametrize(("text", "seen"), SEEN)
def test_a_line_in_the_order_of_sight(text: str, seen: str) -> None:
    """Letters are put in the order from left to right in which a reader sees them."""
    assert visual(text) == seen


def unmirrored(text: str) -> str:
    """A text whose brackets all open."""
    return text.translate(str.maketrans(")]}>»", "([{<«"))


def test_the_order_of_sight_is_that_of_another_reader() -> None:
    """Each line of Hebrew pictures, and lines of any letters and signs, as python-bidi has them, which mirrors no brackets."""
    get_display = tools.module("bidi", "python-bidi").get_display
    lines = {
        unescape(text) for text in re.findall(r"<text[^>]*>([^<]+)</text>", draw(shipped_plan(LAYOUT), language="he"))
    }
    rng = random.Random(9)
    lines |= {"".join(rng.choices("abאבגד1 2:.·%+-,", k=rng.randrange(1, 20))) for _ in range(3_000)}
    lines |= {f"\u202b{line}\u202c" for line in lines if not line.startswith("\u202b")}
    for line in sorted(lines):
        own = line.startswith("\u202b")
        wanted = get_display(line.strip("\u202b\u202c"), base_dir="R" if own else "L").replace("\u200e", "")
        assert unmirrored(visual(line)) == unmirrored(wanted), ascii(line)


def test_the_order_of_sight_changes_only_such_lines() -> None:
    """A document without letters from right to left stays as it is, escapes included."""
    svg = '<text class="a">Клавіша &amp; key &lt; 2</text><path d="M0 0"/><text>x</text>'
    assert in_order_of_sight(svg) == svg
    assert in_order_of_sight("<text>א&lt;ב</text>") == "<text>ב&gt;א</text>"


def test_a_pdf_in_hebrew_is_read_in_its_order(tmp_path: Path) -> None:
    """What is drawn letter by letter in a PDF is found again as the words that it is."""
    tools.module("weasyprint", "weasyprint")
    assert call("stickers", LAYOUT, "--language", "he", "--out", tmp_path / "s.pdf").returncode == 0
    text = tools.run(tools.tool("pdftotext"), tmp_path / "s.pdf", "-").stdout
    assert "מדבקות" in text
    assert "מתחת לכל מדבקה מה שמודפס על המקש שלה" in text
