"""Continuity probes become a grid: each line has a key and the two pins that it joins.

Keys join pins as edges join the nodes of a graph. A graph has two sides if and only if it has no ring of odd length (D.
Koenig, Theorie der endlichen und unendlichen Graphen, 1936). One side has the select lines, the other the sense lines.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.kinds.machine_wires import MOST_DIRECT, MOST_LINES
from matrixmap.source.propose.grid import Cell, Grid
from matrixmap.source.propose.rings import Ring, colour, in_order
from matrixmap.source.report import Report, named
from matrixmap.source.text.nodes import decode

GROUND = "ground"
MOST_PINS = 255

_PIN = r"[A-Za-z]?[A-Za-z0-9]*"
_PROBE = re.compile(
    rf"(?P<key>\s*\S.*?)\s*:\s*(?:(?P<first>{_PIN})\s*(?P<way>[->\u2013<])\s*(?P<second>{_PIN})|(?P<none>none))\s*(?:\s#.*)?"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeChoices:
    """What a person says about pins: some strobed ones, those tied to ground, and the level of a strobe."""

    strobed: tuple[str, ...] = ()
    ground: tuple[str, ...] = ()
    active: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """A key and its two pins. `way`: `-` conducts both ways, `>` only from the first pin to the second."""

    cell: Cell
    first: str
    second: str
    way: str

    @property
    def pins(self) -> frozenset[str]:
        """Both pins."""
        return frozenset((self.first, self.second))


@dataclass(frozen=True, slots=True, kw_only=True)
class Probed:
    """The result of probes: the grid, and notes for the person."""

    grid: Grid
    notes: tuple[str, ...]


def read_probes(data: bytes, file: str, choices: ProbeChoices, report: Report) -> Probed | None:
    """The grid that probes show, or None after findings."""
    text = decode(data, file, report)
    if text is None:
        return None
    probes = _without_repeats(_probes(text, file, report), report)
    if not probes and not report.findings:
        start = Place(file=file, line=1, column=1)
        report.add(rules.EMPTY_FILE, start, "there are no probes; expected lines such as a: 3 - 14")
    if report.findings:
        return None
    grounds = {GROUND, *choices.ground}
    direct = [probe for probe in probes if probe.pins & grounds]
    crossing = [probe for probe in probes if not probe.pins & grounds]
    for probe in direct:
        if probe.pins <= grounds:
            report.add(rules.PROBES_CONTRADICT, probe.cell.place, f"{probe.cell.text} joins ground to ground")
    for pin in sorted({*choices.strobed} - {pin for probe in crossing for pin in probe.pins}, key=in_order):
        report.add(rules.SIDE_NOT_STATED, probes[0].cell.place, f"--strobed names pin {pin}, but no probe does")
    components, rings = colour([(probe.first, probe.second) for probe in crossing])
    for ring in rings:
        report.add(rules.PINS_NOT_SEPARABLE, crossing[ring[0]].cell.place, _told_ring(ring, crossing))
    if report.findings:
        return None
    sides = _Sides(crossing, choices, report)
    select: list[str] = []
    sense: list[str] = []
    for one, other in components:
        strobed = sides.strobed(one, other)
        if strobed is not None:
            select += strobed
            sense += other if strobed is one else one
    sides.tell_where_missing()
    if report.findings:
        return None
    return _probed(crossing, direct, select, sense, grounds, components, report)


def _probes(text: str, file: str, report: Report) -> list[Probe]:
    """The probes of the lines. Empty lines and lines that begin with # and a blank are skipped."""
    probes = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or re.match(r"\s*#(\s|$)", line):
            continue
        column = len(line) - len(line.lstrip()) + 1
        place = Place(file=file, line=number, column=column)
        found = _PROBE.fullmatch(line)
        if found is None:
            report.add(rules.PROBE_UNCLEAR, *_why_no_probe(line, place))
        elif found["none"]:
            report.add(
                rules.KEY_WITHOUT_CONTACT,
                place,
                f"{found['key'].strip()} joins no two pins; measure it again, or remove the line if the machine has "
                "no such key",
            )
        else:
            first, second, way = found["first"], found["second"], found["way"]
            if not first or not second:
                report.add(rules.PROBE_UNCLEAR, *_why_no_probe(line, place))
            elif first == second:
                report.add(rules.PROBE_UNCLEAR, place, f"{found['key'].strip()} joins pin {first} to itself")
            else:
                if way == "<":
                    first, second, way = second, first, ">"
                cell = Cell(text=found["key"].strip(), place=place)
                probes.append(Probe(cell=cell, first=first, second=second, way=">" if way == ">" else "-"))
    return probes


