"""What does the machine read of the lines of a board with faults? Asked of the one circuit solver."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from matrixmap.board.nets import GROUND, MACHINE, Board
from matrixmap.circuit.reading import ClosedCrosspoint, Conduction, read_matrix
from matrixmap.kit.trials.signals import Signals
from matrixmap.kit.trials.wired import Wired
from matrixmap.model.boards.adapter import Channel, Passive, Pin
from matrixmap.model.machine import Machine, SelectIndex, SenseIndex, Switch
from matrixmap.press.compiled import bits


@dataclass(frozen=True, slots=True)
class Group:
    """What of the machine hangs together on a board: select lines, sense lines (direct ones behind them), ground, a supply.

    `number` tells groups apart that have nothing of the machine, or more than one line.
    """

    selects: tuple[int, ...]
    senses: tuple[int, ...]
    ground: bool
    high: bool
    number: int = -1


@dataclass(frozen=True, slots=True)
class Ends:
    """The two groups that a switch joins."""

    one: Group
    other: Group


@dataclass(frozen=True, slots=True)
class Topology:
    """How the lines hang together: groups that are no single line, what diodes join, and switches that are no contact.

    `diodes` conduct from the first group to the second.
    """

    groups: tuple[Group, ...]
    diodes: tuple[Ends, ...]
    switches: tuple[Ends, ...]


class Lines:
    """The lines of one board, with what each of its switches joins."""

    def __init__(self, wired: Wired, signals: Signals, healthy: Lines | None = None) -> None:
        self.wired, self.signals = wired, signals
        self.board: Board = wired.board
        machine = self.board.machine
        self.select = {line: at for at, line in enumerate(machine.select)}
        self.sense = {line: at for at, line in enumerate((*machine.sense, *machine.direct))}
        self._groups: dict[int, Group] = {}
        if healthy is not None and self._resistors_as(healthy):
            self.root, self.nodes = healthy.root, healthy.nodes
            self._groups = dict(healthy._groups)
            for node in {healthy.wired.node[pin] for pin in wired.touched}:
                self._groups.pop(node, None)

    def _resistors_as(self, healthy: Lines) -> bool:
        """Whether resistors join the same nodes as on the right board, and the same nodes are fed."""
        wired, mine, power = self.wired, self.signals.power, healthy.signals.power
        resistors = list(wired.resistors())
        return (
            mine.ground == power.ground
            and mine.supply == power.supply
            and resistors == list(healthy.wired.resistors())
            and all(wired.touched.isdisjoint(resistor.ends) for resistor in resistors)
        )

    @cached_property
    def root(self) -> Mapping[int, int]:
        """Node -> the least node that resistors join it to, where neither end is fed."""
        power = self.signals.power
        fed = power.ground | power.supply
        root: dict[int, int] = {}

        def find(node: int) -> int:
            while root.get(node, node) != node:
                node = root[node]
            return node

        for resistor in self.wired.resistors():
            one, other = (find(self.wired.node[pin]) for pin in resistor.ends)
            if one != other and not {one, other} & fed:
                root[max(one, other)] = min(one, other)
        return {node: find(node) for node in root}

    @cached_property
    def nodes(self) -> Mapping[int, tuple[int, ...]]:
        """Root -> its nodes, where it has several."""
        found: dict[int, list[int]] = {}
        for node, root in self.root.items():
            found.setdefault(root, [root]).append(node)
        return {root: tuple(dict.fromkeys(nodes)) for root, nodes in found.items()}

    def group(self, pin: Pin) -> Group:
        """The group that a pin is in."""
        node = self.wired.node[pin]
        root = self.root.get(node, node)
        found = self._groups.get(root)
        if found is None:
            found = self._groups[root] = self._find(root)
        return found

    def _find(self, root: int) -> Group:
        power = self.signals.power
        selects, senses = set(), set()
        nodes = self.nodes.get(root, (root,))
        for node in nodes:
            for pin in self.wired.members[node]:
                if pin.ref == MACHINE:
                    line = self.board.connector.pins[int(pin.number) - 1] or ""
                    selects.update([self.select[line]] if line in self.select else [])
                    senses.update([self.sense[line]] if line in self.sense else [])
        ground, high = any(node in power.ground for node in nodes), any(node in power.supply for node in nodes)
        plain = len(selects) + len(senses) + ground + high == 1
        return Group(tuple(sorted(selects)), tuple(sorted(senses)), ground, high, -1 if plain else root)

    def contact(self, ends: Ends) -> int | None:
        """The contact of the machine that a switch between two groups is; None if it is none."""
        machine = self.board.machine
        for one, other in ((ends.one, ends.other), (ends.other, ends.one)):
            if one.number >= 0 or other.number >= 0:
                return None
            if one.selects and other.senses and other.senses[0] < len(machine.sense):
                return one.selects[0] * len(machine.sense) + other.senses[0]
            if one.ground and other.senses and other.senses[0] >= len(machine.sense):
                line = machine.direct[other.senses[0] - len(machine.sense)]
                if (self.board.electric.closes_to or {}).get(line, GROUND) == GROUND:
                    return machine.crosspoints + other.senses[0] - len(machine.sense)
        return None

    def switches(self) -> Iterator[tuple[int, str, Channel, Ends]]:
        """All switches of parts that are there, each with its number on the board, and what they join."""
        for number, (ref, channel) in enumerate(self.wired.channels):
            if ref not in self.wired.missing:
                yield number, ref, channel, Ends(self.group(Pin(ref, channel.a)), self.group(Pin(ref, channel.b)))

    def diodes(self) -> Iterator[Ends]:
        """Diodes between groups, from anode to cathode."""
        for ref, use in self.board.adapter.parts.items():
            if use.part.passive is Passive.DIODE and ref not in self.wired.missing:
                for anode, cathode in use.part.elements:
                    yield Ends(self.group(Pin(ref, anode)), self.group(Pin(ref, cathode)))

    def odd_groups(self) -> Iterator[Group]:
        """The groups that are no single line of the machine and have any, each once."""
        seen = set()
        for number, line in enumerate(self.board.connector.pins, start=1):
            if line in self.select or line in self.sense:
                group = self.group(Pin(MACHINE, str(number)))
                if group.number >= 0 and group not in seen:
                    seen.add(group)
                    yield group


class Solver:
    """Reads circuits of one machine; what was read once is kept."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self._read: dict[tuple[int, int, int, int, int, int], int] = {}
        self._numbers: dict[Topology, int] = {}
        self._topologies: list[Topology] = []

    def number(self, topology: Topology) -> int:
        """The number by which a topology is known."""
        number = self._numbers.setdefault(topology, len(self._topologies))
        if number == len(self._topologies):
            self._topologies.append(topology)
        return number

    def image(self, topology: int, closed: int, odd: int, pulled: int, gated: int, held: int) -> int:
        """All contacts that the machine reads closed, as a mask.

        `closed` are contacts that are closed as such, `odd` the closed ones of the topology's switches, by number; `pulled` the
        lines that are always pulled low: sense lines, direct ones behind them, then select lines; `gated` the crosspoints whose sense line is pulled
        while their select line is strobed; `held` the lines that something holds high: select lines, then sense lines.
        """
        key = (topology, closed, odd, pulled, gated, held)
        found = self._read.get(key)
        if found is None:
            found = self._read[key] = _Circuit(self.machine, self._topologies[topology], *key[1:]).image()
        return found


