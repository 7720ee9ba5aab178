"""Facts of a machine beside its matrix: what the host's Shift feeds, when keys repeat, where facts come from."""

from __future__ import annotations

import pytest

from matrixmap.compare.items.presses import pair_changes, press_changes
from matrixmap.compare.layouts import all_items
from matrixmap.compare.sides.pair import Pair
from matrixmap.compare.sides.words import plain
from matrixmap.emit.pictures.sheet import sheet_html
from matrixmap.emit.tables.keylist import key_list
from matrixmap.hid.usages import SHIFT_LEFT, SHIFT_RIGHT
from matrixmap.model.machine import Debounce
from matrixmap.model.plan import Feed, Plan, Trigger
from matrixmap.press.levels import levels_of
from tests.written import machine_of, plan_of, told

MACHINE = """
machine: bench
title: Bench
source: made for this test
matrix:
  select: [S0, S1, S2]
  sense: [N0, N1, N2]
  grid:
    S0: [a, b, c]
    S1: [ebb, flood, d1]
    S2: [d2, enter, none]
modifiers: {ebb: ebb, flood: flood}
types:
  a: {plain: a, ebb: A, flood: '+'}
  b: {plain: b, ebb: B, flood: '-'}
  c: {plain: c, flood: '*'}
  d1: {plain: 1, flood: '!'}
  d2: {plain: 2, ebb: '"'}
  enter: {plain: Enter}
scan: {period_us: 20000, rollover: 2}
"""
LAYOUT = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\n"


def fed(plan: Plan) -> set[str | None]:
    """What both Shift keys of the host feed."""
    actions = [plan.by_trigger.get(Trigger(usage=usage, level=1)) for usage in (SHIFT_LEFT, SHIFT_RIGHT)]
    return {action.modifier if isinstance(action, Feed) else None for action in actions}


def changed(old: str, new: str) -> list[str]:
    """What a comparison tells of two machines; nothing of it may be left out."""
    pair = Pair(plan_of(layout=LAYOUT, machine=old), plan_of(layout=LAYOUT, machine=new))
    items = all_items(pair, press_changes(pair), pair_changes(pair))
    assert {fact for item in items for fact in item.facts} == set(pair.changed)
    return [plain(item.words) for item in items]


@pytest.mark.parametrize(
    ("old", "new", "modifier"),
    [
        ("", "", "ebb"),  # two of three letters
        ("modifiers: {ebb: ebb, flood: flood}", "modifiers: {ebb: ebb, shift: flood}", "shift"),
        ("b: {plain: b, ebb: B", "b: {plain: b", None),  # one of three letters
        ("c: {plain: c, flood: '*'}", "c: {plain: c, flood: C}", None),  # two modifiers make capitals
        ("scan:", "host_shift: flood\nscan:", "flood"),
        ("scan:", "host_shift: none\nscan:", None),
    ],
)
def test_what_the_hosts_shift_feeds(old: str, new: str, modifier: str | None) -> None:
    """As the file says; else the one named shift; else the one that alone makes the other case of most letters."""
    text = MACHINE.replace(old, new) if old else MACHINE
    text = text.replace("flood: '", "shift: '") if ", shift: flood" in text else text
    assert machine_of(text).host_shift == modifier
    assert fed(plan_of(layout=LAYOUT, machine=text)) == {modifier}


def test_a_line_of_the_layout_wins_over_shift() -> None:
    """The host's Shift feeds what a line says, whatever the machine's file says."""
    assert fed(plan_of(layout=LAYOUT + "pass: {Shift: flood}\n", machine=MACHINE)) == {"flood"}


def test_a_repeat_is_told() -> None:
    """When a key repeats stands in the sheet for the desk; without the field nothing is said."""
    text = MACHINE.replace("rollover: 2", "repeat: {delay_ms: 500, every_ms: 50}")
    sentence = "A key that stays down repeats after 500 ms, then every 50 ms."
    assert sentence in sheet_html(plan_of(layout=LAYOUT, machine=text), "A4")
    assert "repeats after" not in sheet_html(plan_of(layout=LAYOUT, machine=MACHINE), "A4")
    assert "a key that stays down repeats after: 500 ms, was not stated" in changed(
        MACHINE, MACHINE.replace("rollover: 2", "rollover: 2, repeat: {delay_ms: 500, every_ms: 50}")
    )


