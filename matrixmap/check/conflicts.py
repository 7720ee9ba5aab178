"""Conflicts: what is read wrongly when host keys are held together, one case a set of contacts.

Whatever is held, a phantom comes from three of the closed contacts; so the sets of three that make one, each with the
fewest host keys that close it, are all there is to know.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from matrixmap.check.subject import Item, Subject, contact_mask
from matrixmap.check.ways import Realization, Realizer, closable
from matrixmap.circuit.corners import Corners
from matrixmap.model.machine import Contact, Controller, Switch


class Conflict(NamedTuple):
    """A set of contacts that is read wrongly. A plan has thousands: a tuple is made quickly.

    `contacts` are three with the phantom that they make (`extra`), four of which none can be seen to open (no extra), or
    two that carry the pull of a controller's `switch` to the crosspoints in `extra`. `how` is the easiest way to close them.
    """

    contacts: tuple[Contact, ...]
    extra: tuple[Contact, ...]
    how: Realization
    switch: tuple[Controller, Switch] | None = None

    @property
    def items(self) -> tuple[Item, ...]:
        """The strokes that close them, besides modifiers that the typist holds."""
        return self.how.items


def find_phantoms(realizer: Realizer, corners: Corners) -> Iterator[Conflict]:
    """Every set of three contacts that host keys can close together and that makes a phantom."""
    among = contact_mask(contact for contact in closable(realizer.ways) if contact < _count(corners))
    for corner, beside, below, phantom in corners.triples(among):
        how = realizer.realize((corner, beside, below), phantom)
        if how:
            yield Conflict((corner, beside, below), (phantom,), how)


def find_masks(realizer: Realizer, corners: Corners) -> Iterator[Conflict]:
    """Every rectangle of four contacts that host keys can close together."""
    among = contact_mask(contact for contact in closable(realizer.ways) if contact < _count(corners))
    for rectangle in corners.rectangles(among):
        how = realizer.realize(rectangle)
        if how:
            yield Conflict(rectangle, (), how)


def find_pulls(subject: Subject, realizer: Realizer) -> Iterator[Conflict]:
    """Every pair of contacts that carries the pull of a controller's switch to other crosspoints.

    The pull enters one select line at the switch's sense line and leaves it at another sense line, which then reads
    closed at every select line where the switch pulls.
    """
    machine = subject.plan.layout.machine
    width = len(machine.sense)
    among = [contact for contact in sorted(closable(realizer.ways)) if contact < machine.crosspoints]
    rows = [[contact for contact in among if contact // width == select] for select in range(len(machine.select))]
    for controller in machine.controllers:
        for switch in controller.switches:
            strobed = range(len(machine.select)) if switch.select is None else (switch.select,)
            for select, row in enumerate(rows):
                entry = Contact(select * width + switch.sense)
                if select == switch.select or entry not in row:
                    continue
                for leaving in row:
                    extra = tuple(Contact(other * width + leaving % width) for other in strobed if other != select)
                    if leaving != entry:
                        for how, read in _leaving_open(subject, realizer, (entry, leaving), extra):
                            yield Conflict(contacts=(entry, leaving), extra=read, how=how, switch=(controller, switch))


def _leaving_open(
    subject: Subject, realizer: Realizer, contacts: tuple[Contact, ...], extra: tuple[Contact, ...]
) -> Iterator[tuple[Realization, tuple[Contact, ...]]]:
    """The easiest ways to close contacts and leave others open, each with those that it leaves open."""
    how = realizer.realize(contacts)
    if how and not _closed_by(subject, how) & contact_mask(extra):
        yield from [(how, extra)] if extra else []
    elif how:
        ways: dict[Realization, list[Contact]] = {}
        for contact in extra:
            other = realizer.realize(contacts, contact)
            if other:
                ways.setdefault(other, []).append(contact)
        yield from ((other, tuple(read)) for other, read in ways.items())


def _closed_by(subject: Subject, how: Realization) -> int:
    """All contacts that are closed, as a mask."""
    hold, mask = how.fed, 0
    for item in how.items:
        hold |= item.hold
        mask |= item.mask
    return mask | contact_mask(contact for bit, contact in enumerate(subject.modifier_keys) if hold >> bit & 1)


def _count(corners: Corners) -> int:
    return len(corners.rows) * len(corners.columns)
