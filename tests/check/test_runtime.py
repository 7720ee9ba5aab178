"""What a check says the runtime does is what its reference model does."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from matrixmap.check.guard import Guard
from matrixmap.check.run import check_plan
from matrixmap.check.subject import Item, Subject, make_subject
from matrixmap.hid.usages import (
    ALT_RIGHT,
    KEYPAD_DIGITS,
    MODIFIER_BITS,
    NUM_LOCK,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.model.finding import Finding
from matrixmap.model.plan import Latch, Plan, Stroke, Trigger, Way
from matrixmap.simulate.model import Model
from tests.check.cases import case_slugs, load_case, plan_of
from tests.check.desk import EXTRAS, Desk
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
    sheet = Model([plan]).judging
    action = plan.lookup(sheet.trigger(Usage(usage), frozenset(map(Usage, held)), caps=False, num=num))
    return action if isinstance(action, Stroke) else None


def fed_by(subject: Subject, usages: frozenset[int]) -> int:
    """The bits of the modifier keys that host keys feed."""
    contacts = {subject.feeds[Usage(usage)] for usage in usages if usage in subject.feeds}
    return sum(1 << number for number, contact in enumerate(subject.modifier_keys) if contact in contacts)


def item_of(subject: Subject, usage: int, stroke: Stroke) -> Item:
    return next(item for item in subject.items if item.usage == usage and item.stroke == stroke)


def compare_settled(plan: Plan, held: frozenset[int], usages: list[int]) -> None:
    """Holds some keys, presses others one after the other, and compares what stays closed with what a check says."""
    subject = make_subject(plan)
    latches = {binding.trigger.usage for binding in plan.bindings if isinstance(binding.action, Latch)}
    desk = Desk(plan)
    desk.press(*sorted(held))
    items: list[Item] = []
    for usage in usages:
        stroke = look_up(plan, usage, held)
        if stroke is None or usage in held | latches:
            continue
        items.append(item_of(subject, usage, stroke))
        closed = desk.press(usage)
    if items:
        settled = Guard(subject).settle(items, fed_by(subject, held), on=plan.guard)
        assert closed == frozenset(settled.closed), (held, usages)


@SLOW
@given(machines_and_layouts(("switch", "switch-with-diode", "follows-select")), st.data(), st.booleans())
def test_what_stays_closed_is_what_the_runtime_leaves_closed(texts, data, guard):
    """Host keys held and others pressed one after the other: the model of the runtime closes what the check says it does."""
    machine, layout = texts
    plan = replace(plan_of(layout, machine), guard=guard)
    feeding = sorted({*plan_feeders(plan), *MODIFIER_BITS})
    held = frozenset(data.draw(st.lists(st.sampled_from(feeding), unique=True, max_size=3)))
    keys = sorted({binding.trigger.usage for binding in plan.bindings if binding.trigger.usage not in feeding})
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
keys: {F9: d1 + q + attention}
"""


def modifiers_for(press: Trigger, held: frozenset[int]) -> set[int]:
    """The host modifiers that a press needs; a held right Shift is a Shift."""
    needed: set[int] = {EXTRAS[extra] for extra in press.extras}
    if press.usage not in KEYPAD_DIGITS:
        needed |= {SHIFT_LEFT} if press.level in (2, 4) and SHIFT_RIGHT not in held else set()
        needed |= {ALT_RIGHT} if press.level in (3, 4) else set()
    return needed


def does_the_same(plan: Plan, way: Way, stroke: Stroke, held: frozenset[int]) -> bool:
    """Whether a way leads to its stroke while host keys are held: a pair needs exactly its own presses."""
    if len(way) == 1:
        needed = modifiers_for(way[0], held)
        return look_up(plan, way[0].usage, frozenset(held | needed), num=way[0].level == 1) == stroke
    sheet = Model([plan]).judging
    return all(
        sheet.trigger(
            press.usage, frozenset(map(Usage, held | modifiers_for(press, held))), caps=False, num=press.level == 1
        )
        == press
        for press in way
    )


