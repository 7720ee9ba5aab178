"""The C and a second writing of its rules show the same after every event."""

from __future__ import annotations

import ctypes
import random
from dataclasses import replace

import pytest

from tests.shipped import seeds_up_to

from .engine import Engine
from .layouts import CAPS, F1, F2, F3, F4, F5, KEYPAD_1, LAYOUT, NUM, PLACES
from .model import Layout, Model
from .table import (
    ACCENT_ALONE,
    ALT_GR,
    APART,
    CAPS_LOCK,
    CONTROL,
    DEAD_KEYS,
    DROPS,
    GOES_ON,
    GUARD,
    KEEPS,
    META,
    NUM_LOCK,
    RESUME,
    SEQUENCE,
    SEQUENCES,
    TAKES_BACK,
    WHOLE,
    Group,
    Kind,
    Table,
)

KEYS = (*PLACES, F2, F3, F4, F5, KEYPAD_1, CAPS, NUM, 0x65, 0x31, 0x32)
MODIFIERS = tuple(range(0xE0, 0xE8))


OFTEN_STROKES = (*(Kind.CROSSPOINT,) * 8, Kind.DIRECT, Kind.CHORD, Kind.LATCH, Kind.COMMAND, Kind.NOTHING)
OFTEN_KEYS = (*(Kind.CROSSPOINT,) * 12, Kind.DIRECT, Kind.CHORD)
OFTEN_LATCHES = (Kind.CROSSPOINT, Kind.LATCH, Kind.LATCH, Kind.COMMAND)


def random_layout(rng: random.Random, kinds: tuple[Kind, ...] = OFTEN_STROKES) -> Table:
    """A sound table with a bit of everything; every usage is named once for each level and set of extras."""
    free = [(line, bit) for line in range(6) for bit in range(6)]
    rng.shuffle(free)
    count = rng.randrange(1, 6)
    modifiers = tuple(
        (Kind.DIRECT, 7) if rng.random() < 0.1 and number == 0 else (Kind.CROSSPOINT, line << 4 | bit)
        for number, (line, bit) in enumerate(free[:count])
    )
    free = free[count:]
    everything = (1 << count) - 1
    demands = tuple(
        (rule := rng.randrange(everything + 1), rng.randrange(everything + 1) & rule)
        for _ in range(rng.randrange(1, 5))
    )
    chords = tuple(
        tuple(
            (Kind.CROSSPOINT, line << 4 | bit) if rng.random() < 0.8 else (Kind.DIRECT, rng.randrange(3))
            for line, bit in rng.sample(free, rng.randrange(5))
        )
        for _ in range(2)
    )
    chords = tuple(tuple(dict.fromkeys(chord)) for chord in chords)
    entries: dict[tuple[Kind, int, int], list[tuple[int, int]]] = {}
    fed = rng.sample((*MODIFIERS, 0x65), rng.randrange(5))
    for usage in rng.sample(KEYS, rng.randrange(4, len(KEYS))) + rng.sample(MODIFIERS, 2):
        if usage in fed:
            continue
        for extras in dict.fromkeys((0, rng.choice((0, CONTROL, META, CONTROL | META)))):
            levels = 0x0F
            while levels:
                when = rng.randrange(16) & levels or levels
                levels &= ~when
                kind = rng.choice(kinds)
                line, bit = rng.choice(free)
                value = {
                    Kind.CROSSPOINT: line << 4 | bit,
                    Kind.DIRECT: rng.randrange(3),
                    Kind.CHORD: rng.randrange(2),
                    Kind.LATCH: 1 << rng.randrange(count),
                }.get(kind, rng.randrange(256))
                group = entries.setdefault((kind, when | extras, rng.randrange(len(demands))), [])
                if rng.random() < 0.8 and not any(named == usage for named, _ in group):
                    group.append((usage, value))
    groups = [
        Group(kind=kind, when=when, demand=demand, entries=tuple(group))
        for (kind, when, demand), group in entries.items()
    ]
    groups = [replace(group, after=rng.choice((0, 0, 0, 0, KEEPS, TAKES_BACK, DROPS))) for group in groups]
    groups += random_dead_keys(rng, free, len(demands))
    groups.append(Group(kind=Kind.MODIFIER, entries=tuple((u, rng.randrange(everything + 1)) for u in fed)))
    rng.shuffle(groups)
    groups.sort(key=lambda group: (group.kind is not Kind.MODIFIER, group.after not in DEAD_KEYS))
    return Table(
        direct=8,
        modifiers=modifiers,
        demands=demands,
        caps=((0x04, 0x0A, rng.randrange(4)), (0x08, 0x20, rng.randrange(4))),
        chords=chords,
        groups=unambiguous(groups),
        flags=rng.choice((GUARD, GUARD, GUARD, 0))
        | rng.choice((0, APART))
        | rng.choice((0, ALT_GR))
        | rng.choice((CAPS_LOCK | NUM_LOCK, CAPS_LOCK, NUM_LOCK, 0)),
        rollover=rng.choice((0, 0, 1, 2, 3)),
        close=rng.choice((0, 7, 40)),
        open=rng.choice((0, 5, 60, 3000)),
        lead=rng.choice((0, 2, 9)),
    )


