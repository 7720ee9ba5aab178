"""The host: a modern keyboard of one country, what it types and what is printed on it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType

from matrixmap.hid.geometry import FORM_NAMES, form
from matrixmap.hid.usages import Usage, code_or_number
from matrixmap.model.legend import Legend, other_case
from matrixmap.model.place import Place

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

    `legends` has one to four entries (None: nothing at that level). A single one is the same at every level; with two,
    AltGr changes nothing; with three, Shift changes nothing while AltGr is held. On a keypad digit key, the first is
    with Num Lock on, the second with it off. `printed` has the levels, among those with an entry, with a legend that
    can be read on the keycap. A letter counts as printed at the levels of both its cases, although most keycaps only
    show the capital (common practice).
    """

    usage: Usage
    name: str
    legends: tuple[Legend | None, ...]
    caps: CapsLock
    printed: frozenset[int]
    place: Place

    def at(self, level: int) -> Legend | None:
        """The legend at a level from 1 to 4: a modifier for which the key has no separate legend changes nothing."""
        return self.legends[LEGEND_AT[len(self.legends)][level - 1]]

    def is_printed(self, level: int) -> bool:
        """Whether what the key types at a level from 1 to 4 can be read on it.

        A level that repeats the legend of a lower one is printed if that one is. If the key types nothing, nothing is
        printed.
        """
        legend = self.at(level)
        return legend is not None and min(low for low in range(1, level + 1) if self.at(low) == legend) in self.printed


@dataclass(frozen=True, slots=True, kw_only=True)
class Host:
    r"""A keyboard of one country: its form and what each key types at each level.

    `keys` is ordered by usage. `has_altgr` says whether right Alt chooses levels 3 and 4. `composes` maps the accent of
    a dead key to what it makes of the character typed next; the accent itself means the dead key pressed twice.
    `prints` has what a person finds each key by, if anything is printed on it. In `names`, two keys with the same print
    are told apart by their codes, as in `\ (IntlBackslash)`. Both follow from the other fields.
    """

    id: str
    title: str
    source: str
    form: str
    keys: Mapping[Usage, HostKey]
    has_altgr: bool
    composes: Mapping[str, Mapping[str, str]]
    place: Place
    prints: Mapping[Usage, str] = field(init=False, repr=False, compare=False)
    names: Mapping[Usage, str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        prints = {usage: text for usage, key in self.keys.items() if (text := _print(key))}
        object.__setattr__(self, "prints", MappingProxyType(prints))
        object.__setattr__(self, "names", MappingProxyType(_told_apart(prints, self.form)))

    @property
    def levels(self) -> int:
        """How many levels the typist can choose: 2, or 4 with AltGr."""
        return 4 if self.has_altgr else 2


def cap_text(text: str) -> str:
    """A legend as printed on a key: letters are capitals there, except in Georgian: no word there begins with one."""
    if text == " ":
        return "Space"
    return text.title() if other_case(text) == text.upper() else text


def _print(key: HostKey) -> str | None:
    """The print of a key: the digit or letter of its levels without AltGr, else the first legend that can be read."""
    legends = [legend for level in (1, 2) if key.is_printed(level) and (legend := key.at(level))]
    if not legends:
        return None
    digit = next((legend.text for legend in legends if legend.text.isdecimal()), None)
    return digit or cap_text(legends[0].text)


def _told_apart(prints: Mapping[Usage, str], form_name: str) -> dict[Usage, str]:
    """The prints, with the code after those that several keys have.

    The keypad is treated separately. Among keys with the same print, one that is the only one on the form keeps the
    plain print. Usages of one code are one key.
    """
    usual = {code_or_number(usage) for usage in form(form_name).by_usage} if form_name in FORM_NAMES else set()
    keys = {(code_or_number(usage), text) for usage, text in prints.items()}
    every = Counter((code.startswith("Numpad"), text) for code, text in keys)
    of_form = Counter((code.startswith("Numpad"), text) for code, text in keys if code in usual)
    names = {}
    for usage, text in prints.items():
        code = code_or_number(usage)
        cell = (code.startswith("Numpad"), text)
        plain = every[cell] == 1 or (of_form[cell] == 1 and code in usual)
        names[usage] = text if plain else f"{text} ({code})"
    return names
