"""Blocks, lines, the open box and symbols are paths: no font is needed, and neighbours never merge."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from matrixmap.emit.pictures.drawing import draw
from matrixmap.emit.pictures.faces import Faces, form_of
from matrixmap.emit.pictures.keys import drawn_once
from matrixmap.emit.pictures.shapes import Shape, drawn_shape, shape_of
from matrixmap.emit.pictures.stickers import Cut, sticker_pages
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from tests.project import shipped_plan

SVG = "{http://www.w3.org/2000/svg}"
BLOCKS = [chr(code) for code in range(0x2580, 0x25A0)]
LINES = [chr(code) for code in range(0x2500, 0x2580)]
SYMBOLS = ["ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "Enter", "Tab", "Backspace"]


@pytest.mark.parametrize("text", [*BLOCKS, *LINES, " "])
def test_every_block_and_line_is_a_framed_path(text: str) -> None:
    """All of both charts of Unicode (U+2500 to U+259F) and Space have a shape inside a framed cell."""
    shape = shape_of(text)
    assert shape is not None
    assert shape.framed
    points = [point for line in (*shape.filled, *shape.lines) for point in line]
    assert points
    assert all(-1e-9 <= x <= 1 + 1e-9 and -1e-9 <= y <= 1 + 1e-9 for x, y in points)


def test_no_two_look_the_same() -> None:
    """Each character has a shape of its own."""
    shapes = [shape_of(text) for text in (*BLOCKS, *LINES, " ", *SYMBOLS)]
    assert len(set(shapes)) == len(shapes)


def area(shape: Shape) -> float:
    """The part of the cell that is filled, by the shoelace formula; outlines of one shape do not overlap."""
    return sum(
        abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(line, (*line[1:], line[0]), strict=True))) / 2
        for line in shape.filled
    )


@pytest.mark.parametrize("text", BLOCKS)
def test_blocks_fill_what_their_name_says(text: str) -> None:
    """The filled part is that of the character's name in Unicode: one quarter, half, three eighths, a quadrant each."""
    name, shape = unicodedata.name(text), shape_of(text)
    assert shape is not None
    parts = {"ONE EIGHTH": 1 / 8, "ONE QUARTER": 1 / 4, "THREE EIGHTHS": 3 / 8, "HALF": 1 / 2, "FIVE EIGHTHS": 5 / 8, "THREE QUARTERS": 3 / 4, "SEVEN EIGHTHS": 7 / 8, "FULL": 1.0, "LIGHT SHADE": 1 / 4, "MEDIUM SHADE": 1 / 2, "DARK SHADE": 3 / 4}  # fmt: skip
    expected = next((share for words, share in parts.items() if words in name), None)
    if expected is None:
        expected = (len(re.findall("UPPER|LOWER", name))) / 4
    assert area(shape) == pytest.approx(expected), name
    for side, inside in (("UPPER HALF", lambda x, y: y <= 0.5), ("RIGHT HALF", lambda x, y: x >= 0.5)):
        if name.startswith(side):
            assert all(inside(x, y) for line in shape.filled for x, y in line)


@pytest.mark.parametrize("text", [line for line in LINES if not re.search("DASH|DIAGONAL", unicodedata.name(line))])
def test_lines_reach_the_edges_that_their_name_says(text: str) -> None:
    """A line character with UP in its name reaches the upper edge, one with LEFT the left one, and no other.

    Dashes end before the edge, and diagonals in the corners.
    """
    name, shape = unicodedata.name(text), shape_of(text)
    assert shape is not None
    points = {point for line in shape.lines for point in line}
    reached = {
        side
        for side, there in (
            ("UP", any(abs(y) < 1e-6 for _, y in points)),
            ("DOWN", any(abs(y - 1) < 1e-6 for _, y in points)),
            ("LEFT", any(abs(x) < 1e-6 for x, _ in points)),
            ("RIGHT", any(abs(x - 1) < 1e-6 for x, _ in points)),
        )
        if there
    }
    words = set(re.findall("UP|DOWN|LEFT|RIGHT|HORIZONTAL|VERTICAL", name))
    expected = words & {"UP", "DOWN", "LEFT", "RIGHT"}
    expected |= {"LEFT", "RIGHT"} if "HORIZONTAL" in words else set()
    expected |= {"UP", "DOWN"} if "VERTICAL" in words else set()
    assert reached == expected, name


def plan_with_blocks() -> Plan:
    """The demo with blocks and lines in place of some legends of the machine."""
    layout = shipped_plan("quillon8-en-US-positional").layout
    swap = dict(zip("⚀⚁⚂⚃⚄⚅▲△", "█▀▌░─│┌╬", strict=True))
    keys = tuple(
        replace(
            key,
            types={state: replace(old, text=swap.get(old.text, old.text)) for state, old in key.types.items()},
        )
        for key in layout.machine.keys
    )
    return compile_plan(replace(layout, machine=replace(layout.machine, keys=keys)))


