"""Pads under a runtime and a machine that reads: both engines close, pull and count alike, and what pads close is read."""

from __future__ import annotations

import ctypes
import random
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest

from matrixmap.circuit.reading import read_contacts
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Controller, Machine, SelectIndex, SenseIndex, Switch, Wiring
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from matrixmap.simulate.compiled import Compiled
from matrixmap.simulate.engine import Engine, Sizes
from matrixmap.simulate.model import Model
from matrixmap.simulate.player import Kind, Player
from matrixmap.simulate.scan import KeyRead, Moment, Reader
from matrixmap.simulate.script import read_script
from matrixmap.simulate.texts import as_text, legends_of
from matrixmap.simulate.trace import Tracer
from tests.pads.layouts import STEERED, plan_of
from tests.project import shipped_plan

Start = Callable[[list[Plan]], Engine]
AGAIN = STEERED.replace("layout: steered", "layout: again") + "resume: on\n"
SWAPS = STEERED.replace("pads:", "command_names: {3: swap-pads}\npads:")


def played(start: Start, plan: Plan, script: str) -> Player:
    """A script of one layout, played to its end."""
    events, faults = read_script(script.encode(), "s.txt")
    assert not faults
    player = Player(start([plan]))
    Tracer(player, {plan.id: 0}, [plan]).play(events)
    return player


def reads(player: Player, plan: Plan) -> tuple[KeyRead, ...]:
    """What the machine reads of it, its first scan beginning at 0."""
    return Reader(plan.layout.machine, plan.contacts).read(player.moments)


def switches(player: Player) -> list[tuple[float, int, int]]:
    """Each change of switches: ticks of 100 microseconds, controller, mask."""
    return [(note.time_us / 100, note.controller, note.number) for note in player.notes if note.kind is Kind.SWITCHES]


HELD = (
    "pad 1 connect\npad 0 press Button 1\nwait 40 ms\ndown ShiftLeft Slash\nwait 60 ms\npad 0 disconnect\nwait 100 ms\n"
)
LATE = "down ShiftLeft Slash\nwait 60 ms\npad 0 press Button 1\nwait 60 ms\npad 0 disconnect\nwait 100 ms\n"
UP = "up ShiftLeft Slash\nwait 100 ms\n"


@pytest.mark.parametrize(("text", "id", "read"), [(STEERED, "steered", "?"), (AGAIN, "again", "??")])
def test_a_key_gives_way_to_a_pull(start: Start, tmp_path: Path, text: str, id: str, read: str) -> None:
    """A pad pulls the sense line of the slash key, which Shift would carry on: it stays open, or opens, and is counted.

    Where keys come back, it closes once the pad has gone.
    """
    plan = plan_of(tmp_path, text, id)
    player = played(start, plan, HELD + UP + LATE + UP)
    assert as_text(legends_of(reads(player, plan))) == read
    assert (player.last.pads.clashes, player.last.refusals, player.last.contacts) == (2, 0, frozenset())
    slash = plan.layout.machine.key("slash").contact
    closed = [note.time_us for note in player.notes if note.kind is Kind.CLOSED and slash in note.contacts]
    assert closed == ([300_500] if id == "steered" else [100_000, 300_500, 420_000])


def test_a_tap_lasts_for_the_poll_time(start: Start, tmp_path: Path) -> None:
    """A switch that is on for 5 ms stays closed for as long as a key would; one whose pad goes opens at once."""
    plan = plan_of(tmp_path)
    tap = "pad 0 press Button 1\nwait 5 ms\n"
    player = played(start, plan, f"{tap}pad 0 release Button 1\nwait 95 ms\n{tap}pad 0 disconnect\n")
    poll = make_table(plan).poll
    assert poll > 50
    assert switches(player) == [(0, 0, 1), (poll, 0, 0), (1000, 0, 1), (1050, 0, 0)]
    assert [(read.key, read.by_pad) for read in reads(player, plan)] == [("colon", True)]


def test_what_is_read_is_told_apart(start: Start, tmp_path: Path) -> None:
    """A key that is read while a pad closes another is no press by a pad, and one whose own contact the pad closes is."""
    plan = plan_of(tmp_path)
    player = played(start, plan, "pad 0 press Button 1\nwait 60 ms\ndown KeyA\nwait 60 ms\nup KeyA\n")
    assert [(read.key, read.by_pad) for read in reads(player, plan)] == [("colon", True), ("a", False)]


@cache
def plans(folder: Path) -> tuple[Plan, ...]:
    """With pads that swap, with keys that come back, of the oar alone, and without pads."""
    oar = "layout: oar\nmachine: quillon8\nhost: en-GB\njoin: symbolic\npads: {order: oar, Ring: Button 1}\n"
    made = [(SWAPS, "steered"), (AGAIN, "again"), (oar, "oar")]
    return (*[plan_of(folder, text, id) for text, id in made], shipped_plan("quillon8-en-GB-symbolic"))


