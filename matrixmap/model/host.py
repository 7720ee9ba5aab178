"""The host: a modern keyboard of one country, what it types and what is printed on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from matrixmap.hid.usages import Usage
from matrixmap.model.finding import Place
from matrixmap.model.legend import Legend

LEVELS = 4
"""1 plain, 2 with Shift, 3 with AltGr, 4 with both (the fourth is common practice; ISO/IEC 9995 has three)."""

LEGEND_AT = {1: (0, 0, 0, 0), 2: (0, 1, 0, 1), 3: (0, 1, 2, 2), 4: (0, 1, 2, 3)}
"""How many legends a key has -> which of them each level types."""


def at_every_level(legends: tuple[Legend | None, ...]) -> tuple[Legend | None, ...]:
    """What a key with one to four legends types at levels 1 to 4: a modifier without a legend changes nothing."""
    return tuple(legends[index] for index in LEGEND_AT[len(legends)])


class CapsLock(Enum):
    """Which pairs of levels Caps Lock swaps on a key."""

    NONE = "none"
    SHIFT = "shift"
    ALTGR = "altgr"
    BOTH = "both"


CAPS_LOCK_OF = {
    (False, False): CapsLock.NONE,
    (True, False): CapsLock.SHIFT,
    (False, True): CapsLock.ALTGR,
    (True, True): CapsLock.BOTH,
}
"""Whether levels 1 and 2, and levels 3 and 4, are swapped -> the choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HostKey:
    """A key of the host.

    `legends` has one to four entries (None: nothing at that level). One is the same at every level; with two, AltGr
    changes nothing; with three, Shift changes nothing while AltGr is held.
    On a keypad digit key the first is with Num Lock on, the second with it off.
    `printed` has the levels, of those with an entry of their own, whose legend can be read on the keycap. A letter counts
    as printed at both levels of its two cases, though most keycaps show the capital alone (common practice).
    """

    usage: Usage
    name: str
    legends: tuple[Legend | None, ...]
    caps: CapsLock
    printed: frozenset[int]
    place: Place

    def at(self, level: int) -> Legend | None:
        """The legend at a level from 1 to 4: a modifier for which the key has no legend of its own changes nothing."""
        return self.legends[LEGEND_AT[len(self.legends)][level - 1]]

    def is_printed(self, level: int) -> bool:
        """Whether what the key types at a level from 1 to 4 can be read on it.

        A level that repeats the legend of a lower one is printed where that is. Where the key types nothing, nothing is.
        """
        legend = self.at(level)
        return legend is not None and min(low for low in range(1, level + 1) if self.at(low) == legend) in self.printed


@dataclass(frozen=True, slots=True, kw_only=True)
class Host:
    """A keyboard of one country: its form and what each key types at each level.

    `keys` is ordered by usage. `has_altgr` says whether right Alt chooses levels 3 and 4.
    `composes` maps the accent of a dead key to what it makes of the character typed next; the accent itself stands for
    the dead key pressed twice.
    """

    id: str
    title: str
    source: str
    form: str
    keys: Mapping[Usage, HostKey]
    has_altgr: bool
    composes: Mapping[str, Mapping[str, str]]
    place: Place

    @property
    def levels(self) -> int:
        """How many levels the typist can choose: 2, or 4 with AltGr."""
        return 4 if self.has_altgr else 2
