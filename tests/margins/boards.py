"""Boards whose margins are looked at: the shipped adapters with edits, and a filter in a supply."""

from __future__ import annotations

from functools import cache

from matrixmap.margins.run import Margins, margins_of
from tests.board.boards import Edits, checked

MACHINE = ("machine", "quillon8")
ARRAY = ("part", "switch-array-8x8")
FERRULE = ("adapter", "ferrule")


def margins(id: str = "ferrule", edits: Edits = {}, fit: str = "quillon8", **how: bool) -> Margins:  # noqa: B006
    """The margins of an adapter after edits, on one of the machines that it fits; made once."""
    frozen = tuple((file, tuple((str(old), str(new)) for old, new in pairs)) for file, pairs in sorted(edits.items()))
    return _margins(id, frozen, fit, tuple(sorted(how.items())))


@cache
def _margins(
    id: str,
    edits: tuple[tuple[tuple[str, str], tuple[tuple[str, str], ...]], ...],
    fit: str,
    how: tuple[tuple[str, bool], ...],
) -> Margins:
    board = checked(id, dict(edits), fit)
    assert board.traced is not None
    return margins_of(board.traced, **dict(how))


def of_machine(*pairs: tuple[str, str]) -> Edits:
    """Edits of the machine alone."""
    return {MACHINE: pairs}


def with_filter(inductor: str, capacitor: str, power: str = "ma: 20}") -> Edits:
    """The Ferrule with a filter between its USB supply and the processor: values of both parts, and what the processor draws."""
    return {
        FERRULE: [
            ("  C2: capacitor\n", f"  C2: {{part: capacitor, {capacitor}}}\n  L1: {{part: inductor, {inductor}}}\n"),
            ("  VBUS: [J2.VBUS, U1.VCC,", "  USB: [J2.VBUS, L1.1]\n  VBUS: [L1.2, U1.VCC,"),
        ],
        ("part", "atmega328p"): [("ma: 20}", power)],
    }
