"""What does the machine make of strokes in a row? Sequences, its own dead keys, and modes that strokes begin and end.

A mode that the machine turns on by itself is not followed: only the machine knows when it is on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple, TypeVar

from matrixmap.model.legend import Legend
from matrixmap.model.machine import Key, Keystroke, Machine, Mode, ShiftState

Read = TypeVar("Read")
"""A read key, in the caller's form."""


class Turn(NamedTuple):
    """What the machine remembers between two strokes.

    `begun` are the strokes of sequences in progress; `accent` is that of its waiting dead key; `next_key` is the mode
    for the next key only, `mode` one that lasts. `waiting` counts the keys read since then.
    """

    begun: tuple[Keystroke, ...] = ()
    accent: str | None = None
    next_key: str | None = None
    mode: str | None = None
    waiting: int = 0


NOTHING_BEGUN = Turn()


class Step(NamedTuple):
    """The result of a stroke: what is remembered then, and what it types.

    `waits`: it begins or continues something. `completes`: how many keys before it belong to what it types.
    """

    turn: Turn
    legend: Legend | None
    waits: bool = False
    completes: int = 0


class Turns:
    """The sequences, dead keys and modes of one machine."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self._keys = {key.name: key for key in machine.keys}
        self._sequences = {strokes: Legend(text) for text, strokes in machine.sequences.items()}
        self._begin = {strokes[:count] for strokes in self._sequences for count in range(1, len(strokes))}
        strokes = {stroke for strokes in self._sequences for stroke in strokes}
        strokes |= {stroke for mode in machine.modes for stroke in (mode.by, mode.until) if stroke}
        self.alone = frozenset(stroke.state for stroke in strokes if stroke.key is None)
        """Shift states that are strokes by themselves, without a pressed key."""
        self.any = bool(strokes) or any(key.dead for key in machine.keys)
        """Whether anything depends on earlier strokes."""
        self._matters = {
            key.name: key.selectors.union(
                *(stroke.state for stroke in strokes if stroke.key == key.name), *_states_in_modes(key)
            )
            for key in machine.keys
        }

    def stroke(self, key: str | None, state: ShiftState) -> Keystroke:
        """A key read in a shift state, without the modifiers that change nothing on this key; or modifiers alone."""
        return Keystroke(state=state & self._matters[key] if key in self._matters else state, key=key)

    def read(self, turn: Turn, key: str | None, state: ShiftState, own: Legend | None) -> Step:
        """Reads a stroke: a key in a shift state and what it types by itself, or modifiers alone."""
        machine_key = self._keys.get(key) if key is not None else None
        stroke = self.stroke(key, state)
        begun = (*turn.begun, stroke)
        done = self._sequences.get(begun)
        if done is not None:
            return Step(Turn(mode=turn.mode), done, completes=turn.waiting)
        if machine_key is not None:
            legend = _in_mode(machine_key, turn.next_key, state)
            if legend is None and turn.accent is not None and own is not None:
                composed = self.machine.composes.get(turn.accent, {}).get(own.text)
                legend = Legend(composed) if composed else None
            if legend is not None:
                return Step(Turn(mode=turn.mode), legend, completes=turn.waiting)
        return self._begin_with(turn, begun, stroke, machine_key, own)

    def _begin_with(
        self, turn: Turn, begun: tuple[Keystroke, ...], stroke: Keystroke, key: Key | None, own: Legend | None
    ) -> Step:
        """A stroke that completes nothing: it may begin something, and types what it types by itself."""
        goes_on = begun in self._begin
        accent = key.dead.get(stroke.state & key.selectors) if key else None
        if accent is not None and turn.accent == accent and accent in self.machine.composes.get(accent, {}):
            doubled = Legend(self.machine.composes[accent][accent])
            return Step(Turn(mode=turn.mode), doubled, completes=turn.waiting)
        if not goes_on:
            begun = (stroke,) if (stroke,) in self._begin else ()
        mode, next_key = turn.mode, None
        for known in self.machine.modes:
            if known.one_key and known.by == stroke:
                next_key = known.name
            elif not known.one_key:
                mode = _lasting(known, stroke, mode)
        waits = bool(begun or accent or next_key)
        lasting = _in_mode(key, turn.mode, stroke.state) if key else None
        waiting = (turn.waiting if goes_on else 0) + (key is not None) if waits else 0
        return Step(Turn(begun, accent, next_key, mode, waiting), lasting or own, waits)


def _lasting(known: Mode, stroke: Keystroke, mode: str | None) -> str | None:
    """The mode after a stroke, as far as one mode is concerned."""
    if mode == known.name:
        return None if known.until == stroke else mode
    return known.name if known.by == stroke else mode


def _in_mode(key: Key, mode: str | None, state: ShiftState) -> Legend | None:
    states = key.modes.get(mode) if mode is not None else None
    return states.get(state & frozenset().union(*states)) if states else None


def _states_in_modes(key: Key) -> Iterator[ShiftState]:
    for states in key.modes.values():
        yield from states


def in_the_end(read: Iterable[Read], of: Callable[[Read], tuple[Legend | None, bool, int]]) -> list[Read]:
    """Of keys read in sequence, those that type something in the end, or nothing without waiting.

    `of` returns what a key types, whether it waits, and how many keys before it belong to what it types; these are left
    out.
    """
    found: list[Read] = []
    for one in read:
        completes = of(one)[2]
        del found[max(len(found) - completes, 0) :]
        found.append(one)
    return [one for one in found if of(one)[0] is not None or not of(one)[1]]
