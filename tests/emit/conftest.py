"""The C of the shipped layouts, compiled by each host compiler."""

from __future__ import annotations

import ctypes
from pathlib import Path

import pytest

from tests.emit.compiled import compile_library, write_build
from tests.project import shipped_ids, shipped_plan


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with all that a build of the shipped layouts writes."""
    return write_build(tmp_path_factory.mktemp("generated"), [shipped_plan(id) for id in shipped_ids()])


@pytest.fixture(scope="session", params=["gcc", "clang"])
def lib(request: pytest.FixtureRequest, built: Path, tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """The generated folder as one library."""
    return compile_library(built, request.param, tmp_path_factory.mktemp("lib") / f"{request.param}.so")
