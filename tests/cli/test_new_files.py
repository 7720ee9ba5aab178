"""`matrixmap new machine` and `new layout`: files that read without a finding at once."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from matrixmap.join.plan import compile_plan
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.source.shape.schema import schema_texts
from tests.project import call, open_folders, read_layout


@pytest.mark.parametrize(("select", "sense"), [(1, 1), (2, 3), (8, 8), (16, 16)])
def test_a_new_machine_reads_at_once(select: int, sense: int, tmp_path: Path) -> None:
    """Any number of lines gives a file without a finding, with a key at every crosspoint."""
    done = call("new", "machine", "quillon8-proto", "--select", str(select), "--sense", str(sense), cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[0] == "wrote shared/machines/quillon8-proto.yaml"
    loaded = open_folders(tmp_path).machine("quillon8-proto")
    assert loaded.findings == ()
    assert (len(loaded.value.select), len(loaded.value.sense), len(loaded.value.keys)) == (
        select,
        sense,
        select * sense,
    )
    assert {file.name for file in (tmp_path / "schema").iterdir()} == set(schema_texts())


def test_check_says_what_a_new_machine_lacks(tmp_path: Path) -> None:
    """A layout of it reads, and every key is told to be reached from nowhere."""
    call("new", "machine", "quillon8-proto", "--select", "2", "--sense", "2", cwd=tmp_path)
    done = call("new", "layout", "proto-us", "--machine", "quillon8-proto", "--host", "en-US", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    read_layout(open_folders(tmp_path), "proto-us")
    done = call("check", "proto-us", "--format", "json", "--fail-on", "warning", cwd=tmp_path)
    assert done.returncode == 1
    told = [finding["text"] for finding in json.loads(done.stdout)["layouts"][0]["findings"]]
    assert any("s0-n0, s0-n1, s1-n0, s1-n1" in text for text in told)


@pytest.mark.parametrize("join", [(), ("--positional",)])
@pytest.mark.parametrize("host", ["en-US", "de-DE", "ja-JP", "el-GR"])
def test_a_new_layout_reads_at_once(host: str, join: tuple[str, ...], tmp_path: Path) -> None:
    """A layout for the demo, by print or by place, has no finding of reading and no error."""
    done = call("new", "layout", "mine", "--machine", "quillon8", "--host", host, *join, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "wrote layouts/mine.yaml\nnext: matrixmap check mine says what no key reaches yet\n"
    layout = read_layout(open_folders(tmp_path), "mine")
    assert (layout.host.id, layout.join.value) == (host, "positional" if join else "symbolic")
    assert {line.modifier for line in layout.passes} == (set() if join else {"helm", "blazon"})
    assert len(layout.keys) > 60 if join else not layout.keys


@pytest.mark.parametrize(("host", "told"), [("en-US", False), ("fr-FR", False), ("el-GR", True), ("ru-RU", True)])
def test_a_second_host_is_proposed_where_latin_letters_are_missing(host: str, told: bool, tmp_path: Path) -> None:
    """The file says which letters no key prints, and how a second host can stand in; with that line they are reached."""
    call("new", "layout", "mine", "--machine", "quillon8", "--host", host, cwd=tmp_path)
    path = tmp_path / "layouts/mine.yaml"
    text = path.read_text(encoding="utf-8")
    assert ("# No key of this host prints a, b, c, d, e, f and 20 more." in text) == told
    assert ("\n# stand_in: en-US\n" in text) == told
    path.write_text(text.replace("\n# stand_in", "\nstand_in"), encoding="utf-8")
    assert set("abcxyz") <= set(ways_to_type(compile_plan(read_layout(open_folders(tmp_path), "mine"))))


def test_a_proposal_explains_itself(tmp_path: Path) -> None:
    """The file says how the pairs were found, which are far apart, and which keys got none."""
    call("new", "layout", "mine", "--machine", "quillon8", "--host", "en-US", "--positional", cwd=tmp_path)
    text = (tmp_path / "layouts/mine.yaml").read_text(encoding="utf-8")
    assert "the least total distance, here\n# " in text
    assert "# No key of this host is where these are: bracket-right. Choose one for each.\n" in text
    assert "  F8: b1  # 0.8 pitches away\n" in text
    assert "  KeyA: a\n" in text
    assert "locks: {CapsLock: blazon-latch}\n" in text


def test_a_machine_without_places_is_told(tmp_path: Path) -> None:
    """Without `place` there is nothing to propose, and the file says so."""
    call("new", "machine", "quillon8-proto", cwd=tmp_path)
    words = ("new", "layout", "mine", "--machine", "quillon8-proto", "--host", "en-US", "--positional")
    assert call(*words, cwd=tmp_path).returncode == 0
    assert "The machine has no `place`" in (tmp_path / "layouts/mine.yaml").read_text(encoding="utf-8")
    read_layout(open_folders(tmp_path), "mine")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("machine", "x/y"), "'x/y' is not an id"),
        (("machine", "Com4"), "'Com4' cannot be an id: it is the name of a device on Windows"),
        (("machine", "nul", "--from", "table.txt"), "'nul' cannot be an id: it is the name of a device on Windows"),
        (
            ("layout", "aux", "--machine", "quillon8", "--host", "de-DE"),
            "'aux' cannot be an id: it is the name of a device on Windows",
        ),
        (
            ("layout", "x", "--machine", "quillon", "--host", "de-DE"),
            "there is no machine 'quillon'; did you mean quillon8?",
        ),
        (("layout", "x", "--machine", "quillon8", "--host", "de"), "there is no host 'de'; did you mean "),
        (
            ("layout", "x", "--machine", "quillon8", "--host", "de-DE", "--root", "nowhere"),
            "there is no folder nowhere",
        ),
    ],
)
def test_what_cannot_be_done_is_said_in_a_sentence(words: tuple[str, ...], told: str, tmp_path: Path) -> None:
    """Exit code 2, one sentence, nothing written."""
    done = call("new", *words, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"matrixmap: {told}")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("option", ["--select", "--sense"])
@pytest.mark.parametrize("number", ["0", "17", "-1", "x"])
def test_a_number_of_lines_out_of_range_is_refused(option: str, number: str, tmp_path: Path) -> None:
    """One to sixteen lines of each kind fit the tables."""
    assert call("new", "machine", "x", option, number, cwd=tmp_path).returncode == 2
    assert list(tmp_path.iterdir()) == []


def test_existing_files_are_kept_unless_forced(tmp_path: Path) -> None:
    """A machine or layout that is there is not written over by a slip."""
    for words in (("machine", "x"), ("layout", "x", "--machine", "quillon8", "--host", "de-DE")):
        assert call("new", *words, cwd=tmp_path).returncode == 0
        done = call("new", *words, cwd=tmp_path)
        assert done.returncode == 2
        assert done.stderr.endswith("x.yaml already exists; --force replaces it\n")
        assert call("new", *words, "--force", cwd=tmp_path).returncode == 0


def test_a_damaged_machine_is_told_with_its_findings(tmp_path: Path) -> None:
    """A layout cannot begin on a machine that cannot be read."""
    (tmp_path / "shared/machines").mkdir(parents=True)
    (tmp_path / "shared/machines/x.yaml").write_text("machine: x\n", encoding="utf-8")
    done = call("new", "layout", "mine", "--machine", "x", "--host", "en-US", cwd=tmp_path)
    assert done.returncode == 2
    assert "shared/machines/x.yaml:1:1: missing-field: " in done.stderr
    assert not (tmp_path / "layouts").exists()