def random_dead_keys(rng: random.Random, free: list[tuple[int, int]], demands: int) -> list[Group]:
    """A few dead keys, some with an accent by itself, and their pairs."""
    numbers = rng.sample(DEAD_KEYS, rng.randrange(3))
    if not numbers:
        return []
    named = rng.sample(KEYS, 3)
    groups = [
        Group(kind=Kind.DEAD_KEY, when=rng.choice((1, 2, 0x0F)), entries=((u, rng.choice(numbers)),)) for u in named
    ]
    for number in numbers:
        for usage in (0, *rng.sample(KEYS, 4), *rng.sample(named, 1)):
            line, bit = rng.choice(free)
            when = 0x0F if usage == 0 else rng.choice((1, 2, 0x0F))
            kind = rng.choice((Kind.CROSSPOINT,) * 4 + (Kind.CHORD,))
            value = line << 4 | bit if kind is Kind.CROSSPOINT else 0
            demand = rng.randrange(demands)
            if usage or rng.random() < 0.7:
                groups.append(Group(kind=kind, when=when, demand=demand, after=number, entries=((usage, value),)))
    return groups


def with_sequences(rng: random.Random, table: Table) -> Table:
    """A table with sequences: of some keys, after dead keys, of accents; some of them go nowhere, or back."""
    dead = {group.after for group in table.groups if group.after in DEAD_KEYS}
    numbers = rng.sample([number for number in DEAD_KEYS if number not in dead], 3)
    named = rng.sample(KEYS, 6)
    taken = {usage for group in table.groups if group.kind is Kind.MODIFIER for usage, _ in group.entries}
    groups = []
    for number in numbers:
        usages = [usage for usage in (*rng.sample(named, 4), rng.choice(KEYS)) if usage not in taken]
        for usage in (ACCENT_ALONE, GOES_ON, *usages):
            kind = rng.choice((Kind.CROSSPOINT,) * 6 + (Kind.CHORD, Kind.DEAD_KEY, Kind.DEAD_KEY, Kind.LATCH))
            value = {
                Kind.CROSSPOINT: rng.randrange(6) << 4 | rng.randrange(6),
                Kind.DEAD_KEY: rng.choice((SEQUENCE | rng.choice(numbers), rng.choice(numbers))),
                Kind.LATCH: 1,
            }.get(kind, 0)
            when = 0x0F if usage < 2 else rng.choice((1, 2, 0x0F))
            demand = rng.randrange(len(table.demands))
            if rng.random() < 0.9:
                groups.append(Group(kind=kind, when=when, demand=demand, after=number, entries=((usage, value),)))
    for number in sorted(dead):
        value = SEQUENCE | rng.choice(numbers)
        usages = [ACCENT_ALONE, *(usage for usage in named[:2] if usage not in taken)]
        groups += [Group(kind=Kind.DEAD_KEY, after=number, entries=((usage, value),)) for usage in usages]
    for usage in named:
        if usage not in taken:
            extras = rng.choice((0, 0, 0, CONTROL))
            after = rng.choice((0, 0, KEEPS, DROPS))
            entries = ((usage, SEQUENCE | rng.choice(numbers)),)
            groups.append(Group(kind=Kind.DEAD_KEY, when=0x0F | extras, after=after, entries=entries))
    rng.shuffle(groups)
    groups += table.groups
    groups.sort(key=lambda group: (group.kind is not Kind.MODIFIER, group.after not in DEAD_KEYS))
    return replace(table, groups=unambiguous(groups), flags=table.flags | SEQUENCES | rng.choice((0, RESUME)))


