"""How a call ends where the standard streams are closed, or where matrixmap itself is at fault."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from matrixmap import __version__
from matrixmap.cli.main import INTERRUPTED, OUR_FAULT
from matrixmap.source.kinds.project import Project
from tests.project import ROOT, RUN, call

ID = "quillon8-en-GB-symbolic"


def shell(words: str, streams: str, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """A call in a shell, with its streams as written behind it; the shell ends with its exit code."""
    command = f"{shlex.quote(sys.executable)} -c {shlex.quote(RUN)} {words} {streams}"
    return subprocess.run(
        ["bash", "-c", f"set -o pipefail; {command}"],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=60,
    )


@pytest.mark.parametrize("streams", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-", "<&- >&-", "2>/dev/full", "2> >(true)"])
@pytest.mark.parametrize(("words", "code"), [("usages KeyA", 0), ("usages nosuch", 2)])
def test_closed_streams(words: str, code: int, streams: str) -> None:
    """A stream that is closed or takes nothing changes no exit code and shows no traceback."""
    done = shell(words, streams)
    assert done.returncode == code
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr
    if ">&-" not in streams.replace("2>&-", "") and code == 0:
        assert "KeyA" in done.stdout


def test_a_finding_with_closed_streams(tmp_path: Path) -> None:
    """A check of stale files still ends with 1, and no message lands in a file that a build opens."""
    done = shell(f"build {ID} --check --out {tmp_path / 'out'}", ">&- 2>&-")
    assert done.returncode == 1
    done = shell(f"build {ID} --out {tmp_path / 'out'}", "<&- >&- 2>&-")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert shell(f"build {ID} --check --out {tmp_path / 'out'}", "").returncode == 0


def test_a_reader_of_both_streams_that_has_gone(tmp_path: Path) -> None:
    """A refusal that nobody reads is still a refusal."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mm_config.h").write_text("mine")
    done = shell(f"build {ID} --out {tmp_path / 'out'}", "2>&1 | true")
    assert (done.returncode, done.stdout, done.stderr) == (2, "", "")


@pytest.mark.parametrize("fault", [KeyError("k"), AssertionError(("a", "b")), RecursionError("deep"), MemoryError()])
def test_a_fault_of_ours_has_a_code_of_its_own(fault: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    """One line says whose fault it is, with version and command, and asks to report it; the traceback stands below."""

    def broken(*words: object) -> None:
        raise fault

    monkeypatch.setattr(Project, "layout", broken)
    done = call("show", ID, "--format", "j\x1bson")
    assert done.returncode == 2
    done = call("show", ID)
    assert (done.returncode, done.stdout) == (OUR_FAULT, "")
    line, *rest = done.stderr.splitlines()
    assert line == (
        f"matrixmap: this is a fault of matrixmap {__version__}, not of your files: `matrixmap show {ID}` ended in "
        f"{type(fault).__name__}; please report this line and the lines below it"
    )
    assert rest[0] == "Traceback (most recent call last):"
    assert rest[-1].startswith(type(fault).__name__)


def test_a_fault_of_ours_shows_no_control_characters(monkeypatch: pytest.MonkeyPatch) -> None:
    """What stands in the command is shown and not obeyed by the terminal."""
    monkeypatch.setattr(Project, "layout", None)
    done = call("show", "a\x1b[31m\nb")
    assert done.returncode == OUR_FAULT
    assert "\x1b" not in done.stderr.splitlines()[0]
    assert done.stderr.splitlines()[1] == "Traceback (most recent call last):"


def test_the_code_is_that_of_sysexits() -> None:
    """EX_SOFTWARE of sysexits.h (4.3BSD) is 70, which no finding and no usage error has."""
    assert OUR_FAULT == 70 == os.EX_SOFTWARE


def test_a_fault_of_ours_ends_the_process_with_it() -> None:
    """The process itself ends so, and not with the code of findings."""
    broken = "import matrixmap.source.kinds.project as p; p.Project.entries = None; " + RUN
    done = subprocess.run(
        [sys.executable, "-c", broken, "list"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == OUR_FAULT
    assert done.stderr.startswith("matrixmap: this is a fault of matrixmap ")


@pytest.mark.parametrize("page", ["README.md", "docs/check.md"])
def test_the_codes_are_told(page: str) -> None:
    """The pages that list exit codes have all of them."""
    text = (ROOT / page).read_text(encoding="utf-8").lower()
    paragraph = next(part for part in text.split("\n\n") if "exit code" in part and " 2 " in part)
    for code in ("0", "1", "2", "70"):
        assert f" {code} " in paragraph


def test_an_interrupt_is_no_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever stops a command gets the exit code of shells for that, and no traceback."""

    def stop(project: Project, name: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Project, "layout", stop)
    done = call("check", ID)
    assert (done.returncode, done.stdout, done.stderr.strip()) == (INTERRUPTED, "", "")
