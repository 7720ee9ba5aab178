"""Pads: the switches of controllers close at once, and keys that would carry their pull on are kept from closing."""

from __future__ import annotations

import ctypes
import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from tests.shipped import in_campaign, seeds_up_to

from .conftest import build
from .engine import Engine
from .machine import pulled_phantoms
from .model import Model
from .table import GUARD, RESUME, WHOLE, Controller, Group, Kind, Table, Wired, with_checksum
from .test_model import OFTEN_KEYS, OFTEN_STROKES, Match, named_in, random_layout, with_sequences

ALL = ("-DMM_PADS=1", "-DMM_SEQUENCES=1", "-DMM_RESUME=1", "-DMM_WHOLE=1")


@pytest.fixture(scope="module", params=["gcc", in_campaign("clang"), "gcc with little"])
def lib(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[ctypes.CDLL, bool]:
    """The runtime with pads and all else that may be left out, and with pads alone besides keys that come back."""
    compiler, *little = request.param.split(" ", 1)
    settings = ("-DMM_PADS=1", "-DMM_RESUME=1", "-DMM_CHECKSUM=0") if little else ALL
    return build(compiler, tmp_path_factory.mktemp("pads"), *settings), not little


def with_controllers(rng: random.Random, tables: list[Table]) -> list[Table]:
    """Tables with the same controllers, of all three kinds of wiring, often on the lines of keys and modifiers."""
    controllers = []
    for _ in range(rng.randrange(1, 3)):
        wired = rng.choice(tuple(Wired))
        numbers = list(range(rng.randrange(1, 9)))
        values = [rng.randrange(6) << 4 | rng.randrange(6) for _ in numbers]
        if wired is Wired.GROUND:
            values = [value & 15 for value in values]
        elif rng.random() < 0.3:
            values[0] = rng.choice([value for kind, value in tables[0].modifiers if kind == 0] or values)
        rng.shuffle(numbers)
        pairs = tuple((numbers[at], numbers[at + 1]) for at in (0, 2) if at + 1 < len(numbers) and rng.random() < 0.7)
        controllers.append(Controller(switches=tuple((wired, value) for value in values), opposites=pairs))
    poll = rng.choice((0, 3, 25, 200))
    return [replace(table, controllers=tuple(controllers), poll=poll) for table in tables]


class PadMatch(Match):
    """The C and the model with pads."""

    def controller(self, number: int, switches: int) -> None:
        """A report of a pad."""
        self.engine.lib.mm_controller(self.engine.state, number, switches)
        self.model.pads.give(self.model.input.table, number, switches)

    def unplug(self, number: int) -> None:
        """A pad is gone."""
        self.engine.lib.mm_unplugged(self.engine.state, number)
        self.model.pads.unplug(number)

    def settle(self) -> None:
        """All calls that are due; then both know whether there is anything to do."""
        super().settle()
        assert self.engine.idle == self.model.idle

    def let_all_go(self) -> None:
        """The pads are gone, too."""
        for number in range(2):
            self.unplug(number)
        super().let_all_go()

    def compare(self) -> None:
        """The pulls are equal too, and no phantom is read."""
        assert self.engine.pulls == self.model.pulls
        assert self.engine.clashes == self.model.clashes
        super().compare()
        assert not carried_on(self.model, self.engine.masks, self.engine.pulls)


def carried_on(model: Model, masks: tuple[int, ...], pulls: tuple[int, ...]) -> frozenset[tuple[int, int]]:
    """What is read besides what is closed and pulled, with the guard on and while pads and modifiers alone make none."""
    table = model.layout.table
    if not table.flags & GUARD:
        return frozenset()
    board = model.board(model.modifiers)
    alone = tuple(sum(1 << bit for bit in board.get(line, ())) for line in range(table.select))
    if pulled_phantoms(alone, pulls[: table.select]):
        return frozenset()
    return pulled_phantoms(masks[: table.select], pulls[: table.select])


def play(lib: ctypes.CDLL, rng: random.Random, tables: list[Table], events: int) -> Model:
    """Random events of two keyboards and two pads to both, compared after each."""
    match = PadMatch(lib, rng, tables)
    named = named_in(tables)
    down: list[set[int]] = [set(), set()]
    held = [0, 0]
    for _ in range(events):
        action = rng.random()
        which = rng.choice((0, 0, 0, 1))
        if action < 0.35:
            down[which] = match.moved(down[which], named)
            match.usages(which, down[which])
        elif action < 0.6:
            pad = rng.choice((0, 0, 1, 1, 2, 255)) if rng.random() < 0.1 else rng.randrange(2)
            now = held[pad % 2] ^ 1 << rng.randrange(8) if rng.random() < 0.8 else rng.randrange(256)
            held[pad % 2] = now if rng.random() < 0.7 else 0
            match.controller(pad, held[pad % 2])
        elif action < 0.63:
            match.unplug(rng.choice((0, 1, 2)))
        elif action < 0.65:
            match.disconnect(which)
            down[which] = set()
        elif action < 0.67:
            match.change_layout()
        elif action < 0.69:
            match.type(rng.choice(named), rng.randrange(256))
        else:
            match.wait()
        match.call_some()
    match.let_all_go()
    assert match.engine.pulls == (0,) * 17
    return match.model


def random_tables(rng: random.Random, everything: bool) -> list[Table]:
    """Two tables of one machine with controllers."""
    tables = [random_layout(rng, rng.choice((OFTEN_KEYS, OFTEN_STROKES))) for _ in range(2)]
    tables = [replace(table, flags=table.flags | rng.choice((0, RESUME))) for table in tables]
    if everything:
        tables = [replace(table, flags=table.flags | rng.choice((0, WHOLE))) for table in tables]
        if rng.random() < 0.3:
            tables = [with_sequences(rng, table) for table in tables]
    tables = with_controllers(rng, tables)
    if rng.random() < 0.15:
        tables[rng.randrange(2)] = replace(tables[0], controllers=())
    return tables


@pytest.mark.parametrize("seed", seeds_up_to(6, 30))
def test_random_pads(lib: tuple[ctypes.CDLL, bool], seed: int) -> None:
    """Random tables, keyboards and pads: equal contacts, pulls and counters, no phantom, and nothing is stuck."""
    rng = random.Random(7000 + seed)
    play(lib[0], rng, random_tables(rng, everything=lib[1]), 400)


@pytest.mark.campaign
@pytest.mark.parametrize("compiler", ["gcc", "clang"])
def test_a_million_events(compiler: str, tmp_path: Path, record_figure: Callable[[str], None]) -> None:
    """The same for more than a million events."""
    made = build(compiler, tmp_path, *ALL)
    events = 0
    clashes = 0
    for seed in range(1800):
        rng = random.Random(f"{compiler} {seed}")
        clashes += play(made, rng, random_tables(rng, everything=True), 300).clashes
        events += 300
    record_figure(f"pads, {compiler}: {events} events, {clashes} clashes, no difference and no phantom")
    assert events * 2 > 1_000_000
    assert clashes > 1000


def test_no_phantom_means_each_line_is_read_whole() -> None:
    """On random matrices with ground, gated and contact switches the rule of the guard is what a search of the lines finds.

    There is a phantom if and only if some select line joins a part, not all, of what is read on another.
    """
    rng = random.Random(40)
    found = 0
    for _ in range(4_000):
        lines, senses = rng.randrange(1, 6), rng.randrange(1, 6)
        some = [rng.choice((0, rng.randrange(1 << senses))) & rng.randrange(1 << senses) for _ in range(3 * lines)]
        ground = rng.choice((0, 0, 1 << rng.randrange(senses)))
        joined = tuple(some[:lines])
        pulls = tuple(gated & rng.choice((0, -1)) | ground for gated in some[lines : 2 * lines])
        read = [own | low for own, low in zip(joined, pulls, strict=True)]
        broken = any(own & low and own & ~low for own in joined for low in read)
        assert broken == bool(pulled_phantoms(joined, pulls))
        found += broken
    assert 500 < found < 3_500


SHARED = Table(
    modifiers=((Kind.CROSSPOINT, 0x33),),
    demands=((0, 0), (1, 0)),
    groups=(
        Group(kind=Kind.MODIFIER, entries=((0xE1, 1),)),
        Group(kind=Kind.CROSSPOINT, entries=((0x04, 0x00), (0x05, 0x01), (0x06, 0x12), (0x07, 0x34))),
        Group(kind=Kind.CROSSPOINT, demand=1, entries=((0x08, 0x25),)),
    ),
    flags=GUARD,
    close=400,
    open=300,
    lead=20,
    controllers=(
        Controller(switches=tuple((Wired.GROUND, sense) for sense in (0, 1, 2)), opposites=((0, 1),)),
        Controller(switches=((Wired.GATED, 0x12), (Wired.CONTACT, 0x00), (Wired.CONTACT, 0x33))),
    ),
    poll=200,
)
A, B, C, D, PLAIN_E = range(0x04, 0x09)
PULL_0, PULL_1, PULL_2 = range(3)
GATE, SAME_AS_A, SHIFT = range(3)


@pytest.fixture
def begin(lib: tuple[ctypes.CDLL, bool]) -> Callable[[Table], Engine]:
    """Starts an engine on a table."""

    def start(table: Table) -> Engine:
        made = Engine(lib[0], table.to_bytes())
        assert made.sound
        return made

    return start


Begin = Callable[[Table], Engine]


def test_a_pull_is_handed_out(begin: Begin) -> None:
    """A grounded switch pulls with every line, a gated one with its own; neither closes a contact, and a plain one does."""
    engine = begin(SHARED)
    engine.controller(0, PULL_2)
    engine.controller(1, GATE, SAME_AS_A)
    assert engine.pulls == (4, 4, *[4] * 14, 4)
    assert engine.contacts == {("x", 0, 0)}
    engine.unplug(0)
    assert engine.pulls == (0, 4, *[0] * 15)


def test_a_key_that_would_carry_a_pull_on_is_kept(begin: Begin) -> None:
    """A and B share a select line: while A's sense line is pulled, B beside A would be read on each line. So A gives way."""
    engine = begin(SHARED)
    engine.controller(0, PULL_0)
    engine.report(A)
    engine.run(2000)
    assert engine.contacts == {("x", 0, 0)}
    engine.report(A, B)
    engine.run(2000)
    assert engine.contacts == {("x", 0, 1)}
    assert (engine.clashes, engine.refusals) == (0, 0)


def test_a_new_pull_opens_a_key_in_its_close_time(begin: Begin) -> None:
    """Both keys are closed when a pull comes: the older one is opened at once, and comes back when the pull goes."""
    engine = begin(replace(SHARED, flags=GUARD | RESUME))
    engine.report(A)
    engine.run(2000)
    engine.report(A, B)
    engine.run(100)
    assert engine.contacts == {("x", 0, 0), ("x", 0, 1)}
    engine.mark()
    engine.controller(0, PULL_0)
    assert engine.contacts == {("x", 0, 1)}
    engine.run(2000)
    engine.controller(0)
    engine.run(2000)
    assert engine.contacts == {("x", 0, 0), ("x", 0, 1)}


def test_the_newest_gives_way_in_its_close_time(begin: Begin) -> None:
    """A pad closes the contact of the key that has just closed: it is opened at once, counted, and comes back."""
    engine = begin(replace(SHARED, flags=GUARD | RESUME))
    engine.report(A)
    engine.run(50)
    assert engine.contacts == {("x", 0, 0)}
    engine.controller(1, SAME_AS_A)
    assert (engine.clashes, engine.refusals) == (1, 0)
    assert engine.contacts == {("x", 0, 0)}
    engine.run(2000)
    engine.controller(1)
    engine.mark()
    engine.run(2000)
    assert engine.contacts == {("x", 0, 0)}
    engine.report()
    engine.run(2000)
    assert engine.idle


def test_a_key_under_a_pad_is_refused_and_counted_apart(begin: Begin) -> None:
    """A key whose contact a pad closes is refused; without keys that come back it stays open when the pad lets go."""
    engine = begin(SHARED)
    engine.controller(1, SAME_AS_A)
    engine.report(A)
    engine.run(2000)
    assert (engine.clashes, engine.refusals) == (1, 0)
    engine.controller(1)
    engine.run(2000)
    assert engine.contacts == frozenset()


def test_a_modifier_under_a_pad_counts_as_held(begin: Begin) -> None:
    """A stroke that passes the modifier is closed, one that lifts it is refused and counted."""
    engine = begin(SHARED)
    engine.controller(1, SHIFT)
    engine.report(PLAIN_E)
    engine.run(2000)
    assert (engine.contacts, engine.clashes) == ({("x", 3, 3)}, 1)
    engine.report(PLAIN_E, C)
    engine.run(2000)
    assert engine.contacts == {("x", 3, 3), ("x", 1, 2)}
    engine.report()
    engine.run(2000)
    engine.unplug(1)
    engine.run(20)
    assert engine.contacts == frozenset()
    assert engine.idle


def test_a_tap_stays_for_the_poll_time(begin: Begin) -> None:
    """A switch that was only tapped is closed for the poll time, one that comes meanwhile until the end of the next."""
    engine = begin(SHARED)
    engine.lib.mm_controller(engine.state, 0, 1)
    engine.lib.mm_controller(engine.state, 0, 0)
    engine.settle()
    assert engine.pulls[16] == 1
    engine.run(50)
    engine.controller(0, PULL_2)
    engine.controller(0)
    engine.run(149)
    assert engine.pulls[16] == 5
    engine.run(1)
    assert engine.pulls[16] == 4
    engine.run(199)
    assert engine.pulls[16] == 4
    engine.run(1)
    assert engine.pulls[16] == 0
    assert engine.idle


def test_unplugging_ends_the_poll_time(begin: Begin) -> None:
    """All switches of a pad that is gone open at once, those of another stay."""
    engine = begin(SHARED)
    engine.controller(0, PULL_0)
    engine.controller(1, GATE)
    engine.unplug(0)
    assert engine.pulls == (0, 4, *[0] * 15)


def test_opposite_switches_are_never_closed_together(begin: Begin) -> None:
    """Two that are on at once are both let go; one that comes ends the poll time of the other."""
    engine = begin(SHARED)
    engine.controller(0, PULL_0)
    engine.run(1000)
    engine.controller(0, PULL_0, PULL_1, PULL_2)
    assert engine.pulls[16] == 4
    engine.controller(0, PULL_1)
    assert engine.pulls[16] == 2 | 4
    engine.run(1000)
    engine.controller(0, PULL_0)
    engine.controller(0, PULL_1)
    assert engine.pulls[16] == 2
    both = replace(SHARED, controllers=tuple(replace(one, opposites=()) for one in SHARED.controllers))
    engine = begin(both)
    engine.controller(0, PULL_0, PULL_1)
    assert engine.pulls[16] == 3


def test_switches_wait_for_a_new_layout(begin: Begin) -> None:
    """They open when a layout change is due, and those that are on close by the new layout, a lead time later."""
    other = replace(SHARED, controllers=(Controller(switches=((Wired.GROUND, 7),)), SHARED.controllers[1]))
    engine = begin(SHARED)
    engine.controller(0, PULL_0)
    engine.run(1000)
    assert engine.change_layout(other.to_bytes())
    assert engine.pulls[16] == 0
    engine.run(19)
    assert engine.pulls[16] == 0
    engine.run(1)
    assert engine.pulls[16] == 1 << 7
    without = replace(SHARED, controllers=())
    assert engine.change_layout(without.to_bytes())
    engine.run(1000)
    assert engine.pulls[16] == 0
    assert engine.idle


def test_what_does_not_count(begin: Begin) -> None:
    """A controller that the table has not, and bits beyond its switches, close nothing."""
    engine = begin(SHARED)
    engine.controller(2, 0)
    engine.controller(255, 0)
    engine.controller(0, 3, 7)
    engine.run(1000)
    assert engine.pulls == (0,) * 17
    assert engine.contacts == frozenset()


def test_tables_with_controllers_are_looked_at(lib: tuple[ctypes.CDLL, bool], tmp_path: Path) -> None:
    """A runtime without pads refuses a table with controllers, and one with pads each that is cut or has too many."""
    without = build("gcc", tmp_path)
    assert Engine(without, replace(SHARED, controllers=()).to_bytes()).sound
    assert not Engine(without, SHARED.to_bytes()).sound
    body = SHARED.to_bytes()[:-2]
    for count in range(len(body) - 55, len(body)):
        assert Engine(lib[0], with_checksum(body[:count])).sound == (count == len(body) - 55)
    assert not Engine(lib[0], with_checksum(body + b"\0")).sound
    three = replace(SHARED, controllers=(*SHARED.controllers, SHARED.controllers[0]))
    assert not Engine(lib[0], three.to_bytes()).sound


def let_go_with_shift(engine: Engine) -> None:
    """A, B and C are held with Shift; then C and Shift are let go at once: C opens, and Shift lags behind it."""
    for keys in ((A,), (A, B), (A, B, C)):
        engine.report(*keys, modifiers=0x02)
        engine.run(2000)
    assert len(engine.contacts - {("x", 3, 0), ("x", 3, 3)}) == 3
    engine.report(A, B)
    engine.run(1)


def test_a_switch_that_closes_is_judged_with_modifiers_that_lag(begin: Begin) -> None:
    """A pad at S0/N3 makes a phantom with A and B at S0 and Shift at S3/N3, which is about to open: the keys give way."""
    pad = Controller(switches=((Wired.CONTACT, 0x03),))
    engine = begin(replace(SHARED, controllers=(pad,)))
    let_go_with_shift(engine)
    assert ("x", 3, 3) in engine.contacts
    engine.controller(0, 0)
    assert engine.contacts == {("x", 0, 3), ("x", 3, 3)}
    assert engine.clashes == 2


def test_a_switch_that_opens_is_judged_with_modifiers_that_lag(begin: Begin) -> None:
    """A and Shift share sense line 0; what A and B join is pulled with Shift's line anyway, until the pad lets go."""
    pad = Controller(switches=((Wired.GATED, 0x30), (Wired.GATED, 0x31)))
    engine = begin(replace(SHARED, modifiers=((Kind.CROSSPOINT, 0x30),), controllers=(pad,)))
    engine.controller(0, 0, 1)
    let_go_with_shift(engine)
    assert engine.contacts == {("x", 0, 0), ("x", 0, 1), ("x", 3, 0)}
    engine.controller(0)
    assert engine.contacts == {("x", 0, 1), ("x", 3, 0)}
    assert engine.clashes == 1
