"""A browser for the page of a comparison."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.browser import Browser


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests of a worker."""
    with Browser() as started:
        yield started
