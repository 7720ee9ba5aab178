"""What is in series between two places of a board, resistors and diodes, and whether current can flow that way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from matrixmap.board.nets import MACHINE, Board
from matrixmap.model.boards.adapter import Passive, Pin


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """A resistor, or a diode if `ohms` is None, between two nearest groups. Current flows from anode to cathode."""

    ref: str
    anode: Pin
    cathode: Pin
    ohms: float | None

    @property
    def is_diode(self) -> bool:
        """Whether current flows one way only."""
        return self.ohms is None


@dataclass(frozen=True)
class Series:
    """The resistors and diodes of a board that are in series with something."""

    board: Board

    @cached_property
    def elements(self) -> tuple[Element, ...]:
        """All of them, in the order of the file. Those to ground or a supply are pulls and in series with nothing."""
        board, found = self.board, []
        for ref, use in board.adapter.parts.items():
            if use.part.passive not in (Passive.RESISTOR, Passive.DIODE):
                continue
            for a, b in use.part.elements:
                ends = Pin(ref, a), Pin(ref, b)
                if any(board.groups.of(end) in board.ground or board.groups.of(end) in board.power for end in ends):
                    continue
                ohms = (use.ohms or 0.0) if use.part.passive is Passive.RESISTOR else None
                found.append(Element(ref=ref, anode=board.near.of(ends[0]), cathode=board.near.of(ends[1]), ohms=ohms))
        return tuple(found)

    @cached_property
    def _steps(self) -> Mapping[Pin, tuple[tuple[Pin, Element, bool], ...]]:
        """Nearest group -> where each element leads from it, and whether that is along its direction."""
        steps: dict[Pin, list[tuple[Pin, Element, bool]]] = {}
        for each in self.elements:
            steps.setdefault(each.anode, []).append((each.cathode, each, True))
            steps.setdefault(each.cathode, []).append((each.anode, each, False))
        return {near: tuple(found) for near, found in steps.items()}

    def path(self, start: Pin, end: Pin, any_way: bool = False) -> tuple[tuple[Element, bool], ...] | None:
        """The fewest elements through which current flows from one pin to another.

        Each comes with whether the current follows its direction. None if no current can flow; with `any_way`, diodes
        conduct both ways.
        """
        near = self.board.near
        waiting: list[tuple[Pin, tuple[tuple[Element, bool], ...]]] = [(near.of(start), ())]
        seen = {near.of(start)}
        while waiting:
            here, way = waiting.pop(0)
            if here == near.of(end):
                return way
            for there, element, along in self._steps.get(here, ()):
                if there not in seen and (any_way or along or not element.is_diode):
                    seen.add(there)
                    waiting.append((there, (*way, (element, along))))
        return None


def line_pin(board: Board, line: str) -> Pin:
    """The machine's pin for a line. The connector must have it."""
    return Pin(MACHINE, str(board.connector.pins.index(line) + 1))
