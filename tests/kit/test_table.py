"""The table of faults and presses is that of a second writer, and each fault ends in its own class."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from matrixmap.board.routes import Traced
from matrixmap.kit.table import FaultTable, fault_table
from matrixmap.kit.trials.faults import Fault, Kind, faults_of
from matrixmap.kit.trials.played import Played
from matrixmap.kit.trials.signals import Signals
from matrixmap.model.boards.adapter import Pin
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact
from matrixmap.simulate.scan import Moment, Reader
from tests.kit.boards import TIMELY, board_of, plan_for, table_of, took
from tests.kit.witness import Witness
from tests.project import open_folders
from tests.shipped import in_campaign

SECONDS = 10.0
"""Of processor time, for all that is made of one adapter."""


def compare(table: FaultTable, faults: list[Fault], presses: list[int]) -> list[str]:
    """The cells in which the table and the second writer differ."""
    found = []
    for fault in faults:
        ours = {tuple(model.answers[press + 1] for press in presses) for model in table.models[fault]}
        theirs = {
            tuple(Witness(table.board, fault, high).press(table.presses[press].asks) for press in presses)
            for high in (True, False)
        }
        if ours != theirs:
            found.append(f"{fault}: {ours}, {theirs}")
    return found


def on_the_board(table: FaultTable) -> list[Fault]:
    """The faults that are on the board, not in the chip."""
    return [fault for fault in table.models if fault.kind is not Kind.LAYOUT]


@pytest.mark.parametrize(
    ("adapter", "share"),
    [in_campaign(("ferrule", 3)), ("pommel", 4), in_campaign(("locket", 80))],
)
def test_the_second_writer_agrees(adapter: str, share: int) -> None:
    """Of a share of the faults, two presses show what a simulation pin by pin shows, in each model."""
    table = table_of(adapter)
    chosen = random.Random(adapter)
    faults = on_the_board(table)
    presses = chosen.sample(range(len(table.presses)), 2 if adapter != "locket" else 1)
    assert compare(table, chosen.sample(faults, len(faults) // share), presses) == []


@pytest.mark.campaign
@pytest.mark.parametrize("adapter", ["ferrule", "pommel"])
def test_the_second_writer_agrees_on_every_fault(adapter: str) -> None:
    """All faults, with eight presses."""
    table = table_of(adapter)
    presses = random.Random(adapter).sample(range(len(table.presses)), 8)
    assert compare(table, on_the_board(table), presses) == []


@pytest.mark.parametrize("adapter", TIMELY)
def test_a_board_without_fault_types_what_is_meant(adapter: str) -> None:
    """Each press of a right board types what the table of the layout says, and nothing goes on."""
    table = table_of(adapter)
    assert table.healthy[0] == "nothing"
    meant = {press.words: answer for press, answer in zip(table.presses, table.healthy[1:], strict=True)}
    assert meant["A"] == "a"
    assert meant["Shift A"] == "A"
    assert not any("…" in answer for answer in table.healthy)


def test_every_kind_of_fault_is_there() -> None:
    """Each joint of a net of several, each pair of neighbours, each part, and the connector in each other way."""
    board = board_of("ferrule")
    faults = faults_of(board, ["x"])
    opens = {fault.pins[0] for fault in faults if fault.kind is Kind.OPEN}
    assert opens == {pin for net in board.adapter.nets for pin in net.pins if len(net.pins) > 1}
    assert {fault.ref for fault in faults if fault.kind is Kind.MISSING} == set(board.adapter.parts)
    assert {fault.ref for fault in faults if fault.kind is Kind.TURNED} == {"J2", "U1", "U2", "Q1"}
    bridges = {frozenset(fault.pins) for fault in faults if fault.kind is Kind.BRIDGE}
    assert frozenset((Pin("U2", "5"), Pin("U2", "6"))) in bridges, "AX0 and X0 lie side by side"
    assert frozenset((Pin("U2", "14"), Pin("U2", "15"))) not in bridges, (
        "the last pin of a row is far from the first of the other"
    )
    assert frozenset((Pin("J1", "3"), Pin("J1", "4"))) in bridges, "across from each other"
    assert len([fault for fault in faults if fault.kind is Kind.CONNECTOR]) == 7
    assert faults[-1] == Fault(kind=Kind.LAYOUT, layout="x")


def test_what_two_models_read_otherwise_is_not_called_shown() -> None:
    """An open reset of the array holds it empty or does nothing: no press shows that in every case."""
    table = table_of("ferrule")
    fault = Fault(kind=Kind.OPEN, pins=(Pin("U2", "3"),))
    assert len(table.models[fault]) == 2
    assert fault in table.hidden
    assert fault not in table.shown


def test_modifiers_alone_are_never_asked_for() -> None:
    """A press of a modifier alone shows nothing, so no question asks for one; pairs with one are asked for."""
    words = {press.words for press in table_of("ferrule").presses}
    assert not words & {"Shift", "left Shift", "right Shift", "Alt", "Control", "AltGr"}
    assert any(each.startswith("Shift ") for each in words)


@pytest.mark.parametrize("adapter", [in_campaign("locket")])
def test_bits_shifted_at_once_are_those_shifted_one_by_one(adapter: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where all inputs of a chain are regular, the short way gives what the driver's writes give, for a share of the faults."""
    table = table_of(adapter)
    bench = table.bench
    compared = 0
    for fault in on_the_board(table)[::9]:
        wired = bench.wired_with((fault,))
        short = Played(Signals(wired, bench.program, True, bench.signals))
        quick = short.play()
        if not short.follows:
            continue
        with monkeypatch.context() as patch:
            patch.setattr(Played, "_is_regular", lambda played: False)
            slow = Played(Signals(wired, bench.program, True, bench.signals)).play()
        assert [each.stored for each in quick] == [each.stored for each in slow], fault
        compared += 1
    assert compared > 20


