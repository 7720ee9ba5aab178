"""A browser, and the page of all shipped layouts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from matrixmap.emit.page.document import page_html
from tests.browser import Browser
from tests.once import Once
from tests.page.driving import FAST, Driver
from tests.project import shipped_ids, shipped_plan


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests of a worker; each test has a tab with a profile of its own."""
    with Browser() as started:
        yield started


@pytest.fixture(scope="session")
def page_file(once: Once) -> Path:
    """The page of all shipped layouts on disk."""

    def write(folder: Path) -> None:
        text = page_html([shipped_plan(id) for id in shipped_ids()])
        (folder / "page.html").write_text(text, encoding="utf-8")

    return once.folder("page", write) / "page.html"


@pytest.fixture
def driver(browser: Browser, page_file: Path) -> Iterator[Driver]:
    """The page, open and ready; at the end it must have asked for nothing and complained of nothing."""
    with browser.page() as page:
        driver = Driver(page, page_file)
        yield driver
        assert page.faults() == []


@pytest.fixture
def fast(browser: Browser, page_file: Path) -> Iterator[Driver]:
    """The same with a clock that runs faster, so that long texts take little time."""
    with browser.page(early=FAST) as page:
        driver = Driver(page, page_file, speed=20)
        yield driver
        assert page.faults() == []
