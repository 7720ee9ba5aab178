"""What the commands print on a terminal: lines that fit, ids in short, errors of one form, JSON, completion."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pytest

from matrixmap.cli.look.completion import SHELLS
from matrixmap.cli.look.show import beside_each_other
from matrixmap.cli.main import COMMANDS
from matrixmap.form.parts.wrapping import cells
from tests.project import ROOT, call, matrixmap
from tests.tools import tool

DE = "quillon8-de-DE-symbolic"

OWN = {
    "layouts/mine-sv-SE-symbolic.yaml": "layout: mine-sv-SE-symbolic\nmachine: quillon8\nhost: sv-SE\njoin: symbolic\n",
}


def project(root: Path) -> Path:
    """A folder with a layout of its own."""
    for name, text in OWN.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")
    return root


@pytest.mark.parametrize("columns", [40, 80])
@pytest.mark.parametrize(
    "words", [("show", DE), ("show", "langet41-de-DE-symbolic"), ("show", "ricasso12-fo-fo-FO-symbolic")]
)
def test_tables_fit_the_terminal(words: tuple[str, ...], columns: int) -> None:
    """On a terminal of 40 or 80 columns no line is longer, nothing is cut, and every key of the matrix stands there."""
    narrow = call(*words, env={"COLUMNS": str(columns), "FORCE_COLOR": "1", "NO_COLOR": "1", "TERM": "xterm"})
    wide = call(*words)
    assert narrow.returncode == 0, narrow.stderr
    text = re.sub(r"\x1b\[[0-9;]*m", "", narrow.stdout)
    assert max(map(cells, text.splitlines())) <= columns
    assert "…" not in text
    names = set(re.findall(r"[\w/+-]+", wide.stdout.partition("The keys of the host")[0]))
    # Where a word is folded its parts stand below each other.
    kept = set(re.findall(r"[\w/+-]+", text))
    lost = {name for name in names if name not in kept and not re.fullmatch(r"[-+|]+", name)}
    assert not lost, lost


@pytest.mark.parametrize("room", [9, 20, 35, 75, 300])
def test_columns_are_shared_out(room: int) -> None:
    """Every column is in one table, in order; a table is as wide as the room or has one column."""
    widths = [3, 8, 12, 5, 20, 1, 1, 7]
    parts = list(beside_each_other(widths, room))
    assert [column for part in parts for column in part] == list(range(len(widths)))
    assert all(len(part) == 1 or sum(widths[column] + 3 for column in part) <= room for part in parts)
    assert len(parts) == 1 or room < 100


def test_lists_and_figures_wrap(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a narrow terminal a row of `list` and of `build` is a paragraph, and all of it is there."""
    from matrixmap.cli import session
    from matrixmap.cli.look import list as listing
    from matrixmap.cli.make import build

    wide = call("list")
    built = call("build", DE, "--out", tmp_path / "a")
    for module in (session, listing, build):
        monkeypatch.setattr(module, "line_width", lambda: 40)
    for before, words in ((wide, ("list",)), (built, ("build", DE, "--out", tmp_path / "a"))):
        done = call(*words)
        lines = [line for line in done.stdout.splitlines() if "files written" not in line]
        assert max(map(cells, lines)) <= 40
        assert set(re.findall(r"\w+", before.stdout)) <= set(re.findall(r"\w+", done.stdout))
        assert len(done.stdout.splitlines()) > len(before.stdout.splitlines())


def test_build_explains_floor_and_ratio(tmp_path: Path) -> None:
    """Below the figures a footnote says what floor and ratio are."""
    done = call("build", DE, "--out", tmp_path / "out")
    assert "floor: the least bytes that" in done.stdout
    assert "ratio: table to floor, 1 at best." in done.stdout


