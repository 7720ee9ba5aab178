"""What the page shows: contacts, phantoms, what is read; how it is used; and that nothing leaves it."""

from __future__ import annotations

from pathlib import Path

import pytest

from matrixmap.circuit.reading import read_contacts
from matrixmap.hid.usages import Usage, by_code
from matrixmap.model.plan import Feed, Plan, Stroke, Trigger
from tests.browser import Browser
from tests.page.driving import Driver
from tests.project import shipped_plan

POSITIONAL = "quillon8-en-US-positional"


def corner_of(plan: Plan) -> tuple[list[Usage], str]:
    """Left Shift and two keys that make a phantom with it, and the machine's key that the phantom is."""
    machine = plan.layout.machine
    shift = plan.by_trigger[Trigger(usage=by_code("ShiftLeft")[0], level=1)]
    assert isinstance(shift, Feed)
    plain = {
        binding.trigger.usage: binding.action.contacts[0]
        for binding in plan.bindings
        if isinstance(binding.action, Stroke) and binding.trigger.level == 1
    }
    for first, one in plain.items():
        for second, other in plain.items():
            closed = {shift.contact, one, other}
            extra = read_contacts(machine, closed, plan.contacts) - closed
            if len(closed) == 3 and len(extra) == 1:
                ghost = next(key.name for key in machine.keys if key.contact in extra)
                return [by_code("ShiftLeft")[0], first, second], ghost
    raise AssertionError("the demo's machine has phantoms")


def test_phantom_is_shown_without_the_guard_and_prevented_with_it(fast: Driver) -> None:
    """Three keys on a corner: with the guard an older one opens, without it the fourth crosspoint is shown as phantom."""
    keys, ghost = corner_of(shipped_plan(POSITIONAL))
    fast.choose(POSITIONAL)
    fast.down(*keys)
    fast.rest()
    assert fast.text("phantoms") == "none"
    assert fast.text("closed").count(",") == 1
    fast.up(*keys)
    fast.rest()
    fast.press_button("guard")
    fast.press_button("clear")
    fast.down(*keys)
    fast.rest()
    assert fast.text("closed").count(",") == 2
    assert fast.text("phantoms").startswith(f"{ghost} (")
    assert ghost in fast.text("reads")
    fast.page.wait("document.querySelectorAll('#matrix-grid .point').length > 60")
    shown = fast.page.evaluate("[...document.querySelectorAll('#matrix-grid .phantom text')].map((e) => e.textContent)")
    assert shown == [ghost]
    shape = "document.querySelector('#matrix-grid .phantom .phantom-sign').getBBox().width"
    assert fast.page.evaluate(shape) > 0


def test_guard_of_the_page_changes_what_the_layout_option_changes() -> None:
    """Switching guard and rollover off in the page flips exactly the bytes that the emitter would write."""
    from dataclasses import replace

    from matrixmap.emit.page.document import GUARD_BIT, GUARD_BYTE, ROLLOVER_BYTE
    from matrixmap.press.table.format import NO_ROLLOVER
    from matrixmap.press.table.make import make_table

    plan = shipped_plan(POSITIONAL)
    scan = replace(plan.layout.machine.scan, rollover=None)
    free = replace(plan, layout=replace(plan.layout, machine=replace(plan.layout.machine, scan=scan)))
    table = make_table(plan).to_bytes()
    off = bytearray(table)
    off[GUARD_BYTE] &= ~GUARD_BIT
    # The page's runtime looks at no checksum.
    assert make_table(replace(plan, guard=False)).to_bytes()[:-2] == bytes(off)[:-2] != table[:-2]
    off = bytearray(table)
    off[ROLLOVER_BYTE] = NO_ROLLOVER
    assert make_table(free).to_bytes()[:-2] == bytes(off)[:-2] != table[:-2]


def test_without_rollover_and_guard_every_key_closes(fast: Driver) -> None:
    """With both switched off in the page, four keys held close four contacts; with the rollover of two, two."""
    fast.choose(POSITIONAL)
    keys = [by_code(code)[0] for code in ("KeyQ", "KeyW", "KeyE", "KeyR")]
    counts = []
    for box in ("guard", "rollover"):
        fast.press_button(box)
        fast.down(*keys)
        fast.rest()
        counts.append(fast.text("closed").count(",") + 1)
        fast.up(*keys)
        fast.rest()
    assert counts == [2, 4]


