"""Projects of one's own, `list`, and files that cannot be read."""

from __future__ import annotations

import json
import unicodedata
from pathlib import Path

import pytest

from tests.nasty import TITLES, quoted
from tests.project import ROOT, call, open_folders, shipped_ids, write_project
from tests.shipped import some_of

LAYOUT = "layout: {id}\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n"
ID = "quillon8-en-GB-symbolic"


def visible(text: str) -> bool:
    """Whether a text holds nothing that a terminal or an eye would obey."""
    return all(char == "\n" or unicodedata.category(char) not in {"Cc", "Cf", "Cs", "Zl", "Zp"} for char in text)


def test_list_names_all_that_ships() -> None:
    """`list` tells machines, hosts, layouts, parts and adapters by id, each with its title and where it comes from; bases are not listed."""
    listed = json.loads(call("list", "--format", "json").stdout)
    assert list(listed) == ["machines", "hosts", "layouts", "parts", "adapters"]
    project = open_folders()
    assert [row["id"] for row in listed["layouts"]] == list(shipped_ids())
    assert [row["id"] for row in listed["hosts"]] == [id for id in project.ids("host") if not project.is_base(id)]
    assert {"quillon8"} <= {row["id"] for row in listed["machines"]}
    assert {"en-US", "en-GB", "de-DE", "fr-FR"} <= {row["id"] for row in listed["hosts"]}
    for kind, rows in listed.items():
        for row in rows:
            assert list(row) == ["id", *(["id16"] if kind == "layouts" else []), "title", "from"]
            assert row["from"] == "shipped"
            assert row["title"]


def test_list_for_people_says_the_same() -> None:
    """The text of `list` has a line for each row of its JSON, in the same order."""
    listed = json.loads(call("list", "--format", "json").stdout)
    lines = call("list").stdout.splitlines()
    assert [line for line in lines if not line.startswith(" ")] == list(listed)
    rows = [row for rows in listed.values() for row in rows]
    for line, row in zip([line for line in lines if line.startswith(" ")], rows, strict=True):
        assert line.split("  ", 2)[1] == row["id"]
        assert line.endswith(f"{row.get('id16', '')}  {row['title']}  ({row['from']})")


