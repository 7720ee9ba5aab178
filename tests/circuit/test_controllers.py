"""Controllers' switches of each kind read as current allows: pulls one way, plain contacts both ways."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain, combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.circuit.reading import Conduction, phantoms, read_contacts, switch_contacts
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import (
    Contact,
    Controller,
    ControllerSwitch,
    Machine,
    SelectIndex,
    SenseIndex,
    Switch,
    Wiring,
)
from tests.check.cases import plan_of
from tests.check.circuit import WAYS
from tests.circuit import naive
from tests.project import shipped_plan

SMALL = """machine: small
title: Two select and three sense lines
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1, N2]
  grid:
    S0: [a, b, c]
    S1: [d, e, f]
types: {a: {plain: a}}
scan: {period_us: 20000}
"""


def small() -> Machine:
    return plan_of("layout: case\nmachine: small\nhost: few\njoin: positional\nkeys: {KeyA: a}\n", SMALL).layout.machine


def quillon() -> Machine:
    return shipped_plan("quillon8-en-US-symbolic").layout.machine


def every_switch(selects: int, senses: int) -> list[ControllerSwitch]:
    """A switch of each kind on each line or pair of lines."""
    made = [made_switch(Wiring.GROUND, None, sense) for sense in range(senses)]
    for wired in (Wiring.GATED, Wiring.CONTACT):
        made += [made_switch(wired, *cell) for cell in product(range(selects), range(senses))]
    return made


def made_switch(wired: Wiring, select: int | None, sense: int) -> ControllerSwitch:
    switch = Switch(function="Ahead", sense=SenseIndex(sense), select=None if select is None else SelectIndex(select))
    return Controller(name="tiller", wired=wired, switches=(switch,)), switch


def naive_read(
    machine: Machine, closed: Iterable[int], how: Contacts, switches: Iterable[ControllerSwitch]
) -> set[int]:
    """What reads closed by the plain model."""
    width = len(machine.sense)
    joined, pulls = naive.switch_parts(switches)
    points = [(*divmod(contact, width), WAYS[how]) for contact in closed]
    pairs = naive.read([*points, *joined], len(machine.select), width, pulls)
    return {select * width + sense for select, sense in pairs}


def subsets(things: Iterable[object], most: int) -> Iterator[tuple]:
    known = list(things)
    return chain.from_iterable(combinations(known, count) for count in range(most + 1))


@pytest.mark.parametrize("how", Contacts)
def test_every_set_with_up_to_two_switches_reads_as_the_plain_model_says(how):
    """On 2x3, every set of the adapter's contacts with every two switches of all kinds reads as pulling lines low does."""
    machine = small()
    for switches in subsets(every_switch(2, 3), 2):
        for closed in map(frozenset, subsets(range(6), 6)):
            assert read_contacts(machine, closed, how, switches) == naive_read(machine, closed, how, switches)


ANY_SWITCH = st.one_of(
    st.builds(made_switch, st.just(Wiring.GROUND), st.none(), st.integers(0, 7)),
    st.builds(made_switch, st.sampled_from([Wiring.GATED, Wiring.CONTACT]), st.integers(0, 7), st.integers(0, 7)),
)


@settings(max_examples=400, deadline=None)
@given(st.frozensets(st.integers(0, 63), max_size=10), st.lists(ANY_SWITCH, max_size=5), st.sampled_from(Contacts))
def test_a_large_matrix_with_any_switches_reads_as_the_plain_model_says(closed, switches, how):
    """On 8x8 any contacts of the adapter, however closed, with any switches of controllers."""
    assert read_contacts(quillon(), closed, how, switches) == naive_read(quillon(), closed, how, switches)


def test_a_switch_alone_reads_as_its_sense_line_or_as_one_key():
    """One to ground reads as every key of its sense line; one with a select line, of either kind, as the key there."""
    machine = quillon()
    for switch in every_switch(8, 8):
        own = set(switch_contacts(machine, switch[1]))
        assert read_contacts(machine, (), Contacts.SWITCH, [switch]) == own
        assert len(own) == (8 if switch[0].wired is Wiring.GROUND else 1)


def contacts_of(machine: Machine, *names: str) -> set[Contact]:
    """The contacts of some keys."""
    return {machine.key(name).contact for name in names}


def test_shift_p_and_a_contact_of_the_tiller_read_a_j():
    """Shift on S3/N7, P on S1/N7 and Port on S1/N6: a plain contact is the third corner, one that is gated is not."""
    machine = quillon()
    for wired, extra in ((Wiring.CONTACT, contacts_of(machine, "j")), (Wiring.GATED, set())):
        port = made_switch(wired, 1, 6)
        assert phantoms(machine, contacts_of(machine, "shift-left", "p"), Contacts.SWITCH, [port]) == extra


