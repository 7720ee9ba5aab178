"""Keys with switches of controllers: brute force over all that can be closed finds the sets that the check lists."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given

from matrixmap.check.engine.closers import fed_bits, together
from matrixmap.check.engine.plan_conflicts import PlanConflicts, find_conflicts
from matrixmap.check.engine.strokes import held_contacts
from matrixmap.check.run import check_plan
from matrixmap.model.machine import Machine, Switch, Wiring
from tests.check.cases import load_case, plan_of
from tests.check.circuit import Circuit, Named
from tests.check.machines import machines_and_layouts
from tests.check.replay import check_witness
from tests.check.test_complete import SLOW, every_closing, every_set, holds_of, keys_of
from tests.project import shipped_plan

Sets = dict[tuple[frozenset[int], frozenset[Named]], frozenset[int]]
"""Contacts and switches of controllers, and the crosspoints that they make the machine read."""


def smallest_sets(circuit: Circuit, contacts: list[int], most: int, altogether: int = 5) -> Sets:
    """All sets of up to some contacts with one or two switches that make a phantom, while no smaller set in it does.

    Sets without a contact are the machine's own matter, and those without a switch are looked at apart.
    """
    lying: Sets = {}
    for switches in every_set(circuit.switches(), 2):
        for closed in map(frozenset, every_set(contacts, min(most, altogether - len(switches)))):
            cell = (closed, frozenset(switches))
            smaller = [(closed - {one}, cell[1]) for one in closed] + [(closed, cell[1] - {one}) for one in switches]
            if any(other in lying for other in smaller):
                lying[cell] = frozenset()
            elif extra := circuit.extra(closed, switches):
                lying[cell] = extra
    return {cell: extra for cell, extra in lying.items() if extra and all(cell)}


def closings_of_two(conflicts: PlanConflicts) -> set[frozenset[int]]:
    """All that up to two strokes close, with any modifiers besides that they let pass: for the many of a shipped layout."""
    strokes = conflicts.strokes
    fed = fed_bits(strokes)
    bits = [1 << number for number in range(len(strokes.modifier_keys))]
    found = set()
    for items in every_set(strokes.items, 2):
        if not together(items):
            continue
        alone = keys_of(items) | holds_of(items)
        passing = [bit for bit in bits if fed & bit and not any((item.hold | item.lift) & bit for item in items)]
        found |= {alone | held_contacts(strokes, sum(chosen)) for chosen in every_set(passing, len(passing))}
    return found


def listed_pulls(conflicts: PlanConflicts) -> dict[tuple[frozenset[int], frozenset[Named]], set[int]]:
    """The sets that the conflicts list, each with all crosspoints that it tells."""
    listed: dict[tuple[frozenset[int], frozenset[Named]], set[int]] = {}
    for each in conflicts.pulls:
        switches = frozenset((controller.name, switch.function) for controller, switch in each.switches)
        told = listed.setdefault((frozenset(each.contacts), switches), set())
        told.update(each.extra)
    return listed


def readable(sets: Sets, closings: set[frozenset[int]]) -> dict[tuple[frozenset[int], frozenset[Named]], set[int]]:
    """Of all sets those that some of the closed contacts hold whole, with the crosspoints that one of them leaves open."""
    holding: dict[frozenset[int], list[frozenset[int]]] = {}
    for closed in closings:
        for contacts in every_set(closed, 3):
            holding.setdefault(frozenset(contacts), []).append(closed)
    found = {}
    for cell, extra in sets.items():
        closed_sets = holding.get(cell[0], [])
        if seen := {contact for contact in extra if any(contact not in closed for closed in closed_sets)}:
            found[cell] = seen
    return found


@SLOW
@given(machines_and_layouts(("switch", "switch", "switch-with-diode", "follows-select")))
def test_every_set_with_switches_of_controllers_is_listed_and_no_other(texts):
    """Up to three contacts with one or two switches: the smallest that lie and that hands can close are those listed.

    A set that lies without being listed holds a smaller one that does, by the circuit alone.
    """
    machine, layout = texts
    conflicts = find_conflicts(plan_of(layout, machine))
    circuit = Circuit(conflicts.plan.layout.machine, conflicts.plan.contacts)
    crosspoints = list(range(conflicts.plan.layout.machine.crosspoints))
    closings = {closed for ways in every_closing(conflicts, 3).values() for _, closed in ways}
    assert listed_pulls(conflicts) == readable(smallest_sets(circuit, crosspoints, 3), closings)


@SLOW
@given(machines_and_layouts(("switch", "switch-with-diode", "follows-select")))
def test_whatever_two_strokes_and_two_switches_make_is_covered(texts):
    """Whatever two strokes and any held modifiers close, with up to two switches: a phantom holds a listed set.

    The set leaves the crosspoint that it makes read open, and is one of keys with switches, or of keys alone.
    """
    machine, layout = texts
    conflicts = find_conflicts(plan_of(layout, machine))
    circuit = Circuit(conflicts.plan.layout.machine, conflicts.plan.contacts)
    sets = [(*cell, extra) for cell, extra in listed_pulls(conflicts).items()]
    sets += [(frozenset(each.contacts), frozenset(), set(each.extra)) for each in conflicts.phantoms]
    for closed in {closed for ways in every_closing(conflicts, 2).values() for _, closed in ways}:
        for switches in every_set(circuit.switches(), 2):
            own = closed | circuit.own(switches)
            lies = bool(circuit.extra(closed, switches))
            covered = any(
                contacts <= closed and some <= frozenset(switches) and extra - own for contacts, some, extra in sets
            )
            assert lies is covered, (sorted(closed), switches)


@SLOW
@given(machines_and_layouts(("switch", "switch-with-diode")))
def test_a_set_with_switches_tells_the_fewest_keys_and_how_many_ways_there_are(texts):
    """The strokes of a set are as few as close its contacts and leave what it reads open, and all such sets are counted."""
    machine, layout = texts
    conflicts = find_conflicts(plan_of(layout, machine))
    closed_sets = {items: {closed for _, closed in ways} for items, ways in every_closing(conflicts, 3).items()}
    for conflict in conflicts.pulls:
        if len(conflict.extra) > 1:
            continue  # of several crosspoints a way may leave some open and others not
        wanted, corner = frozenset(conflict.contacts), conflict.extra[0]
        ways = [
            items
            for items, sets in closed_sets.items()
            if any(wanted <= closed and corner not in closed for closed in sets)
        ]
        fewest = min(len(items) for items in ways)
        assert len(conflict.items) == fewest
        assert conflict.how.combinations == sum(len(items) == fewest for items in ways)
        assert frozenset(conflict.items) in {frozenset(items) for items in ways}


# Two keys on one select line: an oar's pull is carried on, and a contact of the tiller is a third corner, with another's or alone.
ROW = """layout: case
machine: quillon8
host: few
join: positional
keys: {KeyA: d6, KeyB: s, KeyD: up}
"""
# One key on the select line of a contact, which a second one joins with another select line.
ONE_KEY = "layout: case\nmachine: quillon8\nhost: few\njoin: positional\nkeys: {KeyQ: p}\n"
PLAYED = """layout: case
machine: quillon8
host: few
join: positional
keys: {ShiftLeft: shift-left, ControlLeft: helm, KeyA: a, KeyB: shift + space, KeyD: d1, KeyE: k, KeyQ: q + w}
"""


@pytest.mark.parametrize("text", [PLAYED, ROW, ONE_KEY, load_case("controller-makes-phantom").bad])
def test_every_set_with_switches_of_the_demo_is_listed_and_no_other(text):
    """The same on the shipped machine: three switches to ground and five plain contacts."""
    conflicts = find_conflicts(plan_of(text))
    circuit = Circuit(conflicts.plan.layout.machine, conflicts.plan.contacts)
    closings = {closed for ways in every_closing(conflicts, 2).values() for _, closed in ways}
    contacts = sorted(frozenset[int]().union(*closings))
    found = readable(smallest_sets(circuit, contacts, 2), closings)
    assert listed_pulls(conflicts) == found
    assert found


@pytest.mark.parametrize(
    "id",
    [
        "quillon8-de-DE-symbolic",
        pytest.param("quillon8-en-US-symbolic", marks=pytest.mark.campaign),
        pytest.param("quillon8-de-DE-positional", marks=pytest.mark.campaign),
        pytest.param("quillon8-ja-JP-symbolic", marks=pytest.mark.campaign),
    ],
)
def test_every_set_with_switches_of_a_shipped_layout_is_listed_and_no_other(id):
    """All sets of three: pairs of contacts with each switch, single ones with each pair of switches."""
    conflicts = find_conflicts(shipped_plan(id))
    circuit = Circuit(conflicts.plan.layout.machine, conflicts.plan.contacts)
    crosspoints = list(range(conflicts.plan.layout.machine.crosspoints))
    sets = smallest_sets(circuit, crosspoints, 2, altogether=3)
    assert listed_pulls(conflicts) == readable(sets, closings_of_two(conflicts))


def corners_of(machine: Machine, switch: Switch) -> Iterator[tuple[frozenset[int], int]]:
    """Two contacts that make a phantom with a plain contact between two lines, and with nothing that only pulls; and where.

    With a contact on the switch's select line, one on its sense line, or one on the sense line of the first. Two contacts
    of another select line carry the pull of either kind of switch.
    """
    width = len(machine.sense)
    assert switch.select is not None
    for select, sense in product(range(len(machine.select)), range(width)):
        if select != switch.select and sense != switch.sense:
            first = switch.select * width + sense
            yield frozenset({first, select * width + switch.sense}), select * width + sense
            yield frozenset({first, select * width + sense}), select * width + switch.sense


def test_keys_with_a_contact_make_474_sets_that_a_gated_switch_does_not():
    """On the German layout, two contacts of keys with one switch: as plain contacts the switches of the tiller do more."""
    plan = shipped_plan("quillon8-de-DE-symbolic")
    conflicts = find_conflicts(plan)
    told = {cell for cell in listed_pulls(conflicts) if len(cell[1]) == 1}
    machine = plan.layout.machine
    gated = [
        replace(each, wired=Wiring.GATED) if each.wired is Wiring.CONTACT else each for each in machine.controllers
    ]
    layout = replace(plan.layout, machine=replace(machine, controllers=tuple(gated)))
    before = set(listed_pulls(find_conflicts(replace(plan, layout=layout))))
    assert before <= told
    sets = {
        (contacts, frozenset({(controller.name, switch.function)})): frozenset({extra})
        for controller in machine.controllers
        if controller.wired is Wiring.CONTACT
        for switch in controller.switches
        for contacts, extra in corners_of(machine, switch)
    }
    assert len(sets) == 5 * 2 * 49
    assert told - before == readable(sets, closings_of_two(conflicts)).keys()
    assert len(told - before) == 474


def told_of(text: str, *switches: Named, machine: str | None = None) -> list[tuple[str, str]]:
    """Severity and text of what is told with exactly these switches closed, up to what the guard does."""
    return [
        (finding.severity.word, finding.text.removesuffix("; the guard cannot see the controller"))
        for finding in check_plan(plan_of(text, machine)).findings
        if finding.slug == "controller-makes-phantom" and finding.witness and finding.witness.switches == switches
    ]


def test_shift_p_and_port_are_told_as_a_j():
    """Two keys, of which one is a modifier, and a plain contact: a warning with the three contacts and what is read."""
    text = "layout: case\nmachine: quillon8\nhost: few\njoin: positional\nkeys: {ShiftLeft: shift-left, KeyA: p}\n"
    assert told_of(text, ("tiller", "Port")) == [
        (
            "warning",
            "hold left Shift, press A, and close tiller Port (S1/N6): S1/N6, S1/N7 and S3/N7 close, "
            "and the machine also reads j (S3/N6), which types J",
        )
    ]


def test_a_plain_contact_lets_current_back_where_the_adapter_does_not():
    """Contacts through diodes and one corner at the tiller: a note for two keys, a warning for one with two switches."""
    text = "layout: case\nmachine: quillon8\nhost: few\njoin: positional\ncontacts: {}\nkeys: {{KeyA: p, KeyB: j}}\n"
    for contacts in ("switch-with-diode", "follows-select"):
        assert told_of(text.format(contacts), ("tiller", "Port")) == [
            (
                "note",
                "press A and B, and close tiller Port (S1/N6): S1/N6, S1/N7 and S3/N6 close, "
                "and the machine also reads shift-left (S3/N7), so everything is typed with shift",
            )
        ]
        assert told_of(text.format(contacts), ("tiller", "Starboard"), ("tiller", "Port")) == [
            (
                "warning",
                "press A, and close tiller Starboard (S4/N6) and tiller Port (S1/N6): S1/N6, S1/N7 and S4/N6 close, "
                "and the machine also reads t (S4/N7), which types t",
            )
        ]
        assert not told_of(text.format(contacts), ("tiller", "Starboard"))


CARRYING = """machine: carrying
title: A machine with a switch to ground and a plain contact on one sense line
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1]
  grid:
    S0: [a, shift-left]
    S1: [c, d]
