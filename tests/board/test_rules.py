"""Each rule about boards finds its fault, names it once, and finds nothing on the boards that ship."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from matrixmap.board.rules.run import BOARD_RULES
from matrixmap.model.finding import Severity
from tests.board.boards import SHIPPED, checked, edited, text_of
from tests.project import ROOT

CASES: dict[str, dict[str, Any]] = yaml.safe_load((ROOT / "tests/board/cases.yaml").read_text(encoding="utf-8"))
RULES = {rule.slug: rule for rule in BOARD_RULES}


def edits_of(case: dict[str, Any]) -> dict[tuple[str, str], Any]:
    """The edits of a case, by kind and id."""
    found = {}
    for name, pairs in case["edits"].items():
        kind, _, id = name.partition("/")
        found[kind, id] = pairs
    return found


def test_every_rule_has_a_case() -> None:
    """There is a case for each rule, and no other."""
    assert list(CASES) == [rule.slug for rule in BOARD_RULES]


@pytest.mark.parametrize("slug", CASES)
def test_the_fault_is_found_and_named_once(slug: str) -> None:
    """The edits of a case give its finding with its text and severity, and no warning or error besides those it says."""
    case = CASES[slug]
    found = checked(case["adapter"], edits_of(case), case.get("fit", "quillon8")).findings
    own = [finding for finding in found if finding.slug == slug]
    assert case["text"] in [finding.text for finding in own]
    assert max(finding.severity for finding in own).word == case["severity"]
    assert max(finding.severity for finding in own) <= RULES[slug].severity
    others = {finding.slug for finding in found if finding.severity > Severity.NOTE} - {slug}
    assert others == set(case.get("also", ())) - {slug}


@pytest.mark.parametrize("slug", CASES)
def test_without_the_fault_nothing_is_found(slug: str) -> None:
    """The shipped adapter that a case edits has no finding of its rule."""
    case = CASES[slug]
    found = checked(case.get("good", case["adapter"]), {}, case.get("fit", "quillon8")).findings
    assert slug not in [finding.slug for finding in found]


@pytest.mark.parametrize("id", SHIPPED)
@pytest.mark.parametrize("fit", ["quillon8", "quillon8/late"])
def test_shipped_boards_have_no_fault(id: str, fit: str) -> None:
    """Each contact of both revisions has one route, and nothing worse than a note is found."""
    board = checked(id, {}, fit)
    assert board.traced is not None
    assert [finding.slug for finding in board.findings if finding.severity > Severity.NOTE] == []
    assert sorted(route.contact for route in board.traced.routes) == list(range(65))


@pytest.mark.parametrize("slug", CASES)
def test_examples_of_a_rule_stand_in_its_case(slug: str) -> None:
    """What `explain` shows as bad and good are lines of the files with and without the fault, or pieces of them."""
    case, rule = CASES[slug], RULES[slug]
    files = edits_of(case) or {("machine", "quillon8"): []}
    bad = [edited(text_of(kind, id), pairs) for (kind, id), pairs in files.items()]
    good = [text_of(kind, id) for kind, id in files]
    for example, texts in ((rule.bad, bad), (rule.good, good)):
        for line in example.splitlines():
            assert any(line.strip() in text for text in texts), f"{line!r} is not in the case of {slug}"
