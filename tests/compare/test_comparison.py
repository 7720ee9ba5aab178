"""What a comparison says of whole layouts, of characters and keys, of findings and of the C."""

from __future__ import annotations

import pytest

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.items.code import code_lines
from matrixmap.compare.items.item import Audience, Section
from matrixmap.compare.layouts import LayoutComparison, Status
from matrixmap.compare.sides.words import plain
from matrixmap.form.as_text import text_report
from matrixmap.model.finding import Severity
from tests.compare.sides import HOST, MACHINE, compared, little


def one(comparison: Comparison, name: str = "x") -> LayoutComparison:
    """The layout of that name."""
    return next(layout for layout in comparison.layouts if layout.name == name)


def told(comparison: Comparison, name: str = "x", breaking: bool | None = None) -> list[str]:
    """The items of a layout in words."""
    return [plain(item.words) for item in one(comparison, name).items if breaking in (None, item.breaking)]


def changed(files: dict[str, str], name: str, old: str, new: str) -> dict[str, str]:
    """The files with a text in one of them replaced."""
    assert files[name].count(old) == 1, (name, old)
    return {**files, name: files[name].replace(old, new)}


MACHINE_FILE, HOST_FILE = "shared/machines/little.yaml", "shared/hosts/xx.yaml"


def test_the_same_files_are_untouched() -> None:
    """Equal files give an untouched layout and nothing to tell."""
    comparison = compared(little(x=""), little(x=""))
    assert one(comparison).status is Status.UNTOUCHED
    assert next(text_report(comparison, True)) == "Nothing changes for anybody."


def test_another_way_of_writing_means_the_same() -> None:
    """Comments, quotes, order and numbers of usages change a file and no fact: that is one line."""
    other = little(x="\n# a comment\n")
    other = changed(other, HOST_FILE, "  KeyA: [a, A]\n  KeyB: [b, B]\n", "  0x05: ['b', \"B\"]\n  0x04: [a, A]\n")
    comparison = compared(little(x=""), other)
    assert one(comparison).status is Status.SAME
    lines = [line for line in text_report(comparison, True) if line.startswith("x")]
    assert lines == ["x: files changed, but nothing changes for anybody (layouts/x.yaml and shared/hosts/xx.yaml)"]


def test_layouts_come_and_go() -> None:
    """A layout on one side only was added or removed; a removed one is breaking, with what it typed."""
    new = little(x="", z="keys: {KeyA: a, F2: b}\n")
    new["layouts/z.yaml"] = new["layouts/z.yaml"].replace("symbolic", "positional")
    comparison = compared(little(x="", y=""), new)
    assert one(comparison, "z").status is Status.ADDED
    assert one(comparison, "z").breaking == 0
    assert set(one(comparison, "z").gained) == {"a", "b"}
    gone = one(comparison, "y")
    assert (gone.status, gone.breaking, gone.id) == (Status.REMOVED, 1, None)
    assert set(gone.lost) == {"a", "A", "b", "B", "1", "!", "Enter"}
    assert comparison.layouts[0] is gone


def test_a_layout_under_another_name_is_found() -> None:
    """A layout that went and one that came with the same triggers are one, renamed; a change on the way is told too."""
    comparison = compared(little(x="keys: {F1: a}\n"), little(new="keys: {F1: a, F2: b}\n"))
    layout = one(comparison, "new")
    assert (layout.old_id, layout.status) == ("x", Status.CHANGED)
    assert told(comparison, "new") == ["F2 did nothing and now types b", "the layout x is now new"]


def test_of_two_layouts_that_went_the_one_most_like_is_renamed() -> None:
    """Each of two could have taken the new name: the one with every line of the new layout did, whichever stands first."""
    for less, same in (("x", "y"), ("y", "x")):
        old = little(**{less: "keys: {F1: a}\n", same: "keys: {F1: a, F2: b}\n"})
        comparison = compared(old, little(new="keys: {F1: a, F2: b}\n"))
        assert one(comparison, "new").old_id == same
        assert one(comparison, less).status is Status.REMOVED