def test_a_folder_of_ones_own(tmp_path: Path) -> None:
    """A layout in the current folder is found, joined to the shipped machine and host, and is the only one built."""
    write_project(tmp_path, {"layouts/board.yaml": LAYOUT.format(id="board")})
    listed = json.loads(call("list", "--format", "json", cwd=tmp_path).stdout)
    assert {row["id"]: row["from"] for row in listed["layouts"]} == {
        "board": "yours",
        **dict.fromkeys(shipped_ids(), "shipped"),
    }
    done = call("build", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert {path.name for path in (tmp_path / "generated").glob("*.json")} == {"board.json", "mm_manifest.json"}


def test_root_names_the_folder(tmp_path: Path) -> None:
    """`--root` chooses the folder from anywhere; the output stays where the user is."""
    project, here = tmp_path / "project", tmp_path / "here"
    here.mkdir()
    write_project(project, {"layouts/board.yaml": LAYOUT.format(id="board")})
    done = call("build", "--root", project, cwd=here)
    assert done.returncode == 0, done.stderr
    assert (here / "generated" / "board.c").is_file()
    assert not (project / "generated").exists()


def test_a_layout_by_its_file(tmp_path: Path) -> None:
    """A layout may be named by its YAML file wherever it lies, and builds as it would from a project."""
    (tmp_path / "board.yaml").write_text(LAYOUT.format(id="board"))
    done = call("build", tmp_path / "board.yaml", "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    write_project(tmp_path / "project", {"layouts/board.yaml": LAYOUT.format(id="board")})
    call("build", "board", "--root", tmp_path / "project", "--out", tmp_path / "other")
    assert (tmp_path / "out" / "board.c").read_bytes() == (tmp_path / "other" / "board.c").read_bytes()


@pytest.mark.parametrize("words", [("list",), ("show", ID), ("howto", ID, "a"), ("build", ID), ("check", ID)])
def test_a_file_of_ones_own_wins_and_is_told(tmp_path: Path, words: tuple[str, ...]) -> None:
    """A user's file of a shipped id is used in place of the shipped one, and a line on stderr says so."""
    text = (ROOT / "shared" / "hosts" / "en-GB.yaml").read_text(encoding="utf-8")
    write_project(tmp_path, {"shared/hosts/en-GB.yaml": text.replace("title: English (United Kingdom)", "title: Mine")})
    done = call(*words, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    if words[0] == "list":
        assert "(yours, in place of the shipped one)" in done.stdout
    else:
        assert done.stderr == "note: your host en-GB is used in place of the shipped one\n"
    if words[0] in ("list", "show"):
        assert "Mine" in done.stdout


def test_files_of_ones_own_are_told_once_and_only_those_in_use(tmp_path: Path) -> None:
    """One note names all files that the layouts asked for use; a file that stands before a shipped one unused is not told."""
    for name in ("hosts/en-GB.yaml", "hosts/de-DE.yaml", "machines/quillon8.yaml"):
        text = (ROOT / "shared" / name).read_text(encoding="utf-8")
        write_project(tmp_path, {f"shared/{name}": text})
    done = call("howto", ID, "a", cwd=tmp_path)
    assert done.stderr == "note: your machine quillon8 and host en-GB are used in place of the shipped ones\n"


def test_what_wins_is_used(tmp_path: Path) -> None:
    """The plan comes from the user's file: a host that prints £ on another key types it there."""
    text = (ROOT / "shared" / "hosts" / "en-GB.yaml").read_text(encoding="utf-8")
    changed = text.replace("KeyL: [l, L", "KeyL: [£, L")
    assert changed != text
    write_project(tmp_path, {"shared/hosts/en-GB.yaml": changed})
    step = json.loads(call("howto", ID, "£", "--format", "json", cwd=tmp_path).stdout)["steps"][0]
    assert step["triggers"] == ["KeyL"]


BROKEN = {
    "no-yaml": ("layout: x\n  host: [", "yaml-syntax"),
    "a-tab": ("layout: x\n\thost: y\n", "tab"),
    "no-host": (LAYOUT.format(id="x").replace("en-GB", "en-GV"), "unknown-host"),
    "no-field": ("layout: x\n", "missing-field"),
    "markup": ("layout: x\n[red]b[/red]: 1\n", "yaml-syntax"),
    "nothing": ("", "empty-file"),
}


@pytest.mark.parametrize("name", BROKEN)
@pytest.mark.parametrize("command", ["show", "howto", "build", "check", "list"])
def test_broken_files_are_findings(tmp_path: Path, name: str, command: str) -> None:
    """Findings are told as `file:line:column: slug: text`; exit code 2; no output that could be taken for a result.

    They go to stderr, save those of `check`, whose result they are.
    """
    text, slug = BROKEN[name]
    write_project(tmp_path, {"layouts/x.yaml": text})
    words = {"howto": ("x", "a"), "list": ()}.get(command, ("x",))
    done = call(command, *words, cwd=tmp_path)
    assert done.returncode == 2
    told = done.stdout if command == "check" else done.stderr
    assert f": {slug}: " in told or f" {slug}: " in told
    assert "layouts/x.yaml:" in told
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "generated").exists()
    assert command in ("list", "check") or done.stdout == ""


@pytest.mark.parametrize(
    "data", [b"\xff\xfe\x00", b"layout: \x00", b"a: " + b"[" * 5000, b"x" * (1 << 20) + b"y", b"&a [*a]"]
)
def test_bytes_of_any_kind_are_findings(tmp_path: Path, data: bytes) -> None:
    """A layout of any bytes gives a finding and exit code 2."""
    (tmp_path / "layouts").mkdir()
    (tmp_path / "layouts" / "x.yaml").write_bytes(data)
    done = call("build", "x", cwd=tmp_path)
    assert done.returncode == 2
    assert "layouts/x.yaml:1:" in done.stderr
    assert "Traceback" not in done.stderr


def test_one_broken_file_does_not_hide_the_others(tmp_path: Path) -> None:
    """`list` names the file that it cannot read, and lists all the rest."""
    write_project(tmp_path, {"layouts/x.yaml": "layout: x\n", "layouts/board.yaml": LAYOUT.format(id="board")})
    done = call("list", cwd=tmp_path)
    assert done.returncode == 2
    assert "  x " in done.stdout
    assert "cannot be read" in done.stdout
    assert "  board " in done.stdout
    rows = json.loads(call("list", "--format", "json", cwd=tmp_path).stdout)["layouts"]
    assert {row["id"]: row["id16"] for row in rows if row["from"] == "yours"} == {"board": "0x2F2D", "x": None}


@pytest.fixture(scope="module")
def titled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with a small machine and a layout for each nasty title, both of which bear it."""
    folder = tmp_path_factory.mktemp("titled")
    for number, title in enumerate(TITLES):
        machine = (
            f"machine: m{number}\ntitle: {quoted(title)}\nsource: s\nscan: {{period_us: 20000}}\n"
            "matrix: {select: [A], sense: [B], grid: {A: [key]}}\ntypes: {key: {plain: a}}\n"
        )
        layout = LAYOUT.format(id=f"t{number}").replace("quillon8", f"m{number}") + f"title: {quoted(title)}\n"
        write_project(folder, {f"shared/machines/m{number}.yaml": machine, f"layouts/t{number}.yaml": layout})
    return folder


@pytest.mark.parametrize("number", some_of(range(len(TITLES)), "titles", 2))
def test_titles_are_shown_and_not_obeyed(titled: Path, tmp_path: Path, number: int) -> None:
    """Whatever a title holds, every text that names it is visible, and JSON gives it back exactly."""
    title, id = TITLES[number], f"t{number}"
    for words in (
        ("show", id),
        ("howto", id, "ßa"),
        ("check", id, "--fail-on", "none"),
        ("build", id, "--out", str(tmp_path)),
    ):
        done = call(*words, cwd=titled)
        assert visible(done.stdout), words
        assert visible(done.stderr)
        assert done.returncode == (1 if words[0] == "howto" else 0)
        if words[0] in ("show", "howto") and title.isprintable():
            assert title in done.stdout
    shown = call("show", id, "--format", "json", cwd=titled).stdout
    assert visible(shown)
    assert json.loads(shown)["title"] == title


@pytest.mark.parametrize("env", [{}, {"NO_COLOR": "1"}, {"FORCE_COLOR": "1"}])
def test_list_shows_titles_and_obeys_none(titled: Path, env: dict[str, str]) -> None:
    """So does `list`, with colour wanted or not; its JSON has the titles of all machines and layouts as they are."""
    assert visible(call("list", cwd=titled, env=env).stdout)
    text = call("list", "--format", "json", cwd=titled, env=env).stdout
    assert visible(text)
    for kind in ("machines", "layouts"):
        assert set(TITLES) <= {row["title"] for row in json.loads(text)[kind]}


def test_names_of_files_are_shown_and_not_obeyed(tmp_path: Path) -> None:
    """A file whose name holds an escape sequence or is no UTF-8 is named without being obeyed."""
    layouts = bytes(tmp_path / "layouts")
    (tmp_path / "layouts").mkdir()
    for name in (b"\x1b[31mred.yaml", b"\xff.yaml"):
        Path((layouts + b"/" + name).decode("utf-8", "surrogateescape")).write_text("layout: x\n")
    for words in (("list",), ("list", "--format", "json"), ("build",)):
        done = call(*words, cwd=tmp_path)
        assert done.returncode == 2
        assert visible(done.stdout)
        assert visible(done.stderr)
        assert "Traceback" not in done.stderr
