"""The shipped hosts against libxkbcommon: every usage that Linux knows, at every level.

Outside evidence: xkb-data 2.35.1 compiled by libxkbcommon (rules evdev, model pc105), driven by
key events: Shift, AltGr, Caps Lock and Num Lock are pressed as keys, and the key under test is
asked for its one keysym. Key codes: hid-usages.yaml beside this file (XKB key code: evdev + 8).
Names of functions and accents: xkb-names.yaml beside this file.
"""

import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any, Final

import pytest
import yaml

from matrixmap.hid.usages import (
    ALT_RIGHT,
    CAPS_LOCK,
    KEYPAD_DIGITS,
    MODIFIER_BITS,
    NUM_LOCK,
    SHIFT_LEFT,
    by_code,
    by_number,
)
from matrixmap.model.host import CapsLock, Host
from matrixmap.model.legend import Legend
from matrixmap.source.kinds.host import caps_from_case
from tests.project import ROOT, open_folders

HERE: Final = Path(__file__).parent
HOSTS: Final = ROOT / "shared" / "hosts"
XKB_DATA: Final = "2.35.1"

# Host -> layout and variant of xkb-data.
XKB_LAYOUTS: Final = {
    "bg-BG": "bg",
    "bs-BA": "ba",
    "ca-AD": "es:cat",
    "cs-CZ": "cz",
    "da-DK": "dk",
    "de-AT": "at",
    "de-CH": "ch",
    "de-DE": "de",
    "de-LI": "ch",
    "el-CY": "gr",
    "el-GR": "gr",
    "en-CA": "ca:eng",
    "en-GB": "gb",
    "en-IE": "ie",
    "en-US": "us",
    "es-419": "latam",
    "es-ES": "es",
    "et-EE": "ee",
    "fi-FI": "fi",
    "fo-FO": "fo",
    "fr-BE": "be",
    "fr-CA": "ca",
    "fr-CH": "ch:fr",
    "fr-FR": "fr",
    "fr-LU": "ch:fr",
    "fr-MC": "fr",
    "he-IL": "il",
    "hr-HR": "hr",
    "hu-HU": "hu",
    "is-IS": "is",
    "it-IT": "it",
    "it-SM": "it",
    "it-VA": "it",
    "ja-JP": "jp",
    "ko-KR": "kr",
    "lt-LT": "lt",
    "lv-LV": "lv",
    "mk-MK": "mk",
    "mt-MT": "mt",
    "nb-NO": "no",
    "nl-BE": "be",
    "nl-NL": "nl",
    "pl-PL": "pl",
    "pt-BR": "br",
    "pt-PT": "pt",
    "ro-RO": "ro",
    "ru-RU": "ru",
    "sk-SK": "sk",
    "sl-SI": "si",
    "sq-AL": "al",
    "sr-Latn-ME": "me",
    "sr-Latn-RS": "rs:latin",
    "sr-RS": "rs",
    "sv-FI": "fi",
    "sv-SE": "se",
    "tr-TR": "tr",
    "uk-UA": "ua",
}
FEWEST_COUNTRIES: Final = 30

# What a key types at a level: kind (character, function, dead, or keysym for what is none of these)
# and text. None where it types nothing.
Typed = tuple[str, str] | None

_NAMES: Final = yaml.safe_load((HERE / "xkb-names.yaml").read_text(encoding="utf-8"))
FUNCTIONS: Final[Mapping[str, str]] = _NAMES["functions"]
ACCENTS: Final[Mapping[str, str]] = _NAMES["accents"]

