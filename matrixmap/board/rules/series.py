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
    """Diodes that block the current of contacts, all in one finding."""
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
        f"{named(list(refs), TOLD_APART)} in the path of {named(list(lines), TOLD_APART)} "
        f"{'points' if one else 'point'} against the current, which flows out of sense and direct lines and into "
        f"select lines: {names} can be closed but {'is' if len(stopped) == 1 else 'are'} never read; turn "
        f"{'it' if one else 'them'} round"
    )
    first = next(iter(refs))
    pin = Pin(first, next(iter(board.adapter.parts[first].part.pins)))
    yield Told(text, judged.place_of(pin), cases=len(stopped))


def _in_line(judged: Judged) -> Iterator[Told]:
    """Resistors in lines, one finding a line, with the total that a contact then has."""
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
            f"an input that reads low up to {EXAMPLE.reads_low_v:g} V may not read its contacts with "
            f"{EXAMPLE.pull_up_ohms / 1000:g} kilohms up to {EXAMPLE.supply_v:g} V, for which {LIMIT_OHMS:.0f} ohms "
            "are the most"
            if much
            else "it conducts, and raises the low voltage that the machine reads"
        )
        text = f"{line} leads through {parts}, so a closed contact of it has {total:g} ohms at most: {why}"
        severity = Severity.WARNING if much else Severity.NOTE
        yield Told(text, judged.place_of_line(line), cases=len(touched[line]), at_most=severity)


def _switch_ohms(judged: Judged, contact: Contact) -> float:
    """The ohms of the switches that close a contact, where their parts give them."""
    refs = [route.ref for route in judged.traced.by_contact[contact] if route.ref is not None]
    ohms = (judged.board.adapter.parts[ref].part.values.on_ohms for ref in refs)
    return max((each.most for each in ohms if each is not None), default=0.0)


RULES: tuple[BoardRule, ...] = (
    BoardRule(
        slug="diode-against-current",
        severity=Severity.ERROR,
        purpose="A diode in the path of a contact points against the current.",
        explanation=(
            "While a select line is strobed, current flows out of the sense line, through the closed contact, into "
            "the select line. Out of a direct line it flows to the part that closes the line. A diode in this path "
            "lets current flow from anode to cathode only. If it is turned round, it stops the current, and the "
            "machine never reads the contact."
        ),
        bad="S0: [J1.19, D1.A]",
        good="S0: [J1.19, U2.X0]",
        function=_against,
    ),
    BoardRule(
        slug="resistor-in-line",
        severity=Severity.WARNING,
        purpose="A line leads through a resistor.",
        explanation=(
            "A resistor in series conducts, so matrixmap follows the line through it and reports it. With the "
            "switch, the resistor divides the voltage of the machine's pull-up, so the low voltage of a closed "
            "contact rises. The finding is a note if the rise is small. It is a warning from the ohms on at which "
            "an input, as in docs/firmware.md, The margin of a diode, may not read the contact. The machine's own "
            "values decide; `matrixmap margins` computes with them."
        ),
        bad="N0: [J1.20, R7.1]",
        good="N0: [J1.20, U2.Y0]",
        function=_in_line,
    ),
)
"""The rules about what is in series with a line; within one severity a report follows their order."""
