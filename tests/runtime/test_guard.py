"""The guard: no set of closed contacts makes a machine without diodes read one more."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations, permutations

from .engine import Engine
from .layouts import CONTROL_LEFT, F3, LAYOUT, M_CONTROL, M_SHIFT, SHIFT_CONTACT, A, E, contact
from .machine import phantoms
from .table import GUARD, Group, Kind, Table, crosspoint

Start = Callable[[bytes], Engine]
LONG = 2_000

# Every crosspoint of a 3x4 block is a key; usage 0x10 + n.
BLOCK = Table(
    groups=(
        Group(
            kind=Kind.CROSSPOINT,
            entries=tuple((0x10 + 4 * line + bit, crosspoint(line, bit)) for line in range(3) for bit in range(4)),
        ),
    ),
    flags=GUARD,
    close=10,
    open=10,
    lead=2,
)
KEYS = range(0x10, 0x1C)


def masks_of(usages: tuple[int, ...]) -> list[int]:
    """The masks of a set of keys of the block."""
    masks = [0] * 17
    for usage in usages:
        masks[(usage - 0x10) // 4] |= 1 << (usage - 0x10) % 4
    return masks


def hold(engine: Engine, usages: tuple[int, ...]) -> None:
    """Presses keys one after the other and holds them."""
    for count in range(len(usages) + 1):
        engine.usages(usages[:count])
        engine.run(LONG)


def kept(usages: tuple[int, ...]) -> tuple[int, ...]:
    """What the rule leaves closed: from the newest to the older, each that makes no phantom with those before."""
    left: tuple[int, ...] = ()
    for usage in reversed(usages):
        if not phantoms(masks_of((*left, usage))):
            left = (*left, usage)
    return left


def test_every_triple(start: Start) -> None:
    """For all 220 sets of three keys of a 3x4 block, in all orders: the newest is closed, with all that makes no phantom."""
    for triple in combinations(KEYS, 3):
        for order in permutations(triple):
            engine = start(BLOCK.to_bytes())
            hold(engine, order)
            expected: tuple[int, ...] = ()
            for count in range(1, 4):
                expected = kept(tuple(u for u in order[:count] if u in expected or u == order[count - 1]))
            assert list(engine.masks) == masks_of(expected), order
            assert not phantoms(engine.masks)


def test_no_full_block_is_built(start: Start) -> None:
    """Two keys and two modifiers at the corners of a block: each key alone makes a phantom with them, so both open."""
    layout = replace(
        BLOCK,
        modifiers=((Kind.CROSSPOINT, 0x10), (Kind.CROSSPOINT, 0x11)),
        groups=(
            Group(kind=Kind.MODIFIER, entries=((CONTROL_LEFT, 3),)),
            Group(kind=Kind.CROSSPOINT, entries=((A, 0x00), (E, 0x01))),
        ),
    )
    engine = start(layout.to_bytes())
    engine.report(A, E)
    engine.run(LONG)
    engine.report(A, E, modifiers=M_CONTROL)
    engine.run(LONG)
    assert list(engine.masks[:2]) == [0, 3]
    assert all(not phantoms(masks) for _, masks in engine.changes)


def test_without_the_guard(start: Start) -> None:
    """A layout may switch the guard off."""
    engine = start(replace(BLOCK, flags=0).to_bytes())
    hold(engine, (0x10, 0x11, 0x14))
    assert list(engine.masks) == masks_of((0x10, 0x11, 0x14))


def test_a_key_refused(start: Start) -> None:
    """A newest key that makes a phantom with its own modifiers is refused and counted; nothing is opened for it."""
    # shift-left S0/N0, control S7/N7: a key at S0/N7 would join them, and read S7/N0.
    layout = replace(LAYOUT, groups=(*LAYOUT.groups, Group(kind=Kind.CROSSPOINT, entries=((0x30, 0x07),))))
    engine = start(layout.to_bytes())
    engine.report(modifiers=M_SHIFT | M_CONTROL)
    engine.run(LONG)
    engine.report(A, modifiers=M_SHIFT | M_CONTROL)
    engine.run(LONG)
    before = engine.contacts
    assert contact(A) in before
    engine.report(A, 0x30, modifiers=M_SHIFT | M_CONTROL)
    engine.run(LONG)
    assert engine.contacts == before
    assert engine.refusals == 1
    engine.report(A, 0x30)
    engine.run(LONG)
    assert ("x", 0, 7) not in engine.contacts
    assert engine.refusals == 1
    engine.report()
    engine.report(0x30)
    engine.run(LONG)
    assert engine.contacts == {("x", 0, 7)}


def test_modifiers_force_a_key_open(start: Start) -> None:
    """A modifier that would make a phantom with a closed key opens that key; it stays open until pressed again."""
    layout = replace(LAYOUT, groups=(*LAYOUT.groups, Group(kind=Kind.CROSSPOINT, entries=((0x30, 0x07),))))
    engine = start(layout.to_bytes())
    engine.report(0x30, modifiers=M_SHIFT)
    engine.run(LONG)
    assert engine.contacts == {("x", 0, 7), SHIFT_CONTACT}
    engine.report(0x30, modifiers=M_SHIFT | M_CONTROL)
    engine.run(LONG)
    assert ("x", 0, 7) not in engine.contacts
    assert engine.refusals == 0
    engine.report(0x30)
    engine.run(LONG)
    assert engine.contacts == frozenset()
    assert all(not phantoms(masks) for _, masks in engine.changes)


def test_a_phantom_of_modifiers_stops_no_other_key(start: Start) -> None:
    """Modifiers may make a phantom among themselves; only keys joined to their lines are refused for it."""
    corners = ((Kind.CROSSPOINT, 0x00), (Kind.CROSSPOINT, 0x01), (Kind.CROSSPOINT, 0x10))
    layout = Table(
        modifiers=corners,
        groups=(
            Group(kind=Kind.MODIFIER, entries=((CONTROL_LEFT, 7),)),
            Group(kind=Kind.CROSSPOINT, entries=((A, 0x22), (E, 0x02))),
        ),
        flags=GUARD,
    )
    engine = start(layout.to_bytes())
    engine.report(modifiers=M_CONTROL)
    engine.run(LONG)
    assert phantoms(engine.masks) == {(1, 1)}
    engine.report(A, modifiers=M_CONTROL)
    engine.run(LONG)
    assert ("x", 2, 2) in engine.contacts
    engine.report(A, E, modifiers=M_CONTROL)
    engine.run(LONG)
    assert ("x", 0, 2) not in engine.contacts
    assert engine.refusals == 1


def test_a_chord_is_judged_contact_by_contact(start: Start) -> None:
    """A chord whose contacts, closed one after the other, make a phantom on the way is refused."""
    layout = replace(
        LAYOUT,
        chords=(tuple((Kind.CROSSPOINT, place) for place in (0x44, 0x45, 0x54, 0x55)),),
    )
    engine = start(layout.to_bytes())
    engine.report(F3)
    engine.run(LONG)
    assert engine.contacts == frozenset()
    assert engine.refusals == 1


def test_steps_between_are_clean(start: Start) -> None:
    """Random keys and modifiers: no set that is ever presented makes a phantom with a stroke in it."""
    rng = random.Random(7)
    places = [(line, bit) for line in range(5) for bit in range(5)]
    layout = Table(
        modifiers=((Kind.CROSSPOINT, 0x00), (Kind.CROSSPOINT, 0x33), (Kind.CROSSPOINT, 0x21)),
        demands=((0, 0), (1, 0), (1, 1), (3, 2), (7, 4), (7, 0)),
        groups=(
            Group(kind=Kind.MODIFIER, entries=((0xE0, 1), (0xE1, 2), (0xE2, 4))),
            *(
                Group(
                    kind=Kind.CROSSPOINT,
                    demand=demand,
                    entries=tuple(
                        (4 + n, crosspoint(*place))
                        for n, place in enumerate(places)
                        if n % 6 == demand and place not in ((0, 0), (3, 3), (2, 1))
                    ),
                )
                for demand in range(6)
            ),
        ),
        flags=GUARD,
        close=8,
        open=6,
        lead=3,
    )
    engine = start(layout.to_bytes())
    down: set[int] = set()
    for _ in range(4_000):
        down ^= {rng.choice([*range(4, 29), 0xE0, 0xE1, 0xE2])}
        if len(down) > 5:
            down.remove(min(down))
        engine.usages(down)
        engine.run(rng.choice([0, 1, 2, 5, 9, 30]))
    modifiers = ((0, 0), (3, 3), (2, 1))
    for _, masks in engine.changes:
        if not phantoms(masks):
            continue
        only = [0] * 17
        for line, bit in modifiers:
            only[line] |= masks[line] & 1 << bit
        assert phantoms(masks) == phantoms(only)
    assert len(engine.changes) > 2_000
    engine.usages(())
    engine.run(LONG)
    assert engine.idle


def test_contacts_of_a_chord_that_is_opened_count_no_more(start: Start) -> None:
    """A chord of which the rollover allows one contact more is opened, and an older key has the place of that contact."""
    first, second = (tuple((Kind.CROSSPOINT, crosspoint(line, line)) for line in lines) for lines in ((1, 2), (3, 4)))
    table = replace(
        BLOCK,
        chords=(first, second),
        groups=(
            Group(kind=Kind.CROSSPOINT, entries=((0x04, crosspoint(0, 0)),)),
            Group(kind=Kind.CHORD, entries=((0x05, 0), (0x06, 1))),
        ),
        flags=0,
        rollover=3,
    )
    engine = start(table.to_bytes())
    hold(engine, (0x04, 0x05, 0x06))
    assert engine.contacts == {("x", 0, 0), ("x", 3, 3), ("x", 4, 4)}
