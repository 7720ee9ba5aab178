"""The shipped hosts against libxkbcommon: every usage that Linux knows, at every level.

Outside evidence: xkb-data 2.35.1 compiled by libxkbcommon (rules evdev, model pc105), driven by
key events: Shift, AltGr, Caps Lock and Num Lock are pressed as keys, and the key under test is
asked for its one keysym. Key codes: hid-usages.yaml beside this file (XKB key code: evdev + 8).
Names of functions and accents: xkb-names.yaml beside this file.
"""

import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
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

HERE: Final = Path(__file__).parent
HOSTS: Final = HERE.parents[1] / "shared" / "hosts"
XKB_LAYOUTS: Final = {"en-US": "us", "en-GB": "gb", "de-DE": "de", "fr-FR": "fr"}
XKB_DATA: Final = "2.35.1"

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

# Where a key is missing on a form, xkb-data still says what it would type.
ABSENT: Final[Mapping[str, frozenset[int]]] = {
    "ansi-104": frozenset({0x64}),
    "iso-105": frozenset(),
}

# With Caps Lock on, libxkbcommon puts in capitals even what has no capital among its key's legends;
# a host swaps legends and cannot. (host, usage, level) -> theirs.
_MICRO = ("keysym", "0x0000039c")  # its capital of the micro sign is a number that names no keysym
CAPITALS_NOT_ON_THE_KEY: Final[Mapping[tuple[str, int, int], Typed]] = {
    ("en-GB", 0x09, 3): ("character", "Đ"),
    ("en-GB", 0x10, 3): _MICRO,
    ("en-GB", 0x1A, 3): ("character", "S"),
    ("de-DE", 0x09, 3): ("character", "Đ"),
    ("de-DE", 0x10, 3): _MICRO,
    ("de-DE", 0x1A, 3): ("character", "S"),
    ("de-DE", 0x2D, 1): ("character", "ẞ"),
    ("fr-FR", 0x09, 3): ("character", "Đ"),
    ("fr-FR", 0x1F, 1): ("character", "É"),
    ("fr-FR", 0x24, 1): ("character", "È"),
    ("fr-FR", 0x26, 1): ("character", "Ç"),
    ("fr-FR", 0x27, 1): ("character", "À"),
    ("fr-FR", 0x31, 2): _MICRO,
    ("fr-FR", 0x32, 2): _MICRO,
    ("fr-FR", 0x33, 3): _MICRO,
    ("fr-FR", 0x34, 1): ("character", "Ù"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Host:
    """A host as this test reads it, its base taken in: usage -> legends, usage -> caps value."""

    form: str
    legends: Mapping[int, tuple[Typed, ...]]
    caps: Mapping[int, str]

    @property
    def levels(self) -> tuple[int, ...]:
        """1 and 2, and 3 and 4 where any key has a third level."""
        return (1, 2, 3, 4) if any(len(row) > 2 for row in self.legends.values()) else (1, 2)

    def types(self, usage: int, level: int) -> Typed:
        """What a key types; one with a single legend types it at every level."""
        row = self.legends.get(usage, (None,))
        if len(row) == 1:
            return row[0]
        return row[level - 1] if level <= len(row) else None

    def types_with_caps_lock(self, usage: int, level: int) -> Typed:
        """What a key types with Caps Lock on."""
        pair = (1, 2) if level <= 2 else (3, 4)
        swapped = self.caps.get(usage)
        if swapped is None:
            swap = _is_cases(self.types(usage, pair[0]), self.types(usage, pair[1]))
        else:
            swap = swapped in ("both", "shift" if level <= 2 else "altgr")
        return self.types(usage, sum(pair) - level if swap else level)


def _is_cases(lower: Typed, upper: Typed) -> bool:
    """Whether two legends are the lower and the upper case of one letter."""
    if lower is None or upper is None or lower == upper:
        return False
    if lower[0] != "character":
        return False
    return lower[1].upper() == upper[1] and upper[1].lower() == lower[1]


def _tree(host: str) -> Any:
    """A host file as text, mappings and lists."""
    text = (HOSTS / f"{host}.yaml").read_text(encoding="utf-8")
    return yaml.BaseLoader(text).get_single_data()


def _usages(key: str) -> tuple[int, ...]:
    return (int(key, 16),) if key.startswith("0x") else by_code(key)


def _legend(node: Any) -> Typed:
    if isinstance(node, dict):
        return ("dead", node["dead"])
    if node == "none":
        return None
    return ("character" if len(node) == 1 else "function", node)


def read_by_hand(host: str) -> Host:
    """Reads a host file and its base without the project's reader."""
    tree = _tree(host)
    legends: dict[int, tuple[Typed, ...]] = {}
    for part in (_tree(tree["base"]), tree):
        for key, row in part["legends"].items():
            for usage in _usages(key):
                legends[usage] = tuple(_legend(node) for node in row)
    caps = {usage: how for key, how in tree.get("caps", {}).items() for usage in _usages(key)}
    return Host(form=tree["form"], legends=legends, caps=caps)


read_host: Callable[[str], Host] = read_by_hand


@dataclass(frozen=True, slots=True, kw_only=True)
class Witness:
    """One layout in libxkbcommon, asked by pressing keys."""

    xkb: ModuleType
    keymap: Any
    key_codes: Mapping[int, int]

    def types(self, usage: int, level: int, *locks: int) -> Typed:
        """What libxkbcommon types for a key at a level, after tapping the named locks."""
        down, up = self.xkb.KeyDirection.XKB_KEY_DOWN, self.xkb.KeyDirection.XKB_KEY_UP
        state = self.keymap.state_new()
        for lock in locks:
            state.update_key(self.key_codes[lock], down)
            state.update_key(self.key_codes[lock], up)
        for held, levels in ((SHIFT_LEFT, (2, 4)), (ALT_RIGHT, (3, 4))):
            if level in levels:
                state.update_key(self.key_codes[held], down)
        return self._typed(state.key_get_one_sym(self.key_codes[usage]))

    def keysym(self, usage: int) -> str:
        """The name of a key's plain keysym."""
        state = self.keymap.state_new()
        name: str = self.xkb.keysym_get_name(state.key_get_one_sym(self.key_codes[usage]))
        return name

    def _typed(self, keysym: int) -> Typed:
        name = self.xkb.keysym_get_name(keysym)
        if name == "NoSymbol":
            return None
        if name in FUNCTIONS:
            return ("function", FUNCTIONS[name])
        if name in ACCENTS:
            return ("dead", ACCENTS[name])
        text = self.xkb.keysym_to_string(keysym)
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
    keymap = _context(xkb).keymap_new_from_names(rules="evdev", model="pc105", layout=XKB_LAYOUTS[host_id])
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
            yield from ((usage, level) for level in host.levels)


def test_every_level_types_what_libxkbcommon_types(host: Host, witness: Witness, key_codes: dict[int, int]) -> None:
    """Each usage types at each level what libxkbcommon gives, but for usages of another name."""
    cells = list(_cells(host, key_codes))
    ours = {cell: host.types(*cell) for cell in cells}
    theirs = {cell: witness.types(*cell) for cell in cells}
    differ = {cell: (theirs[cell], ours[cell]) for cell in cells if theirs[cell] != ours[cell]}
    named = {(usage, level): pair for usage, (*pair, _) in OTHERWISE.items() for level in host.levels}
    assert differ == {cell: tuple(pair) for cell, pair in named.items()}


def test_caps_lock_types_what_libxkbcommon_types(
    host_id: str, host: Host, witness: Witness, key_codes: dict[int, int]
) -> None:
    """Caps Lock swaps as libxkbcommon does, but for capitals that the key does not have."""
    cells = [cell for cell in _cells(host, key_codes) if cell[0] not in OTHERWISE]
    ours = {cell: host.types_with_caps_lock(*cell) for cell in cells}
    theirs = {cell: witness.types(*cell, CAPS_LOCK) for cell in cells}
    differ = {(host_id, *cell): theirs[cell] for cell in cells if theirs[cell] != ours[cell]}
    assert differ == {place: typed for place, typed in CAPITALS_NOT_ON_THE_KEY.items() if place[0] == host_id}


def test_a_capital_that_differs_is_not_on_its_key(host_id: str, host: Host) -> None:
    """A capital that libxkbcommon makes beyond the host is at no level of its key: no swap."""
    for (where, usage, _level), typed in CAPITALS_NOT_ON_THE_KEY.items():
        if where == host_id:
            assert typed not in [host.types(usage, level) for level in host.levels]


def test_num_lock_chooses_between_digits_and_navigation(host: Host, witness: Witness) -> None:
    """The first legend of a keypad digit key is typed with Num Lock on, the second with it off.

    With or without AltGr alike. Shift is left out: libxkbcommon lets it reverse Num Lock for the
    moment, while here Num Lock alone chooses.
    """
    levels = [level for level in host.levels if level % 2 == 1]
    for usage in KEYPAD_DIGITS:
        theirs = [(witness.types(usage, level, NUM_LOCK), witness.types(usage, level)) for level in levels]
        assert theirs == [host.legends[usage]] * len(levels)


def test_a_host_has_levels_3_and_4_where_right_alt_is_altgr(host: Host, witness: Witness) -> None:
    """The right Alt key is AltGr in libxkbcommon exactly where the host has a third level."""
    is_altgr = witness.keysym(ALT_RIGHT) == "ISO_Level3_Shift"
    assert (host.levels == (1, 2, 3, 4)) == is_altgr


def test_modifiers_type_nothing(host: Host, witness: Witness) -> None:
    """Modifiers have no legend, and libxkbcommon has modifiers for all of them."""
    keysyms = {witness.keysym(usage).removesuffix("_L").removesuffix("_R") for usage in MODIFIER_BITS}
    assert keysyms <= {"Control", "Shift", "Alt", "Super", "ISO_Level3_Shift"}
    assert set(MODIFIER_BITS) & set(host.legends) == set()


def test_every_legend_is_compared(host: Host, key_codes: dict[int, int]) -> None:
    """No legend stands at a usage or level that the comparisons above leave out."""
    cells = set(_cells(host, key_codes))
    left_out = {
        (usage, level)
        for usage, row in host.legends.items()
        for level in range(1, len(row) + 1)
        if (usage, level) not in cells and usage not in KEYPAD_DIGITS
    }
    assert left_out == set()


def test_no_legend_is_left_out_for_its_characters(host: Host, witness: Witness, key_codes: dict[int, int]) -> None:
    """Every character of libxkbcommon fits: one code point in NFC, and no control character."""
    texts = [
        typed[1]
        for cell in _cells(host, key_codes)
        if (typed := witness.types(*cell)) is not None and typed[0] == "character"
    ]
    assert len(texts) > 90
    unfit = [
        text
        for text in texts
        if len(text) != 1 or unicodedata.category(text) == "Cc" or unicodedata.normalize("NFC", text) != text
    ]
    assert unfit == []


def test_accents_of_dead_keys_are_those_of_the_compose_table(
    xkb: ModuleType, missing_tool: Callable[[str], None]
) -> None:
    """A dead key pressed twice types its spacing accent, in the compose table of en_US.UTF-8.

    Two accents are ours: a ring is U+02DA, where the table types the degree sign, and the macron
    below, which the table lacks, is U+02CD.
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
    assert differ == {"dead_abovering": "°", "dead_belowmacron": ""}


def test_every_dead_key_of_the_table_is_used() -> None:
    """Each accent in the table is that of a dead key on a shipped host."""
    used = {
        typed[1]
        for name in XKB_LAYOUTS
        for row in read_host(name).legends.values()
        for typed in row
        if typed is not None and typed[0] == "dead"
    }
    assert used == set(ACCENTS.values())


def test_named_differences_are_needed_and_explained() -> None:
    """Each usage whose function is not xkb-data's differs, with a reason."""
    for usage, (theirs, ours, reason) in OTHERWISE.items():
        assert by_number(usage) is not None
        assert theirs != ours
        assert reason


def test_every_line_of_a_national_host_is_needed(host_id: str) -> None:
    """A national host repeats no legend of its base, and names no Caps Lock that is the rule."""
    tree = _tree(host_id)
    base = _tree(tree["base"])["legends"]
    assert {key for key, row in tree["legends"].items() if base.get(key) == row} == set()
    host = read_by_hand(host_id)
    default = Host(form=host.form, legends=host.legends, caps={})
    for usage in host.caps:
        assert any(
            host.types_with_caps_lock(usage, level) != default.types_with_caps_lock(usage, level)
            for level in host.levels
        )


def test_a_shipped_file_writes_each_key_once_and_no_empty_level_last() -> None:
    """Keys are known codes or usage numbers, each once, and `none` never ends a row."""
    for name in ("base", *XKB_LAYOUTS):
        tree = _tree(name)
        assert tree["host"] == name
        lines = (HOSTS / f"{name}.yaml").read_text(encoding="utf-8").splitlines()
        keys = [line.split(":")[0].strip() for line in lines if line.startswith("  ") and "[" in line]
        assert keys == list(tree["legends"])
        assert [key for key in keys if not _usages(key)] == []
        assert [key for key, row in tree["legends"].items() if row[-1] == "none"] == []


def test_shipped_hosts_are_those_checked() -> None:
    """Every host file is a national host checked here, or their base."""
    assert {path.stem for path in HOSTS.glob("*.yaml")} == {"base", *XKB_LAYOUTS}
