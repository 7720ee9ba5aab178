"""What the room tells of a press is what the compiled C does: every key under every set of held modifier keys."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import compress, product
from typing import NamedTuple

import pytest

from matrixmap.hid.usages import CAPS_LOCK, NUM_LOCK, Usage
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress
from matrixmap.press.every import SIDES, Every
from matrixmap.press.how_to_type import HowToType
from matrixmap.press.keyboard import key_usage
from matrixmap.press.reach import closing, pressed_states
from matrixmap.press.rules import REST, Does, Outcome, Rules, Standing
from matrixmap.press.table.format import Kind
from tests.press.harness import LEVELS as LEVEL_KEYS
from tests.press.harness import NOT_PLAYED, Played, Record, asked, feeders
from tests.press.independent import Seen, look
from tests.press.machines import MACHINES_A_SEED, random_plans, seeds
from tests.project import shipped_plan
from tests.shipped import costly_ids

LOCK_KEYS = (CAPS_LOCK, NUM_LOCK)
"""In the order of the bits of a lock state."""


def play(plan: Plan) -> Played:
    """Every press that the comparison is about; after dead keys with all locks off and all on."""
    return Played(plan, asked(plan), feeders(plan)[:2], locks_after_dead=(0, 3))


def mask(contacts: frozenset[int]) -> int:
    """Contacts as a mask."""
    return sum(1 << contact for contact in contacts)


class Asked:
    """The room's answers to the presses that were played, each kind of held keys asked once."""

    def __init__(self, played: Played, rules: Rules) -> None:
        self.played = played
        self.rules = rules
        self.held = [frozenset(played.held(subset)) for subset in range(played.subsets)]
        self.acting = [self.acting_keys(held) for held in self.held]
        self.standing: dict[tuple[int, int, int], Standing] = {}
        numbers: dict[object, int] = {}
        kinds = [self.kind(held, acting) for held, acting in zip(self.held, self.acting, strict=True)]
        self.kinds = [numbers.setdefault(kind, len(numbers)) for kind in kinds]

    def acting_keys(self, held: frozenset[Usage]) -> frozenset[Usage]:
        """The held keys that do more than choose levels and feed modifiers: pressing them is an event of its own."""
        answers, feeds = self.rules.compiled.answers, self.rules.compiled.feeds
        return frozenset(
            usage
            for usage in held
            if usage not in feeds and any(entry.kind is not Kind.NOTHING for entry in answers.get(usage, ()))
        )

    def kind(self, held: frozenset[Usage], acting: frozenset[Usage]) -> object:
        """What held keys mean: the levels and modifiers that they choose, what they feed, and the keys that act."""
        feeds = self.rules.compiled.feeds
        fed = frozenset(feeds[usage] for usage in held if usage in feeds)
        return self.rules.compiled.keys(held), fed, acting

    def start(self, dead: int, lock: int) -> Standing:
        """The locks pressed, and a dead key pending."""
        standing = REST
        for bit, usage in enumerate(LOCK_KEYS):
            if lock >> bit & 1:
                standing = self.rules.release(self.rules.press(standing, usage).after, usage)
        return standing._replace(accent=self.played.dead_keys[dead].accent)

    def holding(self, dead: int, lock: int, subset: int) -> Standing:
        """The locks pressed, a dead key pending, and keys held."""
        cell = dead, lock, self.kinds[subset]
        if cell not in self.standing:
            self.standing[cell] = self.rules.hold(self.held[subset], self.start(dead, lock))
        return self.standing[cell]

    def outcomes(self, dead: int, lock: int, usage: Usage) -> Iterator[tuple[Outcome, Record, frozenset[Usage]]]:
        """Each outcome of the room beside each record of the harness for the same kind of held keys, once."""
        cells = zip(self.kinds, self.played.row(dead, lock, usage), strict=True)
        press, records = self.rules.press, self.played.records
        for (_, id), subset in dict(zip(cells, range(self.played.subsets), strict=True)).items():
            if id != NOT_PLAYED:
                yield press(self.holding(dead, lock, subset), usage), records[id], self.held[subset]

    def outcome(self, dead: int, lock: int, usage: Usage, subset: int) -> tuple[Outcome, Record, frozenset[Usage]]:
        """The outcome of the room beside the record of the harness for one press."""
        press = self.rules.press(self.holding(dead, lock, subset), usage)
        return press, self.played.record(self.played.row(dead, lock, usage)[subset]), self.held[subset]

    def presses(self, dead: int, lock: int) -> Iterator[tuple[Usage, Outcome, Record, frozenset[Usage]]]:
        """All presses of a state. Of the keys that the table does not name one is asked in full: the C has equal rows for them."""
        compiled = self.rules.compiled
        named = {*compiled.answers, *compiled.feeds, *LOCK_KEYS, *self.played.held_keys}
        unnamed = [usage for usage in self.played.usages if usage not in named]
        for usage in (*(usage for usage in self.played.usages if usage in named), *unnamed[:1]):
            for outcome in self.outcomes(dead, lock, usage):
                yield usage, *outcome
        for number, usage in enumerate(unnamed[1:]):
            assert self.played.row(dead, lock, usage) == self.played.row(dead, lock, unnamed[0]), (dead, lock, usage)
            yield usage, *self.outcome(dead, lock, usage, number * 37 % self.played.subsets)


