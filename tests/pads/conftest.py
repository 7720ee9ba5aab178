"""The C decoder of pads as each host compiler builds it."""

from __future__ import annotations

import ctypes

import pytest

from tests.pads import compiled


@pytest.fixture(scope="session", params=("gcc", "clang"))
def lib(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """By each compiler in turn."""
    return compiled.compile_library(request.param, tmp_path_factory.mktemp("pads") / "pads.so")
