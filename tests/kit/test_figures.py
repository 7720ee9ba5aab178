"""The figures of docs/kit.md are those that the program finds."""

from __future__ import annotations

import re

import pytest

from tests.kit.boards import ADAPTERS, TIMELY, lookup_of, meter_of, shortest_of, table_of, tree_of
from tests.project import ROOT

PAGE = (ROOT / "docs" / "kit.md").read_text(encoding="utf-8")
HEAD = "| adapter | faults | shown | classes | presses | in a list | measurements | questions at most | on average | at least |"


def rows() -> dict[str, list[str]]:
    """The cells of the table of figures, by adapter."""
    lines = PAGE.partition(HEAD)[2].splitlines()[2:]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[: len(ADAPTERS)]]
    return {name: rest for name, *rest in cells}


@pytest.mark.parametrize("adapter", TIMELY)
def test_the_page_has_the_figures_of_each_adapter(adapter: str) -> None:
    """Faults, presses, measurements and questions; and all that is called the fewest is proven to be."""
    table, text, listed, meter, tree = (make(adapter) for make in (table_of, shortest_of, lookup_of, meter_of, tree_of))
    found = [len(table.models), len(table.shown), len(table.classes), len(text.presses), len(listed.chosen)]
    found += [len(meter.measurements), tree.worst]
    assert rows()[adapter] == [*(f"{figure:,}" for figure in found), f"{tree.mean:.1f}", tree.least]
    assert text.is_exact
    assert listed.is_exact
    assert meter.at_least == len(meter.measurements)
    assert tree.at_least == tree.worst


def test_the_page_tells_of_each_adapter_once() -> None:
    """No adapter is missing in the table of figures."""
    assert tuple(rows()) == ADAPTERS
    assert len(re.findall(re.escape(HEAD), PAGE)) == 1
