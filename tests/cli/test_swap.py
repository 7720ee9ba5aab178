"""A build's folder is wholly old or wholly new, whatever happens, and what others put there stays."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from itertools import count
from pathlib import Path

import pytest

from matrixmap.cli import swap
from matrixmap.cli.main import UsageError
from matrixmap.cli.make.owned import LEDGER
from tests.cli.faults import AT_ONCE, contents, failing_at, killed_at, snapshot, write
from tests.project import ROOT, RUN, call

OLD = contents("old", "a.c", "gone.c")
NEW = contents("new", "a.c", "b.c")
FOREIGN = {"main.c", "link", "pipe", "own", "own/deep", "own/deep/x.txt"}
FULL = ("open", "write", "mkdir", "link", "symlink")
"""What fails on a full disk; removing and renaming go on."""
WAYS = ("swapped", "renamed", "within")
"""Folders are swapped, or renamed where the system cannot swap, or files replaced within the current folder."""


@pytest.fixture(autouse=True)
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """No test here waits for the disk."""
    monkeypatch.setattr(os, "fsync", lambda descriptor: None)


@pytest.fixture(params=WAYS)
def way(request: pytest.FixtureRequest) -> str:
    """How the folder is written."""
    return str(request.param)


def names(folder: Path) -> list[str]:
    """What stands in a folder."""
    return sorted(path.name for path in folder.iterdir())


def old_folder(parent: Path) -> Path:
    """A folder of an old build with files of others in it; its modes are unusual."""
    out = parent / "out"
    out.mkdir()
    for name, data in OLD.items():
        (out / name).write_bytes(data)
    (out / "own" / "deep").mkdir(parents=True)
    (out / "own" / "deep" / "x.txt").write_text("mine")
    (out / "main.c").write_text("mine too")
    (out / "main.c").chmod(0o600)
    (out / "a.c").chmod(0o640)
    (out / "link").symlink_to("nowhere")
    os.mkfifo(out / "pipe")
    out.chmod(0o750)
    return out


def after_build(out: Path) -> dict[str, object]:
    """What an old folder is once the new files are written."""
    before = snapshot(out)
    plain = 0o666 & ~umask()
    made = {name: (data, plain) for name, data in NEW.items()}
    return dict(sorted({**{name: before[name] for name in FOREIGN}, **made, "a.c": (NEW["a.c"], 0o640)}.items()))


def umask() -> int:
    """The bits that new files of this process lack."""
    mask = os.umask(0o22)
    os.umask(mask)
    return mask


def build_new(out: Path, way: str) -> None:
    """A build of the new files, in one of the ways."""
    here = Path.cwd()
    os.chdir(out if way == "within" else here)
    try:
        write(Path() if way == "within" else out, NEW)
    finally:
        os.chdir(here)


def ours(found: dict[str, object]) -> dict[str, object]:
    """Of what stands there, that which no other put there."""
    return {name: value for name, value in found.items() if name not in FOREIGN}


def test_a_build_replaces_its_files_and_keeps_those_of_others(way: str, tmp_path: Path) -> None:
    """Files that are not made any more go, others stay with their modes, the folder too, and nothing else is left."""
    out = old_folder(tmp_path)
    wanted, inode, own = after_build(out), (out / "main.c").stat().st_ino, out.stat().st_ino
    with failing_at(0, 0, swaps=way != "renamed"):
        build_new(out, way)
    assert snapshot(out) == wanted
    assert (out.stat().st_ino == own) == (way == "within")
    assert (out / "main.c").stat().st_ino == inode
    assert out.stat().st_mode & 0o7777 == 0o750
    assert names(tmp_path) == ["out"]


def kill_everywhere(way: str, parents: Path, put_right: bool) -> set[str]:
    """A build killed before each of its changes, and what was seen after it; `put_right` without a further build first."""
    seen = set()
    for number in count(1):
        parent = parents / str(number)
        parent.mkdir()
        out = old_folder(parent)
        old, new = snapshot(out), after_build(out)
        killed = killed_at(number, lambda out=out: build_new(out, way), swaps=way != "renamed")
        if way == "renamed" and not out.exists():
            # Between the two renames the folder is away; the next build finds it.
            seen.add("away")
        elif way != "within":
            found = snapshot(out)
            assert ours(found) in (ours(old), ours(new)), number
            assert {"main.c", "link"} <= found.keys(), number
            seen.add("old" if ours(found) == ours(old) else "new")
        if not killed:
            break
        if put_right:
            swap.recover(out, LEDGER)
            found = snapshot(out)
            assert found in (old, new), number
            assert names(parent) == ["out"], number
            seen.add("put right")
        write(out, NEW)
        assert (snapshot(out), names(parent)) == (new, ["out"]), number
    assert number > 25
    return seen


def test_a_killed_build(way: str, tmp_path: Path) -> None:
    """Killed before any of its changes: old or new, all of others' is there, and the next build leaves nothing behind."""
    seen = kill_everywhere(way, tmp_path, put_right=way == "within")
    assert seen == {"swapped": {"old", "new"}, "renamed": {"old", "new", "away"}, "within": {"put right"}}[way]


