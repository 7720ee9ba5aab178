"""Lines that are exchanged: reported as such, not as all the contacts that are wrong because of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from matrixmap.board.geometry import AS_MEANT, Way, ways
from matrixmap.board.nets import GROUND, MACHINE, SUPPLY, Board, through_cable
from matrixmap.model.boards.adapter import Pin
from matrixmap.model.machine import Machine

FEWEST = 3
"""From this many nets at wrong lines on, a common cause is looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Lines with nets that lead to each other's lines, in order: the net of the first leads to the second, and so on.

    `closed`: the last one leads to the first again. `mixed`: select, sense and direct lines are exchanged with each
    other.
    """

    lines: tuple[str, ...]
    closed: bool
    mixed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Misplaced:
    """Every net would lead to its line if the header were put on in this way, or moved by `shift` pins."""

    way: Way | None
    shift: int
    lines: tuple[str, ...]


def _header_pins(board: Board) -> Mapping[str, tuple[int, ...]]:
    """Line -> the pins of the header that the net of its name leads to."""
    found: dict[str, tuple[int, ...]] = {}
    for net in board.adapter.nets:
        if net.name in board.contact_lines and net.pins:
            members = board.groups.members(board.groups.of(net.pins[0]))
            found[net.name] = tuple(int(pin.number) for pin in members if pin.ref == board.header.ref)
    return found


def _at(board: Board) -> Mapping[int, str | None]:
    """Pin of the header -> what the machine has there."""
    return {own: board.connector.pins[pin - 1] for pin, own in board.pairs}


def wrong_nets(board: Board) -> Mapping[str, str]:
    """Line -> where the net of its name leads instead: another line, ground or supply.

    A net that leads to its own line, or to nothing, is left out.
    """
    at = _at(board)
    found: dict[str, str] = {}
    for line, pins in _header_pins(board).items():
        reached = [what for pin in pins if (what := at.get(pin)) is not None]
        if reached and line not in reached:
            found[line] = reached[0]
    return found


def misplaced(board: Board) -> Misplaced | None:
    """The way to put the header on, or the one shift of its pins, that puts all nets right; None if there is none."""
    wrong = wrong_nets(board)
    if len(wrong) < FEWEST:
        return None
    pins = _header_pins(board)
    for way in ways(board.shape):
        if way != AS_MEANT and way.down == 0 and way.along == 0:
            pairs = through_cable(board.fit, board.shape, board.own_shape, way)
            if _all_right(pins, {own: board.connector.pins[pin - 1] for pin, own in pairs}):
                return Misplaced(way=way, shift=0, lines=tuple(wrong))
    home = {line: own for own, line in _at(board).items() if line is not None}
    shifts = {own - home[line] for line in wrong if line in home for own in pins[line][:1]}
    if len(shifts) == 1 and all(line in home for line in wrong):
        return Misplaced(way=None, shift=shifts.pop(), lines=tuple(wrong))
    return None


def _all_right(pins: Mapping[str, tuple[int, ...]], at: Mapping[int, str | None]) -> bool:
    return all(any(at.get(pin) == line for pin in own) for line, own in pins.items() if own)


def exchanges(board: Board) -> Iterator[Exchange]:
    """The cycles and chains of nets that lead to lines of other names."""
    wrong = wrong_nets(board)
    left = dict(sorted(wrong.items()))
    targets = set(left.values())
    starts = [line for line in left if line not in targets]
    for start in (*starts, *left):
        if start not in left:
            continue
        chain = [start]
        while chain[-1] in left:
            after = left.pop(chain[-1])
            if after == start:
                break
            chain.append(after)
        closed = wrong.get(chain[-1]) == start
        yield Exchange(lines=tuple(chain), closed=closed, mixed=len({_side(board.machine, line) for line in chain}) > 1)


def _side(machine: Machine, line: str) -> str:
    if line in (GROUND, SUPPLY):
        return line
    return "select" if line in machine.select else "sense" if line in machine.sense else "direct"


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongPorts:
    """Select and sense lines of an array on the wrong sides: the fewest to move so that each is on its own side."""

    ref: str
    select: tuple[tuple[str, str], ...]
    sense: tuple[tuple[str, str], ...]
    """Each line with the port that it is on."""


def wrong_ports(board: Board) -> Iterator[WrongPorts]:
    """Arrays with select and sense lines on one side, with the fewest lines to exchange."""
    for ref, use in board.adapter.parts.items():
        if use.part.store is None or not use.part.channels:
            continue
        sides = {"a": {channel.a for channel in use.part.channels}, "b": {channel.b for channel in use.part.channels}}
        on: dict[tuple[str, str], list[tuple[str, str]]] = {}
        for side, ports in sides.items():
            for port in sorted(ports, key=int):
                lines = board.lines.get(board.groups.of(Pin(ref, port)), ())
                # Joined lines are on both sides; another rule reports them.
                for line in lines if len(lines) == 1 else ():
                    kind = _side(board.machine, line)
                    on.setdefault((kind, side), []).append((line, use.part.pins[port]))
        straight = [*on.get(("select", "b"), ()), *on.get(("sense", "a"), ())]
        crossed = [*on.get(("select", "a"), ()), *on.get(("sense", "b"), ())]
        if straight and crossed:
            select, sense = ("b", "a") if len(straight) <= len(crossed) else ("a", "b")
            yield WrongPorts(
                ref=ref, select=tuple(on.get(("select", select), ())), sense=tuple(on.get(("sense", sense), ()))
            )


def pin_of_line(board: Board, line: str) -> Pin | None:
    """The machine's pin for a line; None if the connector does not have it."""
    return Pin(MACHINE, str(board.connector.pins.index(line) + 1)) if line in board.connector.pins else None