def carry_out(plan: Plan, finding: Finding) -> tuple[list[Stroke], frozenset[int]]:
    """Does what a witness says on the reference model: the strokes, and what is closed in the end."""
    witness = finding.witness
    assert witness is not None
    desk = Desk(plan)
    held = frozenset(witness.held)
    strokes = strokes_of(plan, witness)
    for way, stroke in zip(witness.presses, strokes, strict=True):
        # What would be another press with the modifiers held comes before them.
        beside = held if does_the_same(plan, way, stroke, held) else frozenset()
        for press in way:
            needed = {*modifiers_for(press, held), *beside}
            if press.usage in KEYPAD_DIGITS and press.level == 2:
                desk.press(NUM_LOCK)
            desk.release(*(set(MODIFIER_BITS) & desk.down - needed))
            desk.press(*sorted(needed - desk.down))
            desk.press(press.usage)
            if press is not way[-1]:
                desk.release(press.usage)
    desk.release(*(set(MODIFIER_BITS) & desk.down - set(witness.held)))
    desk.press(*sorted(set(witness.held) - desk.down))
    return strokes, desk.closed()


def can_be_carried_out(plan: Plan, finding: Finding) -> bool:
    """Whether a witness closes what it names when neither guard nor rollover keeps a contact open."""
    assert finding.witness is not None
    home = plan.layout.machine
    free = replace(home, scan=replace(home.scan, rollover=None))
    _, closed = carry_out(replace(plan, guard=False, layout=replace(plan.layout, machine=free)), finding)
    return closed == frozenset(finding.witness.closed)


NOT_WHOLE = ("keeps it from coming to that", "does not close them all", "does not come to that")


def check_claim(plan: Plan, finding: Finding) -> None:
    """Fails unless the model does with a witness what the text says that the guard does."""
    strokes, closed = carry_out(plan, finding)
    whole = [set(stroke.contacts) <= closed for stroke in strokes]
    if "the press is lost" in finding.text:
        assert whole == [False], finding.text
    elif "the guard opens the older" in finding.text:
        assert whole == [False, True], finding.text
    elif "the guard opens the oldest" in finding.text:
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
    return [each for each in check_plan(plan).findings if each.witness and not each.witness.switches]


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
        made = can_be_carried_out(plan, finding) or finding.slug in ("strokes-contradict", "strokes-share-contact")
        assert made is ("opens what was pressed before" not in finding.text), finding.text
        check_claim(plan, finding)


@pytest.mark.parametrize("id", ["quillon8-de-DE-symbolic", "quillon8-fi-FI-symbolic"])
def test_the_runtime_does_after_dead_keys_what_findings_say(id):
    """The same for witnesses with a press after a dead key, which Control, Alt and Meta would drop: it comes before them."""
    plan = shipped_plan(id)
    after = [each for each in witnessed(plan) if any(len(way) == 2 for way in each.witness.presses)]
    assert len(after) > 100
    for finding in after:
        hands = finding.text.split(": ")[0]
        assert not re.search(r"\b(Control|Alt|Meta)\b.* after the dead key", hands), hands
    for finding in after:
        assert can_be_carried_out(plan, finding) is ("opens what was pressed before" not in finding.text), finding.text
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
    """The same for random machines and layouts, with the guard on and off.

    Left out is what strokes allow and hands do not: the Shift that one press needs may feed what another must not have.
    """
    machine, layout = texts
    plan = replace(plan_of(layout, machine), guard=guard)
    for finding in check_plan(plan).findings:
        if finding.witness and "guard" in finding.text and can_be_carried_out(plan, finding):
            check_claim(plan, finding)


def plan_feeders(plan: Plan) -> set[int]:
    """The host keys that feed modifiers or work latches."""
    return set(make_subject(plan).feeds)
