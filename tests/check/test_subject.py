"""What the rules look at is what the join says."""

import pytest

from matrixmap.check.subject import make_subject
from matrixmap.join.typed import fed_state, held_usages, presses, typed_by
from matrixmap.model.plan import Stroke
from tests.project import shipped_ids, shipped_plan


@pytest.mark.parametrize("id", [*shipped_ids()[:8], "quillon8-de-DE-positional", "quillon8-ja-JP-symbolic"])
def test_presses_are_those_of_the_join(id):
    """Each press of a subject is a press of the plan, with the action, the fed modifiers and the legend of the join."""
    plan = shipped_plan(id)
    pressed = make_subject(plan).pressed
    assert {press.trigger for press in pressed} == set(presses(plan))
    for press in pressed:
        assert press.action == plan.lookup(press.trigger)
        assert press.fed == fed_state(plan, held_usages(press.trigger))
        assert press.types == typed_by(plan, press.trigger)


@pytest.mark.parametrize("id", ["quillon8-de-DE-positional", "quillon8-de-DE-symbolic"])
def test_items_are_the_strokes_of_each_host_key(id):
    """Every trigger with a stroke belongs to one item of its key, and an item is one stroke."""
    plan = shipped_plan(id)
    items = make_subject(plan).items
    strokes = {binding.trigger: binding.action for binding in plan.bindings if isinstance(binding.action, Stroke)}
    assert sorted(trigger.sort_key() for item in items for trigger in item.triggers) == sorted(
        trigger.sort_key() for trigger in strokes
    )
    for item in items:
        assert all(strokes[trigger] == item.stroke and trigger.usage == item.usage for trigger in item.triggers)
    assert len({(item.usage, item.stroke) for item in items}) == len(items)
