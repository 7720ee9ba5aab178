"""What the firmware writes for each contact: a processor pin, a bit of a store, or a bit of a shift register chain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from matrixmap.board.controls import Source, sources_of
from matrixmap.board.nets import Board
from matrixmap.board.routes import Route, Traced
from matrixmap.model.boards.adapter import Addressed, Pin, Shifted, Times
from matrixmap.model.machine import Contact


class ClosersError(Exception):
    """The driver cannot work the board as it is; the text says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A pin of the processor as the driver writes it: port, bit, and whether it is active low."""

    port: str
    bit: int
    low: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """The pins that work an addressed store. The address bit worth 1 is first; `reset` is None if there is none."""

    address: tuple[Line, ...]
    data: Line
    strobe: Line
    reset: Line | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """The pins that work a chain of shift registers, and how many bits it has."""

    input: Line
    clock: Line
    latch: Line
    enable: Line | None
    clear: Line | None
    bits: int


Closer = Line | tuple[int, int]
"""A pin that closes a contact; or the number of a store (-1: the chain) and the bit in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closers:
    """Everything that the tables of a driver say.

    `select` and `sense` are the pins of lines that follow select lines. They are empty if switches close the
    crosspoints. `pulls` maps the number of a sense line to what pulls it low regardless of the strobed line, where
    something does. `gated`: a closed contact pulls its sense line low while its select line is strobed and lets no
    current back, as a gated switch of a controller does.
    """

    stores: tuple[Store, ...]
    chain: Chain | None
    contacts: Mapping[Contact, Closer]
    select: tuple[Line, ...] = ()
    sense: tuple[Line, ...] = ()
    pulls: Mapping[int, Closer] = field(default_factory=dict)
    gated: bool = False
    times: Times = field(default_factory=lambda: Times(setup_ns=0, pulse_ns=0, hold_ns=0))


def pulls_gated(traced: Traced) -> bool:
    """Whether a contact pulls its sense line while its select line is strobed, and lets no current back."""
    return traced.how in ("follows-select", "switch-with-diode")


def pulled_lines(traced: Traced) -> frozenset[int]:
    """The sense lines that the driver can pull low regardless of the strobed line. ClosersError without a driver."""
    closers = closers_of(traced)
    return frozenset(range(len(closers.sense))) if closers.sense else frozenset(closers.pulls)


def closers_of(traced: Traced) -> Closers:
    """What closes each contact. ClosersError if the driver cannot close one."""
    return _Closers(traced).made()


