"""Changes lead from one plan to the other exactly, back again, and are all told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from matrixmap.compare.items.item import Audience
from matrixmap.compare.items.presses import pair_changes, press_changes
from matrixmap.compare.layouts import all_items
from matrixmap.compare.sides.changes import Changes, apply_changes, find_changes, mirrored
from matrixmap.compare.sides.facts import Name, facts
from matrixmap.compare.sides.pair import Pair
from matrixmap.compare.sides.words import plain
from matrixmap.join.plan import compile_plan
from matrixmap.model.machine import Debounce, Gender, Header, Numbering
from matrixmap.model.plan import Plan
from tests.compare import edits
from tests.compare.rebuild import meaning, rebuilt
from tests.project import shipped_plan
from tests.shipped import costly_ids

few = settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


@pytest.mark.parametrize("id", costly_ids("changes"))
def test_facts_tell_all_of_a_plan(id: str) -> None:
    """A plan made out of the facts alone is the plan, machine and host included."""
    plan = shipped_plan(id)
    assert rebuilt(facts(plan)) == meaning(plan)


def leads_to_the_new_plan(old: Plan, new: Plan) -> None:
    before, after = facts(old), facts(new)
    changes = find_changes(before, after)
    applied = apply_changes(before, changes)
    assert applied == after
    assert rebuilt(applied) == meaning(new)
    assert bool(changes) == (meaning(old) != meaning(new))


def leads_back(old: Plan, new: Plan) -> None:
    before, after = facts(old), facts(new)
    changes, back = find_changes(before, after), find_changes(after, before)
    assert back == mirrored(changes)
    assert mirrored(back) == changes
    assert apply_changes(after, back) == before


def tells_every_change(old: Plan, new: Plan) -> None:
    pair = Pair(old, new)
    items = all_items(pair, press_changes(pair), pair_changes(pair))
    told = {fact for item in items for fact in item.facts}
    assert told == set(pair.changed)
    texts = [plain(item.words) for item in items]
    for was, now in pair.changes.renames:
        assert f"the {was.kind} {was.text} is now called {now.text}" in texts
    assert bool(items) == bool(pair.changes)
    assert [item.breaking for item in items] == sorted((item.breaking for item in items), reverse=True)


def mirrors_presses(old: Plan, new: Plan) -> None:
    there, back = Pair(old, new), Pair(new, old)
    if there.names:
        return  # an outcome names keys and modifiers as the new plan does
    for changes in (press_changes, pair_changes):
        seen = [
            {(press, change.before, change.after) for change in changes(pair) for press in change.presses}
            for pair in (there, back)
        ]
        assert seen[0] == {(press, before, after) for press, after, before in seen[1]}


@few
@given(edits.two_plans())
def test_changes_lead_there_and_back(plans: edits.TwoPlans) -> None:
    """Applied to the old plan the changes give the new one exactly, and turned round they lead back."""
    leads_to_the_new_plan(plans.old, plans.new)
    leads_back(plans.old, plans.new)


@few
@given(edits.two_plans())
def test_every_change_is_told(plans: edits.TwoPlans) -> None:
    """Items tell each changed fact and no other, breaking ones first; what a press did and does mirrors."""
    tells_every_change(plans.old, plans.new)
    mirrors_presses(plans.old, plans.new)


@pytest.mark.campaign
@settings(few, max_examples=1000)
@given(edits.two_plans())
def test_many_edits(plans: edits.TwoPlans) -> None:
    """The same for many more edits."""
    for check in (leads_to_the_new_plan, leads_back, tells_every_change, mirrors_presses):
        check(plans.old, plans.new)


@pytest.mark.parametrize("id", costly_ids("changes"))
def test_a_plan_does_not_differ_from_itself(id: str) -> None:
    """compare(A, A) is empty."""
    plan = shipped_plan(id)
    pair = Pair(plan, plan)
    assert not pair.changes
    assert press_changes(pair) == ()
    assert all_items(pair, (), ()) == ()


def test_a_machine_that_compares_whole_scans_is_told() -> None:
    """As a change of the machine, beside the times that follow from it; so is a sweep that is not stated any more."""
    old = shipped_plan("quillon8-en-US-symbolic")
    scan = replace(old.layout.machine.scan, debounce=Debounce.WHOLE, sweep_us=None)
    new = compile_plan(replace(old.layout, machine=replace(old.layout.machine, scan=scan)))
    pair = Pair(old, new)
    texts = [plain(item.words) for item in all_items(pair, press_changes(pair), pair_changes(pair))]
    assert "what must be equal in these scans: the whole scan, was each key by itself" in texts
    assert "microseconds that a scan takes: not stated, was 440" in texts


def _renames(changes: Changes) -> list[tuple[str, str, str]]:
    return [(old.kind, old.text, new.text) for old, new in changes.renames]


def _edited(edit: str, *words: str) -> Pair:
    files = edits.start("en-GB", "quillon8-en-GB-symbolic")
    old = edits.plan_of(files, "quillon8-en-GB-symbolic")
    {"rename": edits._rename}[edit](files, *words)
    new = edits.plan_of(files, "quillon8-en-GB-symbolic")
    assert old is not None
    assert new is not None
    return Pair(old, new)


def test_a_renamed_key_is_one_change() -> None:
    """A key under another name is a rename and nothing else, though dozens of triggers press it."""
    pair = _edited("rename", "shift-left", "shift-l")
    assert _renames(pair.changes) == [("key", "shift-left", "shift-l")]
    assert pair.changes.facts == ()
    assert press_changes(pair) == ()


def test_a_renamed_line_is_one_change() -> None:
    """A line under another name is a rename: no key has moved."""
    pair = _edited("rename", "S3", "ROW3")
    assert _renames(pair.changes) == [("line", "S3", "ROW3")]
    assert pair.changes.facts == ()


def test_another_key_in_its_place_is_no_rename() -> None:
    """A key that types nothing of what the key at its crosspoint typed is another key."""
    files = edits.start("en-GB", "quillon8-en-GB-symbolic")
    old = edits.plan_of(files, "quillon8-en-GB-symbolic")
    machine = files["machine", "quillon8"]
    machine["matrix"]["grid"]["S5"][3] = "other"
    del machine["types"]["a"]
    machine["types"]["other"] = {"plain": "æ"}
    machine["place"][3]["keys"][1] = "other"
    new = edits.plan_of(files, "quillon8-en-GB-symbolic")
    assert old is not None
    assert new is not None
    changes = find_changes(facts(old), facts(new))
    assert changes.renames == ()
    assert {change.fact for change in changes.facts} >= {("key", Name("key", "a")), ("key", Name("key", "other"))}


def test_a_key_that_becomes_a_latch_is_no_rename() -> None:
    """Names that a key and a latch exchange are not taken for renames, for both are known on both sides."""
    before = {
        ("key", Name("key", "a")): (Name("line", "S0"), Name("line", "N0")),
        ("latching", Name("key", "b")): Name("key", "a"),
    }
    after = {
        ("key", Name("key", "b")): (Name("line", "S0"), Name("line", "N0")),
        ("latching", Name("key", "a")): Name("key", "b"),
    }
    changes = find_changes(before, after)
    assert changes.renames == ()
    assert apply_changes(before, changes) == after
    assert find_changes(after, before) == mirrored(changes)


SHAPE = Header(rows=1, columns=22, numbering=Numbering.ROWS, gender=Gender.PLUG)


def _with(**fields: object) -> Plan:
    """A shipped plan whose machine has other fields."""
    old = shipped_plan("quillon8-en-US-symbolic")
    return compile_plan(replace(old.layout, machine=replace(old.layout.machine, **fields)))  # type: ignore[arg-type]


def _socket_words(old: Plan, new: Plan) -> list[tuple[bool, str]]:
    """What is told of board makers alone, and whether it is breaking."""
    pair = Pair(old, new)
    assert press_changes(pair) == ()
    items = all_items(pair, (), ())
    assert {item.audience for item in items} <= {Audience.BOARD}
    assert {fact for item in items for fact in item.facts} == set(pair.changed)
    return [(item.breaking, plain(item.words)) for item in items]


def test_other_rows_of_pins_break_a_board() -> None:
    """A connector of one row in place of two is told with its pins in a row, as breaking for the board."""
    connector = shipped_plan("quillon8-en-US-symbolic").layout.machine.connector
    assert connector is not None
    plans = [_with(connector=replace(connector, shape=shape)) for shape in (replace(SHAPE, rows=2, columns=11), SHAPE)]
    assert _socket_words(*plans) == [
        (True, "pins of a row of the connector: 22, was 11"),
        (True, "rows of pins of the connector: 1, was 2"),
    ]


def test_a_revision_has_of_the_machine_what_it_does_not_state() -> None:
    """A revision that states what it had of its machine anyway is no change for a board, there and back."""
    machine = shipped_plan("quillon8-en-US-symbolic").layout.machine
    (late,) = machine.revisions
    own = _with(revisions=(replace(late, electric=machine.electric),))
    told = [(False, "the revision late states the same in another way")]
    assert _socket_words(_with(), own) == _socket_words(own, _with()) == told


def test_a_line_under_another_name_is_no_change_of_a_revision() -> None:
    """Where a line is renamed, pins and ends of lines of all revisions follow without a word of them."""
    files = edits.start("en-GB", "quillon8-en-GB-symbolic")
    old = edits.plan_of(files, "quillon8-en-GB-symbolic")
    edits._rename(files, "HAIL", "CALL")
    new = edits.plan_of(files, "quillon8-en-GB-symbolic")
    assert old is not None
    assert new is not None
    assert old.layout.machine.revisions
    changes = find_changes(facts(old), facts(new))
    assert [(name.kind, name.text, to.text) for name, to in changes.renames] == [("line", "HAIL", "CALL")]
    assert changes.facts == ()
