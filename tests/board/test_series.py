"""Resistors and diodes in series with lines: which way current flows, what is told of them, and what counts as a diode of a contact."""

from __future__ import annotations

import re

import pytest

from matrixmap.board.series import Series, line_pin
from matrixmap.circuit.margin import EXAMPLE, Line, low_v, most_ohms
from matrixmap.model.boards.adapter import Pin
from matrixmap.model.finding import Severity
from tests.board.boards import Edits, checked, text_of

MOSFET = "  Q1: mosfet-n "


def with_diodes(lines: tuple[str, ...], turned: tuple[str, ...] = ()) -> Edits:
    """The Ferrule with a diode between each of these select lines and its port: towards the line, or turned round."""
    pairs = [(MOSFET, "".join(f"  D1{line[1:]}: diode\n" for line in lines) + MOSFET)]
    for line in lines:
        header = re.search(rf"  {line}: \[(J1\.\d+), U2\.X{line[1:]}\]", text_of("adapter", "ferrule"))
        assert header is not None
        near, far = ("A", "K") if line in turned else ("K", "A")
        ref = f"D1{line[1:]}"
        pairs.append(
            (header[0], f"  {line}: [{header[1]}, {ref}.{near}]\n  PORT-{line}: [{ref}.{far}, U2.X{line[1:]}]")
        )
    return {("adapter", "ferrule"): pairs}


def each_with_a_diode(turned: bool) -> Edits:
    """The Locket with a diode between each switch and its select line."""
    text = text_of("adapter", "locket")
    pairs = []
    parts, nets, number = "", "", 0
    for line in re.findall(r"^  S[0-7]: \[.*\]$", text, re.MULTILINE):
        made = line
        for pin in re.findall(r"U\d+\.A\d", line):
            number += 1
            ends = ("A", "K") if turned else ("K", "A")
            made = made.replace(pin, f"D{number}.{ends[0]}")
            nets += f"  OWN{number}: [D{number}.{ends[1]}, {pin}]\n"
            parts += f"  D{number}: diode\n"
        pairs.append((line, made))
    first = next(made for _, made in pairs)
    pairs[0] = (pairs[0][0], nets + first)
    return {("adapter", "locket"): [*pairs, ("  C1: capacitor\n", f"{parts}  C1: capacitor\n")]}


def worse(id: str, edits: Edits) -> dict[str, str]:
    """What is found that is more than a note, by rule."""
    return {found.slug: found.text for found in checked(id, edits).findings if found.severity > Severity.NOTE}


@pytest.mark.parametrize("turned", [(), ("S3",), ("S0", "S7")])
def test_a_diode_conducts_one_way(turned: tuple[str, ...]) -> None:
    """Diodes whose cathode is towards the select line are as they should be; those turned round are told, with their contacts."""
    lines = ("S0", "S3", "S7")
    board = checked("ferrule", with_diodes(lines, turned))
    told = [found for found in board.findings if found.slug == "diode-against-current"]
    assert [found.count for found in told] == ([8 * len(turned)] if turned else [])
    for found in told:
        assert all(f"D1{line[1:]}" in found.text for line in turned)
        assert not any(f"D1{line[1:]}" in found.text for line in set(lines) - set(turned))
    assert set(worse("ferrule", with_diodes(lines, turned))) == ({"diode-against-current"} if turned else set())


def test_current_is_followed_through_what_conducts() -> None:
    """From a port to its line there is a way through a diode, and none back; through a resistor there is one both ways."""
    board = checked("ferrule", with_diodes(("S3",))).traced
    assert board is not None
    series = Series(board.board)
    port = Pin("U2", board.board.adapter.parts["U2"].part.number("X3") or "")
    line = line_pin(board.board, "S3")
    way = series.path(port, line)
    assert way is not None
    assert [(element.ref, along) for element, along in way] == [("D13", True)]
    assert series.path(line, port) is None
    back = series.path(line, port, any_way=True)
    assert back is not None
    assert [(element.ref, along) for element, along in back] == [("D13", False)]
    assert series.path(line, line_pin(board.board, "S4"), any_way=True) is None


def test_a_diode_that_contacts_share_is_none_of_theirs() -> None:
    """A diode a line leaves plain switches, among which current goes round; a diode a switch makes contacts with diodes."""
    board = checked("ferrule", with_diodes(tuple(f"S{n}" for n in range(8)))).traced
    assert board is not None
    assert board.how == "switch"
    own = checked("locket", each_with_a_diode(False))
    assert own.traced is not None
    assert own.traced.how == "switch-with-diode"
    assert worse("locket", each_with_a_diode(False)) == {}
    told = worse("locket", each_with_a_diode(True))
    assert set(told) == {"diode-against-current"}
    assert "D1, D2, D3" in told["diode-against-current"]


@pytest.mark.parametrize(("ohms", "severity"), [(22, "note"), (120, "note"), (150, "warning"), (10_000, "warning")])
def test_a_resistor_in_a_line_is_told(ohms: int, severity: str) -> None:
    """It conducts, so the line is followed through it; how bad it is goes by the ohms of resistor and switch together."""
    edits: Edits = {
        ("adapter", "ferrule"): [
            (MOSFET, f"  R7: {{part: resistor, ohms: {ohms}}}\n{MOSFET}"),
            ("N0: [J1.20, U2.Y0]", "N0: [J1.20, R7.1]\n  PORT: [R7.2, U2.Y0]"),
        ]
    }
    board = checked("ferrule", edits)
    assert board.routed == 65
    (told,) = [found for found in board.findings if found.slug == "resistor-in-line"]
    assert (told.severity.word, told.count) == (severity, 8)
    assert f"N0 leads through R7 ({ohms} ohms), so a closed contact of it has {ohms + 185} ohms at most" in told.text


def test_lines_that_a_resistor_joins_are_told_with_it() -> None:
    """Two lines with a resistor between them are joined, and the finding names it."""
    edits: Edits = {
        ("adapter", "ferrule"): [
            (MOSFET, f"  R7: {{part: resistor, ohms: 47}}\n{MOSFET}"),
            ("N0: [J1.20, U2.Y0]", "N0: [J1.20, U2.Y0, R7.1]"),
            ("N1: [J1.18, U2.Y1]", "N1: [J1.18, U2.Y1, R7.2]"),
        ]
    }
    assert "through R7 (47 ohms)" in worse("ferrule", edits)["lines-joined"]


def test_the_most_ohms_are_just_read() -> None:
    """With the most ohms the low voltage is just where the input surely reads low; with one more it is above."""
    most = most_ohms(EXAMPLE)
    for ohms, read in ((most, True), (most + 1, False)):
        line = Line(
            supply_v=EXAMPLE.supply_v,
            pull_up_ohms=EXAMPLE.pull_up_ohms,
            driver_low_v=EXAMPLE.driver_low_v,
            contact_ohms=ohms,
            reads_low_v=EXAMPLE.reads_low_v,
        )
        assert (low_v(line) <= EXAMPLE.reads_low_v + 1e-9) is read
