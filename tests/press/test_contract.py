"""What the runtime asks of a table: every sentence of its header has a table that breaks it, and none of these is built."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from matrixmap.check.run import find_in_plan
from matrixmap.hid.usages import Usage
from matrixmap.join.dead import Ending
from matrixmap.model.machine import Contact, Debounce, Machine
from matrixmap.press.compiled import DROPS, KEEPS, TAKES_BACK
from matrixmap.press.table.contract import SENTENCES, SIZES, breaches
from matrixmap.press.table.format import CapsRange, Controls, Entry, Group, Kind, Table, Wired
from matrixmap.press.table.make import AFTER, TableError, make_table
from matrixmap.simulate.model import Model
from tests.check.cases import plan_of
from tests.project import shipped_plan

HEADER = Path(__file__).parents[2] / "matrixmap" / "runtime" / "mm_runtime.h"
DEAD_KEYS = "quillon8-de-DE-symbolic"
LATCHES = "quillon8-de-DE-positional"
SEQUENCES = "langet41-de-DE-symbolic"
DIODES = "ricasso12-fo-de-DE-symbolic"


def changed(table: Table, number: int, **fields: object) -> Table:
    """A table with other fields in one of its groups."""
    groups = [*table.groups]
    groups[number] = replace(groups[number], **fields)
    return replace(table, groups=tuple(groups))


def first(table: Table, kind: Kind) -> int:
    """The number of the first group of a kind that is no pair."""
    return next(n for n, group in enumerate(table.groups) if group.kind is kind and not 1 <= group.after <= 28)


def with_value(table: Table, kind: Kind, value: int) -> Table:
    """A table in which the first entry of a kind has another value."""
    number = first(table, kind)
    one, *rest = table.groups[number].entries
    return changed(table, number, entries=(replace(one, value=value), *rest))


def twice(table: Table) -> Table:
    """A table that answers the presses of its first strokes once more."""
    return replace(table, groups=(*table.groups, table.groups[first(table, Kind.CROSSPOINT)]))


def comparing_whole_scans(machine: Machine) -> Machine:
    """The machine as it would be if it compared whole scans."""
    return replace(machine, scan=replace(machine.scan, debounce=Debounce.WHOLE))


def turned(table: Table) -> Table:
    """A table whose groups stand in the other order."""
    return replace(table, groups=table.groups[::-1])


def of_modifier(table: Table) -> Table:
    """A table that presses the first modifier key."""
    lines = table.machine.lines(table.modifier_keys[0])
    assert lines is not None
    return with_value(table, Kind.CROSSPOINT, lines[0] << 4 | lines[1])


def as_chord(table: Table) -> Table:
    """A table whose first strokes press the first modifier key and another."""
    number = first(table, Kind.CROSSPOINT)
    entries = tuple(replace(one, value=0) for one in table.groups[number].entries)
    with_chord = replace(table, chords=((Contact(0), table.modifier_keys[0]), *table.chords))
    return changed(with_chord, number, kind=Kind.CHORD, entries=entries)


def same_number(table: Table) -> Table:
    """A table in which a sequence has the number of a dead key."""
    number = next(
        n
        for n, group in enumerate(table.groups)
        if any(group.kind is Kind.DEAD_KEY and one.value & 0x80 for one in group.entries)
    )
    return changed(table, number, entries=tuple(replace(one, value=0x81) for one in table.groups[number].entries))


def goes_back(table: Table) -> Table:
    """A table with a sequence that goes on with itself."""
    number = table.first_sequence
    entry = Entry(usage=Usage(4), value=0x80 | number, triggers=(), does="")
    back = Group(when=0x0F, demand=0, kind=Kind.DEAD_KEY, after=number, entries=(entry,))
    pairs = next(n for n, group in enumerate(table.groups) if 1 <= group.after <= 28)
    return replace(table, groups=(*table.groups[:pairs], back, *table.groups[pairs:]))


def machine_with(table: Table, **fields: object) -> Table:
    """The table on a machine with other fields."""
    return replace(table, machine=replace(table.machine, **fields))


CONTROLS = Controls(name="oar", switches=((Wired.GROUND, 5, 0),), opposites=())
CASES: dict[str, list[tuple[str, Callable[[Table], Table]]]] = {
    "select lines, 0 to 16": [(DEAD_KEYS, lambda t: machine_with(t, select=tuple(f"S{n}" for n in range(17))))],
    "modifier keys M, 0 to 8": [
        (DEAD_KEYS, lambda t: replace(t, modifier_keys=tuple(map(Contact, range(9))))),
        (DEAD_KEYS, lambda t: replace(t, demands=())),
        (DEAD_KEYS, lambda t: replace(t, demands=((0, 0),) * 256)),
        (DEAD_KEYS, lambda t: replace(t, chords=((),) * 256)),
        (DEAD_KEYS, lambda t: replace(t, groups=t.groups[:1] * 256)),
        (DEAD_KEYS, lambda t: replace(t, caps=(CapsRange(first=Usage(4), last=Usage(4), pairs=1),) * 256)),
    ],
    "ticks, low byte first": [(DEAD_KEYS, lambda t: replace(t, times=(0x4000, *t.times[1:])))],
    "dead key (value = its number": [(DEAD_KEYS, lambda t: replace(t, accents=tuple(map(chr, range(65, 93)))))],
    "D demands": [(DEAD_KEYS, lambda t: replace(t, demands=(*t.demands[:-1], (0, 1 << len(t.modifier_keys)))))],
    "C caps ranges": [
        (DEAD_KEYS, lambda t: replace(t, caps=(CapsRange(first=Usage(5), last=Usage(4), pairs=1),))),
        (DEAD_KEYS, lambda t: replace(t, caps=(CapsRange(first=Usage(4), last=Usage(5), pairs=0),))),
    ],
    "H chords": [
        (DEAD_KEYS, lambda t: replace(t, chords=(tuple(map(Contact, range(5))),))),
        (DEAD_KEYS, lambda t: replace(t, chords=((Contact(3), Contact(3)),))),
        (DEAD_KEYS, lambda t: replace(t, chords=((Contact(3), Contact(999)),))),
    ],
    "usages up to 0xE7": [
        (DEAD_KEYS, lambda t: changed(t, -1, entries=t.groups[-1].entries[::-1] + t.groups[-1].entries)),
        (DEAD_KEYS, lambda t: changed(t, -1, entries=(replace(t.groups[-1].entries[0], usage=Usage(0xE8)),))),
    ],
    "when: bits 0-3": [
        (DEAD_KEYS, lambda t: changed(t, -1, when=0x21)),
        (DEAD_KEYS, lambda t: changed(t, -1, demand=len(t.demands))),
    ],
    "kind, bits 0-2": [
        (DEAD_KEYS, lambda t: with_value(t, Kind.CROSSPOINT, 0x8F)),
        (DEAD_KEYS, lambda t: with_value(t, Kind.DIRECT, 8)),
        (DEAD_KEYS, lambda t: with_value(t, Kind.MODIFIER, 0)),
        (DEAD_KEYS, lambda t: with_value(t, Kind.DEAD_KEY, 29)),
        (LATCHES, lambda t: with_value(t, Kind.LATCH, 1 << len(t.modifier_keys))),
    ],
    "At most one entry": [(DEAD_KEYS, twice)],
    "They stand before all others": [(DEAD_KEYS, turned)],
    "Dead keys and sequences": [(SEQUENCES, same_number)],
    "bit 6": [
        (SEQUENCES, lambda t: replace(t, flags=t.flags & ~0x40)),
        (DEAD_KEYS, lambda t: replace(t, flags=t.flags | 0x40)),
    ],
    "bit 7": [
        (DEAD_KEYS, lambda t: replace(t, flags=t.flags | 0x80)),
        (DEAD_KEYS, lambda t: replace(t, machine=comparing_whole_scans(t.machine))),
    ],
    "bit 1": [(DIODES, lambda t: replace(t, flags=t.flags | 2))],
    "or a sequence of a higher number": [(SEQUENCES, goes_back)],
    "Groups of kind 3": [
        (DEAD_KEYS, turned),
        (DEAD_KEYS, lambda t: changed(t, first(t, Kind.MODIFIER), after=29)),
    ],
    "No entry and no chord": [
        (DEAD_KEYS, of_modifier),
        (DEAD_KEYS, as_chord),
    ],
    "their number, 1 to MM_CONTROLLERS": [
        (DEAD_KEYS, lambda t: replace(t, controllers=(CONTROLS,) * 9)),
        (DEAD_KEYS, lambda t: replace(t, controllers=(replace(CONTROLS, switches=CONTROLS.switches * 9),))),
        (DEAD_KEYS, lambda t: replace(t, controllers=(replace(CONTROLS, opposites=(3, 12, 48)),))),
        (DEAD_KEYS, lambda t: replace(t, controllers=(CONTROLS,), poll=0x4000)),
    ],
    "Close time": [
        (DEAD_KEYS, lambda t, n=n: replace(t, times=tuple(time - (at == n) for at, time in enumerate(t.times))))
        for n in range(3)
    ],
}
"""The beginning of each sentence, with layouts and what makes their tables break it."""


def test_each_sentence_stands_in_the_header() -> None:
    """Word for word, line ends and indents apart."""
    text = " ".join(re.sub(r"^ \*", "", line).strip() for line in HEADER.read_text(encoding="utf-8").splitlines())
    text = re.sub(r" +", " ", text)
    for sentence in (*SIZES, *SENTENCES):
        assert re.sub(r" +", " ", sentence) in text, sentence


def test_what_becomes_of_a_dead_key_is_numbered_as_in_the_header() -> None:
    """The numbers above a group's kind are read and written as `mm_runtime.h` lists them."""
    text = HEADER.read_text(encoding="utf-8")
    words = {
        Ending.ACCENT_FIRST: "its accent first, then this",
        Ending.KEEPS: "leaves it pending and does this",
        Ending.TAKES_BACK: "takes it back, and no more",
        Ending.DROPS: "drops it and does this",
    }
    found = {each: re.findall(rf"\b([0-9]+) {listed}", text) for each, listed in words.items()}
    assert found == {each: [str(number)] for each, number in AFTER.items()}
    assert (AFTER[Ending.KEEPS], AFTER[Ending.TAKES_BACK], AFTER[Ending.DROPS]) == (KEEPS, TAKES_BACK, DROPS)


