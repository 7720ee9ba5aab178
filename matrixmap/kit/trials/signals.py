"""Which signal has each input of the board while the driver writes, on a board with faults? All presses at once.

A node takes the signal of what drives it with the least resistance. Two that drive it alike against each other come out low in one
model and high in the other, and so does a node that nothing drives: `doubt` then says that the models may differ.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import heappop, heappush

from matrixmap.board.nets import GROUND, MACHINE, SUPPLY
from matrixmap.kit.trials.program import Program
from matrixmap.kit.trials.wired import Wired
from matrixmap.model.boards.adapter import Mates, Pin, Shifted

ALIKE = 10
"""Two drivers against each other are alike while their resistances are within this factor (common practice)."""
WEAK_OHMS = 20_000.0
"""Stands for the machine's own pull-up, which no file states."""


@dataclass(frozen=True, slots=True)
class Const:
    """Ground, a supply, or the machine's pull-up."""

    high: bool


@dataclass(frozen=True, slots=True)
class Written:
    """A pin of the processor, by its number in the program; one that only pulls low lets go when high."""

    at: int
    pulls: bool


@dataclass(frozen=True, slots=True)
class Buffered:
    """The output of a buffer, by its input."""

    input: Pin
    pulls: bool


@dataclass(frozen=True, slots=True)
class Stored:
    """An output of a shift register."""

    ref: str
    index: int


@dataclass(frozen=True, slots=True)
class Strobed:
    """A select line, which the machine only pulls low."""

    line: int


Driver = Const | Written | Buffered | Stored | Strobed
Sources = tuple[tuple[Driver, ...], ...]
"""What drives a node: those of the least resistance first, those that are alike together."""


class Power:
    """Which nodes are ground and supply, and which parts work.

    `works` has for each part True, False, or None where the files do not tell.
    """

    def __init__(self, wired: Wired) -> None:
        board = wired.board
        self.wired = wired
        self.ground: set[int] = set()
        self.supply: set[int] = set()
        for number, line in enumerate(board.connector.pins, start=1):
            node = wired.node[Pin(MACHINE, str(number))]
            if line == GROUND:
                self.ground.add(node)
            elif line == SUPPLY:
                self.supply.add(node)
        lost = False
        for ref, use in board.adapter.parts.items():
            gives = [number for number, power in use.part.power.items() if power.gives_v is not None]
            if not gives or ref in wired.missing:
                continue
            grounds = {wired.node[Pin(ref, number)] for number, power in use.part.power.items() if power.is_ground}
            lost = lost or not grounds & self.ground
            self.supply |= {
                wired.node[Pin(ref, number)] for number in gives if len(wired.members[wired.node[Pin(ref, number)]]) > 1
            }
            self.ground |= grounds if grounds & self.ground else set()
        self.shorted = bool(self.ground & self.supply)
        self.works = {ref: self._works(ref, lost) for ref in board.adapter.parts}

    def _works(self, ref: str, lost: bool) -> bool | None:
        wired, use = self.wired, self.wired.board.adapter.parts[ref]
        part = use.part
        if ref in wired.missing or self.shorted:
            return False
        grounds = [
            wired.node[Pin(ref, number)] in self.ground for number, power in part.power.items() if power.is_ground
        ]
        takes = [
            wired.node[Pin(ref, number)] in self.supply
            for number, power in part.power.items()
            if power.takes_v is not None
        ]
        if (grounds and not any(grounds)) or (takes and not any(takes)):
            return False
        doubted = not all(takes) or (lost and bool(part.processor)) or (part.processor and not self._other_pins(ref))
        return None if doubted else True

    def _other_pins(self, ref: str) -> bool:
        """Whether the pins whose use the files do not tell lead where they led: the processor's reset, and the keyboard's part."""
        board = self.wired.board
        part = board.adapter.parts[ref].part
        own = (Pin(ref, number) for number in part.pins if number not in part.power and number not in part.processor)
        elsewhere = (
            Pin(use.ref, number)
            for use in board.adapter.parts.values()
            if use.part.header is not None and use.mates is Mates.NOTHING
            for number in use.part.pins
        )
        return all(self._as_ever(pin) for pin in (*own, *elsewhere) if pin in board.nets and pin in self.wired.touched)

    def _as_ever(self, pin: Pin) -> bool:
        board, node = self.wired.board, self.wired.node[pin]
        group = board.near.of(pin)
        if group in {board.near.of(each) for each in board.ground}:
            return node in self.ground
        if group in {board.near.of(each) for each in board.power}:
            return node in self.supply
        return set(self.wired.members[node]) == set(board.near.members(group))


