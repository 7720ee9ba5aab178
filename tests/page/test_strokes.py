"""What the page says of a press comes from the C runtime in it, and how to type something from the same rules in Python."""

from __future__ import annotations

from pathlib import Path

import pytest

from matrixmap.emit.page.document import page_data
from matrixmap.hid.usages import by_code
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.press.words import way_words
from tests.browser import Browser
from tests.draw.layouts import plan_of, shift_locked_plan
from tests.page.driving import FAST, SPEED, Driver
from tests.page.test_states import hint_for
from tests.project import shipped_plan

POSITIONAL = "quillon8-en-US-positional"
SYMBOLIC = "quillon8-de-DE-symbolic"

# Layout, keys that are held, the key that is pressed, and what is said of it.
STROKES = (
    (POSITIONAL, ("ShiftLeft", "AltLeft"), "KeyR", "Shift Alt R: refused by the adapter with what is held"),
    (POSITIONAL, ("ShiftRight", "AltLeft"), "KeyR", "right Shift Alt R: shift + blazon + r"),
    (POSITIONAL, ("ControlRight",), "F1", "right Control F1: helm + b1"),
    (POSITIONAL, ("KeyA",), "AltRight", "right Alt: bracket-right"),
    (POSITIONAL, ("KeyA",), "KeyB", "B: b"),
    (POSITIONAL, (), "CapsLock", "CapsLock: sets blazon-latch"),
    (POSITIONAL, (), "F12", "F12: does nothing"),
    (SYMBOLIC, ("ControlLeft",), "KeyA", "Control A: helm + a"),
    (SYMBOLIC, ("ShiftLeft",), "Digit0", "Shift 0: shift + minus"),
    (SYMBOLIC, (), "CapsLock", "CapsLock: a lock of the adapter"),
    (SYMBOLIC, (), "Backquote", "^: waits for the next key (^)"),
)


@pytest.mark.parametrize(("id", "held", "key", "said"), STROKES, ids=[f"{row[0][-10:]} {row[3]}" for row in STROKES])
def test_page_tells_what_the_runtime_does(fast: Driver, id: str, held: tuple[str, ...], key: str, said: str) -> None:
    """A press is told by what the runtime makes of it with the keys that are held; trying it changes nothing."""
    fast.choose(id)
    for code in held:
        fast.down(*by_code(code))
    fast.rest()
    closed = fast.text("closed")
    fast.down(*by_code(key)[:1])
    assert fast.text("stroke") == said
    fast.rest()
    fast.up(*by_code(key)[:1])
    fast.rest()
    if key != "CapsLock":
        assert fast.text("closed") == closed
    assert fast.text("counts").startswith("1 refused") == ("refused" in said)


def test_a_latch_and_an_accent_are_followed(fast: Driver) -> None:
    """A latch is told to set and to free; a key after a dead key with which it makes nothing closes the accent first."""
    fast.choose(POSITIONAL)
    for said in ("sets", "frees"):
        press(fast, "CapsLock")
        assert fast.text("stroke") == f"CapsLock: {said} blazon-latch"
    fast.choose(SYMBOLIC)
    press(fast, "Backquote")
    press(fast, "KeyX")
    assert fast.text("stroke") == "X: caret, then x"
    assert fast.read() == ["^", "x"]


def press(driver: Driver, code: str) -> None:
    """A key goes down and up."""
    driver.down(*by_code(code)[:1])
    driver.rest()
    driver.up(*by_code(code)[:1])
    driver.rest()


def test_exercise_tells_ways_that_work(fast: Driver) -> None:
    """The exercise names the side that the guard leaves, and its ways are those of the room."""
    fast.choose(POSITIONAL)
    assert hint_for(fast, "↺") == "Press right Shift left Alt R."
    assert hint_for(fast, "◆") == "Press Shift left Alt X."


def test_ways_of_the_page_are_those_of_the_room(tmp_path: Path) -> None:
    """Each way in the page's data is the easiest by the rules, a latch that must be on included."""
    for plan in (shipped_plan(SYMBOLIC), shift_locked_plan(tmp_path, {"ShiftLeft": "none", "ShiftRight": "none"})):
        data = page_data([plan])
        rows, (layout,) = data["rows"], data["layouts"]  # type: ignore[misc]
        told = dict(rows[row] for row in layout["ways"])  # type: ignore[index]
        ways = ways_to_type(plan)
        assert told == {text: way_words(plan.layout.host, ways[text][0]) for text in told}
        assert set(told) == {text for text in ways if not (len(text) == 1 and text.isascii() and text.isalnum())}
    assert told["!"] == "Caps Lock on, 1"


def test_keys_of_the_machine_say_what_reaches_them(fast: Driver) -> None:
    """A key of the machine names the keys of the host that close it as their own."""
    fast.choose(POSITIONAL)
    # The keys of the layout that was shown before stand there until this one is drawn.
    fast.page.wait(
        "document.querySelector('#machine-keys .key[aria-label=\"blazon-latch; reached by CapsLock\"]') !== null"
    )
    label = "[...document.querySelectorAll('#machine-keys .key')].map((key) => key.getAttribute('aria-label'))"
    labels = fast.page.evaluate(label)
    assert "shift-right; reached by right Shift" in labels
    assert "blazon-latch; reached by CapsLock" in labels
    assert next(text for text in labels if text.startswith("d4 ")).endswith("; reached by 4")


def test_a_key_names_the_side_that_works(fast: Driver) -> None:
    """The drawn key's label says which Shift its upper legend takes where only one does it."""
    fast.choose(POSITIONAL)
    label = fast.page.evaluate("document.querySelector('[data-code=KeyR]').getAttribute('aria-label')")
    assert label == (
        "R types plain r, with Shift R, with left Alt clockwise arrow, with right Shift+left Alt anticlockwise arrow"
    )


def test_page_of_a_layout_with_little(browser: Browser, tmp_path: Path) -> None:
    """A key that is no modifier of the host and holds one of the machine works and is told in the page too."""
    from matrixmap.emit.page.document import page_html

    plan = plan_of(tmp_path, {"AltLeft": "none", "ScrollLock": "blazon"})
    file = tmp_path / "page.html"
    file.write_text(page_html([plan]), encoding="utf-8")
    with browser.page(early=FAST) as page:
        driver = Driver(page, file, speed=SPEED)
        driver.press_button("clear")
        driver.down(*by_code("ScrollLock"), *by_code("Digit1"))
        driver.rest()
        assert driver.text("stroke") == "1: blazon + d1"
        assert driver.read() == ["⚀"]
        assert page.faults() == []
