"""Whether everybody can read and use page, drawings and sheet: WCAG 2.2 AA as far as axe-core checks it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from matrixmap.emit.pictures.drawing import draw
from matrixmap.emit.pictures.sheet import sheet_html
from matrixmap.emit.pictures.stickers import Cut, sticker_pages
from tests import tools
from tests.browser import Browser, Page
from tests.page.driving import Driver
from tests.project import shipped_plan

AXE_VERSION = "4.14.1"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LAYOUT = "quillon8-de-DE-symbolic"


def violations(page: Page) -> list[str]:
    """What axe-core finds, a line a rule and element; the page's own policy does not bind the debugger."""
    page.evaluate(tools.node_file("axe-core", AXE_VERSION, "axe.min.js").read_text(encoding="utf-8") + ";0")
    found = page.evaluate(
        f"axe.run(document, {{runOnly: {TAGS}}}).then((result) => [result.passes.length, result.violations.map((v) =>"
        "v.id + ': ' + v.help + ' | ' + v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160) + ' ' + n.failureSummary).join(' | '))])"
    )
    assert found[0] > 10, "axe-core looked at something"
    return list(found[1])


def write_sheet(path: Path) -> Path:
    """The sheet as a file."""
    file = path / "sheet.html"
    file.write_text(sheet_html(shipped_plan(LAYOUT), "A4"), encoding="utf-8")
    return file


def write_drawing(path: Path) -> Path:
    """The drawing in a page of its own, as it would stand in a report."""
    file = path / "drawing.html"
    body = draw(shipped_plan(LAYOUT))
    head = "<!doctype html><html lang=en><meta charset=utf-8><title>Drawing</title><main><h1>Drawing</h1>"
    file.write_text(f"{head}{body}</main></html>", encoding="utf-8")
    return file


def write_stickers(path: Path) -> Path:
    """The stickers in a page of their own."""
    file = path / "stickers.html"
    body = sticker_pages(shipped_plan(LAYOUT), Cut())[0]
    head = "<!doctype html><html lang=en><meta charset=utf-8><title>Stickers</title><main><h1>Stickers</h1>"
    file.write_text(f"{head}{body}</main></html>", encoding="utf-8")
    return file


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [420, 1280])
def test_page_is_accessible(browser: Browser, page_file: Path, dark: bool, width: int) -> None:
    """Contrast, names, roles and focus order of the page are without fault, with keys down as well."""
    with browser.page(dark=dark, width=width) as page:
        Driver(page, page_file).choose(LAYOUT)
        page.wait("document.querySelectorAll('#matrix-grid .point').length > 60")
        page.key("down", "KeyQ")
        page.key("down", "ShiftLeft")
        assert violations(page) == []


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("write", [write_sheet, write_drawing, write_stickers])
def test_documents_are_accessible(browser: Browser, tmp_path: Path, write: Callable[[Path], Path], dark: bool) -> None:
    """Drawing, stickers and sheet are without fault in light and dark."""
    with browser.page(dark=dark) as page:
        page.open(write(tmp_path))
        assert violations(page) == []
        assert page.faults() == []


def luminance(colour: str) -> float:
    """Relative luminance of a colour such as #17283a (WCAG 2.2, definition of relative luminance)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast of two colours, 1 to 21."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


INK = {
    "light": ({"#17283a", "#4b5a66", "#0d2a4a", "#7a2e12", "#17414d"}, {"#f6f1e4", "#fffdf7", "#e3edf0", "#ece6d6"}),
    "dark": ({"#ede6d3", "#c3c8c4", "#fdf6e0", "#ffc59a", "#a9dbe6"}, {"#0e1c26", "#16303f", "#27414a", "#122431"}),
}


@pytest.mark.parametrize("mode", INK)
def test_ink_of_drawings_has_contrast(mode: str) -> None:
    """Axe-core does not look into SVG: each ink has 4.5 to 1 on each ground (WCAG 2.2, 1.4.3), lines that tell 3 to 1."""
    from importlib.resources import files

    from matrixmap.emit.pictures.drawing import STYLE

    inks, grounds = INK[mode]
    style = STYLE + (files("matrixmap") / "emit" / "page" / "web" / "page.css").read_text(encoding="utf-8")
    assert all(colour in style for colour in inks | grounds)
    for ink in inks:
        for ground in grounds:
            assert contrast(ink, ground) >= 4.5, (ink, ground)
    mark = {"light": "#a3340c", "dark": "#ffa873"}[mode]
    assert all(contrast(mark, ground) >= 3 for ground in grounds)
