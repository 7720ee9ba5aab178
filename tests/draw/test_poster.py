"""Posters: one keyboard at true size on A4 and A3, no letter under 7 points, in a PDF that is tagged and titled."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from matrixmap.emit.pictures.drawing import MARGIN, draw
from matrixmap.emit.pictures.faces import state_columns
from matrixmap.emit.pictures.poster import EDGE, LEAST_PT, POSTERS, CrowdedError, poster
from tests import tools
from tests.browser import Browser
from tests.project import call, shipped_plan

SVG = "{http://www.w3.org/2000/svg}"
LAYOUT = "quillon8-de-DE-symbolic"
CROWDED = "langet41-de-DE-symbolic"
POINT_MM = 25.4 / 72

# ISO 216, lying.
PAPER_MM = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}

SIZES = """(() => {
  const mm = innerWidth / document.documentElement.viewBox.baseVal.width;
  return [...document.querySelectorAll('text')].map((text) => {
    const matrix = text.getScreenCTM();
    return [parseFloat(getComputedStyle(text).fontSize) * matrix.d * 25.4 / 96, text.textContent];
  });
})()"""


@pytest.mark.parametrize("paper", POSTERS)
@pytest.mark.parametrize("keyboard", ["host", "machine"])
def test_letters_are_readable(browser: Browser, tmp_path: Path, paper: str, keyboard: str) -> None:
    """Measured in a browser: the smallest letter has 7 points, and what is cut ends with an ellipsis on few keys only."""
    path = tmp_path / "poster.svg"
    text = poster(shipped_plan(LAYOUT), keyboard, paper)
    assert text is not None
    path.write_text(text, encoding="utf-8")
    with browser.page(width=1600) as page:
        page.open(path)
        sizes = page.evaluate(SIZES)
        assert len(sizes) > 60
        least = min(sizes)
        assert least[0] >= LEAST_PT * POINT_MM - 0.01, least
        assert sum(text.endswith("…") for _, text in sizes) <= 2
        assert page.faults() == []


@pytest.mark.parametrize("paper", POSTERS)
def test_pdf_is_tagged_titled_and_true(tmp_path: Path, paper: str) -> None:
    """The PDF has the paper's size and the layout's title, is tagged, and one key pitch is as wide as the SVG says."""
    tools.module("weasyprint", "weasyprint")
    pdf = tmp_path / "poster.pdf"
    done = call("draw", LAYOUT, "--poster", paper, "--out", pdf)
    assert done.returncode == 0, done.stderr
    info = tools.run(tools.tool("pdfinfo"), pdf).stdout
    assert re.search(r"Title:\s+Quillon 8, German \(Germany\), symbolic\n", info)
    assert re.search(r"Tagged:\s+yes\n", info)
    assert re.search(r"Pages:\s+1\n", info)
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+) pts", info)
    assert size is not None
    for points, millimetres in zip(size.groups(), PAPER_MM[paper], strict=True):
        assert float(points) * POINT_MM == pytest.approx(millimetres, abs=0.1)
    svg = poster(shipped_plan(LAYOUT), "host", paper)
    assert svg is not None
    root = ElementTree.fromstring(svg)
    assert (root.get("width"), root.get("height")) == tuple(f"{value:g}mm" for value in PAPER_MM[paper])


@pytest.mark.parametrize("paper", POSTERS)
def test_nothing_leaves_the_sheet_and_no_third_is_empty(browser: Browser, tmp_path: Path, paper: str) -> None:
    """All lies inside the edge, and each third of the sheet, across and down, has texts in it."""
    path = tmp_path / "poster.svg"
    text = poster(shipped_plan(LAYOUT), "host", paper)
    assert text is not None
    path.write_text(text, encoding="utf-8")
    with browser.page(width=1700, height=1300) as page:
        page.open(path)
        thirds, boxes = thirds_with_text(page.evaluate(BOXES))
        assert thirds == {(axis, third) for axis in "xy" for third in range(3)}
        edge = EDGE / PAPER_MM[paper][0] - 0.002
        assert min(box[0] for box in boxes) >= edge
        assert max(box[2] for box in boxes) <= 1 - edge


BOXES = """(() => {
  const sheet = document.documentElement.getBoundingClientRect();
  return [...document.querySelectorAll('text, .cap, .dot')].map((one) => {
    const box = one.getBoundingClientRect();
    return [box.left / sheet.width, box.top / sheet.height, box.right / sheet.width, box.bottom / sheet.height];
  });
})()"""


def thirds_with_text(boxes: list[list[float]]) -> tuple[set[tuple[str, int]], list[list[float]]]:
    """The thirds across and down in which at least a tenth of the boxes lie, and the boxes."""
    counts = {(axis, third): 0 for axis in "xy" for third in range(3)}
    for left, top, right, bottom in boxes:
        counts["x", min(2, int((left + right) / 2 * 3))] += 1
        counts["y", min(2, int((top + bottom) / 2 * 3))] += 1
    return {place for place, count in counts.items() if count >= len(boxes) / 10}, boxes


@pytest.mark.parametrize("id", [LAYOUT, "langet41-en-US-symbolic"])
def test_no_third_of_a_drawing_is_empty(browser: Browser, tmp_path: Path, id: str) -> None:
    """Each third of a drawing has texts in it, and the machine's keyboard takes more than two thirds of the width."""
    path = tmp_path / "drawing.svg"
    path.write_text(draw(shipped_plan(id)), encoding="utf-8")
    with browser.page(width=1600, height=2200) as page:
        page.open(path)
        thirds, _ = thirds_with_text(page.evaluate(BOXES))
        assert thirds == {(axis, third) for axis in "xy" for third in range(3)}
        keys = "[...document.querySelectorAll('.machine .cap')].map((key) => key.getBoundingClientRect().right)"
        width = page.evaluate("document.documentElement.getBoundingClientRect().width")
        assert max(page.evaluate(keys)) > 2 / 3 * width + MARGIN


def test_a_crowded_keyboard_asks_for_larger_paper(tmp_path: Path) -> None:
    """Five columns of legends fit A3, not A4: that is said, and nothing is written."""
    with pytest.raises(CrowdedError):
        poster(shipped_plan(CROWDED), "host", "A4")
    assert poster(shipped_plan(CROWDED), "host", "A3")
    done = call("draw", CROWDED, "--poster", "A4", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (
        2,
        "matrixmap: the host's keys have 5 columns of legends, too many for letters of 7 pt on A4; take A3\n",
    )
    assert list(tmp_path.iterdir()) == []


def test_a_crowded_machine_is_counted_by_its_own_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    """What does not fit on the machine's keys is told of the machine, with the columns that its keys have."""
    plan = shipped_plan(LAYOUT)
    monkeypatch.setattr("matrixmap.emit.pictures.poster.NARROWEST_ROOM", 5.0)
    with pytest.raises(
        CrowdedError, match=rf"^the machine's keys have {len(state_columns(plan.layout.machine))} columns"
    ):
        poster(plan, "machine", "A4")


BAD = (
    (["--poster", "A5"], "there is no poster 'A5' (posters: A4, A3)"),
    (["--poster", "A4", "--parts", "matrix"], "a poster shows one keyboard: --parts host or --parts machine"),
)


@pytest.mark.parametrize(("options", "said"), BAD)
def test_impossible_posters(tmp_path: Path, options: list[str], said: str) -> None:
    """A poster that is none is told in one sentence, exit code 2."""
    done = call("draw", LAYOUT, *options, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (2, f"matrixmap: {said}\n")
    assert list(tmp_path.iterdir()) == []
