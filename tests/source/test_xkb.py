"""The import of national keyboards, and the files that it writes."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from matrixmap.model.host import at_every_level
from matrixmap.model.legend import Legend
from matrixmap.source.folder import KINDS, shipped_folder
from matrixmap.source.kinds.project import Loaded, Project
from matrixmap.source.propose import xkb
from matrixmap.source.propose.xkb import XkbError, XkbName, XkbSystem, shortest
from matrixmap.source.write.host_file import host_text, scalar
from tests import tools
from tests.project import ROOT, open_folders, write_project
from tests.source.memory import MemoryFolder

# Keyboards with what is hard to hold: eight levels, marks that combine, formatting characters, private use, keysyms without
# a character, letters that fall apart in NFC, scripts from right to left, kana, Braille, a Caps Lock key that is none.
HARD = [
    "de:e1",
    "de:T3",
    "fr:oss",
    "fr:afnor",
    "th",
    "in:ben",
    "in:hin-kagapa",
    "ir",
    "il:biblical",
    "af:ps",
    "us:intl",
]
HARD += [
    "us:intl-unicode",
    "jp:kana",
    "kr:kr104",
    "ie:ogam",
    "brai",
    "ie:ogam_is434",
    "vn",
    "ara",
    "us:chr",
    "br:thinkpad",
    "cm:azerty",
    "la",
]


@pytest.fixture(scope="module")
def system(outside_module: Callable[[str, str], ModuleType], missing_tool: Callable[[str], None]) -> XkbSystem:
    """The keyboards of this system."""
    outside_module("xkbcommon.xkb", "xkbcommon (PyPI, needs libxkbcommon-dev)")
    system = XkbSystem()
    try:
        system.names()
    except XkbError as fault:
        missing_tool(str(fault))
    return system


def imported(system: XkbSystem, name: str, id: str = "bench") -> tuple[xkb.NationalKeyboard, Loaded]:
    """A keyboard and the host file written for it, read again."""
    keyboard = system.read(XkbName(*name.split(":")))
    base = open_folders().host_draft("base").value
    text = host_text(id, f"Bench {name}", "this test", keyboard.form, keyboard.legends, keyboard.caps, base)
    folder = MemoryFolder({("host", id): text.encode()})
    return keyboard, Project([folder, shipped_folder()], ()).host(id)


@pytest.mark.parametrize("name", HARD)
def test_what_is_written_reads_back(name: str, system: XkbSystem) -> None:
    """The host that is read from the written file types at every level what the system's keyboard does."""
    keyboard, loaded = imported(system, name)
    assert loaded.findings == ()
    host = loaded.value
    for usage, legends in keyboard.legends.items():
        key = host.keys.get(usage)
        assert at_every_level(key.legends if key else (None,)) == at_every_level(legends)
        if usage in keyboard.caps:
            assert host.keys[usage].caps is keyboard.caps[usage]
    assert set(host.composes) == {
        item.text for typed in keyboard.legends.values() for item in typed if item and item.dead
    }


def test_the_hard_keyboards_leave_something_out_for_every_reason(system: XkbSystem) -> None:
    """Whatever a host file cannot hold is counted with its reason, and each reason occurs."""
    left_out = [item for name in [*HARD, "us"] for item in system.read(XkbName(*name.split(":"))).left_out]
    assert {item.reason for item in left_out} == {
        *(xkb.NO_CHARACTER, xkb.NO_PRINT, xkb.LONE_ACCENT, xkb.FALLS_APART, xkb.NOT_ON_FORM),
        *(xkb.OTHER_MODIFIERS, xkb.KEYPAD_LEVELS, xkb.MODIFIER_KEY),
        *(xkb.ONLY_CAPS_LOCK, xkb.KEPT_CAPITAL),
    }


FIFTH = """default partial alphanumeric_keys
xkb_symbols "basic" {
    include "de(basic)"
    key <AD01> { type[group1] = "EIGHT_LEVEL", symbols[group1] = [ q, Q, ellipsis, NoSymbol, at, ae, NoSymbol, NoSymbol ] };
    replace key <RALT> { type[group1] = "ONE_LEVEL", symbols[group1] = [ ISO_Level5_Shift ] };
    include "level5(modifier_mapping)"
};
"""
"""The German keyboard with a Q of eight levels, whose right Alt key sets the fifth; made for this test."""


