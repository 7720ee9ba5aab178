"""How to type, press by press, what no single press types: what the machine types by sequences or in modes."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.hid.usages import MODIFIER_BITS, Usage
from matrixmap.model.machine import Keystroke, Machine, Mode
from matrixmap.model.press import KeyPress, Way
from matrixmap.model.sequences import modal_legends, sequences_of
from matrixmap.press.every import Every
from matrixmap.press.how_to_type import key_press
from matrixmap.press.reach import pressed_states
from matrixmap.press.turns import Turns


@dataclass(frozen=True, slots=True, kw_only=True)
class ByHand:
    """Consecutive presses that type something; `when` says, in words, when they do (empty: always)."""

    way: Way
    when: str = ""


def by_hand(every: Every) -> dict[str, ByHand]:
    """Character or function -> the presses, for what sequences type and what keys type in modes.

    Sequences come first. If a sequence has a stroke without a press, it is left out.
    """
    machine = every.plan.layout.machine
    found: dict[str, ByHand] = {}
    sequences, modal = sequences_of(machine), tuple(modal_legends(machine))
    if not sequences and not modal:
        return found
    presses = _Presses(every)
    for text, strokes in sequences.items():
        way = [press for stroke in strokes if (press := presses.of(stroke))]
        if len(way) == len(strokes):
            found[text] = ByHand(way=tuple(way))
    modes = {mode.name: mode for mode in machine.modes}
    for name, stroke, legend in modal:
        press = presses.of(stroke)
        if press is not None:
            found.setdefault(legend.text, ByHand(way=(press,), when=mode_words(machine, modes[name])))
    return found


class _Presses:
    """The easiest press for each stroke of the machine."""

    def __init__(self, every: Every) -> None:
        self.every = every
        self.machine = every.plan.layout.machine
        self.turns = Turns(self.machine)
        self._of_keys: dict[Keystroke, KeyPress] = {}
        names = {key.contact: key.name for key in self.machine.keys}
        for (contact, state), pressed in pressed_states(every).items():
            if contact not in names or pressed.accent or pressed.done.before:
                continue
            stroke = self.turns.stroke(names[contact], state)
            held = every.classes[pressed.hold].sets[0]
            press = key_press(every, pressed.key, pressed.level, held, 0, every.locks[pressed.locks].on)
            known = self._of_keys.get(stroke)
            if known is None or press.ease() < known.ease():
                self._of_keys[stroke] = press

    def of(self, stroke: Keystroke) -> KeyPress | None:
        """The press for a stroke, or None."""
        return self._of_keys.get(stroke) if stroke.key is not None else self._modifiers(stroke)

    def _modifiers(self, stroke: Keystroke) -> KeyPress | None:
        """Host keys that feed modifiers, held together: the last one counts as the pressed key."""
        rules = self.every.rules
        usages: list[Usage] = []
        for name in sorted(stroke.state):
            fed = [
                usage
                for usage, keys in sorted(rules.compiled.feeds.items())
                if rules.state(rules.compiled.mask_of(keys)) == {name}
            ]
            if not fed:
                return None
            usages.append(fed[0])
        *held, last = usages
        usual = all(usage in MODIFIER_BITS for usage in usages)
        return KeyPress(usage=last, level=1, extras=frozenset(), hold=tuple(held), usual=usual)


def mode_words(machine: Machine, mode: Mode) -> str:
    """When a mode is on, in words: `at the beginning of a line`, `in the mode capitals, from lock until lock`."""
    parts = [mode.when] if mode.when else []
    if mode.by is not None:
        until = "the next key" if mode.one_key else machine.keystroke_name(mode.until) if mode.until else None
        begins = f"in the mode {mode.name}, from {machine.keystroke_name(mode.by)}"
        parts.append(f"{begins} until {until}" if until else f"{begins} on")
    return "; ".join(parts)
