"""Machine files: the modifiers, and what each key types in each shift state."""

from __future__ import annotations

import re
from collections.abc import Iterable
from types import MappingProxyType

from matrixmap.model.legend import Legend, other_case
from matrixmap.model.machine import PLAIN, Key, Modifier, ShiftState
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.kinds.machine_modes import KeyTurns, mode_names, split_mode
from matrixmap.source.kinds.machine_wires import Wires
from matrixmap.source.report import Report, named
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Text

MOST_MODIFIER_KEYS = 8
SHIFT = "shift"
"""The modifier of this name is fed by the host's Shift, unless the file says otherwise."""


class Typing:
    """The modifiers of a machine and what its keys type, read from a record."""

    def __init__(self, record: Record, wires: Wires, report: Report, whole: bool) -> None:
        """`whole` means that no part of the record is missing because of a finding."""
        self.record = record
        self.wires = wires
        self.report = report
        # After a fault in the modifiers, findings for unknown names would only repeat that fault.
        self.all_modifiers_read = "modifiers" in record or whole
        self.modifiers: list[Modifier] = []
        self._modifiers()
        self.where: dict[str, dict[ShiftState, Place]] = {}
        self.turns: dict[str, KeyTurns] = {}
        self.also: dict[str, dict[ShiftState, tuple[Legend, ...]]] = {}
        self.types = self._types()
        self.host_shift = self._host_shift()

    def _modifiers(self) -> None:
        used: dict[str, str] = {}
        listed = self.record.get("modifiers")
        self.all_modifiers_read &= listed is None or listed.whole
        for name, keys, place in listed or ():
            if name.text == "plain":
                self.report.add(
                    rules.NAME_TWICE, place, "plain is the shift state without modifiers; choose another name"
                )
                continue
            closed: dict[str, None] = {}
            named_here: set[str] = set()
            for key in keys:
                contact = self._modifier_key(key) if key is not None else None
                if contact is None:
                    continue
                owner = used.get(contact, name.text)
                if owner != name.text or key.text in named_here:
                    self.report.add(rules.NAME_TWICE, key.place, f"{contact} is already a key of {owner}")
                named_here.add(key.text)
                used[contact] = name.text
                closed[contact] = None
            self.modifiers.append(Modifier(name=name.text, keys=tuple(closed)))
        if len(used) > MOST_MODIFIER_KEYS:
            text = f"{len(used)} modifier keys are more than {MOST_MODIFIER_KEYS}"
            self.report.add(rules.TOO_MANY, self.record.place, text)

    def _modifier_key(self, key: Text) -> str | None:
        """The key with the contact of a modifier's key: the key itself, or the one that it is in parallel with."""
        closed = self.wires.parallel.get(key.text, (key.text,))
        if len(closed) > 1:
            fault = (
                f"{key.text} closes several contacts, so it cannot be a modifier's key; name the keys that it closes"
            )
            self.report.add(rules.UNKNOWN_KEY, key.place, fault)
            return None
        return closed[0] if key.text in self.wires.parallel or self.wires.known(key) else None

    def _types(self) -> dict[str, dict[ShiftState, Legend | None]]:
        types: dict[str, dict[ShiftState, Legend | None]] = {}
        names, modes = [modifier.name for modifier in self.modifiers], mode_names(self.record)
        for key, states, _ in self.record.get("types") or ():
            if key.text in self.wires.parallel:
                keys = " + ".join(self.wires.parallel[key.text])
                fault = f"{key.text} is in parallel with {keys} and types what they type; remove its types"
                self.report.add(rules.CROSSPOINT_TWICE, key.place, fault)
                continue
            if key.text not in self.wires.latching and not self.wires.known(key):
                continue
            read: dict[ShiftState, Legend | None] = {}
            turns = self.turns[key.text] = KeyTurns()
            for written, legends, place in states:
                state_text, mode = split_mode(written, modes)
                state = read_state(state_text, names, self.report if self.all_modifiers_read else Report(), modes)
                if state is None:
                    continue
                known = read if mode is None else turns.modes.setdefault(mode, {})
                if state in known:
                    text = f"{key.text} already has this shift state"
                    self.report.add(rules.STATE_TWICE, place, text)
                if len(legends) > 1 and (None in legends or len(set(legends)) < len(legends)):
                    what = (
                        ("none cannot stand together with other meanings")
                        if None in legends
                        else "the same meaning is there twice"
                    )
                    self.report.add(rules.WRONG_TYPE, place, f"{key.text}: {what}")
                elif len(legends) > 1 and any(legend is not None and legend.dead for legend in legends):
                    self.report.add(rules.WRONG_TYPE, place, f"{key.text}: a dead key cannot have another meaning")
                legend = legends[0] if legends else None
                if mode is not None:
                    if legend is not None:
                        turns.modes[mode][state] = legend
                    continue
                read[state] = None if legend is not None and legend.dead else legend
                if legend is not None and legend.dead:
                    turns.dead[state] = legend.text
                self.where.setdefault(key.text, {})[state] = place
                further = tuple(legend for legend in legends[1:] if legend is not None)
                if further:
                    self.also.setdefault(key.text, {})[state] = further
            types[key.text] = read
        return types

    def _host_shift(self) -> str | None:
        """The modifier that the host's Shift feeds: as the file says, else `shift`, else what makes capitals."""
        names = [modifier.name for modifier in self.modifiers]
        stated: Text | None = self.record.get("host_shift")
        if stated is None:
            return SHIFT if SHIFT in names else self._makes_capitals(names)
        if stated.text not in (*names, "none") and self.all_modifiers_read:
            fault = f"the machine has no modifier {stated.text!r}{self.report.nearest(stated.text, names)}; write one, or none"
            self.report.add(rules.UNKNOWN_MODIFIER, stated.place, fault)
        return stated.text if stated.text in names else None

    def _makes_capitals(self, names: list[str]) -> str | None:
        """The modifier that makes the other case of most letters, if no other modifier does so for any letter."""
        letters = [(case, states) for states in self.types.values() if (case := _other_case(states.get(PLAIN)))]
        counts = {
            name: sum(states.get(frozenset({name})) == Legend(case) for case, states in letters) for name in names
        }
        able = [name for name in names if counts[name]]
        return able[0] if len(able) == 1 and 2 * counts[able[0]] > len(letters) else None

    def keys(self) -> tuple[Key, ...]:
        """The keys in order of their contacts, with what they type."""
        keys = []
        for name, contact in self.wires.contacts.items():
            states = self.types.get(name, {})
            typed = {state: legend for state, legend in states.items() if legend is not None}
            silent = frozenset(state for state, legend in states.items() if legend is None)
            key = Key(
                name=name,
                contact=contact,
                types=MappingProxyType(typed),
                place=self.wires.places[name],
                silent=silent,
                also=MappingProxyType(self.also.get(name, {})),
                where=MappingProxyType(self.where.get(name, {})),
            )
            keys.append(self.turns[name].put_into(key) if name in self.turns else key)
        return tuple(sorted(keys, key=lambda key: key.contact))


