"""Keys held together in every order: what is said of them is what the compiled runtime does and a plain circuit reads."""

from __future__ import annotations

from itertools import permutations
from math import factorial
from random import Random

import pytest

from matrixmap.check.cures import Held, hold
from matrixmap.check.engine.holding import HeldKey, Holding, Status
from matrixmap.hid.usages import MODIFIER_BITS, SHIFT_LEFT, Usage
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Plan
from matrixmap.model.witness import Event
from matrixmap.press.compiled import bits
from matrixmap.press.rules import Cause
from tests.check.adapter import Adapter
from tests.check.circuit import Circuit
from tests.press.machines import Workshop, random_plans
from tests.project import sample_ids, shipped_plan
from tests.shipped import OTHERS

A, C, D = (Usage(number) for number in (0x04, 0x06, 0x07))

#       N0  N1          N2
#  S0   a   shift-left  d             0 1 2
#  S1   b   c           shift-right   3 4 5
TINY = """
machine: tiny
title: A tiny machine
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1, N2]
  grid:
    S0: [a, shift-left, d]
    S1: [b, c, shift-right]
modifiers: {shift: [shift-left, shift-right]}
types:
  a: {plain: a, shift: A}
  b: {plain: b, shift: B}
  c: {plain: c, shift: C}
  d: {plain: d, shift: D}
scan: {period_us: 20000}
"""
BY_PLACE = """
layout: tiny
machine: tiny
host: en-US
join: positional
keys:
  ShiftLeft: shift-left
  F9: shift-right
  KeyA: a
  KeyB: b
  KeyC: c
  KeyD: d
"""


def tiny(more: str = "", machine: str = TINY) -> Plan:
    """A layout on the tiny machine."""
    return Workshop().plan("tiny", machine, BY_PLACE + more)


def held(plan: Plan, *usages: int) -> Held:
    """Keys without modifiers before them."""
    return hold(plan, [HeldKey(usage=Usage(usage)) for usage in usages])


def fates(holding: Holding, *order: int) -> list[tuple[Status, Cause | None]]:
    """What becomes of the keys in an order, by their numbers."""
    (group,) = [group for group in holding.groups() if order in group.orders]
    return [(fate.status, fate.cause) for fate in group.result.fates]


CLOSED = (Status.CLOSED, None)


def test_three_corners_by_hand() -> None:
    """Left Shift, a and c are three corners with b: the guard opens or refuses one, without it b is read; a diode in Shift cures."""
    facts = held(tiny(), SHIFT_LEFT, A, C)
    assert (facts.holding.orders, facts.holding.is_whole) == (6, False)
    assert fates(facts.holding, 0, 1, 2) == [CLOSED, (Status.OPENED, Cause.PHANTOM), CLOSED]
    assert fates(facts.holding, 0, 2, 1) == [CLOSED, CLOSED, (Status.OPENED, Cause.PHANTOM)]
    assert fates(facts.holding, 2, 1, 0) == [CLOSED, CLOSED, (Status.OPENED, Cause.PHANTOM)]
    (bare,) = facts.bare.groups()
    assert (bare.result.closed, bare.result.read, bare.result.lies) == (0b10011, 0b11011, 0b1000)
    assert [(cause.keys, cause.contacts, cause.reads) for cause in facts.causes] == [((0, 1, 2), (1, 0, 4), 3)]
    assert facts.diodes == (1,)
    whole = {cure.line: cure.holding.is_whole for cure in facts.cures}
    assert whole == {"guard: off": False, "contacts: switch-with-diode": True, "contacts: follows-select": True}


def test_a_key_is_refused_by_itself() -> None:
    """Both Shift keys and b make a phantom: pressed after them it is refused, before them it is opened."""
    facts = held(tiny("  F1: b + c\n"), SHIFT_LEFT, 0x3A)
    assert fates(facts.holding, 0, 1) == [CLOSED, (Status.REFUSED, Cause.PHANTOM)]
    assert fates(facts.holding, 1, 0) == [CLOSED, (Status.OPENED, Cause.PHANTOM)]


def test_the_rollover_is_no_matter_of_contacts() -> None:
    """Where the machine can tell one key apart, the older key is opened for that, and no kind of contact helps."""
    plan = tiny(machine=TINY.replace("scan: {", "scan: {rollover: 1, "))
    facts = held(plan, A, D)
    assert fates(facts.holding, 0, 1) == [(Status.OPENED, Cause.ROLLOVER), CLOSED]
    assert not any(cure.holding.is_whole for cure in facts.cures)
    assert (facts.diodes, facts.causes) == ((), ())
    assert facts.bare.is_whole


