"""`matrixmap new host`: a country's keyboard out of the system."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from matrixmap.source.propose.xkb import XkbSystem
from tests.project import ROOT, call, matrixmap, open_folders


@pytest.fixture(autouse=True)
def xkb(outside_module: Callable[[str, str], ModuleType]) -> ModuleType:
    """The binding of libxkbcommon."""
    return outside_module("xkbcommon.xkb", "xkbcommon (PyPI, needs libxkbcommon-dev)")


def test_a_host_is_written_and_can_be_used(tmp_path: Path) -> None:
    """The file goes into the project's folder and reads without a finding; what is left out is told."""
    done = call("new", "host", "de-AT", "--from-xkb", "at", "--title", "German (Austria)", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "note: your host de-AT is used in place of the shipped one\n")
    lines = done.stdout.splitlines()
    assert lines[0] == "wrote shared/hosts/de-AT.yaml: iso-105, with the keys that differ from base"
    assert lines[1].startswith("left out, a character that only Caps Lock makes, usually a capital: 3 (")
    assert lines[-1].startswith(
        "next: xkb-data does not know what can be read on the keys; say it in a section printed"
    )
    loaded = open_folders(tmp_path).host("de-AT")
    assert loaded.findings == ()
    assert loaded.value.title == "German (Austria)"
    schema = (
        tmp_path / "shared/hosts" / (tmp_path / "shared/hosts/de-AT.yaml").read_text().split("$schema=")[1].split()[0]
    )
    assert schema.is_file(), "the first line leads to the schema"


def test_a_base_of_a_neighbour_keeps_the_file_small(tmp_path: Path) -> None:
    """With --base only what differs from that host is written."""
    done = call("new", "host", "de-AT", "--from-xkb", "at", "--base", "de-DE", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "shared/hosts/de-AT.yaml").read_text(encoding="utf-8") == (
        "# yaml-language-server: $schema=../../schema/host.json\nhost: de-AT\ntitle: German (Austria)\nsource: xkb-data 2.35.1, layout at, read through libxkbcommon\n"
        "base: de-DE\nform: iso-105\n"
    )


def test_an_existing_file_is_kept_unless_forced(tmp_path: Path) -> None:
    """Nobody's work is overwritten by a slip."""
    path = tmp_path / "shared/hosts/fr-XX.yaml"
    path.parent.mkdir(parents=True)
    path.write_text("mine", encoding="utf-8")
    words = ("new", "host", "fr-XX", "--from-xkb", "fr:afnor", "--root", tmp_path)
    done = call(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"matrixmap: {path} already exists; --force replaces it\n"
    assert path.read_text(encoding="utf-8") == "mine"
    done = call(*words, "--force")
    assert (done.returncode, done.stderr) == (0, "")
    assert path.read_text(encoding="utf-8").splitlines()[1] == "host: fr-XX"
    assert [file.name for file in path.parent.iterdir()] == ["fr-XX.yaml"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("xx", "--from-xkb", "dee"), "the system lists no keyboard 'dee'; did you mean ee?"),
        (("xx", "--from-xkb", "de:T4"), "the system lists no keyboard 'de:T4'; did you mean de:T3?"),
        (("xx", "--from-xkb", "custom"), "libxkbcommon knows no keyboard custom ("),
        (("x_x", "--from-xkb", "de"), "'x_x' is not an id: letters, digits and hyphens, such as de-AT"),
        (
            ("con", "--from-xkb", "de"),
            "'con' cannot be an id: it is the name of a device on Windows, where no file can have that name",
        ),
        (("../x", "--from-xkb", "de"), "'../x' is not an id: letters, digits and hyphens, such as de-AT"),
        (("xx", "--from-xkb", "de", "--form", "iso"), "there is no form 'iso' (forms: ansi-104, "),
        (("xx", "--from-xkb", "de", "--base", "bass"), "there is no host 'bass'; did you mean base?"),
        (("xx", "--from-xkb", "de", "--root", "nowhere"), "there is no folder nowhere"),
        (("xx", "--from-xkb", "all", "--title", "All"), "--title and --root are for one keyboard; "),
        (("xx", "--from-xkb", "all", "--root", "."), "--title and --root are for one keyboard; "),
    ],
)
def test_what_cannot_be_done_is_said_in_a_sentence(words: tuple[str, ...], told: str, tmp_path: Path) -> None:
    """Unknown names, forms, bases and folders end with exit code 2, and nothing is written."""
    done = call("new", "host", *words, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"matrixmap: {told}")
    assert done.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_without_libxkbcommon_the_message_says_what_to_install(tmp_path: Path) -> None:
    """The extra of the package and the system's packages are named."""
    fake = tmp_path / "fake" / "xkbcommon"
    fake.mkdir(parents=True)
    (fake / "__init__.py").write_text("raise ImportError('libxkbcommon.so is not here')\n", encoding="utf-8")
    path = f"{fake.parent}:{ROOT}"
    done = matrixmap("new", "host", "xx", "--from-xkb", "de", cwd=tmp_path, env={"PYTHONPATH": path})
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        "matrixmap: libxkbcommon cannot be used (libxkbcommon.so is not here); on Debian or Ubuntu: "
        "apt install libxkbcommon-dev xkb-data gcc, then pip install 'matrixmap[xkb]'\n"
    )


