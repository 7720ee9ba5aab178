"""The C of the shipped layouts, compiled by each host compiler."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from tests import tools
from tests.emit.compiled import SHIM
from tests.once import Once
from tests.runtime import engine

LEVELS = {"gcc": "-O2", "clang": "-Os"}
"""How each host compiler optimizes."""


@pytest.fixture(scope="session")
def objects(built: Path, once: Once) -> Callable[[str], list[Path]]:
    """Every C file of the generated folder compiled by itself under the strictest flags, once by each compiler."""

    @cache
    def compiled(compiler: str) -> list[Path]:
        command = (tools.tool(compiler), *tools.STRICT, LEVELS[compiler], "-fPIC", "-c", *sorted(built.glob("*.c")))
        return sorted(once.folder(f"objects-{compiler}", lambda folder: tools.run(*command, cwd=folder)).glob("*.o"))

    return compiled


@pytest.fixture(scope="session")
def libraries(built: Path, objects: Callable[[str], list[Path]], once: Once) -> Callable[[str], ctypes.CDLL]:
    """The generated folder as one library of a compiler, linked once."""

    @cache
    def library(compiler: str) -> ctypes.CDLL:
        parts = (*objects(compiler), SHIM)
        command = (tools.tool(compiler), *tools.STRICT, "-O1", "-fPIC", "-shared", f"-I{built}", "-o", "all.so", *parts)
        return engine.load(
            once.folder(f"library-{compiler}", lambda folder: tools.run(*command, cwd=folder)) / "all.so"
        )

    return library


@pytest.fixture(params=["gcc", "clang"])
def lib(request: pytest.FixtureRequest, libraries: Callable[[str], ctypes.CDLL]) -> ctypes.CDLL:
    """The generated folder as one library, by each host compiler."""
    return libraries(request.param)
