"""What a reader sees of the page: one view, in their language, the line from key to glyph, and a phantom."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from pathlib import Path

import pytest

from matrixmap.emit.page.document import page_html
from matrixmap.emit.texts.language import LANGUAGES, texts_of
from matrixmap.hid.usages import by_code
from tests import make_wasm
from tests.browser import Browser
from tests.draw.test_signs import in_text_fonts
from tests.once import Once
from tests.page.driving import FAST, SPEED, Driver
from tests.project import shipped_plan

SHOWN = (
    "quillon8-de-DE-symbolic",
    "quillon8-en-US-positional",
    "langet41-de-DE-symbolic",
    "ricasso12-fo-de-DE-symbolic",
)
LEAST_PIXELS = 9.0

LETTERS = """[...document.querySelectorAll('#view svg text')].filter((text) => text.getClientRects().length).map(
  (text) => [parseFloat(getComputedStyle(text).fontSize) * Math.abs(text.getScreenCTM().d), text.textContent])"""


def languages(*tags: str) -> str:
    """A script by which the browser has a reader's languages."""
    return f"Object.defineProperty(navigator, 'languages', {{ get: () => {json.dumps(tags)} }});"


@pytest.fixture(scope="module")
def some_file(once: Once) -> Path:
    """The page of a few layouts."""
    ids = (*SHOWN, "quillon8-fr-FR-symbolic", "quillon8-uk-UA-symbolic", "quillon8-en-GB-symbolic")

    def write(folder: Path) -> None:
        (folder / "page.html").write_text(page_html([shipped_plan(id) for id in ids]), encoding="utf-8")

    return once.folder("view", write) / "page.html"


@contextmanager
def opened(
    browser: Browser, file: Path, *, width: int = 1366, height: int = 768, dark: bool = False, early: str = ""
) -> Iterator[Driver]:
    """The page in a window, faster than a person; nothing is complained of."""
    with browser.page(width=width, height=height, dark=dark, early=FAST + early) as page:
        driver = Driver(page, file, speed=SPEED)
        yield driver
        assert page.faults() == []


Windows = Callable[[int, int, bool], AbstractContextManager[Driver]]


@pytest.fixture(scope="module")
def windows(browser: Browser, some_file: Path) -> Iterator[Windows]:
    """Windows of some sizes with the page in them, each opened once: a test chooses what it looks at."""
    with ExitStack() as stack:
        found: dict[tuple[int, int, bool], Driver] = {}

        @contextmanager
        def window(width: int, height: int, dark: bool) -> Iterator[Driver]:
            size = (width, height, dark)
            if size not in found:
                found[size] = stack.enter_context(opened(browser, some_file, width=width, height=height, dark=dark))
            yield found[size]
            assert found[size].page.faults() == []

        yield window


@pytest.mark.parametrize("id", SHOWN)
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_all_is_in_one_view(windows: Windows, tmp_path: Path, id: str, dark: bool) -> None:
    """At 1366x768 screen, keyboards, matrix and both guards are inside the window, with letters of 9 pixels at least."""
    with windows(1366, 768, dark) as driver:
        driver.choose(id)
        driver.down(*by_code("ShiftLeft"), *by_code("Digit2"))
        driver.rest()
        driver.page.screenshot(tmp_path / "view.png", whole=False)
        for part in ("screen", "host-keys", "matrix-grid", "machine-keys", "compare"):
            box = driver.page.evaluate(
                f"(() => {{ const box = document.getElementById('{part}').getBoundingClientRect();"
                "return [box.left, box.top, box.right, box.bottom, box.width]; })()"
            )
            assert box[4] > 100
            assert box[0] >= 0
            assert box[1] >= 0
            assert box[2] <= 1366
            assert box[3] <= 768, part
        sizes = driver.page.evaluate(LETTERS)
        assert len(sizes) > 250
        assert min(sizes)[0] >= LEAST_PIXELS, min(sizes)
        driver.up(*by_code("Digit2"), *by_code("ShiftLeft"))


