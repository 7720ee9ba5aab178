"""Nothing of a kind is missed: brute force over all that can be pressed finds no more than the findings tell."""

from itertools import chain, combinations, product

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from matrixmap.check.counts.tally import Tally, tally
from matrixmap.check.engine.closers import fed_bits, together
from matrixmap.check.engine.conflict_words import contacts_of
from matrixmap.check.engine.plan_conflicts import PlanConflicts, find_conflicts
from matrixmap.check.engine.playing import latch_usages, steps
from matrixmap.check.engine.strokes import Item, held_contacts
from matrixmap.check.run import check_plan
from matrixmap.circuit.reading import phantoms
from matrixmap.model.plan import Feed, Plan, Trigger
from matrixmap.press.rules import REST
from tests.check.adapter import Adapter
from tests.check.cases import plan_of
from tests.check.circuit import Circuit
from tests.check.machines import machines_and_layouts
from tests.check.replay import agree, check_witness, closed_by, modifiers_closed
from tests.project import shipped_plan
from tests.shipped import OTHERS, in_campaign

SLOW = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
PHANTOM_RULES = {
    "stroke-makes-phantom",
    "modifiers-make-phantom",
    "modifier-makes-phantom",
    "two-keys-make-phantom",
    "three-keys-make-phantom",
    "phantom-without-key",
}


# Three modifiers make a phantom; the third is closed only by a stroke that presses none of them.
HELD_BY_A_STROKE_OF_OTHERS = """machine: random
title: A random machine
source: made for this test
matrix:
  select: [S0, S1, S2]
  sense: [N0, N1, N2, N3]
  grid:
    S0: [none, k1, none, k3]
    S1: [k4, none, k6, k7]
    S2: [none, none, k10, none]
modifiers: {shift: [k10], control: [k1], graph: [k6, k4]}
types: {k3: {control: a}, k7: {shift: b}}
scan: {period_us: 20000}
"""
HELD_BY_A_STROKE_OF_OTHERS_LAYOUT = """layout: case
machine: random
host: few
join: positional
contacts: switch
keys: {ShiftLeft: k1, ShiftRight: k6, F9: k4, KeyA: shift + k3 + k7}
"""


def every_set(things, most):
    return chain.from_iterable(combinations(things, count) for count in range(most + 1))


def every_closing(
    conflicts: PlanConflicts, most: int
) -> dict[tuple[Item, ...], list[tuple[frozenset[int], frozenset[int]]]]:
    """All sets of up to some strokes that can be closed whole: the typist's modifiers and what is closed, for each way.

    A set is only tried where all smaller ones in it can be closed under the same modifiers.
    """
    plan, strokes = conflicts.plan, conflicts.strokes
    machine = plan.layout.machine
    fed = sorted(set(strokes.feeds.values()))
    found: dict[tuple[Item, ...], list[tuple[frozenset[int], frozenset[int]]]] = {}
    for held in map(frozenset, every_set(fed, len(fed))):
        layer: list[tuple[Item, ...]] = [()]
        for _ in range(most + 1):
            for items in layer:
                closed = closed_by(plan, [item.stroke for item in items], held)
                found.setdefault(items, []).append((held, closed))
            layer = [
                (*items, item)
                for items in layer
                for item in strokes.items[(strokes.items.index(items[-1]) + 1 if items else 0) :]
                if all(item.usage != other.usage and agree(machine, item.stroke, other.stroke, held) for other in items)
            ]
    return {items: ways for items, ways in found.items() if len(items) <= most}


def holds_of(items: tuple[Item, ...]) -> frozenset[int]:
    return frozenset(contact for item in items for contact in item.stroke.holds)


def keys_of(items: tuple[Item, ...]) -> frozenset[int]:
    return frozenset(contact for item in items for contact in item.stroke.contacts)


@SLOW
@given(machines_and_layouts())
def test_every_phantom_of_up_to_three_keys_has_its_conflict(texts):
    """Whatever is pressed in whatever order, with any modifiers held: a phantom comes from a listed set of contacts.

    The set is closed, its corner is open, and it is listed with no more keys than were pressed.
    """
    machine, layout = texts
    conflicts = find_conflicts(plan_of(layout, machine))
    circuit = Circuit(conflicts.plan.layout.machine, conflicts.plan.contacts)
    listed = [(frozenset(each.contacts), each.extra[0], len(each.items)) for each in conflicts.phantoms]
    for items, ways in every_closing(conflicts, 3).items():
        for _, closed in ways:
            for extra in circuit.extra(closed):
                covering = [
                    contacts
                    for contacts, corner, keys in listed
                    if contacts <= closed and corner not in closed and keys <= len(items)
                ]
                assert covering, f"{sorted(closed)} reads {extra}"


