"""Tools from outside the project: installed where the tests may, else a named skip, and in CI a failure."""

from __future__ import annotations

import fcntl
import importlib
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import NoReturn

import pytest

from tests.apt import apt_get

PACKAGES = Path(__file__).with_name("debian-packages.txt")

# Warnings as the emitted C promises to give none (gcc and clang), and the flags that turn each into an error.
STRICT = [
    "-std=c99",
    "-Wall",
    "-Wextra",
    "-Wpedantic",
    "-Wconversion",
    "-Wsign-conversion",
    "-Wshadow",
    "-Wundef",
    "-Wmissing-prototypes",
    "-Wstrict-prototypes",
    "-Wcast-qual",
    "-Wdate-time",
    "-Werror",
]


def listed_packages(text: str) -> list[str]:
    """The packages of a list: the first word of each line, comments aside."""
    return [words[0] for line in text.splitlines() if (words := line.partition("#")[0].split())]


def missing_packages(packages: list[str]) -> list[str]:
    """Those of the packages that this Debian has not installed."""
    known = subprocess.run(
        ["dpkg-query", "--show", "--showformat", "${Package} ${db:Status-Status}\n"],
        capture_output=True,
        text=True,
        check=False,
    )
    installed = {line.removesuffix(" installed") for line in known.stdout.splitlines() if line.endswith(" installed")}
    return [package for package in packages if package not in installed]


def install_missing() -> str | None:
    """Installs the listed packages that are missing, if this is root on a Debian; a line about it, None if none was."""
    if os.geteuid() != 0 or shutil.which("apt-get") is None:
        return None
    packages = missing_packages(listed_packages(PACKAGES.read_text(encoding="utf-8")))
    if not packages:
        return None
    for words in (["-qq", "update"], ["-qq", "-y", "--no-install-recommends", "install", *packages]):
        done = apt_get(words)
        if done.returncode != 0:
            return f"could not install {' '.join(packages)}: {done.stderr.strip()[-500:]}"
    return f"installed {' '.join(packages)}"


def missing(what: str) -> NoReturn:
    """Ends the test: it fails where CI is set and is skipped elsewhere, with the name of what is missing."""
    if os.environ.get("CI"):
        pytest.fail(f"{what} is missing, and CI asks for every check")
    pytest.skip(f"{what} is missing")


def tool(name: str) -> str:
    """The path of a command that a test needs."""
    return shutil.which(name) or missing(name)


def module(name: str, package: str) -> ModuleType:
    """A module of an outside package that a test needs."""
    try:
        return importlib.import_module(name)
    except ImportError as fault:
        missing(f"{package} ({fault})")


def run(*command: str | Path, cwd: Path | None = None, timeout: float = 300) -> subprocess.CompletedProcess[str]:
    """The outcome of a command that must succeed; what it says becomes the failure."""
    words = [str(word) for word in command]
    done = subprocess.run(words, cwd=cwd, capture_output=True, text=True, timeout=timeout, check=False)
    assert done.returncode == 0, f"{' '.join(words)[:2000]}\n{done.stdout[-4000:]}{done.stderr[-8000:]}"
    return done


def fetched(path: Path, folder: Path, fetch: Callable[[], None]) -> bool:
    """Whether a file that belongs into a folder of the project is there, at the latest after it was fetched."""
    if not path.is_file():
        folder.mkdir(exist_ok=True)
        with (folder / "lock").open("w") as lock:
            # Workers of a parallel run come one after the other; all but the first find the file there.
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not path.is_file():
                fetch()
    return path.is_file()


NODE = Path(__file__).parents[1] / ".node"
NPM_SECONDS = 240
"""How long npm may take for one package; without an answer it would wait for ten minutes and more."""


def node_file(package: str, version: str, name: str) -> Path:
    """A file of a package of the npm registry, fetched once by npm into a folder of the project.

    Each package has a folder of its own, named with its version: npm takes out of a folder what it was not asked for.
    """
    folder = NODE / f"{package}-{version}"
    path = folder / "node_modules" / package / name
    NODE.mkdir(exist_ok=True)
    if fetched(path, folder, lambda: _install_node_package(folder, package, version)):
        return path
    missing(f"{package} {version} of the npm registry")


def _install_node_package(folder: Path, package: str, version: str) -> None:
    if shutil.which("npm") is None:
        missing(f"npm, for {package}")
    command = ["npm", "install", "--silent", "--no-save", "--no-audit", "--no-fund", "--ignore-scripts"]
    wanted = f"{package}@{version}"
    try:
        done = subprocess.run(
            [*command, "--prefix", str(folder), wanted],
            capture_output=True,
            text=True,
            check=False,
            timeout=NPM_SECONDS,
        )
    except subprocess.TimeoutExpired:
        missing(f"{wanted} of the npm registry (no answer in {NPM_SECONDS} s)")
    if done.returncode != 0:
        missing(f"{wanted} of the npm registry ({done.stderr.strip()[-300:]})")
