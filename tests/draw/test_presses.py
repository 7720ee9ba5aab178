"""Pictures and the sheet tell what the runtime does: on which side, with which lock, and what can be read on the keys."""

from __future__ import annotations

from itertools import product
from pathlib import Path
from xml.etree import ElementTree

import pytest

from matrixmap.emit.pictures.drawing import draw
from matrixmap.emit.pictures.faces import Faces, Kind, reaching
from matrixmap.emit.pictures.keys import drawn_once
from matrixmap.emit.pictures.sheet import sheet_content, sheet_html
from matrixmap.emit.pictures.stickers import Cut, sticker_pages
from matrixmap.hid.usages import SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.model.plan import Plan
from matrixmap.press.rules import REST, Rules
from tests.draw.layouts import faces_of, plan_of, printed_plan, shift_locked_plan
from tests.draw.test_stickers import shapes_of, stickers_of, texts_of
from tests.project import ROOT, sample_ids, shipped_plan
from tests.shipped import in_campaign

SVG = "{http://www.w3.org/2000/svg}"
SHIFTS = (SHIFT_LEFT, SHIFT_RIGHT)
POSITIONAL = ("quillon8-en-US-positional", "quillon8-de-DE-positional")

# On a German keyboard the right Alt key is AltGr, so the left one needs no side.
ALT = {"quillon8-en-US-positional": "left Alt", "quillon8-de-DE-positional": "Alt"}


def titles(plan: Plan) -> list[str]:
    """What is held for each column."""
    return [column.title for column in Faces(plan).columns]


def told(plan: Plan) -> dict[str, tuple[tuple[str, ...], ...]]:
    """Character or function -> how the sheet says to type it."""
    content = sheet_content(plan)
    return {way.text: way.presses for way in (*content.characters, *content.functions)}


ONE_SIDE = (
    ({"AltLeft": "none", "AltRight": "blazon"}, "right Alt"),
    ({"AltLeft": "none", "ControlRight": "blazon"}, "right Control"),
    ({"AltLeft": "none", "ShiftRight": "blazon"}, "right Shift"),
    ({"AltLeft": "none", "ScrollLock": "blazon"}, "ScrollLock"),
)


@pytest.mark.parametrize(("keys", "held"), ONE_SIDE, ids=[held for _, held in ONE_SIDE])
def test_a_modifier_on_one_side_has_a_column_of_its_own(tmp_path: Path, keys: dict[str, str], held: str) -> None:
    """What only the right key of two does, or a key that is no modifier of the host, is drawn, stuck on and told with it."""
    plan = plan_of(tmp_path, keys)
    control = "left Control" if held == "right Control" else "Control"
    assert sorted(titles(plan)) == sorted(["", control, held])
    assert list(filter(None, faces_of(plan)["Digit1"].texts)) == ["1", "!", "⚀"]
    assert told(plan)["⚀"] == ((held, "1"),)
    assert "⚀" not in sheet_content(plan).lacking
    shift = "left Shift" if held == "right Shift" else "Shift"
    picture = draw(plan, ("host",))
    assert f"types plain 1, with {shift} !, with {held} die with one" in picture
    assert f"upper with {shift}." in picture
    assert told(plan)["!"] == ((shift, "1"),)
    (page,) = sticker_pages(plan, Cut())
    assert texts_of(page, "2")[:2] == ["2", '"']
    assert shapes_of(page, "2") == 1


def test_sides_that_do_the_same_share_a_column(tmp_path: Path) -> None:
    """Where either side does, the column names none."""
    assert titles(plan_of(tmp_path, {"AltRight": "blazon"})) == ["", "Alt", "Control"]
    assert titles(shipped_plan("quillon8-de-DE-symbolic")) == ["", "AltGr", "Alt"]


