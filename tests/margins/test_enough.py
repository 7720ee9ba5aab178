"""What would be enough: each limit holds, a little beyond it does not, and it is that of the closed forms."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from matrixmap.margins import enough
from matrixmap.margins.enough import NEVER, OPEN, PRESSES, RISEN, Limits, rounded
from matrixmap.margins.facts import ContactFacts, DiodeFacts, facts_of
from matrixmap.margins.network import Span, fraction
from matrixmap.margins.shapes import Kinds
from matrixmap.margins.table import sets_of
from matrixmap.model.layout import Contacts
from tests.board.boards import checked
from tests.margins.boards import margins


def limits_of(**changed: object) -> Limits:
    """The limits of the Ferrule after a change of its values, of one contact and of the phantom of three."""
    board = checked("ferrule")
    assert board.traced is not None
    facts = facts_of(board.traced).facts
    assert facts is not None
    facts = replace(facts, **changed)  # type: ignore[arg-type]
    kinds = Kinds(facts, 8)
    kept = sets_of(board.machine, kinds, Contacts.SWITCH, frozenset())
    parts = tuple(part for shape, (_, part) in kept.shapes.items() if shape.size == (1, 1))
    return Limits(facts, 8, parts, kept.firsts[1])


def point(value: float) -> Span:
    """A value that is known exactly."""
    return Span(fraction(value), fraction(value))


def ideal() -> dict[str, object]:
    """An ideal driver, 1 k up to 5 V, and nothing that leaks."""
    board = checked("ferrule")
    assert board.traced is not None
    facts = facts_of(board.traced).facts
    assert facts is not None
    quiet = replace(facts.senses[0], leak=Fraction(0))
    return {
        "driver_v": point(0),
        "supply": point(5),
        "pull_up": point(1000),
        "senses": (quiet,) * 8,
        "selects": (replace(facts.selects[0], leak=Fraction(0)),) * 8,
    }


@pytest.mark.parametrize(("low", "high", "press", "never"), [(0.8, 2.0, 0.1905, 0.1547), (1.5, 3.5, 0.4286, 0.4720)])
def test_limits_are_those_of_the_closed_forms(low: float, high: float, press: float, never: float) -> None:
    """With an ideal driver and 1 k: a press is surely read up to x of 0.1905, and the phantom surely is not from 0.1547."""
    found = {
        limit.holds: limit
        for limit in limits_of(**ideal(), low=fraction(low), high=fraction(high)).all(timed=False)
        if limit.change == "ohms of a contact"
    }
    assert found[PRESSES].value == rounded(press * 1000, True)
    assert found[NEVER].value == pytest.approx(never * 1000, abs=1)
    assert (found[PRESSES].most, found[NEVER].most) == (True, False)


def test_each_limit_is_enough_and_a_little_more_is_not() -> None:
    """A limit holds as it is told; 2 percent beyond, what it keeps is no longer sure."""
    limits = limits_of()
    changes = {
        (PRESSES, "ohms of a contact"): (enough._ohms_most, limits.presses),
        (PRESSES, "pull-up of the machine"): (enough._pull_up_least, limits.presses),
        (PRESSES, "low voltage of the driver"): (enough._driver, limits.presses),
        (NEVER, "ohms of a contact"): (enough._ohms_least, limits.never),
        (OPEN, "pull-up of the machine"): (enough._pull_up_most, limits.open_line),
        (RISEN, "pull-up of the machine"): (enough._pull_up_most, limits.risen),
    }
    seen = 0
    for limit in limits.all():
        change, check = changes.get((limit.holds, limit.change), (None, None))
        if change is None or check is None:
            continue
        seen += 1
        assert limit.value is not None
        value = fraction(limit.value)
        assert check(change(limits.facts, value))
        beyond = value * (Fraction(102, 100) if limit.most else Fraction(98, 100))
        assert not check(change(limits.facts, beyond))
    assert seen == len(changes)


def test_values_round_towards_the_safe_side() -> None:
    """Three digits, a most down and a least up."""
    assert [rounded(each, True) for each in (358.9, 0.0012349, 9.999, 12345.0)] == [358, 0.00123, 9.99, 12300]
    assert [rounded(each, False) for each in (358.1, 0.0012341, 9.991, 12345.0)] == [359, 0.00124, 10.0, 12400]


def test_a_longer_cable_than_is_told_is_too_late() -> None:
    """The longest cable of the late revision is in time; with 5 percent more a line is read in the next row."""
    (limit,) = (each for each in margins("ferrule", {}, "quillon8/late").limits if each.change == "length of the cable")
    assert limit.value is not None
    for metres, late in ((limit.value, False), (limit.value * 1.05, True)):
        edits = {("adapter", "ferrule"): [("metres: 0.2", f"metres: {metres:.4f}")]}
        times = margins("ferrule", edits, "quillon8/late").times
        assert any(time.is_in_time is False for time in times) is late


def test_how_much_a_diode_may_drop() -> None:
    """By hand: what 0.8 V leave above the driver's low voltage and the contact's share, at the current that then flows."""
    contact = ContactFacts(
        ohms=point(65), diodes=(DiodeFacts(Span(Fraction(1, 10**9), Fraction(1, 10**9)), point(1.75)),)
    )
    changed = {**ideal(), "driver_v": point(0.4), "pull_up": point(3300), "how": "switch-with-diode"}
    limits = limits_of(**changed, contacts=dict.fromkeys(range(64), contact))
    (limit,) = (each for each in limits.all(timed=False) if each.change == "a diode's drop")
    amps = 4.2 / 3300
    assert limit.unit == "V"
    assert limit.value == pytest.approx(0.8 - 0.4 - 65 * amps, abs=0.005)
    assert limit.now == pytest.approx(1.75 * 0.025865 * 14.06, rel=0.01)
    assert not limit.is_kept
