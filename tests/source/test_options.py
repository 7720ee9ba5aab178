"""Keys that only some of the machines have, and keys with more than one meaning in a shift state."""

from __future__ import annotations

import pytest

from matrixmap.compare.items.presses import pair_changes, press_changes
from matrixmap.compare.layouts import all_items
from matrixmap.compare.sides.facts import facts
from matrixmap.compare.sides.pair import Pair
from matrixmap.compare.sides.words import plain
from matrixmap.hid.usages import Usage, by_code
from matrixmap.model.plan import Plan, Stroke, Trigger
from matrixmap.model.words import stroke_name
from matrixmap.press.how_to_type import ways_to_type
from tests.compare.rebuild import meaning, rebuilt
from tests.written import found_by, plan_of, told

MACHINE = """
machine: bench
title: Bench
source: made for this test
matrix:
  select: [S0, S1, S2]
  sense: [N0, N1, N2]
  grid:
    S0: [pad-plus, pad-one, a]
    S1: [d1, shift, stop]
    S2: [pad-enter, enter, none]
modifiers: {shift: shift}
options: {pad: [pad-plus, pad-one], big-pad: pad-enter}
types:
  pad-plus: {plain: +, shift: '*'}
  pad-one: {plain: 1}
  pad-enter: {plain: Enter}
  a: {plain: a, shift: A}
  d1: {plain: 1, shift: +}
  stop: {plain: [Escape, Pause], shift: [Break, ScrollLock]}
  enter: {plain: Enter}
scan: {period_us: 20000, rollover: 2}
"""
HEAD = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\n"


def layout(lines: str = "", machine: str = MACHINE) -> Plan:
    """The plan of a layout with these lines."""
    return plan_of(layout=HEAD + lines, machine=machine)


def pressed(plan: Plan, code: str, level: int = 1) -> str | None:
    """The stroke of a trigger as a layout writes it."""
    action = plan.by_trigger.get(Trigger(usage=by_code(code)[0], level=level))
    return stroke_name(plan.layout.machine, action) if isinstance(action, Stroke) else None


def test_an_optional_key_comes_last() -> None:
    """A key of an option is taken only where no other key types the character, though it takes fewer modifiers."""
    plan = layout()
    assert pressed(plan, "Equal", 2) == pressed(plan, "NumpadAdd") == "shift + d1"
    assert pressed(plan, "Digit1") == "d1"
    assert pressed(plan, "Enter") == pressed(plan, "NumpadEnter") == "enter"
    assert pressed(plan, "Digit8", 2) == "shift + pad-plus"
    without = layout(machine=MACHINE.replace("options: {pad: [pad-plus, pad-one], big-pad: pad-enter}\n", ""))
    assert pressed(without, "Equal", 2) == "pad-plus"
    assert pressed(without, "Digit1") == "pad-one"


def test_a_line_may_still_choose_it() -> None:
    """A line under `types` or `keys` reaches an optional key all the same."""
    plan = layout("types: {'1': pad-one}\nkeys: {Numpad5: pad-plus}\n")
    assert pressed(plan, "Digit1") == "pad-one"
    assert pressed(plan, "Numpad5") == "pad-plus"


def test_one_note_an_option() -> None:
    """The note names once per option what only it types, and the lines that press it."""
    plan = layout("types: {'1': pad-one}\nkeys:\n  F5: pad-plus\n  F6: pad-enter\n  F7: shift + pad-plus\n")
    found = [found.text for found in found_by("needs-option", plan)]
    assert found == [
        "a machine without the option pad lacks pad-plus, pad-one: only these keys type *, and lines 7, 9 press them",
        "a machine without the option big-pad lacks pad-enter: line 8 presses them",
    ]


def test_an_optional_key_that_nothing_works_is_a_note() -> None:
    """A key that few have need not be reached: it is told as a note, not as a warning."""
    severities = {found.text: found.severity.name for found in found_by("unreachable-key", layout())}
    assert severities == {"no host key works pad-one, pad-enter, which only some of the machines have": "NOTE"}


def test_each_meaning_is_looked_up_and_the_first_is_told() -> None:
    """Escape, Pause and Scroll Lock of the host all find the key; what is told of the stroke is the first meaning."""
    plan = layout()
    assert pressed(plan, "Escape") == pressed(plan, "Pause") == "stop"
    assert pressed(plan, "ScrollLock") == "shift + stop"
    action = plan.by_trigger[Trigger(usage=Usage(0x48), level=1)]
    assert isinstance(action, Stroke)
    assert str(action.types) == "Escape"
    ways = ways_to_type(plan)
    assert ways["Pause"] == ways["Escape"]
    assert not [found for found in found_by("unreachable-function", plan) if "Pause" in found.text]


def test_a_first_meaning_comes_before_a_second() -> None:
    """Of two keys in the same state, the one that means it first is taken, whatever the order of the grid."""
    machine = MACHINE.replace("d1: {plain: 1, shift: +}", "d1: {plain: [1, a]}")
    plan = layout(
        machine=machine.replace("S0: [pad-plus, pad-one, a]\n    S1: [d1,", "S0: [pad-plus, pad-one, d1]\n    S1: [a,")
    )
    assert pressed(plan, "KeyA") == "a"


def test_a_line_under_types_may_name_a_second_meaning() -> None:
    """`types: {Pause: stop}` is no contradiction, though the key is told as Escape."""
    assert told("layout", layout=HEAD + "types: {Pause: stop}\n", machine=MACHINE) == []
    (found,) = told("layout", layout=HEAD + "types: {Pause: d1}\n", machine=MACHINE)
    assert found.endswith("d1 does not type Pause on the machine; stop does")


def test_a_comparison_tells_of_options_and_meanings() -> None:
    """What a key means besides, and the option it belongs to, are told; the facts give back the whole plan."""

    def changed(old: str, new: str) -> list[str]:
        pair = Pair(layout(machine=old), layout(machine=new))
        items = all_items(pair, press_changes(pair), pair_changes(pair))
        assert {fact for item in items for fact in item.facts} == set(pair.changed)
        return [plain(item.words) for item in items]

    assert rebuilt(facts(layout())) == meaning(layout())
    fewer = MACHINE.replace("[Escape, Pause]", "Escape").replace(", big-pad: pad-enter", "")
    texts = changed(MACHINE, fewer)
    assert "further meanings of stop: nothing, was Pause" in texts
    assert "the key pad-enter is part of every machine, was of the option big-pad" in texts


@pytest.mark.parametrize(
    ("old", "new", "finding"),
    [
        (
            "big-pad: pad-enter}",
            "big-pad: pad-entry}",
            "bench.yaml:13:46: unknown-key: the machine has no key 'pad-entry'",
        ),
        (
            "big-pad: pad-enter}",
            "big-pad: pad-one}",
            "bench.yaml:13:46: name-twice: pad-one already belongs to the option pad",
        ),
        (
            "[Escape, Pause]",
            "[Escape, none]",
            "bench.yaml:20:10: wrong-type: stop: none cannot stand together with other meanings",
        ),
        ("[Escape, Pause]", "[Escape, Escape]", "bench.yaml:20:10: wrong-type: stop: the same meaning is there twice"),
        ("[Escape, Pause]", "[]", "bench.yaml:20:17: wrong-length: the list has 0 items, but needs at least one"),
    ],
)
def test_mistakes_are_told(old: str, new: str, finding: str) -> None:
    """Each mistake gives a finding with its place."""
    assert MACHINE.count(old) == 1
    (found,) = told("machine", machine=MACHINE.replace(old, new))
    assert found.startswith(finding)
