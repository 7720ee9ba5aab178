"""A second writer of the table of faults: one board, one fault and one press at a time, pin by pin, without the package's room.

It plays the driver's writes on the parts as they hang together by the nets, asks what is low by a search through the closed switches,
and types what a machine of that rollover would. From the package it takes the adapter, the pins that the driver writes, and how
connectors lie on each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Any

from matrixmap.board.closers import Chain, Closers, Line, closers_of
from matrixmap.board.nets import Board, through_cable
from matrixmap.board.routes import Traced
from matrixmap.model.boards.adapter import Addressed, Mates, Passive, Shifted

Pin = tuple[str, str]
M = "the machine"


class Witness:
    """A board with one fault in one model, `high`: what nothing drives, and what is driven both ways, is high."""

    def __init__(
        self, board: Board, fault: Any, high: bool, more: str = "kept", unseen: frozenset[str] = frozenset()
    ) -> None:
        self.more, self.unseen = more, unseen
        self.board, self.high, self.machine = board, high, board.machine
        self.parts = board.adapter.parts
        self.gone = {fault.ref} if fault and fault.kind.value == "missing" else set()
        self.joins = list(self._joins(fault))
        self.group = self._flood(self.joins)
        self.members: dict[int, list[Pin]] = {}
        for pin, group in self.group.items():
            self.members.setdefault(group, []).append(pin)
        self.resistors = [
            (self.group[ref, a], self.group[ref, b], use.ohms or 1.0)
            for ref, use in self.parts.items()
            for a, b in use.part.elements
            if use.part.passive is Passive.RESISTOR
            and ref not in self.gone
            and self.group[ref, a] != self.group[ref, b]
        ]
        self.on_lines = {
            self.group[M, str(at)] for at, line in enumerate(board.connector.pins, 1) if line in board.contact_lines
        }
        self.ground, self.supply = self._fed()
        self.alive = {ref: self._lives(ref, fault) for ref in self.parts}
        self.closers: Closers = closers_of(Traced(board))
        self.out: dict[Pin, bool] = {}
        self.cells: dict[tuple[str, int], bool] = {}
        self.chain: dict[str, list[bool]] = {}
        self.shown: dict[str, list[bool]] = {}
        self.was: dict[tuple[str, str], bool] = {}
        self.strobed: str | None = None
        self._begin()

    # What hangs together.

    def _joins(self, fault: Any) -> Iterator[tuple[Pin, Pin]]:
        kind = fault.kind.value if fault else ""
        cut = {tuple(pin) for pin in fault.pins} if kind == "open" else set()
        for net in self.board.adapter.nets:
            pins: list[Pin] = []
            for ref, number in net.pins:
                if ref in self.gone or (ref, number) in cut:
                    continue
                pins.append(
                    (ref, self._turned(ref, number)) if kind == "turned" and ref == fault.ref else (ref, number)
                )
            yield from ((pins[0], pin) for pin in pins[1:])
        if kind == "bridge":
            yield tuple(fault.pins[0]), tuple(fault.pins[1])  # type: ignore[misc]
        way = (
            through_cable(self.board.fit, self.board.shape, self.board.own_shape, fault.way)
            if kind == "connector"
            else self.board.pairs
        )
        connector, header = self.board.connector, self.board.header
        for pin, own in way if header.ref not in self.gone else ():
            if pin != connector.key_pin and own != header.key_pin:
                yield (M, str(pin)), (header.ref, str(own))
        for name in ("ground", "supply"):
            same = [(M, str(at)) for at, line in enumerate(connector.pins, 1) if line == name]
            yield from pairwise(same)
        for ref, use in self.parts.items():
            if use.part.passive is Passive.JUMPER and use.closed != (kind == "jumper" and fault.ref == ref):
                yield from (((ref, a), (ref, b)) for a, b in use.part.elements)

    def _turned(self, ref: str, number: str) -> str:
        pins = list(self.parts[ref].part.pins)
        at = pins.index(number)
        return pins[(at + len(pins) // 2) % len(pins)] if len(pins) >= 8 and len(pins) % 2 == 0 else pins[-1 - at]

    def _flood(self, joins: Iterable[tuple[Pin, Pin]]) -> dict[Pin, int]:
        group: dict[Pin, int] = {}
        beside: dict[Pin, set[Pin]] = {}
        for one, other in joins:
            beside.setdefault(one, set()).add(other)
            beside.setdefault(other, set()).add(one)
        every = [(ref, number) for ref, use in self.parts.items() for number in use.part.pins]
        every += [(M, str(at)) for at in range(1, len(self.board.connector.pins) + 1)]
        for number, pin in enumerate(every):
            stack = [pin] if pin not in group else []
            while stack:
                here = stack.pop()
                group[here] = number
                stack += [each for each in beside.get(here, ()) if each not in group]
        return group

    def _fed(self) -> tuple[set[int], set[int]]:
        lines = self.board.connector.pins
        ground = {self.group[M, str(at)] for at, line in enumerate(lines, 1) if line == "ground"}
        supply = {self.group[M, str(at)] for at, line in enumerate(lines, 1) if line == "supply"}
        self.lost = False
        for ref, use in self.parts.items():
            power = use.part.power
            if ref in self.gone or not any(each.gives_v for each in power.values()):
                continue
            own = {self.group[ref, number] for number, each in power.items() if each.is_ground}
            if own & ground:
                ground |= own
            else:
                self.lost = True
            sizes = list(self.group.values())
            supply |= {
                self.group[ref, number]
                for number, each in power.items()
                if each.gives_v and sizes.count(self.group[ref, number]) > 1
            }
        return ground, supply

    def _lives(self, ref: str, fault: Any) -> bool:
        part = self.parts[ref].part
        if ref in self.gone or self.ground & self.supply:
            return False
        grounds = [self.group[ref, number] in self.ground for number, each in part.power.items() if each.is_ground]
        takes = [self.group[ref, number] in self.supply for number, each in part.power.items() if each.takes_v]
        if (grounds and True not in grounds) or (takes and True not in takes):
            return False
        doubt = False in takes or (bool(part.processor) and (self.lost or self._strange(ref)))
        return self.high if doubt else True

    def _strange(self, ref: str) -> bool:
        """Whether a pin of the processor that no file explains, or of the keyboard's plug, hangs together with other things than on a right board."""
        right = self.board.near
        odd = [
            (ref, number)
            for number in self.parts[ref].part.pins
            if number not in self.parts[ref].part.processor and number not in self.parts[ref].part.power
        ]
        odd += [
            (each, number)
            for each, use in self.parts.items()
            if use.part.header and use.mates is Mates.NOTHING
            for number in use.part.pins
        ]
        for pin in odd:
            if not any(pin == tuple(each) for net in self.board.adapter.nets for each in net.pins):
                continue
            meant = {tuple(each) for each in right.members(right.of(pin))}  # type: ignore[arg-type]
            now = {each for each, group in self.group.items() if group == self.group[pin]}
            feeds = [meant & {(M, str(at)) for at, line in enumerate(self.board.connector.pins, 1) if line == "ground"}]
            gives = any(
                (number, each)
                for each, number in meant
                if each in self.parts and (p := self.parts[each].part.power.get(number)) and p.gives_v
            )
            if feeds[0]:
                if self.group[pin] not in self.ground:
                    return True
            elif gives:
                if self.group[pin] not in self.supply:
                    return True
            elif meant != now:
                return True
        return False

    # Signals.

    def signal(self, pin: Pin, trail: frozenset[Pin] = frozenset()) -> bool:
        if pin in trail:
            return True
        found: list[tuple[float, bool]] = []
        cost = {self.group[pin]: 0.0}
        queue = [self.group[pin]]
        while queue:
            queue.sort(key=lambda group: -cost[group])
            here = queue.pop()
            both = False
            for signal, pulls in self.drives(here, trail | {pin}):
                found += [(cost[here], signal)] if not (pulls and signal) else []
                both = both or not pulls
            if here in self.on_lines:
                found.append((cost[here] + 20_000.0, True))
            for one, other, ohms in self.resistors if not both else ():
                if here in (one, other):
                    there = other if one == here else one
                    if cost[here] + ohms < cost.get(there, 1e18):
                        cost[there] = cost[here] + ohms
                        queue.append(there)
        if not found:
            return self.high
        found.sort()
        near = [signal for ohms, signal in found if ohms <= found[0][0] * 10]
        return near[0] if len(set(near)) == 1 else self.high

    def drives(self, group: int, trail: frozenset[Pin]) -> list[tuple[bool, bool]]:
        """The signals that drive a group, and whether each only pulls low."""
        if group in self.ground or group in self.supply:
            return [(group not in self.ground, False)]
        found = []
        for pin in self.members[group]:
            ref, number = pin
            if ref == M:
                if self.board.connector.pins[int(number) - 1] == self.strobed and self.strobed:
                    found.append((False, True))
                continue
            if not self.alive[ref]:
                continue
            part = self.parts[ref].part
            if pin in self.out:
                found.append((self.out[pin], False))
            if isinstance(part.store, Shifted) and self.chain:
                if number in part.store.outputs:
                    if part.store.enable is None or self._active(ref, part.store.enable, part.store.low, trail):
                        found.append((self.shown[ref][part.store.outputs.index(number)], False))
                elif number == part.store.out:
                    found.append((self.chain[ref][-1], False))
            found += [
                (self.signal((ref, each.input), trail), each.open_drain)
                for each in part.buffers
                if each.output == number
            ]
        return found

    def _active(self, ref: str, number: str, low: frozenset[str], trail: frozenset[Pin] = frozenset()) -> bool:
        return self.signal((ref, number), trail) != (number in low)

    # The driver, write by write.

    def _pin(self, line: Line) -> Pin:
        return next(
            (ref, number)
            for ref, use in self.parts.items()
            for number, each in use.part.processor.items()
            if (each.port, each.bit) == (line.port, line.bit)
        )

    def write(self, line: Line, active: bool) -> None:
        self.out[self._pin(line)] = active != line.low
        self.settle()

    def pulse(self, line: Line) -> None:
        self.write(line, True)
        self.write(line, False)

    def settle(self) -> None:
        """The stores look at their inputs."""
        moved = []
        for ref, use in self.parts.items():
            store = use.part.store
            if not self.alive[ref] or store is None:
                continue
            if isinstance(store, Addressed):
                self._take(ref, store)
            elif self._edge(ref, store.clock, store.low):
                moved.append((ref, self._active(ref, store.input, store.low)))
        for ref, bit in moved:
            self.chain[ref] = [bit, *self.chain[ref][:-1]]
        for ref in self.chain:
            store = self.parts[ref].part.store
            assert isinstance(store, Shifted)
            if self.alive[ref]:
                if store.clear is not None and self._active(ref, store.clear, store.low):
                    self.chain[ref] = [False] * len(self.chain[ref])
                if self._edge(ref, store.latch, store.low):
                    self.shown[ref] = list(self.chain[ref])

    def _edge(self, ref: str, number: str, low: frozenset[str]) -> bool:
        now = self._active(ref, number, low)
        before, self.was[ref, number] = self.was.get((ref, number), False), now
        return now and not before

    def _take(self, ref: str, store: Addressed) -> None:
        if store.reset is not None and self._active(ref, store.reset, store.low):
            for cell in list(self.cells):
                self.cells[cell] = False
        elif self._active(ref, store.strobe, store.low):
            at = sum(1 << bit for bit, number in enumerate(store.address) if self._active(ref, number, store.low))
            self.cells[ref, at] = self._active(ref, store.data, store.low)

    def _begin(self) -> None:
        for ref, use in self.parts.items():
            if isinstance(use.part.store, Shifted):
                self.chain[ref] = [False] * len(use.part.store.outputs)
                self.shown[ref] = list(self.chain[ref])
        closers = self.closers
        chain = closers.chain
        lines = [line for line in closers.contacts.values() if isinstance(line, Line)] + list(closers.sense)
        for store in closers.stores:
            lines += [*store.address, store.data, store.strobe, *([store.reset] if store.reset else [])]
        lines += (
            [line for line in (chain.input, chain.clock, chain.latch, chain.enable, chain.clear) if line]
            if chain
            else []
        )
        self.out = {self._pin(line): False for line in lines}
        self.settle()
        for line in [line for line in closers.contacts.values() if isinstance(line, Line)] + list(closers.sense):
            self.write(line, False)
        for store in closers.stores:
            self.write(store.strobe, False)
            if store.reset:
                self.pulse(store.reset)
        if chain:
            for line in (chain.enable, chain.clear, chain.clock, chain.latch):
                if line:
                    self.write(line, False)
            self._shift(chain, 0)
            if chain.enable:
                self.write(chain.enable, True)
        self.asked = 0

    def _shift(self, chain: Chain, mask: int) -> None:
        contact_of = {bit[1]: contact for contact, bit in self.closers.contacts.items() if not isinstance(bit, Line)}
        for bit in range(chain.bits - 1, -1, -1):
            self.write(chain.input, bit in contact_of and bool(mask >> contact_of[bit] & 1))
            self.pulse(chain.clock)
        self.pulse(chain.latch)

    def show(self, mask: int) -> None:
        """First what opens, then what closes."""
        for changed, state, closed in (
            (self.asked & ~mask, self.asked & mask, False),
            (mask & ~self.asked, mask, True),
        ):
            shifts = False
            for contact in [bit for bit in range(changed.bit_length()) if changed >> bit & 1]:
                closer = self.closers.contacts.get(contact)  # type: ignore[call-overload]
                if isinstance(closer, Line):
                    self.write(closer, closed)
                elif closer is not None and closer[0] < 0:
                    shifts = True
                elif closer is not None:
                    store = self.closers.stores[closer[0]]
                    for place, line in enumerate(store.address):
                        self.write(line, bool(closer[1] >> place & 1))
                    self.write(store.data, closed)
                    self.pulse(store.strobe)
            if shifts and self.closers.chain:
                self._shift(self.closers.chain, state)
        self.asked = mask

    # The machine.

    def lines(self) -> dict[int, int]:
        """Group -> the group that resistors join it to, where neither end is fed."""
        joined = {group: group for group in self.group.values()}
        for first, second, _ in self.resistors:
            one, other = joined[first], joined[second]
            if one != other and not {first, second, one, other} & (self.ground | self.supply):
                joined = {group: one if root == other else root for group, root in joined.items()}
        return joined

    def read(self) -> int:
        """What the machine reads closed."""
        image, machine = 0, self.machine
        width = len(machine.sense)
        for at, line in enumerate(machine.select):
            low = self._low(line)
            image |= sum(1 << at * width + each for each, sense in enumerate(machine.sense) if sense in low)
        idle = self._low(None)
        return image | sum(1 << machine.crosspoints + at for at, line in enumerate(machine.direct) if line in idle)

    def _low(self, strobed: str | None) -> set[str]:
        self.strobed = strobed
        kept = dict(self.out)
        if self.closers.select:
            self._follow()
        joined = self.lines()
        places: dict[str, int] = {}
        for at, line in enumerate(self.board.connector.pins, 1):
            if line in self.board.contact_lines:
                places[line or ""] = joined[self.group[M, str(at)]]
        low = {joined[group] for group in self.ground}
        held = {joined[group] for group in self.supply}
        low |= {places[strobed]} if strobed in places else set()
        for group in self.members:
            if joined[group] in places.values() and group not in self.ground | self.supply:
                strobe, self.strobed = self.strobed, None
                driven = self.drives(group, frozenset())
                self.strobed = strobe
                low |= {joined[group] for signal, pulls in driven if not signal and (pulls or not self.high)}
                pulled = any(not signal and (pulls or not self.high) for signal, pulls in driven)
                held |= {joined[group] for signal, pulls in driven if signal and not pulls and self.high and not pulled}
        edges = [(joined[self.group[ref, a]], joined[self.group[ref, b]]) for ref, a, b in self._closed()]
        low -= held
        while True:
            more = {b for a, b in [*edges, *((b, a) for a, b in edges)] if a in low and b not in low | held}
            if not more:
                break
            low |= more
        self.out, self.strobed = kept, None
        return {line for line, group in places.items() if group in low}

    def _closed(self) -> Iterator[tuple[str, str, str]]:
        for ref, use in self.parts.items():
            for channel in use.part.channels if self.alive[ref] else ():
                if channel.bit is not None:
                    closed = self.cells.get((ref, channel.bit), False)
                else:
                    closed = channel.control is None or self.signal((ref, channel.control)) != channel.low
                if closed:
                    yield ref, channel.a, channel.b

    def _follow(self) -> None:
        """The processor pulls the sense lines that the strobed select lines ask for, until nothing changes."""
        width = len(self.machine.sense)
        for _ in range(10):
            low = 0
            for at, line in enumerate(self.closers.select):
                if not self.signal(self._pin(line)):
                    low |= self.asked >> at * width & (1 << width) - 1
            before = dict(self.out)
            for at, line in enumerate(self.closers.sense):
                self.out[self._pin(line)] = self.out[self._pin(line)] and not low >> at & 1
            if before == self.out:
                return

    def press(self, asks: Iterable[int]) -> str:
        """What appears for a press from its start on, the board being just switched on."""
        images = []
        for mask in asks:
            self.show(mask)
            images.append(self.read())
        return typed(self.machine, images, self.more, self.unseen)