class _Closers:
    def __init__(self, traced: Traced) -> None:
        self.traced = traced
        self.board: Board = traced.board
        self.stores: dict[str, Store] = {}
        self.registers: list[str] = []

    def made(self) -> Closers:
        parts = self.board.adapter.parts
        for ref, use in parts.items():
            if isinstance(use.part.store, Addressed):
                self.stores[ref] = self._store(ref, use.part.store)
        chain = self._chain()
        machine = self.board.machine
        contacts: dict[Contact, Closer] = {}
        follows = self.traced.how == "follows-select"
        for route in self.traced.routes:
            if not follows or route.contact >= machine.crosspoints:
                contacts.setdefault(route.contact, self._closer(route, machine.contact_name(route.contact)))
        grounds = {} if follows else dict(self._grounds())
        times = [use.part.times for use in parts.values() if use.part.times is not None]
        return Closers(
            stores=tuple(self.stores.values()),
            chain=chain,
            contacts=contacts,
            select=self._followed(machine.select, True) if follows else (),
            sense=self._followed(machine.sense, False) if follows else (),
            pulls=grounds,
            gated=pulls_gated(self.traced),
            times=Times(
                setup_ns=max((time.setup_ns for time in times), default=0),
                pulse_ns=max((time.pulse_ns for time in times), default=0),
                hold_ns=max((time.hold_ns for time in times), default=0),
            ),
        )

    def _grounds(self) -> Iterator[tuple[int, Closer]]:
        """What pulls each sense line to ground: a pin of the processor, or a switch that the driver can work."""
        for sense, line in enumerate(self.board.machine.sense):
            for route in self.traced.grounds(line):
                try:
                    yield sense, self._closer(route, f"{line} to ground")
                except ClosersError:
                    continue
                break

    def _line(self, source: Source, low: bool = False) -> Line:
        assert source.pin is not None
        known = self.board.adapter.part(source.pin).processor[source.pin.number]
        return Line(port=known.port, bit=known.bit, low=low)

    def _control(self, ref: str, number: str | None, low: frozenset[str]) -> Line | None:
        """The processor's pin that works a control; None if there is no such control, or if it is tied."""
        if number is None:
            return None
        sources = sources_of(self.board, self.board.groups.of(Pin(ref, number)))
        driven = [source for source in sources if source.is_processor]
        return self._line(driven[0], number in low) if len(driven) == 1 else None

    def _needed(self, ref: str, number: str, low: frozenset[str]) -> Line:
        line = self._control(ref, number, low)
        if line is None:
            raise ClosersError(f"no single pin of the processor works {self.board.shown(Pin(ref, number))}")
        return line

    def _store(self, ref: str, store: Addressed) -> Store:
        return Store(
            address=tuple(self._needed(ref, pin, store.low) for pin in store.address),
            data=self._needed(ref, store.data, store.low),
            strobe=self._needed(ref, store.strobe, store.low),
            reset=self._control(ref, store.reset, store.low),
        )

    def _chain(self) -> Chain | None:
        """The one chain of shift registers, starting at the register that the processor feeds."""
        board = self.board
        shifted = {
            ref: use.part.store for ref, use in board.adapter.parts.items() if isinstance(use.part.store, Shifted)
        }
        if not shifted:
            return None
        after: dict[str, str] = {}
        first: list[str] = []
        for ref, store in shifted.items():
            for source in sources_of(board, board.groups.of(Pin(ref, store.input))):
                if source.is_processor:
                    first.append(ref)
                elif source.pin is not None and source.pin.ref in shifted:
                    after[source.pin.ref] = ref
        self.registers = first[:1]
        while self.registers and self.registers[-1] in after and len(self.registers) <= len(shifted):
            self.registers.append(after[self.registers[-1]])
        if len(first) != 1 or len(self.registers) != len(shifted):
            raise ClosersError("the shift registers are not one single chain that begins at a pin of the processor")
        ref, store = first[0], shifted[first[0]]
        for other, each in shifted.items():
            for own, theirs in ((store.clock, each.clock), (store.latch, each.latch), (store.enable, each.enable)):
                if own and theirs and board.groups.of(Pin(ref, own)) != board.groups.of(Pin(other, theirs)):
                    raise ClosersError(
                        f"{ref} and {other} are in one chain, but have different clocks, latches or enables"
                    )
        bits = sum(len(shifted[each].outputs) for each in self.registers)
        return Chain(
            input=self._needed(ref, store.input, store.low),
            clock=self._needed(ref, store.clock, store.low),
            latch=self._needed(ref, store.latch, store.low),
            enable=self._control(ref, store.enable, store.low),
            clear=self._control(ref, store.clear, store.low),
            bits=bits,
        )

    def _closer(self, route: Route, name: str) -> Closer:
        if route.channel is None or route.ref is None:
            assert route.drives is not None
            # The pin pulls a line low itself, or through an open-drain buffer.
            return self._line(route.drives, low=True)
        if route.channel.bit is not None:
            return list(self.stores).index(route.ref), route.channel.bit
        if route.channel.control is None:
            raise ClosersError(f"{name} is always closed")
        sources = sources_of(self.board, self.board.groups.of(Pin(route.ref, route.channel.control)))
        if len(sources) == 1 and sources[0].is_processor:
            return self._line(sources[0], route.channel.low)
        if len(sources) == 1 and sources[0].pin is not None and sources[0].pin.ref in self.registers:
            if route.channel.low:
                raise ClosersError(f"{name} closes at a low output of a shift register; there is no driver for that")
            before = self.registers[: self.registers.index(sources[0].pin.ref)]
            stores = [self.board.adapter.parts[ref].part.store for ref in before]
            ahead = sum(len(store.outputs) for store in stores if isinstance(store, Shifted))
            return -1, ahead + (sources[0].output or 0)
        raise ClosersError(f"no single output works the switch of {name}")

    def _followed(self, lines: tuple[str, ...], read: bool) -> tuple[Line, ...]:
        found: list[Line] = []
        for line in lines:
            sources = list(self.traced.readers(line)) if read else list(self.traced.pulls(line))
            if len(sources) != 1:
                raise ClosersError(f"{len(sources)} pins of the processor are on {line}; the driver allows one")
            found.append(self._line(sources[0], True))
        return tuple(found)
