"""Tools from outside the project: a missing one is a named skip, in CI a failure."""

import importlib
import os
from collections.abc import Callable
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def missing_tool() -> Callable[[str], None]:
    """Ends the test: it fails under CI=true and is skipped elsewhere, with the tool's name."""

    def end(what: str) -> None:
        if os.environ.get("CI") == "true":
            pytest.fail(f"{what} is missing, and CI=true asks for every check")
        pytest.skip(f"{what} is missing")

    return end


@pytest.fixture(scope="session")
def outside_module(missing_tool: Callable[[str], None]) -> Callable[[str, str], ModuleType]:
    """Imports a module of an outside tool; its package is named where it cannot be imported."""

    def load(module: str, package: str) -> ModuleType:
        try:
            return importlib.import_module(module)
        except ImportError as fault:
            missing_tool(f"{package} ({fault})")
            raise

    return load
