"""Git repositories made for a test: small projects with real commits."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from matrixmap.check.run import Found, own_findings
from matrixmap.compare import layouts
from matrixmap.model.plan import Plan
from tests import tools
from tests.project import ROOT, call

# Nobody's own settings, names or hooks, and a clock that stands.
ENVIRONMENT = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
    "GIT_AUTHOR_NAME": "A Contributor",
    "GIT_AUTHOR_EMAIL": "contributor@example.org",
    "GIT_COMMITTER_NAME": "A Contributor",
    "GIT_COMMITTER_EMAIL": "contributor@example.org",
    "GIT_AUTHOR_DATE": "2020-01-01T00:00:00Z",
    "GIT_COMMITTER_DATE": "2020-01-01T00:00:00Z",
}

_found: dict[str, Found] = {}


def find_once(plan: Plan) -> Found:
    """The findings on a plan, kept: most commits of a test leave a layout as it was in the one before.

    The text of a plan holds all of it, the places in its files among them.
    """
    text = repr(plan)
    if text not in _found:
        _found[text] = own_findings(plan)
    return _found[text]


class Scratch:
    """A git repository in a folder of a test."""

    def __init__(self, root: Path) -> None:
        self.root = root
        tools.tool("git")
        root.mkdir(parents=True, exist_ok=True)
        self.git("init", "--quiet", "--initial-branch=main")

    def git(self, *words: str, cwd: Path | None = None) -> str:
        """What git prints for a command that must succeed."""
        done = subprocess.run(
            ["git", *words],
            cwd=cwd or self.root,
            env={**os.environ, **ENVIRONMENT},
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
        assert done.returncode == 0, f"git {words}: {done.stderr}"
        return done.stdout

    def write(self, name: str, text: str | bytes) -> None:
        """Put a file into the work tree."""
        path = self.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())

    def edit(self, name: str, old: str, new: str) -> None:
        """Replace a text that stands once in a file."""
        text = (self.root / name).read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        self.write(name, text.replace(old, new))

    def commit(self, message: str, tag: str | None = None) -> str:
        """Commit all of the work tree; the id of the commit."""
        self.git("add", "--all")
        self.git("commit", "--quiet", "--allow-empty", "--message", message)
        if tag is not None:
            self.git("tag", tag)
        return self.git("rev-parse", "HEAD").strip()

    def compare(self, *words: str | Path, cwd: Path | None = None, env: dict[str, str] | None = None):
        """A run of the command in the repository, within this process."""
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(layouts, "own_findings", find_once)
            return call("compare", *words, cwd=cwd or self.root, env={**ENVIRONMENT, **(env or {})})

    def snapshot(self) -> dict[str, str]:
        """Every file of the repository, git's own included, with a hash of its bytes."""
        files = (path for path in sorted(self.root.rglob("*")) if path.is_file() and not path.is_symlink())
        return {str(path.relative_to(self.root)): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def copy_demo(root: Path, hosts: tuple[str, ...] = ("en-GB",), joins: tuple[str, ...] = ("symbolic",)) -> None:
    """The demo's machine with some hosts and their layouts."""
    names = ["shared/machines/quillon8.yaml", "shared/hosts/base.yaml"]
    names += [f"shared/hosts/{host}.yaml" for host in hosts]
    names += [f"layouts/quillon8-{join}.yaml" for join in joins]
    names += [f"layouts/quillon8-{host}-{join}.yaml" for host in hosts for join in joins]
    for name in names:
        if (ROOT / name).is_file():
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, root / name)
