"""A press as a person makes it: the key, and everything that is held for it."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.hid.usages import KEYPAD_DIGITS, MODIFIER_BITS, Usage
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Trigger
from matrixmap.model.words import usage_name


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyPress:
    """A key to press, and what to hold for it.

    `hold` are the host keys to hold; if either side will do, it has the left one, which is then in `either`. `on` are
    lock and latch keys to turn on before; Num Lock is to be turned off. `level` and `extras` are those of the press.
    `usual` says that the host's form has the key; `printed` says that the key prints this level, as far as the host's
    file says.
    """

    usage: Usage
    level: int
    extras: frozenset[HostModifier]
    hold: tuple[Usage, ...] = ()
    either: frozenset[Usage] = frozenset()
    on: tuple[Usage, ...] = ()
    usual: bool = True
    printed: bool = True

    @property
    def trigger(self) -> Trigger:
        """The trigger of the press."""
        return Trigger(usage=self.usage, level=self.level, extras=self.extras)

    def ease(self) -> tuple[object, ...]:
        """A sort key that puts the easiest presses first."""
        keypad = usage_name(self.usage).startswith("Numpad")
        further = sum(usage not in MODIFIER_BITS for usage in self.hold)
        return (
            not self.usual,
            len(self.on) - (self.usage in KEYPAD_DIGITS and bool(self.on)),
            not self.printed,
            len(self.extras) + further,
            keypad,
            self.level,
            len(self.hold),
            len(self.hold) - len(self.either),
            self.usage,
            self.hold,
            self.on,
        )


Way = tuple[KeyPress, ...]
"""How to do something: one press, or a dead key and the press after it."""
