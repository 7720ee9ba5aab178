"""Facts that rules of the check lean on, each seen to count: one that is left out would go unseen in shipped layouts."""

from __future__ import annotations

import pytest

from matrixmap.check.run import check_plan
from matrixmap.circuit.following import FOLLOW_CYCLES, MARGIN_CYCLES
from matrixmap.join.plan import compile_plan
from matrixmap.model.finding import Severity
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from tests.check.cases import plan_of
from tests.project import read_layout, shipped_plan
from tests.source.memory import MemoryFolder


@pytest.mark.parametrize(
    ("code", "what"),
    [
        *((code, "no Insert block") for code in ("Insert", "Delete", "Home", "End", "PageUp", "PageDown")),
        *((code, "no keypad") for code in ("Numpad1", "NumpadEnter", "NumpadDecimal")),
        *((code, "no function keys") for code in ("F1", "F12")),
        ("IntlBackslash", "no IntlBackslash"),
    ],
)
def test_each_key_that_small_boards_lack_counts(code: str, what: str) -> None:
    """What only such a key types is told for boards without its block (common practice: tenkeyless and compact boards)."""
    plan = plan_of(f"layout: case\nmachine: quillon8\nhost: en-US\njoin: positional\nkeys: {{{code}: b1}}\n")
    told = [each.text for each in check_plan(plan).findings if each.slug == "needs-larger-keyboard"]
    if code == "IntlBackslash":  # en-US has the form of ANSI boards, which have no such key at all
        assert any("only keys that are missing on a keyboard of the form ansi-104 type B1 (" in text for text in told)
    else:
        assert any(f"on a keyboard with {what} nobody can type B1 (" in text for text in told), told


def test_two_keys_with_a_controller_are_a_note() -> None:
    """One key and a switch that make a phantom warn, two keys and a switch are noted."""
    plan = shipped_plan("quillon8-en-US-symbolic")
    found = [each for each in check_plan(plan).findings if each.slug == "controller-makes-phantom" and each.witness]
    keys = {len(each.witness.presses): each.severity for each in found if each.witness and each.witness.made}
    assert keys[1] is Severity.WARNING
    assert keys[2] is Severity.NOTE
    for each in found:
        if each.witness and each.witness.made:
            assert (each.severity is Severity.WARNING) == (len(each.witness.presses) < 2)


@pytest.mark.parametrize("lock", ["CapsLock", "NumLock", "ScrollLock"])
def test_each_lock_can_work_a_latch(lock: str) -> None:
    """The three locks of the HID keyboard page (HUT 1.5, section 10) may stand under `locks`."""
    plan = plan_of(f"layout: case\nmachine: small\nhost: few\njoin: positional\nlocks: {{{lock}: shift-latch}}\n")
    assert [type(each.action).__name__ for each in plan.bindings].count("Latch") > 0


ACCENT = {
    ("machine", "x"): """
machine: x
title: X
source: invented for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1]
  grid:
    S0: [shift, graph]
    S1: [a, b]
modifiers: {shift: shift, graph: graph}
types:
  a: {plain: a, shift + graph: ^}
  b: {plain: b}
scan: {period_us: 20000}
""",
    ("host", "x"): """
host: x
title: X
source: invented for this test
form: ansi-104
legends:
  KeyA: [a]
  KeyB: [b]
  Digit6: [{dead: ^}]
composes:
  ^: aâ
""",
    ("layout", "x"): "layout: x\nmachine: x\nhost: x\njoin: symbolic\n",
}


def test_an_accent_that_closes_three_corners_is_told_by_its_dead_key() -> None:
    """Shift, Graph and a are three corners of the matrix: no key types ^ but the dead key, before a key without a pair."""
    files = {cell: text.encode() for cell, text in ACCENT.items()}
    plan = compile_plan(read_layout(Project([MemoryFolder(files), shipped_folder()], ()), "x"))
    told = [each.text for each in check_plan(plan).findings if each.slug == "stroke-makes-phantom"]
    assert [text.partition(":")[0] for text in told] == ["press the dead key ^, then a key that makes no pair with it"]


def follow_machine(select: int, sense: int, time: str) -> str:
    """A machine with a matrix of that size, each key without a meaning but one."""
    names = [[f"k{line}x{column}" for column in range(sense)] for line in range(select)]
    rows = "".join(f"    S{line}: [{', '.join(row)}]\n" for line, row in enumerate(names))
    return (
        "machine: followed\ntitle: Followed\nsource: invented for this test\nmatrix:\n"
        f"  select: [{', '.join(f'S{line}' for line in range(select))}]\n"
        f"  sense: [{', '.join(f'N{column}' for column in range(sense))}]\n  grid:\n{rows}"
        f"types: {{k0x0: {{plain: a}}}}\nscan: {{period_us: 20000{time}}}\n"
    )


@pytest.mark.parametrize("given", ["nothing", "zero", "too little", "enough"])
@pytest.mark.parametrize(
    ("lines", "covered_by"),
    [
        ((8, 8), (8, 8)),
        ((1, 1), (8, 8)),
        ((9, 8), (12, 8)),
        ((8, 9), (8, 16)),
        ((13, 9), (16, 16)),
        ((16, 16), (16, 16)),
    ],
)
def test_time_to_follow_is_told_with_what_is_needed(
    lines: tuple[int, int], covered_by: tuple[int, int], given: str
) -> None:
    """Contacts that follow select lines: the time the machine gives, the time measured for its lines, and what to do."""
    tenths = -(-(FOLLOW_CYCLES[covered_by] + MARGIN_CYCLES) * 10 // 16)
    time = {"nothing": None, "zero": 0, "too little": (tenths - 1) / 10, "enough": tenths / 10}[given]
    machine = follow_machine(*lines, "" if time is None else f", strobe_to_read_us: {time}")
    text = (
        "layout: case\nmachine: followed\nhost: few\njoin: positional\ncontacts: follows-select\nkeys: {KeyA: k0x0}\n"
    )
    (found,) = (each for each in check_plan(plan_of(text, machine)).findings if each.slug == "little-time-to-follow")
    assert found.severity is (Severity.NOTE if given == "enough" else Severity.WARNING)
    needs = (
        f"up to {tenths / 10:g} on an AVR at 16 MHz, for up to {covered_by[0]} select and {covered_by[1]} sense lines"
    )
    assert needs in found.text
    assert ("does not say" in found.text) == (time is None)
    assert time is None or f"reads {time:g} microseconds after a strobe" in found.text
    assert ("faster chip" in found.text and "crosspoint switch" in found.text) == (given in ("zero", "too little"))
