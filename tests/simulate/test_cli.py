"""`matrixmap type` and `matrixmap trace` as a user calls them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests import tools
from tests.project import call, matrixmap
from tests.shipped import some_of

LAYOUT = "quillon8-en-GB-symbolic"
SCRIPTS = Path(__file__).parents[1] / "scripts"


def test_type_reads_back() -> None:
    """A text that is read back as typed is exit code 0, and both lines show it."""
    done = call("type", LAYOUT, 'PRINT "£5"', "--rate", "15")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[:2] == ['typed: PRINT "£5"', 'read:  PRINT "£5"']


@pytest.mark.parametrize("engine", ["model", "c"])
def test_type_json(engine: str) -> None:
    """The JSON document has what was typed, read, lost and dropped, and each key with its time."""
    if engine == "c":
        tools.tool("cc")
    done = matrixmap("type", LAYOUT, "Ab\n", "--engine", engine, "--format", "json", "--timeline")
    document = json.loads(done.stdout)
    assert (document["typed"], document["read"], document["lost"], document["overflows"]) == ("Ab\n", "Ab\n", [], 0)
    assert [key["types"] for key in document["keys"]] == ["A", "b", "Enter"]
    assert document["engine"] == engine
    assert document["feasible"] is True
    assert {row["kind"] for row in document["timeline"]} == {"input", "closed", "opened", "read"}


def test_engines_print_the_same() -> None:
    """Model and C give the same timeline, word for word."""
    tools.tool("cc")
    words = ("type", LAYOUT, 'The "Quillon"', "--timeline", "--rate", "20", "--interval", "15", "--link", "queued")
    assert call(*words).stdout == call(*words, "--engine", "c").stdout


def test_type_names_the_limit() -> None:
    """Where physics forbids it the limit is named, what is lost is listed, and the exit code is 1."""
    done = call("type", LAYOUT, "aabbccddeeff", "--interval", "50", "--rate", "15", "--format", "json")
    document = json.loads(done.stdout)
    assert done.returncode == 1
    assert document["feasible"] is False
    assert any("report interval of 50 ms" in limit for limit in document["limits"])
    assert len(document["lost"]) == len(document["typed"]) - len(document["read"]) > 0


def test_every_phase() -> None:
    """With `--phase all` every phase that matters is tried; a sure text is read the same at each."""
    done = call("type", LAYOUT, "Hi!", "--phase", "all", "--format", "json")
    assert (done.returncode, json.loads(done.stdout)["other_phases"]) == (0, [])


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("type", LAYOUT, "日"), "cannot type 日: Quillon 8 has no such character"),
        (("type", LAYOUT, "a\x1b[31m{"), "cannot type {"),
        (("type", LAYOUT, "a", "--rate", "fast"), "--rate takes a number from 0.1 to 1000, not 'fast'"),
        (("type", LAYOUT, "a", "--rate", "0"), "--rate takes a number"),
        (("type", LAYOUT, "a", "--interval", "0.05"), "--interval takes a number from 0.1"),
        (("type", LAYOUT, "a", "--interval", "7.55"), "--interval takes a multiple of 0.1 ms"),
        (("type", LAYOUT, "a", "--hold", "-1"), "--hold takes a number from 1"),
        (("type", LAYOUT, "a", "--phase", "x"), "--phase takes a number from 0"),
        (("type", LAYOUT, "a", "--link", "wire"), "there is no link 'wire' (links: sampled, queued)"),
        (("type", LAYOUT, "a", "--engine", "rust"), "there is no engine 'rust' (engines: model, c)"),
        (("type", LAYOUT, "a", "--format", "xml"), "there is no format 'xml'"),
        (("type", "quillon8-en-GB-symbolik", "a"), "did you mean quillon8-en-GB-symbolic?"),
        (("trace", LAYOUT, "no-such-file.txt"), "cannot read no-such-file.txt: No such file or directory"),
        (("trace", LAYOUT, "."), "cannot read .: Is a directory"),
    ],
)
def test_unusable_arguments(words: tuple[str, ...], fault: str) -> None:
    """What cannot be used is told in one sentence, with exit code 2 and nothing on stdout."""
    done = call(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert fault in done.stderr
    assert "Traceback" not in done.stderr


def test_no_compiler() -> None:
    """Without a C compiler the C engine says what to install."""
    done = matrixmap("type", LAYOUT, "a", "--engine", "c", env={"PATH": "/nowhere", "CC": ""})
    assert done.returncode == 2
    assert "no C compiler is installed; install one" in done.stderr


def test_a_compiler_that_fails(tmp_path: Path) -> None:
    """A compiler that does not compile is named with what it says."""
    broken = tmp_path / "broken-cc"
    broken.write_text("#!/bin/sh\necho 'no space left' >&2\nexit 1\n", encoding="ascii")
    broken.chmod(0o755)
    done = call("type", LAYOUT, "a", "--engine", "c", env={"CC": str(broken)})
    assert done.returncode == 2
    assert "cannot compile the runtime: no space left" in done.stderr


def test_trace_prints_the_timeline(tmp_path: Path) -> None:
    """A script's events, contacts and presses are printed in order of time."""
    script = tmp_path / "s.txt"
    script.write_text("down ShiftLeft\nwait 8 ms\ndown KeyA\nwait 60 ms\nup KeyA, up ShiftLeft\n", encoding="utf-8")
    done = call("trace", LAYOUT, script, "--timeline")
    assert done.returncode == 0
    words = [" ".join(line.split()[2:]) for line in done.stdout.splitlines() if " ms  " in line]
    assert words[:4] == ["down ShiftLeft", "closed shift-left", "down KeyA", "closed a"]
    assert "the machine reads a (shift): A" in words
    assert done.stdout.splitlines()[-2:] == ["typed: A", "read:  A"]