def test_keys_held_by_clicks_stay_down_and_can_be_released(fast: Driver) -> None:
    """With `Clicked keys stay down` a click holds a key, another click frees it, and one button frees all."""
    fast.choose(POSITIONAL)
    fast.press_button("hold")
    for label in ("KeyQ", "KeyG"):
        fast.page.click(*fast.key_middle(label))
    fast.rest()
    assert fast.text("down") == "Q, G"
    assert "q (" in fast.text("closed")
    assert "g (" in fast.text("closed")
    fast.page.click(*fast.key_middle("KeyQ"))
    assert fast.text("down") == "G"
    fast.press_button("release")
    fast.rest()
    assert fast.text("down") == "none"
    assert fast.text("closed") == "nothing"


def test_clicked_modifier_counts_for_the_next_key(fast: Driver) -> None:
    """A click on Shift and a click on a key type the key's upper legend; the next click is plain again."""
    fast.choose("quillon8-en-GB-symbolic")
    fast.page.click(*fast.key_middle("ShiftLeft"))
    fast.rest()
    for _ in range(2):
        x, y = fast.key_middle("KeyB")
        fast.page.mouse("mousePressed", x, y)
        fast.rest()
        fast.page.mouse("mouseReleased", x, y)
        fast.rest()
    assert fast.read() == ["B", "b"]


def test_altgr_may_arrive_as_control_and_alt(fast: Driver) -> None:
    """ControlLeft that arrives together with AltRight is AltGr alone; a Control held before it is not taken away."""
    fast.choose("quillon8-de-DE-symbolic")
    # Both are made before the first is sent, so that a busy machine does not pull their moments apart.
    events = "const screen = document.getElementById('screen'); const codes = ['ControlLeft', 'AltRight'];"
    events += "const pair = codes.map((code) => new KeyboardEvent('keydown', {code, bubbles: true, cancelable: true}));"
    fast.page.evaluate(f"(() => {{ {events} pair.forEach((event) => screen.dispatchEvent(event)); }})()")
    fast.down(by_code("KeyQ")[0])
    fast.rest()
    assert fast.text("down") == "AltGr, Q"
    assert fast.text("stroke") == "AltGr Q: at"
    assert fast.read() == ["@"]


def test_losing_the_window_releases_all_keys(fast: Driver) -> None:
    """On blur nothing stays down."""
    fast.choose(POSITIONAL)
    fast.down(*by_code("KeyA"), *by_code("ShiftLeft"))
    assert fast.text("down") == "A, left Shift"
    fast.page.evaluate("window.dispatchEvent(new Event('blur'))")
    fast.rest()
    assert fast.text("down") == "none"
    assert fast.text("closed") == "nothing"


def test_layout_changes_while_keys_are_down(fast: Driver) -> None:
    """Another layout at any moment leaves no contact closed and types by the new layout from then on."""
    fast.choose("quillon8-en-GB-symbolic")
    fast.down(*by_code("KeyY"))
    fast.rest()
    fast.choose("quillon8-de-DE-symbolic")
    fast.up(*by_code("KeyY"))
    fast.rest()
    assert fast.text("closed") == "nothing"
    fast.down(*by_code("KeyY"))
    fast.rest()
    fast.up(*by_code("KeyY"))
    fast.rest()
    assert fast.read()[-1] == "z"


def test_exercise_asks_for_every_special_character(fast: Driver) -> None:
    """The exercise has every special text that a layout can type without the keypad, and goes on when it is typed."""
    from matrixmap.emit.pictures.sheet import sheet_content

    plan = shipped_plan("quillon8-fr-FR-symbolic")
    fast.press_button("tab")
    fast.choose(plan.id)
    content = sheet_content(plan)
    special = {way.text for way in (*content.characters, *content.functions)}
    fast.press_button("hint")
    fast.press_button("start")
    assert fast.text("task").startswith(f"1 of {len(special)}: type space. Press Space.")
    fast.down(*by_code("KeyA"))
    fast.rest()
    fast.up(*by_code("KeyA"))
    fast.rest()
    assert "That typed q." in fast.text("task")
    fast.down(*by_code("Space"))
    fast.rest()
    fast.up(*by_code("Space"))
    fast.rest()
    assert fast.text("task").startswith(f"2 of {len(special)}: type !. Press !.")