@SLOW
@given(machines_and_layouts())
@example((HELD_BY_A_STROKE_OF_OTHERS, HELD_BY_A_STROKE_OF_OTHERS_LAYOUT))
def test_every_conflict_tells_the_fewest_keys_and_how_many_ways_there_are(texts):
    """The strokes of a conflict are as few as close its contacts and leave its corner open, and all such sets are counted."""
    machine, layout = texts
    conflicts = find_conflicts(plan_of(layout, machine))
    closed_sets = {items: {closed for _, closed in ways} for items, ways in every_closing(conflicts, 3).items()}
    for conflict in conflicts.phantoms:
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
    listed = {frozenset(conflict.contacts) for conflict in conflicts.phantoms}
    circuit = Circuit(conflicts.plan.layout.machine, conflicts.plan.contacts)
    crosspoints = range(conflicts.plan.layout.machine.crosspoints)
    for triple in map(frozenset, combinations(crosspoints, 3)):
        extra = circuit.extra(triple)
        possible = any(triple <= closed and not extra <= closed for sets in closed_sets.values() for closed in sets)
        assert (triple in listed) is bool(extra and possible)


@SLOW
@given(machines_and_layouts())
def test_every_rectangle_that_can_be_closed_is_listed(texts):
    """Four contacts that mask each other are listed if and only if some strokes and modifiers close them."""
    machine, layout = texts
    conflicts = find_conflicts(plan_of(layout, machine))
    listed = {frozenset(each.contacts) for each in conflicts.masks}
    circuit = Circuit(conflicts.plan.layout.machine, conflicts.plan.contacts)
    found = set()
    for closed in {closed for ways in every_closing(conflicts, 4).values() for _, closed in ways}:
        for four in map(frozenset, combinations(sorted(closed), 4)):
            if all(circuit.read(four - {one}) == four for one in four):
                found.add(four)
    assert found == listed


@SLOW
@given(machines_and_layouts())
def test_counts_are_those_of_trying_each(texts):
    """Strokes, pairs and triples, and those among them that lie, are as many as trying each of them finds."""
    machine, layout = texts
    conflicts = find_conflicts(plan_of(layout, machine))
    circuit = Circuit(conflicts.plan.layout.machine, conflicts.plan.contacts)
    counts = [[0, 0] for _ in range(4)]
    held_counts = [0, 0]
    closings = every_closing(conflicts, 3)
    for items, ways in closings.items():
        alone = keys_of(items) | holds_of(items)
        if any(closed == alone for _, closed in ways):
            counts[len(items)][0] += 1
            counts[len(items)][1] += bool(circuit.extra(alone))
    for item in conflicts.strokes.items:
        for held, closed in closings[(item,)]:
            modifiers = modifiers_closed(conflicts.plan.layout.machine, item.stroke, held)
            if held and held == modifiers - set(item.stroke.holds):
                held_counts[0] += 1
                held_counts[1] += bool(circuit.extra(closed))
    got = tally(conflicts.strokes)
    assert got.strokes == counts[1][0]
    assert got.lying_strokes == sum(
        lies_however_made(conflicts.plan, circuit, item) for item in conflicts.strokes.items
    )
    assert [got.pairs, got.lying_pairs] == counts[2]
    assert [got.triples, got.lying_triples] == counts[3]
    assert [got.held, got.lying_held] == held_counts


@SLOW
@given(machines_and_layouts(("switch", "switch-with-diode", "follows-select")))
def test_every_witness_of_a_random_layout_is_true(texts):
    """Whatever the layout, carrying out a witness closes and reads what it says, and each phantom rule shows a phantom."""
    machine, layout = texts
    plan = plan_of(layout, machine)
    circuit = Circuit(plan.layout.machine, plan.contacts)
    checked = check_plan(plan)
    for finding in checked.findings:
        if finding.witness and finding.witness.made:
            check_witness(plan, circuit, finding.witness)
            assert bool(finding.witness.phantoms) or finding.slug not in PHANTOM_RULES
    for practice in checked.verdict.practice:
        check_witness(plan, circuit, practice.witness)


@SLOW
@given(machines_and_layouts(), st.data())
def test_the_guard_leaves_no_phantom_but_that_of_modifiers_alone(texts, data):
    """What stays closed of any presses with the guard on makes no phantom, unless the held modifiers make one themselves."""
    machine, layout = texts
    conflicts = find_conflicts(plan_of(layout, machine))
    strokes, home = conflicts.strokes, conflicts.plan.layout.machine
    rules = strokes.rules
    usages = sorted({*strokes.feeds, *(item.usage for item in strokes.items)})
    order = data.draw(st.lists(st.sampled_from(usages), unique=True, max_size=6)) if usages else []
    standing = REST
    for usage in order:
        outcome = rules.press(standing, usage)
        standing = outcome.after
        closed = contacts_of(outcome.closed)
        modifiers = contacts_of(rules.compiled.mask_of(standing.modifiers))
        how = conflicts.plan.contacts
        if conflicts.plan.guard:
            assert phantoms(home, closed, how) <= phantoms(home, modifiers, how)
        keys = set(closed) - set(modifiers)
        if home.scan.rollover is not None:
            assert sum(contact < home.crosspoints for contact in keys) <= home.scan.rollover


