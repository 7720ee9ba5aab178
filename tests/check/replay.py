"""Carries a witness out: from the plan alone, by the rules of the runtime and by pulling lines low."""

from __future__ import annotations

from matrixmap.check.engine.playing import events_of
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Demand, Plan, Stroke
from matrixmap.model.witness import Witness
from tests.check.adapter import Adapter
from tests.check.circuit import Circuit


def strokes_of(plan: Plan, witness: Witness) -> list[Stroke]:
    """The strokes of a witness's presses, by the plan alone; a dead key may come before each."""
    strokes = []
    for *dead, press in witness.presses:
        trigger = press.trigger
        if dead:
            assert not trigger.extras, f"{trigger} drops the dead key"
            accent = plan.dead_keys.triggers[dead[0].trigger]
            action: object = plan.dead_keys.pairs[accent, trigger.usage, trigger.level]
        else:
            action = plan.by_trigger[trigger]
        assert isinstance(action, Stroke), f"{trigger} presses nothing"
        strokes.append(action)
    return strokes


def closed_by(plan: Plan, strokes: list[Stroke], held: frozenset[int]) -> frozenset[int]:
    """What is closed after strokes one by one, guard and rollover left aside: the newest, and the older ones that agree.

    What one of them opened stays open for those that come later.
    """
    machine = plan.layout.machine
    kept: list[Stroke] = []
    for newest in strokes:
        before, kept = kept, [newest]
        for stroke in before:
            if all(agree(machine, stroke, other, held) for other in kept):
                kept.append(stroke)
    closed = modifiers_closed(machine, kept[0], held) if kept else held
    return frozenset({*closed, *(contact for stroke in kept for contact in stroke.contacts)})


KNOWN: dict[int, tuple[Machine, tuple[frozenset[int], ...]]] = {}


def own_contacts(machine: Machine) -> tuple[frozenset[int], ...]:
    """The contacts of each modifier's keys; kept by the machine, for they are asked for at every witness."""
    found = KNOWN.get(id(machine))
    if found is None:
        sets = (frozenset(machine.key(name).contact for name in modifier.keys) for modifier in machine.modifiers)
        found = KNOWN[id(machine)] = (machine, tuple(sets))
    return found[1]


def modifiers_closed(machine: Machine, newest: Stroke, held: frozenset[int]) -> set[int]:
    """The newest stroke holds, lifts, or leaves to the typist; a latch on no modifier stays as it is."""
    closed = set(held)
    for own, demand in zip(own_contacts(machine), newest.demands, strict=True):
        if demand is not Demand.PASS:
            closed -= own
        if demand is Demand.HOLD:
            closed |= own & set(newest.holds)
    return closed


def agree(machine: Machine, one: Stroke, other: Stroke, held: frozenset[int]) -> bool:
    """Whether two strokes ask for the same keys of the modifiers, and press no contact both."""
    same = modifiers_closed(machine, one, held) == modifiers_closed(machine, other, held)
    return same and not set(one.contacts) & set(other.contacts)


def check_witness(plan: Plan, circuit: Circuit, witness: Witness, adapter: Adapter | None = None) -> None:
    """Fails unless its events, carried out by the compiled runtime without its limits, close and read what it says."""
    machine = plan.layout.machine
    usages = [press.usage for way in witness.presses for press in way[-1:]]
    assert len(set(usages)) == len(usages), "one host key is pressed twice"
    assert not set(usages) & set(witness.held), "a held host key is pressed"
    adapter = adapter or Adapter(plan, limits=False)
    closed = adapter.play(events_of(plan, witness)).contacts
    assert closed == set(witness.closed), f"{witness} closes {sorted(closed)}"
    extra = circuit.extra(closed, witness.switches)
    assert extra == set(witness.phantoms), f"{witness} also reads {sorted(extra)}"
    read = circuit.read(closed)
    masked = {
        contact for contact in closed if circuit.read(closed - {contact}) == read and contact < machine.crosspoints
    }
    if witness.unseen:
        assert masked == set(witness.unseen), f"{witness} masks {sorted(masked)}"
