"""Comparisons that must not say that all is well: each of these cases once looked like a change of nothing."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from matrixmap.compare.items.item import Audience
from matrixmap.compare.layouts import Status
from matrixmap.form.as_annotations import annotation_report
from matrixmap.form.as_text import text_report
from tests.compare.scratch import Scratch, copy_demo
from tests.compare.sides import HOST, MACHINE, compared, little
from tests.compare.test_comparison import HOST_FILE, changed, one, told
from tests.project import ROOT, call, write_project

GB = "quillon8-en-GB-symbolic"
LAYOUT = f"layouts/{GB}.yaml"
CALM = "Nothing changes for anybody."


@pytest.mark.parametrize("words", [(".", "."), (".", "../with"), ("../with", ".")])
def test_a_side_without_layouts_is_an_error(tmp_path: Path, words: tuple[str, ...]) -> None:
    """From a folder without layouts the shipped set would be compared with itself, and nothing would ever have changed."""
    (tmp_path / "none").mkdir()
    copy_demo(tmp_path / "with")
    done = call("compare", *words, cwd=tmp_path / "none")
    assert (done.returncode, done.stdout) == (2, "")
    assert "so there is nothing to compare; a layout is a file in layouts/" in done.stderr


def test_two_layout_files_have_their_own_bases(tmp_path: Path) -> None:
    """Equal files whose bases differ are other layouts: each is read in the project in which it lies."""
    for name in ("old", "new"):
        copy_demo(tmp_path / name)
    base = tmp_path / "new" / "layouts" / "quillon8-symbolic.yaml"
    text = base.read_text(encoding="utf-8")
    base.write_text(text.replace("  F1: b1\n", "  F1: b2\n"), encoding="utf-8")
    done = call("compare", f"old/{LAYOUT}", f"new/{LAYOUT}", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "F1 typed B1 and now types B2" in done.stdout


def test_a_new_layout_that_cannot_be_read() -> None:
    """It is told in the first line and as an annotation at its fault, and nothing can be said of it."""
    comparison = compared(little(x=""), little(x="", y="keys: {F1: nix}\n"))
    assert comparison.unreadable
    assert next(text_report(comparison, False)) == "y cannot be read"
    assert annotation_report(comparison).startswith("::error file=y.yaml,line=5,col=12,title=unknown-key::")


def test_a_new_layout_that_cannot_be_read_ends_with_2(tmp_path: Path) -> None:
    """The exit code of the command is 2, whatever else could be compared."""
    scratch = Scratch(tmp_path / "repo")
    copy_demo(scratch.root)
    scratch.commit("One layout")
    scratch.write("layouts/new.yaml", "layout: new\nmachine: quillon8\nhost: en-XX\njoin: symbolic\n")
    assert scratch.compare("HEAD").returncode == 2


def test_a_removed_file_is_not_filled_in_silently(tmp_path: Path) -> None:
    """A host file of the project that is deleted is replaced by the shipped one, be it the same: it is named."""
    scratch = Scratch(tmp_path / "repo")
    copy_demo(scratch.root)
    scratch.commit("All files of one's own")
    (scratch.root / "shared/hosts/en-GB.yaml").unlink()
    done = scratch.compare("HEAD")
    assert done.stdout.startswith("shared/hosts/en-GB.yaml is gone and the shipped one is used in its place; ")
    assert "gone, so the shipped one is used: shared/hosts/en-GB.yaml" in done.stdout


def test_every_file_from_the_shipped_set_is_named(tmp_path: Path) -> None:
    """A project that has only a layout takes the rest from the shipped set, and each of these files is named."""
    scratch = Scratch(tmp_path / "repo")
    scratch.write(LAYOUT, (ROOT / LAYOUT).read_bytes())
    scratch.commit("A layout")
    scratch.edit(LAYOUT, "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    names = "layouts/quillon8-symbolic.yaml, shared/hosts/base.yaml, shared/hosts/en-GB.yaml and shared/machines/quillon8.yaml"
    assert f"from the shipped set, on both sides: {names}" in scratch.compare("HEAD").stdout


def two_hosts(**layouts: str) -> dict[str, str]:
    """The little project with a second host, on which A and B have changed places."""
    other = HOST.replace("host: xx", "host: yy").replace("KeyA: [a, A]\n  KeyB: [b, B]", "KeyA: [b, B]\n  KeyB: [a, A]")
    return {**little(**layouts), "shared/hosts/yy.yaml": other}


def test_another_host_is_no_new_name() -> None:
    """A layout whose line `host:` names another country is for another keyboard; the hosts are what they were."""
    old = two_hosts(x="")
    comparison = compared(old, changed(old, "layouts/x.yaml", "host: xx", "host: yy"))
    texts = told(comparison)
    assert "is for another keyboard now: yy, was xx" in texts
    assert not [text for text in texts if "is now yy" in text]
    assert "KeyA typed a and now types b; a is on KeyB" in told(comparison, breaking=True)
    # What the keys print is no change of any host.
    assert not [news for news in comparison.news if news.subject.startswith("host")]


def test_another_machine_is_no_new_name() -> None:
    """A layout whose line `machine:` names another one needs another board."""
    old = little(x="")
    old["shared/machines/other.yaml"] = MACHINE.replace("machine: little", "machine: other").replace("[a, b]", "[b, a]")
    comparison = compared(old, changed(old, "layouts/x.yaml", "machine: little", "machine: other"))
    assert told(comparison, breaking=True) == ["is for another machine now: other, was little"]
    assert comparison.breaks(Audience.BOARD)


def test_a_new_country_is_not_measured_against_another() -> None:
    """What a layout of another host lacks is no excuse: all findings of a new country are new."""
    lacking = "keys: {KeyA: none}\n"
    comparison = compared(
        two_hosts(x=lacking),
        {**two_hosts(x=lacking, y=lacking)}
        | {"layouts/y.yaml": little(y=lacking)["layouts/y.yaml"].replace("host: xx", "host: yy")},
    )
    layout = one(comparison, "y")
    assert (layout.status, layout.sibling) == (Status.ADDED, None)
    assert layout.findings is not None
    assert "unreachable-character" in {finding.slug for finding in layout.findings.new}


def test_a_smaller_keyboard_loses_its_key() -> None:
    """A host said to be of ANSI form has no key IntlBackslash: what only that key typed cannot be typed any more."""
    host = HOST.replace("  KeyB: [b, B]\n", "  IntlBackslash: [b, B]\n")
    old = {**little(x=""), HOST_FILE: host}
    new = changed(old, HOST_FILE, "form: iso-105", "form: ansi-104")
    comparison = compared(old, new)
    lost = "keyboards of form ansi-104 lack the key IntlBackslash, which typed b and B; b and B can no longer be typed"
    assert told(comparison, breaking=True) == [lost]
    assert comparison.breaks(Audience.TYPIST)
    back = compared(new, old)
    assert "keyboards of form iso-105 have the key IntlBackslash, which types b and B" in told(back)
    assert not back.breaking


@pytest.fixture
def odd(tmp_path: Path) -> Path:
    """A project with a folder, a pipe, a link that leads nowhere and one that leads out, all named like layouts."""
    root = tmp_path / "odd"
    copy_demo(root)
    (tmp_path / "secret").write_text("layout: secret\nhost: hunter2\n", encoding="utf-8")
    (root / "layouts" / "folder.yaml").mkdir()
    os.mkfifo(root / "layouts" / "pipe.yaml")
    (root / "layouts" / "nowhere.yaml").symlink_to("nothing.yaml")
    (root / "layouts" / "out.yaml").symlink_to(tmp_path / "secret")
    return root


ODD = ("folder", "nowhere", "out", "pipe")


def test_what_is_no_file_is_named_and_not_read(odd: Path, tmp_path: Path) -> None:
    """Neither a comparison nor a check waits for a pipe, follows a link out of the project, or keeps quiet about either."""
    copy_demo(tmp_path / "plain")
    done = call("compare", "../plain", ".", cwd=odd)
    assert (done.returncode, done.stderr) == (0, "")
    assert not done.stdout.startswith(CALM)
    checked = call("check", cwd=odd)
    assert checked.returncode == 0
    for name in ODD:
        assert f"layouts/{name}.yaml is not read: it is not a file" in done.stdout
        assert f"note: layouts/{name}.yaml is not read: it is not a file" in checked.stderr
    assert "hunter2" not in done.stdout + checked.stdout + checked.stderr
    named = call("check", "out", cwd=odd)
    assert (named.returncode, "or a link that leads nowhere or out of the project" in named.stderr) == (2, True)
    assert "hunter2" not in named.stderr


def test_a_folder_that_is_a_link_out_of_the_project(tmp_path: Path) -> None:
    """Nor are the files of a folder read that is a link to somewhere else; a link within the project is as good as a file."""
    copy_demo(tmp_path / "elsewhere")
    root = tmp_path / "here"
    root.mkdir()
    (root / "layouts").symlink_to(tmp_path / "elsewhere" / "layouts")
    done = call("compare", "../elsewhere", ".", cwd=root)
    assert (done.returncode, done.stdout) == (2, "")
    assert "there are no layouts" in done.stderr
    copy_demo(tmp_path / "own")
    (tmp_path / "own" / "kept").mkdir()
    (tmp_path / "own" / LAYOUT).rename(tmp_path / "own" / "kept" / "file.yaml")
    (tmp_path / "own" / LAYOUT).symlink_to("../kept/file.yaml")
    done = call("compare", "../elsewhere", ".", cwd=tmp_path / "own")
    assert done.stdout.startswith(CALM)


def test_a_command_that_is_called_otherwise() -> None:
    """The name of a command is no part of a table; code that uses it does not compile any more."""
    named = "commands: {{F12: 1}}\ncommand_names: {{1: {}}}\n"
    comparison = compared(little(x=named.format("next-layout")), little(x=named.format("other-layout")))
    assert told(comparison) == ["the name in C of command 1 is other-layout, was next-layout"]
    assert comparison.firmware.gone == ("MM_COMMAND_NEXT_LAYOUT = 1",)
    assert comparison.breaks(Audience.FIRMWARE)
    assert not comparison.breaks(Audience.TYPIST)


def test_an_empty_folder_is_no_project(tmp_path: Path) -> None:
    """A layout file is a side by itself, also where the folder has no layouts."""
    write_project(tmp_path / "one", little(x=""))
    write_project(tmp_path / "other", little(x="keys: {F1: a}\n"))
    done = call("compare", "one/layouts/x.yaml", "other/layouts/x.yaml", cwd=tmp_path)
    assert "F1 did nothing and now types a" in done.stdout, done.stderr


@pytest.fixture
def begun(tmp_path: Path) -> Scratch:
    """A repository whose first commit has no layouts yet, and whose folder has the first one, not yet committed."""
    scratch = Scratch(tmp_path / "repo")
    scratch.write("README.md", "Layouts will follow.\n")
    scratch.commit("Begin")
    copy_demo(scratch.root)
    return scratch


@pytest.mark.parametrize("words", [("HEAD",), ("--base", "main")])
def test_the_first_layouts_are_new(begun: Scratch, words: tuple[str, ...]) -> None:
    """A revision from before the first layout has none: all of them are new, and it is said that they are the first."""
    done = begun.compare(*words, "--exit-code")
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"new layout: {GB}; flash again")
    assert "has no folder layouts/ yet: these are the first layouts" in done.stdout
    begun.commit("The first layout")
    assert "first layouts" not in begun.compare("HEAD").stdout


def test_findings_of_first_layouts_are_all_new(begun: Scratch) -> None:
    """Nothing of the shipped set is taken for an older layout of theirs."""
    (layout,) = json.loads(begun.compare("HEAD", "--findings", "--format", "json").stdout)["layouts"]
    assert layout["sibling"] is None
    assert len(layout["findings"]["new"]) > 5


@pytest.mark.parametrize("what", ["the newer side", "a folder without layouts", "a link", "another folder"])
def test_a_side_without_layouts_stays_an_error(begun: Scratch, what: str) -> None:
    """Only an older revision without any layouts/ is from before the first one; whatever else lacks layouts is a mistake."""
    begun.commit("The first layout", tag="with")
    cwd, words = begun.root, ("HEAD~1", "HEAD~1")
    match what:
        case "a folder without layouts":
            begun.git("rm", "--quiet", "-r", "layouts")
            begun.write("layouts/.gitkeep", "")
            begun.commit("No layouts any more", tag="empty")
            words = ("empty", "with")
        case "a link":
            begun.git("rm", "--quiet", "-r", "layouts")
            (begun.root / "layouts").symlink_to("elsewhere")
            begun.commit("A link", tag="link")
            words = ("link", "with")
        case "another folder":
            begun.write("docs/notes.txt", "")
            cwd, words = begun.root / "docs", ("HEAD",)
    done = begun.compare(*words, cwd=cwd)
    assert (done.returncode, done.stdout) == (2, "")
    assert "so there is nothing to compare" in done.stderr
