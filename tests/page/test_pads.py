"""The browser's game pads drive the drawn sticks, by the same rules as the decoder, and the page's machine reads them."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pytest

from matrixmap.circuit.reading import ClosedCrosspoint, Conduction, read_matrix
from matrixmap.emit.page.document import page_html
from matrixmap.hid.pads.sources import SOURCES
from matrixmap.hid.pads.stick import Reach, Thresholds, moved
from matrixmap.hid.usages import by_code
from matrixmap.join.pads import driven_controllers
from matrixmap.model.machine import SelectIndex, SenseIndex, Switch
from matrixmap.model.plan import Plan
from tests import make_wasm
from tests.browser import Browser, Page
from tests.pads.layouts import STEERED, plan_of
from tests.page.driving import Driver
from tests.project import shipped_plan

WEB = Path(make_wasm.WEB)
SWAPPING = STEERED.replace("pads:", "commands: {F12: 3}\ncommand_names: {3: swap-pads}\npads:")
BOBBING = """layout: bobbing
base: langet41-symbolic
host: de-DE
pads: {order: bob, Tap: Button 1}
"""
PEDALLED = """layout: pedalled
base: ricasso12-fo-de-DE-symbolic
host: de-DE
pads: {order: pedal, Play: Button 1, Back: Button 2}
"""
"""Its pedal is gated: it pulls a sense line while one select line is strobed."""

PULLED = """[...document.querySelectorAll('#matrix-grid .pulled')].map((line) => [Number(line.dataset.sense),
  line.classList.contains('gated'), parseFloat(getComputedStyle(line).strokeWidth)])"""
RINGED = """[...document.querySelectorAll('#matrix-grid .point')].flatMap((point, contact) =>
  (point.classList.contains('is-pulled') ? [contact] : []))"""


@pytest.fixture
def scripts(browser: Browser) -> Iterator[Page]:
    """A tab with the rules of pads at hand, and nothing else."""
    with browser.page() as page:
        code = "".join((WEB / name).read_text(encoding="utf-8") for name in ("pads.js", "circuit.js"))
        page.evaluate(f"{code};Object.assign(globalThis, {{ movedStick, closedSwitches, readMatrix }}); 0")
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


def test_pulls_are_read_as_the_circuit_says(scripts: Page) -> None:
    """500 random sets of contacts and pulls, of switches and of contacts with a diode, read as in Python."""
    rng = random.Random(3)
    cases, wanted = [], []
    for _ in range(500):
        conduction = rng.choice((Conduction.BOTH, Conduction.FORWARD))
        closed = [sum(1 << sense for sense in range(8) if rng.random() < 0.12) for _ in range(8)]
        pulls = [sum(1 << sense for sense in range(8) if rng.random() < 0.05) for _ in range(8)]
        crossing = [(SelectIndex(line), SenseIndex(sense)) for line in range(8) for sense in range(8)]
        points = [ClosedCrosspoint(line, sense, conduction) for line, sense in crossing if closed[line] >> sense & 1]
        low = [Switch(function="", select=line, sense=sense) for line, sense in crossing if pulls[line] >> sense & 1]
        cases.append([closed, conduction is Conduction.BOTH, pulls])
        wanted.append(list(read_matrix(points, 8, low)))
    assert scripts.evaluate(f"{json.dumps(cases)}.map((one) => readMatrix(...one))") == wanted


@contextmanager
def steering(browser: Browser, file: Path, plans: Sequence[Plan]) -> Iterator[Driver]:
    """The page of some layouts in a browser whose pads are at the test's hand."""
    file.write_text(page_html(plans), encoding="utf-8")
    early = "globalThis.fakePads = []; navigator.getGamepads = () => globalThis.fakePads;"
    with browser.page(early=early) as page:
        yield Driver(page, file)
        assert page.faults() == []


