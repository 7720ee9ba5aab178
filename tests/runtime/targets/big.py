"""A table of the size of a real symbolic layout: a 104-key host on a full 8x8 matrix."""

from __future__ import annotations

from ..table import ALT_GR, CAPS_LOCK, CONTROL, GUARD, NUM_LOCK, Group, Kind, Table, crosspoint

LETTERS = range(0x04, 0x1E)
DIGITS = range(0x1E, 0x28)
SIGNS = range(0x2D, 0x39)
FUNCTIONS = (
    0x28,
    0x29,
    0x2A,
    0x2B,
    0x2C,
    *range(0x3A, 0x46),
    0x49,
    0x4A,
    0x4B,
    0x4C,
    0x4D,
    0x4E,
    0x4F,
    0x50,
    0x51,
    0x52,
)
KEYPAD = range(0x54, 0x64)
SHIFT, SHIFT_2, CONTROL_KEY, GRAPH = 1, 2, 4, 8


def place(number: int) -> int:
    """A crosspoint for a key; the last column has the modifiers."""
    return crosspoint(number * 5 % 8, number * 3 % 7)


def entries(usages: object, offset: int = 0) -> tuple[tuple[int, int], ...]:
    """Every usage with a crosspoint."""
    return tuple((usage, place(usage + offset)) for usage in usages)  # type: ignore[attr-defined]


BIG = Table(
    modifiers=tuple((Kind.CROSSPOINT, crosspoint(line, 7)) for line in (0, 3, 5, 6)),
    demands=((0, 0), (3, 0), (3, 1), (3, 2), (15, 0), (15, 8)),
    caps=((0x04, 0x1D, 1), (0x2F, 0x2F, 3), (0x33, 0x34, 1)),
    chords=(((Kind.CROSSPOINT, crosspoint(1, 1)), (Kind.CROSSPOINT, crosspoint(2, 4))),),
    groups=(
        Group(
            kind=Kind.MODIFIER,
            entries=((0xE0, CONTROL_KEY), (0xE1, SHIFT), (0xE2, GRAPH), (0xE4, CONTROL_KEY), (0xE5, SHIFT)),
        ),
        Group(kind=Kind.CROSSPOINT, entries=entries(FUNCTIONS)),
        Group(kind=Kind.CROSSPOINT, when=0x01, demand=1, entries=entries((*LETTERS, *DIGITS, *SIGNS, *KEYPAD))),
        Group(
            kind=Kind.CROSSPOINT,
            when=0x02,
            demand=2,
            entries=entries((*LETTERS, *tuple(DIGITS)[:5], *tuple(SIGNS)[:7])),
        ),
        Group(kind=Kind.CROSSPOINT, when=0x02, demand=3, entries=entries(tuple(SIGNS)[7:], 1)),
        Group(kind=Kind.CROSSPOINT, when=0x02, demand=1, entries=entries((*tuple(DIGITS)[5:], *KEYPAD), 2)),
        Group(kind=Kind.CROSSPOINT, when=0x04, demand=4, entries=entries((0x08, 0x14, 0x1F, 0x24, 0x27), 3)),
        Group(kind=Kind.CROSSPOINT, when=0x08, demand=5, entries=entries((0x08, 0x1F), 4)),
        Group(kind=Kind.DIRECT, entries=((0x48, 0),)),
        Group(kind=Kind.CHORD, when=0x01, demand=1, entries=((0x64, 0),)),
        Group(kind=Kind.LATCH, entries=((0x65, SHIFT),)),
        Group(kind=Kind.COMMAND, when=0x0F | CONTROL, entries=((0x3A, 1), (0x3B, 2), (0x3C, 3))),
        Group(kind=Kind.NOTHING, when=0x0F | CONTROL, entries=((0x45, 0),)),
    ),
    flags=GUARD | CAPS_LOCK | NUM_LOCK | ALT_GR,
    close=420,
    open=401,
    lead=21,
)
