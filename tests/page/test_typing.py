"""Texts typed in the page, by real key events of a real browser, are what the reference model reads."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from matrixmap.emit.pictures.faces import form_of
from matrixmap.hid.usages import ALT_RIGHT, KEYPAD_DIGITS, SHIFT_LEFT, Usage
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.press.keyboard import key_usage
from matrixmap.press.machine_reads import Typed
from matrixmap.press.rules import REST, Rules, Standing
from matrixmap.press.table.make import make_table
from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.model import Model
from matrixmap.simulate.scan import Reader
from matrixmap.simulate.texts import Typing, legends_of, play_typing
from matrixmap.simulate.typing.reports import Link
from matrixmap.simulate.typing.typist import Style
from tests.browser import Browser
from tests.page.driving import FAST, SPEED, Driver
from tests.project import shipped_ids, shipped_plan
from tests.shipped import in_suite

DRAWINGS = ("host-keys", "matrix-grid", "machine-keys", "with-guard", "without-guard", "lines")


@pytest.fixture(scope="module")
def all_layouts(browser: Browser, page_file: Path) -> Iterator[Driver]:
    """One page, in which the layouts are chosen one after the other; Tab types on the machine in it."""
    with browser.page(early=FAST) as page:
        driver = Driver(page, page_file, speed=SPEED)
        driver.press_button("tab")
        # Nobody looks here, and painting the keys costs as much as all the rest.
        page.evaluate(f"for (const id of {list(DRAWINGS)}) document.getElementById(id).style.display = 'none'")
        yield driver


SENTENCE = 'Print "Hello", 10 PRINT 2*(3+4)-5/6: GOTO 10'


FULLY = ("de-DE", "en-GB", "en-US", "fr-FR")
"""Hosts on whose layouts everything is typed in the suite; on the others the characters that are no letters or digits."""


def presses_of(plan: Plan, whole: bool) -> tuple[KeyPress, ...]:
    """A sentence as far as the layout can type it, and then everything else that it can."""
    ways = {text: found[0] for text, found in ways_to_type(plan).items() if found[0][-1].usage not in KEYPAD_DIGITS}
    wanted = [char for char in SENTENCE if char in ways] + sorted(text for text in ways if text not in SENTENCE)
    if not whole and plan.layout.host.id not in FULLY:
        wanted = [text for text in ways if len(text) == 1 and not text.isalnum()]
    return tuple(press for text in wanted for press in ways[text])


def model_reads(plan: Plan, presses: tuple[KeyPress, ...]) -> list[str]:
    """What the machine reads according to the reference model, at an easy pace: each stroke by itself, as the page shows it."""
    style = Style(rate=Fraction(6), hold_us=50_000)
    typing = Typing(plan=plan, presses=presses, style=style, link=Link.QUEUED, interval_us=1000)
    player = play_typing(Model([plan], Sizes()), typing)
    machine = replace(plan.layout.machine, sequences={}, composes={}, modes=())
    return legends_of(Reader(machine, plan.contacts).read(player.moments))


def and_all(suite: Iterable[str]) -> list[Any]:
    """The ids for the suite, and for the campaign every layout with all that it can do, so that one run covers all."""
    whole = [pytest.param(id, True, marks=pytest.mark.campaign, id=f"{id}-whole") for id in shipped_ids()]
    return [*(pytest.param(id, False, id=id) for id in suite), *whole]


@pytest.mark.parametrize(("id", "whole"), and_all(id for id in shipped_ids() if in_suite(id, "page")))
def test_page_reads_what_the_reference_model_reads(all_layouts: Driver, id: str, whole: bool) -> None:
    """What a layout can type, as far as it is typed here, is read in the page as in the reference model."""
    plan = shipped_plan(id)
    presses = presses_of(plan, whole)
    all_layouts.choose(id)
    all_layouts.type(*presses)
    expected = model_reads(plan, presses)
    assert len(expected) >= 30
    assert all_layouts.read() == expected
    assert all_layouts.page.faults() == []


SWEEPS = ((), (SHIFT_LEFT,), (ALT_RIGHT,), (SHIFT_LEFT, ALT_RIGHT))
"""What is held while every key of the keyboard is pressed once: four times, so that every lock is as before in the end."""


Sweep = tuple[list[tuple[Usage, ...]], list[str], Standing]
"""The keys of each press, what the machine reads of all of them, and how things stand then."""


def sweep(plan: Plan, rules: Rules, hold: tuple[Usage, ...], standing: Standing) -> Sweep:
    """Every key of the host's form with some keys held for each, by the rules.

    Dead keys and locks go on from key to key, as they would for a person.
    """
    board = form_of(plan.layout.host)
    assert board is not None
    presses, reads = [], []
    names = {key.contact: key.name for key in plan.layout.machine.keys}
    for cap in board.caps:
        usage = key_usage(plan.layout.host, cap.usage)
        if usage in hold:
            continue
        presses.append((*hold, usage))
        typed: list[Typed] = []
        for each in (*hold, usage):
            done = rules.press(standing, each)
            typed += rules.types(done)
            standing = done.after
        for each in (usage, *reversed(hold)):
            # A key that had to make way for another closes again once that is up.
            before, standing = standing, rules.release(standing, each)
            typed += rules.typed(rules.closed(before), rules.closed(standing))
        reads += [one.legend.text if one.legend else f"[{names[one.contact]}]" for one in typed]
    return presses, reads, standing


def rules_of_the_page(plan: Plan) -> Rules:
    """The rules with a machine that takes each stroke by itself, as the page shows it: without sequences and modes."""
    machine = replace(plan.layout.machine, sequences={}, composes={}, modes=())
    return Rules(replace(plan, layout=replace(plan.layout, machine=machine)), make_table(plan))


SWEPT = ("quillon8-de-DE-symbolic", "langet41-de-DE-symbolic", "ricasso12-fo-fo-FO-symbolic")
"""Layouts of which every key is pressed in the suite; in the campaign it is every layout."""


ESCAPE_AGAIN = 0.5
"""Seconds in which the page takes a second Escape for a wish to leave the screen."""


@pytest.mark.parametrize(("id", "whole"), and_all(SWEPT))
def test_every_key_of_a_layout_is_read_as_by_the_rules(all_layouts: Driver, id: str, whole: bool) -> None:
    """Each key of the keyboard at each level, by key events: the page reads what the rules say."""
    plan = shipped_plan(id)
    all_layouts.choose(id)
    rules, standing = rules_of_the_page(plan), REST
    for hold in SWEEPS:
        presses, expected, standing = sweep(plan, rules, hold, standing)
        all_layouts.press_button("clear")
        escaped = 0.0
        # Where what is held types something itself, a person waits for it.
        at_once = 3 if rules.compiled.feeds.keys() >= {*hold} - {ALT_RIGHT} and plan.layout.host.has_altgr else 1
        for number, keys in enumerate(presses, start=1):
            for key in keys:
                all_layouts.down(key)
                if at_once == 1:
                    all_layouts.rest()
            all_layouts.up(*reversed(keys))
            if number % at_once == 0 or number == len(presses):
                all_layouts.rest()
                escaped = escaped or time.monotonic()
        assert all_layouts.read() == [word for text in expected for word in (text.split() or [text])], hold
        # Each sweep has an Escape, and two of them must not come soon one after the other.
        time.sleep(max(0.0, escaped + ESCAPE_AGAIN + 0.1 - time.monotonic()))
    assert all_layouts.page.faults() == []


def test_text_appears_on_the_screen(fast: Driver) -> None:
    """What is typed stands on the machine's screen, where Backspace takes away the last character."""
    plan = shipped_plan("quillon8-en-GB-symbolic")
    fast.choose(plan.id)
    ways = ways_to_type(plan)
    for text in (*"PRINT 1", "Backspace", "2", "Enter", "£"):
        fast.type(*ways[text][0])
    assert fast.text("text") == "PRINT 2\n£"


STROKES = (
    ("quillon8-en-GB-symbolic", '"', "Shift 2: shift + d2"),
    ("quillon8-de-DE-symbolic", "@", "AltGr Q: at"),
    ("quillon8-de-DE-symbolic", "'", "Shift #: shift + d7"),
    ("quillon8-fr-FR-symbolic", "1", "Shift 1: d1"),
)


@pytest.mark.parametrize(("id", "text", "said"), STROKES)
def test_page_tells_the_stroke(fast: Driver, id: str, text: str, said: str) -> None:
    """The last stroke is told in the words of the layout files."""
    fast.choose(id)
    fast.type(*ways_to_type(shipped_plan(id))[text][0])
    assert fast.text("stroke") == said


def test_caps_lock_and_num_lock_are_kept_by_the_adapter(fast: Driver) -> None:
    """Caps Lock makes capitals and lights its lamp; Num Lock is lit from the start."""
    fast.choose("quillon8-en-GB-symbolic")
    assert fast.text("lights") == "Num Lock"
    for code in ("CapsLock", "KeyA", "CapsLock", "KeyA"):
        fast.page.key("down", code)
        fast.pause(0.05)
        fast.page.key("up", code)
        fast.rest()
    assert fast.read() == ["A", "a"]
