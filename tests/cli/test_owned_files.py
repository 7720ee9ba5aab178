"""Which files in a folder are a build's: those that the manifest there names. All others are kept."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.cli.faults import snapshot
from tests.project import call

ID = "quillon8-en-GB-symbolic"
OTHER = "quillon8-de-DE-symbolic"
OWN = ("CMakeLists.txt", "mm_config.h")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the files of two layouts."""
    out = tmp_path_factory.mktemp("built") / "out"
    assert call("build", ID, OTHER, "--quiet", "--out", out).returncode == 0
    return out


@pytest.fixture
def out(built: Path, tmp_path: Path) -> Path:
    """A copy of it, which a test may change."""
    out = tmp_path / "out"
    out.mkdir()
    for path in built.iterdir():
        (out / path.name).write_bytes(path.read_bytes())
    return out


def lines(out: Path, text: str) -> list[str]:
    """The lines that are about a file of the folder, without its path."""
    return [line.removeprefix(f"{out}/") for line in text.splitlines() if line.startswith(f"{out}/")]


def test_files_of_ones_own_are_not_replaced(tmp_path: Path) -> None:
    """Without a manifest, files under names of a build are all named, and nothing is written; `--force` takes them."""
    out = tmp_path / "out"
    out.mkdir()
    for name in OWN:
        (out / name).write_text("mine")
    before = snapshot(tmp_path)
    done = call("build", ID, "--out", out)
    assert (done.returncode, done.stdout) == (2, "")
    assert lines(out, done.stderr) == [f"{name}: does not belong to a build and would be replaced" for name in OWN]
    assert "--force" in done.stderr
    assert snapshot(tmp_path) == before
    assert call("build", ID, "--out", out, "--force").returncode == 0
    assert b"add_library" in (out / "CMakeLists.txt").read_bytes()
    assert call("build", ID, "--out", out, "--check").returncode == 0


def test_a_file_that_the_manifest_does_not_name_is_ones_own(out: Path) -> None:
    """A manifest that does not name a file makes no claim to it; one that is as it would be written is no matter."""
    manifest = json.loads((out / "mm_manifest.json").read_text())
    for name in (*OWN, "mm_index.c"):
        del manifest["files"][name]
    (out / "mm_manifest.json").write_text(json.dumps(manifest))
    for name in OWN:
        (out / name).write_text("mine")
    done = call("build", ID, OTHER, "--out", out)
    assert done.returncode == 2
    assert lines(out, done.stderr) == [f"{name}: does not belong to a build and would be replaced" for name in OWN]


def test_a_file_that_the_manifest_names_is_replaced(out: Path) -> None:
    """What an earlier build wrote is the build's, also where it was changed."""
    wanted = (out / "mm_config.h").read_bytes()
    (out / "mm_config.h").write_text("changed")
    assert call("build", ID, OTHER, "--out", out).returncode == 0
    assert (out / "mm_config.h").read_bytes() == wanted


