"""National keyboards as the system defines them: xkb-data, read through libxkbcommon.

Queries use modifier sets, because level indexes have no fixed meaning: Shift, the right Alt key where it chooses
levels, and both, each with Caps Lock off and on.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from matrixmap.hid.geometry import form as form_of
from matrixmap.hid.usages import ALT_RIGHT, KEYPAD_DIGITS, MODIFIER_BITS, NUM_LOCK, Usage
from matrixmap.model.host import CAPS_LOCK_OF, CapsLock
from matrixmap.model.legend import Legend
from matrixmap.source.propose.xkb_names import ACCENTS, FUNCTIONS, KEY_CODES
from matrixmap.source.shape.legends import UNPRINTABLE, is_accent

if TYPE_CHECKING:
    from types import ModuleType

RULES, MODEL = "evdev", "pc105"

INTL_RO, INTL_YEN, INTL_BACKSLASH = Usage(0x87), Usage(0x89), Usage(0x64)

NO_CHARACTER = "a keysym without a character"
NO_PRINT = "a character that prints nothing"
LONE_ACCENT = "a combining accent"
FALLS_APART = "a character that NFC splits"
NOT_ON_FORM = "a key that this form does not have"
OTHER_MODIFIERS = "a level that neither Shift nor AltGr reaches"
KEYPAD_LEVELS = "a keypad key that AltGr changes"
MODIFIER_KEY = "a modifier key that types something"
ONLY_CAPS_LOCK = "a character that only Caps Lock makes, usually a capital"
KEPT_CAPITAL = "a capital that Shift does not undo while Caps Lock is on"


class XkbError(Exception):
    """The system's keyboards cannot be read as requested; the text says why and what to do."""


@dataclass(frozen=True, slots=True, order=True)
class XkbName:
    """A layout of xkb-data and its variant; the variant is empty for the plain layout."""

    layout: str
    variant: str = ""

    def __str__(self) -> str:
        return f"{self.layout}:{self.variant}" if self.variant else self.layout


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """Something that a host file cannot hold: its place, the keysym, and the reason."""

    usage: Usage
    level: int
    keysym: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NationalKeyboard:
    """What a layout of xkb-data types, in a form that a host file can hold.

    `legends` has one to four entries for each key, with the same meaning as in a host; a key that types nothing has one
    entry of None. `caps` has every key with more than one legend.
    """

    name: XkbName
    form: str
    legends: Mapping[Usage, tuple[Legend | None, ...]]
    caps: Mapping[Usage, CapsLock]
    left_out: tuple[LeftOut, ...]


class XkbSystem:
    """The keyboards of this system."""

    def __init__(self) -> None:
        try:
            from xkbcommon import xkb
        except ImportError as fault:
            raise XkbError(
                f"libxkbcommon cannot be used ({fault}); on Debian or Ubuntu: apt install libxkbcommon-dev xkb-data gcc, "
                "then pip install 'matrixmap[xkb]'"
            ) from fault
        self.xkb: ModuleType = xkb
        # Without environment names, the user's own XKB settings do not count.
        self.context = xkb.Context(no_environment_names=True)
        self.context.set_log_fn(lambda *_: None)
        self._legends: dict[int, Legend | str | None] = {}
        self._titles: dict[XkbName, str] = {}

    def version(self) -> str:
        """`xkb-data` with its version, if the system gives it."""
        for folder in self.context.include_path():
            about = Path(folder).parents[1] / "pkgconfig" / "xkeyboard-config.pc"
            if about.is_file():
                found = re.search(r"(?m)^Version: *(\S+)", about.read_text(encoding="utf-8"))
                return f"xkb-data {found[1]}" if found else "xkb-data"
        return "xkb-data"

    def names(self) -> tuple[XkbName, ...]:
        """Every layout and variant that the system lists, in its order."""
        return tuple(self.titles())

    def titles(self) -> Mapping[XkbName, str]:
        """The title of each layout and variant in the system's list: language, country, and what is special."""
        if not self._titles:
            found = [Path(folder) / "rules" / f"{RULES}.lst" for folder in self.context.include_path()]
            listed = next((path for path in found if path.is_file()), None)
            if listed is None:
                raise XkbError("the system has no list of keyboards; on Debian or Ubuntu: apt install xkb-data")
            self._titles = dict(_listed_titles(listed.read_text(encoding="utf-8")))
        return self._titles

    def read(self, name: XkbName, form: str | None = None) -> NationalKeyboard:
        """A keyboard by its name; without `form`, its keys suggest the form."""
        try:
            keymap = self.context.keymap_new_from_names(
                rules=RULES, model=MODEL, layout=name.layout, variant=name.variant or None
            )
        except self.xkb.XKBError as fault:
            raise XkbError(f"libxkbcommon knows no keyboard {name} ({fault})") from fault
        return _Reading(self, name, keymap).keyboard(form)

    def legend(self, keysym: int) -> Legend | str | None:
        """The meaning of a keysym on a key: a legend, None for nothing, or the reason why it cannot be a legend."""
        if keysym not in self._legends:
            self._legends[keysym] = self._make_legend(keysym)
        return self._legends[keysym]

    def _make_legend(self, keysym: int) -> Legend | str | None:
        name = self.keysym_name(keysym)
        if name in ("NoSymbol", "VoidSymbol"):
            return None
        if name in FUNCTIONS:
            return Legend(FUNCTIONS[name])
        if name in ACCENTS:
            return Legend(ACCENTS[name], dead=True)
        text = unicodedata.normalize("NFC", self.xkb.keysym_to_string(keysym) or "")
        if not text:
            return NO_CHARACTER
        if len(text) > 1:
            return FALLS_APART
        if unicodedata.category(text) in UNPRINTABLE:
            return NO_PRINT
        return LONE_ACCENT if is_accent(text) else Legend(text)

    def keysym_name(self, keysym: int) -> str:
        """The name of a keysym."""
        name: str = self.xkb.keysym_get_name(keysym)
        return name