@pytest.mark.parametrize("adapter", TIMELY)
def test_a_kit_and_its_questions_take_little_time(adapter: str) -> None:
    """Table, text, list, measurements and tree of an adapter, as they were made for the tests: ten seconds of a processor at most."""
    assert 0.1 < took(adapter) <= SECONDS


def with_jumper() -> FaultTable:
    """The Ferrule with a jumper in place of the resistor before the array's reset, closed as it should be."""
    from matrixmap.board.nets import make_board

    loaded = open_folders().part("jumper")
    assert loaded is not None
    assert loaded.value is not None
    board = board_of("ferrule")
    adapter = board.adapter
    use = replace(adapter.parts["R2"], part=loaded.value, ohms=None, closed=True)
    made = make_board(replace(adapter, parts={**adapter.parts, "R2": use}), board.machine, board.fit)
    assert made is not None
    return fault_table(Traced(made), plan_for("ferrule"))


def test_a_jumper_the_wrong_way_is_a_fault() -> None:
    """An open jumper leaves the reset of the array to its resistor, which holds it: nothing is typed but by the direct line."""
    table = with_jumper()
    (model,) = table.models[Fault(kind=Kind.JUMPER, ref="R2")]
    assert set(model.answers) == {"nothing", "<Hail>"}
    assert Fault(kind=Kind.JUMPER, ref="R2") in table.shown
    pulled_down = Fault(kind=Kind.OPEN, pins=(Pin("R2", "1"),))
    assert table.models[pulled_down][0].answers == model.answers


def test_what_is_read_of_images_is_what_is_read_of_contacts_over_time() -> None:
    """Images that stay long enough are read as contacts are that stay for a second each."""
    table = table_of("ferrule")
    reader = Reader(table.board.machine, Contacts.SWITCH)
    for press in table.presses:
        sets = [frozenset(Contact(bit) for bit in range(mask.bit_length()) if mask >> bit & 1) for mask in press.asks]
        moments = [Moment(time_us=1_000_000 * at, contacts=contacts) for at, contacts in enumerate(sets)]
        over_time = [(read.key, read.state, read.types) for read in reader.read(moments)]
        images = reader.read_images([reader.image(contacts) for contacts in sets])
        assert [(read.key, read.state, read.types) for reads in images for read in reads] == over_time
