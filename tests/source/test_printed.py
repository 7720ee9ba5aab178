"""What a host file says is printed: its rule, its exceptions, and what it takes over from its base."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from matrixmap.hid.usages import by_code
from matrixmap.model.host import Host
from matrixmap.source.kinds.project import Loaded

HEAD = "title: A keyboard\nsource: invented for this test\nform: iso-105\n"
LEGENDS = """legends:
  Backquote: ['²', '~', '¬']
  Digit1: ['&', 1]
  Digit2: [2, '"', '²', '⅛']
  KeyA: [a, A, æ, Æ]
  KeyB: [b, none, none, '“']
  KeyE: [e, E, '€']
  Equal: [{dead: '^'}, {dead: '`'}, '^', {dead: '¸'}]
  Backslash: ['#', "'", '|']
  Enter: Enter
  Numpad7: [7, Home]
"""
SECTION = "printed:\n  source: invented for this test\n"

ReadHost = Callable[..., dict[str, str]]


@pytest.fixture
def read_host(read_text: Callable[..., Loaded]) -> ReadHost:
    """Reads hosts that stand one upon the other, each by the lines behind its head: key -> its printed levels."""

    def read(*lines: str) -> dict[str, str]:
        files = {f"h{number}": f"host: h{number}\n{HEAD}{text}" for number, text in enumerate(lines)}
        for number in range(1, len(lines)):
            files[f"h{number}"] += f"base: h{number - 1}\n"
        *beside, (last, text) = files.items()
        loaded = read_text("host", last, text, **dict(beside))
        assert loaded.findings == ()
        return levels_of(loaded.value)

    return read


def levels_of(host: Host) -> dict[str, str]:
    """Key -> the levels at which it is printed, as digits; both usages of a code must agree."""
    for usage, key in host.keys.items():
        same = [other for other in by_code(key.name) if other in host.keys] or [usage]
        assert {host.keys[other].printed for other in same} == {key.printed}
    return {key.name: "".join(map(str, sorted(key.printed))) for key in host.keys.values()}


EVERYTHING = {
    "Backquote": "123",
    "Digit1": "12",
    "Digit2": "1234",
    "KeyA": "1234",
    "KeyB": "14",
    "KeyE": "123",
    "Equal": "1234",
    "Backslash": "123",
    "Enter": "1",
    "Numpad7": "12",
}
NOTHING_WITH_ALTGR = {name: levels.strip("34") for name, levels in EVERYTHING.items()}


def test_without_a_section_all_that_keys_type_is_printed(read_host: ReadHost) -> None:
    """A file that says nothing of the print is as before: each legend counts as printed."""
    assert read_host(LEGENDS) == EVERYTHING


def test_with_a_section_only_what_needs_altgr_is_not_printed(read_host: ReadHost) -> None:
    """Legends of levels 1 and 2 are printed unless named, those of levels 3 and 4 are not; a letter is in both cases."""
    assert read_host(LEGENDS + SECTION) == NOTHING_WITH_ALTGR


def test_altgr_names_what_is_printed(read_host: ReadHost) -> None:
    """A legend is found at level 3 or else at 4; a key can have both, and a number or half of a code names it too."""
    section = SECTION + "  altgr: {Digit2: '²', KeyA: [Æ, æ], KeyB: '“', 0x08: '€', Backslash: '|'}\n"
    assert read_host(LEGENDS + section) == {
        **NOTHING_WITH_ALTGR,
        "Digit2": "123",
        "KeyA": "1234",
        "KeyB": "14",
        "KeyE": "123",
        "Backslash": "123",
    }


def test_an_accent_names_a_dead_key_or_itself(read_host: ReadHost) -> None:
    """Written bare it is the first level that shows it; written as a dead key it is no other."""
    bare = read_host(LEGENDS + SECTION + "  altgr: {Equal: ['^', '¸']}\n  not: {Equal: '`'}\n")
    assert bare["Equal"] == "134"
    told = read_host(LEGENDS + SECTION + "  altgr: {Equal: {dead: '¸'}}\n  not: {Equal: [{dead: '^'}, {dead: '`'}]}\n")
    assert told["Equal"] == "4"


def test_a_dead_key_is_not_its_accent(read_text: Callable[..., Loaded]) -> None:
    """Where a key types the accent at once, `{dead: ...}` names nothing."""
    loaded = read_text("host", "h0", f"host: h0\n{HEAD}{LEGENDS}{SECTION}  altgr: {{Equal: {{dead: '^'}}}}\n")
    assert [f"{found.slug}: {found.text}" for found in loaded.findings] == [
        "prints-something-else: Equal types ^ and ¸ with AltGr, not ^, but types it without AltGr"
    ]


def test_not_names_what_is_not_printed(read_host: ReadHost) -> None:
    """One legend or both, also of a key with one legend and of a keypad key."""
    section = SECTION + "  not: {Backquote: '~', Digit1: [1, '&'], Enter: Enter, Numpad7: Home}\n"
    assert read_host(LEGENDS + section) == {
        **NOTHING_WITH_ALTGR,
        "Backquote": "1",
        "Digit1": "",
        "Enter": "",
        "Numpad7": "1",
    }


PRINTED = LEGENDS + SECTION + "  altgr: {Digit2: '²', KeyA: æ}\n  not: {Backquote: '~'}\n"
OF_THE_BASE = {**NOTHING_WITH_ALTGR, "Digit2": "123", "KeyA": "123", "Backquote": "1"}


@pytest.mark.parametrize("lines", ["", SECTION, "legends: {KeyZ: [z, Z]}\n", SECTION + "  altgr: {KeyB: none}\n"])
def test_what_the_base_prints_is_taken_over(lines: str, read_host: ReadHost) -> None:
    """Keys that a file takes over are printed as in the base, with a section of its own or without."""
    printed = read_host(PRINTED, lines)
    printed.pop("KeyZ", None)
    assert printed == OF_THE_BASE


def test_a_line_of_ones_own_replaces_that_of_the_base(read_host: ReadHost) -> None:
    """Key by key, and with AltGr and without it by themselves; `none` takes the line back."""
    lines = SECTION + "  altgr: {Digit2: '⅛', KeyA: none, KeyE: '€'}\n  not: {Backquote: none, KeyA: a}\n"
    assert read_host(PRINTED, lines) == {
        **OF_THE_BASE,
        "Digit2": "124",
        "KeyA": "2",
        "KeyE": "123",
        "Backquote": "12",
    }


def test_a_key_written_anew_without_a_section_is_printed_whole(read_host: ReadHost) -> None:
    """A file without a section says nothing of the keys that it writes, whatever its base says."""
    assert read_host(PRINTED, "legends: {Digit2: [2, '@', '²', '⅛'], Backquote: ['²', '~']}\n") == {
        **OF_THE_BASE,
        "Digit2": "1234",
        "Backquote": "12",
    }


def test_a_key_written_anew_keeps_the_print_of_the_legends_that_stay(read_host: ReadHost) -> None:
    """With a section of its own, the line of the base counts where the key types the same legend at the same level."""
    lines = "legends: {Digit2: [é, 2, '²', '³'], KeyA: [q, Q, Æ, æ], Backquote: ['<', '~', '¬']}\n" + SECTION
    assert read_host(PRINTED, lines) == {
        **OF_THE_BASE,
        "Digit2": "123",
        "KeyA": "12",
        "Backquote": "1",
    }


def test_a_base_without_a_section_says_nothing(read_host: ReadHost) -> None:
    """Then the section of a file speaks of all keys, those taken over too; and of a base of a base nothing is lost."""
    assert read_host(LEGENDS, SECTION + "  altgr: {KeyE: '€'}\n") == {**NOTHING_WITH_ALTGR, "KeyE": "123"}
    assert read_host(PRINTED, "", "") == OF_THE_BASE


def test_half_of_a_code_is_enough(read_text: Callable[..., Loaded]) -> None:
    """Backslash is two usages; on a host that has one of them the code names that."""
    text = f"host: h0\n{HEAD}legends: {{0x32: ['#', \"'\", '|']}}\n{SECTION}  altgr: {{Backslash: '|'}}\n"
    loaded = read_text("host", "h0", text)
    assert loaded.findings == ()
    assert {usage: set(key.printed) for usage, key in loaded.value.keys.items()} == {0x32: {1, 2, 3}}
