"""Which few networks are enough for all sets of closed contacts: connected parts, by their shape.

Contacts that share lines, even through other contacts, are one part; parts do not affect each other's voltages. Two
parts are one shape if they have the same number of lines, contacts in the same places, and the same values; each shape
is solved once. With the guard on, each part is a full block: each of its select lines is joined to each of its sense
lines.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import permutations, product
from math import factorial
from typing import NamedTuple, TypeVar

from matrixmap.margins.facts import ContactFacts, Facts, LineFacts
from matrixmap.margins.network import Junction, Leak, Network, Resistor, Source, Span
from matrixmap.margins.worst import Box
from matrixmap.model.machine import Contact

FEW = 150
"""The most orders of lines that are tried to find equal parts; beyond that, equal parts may count as two shapes."""

Kind = TypeVar("Kind", LineFacts, ContactFacts)


class Shape(NamedTuple):
    """A part: the kind of each select and sense line, and of each contact with the places of its lines."""

    selects: tuple[int, ...]
    senses: tuple[int, ...]
    points: tuple[tuple[int, int, int], ...]

    @property
    def is_block(self) -> bool:
        """Whether each of its select lines is joined to each of its sense lines."""
        return len(self.points) == len(self.selects) * len(self.senses)

    @property
    def is_uniform(self) -> bool:
        """Whether it is a block with one kind of select line, one kind of sense line and one kind of contact."""
        kinds = (set(self.selects), set(self.senses), {kind for _, _, kind in self.points})
        return self.is_block and all(len(each) == 1 for each in kinds)

    @property
    def open_corner(self) -> tuple[int, int]:
        """The places of the select and the sense line that no contact joins, given three contacts."""
        joined = {(row, column) for row, column, _ in self.points}
        return next((row, column) for row in range(2) for column in range(2) if (row, column) not in joined)

    @property
    def size(self) -> tuple[int, int]:
        """How many select and sense lines it has."""
        return len(self.selects), len(self.senses)


def parts_of(closed: int, width: int) -> Iterator[int]:
    """The connected parts of a set of contacts, each as a mask: bit n is contact n."""
    row = (1 << width) - 1
    blocks: list[tuple[int, int]] = []
    offset = 0
    while closed >> offset:
        senses = closed >> offset & row
        if senses:
            mask, apart = senses << offset, []
            for block in blocks:
                if block[0] & senses:
                    senses |= block[0]
                    mask |= block[1]
                else:
                    apart.append(block)
            blocks = [*apart, (senses, mask)]
        offset += width
    return (mask for _, mask in blocks)


@dataclass(frozen=True)
class Kinds:
    """The lines and contacts of a board by their values: those with the same values are one kind."""

    facts: Facts
    width: int
    lines: list[LineFacts] = field(default_factory=list)
    contacts: list[ContactFacts] = field(default_factory=list)
    _shapes: dict[int, Shape] = field(default_factory=dict)
    _known: dict[tuple[str, int], int] = field(default_factory=dict)

    def shape(self, part: int) -> Shape:
        """The shape of a part, given as a mask of connected contacts."""
        if part not in self._shapes:
            self._shapes[part] = _ordered(self.shape_as_it_lies(part))
        return self._shapes[part]

    def shape_as_it_lies(self, part: int) -> Shape:
        """A part with its lines in the order of the machine."""
        found = [number for number in range(part.bit_length()) if part >> number & 1]
        selects = sorted({number // self.width for number in found})
        senses = sorted({number % self.width for number in found})
        points = [
            (
                selects.index(number // self.width),
                senses.index(number % self.width),
                self._number("contact", number),
            )
            for number in found
        ]
        return Shape(
            tuple(self._number("select", at) for at in selects),
            tuple(self._number("sense", at) for at in senses),
            tuple(points),
        )

    def _number(self, of: str, at: int) -> int:
        """The number of the kind of a line or contact, looked up once."""
        if (of, at) not in self._known:
            if of == "contact":
                self._known[of, at] = _kind(self.contacts, self.facts.contacts[Contact(at)])
            else:
                lines = self.facts.selects if of == "select" else self.facts.senses
                self._known[of, at] = _kind(self.lines, lines[at])
        return self._known[of, at]

    def contact_kind(self, contact: ContactFacts) -> int:
        """The number of a kind of contact, even one that the adapter does not have."""
        return _kind(self.contacts, contact)

    def box(self, shape: Shape, strobed: int) -> Box:
        """The network of a shape while one of its select lines is strobed."""
        return _Made(self, shape, strobed).box()

    def released(self, shape: Shape, strobed: int) -> Box:
        """The network of a shape after the strobe of one of its select lines, while none is strobed.

        If the machine drives select lines high that are not strobed, still only the pull-ups are counted. A diode is
        left out, because it only reduces the leakage that the line must bear.
        """
        network = self.box(shape, strobed).network
        ends = {each.anode: each.cathode for each in network.junctions}
        resistors = []
        for each in network.resistors:
            if each.name == "driver" or each.name.startswith("unselected"):
                continue
            sense = next((node for node, end in ends.items() if end == each.b), each.b)
            while sense in ends.values():
                sense = next(node for node, end in ends.items() if end == sense)
            resistors.append(each._replace(b=sense))
        known = {end for each in resistors for end in (each.a, each.b)}
        sources = tuple(each for each in network.sources if each.node in known)
        leaks = tuple(each for each in network.leaks if each.node in known)
        # The strobed line now floats like the others.
        if shape.selects:
            least = self.lines[shape.selects[strobed]].leak
            leaks = (*leaks, Leak("leak of the line that was strobed", f"S{strobed}", Span(-least, least)))
        return Box(Network(resistors=tuple(resistors), sources=sources, leaks=leaks), "", frozenset({"supply"}))

    def open_line(self, line: LineFacts) -> Box:
        """A sense line by itself."""
        return Box(Network(**_sense(self.facts, line, "N0")), "", frozenset({"supply"}))


def _kind(known: list[Kind], value: Kind) -> int:
    if value not in known:
        known.append(value)
    return known.index(value)


def _ordered(shape: Shape) -> Shape:
    """The part with its lines in a standard order, the same for all equal parts."""
    selects, senses, points = shape

    def arranged(rows: tuple[int, ...], columns: tuple[int, ...]) -> Shape:
        at_row = {old: new for new, old in enumerate(rows)}
        at_column = {old: new for new, old in enumerate(columns)}
        moved = sorted((at_row[row], at_column[column], kind) for row, column, kind in points)
        return Shape(tuple(selects[at] for at in rows), tuple(senses[at] for at in columns), tuple(moved))

    rows, columns = tuple(range(len(selects))), tuple(range(len(senses)))
    alike = len(set(selects)) == len(set(senses)) == len({kind for _, _, kind in points}) == 1
    if (alike and len(points) == len(rows) * len(columns)) or factorial(len(rows)) * factorial(len(columns)) > FEW:
        return arranged(rows, columns)
    return min(arranged(*orders) for orders in product(permutations(rows), permutations(columns)))


def _sense(facts: Facts, line: LineFacts, node: str) -> dict[str, tuple]:  # type: ignore[type-arg]
    """What is on a sense line by itself, as parts of a network."""
    resistors = [Resistor(f"pull-up {node}", "supply", node, facts.pull_up)]
    sources = [Source("supply", "supply", facts.supply)]
    for pull in line.pulls:
        at = "supply" if pull.of_machine else f"{pull.volts} V"
        resistors.append(Resistor(f"{pull.ref} {node}", at, node, pull.ohms))
        if at not in [each.name for each in sources]:
            sources.append(Source(at, at, Span(pull.volts, pull.volts)))
    leaks = [Leak(f"leak {node}", node, Span(-line.leak, line.leak))]
    return {"resistors": tuple(resistors), "sources": tuple(sources), "leaks": tuple(leaks)}


@dataclass(frozen=True)
class _Made:
    """Makes the network of a shape."""

    kinds: Kinds
    shape: Shape
    strobed: int

    def box(self) -> Box:
        facts, kinds = self.kinds.facts, self.kinds
        resistors: list[Resistor] = []
        sources: dict[str, Source] = {}
        leaks: list[Leak] = []
        junctions: list[Junction] = []
        for at, kind in enumerate(self.shape.senses):
            made = _sense(facts, kinds.lines[kind], f"N{at}")
            resistors += made["resistors"]
            sources |= {each.name: each for each in made["sources"]}
            leaks += made["leaks"]
        high = {"supply"}
        sources["strobe"] = Source("strobe", "low", facts.driver_v)
        resistors.append(Resistor("driver", "low", f"S{self.strobed}", facts.driver_ohms))
        for at, kind in enumerate(self.shape.selects):
            if at == self.strobed:
                continue
            leak = kinds.lines[kind].leak
            # A leak into a line behind diodes only cannot leave it: the line rises, and no other line is affected.
            behind = all(kinds.contacts[kind].diodes for row, _, kind in self.shape.points if row == at)
            most = Fraction(0) if behind and facts.unselected is None else leak
            leaks.append(Leak(f"leak S{at}", f"S{at}", Span(-leak, most)))
            if facts.unselected is not None:
                name = f"high S{at}"
                high.add(name)
                sources[name] = Source(name, name, facts.supply)
                resistors.append(Resistor(f"unselected S{at}", name, f"S{at}", facts.unselected))
        for row, column, kind in self.shape.points:
            _join(kinds.contacts[kind], f"S{row}", f"N{column}", resistors, junctions)
        network = Network(
            resistors=tuple(resistors),
            sources=tuple(sources.values()),
            leaks=tuple(leaks),
            junctions=tuple(junctions),
        )
        return Box(network, "strobe", frozenset(high))


def _join(contact: ContactFacts, select: str, sense: str, resistors: list[Resistor], junctions: list[Junction]) -> None:
    """A closed contact between two nodes: its resistance, then its diodes towards the select line."""
    name, end = f"contact {select}/{sense}", sense
    for number, diode in enumerate(contact.diodes):
        here = f"{select}/{sense}.{number}"
        junctions.append(Junction(f"diode {here}", end, here, diode.saturation, diode.emission))
        end = here
    resistors.append(Resistor(name, select, end, contact.ohms))


def pulled_line(facts: Facts, line: LineFacts, contact: ContactFacts) -> Box:
    """A line that an output of the adapter, or a switch to ground, pulls."""
    made = _sense(facts, line, "N0")
    volts = contact.volts or Span(Fraction(0), Fraction(0))
    resistors = (*made["resistors"], Resistor("contact", "low", "N0", contact.ohms))
    sources = (*made["sources"], Source("strobe", "low", volts))
    return Box(Network(resistors=resistors, sources=sources, leaks=made["leaks"]), "strobe", frozenset({"supply"}))
