"""Legends that the machine types with several strokes in turn: listed in its file, after a dead key, or in a mode."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from matrixmap.model.legend import Legend
from matrixmap.model.machine import Keystroke, Machine, ShiftState

Keystrokes = tuple[Keystroke, ...]

LEAST_STROKES, MOST_STROKES = 2, 4
"""The least and the most strokes of a sequence."""


def sequences_of(machine: Machine) -> Mapping[str, Keystrokes]:
    """Character or function -> the strokes that type it in turn.

    Those of the file come first, then those of dead keys, then those of modes that a stroke begins and that last for
    one key. If there are several for one legend, the first one counts. A legend that a single stroke types may be
    included.
    """
    found: dict[str, Keystrokes] = dict(machine.sequences)
    for text, strokes in (*_after_dead_keys(machine), *_in_modes(machine)):
        found.setdefault(text, strokes)
    return found


def single_strokes(machine: Machine) -> dict[str, Keystroke]:
    """Character or function -> the one stroke that types it: fewest modifiers first, then the order of the grid."""
    states = {state for key in machine.keys for state in key.types}
    found: dict[str, Keystroke] = {}
    for state in sorted(states, key=state_order):
        for key in machine.keys:
            legend = key.types.get(state)
            if legend is not None:
                found.setdefault(legend.text, Keystroke(state=state, key=key.name))
    return found


def dead_strokes(machine: Machine) -> dict[str, Keystroke]:
    """Accent of a dead key of the machine -> the stroke that is this dead key, the one with the fewest modifiers."""
    found: dict[str, Keystroke] = {}
    for state in sorted({state for key in machine.keys for state in key.dead}, key=state_order):
        for key in machine.keys:
            if state in key.dead:
                found.setdefault(key.dead[state], Keystroke(state=state, key=key.name))
    return found


def _after_dead_keys(machine: Machine) -> Iterator[tuple[str, Keystrokes]]:
    single = single_strokes(machine)
    for accent, dead in dead_strokes(machine).items():
        for char, result in machine.composes.get(accent, {}).items():
            if char in single:
                yield result, (dead, single[char])
            elif char == accent:
                yield result, (dead, dead)


def _in_modes(machine: Machine) -> Iterator[tuple[str, Keystrokes]]:
    for mode in machine.modes:
        if mode.by is None or not mode.one_key:
            continue
        cells = [(state, key) for key in machine.keys for state in key.modes.get(mode.name, ())]
        for state, key in sorted(cells, key=lambda cell: state_order(cell[0])):
            yield key.modes[mode.name][state].text, (mode.by, Keystroke(state=state, key=key.name))


def modal_legends(machine: Machine) -> Iterator[tuple[str, Keystroke, Legend]]:
    """What keys type in modes that no sequence reaches: mode, stroke and legend, in the order of the file."""
    for mode in machine.modes:
        if mode.by is not None and mode.one_key:
            continue
        for key in machine.keys:
            for state, legend in key.modes.get(mode.name, {}).items():
                yield mode.name, Keystroke(state=state, key=key.name), legend


def state_order(state: ShiftState) -> tuple[int, list[str]]:
    """A sort key for shift states: the fewest modifiers come first."""
    return len(state), sorted(state)
