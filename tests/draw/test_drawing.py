"""Drawings: what stands on the keys is what the plan does, and no text leaves its key."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest

from matrixmap.emit.pictures.drawing import BORDER, draw, draw_machine, left_out
from matrixmap.emit.pictures.faces import Faces, form_of
from matrixmap.emit.pictures.keys import PITCH
from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Plan, Trigger
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.press.levels import levels_of
from tests.browser import Browser
from tests.emit.test_tables import bare_plan
from tests.page.test_bad_input import nasty_files, nasty_plan_of
from tests.project import call, matrixmap, shipped_ids, shipped_plan

SVG = "{http://www.w3.org/2000/svg}"
SHOWN = ("quillon8-de-DE-symbolic", "quillon8-en-US-positional", "quillon8-ja-JP-symbolic", "quillon8-pt-BR-symbolic")

# For each key: texts whose box leaves the outline of the key. The outline is a polygon; the texts of a key must lie in
# its box, and beside the waist of an Enter key of two rows that is the upper part.
LEAVING = """[...document.querySelectorAll('.key')].flatMap((key) => {
  const cap = key.querySelector('.cap').getBoundingClientRect();
  const bottom = key.querySelector('.cap').getAttribute('d').split('L').length > 5 ? cap.top + cap.height / 2 : cap.bottom;
  return [...key.querySelectorAll('text')].filter((text) => {
    const box = text.getBoundingClientRect();
    const free = 0.12 * box.height;  // a line's box has room above and below its letters
    return box.left < cap.left - 0.1 || box.right > cap.right + 0.1 || box.top + free < cap.top || box.bottom - free > bottom;
  }).map((text) => key.getAttribute('aria-label') + ' | ' + text.textContent);
})"""


def drawable(ids: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the layouts that are shipped."""
    return tuple(id for id in ids if id in shipped_ids())


@pytest.mark.parametrize("id", drawable(SHOWN))
@pytest.mark.parametrize("font", ["", "'DejaVu Serif'", "'DejaVu Sans Mono'"])
def test_text_never_leaves_its_key(browser: Browser, tmp_path: Path, id: str, font: str) -> None:
    """In a real browser every text of a drawing lies inside its key, in other and wider fonts too."""
    text = draw(shipped_plan(id), ("host", "machine"))
    if font:
        text = re.sub(r'font-family="[^"]*"', f'font-family="{font}"', text, count=1)
    path = tmp_path / "drawing.svg"
    path.write_text(text, encoding="utf-8")
    with browser.page(width=1600) as page:
        page.open(path)
        assert page.evaluate("document.querySelectorAll('.key text').length") > 200
        assert page.evaluate(LEAVING) == []
        assert page.faults() == []


def test_measure_notices_a_text_outside(browser: Browser, tmp_path: Path) -> None:
    """A text that is moved or stretched out of its key is found."""
    path = tmp_path / "drawing.svg"
    path.write_text(draw(shipped_plan("quillon8-en-GB-symbolic"), ("host",)), encoding="utf-8")
    stretch = "document.querySelector('.key text.types').setAttribute('textLength', 90)"
    move = "document.querySelectorAll('.key text.print')[30].setAttribute('x', 5)"
    with browser.page(width=1600) as page:
        page.open(path)
        page.evaluate(f"{stretch}; {move}; 0")
        assert len(page.evaluate(LEAVING)) == 2


def test_long_and_odd_legends_keep_inside_their_key(browser: Browser, tmp_path: Path) -> None:
    """Names of 40 characters, right-to-left words, very wide characters and marks stay inside."""
    path = tmp_path / "drawing.svg"
    path.write_text(draw(nasty_plan_of(nasty_files(), tmp_path), ("host", "machine")), encoding="utf-8")
    with browser.page(width=1600) as page:
        page.open(path)
        assert page.evaluate(LEAVING) == []


def keys_of(svg: str, label: str) -> dict[str, str]:
    """What a screen reader hears of each key in a list: the key's own name, in order, and the whole sentence."""
    root = ElementTree.fromstring(svg)
    lists = [element for element in root.iter(f"{SVG}g") if element.get("aria-label", "").startswith(label)]
    assert len(lists) == 1
    found = [item.get("aria-label", "") for item in lists[0] if item.get("role") == "listitem"]
    return {sentence: sentence for sentence in found}


