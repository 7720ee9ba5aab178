"""What a press closes: levels, locks, demands, kinds of entry."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from .engine import Contact, Engine, contacts_of
from .layouts import (
    ALT_RIGHT,
    CAPS,
    CONTROL_CONTACT,
    F1,
    F2,
    F3,
    F4,
    F5,
    FOUR,
    HAIL,
    KEYPAD_1,
    LAYOUT,
    M_ALT,
    M_ALT_RIGHT,
    M_CONTROL,
    M_CONTROL_RIGHT,
    M_META,
    M_SHIFT,
    M_SHIFT_RIGHT,
    NUM,
    ONE,
    OPEN,
    SHIFT_CONTACT,
    SHIFT_CONTACT_2,
    THREE,
    TWO,
    A,
    B,
    C,
    E,
    contact,
)
from .table import ALT, ALT_GR, CAPS_LOCK, NUM_LOCK, Group, Kind

Start = Callable[[bytes], Engine]
LONG = 20_000


def pressed(engine: Engine, *usages: int, modifiers: int = 0) -> frozenset[Contact]:
    """What is closed once a report had its time."""
    engine.report(*usages, modifiers=modifiers)
    engine.run(LONG)
    return engine.contacts


@pytest.mark.parametrize(
    ("usage", "modifiers", "expected"),
    [
        (A, 0, {contact(A)}),
        (A, M_SHIFT, {contact(A), SHIFT_CONTACT}),
        (A, M_SHIFT_RIGHT, {contact(A), SHIFT_CONTACT}),
        (ONE, M_SHIFT, {contact(THREE)}),
        (THREE, 0, {contact(THREE), SHIFT_CONTACT}),
        (FOUR, 0, {contact(FOUR), SHIFT_CONTACT_2}),
        (F1, 0, {contact(F1)}),
        (F1, M_SHIFT, {contact(F1), SHIFT_CONTACT}),
        (F2, 0, {HAIL}),
        (F3, 0, {("x", 4, 4), ("x", 5, 5)}),
        (A, M_CONTROL, {contact(A), CONTROL_CONTACT}),
        (A, M_CONTROL_RIGHT, {contact(A)}),
        (A, M_META, set()),
        (B, M_META, {contact(B)}),
        (0x65, 0, set()),
        (THREE, M_SHIFT, {SHIFT_CONTACT}),
    ],
)
def test_level_chooses_the_stroke(start: Start, usage: int, modifiers: int, expected: set[Contact]) -> None:
    """A press closes the stroke of its usage at its level, with the modifiers that the stroke asks for."""
    engine = start(LAYOUT.to_bytes())
    assert pressed(engine, usage, modifiers=modifiers) == expected
    assert pressed(engine) == frozenset()
    assert engine.idle


def test_right_alt_is_level_three_only_where_the_host_has_altgr(start: Start) -> None:
    """Right Alt chooses level 3 with the AltGr flag; without it it is an Alt."""
    alt_group = Group(kind=Kind.CROSSPOINT, when=0x0F | ALT, entries=((A, 0x66),))
    layout = replace(LAYOUT, groups=(*LAYOUT.groups, alt_group))
    engine = start(layout.to_bytes())
    assert pressed(engine, A, modifiers=M_ALT_RIGHT) == {("x", 6, 6)}
    engine = start(replace(layout, flags=LAYOUT.flags | ALT_GR).to_bytes())
    assert pressed(engine, A, modifiers=M_ALT_RIGHT) == {contact(FOUR)}
    assert pressed(engine) == frozenset()
    assert pressed(engine, A, modifiers=M_ALT) == {("x", 6, 6)}
    assert pressed(engine) == frozenset()
    assert pressed(engine, A, modifiers=M_ALT | M_ALT_RIGHT) == {("x", 6, 6)}


def test_level_four(start: Start) -> None:
    """Shift and AltGr together choose level 4."""
    fourth = Group(kind=Kind.CROSSPOINT, when=0x08, entries=((B, 0x55),))
    engine = start(replace(LAYOUT, flags=LAYOUT.flags | ALT_GR, groups=(*LAYOUT.groups, fourth)).to_bytes())
    assert pressed(engine, B, modifiers=M_ALT_RIGHT | M_SHIFT_RIGHT) == {("x", 5, 5), SHIFT_CONTACT}


def test_entries_with_control_come_first(start: Start) -> None:
    """Control, Alt and Meta exactly as held choose an entry; else the entry without them stands."""
    engine = start(LAYOUT.to_bytes())
    assert pressed(engine, F1, modifiers=M_CONTROL) == {CONTROL_CONTACT}
    assert engine.command() == 9
    assert pressed(engine) == frozenset()
    assert pressed(engine, F1, modifiers=M_CONTROL | M_ALT) == {contact(F1), CONTROL_CONTACT}
    assert engine.command() is None


def test_order_of_groups_does_not_matter(start: Start) -> None:
    """An entry with Control wins wherever its group stands."""
    engine = start(replace(LAYOUT, groups=(LAYOUT.groups[0], *reversed(LAYOUT.groups[1:]))).to_bytes())
    assert pressed(engine, F1, modifiers=M_CONTROL) == {CONTROL_CONTACT}
    assert engine.command() == 9


def test_a_stroke_keeps_what_it_was(start: Start) -> None:
    """Shift going down or up under a held key changes neither its contact nor its demand."""
    engine = start(LAYOUT.to_bytes())
    pressed(engine, A)
    assert pressed(engine, A, modifiers=M_SHIFT) == {contact(A)}
    assert pressed(engine, modifiers=M_SHIFT) == {SHIFT_CONTACT}
    pressed(engine, A, modifiers=M_SHIFT)
    assert pressed(engine, A) == {contact(A), SHIFT_CONTACT}
    assert pressed(engine) == frozenset()


def test_pass_follows_the_typist(start: Start) -> None:
    """A stroke that passes a modifier lets it come and go while it is closed."""
    engine = start(LAYOUT.to_bytes())
    pressed(engine, F1)
    assert pressed(engine, F1, modifiers=M_SHIFT) == {contact(F1), SHIFT_CONTACT}
    assert pressed(engine, F1) == {contact(F1)}


def test_newest_demand_rules(start: Start) -> None:
    """An older stroke that asks for another state of a modifier is opened and stays open until pressed again."""
    engine = start(LAYOUT.to_bytes())
    pressed(engine, ONE)
    assert pressed(engine, ONE, THREE) == {contact(THREE), SHIFT_CONTACT}
    assert pressed(engine, ONE) == frozenset()
    assert pressed(engine) == frozenset()
    assert pressed(engine, ONE) == {contact(ONE)}


def test_one_modifier_through_two_keys_contradicts(start: Start) -> None:
    """Strokes that hold one modifier through different keys are not closed together."""
    engine = start(LAYOUT.to_bytes())
    pressed(engine, THREE)
    assert pressed(engine, THREE, FOUR) == {contact(FOUR), SHIFT_CONTACT_2}


def test_agreeing_strokes_stay(start: Start) -> None:
    """Strokes on one select line that ask for the same stay closed together, and open one by one."""
    engine = start(LAYOUT.to_bytes())
    assert pressed(engine, A, B, C) == {contact(A), contact(B), contact(C)}
    assert pressed(engine, A, C) == {contact(A), contact(C)}
    assert pressed(engine, C) == {contact(C)}


def test_passing_stroke_contradicts_when_the_typist_has_it(start: Start) -> None:
    """`pass` asks for what the typist has: with Shift held it contradicts a stroke that lifts shift."""
    engine = start(LAYOUT.to_bytes())
    pressed(engine, F1)
    assert pressed(engine, F1, TWO) == {contact(F1), contact(TWO)}
    assert pressed(engine, F1, TWO, modifiers=M_SHIFT) == {contact(TWO)}
    assert pressed(engine, F1, TWO) == {contact(TWO)}


def test_same_contact(start: Start) -> None:
    """Two keys with one contact: the older is opened, the newer closes it after its open time."""
    engine = start(LAYOUT.to_bytes())
    pressed(engine, ONE)
    engine.mark()
    engine.report(ONE, KEYPAD_1)
    engine.run(LONG)
    assert engine.story == [(0, frozenset()), (OPEN, {contact(ONE)})]
    engine.report(KEYPAD_1)
    engine.run(LONG)
    assert engine.contacts == {contact(ONE)}
    assert pressed(engine) == frozenset()


def test_caps_lock(start: Start) -> None:
    """Caps Lock swaps levels 1 and 2 in its ranges only, not with Control, and shows on its LED."""
    engine = start(LAYOUT.to_bytes())
    assert engine.leds == 1
    pressed(engine, CAPS)
    pressed(engine)
    assert engine.leds == 3
    assert pressed(engine, A) == {contact(A), SHIFT_CONTACT}
    pressed(engine)
    assert pressed(engine, A, modifiers=M_SHIFT) == {contact(A)}
    pressed(engine)
    assert pressed(engine, TWO) == {contact(TWO)}
    pressed(engine)
    assert pressed(engine, A, modifiers=M_CONTROL) == {contact(A), CONTROL_CONTACT}
    pressed(engine)
    pressed(engine, CAPS)
    pressed(engine)
    assert engine.leds == 1
    assert pressed(engine, A) == {contact(A)}


def test_caps_lock_on_levels_three_and_four(start: Start) -> None:
    """Bit 1 of a caps range swaps levels 3 and 4, and then not 1 and 2."""
    layout = replace(
        LAYOUT,
        caps=((A, A, 2),),
        flags=LAYOUT.flags | ALT_GR,
        groups=(*LAYOUT.groups, Group(kind=Kind.CROSSPOINT, when=0x08, entries=((A, 0x66),))),
    )
    engine = start(layout.to_bytes())
    pressed(engine, CAPS)
    pressed(engine)
    assert pressed(engine, A) == {contact(A)}
    pressed(engine)
    assert pressed(engine, A, modifiers=M_ALT_RIGHT) == {("x", 6, 6)}
    pressed(engine)
    assert pressed(engine, A, modifiers=M_ALT_RIGHT | M_SHIFT) == {contact(FOUR)}


def test_num_lock(start: Start) -> None:
    """The keypad has level 1 with Num Lock on, level 2 with it off, whatever Shift and AltGr do."""
    engine = start(replace(LAYOUT, flags=LAYOUT.flags | ALT_GR).to_bytes())
    for modifiers in (0, M_SHIFT, M_ALT_RIGHT):
        assert pressed(engine, KEYPAD_1, modifiers=modifiers) == {contact(ONE)}
        pressed(engine)
    pressed(engine, NUM)
    pressed(engine)
    assert engine.leds == 0
    for modifiers in (0, M_SHIFT, M_ALT_RIGHT):
        assert pressed(engine, KEYPAD_1, modifiers=modifiers) == {contact(F1)}
        pressed(engine)


def test_locks_that_the_layout_does_not_keep(start: Start) -> None:
    """Without its flag a lock key is a key like any other; with it no group answers it."""
    named = (Group(kind=Kind.CROSSPOINT, entries=((CAPS, 0x66), (NUM, 0x55))),)
    layout = replace(LAYOUT, groups=LAYOUT.groups + named)
    engine = start(replace(layout, flags=LAYOUT.flags & ~(CAPS_LOCK | NUM_LOCK)).to_bytes())
    assert pressed(engine, CAPS) == {("x", 6, 6)}
    pressed(engine)
    assert pressed(engine, NUM) == {("x", 5, 5)}
    assert engine.leds == 1
    engine = start(layout.to_bytes())
    assert not pressed(engine, CAPS, NUM)
    assert engine.leds == 2


def test_lock_acts_within_its_report(start: Start) -> None:
    """Presses of one report go by ascending usage: a lock acts on those above it."""
    engine = start(LAYOUT.to_bytes())
    assert pressed(engine, NUM, KEYPAD_1) == {contact(F1)}
    engine = start(LAYOUT.to_bytes())
    assert pressed(engine, CAPS, A) == {contact(A)}


def test_latch(start: Start) -> None:
    """A latch toggles at each press; strokes that lift its modifier lift it while they are closed."""
    engine = start(LAYOUT.to_bytes())
    assert pressed(engine, F4) == {SHIFT_CONTACT}
    assert pressed(engine) == {SHIFT_CONTACT}
    assert engine.idle
    assert pressed(engine, TWO) == {contact(TWO)}
    assert pressed(engine) == {SHIFT_CONTACT}
    assert pressed(engine, F1) == {contact(F1), SHIFT_CONTACT}
    assert pressed(engine) == {SHIFT_CONTACT}
    assert pressed(engine, F4) == frozenset()
    assert pressed(engine) == frozenset()


def test_commands(start: Start) -> None:
    """A command is handed over once; one that was not taken gives way to a newer one."""
    engine = start(LAYOUT.to_bytes())
    assert engine.command() is None
    pressed(engine, F5)
    assert engine.command() == 7
    assert engine.command() is None
    pressed(engine)
    pressed(engine, F5)
    pressed(engine)
    pressed(engine, F1, modifiers=M_CONTROL)
    assert engine.command() == 9
    assert engine.command() is None


def test_a_modifier_is_no_press(start: Start) -> None:
    """A host key that holds a machine modifier takes no place in the line and is followed at once."""
    engine = start(LAYOUT.to_bytes())
    engine.report(modifiers=M_SHIFT | M_CONTROL)
    assert engine.contacts == {SHIFT_CONTACT, CONTROL_CONTACT}
    assert pressed(engine, modifiers=M_SHIFT_RIGHT) == {SHIFT_CONTACT}
    assert pressed(engine) == frozenset()


def test_a_plain_key_may_be_a_modifier(start: Start) -> None:
    """Any usage may hold machine modifiers, and then closes nothing else."""
    layout = replace(LAYOUT, groups=(Group(kind=Kind.MODIFIER, entries=((0x65, 5),)), *LAYOUT.groups))
    engine = start(layout.to_bytes())
    assert pressed(engine, 0x65) == {SHIFT_CONTACT, CONTROL_CONTACT}
    assert pressed(engine, 0x65, TWO) == {contact(TWO), CONTROL_CONTACT}
    assert pressed(engine, TWO) == {contact(TWO)}


def test_right_alt_as_a_key(start: Start) -> None:
    """A modifier usage may be an ordinary trigger."""
    layout = replace(LAYOUT, groups=(*LAYOUT.groups, Group(kind=Kind.CROSSPOINT, entries=((ALT_RIGHT, 0x66),))))
    engine = start(layout.to_bytes())
    assert pressed(engine, modifiers=M_ALT_RIGHT) == {("x", 6, 6)}
    assert pressed(engine) == frozenset()


def test_chord_is_closed_and_opened_as_one(start: Start) -> None:
    """All contacts of a chord close and open in one step."""
    engine = start(LAYOUT.to_bytes())
    pressed(engine, F3)
    pressed(engine)
    both = {("x", 4, 4), ("x", 5, 5)}
    assert [contacts_of(masks) for _, masks in engine.changes] == [frozenset(), both, frozenset()]


def test_bitmaps_and_reports_say_the_same(start: Start) -> None:
    """A bitmap of usages and a boot report with the same keys give the same contacts."""
    first, second = start(LAYOUT.to_bytes()), start(LAYOUT.to_bytes())
    for usages, modifiers in (((A,), 0), ((A, E), M_SHIFT), ((E,), M_SHIFT), ((), 0)):
        first.report(*usages, modifiers=modifiers)
        second.usages((*usages, *(0xE0 + n for n in range(8) if modifiers >> n & 1)))
        first.run(LONG)
        second.run(LONG)
        assert first.contacts == second.contacts
