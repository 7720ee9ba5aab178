"""The C decoder as each host compiler builds it."""

from __future__ import annotations

import ctypes

import pytest

from tests.desk import compiled


@pytest.fixture(scope="session", params=["gcc", "clang"])
def lib(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """With all sizes as large as the table's format allows."""
    return compiled.compile_library(
        request.param, tmp_path_factory.mktemp("desk") / f"{request.param}.so", *compiled.LARGE
    )


@pytest.fixture(scope="session")
def small_lib(tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """With the sizes that a firmware has unless it says otherwise."""
    return compiled.compile_library("gcc", tmp_path_factory.mktemp("desk") / "small.so")