@pytest.mark.parametrize("id", SHOWN)
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_phone_has_no_keypad_and_readable_letters(windows: Windows, tmp_path: Path, id: str, dark: bool) -> None:
    """At 380 pixels keypad and print strip are gone, every other key is there, and no letter has less than 9 pixels."""
    with windows(380, 800, dark) as driver:
        driver.choose(id)
        driver.page.screenshot(tmp_path / "phone.png")
        codes = driver.page.evaluate("[...document.querySelectorAll('#host-keys .key')].map((key) => key.dataset.code)")
        assert not [code for code in codes if code.startswith("Numpad") or code == "NumLock"]
        assert {"Escape", "KeyA", "Space", "ArrowUp", "Insert", "Pause"} <= set(codes)
        assert driver.page.evaluate("document.querySelectorAll('.print, #machine-keys .reach').length") == 0
        sizes = driver.page.evaluate(LETTERS)
        assert len(sizes) > 150
        assert min(sizes)[0] >= LEAST_PIXELS, min(sizes)
        assert driver.page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        # What would be cut beside others is left to the key's sentence; no two words are cut to the same.
        legends = driver.page.evaluate(
            "[...document.querySelectorAll('#host-keys text')].map((one) => one.textContent)"
        )
        cut = [legend for legend in legends if legend.endswith("…")]
        assert len(cut) == len(set(cut)) <= 1
        overlaps = """(() => {
          const boxes = [...document.querySelectorAll('#host-keys .cap')].map((cap) => cap.getBoundingClientRect());
          const inside = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1;
          return boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => inside(a, b))).length;
        })()"""
        # The lower part of an Enter key of two rows lies beside a key, inside its box.
        assert driver.page.evaluate(overlaps) <= 1


SHOWN_NAMES = """['machine-keys', 'host-keys'].map((id) => [...document.querySelectorAll(`#${id} text`)]
  .map((text) => [text.textContent, text.dataset.whole ?? text.textContent]))"""
POINTS = """[...document.querySelectorAll('#matrix-grid .point:not(.empty)')].map((point) =>
  [...point.querySelectorAll('text')].map((text) => text.textContent).join(''))"""


@pytest.mark.parametrize("width", [380, 1366])
def test_no_two_keys_have_the_same_text(windows: Windows, width: int) -> None:
    """Of each machine, on a phone and a desk: what differs is shown so, and no name is cut in the matrix."""
    with windows(width, 800 if width < 400 else 768, False) as driver:
        for id in ("quillon8-de-DE-symbolic", "langet41-de-DE-symbolic", "ricasso12-fo-de-DE-symbolic"):
            driver.choose(id)
            for part in driver.page.evaluate(SHOWN_NAMES):
                whole: dict[str, set[str]] = {}
                for shown, text in part:
                    whole.setdefault(shown, set()).add(text)
                assert {shown: texts for shown, texts in whole.items() if len(texts) > 1} == {}
            keys = shipped_plan(id).layout.machine.keys
            points = driver.page.evaluate(POINTS)
            assert len(points) == len(set(points)) == sum(key.contact is not None for key in keys)
            assert [name for name in points if "…" in name] == []


def test_names_that_begin_alike_are_told_apart(browser: Browser) -> None:
    """In rooms of many widths: names of all machines and awkward ones, that differ, are shown so, and keep within their room."""
    names = {key.name for id in SHOWN for key in shipped_plan(id).layout.machine.keys}
    names |= {
        legend.text for id in SHOWN for key in shipped_plan(id).layout.machine.keys for legend in key.types.values()
    }
    awkward = (
        "forward",
        "forwarding",
        "forwarded",
        "Tr1",
        "Tra1",
        "sh-le",
        "a-b-c",
        "left Shift",
        "PageUpper",
        "Page Up",
    )
    words = sorted({*(name for name in names if len(name) > 1), *awkward})
    code = (Path(make_wasm.WEB) / "drawing.js").read_text(encoding="utf-8")
    script = f"""(() => {{
      const data = {{ shapes: {{}} }}, tongue = {{ signs: {{}} }};
      {code}
      pen.font = "100px sans-serif";
      return [10, 14, 18, 23, 30, 44].map((room) => {{
        const root = svg("svg", {{}}, ...{json.dumps(words)}.map((name) => line(name, 0, 0, room, 14, LEAST_PIXELS)));
        tellApart(root);
        return [...root.children].map((one) => [one.textContent, Number(one.getAttribute("font-size")),
          Math.min(textWidth(one.textContent) * one.getAttribute("font-size"), one.getAttribute("textLength") ?? 1e9), room]);
      }});
    }})()"""
    with browser.page() as page:
        for shown in page.evaluate(script):
            assert len({text for text, _, _, _ in shown}) == len(words)
            assert all(size >= LEAST_PIXELS and width <= room + 0.01 for _, size, width, room in shown)


