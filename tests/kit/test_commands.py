"""`matrixmap kit` and `matrixmap diagnose`: what they write and ask, and what they refuse."""

from __future__ import annotations

import importlib.util
import io
import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from matrixmap.board.cautions import CAUTIONS
from matrixmap.board.routes import Traced
from matrixmap.emit.boards.kit_words import for_page, marked, measurement_words
from matrixmap.emit.texts.language import texts_of
from matrixmap.kit.meter import meter_checks, to_measure
from matrixmap.model.plan import Plan
from tests.kit.boards import LAYOUT, lookup_of, shortest_of, table_of, tree_of
from tests.project import call, write_project

BROKEN = """\
adapter: broken
title: Broken
source: invented for this test
parts:
  J1: {part: socket-2x11, mates: keys, key_pin: 11}
  U1: rp2040-board
  U4: buffer-lvc-od-6
nets:
  GND: [J1.1, J1.12, J1.22, U1.3, U1.8, U1.13, U1.18, U1.23, U1.28, U1.38, U4.GND]
  3V3: [U1.3V3, U4.VCC]
  HAIL: [J1.21, U4.Y1]
  PULL: [U1.GP2, U4.A1]
"""


def diagnose(*words: str, answers: str | None = None, folder: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """A run of `diagnose` with what a person writes."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(answers or ""))
    return call("diagnose", *words, cwd=folder)


def truthful(number: int) -> str:
    """The answers of a class of the Ferrule, as lines of a file."""
    from matrixmap.kit.finder import Finder

    table = table_of("ferrule")
    finder = Finder(table, tree_of("ferrule"))
    lines = []
    while (asks := finder.next(check=False)) is not None:
        answer = table.classes[number].answers[asks]
        finder.take(asks, answer)
        lines.append(f"{table.presses[asks - 1].words} -> {answer}")
    return "\n".join(lines) + "\n"


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a command makes of the Ferrule with this layout has been made already, so that a test takes less time."""
    from matrixmap.cli.look import faulty
    from matrixmap.kit import apart, table, text, tree

    real = table.fault_table

    def known(traced: Traced, plan: Plan, others: Sequence[Plan] = ()) -> table.FaultTable:
        if (traced.board.adapter.id, plan.id, traced.board.fit.name) == ("ferrule", LAYOUT, "quillon8"):
            return table_of("ferrule")
        return real(traced, plan, others)

    monkeypatch.setattr(faulty, "_others", lambda project, plan: [])
    monkeypatch.setattr(table, "fault_table", known)
    for module, name, of_adapter in (
        (text, "text_of", shortest_of),
        (apart, "list_of", lookup_of),
        (tree, "make_tree", tree_of),
    ):
        monkeypatch.setattr(module, name, _known(getattr(module, name), of_adapter))


def _known(real: Callable[..., Any], of_adapter: Callable[[str], Any]) -> Callable[..., Any]:
    return lambda table: of_adapter("ferrule") if table is table_of("ferrule") else real(table)


@pytest.mark.usefixtures("made")
def test_the_sheet_has_all_that_a_builder_needs(tmp_path: Path) -> None:
    """Cautions, each part with its side, measurements, and each press with what must appear."""
    done = call("kit", "ferrule", LAYOUT, "--out", "kit.html", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert re.search(
        r"276 faults; 230 show in every case, by 8 presses of \d+ \(fewer do not\); 118 classes", done.stdout
    )
    text = (tmp_path / "kit.html").read_text(encoding="utf-8")
    table = table_of("ferrule")
    for ref in table.board.adapter.parts:
        assert f"<b>{ref}</b>" in text
    for caution in CAUTIONS:
        assert f"<li>{caution}</li>" in text.replace("&#39;", "'")
    assert "fill the hole of pin 11" in text
    assert text.count("<kbd>") == 8
    assert "about 100000 ohms" in text


@pytest.mark.usefixtures("made")
def test_the_sheet_speaks_other_languages_and_prints(tmp_path: Path) -> None:
    """The language is that of the page; a PDF begins like one; the side is that of the machine's revision."""
    for tag, begin in (("de", '<html lang="de">'), ("he", '<html lang="he" dir="rtl">')):
        done = call("kit", "ferrule", LAYOUT, "--language", tag, "--out", "kit.html", cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        text = (tmp_path / "kit.html").read_text(encoding="utf-8")
        assert begin in text
        assert texts_of("kit", tag).say("assembly") in text
    done = call("kit", "ferrule", LAYOUT, "--machine", "quillon8/late", "--out", "kit.pdf", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "kit.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.usefixtures("made")
def test_every_class_has_a_row_of_its_own_to_look_up(tmp_path: Path) -> None:
    """With `--lookup` the sheet has as many presses as are told, and for each class what it shows where that is not right."""
    done = call("kit", "ferrule", LAYOUT, "--lookup", "--out", "kit.html", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    found = re.search(r"(\d+) presses in a fixed list distinguish all classes \(fewer do not\)", done.stdout)
    assert found
    text = (tmp_path / "kit.html").read_text(encoding="utf-8")
    head, _, body = text.partition('<table class="lookup">')[2].partition("</thead>")
    rows = [tuple(re.findall(r"<td>(.*?)</td>", row)[:-1]) for row in re.findall(r"<tr>(.*?)</tr>", body)]
    assert head.count("<kbd>") == int(found[1])
    assert {len(row) for row in rows} == {int(found[1])}
    right, *others = rows
    assert all(right)
    assert len(set(others)) == len(others) == 117
    assert all(any(row) for row in others)


@pytest.mark.usefixtures("made")
def test_a_list_that_is_too_long_for_a_paper_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 2 with the number of presses, and no sheet."""
    from matrixmap.emit.boards import lookup

    monkeypatch.setattr(lookup, "MOST_LISTED", 5)
    done = call("kit", "ferrule", LAYOUT, "--lookup", cwd=tmp_path)
    assert done.returncode == 2
    assert "presses are needed to distinguish all faults, but only 5 fit on a page; leave out --lookup" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_page_from_right_to_left_keeps_names_in_their_direction() -> None:
    """What fills a place stands between characters that isolate it, in pairs; others are told as what they are."""
    texts = for_page(texts_of("kit", "he"))
    said = texts.say("pin-named", ref="U2", number=18, name="STROBE")
    assert "\u2066U2\u2069" in said
    assert said.count("\u2066") == said.count("\u2069") == 3
    outer = texts.say("fault-open", pin=said, net="N<0")
    assert f"\u2067{said}\u2069" in outer
    assert marked(outer).count("\u2069") == 5
    assert "N&lt;0" in marked(outer)
    assert "\u2069" not in marked("a\u2069 \u2067b")
    assert for_page(texts_of("kit", "de")).say("pin", ref="U2", number=1) == "U2 Pin 1"


@pytest.mark.usefixtures("made")
def test_the_page_of_questions_leads_everywhere(tmp_path: Path) -> None:
    """Each question that a row names is on the page, and each class of faults is named once."""
    done = call("diagnose", "ferrule", LAYOUT, "--page", "questions.html", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    text = (tmp_path / "questions.html").read_text(encoding="utf-8")
    named, there = set(re.findall(r'href="#(q\d+)"', text)), set(re.findall(r'id="(q\d+)"', text))
    assert named == there - {"q1"}
    assert text.count("look at: ") == 117
    # Classes of several faults have the measurements that tell these apart; what no key shows has them at the end.
    table, texts = table_of("ferrule"), texts_of("kit", "en")
    for each in table.classes[1:]:
        meter = meter_checks(table.board, each.faults)
        for measurement in meter.measurements[:8] if len(each.faults) > 1 else ():
            assert f"<li>{marked(measurement_words(texts, table.board, measurement))}</li>" in text
    assert 'href="#measure"' in text
    assert text.partition('id="measure"')[2].count('<td class="box">') == len(
        meter_checks(table.board, to_measure(table)).measurements
    )
    tree = tree_of("ferrule")
    assert f"or {tree.least} on average" in text


@pytest.mark.usefixtures("made")
def test_answers_in_a_file_end_in_the_joints(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The answers of an open line are told as the joints of its net, with a measurement; the exit code says that there is a fault."""
    table = table_of("ferrule")
    number = next(
        at
        for at, each in enumerate(table.classes)
        if {pin.number for f in each.faults for pin in f.pins if pin.ref == "U2"} == {"12"}
    )
    (tmp_path / "answers.txt").write_text(truthful(number), encoding="utf-8")
    done = diagnose("ferrule", LAYOUT, "--answers", "answers.txt", folder=tmp_path, monkeypatch=monkeypatch)
    assert done.returncode == 1, done.stderr
    assert "this net is open at a joint: S6 (J1 pin 5, U2 pin 12 (X6))" in done.stdout
    assert "measure J1 pin 5 and U2 pin 12 (X6): joined" in done.stdout


@pytest.mark.usefixtures("made")
def test_a_board_without_fault_is_told_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 0, and the faults that no press shows."""
    (tmp_path / "answers.txt").write_text(truthful(0), encoding="utf-8")
    done = diagnose("ferrule", LAYOUT, "--answers", "answers.txt", folder=tmp_path, monkeypatch=monkeypatch)
    assert done.returncode == 0, done.stderr
    assert "no fault that a press shows" in done.stdout
    assert "not shown by any press, or not always" in done.stdout


@pytest.mark.usefixtures("made")
def test_asked_one_by_one_with_undo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What fits nothing can be taken back; an empty line is asked again; where the answers end, so do the questions."""
    written = "undo\n\nsomething else: zz\nundo\nnothing\nnothing\n"
    done = diagnose("ferrule", LAYOUT, answers=written, folder=tmp_path, monkeypatch=monkeypatch)
    assert done.returncode == 1, done.stderr
    assert "there is no answer to take back" in done.stdout
    assert "if nothing appears, write nothing" in done.stdout
    assert "no single fault fits these answers; undo" in done.stdout
    assert done.stdout.count("1. press ") == 4


@pytest.mark.usefixtures("made")
def test_what_fits_nothing_or_contradicts_itself_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The nearest classes stand with the answers that they contradict, and a press with two answers is named."""
    (tmp_path / "answers.txt").write_text("# a letter\nA -> a\nB -> ?!\nA -> nothing\n", encoding="utf-8")
    done = diagnose("ferrule", LAYOUT, "--answers", "answers.txt", folder=tmp_path, monkeypatch=monkeypatch)
    assert done.returncode == 1, done.stderr
    assert "these answers contradict each other: A gave a and nothing" in done.stdout
    assert "no single fault fits all answers; the nearest:" in done.stdout
    assert "B would show b, not ?!" in done.stdout


@pytest.mark.usefixtures("made")
@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("Shfit 2 -> a", "answers.txt:1: there is no press 'Shfit 2'; did you mean Shift 2?"),
        ("A = a", "answers.txt:1: a line must be a press, an arrow and what appeared"),
        ("A -> ", "answers.txt:1: there is nothing after the arrow"),
    ],
)
def test_a_file_of_answers_that_cannot_be_read_is_told(
    line: str, told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Unknown keys, lines that are none, and answers that are missing: with their place, exit code 2."""
    (tmp_path / "answers.txt").write_text(line + "\n", encoding="utf-8")
    done = diagnose("ferrule", LAYOUT, "--answers", "answers.txt", folder=tmp_path, monkeypatch=monkeypatch)
    assert done.returncode == 2
    assert told in done.stderr


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("ferrule", "no-such-layout"), "there is no layout 'no-such-layout'"),
        (("feruule", LAYOUT), "there is no adapter 'feruule'"),
        (("pommel", LAYOUT), "closes them as follows-select"),
        (("ferrule", LAYOUT, "--language", "xx"), "there is no language 'xx'"),
        (("ferrule", "langet41-en-GB-symbolic"), "ferrule does not fit langet41"),
        (("ferrule", LAYOUT, "--machine", "langet41"), f"{LAYOUT} is for quillon8, not for langet41"),
    ],
)
@pytest.mark.parametrize("command", ["kit", "diagnose"])
def test_what_cannot_be_done_is_told(command: str, words: tuple[str, ...], told: str, tmp_path: Path) -> None:
    """A usage error, and nothing is written."""
    done = call(command, *words, cwd=tmp_path)
    assert done.returncode == 2
    assert told in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_an_adapter_with_findings_is_told(tmp_path: Path) -> None:
    """A board with an error has no table: its findings are printed."""
    unused = (
        "J1.2, J1.3, J1.4, J1.5, J1.6, J1.7, J1.8, J1.9, J1.10, J1.13, J1.14, J1.15, J1.16, J1.17, J1.18, J1.19, J1.20"
    )
    names = "GP0 GP1 GP3 GP4 GP5 GP6 GP7 GP8 GP9 GP10 GP11 GP12 GP13 GP14 GP15 GP16 GP17 GP18 GP19 GP20 GP21 GP22 RUN GP26 GP27 AGND GP28"
    unused += "".join(f", U1.{name}" for name in f"{names} ADC-VREF 3V3-EN VSYS VBUS".split())
    unused += "".join(f", U4.{side}{number}" for number in range(2, 7) for side in "AY")
    text = f"{BROKEN}unused: [{unused}]\nfits:\n  quillon8: {{}}\n"
    write_project(tmp_path, {"shared/adapters/broken.yaml": text})
    done = call("kit", "broken", LAYOUT, cwd=tmp_path)
    assert done.returncode == 2
    assert "nothing was used" in done.stderr
    assert not list(tmp_path.glob("*.html"))


def test_a_layout_that_types_nothing_shows_no_fault(tmp_path: Path) -> None:
    """A layout without a line is told, and nothing is written."""
    write_project(
        tmp_path, {"layouts/none.yaml": "layout: none\nmachine: quillon8\nhost: en-GB\njoin: positional\nkeys: {}\n"}
    )
    done = call("kit", "ferrule", "none", cwd=tmp_path)
    assert done.returncode == 2
    assert "no press of none types anything" in done.stderr


@pytest.mark.parametrize("command", ["kit", "diagnose"])
def test_without_the_solver_nothing_is_begun(command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where scipy is not installed, a sentence says what to install."""
    real: Callable[..., Any] = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name, *rest: None if name == "scipy" else real(name, *rest))
    done = call(command, "ferrule", LAYOUT, cwd=tmp_path)
    assert done.returncode == 2
    assert "pip install 'matrixmap[kit]'" in done.stderr
