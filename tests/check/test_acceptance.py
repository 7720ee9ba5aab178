"""What a layout accepts: all of a kind, so many cases, or certain keys; a further case is always seen."""

from __future__ import annotations

import pytest

from matrixmap.check.run import Checked, find_in_plan
from tests.check.cases import case_project, plan_of
from tests.project import call, write_project

LINES = """\
layout: case
machine: quillon8
host: few
join: positional
keys: {ShiftLeft: shift-left, ControlLeft: helm, AltLeft: blazon, KeyA: o, KeyB: left, KeyD: b}
"""
SLUG = "modifier-makes-phantom"


def checked(accept: str) -> Checked:
    found = find_in_plan(plan_of(LINES + accept))
    assert isinstance(found, Checked)
    return found


def told(accept: str) -> tuple[int, int, list[str]]:
    """How many findings of the slug are open, how many accepted, and what is said of the acceptance."""
    found = checked(accept)
    about = [each.text for each in found.findings if each.slug.startswith("acceptance-")]
    return sum(each.slug == SLUG for each in found.findings), sum(each.slug == SLUG for each in found.accepted), about


def cases() -> tuple[int, int, str]:
    """Findings and cases of the slug without an acceptance, and the keys that the first begins with."""
    found = [each for each in checked("").findings if each.slug == SLUG]
    return len(found), sum(each.count for each in found), found[0].text.partition(":")[0]


def test_a_reason_alone_accepts_all_of_a_kind() -> None:
    """A line with a reason takes every finding of its slug."""
    findings, _, _ = cases()
    assert findings > 1
    assert told(f"accept: {{{SLUG}: so be it}}") == (0, findings, [])


def test_a_count_accepts_so_many_cases_and_no_more() -> None:
    """As many cases are accepted; with more than the count all are told, and with fewer the count is."""
    findings, count, _ = cases()
    assert told(f"accept: {{{SLUG}: {{count: {count}, reason: so be it}}}}") == (0, findings, [])
    fewer = told(f"accept: {{{SLUG}: {{count: {count - 1}, reason: so be it}}}}")
    assert fewer[:2] == (findings, 0)
    assert fewer[2] == [
        f"{count - 1} cases of {SLUG} accepted, and there are {count}; look at them and write count: {count}"
    ]
    more = told(f"accept: {{{SLUG}: {{count: {count + 1}, reason: so be it}}}}")
    assert more[:2] == (0, findings)
    assert more[2] == [f"{count + 1} cases of {SLUG} accepted, and there are {count}; write count: {count}"]


def test_a_witness_accepts_its_own_keys_alone() -> None:
    """The finding that begins with these keys is accepted, the others are told; keys that make none are told too."""
    findings, _, keys = cases()
    assert told(f"accept: {{{SLUG}: {{witness: '{keys}', reason: so be it}}}}") == (findings - 1, 1, [])
    part = keys[:-1]
    assert told(f"accept: {{{SLUG}: {{witness: '{part}', reason: so be it}}}}")[:2] == (findings, 0)
    gone = told(f"accept: {{{SLUG}: {{witness: ['{keys}', press Z], reason: so be it}}}}")
    assert gone[:2] == (findings - 1, 1)
    assert gone[2] == [f"there is no {SLUG} that begins with press Z in this layout; remove that"]


def test_a_finding_of_the_machine_can_be_accepted() -> None:
    """What is told for the machine alone is looked for all the same where a layout accepts it."""
    plan = plan_of(LINES + f"accept: {{{SLUG}: so be it}}")
    own = find_in_plan(plan, everything=False)
    assert {each.slug for each in own.accepted} == {SLUG}
    assert not any(each.slug.startswith("acceptance-") for each in own.findings)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("{count: 2}", "an acceptance needs the field reason"),
        ("{count: 0, reason: x}", "'0' is not a whole number from 1"),
        ("{counts: 2, reason: x}", "has no field 'counts'; did you mean count?"),
        ("[a, b]", "a reason or an acceptance"),
    ],
)
def test_a_wrong_acceptance_is_told_with_its_place(line: str, said: str) -> None:
    """A missing reason, a wrong count, another field: findings of reading at the line."""
    loaded = case_project({"case": f"{LINES}accept:\n  {SLUG}: {line}\n"}).layout("case")
    assert loaded is not None
    assert loaded.value is None
    assert [each.place.line for each in loaded.findings if each.place] == [7]
    assert said in loaded.findings[0].text


def test_new_cases_are_named_on_the_first_screen(tmp_path) -> None:
    """The row Accepted says what is accepted with its reason, and what is new against that."""
    write_project(
        tmp_path,
        {"layouts/case.yaml": LINES.replace("few", "en-US") + f"accept: {{{SLUG}: {{count: 1, reason: so be it}}}}\n"},
    )
    done = call("check", "case", "--root", tmp_path, "--fail-on", "none")
    assert f"Accepted    new: {SLUG}; accepted: nothing" in done.stdout