WITHOUT = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig>
<include ignore_missing="yes">/etc/fonts/fonts.conf</include>
<selectfont><rejectfont>
<pattern><patelt name="family"><string>DejaVu Sans</string></patelt></pattern>
<pattern><patelt name="family"><string>DejaVu Sans Mono</string></patelt></pattern>
</rejectfont></selectfont>
<cachedir>CACHE</cachedir>
</fontconfig>
"""

OUTSIDE = """[...document.querySelectorAll('#machine-keys .key')].flatMap((key) => {
  const cap = key.querySelector('.cap').getBoundingClientRect();
  return [...key.querySelectorAll('text')].filter((text) => {
    const box = text.getBoundingClientRect();
    return box.left < cap.left - 1 || box.right > cap.right + 1;
  }).map((text) => key.getAttribute('aria-label') + ' | ' + text.textContent);
})"""


def test_the_view_without_its_first_font(some_file: Path, tmp_path: Path) -> None:
    """Where DejaVu Sans is not installed another font stands in: all is in the view, in its keys, and what is drawn needs none."""
    config = tmp_path / "fonts.conf"
    config.write_text(WITHOUT.replace("CACHE", str(tmp_path / "cache")), encoding="utf-8")
    with Browser({"FONTCONFIG_FILE": str(config)}) as other, opened(other, some_file) as driver:
        driver.choose("quillon8-en-US-positional")
        driver.page.screenshot(tmp_path / "view.png", whole=False)
        width = "(() => { const pen = document.createElement('canvas').getContext('2d'); pen.font = '100px {}';"
        width += "return pen.measureText('mmmmmmmm').width; })()"
        named, standing_in = (driver.page.evaluate(width.replace("{}", font)) for font in ('"DejaVu Sans"', "serif"))
        assert named == pytest.approx(standing_in) or named != pytest.approx(779.3, abs=1), "the font is gone"
        assert driver.page.evaluate(OUTSIDE) == []
        assert min(driver.page.evaluate(LETTERS))[0] >= LEAST_PIXELS
        for code in ("Digit5", "KeyV", "KeyR", "KeyM", "KeyN"):
            driver.down(*by_code("AltLeft"), *by_code(code))
            driver.rest()
            driver.up(*by_code(code), *by_code("AltLeft"))
        driver.press_button("start")
        driver.rest()
        assert driver.text("text") == "".join(driver.read()) == "⚄⚐↻☞◐"
        # Everything that is text on the page, drawn or not, is in every text font; signs are pictures with a name.
        texts = driver.page.evaluate(
            "[document.body.textContent.replace(document.getElementById('data').textContent, ''),"
            "...[...document.querySelectorAll('[aria-label]')].map((one) => one.getAttribute('aria-label'))]"
        )
        assert {char for char in "".join(texts) if not in_text_fonts(char)} == set()
        heard = "[...document.querySelectorAll('#text .sign')].map((one) => one.getAttribute('aria-label'))"
        assert driver.page.evaluate(heard)[:2] == ["die with five", "white flag"]
        assert driver.page.evaluate("document.querySelectorAll('#view .shape').length") > 40
        assert driver.page.evaluate("document.getElementById('machine-keys').getBoundingClientRect().bottom") <= 768


def test_a_line_goes_from_the_key_to_its_crosspoint_and_glyph(browser: Browser, some_file: Path) -> None:
    """From the key pressed last a line leads to the crosspoint and to the machine's key, where the glyph stands; both ends fit."""
    with opened(browser, some_file) as driver:
        driver.choose("quillon8-de-DE-symbolic")
        driver.down(*by_code("ShiftLeft"), *by_code("Digit2"))
        driver.rest()
        contact = shipped_plan("quillon8-de-DE-symbolic").layout.machine.key("d2").contact
        found = driver.page.evaluate("""(() => {
          const trace = document.querySelector('#lines .trace'), view = document.getElementById('view').getBoundingClientRect();
          const ends = trace.getAttribute('d').slice(1).split('L').map((pair) => pair.split(' ').map(Number));
          const under = ([x, y], selector) => document.elementsFromPoint(view.left + x, view.top + y).some((one) => one.closest(selector));
          const label = [...document.querySelectorAll('#machine-keys .key')].find((key) => key.getAttribute('aria-label').startsWith('d2 '));
          const box = label.querySelector('.cap').getBoundingClientRect();
          return [document.querySelectorAll('#lines .trace').length, trace.dataset.contact, under(ends[0], '[data-code=Digit2]'),
            under(ends[1], '.is-closed'), ends[2][0] + view.left > box.left && ends[2][0] + view.left < box.right,
            document.querySelector('#lines text').textContent];
        })()""")
        assert found == [1, str(int(contact)), True, True, True, '"']
        driver.up(*by_code("Digit2"), *by_code("ShiftLeft"))
        driver.rest()
        assert driver.page.evaluate("document.querySelectorAll('#lines .trace').length") == 1
        driver.choose("quillon8-fr-FR-symbolic")
        assert driver.page.evaluate("document.querySelectorAll('#lines .trace').length") == 0


