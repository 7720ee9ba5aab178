"""Dead keys in the compiled runtime: pairs, what is no pair, and what ends one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from .engine import Contact, Engine
from .layouts import (
    CAPS,
    CLOSE,
    F1,
    F2,
    F3,
    F5,
    KEYPAD_1,
    LAYOUT,
    LIFT,
    M_ALT,
    M_CONTROL,
    M_META,
    M_SHIFT,
    NUM,
    ONE,
    OPEN,
    PLACES,
    SHIFT_CONTACT,
    SHIFT_LEFT,
    A,
    B,
    C,
    contact,
)
from .table import CONTROL, DROPS, KEEPS, PLAIN, SHIFTED, TAKES_BACK, Group, Kind, Table

Start = Callable[[bytes], Engine]

ACUTE_KEY, GRAVE_KEY, MUTE_KEY, BACK, ENTER, KEEP = 0x2D, 0x2E, 0x2F, 0x2A, 0x28, 0x47
ACUTE, GRAVE, MUTE = 1, 2, 28
ACUTE_A, ACUTE_SHIFT_A, ACUTE_ALONE, GRAVE_B, GRAVE_TWICE, BACK_AT, ENTER_AT, KEEP_AT = (
    (0x40 | number) for number in range(8)
)


def pairs(number: int, *entries: tuple[int, int], when: int = PLAIN) -> Group:
    """Keys after a dead key."""
    return Group(kind=Kind.CROSSPOINT, when=when, demand=LIFT, after=number, entries=entries)


WITH_DEAD_KEYS = replace(
    LAYOUT,
    groups=(
        LAYOUT.groups[0],
        pairs(ACUTE, (A, ACUTE_A)),
        pairs(ACUTE, (A, ACUTE_SHIFT_A), when=SHIFTED),
        pairs(ACUTE, (0, ACUTE_ALONE), when=0x0F),
        pairs(GRAVE, (B, GRAVE_B), (GRAVE_KEY, GRAVE_TWICE)),
        *(
            replace(group, after=DROPS) if group.entries[0][0] in (F1, F2, F3, F5) else group
            for group in LAYOUT.groups[1:]
        ),
        Group(kind=Kind.CROSSPOINT, after=TAKES_BACK, entries=((BACK, BACK_AT),)),
        Group(kind=Kind.CROSSPOINT, after=DROPS, entries=((ENTER, ENTER_AT),)),
        Group(kind=Kind.CROSSPOINT, after=KEEPS, entries=((KEEP, KEEP_AT),)),
        Group(kind=Kind.DEAD_KEY, entries=((ACUTE_KEY, ACUTE), (GRAVE_KEY, GRAVE), (MUTE_KEY, MUTE))),
    ),
)


@pytest.fixture
def engine(start: Start) -> Engine:
    """A layout with three dead keys: one with an accent, one without, one that composes nothing."""
    return start(WITH_DEAD_KEYS.to_bytes())


def place(value: int) -> Contact:
    """The crosspoint of an entry's value."""
    return "x", value >> 4, value & 15


def tap(engine: Engine, usage: int, modifiers: int = 0) -> list[Contact]:
    """Presses and lets go one key with all the time that it needs; the contacts that closed, modifiers apart, in order."""
    engine.mark()
    engine.report(modifiers=modifiers)
    engine.report(usage, modifiers=modifiers)
    engine.run(4 * (CLOSE + OPEN))
    engine.report()
    engine.run(4 * (CLOSE + OPEN))
    closed: list[Contact] = []
    before: frozenset[Contact] = frozenset()
    for _, now in engine.story:
        closed += sorted(now - before - {SHIFT_CONTACT})
        before = now
    assert engine.masks == (0,) * 17
    return closed


def test_a_pair(engine: Engine) -> None:
    """A dead key closes nothing; the next key closes what both compose, and then the dead key is over."""
    assert tap(engine, ACUTE_KEY) == []
    assert engine.idle
    assert tap(engine, A) == [place(ACUTE_A)]
    assert tap(engine, A) == [contact(A)]


def test_a_pair_at_another_level(engine: Engine) -> None:
    """Modifiers are no presses: Shift on its way to the next key keeps the dead key pending."""
    tap(engine, ACUTE_KEY)
    assert tap(engine, A, M_SHIFT) == [place(ACUTE_SHIFT_A)]


def test_no_pair_closes_the_accent_first(engine: Engine) -> None:
    """Without a pair the accent closes, opens by itself, and then the key closes and stays while it is down."""
    tap(engine, ACUTE_KEY)
    engine.mark()
    engine.report(B)
    engine.run(4 * (CLOSE + OPEN))
    story = [contacts for _, contacts in engine.story]
    assert story == [{place(ACUTE_ALONE)}, set(), {contact(B)}]
    engine.run(20_000)
    assert engine.contacts == {contact(B)}
    engine.report()
    engine.run(OPEN)
    assert engine.idle
    assert tap(engine, A) == [contact(A)]


