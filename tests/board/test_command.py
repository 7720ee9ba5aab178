"""`matrixmap adapter`: wiring, findings, forms and errors."""

from __future__ import annotations

import json
import resource
from pathlib import Path

import pytest

from matrixmap.board.cautions import CAUTIONS
from tests.board.boards import SHIPPED, edited, text_of
from tests.project import call, matrixmap, write_project
from tests.shipped import some_of


@pytest.mark.parametrize("id", SHIPPED)
def test_text_has_the_wiring_and_the_cautions(id: str) -> None:
    """Every pin of the connector has a line with what it leads to, for both revisions, and the cautions stand below."""
    done = call("adapter", id)
    assert (done.returncode, done.stderr) == (0, "")
    assert f"{id} on quillon8: 65 of 65 contacts can be closed" in done.stdout
    assert f"{id} on quillon8/late: 65 of 65 contacts can be closed" in done.stdout
    for caution in CAUTIONS:
        assert done.stdout.count(caution) == 2
    lines = [line.split() for line in done.stdout.splitlines()]
    assert [row[1] for row in lines if row and row[0].isdigit()][:3] == ["ground", "supply", "S7"]
    assert sum(1 for row in lines if row and row[0].isdigit()) == 44


def test_one_machine_as_json() -> None:
    """The routes of one revision: each contact between its two ports, and the pins that they stand on."""
    done = call("adapter", "ferrule", "--machine", "quillon8/late", "--format", "json")
    (board,) = json.loads(done.stdout)["boards"]
    assert (board["revision"], board["how"]) == ("late", "switch")
    assert {"contact": "S3/N5", "between": ["U2.X3", "U2.Y5"], "bit": 3 + 8 * 5} in board["routes"]
    pins = {row["pin"]: (row["line"], row["header_pin"]) for row in board["pins"]}
    # The late connector is seen from below: each odd pin has changed places with the even one beside it.
    assert pins[3] == ("N7", 4)
    assert pins[4] == ("S7", 3)
    assert board["cautions"] == list(CAUTIONS)


def test_a_fault_ends_with_1_and_names_its_line(tmp_path: Path) -> None:
    """A finding has file, line and column; `--fail-on` says from which severity on the exit code is 1."""
    text = edited(text_of("adapter", "ferrule"), [("U1.VCC, U1.AVCC", "U1.VCC"), ("U2.NC]", "U2.NC, U1.AVCC]")])
    root = write_project(tmp_path, {"shared/adapters/ferrule.yaml": text})
    done = call("adapter", "ferrule", "--machine", "quillon8", cwd=root)
    assert done.returncode == 1
    assert "error: supply-open: U1.AVCC needs 4.5 to 5.5 V, but no supply is joined to it" in done.stdout
    assert "  shared/adapters/ferrule.yaml:11:3\n" in done.stdout
    assert call("adapter", "ferrule", "--fail-on", "none", cwd=root).returncode == 0
    by_path = call("adapter", root / "shared/adapters/ferrule.yaml", "--machine", "quillon8", cwd=root)
    assert by_path.returncode == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("ferule",), "there is no adapter 'ferule'; did you mean ferrule?"),
        (("ferrule", "--machine", "quillon8/lat"), "ferrule does not fit 'quillon8/lat'; did you mean quillon8/late?"),
        (("ferrule", "--format", "xml"), "there is no format 'xml'"),
        (("ferrule", "--fail-on", "note"), "there is no severity 'note'"),
        (("shared/machines/quillon8.yaml",), "describes a machine, not an adapter"),
        (("nowhere.yaml",), "cannot read nowhere.yaml"),
    ],
)
def test_a_call_that_cannot_be_carried_out_ends_with_2(words: tuple[str, ...], told: str) -> None:
    """The reason is one sentence on stderr, with the nearest right name."""
    done = call("adapter", *words)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr


def test_a_file_that_cannot_be_used_ends_with_2(tmp_path: Path) -> None:
    """Findings of reading go to stderr with their places, and nothing is traced."""
    text = edited(text_of("adapter", "ferrule"), [("S3: [J1.13, U2.X3]", "S3: [J1.13, U2.X9]")])
    root = write_project(tmp_path, {"shared/adapters/ferrule.yaml": text})
    done = call("adapter", "ferrule", cwd=root)
    assert (done.returncode, done.stdout) == (2, "")
    assert "shared/adapters/ferrule.yaml:36:15: unknown-pin: U2 (switch-array-8x8) has no pin 'X9'" in done.stderr


def test_names_of_nets_cannot_work_the_terminal(tmp_path: Path) -> None:
    """A net whose name holds an escape is refused, and the finding shows it harmlessly."""
    text = edited(text_of("adapter", "ferrule"), [("  RXD: [U1.PD0, J3.2]", '  "R\\e[31mXD": [U1.PD0, J3.2]')])
    root = write_project(tmp_path, {"shared/adapters/ferrule.yaml": text})
    done = call("adapter", "ferrule", cwd=root)
    assert done.returncode == 2
    assert "is not the name of a net" in done.stderr
    assert "\x1b" not in done.stdout + done.stderr


def test_adapters_and_parts_are_listed() -> None:
    """`list` has them with their titles."""
    listed = json.loads(call("list", "--format", "json").stdout)
    assert [row["id"] for row in listed["adapters"]] == sorted(SHIPPED)
    assert {"id": "jumper", "title": "Jumper", "from": "shipped"} in listed["parts"]


def seconds_of(*words: str) -> float:
    """The processor's time of a command as a process, the least of three."""
    found = []
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        assert matrixmap(*words).returncode == 0
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(found)


@pytest.mark.parametrize("id", some_of(SHIPPED, "fast", 3))
def test_a_board_is_checked_as_quickly_as_a_layout_is_shown(id: str) -> None:
    """Tracing and all findings of an adapter on a machine take at most twice as long as `show` of a layout."""
    shown = seconds_of("show", "quillon8-en-GB-symbolic")
    assert seconds_of("adapter", id, "--machine", "quillon8/late") <= 2 * shown
