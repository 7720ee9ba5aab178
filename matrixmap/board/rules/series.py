"""Rules about resistors and diodes in series with a line: what they cost, and which way they conduct."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.board.legs import Leg, legs
from matrixmap.board.record import BoardRule, Judged, Told
from matrixmap.board.rules.wiring import TOLD_APART, excused
from matrixmap.board.series import Series
from matrixmap.circuit.margin import EXAMPLE, most_ohms
from matrixmap.model.boards.adapter import Pin
from matrixmap.model.finding import Severity
from matrixmap.model.machine import Contact
from matrixmap.source.report import named

LIMIT_OHMS = most_ohms(EXAMPLE)


def _legs(judged: Judged) -> Iterator[tuple[Contact, Leg]]:
    told = excused(judged)
    for route in judged.traced.routes:
        if not told & set(judged.lines_of(route.contact)):
            for leg in legs(judged.traced, route):
                yield route.contact, leg


def _against(judged: Judged) -> Iterator[Told]:
    """Diodes that stop the current of contacts, all told at once."""
    board, series = judged.board, Series(judged.board)
    refs: dict[str, None] = {}
    lines: dict[str, None] = {}
    stopped: set[Contact] = set()
    for contact, leg in _legs(judged):
        if series.path(leg.start, leg.end) is None:
            way = series.path(leg.start, leg.end, any_way=True) or ()
            refs.update({element.ref: None for element, along in way if element.is_diode and not along})
            lines[leg.line] = None
            stopped.add(contact)
    if not refs:
        return
    one = len(refs) == 1
    names = named([board.machine.contact_name(contact) for contact in sorted(stopped)], TOLD_APART)
    text = (
        f"{named(list(refs), TOLD_APART)} in the way of {named(list(lines), TOLD_APART)} {'lies' if one else 'lie'} against the current, "
        f"which flows out of sense and direct lines and into select lines: {names} can be closed and {'is' if len(stopped) == 1 else 'are'} "
        f"never read; turn {'it' if one else 'them'} round"
    )
    first = next(iter(refs))
    pin = Pin(first, next(iter(board.adapter.parts[first].part.pins)))
    yield Told(text, judged.place_of(pin), cases=len(stopped))


def _in_line(judged: Judged) -> Iterator[Told]:
    """Resistors in lines, each line told once, with what a contact then has in all."""
    series = Series(judged.board)
    ways: dict[str, dict[str, float]] = {}
    worst: dict[str, float] = {}
    of: dict[Contact, float] = {}
    touched: dict[str, set[Contact]] = {}
    for contact, leg in _legs(judged):
        way = series.path(leg.start, leg.end) or series.path(leg.start, leg.end, any_way=True) or ()
        own = {element.ref: element.ohms for element, _ in way if element.ohms is not None}
        if own:
            ways.setdefault(leg.line, {}).update(own)
            touched.setdefault(leg.line, set()).add(contact)
            of[contact] = of.get(contact, 0.0) + sum(own.values())
    for contact, ohms in of.items():
        for line in judged.lines_of(contact):
            worst[line] = max(worst.get(line, 0.0), ohms + _switch_ohms(judged, contact))
    for line, own in ways.items():
        parts = named([f"{ref} ({ohms:g} ohms)" for ref, ohms in own.items()], TOLD_APART)
        total = worst[line]
        much = total > LIMIT_OHMS
        why = (
            f"an input that reads low up to {EXAMPLE.reads_low_v:g} V may not read its contacts with {EXAMPLE.pull_up_ohms / 1000:g} "
            f"kilohms up to {EXAMPLE.supply_v:g} V, for which {LIMIT_OHMS:.0f} ohms are the most"
            if much
            else "it conducts, and lifts the low voltage that the machine reads"
        )
        text = f"{line} leads through {parts}, so that a closed contact of it has {total:g} ohms at most: {why}"
        severity = Severity.WARNING if much else Severity.NOTE
        yield Told(text, judged.place_of_line(line), cases=len(touched[line]), at_most=severity)


def _switch_ohms(judged: Judged, contact: Contact) -> float:
    """The ohms of the switches that close a contact, as far as their parts say."""
    refs = [route.ref for route in judged.traced.by_contact[contact] if route.ref is not None]
    ohms = (judged.board.adapter.parts[ref].part.values.on_ohms for ref in refs)
    return max((each.most for each in ohms if each is not None), default=0.0)


RULES: tuple[BoardRule, ...] = (
    BoardRule(
        slug="diode-against-current",
        severity=Severity.ERROR,
        purpose="A diode in the way of a contact lies against the current.",
        explanation="While a select line is strobed, current flows out of the sense line, through the closed contact, into the select line. "
        "Out of a direct line it flows to what closes the line. A diode on the way lets it pass from anode to cathode only. Turned round, it "
        "stops the current, and the machine never reads the contact.",
        bad="S0: [J1.19, D1.A]",
        good="S0: [J1.19, U2.X0]",
        function=_against,
    ),
    BoardRule(
        slug="resistor-in-line",
        severity=Severity.WARNING,
        purpose="A line leads through a resistor.",
        explanation="A resistor in series conducts, so the line is followed through it, and it is told. With the switch it divides the "
        "voltage of the machine's pull-up, so that the low voltage of a closed contact rises. A note where that is little; a warning from "
        "the ohms on at which an input as in docs/firmware.md, The margin of a diode, need not read it. The machine's own values decide, by which `matrixmap margins` tells.",
        bad="N0: [J1.20, R7.1]",
        good="N0: [J1.20, U2.Y0]",
        function=_in_line,
    ),
)
"""The rules about what is in series with a line; within one severity a report follows their order."""