def random_script(rng: random.Random, ids: list[str]) -> Iterator[str]:
    """Keys of two keyboards and sources of three pads, changes of layout between."""
    keys = ["ShiftLeft", "ShiftLeft", "Slash", "Slash", "KeyA", "KeyX", "KeyN", "KeyD", "KeyQ", "Digit4", "Comma"]
    sources = ["Button 1", "Button 1", "Hat up", "Hat down", "D-pad left", "X+", "Button 8", "Button 9", "Button 10"]
    for _ in range(400):
        chance = rng.random()
        if chance < 0.35:
            yield f"{rng.choice(('down', 'up'))} {rng.choice(keys)} on {rng.randrange(2)}"
        elif chance < 0.65:
            yield f"pad {rng.randrange(3)} {rng.choice(('press', 'press', 'release'))} {rng.choice(sources)}"
        elif chance < 0.7:
            yield f"pad {rng.randrange(3)} {rng.choice(('connect', 'disconnect'))}"
        elif chance < 0.71:
            yield rng.choice(("swap pads", f"layout {rng.choice(ids)}"))
        else:
            yield f"wait {rng.choice((0.1, 0.5, 3, 20, 40, 90))} ms"
    yield from (f"pad {pad} disconnect" for pad in range(3))
    yield from (f"disconnect {keyboard}" for keyboard in range(2))


def test_both_engines_tell_the_same(library: ctypes.CDLL, tmp_path: Path) -> None:
    """Random scripts of keyboards, pads and layouts: the same contacts, pulls, switches and counts at the same times."""
    some = plans(tmp_path)
    numbers = {plan.id: number for number, plan in enumerate(some)}
    clashes = changes = pulls = 0
    for seed in range(8):
        events, faults = read_script("\n".join(random_script(random.Random(seed), list(numbers))).encode(), "s.txt")
        assert not faults
        told = []
        tables = [make_table(plan).to_bytes() for plan in some]
        for engine in (Model(some, Sizes(keyboards=4)), Compiled(library, some[0].layout.machine, tables)):
            player = Player(engine)
            Tracer(player, numbers, some).play(events)
            told.append(player)
        model, compiled = told
        assert model.moments == compiled.moments
        assert counted(model) == counted(compiled)
        assert switches(model) == switches(compiled)
        assert model.last == compiled.last
        assert not model.last.contacts
        clashes += model.last.pads.clashes
        changes += len(switches(model))
        pulls += sum(bool(moment.pulled) for moment in model.moments)
    assert min(clashes, changes, pulls) > 10, (clashes, changes, pulls)


def counted(player: Player) -> Counter[tuple[int, str]]:
    """What was counted, by time: within one time the C has more calls, and counts in another one of them."""
    found: Counter[tuple[int, str]] = Counter()
    for note in player.notes:
        if note.kind is Kind.COUNTER:
            found[note.time_us, note.text] += note.number
    return found


def test_the_machine_reads_what_pads_close(tmp_path: Path) -> None:
    """Random contacts and switches of all three kinds of wiring read as the circuit says that follows each current."""
    machine: Machine = plan_of(tmp_path).layout.machine
    rng = random.Random(4)
    for _ in range(300):
        chosen = []
        by_pads = pulled = 0
        for wired in rng.choices(tuple(Wiring), k=3):
            select, sense = SelectIndex(rng.randrange(8)), SenseIndex(rng.randrange(8))
            switch = Switch(function="x", select=None if wired is Wiring.GROUND else select, sense=sense)
            chosen.append((Controller(name="c", wired=wired, switches=(switch,)), switch))
            lines = range(8) if wired is Wiring.GROUND else (select,)
            mask = sum(1 << line * 8 + sense for line in lines)
            by_pads, pulled = (by_pads | mask, pulled) if wired is Wiring.CONTACT else (by_pads, pulled | mask)
        keys = frozenset(Contact(rng.randrange(64)) for _ in range(rng.randrange(4)))
        joined = frozenset(Contact(bit) for bit in range(64) if by_pads >> bit & 1)
        wanted = read_contacts(machine, keys, Contacts.SWITCH, chosen)
        found = Reader(machine, Contacts.SWITCH).image(keys | joined, pulled)
        assert found == sum(1 << contact for contact in wanted)


def test_the_phase_of_a_pull_is_read_line_by_line(tmp_path: Path) -> None:
    """A pull that comes within a scan is read on the lines that are strobed after it, and not on those before."""
    plan = plan_of(tmp_path)
    machine = plan.layout.machine
    sense = machine.sense.index("N5")
    column = sum(1 << line * 8 + sense for line in range(8))
    reader = Reader(machine, plan.contacts)
    step = reader.pace.step / reader.pace.grain
    moments = [Moment(int(14_000 + 4.5 * step), frozenset(), 0, column), Moment(90_000, frozenset())]
    wholes = [whole for start, whole in reader._sweeps(moments, 0, 40_000 * reader.pace.grain)]
    assert column & ~((1 << 5 * 8) - 1) in wholes
    assert column in wholes
