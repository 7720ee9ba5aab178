"""Words for triggers, strokes and legends, and text that a terminal would obey."""

from __future__ import annotations

import json
import unicodedata
from dataclasses import replace
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matrixmap.hid.usages import Usage, by_code
from matrixmap.model.host import Host
from matrixmap.model.layout import HostModifier
from matrixmap.model.legend import Legend, other_case
from matrixmap.model.plan import Trigger
from matrixmap.model.words import (
    cap_name,
    json_text,
    printed_keys,
    printed_name,
    printed_on,
    shown,
    trigger_name,
)
from tests.project import shipped_plan

values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda some: st.lists(some) | st.dictionaries(st.text(), some),
    max_leaves=8,
)


def visible(text: str) -> bool:
    """Whether a text holds nothing that a terminal or an eye would obey."""
    return all(unicodedata.category(char) not in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"} for char in text)


@given(st.text())
def test_shown_text_is_visible(text: str) -> None:
    """Whatever the text, what is shown of it is visible, and visible text of more than a blank is shown as it is."""
    told = shown(text)
    assert visible(told)
    if visible(text) and not text.isspace():
        assert told == text


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (" ", "space"),
        ("\u00a0", "no-break space"),
        ("\x1b[31m", "\\u{001b}[31m"),
        ("a\nb", "a\\u{000a}b"),
        ("\u202e", "\\u{202e}"),
        ("\U000e0001", "\\u{e0001}"),
        ("[red]", "[red]"),
    ],
)
def test_how_text_is_shown(text: str, told: str) -> None:
    """A lone blank has its name; what would be obeyed is its code point; markup of this or that tool is only text."""
    assert shown(text) == told


@given(values)
def test_json_is_visible_and_the_same_value(value: object) -> None:
    """JSON text holds no character that a terminal obeys, line feeds between its lines aside, and reads back equal."""
    for indent in (2, None):
        text = json_text(value, indent=indent)
        assert all(char == "\n" or visible(char) for char in text)
        assert json.loads(text) == value


@given(st.characters())
def test_the_other_case_leads_back(char: str) -> None:
    """A letter with one other case is that one's other case."""
    other = other_case(char)
    if other is not None:
        assert other != char
        assert other_case(other) == char


@pytest.mark.parametrize(
    ("char", "other"), [("a", "A"), ("É", "é"), ("ß", None), ("ſ", None), ("1", None), ("İ", None), ("Enter", None)]
)
def test_other_cases(char: str, other: str | None) -> None:
    """Letters with no single counterpart have none."""
    assert other_case(char) == other


@pytest.mark.parametrize(
    ("usage", "level", "extras", "name", "printed"),
    [
        (0x1F, 1, (), "Digit2", "2"),
        (0x1F, 2, (), "Shift+Digit2", "Shift 2"),
        (0x14, 3, (), "AltGr+KeyQ", "AltGr Q"),
        (0x14, 4, (), "Shift+AltGr+KeyQ", "Shift AltGr Q"),
        (0x1E, 1, ("Alt",), "Alt+Digit1", "Alt 1"),
        (0x1E, 2, ("Control", "Meta"), "Shift+Control+Meta+Digit1", "Shift Control Meta 1"),
        (0x5F, 1, (), "Numpad7 (Num Lock on)", "keypad 7"),
        (0x5F, 2, (), "Numpad7 (Num Lock off)", "keypad 7 with Num Lock off"),
        (0x2C, 1, (), "Space", "Space"),
        (0x2D, 1, (), "Minus", "ß"),
        (0x9C, 1, (), "0x9C", "Clear"),
        (0x45, 1, (), "F12", "F12"),
    ],
)
def test_triggers_in_words(usage: int, level: int, extras: tuple[str, ...], name: str, printed: str) -> None:
    """A trigger as a file writes it, and as a person with the German keyboard in front reads it."""
    host = shipped_plan("quillon8-de-DE-symbolic").layout.host
    trigger = Trigger(usage=Usage(usage), level=level, extras=frozenset(map(HostModifier, extras)))
    assert trigger_name(trigger) == name
    assert printed_keys(host, trigger) == printed


