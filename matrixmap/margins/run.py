"""All margins of a board for a layout: table, times, limits, joined outputs and supply, with all faults found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from matrixmap.board.routes import Traced
from matrixmap.margins.enough import Limit, Limits
from matrixmap.margins.facts import TIMES, Facts, Missing, facts_of
from matrixmap.margins.fights import Fight, fights_of
from matrixmap.margins.network import Network, Point
from matrixmap.margins.shapes import Kinds, Shape, pulled_line
from matrixmap.margins.supply import Supply, supplies_of
from matrixmap.margins.table import PHANTOM, Row, Sets, contacts_carried, rows_of, sets_of, words_of
from matrixmap.margins.times import Settles, Settling, falling, rising
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact

Course = tuple[Network, Point, Mapping[str, Fraction], float, str, float]
"""A line over time: network, point, farads of nodes, starting volts of all nodes, the node, and its threshold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Time:
    """How long a line takes in the worst case, and how long it has.

    `falls`: after a strobe until it surely reads low; else from the end of the strobe until it surely reads high.
    `limit` is in seconds (None: the machine's file does not say), and `of` is the field that it comes from. `course` is
    what was computed: network, point, farads, starting volts, node and threshold; None if nothing was.
    """

    kind: str
    falls: bool
    settles: Settles
    limit: Fraction | None
    of: str
    course: Course | None = field(default=None, repr=False)

    @property
    def is_in_time(self) -> bool | None:
        """Whether it is surely in time; None if that is not known."""
        return None if self.limit is None or self.course is None else self.settles.bound <= self.limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """The margins of a board; only `missing` and `supplies` if voltages cannot be known.

    `carried` is how many contacts on one select line are surely read by volts, and how many the driver's current
    allows. `line_time` is how long the machine has for one select line in its sweep, in seconds (None: not stated).
    """

    traced: Traced
    guard: bool
    facts: Facts | None
    missing: tuple[Missing, ...]
    typical: bool
    sets: Sets | None = None
    rows: tuple[Row, ...] = ()
    times: tuple[Time, ...] = ()
    limits: tuple[Limit, ...] = ()
    fights: tuple[Fight, ...] = ()
    carried: tuple[int, int] | None = None
    line_time: float | None = None
    supplies: tuple[Supply, ...] = ()

    @property
    def phantom(self) -> Row | None:
        """The row of phantoms; None if there can be none."""
        return next((row for row in self.rows if row.kind == PHANTOM), None)


def margins_of(traced: Traced, guard: bool = True, typical: bool = False, with_limits: bool = True) -> Margins:
    """The margins of a traced board on its machine.

    `guard` says whether the runtime keeps sets with a phantom open; `typical` replaces missing values with usual ones.
    """
    machine = traced.board.machine
    found = facts_of(traced, typical)
    supplies = supplies_of(traced.board)
    facts = found.facts
    if facts is None:
        return Margins(
            traced=traced, guard=guard, facts=None, missing=found.missing, typical=typical, supplies=supplies
        )
    kinds = Kinds(facts, len(machine.sense))
    modifiers = frozenset(machine.key(name).contact for each in machine.modifiers for name in each.keys)
    sets = sets_of(machine, kinds, Contacts(facts.how), modifiers)
    sweep = machine.scan.sweep_us
    timed = typical or all(each.needed_for != TIMES for each in found.missing)
    return Margins(
        traced=traced,
        guard=guard,
        facts=facts,
        missing=found.missing,
        typical=typical,
        sets=sets,
        rows=rows_of(machine, kinds, sets),
        times=tuple(_times(kinds, sets)) if timed else (),
        limits=tuple(Limits(facts, kinds.width, *sets.firsts).all(timed)) if with_limits else (),
        fights=tuple(fights_of(kinds)),
        carried=contacts_carried(kinds, len(machine.sense)) if facts.how != "follows-select" and sets.shapes else None,
        line_time=None if sweep is None else sweep / len(machine.select) / 1e6,
        supplies=supplies,
    )


def _times(kinds: Kinds, sets: Sets) -> Iterator[Time]:
    """How long each kind of part takes to fall and to rise: the slowest line of all shapes with one name."""
    facts = kinds.facts
    until, of = (facts.to_next, "strobe_end_to_read_us") if facts.to_next else (facts.to_read, "strobe_to_read_us")
    slowest: dict[tuple[bool, str], tuple[Settles, Course | None]] = {}
    for shape, (_, part) in sorted(sets.shapes.items(), key=lambda item: (item[0].size, item[0])):
        name = words_of(shape.size) if facts.how == "switch" else "one contact"
        for falls in (True, False):
            threshold = facts.low if falls else facts.high
            for settling, node in _lines(kinds, shape, part, falls):
                settles = settling.settles(node, threshold)
                known = slowest.get((falls, name))
                if known is None or settles > known[0]:
                    slowest[falls, name] = settles, settling.course(node, threshold)
    for (falls, name), (settles, course) in sorted(slowest.items(), key=lambda item: not item[0][0]):
        limit, whose = (facts.to_read, "strobe_to_read_us") if falls else (until, of)
        yield Time(kind=name, falls=falls, settles=settles, limit=limit, of=whose, course=course)


def _lines(kinds: Kinds, shape: Shape, part: int, falls: bool) -> Iterator[tuple[Settling, str]]:
    facts = kinds.facts
    lines = 1 if shape.is_uniform else len(shape.senses)
    if facts.how == "follows-select":
        line = kinds.lines[shape.senses[0]]
        if not falls:
            alone = Shape((), shape.senses[:1], ())
            yield rising(kinds, alone, 0), "N0"
            return
        box = pulled_line(facts, line, facts.contacts[Contact(part.bit_length() - 1)])
        slow = dict.fromkeys(box.network.outer, True)
        slow |= dict.fromkeys(box.pulls, False)
        yield Settling(box, {"N0": line.farads.most}, facts.supply.most, slow), "N0"
        return
    if falls:
        for strobed in range(1 if shape.is_uniform else len(shape.selects)):
            yield from ((falling(kinds, shape, strobed), f"N{at}") for at in range(lines))
        return
    if any(kinds.contacts[kind].diodes for _, _, kind in shape.points):
        # A line with only its select line: anything else on that line would let it rise sooner.
        shape = Shape(shape.selects, shape.senses[:1], tuple(point for point in shape.points if point[1] == 0))
        lines = 1
    yield from ((rising(kinds, shape, 0), f"N{at}") for at in range(lines))