def test_each_sentence_has_a_case() -> None:
    """And each case is about one sentence."""
    begun = [[one for one in (*SIZES, *SENTENCES) if one.startswith(begin)] for begin in CASES]
    assert sorted(one for found in begun for one in found) == sorted((*SIZES, *SENTENCES))
    assert all(len(found) == 1 for found in begun)


@pytest.mark.parametrize(
    ("begin", "number"), [(begin, number) for begin, cases in CASES.items() for number in range(len(cases))]
)
def test_a_table_that_breaks_a_sentence_is_found(begin: str, number: int) -> None:
    """The breach is of that sentence; the table before it broke none."""
    id, damage = CASES[begin][number]
    plan = shipped_plan(id)
    table = make_table(plan)
    assert breaches(table, plan) == ()
    assert any(breach.sentence.startswith(begin) for breach in breaches(damage(table), plan))


LAYOUT = "layout: case\nmachine: quillon8\nhost: few\njoin: positional\n"
BROKEN = (
    ("keys: {F9: shift + shift-left}", "F9 closes shift-left by itself, but that is a key of the modifier shift"),
    ("keys: {F9: a + shift-left}", "F9 closes shift-left by itself, but that is a key of the modifier shift"),
    (
        "keys:\n  F9: a\n  Shift+F9: b + shift-right",
        "Shift+F9 closes shift-right by itself, but that is a key of the modifier shift",
    ),
)


