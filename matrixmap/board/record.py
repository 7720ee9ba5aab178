"""The record of a rule about a board, and what such rules share: the board with the causes of what is wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from matrixmap.board.controls import Control, Source, controls_of, sources_of
from matrixmap.board.nets import Board, Supply
from matrixmap.board.routes import Traced
from matrixmap.model.boards.adapter import Pin
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.machine import Contact
from matrixmap.model.place import Place
from matrixmap.model.rule import Rule


class Told(NamedTuple):
    """What a rule's function says about one case. A `place` of None means the line that names the adapter."""

    text: str
    place: Place | None = None
    cases: int = 1
    at_most: Severity = Severity.ERROR


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardRule(Rule):
    """A rule about a board: its record and the function that finds its cases."""

    function: Callable[[Judged], Iterable[Told]]

    def findings(self, judged: Judged) -> Iterator[Finding]:
        """The findings of this rule on a board."""
        for told in self.function(judged):
            yield Finding(
                slug=self.slug,
                severity=min(self.severity, told.at_most),
                place=told.place or judged.board.adapter.place,
                text=told.text,
                count=told.cases,
            )


@dataclass(frozen=True)
class Judged:
    """A traced board, with its controls and what drives them."""

    traced: Traced

    @property
    def board(self) -> Board:
        """The board."""
        return self.traced.board

    @cached_property
    def controls(self) -> tuple[tuple[Control, tuple[Source, ...]], ...]:
        """The controls of all parts, each with everything that drives it."""
        board = self.board
        return tuple((control, sources_of(board, board.groups.of(control.pin))) for control in controls_of(board))

    @cached_property
    def joined(self) -> tuple[tuple[str, ...], ...]:
        """Lines of the machine that are joined to each other."""
        return tuple(sorted(lines for lines in self.board.lines.values() if len(lines) > 1))

    @cached_property
    def fed(self) -> tuple[str, ...]:
        """Lines that are joined to ground or a supply."""
        board = self.board
        groups = [group for group in board.lines if group in board.ground or group in board.power]
        return tuple(line for group in sorted(groups) for line in board.lines[group])

    @cached_property
    def silent(self) -> tuple[str, ...]:
        """Lines that lead to nothing that could close a contact."""
        return tuple(line for line in self.board.contact_lines if not self._leads_somewhere(line))

    def _leads_somewhere(self, line: str) -> bool:
        group = self.board.line_group(line)
        return group is not None and any(self.is_active(pin) for pin in self.board.groups.members(group))

    def is_active(self, pin: Pin) -> bool:
        """Whether a pin belongs to a switch, a buffer or the processor."""
        use = self.board.adapter.parts.get(pin.ref)
        if use is None:
            return False
        part = use.part
        ends = {end for channel in part.channels for end in (channel.a, channel.b)}
        ends |= {end for buffer in part.buffers for end in (buffer.input, buffer.output)}
        return pin.number in ends or pin.number in part.processor

    def supply_of(self, ref: str) -> Supply | None:
        """What feeds a part; None if nothing feeds it, or if it needs no supply."""
        use = self.board.adapter.parts[ref]
        for number, power in use.part.power.items():
            group = self.board.groups.of(Pin(ref, number))
            if power.takes_v is not None and group in self.board.power:
                return self.board.power[group][0]
            if power.gives_v is not None:
                return Supply(volts=power.gives_v, of=ref)
        return None

    def output_high(self, source: Source, group: Pin) -> float | None:
        """The volts that a source surely reaches on a group when it is high; None if they are not known."""
        if source.first is None:
            supplies = self.board.power.get(group)
            return supplies[0].volts if supplies else None
        part = self.board.adapter.part(source.first)
        if source.open_drain:
            pulled = [pull.volts for pull in self.board.pulls.get(group, ())]
            lines = self.board.lines.get(group) and self.board.electric.line_v
            return max([*pulled, *([lines] if lines else [])], default=0.0)
        supply = self.supply_of(source.first.ref)
        return part.output_high_v if part.output_high_v is not None else supply.volts if supply else None

    def place_of(self, pin: Pin) -> Place:
        """The place in the file that says where a pin leads: its net, or its part."""
        net = self.board.nets.get(pin)
        if net is not None:
            return net.place
        use = self.board.adapter.parts.get(pin.ref)
        return use.place if use is not None else self.board.adapter.place

    def place_of_line(self, line: str) -> Place:
        """The place in the file that says where a line leads: the net on its pin of the header."""
        group = self.board.line_group(line)
        for pin in self.board.groups.members(group) if group is not None else ():
            if pin in self.board.nets:
                return self.board.nets[pin].place
        return self.board.header.place

    def lines_of(self, contact: Contact) -> tuple[str, ...]:
        """The lines that a contact is between."""
        machine = self.board.machine
        lines = machine.lines(contact)
        if lines is None:
            return (machine.direct[contact - machine.crosspoints],)
        return machine.select[lines[0]], machine.sense[lines[1]]
