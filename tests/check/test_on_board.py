"""A layout on the board of an adapter: each rule finds its fault, and nothing where it is not."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from matrixmap.check.on_board import ON_BOARD_RULES, find_on_board
from matrixmap.check.own_keyboard import beside_own_keyboard
from matrixmap.circuit.driver import with_driver
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.layout import Contacts
from matrixmap.model.rule import Rule
from tests.board.boards import Edits, checked, edited, text_of
from tests.board.test_own_keyboard import read_by_search
from tests.pads.layouts import plan_of
from tests.project import ROOT, call, shipped_plan, write_project

RULES: dict[str, Rule] = {rule.slug: rule for rule in ON_BOARD_RULES}
LAYOUT = "quillon8-en-GB-symbolic"
SPREAD = "spread_us: [13.5, 37.5, 48, 57.5, 68.5, 78, 88.5, 98, 112.5, 122.5, 132.5, 142.5]"

SLOW: Edits = {("adapter", "ferrule"): [(SPREAD, "spread_us: [2000000]")]}


def found(adapter: str, edits: Edits = {}) -> dict[str, Finding]:  # noqa: B006
    """What is found on the layout on an adapter, by rule."""
    board = checked(adapter, edits)
    assert board.traced is not None
    findings = find_on_board(with_driver(shipped_plan(LAYOUT), board.adapter.driver), board.traced)
    assert len({finding.slug for finding in findings}) == len(findings)
    return {finding.slug: finding for finding in findings}


def test_contacts_that_the_board_closes_otherwise_are_told() -> None:
    """A layout with plain switches on a board whose pins follow the select lines is an error; on one with switches it is none."""
    told = found("pommel")["contacts-unlike-board"]
    assert told.severity is Severity.ERROR
    assert told.text.startswith("the layout says contacts: switch, but pommel closes them as follows-select;")
    assert "contacts-unlike-board" not in found("ferrule")


def test_strokes_beside_the_own_keyboard_are_told_once() -> None:
    """One finding counts the pairs and shows one: its contacts closed, plain switches read just its phantoms besides."""
    told = found("locket")["own-keyboard-makes-phantom"]
    plan = shipped_plan(LAYOUT)
    beside = beside_own_keyboard(plan, Contacts.SWITCH)
    assert (told.severity, told.count) == (Severity.WARNING, len(beside.clashes))
    assert f"{len(beside.suffering)} of {beside.strokes} strokes make a phantom" in told.text
    assert "the board cannot read the sense lines back" in told.text
    witness = told.witness
    assert witness is not None
    closed = frozenset(witness.closed)
    assert read_by_search(plan.layout.machine, closed) - closed == set(witness.phantoms) != set()
    assert "own-keyboard-makes-phantom" not in found("ferrule")


def test_the_time_of_the_driver_is_told() -> None:
    """A note with both times where it is stated, a warning where it is not, an error with what would do where no table holds it."""
    told = found("ferrule")["driver-takes-time"]
    assert told.severity is Severity.NOTE
    assert str(told.place).endswith("shared/adapters/ferrule.yaml:3:10")
    assert "up to 8 contacts change together, over 98 microseconds" in told.text
    assert "29.2 ms closed, 28.8 open and 0.6 of lead" in told.text
    assert "without --adapter has 29.1 ms closed, 28.7 open and 0.5 of lead" in told.text
    text = text_of("adapter", "ferrule")
    unsaid = found("ferrule", {("adapter", "ferrule"): [(text[text.index("# How long mm_board_show") :], "")]})
    assert unsaid["driver-takes-time"].severity is Severity.WARNING
    slow = found("ferrule", SLOW)["driver-takes-time"]
    assert slow.severity is Severity.ERROR
    enough = float(slow.text.split("a driver within ")[1].split()[0])
    for spread, fits in ((enough, True), (enough + 100, False)):
        edits: Edits = {("adapter", "ferrule"): [(SPREAD, f"spread_us: [{spread:.1f}]"), ("each_us: 14", "each_us: 0")]}
        assert (found("ferrule", edits)["driver-takes-time"].severity is Severity.NOTE) is fits


FOLLOW: Edits = {("adapter", "pommel"): [("follow_us: 4.3", "follow_us: 40")]}


def test_a_board_that_follows_too_slowly_is_told() -> None:
    """A note where it is soon enough, an error where the machine reads before, a warning where one of the times is not said."""
    slug = "board-follows-too-slowly"
    assert (found("pommel")[slug].severity, found("pommel", FOLLOW)[slug].severity) == (Severity.NOTE, Severity.ERROR)
    assert (
        "reads 18 microseconds after a strobe, but the sense lines of pommel are right only after 40"
        in found("pommel", FOLLOW)[slug].text
    )
    assert found("pommel", {("adapter", "pommel"): [("  follow_us: 4.3\n", "")]})[slug].severity is Severity.WARNING
    assert slug not in found("ferrule")
    board = checked("pommel")
    assert board.traced is not None
    plan = shipped_plan(LAYOUT)
    machine = plan.layout.machine
    for time, severity in ((None, Severity.WARNING), (4.3, Severity.NOTE), (4.2, Severity.ERROR)):
        quick = replace(machine, scan=replace(machine.scan, strobe_to_read_us=time))
        own = replace(plan, layout=replace(plan.layout, machine=quick))
        assert [each.severity for each in find_on_board(own, board.traced) if each.slug == slug] == [severity]


OAR = "layout: pulled\nmachine: quillon8\nhost: en-GB\njoin: symbolic\npads: {order: [oar], Pull: Button 1}\n"
TILLER = OAR.replace("[oar], Pull", "[tiller], Whistle")


def test_pads_that_pull_what_the_board_cannot_are_told(tmp_path: Path) -> None:
    """A paddle that pulls sense lines is told on a board of plain switches, a lever of contacts is not."""
    traced = checked("ferrule").traced
    assert traced is not None
    for text, wanted in ((OAR, True), (TILLER, False)):
        slugs = {finding.slug for finding in find_on_board(plan_of(tmp_path, text, "pulled"), traced)}
        assert ("pulls-not-driven" in slugs) == wanted


EXAMPLES = {
    "pulls-not-driven": ([OAR], [TILLER]),
    "contacts-unlike-board": (["contacts: follows-select"], ["contacts: switch"]),
    "own-keyboard-makes-phantom": ([text_of("adapter", "locket")], [text_of("adapter", "ferrule")]),
    "board-follows-too-slowly": (
        [edited(text_of("adapter", "pommel"), FOLLOW["adapter", "pommel"])],
        [text_of("adapter", "pommel")],
    ),
    "driver-takes-time": (
        [edited(text_of("adapter", "ferrule"), SLOW["adapter", "ferrule"])],
        [text_of("adapter", "ferrule")],
    ),
}
"""What a rule's bad and good examples are lines of: files that the tests above use."""


