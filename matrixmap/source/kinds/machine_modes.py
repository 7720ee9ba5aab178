"""What does a machine file say about strokes in sequence? Modes, dead keys of the machine, and sequences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from types import MappingProxyType

from matrixmap.model.legend import Legend
from matrixmap.model.machine import Key, Keystroke, Machine, Mode, Modifier, ShiftState
from matrixmap.model.place import Place
from matrixmap.model.sequences import dead_strokes, single_strokes
from matrixmap.source import rules
from matrixmap.source.report import Report, named
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Text

ONE_KEY = "one-key"
"""A mode with this end lasts for one key after the stroke that begins it."""


@dataclass(slots=True)
class KeyTurns:
    """What a key has beyond its plain legends: dead keys by shift state, and legends by mode and shift state."""

    dead: dict[ShiftState, str] = field(default_factory=dict)
    modes: dict[str, dict[ShiftState, Legend]] = field(default_factory=dict)

    def put_into(self, key: Key) -> Key:
        """The key with these added."""
        silent = key.silent | self.dead.keys()
        modes = {mode: MappingProxyType(states) for mode, states in self.modes.items()}
        return replace(key, dead=MappingProxyType(self.dead), modes=MappingProxyType(modes), silent=silent)


def mode_names(record: Record) -> list[str]:
    """The names of a machine's modes, read before everything else about them."""
    return [name.text for name, _, _ in record.get("modes") or ()]


def split_mode(text: Text, modes: Iterable[str]) -> tuple[Text, str | None]:
    """A shift state as written, without its mode, and the mode. A second mode stays in the text, as an unknown name."""
    parts = [part.strip() for part in text.text.split("+")]
    mode = next((part for part in parts if part in modes), None)
    if mode is None:
        return text, None
    parts.remove(mode)
    return Text(" + ".join(parts) or "plain", text.place, text.quoted), mode


class TurnReader:
    """Reads the sections about turns, for a machine with known keys and modifiers."""

    def __init__(self, keys: tuple[Key, ...], modifiers: Iterable[Modifier], report: Report) -> None:
        self.keys = {key.name: key for key in keys}
        self.modifiers = {modifier.name: modifier for modifier in modifiers}
        self.report = report

    def modes(self, record: Record) -> tuple[Mode, ...]:
        """The modes; a finding if a name is taken or if nothing says when the mode is on."""
        found = []
        for name, fields, place in record.get("modes") or ():
            if name.text == "plain" or name.text in self.modifiers:
                fault = f"{name.text} is already a shift state; give the mode a name of its own"
                self.report.add(rules.NAME_TWICE, place, fault)
            by, until, when = (fields.get(part) for part in ("by", "until", "when"))
            if by is None and when is None:
                fault = f"{name.text} needs by, the stroke that begins it, or when, a phrase that says when it is on"
                self.report.add(rules.MISSING_FIELD, place, fault)
            one_key = until is not None and until.text == ONE_KEY
            begins = self.stroke(by) if by is not None else None
            ends = self.stroke(until) if until is not None and not one_key else None
            words = when.text if when is not None else None
            found.append(Mode(name=name.text, by=begins, one_key=one_key, until=ends, when=words))
        return tuple(found)

    def sequences(self, record: Record) -> tuple[dict[str, tuple[Keystroke, ...]], dict[str, Place]]:
        """The sequences of the file with their places; a sequence with a finding is left out."""
        found: dict[str, tuple[Keystroke, ...]] = {}
        places: dict[str, Place] = {}
        for legend, texts, place in record.get("sequences") or ():
            strokes = [self.stroke(text) for text in texts if text is not None]
            if len(strokes) == len(texts) and None not in strokes:
                found[legend.text] = tuple(stroke for stroke in strokes if stroke is not None)
                places[legend.text] = place
        return found, places

    def stroke(self, text: Text) -> Keystroke | None:
        """A stroke such as `shift + d2`, or modifiers together without a key; None after a finding."""
        parts = [part.strip() for part in text.text.split("+")]
        held = [part for part in parts if part in self.modifiers]
        keys = [part for part in parts if part not in self.modifiers]
        if "" in parts or len(set(parts)) < len(parts) or len(keys) > 1:
            fault = (
                f"{text.text!r} is not a stroke: write one key with modifiers in front, joined by +, or modifiers alone"
            )
            self.report.add(rules.BAD_STROKE, text.place, fault)
            return None
        for key in keys:
            owner = next((name for name, modifier in self.modifiers.items() if key in modifier.keys), None)
            if owner is not None:
                fault = f"{key} is a key of the modifier {owner}; in a stroke write {owner}"
                self.report.add(rules.BAD_STROKE, text.place, fault)
                return None
            if key not in self.keys:
                known = (*self.keys, *self.modifiers)
                fault = f"the machine has no key or modifier {key!r}{self.report.nearest(key, known)}"
                self.report.add(rules.UNKNOWN_KEY, text.place, fault)
                return None
        return Keystroke(state=frozenset(held), key=keys[0] if keys else None)