class Expected(NamedTuple):
    """A record as the room puts it: closed contacts and latches as masks, locks as flags of a table."""

    moments: tuple[int, ...]
    refused: bool
    command: int | None
    latches: int
    locks: int
    accent: int


def expected(record: Record) -> Expected:
    """What the room is to say of a press that the harness played."""
    assert not record.endless, record
    timeline = tuple(map(mask, record.timeline))
    return Expected(timeline, record.refusals > 0, record.command, mask(record.latches), record.locks, record.accent)


def check_presses(asking: Asked) -> int:
    """Contacts, their order, refusals, commands, latches, locks and dead keys of every press; how many were compared."""
    played, mask_of = asking.played, asking.rules.compiled.mask_of
    # A held key may come back as the pressed one is let go.
    assert played.plan.layout.resumes or not played.restless
    assert played.pending <= {dead.accent for dead in played.dead_keys}
    wanted = {id(record): expected(record) for record in played.records}
    count = 0
    for dead, lock in played.states:
        for usage, outcome, record, held in asking.presses(dead, lock):
            after = outcome.after
            told = Expected(
                outcome.moments,
                outcome.refused is not None,
                outcome.value if outcome.does is Does.COMMAND else None,
                mask_of(after.latches),
                (0x10 if after.caps else 0) | (0 if after.num else 0x20),
                after.accent,
            )
            assert told == wanted[id(record)], (played.plan.id, dead, lock, usage, held, outcome, record)
            count += 1
    return count


def check_ways(asking: Asked, every: Every, seen: Seen) -> None:
    """What can be typed is what is typed by some press; each way does so whichever side it leaves open."""
    played, rules = asking.played, asking.rules
    ways = HowToType(every).to_type()
    typed = set()
    for id in usable_ids(asking):
        sight, before = seen.sights[id], played.record(id).timeline[0]
        if sight and sight.text is not None and not rules.read(mask(before)) & ~rules.modifier_mask:
            typed.add(sight.text)
    # Not played: more than two further keys that feed modifiers, latches on other keys than those of Caps and Num Lock.
    shown = {text: [way for way in found if was_played(asking, way)] for text, found in ways.items()}
    assert typed <= set(ways), (played.plan.id, typed - set(ways))
    assert {text for text, found in shown.items() if found} <= typed, played.plan.id
    for text, found in shown.items():
        for way in found:
            for id in records_of(asking, way):
                sight = seen.sights[id]
                assert sight is not None
                assert sight.text == text, (played.plan.id, text, way)


def usable_ids(asking: Asked) -> set[int]:
    """The numbers of the records of presses by a person who holds only what is needed.

    Not those for which a held key does something by itself, the keys of a dead key before it included; nor those by the
    second usage of a key whose two usages a layout sets apart: a board sends one of them.
    """
    played = asking.played
    acting = frozenset().union(*asking.acting)
    idle = [not some for some in asking.acting]
    found: set[int] = set()
    for dead, lock in played.states:
        press = played.dead_keys[dead].presses[lock] if dead else None
        if press and acting.intersection(LEVEL_KEYS[press[1] - 1]):
            continue
        for usage in played.usages:
            if usage == key_usage(played.plan.layout.host, usage):
                row = played.row(dead, lock, usage)
                found.update(compress(row, idle) if acting else row)
    return found - {0}