def test_ids_in_short(tmp_path: Path) -> None:
    """A part of an id stands for it where one id alone has it; else those that have it are named."""
    root = project(tmp_path)
    done = call("howto", "mine-sv-SE", "a", "--root", root)
    assert (done.returncode, done.stdout) == (0, call("howto", "mine-sv-SE-symbolic", "a", "--root", root).stdout)
    assert call("howto", "mine", "a", "--root", root).returncode == 0
    assert call("show", "da-DK").stdout == call("show", "quillon8-da-DK-symbolic").stdout
    several = call("show", "de-DE")
    assert several.returncode == 2
    assert "'de-DE' fits 6 layouts; write more of the id (layouts: " in several.stderr
    for name in ("langet41-de-DE-positional", "quillon8-de-DE-symbolic"):
        assert name in several.stderr
    none = call("show", "e-DE")
    assert none.returncode == 2
    assert "there is no layout 'e-DE'" in none.stderr
    assert call("check", "--machine", "langet41").returncode in (0, 1)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("show",), "missing argument 'layout' (see matrixmap show --help)"),
        (("build", "--nonsense"), "no such option: --nonsense (see matrixmap build --help)"),
        (("draw", DE, "--width", "wide"), "invalid value for '--width': 'wide' is not a valid integer (see matrixmap draw --help)"),
        (("new", "layout", "x"), "missing option '--machine' (see matrixmap new layout --help)"),
        (("list", "--format", "xml"), "there is no format 'xml' (formats: text, json)"),
        (("usages", "Nosuchname"), "no usage is called 'Nosuchname'"),
        (("shwo",), "there is no command 'shwo'; did you mean show? (see matrixmap --help)"),
    ],
)  # fmt: skip
def test_usage_errors_look_alike(words: tuple[str, ...], said: str) -> None:
    """Whoever finds the fault, it is one line with the program's name, and the exit code is 2."""
    done = call(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"matrixmap: {said}\n"


def test_a_call_without_words_prints_the_help() -> None:
    """`matrixmap` alone tells its commands in their lines, on the side of errors, for nothing was asked for."""
    done = call()
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == call("--help").stdout


def written(text: str) -> list[Path]:
    """The files that a command says it wrote."""
    return [Path(name) for name in json.loads(text)["files"]]


JSON = (
    ("build", DE, "--out", "out"),
    ("draw", DE, "--out", "d.svg"),
    ("stickers", DE, "--out", "s.svg"),
    ("sheet", DE, "--out", "s.html"),
    ("page", DE, "--out", "p.html"),
    ("new", "layout", "mine-a", "--machine", "quillon8", "--host", "de-DE"),
    ("new", "machine", "mine-b"),
    ("schema", "--out", "schemas"),
)


@pytest.mark.parametrize("words", JSON, ids=" ".join)
def test_what_was_written_as_json(tmp_path: Path, words: tuple[str, ...]) -> None:
    """`--format json` prints one object with the files that were written, all of which are there, and nothing else."""
    done = call(*words, "--format", "json", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    files = written(done.stdout)
    assert files
    assert all((tmp_path / file).is_file() for file in files)
    again = call(*words, "--format", "xml", cwd=tmp_path)
    assert again.returncode == 2
    assert "there is no format 'xml'" in again.stderr


def test_figures_of_a_build_as_json(tmp_path: Path) -> None:
    """The figures that the table has, as numbers."""
    done = json.loads(call("build", DE, "--out", tmp_path / "o", "--format", "json").stdout)
    (row,) = done["layouts"]
    assert row["layout"] == DE
    assert row["ratio"] == pytest.approx(row["table_bytes"] / row["floor_bytes"], abs=0.02)
    checked = call("build", DE, "--out", tmp_path / "o", "--check", "--format", "json")
    assert checked.returncode == 2


@pytest.mark.parametrize(
    ("command", "name"), [("draw", "d.svg"), ("stickers", "s.svg"), ("sheet", "s.html"), ("page", "p.html")]
)
def test_a_missing_folder_is_not_made(tmp_path: Path, command: str, name: str) -> None:
    """A picture goes into a folder that is there; one that is not is named, and nothing is made."""
    done = call(command, DE, "--out", tmp_path / "typo" / name)
    assert (done.returncode, done.stderr) == (
        2,
        f"matrixmap: there is no folder {tmp_path / 'typo'} to write {name} into\n",
    )
    assert list(tmp_path.iterdir()) == []


def test_usages_of_other_pages() -> None:
    """Names of other pages are known, with page and number; those of the keyboard page come first."""
    assert call("usages", "Hat switch").stdout == "0x01:0x39  Hat Switch  (Generic Desktop page)\n"
    both = call("usages", "mute").stdout.splitlines()
    assert both[0].startswith("0x7F")
    assert both[-1] == "0x0C:0xE2  Mute  (Consumer page)"
    rows = json.loads(call("usages", "Volume Increment", "--format", "json").stdout)["usages"]
    assert [(row["page"], row["usage"]) for row in rows] == [(0x0C, 0xE9)]
    assert call("usages", "0x39").stdout.count("\n") == 1


@pytest.mark.parametrize(
    ("after", "some", "none"),
    [
        (("check", "check", ""), {DE, "langet41-fr-FR-positional"}, {"ferrule"}),
        (("adapter", "adapter", ""), {"ferrule", "pommel"}, {DE}),
        (("kit", "kit", ""), {"ferrule", "pommel"}, {DE}),
        (("kit", "ferrule", ""), {DE}, {"ferrule"}),
        (("adapter", "--layout", ""), {DE}, {"ferrule"}),
        (("new", "--machine", ""), {"quillon8", "langet41"}, {DE}),
        (("new", "--host", ""), {"de-DE", "uk-UA"}, {"quillon8"}),
        (("draw", DE, "--"), {"--out", "--poster", "--help"}, {DE}),
        (("explain", "explain", ""), {"unreachable-character"}, {DE}),
        (("usages", "usages", ""), set(), {DE}),
    ],
)
def test_words_that_complete(after: tuple[str, ...], some: set[str], none: set[str]) -> None:
    """After a command come the ids that it takes, after an option those that go with it, and a hyphen brings options."""
    words = set(call("completion", "words", "--", *after).stdout.split())
    assert some <= words
    assert not none & words


def test_ids_of_the_folder_complete_too(tmp_path: Path) -> None:
    """A layout of one's own completes beside the shipped ones."""
    done = call("completion", "words", "--", "show", "show", "", cwd=project(tmp_path))
    assert {"mine-sv-SE-symbolic", DE} <= set(done.stdout.split())


@pytest.mark.parametrize("shell", SHELLS)
def test_scripts_are_well_formed(shell: str) -> None:
    """Each script names every command and is read by its shell without a complaint."""
    script = call("completion", shell).stdout
    assert all(command in script for command in COMMANDS)
    done = subprocess.run([tool(shell), "-n"], input=script, text=True, capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert call("completion", "tcsh").returncode == 2


def test_bash_completes(tmp_path: Path) -> None:
    """In bash, commands and ids complete as typed so far."""
    program = tmp_path / "matrixmap"
    program.write_text(
        f"#!/bin/sh\nPYTHONPATH={ROOT} exec python3 -c 'from matrixmap.cli.main import run; run()' \"$@\"\n",
        encoding="utf-8",
    )
    program.chmod(0o755)
    script = call("completion", "bash").stdout
    import sys

    program.write_text(program.read_text(encoding="utf-8").replace("python3", sys.executable), encoding="utf-8")
    for words, expected in ((["matrixmap", "stick"], "stickers"), (["matrixmap", "show", "quillon8-de-DE-s"], DE)):
        line = f'{script}\nCOMP_WORDS=({" ".join(words)}); COMP_CWORD={len(words) - 1}; _matrixmap; echo "${{COMPREPLY[@]}}"'
        done = subprocess.run(
            ["bash", "-c", line],
            text=True,
            capture_output=True,
            check=False,
            env={"PATH": f"{tmp_path}:/usr/bin:/bin"},
        )
        assert (done.stdout.strip(), done.stderr) == (expected, "")


def test_completion_starts_quickly() -> None:
    """What a shell waits for loads neither yaml nor rich."""
    done = matrixmap("completion", "words", "--", "show", "show", "", python=("-X", "importtime"))
    loaded = {line.rpartition("|")[2].strip().partition(".")[0] for line in done.stderr.splitlines()}
    assert not loaded & {"yaml", "rich", "pydantic"}
