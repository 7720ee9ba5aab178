"""What is joined to what on a board with faults: its nodes, what is cut, and which parts still have their supply."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from matrixmap.board.nets import GROUND, MACHINE, SUPPLY, Board, through_cable
from matrixmap.kit.trials.faults import Fault, Kind, turned_pin
from matrixmap.model.boards.adapter import Channel, Passive, Pin

Edge = tuple[Pin, Pin]


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor:
    """A resistor of a part between two pins."""

    ends: Edge
    ohms: float


def _mated(board: Board, pairs: Iterable[tuple[int, int]]) -> Iterator[Edge]:
    blank, own_blank = board.connector.key_pin, board.header.key_pin
    for pin, own in pairs:
        if pin != blank and own != own_blank:
            yield Pin(MACHINE, str(pin)), Pin(board.header.ref, str(own))


class Wired:
    """A board with some faults: the node of each pin, worked out where the faults change it.

    A node is a number; `members` are its pins. `missing` are the parts that are not there.
    """

    def __init__(self, board: Board, healthy: Wired | None = None, faults: tuple[Fault, ...] = ()) -> None:
        self.board = board
        self.missing = frozenset(fault.ref for fault in faults if fault.kind is Kind.MISSING)
        self._turned = frozenset(fault.ref for fault in faults if fault.kind is Kind.TURNED)
        self._open = frozenset(pin for fault in faults if fault.kind is Kind.OPEN for pin in fault.pins)
        self._jumpers = frozenset(fault.ref for fault in faults if fault.kind is Kind.JUMPER)
        self._way = next((fault.way for fault in faults if fault.kind is Kind.CONNECTOR), None)
        bridges = [fault.pins for fault in faults if fault.kind is Kind.BRIDGE]
        self.channels: tuple[tuple[str, Channel], ...] = healthy.channels if healthy else tuple(_channels(board))
        self._resistors: tuple[tuple[str, Resistor], ...] = healthy._resistors if healthy else tuple(_resistors(board))
        self.node: dict[Pin, int] = dict(healthy.node) if healthy else {}
        self.members: dict[int, tuple[Pin, ...]] = dict(healthy.members) if healthy else {}
        self.touched = self._touched(healthy, faults)
        self._group(bridges)

    def _touched(self, healthy: Wired | None, faults: tuple[Fault, ...]) -> frozenset[Pin]:
        """The pins whose node may be another than on the healthy board."""
        if healthy is None:
            return frozenset((*_all_pins(self.board),))
        pins: set[Pin] = set()
        for fault in faults:
            pins.update(fault.pins)
            if fault.ref:
                pins.update(Pin(fault.ref, number) for number in self.board.adapter.parts[fault.ref].part.pins)
            if fault.kind is Kind.CONNECTOR:
                pins.update(Pin(MACHINE, str(number)) for number in range(1, len(self.board.connector.pins) + 1))
        return frozenset(member for pin in pins for member in healthy.members[healthy.node[pin]])

    def _group(self, bridges: Iterable[tuple[Pin, ...]]) -> None:
        beside: dict[Pin, list[Pin]] = {pin: [] for pin in self.touched}
        for one, other in (*self._edges(), *((pair[0], pair[1]) for pair in bridges)):
            beside[one].append(other)
            beside[other].append(one)
        seen: set[Pin] = set()
        for node in {self.node[pin] for pin in self.touched if pin in self.node}:
            del self.members[node]
        number = max(self.members, default=-1) + 1
        for pin in sorted(self.touched):
            if pin in seen:
                continue
            found, waiting = [pin], [pin]
            seen.add(pin)
            while waiting:
                for other in beside[waiting.pop()]:
                    if other not in seen:
                        seen.add(other)
                        found.append(other)
                        waiting.append(other)
            for member in found:
                self.node[member] = number
            self.members[number] = tuple(found)
            number += 1

    def _edges(self) -> Iterator[Edge]:
        """The joins among the touched pins, as the faults leave them."""
        board, touched = self.board, self.touched
        pins = [Pin(MACHINE, str(number)) for number in range(1, len(board.connector.pins) + 1)]
        for name in (GROUND, SUPPLY):
            same = [pin for pin, line in zip(pins, board.connector.pins, strict=True) if line == name]
            yield from ((same[0], pin) for pin in same[1:] if pin in touched)
        pairs = board.pairs
        if self._way is not None:
            pairs = through_cable(board.fit, board.shape, board.own_shape, self._way)
        if board.header.ref not in self.missing:
            yield from (edge for edge in _mated(board, pairs) if edge[0] in touched or edge[1] in touched)
        for use in board.adapter.parts.values():
            closed = use.closed != (use.ref in self._jumpers)
            if use.part.passive in (Passive.JUMPER, Passive.INDUCTOR) and closed and use.ref not in self.missing:
                edges = ((Pin(use.ref, a), Pin(use.ref, b)) for a, b in use.part.elements)
                yield from (edge for edge in edges if edge[0] in touched)
        for net in board.adapter.nets:
            if net.pins[0] in touched:
                on = [self._in_net(pin) for pin in net.pins if pin not in self._open and pin.ref not in self.missing]
                yield from ((on[0], pin) for pin in on[1:])

    def _in_net(self, pin: Pin) -> Pin:
        """The pin that is soldered where a pin belongs: another one of its part where that is turned."""
        if pin.ref not in self._turned:
            return pin
        return Pin(pin.ref, turned_pin(self.board.adapter.parts[pin.ref].part, pin.number))

    def shape(self) -> frozenset[frozenset[Pin]]:
        """The touched pins as they hang together: two sets of faults with one shape are one to all that follows."""
        return frozenset(frozenset(self.members[node]) for node in {self.node[pin] for pin in self.touched})

    def resistors(self) -> Iterator[Resistor]:
        """The resistors that are there, each between its own pins."""
        return (resistor for ref, resistor in self._resistors if ref not in self.missing)


def _all_pins(board: Board) -> Iterator[Pin]:
    for ref, use in board.adapter.parts.items():
        yield from (Pin(ref, number) for number in use.part.pins)
    yield from (Pin(MACHINE, str(number)) for number in range(1, len(board.connector.pins) + 1))


def _channels(board: Board) -> Iterator[tuple[str, Channel]]:
    """The switches of all parts, each with its part."""
    for ref, use in board.adapter.parts.items():
        yield from ((ref, channel) for channel in use.part.channels)


def _resistors(board: Board) -> Iterator[tuple[str, Resistor]]:
    """The resistors of all parts, each with its part."""
    for ref, use in board.adapter.parts.items():
        if use.part.passive is Passive.RESISTOR:
            for a, b in use.part.elements:
                yield ref, Resistor(ends=(Pin(ref, a), Pin(ref, b)), ohms=use.ohms or 1.0)
