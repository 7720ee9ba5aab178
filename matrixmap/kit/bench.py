"""What does the machine read on a board with faults, press by press, from a reset array?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from matrixmap.board.closers import Closers
from matrixmap.board.nets import MACHINE, Board
from matrixmap.kit.faults import Fault
from matrixmap.kit.levels import Buffered, Const, Driver, Levels, Strobed, Written
from matrixmap.kit.lines import Ends, Group, Lines, Solver, Topology
from matrixmap.kit.played import Played, Snapshot, closed
from matrixmap.kit.program import Program, line_pin, make_program
from matrixmap.kit.wired import Wired
from matrixmap.model.boards.adapter import Channel, Pin

Images = tuple[int, ...]
"""What the machine reads in turn: untouched, and after each change that a press asks for."""


@dataclass(slots=True)
class Step:
    """What is closed, pulled and held after a step: of each by its number, in which presses.

    `odd` are the switches of the topology, `gated` crosspoints whose sense line is pulled while their select line is strobed.
    """

    closed: dict[int, int] = field(default_factory=dict)
    odd: dict[int, int] = field(default_factory=dict)
    pulled: dict[int, int] = field(default_factory=dict)
    gated: dict[int, int] = field(default_factory=dict)
    held: dict[int, int] = field(default_factory=dict)


class Bench:
    """A board on which faults are tried, with the presses that are played on it."""

    def __init__(self, board: Board, closers: Closers, asked: Sequence[tuple[int, ...]], solver: Solver | None = None) -> None:
        self.board, self.closers = board, closers
        self.program: Program = make_program(board.adapter, closers, asked)
        self.solver = solver or Solver(board.machine)
        self.wired = Wired(board)
        self.levels = Levels(self.wired, self.program, high=True)
        played = Played(self.levels)
        self._inputs = tuple(played.inputs())
        self._switches = {pin: self.levels.sources_of(pin) for pin in (*self._inputs, *self._controls())}
        self.trace = played.play()
        self._readers = tuple(line_pin(board.adapter, line) for line in closers.select)
        self._writers = tuple(line_pin(board.adapter, line) for line in closers.sense)

    def _controls(self) -> Iterator[Pin]:
        for ref, use in self.board.adapter.parts.items():
            for channel in use.part.channels:
                if channel.control is not None:
                    yield Pin(ref, channel.control)

    def try_faults(self, faults: tuple[Fault, ...], high: bool) -> tuple[tuple[Images, ...], bool]:
        """What the machine reads of each press on a board with these faults, in one of two models; whether they may differ."""
        wired = Wired(self.board, self.wired, faults)
        return self.try_wired(wired, high)

    def try_wired(self, wired: Wired, high: bool) -> tuple[tuple[Images, ...], bool]:
        """The same for a board that is wired already."""
        levels = Levels(wired, self.program, high, self.levels)
        return _Trial(self, wired, levels).images(), levels.doubt


class _Trial:
    """One board with faults, in one model."""

    def __init__(self, bench: Bench, wired: Wired, levels: Levels) -> None:
        self.bench, self.wired, self.levels = bench, wired, levels
        self.lines = Lines(wired, levels)
        self.switches: list[tuple[str, Channel, int | None, int]] = []
        odd: list[Ends] = []
        for ref, channel, ends in self.lines.switches():
            if ends.one == ends.other:
                continue
            contact = self.lines.contact(ends)
            if contact is None:
                if not self._leads_nowhere(ends):
                    self.switches.append((ref, channel, None, len(odd)))
                    odd.append(ends)
            else:
                self.switches.append((ref, channel, contact, 0))
        self.topology = Topology(
            groups=tuple(sorted(self.lines.odd_groups(), key=lambda group: group.number)),
            diodes=tuple(self.lines.diodes()),
            switches=tuple(odd),
        )
        self.pulls = tuple(self._pulls())

    def _leads_nowhere(self, ends: Ends) -> bool:
        """Whether no current of the machine's can ever flow through a switch: both its ends are ground or a supply."""
        empty = [not group.selects and not group.senses and (group.ground or group.high) for group in (ends.one, ends.other)]
        return all(empty)

    def images(self) -> tuple[Images, ...]:
        trace = self._trace()
        count = self.bench.program.count
        images: list[list[int]] = [[] for _ in range(count)]
        image = self.bench.solver.image
        for snapshot, asks in zip(trace, self.bench.program.asks, strict=True):
            step = self._step(snapshot, asks)
            rows = [_by_press(part, count) for part in (step.closed, step.odd, step.pulled, step.gated, step.held)]
            for row, *masks in zip(images, *rows, strict=True):
                row.append(image(self.topology, *masks))
        return tuple(map(tuple, images))

    def _trace(self) -> list[Snapshot]:
        """What the stores hold: as on the healthy board where all their inputs are driven as there."""
        bench, levels = self.bench, self.levels
        same = levels.power.works == bench.levels.power.works and all(
            levels.sources_of(pin) == bench._switches[pin] for pin in bench._inputs
        )
        return bench.trace if same else Played(levels).play()

    def _step(self, snapshot: Snapshot, asks: tuple[int, ...]) -> Step:
        levels = self.levels
        levels.written = list(snapshot.written)
        levels.stored, levels.chain, levels.enabled = snapshot.stored, snapshot.chain, snapshot.enabled
        levels.strobed = None
        step = Step()
        for ref, channel, contact, number in self.switches:
            where = closed(levels, ref, channel, snapshot.bits)
            if where:
                into, at = (step.odd, number) if contact is None else (step.closed, contact)
                into[at] = into.get(at, 0) | where
        if self.bench.closers.select:
            self._follow(step, asks)
        else:
            self._pull(step)
        return step

    def _pull(self, step: Step) -> None:
        """Lines that something of the board pulls low or holds high whatever is strobed."""
        for line, drivers in self.pulls:
            low, high = self._driven(drivers)
            if low:
                step.pulled[line] = low
            if high:
                step.held[self._held(line)] = high

    def _held(self, line: int) -> int:
        machine = self.bench.board.machine
        senses = len(machine.sense) + len(machine.direct)
        return line - senses if line >= senses else len(machine.select) + line

    def _driven(self, drivers: tuple[Driver, ...]) -> tuple[int, int]:
        """Where drivers pull a line low or hold it high: what drives both ways wins low in one model and high in the other."""
        levels = self.levels
        low = high = 0
        for driver in drivers:
            one, other = levels.driven((driver,))
            if getattr(driver, "pulls", False):
                low |= one
            else:
                levels.doubt = True
                low, high = low | (0 if levels.high else one), high | (other if levels.high else 0)
        return low, high & ~low

    def _pulls(self) -> Iterator[tuple[int, tuple[Driver, ...]]]:
        """Sense lines, direct ones behind them, then select lines, each with what of the board drives it."""
        machine, board = self.bench.board.machine, self.bench.board
        names = (*machine.sense, *machine.direct, *machine.select)
        for number, line in enumerate(board.connector.pins, start=1):
            if line in names:
                node = self.wired.node[Pin(MACHINE, str(number))]
                root = self.lines.root.get(node, node)
                drivers = (
                    driver
                    for each in self.lines.nodes.get(root, (root,))
                    for driver in self.levels.drivers(each)
                    if not isinstance(driver, Const | Strobed)
                )
                found = tuple(dict.fromkeys(drivers))
                if found:
                    yield names.index(line), found

    def _follow(self, step: Step, asks: tuple[int, ...]) -> None:
        """Lines that the processor pulls while it sees select lines strobed, for each select line that the machine strobes."""
        levels, machine = self.levels, self.bench.board.machine
        width = len(machine.sense)
        wanted = _by_contact(asks, machine.crosspoints)
        program = self.bench.program
        writers = [program.pins.index(pin) for pin in self.bench._writers]
        idle: dict[int, int] = {}
        for strobed in (None, *range(len(machine.select))):
            levels.strobed = strobed
            for _ in range(len(machine.select) + 1):
                before = [levels.written[at] for at in writers]
                seen = [levels.all & ~levels.level(pin) for pin in self.bench._readers]
                for sense, at in enumerate(writers):
                    low = 0
                    for select, where in enumerate(seen):
                        low |= where & wanted.get(select * width + sense, 0)
                    # What was pulled once keeps a select line low that it is joined to.
                    levels.written[at] = levels.written[at] & levels.all & ~low if strobed is not None else levels.all & ~low
                if before == [levels.written[at] for at in writers]:
                    break
            for line, drivers in self.pulls:
                low, high = self._driven(drivers)
                if high:
                    step.held[self._held(line)] = step.held.get(self._held(line), 0) | high
                if strobed is None:
                    idle[line] = low
                    if low:
                        step.pulled[line] = low
                elif line < width and low & ~idle.get(line, 0):
                    step.gated[strobed * width + line] = low & ~idle.get(line, 0)
            for at in writers:
                levels.written[at] = levels.all
        levels.strobed = None


def _by_press(parts: Mapping[int, int], count: int) -> list[int]:
    """Number -> presses, turned round: for each press a mask of numbers."""
    rows = [0] * count
    for number, where in parts.items():
        bit = 1 << number
        while where:
            low = where & -where
            rows[low.bit_length() - 1] |= bit
            where ^= low
    return rows


def _by_contact(asks: tuple[int, ...], most: int) -> dict[int, int]:
    found: dict[int, int] = {}
    for press, mask in enumerate(asks):
        while mask:
            contact = (mask & -mask).bit_length() - 1
            mask &= mask - 1
            if contact < most:
                found[contact] = found.get(contact, 0) | 1 << press
    return found


def is_pulling(driver: Driver) -> bool:
    """Whether a driver only ever pulls low."""
    return isinstance(driver, Written | Buffered) and driver.pulls


def plain(group: Group) -> bool:
    """Whether a group is one line of the machine, or ground, alone."""
    return group.number < 0
