"""Nothing that stands in a user's file is obeyed by a picture, a sheet, or the page: it is shown as text or refused."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from matrixmap.emit.page.document import page_html
from matrixmap.emit.pictures.drawing import draw
from matrixmap.emit.pictures.sheet import sheet_html
from matrixmap.emit.pictures.stickers import Cut, sticker_pages
from matrixmap.join.plan import compile_plan
from matrixmap.model.legend import Legend
from matrixmap.model.plan import Plan
from tests.browser import Browser
from tests.project import call, open_folders, read_layout, write_project

FUNCTIONS = (
    "</script><script>globalThis.hit=1</script>",
    "<img src=x onerror=globalThis.hit=1>",
    "]]><script>globalThis.hit=1</script>",
    "\"><svg onload='globalThis.hit=1'>",
    "javascript:globalThis.hit=1",
    "<!-- <script>",
    "</style><script>globalThis.hit=1</script>",
    "&lt;b&gt;&amp;&#0;",
    "a-name-of-forty-characters-is-the-longest",
    "\u05e9\u05dc\u05d5\u05dd \u05e2\u05d5\u05dc\u05dd",
    "{{constructor.constructor('globalThis.hit=1')()}}",
    "${globalThis.hit=1}",
)
CHARACTERS = (
    "<",
    ">",
    "&",
    '"',
    "'",
    "\\",
    "`",
    "\u05e9",
    "\u0301",
    "\ufdfd",
    "\u6f22",
    "\U00012000",
    "\u2588",
    "\u00a0",
)
LEGENDS = (*FUNCTIONS, *CHARACTERS)
TITLE = "</title></script><script>globalThis.hit=1</script><b>\u202ebidi\u2066 & \"both' ]]>"


def nasty_files(*, place: bool = True, form: str = "iso-105") -> dict[str, str]:
    """A project whose titles try to be markup; its legends are W0, W1, ... for each of LEGENDS."""
    legends = [f"W{number}" for number in range(len(LEGENDS))]
    names = [f"k{number}" for number in range(len(legends))]
    width = 16
    rows = [
        names[at : at + width] + ["none"] * (width - len(names[at : at + width])) for at in range(0, len(names), width)
    ]
    machine = {
        "machine": "odd",
        "title": TITLE,
        "source": "made for a test",
        "matrix": {
            "select": [f"S{number}" for number in range(len(rows) + 1)],
            "sense": [f"N{number}" for number in range(width)],
            "grid": {
                **{f"S{number}": row for number, row in enumerate(rows)},
                f"S{len(rows)}": ["shift-key"] + ["none"] * (width - 1),
            },
        },
        "modifiers": {"shift": ["shift-key"]},
        "types": {name: {"plain": legend} for name, legend in zip(names, legends, strict=True)},
        "scan": {"period_us": 20000, "sweep_us": 640},
    }
    if place:
        machine["place"] = [{"row": number, "from": 0, "keys": row} for number, row in enumerate(_placed(rows))]
    codes = [f"Key{chr(65 + number)}" for number in range(26)]
    host = {
        "host": "xx",
        "title": TITLE,
        "source": "made for a test",
        "form": form,
        "legends": {code: [legend] for code, legend in zip(codes, legends, strict=True)},
    }
    layout = {"layout": "odd-xx", "title": TITLE, "machine": "odd", "host": "xx", "join": "symbolic"}
    # JSON is YAML as far as these texts go, if it does not escape what it need not.
    return {
        "shared/machines/odd.yaml": json.dumps(machine, ensure_ascii=False),
        "shared/hosts/xx.yaml": json.dumps(host, ensure_ascii=False),
        "layouts/odd-xx.yaml": json.dumps(layout, ensure_ascii=False),
    }


def _placed(rows: list[list[str]]) -> list[list[str]]:
    return [[name for name in row if name != "none"] for row in rows]


def nasty_plan_of(files: dict[str, str], root: Path) -> Plan:
    """The plan of that project with the legends put in behind the back of the reader, which refuses most of them."""
    layout = read_layout(open_folders(write_project(root, files)), "odd-xx")

    def legend(old: Legend | None) -> Legend | None:
        return Legend(LEGENDS[int(old.text[1:])]) if old and re.fullmatch(r"W\d+", old.text) else old

    keys = tuple(
        replace(key, types={state: found for state, old in key.types.items() if (found := legend(old))})
        for key in layout.machine.keys
    )
    host_keys = {
        usage: replace(key, legends=tuple(legend(old) for old in key.legends))
        for usage, key in layout.host.keys.items()
    }
    machine, host = replace(layout.machine, keys=keys), replace(layout.host, keys=host_keys)
    return compile_plan(replace(layout, machine=machine, host=host))


@pytest.fixture(scope="module")
def nasty_plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """The plan of that project."""
    return nasty_plan_of(nasty_files(), tmp_path_factory.mktemp("nasty"))


def test_reader_refuses_legends_that_are_no_names(tmp_path: Path) -> None:
    """Markup as a legend is a finding of the reader already, and no picture is written."""
    files = nasty_files()
    files["shared/machines/odd.yaml"] = files["shared/machines/odd.yaml"].replace("W0", FUNCTIONS[0].replace('"', "'"))
    root = write_project(tmp_path, files)
    done = call("draw", "odd-xx", "--out", tmp_path / "d.svg", "--root", root)
    assert done.returncode == 2
    assert "is neither one character nor the name of a function" in done.stderr
    assert not (tmp_path / "d.svg").exists()


@pytest.mark.parametrize("kind", ["drawing", "stickers", "sheet", "page"])
def test_nothing_of_a_file_is_executed(browser: Browser, tmp_path: Path, nasty_plan: Plan, kind: str) -> None:
    """Opened in a browser, no document runs what a legend or title says, and the legends stand there as text."""
    texts = {
        "drawing": lambda: ("d.svg", draw(nasty_plan)),
        "stickers": lambda: ("s.svg", sticker_pages(nasty_plan, Cut(every=True))[0]),
        "sheet": lambda: ("s.html", sheet_html(nasty_plan, "A4")),
        "page": lambda: ("p.html", page_html([nasty_plan])),
    }
    name, text = texts[kind]()
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    with browser.page() as page:
        page.open(path)
        if kind == "page":
            page.wait("document.documentElement.dataset.ready === 'yes'")
            page.wait("document.querySelectorAll('#matrix-grid .point').length > 20")
        assert page.evaluate("globalThis.hit") is None
        assert page.evaluate("document.querySelectorAll('img, b, iframe, object').length") == 0
        assert page.evaluate("document.querySelectorAll('script').length") == (3 if kind == "page" else 0)
        assert page.faults() == []
        spoken = page.evaluate(
            "[...document.querySelectorAll('[aria-label]')].map((e) => e.getAttribute('aria-label')).join('\\n')"
        )
        if kind in ("drawing", "page"):
            assert "</script><script>globalThis.hit=1</script>" in spoken


def test_nasty_page_types(browser: Browser, tmp_path: Path, nasty_plan: Plan) -> None:
    """Legends that look like markup are typed in the page as what they are."""
    path = tmp_path / "p.html"
    path.write_text(page_html([nasty_plan]), encoding="utf-8")
    with browser.page() as page:
        page.open(path)
        page.wait("document.documentElement.dataset.ready === 'yes'")
        page.key("down", "KeyA")
        page.wait("document.getElementById('log').textContent")
        page.key("up", "KeyA")
        assert page.evaluate("document.getElementById('log').textContent") == FUNCTIONS[0]
        assert page.evaluate("globalThis.hit") is None
        assert page.faults() == []


def test_pictures_are_well_formed(nasty_plan: Plan) -> None:
    """Every SVG document is XML, whatever the legends are, and holds no control or direction-changing character."""
    for text in (draw(nasty_plan), *sticker_pages(nasty_plan, Cut(every=True))):
        root = ElementTree.fromstring(text)
        words = "".join(root.itertext())
        assert "\u202e" not in words
        assert "\\u{202e}" in words
        assert not any(element.tag.endswith("script") for element in root.iter())


def test_machine_without_places_is_drawn_without_its_keyboard(tmp_path: Path) -> None:
    """A machine that says nothing of its places: the other parts are drawn, a note tells what is left out."""
    root = write_project(tmp_path, nasty_files(place=False))
    done = call("draw", "odd-xx", "--out", tmp_path / "d.svg", "--root", root)
    assert (done.returncode, done.stderr) == (
        0,
        "note: the keyboard of odd is not drawn: its file has no field place\n",
    )
    text = (tmp_path / "d.svg").read_text(encoding="utf-8")
    assert "The matrix of the" in text
    assert "The keys of the machine" not in text
    only = call("draw", "odd-xx", "--out", tmp_path / "m.svg", "--root", root, "--parts", "machine")
    assert only.returncode == 2
    assert not (tmp_path / "m.svg").exists()


def test_page_of_a_machine_without_places(browser: Browser, tmp_path: Path) -> None:
    """The page works for a machine without places and says why it draws no keyboard for it."""
    plan = nasty_plan_of(nasty_files(place=False), tmp_path)
    path = tmp_path / "p.html"
    path.write_text(page_html([plan]), encoding="utf-8")
    with browser.page() as page:
        page.open(path)
        page.wait("document.getElementById('machine-keys').textContent")
        assert page.evaluate("document.getElementById('machine-keys').textContent") == (
            "The machine's file does not say where its keys sit."
        )
        assert page.faults() == []


def test_unknown_form_is_a_finding(tmp_path: Path) -> None:
    """A form that is none of the known ones is a finding with its place, and nothing is written."""
    root = write_project(tmp_path, nasty_files(form="round-99"))
    for command, name in (("draw", "d.svg"), ("stickers", "s.svg"), ("sheet", "s.html"), ("page", "p.html")):
        done = call(command, "odd-xx", "--out", tmp_path / name, "--root", root)
        assert done.returncode == 2
        assert "xx.yaml:1:" in done.stderr
        assert "round-99" in done.stderr
        assert not (tmp_path / name).exists()
