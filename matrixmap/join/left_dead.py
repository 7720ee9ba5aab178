"""Basic keys of a host that do nothing: why, and which stroke of the machine would serve."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.hid.usages import Usage
from matrixmap.model.basic import SHIFTS, basic_keys, coded, letter_or_digit
from matrixmap.model.host import Host
from matrixmap.model.machine import PLAIN, Key, Machine, ShiftState
from matrixmap.model.pairs import DeadKey, PlacedPair
from matrixmap.model.words import shown


def dead_keys(machine: Machine, host: Host, pairs: Iterable[PlacedPair]) -> tuple[DeadKey, ...]:
    """The basic keys of the host that no pair uses, by usage."""
    paired = {pair.usage for pair in pairs}
    return tuple(dead_key(machine, host, usage) for usage in basic_keys(host) if usage not in paired)


def dead_key(machine: Machine, host: Host, usage: Usage) -> DeadKey:
    """A basic key that does nothing, with the reason on the machine's side."""
    if usage in SHIFTS:
        return _dead_shift(machine, usage)
    wanted = _wanted(host, usage)
    found = sorted(_typing(machine, wanted), key=lambda each: (len(each[1]), each[0].contact))
    if not found:
        return DeadKey(usage=usage, why=f"the machine does not type {shown(wanted[0])}", stroke=None)
    key, state = found[0]
    stroke = " + ".join([*([machine.state_name(state)] if state else []), key.name])
    alone = f"{key.name} types it" if state == PLAIN else f"no key of the machine types {shown(wanted[0])} by itself"
    return DeadKey(usage=usage, why=alone, stroke=stroke)


def _dead_shift(machine: Machine, usage: Usage) -> DeadKey:
    if not machine.modifiers:
        return DeadKey(usage=usage, why="the machine has no modifiers", stroke=None)
    return DeadKey(usage=usage, why="it feeds no modifier of the machine", stroke=machine.modifiers[0].keys[0])


def _wanted(host: Host, usage: Usage) -> tuple[str, ...]:
    """What a key is pressed for: the letter or digit that it prints or that its W3C code names, or its function."""
    signs = dict.fromkeys(sign for sign in (letter_or_digit(host, usage), coded(usage)) if sign)
    if signs:
        return tuple(signs)
    key = host.keys.get(usage)
    legend = key.at(1) if key else None
    return (legend.text if legend else "",)


def _typing(machine: Machine, wanted: tuple[str, ...]) -> Iterator[tuple[Key, ShiftState]]:
    for key in machine.keys:
        for state, legend in key.types.items():
            if legend.text in wanted or (legend.is_character and legend.text.lower() in wanted):
                yield key, state