def test_the_source_of_a_key_is_told() -> None:
    """Keys whose facts come from elsewhere stand in the key list with their source, and a change of it is told."""
    text = MACHINE.replace("scan:", "sources: {d2: 'A letter | of the maker, page 2'}\nscan:")
    listed = key_list(levels_of(plan_of(layout=LAYOUT, machine=text)), "0", "test")
    assert "| d2 | A letter \\| of the maker, page 2 |" in listed
    assert changed(MACHINE, text) == ["source of the key d2: A letter | of the maker, page 2, was the machine's own"]


def test_a_change_of_what_shift_feeds_is_told() -> None:
    """The comparison says what the host's Shift feeds now, beside what changes for the typist."""
    assert "the host's Shift feeds nothing, fed ebb" in changed(
        MACHINE, MACHINE.replace("scan:", "host_shift: none\nscan:")
    )


@pytest.mark.parametrize(
    ("scan", "debounce", "sweep", "reckoned"),
    [
        ("", Debounce.KEY, None, 20_000),
        (", debounce: key, sweep_us: 0", Debounce.KEY, 0, 0),
        (", debounce: whole, sweep_us: 640", Debounce.WHOLE, 640, 640),
    ],
)
def test_what_a_machine_compares_and_how_long_a_scan_takes(
    scan: str, debounce: Debounce, sweep: int | None, reckoned: int
) -> None:
    """Each key if the file does not say; a scan of which it does not say may take all the time until the next."""
    machine = plan_of(layout=LAYOUT, machine=MACHINE.replace("rollover: 2", f"rollover: 2{scan}")).layout.machine
    assert (machine.scan.debounce, machine.scan.sweep_us) == (debounce, sweep)
    assert machine.scan.longest_sweep_us == reckoned


def test_a_comparison_tells_how_the_machine_scans() -> None:
    """Another debounce, and a sweep that was not stated, are changes of the machine."""
    texts = changed(MACHINE, MACHINE.replace("rollover: 2", "rollover: 2, debounce: whole, sweep_us: 640"))
    assert "what must be equal in these scans: the whole scan, was each key by itself" in texts
    assert "microseconds that a scan takes: 640, was not stated" in texts


def test_a_comparison_tells_what_is_visible_and_what_comes_of_more_keys() -> None:
    """Both are changes of the machine, in words; what is not stated is told so."""
    more = MACHINE.replace("rollover: 2", "rollover: 2, more_keys: [first, kept]")
    assert "what comes of more keys than that: first or kept, was not stated" in changed(MACHINE, more)
    assert "what comes of more keys than that: not stated, was first or kept" in changed(more, MACHINE)
    seen = MACHINE.replace("scan:", "visible: {never: a, at_times: [b]}\nscan:")
    other = MACHINE.replace("scan:", "visible: {at_times: [b, a]}\nscan:")
    assert "a shows on the screen: never, was always" in changed(MACHINE, seen)
    assert "b shows on the screen: at times, was always" in changed(MACHINE, seen)
    assert changed(seen, other) == ["a shows on the screen: at times, was never"]
    assert changed(other, seen.replace("at_times: [b]", "at_times: b")) == [
        "a shows on the screen: never, was at times"
    ]


@pytest.mark.parametrize(
    ("line", "finding"),
    [
        (
            "host_shift: eb",
            "20:13: unknown-modifier: the machine has no modifier 'eb'; did you mean ebb?; write one, or none",
        ),
        ("sources: {d3: page 2}", "20:11: unknown-key: the machine has no key 'd3'"),
        (
            "scan: {period_us: 20000, repeat: {delay_ms: 500}}",
            "20:34: missing-field: the repeat needs the field every_ms",
        ),
        (
            "scan: {period_us: 20000, debounce: keys}",
            "20:36: unknown-choice: 'keys' is not one of key, whole; did you mean key?",
        ),
        ("scan: {period_us: 20000, repeat: 500}", "20:34: wrong-type: expected the repeat, found a value ('500')"),
    ],
)
def test_mistakes_are_told(line: str, finding: str) -> None:
    """Each mistake gives one finding with its place."""
    text = (
        MACHINE.replace("scan:", line + "\nscan:") if "scan" not in line else MACHINE[: MACHINE.index("scan:")] + line
    )
    (found,) = told("machine", machine=text.rstrip() + "\n")
    assert found.startswith(f"bench.yaml:{finding}")