def _why_no_probe(line: str, place: Place) -> tuple[Place, str]:
    shape = "expected key: pin - pin, such as a: 3 - 14 (> or < where current flows one way only), or key: none"
    key, colon, pins = line.rpartition(":")
    if not colon or not key.strip():
        return place, f"{line.strip()!r} is not a probe; {shape}"
    at = Place(file=place.file, line=place.line, column=len(line) - len(pins.lstrip()) + 1)
    return (
        at,
        f"{pins.strip()!r} is not a pair of pins; {shape}" if pins.strip() else f"{key.strip()} has no pins; {shape}",
    )


def _without_repeats(probes: list[Probe], report: Report) -> list[Probe]:
    """Each key once; findings if two probes of a key differ, or if two keys are on one pair of pins."""
    by_key: dict[str, Probe] = {}
    by_pair: dict[frozenset[str], Probe] = {}
    for probe in probes:
        key = probe.cell.text
        before = by_key.get(key)
        other = by_pair.get(probe.pins)
        if before is not None and before.pins != probe.pins:
            report.add(
                rules.PROBES_CONTRADICT,
                probe.cell.place,
                f"{key} joins {_pair(probe)} here, but {_pair(before)} in line {before.cell.place.line}; two keys "
                "with one print need two names, such as shift-left and shift-right",
            )
        elif (
            before is not None
            and (before.way, before.first) != (probe.way, probe.first)
            and ">" in before.way + probe.way
        ):
            report.add(
                rules.PROBES_CONTRADICT,
                probe.cell.place,
                f"{key} passes current {_way(probe)} here, but {_way(before)} in line {before.cell.place.line}",
            )
        elif other is not None and other.cell.text != key:
            report.add(
                rules.PROBES_CONTRADICT,
                probe.cell.place,
                f"{key} joins {_pair(probe)}, and so does {other.cell.text} in line {other.cell.place.line}; one of "
                "the two was taken at a wrong pin, or both are one contact and one key is in parallel",
            )
        by_key.setdefault(key, probe)
        by_pair.setdefault(probe.pins, probe)
    return list(by_key.values())


def _pair(probe: Probe) -> str:
    return " and ".join(sorted(probe.pins, key=in_order))


def _way(probe: Probe) -> str:
    return f"from {probe.first} to {probe.second} only" if probe.way == ">" else "both ways"


def _told_ring(ring: Ring, probes: list[Probe]) -> str:
    listed = [
        f"{probes[index].cell.text} ({probes[index].first}-{probes[index].second}, line {probes[index].cell.place.line})"
        for index in ring
    ]
    return (
        f"{len(ring)} keys form a ring, so its pins cannot be divided into two sides: {named(listed, 9)}; one of them "
        "was taken at a wrong pin"
    )


class _Sides:
    """Which side of each part of the keyboard the machine strobes, as a person says or as the diodes show."""

    def __init__(self, probes: list[Probe], choices: ProbeChoices, report: Report) -> None:
        self.probes = probes
        self.choices = choices
        self.report = report
        self.missing: list[tuple[list[str], list[str]]] = []

    def strobed(self, one: list[str], other: list[str]) -> list[str] | None:
        """The strobed one of two sides; None after a finding or if nothing decides it."""
        arrows = [probe for probe in self.probes if probe.way == ">" and probe.first in {*one, *other}]
        forth = [probe for probe in arrows if probe.first in one]
        back = [probe for probe in arrows if probe.first in other]
        if forth and back:
            few, most = sorted((forth, back), key=len)
            against = named((probe.cell.text for probe in most), 3)
            self.report.add(
                rules.DIODES_OPPOSED,
                few[0].cell.place,
                f"{few[0].cell.text} passes current {_way(few[0])}, but {against} passes it the other way; were the "
                "leads exchanged?",
            )
            return None
        said = [side for side in (one, other) if set(side) & set(self.choices.strobed)]
        if len(said) == 2:
            pins = " and ".join(next(pin for pin in side if pin in self.choices.strobed) for side in (one, other))
            fault = f"--strobed names pins {pins}, which are on both sides: keys join one side with the other"
            self.report.add(rules.SIDE_NOT_STATED, self._place(one, other), fault)
            return None
        by_diodes = self._by_diodes(one, other, forth, back)
        if said and by_diodes is not None and by_diodes is not said[0]:
            self.report.add(
                rules.SIDE_NOT_STATED,
                arrows[0].cell.place,
                f"--strobed names {named(sorted(set(said[0]) & set(self.choices.strobed), key=in_order))}, but with "
                f"--active {self.choices.active} the diodes say that the other side is strobed: {named(by_diodes)}",
            )
            return None
        if not said and by_diodes is None:
            self.missing.append((one, other))
            return None
        return said[0] if said else by_diodes

    def _by_diodes(self, one: list[str], other: list[str], forth: list[Probe], back: list[Probe]) -> list[str] | None:
        """The strobed side by the diodes: current flows to a line strobed low, and from a line strobed high."""
        if self.choices.active is None or not (forth or back):
            return None
        target, origin = (other, one) if forth else (one, other)
        return target if self.choices.active == "low" else origin

    def _place(self, one: list[str], other: list[str]) -> Place:
        return next(probe.cell.place for probe in self.probes if probe.first in {*one, *other})

    def tell_where_missing(self) -> None:
        """A finding for each part if nothing decides which side of it is strobed."""
        for one, other in self.missing:
            part = "" if len(self.missing) == 1 else " of a part that no probe joins to the rest"
            self.report.add(
                rules.SIDE_NOT_STATED,
                self._place(one, other),
                f"one side{part} has the pins {named(one, MOST_LINES)}, the other {named(other, MOST_LINES)}; say "
                f"which side the machine strobes: --strobed {one[0]} or --strobed {other[0]}",
            )


