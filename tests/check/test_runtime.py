"""What a check says the runtime does is what its reference model does."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from matrixmap.check.engine.conflict_words import contacts_of
from matrixmap.check.engine.playing import events_of
from matrixmap.check.engine.strokes import make_strokes
from matrixmap.check.run import check_plan, find_in_plan
from matrixmap.hid.usages import (
    MODIFIER_BITS,
    Usage,
)
from matrixmap.model.finding import Finding
from matrixmap.model.plan import Plan, Stroke, Trigger
from matrixmap.press.compiled import Compiled
from matrixmap.press.rules import REST
from matrixmap.press.table.make import EXTRA_BITS, make_table
from tests.check.cases import case_slugs, load_case, plan_of
from tests.check.desk import Desk, without_limits, without_rollover
from tests.check.machines import machines_and_layouts
from tests.check.replay import strokes_of
from tests.project import shipped_plan

SLOW = settings(
    max_examples=60,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def look_up(plan: Plan, usage: int, held: frozenset[int], num: bool = True) -> Stroke | None:
    """The stroke of a key that is pressed while others are held, as the runtime looks it up."""
    table = Compiled(make_table(plan).to_bytes())
    keys = table.keys(frozenset(map(Usage, (*held, usage))))
    level = table.level(Usage(usage), keys, False, num)
    extras = frozenset(extra for extra, bit in EXTRA_BITS.items() if keys.extras & bit)
    action = plan.lookup(Trigger(usage=Usage(usage), level=level, extras=extras))
    return action if isinstance(action, Stroke) else None


def compare_settled(plan: Plan, held: frozenset[int], usages: list[int]) -> None:
    """Holds some keys, presses others one after the other, and compares what stays closed with what the rules say."""
    rules = make_strokes(plan).rules
    desk = Desk(plan)
    standing = REST
    for usage in (*sorted(held), *usages):
        outcome = rules.press(standing, Usage(usage))
        standing = outcome.after
        assert desk.press(usage) == frozenset(contacts_of(outcome.closed)), (held, usages)
    for usage in (*sorted(held), *usages):
        standing = rules.release(standing, Usage(usage))
        assert desk.release(usage) == frozenset(contacts_of(rules.closed(standing))), (held, usages)


@SLOW
@given(machines_and_layouts(("switch", "switch-with-diode", "follows-select")), st.data(), st.booleans())
def test_what_stays_closed_is_what_the_runtime_leaves_closed(texts, data, guard):
    """Host keys held and others pressed one after the other: the model of the runtime closes what the check says it does."""
    machine, layout = texts
    plan = replace(plan_of(layout, machine), guard=guard)
    feeding = sorted({*plan_feeders(plan), *MODIFIER_BITS})
    held = frozenset(data.draw(st.lists(st.sampled_from(feeding), unique=True, max_size=3)))
    keys = sorted({binding.trigger.usage for binding in plan.bindings} - held)
    if keys:
        compare_settled(plan, held, data.draw(st.lists(st.sampled_from(keys), unique=True, max_size=4)))


@pytest.mark.parametrize("guard", [True, False])
def test_held_keys_are_counted_by_crosspoints(guard):
    """A direct line is none of the keys that a machine tells apart: with a rollover of 2, two keys and the line stay closed."""
    plan = replace(plan_of(DIRECT), guard=guard)
    assert len(Desk(plan).press(0x42)) == 3
    assert "stroke-exceeds-rollover" not in {finding.slug for finding in check_plan(plan).findings}


DIRECT = """layout: case
machine: quillon8
host: few
join: positional
keys: {F9: d1 + q + hail}
"""


def carry_out(plan: Plan, finding: Finding) -> tuple[list[Stroke], frozenset[int]]:
    """Does what a witness says on the reference model, event by event: the strokes, and what is closed in the end."""
    assert finding.witness is not None
    desk = Desk(plan)
    for down, usage in events_of(plan, finding.witness):
        (desk.press if down else desk.release)(usage)
    return strokes_of(plan, finding.witness), desk.closed()


def can_be_carried_out(plan: Plan, finding: Finding) -> bool:
    """Whether a witness closes what it names when neither guard nor rollover keeps a contact open."""
    assert finding.witness is not None
    _, closed = carry_out(without_limits(plan), finding)
    return closed == frozenset(finding.witness.closed)


NOT_WHOLE = ("does not come to that", "the runtime opens", "keys apart, so")


def check_claim(plan: Plan, finding: Finding) -> None:
    """Fails unless the model does with a witness what the text says that the runtime does."""
    strokes, closed = carry_out(plan, finding)
    newest = set(strokes[-1].contacts) if strokes else set()
    # Of two strokes that press the same key the older cannot be the one that is closed.
    whole = [set(stroke.contacts) <= closed and not newest & set(stroke.contacts) for stroke in strokes[:-1]]
    whole += [newest <= closed] if strokes else []
    if finding.slug in ("strokes-contradict", "strokes-share-contact") and not whole[-1]:
        return  # the newest is refused by itself, which is told elsewhere
    if "does not close the key after" in finding.text or "is refused" in finding.text:
        assert whole == [False], finding.text
    elif re.search(r"(guard|runtime) opens the older( key\b|,)", finding.text):
        assert whole == [False, True], finding.text
    elif "opens all of these keys" in finding.text:
        assert not any(whole), finding.text
    elif re.search(r"(guard|runtime) opens the (oldest|older)", finding.text):
        assert whole[-1], finding.text
        assert not all(whole), finding.text
    elif "never closes" in finding.text:
        assert not any(whole), finding.text
    elif any(words in finding.text for words in NOT_WHOLE):
        assert not all(whole), finding.text
    elif "this is read" in finding.text and strokes:
        assert all(whole), finding.text


def witnessed(plan: Plan) -> list[Finding]:
    """The findings on a plan that a keyboard alone shows."""
    return [
        each for each in find_in_plan(plan).findings if each.witness and each.witness.made and not each.witness.switches
    ]


@pytest.mark.parametrize("slug", case_slugs())
def test_the_runtime_does_with_the_cases_what_their_findings_say(slug):
    """Each witness of the small layouts, carried out on the model of the runtime, ends as its text says."""
    case = load_case(slug)
    plan = plan_of(case.bad, case.bad_machine)
    told = witnessed(plan)
    for finding in told[:: 1 + len(told) // 100]:
        check_claim(plan, finding)


@pytest.mark.parametrize("id", ["quillon8-en-US-symbolic", "quillon8-de-DE-positional"])
def test_the_runtime_does_with_a_shipped_layout_what_its_findings_say(id):
    """The same for every fortieth witness of a layout of each join."""
    plan = shipped_plan(id)
    for finding in witnessed(plan)[::40]:
        assert can_be_carried_out(plan, finding), finding.text
        check_claim(plan, finding)


@pytest.mark.parametrize("id", ["quillon8-de-DE-symbolic", "quillon8-fi-FI-symbolic"])
def test_the_runtime_does_after_dead_keys_what_findings_say(id):
    """The same for witnesses with a press after a dead key, which Control, Alt and Meta would drop: it comes before them.

    On a machine that tells any number of keys apart, so that sets of three keys have witnesses.
    """
    plan = without_rollover(shipped_plan(id))
    after = [each for each in witnessed(plan) if any(len(way) == 2 for way in each.witness.presses)]
    assert len(after) > 100
    for finding in after:
        # What was pressed before and is kept down had its modifiers let go.
        hands = finding.text.split(": ")[0].rpartition(" and keep it down, then ")[2]
        assert not re.search(r"\b(Control|Alt|Meta)\b.* after the dead key", hands), hands
    for finding in after:
        assert can_be_carried_out(plan, finding), finding.text
        check_claim(plan, finding)


CORNERS = """machine: cross
title: A machine with three keys at the corners
source: made for this test
matrix:
  select: [S0, S1, S2]
  sense: [N0, N1]
  grid:
    S0: [return, a]
    S1: [d, at]
    S2: [shift-left, none]
