"""Netlists: written and read back equal, by us and by another reader, and bad ones told with their places."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matrixmap.board.rules.run import check_board
from matrixmap.emit.boards.netlist import netlist_text
from matrixmap.limits import NETLIST_DEPTH
from matrixmap.model.finding import Severity
from matrixmap.source.kinds.netlist import read_netlist
from matrixmap.source.report import Report
from matrixmap.source.write.adapter_file import ohms_of
from tests.board.boards import SHIPPED, checked, edited, text_of
from tests.project import ROOT, call, open_folders, write_project

BROKEN = {
    "cut-short": "6:21: this bracket is not closed, and 5 are open at the end: the file is cut short",
    "open-quote": "2:31: this quote is opened and not closed; the file may be cut short",
    "no-netlist": "1:1: '{' is outside of brackets; a netlist begins with (export",
    "no-name": "3:5: a net has no name",
    "behind-the-end": "2:1: there is something after the end of the netlist",
}


def nets_of(text: str) -> dict[str, list[tuple[str, str]]]:
    """The nets of a netlist as we read it."""
    report = Report()
    read = read_netlist(text.encode(), "board.net", report)
    assert read is not None, report.findings
    return {net.name: [(node.ref, node.pin) for node in net.nodes] for net in read.nets}


@pytest.mark.parametrize("id", SHIPPED)
def test_what_is_written_reads_back_equal(id: str, outside_module: Callable[[str, str], ModuleType]) -> None:
    """The netlist of a shipped adapter has its nets and parts, as kinparse reads it and as we do."""
    adapter = checked(id).adapter
    text = netlist_text(adapter)
    wanted = {net.name: [(pin.ref, pin.number) for pin in net.pins] for net in adapter.nets}
    assert nets_of(text) == wanted
    theirs = outside_module("kinparse", "kinparse (PyPI)").parse_netlist(text)
    assert {net.name: [(pin.ref, pin.num) for pin in net.pins] for net in theirs.nets} == wanted
    assert {part.ref: part.value for part in theirs.parts} == {ref: use.part.id for ref, use in adapter.parts.items()}


@pytest.mark.parametrize("id", SHIPPED)
def test_a_board_begun_from_its_netlist_is_the_same(id: str, tmp_path: Path) -> None:
    """`new adapter --netlist` of what `--format netlist` prints gives the same board: parts, nets, routes, findings."""
    (tmp_path / "board.net").write_text(call("adapter", id, "--format", "netlist").stdout, encoding="utf-8")
    done = call("new", "adapter", "again", "--netlist", "board.net", "--machine", "quillon8", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    loaded = open_folders(tmp_path).adapter("again")
    assert loaded is not None
    assert loaded.findings == ()
    assert loaded.value is not None
    first = checked(id)
    again = check_board(loaded.value, first.machine, loaded.value.fits[0])

    def plain(board: object) -> object:
        return [
            (finding.slug, finding.severity, finding.text, finding.count)
            for finding in board.findings  # type: ignore[attr-defined]
        ]

    assert plain(again) == plain(first)
    assert again.traced is not None
    assert first.traced is not None
    assert again.traced.routes == first.traced.routes
    own = {ref: replace(use, place=first.adapter.place) for ref, use in first.adapter.parts.items()}
    assert {ref: replace(use, place=first.adapter.place) for ref, use in loaded.value.parts.items()} == own


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_netlist_is_told_with_its_place(name: str, tmp_path: Path) -> None:
    """What is wrong and where, exit code 2, and nothing is written."""
    path = ROOT / "tests/board/netlists" / f"{name}.net"
    done = call("new", "adapter", "x", "--netlist", path, "--machine", "quillon8", cwd=tmp_path)
    assert done.returncode == 2
    place, _, text = BROKEN[name].partition(": ")
    assert f"{path}:{place}: netlist-damaged: {text}" in done.stderr
    assert list(tmp_path.iterdir()) == []


TWO_NETS = ('(node (ref "J1") (pin "18")) (node (ref "U2") (pin "25"))', '(node (ref "J1") (pin "20"))')
NO_FILE = ('(comp (ref "U2") (value "switch-array-8x8"))', '(comp (ref "U2") (value "MT 8808"))')
NO_PIN = ('(node (ref "U2") (pin "21"))', '(node (ref "U2") (pin "29"))')
NO_COMPONENT = ('    (comp (ref "U2") (value "switch-array-8x8"))\n', "")
LARGER = ('(value "socket-2x11")', '(value "socket-2x12")')

REFUSED = {
    "two nets with one pin": (TWO_NETS, "pin-twice: J1.20 is already in the net N0, in line"),
    "a part without a description": (
        NO_FILE,
        "unknown-part: no file of shared/parts describes MT-8808, which is the value of U2",
    ),
    "a pin that the part lacks": (NO_PIN, "unknown-pin: U2 (switch-array-8x8) has no pin '29'"),
    "a part that the netlist does not list": (NO_COMPONENT, "unknown-part: there is no part U2 under parts"),
    "a connector of another size": (LARGER, "not-mated: the connector of quillon8 has 2x11 pins, but J1 has 2x12"),
}
"""What is wrong -> an edit of the Ferrule's netlist that makes it so, and what is told."""

