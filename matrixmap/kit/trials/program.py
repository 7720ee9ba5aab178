"""What does the firmware's driver write to its pins for the contacts that presses ask for? All presses at once.

A value is a number whose bit k belongs to press k, so that one walk through the writes plays every press. The order of the
writes is that of `mm_board_driver.h`: what opens before what closes, contact by contact; for a store address and data, then the
strobe; for a chain of registers all bits, then the latch. Where a press opens and closes contacts of a chain at one moment, the
driver shifts twice; here only the second time, which leaves nothing of the first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from matrixmap.board.closers import Chain, Closers, Line, Store
from matrixmap.model.boards.adapter import Adapter, Pin
from matrixmap.model.machine import Contact
from matrixmap.press.compiled import bits

Write = tuple[int, int]
"""A pin by its number among `Program.pins`, and its signal for each press."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """All bits of a chain shifted in and shown: in which presses, and the bits in the order in which they go in."""

    where: int
    bits: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """The writes of all presses, in one order.

    `begin` are the writes at start; `steps` those after each change of what is asked for, the first being that nothing is;
    `asks` has the masks of each step, press by press. `count` presses are played, `driven` are the pins that are written.
    `shifts` has what the writes of the beginning and of each step shift, `lines` the pins of the chain: input, clock, latch,
    enable, clear.
    """

    pins: tuple[Pin, ...]
    begin: tuple[Write, ...]
    steps: tuple[tuple[Write, ...], ...]
    asks: tuple[tuple[int, ...], ...]
    count: int
    driven: frozenset[int]
    shifts: tuple[Shift | None, ...]
    lines: tuple[int | None, ...]


def make_program(adapter: Adapter, closers: Closers, asked: Sequence[tuple[int, ...]]) -> Program:
    """The writes for some presses, each given by the masks that it asks for in turn, from 0."""
    return _Writer(adapter, closers, asked).program()


class _Writer:
    def __init__(self, adapter: Adapter, closers: Closers, asked: Sequence[tuple[int, ...]]) -> None:
        self.closers = closers
        self.all = (1 << len(asked)) - 1
        longest = max((len(masks) for masks in asked), default=1)
        self.asks = tuple(zip(*((*masks, *[masks[-1]] * (longest - len(masks))) for masks in asked), strict=True))
        self.count = len(asked)
        self.pins: list[Pin] = []
        self.at: dict[tuple[str, int], int] = {}
        for ref, use in adapter.parts.items():
            for number, known in use.part.processor.items():
                self.at[known.port, known.bit] = len(self.pins)
                self.pins.append(Pin(ref, number))
        self.signals = [0] * len(self.pins)
        self.shifts: list[Shift | None] = []

    def program(self) -> Program:
        begin = tuple(self._begin())
        self.shifts += [None] * (2 - len(self.shifts))
        steps: list[tuple[Write, ...]] = [()]
        for before, after in zip(self.asks, self.asks[1:], strict=False):
            steps.append(tuple(self._step(before, after)))
            self.shifts += [None] * (len(steps) + 1 - len(self.shifts))
        return Program(
            pins=tuple(self.pins),
            begin=begin,
            steps=tuple(steps),
            asks=self.asks,
            count=self.count,
            shifts=tuple(self.shifts),
            lines=self._chain_lines(),
            driven=frozenset(at for writes in (begin, *steps) for at, _ in writes),
        )

    def _set(self, line: Line, active: int, where: int | None = None) -> Iterator[Write]:
        """A pin is made active in some presses and inactive in the others; in those not in `where` it stays as it is."""
        at = self.at[line.port, line.bit]
        where = self.all if where is None else where
        signal = ~active & self.all if line.low else active
        self.signals[at] = self.signals[at] & ~where | signal & where
        yield at, self.signals[at]

    def _pulse(self, line: Line, where: int) -> Iterator[Write]:
        yield from self._set(line, self.all, where)
        yield from self._set(line, 0, where)

    def _begin(self) -> Iterator[Write]:
        for closer in self.closers.contacts.values():
            if isinstance(closer, Line):
                yield from self._set(closer, 0)
        for line in self.closers.sense:
            yield from self._set(line, 0)
        for store in self.closers.stores:
            yield from self._set(store.strobe, 0)
            if store.reset is not None:
                yield from self._pulse(store.reset, self.all)
        chain = self.closers.chain
        if chain is not None:
            yield from self._begin_chain(chain)

    def _begin_chain(self, chain: Chain) -> Iterator[Write]:
        for line in (chain.enable, chain.clear, chain.clock, chain.latch):
            if line is not None:
                yield from self._set(line, 0)
        yield from self._shift(chain, [0] * self.count, self.all)
        if chain.enable is not None:
            yield from self._set(chain.enable, self.all)

    def _step(self, before: Sequence[int], after: Sequence[int]) -> Iterator[Write]:
        kept = [old & new for old, new in zip(before, after, strict=True)]
        shifted = [0]
        yield from self._change(before, kept, shifted, closed=False)
        yield from self._change(kept, after, shifted, closed=True)
        if shifted[0] and self.closers.chain is not None:
            yield from self._shift(self.closers.chain, after, shifted[0])

    def _change(self, before: Sequence[int], after: Sequence[int], shifted: list[int], closed: bool) -> Iterator[Write]:
        """What opens, or what closes: the contacts one after the other, in each press as many as it changes."""
        slots: list[dict[int, list[int]]] = []
        for press, (old, new) in enumerate(zip(before, after, strict=True)):
            for slot, contact in enumerate(bits(old ^ new)):
                if slot == len(slots):
                    slots.append({})
                slots[slot].setdefault(contact, []).append(press)
        for changes in slots:
            stores: dict[int, dict[int, int]] = {}
            for contact in sorted(changes):
                presses = sum(1 << press for press in changes[contact])
                closer = self.closers.contacts.get(Contact(contact))
                if isinstance(closer, Line):
                    yield from self._set(closer, self.all if closed else 0, presses)
                elif closer is not None and closer[0] < 0:
                    shifted[0] |= presses
                elif closer is not None:
                    changed = stores.setdefault(closer[0], {})
                    changed[closer[1]] = changed.get(closer[1], 0) | presses
            for number, changed in stores.items():
                yield from self._store(self.closers.stores[number], changed, closed)

    def _store(self, store: Store, changed: dict[int, int], closed: bool) -> Iterator[Write]:
        where = 0
        for presses in changed.values():
            where |= presses
        for place, line in enumerate(store.address):
            active = sum(presses for bit, presses in changed.items() if bit >> place & 1)
            yield from self._set(line, active, where)
        yield from self._set(store.data, self.all if closed else 0, where)
        yield from self._pulse(store.strobe, where)

    def _shift(self, chain: Chain, shown: Sequence[int], where: int) -> Iterator[Write]:
        contacts = {
            closer[1]: contact for contact, closer in self.closers.contacts.items() if not isinstance(closer, Line)
        }
        shifted = []
        for bit in range(chain.bits - 1, -1, -1):
            contact = contacts.get(bit)
            signal = 0
            if contact is not None:
                signal = sum(1 << press for press, mask in enumerate(shown) if mask >> contact & 1)
            shifted.append(signal)
            yield from self._set(chain.input, signal, where)
            yield from self._pulse(chain.clock, where)
        yield from self._pulse(chain.latch, where)
        self.shifts.append(Shift(where=where, bits=tuple(shifted)))

    def _chain_lines(self) -> tuple[int | None, ...]:
        chain = self.closers.chain
        if chain is None:
            return ()
        lines = (chain.input, chain.clock, chain.latch, chain.enable, chain.clear)
        return tuple(None if line is None else self.at[line.port, line.bit] for line in lines)


def line_pin(adapter: Adapter, line: Line) -> Pin:
    """The processor's pin that a line of the driver is."""
    return next(
        Pin(ref, number)
        for ref, use in adapter.parts.items()
        for number, known in use.part.processor.items()
        if (known.port, known.bit) == (line.port, line.bit)
    )
