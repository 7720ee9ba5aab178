"""Sense lines that pads pull: what of a board can, that its driver does, and that the rest is told."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from matrixmap.board.closers import closers_of, pulled_lines, pulls_gated
from matrixmap.check.on_board import find_on_board
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Wiring
from matrixmap.model.plan import Plan
from tests import tools
from tests.board.boards import Edits, checked, text_of
from tests.board.drivers import written
from tests.board.test_driver import CHANGES, TARGETS, built
from tests.board.test_series import each_with_a_diode
from tests.pads.layouts import STEERED, plan_of
from tests.project import call, write_project

FERRULE_PARTS = "  Q1: mosfet-n "
FERRULE: Edits = {
    ("adapter", "ferrule"): [
        (FERRULE_PARTS, "  Q2: mosfet-n\n  Q3: mosfet-n\n  R7: {part: resistor, ohms: 100000}\n" + FERRULE_PARTS),
        ("Q1.S, R3.1", "Q1.S, Q2.S, Q3.S, R7.1, R3.1"),
        ("N5: [J1.8, U2.Y5]", "N5: [J1.8, U2.Y5, Q2.D]\n  GATE-5: [U1.PB1, Q2.G, R7.2]"),
        ("N3: [J1.14, U2.Y3]", "N3: [J1.14, U2.Y3, Q3.D]\n  GATE-3: [U1.PB2, Q3.G]"),
        ("U1.PB1, U1.PB2, ", ""),
    ]
}
"""The Ferrule with a switch to ground on N5 and one on N3, each with a pin of the processor."""


def locket() -> Edits:
    """The Locket with one more register in its chain, and a switch to ground on each of N5, N3 and N7."""
    pairs = [
        ("  U20: switch-quad-hct\n", "  U18: shift-register-hct\n  U36: switch-quad-hct\n  U20: switch-quad-hct\n")
    ]
    pairs += [(f"U17.{pin}]", f"U17.{pin}, U18.{pin}]") for pin in ("CLOCK", "LATCH", "CLEAR", "ENABLE")]
    pairs += [("U17.GND, U20", "U17.GND, U18.GND, U36.GND, U36.A1, U36.A2, U36.A3, U36.A4, U36.B4, U36.C4, U20")]
    pairs += [("U17.VCC, U20", "U17.VCC, U18.VCC, U36.VCC, U20")]
    gates = "".join(f"  G{n}: [U18.Q{letter}, U36.C{n}]\n" for n, letter in enumerate("ABC", 1))
    pairs += [("  CHAIN0:", f"{gates}  CHAIN7: [U17.OUT, U18.IN]\n  CHAIN0:")]
    for number, line in enumerate(("N5", "N3", "N7"), 1):
        (net,) = [each for each in text_of("adapter", "locket").splitlines() if each.startswith(f"  {line}: [")]
        pairs.append((net, f"{net[:-1]}, U36.B{number}]"))
    rest = ", ".join(f"U18.Q{letter}" for letter in "DEFGH")
    pairs += [("U1.VBUS, U17.OUT, R1.8", f"U1.VBUS, U18.OUT, {rest}, R1.8")]
    return {("adapter", "locket"): pairs}


BOARDS: dict[str, tuple[str, Edits]] = {
    "pins that follow": ("pommel", {}),
    "nothing to ground": ("ferrule", {}),
    "pins work switches to ground": ("ferrule", FERRULE),
    "a chain works switches to ground": ("locket", locket()),
    "contacts with diodes": ("locket", each_with_a_diode(False)),
}
CAN = {
    "pins that follow": (set(range(8)), True),
    "nothing to ground": (set(), False),
    "pins work switches to ground": ({3, 5}, False),
    "a chain works switches to ground": ({3, 5, 7}, False),
    "contacts with diodes": (set(), True),
}


@pytest.mark.parametrize("board", BOARDS)
def test_what_a_board_can_pull_is_traced(board: str) -> None:
    """Switches from a sense line to ground, and pins that pull it; while a select line is strobed also what conducts one way."""
    traced = checked(*BOARDS[board]).traced
    assert traced is not None
    assert (pulled_lines(traced), pulls_gated(traced)) == CAN[board]


@pytest.mark.parametrize("board", BOARDS)
def test_the_driver_pulls_what_the_board_can_and_nothing_else(board: str, tmp_path: Path) -> None:
    """Random contacts and pulls: lines to ground open and close with the contacts, first what opens; the rest is left open."""
    id, edits = BOARDS[board]
    told = tools.run(built(id, tmp_path, board_edits=edits, pads=True), str(CHANGES), "7").stdout
    assert told.startswith(f"{CHANGES} changes")


WRONG = {
    "no pulls": ("pins work switches to ground", ("board->wanted = (uint16_t)(pulls & MM_BOARD_PULLED);", "")),
    "never let go": (
        "pins work switches to ground",
        ("work.pulls[0] = (board_line)(board->pulls & (uint16_t)~board->wanted);", "work.pulls[0] = 0u;"),
    ),
    "pulled too early": (
        "pins work switches to ground",
        ("work->pulls[close], &mm", "work->pulls[close ^ 1u], &mm"),
    ),
    "the chain forgets them": (
        "a chain works switches to ground",
        ("if (contact >= MM_BOARD_CONTACTS) {", "if (false) {"),
    ),
    "no gated pulls": ("contacts with diodes", ("#if MM_PADS && MM_BOARD_GATED", "#if 0")),
    "not whatever is strobed": ("pins that follow", ("low[MM_BOARD_SELECT] = (mm_board_low)board->pulls;", "")),
}


@pytest.mark.parametrize("fault", WRONG)
def test_the_model_notices_a_driver_that_pulls_wrongly(fault: str, tmp_path: Path) -> None:
    """A driver with a seeded fault is caught."""
    board, *edits = WRONG[fault]
    id, of_board = BOARDS[board]
    with pytest.raises(AssertionError):
        tools.run(built(id, tmp_path, tuple(edits), of_board, pads=True), str(CHANGES), "7")


@pytest.mark.parametrize("board", BOARDS)
def test_the_driver_compiles_with_pads(board: str, tmp_path: Path) -> None:
    """Under the strictest flags, with MM_PADS and without it."""
    id, edits = BOARDS[board]
    name = written(id, tmp_path, edits)
    for pads in (0, 1):
        flags = (*tools.STRICT, f"-DMM_PADS={pads}", f"-I{tmp_path}", "-fsyntax-only")
        tools.run(tools.tool("gcc"), *flags, tmp_path / f"{name}.c")


def test_the_driver_of_a_board_that_pulls_compiles_for_an_avr(tmp_path: Path) -> None:
    """The Ferrule's processor is one."""
    name = written("ferrule", tmp_path, FERRULE)
    compiler, *flags = TARGETS["avr"]
    flags = [*tools.STRICT, *flags, "-DMM_PADS=1", f"-I{tmp_path}", "-c"]
    tools.run(tools.tool(compiler), *flags, tmp_path / f"{name}.c", "-o", tmp_path / "x.o")


