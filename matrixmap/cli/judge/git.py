"""Revisions of a git repository as folders, read with git's plumbing; the work tree is never touched.

git runs without a shell. It returns file names separated by NUL and receives them as ids of objects, so that no
name can be mistaken for anything else.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import IO, Self

from matrixmap.cli.main import UsageError
from matrixmap.limits import FILE_BYTES
from matrixmap.source.folder import KINDS, SUFFIX

FILE_MODES = {"100644", "100755", "100664"}
LINK_MODE = "120000"


@dataclass(frozen=True, slots=True)
class Blob:
    """A file of a revision: its mode in the tree, and the id of its contents."""

    mode: str
    id: str


class Repository:
    """The git repository around a folder. It keeps one process that returns contents; close it when done."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._batch: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Ends the process that returns contents."""
        if self._batch is not None:
            self._batch.communicate()
            self._batch = None

    def git(self, *words: str) -> subprocess.CompletedProcess[bytes]:
        """Runs git in the folder. UsageError if there is no git, or no folder."""
        try:
            return subprocess.run(
                _command(self.folder, *words), stdin=subprocess.DEVNULL, capture_output=True, check=False, env=_quiet()
            )
        except FileNotFoundError as error:
            raise UsageError("git is not installed, so only folders and files can be compared") from error

    @cached_property
    def prefix(self) -> str:
        """The folder's path within the repository, empty or ending in a slash. UsageError if there is no repository."""
        done = self.git("rev-parse", "--show-prefix")
        if done.returncode != 0:
            raise UsageError(f"{self._shown} is not in a git repository that can be read: {_complaint(done)}")
        return os.fsdecode(done.stdout.removesuffix(b"\n"))

    @property
    def _shown(self) -> str:
        return "this folder" if str(self.folder) == "." else str(self.folder)

    def find_commit(self, revision: str) -> str | None:
        """The id of the commit for a revision, None if there is none."""
        assert self.prefix is not None  # outside a repository every revision would seem unknown
        if "\0" in revision:
            return None
        done = self.git("rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}")
        return done.stdout.decode("ascii").strip() if done.returncode == 0 else None

    def commit(self, revision: str) -> str:
        """The id of the commit for a revision. UsageError if there is none."""
        commit = self.find_commit(revision)
        if commit is None:
            raise UsageError(
                f"there is no revision {revision!r} in the repository of {self._shown}{self._hint(revision)}"
            )
        return commit

    def _hint(self, revision: str) -> str:
        from matrixmap.source.report import nearest

        shallow = self._shallow_hint()
        if shallow:
            return shallow
        done = self.git("for-each-ref", "--format=%(refname:short)")
        return nearest(revision, os.fsdecode(done.stdout).splitlines())

    def _shallow_hint(self) -> str:
        done = self.git("rev-parse", "--is-shallow-repository")
        if done.stdout.strip() == b"true":
            return "; this clone is shallow and lacks older commits (git fetch --unshallow gets them)"
        return ""

    def merge_base(self, one: str, other: str) -> str:
        """The newest common ancestor of both commits. UsageError if there is none."""
        done = self.git("merge-base", self.commit(one), self.commit(other))
        if done.returncode != 0 or not done.stdout.strip():
            raise UsageError(f"{one} and {other} have no common commit{self._shallow_hint()}")
        return done.stdout.decode("ascii").split()[0]

    def tree(self, commit: str, folders: Iterable[str]) -> Mapping[str, Blob]:
        """Path within the repository -> file, for the files directly in some folders of a commit."""
        done = self.git("ls-tree", "-z", "--full-tree", commit, "--", *(f"{folder}/" for folder in folders))
        if done.returncode != 0:
            raise UsageError(f"cannot read the files of {commit}: {_complaint(done)}{self._shallow_hint()}")
        files = {}
        for line in done.stdout.split(b"\0"):
            facts, tab, path = line.partition(b"\t")
            if tab:
                mode, _, id = facts.decode("ascii").split()
                files[os.fsdecode(path)] = Blob(mode=mode, id=id)
        return files

    def has(self, commit: str, path: str) -> bool:
        """Whether a commit has anything at a path within the repository: a file, a folder or a link."""
        done = self.git("ls-tree", "-z", "--full-tree", commit, "--", path)
        if done.returncode != 0:
            raise UsageError(f"cannot read the files of {commit}: {_complaint(done)}{self._shallow_hint()}")
        return bool(done.stdout)

    def contents(self, blob: Blob) -> bytes:
        """The bytes of a file. OSError if the repository lacks them, or if it is a link."""
        if blob.mode == LINK_MODE:
            raise OSError("it is a symbolic link, which is not followed in a revision")
        stdin, stdout = self._pipes()
        stdin.write(f"{blob.id}\n".encode("ascii"))
        stdin.flush()
        words = stdout.readline().split()
        if len(words) != 3 or words[1] != b"blob":
            raise OSError("the repository does not contain it")
        # Of a too large file, enough is kept to see that; the rest, and a line feed, are skipped.
        left = int(words[2]) + 1
        data = stdout.read(min(left - 1, FILE_BYTES + 1))
        left -= len(data)
        while left > 0 and (block := stdout.read(min(left, FILE_BYTES))):
            left -= len(block)
        return data

    def _pipes(self) -> tuple[IO[bytes], IO[bytes]]:
        if self._batch is None:
            self._batch = subprocess.Popen(
                _command(self.folder, "cat-file", "--batch"),
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env=_quiet(),
            )
        assert self._batch.stdin is not None
        assert self._batch.stdout is not None
        return self._batch.stdin, self._batch.stdout


