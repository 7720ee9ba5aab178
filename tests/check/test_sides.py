"""Sides of modifiers, keys that are modifiers and something else, and strokes that are always refused, on a small machine."""

from __future__ import annotations

import re

import pytest

from matrixmap.check.registry import known_slugs
from matrixmap.check.run import check_plan
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.press.rules import REST, Rules
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from tests.check.cases import TextFolder
from tests.check.test_witnesses import replay_all

MACHINE = """machine: tiny
title: Tiny
source: invented for this test
matrix:
  select: [S0, S1, S2]
  sense: [N0, N1, N2]
  grid:
    S0: [a, b, shift]
    S1: [c, d, e]
    S2: [ctrl, f, none]
direct: {hail: HAIL, fire: FIR, dshift: DSH}
modifiers: {shift: [shift, dshift], ctrl: [ctrl]}
types:
  a: {plain: a, shift: A, ctrl: '@'}
  b: {plain: b, shift: B}
  c: {plain: c, shift: C}
  d: {plain: d, shift: D, ctrl: Enter}
  e: {plain: e, shift: '´'}
  f: {plain: é, shift: f}
  hail: {plain: Hail}
  fire: {plain: Fire}
scan: {period_us: 20000ROLLOVER}
"""
HOST = """host: plain
title: A host
source: invented for this test
form: FORM
legends:
  KeyA: [a, A]
  KeyB: [b, B]
  KeyC: [c, C]
  KeyD: [d, D]
  KeyE: [e, E]
  KeyF: [f, F]
  Enter: [Enter]
"""


def plan_with(keys: str, more: str = "", form: str = "iso-105", rollover: int | None = None) -> Plan:
    """The plan of a symbolic layout with some lines under keys."""
    scan = "" if rollover is None else f", rollover: {rollover}"
    files = {
        ("machine", "tiny"): MACHINE.replace("ROLLOVER", scan),
        ("host", "plain"): HOST.replace("FORM", form),
        ("layout", "case"): f"layout: case\nmachine: tiny\nhost: plain\njoin: symbolic\n{more}keys: {{{keys}}}\n",
    }
    loaded = Project([TextFolder(files), shipped_folder()], known_slugs()).layout("case")
    assert loaded is not None
    assert loaded.value is not None, [finding.text for finding in loaded.findings]
    return compile_plan(loaded.value)


def told(plan: Plan, slug: str) -> list[str]:
    """The findings of a rule."""
    replay_all(plan)
    return [finding.text for finding in check_plan(plan).findings if finding.slug == slug]


@pytest.mark.parametrize(("form", "other"), [("iso-105", "0x31"), ("ansi-104", "0x32")])
def test_a_modifier_on_the_usage_of_another_form_is_no_key_of_this_host(form: str, other: str) -> None:
    """Backslash has two usages: fed by the one that the form does not have, a modifier is held by no key here."""
    plan = plan_with(f"'{other}': ctrl", form=form)
    assert "ctrl" not in [held.press for held in check_plan(plan).verdict.modifiers]
    assert told(plan, "unreachable-character") == [
        "the machine types é, @, ´, but no press on this keyboard does; add a line under keys"
    ]


def test_a_side_that_closes_more_is_tried() -> None:
    """Left Shift opens what right Shift keeps: the phantom of the right one is told."""
    plan = plan_with("CapsLock: shift, ShiftLeft: ctrl, ShiftRight: dshift, F1: dshift", "guard: off\n")
    found = told(plan, "two-keys-make-phantom")
    assert any(
        re.match(r"press left Shift A then right Shift C: .*types ´; the guard is off, so this is read", text)
        for text in found
    )


def test_a_modifier_key_that_is_a_stroke_is_not_held_for_another() -> None:
    """Left Control closes c itself, so a line for Control is made with the right one."""
    found = told(plan_with("ControlLeft: c, 'Control+F2': a + d"), "two-keys-make-phantom")
    with_it = [text for text in found if "Control F2" in text]
    assert with_it
    assert all("right Control F2" in text for text in with_it)


def test_a_modifier_whose_keys_both_act_is_told() -> None:
    """The runtime types Fire, but a comes first: that is no way to type it, and the line says why."""
    plan = plan_with("'Meta+F1': fire, MetaLeft: a, MetaRight: b")
    assert told(plan, "ambiguous-line") == [
        "keys Meta+F1: fire: left Meta and right Meta do something alone, which happens first; no other output counts this press"
    ]
    rules = Rules(plan)
    outcome = rules.press(rules.hold((0xE3,)), 0x3A)
    assert [typed.legend.text for typed in rules.types(outcome) if typed.legend] == ["Fire"]


def test_plain_keys_are_played_too() -> None:
    """With room for three keys the guard still opens two of four in a rectangle before rollover has a say."""
    found = told(plan_with("", rollover=4), "change-is-masked")
    assert any(
        text.startswith("press A, B, C and D:") and text.endswith("the guard opens the older keys") for text in found
    )
    rules = Rules(plan_with("", rollover=3))
    standing, opened = REST, []
    for usage in (0x04, 0x05, 0x06, 0x07):
        outcome = rules.press(standing, usage)
        opened += [cause.name for _, cause in outcome.opened]
        standing = outcome.after
    assert opened == ["PHANTOM", "PHANTOM"]


def test_a_stroke_that_is_always_refused_is_an_error() -> None:
    """Direct lines are no keys of the matrix: what counts is what the runtime refuses, and why."""
    checked = check_plan(plan_with("F10: shift + a + c + e + hail", rollover=3))
    slugs = [finding.slug for finding in checked.findings if finding.severity.name == "ERROR"]
    assert slugs == ["stroke-closes-rectangle"]
    assert (checked.verdict.tally.lying_strokes, checked.verdict.tally.refused_strokes) == (0, 1)