def _probed(
    crossing: list[Probe],
    direct: list[Probe],
    select: list[str],
    sense: list[str],
    grounds: Collection[str],
    components: Iterable[tuple[list[str], list[str]]],
    report: Report,
) -> Probed | None:
    select, sense = sorted(select, key=in_order), sorted(sense, key=in_order)
    place = (crossing or direct)[0].cell.place
    single = [next(iter(probe.pins - set(grounds))) for probe in direct]
    lines = [*select, *sense]
    for pin, probe in zip(single, direct, strict=True):
        if pin in lines or single.count(pin) > 1:
            what = "a line of the matrix too" if pin in lines else "another key's too"
            report.add(rules.PROBES_CONTRADICT, probe.cell.place, f"pin {pin} of {probe.cell.text} is {what}")
    for pins, most, what in (
        (select, MOST_LINES, "select"),
        (sense, MOST_LINES, "sense"),
        (single, MOST_DIRECT, "direct"),
    ):
        if len(pins) > most:
            report.add(rules.TOO_MANY, place, f"{len(pins)} {what} lines are more than {most}: pins {named(pins, 20)}")
    if not crossing:
        report.add(
            rules.PROBE_UNCLEAR, place, "no key joins two lines, so there is no matrix; all keys join a line to ground"
        )
    if report.findings:
        return None
    cells = {(probe.pins): probe.cell for probe in crossing}
    rows = tuple(tuple(cells.get(frozenset((one, other))) for other in sense) for one in select)
    grid = Grid(
        select=tuple(map(_line, select)),
        sense=tuple(map(_line, sense)),
        rows=rows,
        direct=tuple((probe.cell, _line(pin)) for probe, pin in zip(direct, single, strict=True)),
        one_way=frozenset(probe.cell for probe in crossing if probe.way == ">"),
        pins=_pins([*lines, *single], grounds),
    )
    return Probed(grid=grid, notes=tuple(_notes(grid, components, crossing)))


def _notes(grid: Grid, components: Iterable[tuple[list[str], list[str]]], crossing: list[Probe]) -> Iterable[str]:
    parts = sorted(components, key=lambda sides: -len(sides[0]) - len(sides[1]))
    for one, other in parts[1:]:
        pins = {*one, *other}
        keys = [probe.cell.text for probe in crossing if probe.first in pins]
        yield f"no probe joins pins {named(sorted(pins, key=in_order), 32)} to the rest ({named(keys)})"
    holes = [
        f"{select}/{sense}"
        for select, row in zip(grid.select, grid.rows, strict=True)
        for sense, cell in zip(grid.sense, row, strict=True)
        if cell is None
    ]
    if holes:
        yield f"no key was probed at {named(holes)}; the file has none there"


def _pins(lines: Collection[str], grounds: Collection[str]) -> tuple[str | None, ...]:
    """The lines on the pins from 1 on, if all pins are numbers; else nothing."""
    numbers = [*lines, *(pin for pin in grounds if pin != GROUND)]
    if not all(pin.isdigit() and 1 <= int(pin) <= MOST_PINS for pin in numbers):
        return ()
    names: dict[int, str] = defaultdict(str)
    for pin in numbers:
        names[int(pin)] = GROUND if pin in grounds else _line(pin)
    return tuple(names.get(number) for number in range(1, max(names) + 1))


def _line(pin: str) -> str:
    """The name of the line on a pin: `P3` for pin 3; a pin with a name keeps it."""
    return f"P{pin}" if pin[0].isdigit() else pin
