"""The sheet for the desk: everything that is special, on one page, in browser and PDF."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from matrixmap.cli.make.pictures import one_page_pdf
from matrixmap.emit.pictures.sheet import PAPERS, SMALLEST_PT, THEN, sheet_content, sheet_html, smaller_sizes, way_keys
from matrixmap.emit.pictures.svg import markup
from matrixmap.emit.pictures.written import is_sign
from matrixmap.emit.texts.language import LANGUAGES, texts_of
from matrixmap.press.how_to_type import ways_to_type
from tests import tools
from tests.browser import Browser
from tests.project import call, shipped_ids, shipped_plan
from tests.shipped import costly_ids, in_campaign

SHOWN = ("quillon8-fr-FR-symbolic", "quillon8-en-US-positional")


@pytest.mark.parametrize("id", costly_ids("sheet"))
def test_everything_of_the_machine_is_told(id: str) -> None:
    """Each character and function of the machine is special, usual or cannot be typed: one of the three, once."""
    plan = shipped_plan(id)
    content = sheet_content(plan)
    told = [way.text for way in (*content.characters, *content.functions)] + [*content.usual, *content.lacking]
    texts = {legend.text for key in plan.layout.machine.keys for legend in key.types.values()}
    assert sorted(told) == sorted(texts)
    assert set(content.lacking) == texts - set(ways_to_type(plan))


def test_presses_are_those_that_type_it() -> None:
    """The keys told for a character are those of its easiest press; a second way is on another key."""
    plan = shipped_plan("quillon8-fr-FR-symbolic")
    ways = ways_to_type(plan)
    content = {way.text: way.presses for way in sheet_content(plan).characters}
    assert content["#"] == (("AltGr", "3"),)
    assert content["%"] == (("Shift", "Ù"),)
    for text, presses in content.items():
        assert presses[0] == way_keys(plan, ways[text][0])
        assert len(set(presses)) == len(presses)


def test_keyboards_own_characters_that_the_machine_lacks_are_told() -> None:
    """What is printed on the keys but not on the machine is listed: ä and ß of the German keyboard, but not q."""
    content = sheet_content(shipped_plan("quillon8-de-DE-symbolic"))
    assert {"ä", "ß", "§", "€"} <= set(content.foreign)
    assert not {"q", "Q", "@", "£"} & set(content.foreign)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    "id",
    [
        *shipped_ids()[::21],
        *(pytest.param(id, marks=pytest.mark.campaign) for id in shipped_ids() if id not in shipped_ids()[::21]),
    ],
)
def test_browser_prints_one_page(browser: Browser, tmp_path: Path, id: str, paper: str) -> None:
    """Printed from the browser the sheet is one page of the paper asked for."""
    path = tmp_path / "sheet.html"
    path.write_text(sheet_html(shipped_plan(id), paper), encoding="utf-8")
    with browser.page() as page:
        page.open(path)
        pdf = tmp_path / "printed.pdf"
        pdf.write_bytes(page.pdf())
        assert page.faults() == []
    info = tools.run(tools.tool("pdfinfo"), pdf).stdout
    assert re.search(r"Pages:\s+1\n", info)
    assert ("A4" if paper == "A4" else "letter") in info


@pytest.mark.parametrize("id", [SHOWN[0], in_campaign(SHOWN[1])])
def test_pdf_is_one_page_with_everything(tmp_path: Path, id: str) -> None:
    """The PDF has one page; all characters and functions stand on it as text but for signs, which are drawn."""
    tools.module("weasyprint", "weasyprint")
    pdf = tmp_path / "sheet.pdf"
    done = call("sheet", id, "--out", pdf)
    assert done.returncode == 0, done.stderr
    assert re.search(r"Pages:\s+1\n", tools.run(tools.tool("pdfinfo"), pdf).stdout)
    text = tools.run(tools.tool("pdftotext"), pdf, "-").stdout
    content = sheet_content(shipped_plan(id))
    told = [way.text if way.text != " " else "space" for way in (*content.characters, *content.functions)]
    letters = [each for each in told if not any(map(is_sign, each))]
    assert len(letters) > 40
    assert [each for each in letters if each not in text] == []
    assert not any(map(is_sign, text))


@pytest.mark.parametrize("width", [420, 1100])
def test_sheet_fits_its_window(browser: Browser, tmp_path: Path, width: int) -> None:
    """On a narrow and a wide screen nothing is cut off at the side; a picture is kept for looking."""
    path = tmp_path / "sheet.html"
    path.write_text(sheet_html(shipped_plan("quillon8-fr-FR-symbolic"), "A4"), encoding="utf-8")
    with browser.page(width=width) as page:
        page.open(path)
        picture = tmp_path / f"sheet-{width}.png"
        page.screenshot(picture)
        assert picture.stat().st_size > 10_000
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_bad_paper_is_refused(tmp_path: Path) -> None:
    """An unknown paper is told with the known ones."""
    done = call("sheet", "quillon8-fr-FR-symbolic", "--sheet", "Leter", cwd=tmp_path)
    assert done.returncode == 2
    assert "did you mean Letter? (sheets: A4, Letter)" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_dead_key_is_told_with_the_space_after_it() -> None:
    """Where a character's way is a dead key, the sheet says that Space follows."""
    content = {way.text: way.presses for way in sheet_content(shipped_plan("quillon8-de-DE-symbolic")).characters}
    assert content["^"][0] == ("^", THEN, "Space")
    assert content["@"][0] == ("AltGr", "Q")


