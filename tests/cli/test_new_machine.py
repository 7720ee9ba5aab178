"""`matrixmap new machine --from` and `--probes`: a pasted table or probes become a file that reads at once."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import pytest

from matrixmap.model.machine import Diodes, Machine
from tests.project import RUN, call, open_folders

TABLE = """\
     N0    N1    N2    N3
S0   1 !   2 "   3 #   RETURN
S1   q     w     E     SHIFT
S2   - =   0     @     SPACE
S3   up    F1    ZONK  none
"""
PROBES = "q: 3 - 14\nW: 3 - 15\n1 !: 4 - 14\nSHIFT: 4 - 15\n"


def made(tmp_path: Path, text: str, *options: str, name: str = "--from") -> tuple[Machine, str]:
    """The machine that a text becomes, and what the command says."""
    (tmp_path / "text.txt").write_text(text, encoding="utf-8")
    done = call("new", "machine", "mine", name, "text.txt", *options, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    loaded = open_folders(tmp_path).machine("mine")
    assert loaded is not None
    assert loaded.findings == ()
    return loaded.value, done.stdout


def typed(machine: Machine) -> dict[str, dict[str, str]]:
    """What each key types, in words."""
    return {
        key.name: {machine.state_name(state): legend.text for state, legend in key.types.items()}
        for key in machine.keys
    }


def test_a_table_becomes_a_machine(tmp_path: Path) -> None:
    """Names, letters, digits, functions and modifiers are proposed; the crossings are the table's; what is open is told."""
    machine, said = made(tmp_path, TABLE)
    assert typed(machine) == {
        "d1": {"plain": "1", "shift": "!"},
        "d2": {"plain": "2", "shift": '"'},
        "d3": {"plain": "3", "shift": "#"},
        "return": {"plain": "Enter"},
        "q": {"plain": "q", "shift": "Q"},
        "w": {"plain": "w", "shift": "W"},
        "e": {"plain": "e", "shift": "E"},
        "shift": {},
        "minus": {"plain": "-", "shift": "="},
        "d0": {"plain": "0"},
        "at": {"plain": "@"},
        "space": {"plain": " "},
        "up": {"plain": "ArrowUp"},
        "f1": {"plain": "F1"},
        "zonk": {"plain": "Zonk"},
    }
    assert machine.contact_name(machine.key("space").contact) == "S2/N3"
    assert {key for row in machine.rows for key, _ in row.keys if key} == set(typed(machine))
    assert said.splitlines() == [
        "wrote shared/machines/mine.yaml",
        "15 keys; 4 select and 4 sense lines; modifiers: shift",
        "note: read as columns separated by blanks, its rows as select lines",
        "note: the table does not say what Shift makes of d0, at; the file has only the plain legend",
        "to be filled in: title, source, the times under scan; places are proposed",
        "next: read the file through, then begin a layout: matrixmap new layout mine-en-US --machine mine --host en-US",
    ]


