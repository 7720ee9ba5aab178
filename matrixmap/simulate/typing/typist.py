"""Which keys move when a person types a text? The moves, with their times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from matrixmap.hid.usages import Usage
from matrixmap.model.press import KeyPress
from matrixmap.simulate.typing.reports import Move

SECOND_US = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How somebody types: keystrokes per second, and how long a key is held in microseconds.

    A key held for longer than the time from one keystroke to the next is still down when the next one is pressed.
    """

    rate: Fraction
    hold_us: int

    @property
    def beat_us(self) -> Fraction:
        """Microseconds from one keystroke to the next."""
        return SECOND_US / self.rate


def usual_style(rate: Fraction) -> Style:
    """Typing with rollover: a key is held for five quarters of the time from one keystroke to the next."""
    return Style(rate=rate, hold_us=int(SECOND_US / rate * 5 / 4))


@dataclass(frozen=True, slots=True, kw_only=True)
class Performance:
    """What a person did: the moves in ascending order of time, and the shortest times in them, in microseconds.

    `hold_us`: a key and the modifiers meant for it are down together. `gap_us`: a key that occurs twice is up in
    between (None: none does). `beat_us`: from one key press to the next (None: there is only one).
    """

    moves: tuple[Move, ...]
    hold_us: int
    gap_us: int | None
    beat_us: int | None


def perform(presses: Sequence[KeyPress], style: Style) -> Performance:
    """The moves that type these presses.

    Modifiers change an eighth of a beat before the key that needs them. A repeated key is released at least half a
    beat before its next press.
    """
    beat = style.beat_us
    ups = _ups(presses, style)
    moves: list[tuple[Fraction, bool, Usage]] = []
    held: tuple[Usage, ...] = ()
    holds: list[Fraction] = []
    for number, press in enumerate(presses):
        down_at = beat * (number + 1)
        wanted = press.hold
        change_at = down_at - beat / 8
        moves += [(change_at, False, usage) for usage in held if usage not in wanted]
        moves += [(change_at, True, usage) for usage in wanted if usage not in held]
        if number and held != wanted:
            holds[-1] = min(holds[-1], beat * 7 / 8)
        held = wanted
        holds.append(ups[number] - down_at)
        moves += [(down_at, True, press.usage), (ups[number], False, press.usage)]
    end = max(ups, default=Fraction(0)) + beat / 8
    moves += [(end, False, usage) for usage in held]
    return Performance(
        moves=tuple(Move(int(time), usage, down) for time, down, usage in sorted(moves)),
        hold_us=int(min(holds, default=Fraction(0))),
        gap_us=_shortest_gap(presses, ups, style),
        beat_us=int(beat) if len(presses) > 1 else None,
    )


def _ups(presses: Sequence[KeyPress], style: Style) -> list[Fraction]:
    """The time when each key is released."""
    beat = style.beat_us
    again: dict[Usage, Fraction] = {}
    ups: list[Fraction] = []
    for number in range(len(presses) - 1, -1, -1):
        usage = presses[number].usage
        down_at = beat * (number + 1)
        up_at = down_at + style.hold_us
        ups.append(min(up_at, again[usage] - beat / 2) if usage in again else up_at)
        again[usage] = down_at
    return ups[::-1]


def _shortest_gap(presses: Sequence[KeyPress], ups: Sequence[Fraction], style: Style) -> int | None:
    last: dict[Usage, Fraction] = {}
    gaps: list[Fraction] = []
    for number, press in enumerate(presses):
        if press.usage in last:
            gaps.append(style.beat_us * (number + 1) - last[press.usage])
        last[press.usage] = ups[number]
    return int(min(gaps)) if gaps else None