@pytest.mark.parametrize("slug", RULES)
def test_examples_of_a_rule_stand_in_what_is_tested(slug: str) -> None:
    """What `explain` shows as bad and good are pieces of the files with the fault and without it."""
    bad, good = EXAMPLES[slug]
    assert any(RULES[slug].bad in text for text in bad)
    assert any(RULES[slug].good in text for text in good)


def test_check_tells_them_with_the_adapter_alone() -> None:
    """`check --adapter` has the findings of the board beside the layout's own; without it, none of them."""
    slugs = {}
    for words in ((), ("--adapter", "locket")):
        done = call("check", LAYOUT, *words, "--format", "json")
        assert done.returncode == 0
        (layout,) = json.loads(done.stdout)["layouts"]
        slugs[words] = {finding["slug"] for finding in layout["findings"]}
    assert slugs["--adapter", "locket"] - slugs[()] == {"own-keyboard-makes-phantom", "driver-takes-time"}
    assert not slugs[()] & set(RULES)


def test_a_layout_can_accept_what_is_found_on_the_board(tmp_path) -> None:
    """An accepted finding of the board is accepted where the board is looked at, and is no line too many where it is not."""
    text = (ROOT / "layouts" / f"{LAYOUT}.yaml").read_text(encoding="utf-8")
    accept = "accept:\n  own-keyboard-makes-phantom: nobody uses both\n"
    root = write_project(tmp_path, {f"layouts/{LAYOUT}.yaml": f"{text}{accept}"})
    for words, accepted in (((), []), (("--adapter", "locket"), ["own-keyboard-makes-phantom"])):
        done = call("check", LAYOUT, *words, "--format", "json", cwd=root)
        (layout,) = json.loads(done.stdout)["layouts"]
        assert [each["slug"] for each in layout["accepted"]] == accepted
        told = {finding["slug"] for finding in layout["findings"]}
        assert not told & {"acceptance-matches-nothing", "own-keyboard-makes-phantom"}


def test_what_does_not_go_together_is_refused() -> None:
    """--adapter with --machine, an adapter for other machines, one that there is not: one sentence, exit code 2."""
    for words, text in (
        (("--machine", "quillon8", "--adapter", "ferrule"), "--adapter needs layouts"),
        (
            ("langet41-en-GB-symbolic", "--adapter", "ferrule"),
            "ferrule fits none of the machines of these layouts (langet41)",
        ),
        ((LAYOUT, "--adapter", "ferule"), "did you mean ferrule?"),
    ):
        done = call("check", *words)
        assert done.returncode == 2
        assert text in done.stderr
