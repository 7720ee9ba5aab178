"""Breaks one line of the package after the other and sees a test fail: python -m tests.mutants [FILE ...].

`mutants.yaml` beside this file lists the edits: a file of the package, a line or a piece of one that stands there once,
what takes its place, and the test that notices. Files on the command line (`join/demands.py`, or a folder of them)
choose edits; without any all are tried. Edits that change nothing that anybody could see are listed apart, each with the
reason.
"""

from __future__ import annotations

import multiprocessing
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from tests import tools
from tests.project import ROOT

LIST = Path(__file__).with_name("mutants.yaml")
SECONDS = 240
"""For one test; an edit may make a loop endless, which is noticed too."""

LEFT_OUT = shutil.ignore_patterns(
    ".git", ".venv", ".hypothesis", ".cbmc", "__pycache__", ".pytest_cache", ".mypy_cache", ".ruff_cache"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A line of a file of the package or a piece of one, what takes its place, and the test that notices; `why` where none can."""

    file: str
    old: str
    new: str
    test: str | None
    why: str | None

    @property
    def name(self) -> str:
        """The edit in one line."""
        return f"{self.file}: {self.old.strip()} -> {self.new.strip()}"

    def text(self) -> str:
        """The file with the edit."""
        text = (ROOT / "matrixmap" / self.file).read_text(encoding="utf-8")
        assert "\n" not in self.old + self.new, f"{self.file}: more than a line: {self.old}"
        assert text.count(self.old) == 1, f"{self.file} has not once: {self.old}"
        return text.replace(self.old, self.new)


def _edits(entries: Iterable[Any]) -> Iterator[Edit]:
    for entry in entries:
        yield Edit(file=entry["file"], old=entry["old"], new=entry["new"], test=entry.get("test"), why=entry.get("why"))


def all_edits() -> tuple[Edit, ...]:
    """Those that a test notices, then those that change nothing."""
    lists = yaml.safe_load(LIST.read_text(encoding="utf-8"))
    return tuple(_edits([*lists["noticed"], *lists["change nothing"]]))


def copy_of_the_project(folder: Path) -> Path:
    """A copy of all that tests need, in which files are edited."""
    return Path(shutil.copytree(ROOT, folder / "project", ignore=LEFT_OUT, symlinks=True))


def passes_unedited(edits: Iterable[Edit], project: Path) -> bool:
    """Whether the tests of some edits pass in a copy of the project that has none of them."""
    tests = sorted({edit.test for edit in edits if edit.test})
    cases = [test for test in tests if _is_case(test)]
    others = [test for test in tests if not _is_case(test)]
    return all(_run(named, project).returncode == 0 for named in (cases, others) if named)


def _is_case(test: str) -> bool:
    """Whether one case of a test is named, which is run though it may be one of the campaign."""
    return test.endswith("]")


def _run(tests: Collection[str], project: Path) -> subprocess.CompletedProcess[str]:
    campaign = ["-m", "campaign or not campaign"] if all(map(_is_case, tests)) else []
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-x",
        "-q",
        "-n0",
        "--no-install",
        "-p",
        "no:cacheprovider",
        *campaign,
        *tests,
    ]
    env = {**os.environ, "PYTHONPATH": str(project), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(command, cwd=project, env=env, capture_output=True, text=True, timeout=SECONDS, check=False)


def is_noticed(edit: Edit, project: Path) -> bool:
    """Whether the test of an edit fails, or does not come to an end, in a copy of the project that has the edit."""
    assert edit.test is not None
    path = project / "matrixmap" / edit.file
    before = path.read_text(encoding="utf-8")
    path.write_text(edit.text(), encoding="utf-8")
    try:
        done = _run([edit.test], project)
    except subprocess.TimeoutExpired:
        return True
    finally:
        path.write_text(before, encoding="utf-8")
    if done.returncode not in (0, 1, 2):
        raise AssertionError(f"{edit.name}: pytest ends with {done.returncode}\n{done.stdout}{done.stderr}")
    return done.returncode != 0


_project: Path


def _begin(folder: str) -> None:
    global _project  # noqa: PLW0603, each worker of the pool has its own
    _project = copy_of_the_project(Path(tempfile.mkdtemp(dir=folder)))


def _try(edit: Edit) -> tuple[Edit, bool]:
    return edit, is_noticed(edit, _project)


def main(words: list[str]) -> int:
    """Tries the edits; 1 if one is not noticed."""
    tools.install_missing()
    edits = [edit for edit in all_edits() if edit.test and (not words or edit.file.startswith(tuple(words)))]
    missed = 0
    with (
        tempfile.TemporaryDirectory(prefix="mutants-") as folder,
        multiprocessing.Pool(None, _begin, (folder,)) as pool,
    ):
        for edit, noticed in pool.imap_unordered(_try, edits):
            missed += not noticed
            if not noticed:
                print(f"not noticed by {edit.test}: {edit.name}", flush=True)
    print(f"{len(edits) - missed} of {len(edits)} edits are noticed")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