SOCKET = {
    "shared/parts/socket-2x12.yaml": "part: socket-2x12\ntitle: Larger\nsource: invented for this test\n"
    "header: {rows: 2, columns: 12, numbering: zigzag, gender: socket}\n"
}


@pytest.mark.parametrize("fault", REFUSED)
def test_a_netlist_that_no_file_could_mend_is_refused(fault: str, tmp_path: Path) -> None:
    """The finding has its place in the netlist as it was named, the exit code is 2, and nothing is written."""
    edit, text = REFUSED[fault]
    root = write_project(tmp_path, SOCKET)
    (root / "board.net").write_text(
        edited(call("adapter", "ferrule", "--format", "netlist").stdout, [edit]), encoding="utf-8"
    )
    before = sorted(root.rglob("*"))
    done = call("new", "adapter", "again", "--netlist", "board.net", "--machine", "quillon8", cwd=root)
    assert (done.returncode, done.stdout) == (2, "")
    assert re.search(rf"^board\.net:\d+:\d+: {re.escape(text)}", done.stderr, re.MULTILINE), done.stderr
    assert sorted(root.rglob("*")) == before


@pytest.mark.parametrize("fault", REFUSED)
def test_a_netlist_that_went_wrong_later_is_told(fault: str, tmp_path: Path) -> None:
    """Where the board editor has written the netlist anew, `adapter` tells the same, with the place there or in the file."""
    edit, text = REFUSED[fault]
    root = write_project(tmp_path, SOCKET)
    good = call("adapter", "ferrule", "--format", "netlist").stdout
    (root / "board.net").write_text(good, encoding="utf-8")
    assert call("new", "adapter", "again", "--netlist", "board.net", "--machine", "quillon8", cwd=root).returncode == 0
    path = root / "shared/adapters/again.yaml"
    if fault in (
        "a part without a description",
        "a connector of another size",
        "a part that the netlist does not list",
    ):
        change = {"a part without a description": ("U2: switch-array-8x8", "U2: MT-8808")}
        change["a connector of another size"] = ("part: socket-2x11", "part: socket-2x12")
        change["a part that the netlist does not list"] = ("  U2: switch-array-8x8\n", "")
        path.write_text(edited(path.read_text(encoding="utf-8"), [change[fault]]), encoding="utf-8")
        text = "unknown-part: there is no part 'MT-8808'" if fault == "a part without a description" else text
    else:
        (path.with_suffix(".net")).write_text(edited(good, [edit]), encoding="utf-8")
    done = call("adapter", "again", cwd=root)
    assert done.returncode != 0
    assert text in done.stdout + done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("value", "ohms"),
    [
        ("10k", "10000"),
        ("4k7", "4700"),
        ("4.7K", "4700"),
        ("220", "220"),
        ("220R", "220"),
        ("1M", "1000000"),
        ("0R1", "0.1"),
        ("47 ohms", "47"),
        ("resistor", None),
        ("10k5k", None),
        ("4.7k5", None),
        ("k", None),
    ],
)
def test_the_value_of_a_resistor_is_its_ohms(value: str, ohms: str | None) -> None:
    """Values as drawings have them give ohms in digits; other text gives none."""
    assert ohms_of(value) == ohms


