"""Stickers: the right keys, true millimetres in SVG and PDF, and a ruler to check the printer by."""

from __future__ import annotations

import os
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from matrixmap.emit.pictures.stickers import CAPTION, EDGE, SHEETS, Cut, sticker_pages
from tests import tools
from tests.browser import Browser
from tests.project import call, matrixmap, shipped_plan

SVG = "{http://www.w3.org/2000/svg}"
POSITIONAL = "quillon8-en-US-positional"
SYMBOLIC = "quillon8-de-DE-symbolic"
POINT_MM = 25.4 / 72
TOLERANCE_MM = 0.1

# Of the printed sheets: ISO 216 and ANSI/ASME Y14.1, lying.
PAPER_MM = {"A4": (297.0, 210.0), "Letter": (279.4, 215.9)}


def stickers_of(svg: str) -> dict[str, tuple[float, float, float, float]]:
    """Key -> left, top, width and height of its cut line, in millimetres."""
    root = ElementTree.fromstring(svg)
    found = {}
    for item in root.iter(f"{SVG}g"):
        if item.get("role") == "listitem":
            path = next(child.get("d", "") for child in item if child.get("class") == "cut")
            left, top, width, height = map(float, re.fullmatch(r"M(\S+) (\S+)h(\S+)v(\S+)h-\S+Z", path).groups())  # type: ignore[union-attr]
            found[item.get("aria-label", "").removeprefix("For the key ")] = (left, top, width, height)
    return found


def texts_of(svg: str, key: str) -> list[str]:
    """The legends on a sticker; the last text is the name of its key, below it."""
    root = ElementTree.fromstring(svg)
    item = next(item for item in root.iter(f"{SVG}g") if item.get("aria-label") == f"For the key {key}")
    return [text.text or "" for text in item.iter(f"{SVG}text")][:-1]


def shapes_of(svg: str, key: str) -> int:
    """How many legends of a sticker are drawn as paths."""
    root = ElementTree.fromstring(svg)
    item = next(item for item in root.iter(f"{SVG}g") if item.get("aria-label") == f"For the key {key}")
    return sum("shape" in group.get("class", "") for group in item.iter(f"{SVG}g"))


def test_only_keys_that_differ_get_a_sticker() -> None:
    """On the symbolic German layout F1 types B1 and AltGr 2 nothing new: letters that type themselves get none."""
    (page,) = sticker_pages(shipped_plan(SYMBOLIC), Cut())
    keys = stickers_of(page)
    assert {f"F{number}" for number in range(1, 10)} <= set(keys)
    assert "Pause" in keys
    assert not {"Q", "J", "Enter", "Space", "left Shift", "F10"} & set(keys)
    assert texts_of(page, "F5") == ["B5"]
    assert texts_of(page, "left Alt") == ["blazon"]
    assert texts_of(page, "left Ctrl") == ["helm"]


def test_positional_stickers_have_the_machine_legends_by_shift_state() -> None:
    """Each sticker has the machine's legends: plain low, shift high, blazon beside them."""
    plan = shipped_plan(POSITIONAL)
    (page,) = sticker_pages(plan, Cut())
    machine = plan.layout.machine
    assert texts_of(page, "2") == ["2", '"']  # and ⚁ as a path
    assert shapes_of(page, "2") == 1
    assert {legend.text for legend in machine.key("d2").types.values()} == {"2", '"', "⚁"}
    assert texts_of(page, "M") == ["M"]
    assert shapes_of(page, "M") == 2
    assert shapes_of(page, "X") == 2
    root = ElementTree.fromstring(page)
    item = next(item for item in root.iter(f"{SVG}g") if item.get("aria-label") == "For the key 2")
    spots = {text.text: (float(text.get("x", 0)), float(text.get("y", 0))) for text in item.iter(f"{SVG}text")}
    assert spots["2"][1] > spots['"'][1]
    # Without Shift the outlined hand, low; with it the filled one, high; both beside the letter.
    item = next(item for item in root.iter(f"{SVG}g") if item.get("aria-label") == "For the key M")
    letter = next(text for text in item.iter(f"{SVG}text") if text.get("class") != "name")
    outlined, filled = (
        points(next(path.get("d", "") for path in item.iter(f"{SVG}path") if path.get("class") == kind))
        for kind in ("stroked", "filled")
    )
    assert min(x for x, _ in outlined) == min(x for x, _ in filled) > float(letter.get("x", 0))
    assert max(y for _, y in filled) < min(y for _, y in outlined)


