"""The shipped adapters with a layout that closes contacts in their way, and their tables, each made once."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from matrixmap.board.nets import Board, make_board
from matrixmap.board.routes import Traced
from matrixmap.join.plan import compile_plan
from matrixmap.kit.table import FaultTable, fault_table
from matrixmap.kit.tree import Tree, make_tree
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Plan
from tests.project import open_folders, read_layout

ADAPTERS = ("ferrule", "pommel", "locket")
LAYOUT = "quillon8-en-GB-symbolic"
OTHERS = ("quillon8-de-DE-symbolic", "quillon8-en-US-positional", "quillon8-fr-FR-symbolic")


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
    how = Contacts(Traced(board_of(adapter)).how)
    return compile_plan(replace(read_layout(open_folders(), layout), contacts=how))


@cache
def table_of(adapter: str) -> FaultTable:
    """The table of an adapter, three layouts that may be in the chip by mistake included."""
    return fault_table(Traced(board_of(adapter)), plan_for(adapter), [plan_for(adapter, other) for other in OTHERS])


@cache
def tree_of(adapter: str) -> Tree:
    """The tree of an adapter's table."""
    return make_tree(table_of(adapter))
