"""Which switches are closed and which lines are pulled after each step of the driver, on a board with faults? All presses at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from matrixmap.kit.trials.program import Program, Shift, Write
from matrixmap.kit.trials.signals import Signals, Sources, Stored
from matrixmap.model.boards.adapter import Addressed, Channel, Pin, Shifted


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """All that is written and stored after a step."""

    written: tuple[int, ...]
    stored: dict[str, list[int]]
    chain: dict[str, list[int]]
    enabled: dict[str, int]
    bits: dict[str, list[int]]


class Does(Enum):
    """What an input of a shift register does, in the order in which inputs that change together are looked at."""

    CLOCK = 0
    CLEAR = 1
    LATCH = 2
    ENABLE = 3


class Role(NamedTuple):
    """Inputs of registers that do the same and are driven alike: one of them, their parts, and where they were active before."""

    does: Does
    pin: Pin
    low: bool
    refs: list[str]
    before: list[int]


class Played:
    """The stores of a board while the program writes."""

    def __init__(self, signals: Signals) -> None:
        self.signals = signals
        self.program: Program = signals.program
        parts = signals.wired.board.adapter.parts
        self.addressed: dict[str, Addressed] = {}
        self.shifted: dict[str, Shifted] = {}
        for ref, use in parts.items():
            if isinstance(use.part.store, Addressed):
                self.addressed[ref] = use.part.store
            elif isinstance(use.part.store, Shifted):
                self.shifted[ref] = use.part.store
        self.bits = {ref: [0] * (1 << len(store.address)) for ref, store in self.addressed.items()}
        signals.chain = {ref: [0] * len(store.outputs) for ref, store in self.shifted.items()}
        signals.stored = {ref: [0] * len(store.outputs) for ref, store in self.shifted.items()}
        signals.enabled = dict.fromkeys(self.shifted, 0)
        self.cleared = dict.fromkeys(self.shifted, 0)
        self.follows: dict[Pin, bool] = {}

    def inputs(self) -> Iterator[Pin]:
        """The inputs of the stores."""
        for ref, store in self.addressed.items():
            for number in (*store.address, store.data, store.strobe, store.reset):
                if number is not None:
                    yield Pin(ref, number)
        for ref, shifted in self.shifted.items():
            for number in (shifted.input, shifted.clock, shifted.latch, shifted.enable, shifted.clear):
                if number is not None:
                    yield Pin(ref, number)

    def play(self) -> list[Snapshot]:
        """What is so after the beginning, and after each step."""
        self._prepare()
        if self.shifted and self._is_regular():
            return self._in_blocks()
        for role in self.roles:
            self._look(role)
        self._write(self.program.begin)
        found = []
        for writes in self.program.steps:
            self._write(writes)
            found.append(self._snapshot())
        return found

    def _prepare(self) -> None:
        """Inputs of one role that are driven alike are looked at together, and only when what drives them changes."""
        roles: dict[tuple[str, Sources], Role] = {}
        for ref, shifted in self.shifted.items():
            if not self.signals.works(ref):
                continue
            for what in (Does.CLOCK, Does.CLEAR, Does.LATCH, Does.ENABLE):
                number = {
                    Does.CLOCK: shifted.clock, Does.CLEAR: shifted.clear, Does.LATCH: shifted.latch, Does.ENABLE: shifted.enable
                }[what]  # fmt: skip
                if number is None:
                    self.signals.enabled[ref] |= self.signals.all if what is Does.ENABLE else 0
                    continue
                pin = Pin(ref, number)
                key = f"{what.value} {number in shifted.low}", self.signals.sources_of(pin)
                role = roles.setdefault(key, Role(what, pin, number in shifted.low, [], [0]))
                role.refs.append(ref)
        self.roles = sorted(roles.values(), key=lambda role: role.does.value)
        # A register that nothing but the one before it feeds takes what that hands on.
        self.before = {
            ref: sources[0][0].ref
            for ref, shifted in self.shifted.items()
            if len(sources := self.signals.sources_of(Pin(ref, shifted.input))) == 1
            and len(sources[0]) == 1
            and isinstance(sources[0][0], Stored)
            and sources[0][0].index < 0
        }
        self.stores = [(ref, store) for ref, store in self.addressed.items() if self.signals.works(ref)]
        self.wakes: dict[int, list[Role]] = {}
        self.hang = []
        for role in self.roles:
            written, chained = self.signals.hangs_on(role.pin)
            for at in written:
                self.wakes.setdefault(at, []).append(role)
            if chained:
                self.hang.append(role)

    def _is_regular(self) -> bool:
        """Whether each input of a register follows its own pin alone, or never changes: then all bits are shifted at once."""
        if self.stores or self.hang or not self.program.lines:
            return False
        data, clock, latch, enable, clear = self.program.lines
        own = {Does.CLOCK: clock, Does.LATCH: latch, Does.ENABLE: enable, Does.CLEAR: clear}
        inputs = [
            (Pin(ref, self.shifted[ref].input), data)
            for role in self.roles
            for ref in role.refs
            if ref not in self.before
        ]
        for pin, at in (*((role.pin, own[role.does]) for role in self.roles), *inputs):
            written, chained = self.signals.hangs_on(pin)
            if chained or not written <= {at}:
                return False
            self.follows[pin] = self._follows(pin, at) if written else False
        return True

    def _follows(self, pin: Pin, at: int | None) -> bool:
        """Whether an input follows a pin, or is the same whatever that is."""
        signals = self.signals
        if at is None:
            return False
        kept = signals.written[at]
        seen = []
        for signal in (0, signals.all):
            signals.written[at] = signal
            seen.append(signals.signal(pin))
        signals.written[at] = kept
        return seen[0] != seen[1]

    def _in_blocks(self) -> list[Snapshot]:
        """The same as `play` write by write, for chains whose inputs are regular."""
        for role in self.roles:
            self._look(role)
        found = []
        for number, shift in enumerate(self.program.shifts):
            for at, signal in self.program.begin if not number else self.program.steps[number - 1]:
                self.signals.written[at] = signal
            for role in self.roles:
                if role.does in (Does.CLEAR, Does.ENABLE):
                    self._look(role)
            if shift is not None:
                self._shift(shift)
            if number:
                found.append(self._snapshot())
        return found

    def _shift(self, shift: Shift) -> None:
        signals, where = self.signals, shift.where
        roles = {(ref, role.does): role for role in self.roles for ref in role.refs}
        streams: dict[str, list[int]] = {}
        waiting = [ref for ref in self.shifted if signals.works(ref)]
        while waiting:
            for ref in list(waiting):
                before = self.before.get(ref)
                if before is not None and before in waiting and before != ref:
                    continue
                waiting.remove(ref)
                taken = streams[before] if before in streams else self._taken(ref, before, shift)
                chain = signals.chain[ref]
                if self.cleared[ref]:
                    streams[ref] = [0] * len(taken)
                    continue
                clock = roles.get((ref, Does.CLOCK))
                if clock is None or not self.follows[clock.pin]:
                    streams[ref] = [chain[-1]] * len(taken)
                    continue
                size = len(chain)
                streams[ref] = [*chain[::-1], *taken][: len(taken)]
                signals.chain[ref] = _where(where, signals.all, chain, taken[: -size - 1 : -1])
        for ref in streams:
            latch = roles.get((ref, Does.LATCH))
            if latch is not None and self.follows[latch.pin]:
                signals.stored[ref] = _where(where, signals.all, signals.stored[ref], signals.chain[ref])

    def _taken(self, ref: str, before: str | None, shift: Shift) -> list[int]:
        """What goes into a register bit by bit that no other register of the chain feeds."""
        if before is not None:
            return [self.signals.chain[before][-1]] * len(shift.bits)
        pin = Pin(ref, self.shifted[ref].input)
        return list(shift.bits) if self.follows.get(pin) else [self.signals.signal(pin)] * len(shift.bits)

    def _snapshot(self) -> Snapshot:
        signals = self.signals
        return Snapshot(
            written=tuple(signals.written),
            stored={ref: list(bits) for ref, bits in signals.stored.items()},
            chain={ref: list(bits) for ref, bits in signals.chain.items()},
            enabled=dict(signals.enabled),
            bits={ref: list(bits) for ref, bits in self.bits.items()},
        )

    def _write(self, writes: tuple[Write, ...]) -> None:
        written = self.signals.written
        for at, signal in writes:
            if written[at] != signal:
                written[at] = signal
                for ref, store in self.stores:
                    self._take(ref, store)
                for role in self.wakes.get(at, ()):
                    self._look(role)
                for role in self.hang:
                    self._look(role)

    def _active(self, ref: str, number: str, low: frozenset[str]) -> int:
        signal = self.signals.signal(Pin(ref, number))
        return self.signals.all & ~signal if number in low else signal

    def _take(self, ref: str, store: Addressed) -> None:
        """A store takes its bit while its strobe is active."""
        bits = self.bits[ref]
        reset = self._active(ref, store.reset, store.low) if store.reset is not None else 0
        if reset:
            self.bits[ref] = bits = [bit & ~reset for bit in bits]
        strobe = self._active(ref, store.strobe, store.low) & ~reset
        if not strobe:
            return
        data = self._active(ref, store.data, store.low)
        chosen = [strobe]
        for number in store.address:
            one = self._active(ref, number, store.low)
            chosen = [*(where & ~one for where in chosen), *(where & one for where in chosen)]
        for bit, where in enumerate(chosen):
            if where:
                bits[bit] = bits[bit] & ~where | data & where

    def _look(self, role: Role) -> None:
        """Registers look at an input: they shift at the rising edge of their clock and show at that of their latch."""
        signals = self.signals
        signal = signals.signal(role.pin)
        active = signals.all & ~signal if role.low else signal
        rising, role.before[0] = active & ~role.before[0], active
        if role.does is Does.ENABLE:
            signals.enabled.update(dict.fromkeys(role.refs, active))
        elif role.does is Does.CLEAR:
            for ref in role.refs:
                self.cleared[ref] = active
                signals.chain[ref] = [bit & ~active for bit in signals.chain[ref]]
        elif role.does is Does.LATCH and rising:
            for ref in role.refs:
                signals.stored[ref] = _where(rising, signals.all, signals.stored[ref], signals.chain[ref])
        elif role.does is Does.CLOCK and rising:
            taken = [
                signals.chain[self.before[ref]][-1]
                if ref in self.before
                else signals.signal(Pin(ref, self.shifted[ref].input))
                for ref in role.refs
            ]
            for ref, bit in zip(role.refs, taken, strict=True):
                chain = signals.chain[ref]
                new = [bit, *chain[:-1]]
                where = rising & ~self.cleared[ref]
                signals.chain[ref] = new if where == signals.all else _where(where, signals.all, chain, new)


def _where(where: int, every: int, old: list[int], new: list[int]) -> list[int]:
    """The new bits in some presses, the old ones in the others."""
    if where == every:
        return list(new)
    return [one & ~where | other & where for one, other in zip(old, new, strict=True)]


def closed(signals: Signals, ref: str, channel: Channel, bits: dict[str, list[int]]) -> int:
    """In which presses a switch is closed."""
    if not signals.works(ref):
        return 0
    if channel.bit is not None:
        return bits[ref][channel.bit]
    if channel.control is None:
        return signals.all
    signal = signals.signal(Pin(ref, channel.control))
    return signals.all & ~signal if channel.low else signal


def is_gate(store: Addressed | Shifted | None, number: str) -> bool:
    """Whether an input of a store says when it takes anything, not what it takes."""
    if isinstance(store, Addressed):
        return number in (store.strobe, store.reset)
    return isinstance(store, Shifted) and number != store.input
