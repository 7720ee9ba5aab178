"""Which values of a machine and a board determine the voltages, each from a least to a most, and which are missing.

A value that a file does not give is never made up. A missing value is named; a usual one is offered for it, and used
only if the caller asks for that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from matrixmap.board.nets import MACHINE
from matrixmap.board.routes import Route, Traced
from matrixmap.margins.network import Span, fraction, span
from matrixmap.model.boards.adapter import Mates, Part, Passive, Pin
from matrixmap.model.machine import Contact, Drive
from matrixmap.model.place import Place
from matrixmap.model.values.electric import Interval

MICRO, PICO = Fraction(1, 10**6), Fraction(1, 10**12)


NONE = Span(Fraction(0), Fraction(0))


class Typical(NamedTuple):
    """A usual value for a field, and its source."""

    value: Interval
    source: str


TYPICAL = {
    "line_v": Typical(Interval(5, 5), "a usual supply of old computers, common practice"),
    "pull_up_ohms": Typical(Interval(4230, 5170), "4.7 k with 10 %, common practice"),
    "driver_low_v": Typical(Interval(0, 0.4), "a 74LS output at 4 mA, from memory"),
    "driver_ma": Typical(Interval(4, 4), "a 74LS output, from memory"),
    "reads_low_v": Typical(Interval(0.8, 0.8), "74HCT, TI SCHS208E"),
    "reads_high_v": Typical(Interval(2, 2), "74HCT, TI SCHS208E"),
    "leakage_ua": Typical(Interval(20, 20), "a 74LS input that is high, from memory"),
    "line_pf": Typical(Interval(0, 50), "a short line with an input, from memory"),
    "on_ohms": Typical(Interval(0, 185), "a crosspoint array at 5 V, from memory"),
    "pin leakage_ua": Typical(Interval(1, 1), "a switch that is open, at room temperature, from memory"),
    "pin_pf": Typical(Interval(0, 20), "a port of an array of switches, from memory"),
    "output_low_v": Typical(Interval(0, 0.55), "an open-drain buffer at 24 mA and 3 V, from memory"),
    "diode": Typical(Interval(0, 0), "a silicon diode for small signals, two models from memory"),
    "pf_per_m": Typical(Interval(0, 50), "a ribbon cable, from memory"),
    "metres": Typical(Interval(0, 0.3), "a short cable, common practice"),
    "own_key_ohms": Typical(Interval(0, 200), "carbon pills, by keypad makers' design guides"),
    "unselected_ohms": Typical(Interval(20, 100), "an output of 74HC, from memory"),
}
"""What is offered for a missing value, in the unit of its name."""

TYPICAL_DIODE = ((Interval(0.00001, 2.52), Interval(1.0, 1.752), Interval(0, 0.568)),)
"""Saturation current in nanoamperes, emission coefficient and ohms of a silicon diode (from memory)."""


class Missing(NamedTuple):
    """A value that no file gives: the field, its owner, what it is needed for, and where it could be written."""

    field: str
    of: str
    needed_for: str
    place: Place | None

    @property
    def typical(self) -> Typical:
        """The usual value."""
        return TYPICAL["pin leakage_ua" if self.field == "leakage_ua" and self.of != "electric" else self.field]


class Pulled(NamedTuple):
    """A resistor of the board from a line to ground or to a supply, which may be the machine's."""

    ref: str
    ohms: Span
    volts: Fraction
    of_machine: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFacts:
    """A line: the board's resistors on it, the most amperes that leak into or out of it, and its farads."""

    pulls: tuple[Pulled, ...] = ()
    leak: Fraction = Fraction(0)
    farads: Span = NONE


