"""The pages for contributors, walked through: commands are run, files written, output compared, literally.

After a change of what is printed: MATRIXMAP_BLESS=1 pytest tests/test_walks.py, then read the difference.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import pytest

from tests.project import ROOT, RUN
from tests.shipped import in_campaign

PAGES = {name: ROOT / "docs" / f"{name}.md" for name in ("add-a-country", "add-a-machine", "board", "margins", "kit")}
PAGES["README"] = ROOT / "README.md"
BEGIN = {"README": "## For the owner who types"}
"""From which line on a page is walked; its two commands before that line are run by CI itself."""
BLOCK = re.compile(
    r"(?:<!-- file: (?P<file>\S+) -->\n\n)?^```(?P<kind>\w+)\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL
)


@dataclass(frozen=True)
class Step:
    """A block of a page: a file to write, or commands with what they print; and where that stands in the page."""

    kind: str
    file: str | None
    text: str
    printed: str
    span: tuple[int, int]
    start: int


def steps(page: str) -> Iterator[Step]:
    """The blocks of a page in order, commands together with the output below them."""
    blocks = list(BLOCK.finditer(page))
    for block, after in zip(blocks, [*blocks[1:], None], strict=True):
        if block["kind"] != "text":
            told = after if after is not None and after["kind"] == "text" else None
            yield Step(
                kind=block["kind"],
                file=block["file"],
                text=block["text"],
                printed=told["text"] if told else "",
                span=told.span("text") if told else (0, 0),
                start=block.start(),
            )


@pytest.fixture
def run(tmp_path: Path) -> Callable[[str, Path], tuple[str, Path]]:
    """Runs commands in a folder as the reader would; gives what they print and the folder in which they end."""
    tool = tmp_path / "bin" / "matrixmap"
    tool.parent.mkdir()
    tool.write_text(f"#!/bin/sh\nexec {sys.executable} -c '{RUN}' \"$@\"\n", encoding="utf-8")
    tool.chmod(0o755)
    env = {
        **os.environ,
        "PATH": f"{tool.parent}:{os.environ['PATH']}",
        "PYTHONPATH": str(ROOT),
        "PYTHONIOENCODING": "utf-8",
    }

    def commands(text: str, folder: Path) -> tuple[str, Path]:
        ends = tmp_path / "ends"
        done = subprocess.run(
            ["bash", "-c", f"{text}\ncode=$?\npwd >'{ends}'\nexit $code"],
            cwd=folder,
            env=env,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            timeout=120,
            check=False,
        )
        assert done.returncode in (0, 1), done.stdout
        return done.stdout, Path(ends.read_text(encoding="utf-8").strip())

    return commands


@pytest.mark.parametrize("name", [in_campaign(name) if name in ("kit", "margins") else name for name in PAGES])
def test_the_page_does_what_it_says(
    name: str,
    tmp_path: Path,
    run: Callable[[str, Path], tuple[str, Path]],
    outside_module: Callable[[str, str], ModuleType],
) -> None:
    """Every command of the page prints what stands below it."""
    if name == "add-a-country":
        outside_module("xkbcommon.xkb", "xkbcommon (PyPI, needs libxkbcommon-dev)")
    path = PAGES[name]
    page = path.read_text(encoding="utf-8")
    begin = page.index(BEGIN.get(name, ""))
    folder = tmp_path / "walk"
    folder.mkdir()
    blessed, moved = page, 0
    differ = []
    for step in steps(page):
        if step.kind == "c" or step.start < begin:
            continue
        if step.kind == "yaml":
            assert step.file is not None
            target = folder / step.file
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(step.text, encoding="utf-8")
            continue
        assert step.kind == "sh"
        printed, folder = run(step.text, folder)
        if printed != step.printed:
            differ.append((step.text, step.printed, printed))
            start, end = step.span
            assert end, f"no place for the output of: {step.text}"
            blessed = blessed[: start + moved] + printed + blessed[end + moved :]
            moved += len(printed) - (end - start)
    if os.environ.get("MATRIXMAP_BLESS") == "1":
        assert os.environ.get("CI") != "true", "pages are not rewritten in CI"
        path.write_text(blessed, encoding="utf-8", newline="\n")
    else:
        assert differ == []


REASONS = {
    "add-a-country": (
        ("  Digit2: [ә, Ә]", "xkb-data 2.35.1, symbols/kz: <AE02> is Cyrillic_schwa, Cyrillic_SCHWA"),
        (
            "R      Shift К",
            "the machine types R with shift + r (its `types`), and the K of the host lies on the usage KeyR",
        ),
        (
            "8      Ү   (or keypad 8)",
            "xkb-data 2.35.1, symbols/kz: <AE08> is Cyrillic_u_straight; the stand-in en-US prints 8 there",
        ),
        ("'Digt6' is neither a W3C code nor a usage number", "UI Events code values have Digit6"),
        ("layouts/slip.yaml:4:8", "the wrong name is the first in the braces of the fourth line"),
    ),
    "board": (
        (
            "3    S7       3   S7      U2.X7",
            "the connector of quillon8.yaml has S7 on pin 3; the net S7 of ferrule.yaml joins J1.3 and U2.X7",
        ),
        ("pin-not-told: 2 of R2", "R2.1 is the only pin of R2 in the nets, and it has two"),
        (
            "N0 and N1 are exchanged at J1",
            "the connector has N0 on pin 4, and the net N0 leads to J1.5; N1 the other way round",
        ),
        ("shared/adapters/bell.yaml:16:3", "N0 is the sixteenth line of the file"),
        (
            "18 ways to put J1 on; 18 of them need only a hand",
            "one row of five: straight and turned, each shifted by -4 to 4",
        ),
        ("cut.net:", "the file ends in the middle of a list"),
        ("2 of 2 contacts can be closed", "the machine has two keys on two crosspoints"),
    ),
    "margins": (
        (
            "one contact                                      0.05 to 0.61",
            "0.4 V and 185 of 4415 ohms of what is left to 5.25 V are 0.603 V, and 21 uA that leak make 4 mV more in 177 ohms",
        ),
        (
            "63214 sets of contacts were examined",
            "64 single, 2,016 pairs, 41,664 triples, and for the 11 larger sets of four modifiers 1,770 pairs of 60 keys each",
        ),
        ("3136", "64 corners, with 7 contacts on the one line and 7 on the other: 64 * 7 * 7"),
        ("unsure   5.2", "5 V over 950 ohms are 5.26 mA, less what the contact takes"),
        ("corner 13.9 to 18.8 kHz", "1 / (2 pi sqrt(11 uH 12 uF)) and the same of 9 uH and 8 uF"),
        ("inrush 22.7 A", "5 V over 0.2 and 0.02 ohms"),
    ),
    "kit": (
        (
            "S2 (J1 pin 15, U2 pin 8 (X2))",
            "the net S2 of ferrule.yaml joins J1.15 and U2.X2; e lies on S2 and N1 in quillon8.yaml, d on S7, so one works",
        ),
        ("F8 would show <B8>", "b2 types B8 with blazon, and F8 is the key of that function in the layout"),
    ),
    "add-a-machine": (
        ("15 keys; 4 select and 4 sense lines", "the pasted table has four rows and columns, and one empty place"),
        (
            "stdin:2:6: table-ragged: this line has 3 columns",
            "the second line that printf prints has two tabs, the first three",
        ),
        ("one side has the pins 1, 2, 3, the other 5, 6", "no probe joins two pins of one of these sets"),
        (
            "no key was probed at P3/P6",
            "pins 1 to 3 meet 5 and 6 in six crosspoints; probed were five, and one line to ground",
        ),
        ("(  Shift 9", "xkb-data 2.35.1, symbols/latin, which gb includes: <AE09> is 9, parenleft"),
        ("=  =", "xkb-data 2.35.1, symbols/latin, which gb includes: <AE12> is equal, plus"),
        ("d1 is at this crosspoint and also at one in line 8, column 10", "the page writes d1 into the grid twice"),
    ),
    "README": (
        ("≈      Alt A", "layouts/quillon8-symbolic.yaml: Alt+KeyA is shift + bracket-right, which types ≈"),
        ("has the functions B2, B3", "the layout gives F1 and F4 only, and the machine's keys have B1 to B9"),
        ("Pause typed Hail and now does nothing", "sed moved the line of Pause to F12"),
    ),
}
"""What a page prints and why that is right, found without the program; renewing the page does not change these."""


@pytest.mark.parametrize("name", PAGES)
def test_the_page_says_what_a_person_finds(name: str) -> None:
    """Each of these stands in the output of some command of the page."""
    printed = "\n".join(step.printed for step in steps(PAGES[name].read_text(encoding="utf-8")))
    assert [text for text, because in REASONS[name] if text not in printed or not because] == []


@pytest.mark.parametrize("name", PAGES)
def test_the_page_has_no_other_commands(name: str) -> None:
    """Each block of a page is a command, its output, or a file to write."""
    page = PAGES[name].read_text(encoding="utf-8")
    page = page[page.index(BEGIN.get(name, "")) :]
    assert page.count("```") == 2 * len(BLOCK.findall(page))
    assert {block["kind"] for block in BLOCK.finditer(page)} - {"c"} == {"sh", "text", "yaml"}
    assert all(block["file"] for block in BLOCK.finditer(page) if block["kind"] == "yaml")


@pytest.mark.parametrize("name", PAGES)
def test_links_of_the_page_lead_somewhere(name: str) -> None:
    """Every link to a file of the project exists."""
    page = PAGES[name].read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#]+)\)", page)
    assert links
    assert [link for link in links if not (PAGES[name].parent / link).exists()] == []