class Signals:
    """The signals of one board: what is written, stored and strobed at a moment, and what each input makes of it."""

    def __init__(self, wired: Wired, program: Program, high: bool, healthy: Signals | None = None) -> None:
        self.wired, self.program, self.high = wired, program, high
        self.power = Power(wired)
        self.all = (1 << program.count) - 1
        self.doubt = any(works is None for works in self.power.works.values())
        self.written = [0] * len(program.pins)
        self.stored: dict[str, list[int]] = {}
        self.chain: dict[str, list[int]] = {}
        self.enabled: dict[str, int] = {}
        self.strobed: int | None = None
        self._written_at = {pin: at for at, pin in enumerate(program.pins)}
        self.pulling: frozenset[Pin] = healthy.pulling if healthy else self._pulling_pins()
        self._healthy = healthy if healthy is not None and self._drives_as(healthy) else None
        self._resistors: dict[int, list[tuple[int, float]]] = {}
        for resistor in wired.resistors():
            one, other = (wired.node[pin] for pin in resistor.ends)
            if one != other:
                self._resistors.setdefault(one, []).append((other, resistor.ohms))
                self._resistors.setdefault(other, []).append((one, resistor.ohms))
        self._drivers: dict[int, tuple[Driver, ...]] = {}
        self.sources: dict[Pin, Sources] = {}
        self.looked_at: dict[Pin, frozenset[Pin]] = {}
        self._asking: set[Pin] = set()
        self._buffered: dict[Pin, bool] = {}
        self._behind: dict[Pin, frozenset[Pin]] = {}

    def works(self, ref: str) -> bool:
        """Whether a part works, in this model."""
        works = self.power.works[ref]
        return self.high if works is None else works

    def _drives_as(self, other: Signals) -> bool:
        """Whether the same parts that drive anything work on another board."""
        parts = self.wired.board.adapter.parts
        return all(
            self.works(ref) == other.works(ref)
            for ref, use in parts.items()
            if use.part.processor or use.part.buffers or use.part.store is not None
        )

    def _pulling_pins(self) -> frozenset[Pin]:
        """The pins of the processor that lie on a line of the machine: these only ever pull low."""
        board = self.wired.board
        return frozenset(
            pin
            for pin in self.program.pins
            if board.near.of(pin) in {board.near.of(line) for line in _line_pins(self.wired)}
        )

    def drivers(self, node: int) -> tuple[Driver, ...]:
        """What drives a node directly."""
        found = self._drivers.get(node)
        if found is None:
            found = self._drivers[node] = tuple(dict.fromkeys(self._find_drivers(node)))
        return found

    def _find_drivers(self, node: int) -> Iterator[Driver]:
        if node in self.power.ground or node in self.power.supply:
            yield Const(node not in self.power.ground)
            return
        board = self.wired.board
        for pin in self.wired.members[node]:
            if pin.ref == MACHINE:
                line = board.connector.pins[int(pin.number) - 1]
                if line in board.machine.select:
                    yield Strobed(board.machine.select.index(line))
                continue
            if not self.works(pin.ref):
                continue
            part = board.adapter.parts[pin.ref].part
            if self._written_at.get(pin) in self.program.driven:
                yield Written(self._written_at[pin], pin in self.pulling)
            store = part.store
            if isinstance(store, Shifted):
                if pin.number in store.outputs:
                    yield Stored(pin.ref, store.outputs.index(pin.number))
                elif pin.number == store.out:
                    yield Stored(pin.ref, -1)
            for buffer in part.buffers:
                if buffer.output == pin.number:
                    yield Buffered(Pin(pin.ref, buffer.input), buffer.open_drain)

    def sources_of(self, pin: Pin) -> Sources:
        """What drives an input, through resistors too."""
        found = self.sources.get(pin)
        if found is not None:
            return found
        if self._healthy is not None:
            old = self._healthy.sources_of(pin)
            if not self._healthy.looked_at[pin] & self.wired.touched:
                self.sources[pin], self.looked_at[pin] = old, self._healthy.looked_at[pin]
                return old
        reached: dict[int, float] = {}
        drivers: dict[Driver, float] = {}
        waiting = [(0.0, self.wired.node[pin])]
        while waiting:
            ohms, node = heappop(waiting)
            if node in reached:
                continue
            reached[node] = ohms
            here = self.drivers(node)
            for driver in here:
                drivers.setdefault(driver, ohms)
            if self._has_pull_up(node):
                drivers.setdefault(Const(True), ohms + WEAK_OHMS)
            # Nothing comes through a node that is driven both ways; an output of a register may be switched off.
            if not any(_always_drives(driver) for driver in here):
                for other, more in self._resistors.get(node, ()):
                    heappush(waiting, (ohms + more, other))
        self.sources[pin] = _by_strength(drivers)
        self.looked_at[pin] = frozenset(self.wired.members[node][0] for node in reached)
        return self.sources[pin]

    def _has_pull_up(self, node: int) -> bool:
        board = self.wired.board
        lines = (board.connector.pins[int(pin.number) - 1] for pin in self.wired.members[node] if pin.ref == MACHINE)
        return any(line in board.contact_lines for line in lines)

    def is_driven_as(self, other: Signals, pin: Pin, seen: frozenset[Pin] = frozenset()) -> bool:
        """Whether an input is driven as on another board, through buffers too."""
        if other is self._healthy and self.wired.touched.isdisjoint(other.behind(pin)):
            return True
        mine = self.sources_of(pin)
        if mine is other.sources_of(pin) and not self._buffered.get(pin, True):
            return True
        if mine != other.sources_of(pin):
            return False
        inputs = [driver.input for group in mine for driver in group if isinstance(driver, Buffered)]
        self._buffered[pin] = bool(inputs)
        return all(self.is_driven_as(other, each, seen | {pin}) for each in inputs if each not in seen)

    def behind(self, pin: Pin) -> frozenset[Pin]:
        """A pin of each node that an input depends on, through resistors and buffers."""
        found = self._behind.get(pin)
        if found is None:
            pins: set[Pin] = set()
            seen, waiting = {pin}, [pin]
            while waiting:
                here = waiting.pop()
                drivers = (driver for group in self.sources_of(here) for driver in group)
                pins |= self.looked_at[here]
                more = {driver.input for driver in drivers if isinstance(driver, Buffered)} - seen
                seen |= more
                waiting += more
            found = self._behind[pin] = frozenset(pins)
        return found

    def hangs_on(self, pin: Pin, seen: frozenset[Pin] = frozenset()) -> tuple[frozenset[int], bool]:
        """The pins of the processor that an input hangs on, and whether it hangs on a shift register."""
        written: set[int] = set()
        stored = False
        for driver in (driver for group in self.sources_of(pin) for driver in group):
            if isinstance(driver, Written):
                written.add(driver.at)
            elif isinstance(driver, Stored):
                stored = True
            elif isinstance(driver, Buffered) and driver.input not in seen:
                more, other = self.hangs_on(driver.input, seen | {pin})
                written |= more
                stored = stored or other
        return frozenset(written), stored

    def signal(self, pin: Pin) -> int:
        """The signal of an input in each press."""
        alone = self._alone(pin)
        if alone is not None:
            return alone
        if pin in self._asking:
            return self.all  # its own output hangs on it: what only pulls low lets go at first
        self._asking.add(pin)
        value, left = 0, self.all
        for group in self.sources_of(pin):
            low, high = self.driven(group)
            both = low & high & left
            if both:
                self.doubt = True
                value |= both if self.high else 0
            value |= high & ~low & left
            left &= ~(low | high)
            if not left:
                break
        if left:
            self.doubt = True
            value |= left if self.high else 0
        self._asking.discard(pin)
        return value

    def _alone(self, pin: Pin) -> int | None:
        """The signal where one driver decides in every press, as on nearly every pin; None where more has to be looked at."""
        sources = self.sources.get(pin) or self.sources_of(pin)
        if not sources or len(sources[0]) != 1:
            return None
        driver = sources[0][0]
        if isinstance(driver, Stored):
            if driver.index < 0:
                return self.chain[driver.ref][-1]
            return self.stored[driver.ref][driver.index] if self.enabled[driver.ref] == self.all else None
        if isinstance(driver, Written):
            return None if driver.pulls else self.written[driver.at]
        if isinstance(driver, Const):
            return self.all if driver.high else 0
        return None

    def driven(self, group: tuple[Driver, ...]) -> tuple[int, int]:
        """In which presses some drivers pull low, and in which they push high."""
        low = high = 0
        for driver in group:
            if isinstance(driver, Const):
                one = self.all if driver.high else 0
                low, high = low | self.all & ~one, high | one
            elif isinstance(driver, Written):
                one = self.written[driver.at]
                low, high = low | self.all & ~one, high | (0 if driver.pulls else one)
            elif isinstance(driver, Buffered):
                one = self.signal(driver.input)
                low, high = low | self.all & ~one, high | (0 if driver.pulls else one)
            elif isinstance(driver, Stored):
                serial = driver.index < 0
                one = self.chain[driver.ref][-1] if serial else self.stored[driver.ref][driver.index]
                on = self.all if serial else self.enabled[driver.ref]
                low, high = low | on & ~one, high | on & one
            elif driver.line == self.strobed:
                low |= self.all
        return low, high


def _always_drives(driver: Driver) -> bool:
    """Whether a driver drives both ways at all times."""
    if isinstance(driver, Stored):
        return driver.index < 0
    return not isinstance(driver, Strobed) and not getattr(driver, "pulls", False)


def _line_pins(wired: Wired) -> Iterator[Pin]:
    board = wired.board
    for number, line in enumerate(board.connector.pins, start=1):
        if line in board.contact_lines:
            yield Pin(MACHINE, str(number))


def _by_strength(drivers: dict[Driver, float]) -> Sources:
    if len(drivers) == 1:
        return (tuple(drivers),)
    groups: list[list[Driver]] = []
    least = 0.0
    for driver, ohms in sorted(drivers.items(), key=lambda item: (item[1], repr(item[0]))):
        if groups and ohms <= least * ALIKE:
            groups[-1].append(driver)
        else:
            groups.append([driver])
            least = ohms
    return tuple(map(tuple, groups))