def _command(folder: Path, *words: str) -> list[str]:
    return ["git", "--no-pager", "--literal-pathspecs", "-C", str(folder), *words]


def _quiet() -> dict[str, str]:
    """The environment for git: messages in English, no prompts, no fetching, no locks."""
    return {
        **os.environ,
        "LC_ALL": "C",
        "GIT_TERMINAL_PROMPT": "0",
        "GIT_NO_LAZY_FETCH": "1",
        "GIT_OPTIONAL_LOCKS": "0",
    }


def _complaint(done: subprocess.CompletedProcess[bytes]) -> str:
    """The message of git, in one line."""
    return " ".join(os.fsdecode(done.stderr).removeprefix("fatal: ").split()) or f"exit code {done.returncode}"


class GitFolder:
    """The files of one commit, below the folder in which the repository was opened."""

    def __init__(self, repository: Repository, revision: str, commit: str) -> None:
        self.repository = repository
        self.revision = revision
        self.commit = commit
        self.prefix = repository.prefix
        self.files = repository.tree(commit, (self.prefix + folder for folder in KINDS.values()))

    def has_folder(self, kind: str) -> bool:
        """Whether the commit has anything at the place for the files of a kind, even an empty folder."""
        return self.repository.has(self.commit, f"{self.prefix}{KINDS[kind]}")

    def misnamed(self, kind: str) -> Iterable[str]:
        """Nothing: only files that are in the folder now can be renamed."""
        return ()

    def ids(self, kind: str) -> Iterable[str]:
        """The ids of a kind, sorted."""
        folder = f"{self.prefix}{KINDS[kind]}/"
        names = (path.removeprefix(folder) for path, blob in self.files.items() if self._is_file(path, blob, folder))
        return sorted(name.removesuffix(SUFFIX) for name in names if name.endswith(SUFFIX))

    def _is_file(self, path: str, blob: Blob, folder: str) -> bool:
        hidden = path.rpartition("/")[2].startswith(".")
        return path.startswith(folder) and not hidden and (blob.mode in FILE_MODES or blob.mode == LINK_MODE)

    def read(self, kind: str, id: str) -> bytes | None:
        """The bytes of a file, or None if there is none. UsageError if it cannot be read."""
        return self.beside(kind, f"{id}{SUFFIX}")

    def beside(self, kind: str, file: str) -> bytes | None:
        """The bytes of a file of any name beside the files of a kind, or None. UsageError if it cannot be read."""
        path = f"{self.prefix}{KINDS[kind]}/{file}"
        blob = self.files.get(path)
        if blob is None or not self._is_file(path, blob, self.prefix):
            return None
        try:
            return self.repository.contents(blob)
        except OSError as error:
            raise UsageError(f"cannot read {self.revision}:{path}: {error}") from error

    def name(self, kind: str, id: str) -> str:
        """The file in git's notation for a revision: `main:layouts/a.yaml`."""
        return f"{self.revision}:{self.prefix}{KINDS[kind]}/{id}{SUFFIX}"
