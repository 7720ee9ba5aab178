"""Faults, and the classes that no press tells apart, in words for a person with the board in hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.board.nets import Board
from matrixmap.kit.trials.faults import Fault, Kind
from matrixmap.model.boards.adapter import Pin


def fault_words(board: Board, fault: Fault) -> str:
    """One fault: `the joint of U2.X0 is open (net S0)`."""
    if fault.kind is Kind.OPEN:
        (pin,) = fault.pins
        return f"the joint of {_pin(board, pin)} is open (net {board.nets[pin].name})"
    if fault.kind is Kind.BRIDGE:
        one, other = fault.pins
        return f"{_pin(board, one)} and {_pin(board, other)} are bridged ({_net(board, one)} and {_net(board, other)})"
    if fault.kind is Kind.MISSING:
        return f"{fault.ref} is missing"
    if fault.kind is Kind.TURNED:
        return f"{fault.ref} is in the wrong way round"
    if fault.kind is Kind.CONNECTOR:
        return f"{fault.ref} is put on {fault.way.words()}"
    if fault.kind is Kind.JUMPER:
        right = "closed" if board.adapter.parts[fault.ref].closed else "open"
        return f"the jumper {fault.ref} is the wrong way; it should be {right}"
    return f"the chip has the layout {fault.layout}"


def class_words(board: Board, faults: Iterable[Fault]) -> Iterator[str]:
    """The faults of a class, a line each; open joints of one net together, since no press can tell these apart."""
    opens: dict[str, list[Pin]] = {}
    others: list[str] = []
    for fault in faults:
        if fault.kind is Kind.OPEN:
            opens.setdefault(board.nets[fault.pins[0]].name, []).append(fault.pins[0])
        else:
            others.append(fault_words(board, fault))
    for net, pins in opens.items():
        names = [_pin(board, pin) for pin in pins]
        if len(names) == 1:
            yield f"the joint of {names[0]} is open (net {net})"
        else:
            yield f"this net is open at a joint: {net} ({', '.join(names)})"
    yield from others


def _pin(board: Board, pin: Pin) -> str:
    """A pin by its part's reference and its number, with its name where it has one."""
    name = board.adapter.part(pin).pins[pin.number]
    return f"{pin.ref} pin {pin.number}" + (f" ({name})" if name != pin.number else "")


def pin_words(board: Board, pin: Pin) -> str:
    """A pin as a person finds it: `U2 pin 18 (STROBE)`."""
    return _pin(board, pin)


def _net(board: Board, pin: Pin) -> str:
    if pin in board.nets:
        return board.nets[pin].name
    pairs = {str(own): number for number, own in board.pairs}
    line = board.connector.pins[pairs[pin.number] - 1] if pin.number in pairs else None
    return line or "no net"