class _Circuit:
    """One circuit in the terms of the solver: groups that are no single line become lines of their own."""

    def __init__(
        self, machine: Machine, topology: Topology, closed: int, odd: int, pulled: int, gated: int, held: int
    ) -> None:
        self.machine = machine
        self.width = len(machine.sense)
        self.selects, self.senses = len(machine.select), self.width + len(machine.direct)
        self.points: list[tuple[int, int, Conduction]] = []
        self.pulls: list[Switch] = []
        self.lines: dict[Group, int] = {}
        self.held = held
        pulling: list[int] = []
        for contact in bits(closed):
            if contact < machine.crosspoints:
                self.points.append((*divmod(contact, self.width), Conduction.BOTH))
            else:
                self._pull(self.width + contact - machine.crosspoints, None)
        for line in bits(pulled):
            if line < self.senses:
                self._pull(line, None)
            else:
                pulling.append(line - self.senses)
        for contact in bits(gated):
            self._pull(contact % self.width, contact // self.width)
        for select in pulling:
            self._ground(select)
        for group in topology.groups:
            self._line(group)
        for ends in topology.diodes:
            # Current comes from the anode's line to that between, and on to the cathode's.
            sense = self._new_sense()
            self.points.append((self._line(ends.one), sense, Conduction.REVERSE))
            self.points.append((self._line(ends.other), sense, Conduction.FORWARD))
        for number in bits(odd):
            ends = topology.switches[number]
            self._join(self._line(ends.one), self._line(ends.other))

    def _pull(self, sense: int, select: int | None) -> None:
        line = None if select is None else SelectIndex(select)
        self.pulls.append(Switch(function="", sense=SenseIndex(sense), select=line))

    def _new_sense(self) -> int:
        self.senses += 1
        return self.senses - 1

    def _join(self, one: int, other: int) -> None:
        """Two select lines are joined, by a sense line between."""
        sense = self._new_sense()
        self.points += [(one, sense, Conduction.BOTH), (other, sense, Conduction.BOTH)]

    def _ground(self, line: int) -> None:
        """A select line is always low, by a sense line that is pulled."""
        sense = self._new_sense()
        self.points.append((line, sense, Conduction.BOTH))
        self._pull(sense, None)

    def _line(self, group: Group) -> int:
        """The select line that stands for a group."""
        if group.number < 0 and len(group.selects) == 1:
            return group.selects[0]
        if group in self.lines:
            return self.lines[group]
        line = self.lines[group] = self.selects
        self.selects += 1
        for select in group.selects:
            self._join(line, select)
        self.points += [(line, sense, Conduction.BOTH) for sense in group.senses]
        if group.ground:
            self._ground(line)
        if group.high:
            self.held |= sum(1 << select for select in group.selects)
            self.held |= sum(1 << len(self.machine.select) + sense for sense in group.senses)
        return line

    def image(self) -> int:
        machine, count = self.machine, len(self.machine.select)
        high = {line for line in range(count) if self.held >> line & 1}
        high |= {line for group, line in self.lines.items() if group.high}
        low = {sense for sense in range(self.width + len(machine.direct)) if self.held >> count + sense & 1}
        points = [
            ClosedCrosspoint(SelectIndex(select), SenseIndex(sense), how)
            for select, sense, how in self.points
            if select not in high and sense not in low
        ]
        pulls = [pull for pull in self.pulls if pull.sense not in low]
        # One line more, that nothing is on, stands for a look while none is strobed: so are direct lines read.
        masks = read_matrix(points, self.selects + 1, pulls)
        row = (1 << self.width) - 1
        image = 0
        for select in range(count):
            if select not in high:
                image |= (masks[select] & row) << select * self.width
        direct = masks[-1] >> self.width & (1 << len(machine.direct)) - 1
        return image | direct << machine.crosspoints
