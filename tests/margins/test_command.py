"""`matrixmap margins`: forms, exit codes and errors, and what `check` and `build` take from the volts of an adapter."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from matrixmap.board.cautions import CAUTIONS
from matrixmap.board.rules import run as run_of_rules
from matrixmap.board.rules.run import BoardChecked
from matrixmap.model.boards.adapter import Adapter, Fit
from matrixmap.model.machine import Machine
from tests.board.boards import edited, text_of
from tests.project import call, write_project
from tests.tools import run, tool

LAYOUT = "quillon8-en-GB-symbolic"


def test_text_has_the_table_and_the_cautions() -> None:
    """The Locket: each kind with its volts and verdict, times against what the file gives, limits, the cautions."""
    done = call("margins", LAYOUT, "--adapter", "locket", "--machine", "quillon8")
    assert (done.returncode, done.stderr) == (0, "")
    rows = {re.split(r"  +", line)[0]: re.split(r"  +", line)[1:] for line in done.stdout.splitlines()}
    assert rows["one contact"][:3] == ["0.01 to 0.51", "low", "sure"]
    assert rows["phantom by three contacts"][:3] == ["0.03 to 0.84", "high", "unsure"]
    assert rows["phantom by two contacts and an own key"][2] == "unsure"
    assert rows["rises after it: 3 contacts on a sense line"] == ["1.9 us", "1.89 us", "25 us", "yes"]
    assert "a select line can carry 8 of 8 contacts by voltage, and 6 by the current of its driver" in done.stdout
    assert "  ohms of a contact at most 352 ohms (now 100 ohms)" in done.stdout
    for caution in CAUTIONS:
        assert caution in done.stdout


def test_json_has_every_number() -> None:
    """Both revisions, each with its rows and the corner that is worst, and nothing that JSON has no number for."""
    done = call("margins", LAYOUT, "--adapter", "ferrule", "--format", "json")
    first, second = json.loads(done.stdout, parse_constant=pytest.fail)["boards"]
    assert (first["revision"], second["revision"]) == (None, "late")
    (row,) = (row for row in first["rows"] if row["kind"] == "phantom by three contacts")
    assert (row["verdict"], row["shall_be"], row["corners_tried"]) == ("unsure", "high", 2)
    assert row["corner"]["pull-up N0"] == 5170
    assert first["thresholds"] == {"low": 0.8, "high": 2.0}
    assert first["sets"] == {"looked_at": 63214, "without_phantom": 54846, "shapes": 7}
    assert first["carried"] == {"by_volts": 8, "by_current": 6}


def test_the_chart_says_what_it_shows() -> None:
    """Well-formed, with a title, a description with every row, the band, and a mark a row that is no letter."""
    done = call("margins", LAYOUT, "--adapter", "ferrule", "--machine", "quillon8", "--format", "svg")
    root = ElementTree.fromstring(done.stdout)
    spaces = {"": "http://www.w3.org/2000/svg"}
    assert root.get("role") == "img"
    assert root.findtext("title", None, spaces) == "Voltages of Ferrule on Quillon 8"
    description = root.findtext("desc", "", spaces)
    assert "one contact: 0.05 to 0.61 volts, sure." in description
    assert "phantom by three contacts: 0.20 to 1.16 volts, unsure." in description
    (band,) = (each for each in root.findall("rect", spaces) if each.get("class") == "band")
    scale = 460 / 6
    assert float(band.get("x", "0")) == pytest.approx(24 + 330 + 0.8 * scale, abs=0.01)
    assert float(band.get("width", "0")) == pytest.approx(1.2 * scale, abs=0.01)
    marks = [each.get("class") for each in root.findall("path", spaces)]
    assert len(marks) == 10
    assert marks.count("mark unsure") == 1
    assert "prefers-color-scheme: dark" in (root.findtext("style", "", spaces))


def test_a_title_may_have_any_characters(tmp_path: Path) -> None:
    """What is a sign of the markup elsewhere stands in the chart as it was written; what cannot be seen, by its number."""
    text = edited(text_of("adapter", "ferrule"), [("title: Ferrule", r'title: "A & <B>\u200b"')])
    root = write_project(tmp_path, {"shared/adapters/ferrule.yaml": text})
    done = call("margins", LAYOUT, "--adapter", "ferrule", "--machine", "quillon8", "--format", "svg", cwd=root)
    chart = ElementTree.fromstring(done.stdout)
    title = chart.findtext("title", "", {"": "http://www.w3.org/2000/svg"})
    assert title == "Voltages of A & <B>\\u{200b} on Quillon 8"


def test_a_simulator_reads_the_netlist(tmp_path: Path) -> None:
    """Ngspice finds each voltage that stands in the netlist's comments within a nanovolt, and each time within 1 percent."""
    for adapter in ("ferrule", "locket", "pommel"):
        layout = LAYOUT if adapter != "pommel" else follower(tmp_path)
        done = call("margins", layout, "--adapter", adapter, "--machine", "quillon8", "--format", "spice")
        assert done.returncode == 0, done.stderr
        file = tmp_path / "board.cir"
        file.write_text(done.stdout, encoding="utf-8")
        said = run(tool("ngspice"), "-b", file).stdout
        volts = [float(each) for each in re.findall(r"^v\(\S+\) = (\S+)$", said, re.MULTILINE)]
        times = [float(each) for each in re.findall(r"^t\d+ +=  (\S+)", said, re.MULTILINE)]
        expected = [float(each) for each in re.findall(r"computed as (\S+)$", done.stdout, re.MULTILINE)]
        seconds = [float(each) for each in re.findall(r"within (\S+) s, surely", done.stdout)]
        assert len(volts) == len(expected) > 2
        assert len(times) == len(seconds) > 0
        assert volts == pytest.approx(expected, abs=1e-9)
        assert times == pytest.approx(seconds, rel=0.01)


