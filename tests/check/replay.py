"""Carries a witness out: from the plan alone, by the rules of the runtime and by pulling lines low."""

from __future__ import annotations

from dataclasses import dataclass, field

from matrixmap.check.playing import events_of
from matrixmap.circuit.reading import Conduction
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import ControllerSwitch, Machine
from matrixmap.model.plan import Demand, Plan, Stroke
from matrixmap.model.witness import Witness
from tests.check.adapter import Adapter
from tests.circuit import naive

WAYS = {
    Contacts.SWITCH: Conduction.BOTH,
    Contacts.SWITCH_WITH_DIODE: Conduction.FORWARD,
    Contacts.FOLLOWS_SELECT: Conduction.FORWARD,
}


Named = tuple[str, str]
"""A switch of a controller, by the names of both."""


@dataclass
class Circuit:
    """A machine's matrix by the plain model, with what it read before."""

    machine: Machine
    how: Contacts
    known: dict[tuple[frozenset[int], tuple[Named, ...]], frozenset[int]] = field(default_factory=dict)

    def read(self, closed: frozenset[int], switches: tuple[Named, ...] = ()) -> frozenset[int]:
        """All crosspoints that read closed."""
        cell = (closed, switches)
        if cell not in self.known:
            width = len(self.machine.sense)
            points = [
                (*divmod(contact, width), WAYS[self.how]) for contact in closed if contact < self.machine.crosspoints
            ]
            joined, pulls = naive.switch_parts(self.switch(*name) for name in switches)
            pairs = naive.read([*points, *joined], len(self.machine.select), width, pulls)
            self.known[cell] = frozenset(select * width + sense for select, sense in pairs)
        return self.known[cell]

    def extra(self, closed: frozenset[int], switches: tuple[Named, ...] = ()) -> frozenset[int]:
        """The crosspoints that read closed though neither a contact nor a switch itself closes them."""
        return self.read(closed, switches) - closed - self.own(switches)

    def own(self, switches: tuple[Named, ...]) -> frozenset[int]:
        """The crosspoints that each switch makes read by itself."""
        return frozenset[int]().union(*(self.read(frozenset(), (name,)) for name in switches))

    def switch(self, name: str, function: str) -> ControllerSwitch:
        """A switch with its controller."""
        return next(
            (controller, switch)
            for controller in self.machine.controllers
            for switch in controller.switches
            if (controller.name, switch.function) == (name, function)
        )

    def switches(self) -> list[Named]:
        """All switches by name."""
        return [
            (controller.name, switch.function)
            for controller in self.machine.controllers
            for switch in controller.switches
        ]


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
