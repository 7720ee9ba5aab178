"""What a key types while modifiers are held that its line does not name, or with which it is said to type nothing."""

from __future__ import annotations

from collections.abc import Callable
from itertools import chain, combinations

import pytest

from matrixmap.hid.usages import Usage
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Demand, Plan, Stroke, Trigger
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.simulate.scan import Moment, Reader
from tests.project import ROOT, sample_ids, shipped_plan

MACHINE = (
    (ROOT / "shared" / "machines" / "quillon8.yaml")
    .read_text(encoding="utf-8")
    .replace("machine: quillon8", "machine: bench")
)


def read_with(plan: Plan, trigger: Trigger, held: frozenset[str]) -> list[str | None]:
    """What the machine reads of a trigger's stroke while its own modifiers are held by the typist."""
    machine = plan.layout.machine
    action = plan.by_trigger[trigger]
    assert isinstance(action, Stroke)
    passed = {
        machine.key(modifier.keys[0]).contact
        for modifier, demand in zip(machine.modifiers, action.demands, strict=True)
        if demand is Demand.PASS and modifier.name in held
    }
    moments = [
        Moment(0, frozenset()),
        Moment(100_000, frozenset({*action.holds, *passed})),
        Moment(200_000, frozenset({*action.contacts, *action.holds, *passed})),
        Moment(300_000, frozenset({*action.holds, *passed})),
        Moment(400_000, frozenset()),
    ]
    modifiers = {key for modifier in machine.modifiers for key in modifier.keys}
    return [
        press.types.text if press.types else None
        for press in Reader(machine, plan.contacts).read(moments)
        if press.key not in modifiers
    ]


def shift_states(machine: Machine) -> list[frozenset[str]]:
    """Every set of the machine's modifiers."""
    names = [modifier.name for modifier in machine.modifiers]
    return [
        frozenset(some) for some in chain.from_iterable(combinations(names, count) for count in range(len(names) + 1))
    ]


@pytest.mark.parametrize("id", [id for id in sample_ids() if id.endswith("symbolic")])
def test_a_character_is_read_whatever_the_typist_holds(id: str) -> None:
    """The caret has no entry with Shift: Shift passes, and the machine reads the caret in every shift state."""
    plan = shipped_plan(id)
    triggers = [way[0].trigger for way in ways_to_type(plan).get("^", ()) if len(way) == 1]
    assert triggers
    for trigger in triggers:
        for held in shift_states(plan.layout.machine):
            assert read_with(plan, trigger, held) == ["^"], (trigger, held)


def test_a_silent_state_is_lifted(compile_text: Callable[..., Plan]) -> None:
    """Where the file says that the key types nothing with Shift, the stroke lifts Shift, as it does where it types another."""
    silent = MACHINE.replace("caret:         {plain: ^}", "caret:         {plain: ^, shift: none}")
    assert silent != MACHINE
    layout = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\n"
    for text, demand in ((MACHINE, Demand.PASS), (silent, Demand.LIFT)):
        plan = compile_text(layout, machine=text)
        trigger = Trigger(usage=Usage(0x23), level=2)
        action = plan.by_trigger[trigger]
        assert isinstance(action, Stroke)
        assert action.demands[0] is demand
        assert read_with(plan, trigger, frozenset({"shift"})) == ["^"]
    key = plan.layout.machine.key("caret")
    assert key.types.get(frozenset({"shift"}) & key.selectors) is None
