"""Every fault, answered truthfully, ends in its own class; a wrong answer is told, or leaves two candidates."""

from __future__ import annotations

import random
from itertools import count

import pytest

from matrixmap.kit.finder import Finder, read_answer
from matrixmap.kit.meter import JOINED, OPEN, meter_checks, to_measure
from matrixmap.kit.trials.faults import Fault, Kind
from matrixmap.model.boards.adapter import Pin
from tests.kit.boards import TIMELY, board_of, meter_of, table_of, tree_of


def asked(finder: Finder, number: int, wrong: int | None = None, with_what: str = "", check: bool = True) -> int:
    """Answers as a class does, one question wrongly; gives how many were asked."""
    answers = finder.table.classes[number].answers
    for at in count():
        asks = finder.next(check)
        if asks is None:
            return at
        finder.take(asks, with_what if at == wrong else answers[asks])
    raise AssertionError


@pytest.mark.parametrize("adapter", TIMELY)
def test_every_fault_ends_in_its_own_class(adapter: str) -> None:
    """Each fault, in each model, is among those that are told in the end, and nothing that fits other answers is."""
    table, tree = table_of(adapter), tree_of(adapter)
    ended = {}
    for number, each in enumerate(table.classes):
        finder = Finder(table, tree)
        assert asked(finder, number, check=False) <= tree.worst
        assert [near.number for near in finder.fitting] == [number]
        ended[each.answers] = set(each.faults)
    for fault, models in table.models.items():
        for model in models:
            assert fault in ended[model.answers]


@pytest.mark.parametrize("adapter", ["ferrule", "pommel"])
def test_one_wrong_answer_is_told_or_leaves_two(adapter: str) -> None:
    """For every class and every place one answer is wrong: no class fits all, or the right one is among two candidates."""
    table, tree = table_of(adapter), tree_of(adapter)
    chosen = random.Random(adapter)
    said = 0
    for number, each in enumerate(table.classes):
        truthful = Finder(table, tree)
        asked(truthful, number)
        for wrong, one in enumerate(truthful.observed):
            others = sorted({other.answers[one.asks] for other in table.classes} - {one.answer})
            finder = Finder(table, tree)
            asked(finder, number, wrong, chosen.choice([*others, "?"]))
            if not finder.fitting:
                said += 1
                continue
            near = [found.number for found in finder.near(1)]
            assert len(finder.fitting) == 1, (each.faults, wrong)
            assert number in near
            assert len(near) <= 2
    assert said


@pytest.mark.campaign
def test_one_wrong_answer_is_told_or_leaves_two_of_many_classes() -> None:
    """The same for a few classes of the adapter with the most, each with one wrong answer at a place drawn."""
    table, tree = table_of("locket"), tree_of("locket")
    chosen = random.Random(4)
    for number in chosen.sample(range(1, len(table.classes)), 8):
        truthful = Finder(table, tree)
        asked(truthful, number)
        wrong = chosen.randrange(len(truthful.observed))
        one = truthful.observed[wrong]
        others = sorted({other.answers[one.asks] for other in table.classes} - {one.answer})
        finder = Finder(table, tree)
        asked(finder, number, wrong, chosen.choice([*others, "?"]))
        near = [found.number for found in finder.near(1)]
        assert not finder.fitting or (len(finder.fitting) == 1 and number in near and len(near) <= 2), number


def test_answers_that_fit_nothing_have_their_nearest() -> None:
    """The classes that contradict the fewest answers are told, with these answers."""
    finder = Finder(table_of("ferrule"), tree_of("ferrule"))
    asked(finder, 5, check=False)
    asks = finder.observed[0].asks
    finder.observed[0] = type(finder.observed[0])(asks, "?")
    assert finder.fitting == ()
    assert 5 in [near.number for near in finder.nearest]
    assert finder.next() is None


def test_answers_to_one_press_may_contradict_each_other() -> None:
    """A press that was answered in two ways is told."""
    finder = Finder(table_of("ferrule"), tree_of("ferrule"))
    finder.take(1, "a")
    finder.take(2, "b")
    assert finder.contradictions == ()
    finder.take(1, "nothing")
    assert finder.contradictions == (1,)
    assert finder.undo()
    assert finder.contradictions == ()


def test_two_faults_side_by_side_are_found_as_a_pair() -> None:
    """Where two neighbouring joints are open and no single fault fits, the pair is among those that fit."""
    table = table_of("ferrule")
    one, other = (Fault(kind=Kind.OPEN, pins=(Pin("U2", number),)) for number in ("6", "7"))
    (images, _, _) = table.bench.try_wired(table.bench.wired_with((one, other)), high=True)
    finder = Finder(table, tree_of("ferrule"))
    for press, each in enumerate(images):
        finder.take(press + 1, table.screens[0].appears(each))
    assert finder.fitting == ()
    assert {one, other} in [set(pair) for pair in finder.pairs()]


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("a", "a"),
        (" nothing ", "nothing"),
        ("Nothing", "nothing"),
        ("", None),
        ("something else: ab", "ab"),
        ("something else:", None),
        ("a...", "a…"),
        ("aaaa", "a…"),
        ("baaa", "ba…"),
        ("enter", "<Enter>"),
        ("<enter>", "<Enter>"),
        ("#", "#"),
    ],
)
def test_an_answer_is_read_as_a_person_writes_it(text: str, read: str | None) -> None:
    """Case of words, dots for what goes on, and names of functions without brackets."""
    assert read_answer(text, ["<Enter>"]) == read


@pytest.mark.parametrize("adapter", TIMELY)
def test_a_meter_shows_what_no_press_shows(adapter: str) -> None:
    """Every hidden fault has a measurement, or is told as one for the eye: a part that is not there, or another layout."""
    table = table_of(adapter)
    faults, meter = to_measure(table), meter_of(adapter)
    shown = {fault for each in meter.measurements for fault in each.shows}
    assert shown | set(meter.by_eye) == set(faults)
    assert {fault.kind for fault in meter.by_eye} <= {Kind.MISSING, Kind.TURNED, Kind.LAYOUT}
    assert meter.at_least == len(meter.measurements)


def test_a_measurement_says_what_a_right_board_has() -> None:
    """An open ground joint, a bridge of supply and ground, and a resistor that is missing."""
    board = board_of("ferrule")

    def measured(fault: Fault) -> tuple[float, ...]:
        return tuple(each.ohms for each in meter_checks(board, (fault,)).measurements)

    assert measured(Fault(kind=Kind.OPEN, pins=(Pin("U1", "8"),))) == (JOINED,)
    assert measured(Fault(kind=Kind.BRIDGE, pins=(Pin("J1", "1"), Pin("J1", "2")))) == (OPEN,)
    assert measured(Fault(kind=Kind.MISSING, ref="R3")) == (100_000.0,)
    assert measured(Fault(kind=Kind.LAYOUT, layout="x")) == ()
