"""The page of shipped layouts, open in a tab."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from matrixmap.emit.page.document import page_html
from tests.browser import Browser
from tests.once import Once
from tests.page.driving import FAST, Driver
from tests.project import shipped_ids, shipped_plan
from tests.shipped import in_suite

ALWAYS = "quillon8-de-DE-symbolic"
"""A layout that several tests choose."""


@pytest.fixture(scope="session")
def page_file(request: pytest.FixtureRequest, once: Once) -> Path:
    """The page of the shipped layouts on disk: in the suite those of its share, in the campaign all that are asked for."""
    asked = {
        item.callspec.params.get("id")
        for item in request.session.items
        if isinstance(item, pytest.Function) and "all_layouts" in item.fixturenames and hasattr(item, "callspec")
    }
    ids = [id for id in shipped_ids() if in_suite(id, "page") or id in asked or id == ALWAYS]

    def write(folder: Path) -> None:
        (folder / "page.html").write_text(page_html([shipped_plan(id) for id in ids]), encoding="utf-8")

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
