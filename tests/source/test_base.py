"""Layouts that take over the lines of another: their own lines come first."""

from collections.abc import Callable

import pytest

from matrixmap.hid.usages import by_code
from matrixmap.model.layout import HostModifier, Join, Layout
from matrixmap.source.kinds.project import Loaded, Project
from tests.project import ROOT

BASE = """layout: common
machine: quillon8
join: symbolic
guard: off
pass: {Control: helm, AltLeft: blazon}
locks: {CapsLock: blazon-latch}
types: {'°': shift + at}
accept: {unknown-key: said in the base}
commands: {F9: 1, Shift+F9: 2}
keys:
  F1: b1
  Shift+F1: b2
  Backslash: bracket-left
  Delete: erase
"""
OWN = "layout: own\nbase: common\nhost: en-GB\n"


@pytest.fixture
def read_layout(read_text: Callable[..., Loaded]) -> Callable[[str], Layout]:
    """Reads a layout that takes over the base above."""

    def read(lines: str) -> Layout:
        loaded = read_text("layout", "own", OWN + lines, common=BASE)
        assert loaded.findings == ()
        return loaded.value

    return read


def keys_of(layout: Layout) -> dict[tuple[int, int], str]:
    """(usage, level) -> stroke as written, for the lines without further modifiers."""
    return {(u, line.trigger.level): line.stroke.text for line in layout.keys for u in line.trigger.usages}


def usage(code: str) -> int:
    """The one usage of a code."""
    return by_code(code)[0]


def test_a_layout_takes_over_all_sections_of_its_base(read_layout: Callable[[str], Layout]) -> None:
    """Machine, join, guard and every kind of line come from the base; title and host do not."""
    layout = read_layout("")
    assert (layout.machine.id, layout.host.id, layout.join, layout.guard) == ("quillon8", "en-GB", Join.SYMBOLIC, False)
    assert layout.title == "Quillon 8, English (United Kingdom), symbolic"
    assert keys_of(layout)[usage("F1"), 1] == "b1"
    assert [line.modifier for line in layout.passes] == ["helm", "blazon"]
    assert [line.key for line in layout.locks] == ["blazon-latch"]
    assert [line.legend.text for line in layout.types] == ["°"]
    assert [line.number for line in layout.commands] == [1, 2]
    assert [line.reason for line in layout.accept] == ["said in the base"]


def test_own_lines_win_trigger_by_trigger(read_layout: Callable[[str], Layout]) -> None:
    """A line of one's own replaces that of the base for the same trigger, and no other."""
    keys = keys_of(read_layout("keys: {F1: b3, Escape: escape}\n"))
    assert (keys[usage("F1"), 1], keys[usage("F1"), 2], keys[usage("Escape"), 1]) == ("b3", "b2", "escape")
    assert keys[usage("Delete"), 1] == "erase"


def test_a_number_of_ones_own_replaces_half_of_a_code(read_layout: Callable[[str], Layout]) -> None:
    """Backslash is two usages; an own line for one of them leaves the other to the base."""
    keys = keys_of(read_layout("keys: {0x32: b3}\n"))
    assert (keys[0x31, 1], keys[0x32, 1]) == ("bracket-left", "b3")


def test_a_command_replaces_a_key_line_and_the_other_way_round(read_layout: Callable[[str], Layout]) -> None:
    """A trigger does one thing, whichever section the line of one's own stands in."""
    layout = read_layout("commands: {F1: 7}\nkeys: {F9: b3}\n")
    assert (usage("F1"), 1) not in keys_of(layout)
    assert keys_of(layout)[usage("F9"), 1] == "b3"
    assert sorted((line.trigger.text, line.number) for line in layout.commands) == [("F1", 7), ("Shift+F9", 2)]


