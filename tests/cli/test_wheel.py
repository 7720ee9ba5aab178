"""The project installed: as a wheel in an empty environment, and for editing from a checkout."""

from __future__ import annotations

import shutil
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from tests import tools
from tests.project import ROOT, shipped_ids


def run(*words: str | Path, cwd: Path) -> str:
    """What a command prints; it must succeed, away from the checkout."""
    done = subprocess.run(
        [str(word) for word in words],
        cwd=cwd,
        env={"PATH": "/usr/bin:/bin", "HOME": str(cwd)},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def empty_environment(folder: Path) -> Path:
    """A virtual environment without anything of ours, but with what matrixmap needs; its folder of programs.

    The packages that matrixmap depends on are lent by a path file, so that the test needs no package server.
    """
    venv.create(folder)
    (site,) = folder.glob("lib/python*/site-packages")
    lent = folder / "lent"
    lent.mkdir()
    (here,) = {Path(module.__file__ or "").parents[1] for module in (pytest,)}
    for entry in here.iterdir():
        # Not this project itself, nor a path file by which an editable install of it would shine through.
        if not entry.name.startswith(("matrixmap", "_matrixmap", "__editable__", "pip")) and entry.suffix != ".pth":
            (lent / entry.name).symlink_to(entry)
    (site / "lent.pth").write_text(f"{lent}\n")
    return folder / "bin"


def pip(programs: Path, *words: str | Path, cwd: Path) -> None:
    """A run of this environment's pip for another one, asking no package server: to set up a second pip takes seconds."""
    quiet = ("--quiet", "--disable-pip-version-check", "--no-index", "--no-deps", "--no-build-isolation")
    run(sys.executable, "-m", "pip", "--python", programs / "python", *words, *quiet, cwd=cwd)


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of what the repository holds, so that building leaves nothing behind in it."""
    tools.module("hatchling", "hatchling")
    folder = tmp_path_factory.mktemp("checkout") / "matrixmap"
    ignore = shutil.ignore_patterns(".*", "__pycache__", "build", "dist", "generated", "*.egg-info")
    shutil.copytree(ROOT, folder, ignore=ignore)
    return folder


def test_the_wheel_works_from_any_folder(checkout: Path, tmp_path: Path) -> None:
    """The wheel carries layouts, machines, hosts and the runtime; installed alone it lists and builds them all."""
    wheels = tmp_path / "wheels"
    pip(Path(sys.executable).parent, "wheel", checkout, "--wheel-dir", wheels, cwd=tmp_path)
    (wheel,) = wheels.glob("matrixmap-*.whl")
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("layouts", "shared/machines", "shared/hosts"):
        for path in (ROOT / folder).glob("*.yaml"):
            assert f"matrixmap/data/{folder}/{path.name}" in names
    assert {f"matrixmap/runtime/{path.name}" for path in (ROOT / "matrixmap" / "runtime").glob("mm_*")} <= names
    assert not [name for name in names if name.startswith("tests") or name.endswith(".pyc")]

    programs = empty_environment(tmp_path / "env")
    pip(programs, "install", wheel, cwd=tmp_path)
    here = tmp_path / "somewhere"
    here.mkdir()
    listed = run(programs / "matrixmap", "list", cwd=here)
    assert all(f"  {id} " in listed for id in shipped_ids())
    run(programs / "matrixmap", "build", cwd=here)
    # What is committed is what a build in the checkout writes (tests/cli/test_build.py); the manifest has all hashes.
    manifest = "mm_manifest.json"
    assert (here / "generated" / manifest).read_bytes() == (ROOT / "generated" / manifest).read_bytes()
    where = run(programs / "python", "-c", "import matrixmap; print(matrixmap.__file__)", cwd=here)
    assert Path(where.strip()).is_relative_to(tmp_path / "env")


def test_an_editable_install_works_from_any_folder(checkout: Path, tmp_path: Path) -> None:
    """Installed for editing, the tool reads the layouts of the checkout, a new one at once."""
    tools.module("editables", "editables")
    programs = empty_environment(tmp_path / "env")
    pip(programs, "install", "--editable", checkout, cwd=tmp_path)
    here = tmp_path / "somewhere"
    here.mkdir()
    assert "board" not in run(programs / "matrixmap", "list", cwd=here)
    layout = "layout: board\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n"
    (checkout / "layouts" / "board.yaml").write_text(layout)
    assert "  board " in run(programs / "matrixmap", "list", cwd=here)
    run(programs / "matrixmap", "build", "board", cwd=here)
    assert (here / "generated" / "board.c").is_file()
