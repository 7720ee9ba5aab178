"""Pairs of letters that overlap: by hand, by the compiled runtime and a plain circuit, and typed in time."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from matrixmap.check.digrams import (
    HELD,
    WHOLE,
    DigramRisk,
    Overlapping,
    Pair,
    digram_words,
    digrams_at_risk,
    digrams_of,
    overlapping,
)
from matrixmap.check.engine.strokes import PlanStrokes, make_strokes
from matrixmap.hid.usages import SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.model.witness import Event
from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.model import Model
from matrixmap.simulate.scan import Reader, critical_phases
from matrixmap.simulate.texts import Typing, legends_of, meant_by, play_typing
from matrixmap.simulate.typing.reports import Link
from matrixmap.simulate.typing.typist import usual_style
from tests.check.adapter import Adapter
from tests.check.circuit import Circuit
from tests.check.test_holding import TINY
from tests.press.machines import Workshop
from tests.project import sample_ids, shipped_plan
from tests.shipped import OTHERS

BY_PRINT = "layout: tiny\nmachine: tiny\nhost: en-US\njoin: symbolic\n"


def tiny(more: str = "") -> PlanStrokes:
    """Four letters and two keys of Shift, joined by print."""
    return make_strokes(Workshop().plan("tiny", TINY, BY_PRINT + more))


def test_pairs_by_hand() -> None:
    """With left Shift's contact between them a, b and c make three corners two by two, and so do d and c; nothing else does."""
    strokes = tiny()
    pairs = {pair.letters: pair for pair in overlapping(strokes, "en", (SHIFT_LEFT,))}
    lying = {letters for letters, pair in pairs.items() if pair.bare}
    expected = {"AB", "BA", "AC", "CA", "BC", "CB", "CD", "DC"}
    assert lying == expected & set(pairs)
    assert {"AC", "CA", "AD", "DA"} <= set(pairs)
    assert all(pair.weight == digrams_of("en")[letters.lower()] for letters, pair in pairs.items())
    assert not any(pair.left for pair in pairs.values())
    small = list(overlapping(strokes, "en", ()))
    assert {pair.letters for pair in small} == {letters.lower() for letters in pairs}
    assert not any(pair.bare for pair in small)


def test_without_the_guard_they_are_left() -> None:
    """With `guard: off` each pair that makes a phantom is left, and with diodes there is none."""
    for pair in overlapping(tiny("guard: off\n"), "en", (SHIFT_LEFT,)):
        assert pair.left is pair.bare
    assert not any(pair.bare for pair in overlapping(tiny("contacts: switch-with-diode\n"), "en", (SHIFT_LEFT,)))


def test_what_takes_a_dead_key_is_left_out() -> None:
    """ê is typed by two presses on a French keyboard, and no pair with it is looked at; t and a are."""
    machine = TINY.replace("{plain: b, shift: B}", "{plain: t, shift: T}").replace("{plain: c, shift: C}", "{plain: ê}")
    strokes = make_strokes(Workshop().plan("tiny", machine, BY_PRINT.replace("en-US", "fr-FR")))
    assert len(strokes.typed["ê"][0]) == 2
    assert "êt" in digrams_of("fr")
    assert {"ta", "at"} <= {pair.letters for pair in overlapping(strokes, "fr", ())} <= set(digrams_of("fr"))
    assert not any("ê" in pair.letters for pair in overlapping(strokes, "fr", ()))


def test_no_number_without_data() -> None:
    """There is none for a language without counts, nor where a layout types less than half of the pairs."""
    assert digrams_at_risk(make_strokes(shipped_plan("quillon8-is-IS-symbolic"))) is None
    assert digrams_at_risk(make_strokes(shipped_plan("quillon8-ru-RU-symbolic"))) is None
    assert digrams_at_risk(tiny()) is None


def risk_of(id: str) -> DigramRisk:
    """The pairs at risk on a shipped layout."""
    risk = digrams_at_risk(make_strokes(shipped_plan(id)))
    assert risk is not None
    return risk


def test_rows_are_the_sums_of_their_pairs() -> None:
    """A row counts the weights of its pairs; both Shift keys are one row where they do the same."""
    by_print, by_place = risk_of("quillon8-de-DE-symbolic"), risk_of("quillon8-de-DE-positional")
    assert [row.held for row in by_print.rows] == ["", "Shift"]
    assert [row.held for row in by_place.rows] == ["", "left Shift", "right Shift"]
    # A machine of one case types no other letters with Shift.
    assert [row.held for row in risk_of("langet41-de-DE-symbolic").rows] == [""]
    strokes = make_strokes(shipped_plan("quillon8-de-DE-positional"))
    for row, held in zip(by_place.rows, HELD, strict=True):
        pairs = list(overlapping(strokes, "de", held))
        lying = [(pair.letters, pair.weight) for pair in pairs if pair.bare]
        assert (row.typed, row.bare) == (sum(pair.weight for pair in pairs), sum(weight for _, weight in lying))
        assert row.worst == tuple(lying[:3])
        assert WHOLE / 2 < row.typed <= by_place.listed
    assert by_place.rows[1].bare < by_place.rows[2].bare