@pytest.mark.parametrize(
    ("there", "come"), [("KeyA: none, KeyB: none", "KeyA: none"), ("KeyA: none", "KeyA: none, KeyB: none")]
)
def test_what_a_new_layout_lacks_in_another_number_is_news(there: str, come: str) -> None:
    """A finding about more or fewer characters than its sibling lacks is new; only one about the same is not."""
    lacking = f"keys: {{{there}}}\n"
    for lines, new in ((f"keys: {{{come}}}\n", 1), (lacking, 0)):
        comparison = compared(little(x=lacking), little(x=lacking, y=lines))
        found = [finding for finding in one(comparison, "y").findings.new if finding.slug == "unreachable-character"]
        assert len(found) == new


def test_another_country_is_no_new_name() -> None:
    """A layout of another host is another layout, though most of its triggers are the same."""
    old, new = little(x=""), little(y="")
    new["shared/hosts/yy.yaml"] = HOST.replace("host: xx", "host: yy")
    new["layouts/y.yaml"] = new["layouts/y.yaml"].replace("host: xx", "host: yy")
    comparison = compared(old, new)
    assert [layout.status for layout in comparison.layouts] == [Status.REMOVED, Status.ADDED]


def test_a_machine_and_host_under_other_names_are_found() -> None:
    """Machine, host and layout renamed together are still the same, and nothing else has changed."""
    new = {
        "shared/machines/small.yaml": MACHINE.replace("machine: little", "machine: small"),
        "shared/hosts/zz.yaml": HOST.replace("host: xx", "host: zz"),
        "layouts/y.yaml": "layout: y\nmachine: small\nhost: zz\njoin: symbolic\n",
    }
    comparison = compared(little(x=""), new)
    assert told(comparison, "y") == [
        "the machine little is now small",
        "the host xx is now zz",
        "the layout x is now y",
    ]
    assert not comparison.breaks(Audience.TYPIST)
    assert comparison.firmware.gone == ("mm_at_little.h", "mm_x")
    assert [(each.layout, each.new) for each in comparison.firmware.stored] == [("x", "y")]


def test_a_character_is_lost_or_found_elsewhere() -> None:
    """A press that no longer types its character says where the character is now, or that it is gone."""
    new = changed(little(x=""), HOST_FILE, "Digit1: ['1', '!']", "Digit1: ['1']\n  Digit2: ['!']")
    assert told(compared(little(x=""), new), breaking=True) == [
        "Shift 1 typed ! and now types 1 as without Shift; ! is on Digit2"
    ]
    gone = changed(little(x=""), HOST_FILE, "Digit1: ['1', '!']", "Digit1: ['1', '?']")
    comparison = compared(little(x=""), gone)
    assert told(comparison, breaking=True) == ["Shift 1 typed ! and now does nothing; ! can no longer be typed"]
    assert one(comparison).lost == ("!",)


def test_what_comes_breaks_nothing() -> None:
    """A new trigger, a new character and a new key are told, and none of it is breaking."""
    new = changed(little(x="keys: {F1: e, Alt+KeyA: c}\n"), MACHINE_FILE, "S2: [d, none]", "S2: [d, e]")
    new = changed(new, MACHINE_FILE, "  d: {plain: Enter}", "  d: {plain: Enter}\n  e: {plain: Tab}")
    comparison = compared(little(x=""), new)
    assert told(comparison) == [
        "Tab (F1)",
        "F1 did nothing and now types Tab",
        "Alt A typed a as without Alt and now types 1",
        "conflicts of the machine's own keys: 12 sets of three that make a phantom, were 6; 3 rectangles that mask, were 1",
        "now can be pressed: e",
        "new key e at S2/N1; it types Tab",
    ]
    assert comparison.breaking == 0


