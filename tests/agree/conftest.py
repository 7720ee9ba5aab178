"""The shipped layouts in both engines."""

from __future__ import annotations

import pytest

from matrixmap.simulate.engine import Sizes
from tests.agree.both import Both, build
from tests.agree.layouts import all_plans, few_plans

TWO_KEYBOARDS = Sizes(keyboards=2)
SMALL = Sizes(keyboards=2, waiting=3, held=3)


@pytest.fixture(scope="session", params=["gcc", "clang"])
def both(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Both:
    """All shipped layouts, two keyboards, memory as it is usually configured, by each host compiler."""
    library = build(tmp_path_factory.mktemp(request.param), TWO_KEYBOARDS, request.param)
    return Both(all_plans(), TWO_KEYBOARDS, library)


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Both:
    """The same with very little memory, so that it is often full."""
    return Both(few_plans(), SMALL, build(tmp_path_factory.mktemp("small"), SMALL))