def test_a_link_is_ones_own(out: Path, tmp_path: Path) -> None:
    """A link under the name of a file is refused; with `--force` the link is replaced and never what it leads to."""
    (tmp_path / "mine.h").write_text("mine")
    (out / "mm_config.h").unlink()
    (out / "mm_config.h").symlink_to("../mine.h")
    done = call("build", ID, OTHER, "--out", out)
    assert done.returncode == 2
    assert lines(out, done.stderr) == ["mm_config.h: does not belong to a build and would be replaced"]
    assert call("build", ID, OTHER, "--out", out, "--force").returncode == 0
    assert not (out / "mm_config.h").is_symlink()
    assert (tmp_path / "mine.h").read_text() == "mine"


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "it is not JSON"),
        (b"<<<<<<< HEAD\n{}", "it is not JSON"),
        (b"\xff{}", "it is not JSON"),
        (b"[" * 100_000, "it is not JSON"),
        (b"[]", "it has no list of files"),
        (b'{"files": ["mm_config.h"]}', "it has no list of files"),
        (b'{"files": {"../main.c": "%s"}}' % (b"0" * 64), "'../main.c' is not the name of a file"),
        (b'{"files": {"..": "%s"}}' % (b"0" * 64), "'..' is not the name of a file"),
        (b'{"files": {"own/main.c": "%s"}}' % (b"0" * 64), "'own/main.c' is not the name of a file"),
        (b'{"files": {"mm_config.h": "12"}}', "it has no SHA-256 for 'mm_config.h'"),
        (b'{"files": {"mm_config.h": null}}', "it has no SHA-256 for 'mm_config.h'"),
    ],
)
def test_a_damaged_manifest_claims_nothing(out: Path, data: bytes, why: str) -> None:
    """With a manifest that cannot be read, all files are one's own, and the error says why."""
    (out / "mm_manifest.json").write_bytes(data)
    (out / "mm_config.h").write_text("changed")
    before = snapshot(out.parent)
    damage = f" (mm_manifest.json is damaged: {why})"
    done = call("build", ID, "--out", out)
    assert done.returncode == 2
    # With one layout fewer, three files differ for that reason.
    told = lines(out, done.stderr)
    assert {"mm_config.h", "mm_manifest.json", "mm_layouts.c"} <= {line.partition(":")[0] for line in told}
    assert all(line.endswith(f": does not belong to a build and would be replaced{damage}") for line in told)
    checked = call("build", ID, "--out", out, "--check")
    assert checked.returncode == 1
    assert f"mm_config.h: does not belong to a build; only matrixmap build --force replaces it{damage}" in lines(
        out, checked.stderr
    )
    assert snapshot(out.parent) == before
    assert call("build", ID, "--out", out, "--force").returncode == 0
    # No manifest says that these are a build's.
    assert (out / f"{OTHER}.c").is_file()


@pytest.mark.parametrize("kind", ["folder", "pipe"])
def test_a_manifest_that_is_no_file(out: Path, kind: str) -> None:
    """A folder or a pipe under the name of the manifest is refused, and nothing waits for the pipe."""
    (out / "mm_manifest.json").unlink()
    (out / "mm_manifest.json").mkdir() if kind == "folder" else os.mkfifo(out / "mm_manifest.json")
    for more in ((), ("--force",), ("--check",)):
        done = call("build", ID, "--out", out, *more)
        assert done.returncode == 2
        assert "it is a folder" in done.stderr or "it is not a file" in done.stderr


def test_files_of_layouts_that_are_gone_are_removed(out: Path) -> None:
    """What the old manifest names and no layout makes goes; each file is named, and the summary counts them."""
    done = call("build", ID, "--out", out)
    assert done.returncode == 0, done.stderr
    assert lines(out, done.stderr) == [
        f"{OTHER}.{suffix}: no layout makes this file any more; it was removed" for suffix in ("c", "h", "json", "md")
    ]
    assert not list(out.glob(f"{OTHER}.*"))
    assert (out / f"{ID}.c").is_file()
    assert done.stdout.splitlines()[-1].endswith(f"files written to {out}, 4 that no layout makes any more removed")


def test_a_left_over_file_that_was_changed_is_kept(out: Path) -> None:
    """One that was changed by hand stays and is named; from then on it is one's own."""
    (out / f"{OTHER}.c").write_text("mine now")
    done = call("build", ID, "--quiet", "--out", out)
    assert done.returncode == 0
    assert lines(out, done.stderr) == [
        *(f"{OTHER}.{suffix}: no layout makes this file any more; it was removed" for suffix in ("h", "json", "md")),
        f"{OTHER}.c: no layout makes this file any more; you changed it, so it is kept, and from now on it is yours",
    ]
    assert (out / f"{OTHER}.c").read_text() == "mine now"
    assert not (out / f"{OTHER}.h").exists()
    assert call("build", ID, "--check", "--out", out).returncode == 0
    assert (
        f"{OTHER}.c: does not belong to a build and would be replaced" in call("build", ID, OTHER, "--out", out).stderr
    )