def points(path: str) -> list[tuple[float, float]]:
    """The points of a path of absolute lines."""
    return [(float(x), float(y)) for x, y in re.findall(r"[ML]([0-9.]+) ([0-9.]+)", path)]


def test_every_key_gets_one_on_demand() -> None:
    """With all keys asked for, each that types something has a sticker, on as many sheets as that needs."""
    pages = sticker_pages(shipped_plan(SYMBOLIC), Cut(every=True))
    keys = [key for page in pages for key in stickers_of(page)]
    assert {"Q", "Space", "F1", "keypad 7"} <= set(keys)
    assert len(keys) == len(set(keys)) > 70


@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("size", [(8.0, 8.0), (11.0, 11.0), (15.0, 13.0), (30.0, 18.0)])
def test_stickers_share_their_cuts(sheet: str, size: tuple[float, float]) -> None:
    """Stickers have the size asked for and lie inside the printable sheet; their pitch is their width, and rows leave room for names."""
    pages = sticker_pages(shipped_plan(POSITIONAL), Cut(width=size[0], height=size[1], sheet=sheet, every=True))
    width, height = PAPER_MM[sheet]
    shared = 0
    for page in pages:
        boxes = list(stickers_of(page).values())
        assert all(box[2:] == size for box in boxes)
        assert all(box[0] >= EDGE and box[0] + box[2] <= width - EDGE + 0.01 for box in boxes)
        assert all(box[1] >= EDGE and box[1] + box[3] <= height - EDGE for box in boxes)
        tops = sorted({box[1] for box in boxes})
        assert {round(low - high, 2) for high, low in pairwise(tops)} <= {size[1] + CAPTION}
        for top in tops:
            lefts = [box[0] for box in boxes if box[1] == top]
            assert {round(other - one, 2) for one, other in pairwise(lefts)} <= {size[0]}
            shared += len(lefts) - 1
    assert shared > 30


LETTERS = """[...document.querySelectorAll('[role=listitem] text:not(.name)')].map(
  (text) => [parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().d * 25.4 / 96, text.textContent])"""


@pytest.mark.parametrize("id", [POSITIONAL, SYMBOLIC, "langet41-de-DE-symbolic"])
@pytest.mark.parametrize("size", [(11.0, 11.0), (13.0, 8.0)])
def test_no_legend_is_too_small(browser: Browser, tmp_path: Path, id: str, size: tuple[float, float]) -> None:
    """Measured in a browser, no legend has letters under 2.2 mm, whatever the size of the stickers."""
    for number, text in enumerate(sticker_pages(shipped_plan(id), Cut(width=size[0], height=size[1], every=True))):
        path = tmp_path / f"stickers-{number}.svg"
        path.write_text(text, encoding="utf-8")
        with browser.page(width=1300) as page:
            page.open(path)
            sizes = page.evaluate(LETTERS)
            assert sizes
            assert min(sizes)[0] >= 2.2 - 0.01, min(sizes)


@pytest.mark.parametrize("sheet", SHEETS)
def test_pdf_is_true_to_the_millimetre(tmp_path: Path, sheet: str) -> None:
    """The PDF has the paper's size, and every cut line and the ruler lie where they should, to 0.1 mm, by poppler."""
    tools.module("weasyprint", "weasyprint")
    pdf = tmp_path / "stickers.pdf"
    done = call("stickers", POSITIONAL, "--sheet", sheet, "--out", pdf)
    assert done.returncode == 0, done.stderr
    info = tools.run(tools.tool("pdfinfo"), pdf).stdout
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+) pts", info)
    assert size is not None
    for points, millimetres in zip(size.groups(), PAPER_MM[sheet], strict=True):
        assert float(points) * POINT_MM == pytest.approx(millimetres, abs=TOLERANCE_MM)
    drawn = drawn_boxes(pdf)
    (page,) = sticker_pages(shipped_plan(POSITIONAL), Cut(sheet=sheet))
    wanted = list(stickers_of(page).values())
    for left, top, width, height in wanted:
        box = (left, top, left + width, top + height)
        assert any(all(abs(a - b) <= TOLERANCE_MM for a, b in zip(box, other, strict=True)) for other in drawn), box
    ruler = [box for box in drawn if abs(box[2] - box[0] - 100) <= TOLERANCE_MM and box[3] - box[1] < 6]
    assert ruler, "the ruler is 100 mm long"