def test_shift_held_on_counts_as_a_press_of_its_own() -> None:
    """Typists hold Shift on: a key that did the same with it and now does not is breaking, with Alt it is not."""
    comparison = compared(little(x=""), little(x="keys: {Shift+Enter: a, Alt+Enter: a}\n"))
    assert told(comparison, breaking=True) == ["Shift Enter typed Enter as without Shift and now types a"]
    assert told(comparison, breaking=False) == ["Alt Enter typed Enter as without Alt and now types a"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("keys: {F1: a}", "F1 typed a and now does nothing"),
        ("keys: {F1: shift}", "F1 was shift and now does nothing"),
        ("keys: {F1: a + b}", "F1 pressed a + b and now does nothing"),
        ("commands: {F1: 7}", "F1 gave command 7 and now does nothing"),
        ("keys: {KeyA: none}", "A did nothing and now types a"),
    ],
)
def test_every_kind_of_outcome_has_its_words(line: str, words: str) -> None:
    """Characters, modifiers, chords, commands and silenced triggers are each told in their way."""
    assert words in told(compared(little(x=f"{line}\n"), little(x="")))


def test_the_same_by_another_stroke() -> None:
    """A trigger that types the same by another key is told as a stroke, which breaks nothing."""
    old = changed(little(x=""), MACHINE_FILE, "S2: [d, none]", "S2: [d, e]")
    old = changed(old, MACHINE_FILE, "  d: {plain: Enter}", "  d: {plain: Enter}\n  e: {plain: Enter}")
    comparison = compared(old, {**old, "layouts/x.yaml": old["layouts/x.yaml"] + "types: {Enter: e}\n"})
    assert told(comparison) == [
        "no press closes d any more; other keys do the same",
        "now can be pressed: e",
        "Enter and Shift Enter: now presses e, was d",
    ]
    assert comparison.breaking == 0


def test_demands_that_change_are_told_once_for_all_keys() -> None:
    """Demands that change alike on many triggers are one item: a key that a new modifier selects on is now lifted."""
    new = changed(little(x=""), MACHINE_FILE, "modifiers: {shift: shift}", "modifiers: {shift: shift, d: d}")
    new = changed(new, MACHINE_FILE, "a: {plain: a, shift: A}", "a: {plain: a, shift: A, d: '?'}")
    assert "A and Shift A: now lift d, was pass d" in told(compared(little(x=""), new))


def test_a_modifier_that_is_gone_breaks_nothing_by_itself() -> None:
    """That a key is no longer a modifier is a fact of the machine; whether presses then do less is played."""
    one_modifier = little(x="")
    two = changed(one_modifier, MACHINE_FILE, "modifiers: {shift: shift}", "modifiers: {shift: shift, d: d}")
    for old, new, words in ((two, one_modifier, "d is no longer a modifier"), (one_modifier, two, "new modifier d: d")):
        items = [news.item for news in compared(old, new).news]
        assert [item.breaking for item in items if plain(item.words) == words] == [False]


def test_right_alt_that_becomes_altgr_is_told() -> None:
    """A third level on a key of the host makes its right Alt a key that chooses levels, and the host's change says so."""
    plain_host = little(x="")
    levels = changed(plain_host, HOST_FILE, "KeyA: [a, A]", "KeyA: [a, A, b]")
    for old, new, words in (
        (plain_host, levels, "right Alt is AltGr now"),
        (levels, plain_host, "right Alt is no longer AltGr"),
    ):
        assert words in [news.text() for news in compared(old, new).news]


def test_wiring_is_breaking_and_named() -> None:
    """A key that moved, a pin that changed and lines in another order concern whoever wired an adapter."""
    old = changed(
        little(x=""), MACHINE_FILE, "scan:", "connector: {pins: [S0, S1, S2, none, N0, N1], key_pin: 4}\nscan:"
    )
    new = changed(old, MACHINE_FILE, "S0: [a, b]", "S0: [b, a]")
    new = changed(new, MACHINE_FILE, "[S0, S1, S2, none,", "[S0, S2, S1, none,")
    new = changed(new, MACHINE_FILE, "select: [S0, S1, S2]", "select: [S0, S2, S1]")
    comparison = compared(old, new)
    assert told(comparison, breaking=True) == [
        "the key a moved from S0/N0 to S0/N1",
        "the key b moved from S0/N1 to S0/N0",
        "3 select lines, with another number: S1 and S2",
        "pin 2 carries S2, carried S1",
        "pin 3 carries S1, carried S2",
    ]
    assert any(line.startswith("Wiring changed. Common practice: ") for line in text_report(comparison, False))