def check_turns(machine: Machine, record: Record, places: Mapping[str, Place], report: Report) -> None:
    """Adds findings for modes, dead keys and sequences that are impossible on this machine."""
    for place, fault in (
        *_faults_of_sequences(machine, places),
        *_faults_of_modes(machine, record),
        *_faults_of_dead_keys(machine, record, report),
    ):
        report.add(rules.BAD_SEQUENCE, place, fault)


def _faults_of_sequences(machine: Machine, places: Mapping[str, Place]) -> Iterator[tuple[Place, str]]:
    by_strokes: dict[tuple[Keystroke, ...], str] = {}
    for legend, strokes in machine.sequences.items():
        place = places[legend]
        for count in range(1, len(strokes) + 1):
            other = by_strokes.get(strokes[:count])
            if other is not None and legend != other:
                yield (
                    place,
                    f"the strokes of {legend} begin with those of {other}, so the machine could not tell them apart",
                )
        by_strokes[strokes] = legend
        for earlier, longer in by_strokes.items():
            if len(earlier) > len(strokes) and earlier[: len(strokes)] == strokes:
                fault = (
                    f"the strokes of {longer} begin with those of {legend}, so the machine could not tell them apart"
                )
                yield place, fault
        for stroke in strokes[:1]:
            yield from ((place, fault) for fault in _faults_of_beginning(machine, stroke, f"the sequence of {legend}"))
        for first, second in pairwise(strokes):
            if first.key is None and first.state <= second.state:
                one, two = machine.keystroke_name(first), machine.keystroke_name(second)
                fault = (
                    f"{two} holds all of {one}, so the machine cannot see {one} end; put another stroke between them"
                )
                yield place, fault
        if strokes[-1].key is None:
            yield (
                place,
                f"the last stroke of {legend} presses no key: {machine.keystroke_name(strokes[-1])} are modifiers",
            )


def _faults_of_modes(machine: Machine, record: Record) -> Iterator[tuple[Place, str]]:
    for mode, (_, _, place) in zip(machine.modes, record.get("modes") or (), strict=False):
        if mode.by is not None and mode.one_key:
            yield from ((place, fault) for fault in _faults_of_beginning(machine, mode.by, f"the mode {mode.name}"))
        if mode.one_key and mode.by is None:
            yield place, f"{mode.name} lasts for one key, but nothing says which stroke begins it; add by"
        if mode.by is None or mode.by.key is not None or not mode.one_key:
            continue
        name = machine.keystroke_name(mode.by)
        for key in machine.keys:
            if any(mode.by.state <= state for state in key.modes.get(mode.name, ())):
                fault = (
                    f"{key.name} is pressed with {name} still held, so the machine cannot see {name} end; leave "
                    "these out"
                )
                yield place, fault


def _faults_of_dead_keys(machine: Machine, record: Record, report: Report) -> Iterator[tuple[Place, str]]:
    dead = dead_strokes(machine)
    for accent, stroke in dead.items():
        if not machine.composes.get(accent):
            key = machine.key(stroke.key or "")
            fault = f"{machine.keystroke_name(stroke)} is the dead key {accent}, but composes has no pairs for it"
            yield key.place, fault
    single = single_strokes(machine)
    for accent, pairs, place in record.get("composes") or ():
        if accent.text not in dead:
            yield (
                place,
                f"no key of the machine is the dead key {accent.text}{report.nearest(accent.text, dead)}; types has none",
            )
            continue
        missing = [char for char in pairs if char not in single and char != accent.text]
        if missing:
            yield (
                place,
                f"no stroke types {named(missing)}, so the pairs of the dead key {accent.text} cannot have these",
            )


def _faults_of_beginning(machine: Machine, stroke: Keystroke, what: str) -> Iterator[str]:
    """Why a stroke cannot begin something: it already types a character, or a key needs the same modifiers."""
    name = machine.keystroke_name(stroke)
    if stroke.key is not None:
        key = machine.key(stroke.key)
        legend = key.types.get(stroke.state & key.selectors)
        if legend is not None and legend.is_character:
            yield f"{name} begins {what}, but types {legend} by itself; write none for it under types"
        return
    for key in machine.keys:
        for state, legend in key.types.items():
            if stroke.state and stroke.state <= state:
                yield f"{name} begins {what}, so it cannot be held to type with a key, but {key.name} types {legend} so"
                return