class DiodeFacts(NamedTuple):
    """A diode in a contact: saturation current in amperes, and emission coefficient."""

    saturation: Span
    emission: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactFacts:
    """How a contact joins its lines: ohms including everything in series, and diodes.

    If an output pulls the sense line, `volts` are those of the output, and it takes at most `amps` (None: not stated).
    """

    ohms: Span
    diodes: tuple[DiodeFacts, ...] = ()
    volts: Span | None = None
    amps: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """All values, in volts, ohms, amperes, farads and seconds.

    `senses` and `selects` are by index, `contacts` by contact. `amps` is the current that a driver takes at its low
    volts (None: not stated). `unselected` are the ohms through which lines that are not strobed are driven high, None
    if they float. `own_keyboard`: the machine's own keyboard stays connected beside the adapter, and `own_key` are the
    ohms of one of its keys. `to_read` is the time from a strobe to its read, `to_next` from the end of a strobe to the
    next read (None: not stated).
    """

    title: str
    how: str
    supply: Span
    pull_up: Span
    driver_v: Span
    driver_ohms: Span
    amps: Fraction | None
    low: Fraction
    high: Fraction
    selects: tuple[LineFacts, ...]
    senses: tuple[LineFacts, ...]
    directs: tuple[LineFacts, ...]
    contacts: Mapping[Contact, ContactFacts]
    unselected: Span | None
    output_amps: Fraction | None
    own_key: Span | None
    own_keyboard: bool
    to_read: Fraction | None
    to_next: Fraction | None
    metres: float | None = None
    cable: Span = NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The values, and what is missing. Without usual values, `facts` is None if voltages cannot be known."""

    facts: Facts | None
    missing: tuple[Missing, ...]


VOLTS, TIMES, OWN_KEYS = "voltages", "times", "voltages with its own keyboard"


def facts_of(traced: Traced, typical: bool = False) -> Found:
    """The values of a traced board on its machine; with `typical`, usual values replace missing ones."""
    return _Collected(traced, typical).found()


class _Collected:
    """Looks up the values, and notes those that are missing."""

    def __init__(self, traced: Traced, typical: bool) -> None:
        self.traced = traced
        self.board = traced.board
        self.electric = traced.board.electric
        self.values = traced.board.electric.values
        self.typical = typical
        self.missing: dict[tuple[str, str], Missing] = {}

    def found(self) -> Found:
        values, machine = self.values, self.board.machine
        line_v = Interval(self.electric.line_v, self.electric.line_v) if self.electric.line_v is not None else None
        supply = self._machine("line_v", values.pull_up_v or line_v)
        low, high = (
            self._machine("reads_low_v", _both(values.reads_low_v)),
            self._machine("reads_high_v", _both(values.reads_high_v)),
        )
        follows = self.traced.how == "follows-select"
        driver = NONE if follows else self._machine("driver_low_v", values.driver_low_v)
        unselected = (
            self._machine("unselected_ohms", values.unselected_ohms)
            if self.electric.unselected_high or self.electric.select is Drive.PUSH_PULL
            else None
        )
        facts = Facts(
            title=f"{self.board.adapter.id} on {self.board.fit.name}",
            how=self.traced.how,
            supply=supply,
            pull_up=self._machine("pull_up_ohms", values.pull_up_ohms),
            driver_v=driver,
            driver_ohms=span(values.driver_ohms),
            amps=None if values.driver_ma is None else fraction(values.driver_ma) / 1000,
            low=low.most,
            high=high.least,
            selects=tuple(self._line(line) for line in machine.select),
            senses=tuple(self._line(line) for line in machine.sense),
            directs=tuple(self._line(line) for line in machine.direct),
            contacts={contact: self._contact(routes[0]) for contact, routes in self.traced.by_contact.items()},
            unselected=unselected,
            output_amps=None if values.output_most_ma is None else fraction(values.output_most_ma) / 1000,
            own_key=self._own_key(),
            own_keyboard=next(self.board.adapter.headers(Mates.OWN_KEYBOARD), None) is not None,
            to_read=_micros(machine.scan.strobe_to_read_us),
            to_next=_micros(values.strobe_end_to_read_us),
            metres=self.board.fit.metres,
            cable=self._cable(),
        )
        missing = tuple(self.missing.values())
        whole = self.typical or not any(each.needed_for == VOLTS for each in missing)
        return Found(facts=facts if whole else None, missing=missing)

    def _get(self, field: str, of: str, value: Interval | None, needed_for: str, place: Place | None) -> Interval:
        """A value, or the usual one after noting that it is missing."""
        if value is not None:
            return value
        missing = Missing(field, of, needed_for, place)
        self.missing.setdefault((field, of), missing)
        return missing.typical.value

    def _machine(self, field: str, value: Interval | None, needed_for: str = VOLTS) -> Span:
        place = self.electric.place or self.board.machine.place
        return span(self._get(field, "electric", value, needed_for, place))

    def _own_key(self) -> Span | None:
        """The ohms of a key of the machine's own keyboard, if that stays connected beside the adapter."""
        if next(self.board.adapter.headers(Mates.OWN_KEYBOARD), None) is None:
            return None
        given = self.values.own_key_ohms
        ohms = self._machine("own_key_ohms", given, OWN_KEYS)
        return ohms if given is not None or self.typical else None

    def _line(self, line: str) -> LineFacts:
        """What is on a line: the machine's own values, each pin of a part, the cable, resistors."""
        leaks = [self._machine("leakage_ua", _both(self.values.leakage_ua)).most * MICRO]
        farads = [span(self._get("line_pf", "electric", self.values.line_pf, TIMES, self.electric.place), scale=PICO)]
        farads.append(self._cable())
        group = self.board.line_group(line)
        for pin in self.board.groups.members(group) if group is not None else ():
            use = self.board.adapter.parts.get(pin.ref)
            if use is None or not _is_active(use.part, pin.number):
                continue
            values, place = use.part.values, use.part.place
            leak = self._get("leakage_ua", use.part.id, _both(values.leakage_ua), VOLTS, place)
            leaks.append(fraction(leak.most) * MICRO)
            farads.append(span(self._get("pin_pf", use.part.id, values.pin_pf, TIMES, place), scale=PICO))
        pulls = tuple(
            Pulled(pull.ref, self._resistor(pull.ref, pull.ohms), fraction(pull.volts), pull.of == MACHINE)
            for pull in (self.board.pulls.get(group, ()) if group is not None else ())
        )
        return LineFacts(pulls=pulls, leak=sum(leaks, Fraction(0)), farads=_sum(farads))

    def _cable(self) -> Span:
        fit = self.board.fit
        if fit.through is None:
            return NONE
        metres = self._get("metres", f"fits {fit.name}", _both(fit.metres), TIMES, fit.place)
        per_metre = self._get("pf_per_m", fit.through.id, fit.through.values.pf_per_m, TIMES, fit.through.place)
        return Span(*(fraction(a) * fraction(b) * PICO for a, b in zip(per_metre, metres, strict=True)))

    def _resistor(self, ref: str, ohms: float) -> Span:
        share = fraction(self.board.adapter.parts[ref].values.tolerance_percent) / 100
        return Span(fraction(ohms) * (1 - share), fraction(ohms) * (1 + share))

    def _contact(self, route: Route) -> ContactFacts:
        if route.channel is None or route.ref is None or route.ends is None:
            return self._pulling(route)
        part = self.board.adapter.parts[route.ref].part
        ohms = [span(self._get("on_ohms", part.id, part.values.on_ohms, VOLTS, part.place))]
        diodes: list[DiodeFacts] = []
        for pin in route.ends:
            for each in self._series(pin):
                if isinstance(each, Span):
                    ohms.append(each)
                else:
                    saturation, emission, series = each
                    diodes.append(DiodeFacts(span(saturation, scale=Fraction(1, 10**9)), span(emission)))
                    ohms.append(span(series))
        return ContactFacts(ohms=_sum(ohms), diodes=tuple(diodes))

    def _pulling(self, route: Route) -> ContactFacts:
        """An output of a buffer or of the processor that pulls a line."""
        assert route.drives is not None
        assert route.drives.first is not None
        part = self.board.adapter.part(route.drives.first)
        low = self._get("output_low_v", part.id, part.values.output_low_v, VOLTS, part.place)
        ohms = [each for each in self._series(route.drives.first) if isinstance(each, Span)]
        most = part.values.output_low_ma
        amps = None if most is None else fraction(most) / 1000
        return ContactFacts(ohms=_sum(ohms), volts=span(low), amps=amps)

    def _series(self, pin: Pin) -> Iterator[Span | tuple[Interval, Interval, Interval]]:
        """The resistors and diodes on the shortest path between a pin and the machine's line that it leads to."""
        board = self.board
        goals = {
            board.near.of(Pin(MACHINE, str(at)))
            for at, line in enumerate(board.connector.pins, start=1)
            if line is not None and board.groups.of(Pin(MACHINE, str(at))) == board.groups.of(pin)
        }
        start = board.near.of(pin)
        ways: dict[Pin, tuple[Span | tuple[Interval, Interval, Interval], ...]] = {start: ()}
        waiting = [start]
        while waiting:
            here = waiting.pop(0)
            if here in goals:
                yield from ways[here]
                return
            for there, element in self._elements(here):
                if there not in ways:
                    ways[there] = (*ways[here], element)
                    waiting.append(there)

    def _elements(self, here: Pin) -> Iterator[tuple[Pin, Span | tuple[Interval, Interval, Interval]]]:
        near = self.board.near
        for use in self.board.adapter.parts.values():
            for ends in use.part.elements if use.part.passive in (Passive.RESISTOR, Passive.DIODE) else ():
                groups = [near.of(Pin(use.ref, end)) for end in ends]
                if here not in groups or groups[0] == groups[1]:
                    continue
                there = groups[1] if groups[0] == here else groups[0]
                if use.part.passive is Passive.RESISTOR:
                    yield there, self._resistor(use.ref, use.ohms or 0.0)
                    continue
                diode = use.part.values.diode
                if diode is None:
                    self._get("diode", use.part.id, None, VOLTS, use.part.place)
                    yield there, TYPICAL_DIODE[0]
                else:
                    yield there, (diode.saturation_na, diode.emission, diode.series_ohms)


def _is_active(part: Part, number: str) -> bool:
    ends = {end for channel in part.channels for end in (channel.a, channel.b)}
    ends |= {end for buffer in part.buffers for end in (buffer.input, buffer.output)}
    return number in ends or number in part.processor


def _both(value: float | None) -> Interval | None:
    return None if value is None else Interval(value, value)


def _micros(value: float | None) -> Fraction | None:
    return None if value is None else fraction(value) * MICRO


def _sum(spans: list[Span]) -> Span:
    return Span(sum((each.least for each in spans), Fraction(0)), sum((each.most for each in spans), Fraction(0)))