# Usages of which Linux and xkb-data make another key: usage -> (theirs, ours, reason).
_LAPTOP = "xkb-data gives F13 and up to the special keys of laptops; usage and W3C code name F13-F24"
OTHERWISE: Final[Mapping[int, tuple[Typed, Typed, str]]] = {
    0x68: (("keysym", "XF86Tools"), ("function", "F13"), _LAPTOP),
    0x69: (("keysym", "XF86Launch5"), ("function", "F14"), _LAPTOP),
    0x6A: (("keysym", "XF86Launch6"), ("function", "F15"), _LAPTOP),
    0x6B: (("keysym", "XF86Launch7"), ("function", "F16"), _LAPTOP),
    0x6C: (("keysym", "XF86Launch8"), ("function", "F17"), _LAPTOP),
    0x6D: (("keysym", "XF86Launch9"), ("function", "F18"), _LAPTOP),
    0x6E: (None, ("function", "F19"), _LAPTOP),
    0x6F: (("keysym", "XF86AudioMicMute"), ("function", "F20"), _LAPTOP),
    0x70: (("keysym", "XF86TouchpadToggle"), ("function", "F21"), _LAPTOP),
    0x71: (("keysym", "XF86TouchpadOn"), ("function", "F22"), _LAPTOP),
    0x72: (("keysym", "XF86TouchpadOff"), ("function", "F23"), _LAPTOP),
    0x73: (None, ("function", "F24"), _LAPTOP),
    0x76: (
        ("function", "Props"),
        None,
        "HID calls it Menu, Linux Props, and W3C has no code for it",
    ),
    0x77: (("keysym", "SunFront"), ("function", "Select"), "HID and W3C call it Select"),
    0x79: (("function", "Redo"), ("function", "Again"), "HID and W3C call it Again"),
    0x9C: (("function", "Delete"), ("function", "Clear"), "Linux has no key code for HID's Clear"),
    0xD8: (("function", "Delete"), ("function", "Clear"), "Linux has no key code for HID's Clear"),
}

# Where a key is missing on a form, xkb-data may still say what it would type.
ABSENT: Final[Mapping[str, frozenset[int]]] = {
    "ansi-104": frozenset({0x64}),
    "iso-105": frozenset(),
    "jis-109": frozenset({0x64}),
    "abnt-107": frozenset(),
    "ks-106": frozenset({0x64}),
}

# Accents that the Compose table does not make of a dead key pressed twice.
UNDOUBLED: Final = (
    *("dead_belowmacron", "dead_belowring", "dead_belowcircumflex", "dead_belowbreve", "dead_longsolidusoverlay"),
    *("dead_doublegrave", "dead_invertedbreve", "dead_abovecomma", "dead_abovereversedcomma"),
)

# Characters that a host cannot hold: nobody can read them on a key. Key and level -> character.
NOT_ON_A_KEY: Final[Mapping[str, Mapping[tuple[int, int], str]]] = {
    "fr-CA": {(0x37, 3): "\u00ad"},
    "nl-NL": {(0x38, 3): "\u00ad"},
    "fo-FO": {(0x38, 3): "\u00ad"},
    "is-IS": {(0x35, 4): "\u00ad"},
    "he-IL": {(0x26, 3): "\u200e", (0x27, 3): "\u200f"},
    "uk-UA": {(0x35, 3): "\u0301"},
}


@cache
def read_host(name: str) -> Host:
    """A shipped host, by the project's reader."""
    loaded = open_folders().host(name)
    assert loaded is not None
    assert loaded.value is not None, loaded.findings
    return loaded.value


def levels_of(host: Host) -> tuple[int, ...]:
    """1 and 2, and 3 and 4 where the host has AltGr."""
    return tuple(range(1, host.levels + 1))


def typed(legend: Legend | None) -> Typed:
    """A legend as the tests compare it."""
    if legend is None:
        return None
    return ("dead" if legend.dead else "character" if legend.is_character else "function", legend.text)


def types(host: Host, usage: int, level: int) -> Typed:
    """What a key of a host types."""
    key = host.keys.get(usage)
    return typed(key.at(level)) if key else None


def types_with_caps_lock(host: Host, usage: int, level: int) -> Typed:
    """What a key of a host types with Caps Lock on."""
    key = host.keys.get(usage)
    wanted = (CapsLock.SHIFT, CapsLock.BOTH) if level <= 2 else (CapsLock.ALTGR, CapsLock.BOTH)
    swapped = level + 1 if level % 2 else level - 1
    return types(host, usage, swapped if key and key.caps in wanted else level)