def test_no_pair_and_no_accent(engine: Engine) -> None:
    """Where the machine lacks the accent, the key comes alone."""
    tap(engine, GRAVE_KEY)
    assert tap(engine, A) == [contact(A)]


def test_a_dead_key_twice(engine: Engine) -> None:
    """The same dead key twice is a pair like any other, where there is one; else its accent, and it is pending again."""
    tap(engine, GRAVE_KEY)
    assert tap(engine, GRAVE_KEY) == [place(GRAVE_TWICE)]
    assert tap(engine, B) == [contact(B)]
    tap(engine, ACUTE_KEY)
    assert tap(engine, ACUTE_KEY) == [place(ACUTE_ALONE)]
    assert tap(engine, A) == [place(ACUTE_A)]


def test_one_dead_key_after_another(engine: Engine) -> None:
    """Another dead key gives the first one's accent and is then pending itself."""
    tap(engine, ACUTE_KEY)
    assert tap(engine, GRAVE_KEY) == [place(ACUTE_ALONE)]
    assert tap(engine, B) == [place(GRAVE_B)]
    tap(engine, ACUTE_KEY)
    assert tap(engine, MUTE_KEY) == [place(ACUTE_ALONE)]
    assert tap(engine, A) == [contact(A)]


def test_what_takes_it_back(engine: Engine) -> None:
    """The key that takes a dead key back does nothing else; with none pending it acts."""
    tap(engine, ACUTE_KEY)
    assert tap(engine, BACK) == []
    assert tap(engine, BACK) == [place(BACK_AT)]
    assert tap(engine, A) == [contact(A)]


@pytest.mark.parametrize(("usage", "closes"), [(ENTER, place(ENTER_AT)), (F1, contact(F1)), (F2, ("d", 0, 0))])
def test_what_drops_it(engine: Engine, usage: int, closes: Contact) -> None:
    """A function acts at once, and the dead key is gone without its accent."""
    tap(engine, ACUTE_KEY)
    assert tap(engine, usage) == [closes]
    assert tap(engine, A) == [contact(A)]


def test_commands_drop_it(engine: Engine) -> None:
    """A command is a function too."""
    tap(engine, ACUTE_KEY)
    tap(engine, F5)
    assert engine.command() == 7
    assert tap(engine, A) == [contact(A)]


@pytest.mark.parametrize("modifiers", [M_CONTROL, M_ALT, M_META])
def test_control_drops_it(start: Start, modifiers: int) -> None:
    """With Control, Alt or Meta held a press is no pair; it drops the dead key and acts, also one that takes it back."""
    engine = start(
        replace(WITH_DEAD_KEYS, groups=tuple(g for g in WITH_DEAD_KEYS.groups if g.kind is not Kind.NOTHING)).to_bytes()
    )
    tap(engine, ACUTE_KEY)
    assert contact(A) in tap(engine, A, modifiers)
    assert tap(engine, A) == [contact(A)]
    tap(engine, ACUTE_KEY)
    assert place(BACK_AT) in tap(engine, BACK, modifiers)
    assert tap(engine, A) == [contact(A)]
    tap(engine, ACUTE_KEY)
    assert place(ACUTE_ALONE) not in tap(engine, B, modifiers)


@pytest.mark.parametrize("usage", [KEEP, CAPS, 0x65, SHIFT_LEFT])
def test_what_keeps_it(engine: Engine, usage: int) -> None:
    """Locks, modifiers and keys that do nothing leave it pending, and so does a key of which the table says so."""
    tap(engine, ACUTE_KEY)
    assert tap(engine, usage) in ([], [place(KEEP_AT)])
    assert tap(engine, A)[0] in (place(ACUTE_A), place(ACUTE_SHIFT_A))


def test_a_silenced_key_keeps_it(engine: Engine) -> None:
    """An entry of kind 6 does nothing, to a dead key neither."""
    tap(engine, ACUTE_KEY)
    assert tap(engine, A, M_META) == []
    assert tap(engine, A) == [place(ACUTE_A)]


def test_with_control_a_dead_key_is_the_same(engine: Engine) -> None:
    """A dead key is one with Control held too, unless the layout has an entry for just that."""
    tap(engine, ACUTE_KEY, M_CONTROL)
    assert tap(engine, A) == [place(ACUTE_A)]
    named = Group(kind=Kind.CROSSPOINT, when=0x0F | CONTROL, entries=((ACUTE_KEY, 0x66),))
    other = Engine(engine.lib, replace(WITH_DEAD_KEYS, groups=(*WITH_DEAD_KEYS.groups, named)).to_bytes())
    assert ("x", 6, 6) in tap(other, ACUTE_KEY, M_CONTROL)