def test_dead_keys_are_listed_and_told(fast: Driver) -> None:
    """A layout's dead keys stand below its keys with their sign; the key says that it waits, and the exercise what follows."""
    fast.choose("quillon8-fr-FR-symbolic")
    assert "Three dots: a dead key, which waits for the next key (here ^ \u00a8 \u02da \u00b4)." in fast.text("columns")
    label = "document.querySelector('[data-code=BracketLeft]').getAttribute('aria-label')"
    assert "types plain ^ and waits for the next key, with Shift \u00a8 and waits" in fast.page.evaluate(label)
    signs = "document.querySelectorAll('#host-keys .waits').length"
    assert fast.page.evaluate(signs) > 3
    fast.down(*by_code("BracketLeft"))
    fast.rest()
    fast.up(*by_code("BracketLeft"))
    fast.rest()
    assert fast.text("stroke") == "^: waits for the next key (^)"
    assert hint_for(fast, "^") == "Press AltGr 9."
    fast.choose("quillon8-de-DE-symbolic")
    assert hint_for(fast, "^") == "Press ^, then Space."
    fast.choose("quillon8-en-US-symbolic")
    assert fast.page.evaluate(signs) == 0
    assert "Three dots" not in fast.text("columns")


def hint_for(fast: Driver, text: str) -> str:
    """What the exercise says of a character, after those before it are skipped."""
    if not fast.page.evaluate("document.getElementById('hint').checked"):
        fast.press_button("hint")
    fast.press_button("start")
    for _ in range(100):
        asked, _, hint = fast.text("task").partition(f": type {text}. ")
        if hint:
            return hint
        fast.press_button("skip")
    raise AssertionError(f"{text} is not asked for; last {asked}")


def test_page_works_with_the_keyboard_alone(fast: Driver) -> None:
    """Tab leaves the screen, reaches a drawn key; arrows move, Space presses, Enter holds."""
    fast.choose(POSITIONAL)
    for _ in range(12):
        fast.page.key("down", "Tab")
        fast.page.key("up", "Tab")
        if fast.page.evaluate("document.activeElement.closest('#host-keys') !== null"):
            break
    assert fast.page.evaluate("document.activeElement.getAttribute('aria-label')") == "Escape types Escape"
    for code in ("ArrowDown", "ArrowRight"):
        fast.page.key("down", code)
        fast.page.key("up", code)
    assert fast.page.evaluate("document.activeElement.dataset.code") == "Digit1"
    fast.page.key("down", "Space", " ")
    fast.rest()
    assert fast.page.evaluate("document.activeElement.getAttribute('aria-pressed')") == "true"
    fast.page.key("up", "Space", " ")
    fast.rest()
    assert fast.read() == ["1"]
    fast.page.key("down", "Enter")
    fast.page.key("up", "Enter")
    assert fast.text("down") == "1"


def test_tab_and_escape_do_not_trap(fast: Driver) -> None:
    """When Tab types on the machine, Escape twice leaves the screen (WCAG 2.2, 2.1.2)."""
    fast.press_button("tab")
    fast.choose(POSITIONAL)
    fast.page.key("down", "Tab")
    fast.page.key("up", "Tab")
    fast.rest()
    assert fast.page.evaluate("document.activeElement.id") == "screen"
    for _ in range(2):
        fast.page.key("down", "Escape")
        fast.page.key("up", "Escape")
    fast.rest()
    assert fast.page.evaluate("document.activeElement.id") == "clear"


def test_page_is_small_and_alone(page_file: Path) -> None:
    """The page for all shipped layouts has less than 400 KB and names no other file or address."""
    text = page_file.read_text(encoding="utf-8")
    assert len(text.encode()) < 400_000
    policy = text.partition('http-equiv="Content-Security-Policy" content="')[2].partition('">')[0]
    assert policy.startswith("default-src 'none';")
    assert "unsafe-inline" not in policy
    assert "unsafe-eval" not in policy.replace("'wasm-unsafe-eval'", "")
    for word in (" src=", " href=", "@import", "url(", "fetch(", "XMLHttpRequest", "WebSocket"):
        assert word not in text


@pytest.mark.parametrize("width", [420, 1280])
@pytest.mark.parametrize("dark", [False, True])
def test_page_fits_its_window(browser: Browser, page_file: Path, tmp_path: Path, width: int, dark: bool) -> None:
    """At a narrow and a wide window nothing makes the page itself scroll sideways; a picture of it is kept for looking."""
    with browser.page(width=width, dark=dark) as page:
        page.open(page_file)
        page.wait("document.documentElement.dataset.ready === 'yes'")
        picture = tmp_path / f"page-{width}{'-dark' if dark else ''}.png"
        page.screenshot(picture)
        assert picture.stat().st_size > 20_000
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert page.faults() == []
