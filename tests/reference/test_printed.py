"""What the shipped hosts say is printed, against what is known of keyboards outside the project.

Outside evidence:

- Standards and common practice, from memory, for fifteen countries: `COUNTRIES`.
- A maker's own tables of the boards that it sold, in xkb-data 2.35.1 (`symbols/sun_vndr`): they give with AltGr what
  the board has printed, where other tables of xkb-data fill every level. Compiled by libxkbcommon: `BOARDS`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import ModuleType
from typing import Final

import pytest

from matrixmap.model.host import Host, HostKey
from matrixmap.source.propose.xkb import XkbSystem
from tests.project import ROOT, open_folders
from tests.reference.all_keyboards import key_codes
from tests.reference.printed import HERE, tree

# Host -> where it is from, all from memory, and the legends that need AltGr, each behind its key: `2` is Digit2, `-` and
# `=` are the keys to the right of the digits on a US board, `q` is KeyQ.
COUNTRIES: Final[Mapping[str, tuple[str, str]]] = {
    "de-DE": ("DIN 2137-1, layout T1", "2² 3³ 7{ 8[ 9] 0} -\\ q@ e€ BracketRight~ IntlBackslash| mµ"),
    "de-AT": ("as in Germany, common practice", "2² 3³ 7{ 8[ 9] 0} -\\ q@ e€ BracketRight~ IntlBackslash| mµ"),
    "fr-FR": ("AZERTY, common practice", "2~ 3# 4{ 5[ 6| 7` 8\\ 9^ 0@ -] =} e€ BracketRight¤"),
    "fr-BE": ("AZERTY of Belgium, common practice", "1| 2@ 3# 6^ 9{ 0} e€ BracketLeft[ BracketRight] Quote´ Backslash` "
              "Slash~ IntlBackslash\\"),
    "en-GB": ("BS 4822 with the euro sign, common practice", "4€"),
    "en-US": ("ANSI INCITS 154", ""),
    "es-ES": ("common practice", "Backquote\\ 1| 2@ 3# 4~ 6¬ e€ BracketLeft[ BracketRight] Quote{ Backslash}"),
    "it-IT": ("common practice", "e€ BracketLeft[ BracketRight] Semicolon@ Quote#"),
    "pt-PT": ("common practice", "2@ 3£ 4§ 7{ 8[ 9] 0} e€ BracketLeft¨"),
    "sv-SE": ("SS 66 22 41", "2@ 3£ 4$ 7{ 8[ 9] 0} -\\ e€ BracketRight~ IntlBackslash|"),
    "da-DK": ("common practice", "2@ 3£ 4$ 7{ 8[ 9] 0} =| e€ BracketRight~ IntlBackslash\\"),
    "nb-NO": ("common practice", "2@ 3£ 4$ 7{ 8[ 9] 0} =´ e€ BracketRight~"),
    "de-CH": ("SN 074021", "2@ 3# 6¬ 7| 8¢ -´ =~ e€ BracketLeft[ BracketRight] Quote{ Backslash} IntlBackslash\\"),
    "pl-PL": ("the programmer's keyboard, common practice", ""),
    "pt-BR": ("NBR 10346, ABNT2", "1¹ 2² 3³ 4£ 5¢ 6¬ =§ q/ w? e° BracketRightª Backslashº IntlRo°"),
}  # fmt: skip

# Host -> legends of levels 1 and 2 that are not on the caps; all others are. From memory.
WITHOUT_ALTGR: Final = {"fr-FR": {("Backquote", "~")}, "ja-JP": {("Digit0", "~")}}

# Host -> the table of the maker, and where this file differs though the host types what the board prints:
# key -> why.
_SWISS = {"Digit1": "other boards print ¦ there", "Digit7": "other boards print |, which is what the key types"}
_ITALIAN = {"Minus": "other boards do not print `"}
_SPANISH = {"Digit4": "other boards print ~, which is what the key types"}
BOARDS: Final[Mapping[str, tuple[str, Mapping[str, str]]]] = {
    "da-DK": ("dk(sun_type6)", {}),
    "de-CH": ("ch(sun_type6_de)", _SWISS),
    "de-DE": ("de(sun_type6)", {}),
    "en-GB": ("gb(sun_type6)", {}),
    "es-ES": ("es(sun_type6)", _SPANISH),
    "fi-FI": ("fi(sun_type6)", {}),
    "fr-BE": ("be(sun_type6)", {}),
    "fr-CH": ("ch(sun_type6_fr)", _SWISS),
    "fr-FR": ("fr(sun_type6)", {}),
    "it-IT": ("it(sun_type6)", _ITALIAN),
    "nb-NO": ("no(sun_type6)", {}),
    "nl-NL": ("nl(sun_type6)", {}),
    "pt-PT": ("pt(sun_type6)", {}),
    "sv-SE": ("se(sun_type6)", {}),
}
XKB_DATA: Final = "2.35.1"


def host_of(id: str) -> Host:
    """A shipped host."""
    loaded = open_folders().host(id)
    assert loaded is not None
    assert loaded.value is not None, loaded.findings
    return loaded.value


def named(word: str) -> tuple[str, str]:
    """The key and the legend of a word of the table."""
    key, legend = word[:-1], word[-1]
    short = {"-": "Minus", "=": "Equal"}
    return short.get(key) or (
        f"Digit{key}" if key.isdecimal() else f"Key{key.upper()}" if len(key) == 1 else key
    ), legend


def shown(key: HostKey, levels: tuple[int, ...], printed: bool) -> set[tuple[str, str]]:
    """The legends of a key's own at some levels that are printed, or that are not."""
    legends = {level: key.at(level) for level in levels if level <= len(key.legends)}
    return {(key.name, legend.text) for level, legend in legends.items() if legend and key.is_printed(level) is printed}