def test_a_table_comes_from_standard_input(tmp_path: Path) -> None:
    """`--from -` reads what is pasted."""
    done = subprocess.run(
        [sys.executable, "-c", RUN, "new", "machine", "mine", "--from", "-"],
        input=TABLE.encode(),
        cwd=tmp_path,
        capture_output=True,
        timeout=120,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert (tmp_path / "shared/machines/mine.yaml").is_file()


@pytest.mark.parametrize(("rows", "contact"), [("select", "S0/N1"), ("sense", "S1/N0")])
def test_rows_are_what_is_said(rows: str, contact: str, tmp_path: Path) -> None:
    """With `--rows sense` the rows of the table are sense lines."""
    machine, _ = made(tmp_path, "A\tB\nC\tD\n", "--rows", rows)
    assert machine.contact_name(machine.key("b").contact) == contact


def test_rows_of_sense_lines_are_recognised(tmp_path: Path) -> None:
    """Rows that are called bit 0 and bit 1 beside columns called A8 and A9 are sense lines, and it is said."""
    machine, said = made(tmp_path, "\tA8\tA9\nbit 0\tQ\tW\nbit 1\tE\tR\n")
    assert (machine.select, machine.sense) == (("A8", "A9"), ("bit0", "bit1"))
    assert machine.contact_name(machine.key("w").contact) == "A9/bit0"
    assert "its rows as sense lines" in said


def test_further_legends_and_modifiers_are_named(tmp_path: Path) -> None:
    """`--legends` says which modifiers the second and third legends need, `--modifiers` which other keys are held."""
    table = "1 ! ½\tE €\tSHIFT\nBLAZON\tHELM\tF1/F2\n"
    machine, _ = made(tmp_path, table, "--legends", "shift,blazon", "--modifiers", "helm")
    assert [modifier.name for modifier in machine.modifiers] == ["shift", "blazon", "helm"]
    assert typed(machine)["d1"] == {"plain": "1", "shift": "!", "blazon": "½"}
    assert typed(machine)["e"] == {"plain": "e", "shift": "E", "blazon": "€"}
    assert typed(machine)["f1-f2"] == {"plain": "F1", "shift": "F2"}


def test_a_legend_without_a_modifier_is_told(tmp_path: Path) -> None:
    """What no named modifier makes stands as a remark in the file and in what the command says."""
    _, said = made(tmp_path, "1 ! ½\tE €\tSHIFT\n")
    assert "to be filled in: title, source, d1 (which modifier makes ½), e (which modifier makes €)" in said
    text = (tmp_path / "shared/machines/mine.yaml").read_text(encoding="utf-8")
    assert "  e: {plain: e, shift: E}  # to be filled in: which modifier makes €\n" in text


@pytest.mark.parametrize(
    ("table", "options", "wanted"),
    [
        ("A\tSHIFT\n", (), {"plain": "a", "shift": "A"}),
        ("A\tSHIFT\n", ("--capitals",), {"plain": "A"}),
        ("A\tB\n", (), {"plain": "A"}),
        ("a\tb\n", (), {"plain": "a"}),
        ("A\tCAPS SHIFT\n", (), {"plain": "A"}),
    ],
)
def test_letters_have_two_cases_where_there_is_a_shift(
    table: str, options: tuple[str, ...], wanted: dict[str, str], tmp_path: Path
) -> None:
    """With a key called Shift letters are small and capital; without it, or with --capitals, they are as printed."""
    machine, _ = made(tmp_path, table, *options)
    assert typed(machine)["a"] == wanted


def test_second_keys_get_names_of_their_own(tmp_path: Path) -> None:
    """Two Shifts are left and right, second digits and marks a keypad's; of other doubles it is said."""
    digits = "\t".join("1234567890")
    machine, said = made(tmp_path, f"{digits}\n{digits}\nSHIFT\tSHIFT\tENTER\tENTER\t-\t-\tESC\tESC\tnone\tnone\n")
    names = [key.name for key in machine.keys]
    assert names[10:20] == [f"keypad-{digit}" for digit in "1234567890"]
    assert names[20:] == ["shift-left", "shift-right", "enter", "keypad-enter", "minus", "keypad-minus", "esc", "esc-2"]
    assert "esc-2 (this is a second key with Escape; name it after its place)" in said
    assert "which of the two keys SHIFT is the left one is a proposal" in said


def test_the_shifted_legend_can_stand_first(tmp_path: Path) -> None:
    """Where the digits of a table stand second, marks do too."""
    machine, _ = made(tmp_path, '! 1\t" 2\t= -\tSHIFT\n')
    assert typed(machine)["minus"] == {"plain": "-", "shift": "="}


def test_four_arrows_are_the_cursor_keys(tmp_path: Path) -> None:
    """Four arrows are functions; one arrow is a character."""
    machine, _ = made(tmp_path, "↑\t↓\t←\t→\n")
    assert typed(machine)["left"] == {"plain": "ArrowLeft"}
    (tmp_path / "shared/machines/mine.yaml").unlink()
    machine, _ = made(tmp_path, "↑\tA\n")
    assert typed(machine)["upwards-arrow"] == {"plain": "↑"}


def test_places_come_from_a_second_text(tmp_path: Path) -> None:
    """A line a row, keys by print or name, widths and gaps in parentheses; an empty line is half a row."""
    (tmp_path / "rows.txt").write_text("(0.5) 1 2 3 minus\n\nQ W e (1) RETURN(2)\nspace(6.25)\n", encoding="utf-8")
    machine, _ = made(tmp_path, TABLE, "--place", "rows.txt")
    assert [(row.row, row.left, row.keys) for row in machine.rows] == [
        (0.0, 0.5, (("d1", 1.0), ("d2", 1.0), ("d3", 1.0), ("minus", 1.0))),
        (1.5, 0.0, (("q", 1.0), ("w", 1.0), ("e", 1.0), (None, 1.0), ("return", 2.0))),
        (2.5, 0.0, (("space", 6.25),)),
    ]
    (tmp_path / "rows.txt").write_text("1 2 1\nRETRUN\n", encoding="utf-8")
    done = call("new", "machine", "other", "--from", "text.txt", "--place", "rows.txt", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.splitlines() == [
        "rows.txt:1:5: name-twice: d1 already has a place, in line 1",
        "rows.txt:2:1: unknown-key: the table has no key RETRUN; did you mean return?",
        "2 findings; nothing was used",
    ]
    assert not (tmp_path / "shared/machines/other.yaml").exists()


def test_probes_become_a_machine(tmp_path: Path) -> None:
    """Keys are read as in a table; lines are called by their pins, and the connector is written."""
    machine, said = made(tmp_path, PROBES, "--strobed", "3", name="--probes")
    assert (machine.select, machine.sense) == (("P3", "P4"), ("P14", "P15"))
    assert typed(machine)["d1"] == {"plain": "1", "shift": "!"}
    assert machine.contact_name(machine.key("shift").contact) == "P4/P15"
    assert machine.diodes is Diodes.NONE
    assert machine.connector is not None
    assert (machine.connector.pins[2], machine.connector.pins[0]) == ("P3", None)
    assert "4 keys; 2 select and 2 sense lines; modifiers: shift" in said


def test_one_way_probes_become_diodes(tmp_path: Path) -> None:
    """Keys that pass current one way have diodes; with the level of a strobe they tell its side."""
    machine, _ = made(tmp_path, PROBES.replace("q: 3 -", "q: 3 <"), "--active", "low", name="--probes")
    assert machine.diodes is Diodes.SOME
    assert machine.diode_contacts == {machine.key("q").contact}
    assert machine.select == ("P3", "P4")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--from", "nowhere.txt"), "cannot read nowhere.txt: No such file or directory"),
        (("--from", "text.txt", "--rows", "both"), "--rows is select or sense, not 'both'"),
        (("--rows", "sense"), "--rows goes with --from"),
        (("--strobed", "3"), "--strobed goes with --probes"),
        (("--capitals",), "--capitals goes with --from or --probes"),
        (("--from", "text.txt", "--probes", "text.txt"), "--from and --probes are two sources of one grid"),
        (("--from", "-", "--place", "-"), "only one text can come from standard input"),
        (("--from", "text.txt", "--legends", "Shift"), "--legends: 'Shift' is not the name of a modifier"),
        (("--probes", "text.txt", "--active", "up"), "--active is low or high, not 'up'"),
        (("--select", "A8-A40"), "--select A8-A40: expected a number from 1 to 16, or as many names"),
    ],
)
def test_what_does_not_fit_together_is_said(words: tuple[str, ...], told: str, tmp_path: Path) -> None:
    """Exit code 2, one sentence, nothing written."""
    (tmp_path / "text.txt").write_text(TABLE, encoding="utf-8")
    done = call("new", "machine", "mine", *words, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"matrixmap: {told}")
    assert [file.name for file in tmp_path.iterdir()] == ["text.txt"]


