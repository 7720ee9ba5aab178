"""Each rule about margins finds its fault, and finds nothing on the boards that ship; missing values are named, never made up."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from matrixmap.margins.findings import FINDERS, findings_of
from matrixmap.margins.rules import MARGIN_RULES
from matrixmap.margins.run import Margins
from matrixmap.model.finding import Severity
from tests.board.boards import SHIPPED, Edits, edited, text_of
from tests.margins.boards import margins, of_machine, with_filter
from tests.project import ROOT

CASES: dict[str, dict[str, Any]] = yaml.safe_load((ROOT / "tests/margins/cases.yaml").read_text(encoding="utf-8"))
RULES = {rule.slug: rule for rule in MARGIN_RULES}


def edits_of(case: dict[str, Any]) -> Edits:
    """The edits of a case, by kind and id."""
    if "filter" in case:
        return with_filter(*case["filter"])
    return {tuple(name.split("/")): pairs for name, pairs in case.get("edits", {}).items()}  # type: ignore[misc]


def margins_of_case(case: dict[str, Any]) -> Margins:
    """The margins of the board of a case."""
    return margins("ferrule", edits_of(case), case.get("fit", "quillon8"), guard=case.get("guard", True))


def test_every_rule_has_a_case_and_a_finder() -> None:
    """There is a case and a function for each rule, and no other."""
    assert set(CASES) == set(RULES) == {rule.slug for rule in FINDERS}
    assert len(RULES) == len(MARGIN_RULES)


@pytest.mark.parametrize("slug", CASES)
def test_the_fault_is_found(slug: str) -> None:
    """A case gives its finding with its text and severity, and no warning or error besides those it says."""
    case = CASES[slug]
    found = findings_of(margins_of_case(case))
    own = [finding for finding in found if finding.slug == slug]
    assert any(case["text"] in finding.text for finding in own), [finding.text for finding in own]
    assert max(finding.severity for finding in own).word == case["severity"]
    assert max(finding.severity for finding in own) <= RULES[slug].severity
    assert {finding.slug for finding in found if finding.severity > Severity.NOTE} == {slug, *case.get("also", ())}


@pytest.mark.parametrize("id", SHIPPED)
@pytest.mark.parametrize("fit", ["quillon8", "quillon8/late"])
def test_shipped_boards_have_no_fault(id: str, fit: str) -> None:
    """Nothing worse than a note is found on them, and no value is missing."""
    found = margins(id, {}, fit)
    assert not found.missing
    assert [finding.slug for finding in findings_of(found) if finding.severity > Severity.NOTE] == []


@pytest.mark.parametrize("slug", [slug for slug, case in CASES.items() if "guard" not in case])
def test_examples_of_a_rule_stand_in_its_case(slug: str) -> None:
    """What `explain` shows as bad and good are pieces of the files with and without the fault."""
    case, rule = CASES[slug], RULES[slug]
    bad = [edited(text_of(kind, id), pairs) for (kind, id), pairs in edits_of(case).items()]
    good = [text_of(kind, id) for kind, id in edits_of(case)]
    if "filter" in case:
        good = [edited(text_of("adapter", "ferrule"), with_filter(GOOD_COIL, GOOD_CAPACITOR)["adapter", "ferrule"])]
    for example, texts in ((rule.bad, bad), (rule.good, good)):
        for line in example.splitlines():
            assert any(line in text for text in texts), f"{line!r} is not in the case of {slug}"


GOOD_COIL = "microhenries: 10, series_ohms: 0.1, saturation_ma: 10000"
GOOD_CAPACITOR = "microfarads: 10, series_ohms: 1"


def test_a_good_filter_has_no_finding() -> None:
    """A damped filter with an inductor that does not saturate."""
    found = findings_of(margins("ferrule", with_filter(GOOD_COIL, GOOD_CAPACITOR)))
    assert [finding.slug for finding in found if finding.severity > Severity.NOTE] == []


def test_nothing_is_computed_without_its_values() -> None:
    """No voltage is told where a value is missing; with usual ones the same rows come, and each is named as no fact."""
    lacking = of_machine(("  pull_up_ohms: [4230, 5170]\n", ""), ("  reads_low_v: 0.8\n", ""))
    without = margins("ferrule", lacking)
    assert (without.facts, without.rows, without.times, without.limits) == (None, (), (), ())
    assert [each.field for each in without.missing] == ["reads_low_v", "pull_up_ohms"]
    usual = margins("ferrule", lacking, typical=True)
    assert usual.rows == margins("ferrule").rows
    told = [finding for finding in findings_of(usual) if finding.slug == "value-missing"]
    assert len(told) == 2
    assert all("is not a fact about this board" in finding.text for finding in told)
    assert {finding.severity for finding in told} == {Severity.WARNING}


def test_times_alone_may_be_missing() -> None:
    """Without a capacitance the voltages are told all the same, and that it is missing is a warning."""
    found = margins("ferrule", of_machine(("  line_pf: [20, 60]\n", "")))
    assert found.rows == margins("ferrule").rows
    told = [finding for finding in findings_of(found) if finding.slug == "value-missing"]
    assert [(finding.severity, finding.text.split(",")[0]) for finding in told] == [
        (Severity.WARNING, "electric does not say line_pf")
    ]
    assert found.times == ()


def test_a_filter_names_what_it_lacks() -> None:
    """Each value of a filter that no file gives is named, and nothing is computed of it."""
    found = margins("ferrule", with_filter("microhenries: 10", "microfarads: 10"))
    told = [finding.text for finding in findings_of(found) if finding.slug == "value-missing"]
    assert [text.split(",")[0] for text in told] == ["L1 does not say series_ohms", "C2 does not say series_ohms"]
    assert [supply.points for supply in found.supplies] == [()]


@pytest.mark.parametrize(
    ("piece", "broken", "slug", "told"),
    [
        (
            "pull_up_ohms: [4230, 5170]",
            "pull_up_ohms: [5170, 4230]",
            "impossible-interval",
            "the least, 5170, is more than the most, 4230",
        ),
        (
            "reads_low_v: 0.8",
            "reads_low_v: 2",
            "thresholds-overlap",
            "surely reads low up to 2 V cannot surely read high from 2 V",
        ),
        ("pull_up_ohms: [4230, 5170]", "pull_up_ohms: 0", "bad-number", "'0' is not a number from 10 to 10000000"),
        ("pull_up_ohms: [4230, 5170]", "pull_up_ohms: [4230]", "wrong-type", "expected a number from 10 to 10000000"),
        ("pull_up_ohms: [4230, 5170]", "pull_up_ohms: {least: 1}", "wrong-type", "found a mapping"),
        ("driver_low_v: 0.4", "driver_low_v: 0.4 V", "bad-number", "without quotes, unit or separator"),
    ],
)
def test_impossible_values_are_findings(piece: str, broken: str, slug: str, told: str) -> None:
    """A file with one is not used, and the finding says where and what."""
    from tests.board.boards import project_with

    loaded = project_with(of_machine((piece, broken))).machine("quillon8")
    assert loaded is not None
    assert loaded.value is None
    assert [finding.slug for finding in loaded.findings] == [slug]
    assert told in loaded.findings[0].text
    assert loaded.findings[0].place is not None