def test_how_a_controller_is_wired_concerns_the_board() -> None:
    """Wiring that changed, a switch on other lines and a controller that is gone are breaking; a new controller is not."""
    stick = "controllers: {stick: {wired: gated, Fire: S0/N0}}\nscan:"
    old = changed(little(x=""), MACHINE_FILE, "scan:", stick)
    there = compared(old, changed(old, MACHINE_FILE, "gated", "contact"))
    assert told(there, breaking=True) == ["stick is wired: contact, was gated"]
    moved = changed(old, MACHINE_FILE, "wired: gated, Fire: S0/N0", "wired: ground, Fire: N0")
    assert told(compared(old, moved), breaking=True) == [
        "the switch stick Fire is on N0, was on S0/N0",
        "stick is wired: ground, was gated",
    ]
    come = ["new switch stick Fire on S0/N0", "new controller stick, wired: gated"]
    assert set(come) <= set(told(compared(little(x=""), old), breaking=False))
    gone = ["the switch stick Fire on S0/N0 is gone", "the controller stick, wired: gated, is gone"]
    assert sorted(told(compared(old, little(x="")), breaking=True)) == sorted(gone)


def test_a_machine_that_changed_is_told_once() -> None:
    """What changed in a machine stands once, with its number of layouts, and counts once."""
    old = little(x="", y="")
    comparison = compared(old, changed(old, MACHINE_FILE, "S0: [a, b]", "S0: [b, a]"))
    moved = [news for news in comparison.news if "moved from" in news.text()]
    assert [(news.subject, news.layouts, news.breaking) for news in moved] == [("machine little", ("x", "y"), True)] * 2
    assert comparison.breaking == 2
    lines = list(text_report(comparison, True))
    assert sum("moved from" in line for line in lines[1:]) == 2


def test_rollover_and_guard_can_be_lost() -> None:
    """Fewer keys told apart and a guard switched off are breaking where keys held together show it, and not the other way round."""
    old = little(x="")
    fewer = changed(old, MACHINE_FILE, "rollover: 2", "rollover: 1")
    words = "A and B held together: were all read, now only B is read"
    assert told(compared(old, fewer), breaking=True) == [words]
    assert told(compared(fewer, old), breaking=True) == []
    assert "A and B held together: only B was read, now are all read" in told(compared(fewer, old))
    # With two keys at most no phantom can be made, and the guard costs and gives nothing.
    off = little(x="guard: off\n")
    assert told(compared(old, off)) == ["the phantom guard is off now"]
    assert told(compared(old, off), breaking=True) == []
    many = changed(old, MACHINE_FILE, ", rollover: 2", "")
    many_off = {**many, "layouts/x.yaml": off["layouts/x.yaml"]}
    lost = told(compared(many, many_off), breaking=True)
    assert lost == ["A, B and 1 held together: only B and 1 were read, now the machine also reads shift"]
    assert "the phantom guard is on now" in told(compared(many_off, many))
    assert told(compared(many_off, many), breaking=True) == []


def test_a_broken_layout_is_told_and_the_others_compared() -> None:
    """A layout that cannot be read is broken, with its findings; the rest is compared as ever."""
    comparison = compared(little(x="", y=""), little(x="keys: {F1: nix}\n", y="keys: {F1: a}\n"))
    broken = one(comparison)
    assert (broken.status, broken.newly_broken, broken.breaking) == (Status.BROKEN, True, 1)
    assert [finding.slug for finding in broken.new_faults] == ["unknown-key"]
    assert told(comparison, "y") == ["F1 did nothing and now types a"]
    back = compared(little(x="keys: {F1: nix}\n", y=""), little(x="", y=""))
    assert not one(back).newly_broken
    assert one(back).breaking == 0
    assert comparison.unreadable
    assert not back.unreadable
    still = compared(little(x="keys: {F1: nix}\n"), little(x="keys: {F1: nix}\n"))
    assert not one(still).newly_broken
    assert still.unreadable


