"""Revisions are read with git's plumbing: any name is safe, the work tree is not touched, faults are a sentence."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

from matrixmap.cli.judge.git import GitFolder, Repository
from matrixmap.cli.main import UsageError
from matrixmap.source.folder import KINDS, DiskFolder
from tests.compare.scratch import Scratch, copy_demo
from tests.project import ROOT, call

LAYOUT = "quillon8-en-GB-symbolic"
NASTY = (
    " a b",
    "-rf",
    "--output=x",
    "$(touch hacked)",
    "`id`",
    'q"q',
    "it's",
    "new\nline",
    "tab\t",
    "*?[a]",
    ":(top)x",
    "ü",
    "\\n",
)


@pytest.fixture
def scratch(tmp_path: Path) -> Scratch:
    """A repository with one layout and one commit."""
    made = Scratch(tmp_path / "repo")
    copy_demo(made.root)
    made.commit("One layout", tag="v1")
    return made


def folder_of(scratch: Scratch, revision: str = "HEAD", below: str = "") -> tuple[Repository, GitFolder]:
    """A revision as a folder, with the repository that must be closed."""
    repository = Repository(scratch.root / below)
    return repository, GitFolder(repository, revision, repository.commit(revision))


def refused(done: subprocess.CompletedProcess[str], *words: str) -> None:
    """Exit code 2, nothing on stdout, one line on stderr with these words in it."""
    assert done.returncode == 2, (done.stdout, done.stderr)
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1, done.stderr
    assert done.stderr.startswith("matrixmap: ")
    for word in words:
        assert word in done.stderr


@pytest.mark.parametrize("below", ["", "boards/"])
def test_a_revision_reads_as_the_folder_did(scratch: Scratch, below: str) -> None:
    """Ids and bytes of every file are those that stood in the folder, below the repository's root as well."""
    if below:
        copy_demo(scratch.root / below)
        scratch.commit("A second project")
    repository, folder = folder_of(scratch, below=below)
    disk = DiskFolder(scratch.root / below)
    with repository:
        for kind in KINDS:
            assert list(folder.ids(kind)) == list(disk.ids(kind))
            assert list(disk.ids(kind)) or kind in ("adapter", "part")
            for id in disk.ids(kind):
                assert folder.read(kind, id) == disk.read(kind, id)
                assert folder.name(kind, id) == f"HEAD:{below}{KINDS[kind]}/{id}.yaml"
        assert folder.read("layout", "nix") is None


def test_only_files_of_the_project_are_listed(scratch: Scratch) -> None:
    """Files in folders below, of another suffix, and submodules are no layouts."""
    scratch.write("layouts/deep/other.yaml", "layout: other")
    scratch.write("layouts/notes.txt", "notes")
    scratch.git("add", "--all")
    scratch.git("update-index", "--add", "--cacheinfo", f"160000,{'1' * 40},layouts/module.yaml")
    scratch.git("commit", "--quiet", "--message", "Other things")
    repository, folder = folder_of(scratch)
    with repository:
        assert list(folder.ids("layout")) == [LAYOUT, "quillon8-symbolic"]


def test_any_name_of_a_file_is_safe(scratch: Scratch) -> None:
    """Blanks, quotes, ends of lines, dashes and marks of the shell in names of files reach nobody but the reader."""
    for number, name in enumerate(NASTY):
        scratch.write(f"layouts/{name}.yaml", f"content {number}")
    # Bytes that are no UTF-8 are a name too, to git and to the disk.
    raw = os.fsencode(scratch.root / "layouts") + b"/\xff\xfe.yaml"
    Path(os.fsdecode(raw)).write_bytes(b"raw")
    scratch.commit("Nasty names")
    repository, folder = folder_of(scratch)
    with repository:
        assert set(folder.ids("layout")) == {*NASTY, LAYOUT, "quillon8-symbolic", os.fsdecode(b"\xff\xfe")}
        for number, name in enumerate(NASTY):
            assert folder.read("layout", name) == f"content {number}".encode()
        assert folder.read("layout", os.fsdecode(b"\xff\xfe")) == b"raw"
    done = scratch.compare("HEAD~1", "HEAD")
    # New layouts that cannot be read are no good news.
    assert (done.returncode, done.stderr) == (2, "")
    assert not (scratch.root / "hacked").exists()
    # Each is reported as a new layout that cannot be read, with what a terminal would obey written out.
    assert done.stdout.count("new, and cannot be read") == len(NASTY) + 1
    assert "new\\u{000a}line" in done.stdout