@pytest.mark.campaign
def test_a_killed_build_is_put_right(way: str, tmp_path: Path) -> None:
    """The same, each put right before the next build, or by that build alone."""
    kill_everywhere(way, tmp_path, put_right=way != "within")


def test_a_first_build_that_is_killed(tmp_path: Path) -> None:
    """Where no folder was, there is none or the whole."""
    for number in count(1):
        parent = tmp_path / str(number)
        parent.mkdir()
        killed = killed_at(number, lambda parent=parent: write(parent / "out", NEW))
        found = snapshot(parent / "out")
        assert not found or {name: data for name, (data, _) in found.items()} == NEW
        if not killed:
            break
        write(parent / "out", NEW)
        assert snapshot(parent / "out").keys() == NEW.keys()
        assert names(parent) == ["out"]
    assert number > 10


@pytest.mark.parametrize(
    ("code", "calls"),
    [
        pytest.param(errno.EIO, (), marks=pytest.mark.campaign),
        (errno.ENOSPC, ()),
        (errno.ENOSPC, FULL),
        pytest.param(errno.EACCES, (), marks=pytest.mark.campaign),
    ],
)
def test_a_change_that_fails(way: str, code: int, calls: tuple[str, ...], tmp_path: Path) -> None:
    """Any change may fail, once or from then on: all is as it was and the build says so, or all is new."""
    refused = 0
    for number in count(1):
        parent = tmp_path / str(number)
        parent.mkdir()
        out = old_folder(parent)
        old, new = snapshot(out), after_build(out)
        fault = ""
        with failing_at(number, code, calls, swaps=way != "renamed") as failed:
            try:
                build_new(out, way)
            except UsageError as error:
                fault = str(error)
        if not failed:
            break
        refused += bool(fault)
        assert not fault or os.strerror(code) in fault
        if way == "within" and failed[0] in ("unlink", "rmdir"):
            # The hidden folder could not be removed; the next build does.
            swap.recover(out, LEDGER)
        assert snapshot(out) in ([old] if fault and way != "within" else [old, new]), (number, failed)
        if failed[0] not in ("unlink", "rmdir"):
            assert names(parent) == ["out"], (number, failed)
        write(out, NEW)
        assert (snapshot(out), names(parent)) == (new, ["out"]), number
    assert number > 10
    # Without rights beside the folder, the build goes on within it.
    assert refused > 3 or code == errno.EACCES


@pytest.mark.parametrize("code", [errno.EBUSY, errno.EXDEV, errno.EPERM])
def test_a_folder_that_cannot_be_renamed(code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A mount or a folder of another owner is written file by file."""

    def refused(stage: Path, folder: Path) -> bool:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(swap, AT_ONCE, refused)
    out = old_folder(tmp_path)
    new, inode = after_build(out), out.stat().st_ino
    write(out, NEW)
    assert (snapshot(out), out.stat().st_ino) == (new, inode)
    assert names(tmp_path) == ["out"]


def test_a_folder_whose_parent_is_closed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing can be made beside the folder, nothing is."""
    out = old_folder(tmp_path)
    new = after_build(out)
    access = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: path != tmp_path and access(path, mode))
    monkeypatch.setattr(swap, "_write_beside", None)
    write(out, NEW)
    assert snapshot(out) == new