def test_a_switch_that_no_pin_works_pulls_nothing() -> None:
    """A switch to ground whose control no pin of the processor works: the driver has no way to it, and leaves it out."""
    pairs = [
        pair for pair in FERRULE["adapter", "ferrule"] if pair[0] not in ("N3: [J1.14, U2.Y3]", "U1.PB1, U1.PB2, ")
    ]
    pairs += [("N3: [J1.14, U2.Y3]", "N3: [J1.14, U2.Y3, Q3.D]"), ("U1.PB1, U1.PB2, ", "U1.PB2, Q3.G, ")]
    traced = checked("ferrule", {("adapter", "ferrule"): pairs}).traced
    assert traced is not None
    assert set(closers_of(traced).pulls) == {5}


def told(plan: Plan, board: str) -> list[Finding]:
    """What is found of pulls on a board."""
    traced = checked(*BOARDS[board]).traced
    assert traced is not None
    return [one for one in find_on_board(plan, traced) if one.slug == "pulls-not-driven"]


def test_switches_that_the_board_cannot_close_are_told(tmp_path: Path) -> None:
    """The oar pulls N5, N3 and N7 whatever is strobed: the place is the layout's section, the names those of its switches."""
    plan = plan_of(tmp_path)
    (found,) = told(plan, "nothing to ground")
    assert (found.severity, found.count) == (Severity.WARNING, 3)
    assert str(found.place).endswith("layouts/steered.yaml:6:3")
    assert "oar: Pull (N5), Back (N3), Ring (N7)" in found.text
    (found,) = told(plan, "pins work switches to ground")
    assert "oar: Ring (N7)" in found.text
    assert "Pull" not in found.text
    assert told(plan, "a chain works switches to ground") == told(plan, "pins that follow") == []
    alone = replace(plan, driven=replace(plan.driven, controllers=("tiller",)))
    assert told(alone, "nothing to ground") == []
    assert told(replace(plan, driven=None), "nothing to ground") == []


def test_gated_switches_need_contacts_that_conduct_one_way(tmp_path: Path) -> None:
    """On plain switches a contact would let current back; with diodes, and by pins that follow, it stands for the switch."""
    plan = plan_of(tmp_path)
    machine = plan.layout.machine
    controllers = tuple(
        replace(each, wired=Wiring.GATED if each.name == "tiller" else each.wired) for each in machine.controllers
    )
    gated = replace(plan, layout=replace(plan.layout, machine=replace(machine, controllers=controllers)))
    gated = replace(gated, driven=replace(gated.driven, controllers=("tiller",)))
    (found,) = told(gated, "nothing to ground")
    assert "tiller: Whistle (S7/N2)" in found.text
    assert found.count == 5
    assert told(gated, "contacts with diodes") == told(gated, "pins that follow") == []


def test_check_and_build_say_it(tmp_path: Path) -> None:
    """The report of check --adapter has the finding; build --adapter tells it and writes the rest."""
    write_project(tmp_path, {"layouts/steered.yaml": STEERED})
    done = call("check", "steered", "--adapter", "ferrule", "--format", "json", cwd=tmp_path)
    slugs = [one["slug"] for one in json.loads(done.stdout)["layouts"][0]["findings"]]
    assert slugs.count("pulls-not-driven") == 1
    done = call("build", "steered", "--adapter", "ferrule", "--out", "out", cwd=tmp_path)
    assert done.returncode == 0
    assert "layouts/steered.yaml:6:3: pulls-not-driven:" in done.stderr
    assert (tmp_path / "out/mm_board_ferrule_quillon8.c").is_file()
    follows = STEERED.replace("join: symbolic", f"join: symbolic\ncontacts: {Contacts.FOLLOWS_SELECT.value}")
    write_project(tmp_path, {"layouts/steered.yaml": follows})
    done = call("build", "steered", "--adapter", "pommel", "--out", "other", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