def test_two_keys_of_one_contact_and_a_lifted_modifier() -> None:
    """Of two keys on one contact the older is opened; a stroke without Shift lifts the Shift that is held."""
    plan = Workshop().plan(
        "tiny", TINY, "layout: tiny\nmachine: tiny\nhost: en-US\njoin: symbolic\nkeys: {F1: d, F2: d}\n"
    )
    facts = held(plan, 0x3A, 0x3B)
    assert fates(facts.holding, 0, 1) == [(Status.OPENED, Cause.CONTACT), CLOSED]
    assert fates(held(plan, SHIFT_LEFT, 0x3A).holding, 0, 1) == [(Status.LIFTED, None), CLOSED]
    assert fates(held(plan, 0x3A, SHIFT_LEFT).holding, 0, 1)[0] == CLOSED


def test_what_comes_back() -> None:
    """With `resume: on` the key that the guard opened closes again when one of the others goes up; without, none does."""
    off, on = (held(tiny(f"resume: {word}\n"), SHIFT_LEFT, A, C) for word in ("off", "on"))
    assert not any(back for _, _, back in off.holding.releases())
    cases = {(order, released): back for order, released, back in on.holding.releases()}
    assert len(cases) == 18
    assert cases[(0, 1, 2), 0] == cases[(0, 1, 2), 2] == (1,)
    assert cases[(0, 1, 2), 1] == ()
    assert cases == {(order, released): back for order, released, back in off.resumed.releases()}


def test_a_key_goes_down_after_its_modifiers() -> None:
    """What stands before a key goes down with it, once, and goes up with it unless another key has it too."""
    plan = tiny()
    facts = hold(plan, [HeldKey(usage=A, before=(SHIFT_LEFT,)), HeldKey(usage=D, before=(SHIFT_LEFT,))])
    assert {group.result.closed for group in facts.holding.groups()} == {0b111}
    assert facts.holding.is_whole
    assert not facts.cures


def test_a_key_that_another_one_needs_stays_down() -> None:
    """Shift, which goes down with a and with d, stays down as a goes up: d, which the guard opened for c, does not come back."""
    keys = [HeldKey(usage=A, before=(SHIFT_LEFT,)), HeldKey(usage=D, before=(SHIFT_LEFT,)), HeldKey(usage=C)]
    cases = {(order, released): back for order, released, back in hold(tiny("resume: on\n"), keys).holding.releases()}
    assert cases[(0, 1, 2), 0] == ()
    assert cases[(0, 1, 2), 2] == (0, 1)


def test_a_cause_names_the_fewest_keys() -> None:
    """Of four keys that are held, each cause has just the three that close its corners."""
    causes = held(tiny(), SHIFT_LEFT, A, C, D).causes
    assert [(cause.keys, cause.contacts) for cause in causes] == [((0, 1, 2), (1, 0, 4)), ((0, 2, 3), (1, 2, 4))]


def test_four_corners_are_no_cause() -> None:
    """What one key presses, b and c, make a phantom with Shift and with a, but not with both, for then all four are closed."""
    causes = held(tiny("  F1: b + c\n"), SHIFT_LEFT, A, 0x3A).causes
    assert [(cause.keys, cause.contacts) for cause in causes] == [((0, 2), (4, 3, 1)), ((1, 2), (3, 4, 0))]


KINDS = tuple(plan for plan in random_plans(60, seed=5) if len(plan.bindings) > 3)


def some_keys(plan: Plan, chosen: Random) -> list[HeldKey]:
    """Two to four keys that a plan gives something to do, modifiers among them; of one some go down before it."""
    usages = sorted({binding.trigger.usage for binding in plan.bindings} | set(MODIFIER_BITS))
    taken = chosen.sample(usages, min(len(usages), chosen.randint(2, 4)))
    before = tuple(map(Usage, chosen.sample([*MODIFIER_BITS], chosen.choice((0, 0, 1, 2)))))
    return [
        HeldKey(usage=usage, before=tuple(each for each in before if each != usage) if number == 0 else ())
        for number, usage in enumerate(taken)
    ]


def events(keys: list[HeldKey], order: tuple[int, ...]) -> list[Event]:
    """All keys go down, one after the other."""
    usages = dict.fromkeys(usage for number in order for usage in keys[number].usages)
    return [Event(True, usage) for usage in usages]


