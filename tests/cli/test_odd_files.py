"""What editors, systems and accidents leave among the files of a project, and calls that name such things."""

from __future__ import annotations

import json
import os
import signal
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.compare.scratch import Scratch
from tests.project import call, shipped_ids, write_project

LAYOUT = "layout: {id}\nmachine: {machine}\nhost: {host}\njoin: symbolic\n"
FOLDERS = ("layouts", "shared/machines", "shared/hosts")
NO_FILES = ("dangling", "folder", "loop", "pipe", "sock", "topipe", "zero")
"""Names that end in .yaml and that no file has."""


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Path]:
    """A project of one layout, with odd things in all its folders."""
    write_project(tmp_path, {"layouts/k.yaml": LAYOUT.format(id="k", machine="quillon8", host="de-DE")})
    for name in FOLDERS:
        folder = tmp_path / name
        folder.mkdir(parents=True, exist_ok=True)
        (folder / ".#k.yaml").symlink_to("somebody@desk.4711:1764400000")
        (folder / "._k.yaml").write_bytes(b"\0\x05\x16\x07")
        (folder / ".yaml").write_text("x")
        (folder / "k.yaml~").write_text("x")
        (folder / "#k.yaml#").write_text("x")
        (folder / "dangling.yaml").symlink_to("nowhere")
        (folder / "loop.yaml").symlink_to("loop.yaml")
        (folder / "folder.yaml").mkdir()
        (folder / "topipe.yaml").symlink_to("pipe.yaml")
        (folder / "zero.yaml").symlink_to("/dev/zero")
        os.mkfifo(folder / "pipe.yaml")
        # The path of a socket is short, so it is made from within.
        before = Path.cwd()
        os.chdir(folder)
        try:
            with socket.socket(socket.AF_UNIX) as made:
                made.bind("sock.yaml")
        finally:
            os.chdir(before)

    def too_long(number: int, frame: object) -> None:
        raise TimeoutError("a command waits")

    # A command that opens a pipe would wait for ever.
    signal.signal(signal.SIGALRM, too_long)
    signal.alarm(60)
    yield tmp_path
    signal.alarm(0)


def test_odd_files_are_not_listed(project: Path) -> None:
    """`list`, `check` and `build` of all see the one layout, and none of them waits for a pipe."""
    listed = json.loads(call("list", "--format", "json", cwd=project).stdout)
    assert {row["id"] for row in listed["layouts"]} == {"k", *shipped_ids()}
    for words in (("check",), ("build", "--quiet"), ("schema", "--project", "--out", "schema"), ("compare", ".", ".")):
        done = call(*words, cwd=project)
        assert done.returncode == 0, words
        assert all(line.startswith("note: ") and " is not read: " in line for line in done.stderr.splitlines()), words


@pytest.mark.parametrize("name", NO_FILES)
def test_what_is_no_file_is_named_as_such(name: str, project: Path) -> None:
    """An id under which something stands that is no file is refused with what stands there, in a call and in a layout."""
    done = call("show", name, cwd=project)
    assert done.returncode == 2
    assert f"layouts/{name}.yaml exists, but it is not a file" in done.stderr
    write_project(project, {"layouts/bad.yaml": LAYOUT.format(id="bad", machine=name, host=name)})
    done = call("show", "bad", cwd=project)
    assert done.returncode == 2
    assert f"layouts/bad.yaml:2:10: unknown-machine: there is no machine '{name}'" in done.stderr
    assert f"; shared/machines/{name}.yaml exists, but it is not a file" in done.stderr
    assert f"; shared/hosts/{name}.yaml exists, but it is not a file" in done.stderr


@pytest.mark.parametrize("name", NO_FILES)
@pytest.mark.parametrize("words", [("check",), ("tidy",), ("compare", "layouts/k.yaml")])
def test_a_path_that_is_no_file(name: str, words: tuple[str, ...], project: Path) -> None:
    """A file that is named by its path is read only if it is one: else exit code 2 at once."""
    done = call(*words, f"layouts/{name}.yaml", cwd=project)
    assert done.returncode == 2
    assert f"cannot read layouts/{name}.yaml: " in done.stderr
    assert name in ("dangling", "folder", "loop") or "it is not a file" in done.stderr


@pytest.mark.parametrize("name", NO_FILES)
def test_nothing_is_written_over_what_is_no_file(name: str, project: Path) -> None:
    """`new` replaces none of these without `--force`, and with it nothing but links that lead nowhere."""
    words = ("new", "layout", name, "--machine", "quillon8", "--host", "de-DE")
    path = project / "layouts" / f"{name}.yaml"
    mode = path.lstat().st_mode
    done = call(*words, cwd=project)
    assert done.returncode == 2
    assert "already exists" in done.stderr
    assert path.lstat().st_mode == mode
    if name not in ("dangling", "loop"):
        assert call(*words, "--force", cwd=project).returncode == 2
        assert path.lstat().st_mode == mode


def test_hidden_files_of_a_revision_are_no_layouts(tmp_path: Path) -> None:
    """What is ignored in a folder is ignored in a commit too."""
    scratch = Scratch(tmp_path)
    write_project(tmp_path, {"layouts/k.yaml": LAYOUT.format(id="k", machine="quillon8", host="de-DE")})
    (tmp_path / "layouts" / "._k.yaml").write_bytes(b"\0")
    scratch.commit("first")
    (tmp_path / "layouts" / "._k.yaml").unlink()
    scratch.commit("second")
    done = call("compare", "HEAD~1", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "._k" not in done.stdout