def test_no_text_holds_a_character_that_is_drawn() -> None:
    """On drawings and stickers no text element holds one, and each that is typed is a path in a frame with its name beside."""
    plan = plan_with_blocks()
    for document in (draw(plan, ("host", "machine")), *sticker_pages(plan, Cut())):
        root = ElementTree.fromstring(document)
        texts = [
            element.text or "" for element in root.iter(f"{SVG}text") if element.get("class") not in ("reach", "print")
        ]
        assert not [text for text in texts if set(text) & {*BLOCKS, *LINES, "␣"}]
        assert not [text for text in texts if text in SYMBOLS]
        frames = [path for path in root.iter(f"{SVG}path") if path.get("class") == "cell"]
        assert len(frames) >= 8
    spoken = [element.get("aria-label", "") for element in ElementTree.fromstring(draw(plan, ("host",))).iter()]
    assert any("with left Alt full block" in label for label in spoken)
    assert any(label == "Backspace types Backspace" for label in spoken)
    assert any(label == "ArrowUp types ArrowUp" for label in spoken)


def test_frames_of_neighbours_stay_apart() -> None:
    """Two blocks in neighbouring columns of a key do not touch: a cell is no wider than its room."""
    for room in (9.0, 16.0, 25.0):
        boxes = []
        for middle in (room / 2, room * 1.5):
            shape = shape_of("█")
            assert shape is not None
            drawn = ElementTree.fromstring(drawn_shape(shape, middle, 20, 19, room - 1, "middle", "types"))
            path = next(path.get("d", "") for path in drawn.iter("path") if path.get("class") == "cell")
            xs = [float(x) for x in re.findall(r"[ML]([0-9.-]+) ", path)]
            boxes.append((min(xs), max(xs)))
        assert boxes[0][1] < boxes[1][0]


def test_equal_columns_stand_once() -> None:
    """Of columns that type the same on a key the first is drawn; what Shift does not change stands once."""
    plan = shipped_plan("langet41-de-DE-symbolic")
    board = form_of(plan.layout.host)
    assert board is not None
    faces = {face.name: face for face in Faces(plan).host(board)}
    one = faces["Digit1"]
    assert one.texts == ("1", "!", "¹", None, "₁", None, "¹", None, "1", None)
    assert {one.texts[place] for place in drawn_once(one)} - {None} == {"1", "!", "¹", "₁"}
    assert sum(one.texts[place] is not None for place in drawn_once(one)) == 4
    assert sorted(drawn_once(faces["KeyQ"]))[0] == 0
    assert 1 not in drawn_once(faces["KeyQ"])  # Q with Shift and without
    for shipped in ("quillon8-he-IL-symbolic", "langet41-fr-FR-symbolic"):
        plan = shipped_plan(shipped)
        board = form_of(plan.layout.host)
        assert board is not None
        for face in Faces(plan).host(board):
            drawn = drawn_once(face)
            pairs = [
                tuple(face.texts[place] if place in drawn else None for place in (lower, lower + 1))
                for lower in range(0, len(face.texts), 2)
            ]
            told = [pair for pair in pairs if any(pair)]
            assert len(told) == len(set(told)), (shipped, face.name, pairs)
            assert {face.texts[place] for place in drawn} | {None} == {*face.texts, None}


def test_reach_lists_have_separators_and_levels() -> None:
    """What reaches a key of the machine is told with dots between and with the sign of the level before it."""
    faces = Faces(shipped_plan("quillon8-de-DE-symbolic"))
    board = form_of(faces.plan.layout.host)
    reached = faces.machine(board)
    assert reached["d7"].reached.short == ("7", "⇧#", "num 7")
    assert reached["at"].reached.short[:2] == ("⇧^", "AltGr Q")
    assert reached["up"].reached.short == ("↑", "num 8")
    root = ElementTree.fromstring(draw(faces.plan, ("machine",)))
    assert "1 · num 1" in [element.text for element in root.iter(f"{SVG}text")]
    lines = [list(group) for group in root.iter(f"{SVG}g") if group.get("class") == "reach"]
    # The sign of the level is a path between the letters of its line.
    assert ["7 ·", "shape reach", "#"] in [
        [part.text if part.tag == f"{SVG}text" else part.get("class") for part in line] for line in lines
    ]


def test_hebrew_reach_lists_keep_their_order() -> None:
    """Between entries from right to left stand marks of the other direction, so that the list reads from left to right."""
    texts = [
        element.text or ""
        for element in ElementTree.fromstring(draw(shipped_plan("quillon8-he-IL-symbolic"), ("machine",))).iter(f"{SVG}text")
        if element.get("class") == "reach"
    ]  # fmt: skip
    hebrew = [text for text in texts if "·" in text and any("\u05d0" <= char <= "\u05ea" for char in text)]
    assert len(hebrew) > 3
    # Between two shapes a dot stands at an end of its run, where what comes next is placed by itself.
    inner = [text.replace("\u200e · \u200e", "") for text in hebrew]
    assert all(" · " not in text for text in inner)


def test_a_legend_that_no_chart_has_is_a_text() -> None:
    """Letters stay text."""
    assert shape_of("A") is None
    assert shape_of("Hail") is None
