"""The drawing of both connectors, and the checklist."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from matrixmap.board.cautions import CAUTIONS
from matrixmap.emit.boards.checklist import checklist
from matrixmap.emit.boards.connectors import connectors_svg
from tests.board.boards import SHIPPED, checked
from tests.project import call

SVG = "{http://www.w3.org/2000/svg}"


def drawn(id: str, fit: str) -> tuple[ElementTree.Element, str]:
    """The drawing of an adapter as elements, and all its text."""
    board = checked(id, {}, fit)
    assert board.traced is not None
    root = ElementTree.fromstring(connectors_svg(board.traced.board))
    return root, " ".join(" ".join(each.itertext()) for each in root.iter(f"{SVG}text"))


@pytest.mark.parametrize("fit", ["quillon8", "quillon8/late"])
@pytest.mark.parametrize("id", SHIPPED)
def test_both_connectors_have_each_pin(id: str, fit: str) -> None:
    """Each connector has 22 pins, one of them square, one crossed; the cautions stand below."""
    root, text = drawn(id, fit)
    groups = root.findall(f"{SVG}g")
    assert len(groups) == 2
    for group in groups:
        assert len(group.findall(f"{SVG}circle")) == 21
        assert len([rect for rect in group.findall(f"{SVG}rect") if "first" in str(rect.get("class"))]) == 1
        assert len(group.findall(f"{SVG}path")) == 1
    flat = " ".join(text.split())
    for caution in CAUTIONS:
        assert caution in flat


@pytest.mark.parametrize("fit", ["quillon8", "quillon8/late"])
def test_the_solder_side_is_mirrored(fit: str) -> None:
    """Pin 1 is at the left of the machine's connector and at the right of the header seen from the side that one solders."""
    root, _ = drawn("ferrule", fit)
    firsts = [
        float(rect.get("x", "nan"))
        for group in root.findall(f"{SVG}g")
        for rect in group.findall(f"{SVG}rect")
        if "first" in str(rect.get("class"))
    ]
    assert firsts[0] < 100
    assert firsts[1] > 500


def test_nothing_leaves_the_picture() -> None:
    """No text or pad lies outside of the drawing."""
    root, _ = drawn("locket", "quillon8/late")
    width, height = float(root.get("width", "0")), float(root.get("height", "0"))
    for each in root.iter(f"{SVG}text"):
        assert 0 <= float(each.get("x", "-1")) <= width
        assert 0 <= float(each.get("y", "-1")) <= height
        if each.get("textLength"):
            assert float(each.get("textLength", "0")) <= width


def test_the_drawing_is_of_one_machine() -> None:
    """Without --machine the command names the machines to choose from; with it, it prints the drawing."""
    done = call("adapter", "ferrule", "--format", "svg")
    assert done.returncode == 2
    assert "svg shows one machine; say which with --machine (fits: quillon8, quillon8/late)" in done.stderr
    done = call("adapter", "ferrule", "--format", "svg", "--machine", "quillon8")
    assert done.returncode == 0
    assert done.stdout.startswith("<svg ")


@pytest.mark.parametrize("id", SHIPPED)
def test_the_checklist_has_each_part_once(id: str) -> None:
    """Each part has one box, in the order of the steps, with the blanked hole and the cautions."""
    adapter = checked(id).adapter
    text = checklist(adapter)
    for ref in adapter.parts:
        assert text.count(f"- [ ] **{ref}**: ") == 1
    assert "fill the hole of pin 11" in text
    assert text.index("## Flat parts first") < text.index("## Then chips") < text.index("## Then connectors")
    for caution in CAUTIONS:
        assert caution in text
    assert call("adapter", id, "--format", "checklist").stdout == text