@settings(max_examples=200, deadline=None)
@given(
    st.frozensets(st.integers(0, 63), max_size=12),
    st.lists(ANY_SWITCH.filter(lambda switch: switch[0].wired is not Wiring.CONTACT), min_size=2, max_size=4),
)
def test_pulls_together_do_nothing_that_one_of_them_does_not_do(closed, pulls):
    """What reads closed with several switches that pull is what reads closed with one or another of them."""
    machine = quillon()
    each = (read_contacts(machine, closed, Contacts.SWITCH, [pull]) for pull in pulls)
    assert read_contacts(machine, closed, Contacts.SWITCH, pulls) == frozenset().union(*each)


def test_two_contacts_of_a_controller_can_do_what_neither_does_alone():
    """One key with Port and Starboard, which share a sense line: the rule for pulls does not hold for contacts."""
    machine = quillon()
    p, t = contacts_of(machine, "p"), contacts_of(machine, "t")
    port, starboard = made_switch(Wiring.CONTACT, 1, 6), made_switch(Wiring.CONTACT, 4, 6)
    assert phantoms(machine, p, Contacts.SWITCH, [port, starboard]) == t
    assert not phantoms(machine, p, Contacts.SWITCH, [port])
    assert not phantoms(machine, p, Contacts.SWITCH, [starboard])


Cell = tuple[int, int]


def lies_by_algebra(points: Iterable[naive.Point], pulls: Iterable[naive.Pull], selects: int) -> bool:
    """Whether any sense line reads closed where nothing of its own closes it, from sets alone.

    E[s] is what reads closed at s by itself, A[t] the senses of all contacts at t, B[t] of those that conduct both ways.
    There is a phantom if and only if for some s and t a sense line is in B[t] and E[s], and A[t] is not within E[s].
    """
    all_at: list[set[int]] = [set() for _ in range(selects)]
    both_at: list[set[int]] = [set() for _ in range(selects)]
    for select, sense, way in points:
        all_at[select].add(sense)
        if way is Conduction.BOTH:
            both_at[select].add(sense)
    own = [all_at[s] | {sense for sense, select in pulls if select in (None, s)} for s in range(selects)]
    return any(both_at[t] & own[s] and not all_at[t] <= own[s] for s in range(selects) for t in range(selects))


def lies(points: list[naive.Point], pulls: list[naive.Pull], selects: int, senses: int) -> bool:
    """The same by pulling lines low."""
    own = {(select, sense) for select, sense, _ in points}
    own |= {(s, sense) for sense, select in pulls for s in range(selects) if select in (None, s)}
    return naive.read(points, selects, senses, pulls) != own


def every_matrix(selects: int, senses: int) -> Iterator[list[naive.Point]]:
    """All sets of contacts, each open, a plain switch, or one with a diode that lets its own key be read."""
    cells = list(product(range(selects), range(senses)))
    for chosen in product((None, Conduction.BOTH, Conduction.FORWARD), repeat=len(cells)):
        yield [(*cell, way) for cell, way in zip(cells, chosen, strict=True) if way]


@pytest.mark.parametrize(("selects", "senses"), [(2, 2), (2, 3), (3, 2)])
def test_sets_alone_tell_whether_a_small_matrix_lies(selects, senses):
    """Every set of contacts with every two pulls: the condition on sets and following the current agree."""
    pulls = [(sense, select) for sense in range(senses) for select in (None, *range(selects))]
    for closed in map(list, subsets(pulls, 2)):
        for points in every_matrix(selects, senses):
            assert lies_by_algebra(points, closed, selects) is lies(points, closed, selects, senses)


ANY_POINT = st.tuples(st.integers(0, 7), st.integers(0, 7), st.sampled_from([Conduction.BOTH, Conduction.FORWARD]))
ANY_PULL = st.tuples(st.integers(0, 7), st.none() | st.integers(0, 7))


@settings(max_examples=500, deadline=None)
@given(st.lists(ANY_POINT, max_size=14), st.lists(ANY_PULL, max_size=4))
def test_sets_alone_tell_whether_a_large_matrix_lies(points, pulls):
    """The same on 8x8."""
    assert lies_by_algebra(points, pulls, 8) is lies(points, pulls, 8, 8)


@settings(max_examples=300, deadline=None)
@given(
    st.lists(ANY_POINT.filter(lambda point: point[0] < 4 and point[1] < 4), max_size=9), st.lists(ANY_PULL, max_size=3)
)
def test_three_things_settle_every_set_with_pulls(points, pulls):
    """Contacts and pulls make a phantom if and only if three of them do, at a crosspoint that nothing of all closes."""
    own = {(select, sense) for select, sense, _ in points}
    own |= {(s, sense) for sense, select in pulls for s in range(8) if select in (None, s)}
    some = any(
        naive.read([each for each in three if len(each) == 3], 8, 8, [each for each in three if len(each) == 2]) - own
        for three in subsets([*points, *pulls], 3)
    )
    assert lies(points, pulls, 8, 8) is some
