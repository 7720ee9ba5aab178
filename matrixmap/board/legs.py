"""How current flows while a contact is closed: out of the sense or direct line, into the select line or an output."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.board.controls import Source
from matrixmap.board.nets import Board
from matrixmap.board.routes import Route, Traced
from matrixmap.board.series import line_pin
from matrixmap.model.boards.adapter import Pin
from matrixmap.model.machine import Contact


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A path that current must take while a contact is closed: from one pin to another, on the side of one line."""

    line: str
    start: Pin
    end: Pin


def legs(traced: Traced, route: Route) -> Iterator[Leg]:
    """The legs of a route: one for each line of its contact."""
    board, machine = traced.board, traced.board.machine
    lines = machine.lines(Contact(route.contact))
    if lines is None:
        source = direct = machine.direct[route.contact - machine.crosspoints]
        sink = (board.electric.closes_to or {}).get(direct)
        sink = sink if sink in board.contact_lines else None
    else:
        source, sink = machine.sense[lines[1]], machine.select[lines[0]]
    if route.ends is not None:
        into, out = route.ends if lines is None else (route.ends[1], route.ends[0])
        yield Leg(line=source, start=line_pin(board, source), end=into)
        if sink is not None:
            yield Leg(line=sink, start=out, end=line_pin(board, sink))
        return
    if route.drives is not None and route.drives.first is not None:
        yield Leg(line=source, start=line_pin(board, source), end=route.drives.first)
    reader = _input(board, route.reads) if route.reads is not None else None
    if reader is not None and sink is not None:
        yield Leg(line=sink, start=reader, end=line_pin(board, sink))


def _input(board: Board, source: Source) -> Pin | None:
    """The pin on the line through which the processor reads it: its own pin, or the input of the first buffer."""
    if not source.through:
        return source.pin
    first = source.through[0]
    inputs = (buffer.input for buffer in board.adapter.part(first).buffers if buffer.output == first.number)
    return next((Pin(first.ref, number) for number in inputs), None)
