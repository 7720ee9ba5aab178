"""What another way to close contacts would change is what the whole check counts for a layout that has it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from matrixmap.check.counts import worth
from matrixmap.check.counts.overlaps import count_overlaps
from matrixmap.check.counts.tally import tally
from matrixmap.check.counts.worth import Worth, Wrong, find_worth, worth_line
from matrixmap.check.engine.plan_conflicts import PlanConflicts, find_conflicts
from matrixmap.check.engine.strokes import PlanStrokes
from matrixmap.join.plan import compile_plan
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import TableError
from tests.check.cases import plan_of
from tests.check.machines import machines_and_layouts
from tests.check.test_complete import SLOW, every_set
from tests.project import sample_ids, shipped_ids, shipped_plan
from tests.shipped import OTHERS

ONE_WAY = (Contacts.SWITCH_WITH_DIODE, Contacts.FOLLOWS_SELECT)


def cures_of(plan: Plan) -> tuple[Worth, ...]:
    """The cures of a plan, with the counts that the check has anyway."""
    return counted(find_conflicts(plan))


def counted(conflicts: PlanConflicts) -> tuple[Worth, ...]:
    """The cures of a plan whose conflicts are known."""
    return find_worth(conflicts, tally(conflicts.strokes), count_overlaps(conflicts.strokes))


def refusals(strokes: PlanStrokes) -> int:
    """Strokes that the runtime refuses in each way to make them, and those that it refuses with further modifiers held."""
    feeds, rules = strokes.rules.compiled.feeds, strokes.rules
    fed = [
        bit
        for number, key in enumerate(strokes.modifier_keys)
        if key in strokes.feeds.values()
        for bit in [1 << number]
    ]
    count = 0
    for item in strokes.items:
        sums = [sum({feeds.get(usage, 0) for usage in way[-1].hold}) for way in item.ways]
        count += all(rules.refusal(item.held, item.held.wants(bits)) for bits in sums)
        passing = [bit for bit in fed if not bit & (item.hold | item.lift)]
        for held in every_set(passing, len(passing)):
            count += bool(held and rules.refusal(item.held, item.held.wants(sum(held))))
    return count


def all_wrong(conflicts: PlanConflicts) -> Wrong:
    """What goes wrong with a plan, everything counted."""
    counted, overlaps = tally(conflicts.strokes), count_overlaps(conflicts.strokes)
    return Wrong(
        presses=counted.lying_strokes + counted.lying_held,
        pairs=overlaps.lying,
        triples=counted.lying_triples,
        refused=refusals(conflicts.strokes),
        controllers=len(conflicts.pulls),
    )


def with_contacts(plan: Plan, how: Contacts) -> Plan:
    """The plan that the layout has with other contacts."""
    return compile_plan(replace(plan.layout, contacts=how))


def check_cures(plan: Plan, ways: tuple[Contacts, ...] = ONE_WAY) -> tuple[Worth, ...]:
    """Each cure has the counts of the layout as it is, and as it is with these contacts."""
    conflicts = find_conflicts(plan)
    found, now = counted(conflicts), all_wrong(conflicts)
    assert [cure.contacts for cure in found] == list(ONE_WAY)
    for cure in found:
        assert cure.now == now
        assert cure.contacts not in ways or cure.then == all_wrong(find_conflicts(with_contacts(plan, cure.contacts)))
    return found


@pytest.mark.parametrize(
    "id",
    [
        id if id in (*OTHERS, *sample_ids()) else pytest.param(id, marks=pytest.mark.campaign)
        for id in shipped_ids()
        if not id.startswith("ricasso12")
    ],
)
def test_shipped_layouts(id: str) -> None:
    """The counts of shipped layouts; random ones have both ways to close contacts counted."""
    plan = shipped_plan(id)
    line = worth_line(plan, check_cures(plan, (Contacts.SWITCH_WITH_DIODE,)))
    assert line
    assert len(line) <= 200


@pytest.mark.parametrize("id", ["ricasso12-fo-en-US-symbolic", "ricasso12-fo-en-US-positional"])
def test_a_layout_whose_contacts_let_no_current_back_has_no_cure(id: str) -> None:
    """Where contacts go through diodes already, nothing is left to offer."""
    assert cures_of(shipped_plan(id)) == ()
    assert line_of(shipped_plan(id)) is None


@given(machines_and_layouts())
@SLOW
def test_random_layouts(texts: tuple[str, str]) -> None:
    """The counts of random machines with controllers of all wirings and layouts with chords, latches and dead keys."""
    machine, layout = texts
    check_cures(plan_of(layout, machine))


RECTANGLE = """machine: square
title: A square
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1]
  grid:
    S0: [shift, a]
    S1: [b, c]