modifiers: {shift: [shift-left]}
types:
  return: {plain: Enter}
  a: {plain: a, shift: A}
  d: {plain: d, shift: D}
  at: {plain: '@'}
scan: {period_us: 20000}
"""
DEAD_WITH_SHIFT = """layout: case
machine: cross
host: composing
join: symbolic
keys: {ShiftLeft: shift-left, F9: return, KeyD: none, Shift+KeyD: none}
"""


def test_the_shift_of_a_dead_key_may_open_what_is_down():
    """A key that lifts Shift is opened when F9, which passes it, is down too and Shift is held for a dead key.

    So the dead key comes before F9 in the witness of the three keys.
    """
    plan = plan_of(DEAD_WITH_SHIFT, CORNERS)
    found = [each for each in witnessed(plan) if each.slug == "three-keys-make-phantom"]
    assert [each.text.split(": ")[0] for each in found] == ["press A, S after the dead key Shift ^ and F9"]
    assert can_be_carried_out(plan, found[0])


@SLOW
@given(machines_and_layouts(), st.booleans())
def test_the_runtime_does_with_random_layouts_what_their_findings_say(texts, guard):
    """The same for random machines and layouts, with the guard on and off."""
    machine, layout = texts
    plan = replace(plan_of(layout, machine), guard=guard)
    for finding in check_plan(plan).findings:
        if finding.witness and finding.witness.made and not finding.witness.switches:
            assert can_be_carried_out(plan, finding), finding.text
            check_claim(plan, finding)


def plan_feeders(plan: Plan) -> set[int]:
    """The host keys that feed modifiers or work latches."""
    return set(make_strokes(plan).feeds)