def test_a_bad_table_writes_nothing(tmp_path: Path) -> None:
    """Every fault is told with its place in the table, and there is no file."""
    (tmp_path / "text.txt").write_text("S0\tq\t00\nS1\tq\t3\n", encoding="utf-8")
    done = call("new", "machine", "mine", "--from", "text.txt", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("text.txt:1:6: cell-unclear: '00' is not a legend")
    assert [file.name for file in tmp_path.iterdir()] == ["text.txt"]


def test_an_unknown_state_of_legends_is_refused(tmp_path: Path) -> None:
    """A modifier that --legends names and the table lacks is a keyboard that cannot be."""
    (tmp_path / "text.txt").write_text("1 !\tA\n", encoding="utf-8")
    done = call("new", "machine", "mine", "--from", "text.txt", "--legends", "blazon", cwd=tmp_path)
    assert done.returncode == 2
    assert "unknown-modifier: --legends names blazon, but the table has no key of that name" in done.stderr


def test_a_machine_that_is_there_is_kept(tmp_path: Path) -> None:
    """An existing file is not written over, and standard input is not waited for."""
    made(tmp_path, TABLE)
    before = (tmp_path / "shared/machines/mine.yaml").read_bytes()
    done = call("new", "machine", "mine", "--from", "text.txt", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.endswith("mine.yaml already exists; --force replaces it\n")
    assert (tmp_path / "shared/machines/mine.yaml").read_bytes() == before


def test_lines_can_be_named_in_a_file_to_be_filled_in(tmp_path: Path) -> None:
    """`--select A8-A9 --sense D0,D1` names the lines of a template."""
    assert call("new", "machine", "mine", "--select", "A8-A9", "--sense", "D0,D1", cwd=tmp_path).returncode == 0
    machine = open_folders(tmp_path).machine("mine").value
    assert (machine.select, machine.sense) == (("A8", "A9"), ("D0", "D1"))


def test_check_asks_for_what_shift_makes(tmp_path: Path) -> None:
    """A machine out of a table of one legend a key: the check says that Shift changes letters alone, until one is written."""
    made(tmp_path, "A\t1\t2\tSHIFT\n", "--source", "invented for these tests")

    def told() -> str:
        return " ".join(call("check", "--machine", "mine", "--all", cwd=tmp_path).stdout.split())

    said = "shift changes only letters; write what it makes of d1, d2, such as d1: {plain: 1, shift: '!'}"
    assert said in told()
    path = tmp_path / "shared/machines/mine.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("{plain: 1}", "{plain: 1, shift: '!'}"), encoding="utf-8")
    assert "shift changes only letters" not in told()


def test_the_help_has_examples_of_both(tmp_path: Path) -> None:
    """`--help` shows a table from a file and from standard input, and probes."""
    said = " ".join(call("new", "machine", "--help", cwd=tmp_path).stdout.split())
    for example in ("--from table.txt", "--from -", "--probes probes.txt --strobed 3", "--select 8 --sense 8"):
        assert f"matrixmap new machine quillon9 {example}" in said


def test_nothing_is_read_before_the_name_is_free(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bad id ends the command before standard input is read."""
    monkeypatch.setattr(sys, "stdin", io.StringIO())
    done = call("new", "machine", "a/b", "--from", "-", cwd=tmp_path)
    assert done.returncode == 2
    assert "'a/b' is not an id" in done.stderr