def lies_however_made(plan: Plan, circuit: Circuit, item: Item) -> bool:
    """Whether a stroke makes a phantom with the modifiers that are held for it, for each way and choice of sides."""
    altgr = plan.layout.host.has_altgr
    closings = []
    for way in item.ways:
        press = way[-1]
        if any(set(other[-1].hold) < set(press.hold) for other in item.ways):
            continue
        sides = [
            {0xE0: (0xE0, 0xE4), 0xE1: (0xE1, 0xE5), 0xE2: (0xE2,) if altgr else (0xE2, 0xE6), 0xE3: (0xE3, 0xE7)}.get(
                usage, (usage,)
            )
            for usage in press.hold
        ]
        for held in product(*sides):
            fed = {
                action.contact
                for usage in held
                if isinstance(action := plan.by_trigger.get(Trigger(usage=usage, level=1)), Feed)
            }
            closings.append(closed_by(plan, [item.stroke], frozenset(fed)))
    return all(circuit.extra(closed) for closed in closings)


def never_closed(plan: Plan, item: Item) -> bool:
    """Whether the compiled runtime closes a stroke in no way."""
    adapter, latches = Adapter(plan), latch_usages(plan)
    wanted = set(item.stroke.contacts)
    return not any(wanted <= adapter.play(steps(plan, latches, (), (way,), 0)).contacts for way in item.ways)


def brute_counts(plan: Plan) -> Tally:
    """The counts by trying each pair and triple on the circuit; the same closed contacts are read once."""
    conflicts = find_conflicts(plan)
    strokes, home = conflicts.strokes, plan.layout.machine
    fed = fed_bits(strokes)
    known: dict[frozenset[int], bool] = {}

    def lies(items, more=frozenset()):
        closed = keys_of(items) | holds_of(items) | more
        if closed not in known:
            known[closed] = bool(phantoms(home, closed, plan.contacts))
        return known[closed]

    items = strokes.items
    go = {item: [other for other in items if together((item, other))] for item in items}
    number = {item: count for count, item in enumerate(items)}
    pairs = lying_pairs = triples = lying_triples = held = lying_held = lost_held = 0
    for one in items:
        free = [1 << bit for bit in range(len(strokes.modifier_keys)) if fed & ~(one.hold | one.lift) & 1 << bit]
        for chosen in every_set(free, len(free)):
            if chosen:
                held += 1
                lying = lies((one,), held_contacts(strokes, sum(chosen)))
                lying_held += lying
                lost_held += lying and strokes.rules.refusal(one.held, one.held.wants(sum(chosen))) is not None
        for other in go[one]:
            if number[other] <= number[one]:
                continue
            pairs += 1
            lying_pairs += lies((one, other))
            for third in go[other]:
                if number[third] > number[other] and third in go[one] and together((one, other, third)):
                    triples += 1
                    lying_triples += lies((one, other, third))
    return Tally(
        strokes=len(items),
        lying_strokes=sum(lies_however_made(plan, Circuit(home, plan.contacts), item) for item in items),
        refused_strokes=sum(never_closed(plan, item) for item in items),
        held=held,
        lying_held=lying_held,
        lost_held=lost_held,
        pairs=pairs,
        lying_pairs=lying_pairs,
        triples=triples,
        lying_triples=lying_triples,
    )


@pytest.mark.parametrize(
    "id", ["quillon8-en-US-symbolic", in_campaign("quillon8-de-DE-positional"), "langet41-en-US-positional"]
)
def test_the_counts_of_a_shipped_layout_are_those_of_trying_each(id):
    """All pairs and triples of a shipped layout's strokes, tried one by one on the circuit."""
    plan = shipped_plan(id)
    conflicts = find_conflicts(plan)
    assert tally(conflicts.strokes) == brute_counts(plan)


@pytest.mark.campaign
@pytest.mark.parametrize(
    "id", ["quillon8-de-DE-symbolic", "quillon8-fr-FR-symbolic", "quillon8-ja-JP-symbolic", *OTHERS]
)
def test_the_counts_of_more_shipped_layouts_are_those_of_trying_each(id):
    """The same for layouts with AltGr and with other forms of keyboard."""
    plan = shipped_plan(id)
    conflicts = find_conflicts(plan)
    assert tally(conflicts.strokes) == brute_counts(plan)