def test_what_only_a_latch_reaches(tmp_path: Path) -> None:
    """Without a Shift key the latch is told by the sheet, and has a column in the drawing; keys that print it get no sticker."""
    plan = shift_locked_plan(tmp_path, {"ShiftLeft": "none", "ShiftRight": "none"})
    assert titles(plan) == ["", "left Alt", "Control", "Caps Lock on"]
    assert told(plan)["!"] == (("Caps Lock", "on,", "1"),)
    assert told(plan)["A"] == (("Caps Lock", "on,", "A"),)
    assert told(plan)["▲"] == (("Caps Lock", "on,", "left Alt", "Z"),)
    assert sheet_content(plan).lacking == (
        "↺",
        "▶",
    )  # the guard refuses them with the left shift key, which the latch is
    assert "<kbd><bdi>Caps Lock</bdi></kbd> on, <kbd><bdi>A</bdi></kbd>" in sheet_html(plan, "A4")
    assert faces_of(plan)["KeyA"].texts == ("a", "a", None, None, None, None, "A", "A")
    assert "with Caps Lock on A" in draw(plan, ("host",))
    (page,) = sticker_pages(plan, Cut())
    assert "A" not in stickers_of(page)
    assert texts_of(page, "=") == ["@", "°"]


def test_what_the_latch_of_a_picture_modifier_reaches(tmp_path: Path) -> None:
    """Without a key for Blazon its latch has a column: pictures are told with it, and with the Shift that the guard leaves."""
    plan = plan_of(tmp_path, {"AltLeft": "none"})
    assert titles(plan) == ["", "Control", "Caps Lock on"]
    assert told(plan)["⚀"] == (("Caps Lock", "on,", "1"),)
    assert told(plan)["▲"] == (("Caps Lock", "on,", "Shift", "Z"),)
    assert told(plan)["↺"] == (("Caps Lock", "on,", "right Shift", "R"),)
    assert list(filter(None, faces_of(plan)["Digit1"].texts)) == ["1", "!", "⚀"]


@pytest.mark.parametrize("id", POSITIONAL)
def test_the_side_that_the_guard_leaves_is_named(id: str) -> None:
    """↺ and ▶ work with the right Shift alone: the sheet, the label of the key and the stickers say so."""
    plan, alt = shipped_plan(id), ALT[id]
    ways = told(plan)
    assert ways["↺"] == (("right Shift", alt, "R"),)
    assert ways["▶"] == (("right Shift", alt, "T"),)
    assert ways["◆"] == (("Shift", alt, "X"),)
    faces = faces_of(plan)
    assert faces["KeyR"].texts[:4] == ("r", "R", "↻", "↺")
    assert faces["KeyR"].sides == {3: f"right Shift+{alt}"}
    assert not faces["KeyX"].sides
    picture = draw(plan, ("host",))
    assert (
        f"R types plain r, with Shift R, with {alt} clockwise arrow, with right Shift+{alt} anticlockwise arrow"
        in picture
    )
    assert f"X types plain x, with Shift X, with {alt} white lozenge, with Shift+{alt} black lozenge" in picture
    assert f'2 (Digit2) types plain 2, with Shift ", with {alt} die with two' in ElementTree.tostring(
        ElementTree.fromstring(picture), encoding="unicode"
    ).replace("&quot;", '"')
    (page,) = sticker_pages(plan, Cut())
    assert f'"For the key R; Only with right Shift+{alt}: anticlockwise arrow"' in page
    # The signs stand as paths between the words.
    assert f">Only with right Shift+{alt}:</text><g class=" in page


@pytest.mark.parametrize("id", POSITIONAL)
def test_no_way_that_is_told_is_refused(id: str) -> None:
    """Each way of a text, pressed on either side that it leaves open, types that text."""
    plan = shipped_plan(id)
    rules = Rules(plan)
    count = 0
    for text, ways in Faces(plan).to_type.items():
        for way in ways:
            standing = rules.hold(())
            for press in way:
                for usage in press.on:
                    standing = rules.release(rules.press(standing, usage).after, usage)
                done = rules.press(rules.hold(press.hold, standing), press.usage)
                standing = rules.release(done.after, press.usage)
                for usage in press.hold:
                    standing = rules.release(standing, usage)
            assert [typed.legend.text for typed in rules.types(done) if typed.legend] == [text], (text, way)
            count += 1
    assert count > 100