@pytest.mark.parametrize("id", COUNTRIES)
def test_what_needs_altgr_and_is_printed(id: str) -> None:
    """Of the legends at levels 3 and 4 those of the table can be read on the keys, and no others."""
    # A level that repeats what the key types without AltGr adds no print.
    own = {
        (name, text)
        for key in host_of(id).keys.values()
        for name, text in shown(key, (3, 4), True) - shown(key, (1, 2), True)
    }
    assert own == {named(word) for word in COUNTRIES[id][1].split()}


@pytest.mark.parametrize("id", sorted({*COUNTRIES, "ja-JP"}))
def test_what_needs_no_altgr_is_printed(id: str) -> None:
    """Plain and Shift legends can be read on the keys, but for those named, and signs on keys of the keypad."""
    gone = {
        pair
        for key in host_of(id).keys.values()
        for pair in shown(key, (1, 2), False)
        if not key.name.startswith("Numpad")
    }
    assert gone == WITHOUT_ALTGR.get(id, set())


def test_a_norwegian_keypad_prints_its_plain_signs() -> None:
    """xkb-data has further signs with Shift on the Norwegian keypad; keypads print `/`, `*` and `-` (common practice)."""
    keys = {key.name: key for key in host_of("nb-NO").keys.values()}
    for name in ("NumpadDivide", "NumpadMultiply", "NumpadSubtract"):
        assert (keys[name].is_printed(1), keys[name].is_printed(2)) == (True, False)


def maker_prints(xkb: ModuleType, board: str) -> dict[int, str]:
    """Usage -> what the maker's table has at level 3, an accent for a dead key."""
    context = xkb.Context(no_environment_names=True)
    keymap = context.keymap_new_from_string(
        'xkb_keymap { xkb_keycodes { include "evdev" }; xkb_types { include "complete" }; '
        f'xkb_compat {{ include "complete" }}; xkb_symbols {{ include "sun_vndr/{board}" }}; }};'
    )
    accents = tree(HERE / "xkb-names.yaml")["accents"]
    prints = {}
    for usage, code in key_codes().items():
        if keymap.num_levels_for_key(code, 0) > 2:
            for keysym in keymap.key_get_syms_by_level(code, 0, 2):
                prints[usage] = accents.get(xkb.keysym_get_name(keysym)) or xkb.keysym_to_string(keysym)
    return prints


@pytest.fixture(scope="module")
def xkb(outside_module: Callable[[str, str], ModuleType], missing_tool: Callable[[str], None]) -> ModuleType:
    """The binding of libxkbcommon, where the maker's tables are those that the files name."""
    module = outside_module("xkbcommon.xkb", "xkbcommon (PyPI, needs libxkbcommon-dev)")
    if XkbSystem().version() != f"xkb-data {XKB_DATA}":
        missing_tool(f"xkb-data {XKB_DATA} (another version is installed)")
    return module


@pytest.mark.parametrize("id", BOARDS)
def test_the_boards_of_a_maker_print_the_same(id: str, xkb: ModuleType) -> None:
    """Where a key types with AltGr what the maker's board prints, it is printed here, and nothing else is."""
    board, otherwise = BOARDS[id]
    theirs = maker_prints(xkb, board)
    differ = set()
    for usage, key in host_of(id).keys.items():
        typed = key.legends[2] if len(key.legends) > 2 else None
        if typed and typed not in key.legends[:2] and key.is_printed(3) != (typed.text == theirs.get(usage)):
            differ.add(key.name)
    assert differ == set(otherwise)
    assert len(theirs) > len(otherwise)
    source = tree(ROOT / f"shared/hosts/{id}.yaml")["printed"]["source"]
    assert (f"agrees with a maker's board (its table {board[:2]} in xkb-data {XKB_DATA})" in source) == (
        otherwise in ({}, _SPANISH)
    )


@pytest.mark.parametrize("id", sorted(path.stem for path in (ROOT / "shared/hosts").glob("*.yaml")))
def test_every_shipped_host_with_altgr_says_what_is_printed(id: str) -> None:
    """No key with a third legend is left to the rule for files that say nothing, and where it is from is said."""
    draft = open_folders().host_draft(id)
    assert draft is not None
    assert draft.value is not None
    legends, printed = draft.value.legends, draft.value.printed
    assert [name for usage, (name, typed, _) in legends.items() if len(typed) > 2 and usage not in printed] == []
    section = tree(ROOT / f"shared/hosts/{id}.yaml").get("printed")
    assert section is None or section["source"].startswith("common practice")