@pytest.mark.parametrize("name", some_of(sorted(path.stem for path in SCRIPTS.glob("*.txt")), "traced", 3))
def test_trace_of_every_script(name: str) -> None:
    """Every script of the tests runs from the command line; only losses make the exit code 1."""
    path = SCRIPTS / f"{name}.txt"
    layout = path.read_text(encoding="utf-8").split("# layout: ")[1].split("\n")[0]
    done = call("trace", layout, path, "--format", "json")
    document = json.loads(done.stdout)
    assert done.stderr == ""
    assert done.returncode == (1 if document["lost"] or document["extra"] else 0)
    assert document["closed"] == []


def test_trace_from_standard_input_and_faults(tmp_path: Path) -> None:
    """All faults of a script are told with file, line and column; nothing is played."""
    script = tmp_path / "s.txt"
    script.write_text("down KeyA\nwait 20\nhurry up\n", encoding="utf-8")
    done = call("trace", LAYOUT, script.name, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    lines = done.stderr.splitlines()
    assert lines[0].startswith("s.txt:2:6: wait must be followed by a time")
    assert lines[1].startswith("s.txt:3:1: there is no event 'hurry'")
    assert lines[2] == "2 faults; nothing was played"


def test_trace_changes_layout_within_one_machine(tmp_path: Path) -> None:
    """A script can change to a layout of the same machine; an unknown one is told with its place."""
    script = tmp_path / "s.txt"
    script.write_text("wait 1 ms\nlayout quillon8-en-GB-symbolix\n", encoding="utf-8")
    done = call("trace", LAYOUT, script.name, cwd=tmp_path)
    assert done.returncode == 2
    assert "s.txt:2:1: there is no layout 'quillon8-en-GB-symbolix'; did you mean" in done.stderr


def test_output_survives_a_poor_terminal() -> None:
    """Characters that the output cannot show do not end in a traceback."""
    done = matrixmap("type", LAYOUT, "£", env={"PYTHONIOENCODING": "ascii:backslashreplace", "NO_COLOR": "1"})
    assert (done.returncode, "Traceback" in done.stderr) == (0, False)
