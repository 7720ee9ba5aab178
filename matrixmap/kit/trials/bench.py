"""What the machine reads on a board with faults, press by press, from a reset array."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from matrixmap.board.closers import Closers
from matrixmap.board.nets import MACHINE, Board
from matrixmap.kit.trials.faults import Fault
from matrixmap.kit.trials.lines import Ends, Lines, Solver, Topology
from matrixmap.kit.trials.played import Played, Snapshot, closed, is_gate
from matrixmap.kit.trials.program import Program, line_pin, make_program
from matrixmap.kit.trials.signals import Const, Driver, Signals, Strobed
from matrixmap.kit.trials.wired import Wired
from matrixmap.model.boards.adapter import Channel, Pin
from matrixmap.press.compiled import bits

Images = tuple[int, ...]
"""What the machine reads in turn: untouched, and after each change that a press asks for."""


@dataclass(slots=True)
class Step:
    """What is closed, pulled and held after a step: of each by its number, in which presses.

    `odd` are the switches of the topology, `gated` crosspoints whose sense line is pulled while their select line is strobed,
    `lost` those whose sense line is held high then.
    """

    closed: dict[int, int] = field(default_factory=dict)
    odd: dict[int, int] = field(default_factory=dict)
    pulled: dict[int, int] = field(default_factory=dict)
    gated: dict[int, int] = field(default_factory=dict)
    held: dict[int, int] = field(default_factory=dict)
    lost: dict[int, int] = field(default_factory=dict)

    def differs(self, other: Step) -> int:
        """In which presses anything is otherwise after another step."""
        where = 0
        for mine, theirs in (
            (self.closed, other.closed), (self.odd, other.odd), (self.pulled, other.pulled), (self.gated, other.gated), (self.held, other.held),
            (self.lost, other.lost),
        ):  # fmt: skip
            if mine != theirs:
                for key in mine.keys() | theirs.keys():
                    where |= mine.get(key, 0) ^ theirs.get(key, 0)
        return where


class Tried(NamedTuple):
    """What the machine reads of each press; whether the other model may differ; whether presses before may count."""

    images: tuple[Images, ...]
    differs: bool
    remembers: bool


class Bench:
    """A board on which faults are tried, with the presses that are played on it."""

    def __init__(
        self, board: Board, closers: Closers, asked: Sequence[tuple[int, ...]], solver: Solver | None = None
    ) -> None:
        self.board, self.closers = board, closers
        self.program: Program = make_program(board.adapter, closers, asked)
        self.solver = solver or Solver(board.machine)
        self.wired = Wired(board)
        self.signals = Signals(self.wired, self.program, high=True)
        played = Played(self.signals)
        self.inputs = tuple(played.inputs())
        self.trace = played.play()
        self.readers = tuple(line_pin(board.adapter, line) for line in closers.select)
        self.writers = tuple(self.program.pins.index(line_pin(board.adapter, line)) for line in closers.sense)
        self.healthy = _Trial(self, self.wired, self.signals, None)
        self.steps = self.healthy.steps(self.trace)
        self.images = self.healthy.images(self.steps)

    def images_of(self, asked: Sequence[tuple[int, ...]]) -> tuple[Images, ...]:
        """What the machine reads of presses on a board without fault, by the masks that they ask for."""
        machine = self.board.machine
        switched = sum(
            1 << contact for contact in {each.contact for each in self.healthy.switches if each.contact is not None}
        )
        crosspoints = (1 << machine.crosspoints) - 1
        image, topology = self.solver.image, self.healthy.topology
        return tuple(
            tuple(
                image(
                    topology,
                    mask & switched,
                    0,
                    (mask & ~switched & ~crosspoints) >> machine.crosspoints << len(machine.sense),
                    mask & ~switched & crosspoints,
                    0,
                )
                for mask in masks
            )
            for masks in asked
        )

    def wired_with(self, faults: tuple[Fault, ...]) -> Wired:
        """The board with these faults."""
        return Wired(self.board, self.wired, faults)

    def try_wired(self, wired: Wired, high: bool) -> Tried:
        """What the machine reads on a board with faults, in one of two models."""
        signals = Signals(wired, self.program, high, self.signals)
        trial = _Trial(self, wired, signals, self.healthy)
        trace = trial.trace()
        images = trial.images(trial.steps(trace))
        return Tried(images=images, differs=signals.doubt, remembers=trace is not self.trace and trial.remembers(trace))


class _Switch(NamedTuple):
    """A switch by its number on the board, with the contact that it is, or its number among those that are none."""

    number: int
    ref: str
    channel: Channel
    contact: int | None
    odd: int


class _Trial:
    """One board with faults, in one model."""

    def __init__(self, bench: Bench, wired: Wired, signals: Signals, healthy: _Trial | None) -> None:
        self.bench, self.wired, self.signals, self.healthy = bench, wired, signals, healthy
        self.lines: Lines = Lines(wired, signals, healthy.lines if healthy else None)
        self.switches: list[_Switch] = []
        odd: list[Ends] = []
        for number, ref, channel, ends in self.lines.switches():
            if ends.one == ends.other:
                continue
            contact = self.lines.contact(ends)
            if contact is None:
                if not self._leads_nowhere(ends):
                    self.switches.append(_Switch(number, ref, channel, None, len(odd)))
                    odd.append(ends)
            else:
                self.switches.append(_Switch(number, ref, channel, contact, 0))
        topology = Topology(
            groups=tuple(sorted(self.lines.odd_groups(), key=lambda group: group.number)),
            diodes=tuple(self.lines.diodes()),
            switches=tuple(odd),
        )
        self.topology = bench.solver.number(topology)
        self.pulls = tuple(self._pulls())
        self._kept: list[dict[int, int]] = []

    def _leads_nowhere(self, ends: Ends) -> bool:
        """Whether no current of the machine's can ever flow through a switch: both its ends are ground or a supply."""
        empty = [
            not group.selects and not group.senses and (group.ground or group.high) for group in (ends.one, ends.other)
        ]
        return all(empty)

    def images(self, steps: list[Step]) -> tuple[Images, ...]:
        """What the machine reads of each press; those for which all is as on the healthy board are taken from there."""
        bench, every = self.bench, self.signals.all
        old = bench.steps if self.healthy is not None and self.healthy.topology == self.topology else None
        if old is None:
            rows = [self._row(step, every) for step in steps]
            return tuple(zip(*([row[press] for press in range(bench.program.count)] for row in rows), strict=True))
        changed = [step.differs(other) for step, other in zip(steps, old, strict=True)]
        rows = [self._row(step, where) if where else {} for step, where in zip(steps, changed, strict=True)]
        images = list(bench.images)
        any_changed = 0
        for where in changed:
            any_changed |= where
        for press in bits(any_changed):
            images[press] = tuple(row.get(press, image) for row, image in zip(rows, images[press], strict=True))
        return tuple(images)

    def _row(self, step: Step, where: int) -> dict[int, int]:
        """What the machine reads after a step, of some presses."""
        image, topology = self.bench.solver.image, self.topology
        presses = list(bits(where))
        parts = [_by_press(part, where) for part in (step.closed, step.odd, step.pulled, step.gated, step.held)]
        lost = _by_press(step.lost, where)
        return {
            press: image(topology, *(part.get(press, 0) for part in parts)) & ~lost.get(press, 0) for press in presses
        }

    def trace(self) -> list[Snapshot]:
        """What the stores hold: as on the healthy board where all their inputs are driven as there."""
        bench, signals = self.bench, self.signals
        same = all(signals.works(pin.ref) == bench.signals.works(pin.ref) for pin in bench.inputs) and all(
            signals.is_driven_as(bench.signals, pin) for pin in bench.inputs
        )
        return bench.trace if same else Played(signals).play()

    def remembers(self, trace: list[Snapshot]) -> bool:
        """Whether what the stores hold, or how they take it, may depend on the presses before.

        It does not where nothing but an address or a bit is taken wrongly, and every press leaves all as it was.
        """
        signals, parts = self.signals, self.bench.board.adapter.parts
        ways_in = [pin for pin in self.bench.inputs if is_gate(parts[pin.ref].part.store, pin.number)]
        if not all(signals.is_driven_as(self.bench.signals, pin) for pin in ways_in):
            return True
        first, last = trace[0], trace[-1]
        return first.bits != last.bits or first.stored != last.stored

    def steps(self, trace: list[Snapshot]) -> list[Step]:
        """What is closed, pulled and held after each step."""
        bench, signals = self.bench, self.signals
        same = self.healthy is not None and trace is bench.trace
        kept = {
            number
            for number, ref, channel, _, _ in (self.switches if same else ())
            if signals.works(ref) == bench.signals.works(ref)
            and (channel.control is None or signals.is_driven_as(bench.signals, Pin(ref, channel.control)))
        }
        found = []
        for number, (snapshot, asks) in enumerate(zip(trace, bench.program.asks, strict=True)):
            signals.written = list(snapshot.written)
            signals.stored, signals.chain, signals.enabled = snapshot.stored, snapshot.chain, snapshot.enabled
            signals.strobed = None
            step, states = Step(), {}
            for switch, ref, channel, contact, at in self.switches:
                if switch in kept and self.healthy is not None:
                    where = self.healthy._kept[number][switch]
                else:
                    where = closed(signals, ref, channel, snapshot.bits)
                states[switch] = where
                if where:
                    into, key = (step.odd, at) if contact is None else (step.closed, contact)
                    into[key] = into.get(key, 0) | where
            if bench.closers.select:
                self._follow(step, asks)
            else:
                self._pull(step)
            if self.healthy is None:
                self._kept.append(states)
            found.append(step)
        return found

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
        signals = self.signals
        low = high = 0
        for driver in drivers:
            one, other = signals.driven((driver,))
            if getattr(driver, "pulls", False):
                low |= one
            else:
                signals.doubt = True
                low, high = low | (0 if signals.high else one), high | (other if signals.high else 0)
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
                    for driver in self.signals.drivers(each)
                    if not isinstance(driver, Const | Strobed)
                )
                found = tuple(dict.fromkeys(drivers))
                if found:
                    yield names.index(line), found

    def _follow(self, step: Step, asks: tuple[int, ...]) -> None:
        """Lines that the processor pulls while it sees select lines strobed, for each select line that the machine strobes."""
        signals, machine = self.signals, self.bench.board.machine
        width = len(machine.sense)
        wanted = _by_contact(asks, machine.crosspoints)
        writers = self.bench.writers
        idle: dict[int, int] = {}
        for strobed in (None, *range(len(machine.select))):
            signals.strobed = strobed
            for _ in range(len(machine.select) + 1):
                before = [signals.written[at] for at in writers]
                seen = [signals.all & ~signals.signal(pin) for pin in self.bench.readers]
                for sense, at in enumerate(writers):
                    low = 0
                    for select, where in enumerate(seen):
                        low |= where & wanted.get(select * width + sense, 0)
                    # What was pulled once keeps a select line low that it is joined to.
                    signals.written[at] = (
                        signals.written[at] & signals.all & ~low if strobed is not None else signals.all & ~low
                    )
                if before == [signals.written[at] for at in writers]:
                    break
            for line, drivers in self.pulls:
                low, high = self._driven(drivers)
                if strobed is None:
                    idle[line] = low
                    step.pulled.update({line: low} if low else {})
                    step.held.update({self._held(line): high} if high and line >= width else {})
                elif line < width:
                    at = strobed * width + line
                    more = low & ~idle.get(line, 0)
                    step.lost.update({at: high} if high else {})
                    step.gated.update({at: more} if more else {})
            for at in writers:
                signals.written[at] = signals.all
        signals.strobed = None


def _by_press(parts: Mapping[int, int], among: int) -> dict[int, int]:
    """Number -> presses, turned round: for each press of some a mask of numbers."""
    base = sum(1 << number for number, presses in parts.items() if not among & ~presses)
    rows = dict.fromkeys(bits(among), base) if base else {}
    for number, presses in parts.items():
        bit = 1 << number
        if not base & bit:
            for press in bits(presses & among):
                rows[press] = rows.get(press, 0) | bit
    return rows


def _by_contact(asks: tuple[int, ...], most: int) -> dict[int, int]:
    found: dict[int, int] = {}
    for press, mask in enumerate(asks):
        for contact in bits(mask & (1 << most) - 1):
            found[contact] = found.get(contact, 0) | 1 << press
    return found