@pytest.mark.parametrize("id", ["quillon8-en-US-positional", "langet41-de-DE-symbolic"])
def test_a_phantom_is_shown(browser: Browser, some_file: Path, id: str) -> None:
    """One button holds three keys: without the guard the rectangle glows and the fourth key is read and typed, with it not."""
    with opened(browser, some_file) as driver:
        driver.choose(id)
        driver.press_button("clear")
        driver.press_button("phantom")
        driver.rest()
        assert not driver.page.evaluate("document.getElementById('guard').checked")
        fourth = driver.text("stroke").rpartition("also reads ")[2].rstrip(".")
        assert driver.text("phantoms").startswith(f"{fourth} (")
        glowing = "['matrix-grid', 'with-guard', 'without-guard'].map((id) => document.querySelectorAll(`#${id} .rectangle`).length)"
        assert driver.page.evaluate(glowing) == [1, 0, 1]
        machine = shipped_plan(id).layout.machine
        types = {legend.text for legend in machine.key(fourth).types.values()}
        assert types & set(driver.read())
        assert types & set(driver.text("typed-without").split())
        assert not types & set(driver.text("typed-with").split())
        driver.press_button("guard")
        driver.rest()
        assert driver.text("phantoms") == "none"
        assert driver.page.evaluate(glowing) == [0, 0, 1]
        driver.press_button("release")
        driver.rest()
        assert driver.page.evaluate(glowing) == [0, 0, 0]


@pytest.mark.parametrize(
    ("wanted", "tag", "layout"),
    [
        (("de-DE", "en"), "de", "quillon8-de-DE-symbolic"),
        (("fr-CA",), "fr", "quillon8-fr-FR-symbolic"),
        (("uk",), "uk", "quillon8-uk-UA-symbolic"),
        (("ja", "en-GB"), "ja", "quillon8-en-GB-symbolic"),
        (("he-IL",), "he", "quillon8-de-DE-symbolic"),
        (("xx",), "en", "quillon8-de-DE-symbolic"),
    ],
)
def test_opens_in_the_readers_language(
    browser: Browser, some_file: Path, wanted: tuple[str, ...], tag: str, layout: str
) -> None:
    """Texts are those of the first language that there is, and the layout is that of the reader's keyboard, else the first."""
    with opened(browser, some_file, early=languages(*wanted)) as driver:
        html = driver.page.evaluate("[document.documentElement.lang, document.documentElement.dir]")
        assert html == [tag, texts_of("page", tag).direction]
        assert driver.text("matrix") == texts_of("page", tag).say("matrix")
        assert driver.page.evaluate("document.getElementById('layout').value") == layout