def expected_texts(plan: Plan, usage: Usage) -> set[str]:
    """What a key types at its levels."""
    levels = levels_of(plan)
    triggers = (Trigger(usage=usage, level=level) for level in range(1, plan.layout.host.levels + 1))
    return {text for trigger in triggers if (text := levels.text(trigger)) is not None}


@pytest.mark.parametrize("id", drawable(SHOWN))
def test_every_host_key_says_what_it_types(id: str) -> None:
    """Each key of the form is in the drawing once, and its texts are what it types at each level."""
    plan = shipped_plan(id)
    board = form_of(plan.layout.host)
    assert board is not None
    faces = Faces(plan).host(board)
    assert len(keys_of(draw(plan, ("host",)), "The keys of the host")) >= len(board.caps) - 12
    for face in faces:
        if face.cap.block.value == "keypad" or face.kind.value in ("lock", "modifier", "latch", "command"):
            continue
        drawn = {text for text in face.texts if text is not None}
        assert expected_texts(plan, face.usage) <= drawn, face.name


def test_faces_hold_everything_that_can_be_typed() -> None:
    """Every character and function that a layout types without the keypad stands on some key."""
    for id in drawable(SHOWN):
        plan = shipped_plan(id)
        board = form_of(plan.layout.host)
        assert board is not None
        on_keys = {text for face in Faces(plan).host(board) for text in face.texts}
        assert set(ways_to_type(plan)) <= on_keys


def test_a_machine_takes_the_room_of_its_widest_row() -> None:
    """Widths are those of the machine's file, in key pitches: the widest row, and one pitch a row."""
    plan = shipped_plan("quillon8-en-US-symbolic")
    part = draw_machine(Faces(plan))
    assert part is not None
    rows = plan.layout.machine.rows
    right = max(row.left + sum(width for _, width in row.keys) for row in rows)
    bottom = max(row.row for row in rows) + 1
    assert (part.width, part.height) == (right * PITCH, bottom * PITCH)


@pytest.mark.parametrize("parts", [("host",), ("machine",), ("matrix",), ("host", "machine", "matrix")])
def test_ticks_stay_inside_the_frame(parts: tuple[str, ...]) -> None:
    """No tick lies in a corner between the two lines of the frame or beyond, however large the paper is."""
    root = ElementTree.fromstring(draw(shipped_plan("quillon8-en-US-symbolic"), parts))
    ticks = next(path.get("d", "") for path in root.iter(f"{SVG}path") if path.get("class") == "tick")
    for side, pattern in (("width", r"M([0-9.]+) 8V"), ("height", r"M8 ([0-9.]+)H")):
        places = [float(place) for place in re.findall(pattern, ticks)]
        assert BORDER < places[0] < places[-1] <= float(root.get(side, "")) - BORDER


def test_keyboards_alone() -> None:
    """The picture for comparisons has both keyboards, not the matrix, under the title of the layout."""
    plan = shipped_plan("quillon8-en-GB-symbolic")
    text = draw(plan, ("host", "machine"))
    assert ElementTree.fromstring(text).findtext(f"{SVG}title") == plan.layout.title
    assert "The keys of the host" in text
    assert "The keys of the machine" in text
    assert 'role="table"' not in text


def test_drawing_has_title_description_and_roles() -> None:
    """A screen reader is told title, description, lists of keys and the table of crosspoints; every id stands once."""
    root = ElementTree.fromstring(draw(shipped_plan("quillon8-fr-FR-symbolic")))
    ids = {element.get("id"): element for element in root.iter() if element.get("id")}
    assert root.get("aria-labelledby") in ids
    assert root.get("aria-describedby") in ids
    roles = [element.get("role") for element in root.iter() if element.get("role")]
    assert roles.count("list") == 2
    assert roles.count("table") == 1
    assert roles.count("rowheader") == 9
    assert roles.count("columnheader") == 8
    assert len([text for text in root.iter() if text.get("id")]) == len(ids)


def test_same_plan_same_picture(tmp_path: Path) -> None:
    """A drawing is the same in every process, whatever the hashes of its strings are."""
    pictures = set()
    for seed in ("1", "2"):
        out = tmp_path / f"{seed}.svg"
        done = matrixmap("draw", "quillon8-en-GB-symbolic", "--out", out, env={"PYTHONHASHSEED": seed})
        assert done.returncode == 0
        pictures.add(out.read_bytes())
    assert len(pictures) == 1