def test_printed_legends_come_first(tmp_path: Path) -> None:
    """The sheet tells what can be read on the keys first, and says of the rest that it is not printed."""
    plan = printed_plan(tmp_path)
    content, ways = sheet_content(plan), told(plan)
    assert ways["#"] == (("Shift", "3"),)
    assert ways["@"] == (("AltGr", "Q"),)
    assert ways["^"] == (("AltGr", "E", "(not printed)"),)
    assert ways["="] == (("+", "(not printed)"),)
    assert ways["y"] == (("AltGr", "Z", "(not printed)"),)
    assert "y" not in content.usual
    assert {"z", "Z", "1"} <= set(content.usual)
    assert {"ß", "|"} <= set(content.foreign)
    assert not {"æ", "Ł"} & set(content.foreign)
    assert "<kbd><bdi>E</bdi></kbd></span> (not printed)" in sheet_html(plan, "A4")


def test_a_legend_that_is_not_printed_is_marked(tmp_path: Path) -> None:
    """In the drawing it has a line under it, and its key says so; a printed one has none."""
    plan = printed_plan(tmp_path)
    faces = faces_of(plan)
    assert {name for name, face in faces.items() if face.unprinted} == {"KeyE", "KeyK", "KeyZ", "Equal"}
    picture = draw(plan, ("host",))
    lines = [path for path in ElementTree.fromstring(picture).iter(f"{SVG}path") if path.get("class") == "unprinted"]
    assert len(lines) == sum(len(face.unprinted & drawn_once(face)) for face in faces.values()) > 4
    assert "with AltGr ^ (not printed)" in picture
    assert "with AltGr @ (not" not in picture
    assert "Underlined: not printed on the key." in picture
    assert "Underlined" not in draw(plan_of(tmp_path), ("host",))


def test_stickers_have_what_cannot_be_read_and_is_needed(tmp_path: Path) -> None:
    """A legend that is not printed gets its key a sticker where nothing printed types it; else it is left out."""
    plan = printed_plan(tmp_path)
    (page,) = sticker_pages(plan, Cut())
    keys = stickers_of(page)
    assert {"E", "Z", "+"} <= set(keys)
    assert not {"K", "Q", "U"} & set(keys)
    assert texts_of(page, "E") == ["E", "^"]
    every = [text for sheet in sticker_pages(plan, Cut(every=True)) for text in stickers_of(sheet)]
    assert "K" in every


def test_one_key_is_told_once(tmp_path: Path) -> None:
    """Keys of one print are told apart by their codes; two usages of one key are one."""
    plan = printed_plan(tmp_path)
    reached = reaching(plan)
    backslash = plan.layout.machine.key("backslash").contact
    assert reached[backslash].keys == ("\\ (Backslash)", "\\ (IntlBackslash)", "S")
    assert told(plan)["\\"] == (("\\ (Backslash)",), ("\\ (IntlBackslash)",))
    shipped = shipped_plan("quillon8-en-US-positional")
    for reach in reaching(shipped).values():
        assert len(set(reach.ways)) == len(reach.ways)
    contact = shipped.layout.machine.key("backslash").contact
    assert reaching(shipped)[contact].keys == ("\\",)


def test_reached_are_keys_that_close_it_and_are_not_refused(tmp_path: Path) -> None:
    """A contact is reached by keys that close it as their own; else told are those whose strokes hold it as a modifier."""
    plan = shipped_plan("quillon8-en-US-positional")
    contacts = {key.name: key.contact for key in plan.layout.machine.keys}
    reached = reaching(plan)
    assert reached[contacts["shift-right"]].keys == ("right Shift",)
    assert reached[contacts["helm"]].ways == ("left Ctrl", "right Ctrl")
    assert reached[contacts["d4"]].ways == ("4",)
    symbolic = printed_plan(tmp_path)
    reach = reaching(symbolic)[contacts["shift-left"]]
    assert reach.keys == ("left Shift", "right Shift")
    no_shift = shipped_plan("quillon8-de-DE-symbolic")
    other = reaching(no_shift)[contacts["shift-right"]]
    assert other.held
    assert "held by the strokes of Shift Alt" in draw(no_shift, ("machine",))