@pytest.mark.parametrize("tag", LANGUAGES)
def test_every_text_of_the_page_is_in_the_chosen_language(windows: Windows, tag: str) -> None:
    """Chosen from the list, a language takes the place of every text, and the window is not made wider by any."""
    with windows(1360, 768, False) as driver:
        driver.page.evaluate(
            f"(() => {{ const list = document.getElementById('language'); list.value = '{tag}';"
            "list.dispatchEvent(new Event('change')); })()"
        )
        driver.choose("quillon8-de-DE-symbolic")
        page = texts_of("page", tag)
        texts = driver.page.evaluate(
            "[...document.querySelectorAll('[data-text]')].map((e) => [e.dataset.text, e.textContent])"
        )
        assert len(texts) > 30
        assert {key: text for key, text in texts if text != page.say(key)} == {}
        label = driver.page.evaluate("document.querySelector('[data-code=F12]').getAttribute('aria-label')")
        assert label == page.say("key-nothing", key="F12")
        assert driver.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_link_restores_layout_and_text(browser: Browser, some_file: Path) -> None:
    """The address follows what is typed; opened anew it brings back layout and text, and a bad one changes nothing."""
    with opened(browser, some_file) as driver:
        driver.choose("quillon8-fr-FR-symbolic")
        for code in ("KeyA", "Comma"):
            driver.down(*by_code(code))
            driver.rest()
            driver.up(*by_code(code))
            driver.rest()
        text = driver.text("text")
        assert len(text) == 2
        driver.page.wait(f"decodeURIComponent(location.hash).endsWith({json.dumps(',' + text)})")
        link = driver.page.evaluate("location.hash")
        assert link.startswith("#quillon8-fr-FR-symbolic,")
        driver.page.evaluate("location.hash = 'quillon8-en-GB-symbolic,A%0AB%20%E2%82%AC'")
        driver.page.wait("document.getElementById('layout').value === 'quillon8-en-GB-symbolic'")
        assert driver.text("text") == "A\nB €"
        driver.page.evaluate("location.hash = 'no-such,%E0%A4%A'")
        driver.page.evaluate(f"location.hash = {json.dumps(link)}")
        driver.page.wait("document.getElementById('layout').value === 'quillon8-fr-FR-symbolic'")
        assert driver.text("text") == text
        driver.page.send("Page.reload")
        driver.page.wait(
            "document.documentElement?.dataset.ready === 'yes' && document.getElementById('text')?.textContent"
        )
        assert driver.text("text") == text


def test_the_view_is_copied_as_a_picture(browser: Browser, some_file: Path) -> None:
    """The picture is a PNG of the view at twice its size, with keys, line and screen in it; without a clipboard it is a file."""
    with browser.page(width=1366, height=768, early=FAST) as page:
        driver = Driver(page, some_file, speed=SPEED)
        driver.choose("quillon8-de-DE-symbolic")
        driver.down(*by_code("KeyQ"))
        driver.rest()
        driver.page.evaluate(
            "globalThis.kept = null; Object.defineProperty(navigator, 'clipboard', { value: { write: async ([item]) => {"
            " globalThis.kept = await item.getType('image/png'); } } }); 0"
        )
        driver.press_button("picture")
        driver.page.wait("document.getElementById('copied').textContent")
        assert driver.text("copied") == "Copied."
        seen = driver.page.evaluate("""(async () => {
          const picture = await createImageBitmap(globalThis.kept), view = document.getElementById('view').getBoundingClientRect();
          const canvas = new OffscreenCanvas(picture.width, picture.height), pen = canvas.getContext('2d', { willReadFrequently: true });
          pen.drawImage(picture, 0, 0);
          const colours = (id) => {
            const box = document.getElementById(id).getBoundingClientRect();
            const { data } = pen.getImageData(2 * (box.left - view.left), 2 * (box.top - view.top), 2 * box.width, 2 * box.height);
            return new Set(new Uint32Array(data.buffer)).size;
          };
          return [picture.width / view.width, ...['screen', 'host-keys', 'matrix-grid', 'machine-keys'].map(colours)];
        })()""")
        assert seen[0] == pytest.approx(2, abs=0.01)
        assert all(count > 20 for count in seen[1:]), seen
        driver.page.evaluate("navigator.clipboard.write = async () => { throw new Error('shut'); }; 0")
        driver.press_button("picture")
        driver.page.wait("document.getElementById('copied').textContent === 'Saved as a file.'")
        # Signs among the page's own words are none of its drawings.
        asked = [
            event["params"]["request"]["url"]
            for event in page.events()
            if event["method"] == "Network.requestWillBeSent"
        ]
        pictures = [url for url in asked if url.startswith("data:image/svg")]
        assert pictures
        assert not any("class%3D%22sign%22" in url for url in pictures)
        # It asks for the picture that it has drawn itself, and for nothing else.
        assert {fault[:24] for fault in page.faults()} <= {"request: data:image/svg+", "request: blob:null/"[:24]}


