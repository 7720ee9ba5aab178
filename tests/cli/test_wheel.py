"""The project installed: as a wheel in an empty environment, and for editing from a checkout."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tarfile
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


def licence_texts() -> dict[str, bytes]:
    """The texts that go with the package: its own licence, the notice, and the licences of facts that it holds."""
    # The schema of SARIF is in the tests alone.
    texts = [path for path in (ROOT / "LICENSES").iterdir() if path.stem != "LicenseRef-OASIS"]
    assert len(texts) >= 3
    return {str(path.relative_to(ROOT)): path.read_bytes() for path in (ROOT / "LICENSE", ROOT / "NOTICE", *texts)}


def test_the_source_distribution_holds_the_licences(checkout: Path, tmp_path: Path) -> None:
    """It has the same texts beside the sources, and no test."""
    run(sys.executable, "-m", "hatchling", "build", "--target", "sdist", "--directory", tmp_path, cwd=checkout)
    (made,) = tmp_path.glob("matrixmap-*.tar.gz")
    with tarfile.open(made) as packed:
        held = {member.name.partition("/")[2]: member for member in packed.getmembers() if member.isfile()}
        for name, text in licence_texts().items():
            reader = packed.extractfile(held[name])
            assert reader is not None
            assert reader.read() == text, name
    assert {"matrixmap/cli/main.py", "matrixmap/emit/texts/languages/uk.json", "REUSE.toml"} <= set(held)
    assert not [name for name in held if name.startswith("tests/")]


def same_as_committed(folder: Path, pattern: str) -> set[str]:
    """The names of the built files that match a pattern, each with the bytes that are committed."""
    names = {path.name for path in folder.glob(pattern)}
    assert {name: (folder / name).read_bytes() for name in names} == {
        name: (ROOT / "generated" / name).read_bytes() for name in names
    }
    return names


@pytest.mark.parametrize(
    ("layouts", "pattern"),
    [
        pytest.param(("langet41-en-US-symbolic", "ricasso12-fo-fo-FO-symbolic"), "*-symbolic.*", id="some"),
        # What is committed is what a build in the checkout writes (tests/cli/test_build.py); the manifest has all hashes.
        pytest.param((), "mm_manifest.json", marks=pytest.mark.campaign, id="all"),
    ],
)
def test_the_wheel_works_from_any_folder(
    checkout: Path, tmp_path: Path, layouts: tuple[str, ...], pattern: str
) -> None:
    """The wheel carries layouts, machines, hosts and the runtime; installed alone it lists them all and builds them as the checkout does."""
    wheels = tmp_path / "wheels"
    pip(Path(sys.executable).parent, "wheel", checkout, "--wheel-dir", wheels, cwd=tmp_path)
    (wheel,) = wheels.glob("matrixmap-*.whl")
    packed = zipfile.ZipFile(wheel)
    names = set(packed.namelist())
    for folder in ("layouts", "shared/machines", "shared/hosts"):
        for path in (ROOT / folder).glob("*.yaml"):
            assert packed.read(f"matrixmap/data/{folder}/{path.name}") == path.read_bytes()
    assert {f"matrixmap/runtime/{path.name}" for path in (ROOT / "matrixmap" / "runtime").glob("mm_*")} <= names
    assert not [name for name in names if name.startswith("tests") or name.endswith(".pyc")]
    licences = {name: packed.read(name) for name in names if ".dist-info/licenses/" in name}
    assert {name.partition("/licenses/")[2]: text for name, text in licences.items()} == licence_texts()

    programs = empty_environment(tmp_path / "env")
    pip(programs, "install", wheel, cwd=tmp_path)
    here = tmp_path / "somewhere"
    here.mkdir()
    listed = run(programs / "matrixmap", "list", cwd=here)
    assert all(f"  {id} " in listed for id in shipped_ids())
    run(programs / "matrixmap", "build", *layouts, cwd=here)
    wanted = {f"{id}.{suffix}" for id in layouts for suffix in ("c", "h", "json", "md")} or {pattern}
    assert same_as_committed(here / "generated", pattern) == wanted
    where = run(programs / "python", "-c", "import matrixmap; print(matrixmap.__file__)", cwd=here)
    assert Path(where.strip()).is_relative_to(tmp_path / "env")


@pytest.mark.campaign
def test_an_editable_install_works_from_any_folder(checkout: Path, tmp_path: Path) -> None:
    """Installed for editing, the tool reads the layouts of the checkout, a new one at once."""
    tools.module("editables", "editables")
    programs = empty_environment(tmp_path / "env")
    pip(programs, "install", "--editable", checkout, cwd=tmp_path)
    here = tmp_path / "somewhere"
    here.mkdir()
    assert "  my-board " not in run(programs / "matrixmap", "list", cwd=here)
    layout = "layout: my-board\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n"
    (checkout / "layouts" / "my-board.yaml").write_text(layout)
    assert "  my-board " in run(programs / "matrixmap", "list", cwd=here)
    run(programs / "matrixmap", "build", "my-board", cwd=here)
    assert (here / "generated" / "my-board.c").is_file()