@pytest.mark.parametrize("name", ["-x a b q\"\nnew line it's $(id)"])
def test_a_project_may_lie_in_a_folder_of_any_name(scratch: Scratch, name: str) -> None:
    """A folder's name with a leading dash, a blank, a quote or an end of line is safe on either side."""
    copy_demo(scratch.root / name)
    scratch.commit("A project below")
    scratch.edit(f"{name}/layouts/{LAYOUT}.yaml", "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    done = scratch.compare("HEAD", cwd=scratch.root / name)
    assert done.returncode == 0, done.stderr
    assert "F12 did nothing and now types a" in done.stdout
    done = scratch.compare("--root", f"./{name}", "HEAD", ".")
    assert "F12 did nothing and now types a" in done.stdout, done.stderr
    done = scratch.compare(f"./{name}", ".")
    assert "F12 typed a and now does nothing" in done.stdout, done.stderr


@pytest.mark.parametrize(
    "revision", ["-x", "--all", "--output=hacked", "nix", "HEAD~9", "HEAD:layouts", "a b", "", "v1..HEAD", "\n", "a\0b"]
)
def test_an_unknown_revision_is_a_sentence(scratch: Scratch, revision: str) -> None:
    """What git does not know as a commit is refused, be it written like an option."""
    with Repository(scratch.root) as repository, pytest.raises(UsageError, match="there is no revision"):
        repository.commit(revision)
    assert not (scratch.root / "hacked").exists()


@pytest.mark.parametrize("word", ["", "--output=hacked"])
def test_a_word_that_names_nothing_is_refused(scratch: Scratch, word: str) -> None:
    """A side that is neither folder nor file nor revision ends with exit code 2 and a sentence."""
    refused(scratch.compare("--", word), "no revision")
    assert not (scratch.root / "hacked").exists()


def test_a_near_miss_names_the_revision(scratch: Scratch) -> None:
    """For a misspelt branch or tag the nearest one is named."""
    refused(scratch.compare("mian"), "did you mean main?")


@pytest.mark.parametrize("words", [("HEAD", "."), ("--base", "main")])
def test_no_repository(tmp_path: Path, words: tuple[str, ...]) -> None:
    """Outside a git repository a revision is refused."""
    copy_demo(tmp_path)
    from tests.project import matrixmap

    done = matrixmap("compare", *words, cwd=tmp_path, env={"GIT_CEILING_DIRECTORIES": str(tmp_path.parent)})
    refused(done, "git repository")


def test_a_broken_repository(scratch: Scratch) -> None:
    """A repository whose head is damaged is refused."""
    (scratch.root / ".git" / "HEAD").write_text("nonsense", encoding="utf-8")
    refused(scratch.compare("HEAD"), "git repository")


def test_a_repository_without_commits(tmp_path: Path) -> None:
    """Where nothing was committed yet there is no HEAD."""
    made = Scratch(tmp_path / "empty")
    copy_demo(made.root)
    refused(made.compare("HEAD"), "no revision 'HEAD'")
    refused(made.compare("--base", "main"), "no revision")


def test_no_git(scratch: Scratch, tmp_path: Path) -> None:
    """Without git the call is refused; folders can still be compared."""
    empty = tmp_path / "bin"
    empty.mkdir()
    refused(scratch.compare("HEAD", env={"PATH": str(empty)}), "git is not installed")
    other = tmp_path / "other"
    copy_demo(other)
    done = scratch.compare(other / "layouts" / f"{LAYOUT}.yaml", env={"PATH": str(empty)})
    assert done.returncode == 0, done.stderr


def test_a_shallow_clone(scratch: Scratch, tmp_path: Path) -> None:
    """In a shallow clone the commits that are there compare, and of the others it is said why they are not."""
    scratch.edit(f"layouts/{LAYOUT}.yaml", "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    scratch.commit("One more key")
    scratch.git("branch", "other", "v1")
    clone = tmp_path / "clone"
    scratch.git("clone", "--quiet", "--depth=1", "--no-single-branch", f"file://{scratch.root}", str(clone))
    assert scratch.compare("HEAD", cwd=clone).returncode == 0
    refused(scratch.compare("HEAD~1", cwd=clone), "shallow", "git fetch --unshallow")
    refused(scratch.compare("--base", "origin/other", cwd=clone), "no common commit", "shallow")


def test_missing_contents(scratch: Scratch) -> None:
    """A repository that lacks the contents of a file is told, with the name of the file."""
    blob = scratch.git("rev-parse", f"HEAD:layouts/{LAYOUT}.yaml").strip()
    (scratch.root / ".git" / "objects" / blob[:2] / blob[2:]).unlink()
    refused(scratch.compare("HEAD"), f"HEAD:layouts/{LAYOUT}.yaml", "the repository does not contain it")


def test_a_symbolic_link(scratch: Scratch) -> None:
    """A layout that is a symbolic link in a revision is refused by name and not read as the path that it holds."""
    (scratch.root / "layouts" / "linked.yaml").symlink_to(f"{LAYOUT}.yaml")
    scratch.commit("A link")
    refused(scratch.compare("HEAD"), "HEAD:layouts/linked.yaml", "symbolic link")


def test_nothing_is_touched(scratch: Scratch) -> None:
    """A comparison changes no file, neither of the work tree nor of git, and leaves staged changes alone."""
    scratch.edit(f"layouts/{LAYOUT}.yaml", "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    scratch.git("add", "--all")
    scratch.edit(f"layouts/{LAYOUT}.yaml", "F12: a", "F12: b")
    scratch.write("layouts/new.yaml", "layout: new")
    before = scratch.snapshot()
    for words, code in ((("v1",), 2), (("v1", "HEAD"), 0), (("--base", "main"), 2)):
        assert scratch.compare(*words).returncode == code
    assert scratch.snapshot() == before


def test_a_bare_repository(scratch: Scratch, tmp_path: Path) -> None:
    """A bare repository has revisions too."""
    scratch.edit(f"layouts/{LAYOUT}.yaml", "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    scratch.commit("One more key")
    bare = tmp_path / "bare.git"
    scratch.git("clone", "--quiet", "--bare", str(scratch.root), str(bare))
    done = scratch.compare("v1", "main", cwd=bare)
    assert "F12 did nothing and now types a" in done.stdout, done.stderr


def test_a_folder_and_a_revision_of_one_name(scratch: Scratch) -> None:
    """A word that names a folder and a revision is refused, with how to write each."""
    copy_demo(scratch.root / "v1")
    refused(scratch.compare("v1"), "./v1", "heads/v1")
    assert scratch.compare("./v1").returncode == 0
    assert scratch.compare("tags/v1").returncode == 0


def test_one_process_hands_out_all_contents(scratch: Scratch, monkeypatch: pytest.MonkeyPatch) -> None:
    """Contents come from one process, however many files are read, and it has ended afterwards."""
    started = []
    popen = subprocess.Popen

    def counting(words, **options):
        process = popen(words, **options)
        started.append((words, process))
        return process

    monkeypatch.setattr(subprocess, "Popen", counting)
    repository, folder = folder_of(scratch)
    with repository:
        for _ in range(3):
            for kind in KINDS:
                for id in folder.ids(kind):
                    folder.read(kind, id)
    batches = [process for words, process in started if "cat-file" in words]
    assert len(batches) == 1
    assert batches[0].returncode == 0


def test_a_missing_folder_is_a_usage_error(tmp_path: Path) -> None:
    """Git in a folder that is not there says so."""
    with pytest.raises(UsageError, match="nix is not in a git repository that can be read: "):
        Repository(tmp_path / "nix").prefix  # noqa: B018


def test_a_file_beside_is_read_as_in_the_folder(scratch: Scratch, tmp_path: Path) -> None:
    """A netlist beside an adapter is read from a revision as from the folder; a link out of the tree is read from neither."""
    scratch.write("shared/adapters/rig.net", "(export)")
    (tmp_path / "secret.net").write_text("secret", encoding="utf-8")
    (scratch.root / "shared/adapters/link.net").symlink_to(tmp_path / "secret.net")
    scratch.commit("A netlist and a link")
    repository, folder = folder_of(scratch)
    disk = DiskFolder(scratch.root)
    with repository:
        assert folder.beside("adapter", "rig.net") == disk.beside("adapter", "rig.net") == b"(export)"
        assert folder.beside("adapter", "none.net") is None
        assert disk.beside("adapter", "link.net") is None
        with pytest.raises(UsageError, match="symbolic link, which is not followed"):
            folder.beside("adapter", "link.net")


def test_a_changed_netlist_is_told(scratch: Scratch) -> None:
    """An adapter that takes its nets from a netlist is read on both sides, and a pin in another net is told."""
    for kind in ("adapters", "parts"):
        for path in (ROOT / "shared" / kind).glob("*.yaml"):
            scratch.write(f"shared/{kind}/{path.name}", path.read_bytes())
    done = call("adapter", "ferrule", "--format", "netlist", cwd=scratch.root)
    assert done.returncode == 0, done.stderr
    scratch.write("shared/adapters/ferrule.net", done.stdout)
    text = (scratch.root / "shared/adapters/ferrule.yaml").read_text(encoding="utf-8")
    before, after = text.index("nets:"), text.index("fits:")
    scratch.write("shared/adapters/ferrule.yaml", f"{text[:before]}netlist: ferrule.net\n\n{text[after:]}")
    scratch.commit("Nets from the board editor")
    calm = scratch.compare("HEAD")
    assert calm.stdout.startswith("Nothing changes for anybody."), calm.stdout
    net = '(net (code "7") (name "S0") (node (ref "J1") (pin "19"))'
    scratch.edit("shared/adapters/ferrule.net", net, net.replace("19", "17"))
    other = '(net (code "8") (name "S1") (node (ref "J1") (pin "17"))'
    scratch.edit("shared/adapters/ferrule.net", other, other.replace("17", "19"))
    told = scratch.compare("HEAD").stdout
    assert "breaking  the net S0 joins now J1.17, no longer J1.19" in told
    assert "breaking  the net S1 joins now J1.19, no longer J1.17" in told
