"""Each rule finds its fault where it is, and nothing where it is not."""

import pytest

from matrixmap.check.engine.acceptance import ACCEPTANCE_COUNTS_WRONG, ACCEPTANCE_MATCHES_NOTHING
from matrixmap.check.registry import CHECK_RULES
from matrixmap.check.rules.adapter import TABLE_UNSOUND
from matrixmap.check.run import find_in_plan
from matrixmap.model.plan import Plan
from matrixmap.model.rule import Rule

from .cases import case_slugs, load_case, plan_of

OTHERS = (ACCEPTANCE_MATCHES_NOTHING, ACCEPTANCE_COUNTS_WRONG, TABLE_UNSOUND)
RULES: dict[str, Rule] = {rule.slug: rule for rule in (*CHECK_RULES, *OTHERS)}


def findings(plan: Plan, slug: str) -> list[tuple[int, str, int]]:
    checked = find_in_plan(plan)
    found = [finding for finding in checked.findings if finding.slug == slug]
    return sorted(
        (finding.place.line if finding.place else 0, finding.severity.word, finding.count) for finding in found
    )


def test_every_rule_has_a_case():
    """There is a case for each rule that looks at a plan, and no other."""
    assert case_slugs() == sorted(RULES)


@pytest.mark.parametrize("slug", case_slugs())
def test_a_bad_layout_has_the_findings_and_a_good_one_has_none(slug):
    """The bad layout of a case gives the expected findings by line, severity and count, the good one none."""
    case = load_case(slug)
    assert findings(plan_of(case.bad, case.bad_machine), slug) == sorted(case.expected)
    assert findings(plan_of(case.good, case.good_machine), slug) == []


@pytest.mark.parametrize("slug", case_slugs())
def test_the_examples_of_a_rule_are_lines_of_its_case(slug):
    """What `explain` shows as bad and good stands in the files that the case checks."""
    case, rule = load_case(slug), RULES[slug]
    for example, texts in (
        (rule.bad, (case.bad, case.bad_machine or "")),
        (rule.good, (case.good, case.good_machine or "")),
    ):
        lines = {line.strip() for text in texts for line in text.splitlines()}
        for line in example.splitlines():
            assert line.strip() in lines, f"{line!r} is not in the case of {slug}"


@pytest.mark.parametrize("slug", case_slugs())
def test_a_severity_is_never_above_that_of_the_rule(slug):
    """A finding is at most as severe as its rule, and each rule has a case at its own severity or says why not."""
    case, rule = load_case(slug), RULES[slug]
    found = [finding for finding in find_in_plan(plan_of(case.bad, case.bad_machine)).findings if finding.slug == slug]
    assert all(finding.severity <= rule.severity for finding in found)


def test_texts_say_no_finding_twice():
    """No two findings of one layout are the same, text and place included."""
    for slug in case_slugs():
        case = load_case(slug)
        found = find_in_plan(plan_of(case.bad, case.bad_machine)).findings
        keys = [(finding.slug, finding.place, finding.text) for finding in found]
        assert len(keys) == len(set(keys)), slug