modifiers: {shift: [shift]}
types: {a: {plain: a}, b: {plain: b}, c: {plain: B1}}
scan: {period_us: 20000%s}
"""
KEYS = "layout: case\nmachine: square\nhost: few\njoin: positional\nkeys: {ShiftLeft: shift, KeyA: a, KeyB: b, KeyD: c%s}\n"
STICK = "controllers:\n  stick: {wired: contact, Fire: S0/N0, Up: S1/N1}\n"


def square(scan: str = "", keys: str = "", more: str = "") -> Plan:
    """A layout on a machine of four contacts, one of which is a modifier."""
    return plan_of(KEYS % keys, RECTANGLE % scan + more)


def line_of(plan: Plan) -> str | None:
    """The line on a plan."""
    return worth_line(plan, cures_of(plan))


TAIL = "; but see diodes-cost-margin"
BOTH = "Diodes in the contacts, or follows-select, would end"


def test_a_square_by_hand() -> None:
    """Of the pairs a+b, a+c and b+c each makes a phantom while Shift is held; the triple closes one with nothing left to read.

    With a key held alone there is none: two contacts make none.
    """
    (cure, _) = cures_of(square())
    assert cure.now == Wrong(presses=0, pairs=3, triples=1, refused=0, controllers=0)
    assert cure.then == Wrong(presses=0, pairs=0, triples=0, refused=0, controllers=0)
    assert cure.ends == cure.now
    assert line_of(square()) == f"{BOTH} 3 pairs and 1 triple with a phantom{TAIL}"


def test_keys_that_the_machine_does_not_tell_apart_are_not_told() -> None:
    """With a limit of two keys no triple is ever closed, and with one no pair, so that nothing is left to tell."""
    assert line_of(square(", rollover: 2")) == f"{BOTH} 3 pairs with a phantom{TAIL}"
    assert line_of(square(", rollover: 1")) is None


def test_a_refused_press_ends_and_one_beyond_the_limit_stays() -> None:
    """A chord of two keys is refused with Shift, which a diode ends; by the limit of one key it is refused with diodes too."""
    chord = ", KeyE: a + b"
    free = cures_of(square(keys=chord))[0]
    assert (free.now.refused, free.then.refused) == (1, 0)
    assert "would end 1 refused press, and " in (line_of(square(keys=chord)) or "")
    limited = cures_of(square(", rollover: 1", chord))[0]
    assert (limited.now.refused, limited.then.refused) == (2, 2)


def test_without_the_guard_the_presses_are_told_as_they_are_read() -> None:
    """With the guard off nothing is refused, and a press makes a phantom."""
    plan = plan_of(KEYS.replace("keys:", "guard: off\nkeys:") % ", KeyE: a + b", RECTANGLE % "")
    assert "would end 1 press with a phantom, " in (line_of(plan) or "")


def test_what_a_plain_contact_of_a_controller_does_remains() -> None:
    """A controller's plain contact can be the corner between two contacts through diodes; so much is told to remain."""
    plan = square(more=STICK)
    (cure, _) = cures_of(plan)
    assert 0 < cure.then.controllers < cure.now.controllers
    told = f"{cure.ends.controllers} of {cure.now.controllers} conflicts with controllers{TAIL}"
    assert (line_of(plan) or "").endswith(told)


def test_following_is_not_offered_to_a_machine_that_reads_too_soon() -> None:
    """Where mm_follow.h has no time, only diodes are left."""
    assert (line_of(square(", strobe_to_read_us: 2")) or "").startswith("Diodes in the contacts would end")
    assert (line_of(square(", strobe_to_read_us: 200")) or "").startswith(BOTH)


def test_where_nothing_can_be_left_nothing_is_compiled(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a refused press or a plain contact of a controller the circuit alone gives the answer."""
    conflicts = find_conflicts(square())

    def compiled(layout: object) -> None:
        raise AssertionError("compiled")

    monkeypatch.setattr(worth, "compile_plan", compiled)
    assert counted(conflicts)
    joined = find_conflicts(square(more=STICK))
    with pytest.raises(AssertionError, match="compiled"):
        counted(joined)


def test_a_layout_that_no_table_could_hold_then_is_not_offered(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the layout with other contacts has no table there is nothing to count, and no line."""
    conflicts = find_conflicts(square(more=STICK))

    def full(plan: Plan, ways: bool = True) -> None:
        raise TableError(plan.id, ())

    monkeypatch.setattr(worth, "make_strokes", full)
    assert counted(conflicts) == ()
    assert worth_line(conflicts.plan, ()) is None


def test_the_line_is_short_however_large_the_counts() -> None:
    """With the counts of the largest machines, all kinds of them at once, the line keeps to 200 characters."""
    many = Wrong(presses=9_999, pairs=99_999, triples=9_999_999, refused=9_999, controllers=99_999)
    none = Wrong(presses=0, pairs=0, triples=0, refused=0, controllers=1)
    line = worth_line(square(), tuple(Worth(contacts=how, now=many, then=none) for how in ONE_WAY))
    assert line
    assert len(line) <= 200