def was_played(asking: Asked, way: tuple[KeyPress, ...]) -> bool:
    """Whether the harness has played a way: its locks and held keys are among those that it knows."""
    played = asking.played
    dead, lock = state_of(asking, way)
    return (
        all(usage in LOCK_KEYS for press in way for usage in press.on)
        and all(usage in played.held_keys for usage in way[-1].hold)
        and (dead, lock) in played.states
    )


def state_of(asking: Asked, way: tuple[KeyPress, ...]) -> tuple[int, int]:
    """The numbers of the dead key and of the lock state of a way."""
    *dead, press = way
    lock = sum(1 << bit for bit, usage in enumerate(LOCK_KEYS) if usage in press.on)
    if not dead:
        return 0, lock
    rules = asking.rules
    accent = rules.press(rules.hold(dead[0].hold), dead[0].usage).after.accent
    return [some.accent for some in asking.played.dead_keys].index(accent), lock


def records_of(asking: Asked, way: tuple[KeyPress, ...]) -> Iterator[int]:
    """The numbers of the records of a way, with every choice of sides that it leaves open."""
    played, press = asking.played, way[-1]
    choices = [
        next(pair for pair in SIDES if usage in pair) if usage in press.either else (usage,) for usage in press.hold
    ]
    for held in product(*choices):
        subset = sum(1 << played.held_keys.index(usage) for usage in held)
        id = played.row(*state_of(asking, way), press.usage)[subset]
        assert id, (played.plan.id, way)
        yield id


def check_reach(asking: Asked, every: Every, seen: Seen) -> None:
    """Contacts that some key closes, and the shift states in which keys are closed, are those that the plays show."""
    rules = asking.rules
    modifiers = {contact for contact in range(rules.modifier_mask.bit_length()) if rules.modifier_mask >> contact & 1}
    sights = {pair for id in usable_ids(asking) if (sight := seen.sights[id]) for pair in sight.closed}
    closable = {contact for contact, _ in sights}
    assert set(closing(every)) >= closable
    states = {pair for pair in pressed_states(every) if pair[0] not in modifiers}
    if all_was_played(asking, every):
        assert set(closing(every)) - modifiers == closable - modifiers
        assert states == {(contact, state) for contact, state in sights if contact not in modifiers | latched(every)}


def all_was_played(asking: Asked, every: Every) -> bool:
    """Whether the harness knows all keys that the room holds or turns on, and no latch closes another key than a modifier."""
    held = set(every.holding) <= set(asking.played.held_keys)
    return held and all(usage in LOCK_KEYS for locks in every.locks for usage in locks.on)


def latched(every: Every) -> set[int]:
    """The contacts of latches: working one is no press of a key."""
    compiled = every.rules.compiled
    return {contact for contact in compiled.modifier_keys if not every.rules.modifier_mask >> contact & 1}


def check(plan: Plan, played: Played) -> int:
    """All of a plan."""
    every = Every(Rules(plan))
    asking = Asked(played, every.rules)
    count = check_presses(asking)
    seen = look(played)
    check_ways(asking, every, seen)
    check_reach(asking, every, seen)
    return count


@pytest.mark.parametrize("id", costly_ids("room"))
def test_the_room_tells_what_the_compiled_runtime_does(id: str) -> None:
    """A shipped layout: every physical key under all sets of held modifier keys, locks on and off, after each dead key."""
    plan = shipped_plan(id)
    played = play(plan)
    assert all(None not in dead.presses for dead in played.dead_keys)
    assert played.pending == {dead.accent for dead in played.dead_keys}
    assert check(plan, played) > 1000


@pytest.mark.parametrize("seed", seeds())
def test_the_room_tells_what_happens_on_random_machines(seed: int) -> None:
    """Machines of all sizes and contact kinds, with odd layouts: modifiers, direct lines, latches, controllers, chords."""
    for plan in random_plans(MACHINES_A_SEED, seed):
        check(plan, play(plan))


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.campaign) for seed in (1, 2))])
def test_the_room_plays_sequences_as_the_c_does(seed: int) -> None:
    """Machines with sequences of two to four strokes: contacts, their order, refusals and what is pending are the same."""
    played_sequences = 0
    for plan in random_plans(8, 100 + seed, sequences=True):
        rules = Rules(plan)
        check_presses(Asked(play(plan), rules))
        played_sequences += len(rules.table.sequences)
    assert played_sequences
