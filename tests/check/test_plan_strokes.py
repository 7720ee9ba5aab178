"""What the rules look at is what the join says."""

import pytest

from matrixmap.check.engine.strokes import make_strokes
from matrixmap.hid.geometry import form
from matrixmap.hid.usages import by_code
from matrixmap.model.plan import Stroke
from matrixmap.model.words import usage_name
from tests.project import shipped_plan
from tests.shipped import OTHERS


def pair_of(plan, way):
    """The key of a pair in the plan."""
    dead, press = way
    return plan.dead_keys.triggers[dead], press.usage, press.level


def counts(board, binding):
    """Whether a key counts: the form has it, or a line of the layout names it and it is not the form's by another usage."""
    usage = binding.trigger.usage
    return usage in board or (
        binding.place is not None and not any(twin in board for twin in by_code(usage_name(usage)))
    )


@pytest.mark.parametrize(
    "id", ["quillon8-de-DE-positional", "quillon8-de-DE-symbolic", "quillon8-fi-FI-symbolic", *OTHERS]
)
def test_items_are_the_strokes_of_each_host_key(id):
    """Every trigger with a stroke belongs to one item of its key, and an item is one stroke.

    So does every pair of a dead key whose stroke no press of that key makes alone.
    """
    plan = shipped_plan(id)
    items = make_strokes(plan).items
    board = form(plan.layout.host.form).by_usage
    strokes = {
        binding.trigger: binding.action
        for binding in plan.bindings
        if isinstance(binding.action, Stroke) and counts(board, binding)
    }
    ways = list(dict.fromkeys((item, tuple(press.trigger for press in way)) for item in items for way in item.ways))
    alone = [way[0].sort_key() for _, way in ways if len(way) == 1]
    assert sorted(alone) == sorted(trigger.sort_key() for trigger in strokes)
    single = {(trigger.usage, stroke) for trigger, stroke in strokes.items()}
    pairs = {
        key: stroke
        for key, stroke in plan.dead_keys.pairs.items()
        if (key[1], stroke) not in single and key[1] in board
    }
    after = [(pair_of(plan, way), item) for item, way in ways if len(way) == 2]
    assert {key: item.stroke for key, item in after} == pairs
    assert len(after) == len(pairs)
    for item, way in ways:
        assert way[-1].usage == item.usage
        assert len(way) == 2 or strokes[way[0]] == item.stroke
    assert len({(item.usage, item.stroke) for item in items}) == len(items)
