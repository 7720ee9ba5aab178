"""A reader of the page: types on a keyboard, clicks keys, looks at what is shown."""

from __future__ import annotations

import json
import time
from pathlib import Path

from matrixmap.hid.usages import Usage
from matrixmap.model.press import KeyPress
from matrixmap.model.words import usage_name
from tests.browser import Page

SPEED = 20
FAST = f"""(() => {{
  const real = performance.now.bind(performance), start = real(), later = window.setTimeout;
  performance.now = () => start + (real() - start) * {SPEED};
  window.setTimeout = (call, wait, ...rest) => later(call, (wait || 0) / {SPEED}, ...rest);
}})();"""

READ = """((element) => [...element.childNodes].map((one) => one.dataset?.sign ?? one.textContent).join(""))"""
"""A function of an element: what a reader sees in it."""

BEAT = 0.1
"""Seconds of the machine's time that a keystroke gets; the demo's machine needs 82 ms."""


class Driver:
    """The page in a tab. `speed` is how much faster than ours its clock runs."""

    def __init__(self, page: Page, file: Path, speed: float = 1) -> None:
        self.page = page
        self.speed = speed
        page.open(file)
        page.wait("document.documentElement.dataset.ready === 'yes'")

    def text(self, id: str) -> str:
        """The text of an element, with the signs that are drawn in it."""
        return str(self.page.evaluate(f"{READ}(document.getElementById({json.dumps(id)}))"))

    def pause(self, seconds: float = BEAT) -> None:
        """Lets the machine's time pass."""
        time.sleep(seconds / self.speed)

    def choose(self, layout: str) -> None:
        """Chooses a layout from the list, as its reader would, waits until all of it is drawn, and goes back to the screen."""
        self.page.evaluate(
            f"(() => {{ const list = document.getElementById('layout'); list.value = {json.dumps(layout)};"
            "list.dispatchEvent(new Event('change')); })()"
        )
        # Before that, what is drawn later moves the keys.
        self.page.wait(f"document.documentElement.dataset.drawn === {json.dumps(layout)}")
        self.press_button("clear")

    def press_button(self, id: str) -> None:
        """Presses a button or changes a box."""
        self.page.evaluate(f"document.getElementById({json.dumps(id)}).click()")

    def down(self, *usages: Usage) -> None:
        """Keys of the reader's keyboard go down, one after the other."""
        for usage in usages:
            self.page.key("down", usage_name(usage))

    def up(self, *usages: Usage) -> None:
        """Keys go up."""
        for usage in usages:
            self.page.key("up", usage_name(usage))

    def type(self, *presses: KeyPress) -> None:
        """Keystrokes with the modifiers that they need, four at a time as fast as they come: the adapter's line has eight."""
        for number, press in enumerate(presses, start=1):
            held = press.hold
            self.down(*held, press.usage)
            self.up(press.usage, *reversed(held))
            if number % 4 == 0 or number == len(presses):
                self.rest()

    def rest(self) -> None:
        """Waits until nothing more happens without a further key event."""
        self.pause(BEAT / 2)
        self.page.wait("document.documentElement.dataset.steady === 'yes'")

    def read(self) -> list[str]:
        """What the machine read since the last Clear."""
        return [{"space": " "}.get(word, word) for word in self.text("log").split()]

    def key_middle(self, code: str) -> tuple[float, float]:
        """The middle of a drawn key."""
        box = self.page.evaluate(
            f"(() => {{ const key = document.querySelector('[data-code={code}]');"
            "key.scrollIntoView({block: 'center'}); const box = key.querySelector('.cap').getBoundingClientRect();"
            "return [box.x + box.width / 2, box.y + box.height / 2]; })()"
        )
        return float(box[0]), float(box[1])
