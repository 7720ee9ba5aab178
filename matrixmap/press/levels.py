"""What each key does at each level, for the keys that a person holds; by side if that matters."""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CONTROL_LEFT,
    CONTROL_RIGHT,
    KEYPAD_DIGITS,
    META_LEFT,
    META_RIGHT,
    NUM_LOCK,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.model.host import Host
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Plan, Trigger
from matrixmap.model.press import KeyPress
from matrixmap.press.every import Done, Every
from matrixmap.press.how_to_type import every_press, key_press
from matrixmap.press.keyboard import PhysicalKey, key_usage
from matrixmap.press.table.cells import ACCENT_ALONE


class Answer(NamedTuple):
    """What a press at a level does with one choice of sides; None if no entry answers it."""

    press: KeyPress
    done: Done | None


class Levels:
    """The answers to the triggers of one plan, each computed on demand."""

    def __init__(self, every: Every) -> None:
        self.every = every
        self.host = every.plan.layout.host
        self._keys = {key.usage: key for key in every.keys}
        self._num_off = next((number for number, locks in enumerate(every.locks) if locks.on == (NUM_LOCK,)), None)

    def key(self, usage: Usage) -> PhysicalKey:
        """The physical key of a usage."""
        return self._keys[key_usage(self.host, usage)]

    def is_key(self, usage: Usage) -> bool:
        """Whether a usage identifies its key: of two usages for one key, only one does."""
        return self.key(usage).usage == usage

    def number_of(self, accent: str) -> int:
        """The number of a dead key in the table, by its accent; all that type nothing share one."""
        accents = self.every.rules.table.accents
        return (accents.index(accent) if accent in accents else len(accents)) + 1

    def accent_alone(self, accent: str) -> Done | None:
        """What the accent of a dead key does alone, without modifiers held; None if the table has none."""
        entry = self.every.rules.compiled.look_up(ACCENT_ALONE, 1, 0, self.number_of(accent))
        return self.every.done(entry, 0, 0) if entry else None

    def answers(self, trigger: Trigger, accent: int = 0, exact: bool = False) -> tuple[Answer, ...]:
        """What a trigger does: one answer, or several if it depends on the side of a modifier.

        With the number of a pending dead key: what the pair does. Sides that type the same share one answer. With
        `exact`, only sides that close the same contacts share one.

        No answer if a keyboard cannot produce the trigger: its key is itself one of those to hold, or its level depends
        on Num Lock and the runtime does not keep Num Lock.
        """
        key = self.key(trigger.usage)
        locks = 0
        if trigger.usage in KEYPAD_DIGITS and trigger.level == 2:
            if self._num_off is None:
                return ()
            locks = self._num_off
        found: dict[object, tuple[Done | None, list[int]]] = {}
        for usages in sorted(set(product(*held_choices(self.host, trigger)))):
            if key.usage not in usages:
                held = self.every.mask_of(usages)
                if held not in self.every.class_of:
                    continue
                pressed = self.every.press(key, self.every.class_of[held], locks, accent)
                done = pressed.done if pressed else None
                found.setdefault(done if exact or done is None else done.seen, (done, []))[1].append(held)
        on = self.every.locks[locks].on
        return tuple(
            Answer(key_press(self.every, key, trigger.level, held, either, on), done)
            for done, sets in found.values()
            for held, either in self.every.without_sides(sets)
        )

    def text(self, trigger: Trigger) -> str | None:
        """The one character or function that a trigger types with some choice of sides, if any."""
        texts = (answer.done.text for answer in self.answers(trigger) if answer.done)
        return next((text for text in texts if text is not None), None)


def held_choices(host: Host, trigger: Trigger) -> list[tuple[Usage, ...]]:
    """For each modifier that a trigger needs, the keys for it."""
    choices: list[tuple[Usage, ...]] = []
    if trigger.usage not in KEYPAD_DIGITS:
        choices += [(SHIFT_LEFT, SHIFT_RIGHT)] * (trigger.level in (2, 4)) + [(ALT_RIGHT,)] * (trigger.level in (3, 4))
    sides = {
        HostModifier.CONTROL: (CONTROL_LEFT, CONTROL_RIGHT),
        HostModifier.ALT: (ALT_LEFT,) if host.has_altgr else (ALT_LEFT, ALT_RIGHT),
        HostModifier.META: (META_LEFT, META_RIGHT),
    }
    return choices + [sides[extra] for extra in HostModifier if extra in trigger.extras]


def levels_of(plan: Plan) -> Levels:
    """The answers to the triggers of a plan. TableError if no table can hold it."""
    return Levels(every_press(plan))