def test_in_a_burst(engine: Engine) -> None:
    """Presses that wait compose in their order, by the modifiers of their own moments."""
    engine.mark()
    for usage in (ACUTE_KEY, A, GRAVE_KEY, B, ACUTE_KEY):
        engine.raw(bytes([0, 0, usage, 0, 0, 0, 0, 0]))
        engine.raw(bytes(8))
    engine.raw(bytes([M_SHIFT, 0, A, 0, 0, 0, 0, 0]))
    engine.raw(bytes(8))
    engine.run(20_000)
    closed = [sorted(contacts - {SHIFT_CONTACT}) for _, contacts in engine.story]
    assert [one for one in closed if one] == [[place(ACUTE_A)], [place(GRAVE_B)], [place(ACUTE_SHIFT_A)]]
    assert engine.overflows == 0


def test_a_full_line_has_room_for_the_accent(engine: Engine) -> None:
    """The accent by itself comes before a press in a line that is full: nothing is lost, and one more overflows."""
    tap(engine, ACUTE_KEY)
    engine.mark()

    def give(usage: int) -> None:
        """A key down and up, without time for anything to happen."""
        for key in (usage, 0):
            engine.lib.mm_boot_report(engine.state, 0, bytes([0, 0, key, 0, 0, 0, 0, 0]), 8)

    for number in range(9):
        give(B if number % 2 else C)
    assert engine.overflows == 1
    assert engine.advance() == 0
    assert engine.lib.mm_test_waiting(engine.state) == 9
    give(ONE)
    assert engine.overflows == 2
    engine.run(60_000)
    closed = [next(iter(contacts)) for _, contacts in engine.story if contacts]
    assert closed == [place(ACUTE_ALONE), *(contact(B if number % 2 else C) for number in range(8))]


def test_a_layout_change_drops_it(engine: Engine) -> None:
    """A pending dead key does not outlive its layout."""
    tap(engine, ACUTE_KEY)
    engine.change_layout(WITH_DEAD_KEYS.to_bytes())
    engine.run(20_000)
    assert tap(engine, A) == [contact(A)]


def test_a_layout_change_behind_an_accent(engine: Engine) -> None:
    """The accent and the press that it comes before both belong to the layout that they were made for."""
    tap(engine, ACUTE_KEY)
    engine.mark()
    engine.raw(bytes([0, 0, B, 0, 0, 0, 0, 0]))
    engine.raw(bytes(8))
    engine.change_layout(replace(LAYOUT, groups=(Group(kind=Kind.CROSSPOINT, entries=((B, 0x55),)),)).to_bytes())
    engine.raw(bytes([0, 0, B, 0, 0, 0, 0, 0]))
    engine.raw(bytes(8))
    engine.run(40_000)
    closed = [next(iter(contacts)) for _, contacts in engine.story if contacts]
    assert closed == [place(ACUTE_ALONE), contact(B), ("x", 5, 5)]


def test_a_refused_accent(start: Start) -> None:
    """An accent that makes a phantom by itself is refused and counted; the key that follows it is not."""
    block = ((Kind.CROSSPOINT, 0x44), (Kind.CROSSPOINT, 0x45), (Kind.CROSSPOINT, 0x54))
    groups = tuple(
        replace(group, kind=Kind.CHORD, entries=((0, 1),)) if group.entries[0][0] == 0 else group
        for group in WITH_DEAD_KEYS.groups
    )
    engine = start(replace(WITH_DEAD_KEYS, chords=(*LAYOUT.chords, block), groups=groups).to_bytes())
    tap(engine, ACUTE_KEY)
    assert tap(engine, B) == [contact(B)]
    assert engine.refusals == 1


def test_usages_beyond_the_keyboard_page_are_refused(start: Start) -> None:
    """A table that names a usage from 0xE8 on is damaged: HID Usage Tables 1.5, section 10, ends at 0xE7."""

    def table(usage: int) -> Table:
        return replace(LAYOUT, groups=(*LAYOUT.groups, Group(kind=Kind.CROSSPOINT, entries=((usage, PLACES[A]),))))

    assert start(table(0xE7).to_bytes()).sound
    assert not Engine(start(LAYOUT.to_bytes()).lib, table(0xE8).to_bytes()).sound


def test_locks_count_once_for_a_key_behind_an_accent(engine: Engine) -> None:
    """A key that waits for the accent before it keeps the level that Caps Lock or Num Lock gave it."""
    tap(engine, NUM)
    tap(engine, ACUTE_KEY)
    assert tap(engine, KEYPAD_1) == [place(ACUTE_ALONE), contact(F1)]
    tap(engine, CAPS)
    tap(engine, ACUTE_KEY)
    engine.report(C)
    engine.run(4 * (CLOSE + OPEN))
    assert engine.contacts == {contact(C), SHIFT_CONTACT}


def test_a_lock_counts_as_it_was_when_the_key_was_pressed(engine: Engine) -> None:
    """Presses that wait keep their level when a lock changes before their turn."""
    engine.report(A)
    engine.report(A, C)
    engine.report(A, C, CAPS)
    engine.run(4 * (CLOSE + OPEN))
    assert engine.contacts == {contact(A), contact(C)}
