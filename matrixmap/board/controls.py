"""What works a switch, traced from the control of a part back to the processor pin that drives it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.board.nets import Board
from matrixmap.model.boards.adapter import Addressed, Pin, Shifted


@dataclass(frozen=True, slots=True, kw_only=True)
class Control:
    """An input of a part that works switches: its pin, its role, and whether it is active low.

    `safe` is the state in which nothing is stored or every switch is open: True is high. It is None if the pin alone
    does no harm.
    """

    pin: Pin
    role: str
    low: bool
    safe: bool | None

    @property
    def safe_word(self) -> str:
        """The safe state in words."""
        return "high" if self.safe else "low"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """What finally drives a group: a processor pin, a shift register's output, or the supply that it is tied to.

    `through` lists the outputs of buffers on the way, the nearest to the group first; `first` is the output at the
    group itself.
    """

    pin: Pin | None
    first: Pin | None
    is_processor: bool = False
    output: int | None = None
    tied_high: bool | None = None
    open_drain: bool = False
    through: tuple[Pin, ...] = ()


def controls_of(board: Board) -> Iterator[Control]:
    """All controls of all parts on the board, in the order of the file."""
    for ref, use in board.adapter.parts.items():
        store = use.part.store
        if isinstance(store, Addressed):
            yield from _addressed(ref, store)
        elif isinstance(store, Shifted):
            yield from _shifted(ref, store)
        for buffer in use.part.buffers:
            pin = Pin(ref, buffer.input)
            if (
                buffer.open_drain
                and pin not in board.adapter.unused
                and Pin(ref, buffer.output) not in board.adapter.unused
            ):
                # High releases what the output pulls.
                yield Control(pin=pin, role="pull", low=True, safe=True)
        seen: set[str] = set()
        for channel in use.part.channels:
            if channel.control is not None and channel.control not in seen and _is_used(board, ref, channel.control):
                seen.add(channel.control)
                pin = Pin(ref, channel.control)
                # A channel that closes at low is open at high.
                yield Control(pin=pin, role="control", low=channel.low, safe=channel.low)


def _is_used(board: Board, ref: str, control: str) -> bool:
    """Whether a channel worked by this control leads anywhere. Unused switches of a part need no control."""
    ends = [
        Pin(ref, end)
        for channel in board.adapter.parts[ref].part.channels
        if channel.control == control
        for end in (channel.a, channel.b)
    ]
    return any(end not in board.adapter.unused for end in ends)


def _addressed(ref: str, store: Addressed) -> Iterator[Control]:
    for number, pin in enumerate(store.address):
        yield Control(pin=Pin(ref, pin), role=f"address bit {number}", low=pin in store.low, safe=None)
    yield Control(pin=Pin(ref, store.data), role="data", low=store.data in store.low, safe=None)
    low = store.strobe in store.low
    yield Control(pin=Pin(ref, store.strobe), role="strobe", low=low, safe=low)
    if store.reset is not None:
        low = store.reset in store.low
        yield Control(pin=Pin(ref, store.reset), role="reset", low=low, safe=not low)


def _shifted(ref: str, store: Shifted) -> Iterator[Control]:
    for role, pin in (("input", store.input), ("clock", store.clock), ("latch", store.latch)):
        yield Control(pin=Pin(ref, pin), role=role, low=pin in store.low, safe=None)
    if store.enable is not None:
        low = store.enable in store.low
        yield Control(pin=Pin(ref, store.enable), role="enable", low=low, safe=low)
    if store.clear is not None:
        yield Control(pin=Pin(ref, store.clear), role="clear", low=store.clear in store.low, safe=None)


def sources_of(board: Board, group: Pin, seen: frozenset[Pin] = frozenset()) -> tuple[Source, ...]:
    """Everything that drives a group, through buffers; an empty tuple if nothing does."""
    found: list[Source] = []
    for pin in board.groups.members(group):
        use = board.adapter.parts.get(pin.ref)
        if use is None:
            continue
        part = use.part
        if pin.number in part.processor:
            found.append(Source(pin=pin, first=pin, is_processor=True))
        store = part.store
        if isinstance(store, Shifted):
            if pin.number in store.outputs:
                found.append(Source(pin=pin, first=pin, output=store.outputs.index(pin.number)))
            elif pin.number == store.out:
                found.append(Source(pin=pin, first=pin, output=len(store.outputs) - 1))
        for buffer in part.buffers:
            if pin.number == buffer.output and pin not in seen:
                before = board.groups.of(Pin(pin.ref, buffer.input))
                for source in sources_of(board, before, seen | {pin}) or (Source(pin=None, first=pin),):
                    found.append(
                        Source(
                            pin=source.pin,
                            first=pin,
                            is_processor=source.is_processor,
                            output=source.output,
                            tied_high=source.tied_high,
                            open_drain=buffer.open_drain,
                            through=(pin, *source.through),
                        )
                    )
    if not found and (group in board.ground or group in board.power):
        found.append(Source(pin=None, first=None, tied_high=group not in board.ground))
    return tuple(found)


def final_source(board: Board, control: Control) -> Source | None:
    """The one thing that drives a control; None if there is none, or several."""
    found = sources_of(board, board.groups.of(control.pin))
    return found[0] if len(found) == 1 and (found[0].pin is not None or found[0].tied_high is not None) else None