def events(pair: Pair, held: tuple[int, ...]) -> list[Event]:
    """What is held goes down, then both keys, neither of which is let go."""
    return [Event(True, usage) for usage in (*held, *(way[-1].usage for way in pair.ways))]


@pytest.mark.parametrize("id", [*sample_ids(), *OTHERS])
def test_pairs_are_what_the_runtime_closes_and_a_circuit_reads(id: str) -> None:
    """Both keys held down on the compiled C: without its limits a circuit reads more just for the pairs that are said to."""
    plan = shipped_plan(id)
    strokes, circuit = make_strokes(plan), Circuit(plan.layout.machine, plan.contacts)
    free, limited = Adapter(plan, limits=False), Adapter(plan)
    language = plan.layout.host.id.partition("-")[0]
    for held in HELD:
        for pair in overlapping(strokes, language, held):
            assert [len(way) for way in pair.ways] == [1, 1]
            if pair.ways[0][0].usage == pair.ways[1][0].usage:
                assert not pair.bare
                continue
            extra = circuit.extra(free.play(events(pair, held)).contacts)
            assert bool(extra) is pair.bare, pair.letters
            assert bool(circuit.extra(limited.play(events(pair, held)).contacts)) is pair.left, pair.letters


def read_of(plan: Plan, pair: Pair, rate: int, held: tuple[Usage, ...]) -> tuple[list[str], set[tuple[str, ...]]]:
    """What is meant, and all that is read at any phase of the scan, of two letters typed with overlap while keys are held."""
    presses = tuple(replace(press, hold=held) for way in pair.ways for press in way)
    typing = Typing(plan=plan, presses=presses, style=usual_style(Fraction(rate)), link=Link.SAMPLED, interval_us=7500)
    player = play_typing(Model([plan], Sizes()), typing)
    reader = Reader(plan.layout.machine, plan.contacts)
    phases = critical_phases(player.moments, reader.pace)
    return meant_by(plan, presses), {tuple(legends_of(reader.read(player.moments, phase))) for phase in phases}


@pytest.mark.parametrize(
    ("id", "held"),
    [
        ("quillon8-en-US-symbolic", SHIFT_LEFT),
        ("quillon8-de-DE-positional", SHIFT_LEFT),
        ("quillon8-de-DE-positional", SHIFT_RIGHT),
    ],
)
def test_nothing_is_lost_with_the_guard_on(id: str, held: Usage) -> None:
    """Typed in time with the first key still down, both letters and nothing else are read, whatever the machine tells apart.

    With the guard off, a machine that tells any number of keys apart reads something else for each pair. One that tells
    two apart finds three, and leaves most of these scans aside, as the model has it: it reads the letters all the same.
    """
    plan = shipped_plan(id)
    pairs = [pair for pair in overlapping(make_strokes(plan), id[9:11], (held,)) if pair.bare]
    assert len(pairs) >= 10
    machine = plan.layout.machine
    tells_all = replace(machine, scan=replace(machine.scan, rollover=None))
    free = compile_plan(replace(plan.layout, machine=tells_all))
    bare = compile_plan(replace(free.layout, guard=False))
    for pair in pairs[:20]:
        for rate in (8, 25):
            for guarded in (plan, free):
                meant, read = read_of(guarded, pair, rate, (held,))
                assert (len(meant), read) == (2, {tuple(meant)}), (pair.letters, rate)
        meant, read = read_of(bare, pair, 8, (held,))
        assert tuple(meant) not in read, pair.letters


def test_the_sentence() -> None:
    """It says what is never so, how much is, and what the layout leaves."""
    small = Overlapping(held="", typed=9000, bare=0, left=0, worst=())
    capitals = Overlapping(held="Shift", typed=9000, bare=260, left=0, worst=(("OR", 50), ("E_", 7)))
    risk = DigramRisk(language="de", title="German", listed=9900, rows=(small,))
    fast = "Fast typing in German, with a key still down when the next is pressed: "
    assert digram_words(risk) == f"{fast}no two letters make a phantom together."
    assert digram_words(replace(risk, rows=(small, capitals))) == (
        f"{fast}of 1,000 pairs 0 in small letters, 26 in capitals with Shift held (most often O R 5, E _ 0.7) make a "
        "phantom on the bare matrix; the runtime then opens the older key, which the machine has already read, so nothing is lost."
    )
    left = replace(risk, rows=(small, replace(capitals, left=13)))
    assert digram_words(left).endswith("; by the rules of this layout up to 1.3 still do.")
    assert digram_words(replace(risk, rows=(small, replace(capitals, bare=0, worst=())))).endswith(
        "no two letters make a phantom together, nor do capitals with Shift held."
    )
