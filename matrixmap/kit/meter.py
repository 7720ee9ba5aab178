"""What does a meter say before power is on? The fewest measurements that show what no press shows, or what may do harm.

The board is not on the machine, and nothing has its supply. A measurement is between two pins: joined, a resistance, or open. Chips
count as open, so that a real reading may be lower than one that is told as open.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from math import inf

from matrixmap.board.nets import Board
from matrixmap.kit.fewest import SECONDS, fewest
from matrixmap.kit.table import FaultTable
from matrixmap.kit.trials.faults import Fault, Kind
from matrixmap.kit.trials.signals import Power
from matrixmap.kit.trials.wired import Wired
from matrixmap.model.boards.adapter import Passive, Pin

JOINED = 0.0
OPEN = inf
ALIKE = 0.2
"""Two readings are told apart where they differ by more than this share (common practice: parts of 5 percent, a simple meter)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """Between which pins to measure, the ohms that a right board has (JOINED, OPEN), and the faults that it shows."""

    pins: tuple[Pin, Pin]
    ohms: float
    shows: tuple[Fault, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """Measurements, those that show the most first, and faults that only the eye finds; `at_least` as many are needed."""

    measurements: tuple[Measurement, ...]
    by_eye: tuple[Fault, ...]
    at_least: int


def harmful(board: Board, faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """The bridges that put a supply where it may do harm."""
    bench = Wired(board)
    supply = Power(bench).supply
    return tuple(
        fault for fault in faults if fault.kind is Kind.BRIDGE and any(bench.node[pin] in supply for pin in fault.pins)
    )


def to_measure(table: FaultTable) -> tuple[Fault, ...]:
    """The faults to measure before power: those that no press shows in every case, and those that may do harm."""
    return tuple(dict.fromkeys((*table.hidden, *harmful(table.board, table.models))))


def meter_checks(
    board: Board, faults: Sequence[Fault], seconds: float = SECONDS, bench: MeterBench | None = None
) -> Meter:
    """The fewest measurements that show each of some faults that a meter can show; a bench is worth keeping. NoSolverError."""
    work = bench or MeterBench(board)
    work.take(faults)
    candidates = [pins for fault in faults for pins in work.candidates(fault)]
    pairs = list(dict.fromkeys(candidates))
    rows: dict[Fault, int] = {}
    for fault in faults:
        rows[fault] = sum(1 << number for number, pins in enumerate(pairs) if work.shows(pins, fault))
    found = fewest([row for row in rows.values() if row], len(pairs), seconds)
    measurements = [
        Measurement(
            pins=pairs[number],
            ohms=work.ohms(work.wired, pairs[number]),
            shows=tuple(fault for fault, row in rows.items() if row >> number & 1),
        )
        for number in found.chosen
    ]
    measurements.sort(key=lambda each: (-len(each.shows), each.pins))
    by_eye = tuple(fault for fault, row in rows.items() if not row)
    return Meter(measurements=tuple(measurements), by_eye=by_eye, at_least=found.at_least)


class MeterBench:
    """The board by itself, off the machine, right and with each fault."""

    def __init__(self, board: Board) -> None:
        self.board = board = replace(board, pairs=())
        self.wired = Wired(board)
        self._with: dict[Fault, Wired] = {}
        self._right: dict[tuple[Pin, Pin], tuple[float, int]] = {}
        self._resistors: dict[int, Mapping[int, list[tuple[int, float]]]] = {}
        self._hangs = self._hanging()
        self._changes: dict[Fault, frozenset[int]] = {}

    def _hanging(self) -> Mapping[int, int]:
        """Node of the right board -> a number that all nodes have to which resistors lead from it."""
        beside = self._beside(self.wired)
        found: dict[int, int] = {}
        for number, start in enumerate(self.wired.members):
            waiting = [start] if start not in found else []
            while waiting:
                node = waiting.pop()
                if node not in found:
                    found[node] = number
                    waiting += [other for other, _ in beside.get(node, ())]
        return found

    def take(self, faults: Iterable[Fault]) -> None:
        """Puts boards with these faults beside the right one."""
        for fault in faults:
            if fault.kind not in (Kind.LAYOUT, Kind.CONNECTOR) and fault not in self._with:
                wired = self._with[fault] = Wired(self.board, self.wired, (fault,))
                self._changes[fault] = frozenset(self._hangs[self.wired.node[pin]] for pin in wired.touched)

    def candidates(self, fault: Fault) -> Iterator[tuple[Pin, Pin]]:
        """Measurements that may show a fault."""
        if fault.kind is Kind.OPEN:
            yield from self._across(fault.pins[0])
            yield from self._along(fault.pins[0])
        elif fault.kind is Kind.BRIDGE:
            one, other = sorted(fault.pins)
            yield one, other
        elif fault.kind in (Kind.MISSING, Kind.TURNED, Kind.JUMPER):
            for a, b in self.board.adapter.parts[fault.ref].part.elements:
                yield from self._between(Pin(fault.ref, a), Pin(fault.ref, b))

    def _along(self, pin: Pin) -> Iterator[tuple[Pin, Pin]]:
        """From a joint to another one of its net, to a chip or connector rather than to a capacitor."""
        net = [other for other in self.board.nets[pin].pins if other != pin]
        best = min(net, key=lambda other: (self.board.adapter.part(other).passive is not None, net.index(other)))
        yield (pin, best) if pin < best else (best, pin)

    def _across(self, pin: Pin) -> Iterator[tuple[Pin, Pin]]:
        """Through the resistor of a joint, from net to net: that shows both its joints."""
        for a, b in self.board.adapter.part(pin).elements:
            if pin.number in (a, b):
                yield from self._between(Pin(pin.ref, a), Pin(pin.ref, b))

    def _between(self, one: Pin, other: Pin) -> Iterator[tuple[Pin, Pin]]:
        if self.board.adapter.part(one).passive is Passive.CAPACITOR or not {one, other} <= set(self.board.nets):
            return
        ends = []
        for pin in (one, other):
            rest = [each for each in self.board.nets[pin].pins if each.ref != pin.ref]
            rest.sort(key=lambda each: self.board.adapter.part(each).passive is not None)
            ends.append(rest[0] if rest else pin)
        if ends[0] != ends[1]:
            yield (ends[0], ends[1]) if ends[0] < ends[1] else (ends[1], ends[0])

    def shows(self, pins: tuple[Pin, Pin], fault: Fault) -> bool:
        """Whether a measurement reads otherwise on a board with the fault."""
        wired = self._with.get(fault)
        part_alone = (
            fault.kind in (Kind.MISSING, Kind.TURNED) and self.board.adapter.parts[fault.ref].part.passive is None
        )
        if wired is None or part_alone:
            return False
        if not {self._hangs[self.wired.node[pin]] for pin in pins} & self._changes[fault]:
            return False  # Nothing that a current can take between the two is touched.
        if pins not in self._right:
            self._right[pins] = self.ohms(self.wired, pins), self.hops(pins)
        right, hops = self._right[pins]
        if hops > 1:
            # A reading through several resistors says little but that nothing is joined.
            return wired.node[pins[0]] == wired.node[pins[1]]
        now = self.ohms(wired, pins)
        if right in (JOINED, OPEN) or now in (JOINED, OPEN):
            return right != now
        return abs(right - now) > ALIKE * max(right, now)

    def hops(self, pins: tuple[Pin, Pin]) -> int:
        """How many resistors lie between two pins of a right board, at least; 0 also where nothing does."""
        beside = self._beside(self.wired)
        seen = here = {self.wired.node[pins[0]]}
        count = 0
        while here:
            if self.wired.node[pins[1]] in here:
                return count
            here = {other for node in here for other, _ in beside.get(node, ())} - seen
            seen = seen | here
            count += 1
        return 0

    def ohms(self, wired: Wired, pins: tuple[Pin, Pin]) -> float:
        """What a meter reads between two pins: the path of the least resistance."""
        beside = self._resistors.get(id(wired))
        if beside is None:
            beside = self._resistors[id(wired)] = self._beside(wired)
        start, end = wired.node[pins[0]], wired.node[pins[1]]
        waiting, seen = [(0.0, start)], set()
        while waiting:
            ohms, node = heappop(waiting)
            if node == end:
                return ohms
            if node not in seen:
                seen.add(node)
                for other, more in beside.get(node, ()):
                    heappush(waiting, (ohms + more, other))
        return OPEN

    def _beside(self, wired: Wired) -> Mapping[int, list[tuple[int, float]]]:
        found: dict[int, list[tuple[int, float]]] = {}
        for resistor in wired.resistors():
            one, other = (wired.node[pin] for pin in resistor.ends)
            if one != other:
                found.setdefault(one, []).append((other, resistor.ohms))
                found.setdefault(other, []).append((one, resistor.ohms))
        return found
