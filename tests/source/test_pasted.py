"""Pasted tables and probes that cannot be used: beside each stands what is told.

After a change of the texts: MATRIXMAP_BLESS=1 pytest tests/source/test_pasted.py, then read the difference.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from matrixmap.source.propose.probes import ProbeChoices, read_probes
from matrixmap.source.propose.proposal import LegendChoices, propose_machine
from matrixmap.source.propose.table import TableChoices, read_table
from matrixmap.source.report import Report

PASTED = Path(__file__).parent / "pasted" / "broken"
FILES = sorted(PASTED.glob("*.*.txt"))
FEWEST = 30
PASTED_RULES = (
    "table-ragged",
    "table-unclear",
    "cell-unclear",
    "probe-unclear",
    "probes-contradict",
    "pins-not-separable",
    "side-not-stated",
    "diodes-opposed",
    "key-without-contact",
)


def told_about(path: Path) -> str:
    """The findings about a file, one a line, as the command prints them."""
    report = Report()
    data = path.read_bytes()
    if path.name.endswith(".probes.txt"):
        strobed = ("1",) if b"# strobed: 1" in data else ()
        probed = read_probes(data, path.name, ProbeChoices(strobed=strobed), report)
        grid = probed.grid if probed else None
    else:
        table = read_table(data, path.name, TableChoices(), report)
        grid = table.grid if table else None
    assert (grid is None) == bool(report.findings)
    if grid is not None:
        assert propose_machine(grid, LegendChoices(), report) is None
    return "".join(f"{finding.place}: {finding.slug}: {finding.text}\n" for finding in report.findings)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_text_that_cannot_be_used_gives_exactly_these_findings(path: Path) -> None:
    """Place, slug and text of every finding are as they stand beside the text; there is no machine."""
    told = told_about(path)
    expected = path.with_suffix(".told")
    if os.environ.get("MATRIXMAP_BLESS") == "1":
        assert os.environ.get("CI") != "true", "expectations are not rewritten in CI"
        expected.write_text(told, encoding="utf-8", newline="\n")
    assert told == expected.read_text(encoding="utf-8")
    assert told


def test_every_rule_about_pasted_texts_is_shown() -> None:
    """Each rule that only a table or probes can break is broken by one of the texts, and no expectation stands alone."""
    told = [line for path in PASTED.glob("*.told") for line in path.read_text(encoding="utf-8").splitlines()]
    assert set(PASTED_RULES) <= {line.split(": ")[1] for line in told}
    assert {path.with_suffix(".told") for path in FILES} == set(PASTED.glob("*.told"))
    assert len(FILES) >= FEWEST
