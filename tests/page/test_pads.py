"""The browser's game pads drive the drawn sticks, by the same rules as the decoder."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from matrixmap.emit.page.document import page_html
from matrixmap.hid.pads.sources import SOURCES
from matrixmap.hid.pads.stick import Reach, Thresholds, moved
from matrixmap.join.pads import driven_controllers
from tests import make_wasm
from tests.browser import Browser, Page
from tests.pads.layouts import plan_of
from tests.page.driving import Driver
from tests.project import shipped_plan

WEB = Path(make_wasm.WEB)


@pytest.fixture
def scripts(browser: Browser) -> Iterator[Page]:
    """A tab with the rules of pads at hand, and nothing else."""
    with browser.page() as page:
        page.evaluate(
            f"{(WEB / 'pads.js').read_text(encoding='utf-8')};Object.assign(globalThis, {{ movedStick, closedSwitches }}); 0"
        )
        yield page


def test_the_stick_is_that_of_the_decoder(scripts: Page) -> None:
    """4,000 random points from each state, with several thresholds: where the stick is and what it shows are those of Python."""
    rng = random.Random(1)
    end = 32_767
    cases, wanted = [], []
    for _ in range(4_000):
        before = rng.randrange(4)
        x, y = (rng.choice((0, end, -end, rng.randint(-end, end), rng.randint(-end, end) // 2)) for _ in range(2))
        release = rng.choice((40, 40, rng.randint(1, 90)))
        limits = Thresholds(press=rng.choice((max(50, release), 100)), release=release)
        cases.append([before, x, y, limits.press, limits.release])
        reach, shown = moved(Reach(before), x, end, y, end, limits)
        wanted.append([reach.value, sum(1 << direction.value for direction in shown)])
    assert scripts.evaluate(f"{json.dumps(cases)}.map((one) => movedStick(...one))") == wanted


def test_the_switches_are_those_of_the_decoder(scripts: Page, tmp_path: Path) -> None:
    """1,000 random sets of sources close the same switches as in Python, opposites among them."""
    plan = plan_of(tmp_path)
    assert plan.layout.pads is not None
    rng = random.Random(2)
    cases, wanted = [], []
    for one in driven_controllers(plan.layout.pads, plan.layout.machine):
        switches = [
            [each.switch.function, each.direction.value + 1 if each.direction else 0, list(each.sources)]
            for each in one.switches
        ]
        for _ in range(500):
            on = [number for number in range(SOURCES) if rng.random() < 0.15]
            cases.append([switches, on])
            wanted.append(one.closed(sum(1 << number for number in on)))
    found = scripts.evaluate(f"{json.dumps(cases)}.map(([switches, on]) => closedSwitches(switches, new Set(on)))")
    assert found == wanted


@pytest.fixture
def steered(browser: Browser, tmp_path: Path) -> Iterator[Driver]:
    """The page of a layout with pads and of one without, in a browser whose pads are at the test's hand."""
    file = tmp_path / "page.html"
    file.write_text(page_html([plan_of(tmp_path), shipped_plan("quillon8-en-GB-symbolic")]), encoding="utf-8")
    early = "globalThis.fakePads = []; navigator.getGamepads = () => globalThis.fakePads;"
    with browser.page(early=early) as page:
        yield Driver(page, file)
        assert page.faults() == []


def set_pad(driver: Driver, index: int, buttons: set[int], x: float, y: float, mapping: str = "standard") -> None:
    """A pad of the browser as it is now."""
    pad = {
        "index": index,
        "mapping": mapping,
        "axes": [x, y, 0, 0],
        "buttons": [{"pressed": number in buttons} for number in range(17)],
    }
    driver.page.evaluate(f"fakePads[{index}] = {json.dumps(pad)}; 0")


def link(driver: Driver, kind: str, index: int) -> None:
    """The browser tells that a pad came or went."""
    driver.page.evaluate(
        f"dispatchEvent(Object.assign(new Event('gamepad{kind}'), {{ gamepad: {{ index: {index} }} }})); 0"
    )


def wait_for(driver: Driver, place: int, text: str) -> None:
    """Waits until a stick says this."""
    driver.page.wait(f"document.getElementById('stick-{place}').textContent === {json.dumps(text)}")


def test_pads_drive_the_drawn_sticks(steered: Driver) -> None:
    """Stick, D-pad and buttons of the first pad show at the first controller, the second's at the second; opposites at neither."""
    set_pad(steered, 0, set(), 0, 0)
    link(steered, "connected", 0)
    wait_for(steered, 0, "tiller: nothing closed")
    set_pad(steered, 0, {0}, 0, -1)
    wait_for(steered, 0, "tiller: Whistle, Ahead")
    fills = "[...document.querySelectorAll('#sticks svg')[0].querySelectorAll('path, circle')].map((part) => getComputedStyle(part).fill)"
    assert [fill != "none" for fill in steered.page.evaluate(fills)] == [True, False, True, False, False]
    set_pad(steered, 0, {13}, 0, -1)
    wait_for(steered, 0, "tiller: nothing closed")
    set_pad(steered, 0, {13, 14}, 0, 0)
    wait_for(steered, 0, "tiller: Port, Astern")
    set_pad(steered, 3, {0}, 0, 0)
    link(steered, "connected", 3)
    wait_for(steered, 1, "oar: Pull")
    link(steered, "disconnected", 0)
    wait_for(steered, 0, "tiller: nothing closed")
    wait_for(steered, 1, "oar: Pull")


def test_a_pad_without_the_standard_mapping_has_no_d_pad(steered: Driver) -> None:
    """Its buttons are numbers, and button 13 is Button 14."""
    set_pad(steered, 0, {13}, 0, 0, mapping="")
    link(steered, "connected", 0)
    wait_for(steered, 0, "tiller: nothing closed")
    set_pad(steered, 0, {1}, 0, 0, mapping="")
    wait_for(steered, 0, "tiller: Whistle")


def test_a_button_types_as_a_key(steered: Driver) -> None:
    """Button 8 types a space; then the other layout has no sticks."""
    set_pad(steered, 0, set(), 0, 0)
    link(steered, "connected", 0)
    set_pad(steered, 0, {7}, 0, 0)
    steered.page.wait("document.getElementById('log').textContent.includes('space')")
    set_pad(steered, 0, set(), 0, 0)
    steered.rest()
    assert steered.read() == [" "]
    steered.choose("quillon8-en-GB-symbolic")
    assert steered.page.evaluate("document.getElementById('sticks') === null")
