"""The owner's page in a real browser: it fits a phone and a printed page, and everybody can read it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from matrixmap.compare.comparison import Comparison, compare_sides
from matrixmap.form.as_html import page_report
from tests import tools
from tests.browser import Browser, Page
from tests.compare.sides import side
from tests.compare.test_comparison import changed
from tests.compare.test_owner import BASE, every_sign, project
from tests.once import Once
from tests.page.test_access import violations
from tests.shipped import in_campaign

DRAWN = "Array.from(document.querySelectorAll('figure svg')).filter((one) => one.getClientRects().length)"


def small_base() -> Comparison:
    """A base that loses many lines, with four countries of unlike shape and script above it."""
    wanted = ("de-DE", "he-IL", "ja-JP", "en-US")
    old = {name: text for name, text in project().items() if not name.startswith("layouts/")}
    for name in (BASE, *(f"layouts/quillon8-{host}-symbolic.yaml" for host in wanted)):
        old[name] = project()[name]
    new = changed(old, BASE, "  Alt+*: blazon + *\n  Shift+Alt+*: shift + blazon + *\n", "")
    new = changed(new, BASE, "  Pause: hail\n", "  F11: hail\n")
    return compare_sides(side("old", old), side("new", new), findings=False)


CHOSEN = "quillon8-ja-JP-symbolic"


@pytest.fixture(scope="module", params=[small_base, every_sign])
def page_file(request: pytest.FixtureRequest, once: Once) -> Path:
    """The page of a comparison on disk."""
    make: Callable[[], Comparison] = request.param

    def write(folder: Path) -> None:
        (folder / "page.html").write_text(page_report(make()), encoding="utf-8")

    return once.folder(f"owner-{make.__name__}", write) / "page.html"


@pytest.fixture(params=[380, 700, 1366])
def opened(request: pytest.FixtureRequest, browser: Browser, page_file: Path) -> Iterator[tuple[Page, int]]:
    """The page in a window of some width."""
    with browser.page(width=request.param) as page:
        page.open(page_file)
        yield page, request.param


def test_nothing_is_wider_than_the_window(opened: tuple[Page, int]) -> None:
    """On a phone, a tablet and a desk nothing has to be scrolled sideways, and the console says nothing."""
    page, width = opened
    assert page.evaluate("document.documentElement.scrollWidth") == width
    wide = f"{DRAWN}.filter((one) => one.getBoundingClientRect().right > innerWidth + 0.5).length"
    assert page.evaluate(wide) == 0
    assert page.faults() == []


def test_a_phone_shows_the_keys_large(opened: tuple[Page, int]) -> None:
    """Whole on a desk; on a phone in three parts, of which a key is as wide as a fingertip, 30 CSS pixels or more."""
    page, width = opened
    classes = page.evaluate(f"{DRAWN}.map((one) => one.getAttribute('class'))")
    assert set(classes) == ({"whole"} if width == 1366 else {"part left", "part right", "part pad"})
    pitch = page.evaluate(f"{DRAWN}.map((one) => 64 * one.getScreenCTM().a)")
    assert min(pitch) >= (30 if width == 380 else 24)


def test_no_key_is_lost_between_the_parts(browser: Browser, page_file: Path) -> None:
    """Each key but the space bar is whole in one of the three parts, and in no other."""
    script = f"""(() => {{
      const parts = {DRAWN}.slice(0, 3).map((svg) => {{
        const [left, , width] = svg.getAttribute('viewBox').split(' ').map(Number);
        const clip = svg.querySelector('use').getAttribute('clip-path');
        const path = clip ? document.querySelector(clip.slice(4, -1) + ' path') : null;
        return {{left, right: left + width, path}};
      }});
      const board = document.querySelector('figure use').getAttribute('href');
      const shape = document.querySelector(document.querySelector(board + ' use').getAttribute('href') + ' .cap');
      const keys = shape.getAttribute('d').split('Z').filter(Boolean).map((path) =>
        path.slice(1).split('L').map((at) => at.split(' ').map(Number)));
      const within = (part, [x, y]) => x >= part.left && x <= part.right &&
        (!part.path || part.path.isPointInFill(new DOMPoint(x, y)));
      return keys.map((key) => [Math.max(...key.map((at) => at[0])) - Math.min(...key.map((at) => at[0])),
        parts.map((part) => key.filter((at) => within(part, at)).length / key.length)]);
    }})()"""
    with browser.page(width=380) as page:
        page.open(page_file)
        keys = page.evaluate(script)
    assert len(keys) > 100
    cut = [(width, shares) for width, shares in keys if sorted(shares) != [0, 0, 1]]
    assert len(cut) == 1, cut
    assert cut[0][0] > 180, "it is the space bar"


@pytest.mark.parametrize(
    ("width", "dark"), [(380, True), (1366, False), in_campaign((380, False)), in_campaign((1366, True))]
)
def test_everybody_can_read_it(browser: Browser, page_file: Path, dark: bool, width: int) -> None:
    """WCAG 2.2 AA as far as axe-core checks it: names, headings, contrast, with the folded part open as well."""
    with browser.page(width=width, dark=dark) as page:
        page.open(page_file)
        assert violations(page) == []
        page.evaluate("document.querySelector('details').open = true")
        assert violations(page) == []


def test_signs_have_names_and_a_size(browser: Browser, page_file: Path) -> None:
    """A sign in the list is an image with its name to a screen reader, as large as letters."""
    with browser.page(width=380) as page:
        page.open(page_file)
        some = page.evaluate(
            "[...document.querySelectorAll('td svg, li svg, dt svg:not(.sample)')].map((one) => one.getBoundingClientRect())"
            ".map((box) => [box.width, box.height])"
        )
        assert some
        assert all(10 <= side <= 20 for box in some for side in box)
        nodes = page.send("Accessibility.getFullAXTree")["nodes"]
        names = {node["name"]["value"] for node in nodes if node.get("role", {}).get("value") == "image"}
        assert names & {"black star", "Tab"}


def test_a_chosen_keyboard_stands_alone(browser: Browser, page_file: Path) -> None:
    """A click on a country leaves its keyboard alone with the legend; the link back shows all again."""
    shown = "Array.from(document.querySelectorAll('.keyboard')).filter((one) => one.getClientRects().length).map((one) => one.id)"
    with browser.page(width=380) as page:
        page.open(page_file)
        every = page.evaluate(shown)
        assert len(every) > 1
        page.evaluate(f"document.querySelector('nav a[href=\"#{every[1]}\"]').click()")
        page.wait(f"{shown}.length === 1")
        assert page.evaluate(shown) == [every[1]]
        assert page.evaluate("document.querySelector('.legend').getClientRects().length") == 1
        assert page.evaluate("document.querySelector('nav').getClientRects().length") == 0
        page.evaluate(f"document.querySelector('#{every[1]} .back a').click()")
        page.wait(f"{shown}.length === {len(every)}")
        assert page.evaluate("document.querySelector('nav').getClientRects().length") == 1


def test_a_chosen_keyboard_prints_on_a_page(browser: Browser, page_file: Path, tmp_path: Path) -> None:
    """Printed, a chosen keyboard is A4 across, its picture whole and on one page with the legend, the list after it."""
    with browser.page(width=380) as page:
        page.open(page_file)
        name = page.evaluate("document.querySelectorAll('.keyboard')[1].id")
        title = page.evaluate("document.querySelectorAll('.keyboard h2')[1].innerText")
        page.evaluate(f"location.hash = '{name}'")
        page.wait("document.querySelector('.keyboard:target')")
        pdf = tmp_path / "printed.pdf"
        pdf.write_bytes(page.pdf())
    info = tools.run(tools.tool("pdfinfo"), pdf).stdout
    assert re.search(r"Page size:\s+84[12][.\d]* x 59[45]", info), info
    pages = int(re.search(r"Pages:\s+(\d+)", info)[1])  # type: ignore[index]
    assert pages <= 2
    first = tools.run(tools.tool("pdftotext"), "-l", "1", "-layout", pdf, "-").stdout
    assert title in first
    assert "What the signs on the keys mean" in first
    assert first.count("Backspace") >= 1
    assert "Choose your keyboard" not in first
    assert "For whoever checks" not in tools.run(tools.tool("pdftotext"), pdf, "-").stdout