def test_levels_are_modifier_sets(system: XkbSystem, tmp_path: Path) -> None:
    """AltGr is what the right Alt key sets, even where that is the fifth level in the keymap's own count."""
    write_project(tmp_path, {"symbols/bench": FIFTH})
    own = XkbSystem()
    assert own.context.include_path_append(str(tmp_path)) is not False
    keyboard = own.read(XkbName("bench"))
    key_q = {usage: typed for usage, typed in keyboard.legends.items() if typed[0] == Legend("q")}
    assert len(key_q) == 1
    typed = at_every_level(next(iter(key_q.values())))
    assert typed == (Legend("q"), Legend("Q"), Legend("@"), Legend("æ")), "an ellipsis is level 3 of the keymap"
    assert Legend("…") not in typed


@pytest.mark.parametrize("path", sorted((ROOT / KINDS["host"]).glob("*.yaml")), ids=lambda path: path.stem)
def test_a_shipped_host_is_what_the_import_writes(path: Path, system: XkbSystem) -> None:
    """Up to what is printed, a country's file is byte by byte that of `matrixmap new host`, with the data that it names."""
    text = path.read_text(encoding="utf-8").partition("\nprinted:")[0]
    tree = yaml.BaseLoader(text).get_single_data()
    source = tree["source"].split(", ")
    if not source[0].startswith("xkb-data") or not source[1].startswith("layout "):
        assert path.stem == "base" or "legends" not in tree
        return
    if source[0] != system.version():
        tools.missing(f"{source[0]} (here is {system.version()})")
    variant = source[2].removeprefix("variant ") if len(source) > 3 else ""
    keyboard = system.read(XkbName(source[1].removeprefix("layout "), variant), tree["form"])
    base = open_folders().host_draft(tree["base"]).value
    written = host_text(path.stem, tree["title"], tree["source"], tree["form"], keyboard.legends, keyboard.caps, base)
    assert written == text


def test_every_listed_keyboard_has_a_name_of_its_own(system: XkbSystem) -> None:
    """Layouts and variants are listed once each."""
    names = system.names()
    assert len(set(names)) == len(names) > 500
    assert {"de", "de:T3", "us"} <= set(map(str, names))


def test_a_keyboard_that_does_not_compile_is_an_error_with_its_name(system: XkbSystem) -> None:
    """`custom` is a stub in xkb-data."""
    with pytest.raises(XkbError, match="custom"):
        system.read(XkbName("custom"))


def test_without_libxkbcommon_the_error_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """The binding is an optional extra of the package."""
    monkeypatch.setitem(sys.modules, "xkbcommon", None)
    with pytest.raises(XkbError, match=r"apt install libxkbcommon-dev.*pip install 'matrixmap\[xkb\]'"):
        XkbSystem()


legends = st.one_of(
    st.none(), st.sampled_from("abAB1").map(Legend), st.just(Legend("´", dead=True)), st.just(Legend("Tab"))
)


@given(st.one_of(st.tuples(legends, legends), st.tuples(legends, legends, legends, legends)))
def test_the_shortest_legends_say_the_same(typed: tuple[Legend | None, ...]) -> None:
    """Fewer legends are written where the rest follows, and nothing is lost."""
    short = shortest(typed)
    assert at_every_level(short)[: len(typed)] == typed
    assert len(short) <= len(typed)
    assert all(
        at_every_level(short[:count]) != at_every_level(typed) for count in range(1, len(short)) if len(typed) == 4
    )


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1))
def test_a_text_is_written_as_yaml_reads_it(text: str) -> None:
    """Any text comes back, quotes and marks and unseen characters included."""
    assert yaml.BaseLoader(f"a: {scalar(text)}\nb: c").get_single_data() == {"a": text, "b": "c"}


@given(st.characters(exclude_categories=["Cs"]))
def test_a_character_is_written_as_a_list_reads_it(char: str) -> None:
    """A legend comes back out of a list, too."""
    assert yaml.BaseLoader(f"[{scalar(char)}, b]").get_single_data() == [char, "b"]


@pytest.mark.parametrize(
    ("name", "title"), [("th", "Thai"), ("at", "German (Austria)"), ("de:nodeadkeys", "German (no dead keys)")]
)
def test_an_imported_keyboard_has_its_name_for_a_title(name: str, title: str, system: XkbSystem) -> None:
    """The list of the system (rules/evdev.lst) says language and country of each keyboard; no title is its short name."""
    assert system.titles()[XkbName(*name.split(":"))] == title
    assert not [name for name, title in system.titles().items() if title == str(name)]
