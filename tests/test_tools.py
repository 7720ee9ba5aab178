"""Missing tools: named where they are skipped, a failure in CI, installed once where a run may."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests import tools
from tests.apt import apt_get
from tests.project import ROOT


def test_a_missing_tool_is_a_named_skip(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without CI the test is skipped, and the reason names the tool."""
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception, match="no-such-compiler is missing"):
        tools.tool("no-such-compiler")
    with pytest.raises(pytest.skip.Exception, match="a package"):
        tools.module("no_such_module", "a package")


@pytest.mark.parametrize("value", ["true", "1", "yes"])
def test_a_missing_tool_fails_in_ci(monkeypatch: pytest.MonkeyPatch, value: str) -> None:
    """Where CI is set to anything, the test fails."""
    monkeypatch.setenv("CI", value)
    with pytest.raises(pytest.fail.Exception, match="no-such-compiler is missing"):
        tools.tool("no-such-compiler")


def test_the_list_of_packages() -> None:
    """A package a line, comments aside; each is a name that Debian allows, and none stands twice."""
    assert tools.listed_packages("# all\ngcc\n\navr-libc   # AVR\n") == ["gcc", "avr-libc"]
    packages = tools.listed_packages(tools.PACKAGES.read_text(encoding="utf-8"))
    assert {"gcc", "clang", "gcc-avr", "simavr", "valgrind"} <= set(packages)
    assert len(packages) == len(set(packages))
    assert all(name.replace("-", "").replace("+", "").replace(".", "").isalnum() for name in packages)


def test_nothing_is_installed_without_the_rights(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who is not root gets no package installed, whatever is missing."""
    monkeypatch.setattr(tools.os, "geteuid", lambda: 1000)
    monkeypatch.setattr(tools, "missing_packages", lambda packages: packages)
    assert tools.install_missing() is None


def test_one_call_installs_all_that_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    """As root one update and one install name every missing package."""
    calls: list[list[str]] = []

    def record(words: list[str]) -> object:
        calls.append(words)
        return subprocess.CompletedProcess(words, 0, "", "")

    monkeypatch.setattr(tools.os, "geteuid", lambda: 0)
    monkeypatch.setattr(tools.shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(tools, "missing_packages", lambda packages: packages[:3])
    monkeypatch.setattr(tools, "apt_get", record)
    told = tools.install_missing()
    assert len(calls) == 2
    assert calls[0][-1] == "update"
    assert calls[1][-3:] == tools.listed_packages(tools.PACKAGES.read_text(encoding="utf-8"))[:3]
    assert told == f"installed {' '.join(calls[1][-3:])}"


HOLD = "import fcntl, sys\nfile = open(sys.argv[1], 'w')\nfcntl.lockf(file, fcntl.LOCK_EX)\nprint('held', flush=True)\nsys.stdin.read()"


@pytest.fixture
def lists(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The lock of the lists of packages, of an apt with folders of its own and no source of packages."""
    if shutil.which("apt-get") is None:
        tools.missing("apt-get")
    for name in ("state/lists/partial", "cache/archives/partial"):
        (tmp_path / name).mkdir(parents=True)
    (tmp_path / "status").touch()
    settings = {"Dir::State": "state", "Dir::State::status": "status", "Dir::Cache": "cache"}
    lines = [f'{name} "{tmp_path / value}";\n' for name, value in settings.items()]
    lines += [f'Dir::Etc::{name} "/dev/null";\n' for name in ("SourceList", "SourceParts")]
    (tmp_path / "apt.conf").write_text("".join(lines))
    monkeypatch.setenv("APT_CONFIG", str(tmp_path / "apt.conf"))
    return tmp_path / "state" / "lists" / "lock"


def hold(lock: Path) -> subprocess.Popen[str]:
    """Another process that holds a lock until its input ends."""
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD, lock], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    return holder


def test_a_busy_package_manager_is_waited_for(lists: Path) -> None:
    """While another process holds the lock the call waits and says so once, with that process; then it goes on."""
    holder = hold(lists)
    told: list[str] = []

    def tell(line: str) -> None:
        told.append(line)
        holder.communicate()

    assert apt_get(["-qq", "update"], wait=60, pause=0.05, tell=tell).returncode == 0
    assert len(told) == 1
    assert told[0].startswith("the package manager is busy; waiting up to 60 s for it (Could not get lock ")
    assert str(holder.pid) in told[0]


def test_the_wait_for_the_package_manager_ends(lists: Path) -> None:
    """After the time the fault of apt comes through."""
    holder = hold(lists)
    try:
        done = apt_get(["-qq", "update"], wait=0.3, pause=0.1, tell=lambda line: None)
    finally:
        holder.communicate()
    assert done.returncode != 0
    assert "Could not get lock" in done.stderr


def test_another_fault_of_apt_is_told_at_once(lists: Path) -> None:
    """Only locks are waited for: a package that does not exist is a fault that stays."""
    told: list[str] = []
    done = apt_get(["-qq", "install", "no-such-package-at-all"], wait=60, tell=told.append)
    assert done.returncode != 0
    assert "no-such-package-at-all" in done.stderr
    assert told == []


def test_every_call_of_apt_waits() -> None:
    """The script of all tests calls apt-get by the module that waits."""
    text = (ROOT / "tests" / "run").read_text(encoding="utf-8")
    assert text.count("python3 tests/apt.py -qq") == 4
    assert not [line for line in text.splitlines() if line.strip().startswith(("apt-get", "DEBIAN_FRONTEND"))]


SKIPS = """
import pytest
from tests import tools

def test_one():
    tools.tool("no-such-compiler")

def test_two():
    tools.tool("no-such-compiler")

def test_on_its_own_account():
    pytest.skip("the moon is full")

def test_that_runs():
    pass
"""


def run_of(folder: Path, ci: str, *words: str) -> subprocess.CompletedProcess[str]:
    """A run of these tests under the settings of this suite."""
    (folder / "conftest.py").write_text((ROOT / "tests" / "conftest.py").read_text(encoding="utf-8"))
    (folder / "test_skips.py").write_text(SKIPS)
    env = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST") and name != "CI"}
    env |= {"PYTHONPATH": str(ROOT), **({"CI": ci} if ci else {})}
    command = [sys.executable, "-m", "pytest", "-q", "--no-install", "-p", "no:cacheprovider", f"--rootdir={folder}"]
    return subprocess.run([*command, *words, folder], env=env, cwd=folder, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("workers", ["0", "2"])
def test_each_skip_is_named_at_the_end(tmp_path: Path, workers: str) -> None:
    """The end of a run has each reason with the number of tests, also of a parallel run; it has not failed."""
    done = run_of(tmp_path, "", "-n", workers)
    assert done.returncode == 0, done.stdout + done.stderr
    end = done.stdout.rpartition("= skipped =")[2].splitlines()
    assert [line for line in end if ": " in line] == [
        "2 tests: no-such-compiler is missing",
        "1 test: the moon is full",
    ]


def test_no_run_of_ci_skips(tmp_path: Path) -> None:
    """Where CI is set, missing tools are failures, and so is a run in which a test skipped itself."""
    done = run_of(tmp_path, "true", "-n", "0", "-k", "moon or account or runs")
    assert done.returncode == 1, done.stdout
    assert "1 test: the moon is full" in done.stdout
    assert "CI asks for every check" in done.stdout
    assert run_of(tmp_path, "true", "-n", "0", "-k", "runs").returncode == 0
