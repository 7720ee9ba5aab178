"""Two and three keys in every order: each keystroke is read once, in order, rightly shifted, at every phase."""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import chain, combinations, islice, product

import pytest

from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Plan, Stroke, Trigger
from matrixmap.simulate import tape
from matrixmap.simulate.typing.reports import boot_report
from tests.agree.both import Both
from tests.agree.layouts import FEW
from tests.agree.promises import Listener, Recorder, read_at_every_phase, surely_read
from tests.agree.streams import Stream, orders
from tests.agree.triggers import fed_state, held_usages, presses

PAUSES = (10, 83, 450)
"""Ticks between two reports: much shorter than a keystroke takes, shorter, longer."""

LONG = 12_000

GCC, CLANG = (pytest.param(compiler, marks=pytest.mark.campaign) for compiler in ("gcc", "clang"))
"""In the suite each compiler has one of pairs and triples."""

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
    """Some presses of every kind of stroke: by what they demand, and by whether they close a crosspoint.

    Where kinds have the same keys, different ones are chosen, for a key is not down twice.
    """
    found: dict[object, list[Trigger]] = {}
    for press in presses(plan):
        action = plan.lookup(press)
        if isinstance(action, Stroke):
            direct = action.contacts[0] >= plan.layout.machine.crosspoints
            found.setdefault((action.demands, len(action.contacts), direct, press.extras), []).append(press)
    chosen: list[Trigger] = []
    for several in found.values():
        spread = several[:: max(len(several) // of_each, 1)][:of_each]
        taken = {press.usage for press in chosen}
        others = (press for press in several if press.usage not in taken | {one.usage for one in spread})
        chosen += [next(others, press) if press.usage in taken else press for press in spread]
    return chosen


def distinct_usages(chosen: Sequence[Trigger]) -> bool:
    """Whether the presses can be down together."""
    return len({press.usage for press in chosen}) == len(chosen)


@cache
def watching(both: Both) -> tuple[Recorder, Listener]:
    """Those who look at the promises; both start anew with each script."""
    return Recorder(both.plans, both.sizes), Listener(both.plans)


def check(both: Both, number: int, scripts: Sequence[Stream], every: int) -> None:
    """Plays the scripts with both engines, looks at the promises in each, and scans every so many at all phases."""
    plan = both.plans[number]
    recorder, listener = watching(both)
    both.check([event for script in scripts for event in script])
    for at, one in enumerate(scripts):
        changes, meant = recorder.record(one), listener.keystrokes(one)
        try:
            surely_read(plan, changes, meant, listener.latches)
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


@pytest.mark.parametrize("both", ["gcc", CLANG], indirect=True)
def test_pairs(both: Both) -> None:
    """Pairs of presses of each kind, in every order, on six layouts."""
    for number in few(both):
        chosen = random.Random(number).sample(kinds(both.plans[number], 1), 6)
        scripts = list(pairs(number, chosen, random.Random(number)))
        assert len(scripts) > 300
        check(both, number, scripts, every=100)


@pytest.mark.parametrize("both", [GCC, "clang"], indirect=True)
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
        assert len(scripts) > 40
        check(both, number, scripts, every=40)


def unlike(plan: Plan, every: Iterable[Trigger]) -> list[Trigger]:
    """One press of all those that do the same while the typist holds the same modifiers of the machine."""
    found: dict[object, Trigger] = {}
    for press in every:
        found.setdefault((plan.lookup(press), fed_state(plan, held_usages(press))), press)
    return list(found.values())


def check_all(both: Both, number: int, chosen: Iterable[tuple[Trigger, ...]], ways: Sequence[Order], every: int) -> int:
    """Plays these presses in all orders, some hundred at a time; how many scripts there were."""
    rng = random.Random(number)
    played = 0
    left = (keys for keys in chosen if distinct_usages(keys))
    while several := list(islice(left, 50)):
        scripts = [script(number, keys, order, rng.choice(PAUSES)) for keys in several for order in ways]
        check(both, number, scripts, every)
        played += len(scripts)
    return played


@pytest.mark.campaign
@pytest.mark.parametrize("id", FEW)
def test_all_pairs(both: Both, id: str) -> None:
    """Every pair of unlike presses without Control, Alt and Meta, and 5,000 pairs of all presses, in every order."""
    number = [plan.id for plan in both.plans].index(id)
    every = list(presses(both.plans[number]))
    chosen = unlike(both.plans[number], (press for press in every if not press.extras))
    rng = random.Random(number)
    others = [tuple(rng.sample(every, 2)) for _ in range(5_000)]
    assert check_all(both, number, chain(combinations(chosen, 2), others), TWO, every=500) > 70_000


@pytest.mark.campaign
@pytest.mark.parametrize("id", FEW)
def test_all_triples_of_a_few(both: Both, id: str) -> None:
    """Every triple of presses of one of each kind, up to nine, in all 409 orders."""
    number = [plan.id for plan in both.plans].index(id)
    every = kinds(both.plans[number], 1)
    chosen = random.Random(1).sample(every, min(9, len(every)))
    assert check_all(both, number, combinations(chosen, 3), THREE, every=200) > 6_000
