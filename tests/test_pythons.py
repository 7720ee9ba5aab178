"""Every Python that the project claims: what it builds is the same, byte by byte, by each that this machine has."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
import warnings
from pathlib import Path

import pytest
import typer
import yaml

from tests.project import ROOT, RUN
from tests.shipped import in_campaign

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
CLASSIFIER = "Programming Language :: Python :: 3."
VERSIONS = [f"3.{line.removeprefix(CLASSIFIER)}" for line in PROJECT["classifiers"] if line.startswith(CLASSIFIER)]
HERE = f"{sys.version_info.major}.{sys.version_info.minor}"
OTHERS = [in_campaign(version) for version in VERSIONS if version != HERE]
LAYOUTS = ("quillon8-de-DE-symbolic", "langet41-en-US-symbolic", "ricasso12-fo-fo-FO-symbolic")


def interpreter(version: str) -> Path | None:
    """A Python of that version: on the path, or among those that pyenv keeps."""
    kept = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    found = [shutil.which(f"python{version}"), *sorted(kept.glob(f"{version}.*/bin/python"), reverse=True)]
    for path in filter(None, found):
        # A name on the path may be a stand-in for a version that is not set up.
        said = subprocess.run([path, "--version"], capture_output=True, text=True, check=False)
        if said.returncode == 0 and said.stdout.startswith(f"Python {version}."):
            return Path(path)
    return None


@pytest.mark.parametrize("version", OTHERS)
def test_another_python_builds_the_same(version: str, tmp_path: Path) -> None:
    """The tables, key lists and headers of three layouts are those that are committed, and the check tells the same."""
    python = interpreter(version)
    if python is None:
        # No skip: which other versions a machine has is no matter of the project's packages.
        warnings.warn(f"Python {version} is not installed, so that it was not tried", stacklevel=1)
        return
    lent = {str(Path(module.__file__ or "").parents[1]) for module in (typer, yaml)}
    env = {**os.environ, "PYTHONPATH": os.pathsep.join((str(ROOT), *lent)), "PYTHONDONTWRITEBYTECODE": "1"}

    def call(*words: str, by: Path) -> subprocess.CompletedProcess[str]:
        command = [by, "-W", "error", "-c", RUN, *words]
        return subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=300, check=False)

    done = call("build", *LAYOUTS, "--quiet", "--out", str(tmp_path / "out"), by=python)
    assert (done.returncode, done.stderr) == (0, "")
    for id in LAYOUTS:
        for suffix in ("c", "h", "json", "md"):
            name = f"{id}.{suffix}"
            assert (tmp_path / "out" / name).read_bytes() == (ROOT / "generated" / name).read_bytes(), name
    for words in (("check", LAYOUTS[0]), ("--help",), ("check", "--help")):
        here, there = call(*words, by=Path(sys.executable)), call(*words, by=python)
        assert (there.returncode, there.stdout, there.stderr) == (here.returncode, here.stdout, here.stderr)


def test_the_claims_agree() -> None:
    """Classifiers, `requires-python`, the type checker, the linter and the workflow name the same versions."""
    numbers = [int(version.partition(".")[2]) for version in VERSIONS]
    assert numbers == list(range(numbers[0], numbers[-1] + 1))
    assert PROJECT["requires-python"] == f">={VERSIONS[0]}"
    tool = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]
    assert tool["mypy"]["python_version"] == VERSIONS[0]
    assert tool["ruff"]["target-version"] == f"py{VERSIONS[0].replace('.', '')}"
    assert HERE in VERSIONS
    workflow = (ROOT / ".github" / "workflows" / "pythons.yml").read_text(encoding="utf-8")
    assert yaml.safe_load(workflow)["jobs"]["pythons"]["strategy"]["matrix"]["python"] == VERSIONS
    assert f"Python {VERSIONS[0]} or newer" in (ROOT / "README.md").read_text(encoding="utf-8")
    assert (
        re.findall(r"3\.\d+", (ROOT / ".github" / "workflows" / "review.yml").read_text(encoding="utf-8"))
        == VERSIONS[:1]
    )
