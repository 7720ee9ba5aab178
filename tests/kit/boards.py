"""The shipped adapters with a layout that closes contacts in their way, and all that is made of them, each made once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from time import process_time
from typing import TypeVar

from matrixmap.board.nets import Board, make_board
from matrixmap.board.routes import Traced
from matrixmap.join.plan import compile_plan
from matrixmap.kit.apart import list_of
from matrixmap.kit.fewest import Fewest
from matrixmap.kit.meter import Meter, meter_checks, to_measure
from matrixmap.kit.table import FaultTable, fault_table
from matrixmap.kit.text import Text, text_of
from matrixmap.kit.tree import Tree, make_tree
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Plan
from matrixmap.press.rules import Rules
from tests.project import open_folders, read_layout
from tests.shipped import in_campaign

ADAPTERS = ("ferrule", "pommel", "locket")
TIMELY = ("ferrule", "pommel", in_campaign("locket"))
"""The Locket, with four times as many faults as the others, waits for the campaign."""
LAYOUT = "quillon8-en-GB-symbolic"
AMPLE = 60.0
"""Seconds for a search: on a busy machine the usual ones may be too few."""

_TOOK: dict[str, float] = {}
Made = TypeVar("Made")


def took(adapter: str) -> float:
    """The processor's seconds that the table, text, list, tree and measurements of an adapter took."""
    for make in (table_of, shortest_of, lookup_of, tree_of, meter_of):
        make(adapter)
    return _TOOK[adapter]


def _timed(adapter: str, make: Callable[[], Made]) -> Made:
    start = process_time()
    made = make()
    _TOOK[adapter] = _TOOK.get(adapter, 0.0) + process_time() - start
    return made


@cache
def board_of(adapter: str) -> Board:
    """A shipped adapter on its machine."""
    project = open_folders()
    loaded, machine = project.adapter(adapter), project.machine("quillon8")
    assert loaded is not None
    assert loaded.value is not None
    assert machine is not None
    assert machine.value is not None
    board = make_board(loaded.value, machine.value, loaded.value.fits[0])
    assert board is not None
    return board


def plan_for(adapter: str, layout: str = LAYOUT) -> Plan:
    """A layout as it is for an adapter: its contacts close as those of the board do."""
    return _plan(Contacts(Traced(board_of(adapter)).how), layout)


@cache
def _plan(how: Contacts, layout: str) -> Plan:
    return compile_plan(replace(read_layout(open_folders(), layout), contacts=how))


@cache
def table_of(adapter: str) -> FaultTable:
    """The table of an adapter; each other layout of the machine may be in the chip by mistake."""
    others = [id for id in open_folders().ids("layout") if id.startswith("quillon8-") and id != LAYOUT]
    rules = [Rules(plan_for(adapter, other)) for other in others]
    return _timed(adapter, lambda: fault_table(Traced(board_of(adapter)), plan_for(adapter), rules))


@cache
def shortest_of(adapter: str) -> Text:
    """The text of an adapter's table."""
    table = table_of(adapter)
    return _timed(adapter, lambda: text_of(table, AMPLE))


@cache
def lookup_of(adapter: str) -> Fewest:
    """The list that tells all classes of an adapter's table apart."""
    table = table_of(adapter)
    return _timed(adapter, lambda: list_of(table, AMPLE))


@cache
def tree_of(adapter: str) -> Tree:
    """The tree of an adapter's table."""
    table = table_of(adapter)
    return _timed(adapter, lambda: make_tree(table, AMPLE))


@cache
def meter_of(adapter: str) -> Meter:
    """The measurements before power."""
    table = table_of(adapter)
    return _timed(adapter, lambda: meter_checks(table.board, to_measure(table), AMPLE))