@pytest.fixture
def steered(browser: Browser, tmp_path: Path) -> Iterator[Driver]:
    """The page of a layout with pads, of one without and of another machine's with pads."""
    plans = [plan_of(tmp_path, SWAPPING), shipped_plan("quillon8-en-GB-symbolic")]
    with steering(browser, tmp_path / "page.html", [*plans, plan_of(tmp_path, BOBBING, "bobbing")]) as driver:
        yield driver


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


def test_a_command_swaps_the_pads(steered: Driver) -> None:
    """F12 is `swap-pads`: what pad 0 holds moves to the oar at once and pad 1 has the tiller; the next press moves it back."""
    (f12,) = by_code("F12")
    for index, buttons in ((0, {0}), (1, set[int]())):
        set_pad(steered, index, buttons, 0, 0)
        link(steered, "connected", index)
    wait_for(steered, 0, "tiller: Whistle")
    assert steered.text("swap") == ""
    steered.down(f12)
    steered.up(f12)
    wait_for(steered, 0, "tiller: nothing closed")
    wait_for(steered, 1, "oar: Pull")
    assert steered.text("swap") == "The pads have changed places."
    assert steered.text("stroke") == "command 3 for the firmware"
    set_pad(steered, 1, {12}, 0, 0)
    wait_for(steered, 0, "tiller: Ahead")
    # A pad that goes lets go of what it drives now; one that comes takes its place, and the swap goes on.
    link(steered, "disconnected", 0)
    wait_for(steered, 1, "oar: nothing closed")
    link(steered, "connected", 0)
    wait_for(steered, 1, "oar: Pull")
    assert steered.text("stick-0") == "tiller: Ahead"
    # A button of a pad may give the command.
    set_pad(steered, 1, {12, 8}, 0, 0)
    wait_for(steered, 0, "tiller: Whistle")
    wait_for(steered, 1, "oar: nothing closed")
    assert steered.text("swap") == "Each pad is in its own place again."


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


def test_the_machine_reads_what_a_pad_closes(steered: Driver) -> None:
    """The tiller's Whistle is the contact of the colon key: closed, read and typed, and closed again in the other simulation.

    The exercise does not take that for a mistake of the typist.
    """
    steered.press_button("start")
    asked = steered.text("task")
    set_pad(steered, 0, {0}, 0, 0)
    link(steered, "connected", 0)
    steered.page.wait("document.getElementById('log').textContent === ':'")
    assert steered.text("task") == asked
    assert steered.text("closed") == steered.text("reads") == "colon (S7/N2)"
    assert steered.text("phantoms") == "none"
    # Another simulation begins anew: what pads hold is given to it again.
    steered.press_button("guard")
    assert steered.text("stick-0") == "tiller: Whistle"
    assert steered.text("closed") == "colon (S7/N2)"
    steered.press_button("guard")
    link(steered, "disconnected", 0)
    wait_for(steered, 0, "tiller: nothing closed")
    steered.rest()
    assert steered.text("closed") == "nothing"


def test_three_keys_for_a_phantom_are_found_beside_a_pad(steered: Driver) -> None:
    """A contact that a pad closes is none that a key closes: the page still knows which key closes which contact."""
    steered.choose("bobbing")
    set_pad(steered, 0, {0}, 0, 0)
    link(steered, "connected", 0)
    wait_for(steered, 0, "bob: Tap")
    steered.press_button("phantom")
    assert "Without the guard the machine also reads" in steered.text("stroke")


def test_a_key_gives_way_to_a_pull(steered: Driver) -> None:
    """The oar pulls the sense line of the slash key, which Shift would carry on: told at once, counted, typed by the other alone."""
    shift, slash = (by_code(code)[0] for code in ("ShiftLeft", "Slash"))
    for index in (0, 1):
        set_pad(steered, index, set(), 0, 0)
        link(steered, "connected", index)
    set_pad(steered, 1, {0}, 0, 0)
    wait_for(steered, 1, "oar: Pull")
    steered.page.wait("document.getElementById('reads').textContent.includes('slash')")
    assert steered.text("closed") == "nothing"
    assert steered.text("phantoms") == "none"
    steered.down(shift, slash)
    assert "gives way to a pad" in steered.text("stroke")
    assert steered.text("counts") == "1 gave way to a pad"
    assert "slash" not in steered.text("closed")
    steered.up(slash, shift)
    set_pad(steered, 1, set(), 0, 0)
    wait_for(steered, 1, "oar: nothing closed")
    steered.rest()
    assert steered.read() == []


