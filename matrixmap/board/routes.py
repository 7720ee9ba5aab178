"""Routes: what closes each contact of the machine, traced from its lines through the board."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from matrixmap.board.controls import Source, sources_of
from matrixmap.board.nets import GROUND, Board
from matrixmap.board.series import Series, line_pin
from matrixmap.model.boards.adapter import Channel, Does, Pin
from matrixmap.model.machine import Contact


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """What closes a contact.

    A switch: `channel` of the part `ref`, between its pins `ends` (the select line's end first). By following: `drives`
    is the processor pin that pulls, `reads` the pin that reads the select line (None on a direct line).
    """

    contact: Contact
    ref: str | None = None
    channel: Channel | None = None
    ends: tuple[Pin, Pin] | None = None
    drives: Source | None = None
    reads: Source | None = None
    diode: bool = False

    @property
    def is_switch(self) -> bool:
        """Whether a switch closes the contact, not a pin that follows a select line."""
        return self.channel is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class OddSwitch:
    """A switch that joins two lines that form no contact."""

    ref: str
    channel: Channel
    lines: tuple[str, str]


@dataclass(frozen=True)
class Traced:
    """A board with its routes, and what is worked out from them on demand."""

    board: Board

    @cached_property
    def switches(self) -> tuple[tuple[Route, ...], tuple[OddSwitch, ...]]:
        """The routes by switches, and the switches that join lines that form no contact."""
        routes: list[Route] = []
        odd: list[OddSwitch] = []
        board = self.board
        for ref, use in board.adapter.parts.items():
            for channel in use.part.channels:
                a, b = Pin(ref, channel.a), Pin(ref, channel.b)
                first, second = board.groups.of(a), board.groups.of(b)
                if first == second:
                    continue
                for one in self._ends(first):
                    for two in self._ends(second):
                        self._take(routes, odd, ref, channel, (a, one), (b, two))
        return tuple(replace(route, diode=route.diode and self._is_own(route)) for route in routes), tuple(odd)

    def _is_own(self, route: Route) -> bool:
        """Whether a route's diode belongs to its switch alone: current goes round among switches that share one."""
        near = self.board.near
        shared = [near.of(end) for end in route.ends or () if self._ends_at[near.of(end)] > 1]
        lines = [
            near.of(line_pin(self.board, line))
            for line in self.board.contact_lines
            if line in self.board.connector.pins
        ]
        return all(group in lines or group in self._fed for group in shared)

    @cached_property
    def _ends_at(self) -> Counter[Pin]:
        """How many ends of switches are in each nearest group."""
        return Counter(
            self.board.near.of(Pin(ref, end))
            for ref, use in self.board.adapter.parts.items()
            for channel in use.part.channels
            for end in (channel.a, channel.b)
        )

    @cached_property
    def _fed(self) -> frozenset[Pin]:
        board = self.board
        return frozenset(
            board.near.of(pin) for group in (*board.ground, *board.power) for pin in board.groups.members(group)
        )

    def _ends(self, group: Pin) -> tuple[str, ...]:
        lines = self.board.lines.get(group, ())
        return (*lines, GROUND) if group in self.board.ground else lines

    def _take(
        self,
        routes: list[Route],
        odd: list[OddSwitch],
        ref: str,
        channel: Channel,
        one: tuple[Pin, str],
        two: tuple[Pin, str],
    ) -> None:
        for (pin, line), (other, opposite) in ((one, two), (two, one)):
            contact = self._contact(line, opposite)
            if contact is not None:
                diode = self._has_diode(pin, line) or self._has_diode(other, opposite)
                routes.append(Route(contact=contact, ref=ref, channel=channel, ends=(pin, other), diode=diode))
                return
        if GROUND not in (one[1], two[1]):
            odd.append(OddSwitch(ref=ref, channel=channel, lines=(one[1], two[1])))

    def _contact(self, line: str, opposite: str) -> Contact | None:
        machine = self.board.machine
        if line in machine.select and opposite in machine.sense:
            return Contact(machine.select.index(line) * len(machine.sense) + machine.sense.index(opposite))
        if line in machine.direct and opposite == (self.board.electric.closes_to or {}).get(line, GROUND):
            return Contact(machine.crosspoints + machine.direct.index(line))
        return None

    def _has_diode(self, pin: Pin, line: str) -> bool:
        """Whether a diode lies between a switch and a line, in either direction."""
        if line == GROUND:
            return False
        way = self._series.path(pin, line_pin(self.board, line), any_way=True)
        return any(element.is_diode for element, _ in way or ())

    @cached_property
    def _series(self) -> Series:
        return Series(self.board)

    @cached_property
    def followers(self) -> tuple[Route, ...]:
        """The routes by processor pins: on a direct line, or from a select line to a sense line."""
        board, machine = self.board, self.board.machine
        routes: list[Route] = []
        senses = [(at, source) for at, line in enumerate(machine.sense) for source in self.pulls(line)]
        for at, line in enumerate(machine.select):
            for reads in self.readers(line):
                routes += [
                    Route(contact=Contact(at * len(machine.sense) + sense), drives=drives, reads=reads)
                    for sense, drives in senses
                ]
        for at, line in enumerate(machine.direct):
            if (board.electric.closes_to or {}).get(line, GROUND) == GROUND:
                contact = Contact(machine.crosspoints + at)
                routes += [Route(contact=contact, drives=source) for source in self.pulls(line)]
        return tuple(routes)

    def pulls(self, line: str) -> Iterator[Source]:
        """The processor's pins that can pull a line low, as sources."""
        group = self.board.line_group(line)
        for source in sources_of(self.board, group) if group is not None else ():
            if source.is_processor and source.pin is not None:
                does = self.board.adapter.part(source.pin).processor[source.pin.number].does
                if source.through or Does.OPEN_DRAIN in does:
                    yield source

    def grounds(self, line: str) -> Iterator[Route]:
        """What joins a sense line to ground by itself: switches between the two, and processor pins that pull it."""
        board, machine = self.board, self.board.machine
        # Not a contact: numbers after those of the contacts mean sense lines here.
        place = Contact(machine.crosspoints + len(machine.direct) + machine.sense.index(line))
        group = board.line_group(line)
        for ref, use in board.adapter.parts.items():
            for channel in use.part.channels:
                ends = (Pin(ref, channel.a), Pin(ref, channel.b))
                groups = [board.groups.of(end) for end in ends]
                if group in groups and any(each in board.ground for each in groups) and groups[0] != groups[1]:
                    yield Route(contact=place, ref=ref, channel=channel, ends=ends)
        for source in self.pulls(line):
            yield Route(contact=place, drives=source)

    def readers(self, line: str) -> Iterator[Source]:
        """The processor pins that read a line: those on it, and those behind buffers with their inputs on it."""
        group = self.board.line_group(line)
        if group is None:
            return
        waiting, seen = [(group, ())], {group}
        while waiting:
            here, through = waiting.pop(0)
            for pin in self.board.groups.members(here):
                use = self.board.adapter.parts.get(pin.ref)
                if use is None:
                    continue
                known = use.part.processor.get(pin.number)
                if known is not None and Does.IN in known.does:
                    yield Source(pin=pin, first=pin, is_processor=True, through=through)
                for buffer in use.part.buffers:
                    behind = self.board.groups.of(Pin(pin.ref, buffer.output))
                    if buffer.input == pin.number and behind not in seen:
                        seen.add(behind)
                        waiting.append((behind, (*through, Pin(pin.ref, buffer.output))))  # type: ignore[arg-type]

    @cached_property
    def routes(self) -> tuple[Route, ...]:
        """All routes, by contact; a contact may have several or none."""
        return tuple(sorted((*self.switches[0], *self.followers), key=lambda route: route.contact))

    @cached_property
    def by_contact(self) -> dict[Contact, tuple[Route, ...]]:
        """Contact -> its routes."""
        found: dict[Contact, list[Route]] = {}
        for route in self.routes:
            found.setdefault(route.contact, []).append(route)
        return {contact: tuple(routes) for contact, routes in found.items()}

    @property
    def contacts(self) -> tuple[Contact, ...]:
        """All contacts of the machine: its crosspoints, then its direct lines."""
        return tuple(
            Contact(number) for number in range(self.board.machine.crosspoints + len(self.board.machine.direct))
        )

    @property
    def how(self) -> str:
        """How the adapter closes crosspoints, in the words of a layout's field `contacts`."""
        crosspoints = [route for route in self.routes if route.contact < self.board.machine.crosspoints]
        if crosspoints and all(not route.is_switch for route in crosspoints):
            return "follows-select"
        return "switch-with-diode" if crosspoints and all(route.diode for route in crosspoints) else "switch"
