"""Which sets of contacts are surely read, by kind: the worst voltages against the thresholds of the inputs.

A closed contact must make its sense line fall to `low` or below in the worst corner: then it is sure. If even the best
corner leaves the line at `high` or above, it is surely not read. In between it is unsure: it may be read or not,
from machine to machine and from read to read. The voltages of a low output are only valid while no more current flows
into it than its data sheet allows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from types import MappingProxyType

from matrixmap.circuit.corners import corners_of
from matrixmap.circuit.reading import read_mask
from matrixmap.margins.facts import ContactFacts, Facts, LineFacts
from matrixmap.margins.network import Network, Point
from matrixmap.margins.shapes import Kinds, Shape, parts_of, pulled_line
from matrixmap.margins.worst import Box, CycleError, Worst
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Machine

OPEN_LINE = "nothing closed"
PHANTOM = "phantom by three contacts"
RESTING = "the same contacts, another line strobed"


class Sure(Enum):
    """How sure it is that a contact reads as it should."""

    SURE = "sure"
    UNSURE = "unsure"
    NOT = "sure not"


class Read(Enum):
    """Whether the machine reads a phantom's crosspoint as closed."""

    READ = "really read"
    UNSURE = "unsure"
    NEVER = "never"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A kind of set that can be closed, with the least and the most volts of the line in question.

    `parts` is how often it occurs in all sets, `example` the contacts of one. `closed`: the contact in question is
    closed and must read low; else it must read high. `amps` is the most current into the strobed driver (None: none is
    strobed, or there is no limit). `over` says that this is more than the driver's low voltage is valid for. `worst` is
    the corner of the decisive end. `bound`: a diode is in a closed cycle, so the ends are only bounds, and perhaps no
    corner comes near them.
    """

    kind: str
    parts: int
    example: tuple[Contact, ...]
    closed: bool
    least: Fraction
    most: Fraction
    low: Fraction
    high: Fraction
    amps: Fraction | None = None
    over: bool = False
    network: Network = field(default_factory=Network, repr=False)
    node: str = ""
    worst: Point = field(default_factory=dict, repr=False)
    tried: int = 1
    bound: bool = False

    @property
    def sure(self) -> Sure:
        """How sure it is that the reading is the right one."""
        if self.closed and self.bound:
            return Sure.SURE if self.most <= self.low and not self.over else Sure.UNSURE
        if self.closed:
            if self.least >= self.high:
                return Sure.NOT
            return Sure.SURE if self.most <= self.low and not self.over else Sure.UNSURE
        return {Read.NEVER: Sure.SURE, Read.READ: Sure.NOT, Read.UNSURE: Sure.UNSURE}[self.read]

    @property
    def verdict(self) -> str:
        """The row in one word: for a phantom whether it is read, for everything else how sure the reading is."""
        return self.read.value if self.kind.startswith("phantom") else self.sure.value

    @property
    def read(self) -> Read:
        """Whether it reads closed."""
        if self.least >= self.high:
            return Read.NEVER
        return Read.READ if self.most <= self.low and not self.over else Read.UNSURE


@dataclass(frozen=True, slots=True, kw_only=True)
class Sets:
    """How many sets of contacts were looked at, how many of them the guard allows, and parts by shape.

    `shapes` has for each shape how often it occurs, and the first part of that shape, as a mask. `phantoms` is the same
    for three contacts that make a phantom.
    """

    looked_at: int
    allowed: int
    shapes: dict[Shape, tuple[int, int]]
    phantoms: dict[Shape, tuple[int, int]]

    @property
    def firsts(self) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """The first part of each shape that can be closed, and of each that makes a phantom."""
        first = [tuple(part for _, part in each.values()) for each in (self.shapes, self.phantoms)]
        return first[0], first[1]


def sets_of(machine: Machine, kinds: Kinds, how: Contacts, modifiers: frozenset[Contact]) -> Sets:
    """All contacts, pairs and triples of a matrix, and all pairs of keys with any modifiers, by their parts' shapes.

    What the guard does not allow is counted separately, by the three contacts of each phantom.
    """
    known = tuple(number for number in range(machine.crosspoints) if Contact(number) in kinds.facts.contacts)
    shapes: dict[Shape, tuple[int, int]] = {}
    looked, allowed, parts = _parts_met(known, modifiers, len(machine.sense), how)
    for part, met in parts.items():
        shape = kinds.shape(part)
        count, first = shapes.get(shape, (0, part))
        shapes[shape] = count + met, first
    phantoms: dict[Shape, tuple[int, int]] = {}
    corners = corners_of(machine, how)
    for corner, beside, below, _ in corners.triples(sum(1 << number for number in known)) if corners else ():
        part = 1 << corner | 1 << beside | 1 << below
        shape = kinds.shape(part)
        count, first = phantoms.get(shape, (0, part))
        phantoms[shape] = count + 1, first
    return Sets(looked_at=looked, allowed=allowed, shapes=shapes, phantoms=phantoms)


@lru_cache(maxsize=8)
def _parts_met(
    known: tuple[int, ...], modifiers: frozenset[Contact], width: int, how: Contacts
) -> tuple[int, int, Mapping[int, int]]:
    """How many sets there are, how many of them the guard lets close, and how often each part was met in these, the first met first.

    No voltage counts here, so boards of one machine share the answer.
    """
    looked, allowed = 0, 0
    parts: dict[int, int] = {}
    for closed in _masks(known, modifiers):
        looked += 1
        if read_mask(closed, width, how) != closed:
            continue
        allowed += 1
        # With diodes, or where contacts follow, no contact touches another select line.
        for part in parts_of(closed, width) if how is Contacts.SWITCH else _by_select(closed, width):
            parts[part] = parts.get(part, 0) + 1
    return looked, allowed, MappingProxyType(parts)


def _masks(known: Sequence[int], modifiers: frozenset[Contact]) -> Iterator[int]:
    bits = [1 << number for number in known]
    yield from bits
    yield from (a | b for a, b in combinations(bits, 2))
    yield from (a | b | c for a, b, c in combinations(bits, 3))
    held = [1 << number for number in known if number in modifiers]
    keys = [1 << number for number in known if number not in modifiers]
    # One modifier with two keys is already a triple.
    for count in range(2, len(held) + 1):
        for chosen in combinations(held, count):
            both = sum(chosen)
            yield from (both | a | b for a, b in combinations(keys, 2))


def _by_select(closed: int, width: int) -> Iterable[int]:
    row = (1 << width) - 1
    return [part for offset in range(0, closed.bit_length(), width) if (part := closed & row << offset)]


def rows_of(machine: Machine, kinds: Kinds, sets: Sets) -> tuple[Row, ...]:
    """The table: open lines, then closed contacts by size, then phantoms, then direct lines."""
    facts = kinds.facts
    rows = [min((_open_row(kinds, line) for line in dict.fromkeys(facts.senses)), key=lambda row: row.least)]
    for shape, (count, part) in sorted(sets.shapes.items(), key=lambda item: (item[0].size, item[0])):
        rows.append(_closed_row(kinds, shape, count, part))
    rows += _resting_rows(kinds, sets)
    for shape, (count, part) in sorted(sets.phantoms.items()):
        rows.append(_phantom_row(kinds, shape, count, part))
    rows += _own_rows(kinds, sets)
    rows += _direct_rows(machine, facts)
    return tuple(_merged(rows))


def _merged(rows: Iterable[Row]) -> Iterator[Row]:
    """Rows with one name, as when contacts have different ohms, are merged: the widest of both ends."""
    by_kind: dict[tuple[str, bool], list[Row]] = {}
    for row in rows:
        by_kind.setdefault((row.kind, row.closed), []).append(row)
    for same in by_kind.values():
        worse = max(same, key=lambda row: row.most) if same[0].closed else min(same, key=lambda row: row.least)
        yield replace(
            worse,
            parts=sum(row.parts for row in same),
            least=min(row.least for row in same),
            most=max(row.most for row in same),
            amps=max((row.amps for row in same if row.amps is not None), default=None),
            over=any(row.over for row in same),
            tried=sum(row.tried for row in same),
            bound=any(row.bound for row in same),
        )


def _open_row(kinds: Kinds, line: LineFacts) -> Row:
    box = kinds.open_line(line)
    return _row(kinds.facts, OPEN_LINE, 0, (), False, (box, "N0", *_of(box, "N0")))


def _row(
    facts: Facts,
    kind: str,
    parts: int,
    example: tuple[Contact, ...],
    closed: bool,
    ends: tuple[Box, str, Worst, Worst],
    limit: Fraction | None = None,
) -> Row:
    box, node, least, most = ends
    assert least.value is not None
    assert most.value is not None
    amps = box.most_into_or_bound() if box.strobed else None
    limit = facts.amps if limit is None else limit
    return Row(
        kind=kind,
        parts=parts,
        example=example,
        closed=closed,
        least=least.value,
        most=most.value,
        low=facts.low,
        high=facts.high,
        amps=amps,
        over=limit is not None and bool(box.strobed) and (amps is None or amps > limit),
        network=box.network,
        node=node,
        worst=(most if closed else least).point,
        tried=least.tried + most.tried,
        bound=not least.tried or not most.tried,
    )


def _of(box: Box, node: str) -> tuple[Worst, Worst]:
    """Both ends of a line; if a diode is in a closed cycle they are bounds, which have no corner."""
    return box.worst_or_bound(node, False)[0], box.worst_or_bound(node, True)[0]


def _ends(boxes: Iterable[tuple[Box, str]], closed: bool = True) -> tuple[Box, str, Worst, Worst]:
    """The widest ends of several lines, with the decisive box: the highest if they must be low, else the lowest."""
    found = [(box, node, *_of(box, node)) for box, node in boxes]
    lowest = min(found, key=lambda each: each[2].number)
    highest = max(found, key=lambda each: each[3].number)
    box, node, _, _ = highest if closed else lowest
    return box, node, lowest[2], highest[3]


def words_of(size: tuple[int, int]) -> str:
    """The name of a block of this many select and sense lines."""
    selects, senses = size
    if size == (1, 1):
        return "one contact"
    if selects == 1:
        return f"{senses} contacts on a select line"
    if senses == 1:
        return f"{selects} contacts on a sense line"
    return f"{selects * senses} contacts, each of {selects} select with {senses} sense lines"


def closed_boxes(kinds: Kinds, shape: Shape) -> Iterator[tuple[Box, str]]:
    """Each strobed line of a block with each of its sense lines; equal ones occur once."""
    selects, senses = (1, 1) if shape.is_uniform else shape.size
    for strobed in range(selects):
        box = kinds.box(shape, strobed)
        yield from ((box, f"N{sense}") for sense in range(senses))


def _closed_row(kinds: Kinds, shape: Shape, count: int, part: int) -> Row:
    facts = kinds.facts
    example = _contacts(part)
    if facts.how == "follows-select":
        contact = facts.contacts[example[0]]
        # Each sense line has a separate output, which no other contact affects.
        box = pulled_line(facts, kinds.lines[shape.senses[0]], contact)
        ends = (box, "N0", *_of(box, "N0"))
        return _row(facts, "contacts that follow", count, example[:1], True, ends, contact.amps or Fraction(10**6))
    return _row(facts, words_of(shape.size), count, example, True, _ends(closed_boxes(kinds, shape)))


def _contacts(part: int) -> tuple[Contact, ...]:
    return tuple(Contact(number) for number in range(part.bit_length()) if part >> number & 1)


def _phantom_row(kinds: Kinds, shape: Shape, count: int, part: int) -> Row:
    """The fourth corner of three contacts: the select line that lacks one sense line is strobed."""
    select, sense = shape.open_corner
    box = kinds.box(shape, select)
    node = f"N{sense}"
    ends = (box, node, *_of(box, node))
    return _row(kinds.facts, PHANTOM, count, _contacts(part), False, ends)


def _resting_rows(kinds: Kinds, sets: Sets) -> Iterator[Row]:
    """Lines with closed contacts while another select line is strobed: all their leaks must not make them low."""
    if kinds.facts.how == "follows-select":
        return
    for shape, (count, part) in sets.shapes.items():
        box = kinds.released(shape, 0)
        lines = 1 if shape.is_uniform else len(shape.senses)
        ends = _ends(((box, f"N{at}") for at in range(lines)), closed=False)
        yield _row(kinds.facts, RESTING, count, _contacts(part), False, ends)


def _own_rows(kinds: Kinds, sets: Sets) -> Iterator[Row]:
    """What a key of the machine's own keyboard, which the guard does not see, does beside contacts of the adapter."""
    facts = kinds.facts
    first = next((shape for shape in sorted(sets.shapes) if shape.size == (1, 1)), None)
    if facts.own_key is None or facts.how == "follows-select" or first is None:
        return
    select, sense, ours = first.selects[0], first.senses[0], first.points[0][2]
    own = kinds.contact_kind(ContactFacts(ohms=facts.own_key))
    for words, points in (
        ("one contact, and an own key on its select line", ((0, 0, ours), (0, 1, own))),
        ("one contact, and an own key on its sense line", ((0, 0, ours), (1, 0, own))),
    ):
        shape = Shape((select,) * (1 + points[1][0]), (sense,) * (1 + points[1][1]), points)
        box = kinds.box(shape, 0)
        yield _row(facts, words, 0, (), True, (box, "N0", *_of(box, "N0")))
    path = ((0, 0), (1, 0), (1, 1))
    # With diodes in the adapter's contacts, current can run back through an own key only at the corner.
    for corner in path if facts.how == "switch" else path[1:2]:
        points_3 = tuple((*at, own if at == corner else ours) for at in path)
        box = kinds.box(Shape((select, select), (sense, sense), points_3), 0)
        ends = (box, "N1", *_of(box, "N1"))
        yield _row(facts, "phantom by two contacts and an own key", 0, (), False, ends)