def test_caps_are_found_by_their_digit() -> None:
    """A French digit key is found by its digit, though that is typed with Shift."""
    host = shipped_plan("quillon8-fr-FR-symbolic").layout.host
    assert cap_name(host, Usage(0x1F)) == "2"
    assert cap_name(host, Usage(0x14)) == "A"


@pytest.mark.parametrize(("text", "told"), [("a", "A"), ("é", "É"), ("ß", "ß"), ("ა", "ა"), ("ǆ", "ǅ"), ("я", "Я")])
def test_a_cap_is_what_is_printed_on_the_key(text: str, told: str) -> None:
    """A letter is told by its capital; Georgian keys print small letters, and ß has no single capital that leads back."""
    host = shipped_plan("quillon8-en-US-symbolic").layout.host
    key = replace(host.keys[Usage(0x04)], legends=(Legend(text),))
    host = replace(host, keys=MappingProxyType({Usage(0x04): key}))
    assert cap_name(host, Usage(0x04)) == told


def host_printing(form: str, **legends: tuple[str, ...]) -> Host:
    """A host of a form with these legends by W3C code."""
    host = shipped_plan("quillon8-en-US-symbolic").layout.host
    some = next(iter(host.keys.values()))
    keys = {}
    for code, texts in legends.items():
        for usage in by_code(code):
            printed = frozenset(range(1, len(texts) + 1))
            keys[usage] = replace(some, usage=usage, legends=tuple(map(Legend, texts)), printed=printed)
    return replace(host, form=form, keys=MappingProxyType(dict(sorted(keys.items()))))


def test_keys_of_one_print_are_told_apart() -> None:
    """Two keys that print the same have their codes behind it; the one that the form alone has keeps its plain print."""
    legends = {"Backslash": ("\\", "|"), "IntlBackslash": ("\\", "|"), "NumpadDecimal": (".",), "Period": (".", ">")}
    iso, ansi = host_printing("iso-105", **legends), host_printing("ansi-104", **legends)
    (other,) = by_code("IntlBackslash")
    for usage in by_code("Backslash"):
        assert cap_name(iso, usage) == printed_name(iso, usage) == "\\ (Backslash)"
        assert cap_name(ansi, usage) == "\\"
        assert printed_on(iso, usage) == "\\"
    assert cap_name(iso, other) == cap_name(ansi, other) == "\\ (IntlBackslash)"
    assert printed_keys(iso, Trigger(usage=other, level=1)) == "\\ (IntlBackslash)"
    assert printed_keys(iso, Trigger(usage=other, level=2)) == "Shift \\ (IntlBackslash)"
    assert printed_keys(iso, Trigger(usage=by_code("NumpadDecimal")[0], level=1)) == "keypad ."
    assert printed_keys(iso, Trigger(usage=by_code("Period")[0], level=1)) == "."


def test_a_key_is_named_by_what_can_be_read_on_it() -> None:
    """A legend that is not printed names no key: the other one does, or the code where nothing is printed."""
    host = host_printing("iso-105", Equal=("`", "="), Slash=("1", "/"), Quote=("x",))
    printed = {"Equal": {2}, "Slash": {2}, "Quote": set()}
    keys = {
        by_code(code)[0]: replace(host.keys[by_code(code)[0]], printed=frozenset(printed[code])) for code in printed
    }
    host = replace(host, keys=MappingProxyType(keys))
    assert {code: cap_name(host, by_code(code)[0]) for code in printed} == {
        "Equal": "=",
        "Slash": "/",
        "Quote": "Quote",
    }
    assert printed_keys(host, Trigger(usage=by_code("Equal")[0], level=1)) == "="
