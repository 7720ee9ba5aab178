"""The C of the shipped layouts, compiled by each host compiler."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from tests.emit.compiled import compile_library, write_build
from tests.project import shipped_ids, shipped_plan


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with all that a build of the shipped layouts writes."""
    return write_build(tmp_path_factory.mktemp("generated"), [shipped_plan(id) for id in shipped_ids()])


@pytest.fixture(scope="session")
def libraries(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], ctypes.CDLL]:
    """The generated folder as one library of a compiler, compiled once."""
    folder = tmp_path_factory.mktemp("lib")

    @cache
    def library(compiler: str) -> ctypes.CDLL:
        return compile_library(built, compiler, folder / f"{compiler}.so")

    return library


@pytest.fixture(params=["gcc", "clang"])
def lib(request: pytest.FixtureRequest, libraries: Callable[[str], ctypes.CDLL]) -> ctypes.CDLL:
    """The generated folder as one library, by each host compiler."""
    return libraries(request.param)