def test_a_folder_above_the_current_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder in which somebody works below stays the same one."""
    out = old_folder(tmp_path)
    new, inode = after_build(out), out.stat().st_ino
    monkeypatch.chdir(out / "own" / "deep")
    write(Path("../.."), NEW)
    assert (snapshot(out), out.stat().st_ino) == (new, inode)
    assert Path("x.txt").read_text() == "mine"


def test_a_folder_with_a_long_name(tmp_path: Path) -> None:
    """A name as long as the disk allows leaves no room for a longer one beside it."""
    out = tmp_path / ("x" * 255)
    write(out, OLD)
    write(out, NEW)
    assert snapshot(out).keys() == NEW.keys()


def test_a_disk_without_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files of others are copied with their modes and times, and what cannot be copied moves over."""

    def refused(*words: object, **more: object) -> None:
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    out = old_folder(tmp_path)
    os.utime(out / "main.c", (1000, 1000))
    new = after_build(out)
    monkeypatch.setattr(os, "link", refused)
    write(out, NEW)
    assert snapshot(out) == new
    assert (out / "main.c").stat().st_mtime == 1000


def test_a_file_written_meanwhile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What somebody saves or adds between the first look and the swap is in the new folder."""
    out = old_folder(tmp_path)
    at_once = swap._exchanged_at_once

    def saved(stage: Path, folder: Path) -> bool:
        (out / "late.c").write_text("late")
        (out / "saved.c").write_text("saved")
        (out / "saved.c").replace(out / "main.c")
        return at_once(stage, folder)

    monkeypatch.setattr(swap, AT_ONCE, saved)
    write(out, NEW)
    assert ((out / "late.c").read_text(), (out / "main.c").read_text()) == ("late", "saved")
    assert names(tmp_path) == ["out"]


@pytest.mark.parametrize("name", [".out.matrixmap-new", ".out.matrixmap-old", "out/.matrixmap-new"])
def test_a_link_under_the_name_of_what_a_build_makes(name: str, way: str, tmp_path: Path) -> None:
    """A link where the folder beside or within would be made is not followed: nothing behind it changes."""
    out = old_folder(tmp_path)
    (tmp_path / "other").mkdir()
    for file in ("a.c", "mm_manifest.json", "main.c"):
        (tmp_path / "other" / file).write_text("mine")
    (tmp_path / name).symlink_to(tmp_path / "other")
    before = snapshot(tmp_path / "other")
    with failing_at(0, 0, swaps=way != "renamed"), suppress(UsageError):
        build_new(out, way)
    assert snapshot(tmp_path / "other") == before
    assert (tmp_path / name).is_symlink()
    found = {file: (out / file).read_bytes() for file in {*OLD, *NEW} if (out / file).exists()}
    assert found in (OLD, NEW)


def test_a_link_to_the_folder_stays_a_link(tmp_path: Path) -> None:
    """The folder that a link leads to is written, and the link stays."""
    out = old_folder(tmp_path)
    (tmp_path / "there").symlink_to("out")
    write(tmp_path / "there", NEW)
    assert (tmp_path / "there").readlink() == Path("out")
    assert (out / "b.c").read_bytes() == NEW["b.c"]


def test_folders_made_for_a_build_that_fails_go_again(tmp_path: Path) -> None:
    """The folders above that were not there are removed if nothing could be written."""
    with failing_at(6, errno.ENOSPC), pytest.raises(UsageError):
        write(tmp_path / "far" / "off" / "out", NEW)
    assert names(tmp_path) == []


@pytest.mark.parametrize("mask", [0o000, 0o022, 0o027, 0o077])
def test_new_files_have_the_modes_of_the_umask(mask: int, tmp_path: Path) -> None:
    """Files and folders that were not there get what the umask leaves."""
    before = os.umask(mask)
    try:
        write(tmp_path / "out", NEW)
    finally:
        os.umask(before)
    assert (tmp_path / "out").stat().st_mode & 0o7777 == 0o777 & ~mask
    assert {path.stat().st_mode & 0o7777 for path in (tmp_path / "out").iterdir()} == {0o666 & ~mask}


def two_at_once(out: Path, layouts: tuple[str, str]) -> list[int]:
    """Exit codes of two builds of different layouts that run at the same time."""
    running = [
        subprocess.Popen(
            [sys.executable, "-c", RUN, "build", id, "--quiet", "--out", str(out)],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        for id in layouts
    ]
    return [each.wait(timeout=120) for each in running]


LAYOUTS = ("quillon8-en-GB-symbolic", "quillon8-de-DE-symbolic")


def test_two_builds_at_once(tmp_path: Path) -> None:
    """Many processes write two sets of files: each finds and leaves a whole folder."""
    sets = [contents("one", "a.c", "one.c"), contents("two", "a.c", "two.c")]
    out = tmp_path / "out"
    children = []
    for files in (*sets, *sets):
        child = os.fork()
        if not child:
            code = 1
            try:
                for _ in range(20):
                    write(out, files)
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children] == [0] * 4
    assert {path.name: path.read_bytes() for path in out.iterdir()} in sets
    assert names(tmp_path) == ["out"]


def test_a_build_waits_for_another(tmp_path: Path) -> None:
    """While one holds the lock, another does nothing; once that is killed, it goes on."""
    out = old_folder(tmp_path)
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        with swap.locked(out):
            os.write(writer, b"x")
            signal.pause()
    os.read(reader, 1)
    waiting = os.fork()
    if not waiting:
        try:
            write(out, NEW)
        finally:
            os._exit(0)
    assert not ends_within(waiting, 0.2)
    assert (out / "a.c").read_bytes() == OLD["a.c"]
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.waitpid(waiting, 0)
    assert (out / "a.c").read_bytes() == NEW["a.c"]


def test_a_parent_that_cannot_be_locked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A temporary file elsewhere stands for the folder, and a second one still waits for it."""
    import fcntl

    flock, locks = fcntl.flock, []

    def flock_of_files(descriptor: int, kind: int) -> None:
        if stat.S_ISDIR(os.fstat(descriptor).st_mode):
            raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))
        locks.append(descriptor)
        flock(descriptor, kind)

    monkeypatch.setattr(fcntl, "flock", flock_of_files)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    (tmp_path / "temporary").mkdir()
    out = old_folder(tmp_path)
    new = after_build(out)
    with swap.locked(out):
        (file,) = (tmp_path / "temporary").iterdir()
        with file.open() as other, pytest.raises(BlockingIOError):
            flock(other.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    write(out, NEW)
    assert len(locks) == 2
    assert snapshot(out) == new


def ends_within(child: int, seconds: float) -> bool:
    """Whether a process ends within some time."""
    time.sleep(seconds)
    return os.waitpid(child, os.WNOHANG)[0] != 0


@pytest.mark.campaign
def test_two_runs_of_the_command_at_once(tmp_path: Path) -> None:
    """Builds of different layouts into one folder, at the same time, for several rounds: each time one whole build."""
    wanted = []
    for id in LAYOUTS:
        assert call("build", id, "--out", tmp_path / id).returncode == 0
        wanted.append({path.name: path.read_bytes() for path in (tmp_path / id).iterdir()})
    for round in range(10):
        out = tmp_path / "rounds" / "out"
        assert two_at_once(out, LAYOUTS if round % 2 else LAYOUTS[::-1]) == [0, 0]
        assert {path.name: path.read_bytes() for path in out.iterdir()} in wanted
        assert names(out.parent) == ["out"]


KILLED = """
import os, sys
from itertools import count
sys.path.insert(0, {root!r})
from tests.cli.faults import watched
number, turns = int(sys.argv.pop(1)), count(1)
def before(name):
    if next(turns) == number:
        os._exit(137)
from matrixmap.cli.main import run
with watched(before):
    run()
"""


@pytest.mark.campaign
def test_the_command_is_killed_at_every_change(tmp_path: Path) -> None:
    """The command itself, with files of a real layout, killed before each change that it makes."""
    old, new = LAYOUTS
    wanted = {}
    for id in LAYOUTS:
        assert call("build", id, "--out", tmp_path / id).returncode == 0
        wanted[id] = {path.name: path.read_bytes() for path in (tmp_path / id).iterdir()}
    for number in count(1):
        out = tmp_path / str(number) / "out"
        assert call("build", old, "--out", out).returncode == 0
        (out / "own").mkdir()
        words = [sys.executable, "-c", KILLED.format(root=str(ROOT)), str(number), "build", new, "--out", str(out)]
        done = subprocess.run(words, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True)
        files = {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()}
        assert files in (wanted[old], wanted[new]), number
        if done.returncode == 0:
            break
        assert done.returncode == 137, done.stderr
        assert call("build", new, "--out", out).returncode == 0
        assert {path.name for path in out.iterdir()} == {"own", *wanted[new]}
        assert names(out.parent) == ["out"]
    assert number > 100