@pytest.mark.parametrize(
    ("id", "base", "told"),
    [
        ("base", "base", "base inherits legends from base, so base cannot inherit from base"),
        ("de-DE", "de-AT", "de-AT inherits legends from de-DE, so de-DE cannot inherit from de-AT"),
    ],
)
def test_a_host_cannot_take_over_its_own_legends(id: str, base: str, told: str, tmp_path: Path) -> None:
    """A host whose base leads back to it would spoil every host that leans on either; it is refused."""
    done = call("new", "host", id, "--from-xkb", "de", "--base", base, cwd=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (2, "", f"matrixmap: {told}\n")
    assert list(tmp_path.iterdir()) == []


def test_a_host_that_stands_before_a_shipped_one_is_told(tmp_path: Path) -> None:
    """A file of one's own wins over a shipped one of the same id, and that is said when it is written."""
    done = call("new", "host", "de-DE", "--from-xkb", "de", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "note: your host de-DE is used in place of the shipped one\n")


def test_nothing_is_written_where_the_schemas_cannot_be(tmp_path: Path) -> None:
    """A file in the place of the folder for the schemas: neither these nor the host are written."""
    (tmp_path / "schema").write_text("mine", encoding="utf-8")
    done = call("new", "host", "de-AT", "--from-xkb", "at", "--root", tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == f"matrixmap: cannot write to {tmp_path / 'schema'}: File exists\n"
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == ["schema"]


@pytest.mark.parametrize("step", [24, pytest.param(1, marks=pytest.mark.campaign)])
def test_all_keyboards_fill_a_folder(step: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every layout and variant that the system lists becomes a host of a project; one that does not compile is named.

    In the suite the list is shortened to every twenty-fourth keyboard and the stub `custom`, which does not compile.
    """
    listed = XkbSystem().names()
    shorter = tuple(name for name in listed if name.layout == "custom" or listed.index(name) % step == 0)
    monkeypatch.setattr(XkbSystem, "names", lambda _: shorter)
    done = call("new", "host", tmp_path / "all", "--from-xkb", "all")
    assert (done.returncode, done.stderr) == (0, "")
    files = sorted((tmp_path / "all/shared/hosts").glob("*.yaml"))
    assert done.stdout.startswith(f"wrote {len(files)} hosts to {tmp_path / 'all'}/shared/hosts; ")
    assert "libxkbcommon knows no keyboard custom" in done.stdout
    assert len(files) == len(shorter) - 1 > 500 // step
    again = call("new", "host", tmp_path / "all", "--from-xkb", "all")
    assert again.returncode == 2
    assert f"{len(files)} of these files already exist in" in again.stderr
    project = open_folders(tmp_path / "all")
    assert [file.stem for file in files if not (loaded := project.host(file.stem)) or loaded.findings] == []
