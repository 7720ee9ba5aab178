"""A modifier's own key types something while another modifier is held: the stroke of both, with no other key."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from matrixmap.hid.usages import by_code
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Demand, Plan, Stroke, Trigger
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.simulate.scan import Moment, Reader
from tests.written import found_by, plan_of, told

MACHINE = """
machine: bench
title: Bench
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1, N2, N3]
  grid:
    S0: [a, ebb, flood-one, none]
    S1: [b, shift, flood-two, enter]
modifiers: {shift: shift, ebb: ebb, flood: [flood-one, flood-two]}
types:
  a: {plain: a, shift: A}
  b: {plain: b, ebb: B, flood: '!'}
  flood-two: {ebb: Steer, shift: Moor}
  enter: {plain: Enter}
scan: {period_us: 20000, rollover: 2}
"""
HEAD = "layout: bench\nmachine: bench\nhost: en-US\njoin: {join}\npass: {{Control: ebb, Alt: flood}}\n"
LINES = "keys: {F5: ebb + flood, F6: shift + flood-two, F7: ebb + flood + b}\n"


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A layout with lines for both."""
    return plan_of(layout=HEAD.format(join="symbolic") + LINES, machine=MACHINE)


def stroke(plan: Plan, code: str) -> Stroke:
    """The stroke of a host key."""
    action = plan.by_trigger[Trigger(usage=by_code(code)[0], level=1)]
    assert isinstance(action, Stroke)
    return action


def test_the_stroke_holds_both_and_presses_nothing(plan: Plan) -> None:
    """Both modifiers are held, the acting one by its very key, others that matter to it are lifted, and Steer is typed."""
    steer, moor = stroke(plan, "F5"), stroke(plan, "F6")
    names = {key.contact: key.name for key in plan.layout.machine.keys}
    assert [names[contact] for contact in steer.holds] == ["ebb", "flood-two"]
    assert [names[contact] for contact in moor.holds] == ["shift", "flood-two"]
    assert (steer.contacts, moor.contacts) == ((), ())
    assert steer.demands == (Demand.LIFT, Demand.HOLD, Demand.HOLD)
    assert (str(steer.types), str(moor.types)) == ("Steer", "Moor")


def test_the_press_says_so_and_the_scan_reads_it(plan: Plan) -> None:
    """What the table does is told as Steer, and the machine that scans reads it once, at any phase."""
    assert ways_to_type(plan)["Steer"][0][-1].usage == by_code("F5")[0]
    assert "Moor" in ways_to_type(plan)
    reader = Reader(plan.layout.machine, Contacts.SWITCH)
    held = frozenset(stroke(plan, "F5").holds)
    moments = [Moment(time_us=0, contacts=held), Moment(time_us=90_000, contacts=frozenset())]
    for phase in range(0, 20_000, 1_000):
        assert [str(read.types) for read in reader.read(moments, phase * reader.pace.grain)] == ["Steer"]


def test_without_a_line_it_is_unreachable_and_with_one_it_is_not(plan: Plan) -> None:
    """The check names what no press gives, and no longer what a line gives."""
    bare = plan_of(layout=HEAD.format(join="symbolic"), machine=MACHINE)
    assert "Steer" in found_by("unreachable-function", bare)[0].text
    assert not any("Steer" in found.text for found in found_by("unreachable-function", plan))


def test_a_key_after_both_types_twice(plan: Plan) -> None:
    """A stroke that holds both for another key lets the machine see them alone first, so nothing says that it types one thing."""
    trigger = by_code("F7")[0]
    assert not [ways for ways in ways_to_type(plan).values() if any(way[-1].usage == trigger for way in ways)]


def test_types_may_choose_it(compile_text: Callable[..., Plan]) -> None:
    """A host that prints Steer reaches it, and a line under `types` may name the stroke."""
    assert told("layout", layout=HEAD.format(join="symbolic") + "types: {Steer: ebb + flood}\n", machine=MACHINE) == []
    (found,) = told("layout", layout=HEAD.format(join="symbolic") + "types: {Steer: shift + ebb}\n", machine=MACHINE)
    assert "shift + ebb does not type Steer" in found
    host = "host: bench\ntitle: Bench\nsource: made for this test\nform: ansi-104\nlegends: {KeyS: [Steer]}\n"
    layout = "layout: bench\nmachine: bench\nhost: bench\njoin: symbolic\n"
    for lines in ("", "types: {Steer: ebb + flood}\n"):
        assert str(stroke(compile_text(layout + lines, machine=MACHINE, host=host), "KeyS").types) == "Steer"


def test_a_positional_line_passes_what_it_does_not_name() -> None:
    """By place, the stroke holds both and lets the other modifiers pass."""
    plan = plan_of(
        layout=HEAD.format(join="positional").replace("pass: {Control: ebb, Alt: flood}\n", "") + LINES, machine=MACHINE
    )
    assert stroke(plan, "F5").demands == (Demand.PASS, Demand.HOLD, Demand.HOLD)