def unambiguous(groups: list[Group]) -> tuple[Group, ...]:
    """Without the entries that a group before answers too: at most one may."""
    seen: set[tuple[int, int, int, int]] = set()
    kept = []
    for group in groups:
        entries = []
        for usage, value in group.entries:
            pair = group.after if group.after in DEAD_KEYS else 0
            cells = {(pair, usage, level, group.when >> 4) for level in range(4) if group.when >> level & 1}
            if not cells & seen:
                seen |= cells
                entries.append((usage, value))
        kept.append(replace(group, entries=tuple(entries)))
    return tuple(kept)


class Match:
    """The C and the model side by side, with what is given to both."""

    def __init__(self, lib: ctypes.CDLL, rng: random.Random, tables: list[Table]) -> None:
        self.rng, self.tables = rng, tables
        self.engine = Engine(lib, tables[0].to_bytes())
        assert self.engine.sound
        self.model = Model(Layout(table=tables[0]))
        self.model.settle(0)

    def usages(self, keyboard: int, down: set[int]) -> None:
        """An input set."""
        self.engine.lib.mm_usages(self.engine.state, keyboard, bitmap(down))
        self.model.take(keyboard, down)

    def type(self, usage: int, modifiers: int) -> None:
        """A keystroke of pasted text."""
        room = self.engine.lib.mm_room(self.engine.state)
        taken = self.engine.lib.mm_type(self.engine.state, usage, modifiers)
        assert taken == self.model.type(usage, modifiers)
        assert self.engine.lib.mm_room(self.engine.state) == room - taken

    def disconnect(self, keyboard: int) -> None:
        """A link is lost."""
        self.engine.lib.mm_disconnected(self.engine.state, keyboard)
        self.model.take(keyboard, set())

    def change_layout(self) -> None:
        """A change to one of the tables."""
        table = self.rng.choice(self.tables)
        assert self.engine.lib.mm_change_layout(self.engine.state, *self.engine._keep(table.to_bytes()))
        self.model.change_layout(table)

    def settle(self) -> None:
        """All calls that are due."""
        self.engine.settle()
        self.model.settle(self.engine.now)
        self.compare()

    def call_once(self) -> None:
        """One call; between two that follow at once there may be input and changes of layout, too."""
        at_once = self.engine.advance() == 0
        assert at_once == self.model.advance(self.engine.now)
        self.compare()
        if at_once and self.rng.random() < 0.15:
            self.change_layout()

    def moved(self, down: set[int], named: list[int]) -> set[int]:
        """The keys that are down after some of them moved; never more than seven."""
        found = down ^ {self.rng.choice(named) for _ in range(self.rng.choice((1, 1, 1, 2, 3)))}
        return set(self.rng.sample(sorted(found), 3)) if len(found) > 7 else found

    def wait(self) -> None:
        """Some time passes, at times so much that the clock goes back."""
        self.engine.now += self.rng.choice((0, 1, 1, 2, 3, 5, 7, 9, 40, 60, 200, 0x7FFF, 0xFFFF))

    def call_some(self) -> None:
        """All calls that are due, one or none; locks and counters are equal then."""
        calls = self.rng.random()
        if calls < 0.65:
            self.settle()
        elif calls < 0.85:
            self.call_once()
        engine, model = self.engine, self.model
        assert (engine.leds, engine.overflows, engine.refusals) == (model.leds, model.overflows, model.refusals)

    def let_all_go(self) -> None:
        """All links are lost; once all times have passed nothing is left to do."""
        for keyboard in range(2):
            self.disconnect(keyboard)
        for _ in range(150):
            self.engine.now += 450
            self.settle()
        assert self.engine.idle
        assert self.model.idle

    def compare(self) -> None:
        """Equal contacts and commands; now and then a command changes the layout."""
        assert self.engine.masks == self.model.masks
        command, self.model.command = self.model.command, None
        assert self.engine.command() == command
        if command is not None and self.rng.random() < 0.5:
            self.change_layout()


