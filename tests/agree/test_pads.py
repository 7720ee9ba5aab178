"""Layouts whose pads drive the controllers: both engines show the same contacts, pulls and clashes."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import pytest

from matrixmap.model.machine import Controller, SelectIndex, SenseIndex, Switch, Wiring
from matrixmap.model.plan import Driven, Plan
from matrixmap.simulate import tape
from tests.agree.both import Both, build
from tests.agree.layouts import few_plans, special_plans
from tests.agree.streams import Stream, random_stream
from tests.shipped import in_campaign

from .conftest import SMALL

GATED = Controller(
    name="pedal",
    wired=Wiring.GATED,
    switches=tuple(
        Switch(function=f"Foot {sense}", select=SelectIndex(select), sense=SenseIndex(sense))
        for select, sense in ((0, 5), (7, 2), (3, 3), (3, 4))
    ),
)
"""On lines of keys that the shipped controllers of the machine leave alone."""

ON_MODIFIERS = Controller(
    name="lever",
    wired=Wiring.CONTACT,
    switches=tuple(
        Switch(function=f"Notch {select}", select=SelectIndex(select), sense=SenseIndex(sense))
        for select, sense in ((3, 7), (6, 1), (4, 4), (2, 4))
    ),
)
"""Three on contacts of modifier keys."""


def driven(plan: Plan, poll: int | None = None) -> Plan:
    """The plan with two more controllers, and pads that drive all."""
    layout = plan.layout
    machine = replace(layout.machine, controllers=(*layout.machine.controllers, GATED, ON_MODIFIERS))
    opposites = (("tiller", "Port", "Starboard"), ("tiller", "Ahead", "Astern"), ("oar", "Pull", "Back"))
    return replace(plan, layout=replace(layout, machine=machine), driven=Driven(opposites=opposites, poll_ticks=poll))


def with_pads(seed: int, stream: Stream) -> Stream:
    """The stream with events of four pads between."""
    rng = random.Random(seed)
    held = [0, 0, 0, 0, 0]
    found = [stream[0]]
    for event in stream[1:]:
        found.append(event)
        while rng.random() < 0.4:
            pad = rng.randrange(5)
            held[pad] = rng.choice((0, held[pad] ^ 1 << rng.randrange(8), held[pad] ^ 1 << rng.randrange(5)))
            found.append(tape.controller(pad, held[pad]) if rng.random() < 0.93 else tape.unplugged(pad))
    return found


@cache
def pad_plans() -> list[Plan]:
    """Shipped layouts and such as are made for the tests, the last of them without pads."""
    plans = [*few_plans()[:4], *special_plans()]
    pads = [driven(plan, poll) for plan, poll in zip(plans, (None, 0, 200, 30) * 4, strict=False)]
    return [*pads, replace(pads[0], driven=None)]


def few_streams(plans: Sequence[Plan], count: int) -> Iterator[Stream]:
    """Random typing with pads, every second stream with changes of layout."""
    for seed in range(count):
        number = seed % len(plans)
        layouts = ((), range(len(plans)))[seed % 2]
        yield with_pads(seed, random_stream(seed, plans[number], number, 250, keyboards=2, layouts=layouts))


@pytest.fixture(scope="module", params=["gcc", in_campaign("clang")])
def both(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Both:
    """Shipped layouts and such as are made for the tests, some of them without pads."""
    library = build(tmp_path_factory.mktemp(request.param), SMALL, request.param)
    return Both(pad_plans(), SMALL, library)


def test_pads_at_random(both: Both) -> None:
    """Random typing with pads, and changes of layout: equal after every event."""
    for stream in few_streams(both.plans, 30):
        both.check(stream)
