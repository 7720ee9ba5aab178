"""The compiled runtime for plans of a test's own."""

from __future__ import annotations

import ctypes
from collections.abc import Callable

import pytest

from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from matrixmap.simulate.compiled import EVERY_FEATURE, Compiled, compile_library, load_library
from matrixmap.simulate.engine import Engine, Sizes
from matrixmap.simulate.model import Model
from tests import tools


@pytest.fixture(scope="session")
def library(tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """The packaged runtime as the system's compiler builds it, for four keyboards."""
    folder = tmp_path_factory.mktemp("library")
    return load_library(compile_library(folder, Sizes(keyboards=4), tools.tool("cc"), features=EVERY_FEATURE))


@pytest.fixture(params=["model", "c"])
def start(request: pytest.FixtureRequest, library: ctypes.CDLL) -> Callable[[list[Plan]], Engine]:
    """Starts a runtime with some layouts, once as the model and once in C."""

    def begin(plans: list[Plan]) -> Engine:
        if request.param == "model":
            return Model(plans, Sizes(keyboards=4))
        return Compiled(library, plans[0].layout.machine, [make_table(plan).to_bytes() for plan in plans])

    return begin