def play(lib: ctypes.CDLL, rng: random.Random, tables: list[Table], events: int) -> None:
    """Random events to both, compared after each."""
    match = Match(lib, rng, tables)
    named = named_in(tables)
    down: list[set[int]] = [set(), set()]
    for _ in range(events):
        action = rng.random()
        keyboard = rng.choice((0, 0, 0, 1))
        if action < 0.55:
            down[keyboard] = match.moved(down[keyboard], named)
            match.usages(keyboard, down[keyboard])
        elif action < 0.58:
            match.usages(keyboard, {rng.randrange(1, 4), *(u for u in MODIFIERS if rng.random() < 0.3)})
            down[keyboard] = set(match.model.down[keyboard])
        elif action < 0.6:
            match.disconnect(keyboard)
            down[keyboard] = set()
        elif action < 0.62:
            match.change_layout()
        elif action < 0.66:
            match.type(rng.choice((*named, 0x03, 0xDF)), rng.randrange(256))
        else:
            match.wait()
        match.call_some()
    match.let_all_go()


def named_in(tables: list[Table]) -> list[int]:
    """The usages that some table has an entry for, and the modifiers."""
    found = {usage for table in tables for group in table.groups for usage, _ in group.entries if usage}
    return sorted(found | set(MODIFIERS))


def bitmap(usages: set[int]) -> bytes:
    """The usages as mm_usages takes them."""
    down = bytearray(32)
    for usage in usages:
        down[usage >> 3] |= 1 << (usage & 7)
    return bytes(down)


@pytest.mark.parametrize("seed", seeds_up_to(12, 40))
def test_random_layouts(lib: ctypes.CDLL, seed: int) -> None:
    """Random tables and events: equal contacts, locks, counters and commands."""
    rng = random.Random(seed)
    play(lib, rng, [random_layout(rng) for _ in range(2)], 400)


@pytest.mark.parametrize("seed", seeds_up_to(8, 60))
def test_random_sequences(lib_with_sequences: ctypes.CDLL, seed: int) -> None:
    """The same with sequences, sound ones and such as only a damaged table has."""
    rng = random.Random(3000 + seed)
    play(lib_with_sequences, rng, [with_sequences(rng, random_layout(rng)) for _ in range(2)], 400)


@pytest.mark.parametrize("seed", seeds_up_to(16, 60))
def test_random_keys_come_back(lib_with_sequences: ctypes.CDLL, seed: int) -> None:
    """The same with keys that come back, at both layouts or at one of them."""
    rng = random.Random(4000 + seed)
    tables = [random_layout(rng, OFTEN_KEYS) for _ in range(2)]
    tables[0] = replace(tables[0], flags=tables[0].flags | RESUME, rollover=rng.choice((0, 2, 3)))
    tables[1] = replace(tables[1], flags=tables[1].flags | rng.choice((0, RESUME)))
    play(lib_with_sequences, rng, tables, 400)


@pytest.mark.parametrize("seed", seeds_up_to(8, 60))
def test_random_whole_scans(lib_of_everything: ctypes.CDLL, seed: int) -> None:
    """The same for machines that compare whole scans, at both layouts or at one of them, with all else that there is."""
    rng = random.Random(5000 + seed)
    tables = [random_layout(rng, rng.choice((OFTEN_KEYS, OFTEN_STROKES, OFTEN_LATCHES))) for _ in range(2)]
    tables[0] = replace(tables[0], flags=tables[0].flags | WHOLE)
    tables[1] = replace(tables[1], flags=tables[1].flags | rng.choice((0, WHOLE, WHOLE | RESUME)))
    if rng.random() < 0.3:
        tables = [with_sequences(rng, table) for table in tables]
    play(lib_of_everything, rng, tables, 400)


@pytest.mark.parametrize("seed", seeds_up_to(10, 20))
def test_latches_across_layout_changes(lib: ctypes.CDLL, seed: int) -> None:
    """The same with many latches and commands: no latch outlives a change of layout, whenever it was toggled."""
    rng = random.Random(2000 + seed)
    play(lib, rng, [random_layout(rng, OFTEN_LATCHES) for _ in range(2)], 400)


@pytest.mark.parametrize("seed", range(5))
def test_the_layout_of_the_tests(lib: ctypes.CDLL, seed: int) -> None:
    """The same on the layout that the other tests use, with and without rollover."""
    rng = random.Random(1000 + seed)
    tables = [replace(LAYOUT, close=40, open=30, lead=3, rollover=rollover) for rollover in (0, 2)]
    assert F1 in PLACES
    play(lib, rng, tables, 1500)


def test_places_run_short(lib: ctypes.CDLL) -> None:
    """The same where strokes keep their places for long, so that presses must wait for one."""
    rng = random.Random(77)
    table = replace(LAYOUT, flags=0, close=5, open=2000, lead=2)
    play(lib, rng, [table], 2500)