def test_a_pulled_line_is_marked_along_its_length(browser: Browser, tmp_path: Path) -> None:
    """A ground pull thickens its sense line, a gated one breaks it too and rings the crosspoint; words say the same."""
    plans = [plan_of(tmp_path), plan_of(tmp_path, PEDALLED, "pedalled"), plan_of(tmp_path, BOBBING, "bobbing")]
    with steering(browser, tmp_path / "page.html", plans) as driver:
        driver.choose("steered")
        set_pad(driver, 0, {0}, 0, 0)
        set_pad(driver, 1, set(), 0, 0)
        for index in (0, 1):
            link(driver, "connected", index)
        wait_for(driver, 0, "tiller: Whistle")
        assert (driver.page.evaluate(PULLED), driver.text("pulled")) == ([], "")
        set_pad(driver, 1, {0}, 0, 0)
        wait_for(driver, 1, "oar: Pull")
        assert (driver.page.evaluate(PULLED), driver.text("pulled")) == ([[5, False, 5]], "N5")
        assert driver.page.evaluate(RINGED) == []
        set_pad(driver, 0, {0, 1}, 0, 0)
        driver.choose("pedalled")
        wait_for(driver, 0, "pedal: Play, Back")
        assert driver.page.evaluate(PULLED) == [[6, True, 5], [7, True, 5]]
        assert driver.text("pulled") == "L7 while C9 is strobed, L8 while C10 is strobed"
        assert driver.page.evaluate(RINGED) == [8 * 8 + 6, 9 * 8 + 7]
        shown = "[...document.querySelectorAll('.pulls, #pulled')].map((one) => one.getClientRects().length > 0)"
        assert driver.page.evaluate(shown) == [True, True]
        set_pad(driver, 0, set(), 0, 0)
        wait_for(driver, 0, "pedal: nothing closed")
        assert driver.page.evaluate(shown) == [True, False]
        # A controller of plain contacts pulls nothing: its layout says nothing of pulls.
        driver.choose("bobbing")
        assert driver.page.evaluate(shown) == [False, False]


def test_sticks_fit_a_phone(browser: Browser, tmp_path: Path) -> None:
    """Three switches with names beside each other are no wider than a window of 380 pixels."""
    with steering(browser, tmp_path / "page.html", [plan_of(tmp_path)]) as driver:
        driver.page.resize(380, 800)
        assert driver.page.evaluate("document.querySelectorAll('#sticks svg').length") == 2
        assert driver.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_tap_lasts_for_the_poll_time(steered: Driver) -> None:
    """A button that is down for one look of the page is a switch closed for 29.1 ms of the machine's time, and typed."""
    set_pad(steered, 0, set(), 0, 0)
    link(steered, "connected", 0)
    told = "told.push(document.getElementById('stick-0').textContent)"
    watch = f"new MutationObserver(() => {told}).observe(document.getElementById('stick-0'), {{ childList: true }})"
    steered.page.evaluate(f"globalThis.told = []; {watch}; 0")
    pressed, open_ = ([{"pressed": down and not n} for n in range(17)] for down in (True, False))
    steered.page.evaluate(
        f"fakePads[0].buttons = {json.dumps(pressed)};"
        f"requestAnimationFrame(() => requestAnimationFrame(() => {{ fakePads[0].buttons = {json.dumps(open_)}; }})); 0"
    )
    steered.page.wait("told.at(-1) === 'tiller: nothing closed'")
    assert steered.page.evaluate("told") == ["tiller: Whistle", "tiller: nothing closed"]
    steered.rest()
    assert steered.read() == [":"]