@pytest.mark.parametrize(("keys", "told"), BROKEN)
def test_a_stroke_with_a_modifiers_own_key_is_refused_by_all(keys: str, told: str) -> None:
    """No table is made, so neither a build nor the model has one; the check names the line and what to write."""
    plan = plan_of(f"{LAYOUT}{keys}\n")
    with pytest.raises(TableError, match=re.escape(told)):
        make_table(plan)
    with pytest.raises(TableError):
        Model([plan])
    finding = find_in_plan(plan).findings[0]
    assert (finding.slug, finding.severity.word) == ("table-unsound", "error")
    assert finding.place is not None
    assert finding.place.line >= 5
    assert finding.text.startswith(told)
    assert "name the modifier in the stroke" in finding.text


LATCHED = """machine: case
title: A machine with a key that stays down
source: made for this test
matrix: {select: [S0], sense: [N0, N1, N2], grid: {S0: [a, b, lock]}}
types: {a: {plain: a}, b: {plain: b}, lock: {plain: c}}
latching: {caps: lock}
scan: {period_us: 20000}
"""


def test_a_key_that_a_latch_keeps_closed_is_no_stroke() -> None:
    """Be it that of a line or, as here, of a character that the join finds there."""
    layout = "layout: case\nmachine: case\nhost: few\njoin: positional\nlocks: {CapsLock: caps}\nkeys: {KeyA: lock}\n"
    found = find_in_plan(plan_of(layout, LATCHED)).findings
    assert [finding.slug for finding in found] == ["table-unsound"]
    assert "KeyA closes lock by itself, but a latch keeps that key closed" in found[0].text
    assert (
        find_in_plan(plan_of(layout.replace("locks: {CapsLock: caps}\n", ""), LATCHED)).findings[0].slug
        != "table-unsound"
    )