def test_own_lines_of_the_other_sections_win(read_layout: Callable[[str], Layout]) -> None:
    """Fed modifiers, locks, choices, guard and acceptances of one's own replace those of the base."""
    layout = read_layout(
        "guard: on\npass: {ControlLeft: blazon}\nlocks: {CapsLock: tab}\naccept: {unknown-key: said here}\n"
    )
    assert layout.guard is True
    fed = {name: line.modifier for line in layout.passes for name in line.usages}
    codes = {code: fed.get(usage(code)) for code in ("ControlLeft", "ControlRight", "AltLeft")}
    assert codes == {"ControlLeft": "blazon", "ControlRight": "helm", "AltLeft": "blazon"}
    assert [line.key for line in layout.locks] == ["tab"]
    assert [line.reason for line in layout.accept] == ["said here"]


def test_a_base_may_have_a_base(read_text: Callable[..., Loaded]) -> None:
    """The nearest file with a line for a trigger wins."""
    middle = "layout: middle\nbase: common\nkeys: {F1: b3, Alt+F1: b1}\n"
    loaded = read_text("layout", "own", "layout: own\nbase: middle\nhost: en-GB\n", common=BASE, middle=middle)
    assert loaded.findings == ()
    assert keys_of(loaded.value)[usage("F1"), 2] == "b2"
    plain = {line.trigger.extras: line.stroke.text for line in loaded.value.keys if line.trigger.text.endswith("F1")}
    assert plain[frozenset({HostModifier.ALT})] == "b1"
    assert sorted(loaded.value.inputs) == [
        *("layouts/common.yaml", "layouts/middle.yaml", "layouts/own.yaml"),
        *("shared/hosts/base.yaml", "shared/hosts/en-GB.yaml", "shared/machines/quillon8.yaml"),
    ]


def test_a_loop_of_bases_ends(read_text: Callable[..., Loaded]) -> None:
    """Two layouts that take over each other are a finding."""
    loaded = read_text("layout", "own", OWN, common="layout: common\nbase: own\n")
    assert [(finding.slug, finding.place.file) for finding in loaded.findings] == [("base-loop", "common.yaml")]


def test_faults_of_a_base_are_told_with_its_place(read_text: Callable[..., Loaded]) -> None:
    """A fault in the base is found in the base, with the names of the machine and host that the layout joins."""
    loaded = read_text("layout", "own", OWN, common=BASE.replace("b2", "b22"))
    assert [f"{finding.place}: {finding.slug}" for finding in loaded.findings] == ["common.yaml:12:13: unknown-key"]


def test_a_base_is_no_layout_of_the_project(project_of: Callable[..., Project]) -> None:
    """A readable layout file without a host is not among the layouts; a broken one stays, so that it is told."""
    project = project_of(common=BASE, own=OWN, broken="layout: broken\nhots: en-GB\n")
    assert project.ids("layout") == ("broken", "own")
    assert [entry.id for entry in project.files("layout")] == ["broken", "common", "own"]


def test_a_layout_for_a_machine_that_lacks_half_of_its_keys(read_bytes_of: Callable[..., Loaded]) -> None:
    """Each line for a key that is gone is told with its place, and the layout is not used."""
    machine = (ROOT / "shared/machines/quillon8.yaml").read_text(encoding="utf-8")
    machine = machine.split("types:")[0] + "types: {}\nscan: {period_us: 20000}\n"
    for row in "0123":
        line = next(line for line in machine.splitlines() if line.startswith(f"    S{row}:"))
        machine = machine.replace(line, f"    S{row}: [{', '.join(['none'] * 8)}]")
    machine = machine.replace("[shift-left, shift-right]", "shift-right")
    machine = "".join(line for line in machine.splitlines(keepends=True) if not line.startswith("  helm:"))
    layout = (ROOT / "layouts/quillon8-positional.yaml").read_text(encoding="utf-8")
    loaded = read_bytes_of(
        ("layout", "own"),
        {
            ("machine", "quillon8"): machine.encode(),
            ("layout", "quillon8-positional"): layout.encode(),
            ("layout", "own"): b"layout: own\nbase: quillon8-positional\nhost: en-GB\n",
        },
    )
    assert loaded.value is None
    assert {finding.slug for finding in loaded.findings} == {"unknown-key"}
    assert {finding.place.file for finding in loaded.findings} == {"quillon8-positional.yaml"}
    assert len(loaded.findings) > 30
