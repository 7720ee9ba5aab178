"""What a machine's file leaves open of what is seen: a fault counts as shown only if it shows in each way."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from matrixmap.board.nets import make_board
from matrixmap.board.routes import Traced
from matrixmap.join.plan import compile_plan
from matrixmap.kit import table as of_tables
from matrixmap.kit.presses import presses_of
from matrixmap.kit.screen import Screen, screens_of
from matrixmap.kit.table import FaultTable, fault_table
from matrixmap.kit.text import text_of
from matrixmap.kit.trials.faults import Fault, Kind
from matrixmap.model.boards.adapter import Pin
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Machine, MoreKeys
from tests.kit.boards import board_of, plan_for
from tests.kit.witness import Witness

OPEN_HAIL = Fault(kind=Kind.OPEN, pins=(Pin("J1", "21"),))
UNSEEN, AT_TIMES = "ArrowUp", "Hail"


@cache
def open_table(*more_keys: MoreKeys) -> FaultTable:
    """The Ferrule with every sixth press, on a machine that leaves open what is seen."""
    board, plan = board_of("ferrule"), plan_for("ferrule")
    scan = replace(board.machine.scan, more_keys=more_keys)
    machine = replace(board.machine, scan=scan, unseen=(UNSEEN,), seen_at_times=(AT_TIMES,))
    made = make_board(board.adapter, machine, board.fit)
    assert made is not None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(of_tables, "presses_of", lambda plan: presses_of(plan)[::6])
        return fault_table(Traced(made), compile_plan(replace(plan.layout, machine=machine)))


@pytest.mark.parametrize("more_keys", [(MoreKeys.FIRST, MoreKeys.RELEASED), (MoreKeys.KEPT,)], ids=str)
def test_the_second_writer_agrees_in_each_way(more_keys: tuple[MoreKeys, ...]) -> None:
    """Of a share of the faults, all answers in all ways of seeing are those of a simulation pin by pin."""
    table = open_table(*more_keys)
    chosen = random.Random(len(more_keys))
    presses = chosen.sample(range(len(table.presses)), 2)
    several = 0
    for fault in chosen.sample(list(table.models), 12):
        ours = {tuple(model.answers[press + 1] for press in presses) for model in table.models[fault]}
        theirs = {
            tuple(
                Witness(table.board, fault, high, more.value, unseen).press(table.presses[press].asks)
                for press in presses
            )
            for high in (True, False)
            for more in more_keys
            for unseen in (frozenset({UNSEEN}), frozenset({UNSEEN, AT_TIMES}))
        }
        assert ours == theirs, fault
        several += len(theirs) > 1
    assert several


def test_what_shows_at_times_only_is_counted_on_for_nothing() -> None:
    """No press is asked for that types it, so an open line of that key alone is hidden; a board where it always shows has it."""
    table = open_table(MoreKeys.KEPT)
    assert not {AT_TIMES, UNSEEN} & {answer.strip("<>") for answer in table.healthy}
    assert any(AT_TIMES in answer for each in table.classes for answer in each.answers)
    assert OPEN_HAIL in table.hidden
    plain = fault_table(Traced(board_of("ferrule")), plan_for("ferrule"))
    assert OPEN_HAIL in plain.shown


def test_shown_is_what_shows_in_each_way() -> None:
    """Each fault has a model for each way that differs, and is shown if none of them is that of a right board."""
    one, several = open_table(MoreKeys.KEPT), open_table(MoreKeys.FIRST, MoreKeys.RELEASED)
    assert len(one.screens) == 2
    assert len(several.screens) == 4
    assert sum(map(len, several.models.values())) > sum(map(len, one.models.values()))
    for table in (one, several):
        for fault, models in table.models.items():
            assert (fault in table.shown) == all(model.answers != table.healthy for model in models)
    text = text_of(several)
    chosen = sum(1 << number for number in text.presses)
    assert all(several.row(model.answers) & chosen for fault in several.shown for model in several.models[fault])


def machine_with(*more_keys: MoreKeys) -> Machine:
    """The demo machine, which tells two keys apart and repeats."""
    machine = board_of("ferrule").machine
    return replace(machine, scan=replace(machine.scan, more_keys=more_keys))


def test_more_keys_than_the_rollover_are_seen_as_declared() -> None:
    """Three keys at once: nothing, the first two in the order of lines, or nothing; what was held before goes on or is released."""
    machine = machine_with(MoreKeys.KEPT, MoreKeys.FIRST, MoreKeys.RELEASED)
    kept, first, released = screens_of(machine, Contacts.SWITCH)
    b, d, f = (1 << machine.key(name).contact for name in ("b", "d", "f"))
    three, order = [0, b | d | f, 0], sorted("bdf", key=lambda name: machine.key(name).contact)
    assert kept.appears(three) == released.appears(three) == "nothing"
    assert first.appears(three) == "".join(order[:2])
    last = 1 << machine.key(order[2]).contact
    held = [0, last, b | d | f]
    assert kept.appears(held) == f"{order[2]}…"
    assert first.appears(held) == f"{order[2]}{order[0]}{order[1]}…"
    assert released.appears(held) == order[2]


def test_a_machine_that_says_nothing_is_seen_as_ever() -> None:
    """All shows, a machine of one key finds the first, and others go by no scan with more."""
    (screen,) = screens_of(board_of("ferrule").machine, Contacts.SWITCH)
    machine = board_of("ferrule").machine
    images = [0, 1 << machine.key("hail").contact, 0]
    assert screen.appears(images) == "<Hail>"
    assert Screen(machine, Contacts.SWITCH, None).appears(images) == "<Hail>"
    assert machine.scan.with_more_keys == (MoreKeys.KEPT,)
    assert replace(machine.scan, rollover=1).with_more_keys == (MoreKeys.FIRST,)
