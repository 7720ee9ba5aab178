"""A layout for the tests: an 8x8 matrix without diodes, two Shift keys, Control, one direct line.

```
        N0      N1   N2   N3   N4   N5   N6   N7
S0  shift-left  a    b    c    d
S1              e    f    g    h
S2              1    2    3    4
S3              F1
S7            shift-right                   control
```
"""

from __future__ import annotations

from dataclasses import replace

from .table import CAPS_LOCK, CONTROL, GUARD, META, NUM_LOCK, PLAIN, SHIFTED, THIRD, Group, Kind, Table, crosspoint

A, B, C, D, E, F, G, H = range(0x04, 0x0C)
ONE, TWO, THREE, FOUR = range(0x1E, 0x22)
F1, F2, F3, F4, F5 = range(0x3A, 0x3F)
CAPS, NUM, KEYPAD_1 = 0x39, 0x53, 0x59
CONTROL_LEFT, SHIFT_LEFT, ALT_LEFT, META_LEFT, CONTROL_RIGHT, SHIFT_RIGHT, ALT_RIGHT = range(0xE0, 0xE7)
# The same as bits of the boot report's modifier byte.
M_CONTROL, M_SHIFT, M_ALT, M_META, M_CONTROL_RIGHT, M_SHIFT_RIGHT, M_ALT_RIGHT = (1 << n for n in range(7))

SHIFT_KEY, SHIFT_KEY_2, CONTROL_KEY = 1, 2, 4  # masks of machine modifier keys
ANY_SHIFT = SHIFT_KEY | SHIFT_KEY_2
PASS, LIFT, HOLD, HOLD_2 = range(4)  # demands

PLACES = {
    **{usage: crosspoint(0, 1 + n) for n, usage in enumerate((A, B, C, D))},
    **{usage: crosspoint(1, 1 + n) for n, usage in enumerate((E, F, G, H))},
    **{usage: crosspoint(2, 1 + n) for n, usage in enumerate((ONE, TWO, THREE, FOUR))},
    F1: crosspoint(3, 1),
}
MODIFIER_PLACES = (crosspoint(0, 0), crosspoint(7, 1), crosspoint(7, 7))
CLOSE, OPEN, LEAD = 400, 300, 20


def contact(usage: int) -> tuple[str, int, int]:
    """The crosspoint of a key, as Engine.contacts has it."""
    return ("x", PLACES[usage] >> 4, PLACES[usage] & 15)


SHIFT_CONTACT, SHIFT_CONTACT_2, CONTROL_CONTACT = (("x", place >> 4, place & 15) for place in MODIFIER_PLACES)
HAIL = ("d", 0, 0)

_LETTERS = tuple((usage, PLACES[usage]) for usage in (A, B, C, D, E, F, G, H))

LAYOUT = Table(
    modifiers=tuple((Kind.CROSSPOINT, place) for place in MODIFIER_PLACES),
    demands=((0, 0), (ANY_SHIFT, 0), (ANY_SHIFT, SHIFT_KEY), (ANY_SHIFT, SHIFT_KEY_2)),
    caps=((A, H, 1),),
    chords=(((Kind.CROSSPOINT, crosspoint(4, 4)), (Kind.CROSSPOINT, crosspoint(5, 5))),),
    groups=(
        Group(
            kind=Kind.MODIFIER,
            entries=((SHIFT_LEFT, SHIFT_KEY), (SHIFT_RIGHT, SHIFT_KEY), (CONTROL_LEFT, CONTROL_KEY)),
        ),
        Group(kind=Kind.CROSSPOINT, when=PLAIN, demand=LIFT, entries=_LETTERS),
        Group(kind=Kind.CROSSPOINT, when=SHIFTED, demand=HOLD, entries=_LETTERS),
        Group(
            kind=Kind.CROSSPOINT,
            when=PLAIN,
            demand=LIFT,
            entries=((ONE, PLACES[ONE]), (TWO, PLACES[TWO]), (KEYPAD_1, PLACES[ONE])),
        ),
        # Level 2 of these needs the shift lifted, level 1 needs it held: bit-paired against typewriter-paired.
        Group(kind=Kind.CROSSPOINT, when=SHIFTED, demand=LIFT, entries=((ONE, PLACES[THREE]), (KEYPAD_1, PLACES[F1]))),
        Group(kind=Kind.CROSSPOINT, when=PLAIN, demand=HOLD, entries=((THREE, PLACES[THREE]),)),
        Group(kind=Kind.CROSSPOINT, when=PLAIN, demand=HOLD_2, entries=((FOUR, PLACES[FOUR]),)),
        Group(kind=Kind.CROSSPOINT, when=THIRD, demand=LIFT, entries=((A, PLACES[FOUR]),)),
        Group(kind=Kind.CROSSPOINT, entries=((F1, PLACES[F1]),)),
        Group(kind=Kind.DIRECT, entries=((F2, 0),)),
        Group(kind=Kind.CHORD, entries=((F3, 0),)),
        Group(kind=Kind.LATCH, entries=((F4, SHIFT_KEY),)),
        Group(kind=Kind.COMMAND, entries=((F5, 7),)),
        Group(kind=Kind.COMMAND, when=0x0F | CONTROL, entries=((F1, 9),)),
        Group(kind=Kind.NOTHING, when=0x0F | META, entries=((A, 0),)),
    ),
    flags=GUARD | CAPS_LOCK | NUM_LOCK,
    close=CLOSE,
    open=OPEN,
    lead=LEAD,
)

OPEN_LAYOUT = replace(LAYOUT, flags=LAYOUT.flags & ~GUARD)  # without the guard