@pytest.mark.parametrize("width", [480, 1400])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_pictures_for_looking(browser: Browser, tmp_path: Path, width: int, dark: bool) -> None:
    """The drawing at two widths, in light and dark, as files to look at; nothing is requested and nothing complained of."""
    path = tmp_path / "drawing.svg"
    path.write_text(draw(shipped_plan("quillon8-de-DE-symbolic")), encoding="utf-8")
    with browser.page(width=width, dark=dark) as page:
        page.open(path)
        picture = tmp_path / f"drawing-{width}.png"
        page.screenshot(picture)
        assert picture.stat().st_size > 10_000
        paper = page.evaluate("getComputedStyle(document.querySelector('.paper')).fill")
        assert paper == ("rgb(14, 28, 38)" if dark else "rgb(246, 241, 228)")
        assert page.faults() == []


def calls() -> Iterator[tuple[list[str], str]]:
    """Calls that cannot be carried out, and what is said."""
    yield ["--parts", "host,table"], "there is no part 'table' (parts: host, machine, matrix)"
    yield ["--out", "x.gif"], "cannot tell which form to write into x.gif: its name must end in .svg, .png, .pdf"
    yield ["--width", "7"], "a width of 7 pixels is not possible; it must be 100 to 20000"


@pytest.mark.parametrize(("options", "said"), list(calls()))
def test_impossible_calls(tmp_path: Path, options: list[str], said: str) -> None:
    """A bad option is told in one sentence, exit code 2, and nothing is written."""
    done = call("draw", "quillon8-en-GB-symbolic", *options, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (2, f"matrixmap: {said}\n")
    assert list(tmp_path.iterdir()) == []


def test_default_file(tmp_path: Path) -> None:
    """Without --out the drawing is written beside the caller, under the layout's id."""
    done = call("draw", "quillon8-en-GB-symbolic", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (0, "quillon8-en-GB-symbolic.svg written\n")
    ElementTree.parse(tmp_path / "quillon8-en-GB-symbolic.svg")


def test_dead_keys_have_a_sign_of_their_own() -> None:
    """A legend that waits for the next key has three dots under it and says so; one that makes nothing here is no legend."""
    plan = shipped_plan("quillon8-fr-FR-symbolic")
    board = form_of(plan.layout.host)
    assert board is not None
    faces = {face.name: face for face in Faces(plan).host(board)}
    circumflex = faces["BracketLeft"]
    assert {circumflex.texts[place] for place in circumflex.waits} == {"^", "¨", "˚"}
    assert not faces["Digit9"].waits  # its circumflex with AltGr is no dead key on this host
    assert "^" in faces["Digit9"].texts
    made = {accent for accent, _, _ in plan.dead_keys.pairs} | set(plan.dead_keys.accents)
    assert {face.texts[place] for face in faces.values() for place in face.waits} == made
    drawn = draw(plan, ("host",))
    signs = [path for path in ElementTree.fromstring(drawn).iter(f"{SVG}path") if path.get("class") == "waits"]
    assert len(signs) == sum(len(face.waits) for face in faces.values()) > 3
    assert "^ (BracketLeft) types plain ^ and waits for the next key, with Shift ¨ and waits for the next key" in drawn
    assert "Three dots: waits for the next key." in drawn
    without = draw(shipped_plan("quillon8-en-US-symbolic"), ("host",))
    assert 'class="waits"' not in without
    assert "Three dots" not in without


def test_a_layout_that_no_table_holds_is_left_out(tmp_path: Path) -> None:
    """Nobody can say what its presses do, so nothing is drawn, and why is said of each part."""
    keys = "modifiers: {one: [b, c, d, e], two: [f, g, h, i]}\nlatching: {latch: j}\n"
    plan = bare_plan(tmp_path, machine=keys, layout="locks: {CapsLock: latch}\n")
    root = ElementTree.fromstring(draw(plan))
    assert [element for element in root.iter() if element.get("role") in ("list", "table")] == []
    reasons = left_out(plan)
    assert [reason.partition(" is not drawn")[0] for reason in reasons] == [
        "the host's keyboard",
        "the machine's keyboard",
        "the matrix",
    ]
    assert all("9 modifier keys" in reason for reason in reasons)
