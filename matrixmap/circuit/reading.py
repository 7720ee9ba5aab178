"""What each strobed select line reads, by following the current through closed contacts.

The model is common practice for keyboard matrices. Sense lines are pulled up, the strobed select line is pulled low,
and select lines that are not strobed float. A sense line reads closed when current can flow from it to the strobed
line. A controller's switch may pull a sense line low, always (`ground`) or only while a select line is strobed
(`gated`); then a sense line also reads closed when current can flow from it to a pulled one. Or the switch joins a
select and a sense line as a key does (`contact`). The machine's own keyboard is assumed to be unplugged.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import NamedTuple

from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, ControllerSwitch, Machine, SelectIndex, SenseIndex, Switch, Wiring


class Conduction(Enum):
    """Which way a closed crosspoint lets current pass."""

    BOTH = "both"
    FORWARD = "sense to select"
    REVERSE = "select to sense"


ADAPTER_CONDUCTION = {
    Contacts.SWITCH: Conduction.BOTH,
    Contacts.SWITCH_WITH_DIODE: Conduction.FORWARD,
    Contacts.FOLLOWS_SELECT: Conduction.FORWARD,
}
"""A contact that follows its select line drives the sense line only, so it acts like one with a diode."""


class ClosedCrosspoint(NamedTuple):
    """A closed crosspoint and the way it conducts. Thousands of sets are read: a tuple is made quickly."""

    select: SelectIndex
    sense: SenseIndex
    conduction: Conduction = Conduction.BOTH


def read_matrix(closed: Iterable[ClosedCrosspoint], select_lines: int, pulls: Iterable[Switch] = ()) -> tuple[int, ...]:
    """One mask a select line: bit n is set if sense line n reads closed while that line is strobed.

    `pulls` are closed switches of controllers that pull their sense line low, always or while their select line is
    strobed. A switch that joins both lines is a closed crosspoint instead. Work is bounded by the lines, whatever is
    closed.
    """
    pulled = [0] * select_lines
    for switch in pulls:
        for select in range(select_lines) if switch.select is None else (switch.select,):
            pulled[select] |= 1 << switch.sense
    into = [0] * select_lines  # senses from which current enters a select line
    out_of: dict[int, int] = {}  # sense -> selects from which current enters it
    for point in closed:
        if point.conduction is not Conduction.REVERSE:
            into[point.select] |= 1 << point.sense
        if point.conduction is not Conduction.FORWARD:
            out_of[point.sense] = out_of.get(point.sense, 0) | 1 << point.select
    return tuple(
        [
            _sources(select, into, out_of, pulled[select]) if into[select] or pulled[select] else 0
            for select in range(select_lines)
        ]
    )


def _sources(select: int, into: list[int], out_of: dict[int, int], pulled: int) -> int:
    """The sense lines from which current reaches a select line or a pulled sense line, also through other lines."""
    senses = waiting = into[select] | pulled
    passed = 1 << select
    while waiting:
        sense = (waiting & -waiting).bit_length() - 1
        waiting &= waiting - 1
        selects = out_of.get(sense, 0) & ~passed
        passed |= selects
        while selects:
            other = (selects & -selects).bit_length() - 1
            selects &= selects - 1
            waiting |= into[other] & ~senses
            senses |= into[other]
    return senses


def adapter_points(machine: Machine, contacts: Iterable[Contact], how: Contacts) -> list[ClosedCrosspoint]:
    """The crosspoints among some contacts as the adapter closes them; direct lines are left out."""
    conduction = ADAPTER_CONDUCTION[how]
    lines = (machine.lines(contact) for contact in contacts)
    return [ClosedCrosspoint(pair[0], pair[1], conduction) for pair in lines if pair]


def controller_points(switches: Iterable[ControllerSwitch]) -> tuple[list[ClosedCrosspoint], list[Switch]]:
    """Closed switches of controllers: those that join lines, as crosspoints, and those that pull a sense line."""
    points, pulls = [], []
    for controller, switch in switches:
        if controller.wired is Wiring.CONTACT and switch.select is not None:
            points.append(ClosedCrosspoint(switch.select, switch.sense))
        else:
            pulls.append(switch)
    return points, pulls


def read_contacts(
    machine: Machine, contacts: Iterable[Contact], how: Contacts, switches: Iterable[ControllerSwitch] = ()
) -> frozenset[Contact]:
    """All crosspoints that the machine reads closed, and the direct lines among the contacts."""
    closed = frozenset(contacts)
    points, pulls = controller_points(switches)
    direct = frozenset(contact for contact in closed if contact >= machine.crosspoints)
    return direct | read_points(machine, [*adapter_points(machine, closed, how), *points], pulls)


def read_points(
    machine: Machine, points: Iterable[ClosedCrosspoint], pulls: Iterable[Switch] = ()
) -> frozenset[Contact]:
    """All crosspoints that the machine reads closed, given points that each conduct in their own way."""
    width, read = len(machine.sense), set()
    masks = read_matrix(points, len(machine.select), pulls)
    left = sum(mask << select * width for select, mask in enumerate(masks))
    while left:
        read.add(Contact((left & -left).bit_length() - 1))
        left &= left - 1
    return frozenset(read)


def read_mask(closed: int, width: int, how: Contacts) -> int:
    """The crosspoints that the machine reads closed with only the adapter's contacts: masks, bit n is crosspoint n.

    Plain switches join their lines, and each set of joined lines reads as a full block. Thousands of sets are read:
    this is `read_contacts` for these contacts alone, and faster.
    """
    if ADAPTER_CONDUCTION[how] is not Conduction.BOTH:
        return closed
    row = (1 << width) - 1
    blocks: list[tuple[int, int]] = []  # sense lines of a part, and the lowest bit of each of its select lines
    start = 1
    while closed:
        senses, starts = closed & row, start
        if senses:
            apart = []
            for block in blocks:
                if block[0] & senses:
                    senses |= block[0]
                    starts |= block[1]
                else:
                    apart.append(block)
            apart.append((senses, starts))
            blocks = apart
        closed >>= width
        start <<= width
    return sum([senses * starts for senses, starts in blocks])


def phantoms(
    machine: Machine, contacts: Iterable[Contact], how: Contacts, switches: Iterable[ControllerSwitch] = ()
) -> frozenset[Contact]:
    """The crosspoints read closed where no contact is closed and no controller's switch by itself reads closed."""
    closed, others = frozenset(contacts), tuple(switches)
    own = frozenset(contact for _, switch in others for contact in switch_contacts(machine, switch))
    return read_contacts(machine, closed, how, others) - closed - own


def switch_contacts(machine: Machine, switch: Switch) -> tuple[Contact, ...]:
    """The crosspoints that read closed because of a controller's switch alone: one, or all of its sense line."""
    selects = range(len(machine.select)) if switch.select is None else (switch.select,)
    return tuple(Contact(select * len(machine.sense) + switch.sense) for select in selects)


def masked(
    machine: Machine, contacts: Iterable[Contact], how: Contacts, switches: Iterable[ControllerSwitch] = ()
) -> frozenset[Contact]:
    """The closed contacts that can open, one at a time, without changing anything that the machine reads."""
    closed, others = frozenset(contacts), tuple(switches)
    read = read_contacts(machine, closed, how, others)
    return frozenset(contact for contact in closed if read_contacts(machine, closed - {contact}, how, others) == read)


def phantoms_possible(machine: Machine, how: Contacts) -> bool:
    """Whether any set of the adapter's contacts can make a phantom: plain switches, and two lines of each kind."""
    return ADAPTER_CONDUCTION[how] is Conduction.BOTH and len(machine.select) > 1 and len(machine.sense) > 1
