"""The C decoder as each host compiler builds it."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache

import pytest

from tests.desk import compiled

COMPILERS = ("gcc", "clang")


@pytest.fixture(scope="session")
def large(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], ctypes.CDLL]:
    """By a compiler, with all sizes as large as the table's format allows."""

    @cache
    def made(compiler: str) -> ctypes.CDLL:
        return compiled.compile_library(compiler, tmp_path_factory.mktemp("desk") / f"{compiler}.so", *compiled.LARGE)

    return made


@pytest.fixture(params=COMPILERS)
def lib(request: pytest.FixtureRequest, large: Callable[[str], ctypes.CDLL]) -> ctypes.CDLL:
    """The large one by each compiler in turn."""
    return large(request.param)


@pytest.fixture
def libs(large: Callable[[str], ctypes.CDLL]) -> tuple[ctypes.CDLL, ...]:
    """The large ones by all compilers, for what is worked out once beside them."""
    return tuple(map(large, COMPILERS))


@pytest.fixture(scope="session")
def small_lib(tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """With the sizes that a firmware has unless it says otherwise."""
    return compiled.compile_library("gcc", tmp_path_factory.mktemp("desk") / "small.so")
