"""The table: kinds of parts, verdicts, what a driver carries, outputs that fight, diodes; by hand and by other solvers."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from math import comb

import pytest

from matrixmap.circuit.margin import EXAMPLE, SCHOTTKY, SILICON, Diode, low_v
from matrixmap.circuit.reading import read_mask
from matrixmap.form.margins.as_text import margins_text
from matrixmap.margins.facts import ContactFacts, DiodeFacts, Facts
from matrixmap.margins.fights import fights_of
from matrixmap.margins.network import Span, fraction, solve
from matrixmap.margins.shapes import Kinds, Shape, parts_of
from matrixmap.margins.table import Sure, contacts_carried, sets_of
from matrixmap.model.layout import Contacts
from tests.board.boards import checked
from tests.margins.boards import ARRAY, FERRULE, MACHINE, margins, of_machine
from tests.shipped import in_campaign


def point(value: float) -> Span:
    """A value that is known exactly."""
    return Span(fraction(value), fraction(value))


def sets_expected(contacts: int, modifiers: int) -> int:
    """How many sets `sets_of` looks at: a closed form for the count."""
    keys = contacts - modifiers
    more = sum(comb(modifiers, count) for count in range(2, modifiers + 1))
    return contacts + comb(contacts, 2) + comb(contacts, 3) + more * comb(keys, 2)


def facts(contact: ContactFacts, **changed: object) -> Facts:
    """A full matrix of one kind of contact, 3.3 k up to 5 V, and nothing that leaks."""
    found = margins("ferrule", with_limits=False).facts
    assert found is not None
    quiet = replace(found.senses[0], leak=Fraction(0))
    values = {
        "supply": point(5),
        "pull_up": point(3300),
        "driver_v": point(0),
        "driver_ohms": point(0),
        "senses": (quiet,) * 8,
        "selects": (replace(found.selects[0], leak=Fraction(0)),) * 8,
        "contacts": dict.fromkeys(found.contacts, contact),
    }
    return replace(found, **{**values, **changed})  # type: ignore[arg-type]


def test_outputs_that_fight_by_hand() -> None:
    """65 ohms a contact, 50 ohms to the high output and 20 to the low one: 24.6 mA and 2.17 V (worked elsewhere)."""
    contact = ContactFacts(ohms=point(65))
    driven = facts(contact, unselected=point(50), driver_ohms=point(20), output_amps=fraction(0.025))
    two, rectangle = fights_of(Kinds(driven, 8))
    assert (two.kind, rectangle.kind) == (
        "2 contacts on a sense line",
        "4 contacts, each of 2 select with 2 sense lines",
    )
    assert float(two.out or 0) == pytest.approx(24.6e-3, abs=5e-5)
    assert float(two.volts or 0) == pytest.approx(2.17, abs=5e-3)
    # The rectangle joins them twice: two ways of 130 ohms are 65, and 70 ohms of the drivers remain.
    assert float(rectangle.out or 0) == pytest.approx(5 / 135, rel=0.02)
    assert rectangle.is_over
    assert list(fights_of(Kinds(facts(contact), 8))) == []


def test_outputs_without_any_resistance_have_no_limit() -> None:
    """Contacts of 0 ohms and outputs of 0 ohms join two voltages: no current is told."""
    driven = facts(ContactFacts(ohms=point(0)), unselected=point(0))
    assert [(each.out, each.is_over) for each in fights_of(Kinds(driven, 8))] == [(None, True), (None, True)]


@pytest.mark.parametrize("diode", [*SILICON, *SCHOTTKY], ids=["1N4148", "default", "BAT54", "data sheet"])
def test_a_press_through_a_diode(diode: Diode) -> None:
    """The voltage of a sense line is that which another solver of the project finds, and a silicon diode is not surely read."""
    diodes = (DiodeFacts(point_of(diode.saturation_a), point(diode.emission)),)
    contact = ContactFacts(ohms=point(65 + diode.series_ohms), diodes=diodes)
    kinds = Kinds(facts(contact, how="switch-with-diode", driver_v=point(0.4)), 8)
    box = kinds.box(kinds.shape(1), 0)
    volts = low_v(EXAMPLE, diode)
    assert box.worst("N0", True).number == pytest.approx(volts, abs=1e-7)
    assert (volts <= 0.8) is (diode in SCHOTTKY[:1])


def point_of(value: float) -> Span:
    """A small number exactly as it is."""
    return Span(Fraction(value), Fraction(value))


def test_what_a_driver_carries() -> None:
    """Each contact brings (5 - V) / 3.3 k: of 4 mA two and no third by current; a driver of 50 ohms reads eight by volts."""
    contact = ContactFacts(ohms=point(65))
    assert contacts_carried(Kinds(facts(contact, amps=fraction(0.004)), 8), 8) == (8, 2)
    # n lines with 65 ohms each in front of 50: V rises by 50 * n * 1.5 mA, and passes 0.8 V with the tenth.
    assert contacts_carried(Kinds(facts(contact, amps=None, driver_ohms=point(50)), 8), 8) == (8, 8)
    assert contacts_carried(Kinds(facts(contact, amps=None, driver_ohms=point(150)), 8), 8)[0] == 3


def test_driven_lines_are_not_surely_read() -> None:
    """With select lines that are driven high, two contacts on a sense line are unsure, and so is the rectangle; one is sure."""
    edits = of_machine(("select: low-only", "select: push-pull\n  unselected_ohms: [20, 50]"))
    rows = {row.kind: row.sure for row in margins("ferrule", edits).rows if row.closed}
    assert rows["one contact"] is Sure.SURE
    assert rows["3 contacts on a select line"] is Sure.SURE
    assert rows["2 contacts on a sense line"] is not Sure.SURE
    assert rows["4 contacts, each of 2 select with 2 sense lines"] is not Sure.SURE


def test_parts_hang_together() -> None:
    """The parts of random sets: each contact in one, no line in two, and a set without a phantom has full blocks alone."""
    draw = random.Random(6)
    board = checked("ferrule")
    kinds = Kinds(facts(ContactFacts(ohms=point(65))), 8)
    assert board.traced is not None
    blocks = 0
    for _ in range(500):
        closed = sum(1 << at for at in draw.sample(range(64), draw.randint(1, 9)))
        parts = list(parts_of(closed, 8))
        assert sum(parts) == closed
        for one, other in combinations(parts, 2):
            for lines in ((0, 8), (1, 8)):
                assert not _lines(one, *lines) & _lines(other, *lines)
        full = all(kinds.shape(part).is_block for part in parts)
        assert full is (read_mask(closed, 8, Contacts.SWITCH) == closed)
        blocks += full
    assert 50 < blocks < 450


def _lines(part: int, which: int, width: int) -> set[int]:
    return {divmod(at, width)[which] for at in range(part.bit_length()) if part >> at & 1}


def test_alike_parts_are_one_shape() -> None:
    """Three contacts that make a phantom are one shape wherever they lie, and so is a rectangle."""
    kinds = Kinds(facts(ContactFacts(ohms=point(65))), 8)
    paths = {kinds.shape(1 << a | 1 << b | 1 << c) for a, b, c in ((0, 8, 9), (1, 0, 9), (63, 60, 4), (8, 10, 34))}
    assert len(paths) == 1
    assert {kinds.shape(0b11 | 0b11 << 8), kinds.shape(0b101 << 3 | 0b101 << 27)} == {
        Shape((0, 0), (0, 0), ((0, 0, 0), (0, 1, 0), (1, 0, 0), (1, 1, 0)))
    }


def test_sets_are_counted_by_hand() -> None:
    """All sets that are looked at, by binomials; those without a phantom by trying each."""
    found = margins("ferrule", with_limits=False)
    assert found.sets is not None
    assert found.sets.looked_at == sets_expected(64, 4) == 63_214
    machine = found.traced.board.machine
    kinds = Kinds(found.facts or facts(ContactFacts(ohms=point(65))), 8)
    plain = sets_of(machine, kinds, Contacts.SWITCH, frozenset())
    # Of each three contacts 64 * 7 * 7 make a phantom; single ones and pairs make none.
    assert (plain.looked_at, plain.allowed) == (64 + 2016 + 41_664, 64 + 2016 + 41_664 - 64 * 49)


def test_what_leaks_into_resting_lines_counts() -> None:
    """A sense line with closed contacts bears the leaks of all select lines that they join: 3 of 21 uA and its own at 5.17 k."""
    (row,) = (
        row
        for row in margins("ferrule", with_limits=False).rows
        if row.kind == "the same contacts, another line strobed"
    )
    assert float(row.least) == pytest.approx(4.75 - 5170 * 4 * 21e-6, abs=1e-9)


def test_a_diode_in_a_closed_cycle_gives_a_bound() -> None:
    """With a diode in the first select line alone, rectangles with it have a bound, which no random corner passes."""
    edits = {
        ("adapter", "ferrule"): [
            ("  C2: capacitor\n", "  C2: capacitor\n  D1: diode\n"),
            ("  S0: [J1.19, U2.X0]\n", "  S0: [J1.19, D1.K]\n  S0-SWITCH: [D1.A, U2.X0]\n"),
        ]
    }
    found = margins("ferrule", edits)
    assert found.facts is not None
    assert found.facts.how == "switch"
    rows = {row.kind: row for row in found.rows}
    rectangle = rows["4 contacts, each of 2 select with 2 sense lines"]
    assert rectangle.bound
    assert not rows["one contact"].bound
    # A silicon diode keeps a press from being surely read here.
    assert rows["one contact"].sure is Sure.UNSURE
    kinds = Kinds(found.facts, 8)
    box = kinds.box(kinds.shape_as_it_lies(0b11 | 0b11 << 8), 0)
    worst, is_bound = box.worst_or_bound("N0", True)
    assert is_bound
    draw = random.Random(8)
    for _ in range(30):
        corner = {name: draw.choice(each) for name, each in box.network.spans.items()}
        volts = solve(box.network, corner).volts["N0"]
        assert box.worst_or_bound("N0", False)[0].number <= float(volts) <= worst.number


@pytest.mark.parametrize(("to", "volts"), [("GND: [J1.1,", 0), in_campaign(("VBUS: [J2.VBUS,", 5))])
def test_a_resistor_of_the_board_to_ground_or_another_supply(to: str, volts: int) -> None:
    """An open line lies where its pull-up, the board's resistor and what leaks leave it, in the worst corner of each end."""
    edits = {
        FERRULE: [
            ("  C2: capacitor\n", "  C2: capacitor\n  R9: {part: resistor, ohms: 1000000}\n"),
            (to, f"{to} R9.2,"),
            ("  N0: [J1.20, U2.Y0]", "  N0: [J1.20, U2.Y0, R9.1]"),
        ]
    }
    found = margins("ferrule", edits, with_limits=False)
    row, facts = found.rows[0], found.facts
    assert row.kind == "nothing closed"
    assert facts is not None
    leak = facts.senses[0].leak
    ends = [
        (supply / pull + Fraction(volts, 10**6) + sign * leak) / (1 / pull + Fraction(1, 10**6))
        for supply, sign in ((facts.supply.least, -1), (facts.supply.most, 1))
        for pull in facts.pull_up
    ]
    # The other lines have no such resistor: of all, the row shows the lowest.
    alone = facts.supply.least - leak * facts.pull_up.most
    assert row.least == min(*ends, alone)
    assert all(time.settles.bound < 1e-4 for time in found.times)


def test_outputs_joined_without_resistance_are_told_and_end_nothing() -> None:
    """Where a line driven high meets the strobed one over 0 ohms, nothing limits the current: unsure, too much, never in time."""
    edits = {
        MACHINE: [
            ("pull_up_ohms: [4230, 5170]", "pull_up_ohms: [4230, 5170]\n  unselected_ohms: [0, 100]"),
            ("select: low-only", "select: push-pull"),
        ],
        ARRAY: [("on_ohms: [60, 185]", "on_ohms: [0, 185]")],
    }
    found = margins("ferrule", edits)
    rows = {row.kind: row for row in found.rows}
    two, alone = rows["2 contacts on a sense line"], rows["one contact"]
    assert (two.sure, two.over, two.amps, two.bound) == (Sure.UNSURE, True, None, True)
    assert two.least <= 0
    assert found.facts is not None
    assert two.most >= found.facts.supply.most
    assert (alone.sure, alone.over) == (Sure.SURE, False)
    falls = {time.kind: time.settles.bound for time in found.times if time.falls}
    assert falls["2 contacts on a sense line"] == float("inf") > falls["one contact"]
    assert "any current that the outputs can give flow into the output that is low" in margins_text(found, "a layout")
