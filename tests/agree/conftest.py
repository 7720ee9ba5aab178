"""The shipped layouts in both engines."""

from __future__ import annotations

import pytest

from matrixmap.simulate.engine import Sizes
from tests.agree.both import Both, build
from tests.agree.layouts import OTHER_MACHINES, all_plans, few_plans, special_plans
from tests.shipped import in_campaign

TWO_KEYBOARDS = Sizes(keyboards=2)
SMALL = Sizes(keyboards=2, waiting=3, held=3)


@pytest.fixture(scope="session", params=["gcc", in_campaign("clang")])
def both(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Both:
    """All shipped layouts of the Quillon 8 and some made for the tests, two keyboards, memory as it is usually configured, by each host compiler."""
    library = build(tmp_path_factory.mktemp(request.param), TWO_KEYBOARDS, request.param)
    return Both([*all_plans(), *special_plans()], TWO_KEYBOARDS, library)


@pytest.fixture(scope="session", params=OTHER_MACHINES)
def other(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Both:
    """All shipped layouts of another machine; those of the Langet play strokes in turn."""
    plans = all_plans(request.param)
    library = build(tmp_path_factory.mktemp(request.param), TWO_KEYBOARDS)
    return Both(plans, TWO_KEYBOARDS, library)


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Both:
    """The same with very little memory, so that it is often full."""
    return Both([*few_plans(), *special_plans()], SMALL, build(tmp_path_factory.mktemp("small"), SMALL))
