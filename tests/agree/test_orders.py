"""Two and three keys in every order: each keystroke is read once, in order, rightly shifted, at every phase."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from itertools import product

import pytest

from matrixmap.hid.usages import Usage
from matrixmap.join.typed import held_usages, presses
from matrixmap.model.plan import Plan, Stroke, Trigger
from matrixmap.simulate import tape
from matrixmap.simulate.reports import boot_report
from tests.agree.both import Both
from tests.agree.layouts import FEW
from tests.agree.promises import Listener, Recorder, read_at_every_phase, surely_read
from tests.agree.streams import Stream, orders

PAUSES = (10, 83, 450)
"""Ticks between two reports: much shorter than a keystroke takes, shorter, longer."""

LONG = 12_000

TWO, THREE = tuple(orders(2)), tuple(orders(3))
Order = tuple[tuple[tuple[int, bool], ...], ...]


def script(number: int, keys: Sequence[Trigger], order: Order, pause: int) -> Stream:
    """Layout `number`, these keys in an order, with a pause between reports, and a long rest.

    The typist holds the modifiers of the key that went down last until the next goes down.
    """
    stream = [tape.start(number)]
    down: set[Usage] = set()
    modifiers: set[Usage] = set()
    for step in order:
        for key, goes_down in step:
            if goes_down:
                modifiers = set(held_usages(keys[key]))
            (down.add if goes_down else down.discard)(keys[key].usage)
        stream += [tape.boot_report(boot_report(down | (modifiers if down else set()))), tape.run(pause)]
    return [*stream, tape.run(LONG)]


def kinds(plan: Plan, of_each: int) -> list[Trigger]:
    """Some presses of every kind of stroke: by what they demand, and by whether they close a crosspoint."""
    found: dict[object, list[Trigger]] = {}
    for press in presses(plan):
        action = plan.lookup(press)
        if isinstance(action, Stroke):
            direct = action.contacts[0] >= plan.layout.machine.crosspoints
            found.setdefault((action.demands, len(action.contacts), direct, press.extras), []).append(press)
    return [press for several in found.values() for press in (several[:: max(len(several) // of_each, 1)])[:of_each]]


def distinct_usages(chosen: Sequence[Trigger]) -> bool:
    """Whether the presses can be down together."""
    return len({press.usage for press in chosen}) == len(chosen)


def check(both: Both, number: int, scripts: Sequence[Stream], every: int) -> None:
    """Plays the scripts with both engines, looks at the promises in each, and scans every so many at all phases."""
    plan = both.plans[number]
    recorder, listener = Recorder(both.plans, both.sizes), Listener(both.plans)
    both.check([event for script in scripts for event in script])
    for at, one in enumerate(scripts):
        changes, meant = recorder.record(one), listener.keystrokes(one)
        try:
            surely_read(plan, changes, meant)
            if at % every == 0:
                read_at_every_phase(plan, changes, meant)
        except AssertionError as fault:
            raise AssertionError(f"{fault}\n{both.explain(one)}\n{changes}\n{meant}") from fault


def test_orders_are_complete() -> None:
    """Two intervals have thirteen relations, three have 409."""
    assert (len(TWO), len(set(TWO)), len(THREE), len(set(THREE))) == (13, 13, 409, 409)


def pairs(number: int, chosen: Sequence[Trigger], rng: random.Random) -> Iterator[Stream]:
    """All pairs of presses in all orders."""
    for pair in product(chosen, repeat=2):
        if distinct_usages(pair):
            yield from (script(number, pair, order, rng.choice(PAUSES)) for order in TWO)


def few(both: Both) -> list[int]:
    """The numbers of the few layouts."""
    return [number for number, plan in enumerate(both.plans) if plan.id in FEW]


def test_pairs(both: Both) -> None:
    """Pairs of presses of each kind, in every order, on six layouts."""
    for number in few(both):
        chosen = random.Random(number).sample(kinds(both.plans[number], 1), 6)
        check(both, number, list(pairs(number, chosen, random.Random(number))), every=100)


def test_triples(both: Both) -> None:
    """Triples of presses of each kind, in some of the 409 orders, on six layouts."""
    for number in few(both):
        rng = random.Random(number)
        chosen = kinds(both.plans[number], 2)
        scripts = [
            script(number, triple, rng.choice(THREE), rng.choice(PAUSES))
            for triple in (rng.sample(chosen, 3) for _ in range(120))
            if distinct_usages(triple)
        ]
        check(both, number, scripts, every=40)


@pytest.mark.campaign
@pytest.mark.parametrize("id", FEW)
def test_all_pairs(both: Both, id: str) -> None:
    """Every pair of all presses that do something, in every order."""
    number = [plan.id for plan in both.plans].index(id)
    every = list(presses(both.plans[number]))
    for first in every:
        pairs_of_one = [(first, second) for second in every if second.usage != first.usage]
        rng = random.Random(first.usage)
        scripts = [script(number, pair, order, rng.choice(PAUSES)) for pair in pairs_of_one for order in TWO]
        check(both, number, scripts, every=500)


@pytest.mark.campaign
@pytest.mark.parametrize("id", FEW)
def test_all_triples_of_a_few(both: Both, id: str) -> None:
    """Every triple of one press of each kind, in all 409 orders."""
    number = [plan.id for plan in both.plans].index(id)
    chosen = random.Random(1).sample(kinds(both.plans[number], 1), 6)
    rng = random.Random(number)
    for triple in product(chosen, repeat=3):
        if distinct_usages(triple):
            check(both, number, [script(number, triple, order, rng.choice(PAUSES)) for order in THREE], every=200)