def drawn_boxes(pdf: Path) -> list[tuple[float, float, float, float]]:
    """The boxes of all paths of a one-page PDF in millimetres: left, top, right, bottom; poppler turns it into SVG."""
    svg = pdf.with_suffix(".poppler.svg")
    tools.run(tools.tool("pdftocairo"), "-noshrink", "-nocenter", "-svg", pdf, svg)
    boxes = []
    for element in ElementTree.parse(svg).iter(f"{SVG}path"):
        matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
        if found := re.fullmatch(r"matrix\(([^)]*)\)", element.get("transform", "")):
            matrix = tuple(map(float, re.split(r"[ ,]+", found[1].strip())))  # type: ignore[assignment]
        numbers = [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", element.get("d", ""))]
        points = list(zip(numbers[::2], numbers[1::2], strict=False))
        placed = [
            (matrix[0] * x + matrix[2] * y + matrix[4], matrix[1] * x + matrix[3] * y + matrix[5]) for x, y in points
        ]
        if placed:
            xs, ys = [x * POINT_MM for x, _ in placed], [y * POINT_MM for _, y in placed]
            boxes.append((min(xs), min(ys), max(xs), max(ys)))
    return boxes


def test_legends_are_text_in_the_pdf(tmp_path: Path) -> None:
    """£ and ° are in the PDF as text, with their fonts embedded; signs are drawn and need none."""
    tools.module("weasyprint", "weasyprint")
    pdf = tmp_path / "stickers.pdf"
    assert call("stickers", POSITIONAL, "--out", pdf).returncode == 0
    text = tools.run(tools.tool("pdftotext"), pdf, "-").stdout
    assert all(char in text for char in "£°")
    assert not any(char in text for char in "′≈⚑☛↺")
    fonts = tools.run(tools.tool("pdffonts"), pdf).stdout.splitlines()[2:]
    assert fonts
    assert all(line.split()[-5] == "yes" for line in fonts), fonts


BAD = (
    (["--size", "3"], "a sticker is 5 to 40 mm wide and high, not 3 by 3"),
    (["--size", "11 mm"], "cannot read the size '11 mm'; write millimetres, such as 11 or 13x11"),
    (
        ["--size", "6"],
        "legends of 2.2 mm do not fit a sticker of 6 by 6 mm with a margin of 1 mm; it must be at least 6.62 mm high",
    ),
    (["--margin", "5"], "a margin of 5 mm does not fit a sticker of 11 by 11 mm"),
    (["--sheet", "A5"], "there is no sheet 'A5' (sheets: A4, Letter)"),
    (["--out", "x.png"], "cannot tell which form to write into x.png: its name must end in .svg, .pdf"),
)


@pytest.mark.parametrize(("options", "said"), BAD)
def test_impossible_calls(tmp_path: Path, options: list[str], said: str) -> None:
    """A bad option is told in one sentence, exit code 2, and nothing is written."""
    done = call("stickers", POSITIONAL, *options, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (2, f"matrixmap: {said}\n")
    assert list(tmp_path.iterdir()) == []


def test_missing_libraries_are_named(tmp_path: Path) -> None:
    """Without the extra libraries a PDF or PNG is refused with what to install; SVG works all the same."""
    (tmp_path / "hidden").mkdir()
    for module in ("weasyprint", "pypdfium2"):
        (tmp_path / "hidden" / f"{module}.py").write_text("raise ImportError('not here')\n", encoding="utf-8")
    path = os.pathsep.join([str(tmp_path / "hidden"), os.environ.get("PYTHONPATH", ""), str(Path(__file__).parents[2])])
    for command, name in (("stickers", "s.pdf"), ("draw", "d.png"), ("sheet", "s.pdf")):
        done = matrixmap(command, POSITIONAL, "--out", tmp_path / name, env={"PYTHONPATH": path})
        assert done.returncode == 2
        assert "pip install 'matrixmap[pictures]'" in done.stderr
        assert done.stderr.count("\n") == 1
        assert not (tmp_path / name).exists()
    assert matrixmap("draw", POSITIONAL, "--out", tmp_path / "d.svg", env={"PYTHONPATH": path}).returncode == 0