def test_a_file_that_no_layout_uses() -> None:
    """A machine or host that changed and that nobody joins is named, with what is wrong in it."""
    new = {**little(x=""), "shared/hosts/yy.yaml": HOST.replace("host: xx", "host: yy").replace("iso-105", "round")}
    (loose,) = compared(little(x=""), new).loose
    assert (loose.name, loose.change) == ("shared/hosts/yy.yaml", "added")
    assert [finding.slug for finding in loose.findings] == ["unknown-choice"]
    assert [file.change for file in compared(new, little(x="")).loose] == ["removed"]


def test_findings_are_matched_by_what_they_mean() -> None:
    """A finding that moved to another line is the same; one that came is new, one that went is gone."""
    old = little(x="keys: {F1: a, KeyA: a}\n")
    moved = compared(old, little(x="\n\n\nkeys:\n  KeyA: a\n  F1: a\n"))
    assert not one(moved).findings
    assert one(moved).status is Status.SAME
    come = one(compared(little(x=""), little(x="keys: {KeyA: a}\n"))).findings
    assert [finding.slug for finding in come.new] == ["redundant-line"]
    assert come.has_new(Severity.WARNING)
    assert not come.has_new(Severity.ERROR)
    gone = one(compared(little(x="keys: {KeyA: a}\n"), little(x=""))).findings
    assert [finding.slug for finding in gone.gone] == ["redundant-line"]
    assert not gone.has_new(Severity.NOTE)


def test_two_lines_of_one_rule_are_two_findings() -> None:
    """A needless line taken out and another put in is one finding gone and one new."""
    found = one(compared(little(x="keys: {KeyA: a}\n"), little(x="keys: {KeyB: b}\n"))).findings
    assert [finding.slug for finding in found.new] == ["redundant-line"] == [finding.slug for finding in found.gone]
    assert not found.grown
    assert not found.shrunk


def test_a_list_that_grows_is_one_finding() -> None:
    """A finding that lists what of the whole layout is unreached grows or shrinks with the list."""
    less = changed(little(x=""), HOST_FILE, "  KeyB: [b, B]\n", "")
    least = changed(less, HOST_FILE, "  KeyA: [a, A]\n", "  KeyA: [a]\n")
    grown = one(compared(less, least)).findings.grown
    pairs = [(before.slug, before.count, after.count) for before, after in grown]
    assert ("unreachable-character", 2, 3) in pairs
    shrunk = one(compared(least, less)).findings.shrunk
    assert ("unreachable-character", 3, 2) in [(before.slug, before.count, after.count) for before, after in shrunk]


def test_accepted_and_exposed_findings() -> None:
    """A finding that the layout begins to accept is neither new nor gone; when it no longer does, it is news."""
    old, new = little(x="keys: {KeyA: a}\n"), little(x="keys: {KeyA: a}\naccept: {redundant-line: so be it}\n")
    there, back = one(compared(old, new)).findings, one(compared(new, old)).findings
    assert [finding.slug for finding in there.accepted] == ["redundant-line"]
    assert not there.worse()
    assert [finding.slug for finding in back.exposed] == ["redundant-line"]
    assert back.has_new(Severity.WARNING)
    assert "accepts redundant-line: so be it" in told(compared(old, new))


def test_conflicts_keep_their_identity_when_a_key_is_renamed() -> None:
    """Phantoms are about keys: under another name of a key they are the same, and none is new."""
    old = {name: text.replace(", rollover: 2", "") for name, text in little(x="").items()}
    new = {name: text.replace("[a, b]", "[aa, b]").replace("  a: {", "  aa: {") for name, text in old.items()}
    found = one(compared(old, new)).findings
    assert found is not None
    assert found.unchanged > 0
    assert not found


def test_a_new_layout_brings_only_what_its_siblings_lack() -> None:
    """Conflicts that the machine brings with it are no news in a new layout of it; a needless line is."""
    layout = one(compared(little(x=""), little(x="", y="keys: {KeyA: a}\n")), "y")
    assert layout.sibling == "x"
    assert [finding.slug for finding in layout.findings.new if finding.severity > Severity.NOTE] == ["redundant-line"]
    assert layout.findings.unchanged > 0
    alone = compared({}, little(x=""))
    assert one(alone).sibling is None
    assert one(alone).findings.unchanged == 0