@cache
def _tree(host: str) -> Any:
    """A host file as text, mappings and lists."""
    text = (HOSTS / f"{host}.yaml").read_text(encoding="utf-8")
    return getattr(yaml, "CBaseLoader", yaml.BaseLoader)(text).get_single_data()


def _usages(key: str) -> tuple[int, ...]:
    return (int(key, 16),) if key.startswith("0x") else by_code(key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Witness:
    """One layout in libxkbcommon, asked by pressing keys."""

    xkb: ModuleType
    keymap: Any
    key_codes: Mapping[int, int]

    def types(self, usage: int, level: int, *locks: int) -> Typed:
        """What libxkbcommon types for a key at a level, after tapping the named locks."""
        return self._typed(self.pressed(level, *locks).key_get_one_sym(self.key_codes[usage]))

    def pressed(self, level: int, *locks: int) -> Any:
        """The state with the modifiers of a level held, after tapping the named locks."""
        down, up = self.xkb.KeyDirection.XKB_KEY_DOWN, self.xkb.KeyDirection.XKB_KEY_UP
        state = self.keymap.state_new()
        for lock in locks:
            # The Japanese keyboard locks capitals with Shift held.
            shifted = self.keysym(lock) == "Eisu_toggle"
            taps = [(lock, down), (lock, up)]
            for key, direction in [(SHIFT_LEFT, down), *taps, (SHIFT_LEFT, up)] if shifted else taps:
                state.update_key(self.key_codes[key], direction)
        for held, levels in ((SHIFT_LEFT, (2, 4)), (ALT_RIGHT, (3, 4))):
            if level in levels:
                state.update_key(self.key_codes[held], down)
        return state

    def keysym(self, usage: int) -> str:
        """The name of a key's plain keysym."""
        state = self.keymap.state_new()
        name: str = self.xkb.keysym_get_name(state.key_get_one_sym(self.key_codes[usage]))
        return name

    def _typed(self, keysym: int) -> Typed:
        name = self.xkb.keysym_get_name(keysym)
        if name in ("NoSymbol", "VoidSymbol"):
            return None
        if name in FUNCTIONS:
            return ("function", FUNCTIONS[name])
        if name in ACCENTS:
            return ("dead", ACCENTS[name])
        text = unicodedata.normalize("NFC", self.xkb.keysym_to_string(keysym) or "")
        return ("character", text) if text else ("keysym", name)


@pytest.fixture(scope="session")
def xkb(outside_module: Callable[[str, str], ModuleType], missing_tool: Callable[[str], None]) -> ModuleType:
    """The binding of libxkbcommon, with the data that the hosts were read from."""
    module = outside_module("xkbcommon.xkb", "xkbcommon (PyPI, needs libxkbcommon-dev)")
    try:
        _context(module).keymap_new_from_names(rules="evdev", model="pc105", layout="us")
    except module.XKBError as fault:
        missing_tool(f"xkb-data ({fault})")
    about = Path("/usr/share/pkgconfig/xkeyboard-config.pc")
    if about.exists() and f"Version: {XKB_DATA}\n" not in about.read_text(encoding="utf-8"):
        missing_tool(f"xkb-data {XKB_DATA} (another version is installed)")
    return module


@pytest.fixture(scope="module", params=XKB_LAYOUTS)
def host_id(request: pytest.FixtureRequest) -> str:
    """Each shipped national host in turn."""
    return str(request.param)


@pytest.fixture(scope="module")
def host(host_id: str) -> Host:
    """The host as shipped."""
    return read_host(host_id)


@pytest.fixture(scope="module")
def key_codes() -> dict[int, int]:
    """Usage -> XKB key code, for the usages that Linux knows."""
    facts = yaml.safe_load((HERE / "hid-usages.yaml").read_text(encoding="utf-8"))
    return {row["id"]: row["evdev"] + 8 for row in facts["usages"] if row["evdev"] is not None}


@pytest.fixture(scope="module")
def witness(host_id: str, xkb: ModuleType, key_codes: dict[int, int]) -> Witness:
    """The same layout in libxkbcommon."""
    layout, _, variant = XKB_LAYOUTS[host_id].partition(":")
    keymap = _context(xkb).keymap_new_from_names(rules="evdev", model="pc105", layout=layout, variant=variant or None)
    return Witness(xkb=xkb, keymap=keymap, key_codes=key_codes)


def _context(xkb: ModuleType) -> Any:
    # Without environment names, so that the contributor's own XKB settings do not count.
    context = xkb.Context(no_environment_names=True)
    context.set_log_fn(lambda *_: None)
    return context


def _cells(host: Host, key_codes: Mapping[int, int]) -> Iterator[tuple[int, int]]:
    """Every (usage, level) to compare, but for modifiers and the keys that Num Lock rules."""
    for usage in key_codes:
        if usage not in {*MODIFIER_BITS, *KEYPAD_DIGITS, *ABSENT[host.form]}:
            yield from ((usage, level) for level in levels_of(host))


def test_every_level_types_what_libxkbcommon_types(
    host_id: str, host: Host, witness: Witness, key_codes: dict[int, int]
) -> None:
    """Each usage types at each level what libxkbcommon gives, but for usages of another name and unreadable characters."""
    cells = list(_cells(host, key_codes))
    ours = {cell: types(host, *cell) for cell in cells}
    theirs = {cell: witness.types(*cell) for cell in cells}
    differ = {cell: (theirs[cell], ours[cell]) for cell in cells if theirs[cell] != ours[cell]}
    named = {(usage, level): tuple(pair) for usage, (*pair, _) in OTHERWISE.items() for level in levels_of(host)}
    unfit = {cell: (("character", char), None) for cell, char in NOT_ON_A_KEY.get(host_id, {}).items()}
    assert differ == named | unfit
    assert len(cells) > 250


def test_characters_that_a_host_cannot_hold_cannot_be_read() -> None:
    """They are formatting characters or combining accents."""
    for char in (char for cells in NOT_ON_A_KEY.values() for char in cells.values()):
        assert unicodedata.category(char) == "Cf" or unicodedata.combining(char)


def test_caps_lock_types_what_libxkbcommon_types(host: Host, witness: Witness, key_codes: dict[int, int]) -> None:
    """Caps Lock swaps levels as libxkbcommon does, but for capitals that the key does not have.

    libxkbcommon makes capitals even of letters whose key has none; a host swaps legends and cannot.
    """
    cells = [cell for cell in _cells(host, key_codes) if cell[0] not in OTHERWISE]
    ours = {cell: types_with_caps_lock(host, *cell) for cell in cells}
    theirs = {cell: witness.types(*cell, CAPS_LOCK) for cell in cells}
    differ = [cell for cell in cells if theirs[cell] != ours[cell] and types(host, *cell) is not None]
    for usage, level in differ:
        kind, letter = types(host, usage, level)
        capital = "ẞ" if letter == "ß" else letter.upper()
        # Some capitals are numbers that name no keysym.
        assert kind == "character"
        assert theirs[usage, level] in (("character", capital), ("keysym", f"0x{ord(capital):08x}"))
        # Without Shift, a capital of the same pair would have been a swap.
        assert level % 2 == 0 or theirs[usage, level] != types(host, usage, level + 1)
    assert len(differ) < 30


def test_num_lock_chooses_between_digits_and_navigation(host: Host, witness: Witness) -> None:
    """The first legend of a keypad digit key is typed with Num Lock on, the second with it off.

    With AltGr as well, but on the Romanian decimal key, which has another separator there. Shift is left out:
    libxkbcommon lets it reverse Num Lock for the moment, while here Num Lock alone chooses.
    """
    for usage in KEYPAD_DIGITS:
        ours = tuple(typed(legend) for legend in host.keys[usage].legends)
        theirs = [
            (witness.types(usage, level, NUM_LOCK), witness.types(usage, level))
            for level in levels_of(host)
            if level % 2 == 1 and not (level == 3 and (host.id, usage) == ("ro-RO", KEYPAD_DIGITS[-1]))
        ]
        assert set(theirs) == {ours}


def test_a_host_with_levels_3_and_4_has_altgr(host: Host, witness: Witness) -> None:
    """Where keys have a third legend the right Alt key is AltGr; where they have none it changes nothing or is an Alt."""
    is_altgr = witness.keysym(ALT_RIGHT) == "ISO_Level3_Shift"
    if host.has_altgr or not is_altgr:
        assert host.has_altgr == is_altgr
    else:
        changed = [usage for usage in witness.key_codes if witness.types(usage, 3) != witness.types(usage, 1)]
        assert changed == []


def test_modifiers_type_nothing(host: Host, witness: Witness) -> None:
    """Modifiers have no legend, and libxkbcommon has modifiers or a compose key for all of them."""
    keysyms = {witness.keysym(usage).removesuffix("_L").removesuffix("_R") for usage in MODIFIER_BITS}
    assert keysyms <= {"Control", "Shift", "Alt", "Super", "ISO_Level3_Shift", "Multi_key"}
    assert set(MODIFIER_BITS) & set(host.keys) == set()


def test_every_legend_is_compared(host: Host, key_codes: dict[int, int]) -> None:
    """No legend stands at a usage or level that the comparisons above leave out."""
    cells = set(_cells(host, key_codes))
    left_out = {
        (usage, level)
        for usage, key in host.keys.items()
        for level in range(1, min(len(key.legends), host.levels) + 1)
        if (usage, level) not in cells and usage not in KEYPAD_DIGITS
    }
    assert left_out == set()


def test_dead_keys_compose_as_the_compose_table(
    host: Host, witness: Witness, xkb: ModuleType, missing_tool: Callable[[str], None], key_codes: dict[int, int]
) -> None:
    """What a dead key makes of the next key is what the Compose table for en_US.UTF-8 makes of the two keysyms.

    For every dead key and every other key of the host, at every level. Left out: what is no single character, a
    no-break space after the dead key, two different dead keys, with which the table waits for a third key, and the
    keypad, whose signs compose here like those of other keys.
    """
    try:
        table = _context(xkb).compose_table_new_from_locale("en_US.UTF-8")
    except xkb.XKBError as fault:
        missing_tool(f"libx11-data ({fault})")
    keysyms: dict[int, Typed] = {}
    for usage, level in _cells(host, key_codes):
        keypad = witness.keysym(usage).startswith("KP_")
        if usage not in OTHERWISE and not keypad:
            keysyms[witness.pressed(level).key_get_one_sym(key_codes[usage])] = types(host, usage, level)
    dead = {keysym: what[1] for keysym, what in keysyms.items() if what and what[0] == "dead"}
    differ = {}
    for first, accent in dead.items():
        for second, what in keysyms.items():
            if what is None or what[0] == "function" or what[1] == "\u00a0" or (second in dead and second != first):
                continue
            ours = host.composes[accent].get(what[1]) if what[0] == "dead" or what[1] != accent else None
            theirs = _composed(xkb, table, first, second)
            if ours != theirs:
                differ[accent, what] = (ours, theirs)
    assert differ == {}


def _composed(xkb: ModuleType, table: Any, first: int, second: int) -> str | None:
    """What two keysyms compose to, if that is one character which can stand on a key."""
    state = table.compose_state_new()
    state.feed(first)
    state.feed(second)
    if xkb.ComposeStatus(state.get_status()) is not xkb.ComposeStatus.XKB_COMPOSE_COMPOSED:
        return None
    text = unicodedata.normalize("NFC", state.get_utf8())
    return text if len(text) == 1 and not unicodedata.combining(text) else None


def test_accents_of_dead_keys_are_those_of_the_compose_table(
    xkb: ModuleType, missing_tool: Callable[[str], None]
) -> None:
    """A dead key pressed twice types its spacing accent, in the compose table of en_US.UTF-8.

    The ring is ours, U+02DA, where the table types the degree sign; so are accents that the table does not double.
    """
    try:
        table = _context(xkb).compose_table_new_from_locale("en_US.UTF-8")
    except xkb.XKBError as fault:
        missing_tool(f"libx11-data ({fault})")
    twice = {}
    for name in ACCENTS:
        state = table.compose_state_new()
        for _ in range(2):
            state.feed(xkb.keysym_from_name(name))
        twice[name] = state.get_utf8()
    differ = {name: text for name, text in twice.items() if text != ACCENTS[name]}
    assert differ == {"dead_abovering": "°", **dict.fromkeys(UNDOUBLED, "")}


def test_every_name_of_the_tables_is_used() -> None:
    """Each accent and each function of a typing key in xkb-names.yaml is on a shipped host."""
    legends = {legend for name in XKB_LAYOUTS for key in read_host(name).keys.values() for legend in key.legends}
    used = {legend.text for legend in legends if legend and legend.dead}
    assert used <= set(ACCENTS.values())
    assert set(FUNCTIONS.values()) - {legend.text for legend in legends if legend} <= {"Redo", "Props", "Romaji"}


def test_named_differences_are_needed_and_explained() -> None:
    """Each usage whose function is not xkb-data's differs, with a reason."""
    for usage, (theirs, ours, reason) in OTHERWISE.items():
        assert by_number(usage) is not None
        assert theirs != ours
        assert reason


def test_every_line_of_a_national_host_is_needed(host_id: str) -> None:
    """A national host repeats no legend of its base, and names no Caps Lock that is the rule."""
    project = open_folders()
    tree = _tree(host_id)
    own, base = project.host_draft(host_id), project.host_draft(tree["base"])
    assert own is not None
    assert base is not None
    needless = {
        usage
        for key in tree.get("legends", {})
        for usage in _usages(key)
        if base.value.legends.get(usage, ("", (None,), None))[1] == own.value.legends[usage][1]
    }
    assert needless == set()
    for key in tree.get("caps", {}):
        for usage in _usages(key):
            given = base.value.caps.get(usage) or caps_from_case(
                own.value.legends[usage][1], read_host(host_id).has_altgr
            )
            assert CapsLock(tree["caps"][key]) is not given


def test_a_shipped_file_writes_each_key_once_under_its_code() -> None:
    """Keys are known codes or usage numbers, each once."""
    for name in ("base", *XKB_LAYOUTS):
        tree = _tree(name)
        assert tree["host"] == name
        lines = (HOSTS / f"{name}.yaml").read_text(encoding="utf-8").partition("\nprinted:")[0].splitlines()
        keys = [line.split(":")[0].strip() for line in lines if line.startswith("  ") and ": [" in line]
        assert keys == list(tree.get("legends", {}))
        assert [key for key in keys if not _usages(key)] == []


def test_shipped_hosts_are_those_checked() -> None:
    """Every host file is a national host checked here, or their base, and they are of many countries."""
    assert {path.stem for path in HOSTS.glob("*.yaml")} == {"base", *XKB_LAYOUTS}
    assert len({name.rpartition("-")[2] for name in XKB_LAYOUTS}) >= FEWEST_COUNTRIES


def test_a_host_without_a_layout_of_its_own_says_so() -> None:
    """Two countries may share a keyboard; then one takes all legends over from the other and says why."""
    shared = {layout for layout, count in Counter(XKB_LAYOUTS.values()).items() if count > 1}
    for name, layout in XKB_LAYOUTS.items():
        tree = _tree(name)
        if layout in shared and "legends" not in tree:
            assert XKB_LAYOUTS[tree["base"]] == layout
            assert tree["source"].startswith("common practice, from memory; ")
        else:
            wanted = layout.replace(":", ", variant ")
            assert tree["source"] == f"xkb-data {XKB_DATA}, layout {wanted}, read through libxkbcommon"