def _listed_titles(text: str) -> Iterator[tuple[XkbName, str]]:
    """The layouts and variants of a rules list with their titles. Sections begin with `!`, lines with a name."""
    section = ""
    for line in text.splitlines():
        words = line.split()
        if line.startswith("!"):
            section = words[1] if len(words) > 1 else ""
        elif words and section == "layout":
            yield XkbName(words[0]), " ".join(words[1:]) or words[0]
        elif len(words) > 1 and section == "variant":
            name = XkbName(words[1].rstrip(":"), words[0])
            yield name, " ".join(words[2:]) or str(name)


class _State(Protocol):
    """The part of libxkbcommon's keyboard state that is used here."""

    def key_get_one_sym(self, key: int) -> int: ...
    def serialize_mods(self, components: int) -> int: ...
    def update_key(self, key: int, direction: object) -> object: ...
    def update_mask(self, held: int, latched: int, locked: int, *layouts: int) -> object: ...


class _Keymap(Protocol):
    """The part of libxkbcommon's keymap that is used here."""

    def key_get_mods_for_level(self, key: int, layout: int, level: int) -> Iterable[int]: ...
    def key_get_syms_by_level(self, key: int, layout: int, level: int) -> Iterable[int]: ...
    def mod_get_index(self, name: str) -> int: ...
    def num_levels_for_key(self, key: int, layout: int) -> int: ...
    def state_new(self) -> _State: ...


