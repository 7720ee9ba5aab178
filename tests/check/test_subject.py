"""What the rules look at is what the join says."""

import pytest

from matrixmap.check.subject import make_subject
from matrixmap.join.typed import fed_state, held_usages, presses, typed_by
from matrixmap.model.plan import Stroke
from tests.project import shipped_ids, shipped_plan


@pytest.mark.parametrize("id", [*shipped_ids()[:8], "quillon8-de-DE-positional", "quillon8-ja-JP-symbolic"])
def test_presses_are_those_of_the_join(id):
    """Each press of a subject is one of the plan or a pair, with the action, the fed modifiers and the legend of the join."""
    plan = shipped_plan(id)
    pressed = make_subject(plan).pressed
    alone = [press for press in pressed if len(press.way) == 1]
    assert {press.way[0] for press in alone} == set(presses(plan))
    for press in alone:
        assert press.action == plan.lookup(press.way[0])
        assert press.types == typed_by(plan, press.way[0])
    after = [press for press in pressed if len(press.way) == 2]
    assert len(after) == len(plan.dead_keys.pairs)
    for press in after:
        assert plan.dead_keys.pairs[pair_of(plan, press.way)] == press.action
        assert press.types == press.action.types
    assert all(press.fed == fed_state(plan, held_usages(press.way[-1])) for press in pressed)


def pair_of(plan, way):
    """The key of a pair in the plan."""
    dead, press = way
    return plan.dead_keys.triggers[dead], press.usage, press.level


@pytest.mark.parametrize("id", ["quillon8-de-DE-positional", "quillon8-de-DE-symbolic", "quillon8-fi-FI-symbolic"])
def test_items_are_the_strokes_of_each_host_key(id):
    """Every trigger with a stroke belongs to one item of its key, and an item is one stroke.

    So does every pair of a dead key whose stroke no press of that key makes alone.
    """
    plan = shipped_plan(id)
    items = make_subject(plan).items
    strokes = {binding.trigger: binding.action for binding in plan.bindings if isinstance(binding.action, Stroke)}
    ways = [(item, way) for item in items for way in item.ways]
    alone = [way[0].sort_key() for _, way in ways if len(way) == 1]
    assert sorted(alone) == sorted(trigger.sort_key() for trigger in strokes)
    single = {(trigger.usage, stroke) for trigger, stroke in strokes.items()}
    pairs = {key: stroke for key, stroke in plan.dead_keys.pairs.items() if (key[1], stroke) not in single}
    after = [(pair_of(plan, way), item) for item, way in ways if len(way) == 2]
    assert {key: item.stroke for key, item in after} == pairs
    assert len(after) == len(pairs)
    for item, way in ways:
        assert way[-1].usage == item.usage
        assert len(way) == 2 or strokes[way[0]] == item.stroke
    assert len({(item.usage, item.stroke) for item in items}) == len(items)