def test_meta_frees_keys_that_are_never_told(browser: Browser, some_file: Path) -> None:
    """A key that goes down under Meta and whose release is not told is up once Meta is."""
    with opened(browser, some_file) as driver:
        driver.choose("quillon8-en-GB-symbolic")
        driver.down(*by_code("MetaLeft"), *by_code("KeyC"))
        driver.rest()
        assert "C" in driver.text("down")
        driver.up(*by_code("MetaLeft"))
        driver.rest()
        assert driver.text("down") == "none"
        assert driver.text("closed") == "nothing"


def caps_event(kind: str, code: str, on: bool) -> str:
    """A script that sends a key event with the state of the reader's Caps Lock."""
    return (
        f"document.getElementById('screen').dispatchEvent(new KeyboardEvent('{kind}', {{ code: '{code}', bubbles: true,"
        f" cancelable: true, modifierCapsLock: {json.dumps(on)} }})); 0"
    )


def test_caps_lock_follows_the_readers(browser: Browser, some_file: Path) -> None:
    """Turned on elsewhere, the reader's Caps Lock turns on that of the adapter at the next key, and off again."""
    with opened(browser, some_file) as driver:
        driver.choose("quillon8-en-GB-symbolic")
        for on in (True, True, False):
            for kind in ("keydown", "keyup"):
                driver.page.evaluate(caps_event(kind, "KeyA", on))
                driver.rest()
        assert driver.read() == ["A", "A", "a"]


def test_caps_lock_that_is_told_once_a_change(browser: Browser, some_file: Path) -> None:
    """Where a system tells of Caps Lock by one event a change, each is a press and a release."""
    early = "Object.defineProperty(navigator, 'platform', { get: () => 'MacIntel' });"
    with opened(browser, some_file, early=early) as driver:
        driver.choose("quillon8-en-GB-symbolic")
        read = []
        for kind, on in (("keydown", True), ("keyup", False)):
            driver.page.evaluate(caps_event(kind, "CapsLock", on))
            driver.page.wait("document.getElementById('down').textContent === 'none'")
            for event in ("keydown", "keyup"):
                driver.page.evaluate(caps_event(event, "KeyA", on))
                driver.rest()
            read.append(driver.text("lights"))
        assert driver.read() == ["A", "a"]
        assert read == ["Num Lock, Caps Lock", "Num Lock"]


def test_the_exercise_asks_for_tab_only_where_it_types(browser: Browser, some_file: Path) -> None:
    """While Tab leaves the screen it is not asked for; given to the machine, it is."""
    with opened(browser, some_file) as driver:
        driver.choose("quillon8-de-DE-symbolic")

        def asked() -> list[str]:
            driver.press_button("start")
            found = []
            while ": type " in driver.text("task"):
                found.append(driver.text("task").partition(": type ")[2].rstrip("."))
                driver.press_button("skip")
            return found

        without = asked()
        driver.press_button("tab")
        assert sorted([*without, "Tab"]) == sorted(asked())
        assert "Tab" not in without


def test_the_output_has_the_last_key_only(browser: Browser, some_file: Path) -> None:
    """A screen reader hears one key at a time, not all that was typed again."""
    with opened(browser, some_file) as driver:
        driver.choose("quillon8-en-GB-symbolic")
        for code, said in (("KeyA", "a"), ("KeyB", "b"), ("Space", "space")):
            driver.down(*by_code(code))
            driver.rest()
            driver.up(*by_code(code))
            driver.rest()
            assert driver.page.evaluate("[...document.querySelectorAll('output')].map((one) => one.textContent)") == [
                said
            ]
        assert driver.read() == ["a", "b", " "]
