"""Compilers for the C runtime; a missing one is a named skip here and a failure where CI is set."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.shipped import in_campaign

from . import engine

RUNTIME = Path(__file__).parents[2] / "matrixmap" / "runtime"
SHIM = Path(__file__).with_name("shim.c")
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
    "-Werror",
]
SMALL = ("-DMM_SELECT_MAX=8", "-DMM_SENSE_MAX=8")


def tool(name: str) -> str:
    """The path of a tool."""
    path = shutil.which(name)
    if path is None:
        if os.environ.get("CI"):
            pytest.fail(f"{name} is not installed")
        pytest.skip(f"{name} is not installed")
    return path


def run(*command: str | Path, **options: object) -> subprocess.CompletedProcess[str]:
    """The outcome of a command; its messages become the failure."""
    done = subprocess.run([str(word) for word in command], capture_output=True, text=True, timeout=300, **options)  # type: ignore[call-overload]
    assert done.returncode == 0, done.stdout + done.stderr
    return done  # type: ignore[no-any-return]


FIGURES = pytest.StashKey[list[str]]()


@pytest.fixture
def record_figure(request: pytest.FixtureRequest) -> Callable[[str], None]:
    """Notes a measured figure, which the end of the run prints."""
    return request.config.stash.setdefault(FIGURES, []).append


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Prints the figures that the tests measured."""
    for figure in sorted(set(config.stash.get(FIGURES, []))):
        terminalreporter.write_line(figure)


def build(compiler: str, folder: Path, *flags: str) -> ctypes.CDLL:
    """The runtime as a host compiler builds it, without one warning."""
    path = folder / "runtime.so"
    sources = (*sorted(RUNTIME.glob("*.c")), SHIM)
    options = (*STRICT, "-O2", "-DMM_KEYBOARDS=2", *flags, "-fPIC", "-shared", f"-I{RUNTIME}")
    run(tool(compiler), *options, "-o", path, *sources)
    return engine.load(path)


@pytest.fixture(scope="session", params=["gcc", in_campaign("clang"), "gcc with all"])
def lib(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """The runtime as each host compiler builds it; with sequences, keys that come back and whole scans it does all else in the same way."""
    compiler, *more = request.param.split(" ", 1)
    settings = ("-DMM_SEQUENCES=1", "-DMM_RESUME=1", "-DMM_WHOLE=1") if more else ()
    return build(compiler, tmp_path_factory.mktemp("runtime"), *settings)


@pytest.fixture(scope="session", params=["gcc", in_campaign("clang")])
def lib_with_sequences(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """The runtime with sequences, and keys that come back."""
    return build(request.param, tmp_path_factory.mktemp("runtime"), "-DMM_SEQUENCES=1", "-DMM_RESUME=1")


@pytest.fixture(scope="session", params=["gcc", in_campaign("clang")])
def lib_of_everything(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """The runtime with all that may be left out."""
    settings = ("-DMM_SEQUENCES=1", "-DMM_RESUME=1", "-DMM_WHOLE=1")
    return build(request.param, tmp_path_factory.mktemp("runtime"), *settings)


@pytest.fixture(scope="session", params=["gcc", in_campaign("clang"), "gcc with all"])
def lib_of_whole_scans(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """The runtime for machines that compare whole scans, without all else that may be left out, and with it."""
    compiler, *more = request.param.split(" ", 1)
    settings = ("-DMM_SEQUENCES=1", "-DMM_RESUME=1") if more else ("-DMM_TAPS=0", "-DMM_CHECKSUM=0")
    return build(compiler, tmp_path_factory.mktemp("runtime"), "-DMM_WHOLE=1", *settings)


@pytest.fixture
def start(lib: ctypes.CDLL) -> Callable[[bytes], engine.Engine]:
    """Starts an engine on a table."""

    def begin(table: bytes) -> engine.Engine:
        made = engine.Engine(lib, table)
        assert made.sound
        return made

    return begin
