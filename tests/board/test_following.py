"""Boards whose contacts follow the select lines: the written routine answers both edges in time, and is never torn."""

from __future__ import annotations

from pathlib import Path

import pytest

from matrixmap.circuit.following import AVR_MHZ, MARGIN_CYCLES
from tests.bench.bench_board_follow import avr_board, on_avr, on_cortex, table
from tests.board.boards import checked
from tests.project import ROOT

FAULTS = {
    "the set that counts is written": (
        "uint8_t set = board->set == 0u ? (uint8_t)MM_BOARD_SELECT : 0u;",
        "uint8_t set = board->set;",
    ),
    "a line that is not looked at": ("    if ((lines0 & 0x20u) == 0u) {", "    if (false) {"),
    "a loop that does not compare": ("if ((mm_board_bits)(MM_BOARD_READ(MM_PORT_D) & 0xFFu) == lines0) {", "{"),
    "masks that stay": (
        "        low[at] = (mm_board_low)select[at];",
        "        low[at] = (mm_board_low)(low[at] | select[at]);",
    ),
}
"""What is wrong -> an edit of the written C that makes it so."""


def test_the_board_of_the_tests_is_sound() -> None:
    """The board that the figures are measured on has no finding, and its sense lines lie in two ports."""
    board = avr_board()
    assert board.findings == ()
    assert board.traced is not None
    assert board.traced.how == "follows-select"


def test_the_page_has_the_cycles_as_measured() -> None:
    """The cycles of docs/board.md are those of the routines in the simulators; no sense line is ever wrong meanwhile."""
    assert table() in (ROOT / "docs" / "board.md").read_text(encoding="utf-8")


def test_the_demo_is_answered_in_time(tmp_path: Path) -> None:
    """On an AVR and a Cortex-M0+ the sense lines are right before the demo's machine reads; the Pommel says what was measured."""
    time = avr_board().machine.scan.strobe_to_read_us
    assert time is not None
    (tmp_path / "avr").mkdir()
    (tmp_path / "arm").mkdir()
    avr, arm = on_avr(tmp_path / "avr"), on_cortex(tmp_path / "arm")
    assert avr.us + MARGIN_CYCLES / AVR_MHZ < 12 < time
    driver = checked("pommel").adapter.driver
    assert driver is not None
    assert driver.follow_us is not None
    assert arm.us <= driver.follow_us <= arm.us * 31 / 30


@pytest.mark.parametrize("what", FAULTS)
def test_a_wrong_routine_is_noticed(what: str, tmp_path: Path) -> None:
    """Masks that are torn, a line that is not looked at, a loop that does not compare, masks that stay: each is caught."""
    with pytest.raises(AssertionError, match=r"(torn|overwritten|stale|never shown): strobed"):
        on_avr(tmp_path, [FAULTS[what]])