def test_letters_get_smaller_until_all_is_on_one_page(tmp_path: Path) -> None:
    """Sizes go down to the least that can be read; the first that takes one page is printed, else the last."""
    assert list(smaller_sizes(6.2)) == [6.2, 5.7, 5.2, SMALLEST_PT]
    assert list(smaller_sizes(SMALLEST_PT)) == [SMALLEST_PT]
    tools.module("weasyprint", "weasyprint")
    two, one = ("<p>a</p>" + gap for gap in ("<p style='break-before:page'>b</p>", "<p>b</p>"))
    for htmls, pages in (((two, one, two), 1), ((two, two), 2)):
        (tmp_path / "s.pdf").write_bytes(one_page_pdf(iter(htmls)))
        assert re.search(rf"Pages:\s+{pages}\n", tools.run(tools.tool("pdfinfo"), tmp_path / "s.pdf").stdout)


@pytest.mark.parametrize("tag", LANGUAGES)
def test_sheet_is_in_its_readers_language(tmp_path: Path, tag: str) -> None:
    """Every heading and word around the keys is in the language asked for, and the document says which it is."""
    text = sheet_html(shipped_plan("quillon8-fr-FR-symbolic"), "A4", language=tag)
    sheet, keys = texts_of("sheet", tag), texts_of("keys", tag)
    assert f'<html lang="{tag}"{" dir=" + chr(34) + "rtl" + chr(34) if sheet.right_to_left else ""}>' in text
    for key in ("keyboard", "characters", "functions", "hold", "as-printed", "foreign", "lead", "hatched"):
        assert markup(sheet.say(key)) in text, key
    assert f" {keys.say('or')} <span" in text
    assert markup(sheet.say("modifier", modifier="helm")) in text
    assert markup(keys.say("left", key="Ctrl")) in text


def test_sheet_speaks_the_language_of_its_keyboard(tmp_path: Path) -> None:
    """Without an option the sheet is in the language of the host, with one in that, and an unknown one is refused."""
    for options, title in (((), "Écrire sur Quillon 8"), (("--language", "uk"), "Набір на Quillon 8")):
        out = tmp_path / "s.html"
        assert call("sheet", "quillon8-fr-FR-symbolic", *options, "--out", out).returncode == 0
        assert f"<h1>{title}" in out.read_text(encoding="utf-8")
    done = call("sheet", "quillon8-fr-FR-symbolic", "--language", "xx", cwd=tmp_path)
    assert done.returncode == 2
    assert "there is no language 'xx'" in done.stderr
    assert "languages: de, en, es, fr, he, ja, uk" in done.stderr


@pytest.mark.parametrize("width", [420, 1100])
@pytest.mark.parametrize("tag", ["de", "he"])
def test_keycaps_do_not_break(browser: Browser, tmp_path: Path, width: int, tag: str) -> None:
    """The sheet is built round the drawn keyboard; no key cap and no press of several is broken into two lines or cut off."""
    path = tmp_path / "sheet.html"
    path.write_text(sheet_html(shipped_plan("quillon8-en-US-positional"), "A4", language=tag), encoding="utf-8")
    with browser.page(width=width) as page:
        page.open(path)
        drawn = page.evaluate("document.querySelectorAll('svg.keyboard .key').length")
        assert drawn > 100
        caps = page.evaluate(
            "[...document.querySelectorAll('kbd, .press')].map((one) => { const box = one.getBoundingClientRect();"
            "return [one.getClientRects().length, box.left, box.right, box.height / parseFloat(getComputedStyle(one).lineHeight)]; })"
        )
        assert len(caps) > 100
        assert all(count == 1 for count, *_ in caps)
        assert all(left >= 0 and right <= width for _, left, right, _ in caps)
        assert all(lines < 1.6 for *_, lines in caps)
        assert page.faults() == []


def test_no_letter_of_the_sheets_keyboard_is_too_small(browser: Browser, tmp_path: Path) -> None:
    """At the width of a page between its margins the smallest letter of the drawn keyboard has 5 points."""
    path = tmp_path / "sheet.html"
    path.write_text(sheet_html(shipped_plan("quillon8-de-DE-symbolic"), "A4"), encoding="utf-8")
    with browser.page(width=1100) as page:
        page.open(path)
        units = page.evaluate(
            "[...document.querySelectorAll('svg.keyboard text')].map((one) => parseFloat(getComputedStyle(one).fontSize))"
        )
        width = page.evaluate("document.querySelector('svg.keyboard').viewBox.baseVal.width")
        millimetres = min(units) * (210 - 24) / width
        assert millimetres / (25.4 / 72) >= SMALLEST_PT - 0.05
