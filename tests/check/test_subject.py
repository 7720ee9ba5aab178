"""What the rules look at is what the join says."""

import pytest

from matrixmap.check.subject import make_subject
from matrixmap.join.typed import fed_state, held_usages, presses, typed_by
from matrixmap.model.plan import Latch, Stroke, Trigger
from tests.project import shipped_ids, shipped_plan


@pytest.mark.parametrize("id", [*shipped_ids()[:8], "quillon8-de-DE-positional", "quillon8-ja-JP-symbolic"])
def test_presses_are_those_of_the_join(id):
    """Each press is one of the plan, a pair, or an accent by itself; the easiest way to hold keys types what the join says."""
    plan = shipped_plan(id)
    pressed = make_subject(plan).pressed
    easiest = {press.way: press for press in reversed(pressed)}
    assert {way[0] for way in easiest if len(way) == 1} == set(presses(plan))
    assert {key for way in easiest if len(way) == 2 and (key := pair_of(plan, way)) in plan.dead_keys.pairs} == set(
        plan.dead_keys.pairs
    )
    for way, press in easiest.items():
        if len(way) == 1:
            assert press.types == typed_by(plan, way[0])
            assert press.fed == fed_state(plan, held_usages(way[0]))
    for press in pressed:
        if len(press.way) == 1:
            assert press.action == plan.lookup(press.way[0])
        else:
            dead = plan.dead_keys
            assert press.action == dead.pairs.get(
                pair_of(plan, press.way), dead.accents.get(dead.triggers[press.way[0]])
            )
            assert press.types == press.action.types
        latched = {
            action.modifier
            for usage in press.held
            if isinstance(action := plan.by_trigger.get(Trigger(usage=usage, level=1)), Latch)
        }
        assert press.fed == fed_state(plan, press.held) | latched - {None}


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
