"""The host: a modern keyboard as printed in one country."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from matrixmap.hid.usages import Usage
from matrixmap.model.finding import Place
from matrixmap.model.legend import Legend

LEVELS = 4
"""1 plain, 2 with Shift, 3 with AltGr, 4 with both (the fourth is common practice; ISO/IEC 9995 has three)."""


class CapsLock(Enum):
    """Which pairs of levels Caps Lock swaps on a key."""

    NONE = "none"
    SHIFT = "shift"
    ALTGR = "altgr"
    BOTH = "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class HostKey:
    """A key of the host.

    `legends` has one entry (the same at every level) or up to four (None: nothing at that level).
    On a keypad digit key the first is with Num Lock on, the second with it off.
    """

    usage: Usage
    name: str
    legends: tuple[Legend | None, ...]
    caps: CapsLock
    place: Place

    def at(self, level: int) -> Legend | None:
        """The legend at a level from 1 to 4.

        A key with one legend types it everywhere; a function stays itself at the levels above it.
        """
        if len(self.legends) == 1:
            return self.legends[0]
        if level <= len(self.legends):
            return self.legends[level - 1]
        last = self.legends[-1] if self.legends else None
        return last if last is not None and not last.is_character else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Host:
    """A keyboard of one country: its form and what each key types at each level.

    `keys` is ordered by usage. `has_altgr` says whether right Alt chooses levels 3 and 4.
    """

    id: str
    title: str
    source: str
    form: str
    keys: Mapping[Usage, HostKey]
    has_altgr: bool
    place: Place

    @property
    def levels(self) -> int:
        """How many levels the typist can choose: 2, or 4 with AltGr."""
        return 4 if self.has_altgr else 2
