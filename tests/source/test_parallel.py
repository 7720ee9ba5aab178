"""Caps without a contact of their own: two on one crosspoint, and caps that close the contacts of several keys."""

from __future__ import annotations

import pytest

from matrixmap.compare.items.presses import pair_changes, press_changes
from matrixmap.compare.layouts import all_items
from matrixmap.compare.sides.pair import Pair
from matrixmap.compare.sides.words import plain
from matrixmap.emit.pictures.faces import Faces
from matrixmap.hid.usages import SHIFT_RIGHT, Usage
from matrixmap.join.positional import propose_pairs
from matrixmap.model.plan import Feed, Plan, Stroke, Trigger
from matrixmap.model.words import stroke_name
from matrixmap.press.how_to_type import ways_to_type
from tests.written import machine_of, plan_of, told

MACHINE = """
machine: bench
title: Bench
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1, N2, N3]
  grid:
    S0: [a, b, [shift-left, shift-right], d0]
    S1: [c, flood, enter, d1]
parallel: {wipe: [shift-left, d0], lock: [shift-left, d1], both: [a, b]}
modifiers: {shift: [shift-left, shift-right], flood: flood}
types:
  a: {plain: a, shift: A}
  b: {plain: b, shift: B}
  c: {plain: c, shift: C}
  d0: {plain: 0, shift: Backspace}
  d1: {plain: 1, shift: CapsLock}
  enter: {plain: Enter}
place:
  - {row: 0, from: 0, keys: [d1, d0, wipe]}
  - {row: 1, from: 0, keys: [a, b, c, both, enter]}
  - {row: 2, from: 0, keys: [shift-left, flood, lock, shift-right]}
scan: {period_us: 20000, rollover: 2}
"""
HEAD = "layout: bench\nmachine: bench\nhost: en-US\njoin: {join}\n"


def layout(lines: str = "", join: str = "symbolic") -> Plan:
    """The plan of a layout with these lines on the machine above."""
    return plan_of(layout=HEAD.format(join=join) + lines, machine=MACHINE)


def test_a_cap_is_another_name_for_what_it_closes() -> None:
    """In a layout a cap does what the keys do that it closes: a modifier's key feeds it, several keys are a stroke."""
    caps = "keys: {ShiftLeft: shift-left, ShiftRight: shift-right, Backspace: wipe, F1: flood + wipe, F2: both}\n"
    keys = "keys: {ShiftLeft: shift-left, ShiftRight: shift-left, Backspace: shift + d0, F1: flood + shift + d0, F2: a + b}\n"
    for join in ("symbolic", "positional"):
        assert layout(caps, join).by_trigger == layout(keys, join).by_trigger
    plan = layout(caps, "positional")
    assert plan.by_trigger[Trigger(usage=SHIFT_RIGHT, level=1)] == Feed(modifier="shift", contact=2)
    stroke = plan.by_trigger[Trigger(usage=Usage(0x2A), level=1)]
    assert isinstance(stroke, Stroke)
    assert (stroke_name(plan.layout.machine, stroke), str(stroke.types)) == ("shift + d0", "Backspace")


def test_a_lock_of_the_host_may_work_a_cap() -> None:
    """A host lock sent to a cap of two contacts holds the modifier and presses the key."""
    plan = layout("locks: {CapsLock: lock}\n")
    action = plan.by_trigger[Trigger(usage=Usage(0x39), level=1)]
    assert isinstance(action, Stroke)
    assert stroke_name(plan.layout.machine, action) == "shift + d1"
    assert not plan.caps_lock


def test_grid_lists_and_the_section_say_the_same() -> None:
    """`[shift-left, shift-right]` in the grid is `parallel: {shift-right: shift-left}`."""
    section = MACHINE.replace("[shift-left, shift-right], d0]", "shift-left, d0]").replace(
        "parallel: {", "parallel: {shift-right: shift-left, "
    )
    one, other = machine_of(MACHINE), machine_of(section)
    assert one.parallel == other.parallel
    assert one.modifiers == other.modifiers
    assert [(key.name, key.contact) for key in one.keys] == [(key.name, key.contact) for key in other.keys]