modifiers: {shift: [shift-left]}
controllers:
  oar: {wired: ground, Pull: N0}
  tiller: {wired: contact, Ahead: S1/N0}
types: {a: {plain: a}, c: {plain: c}, d: {plain: d}}
scan: {period_us: 20000}
"""


@pytest.mark.parametrize("contacts", ["switch-with-diode", "follows-select"])
def test_a_plain_contact_carries_the_pull_of_another_controller_on(contacts):
    """One key on the select line of the contact is enough, though the adapter's own contact conducts one way only."""
    text = f"layout: case\nmachine: carrying\nhost: few\njoin: positional\ncontacts: {contacts}\nkeys: {{KeyD: d}}\n"
    assert told_of(text, ("oar", "Pull"), ("tiller", "Ahead"), machine=CARRYING) == [
        (
            "warning",
            "press D, and close oar Pull (N0) and tiller Ahead (S1/N0): S1/N0 and S1/N1 carry the pull of oar Pull on, "
            "and the machine also reads shift-left (S0/N1), so everything is typed with shift",
        )
    ]
    assert not told_of(text, ("oar", "Pull"), machine=CARRYING)


HIDING = """machine: hiding
title: A machine with a controller
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1]
  grid:
    S0: [a, b]
    S1: [c, d]
controllers: {stick: {Fire: N0}}
types: {a: {plain: a}, b: {plain: b}, c: {plain: c}, d: {plain: d}}
scan: {period_us: 20000}
"""


def test_a_pull_that_a_chord_would_hide_is_told_by_the_keys_that_show_it():
    """One key closes both contacts that carry a pull on and the one that it reaches too: two other keys leave that open."""
    plan = plan_of(
        "layout: case\nmachine: hiding\nhost: few\njoin: positional\nkeys: {KeyA: a, KeyB: b, KeyD: a + b + d}\n",
        HIDING,
    )
    told = [each for each in check_plan(plan).findings if each.slug == "controller-makes-phantom"]
    assert [each.text.split(":")[0] for each in told] == ["press A and B, and close stick Fire (N0)"]
    for finding in told:
        check_witness(plan, Circuit(plan.layout.machine, plan.contacts), finding.witness)
        assert finding.witness.phantoms == (3,)