def test_resistors_and_capacitors_need_no_file_of_their_own(tmp_path: Path) -> None:
    """A netlist as an editor writes it, with ohms and farads for values, gives the same board."""
    text = call("adapter", "ferrule", "--format", "netlist").stdout
    text = text.replace('(value "resistor") (fields (field (name "ohms") "100000"))', '(value "100k")')
    text = text.replace('(value "capacitor")', '(value "100n")')
    (tmp_path / "board.net").write_text(text, encoding="utf-8")
    done = call("new", "adapter", "again", "--netlist", "board.net", "--machine", "quillon8", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    loaded = open_folders(tmp_path).adapter("again")
    assert loaded is not None
    assert loaded.value is not None
    parts = {ref: (use.part.id, use.ohms) for ref, use in loaded.value.parts.items()}
    assert parts == {ref: (use.part.id, use.ohms) for ref, use in checked("ferrule").adapter.parts.items()}
    assert text.count('"100k"') == 3


def test_a_netlist_that_is_not_there(tmp_path: Path) -> None:
    """The file names a netlist that does not lie beside it: told at the name."""
    text = re.sub(r"nets:.*?\n\n", "netlist: lost.net\n\n", text_of("adapter", "ferrule"), flags=re.DOTALL)
    write_project(tmp_path, {"shared/adapters/ferrule.yaml": text})
    done = call("adapter", "ferrule", cwd=tmp_path)
    assert done.returncode == 2
    assert "netlist-damaged: there is no file lost.net beside this one" in done.stderr


def test_pins_that_the_editor_leaves_open_are_unused() -> None:
    """A net of one pin whose name the editor made up for a pin left open is no net."""
    text = netlist_text(checked("ferrule").adapter)
    more = '    (net (code "99") (name "unconnected-(U2-NC-Pad27)") (node (ref "U2") (pin "27")))\n  )\n)\n'
    assert nets_of(text.removesuffix("  )\n)\n") + more)["unconnected-(U2-NC-Pad27)"] == [("U2", "27")]


def test_brackets_without_end_are_refused() -> None:
    """Nesting deeper than any netlist is told, however deep."""
    report = Report()
    assert read_netlist(b"(" * 100_000, "x.net", report) is None
    assert "nested deeper" in report.findings[0].text
    assert report.findings[0].place is not None
    assert report.findings[0].place.column == NETLIST_DEPTH + 1


@given(st.text(alphabet='() "\\\nexportnsdcmp123\u00e9', max_size=200))
def test_any_text_is_a_netlist_or_a_finding(text: str) -> None:
    """Nothing is raised, and a finding has a place."""
    for data in (text, f"(export {text})", f"(export (nets {text}))"):
        report = Report()
        read = read_netlist(data.encode(), "x.net", report)
        assert (read is None) == bool(report.findings)
        assert all(finding.severity is Severity.ERROR for finding in report.findings)


def test_existing_files_are_kept(tmp_path: Path) -> None:
    """`new adapter` replaces neither the file nor a netlist beside it unless it is told to."""
    (tmp_path / "board.net").write_text(netlist_text(checked("ferrule").adapter), encoding="utf-8")
    words = ("new", "adapter", "mine", "--netlist", "board.net", "--machine", "quillon8")
    assert call(*words, cwd=tmp_path).returncode == 0
    done = call(*words, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "--force replaces it" in done.stderr
    assert call(*words, "--force", cwd=tmp_path).returncode == 0
    done = call("new", "adapter", "mine2", "--netlist", "board.net", "--machine", "quillon9", cwd=tmp_path)
    assert "there is no machine 'quillon9'; did you mean quillon8?" in done.stderr
