"""The project under test: its folders, its layouts as plans, and its command line."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pytest

from matrixmap.check.registry import known_slugs
from matrixmap.cli.main import run
from matrixmap.join.plan import compile_plan
from matrixmap.model.layout import Layout
from matrixmap.model.plan import Plan
from matrixmap.source.folder import DiskFolder, shipped_folder
from matrixmap.source.kinds.project import Project
from tests.kept import kept

ROOT = Path(__file__).parents[1]
HANDBOOK = ROOT / "tests" / "reference" / "machines"
RUN = "from matrixmap.cli.main import run; run()"


def open_folders(*roots: Path) -> Project:
    """The project of these folders with the shipped data behind them."""
    return Project([*map(DiskFolder, roots), shipped_folder()], known_slugs())


def read_layout(project: Project, id: str) -> Layout:
    """A layout that must read without a finding."""
    loaded = project.layout(id)
    assert loaded is not None, f"there is no layout {id}"
    assert loaded.value is not None, "\n".join(f"{found.place}: {found.text}" for found in loaded.findings)
    return loaded.value


@cache
def shipped_ids() -> tuple[str, ...]:
    """The ids of the shipped layouts."""
    return tuple(open_folders().ids("layout"))


def sample_ids() -> tuple[str, ...]:
    """Six shipped layouts that differ in kind: two levels and four, Latin scripts and Greek, dead keys, by place and by print."""
    hosts = ("en-US", "en-GB", "fr-FR", "el-GR")
    wanted = [
        *(f"quillon8-{host}-symbolic" for host in hosts),
        "quillon8-en-US-positional",
        "quillon8-de-DE-positional",
    ]
    return tuple(id for id in shipped_ids() if id in wanted)


@cache
def shipped_plan(id: str) -> Plan:
    """The plan of a shipped layout."""
    return compile_plan(read_layout(open_folders(), id))


def write_project(root: Path, files: Mapping[str, str]) -> Path:
    """A project folder with these files, such as `layouts/x.yaml`."""
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root


def matrixmap(
    *words: str | Path, cwd: Path | None = None, env: Mapping[str, str] | None = None, python: tuple[str, ...] = ()
) -> subprocess.CompletedProcess[str]:
    """A run of the command line in a process of its own; `cwd` is the project's root if not given."""
    return subprocess.run(
        [sys.executable, *python, "-c", RUN, *map(str, words)],
        cwd=cwd or ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **(env or {})},
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )


def call(
    *words: str | Path, cwd: Path | None = None, env: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """The same within this process, which is many times quicker: for tests of what a command says.

    Files that such a call has read before are not read again (`tests/kept.py`).
    """
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="") for _ in range(2))
    before = Path.cwd()
    with (
        kept(),
        pytest.MonkeyPatch.context() as patch,
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        patch.setattr(sys, "argv", ["matrixmap", *map(str, words)])
        for name, value in (env or {}).items():
            patch.setenv(name, value)
        os.chdir(cwd or ROOT)
        try:
            run()
        except SystemExit as end:
            code = end.code
        finally:
            os.chdir(before)
    texts = []
    for stream in (out, err):
        stream.flush()
        texts.append(stream.buffer.getvalue().decode("utf-8"))  # type: ignore[attr-defined]
    return subprocess.CompletedProcess(list(map(str, words)), int(code or 0), *texts)
