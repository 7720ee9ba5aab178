"""What the pages say about the decoder's cost is what is measured."""

from __future__ import annotations

from pathlib import Path

from tests.bench import bench_pads


def test_the_figures_are_those_of_the_page(tmp_path: Path) -> None:
    """docs/figures.md has the section as it is measured, and the AVR shows what Python shows."""
    page = bench_pads.FIGURES.read_text(encoding="utf-8")
    assert bench_pads.with_section(page, bench_pads.section(tmp_path)) == page
