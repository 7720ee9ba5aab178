"""Needless lines are those without which the layout compiles to the same."""

import pytest
from hypothesis import HealthCheck, given, settings

from matrixmap.check.engine.lines import does_the_same, line_place, needless_lines, own_lines, without
from matrixmap.check.rules.hygiene import RULES
from matrixmap.check.run import find_in_plan
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from tests.check.cases import case_slugs, load_case, plan_of
from tests.check.machines import machines_and_layouts
from tests.project import shipped_plan
from tests.shipped import some_of

LAYOUTS = ("quillon8-de-DE-positional", "quillon8-de-DE-symbolic", "quillon8-en-US-symbolic", "quillon8-fr-FR-symbolic")

# Lines that overlap, repeat what the join gives, or silence dead keys, on a host that has all of these.
CROWDED = """\
layout: case
machine: quillon8
host: de-DE
join: symbolic
pass: {Control: helm, ControlLeft: helm, Shift: shift, Alt: blazon}
locks: {CapsLock: blazon-latch}
types: {'a': a}
keys:
  KeyA: a
  Shift+KeyA: shift + a
  AltGr+KeyQ: at
  Backquote: caret
  KeyY: y
  Digit1: d1
  Shift+Digit1: shift + d2
  Numpad7: d7
  Shift+Numpad7: d7
  Enter: return
  Shift+Enter: return
  Delete: erase
  Alt+Digit1: blazon + d1
  ShiftLeft: shift-left
  ControlRight: helm
  NumLock: none
commands: {F10: 1, Shift+F10: 1}
"""


def by_compiling(plan: Plan) -> list[int]:
    """The lines, by number, without which the layout compiles to the same."""
    layout = plan.layout
    lines = own_lines(layout)
    return sorted(line_place(line).line for line in lines if does_the_same(plan, compile_plan(without(layout, line))))


def needless(plan: Plan) -> list[int]:
    return sorted(line_place(line).line for line, _ in needless_lines(plan))


@pytest.mark.parametrize("id", LAYOUTS)
def test_every_line_of_a_shipped_layout_is_needed(id):
    """No line of a shipped layout could go, whether looked up or found by compiling without it."""
    plan = shipped_plan(id)
    assert needless(plan) == by_compiling(plan) == []


@pytest.mark.parametrize("slug", case_slugs())
def test_needless_lines_of_the_cases_are_found_as_by_compiling(slug):
    """For each case the quick way and compiling without each line name the same lines."""
    case = load_case(slug)
    for text, machine in ((case.bad, case.bad_machine), (case.good, case.good_machine)):
        plan = plan_of(text, machine)
        assert needless(plan) == by_compiling(plan)


def test_needless_lines_of_a_crowded_layout_are_found_as_by_compiling():
    """With lines that repeat, overlap and silence, each line taken out in turn shows which are needless."""
    plan = plan_of(CROWDED)
    assert needless(plan) == by_compiling(plan)
    assert needless(plan)


def without_one_line():
    """The crowded layout without each of its lines in turn, where a layout is left: no section without a line, and no line without one."""
    lines = CROWDED.splitlines()
    for number in range(4, len(lines)):
        rest = [*lines[:number], *lines[number + 1 :]]
        text = "\n".join(rest) + "\n"
        empty = "keys:\ncommands" in text or text.endswith("keys:\n")
        if lines[number] != "keys:" and not empty:
            yield text


@pytest.mark.parametrize("text", some_of(without_one_line(), "lines", 4))
def test_needless_lines_stay_right_when_one_line_is_not_there(text):
    """The same for the crowded layout without any one of its lines."""
    plan = plan_of(text)
    assert needless(plan) == by_compiling(plan)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(machines_and_layouts())
def test_needless_lines_of_random_layouts_are_found_as_by_compiling(texts):
    """For random machines and layouts the quick way names the same lines as compiling without each."""
    machine, layout = texts
    plan = plan_of(layout, machine)
    assert needless(plan) == by_compiling(plan)


def test_a_line_is_told_once():
    """A needless line is redundant or shadowed, never both, and a shadowed one that contradicts is told as that."""
    plan = plan_of(CROWDED)
    from matrixmap.check.engine.plan_conflicts import find_conflicts

    conflicts = find_conflicts(plan)
    rules = {rule.slug: rule for rule in RULES}
    found = {
        slug: {finding.place for finding in rules[slug].findings(conflicts)}
        for slug in ("redundant-line", "shadowed-line", "lines-contradict")
    }
    assert not found["redundant-line"] & found["shadowed-line"]
    assert not found["shadowed-line"] & found["lines-contradict"]


def test_a_line_that_loses_both_its_keys_is_told_once():
    """Both sides of Control press keys of their own, so the line that passes Control loses twice and is one finding."""
    plan = plan_of(
        "layout: case\nmachine: quillon8\nhost: en-US\njoin: symbolic\n"
        "pass: {Control: helm}\nkeys: {ControlLeft: a, ControlRight: b}\n"
    )
    found = [each for each in find_in_plan(plan).findings if each.slug == "lines-contradict"]
    assert [each.place.line for each in found] == [5]
