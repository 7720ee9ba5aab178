"""What the signs on the keys mean: one legend, with only the signs that occur."""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum

from matrixmap.emit.pictures.svg import element, markup
from matrixmap.form.owner.rows import ACCENT, NOTHING
from matrixmap.form.owner.signs import Signs


class Mark(Enum):
    """A sign, with what it means to the owner."""

    CHANGED = "This key does something else now."
    PRINT = "In its corner: what is printed on the key, so that you find it."
    OLD = "Crossed out: what it did before."
    NEW = "Bold: what it does now."
    HELD = "Small words before a change: hold this key meanwhile, or see that this is on or off."
    ACCENT = "An accent: it is typed together with the key that comes next."
    NOTHING = "Nothing happens."
    NAMED = "Slanted: no character, but a key of the machine or a task of the adapter."
    SPACE = "A space."
    ENTER = "Enter."
    TAB = "Tab."
    BACKSPACE = "Backspace."
    ARROW = "The cursor goes up, down, left or right."
    MORE = "There are this many more changes on this key: see the list below the picture."
    CUT = "The name continues in the list below the picture."


_SIGNS = {
    Mark.SPACE: "\u2423",
    Mark.ENTER: "Enter",
    Mark.TAB: "Tab",
    Mark.BACKSPACE: "Backspace",
    Mark.ARROW: "ArrowUp",
}


def legend(marks: Collection[Mark], signs: Signs) -> str:
    """The legend of some marks, in the order of `Mark`."""
    rows = [
        element(
            "div", element("dt", _sample(mark, signs)), element("dd", markup(mark.value)), data_mark=mark.name.lower()
        )
        for mark in Mark
        if mark in marks
    ]
    return element("dl", *rows, class_="marks") if rows else ""


def _sample(mark: Mark, signs: Signs) -> str:
    match mark:
        case Mark.CHANGED:
            plate = element("path", d="M3 3H27L33 9V33H3Z", class_="hot") + element(
                "path", d="M24 1H35V12Z", class_="flag"
            )
            return element("svg", plate, viewBox="0 0 36 36", class_="sample", aria_hidden="true")
        case Mark.PRINT:
            return element("span", "Q", class_="p")
        case Mark.OLD:
            return element("s", "a")
        case Mark.NEW:
            return element("b", "a")
        case Mark.HELD:
            return element("span", "Shift", class_="h")
        case Mark.ACCENT:
            return f"´{ACCENT}"
        case Mark.NOTHING:
            return NOTHING
        case Mark.NAMED:
            return element("i", "shift")
        case Mark.SPACE | Mark.ENTER | Mark.TAB | Mark.BACKSPACE | Mark.ARROW:
            return signs.whole(_SIGNS[mark])
        case Mark.MORE:
            return element("span", "2 more", class_="h")
        case Mark.CUT:
            return "Arr…"