def follower(folder: Path) -> Path:
    """A layout whose contacts follow the select lines, as a file."""
    text = text_of("layout", LAYOUT)
    path = folder / "follower.yaml"
    path.write_text(
        re.sub(r"^layout: .*$", "layout: follower", text, flags=re.MULTILINE) + "\ncontacts: follows-select\n",
        encoding="utf-8",
    )
    return path


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((LAYOUT, "--adapter", "ferule"), "there is no adapter 'ferule'; did you mean ferrule?"),
        ((LAYOUT,), "missing option '--adapter'"),
        (("langet41-en-US-symbolic", "--adapter", "ferrule"), "is for langet41, but ferrule is for another machine"),
        ((LAYOUT, "--adapter", "pommel"), "says contacts: switch, but pommel closes them as follows-select"),
        ((LAYOUT, "--adapter", "ferrule", "--format", "png"), "there is no format 'png'"),
        ((LAYOUT, "--adapter", "ferrule", "--format", "svg"), "svg shows one machine; say which with --machine"),
        ((LAYOUT, "--adapter", "ferrule", "--fail-on", "note"), "there is no severity 'note'"),
        ((LAYOUT, "--adapter", "ferrule", "--machine", "quillon8/lat"), "did you mean quillon8/late?"),
    ],
)
def test_a_call_that_cannot_be_carried_out_ends_with_2(words: tuple[str, ...], told: str) -> None:
    """The reason is one sentence on stderr."""
    done = call("margins", *words)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr


def lacking(folder: Path) -> Path:
    """A project whose machine does not say where its inputs read low."""
    machine = edited(text_of("machine", "quillon8"), [("  reads_low_v: 0.8\n", "")])
    return write_project(folder, {"shared/machines/quillon8.yaml": machine})


def test_missing_values_are_named(tmp_path: Path) -> None:
    """Without one the command ends with 1 and prints no volts; with --typical it computes, and says on top that it is no fact."""
    root = lacking(tmp_path)
    words = ("margins", LAYOUT, "--adapter", "ferrule", "--machine", "quillon8")
    done = call(*words, cwd=root)
    assert done.returncode == 1
    assert "the voltages cannot be known, because values are missing" in done.stdout
    assert "value-missing: electric does not say reads_low_v" in done.stdout
    assert "one contact" not in done.stdout
    usual = call(*words, "--typical", cwd=root)
    assert usual.returncode == 0
    assert "USUAL VALUES replace the missing ones; the results are not facts about this board" in usual.stdout
    assert "one contact" in usual.stdout
    chart = call(*words, "--format", "svg", cwd=root)
    assert (chart.returncode, chart.stdout) == (2, "")
    assert "the voltages cannot be known without reads_low_v of electric" in chart.stderr


def test_the_report_says_whether_phantoms_are_really_read(tmp_path: Path) -> None:
    """Each finding about a phantom of keys ends with what the volts say: unsure on the Ferrule, read with fewer ohms, else never."""
    for ohms, word in (
        ("[60, 185]", "unsure: it may or may not be read"),
        ("[5, 20]", "really read"),
        ("[950, 950]", "never read"),
    ):
        part = edited(text_of("part", "switch-array-8x8"), [("on_ohms: [60, 185]", f"on_ohms: {ohms}")])
        root = write_project(tmp_path / ohms[1:3].strip(","), {"shared/parts/switch-array-8x8.yaml": part})
        done = call("check", LAYOUT, "--adapter", "ferrule", "--all", "--format", "json", cwd=root)
        findings = json.loads(done.stdout)["layouts"][0]["findings"]
        told = [each for each in findings if "by the voltages of" in each["text"]]
        assert told
        assert all(
            f"by the voltages of ferrule on quillon8 and ferrule on quillon8/late this is {word}" in each["text"]
            for each in told
        )


def test_volts_say_nothing_of_a_key_of_the_own_keyboard() -> None:
    """Such a key has other ohms than the adapter's contacts, and no diode: its phantom stays as it was found."""
    done = call("check", LAYOUT, "--adapter", "locket", "--all", "--format", "json")
    findings = json.loads(done.stdout)["layouts"][0]["findings"]
    own = [each for each in findings if each["slug"] == "own-keyboard-makes-phantom"]
    assert [each["severity"] for each in own] == ["warning"]
    assert "by the voltages of" not in own[0]["text"]
    assert any("by the voltages of" in each["text"] for each in findings)


def test_boards_are_traced_once_for_all_layouts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A check of several layouts on an adapter traces each of its boards once."""
    asked: list[str] = []
    check_board = run_of_rules.check_board

    def counted(adapter: Adapter, machine: Machine, fit: Fit) -> BoardChecked:
        asked.append(fit.name)
        return check_board(adapter, machine, fit)

    monkeypatch.setattr(run_of_rules, "check_board", counted)
    layouts = (LAYOUT, "quillon8-de-DE-symbolic")
    assert call("check", *layouts, "--adapter", "ferrule").returncode == 0
    assert asked == ["quillon8", "quillon8/late"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("langet41-en-US-symbolic", "--adapter", "ferrule"),
            "ferrule fits none of the machines of these layouts (langet41)",
        ),
        (("--machine", "quillon8", "--adapter", "ferrule"), "--adapter needs layouts"),
    ],
)
def test_check_refuses_an_adapter_that_does_not_fit(words: tuple[str, ...], told: str) -> None:
    """The call ends with 2 and says why."""
    done = call("check", *words)
    assert done.returncode == 2
    assert told in done.stderr