def test_keys_that_few_keyboards_have_are_never_preferred(tmp_path: Path) -> None:
    """A key that the host's form lacks is told only where no other key does it, and with a word about it."""
    plan = plan_of(tmp_path, {"F13": "space", "Pause": "none", "F14": "hail"})
    assert told(plan)[" "] == (("Space",),)
    assert told(plan)["Hail"] == (("F14", "(a key that few keyboards have)"),)
    drawn = draw(plan, ("machine",))
    assert "hail at HAIL types Hail; reached by no key" in drawn
    assert "reached by Space<" in drawn


VARIANTS: tuple[dict[str, str], ...] = (
    {},
    {"AltRight": "blazon"},
    {"AltLeft": "none", "ShiftRight": "blazon"},
    {"ShiftLeft": "none", "ShiftRight": "none", "ControlRight": "blazon"},
    {"AltLeft": "blazon", "ControlLeft": "shift-right", "ScrollLock": "blazon", "Shift+KeyA": "q + w"},
)


def check_faces(plan: Plan) -> int:
    """Every legend on every key is what the runtime makes of its press, on either side where no side is named."""
    rules, faces, count = Rules(plan), Faces(plan), 0
    accents = rules.table.accents
    for face in faces_of(plan).values():
        for place in filter(None, face.places if face.kind is Kind.TYPES else ()):
            choices = [(usage, usage + 4) if usage in place.press.either else (usage,) for usage in place.press.hold]
            for hold in product(*choices):
                standing = REST
                for usage in place.press.on:
                    standing = rules.release(rules.press(standing, usage).after, usage)
                done = rules.press(rules.hold(map(Usage, hold), standing), place.press.usage)
                assert done.refused is None, (face.name, place)
                typed = [each.legend.text for each in rules.types(done) if each.legend]
                if place.waits:
                    assert accents[done.value - 1] == place.text
                elif " + " in place.text:
                    assert len(typed) > 1
                else:
                    assert typed == [place.text], (face.name, place)
                count += 1
            if not place.side and faces.columns[0].upper == "Shift":
                assert not (set(place.press.hold) - place.press.either).intersection(SHIFTS)
    assert len(faces.columns) <= 5
    return count


@pytest.mark.parametrize("id", sample_ids())
def test_legends_are_what_the_runtime_types(id: str) -> None:
    """On the keys of the demo stands what comes of pressing them."""
    assert check_faces(shipped_plan(id)) > 100


@pytest.mark.parametrize("keys", VARIANTS, ids=str)
@pytest.mark.parametrize("host", ["en-US", in_campaign("de-DE")])
def test_legends_are_what_the_runtime_types_with_odd_modifiers(tmp_path: Path, keys: dict[str, str], host: str) -> None:
    """So it is where modifiers sit on one side, on other keys, or nowhere; and what can be typed stands on some key."""
    plan = plan_of(tmp_path, keys, host)
    assert check_faces(plan) > 100
    on_keys = {text for face in faces_of(plan).values() for text in (*face.texts, face.whole)}
    missing = set(Faces(plan).to_type) - on_keys
    with_locks = {text for text in missing if Faces(plan).to_type[text][0][-1].on}
    assert missing == with_locks


def test_the_room_alone_says_what_a_press_does() -> None:
    """No module that writes files has rules of its own for what a press types."""
    for path in (ROOT / "matrixmap" / "emit").glob("*.py"):
        assert "join.typed" not in path.read_text(encoding="utf-8"), path.name
