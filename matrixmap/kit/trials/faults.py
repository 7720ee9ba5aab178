"""Which faults can a board have that was put together by hand? Each is one slip at one joint, part or connector."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from matrixmap.board.geometry import AS_MEANT, Turn, Way
from matrixmap.board.nets import Board
from matrixmap.model.boards.adapter import Part, PartUse, Passive, Pin


class Kind(Enum):
    """What was done wrongly."""

    OPEN = "open"
    BRIDGE = "bridge"
    MISSING = "missing"
    TURNED = "turned"
    CONNECTOR = "connector"
    JUMPER = "jumper"
    LAYOUT = "layout"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One slip.

    A joint that is open, two pins bridged, a part missing or turned, a connector put on in another way, a jumper the wrong
    way, or another layout in the chip.
    """

    kind: Kind
    pins: tuple[Pin, ...] = ()
    ref: str = ""
    way: Way = AS_MEANT
    layout: str = ""


TWO_ROWS = 8
"""From so many pins on, a part with an even number has them in two rows, counted round; others have one row (common practice)."""


def faults_of(board: Board, layouts: Iterable[str] = ()) -> tuple[Fault, ...]:
    """All single faults of a board, part by part; `layouts` are the ids of those that may be in the chip by mistake."""
    found = [
        *(Fault(kind=Kind.OPEN, pins=(pin,)) for pin in _joints(board)),
        *(Fault(kind=Kind.BRIDGE, pins=pair) for pair in _bridges(board)),
        *(Fault(kind=Kind.MISSING, ref=ref) for ref in board.adapter.parts),
        *(Fault(kind=Kind.TURNED, ref=ref) for ref, use in board.adapter.parts.items() if can_turn(use)),
        *(Fault(kind=Kind.CONNECTOR, ref=board.header.ref, way=way) for way in _ways(board)),
        *(
            Fault(kind=Kind.JUMPER, ref=ref)
            for ref, use in board.adapter.parts.items()
            if use.part.passive is Passive.JUMPER
        ),
        *(Fault(kind=Kind.LAYOUT, layout=layout) for layout in layouts),
    ]
    return tuple(found)


def _joints(board: Board) -> Iterator[Pin]:
    """The joints that belong to a net of several pins, part by part."""
    joined = {pin for net in board.adapter.nets if len(net.pins) > 1 for pin in net.pins}
    blank = {Pin(use.ref, str(use.key_pin)) for use in board.adapter.parts.values() if use.key_pin is not None}
    for ref, use in board.adapter.parts.items():
        for number in use.part.pins:
            if Pin(ref, number) in joined - blank:
                yield Pin(ref, number)


def _bridges(board: Board) -> Iterator[tuple[Pin, Pin]]:
    """Neighbouring pins of one part that are not joined anyway and both lead somewhere."""
    touched = {Pin(board.header.ref, str(own)) for _, own in board.pairs}
    for ref, use in board.adapter.parts.items():
        for one, other in neighbours(use.part):
            pair = Pin(ref, one), Pin(ref, other)
            leads = [pin in board.nets or pin in touched for pin in pair]
            if all(leads) and board.near.of(pair[0]) != board.near.of(pair[1]):
                yield pair


def neighbours(part: Part) -> Iterator[tuple[str, str]]:
    """Pins that lie side by side: cells of a header, or the rows of a package."""
    if part.header is not None:
        shape = part.header
        for row, column in shape.cells():
            for other in ((row, column + 1), (row + 1, column)):
                if other in shape.cells():
                    yield str(shape.pin((row, column))), str(shape.pin(other))
        return
    numbers = list(part.pins)
    half = len(numbers) // 2 if in_two_rows(part) else 0
    for at in range(len(numbers) - 1):
        if at + 1 != half:
            yield numbers[at], numbers[at + 1]


def in_two_rows(part: Part) -> bool:
    """Whether the pins lie in two rows."""
    return len(part.pins) >= TWO_ROWS and len(part.pins) % 2 == 0


def turned_pin(part: Part, number: str) -> str:
    """The pin that lies where a pin belongs, with the part turned round by half a turn."""
    numbers = list(part.pins)
    at, count = numbers.index(number), len(numbers)
    return numbers[(at + count // 2) % count] if in_two_rows(part) else numbers[count - 1 - at]


def can_turn(use: PartUse) -> bool:
    """Whether a part can be put in turned round, and that makes a difference."""
    part = use.part
    if part.header is not None or len(part.pins) < 2:
        return False
    if part.passive is None or part.passive is Passive.DIODE:
        return True
    ends = {frozenset(pair) for pair in part.elements}
    return ends != {frozenset(turned_pin(part, end) for end in pair) for pair in part.elements}


def _ways(board: Board) -> Iterator[Way]:
    """Ways in which the board's connector goes on that are not the meant one: each turn, and each shift by one pin."""
    single = board.shape.rows == 1 or board.shape.columns == 1
    for turn in (Turn.TURNED,) if single else (Turn.TURNED, Turn.OTHER_SIDE, Turn.OTHER_SIDE_TURNED):
        yield Way(turn=turn, down=0, along=0)
    for down, along in ((0, -1), (0, 1), (-1, 0), (1, 0)):
        if abs(down) < board.shape.rows and abs(along) < board.shape.columns:
            yield Way(turn=Turn.STRAIGHT, down=down, along=along)