def _other_case(legend: Legend | None) -> str | None:
    return other_case(legend.text) if legend else None


def read_state(text: Text, modifiers: list[str], report: Report, modes: Iterable[str] = ()) -> ShiftState | None:
    """A shift state such as `shift + blazon`, or None after a finding."""
    if text.text == "plain":
        return PLAIN
    names = [name.strip() for name in text.text.split("+")]
    if "" in names or "plain" in names or len(set(names)) < len(names):
        fault = f"{text.text!r} is not a shift state: write plain alone, or different modifiers joined by +"
        report.add(rules.UNKNOWN_MODIFIER, text.place, fault)
        return None
    for name in names:
        if name in modes:
            fault = f"{text.text!r} is left of a state that names two modes; a state may name one"
            report.add(rules.UNKNOWN_MODIFIER, text.place, fault)
            return None
        split = re.split(r"[\s&/,;_-]+", name)
        if name not in modifiers and len(split) > 1 and all(part in modifiers for part in split):
            fault = f"{text.text!r} is not a shift state; modifiers are joined by +: write {' + '.join(split)}"
            report.add_once(rules.UNKNOWN_MODIFIER, text.place, fault)
            return None
        if name not in modifiers:
            known = ("plain", *modifiers, *modes)
            report.add_once(
                rules.UNKNOWN_MODIFIER,
                text.place,
                f"the machine has no modifier {name!r}{report.nearest(name, known)} (shift states: {named(known)}, joined by +)",
            )
            return None
    return frozenset(names)