def compare_with_c(plan: Plan, keys: list[HeldKey]) -> int:
    """Plays every order through the compiled runtime, with its limits and without; how many are not whole."""
    facts = hold(plan, keys)
    circuit = Circuit(plan.layout.machine, plan.contacts)
    for holding, limits in ((facts.holding, True), (facts.bare, False)):
        adapter = Adapter(plan, limits=limits)
        told = {order: group.result for group in holding.groups() for order in group.orders}
        assert sorted(told) == sorted(permutations(range(len(keys))))
        assert holding.orders == factorial(len(keys))
        for order, result in told.items():
            closed = frozenset(adapter.play(events(keys, order)).contacts)
            assert closed == frozenset(bits(result.closed)), (plan.layout, keys, order)
            width = plan.layout.machine.crosspoints
            read = circuit.read(closed) | {contact for contact in closed if contact >= width}
            assert read == frozenset(bits(result.read))
            assert read - closed <= frozenset(bits(result.lies))
    return sum(len(group.orders) for group in facts.holding.groups() if not group.result.is_whole)


@pytest.mark.parametrize("id", [*sample_ids(), *OTHERS])
def test_shipped_layouts_hold_as_the_runtime_does(id: str) -> None:
    """Keys of a shipped layout, drawn at random: each order closes what the compiled C closes, and a plain circuit reads it."""
    plan, chosen = shipped_plan(id), Random(id)
    not_whole = sum(compare_with_c(plan, some_keys(plan, chosen)) for _ in range(6))
    assert not_whole or plan.contacts is not Contacts.SWITCH


def test_random_machines_hold_as_the_runtime_does() -> None:
    """The same for random machines and layouts of every kind of contact."""
    chosen = Random(11)
    assert sum(compare_with_c(plan, some_keys(plan, chosen)) for plan in KINDS)


FEW = sample_ids()[::2]
"""Layouts for tests that try every cure."""


def test_cures_are_what_the_runtime_does_with_them() -> None:
    """A change that is said to let all keys be read does so on the compiled C in every order, and one that is not does not."""
    seen = set()
    for id in FEW:
        plan, chosen = shipped_plan(id), Random(f"cure {id}")
        for _ in range(8):
            keys = some_keys(plan, chosen)
            for cure in hold(plan, keys).cures:
                assert is_whole(cure.holding, keys) is cure.holding.is_whole, (id, keys, cure.line)
                seen.add((cure.line, cure.holding.is_whole))
    assert {
        ("contacts: switch-with-diode", True),
        ("contacts: switch-with-diode", False),
        ("guard: off", False),
    } <= seen


def is_whole(holding: Holding, keys: list[HeldKey]) -> bool:
    """Whether the compiled C closes all that the strokes close, in every order, and a plain circuit reads nothing else."""
    plan = holding.rules.plan
    adapter, free = Adapter(plan), Adapter(plan, limits=False)
    circuit = Circuit(plan.layout.machine, plan.contacts)
    modifiers = frozenset(bits(holding.rules.modifier_mask))
    for order in permutations(range(len(keys))):
        wanted: set[int] = set()
        for count in range(1, len(order) + 1):
            closed = frozenset(adapter.play(events(keys, order[:count])).contacts)
            if circuit.extra(closed):
                return False
            # Of the newest key alone, with all that is down for it to look at, the C without limits closes what is its own.
            earlier, after = (frozenset(free.play(events(keys, order[:n])).contacts) for n in (count - 1, count))
            wanted |= after - earlier - modifiers
        if not wanted <= closed:
            return False
    return True


def test_causes_are_true() -> None:
    """With just the keys of a cause down, in some order, the compiled C without limits closes three corners and not the fourth."""
    told = 0
    for id in FEW:
        plan, chosen = shipped_plan(id), Random(f"cause {id}")
        free, circuit = Adapter(plan, limits=False), Circuit(plan.layout.machine, plan.contacts)
        for _ in range(10):
            keys = some_keys(plan, chosen)
            for cause in hold(plan, keys).causes:
                told += 1
                closings = [frozenset(free.play(events(keys, order)).contacts) for order in permutations(cause.keys)]
                shown = [closed for closed in closings if set(cause.contacts) <= closed and cause.reads not in closed]
                assert shown, (id, keys, cause)
                assert all(cause.reads in circuit.read(closed) for closed in shown)
    assert told


def test_diodes_alone_cure_what_they_are_said_to() -> None:
    """With a diode in each of the contacts named, and plain switches else, nothing but what is closed is read at any moment."""
    from matrixmap.circuit.diodes import read_with_diodes

    named = 0
    for id in FEW:
        plan, chosen = shipped_plan(id), Random(f"diode {id}")
        machine = plan.layout.machine
        assert plan.contacts is Contacts.SWITCH
        for _ in range(10):
            facts = hold(plan, some_keys(plan, chosen))
            for closed in facts.unguarded.all_moments():
                crosspoints = frozenset(bits(closed & facts.holding.rules.crosspoints))
                assert read_with_diodes(machine, crosspoints, frozenset(facts.diodes)) == crosspoints
            named += bool(facts.diodes)
    assert named