def test_check_tells_stale_missing_and_left_over_files(out: Path) -> None:
    """`--check` names each with its fault in the order of names, writes nothing and ends with 1."""
    (out / "main.c").write_text("mine")
    (out / "mm_config.h").write_text("changed")
    (out / "mm_index.c").unlink()
    (out / f"{OTHER}.md").write_text("changed")
    before = snapshot(out.parent)
    done = call("build", ID, "--check", "--out", out)
    assert (done.returncode, done.stdout) == (1, "")
    gone = "no layout makes this file any more"
    assert lines(out, done.stderr) == [
        "CMakeLists.txt: is stale",
        "mm_config.h: is stale",
        "mm_index.c: is missing",
        "mm_layouts.c: is stale",
        "mm_layouts.h: is stale",
        "mm_manifest.json: is stale",
        *(f"{OTHER}.{suffix}: {gone}" for suffix in ("c", "h", "json")),
        f"{OTHER}.md: {gone}; you changed it, so a build keeps it",
    ]
    assert done.stderr.splitlines()[-1] == "10 files are stale, missing or left over; run matrixmap build"
    assert snapshot(out.parent) == before


def test_what_others_put_beside_it_stays(out: Path, tmp_path: Path) -> None:
    """Folders, links and files of other names are as they were after a build."""
    (out / "own").mkdir()
    (out / "own" / "main.c").write_text("mine")
    (out / "link").symlink_to("own")
    (tmp_path / "beside").write_text("mine")
    before = snapshot(tmp_path)
    assert call("build", ID, OTHER, "--quiet", "--out", out).returncode == 0
    assert snapshot(tmp_path) == before


def test_a_build_into_the_current_folder(out: Path) -> None:
    """`--out .` replaces files in place and leaves nothing else."""
    before = snapshot(out)
    assert call("build", ID, OTHER, "--quiet", "--out", ".", "--force", cwd=out).returncode == 0
    assert snapshot(out) == before


@pytest.mark.parametrize("name", [".out.matrixmap-new", ".out.matrixmap-old"])
def test_what_a_killed_build_left_does_not_hide_a_folder(out: Path, tmp_path: Path, name: str) -> None:
    """Where a folder stands both in what a killed build left and in the new one, the build asks which to keep."""
    for parent in (out, tmp_path / name):
        (parent / "own").mkdir(parents=True)
        (parent / "own" / "x").write_text(str(parent))
    before = snapshot(tmp_path)
    done = call("build", ID, "--out", out)
    assert done.returncode == 2
    assert "move one away" in done.stderr
    assert snapshot(tmp_path) == before


def test_a_link_that_leads_to_itself(tmp_path: Path) -> None:
    """Such a folder is an error and no traceback."""
    (tmp_path / "out").symlink_to("out")
    done = call("build", ID, "--out", tmp_path / "out")
    assert done.returncode == 2
    assert done.stderr.startswith(f"matrixmap: cannot write to {tmp_path / 'out'}: ")


@pytest.mark.parametrize("mask", [0o022, 0o027, 0o000])
def test_files_of_other_commands_have_the_modes_of_the_umask(tmp_path: Path, mask: int) -> None:
    """What `schema` writes has the mode that the umask leaves; a file that was there keeps its own."""
    before = os.umask(mask)
    try:
        assert call("schema", "--out", tmp_path / "out").returncode == 0
        modes = {path.stat().st_mode & 0o7777 for path in (tmp_path / "out").iterdir()}
        assert modes == {0o666 & ~mask}
        first, *others = sorted((tmp_path / "out").iterdir())
        first.chmod(0o640)
        assert call("schema", "--out", tmp_path / "out").returncode == 0
        assert first.stat().st_mode & 0o7777 == 0o640
        assert {path.stat().st_mode & 0o7777 for path in others} == {0o666 & ~mask}
    finally:
        os.umask(before)