def test_a_cap_is_placed_and_paired_by_place() -> None:
    """The proposal for a positional layout pairs caps too: Backspace with the cap that types it, right Shift with its cap."""
    plan = layout()
    pairs = {pair.usage: pair.key for pair in propose_pairs(plan.layout.machine, plan.layout.host)}
    assert pairs[Usage(0x2A)] == "wipe"
    assert {pairs[Usage(0xE1)], pairs[SHIFT_RIGHT]} == {"shift-left", "shift-right"}


def test_the_drawing_tells_what_a_cap_closes_and_types() -> None:
    """A cap on the machine's picture has what it closes, what that types, and the host keys that do it."""
    faces = Faces(layout()).machine()
    wipe = faces["wipe"]
    assert (wipe.contact, wipe.beside, wipe.types) == (None, "shift-left + d0", (("plain", "Backspace"),))
    assert wipe.reached.keys == ("Backspace",)
    assert faces["shift-right"].reached == faces["shift-left"].reached
    assert faces["both"].types == ()


def test_the_function_that_a_cap_types_is_found_by_name() -> None:
    """What a cap types is typed by its stroke: the host's Backspace reaches it without a line."""
    assert "Backspace" in ways_to_type(layout())


def test_a_comparison_tells_of_caps() -> None:
    """A cap that comes, goes or closes something else is told."""

    def changed(old: str, new: str) -> list[str]:
        pair = Pair(*(plan_of(layout=HEAD.format(join="symbolic"), machine=text) for text in (old, new)))
        items = all_items(pair, press_changes(pair), pair_changes(pair))
        assert {fact for item in items for fact in item.facts} == set(pair.changed)
        return [plain(item.words) for item in items]

    fewer = MACHINE.replace("wipe: [shift-left, d0], ", "").replace(", wipe]", "]")
    other = MACHINE.replace("both: [a, b]", "both: [a, c]")
    assert "new cap wipe, which closes shift-left and d0" in changed(fewer, MACHINE)
    assert "the cap wipe is gone, which closed shift-left and d0" in changed(MACHINE, fewer)
    assert "the cap both closes a and c, closed a and b" in changed(MACHINE, other)


@pytest.mark.parametrize(
    ("old", "new", "finding"),
    [
        ("wipe: [shift-left, d0]", "wipe: [shift-left, d9]", "11:31: unknown-key: the machine has no key 'd9'"),
        (
            "wipe: [shift-left, d0]",
            "wipe: [shift-left, shift-right]",
            "11:31: unknown-key: shift-right is itself a cap",
        ),
        ("wipe: [shift-left, d0]", "a: d0", "11:12: name-twice: a has a contact of its own"),
        ("wipe: [shift-left, d0]", "shift-right: d0", "11:12: name-twice: shift-right is already in the grid"),
        ("wipe: [shift-left, d0]", "wipe: [d0, d0]", "11:12: name-twice: wipe names a key twice"),
        (
            "flood: flood}",
            "flood: [flood, wipe]}",
            "12:62: unknown-key: wipe closes several contacts, so it cannot be a mod",
        ),
        ("flood: flood}", "flood: [flood, shift-right]}", "12:62: name-twice: shift-left is already a key of shift"),
        (
            "enter: {plain: Enter}",
            "wipe: {plain: Enter}",
            "19:3: crosspoint-twice: wipe is in parallel with shift-left + d0",
        ),
        (
            "[shift-left, shift-right], d0]",
            "[shift-left, none], d0]",
            "9:16: wrong-type: a list in the grid names caps",
        ),
    ],
)
def test_mistakes_are_told(old: str, new: str, finding: str) -> None:
    """Each mistake gives a finding with its place, the first of those of the file."""
    assert MACHINE.count(old) == 1
    found = told("machine", machine=MACHINE.replace(old, new))
    assert [text for text in found if text.startswith(f"bench.yaml:{finding}")], found