def _direct_rows(machine: Machine, facts: Facts) -> Iterator[Row]:
    for at, line in enumerate(facts.directs):
        number = Contact(machine.crosspoints + at)
        contact = facts.contacts.get(number)
        if contact is None:
            continue
        box = pulled_line(facts, line, contact)
        ends = (box, "N0", *_of(box, "N0"))
        limit = contact.amps or Fraction(10**6)
        yield _row(facts, "direct line", 1, (number,), True, ends, limit)


def contacts_carried(kinds: Kinds, most: int) -> tuple[int, int]:
    """How many contacts on one select line are surely read by volts, and how many the driver's current allows.

    `most` is the number of sense lines; it is also the result if nothing limits the number.
    """
    facts = kinds.facts
    line = max(range(len(facts.senses)), key=lambda at: facts.senses[at].leak)
    shape = kinds.shape(1 << line)
    volts = amps = 0
    for count in range(1, most + 1):
        wider = Shape(shape.selects, shape.senses * count, tuple((0, at, shape.points[0][2]) for at in range(count)))
        box = kinds.box(wider, 0)
        try:
            worst, into = box.worst("N0", True), box.worst_into("strobe")
        except CycleError:
            break
        if volts == count - 1 and worst.value is not None and worst.value <= facts.low:
            volts = count
        if amps == count - 1 and (facts.amps is None or (into.value is not None and into.value <= facts.amps)):
            amps = count
    return volts, amps