def test_the_code_that_changes() -> None:
    """Bytes before and after and the lines of C are told; a renamed title changes lines and no byte."""
    layout = one(compared(little(x="keys: {F8: d}\n"), little(x="keys: {F8: d, F9: d}\n")))
    code = layout.code
    assert code is not None
    assert code.old_bytes is not None
    assert code.new_bytes == code.old_bytes + 2
    assert not code.same
    assert layout.old
    assert layout.new
    assert [line for line in code_lines(layout.old, layout.new) if "F9" in line and line.startswith("+")]
    other = one(compared(little(x=""), little(x="title: Another\n")))
    assert other.code is not None
    assert other.code.same
    assert other.old
    assert other.new
    assert all("Another" in line or "Little" in line for line in code_lines(other.old, other.new))


def test_a_table_too_large_is_breaking() -> None:
    """A layout that no table can hold any more says so."""
    from matrixmap.press.table import contract

    lines = "".join(f"  0x{usage:02X}: a + b + c + d\n" for usage in range(0x70, 0x71))
    old, new = little(x=f"keys:\n{lines}"), little(x="keys: {F9: a}\n")
    limit, contract.MOST = contract.MOST, 0
    try:
        code = one(compared(new, old)).code
    finally:
        contract.MOST = limit
    assert code is not None
    assert code.fault is not None
    assert code.new_bytes is None


OTHER_HOST = HOST.replace("  KeyA: [a, A]\n", "  KeyA: [a, A, b, B]\n  KeyC: ['1', '!', {dead: '^'}]\n")
PRINTED = "printed:\n  source: this test\n"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("", PRINTED, "what is printed on the keys: no longer b B on KeyA, dead ^ on KeyC"),
        (PRINTED, "", "what is printed on the keys: now b B on KeyA, dead ^ on KeyC"),
        (
            PRINTED + "  altgr: {KeyA: b}\n",
            PRINTED + "  altgr: {KeyA: B}\n  not: {KeyC: '!'}\n",
            "what is printed on the keys: now B on KeyA; no longer b on KeyA, ! on KeyC",
        ),
    ],
)
def test_what_is_printed_is_a_change_that_breaks_nothing(old: str, new: str, words: str) -> None:
    """A host that says otherwise what can be read on its keys is one harmless change, key by key."""
    files = {**little(x=""), HOST_FILE: OTHER_HOST}
    sides = [{**files, HOST_FILE: OTHER_HOST + section} for section in (old, new)]
    comparison = compared(*sides)
    assert told(comparison, breaking=False) == [words]
    assert told(comparison, breaking=True) == []
    assert one(comparison).status is Status.CHANGED
    assert any(words in line for line in text_report(comparison, True))


def test_the_print_of_a_key_that_comes_is_told_with_it() -> None:
    """A new key, and a new legend that is not printed, are told as such and not a second time."""
    old = {**little(x=""), HOST_FILE: HOST + PRINTED}
    new = {**old, HOST_FILE: OTHER_HOST + PRINTED}
    legends = [
        [plain(item.words) for item in one(comparison).items if item.section is Section.LEGENDS]
        for comparison in (compared(old, new), compared(new, old))
    ]
    assert legends == [
        ["KeyA: a A b B, was a A", "new key KeyC: 1 ! dead ^"],
        ["KeyA: a A, was a A b B", "the key KeyC is gone: 1 ! dead ^"],
    ]


def test_the_print_of_many_keys_is_told_by_their_number() -> None:
    """Where a host first says what is printed, a line for each key would hide all else."""
    legends = "".join(f"  Key{letter}: [x, X, '{letter}']\n" for letter in "CDEFGHIJKLMNO")
    old = {**little(x=""), HOST_FILE: HOST + legends}
    new = {**old, HOST_FILE: HOST + legends + PRINTED}
    assert told(compared(old, new)) == ["what is printed on the keys: no longer some legends of 13 keys"]