class _Reading:
    """Queries one keymap."""

    def __init__(self, system: XkbSystem, name: XkbName, keymap: _Keymap) -> None:
        self.system = system
        self.name = name
        self.keymap = keymap
        self.left_out: list[LeftOut] = []
        self.shift = 1 << keymap.mod_get_index("Shift")
        self.lock = 1 << keymap.mod_get_index("Lock")
        self.altgr = self._altgr()
        levels = (0, self.shift, self.altgr, self.shift | self.altgr) if self.altgr else (0, self.shift)
        self.plain = [self._state(mask, 0) for mask in levels]
        self.capped = [self._state(mask, self.lock) for mask in levels]
        self.num = self._pressed(NUM_LOCK)
        self.num.update_key(KEY_CODES[NUM_LOCK], system.xkb.KeyDirection.XKB_KEY_UP)
        self.num_mask = self.num.serialize_mods(system.xkb.StateComponent.XKB_STATE_MODS_LOCKED)

    def _pressed(self, usage: Usage) -> _State:
        state = self.keymap.state_new()
        state.update_key(KEY_CODES[usage], self.system.xkb.KeyDirection.XKB_KEY_DOWN)
        return state

    def _altgr(self) -> int:
        """The modifiers that the right Alt key sets if it chooses levels, else 0."""
        if not self._keysym(self.keymap.state_new(), ALT_RIGHT).startswith("ISO_Level"):
            return 0
        component = self.system.xkb.StateComponent.XKB_STATE_MODS_DEPRESSED
        return self._pressed(ALT_RIGHT).serialize_mods(component)

    def _keysym(self, state: _State, usage: Usage) -> str:
        return self.system.keysym_name(state.key_get_one_sym(KEY_CODES[usage]))

    def _state(self, held: int, locked: int) -> _State:
        state = self.keymap.state_new()
        state.update_mask(held, 0, locked, 0, 0, 0)
        return state

    def keyboard(self, form: str | None) -> NationalKeyboard:
        legends: dict[Usage, tuple[Legend | None, ...]] = {}
        caps: dict[Usage, CapsLock] = {}
        form = form or self._form()
        absent = {usage for usage in (INTL_RO, INTL_YEN, INTL_BACKSLASH) if usage not in form_of(form).by_usage}
        for usage in KEY_CODES:
            if usage in MODIFIER_BITS:
                self._look_at_modifier(usage)
            elif usage in absent:
                self._look_at_absent(usage)
            elif usage in KEYPAD_DIGITS:
                legends[usage] = shortest((self._legend(self.num, usage, 1), self._legend(self.plain[0], usage, 2)))
                self._look_at_keypad(usage)
            else:
                typed = [self._legend(state, usage, number + 1) for number, state in enumerate(self.plain)]
                legends[usage] = shortest(tuple(typed))
                choice = self._caps(usage, typed)
                if len(legends[usage]) > 1:
                    caps[usage] = choice
            if usage not in MODIFIER_BITS:
                self._look_at_levels(usage)
        return NationalKeyboard(
            name=self.name, form=form, legends=legends, caps=caps, left_out=tuple(dict.fromkeys(self.left_out))
        )

    def _legend(self, state: _State, usage: Usage, level: int) -> Legend | None:
        keysym = state.key_get_one_sym(KEY_CODES[usage])
        legend = self.system.legend(keysym)
        if isinstance(legend, str):
            self._leave_out(usage, level, keysym, legend)
            return None
        return legend

    def _leave_out(self, usage: Usage, level: int, keysym: int, reason: str) -> None:
        name = self.system.keysym_name(keysym)
        self.left_out.append(LeftOut(usage=usage, level=level, keysym=name, reason=reason))

    def _form(self) -> str:
        """The form that the keys suggest. Nothing in xkb-data distinguishes ANSI boards from ISO boards."""
        has_ro, has_yen = (self._keysym(self.plain[0], usage) != "NoSymbol" for usage in (INTL_RO, INTL_YEN))
        if has_ro:
            return "jis-109" if has_yen else "abnt-107"
        if self.name.layout == "kr":
            return "ks-106"
        return "ansi-104" if self.name.layout == "us" else "iso-105"

    def _caps(self, usage: Usage, typed: list[Legend | None]) -> CapsLock:
        """Which pairs of levels Caps Lock swaps; anything else that it types is reported as left out."""
        swapped = []
        for low in range(0, len(typed), 2):
            keysyms = [state.key_get_one_sym(KEY_CODES[usage]) for state in self.capped[low : low + 2]]
            theirs = [self.system.legend(keysym) for keysym in keysyms]
            pair = typed[low : low + 2]
            swaps = pair[0] != pair[1] and theirs[0] == pair[1]
            swapped.append(swaps)
            for number, ours in enumerate(reversed(pair) if swaps else pair):
                if theirs[number] != ours and not isinstance(theirs[number], str):
                    reason = KEPT_CAPITAL if theirs[number] in pair else ONLY_CAPS_LOCK
                    self._leave_out(usage, low + number + 1, keysyms[number], reason)
        return CAPS_LOCK_OF[swapped[0], len(swapped) > 1 and swapped[1]]

    def _look_at_modifier(self, usage: Usage) -> None:
        keysym = self.plain[0].key_get_one_sym(KEY_CODES[usage])
        if isinstance(self.system.legend(keysym), Legend):
            self._leave_out(usage, 1, keysym, MODIFIER_KEY)

    def _look_at_absent(self, usage: Usage) -> None:
        for level, state in enumerate(self.plain, start=1):
            keysym = state.key_get_one_sym(KEY_CODES[usage])
            if self.system.legend(keysym) is not None:
                self._leave_out(usage, level, keysym, NOT_ON_FORM)

    def _look_at_keypad(self, usage: Usage) -> None:
        for level, state in enumerate(self.plain[2:3], start=3):
            keysym = state.key_get_one_sym(KEY_CODES[usage])
            if keysym != self.plain[0].key_get_one_sym(KEY_CODES[usage]):
                self._leave_out(usage, level, keysym, KEYPAD_LEVELS)

    def _look_at_levels(self, usage: Usage) -> None:
        """Reports as left out what needs modifiers other than Shift, AltGr and the locks."""
        code = KEY_CODES[usage]
        reached = [self.system.legend(state.key_get_one_sym(code)) for state in (*self.plain, self.num)]
        others = ~(self.shift | self.altgr | self.lock | self.num_mask)
        for index in range(self.keymap.num_levels_for_key(code, 0)):
            masks = tuple(self.keymap.key_get_mods_for_level(code, 0, index))
            if all(mask & others for mask in masks):
                for keysym in self.keymap.key_get_syms_by_level(code, 0, index):
                    legend = self.system.legend(keysym)
                    if isinstance(legend, Legend) and legend not in reached:
                        self._leave_out(usage, index + 1, keysym, OTHER_MODIFIERS)


def shortest(typed: tuple[Legend | None, ...]) -> tuple[Legend | None, ...]:
    """The shortest list of legends that says what a key types at two or four levels."""
    first = typed[:2]
    if len(typed) == 4 and typed[2:] != first:
        return typed[:3] if typed[2] == typed[3] else typed
    return first[:1] if first[0] == first[1] else first