def typed(machine: Any, images: list[int], more: str, unseen: frozenset[str]) -> str:
    """What a machine that reads several keys at once, up to its rollover, types of images; the first stands before the press.

    `more` says whether a scan with more keys is left out, finds the first, or releases all; `unseen` shows nothing.
    """
    keys = {key.contact: key for key in machine.keys}
    modifier = {
        keys[at].contact: m.name for m in machine.modifiers for name in m.keys for at in keys if keys[at].name == name
    }
    down: list[int] = []
    history: list[int] = []
    text: list[str] = []
    for number, image in enumerate(images):
        state = frozenset(name for at, name in modifier.items() if image >> at & 1)
        closed = [at for at in range(image.bit_length()) if image >> at & 1 and at not in modifier]
        matrix = [at for at in closed if at < machine.crosspoints]
        many = len(matrix) > machine.scan.rollover
        if many and more != "kept":
            gone = matrix[machine.scan.rollover if more == "first" else 0 :]
            closed, many = [at for at in closed if at not in gone], False
        down = [at for at in down if at in closed or (many and at < machine.crosspoints)]
        for at in closed:
            room = at >= machine.crosspoints or (
                not many and sum(each < machine.crosspoints for each in down) < machine.scan.rollover
            )
            if at not in down and room:
                down.append(at)
                legend = keys[at].types.get(state & keys[at].selectors) if at in keys else None
                if number and legend and legend.text not in unseen:
                    text.append(name_of(legend.text))
                history.append(at)
    last, state = images[-1], frozenset(name for at, name in modifier.items() if images[-1] >> at & 1)
    if more == "released":
        matrix = [at for at in range(machine.crosspoints) if last >> at & 1 and at not in modifier]
        last &= ~sum(1 << at for at in matrix) if len(matrix) > machine.scan.rollover else -1
    newest = next((at for at in reversed(history) if last >> at & 1 and at in keys), None)
    legend = keys[newest].types.get(state & keys[newest].selectors) if newest is not None else None
    if legend is None or legend.text in unseen:
        return "".join(text) or "nothing"
    while text and text[-1] == name_of(legend.text):
        text.pop()
    return "".join([*text, name_of(legend.text), "…"])


def name_of(text: str) -> str:
    """A legend as answers write it."""
    return "<Space>" if text == " " else text if len(text) == 1 else f"<{text}>"
