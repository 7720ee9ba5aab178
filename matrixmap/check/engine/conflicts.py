"""Conflicts: what is read wrongly when host keys are held together, one case a set of contacts.

Whatever is held, three of the closed contacts make a phantom. So it is enough to know the sets of three that make one,
each with the fewest host keys that close it. Switches of controllers are closed contacts too, or they pull a sense line
low in place of the third contact.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from matrixmap.check.engine.closers import Realization, Realizer, closable
from matrixmap.check.engine.machine_words import MachineWords
from matrixmap.check.engine.strokes import Item, PlanStrokes, contact_mask
from matrixmap.circuit.corners import Corners
from matrixmap.limits import CONFLICTS
from matrixmap.model.machine import Contact, ControllerSwitch, Machine, Wiring


class Conflict(NamedTuple):
    """A set of contacts that is read wrongly. A plan has thousands: a tuple is made quickly.

    `contacts` are one of these: three with the phantom that they make in `extra`; four without `extra`, of which none
    can be seen to open; or one or two that, with one or two `switches` of controllers, make the crosspoints in `extra`
    read closed. `how` is the easiest way to close them.
    """

    contacts: tuple[Contact, ...]
    extra: tuple[Contact, ...]
    how: Realization
    switches: tuple[ControllerSwitch, ...] = ()

    @property
    def items(self) -> tuple[Item, ...]:
        """The strokes that close them; the modifiers that the typist holds are not included."""
        return self.how.items


def unlikely(conflict: Conflict) -> int:
    """How unlikely the keys of a conflict are to be held together."""
    items, fed, _ = conflict.how
    total = 2 * fed.bit_count()
    for item in items:
        total += item.unlikelihood
    return total


def likeliest(conflicts: Sequence[Conflict]) -> tuple[Sequence[Conflict], int]:
    """The conflicts that are reported one by one, in their order, and how many more there are."""
    if len(conflicts) <= CONFLICTS:
        return conflicts, 0
    order = sorted(range(len(conflicts)), key=lambda number: unlikely(conflicts[number]))
    return [conflicts[number] for number in sorted(order[:CONFLICTS])], len(conflicts) - CONFLICTS


def find_phantoms(realizer: Realizer, corners: Corners) -> Iterator[Conflict]:
    """Every set of three contacts that host keys can close together and that makes a phantom."""
    among = contact_mask(contact for contact in closable(realizer.closers) if contact < _count(corners))
    for corner, beside, below, phantom in corners.triples(among):
        how = realizer.realize((corner, beside, below), phantom)
        if how:
            yield Conflict((corner, beside, below), (phantom,), how)


def find_masks(realizer: Realizer, corners: Corners) -> Iterator[Conflict]:
    """Every rectangle of four contacts that host keys can close together."""
    among = contact_mask(contact for contact in closable(realizer.closers) if contact < _count(corners))
    for rectangle in corners.rectangles(among):
        how = realizer.realize(rectangle)
        if how:
            yield Conflict(rectangle, (), how)


def conducting(
    machine: Machine, words: MachineWords, contacts: Sequence[Contact], switches: Sequence[ControllerSwitch]
) -> str:
    """How the current flows: along the contacts that pass a pull on, or round three corners."""
    width = len(machine.sense)
    path = list(contacts)
    pull: ControllerSwitch | None = None
    for controller, switch in switches:
        if controller.wired is Wiring.CONTACT and switch.select is not None:
            path.append(Contact(switch.select * width + switch.sense))
        else:
            pull = controller, switch
    if pull is None:
        path.sort()
        return f"{words.closes(path)} close"
    # The contact on the pulled sense line comes first.
    if path[0] % width != pull[1].sense:
        path.reverse()
    whose = "its pull" if len(switches) == 1 else f"the pull of {pull[0].name} {pull[1].function}"
    return f"{words.closes(path)} carry {whose} on"


class _Point(NamedTuple):
    """A crosspoint that host keys close, or a controller's switch that joins two lines as a key does."""

    select: int
    sense: int
    switch: ControllerSwitch | None


def find_pulls(strokes: PlanStrokes, realizer: Realizer, two_way: bool) -> Iterator[Conflict]:
    """Every set of up to three that makes a phantom: contacts of keys with one or two switches of controllers."""
    for contacts, extra, switches in pull_paths(strokes.plan.layout.machine, closable(realizer.closers), two_way):
        for how, read in _leaving_open(strokes, realizer, contacts, extra):
            yield Conflict(contacts, read, how, switches)


class PullPath(NamedTuple):
    """A path of current through `contacts` of keys and `switches` of controllers, which makes `extra` read closed."""

    contacts: tuple[Contact, ...]
    extra: tuple[Contact, ...]
    switches: tuple[ControllerSwitch, ...]


def pull_paths(machine: Machine, closing: frozenset[Contact], two_way: bool) -> Iterator[PullPath]:
    """Every path through one or two switches of controllers and contacts of a set.

    Current enters a select line at one closed point and leaves it at another, the corner, to a sense line that is low.
    That line is low because a switch pulls it, or because a third point joins it to the strobed line. So the sense line
    of the first point reads closed too. The corner conducts from select to sense line: a controller's plain contact
    does, and the adapter's contacts do if they conduct `two_way`.
    """
    width = len(machine.sense)
    rows, columns = _points(machine, closing)
    pulling = _pulling(machine)
    for corner in (point for row in rows for point in row):
        if corner.switch is None and not two_way:
            continue
        lows: list[tuple[_Point, Iterable[int]]] = [*pulling[corner.sense]]
        lows += [(point, (point.select,)) for point in columns[corner.sense] if point.select != corner.select]
        with_switch = [low for low in lows if low[0].switch]
        for leaving in rows[corner.select]:
            if leaving.sense == corner.sense:
                continue
            for low, strobed in lows if corner.switch or leaving.switch else with_switch:
                points = (low, corner, leaving)
                contacts = tuple([Contact(select * width + sense) for select, sense, switch in points if not switch])
                if contacts:
                    extra = [Contact(select * width + leaving.sense) for select in strobed if select != corner.select]
                    switches = tuple([point.switch for point in points if point.switch])
                    yield PullPath(contacts, tuple(extra), switches)


def _points(machine: Machine, closing: frozenset[Contact]) -> tuple[list[list[_Point]], list[list[_Point]]]:
    """All points by select line and by sense line."""
    width = len(machine.sense)
    points = [_Point(*divmod(contact, width), None) for contact in sorted(closing) if contact < machine.crosspoints]
    for controller in machine.controllers:
        for switch in controller.switches if controller.wired is Wiring.CONTACT else ():
            if switch.select is not None:
                points.append(_Point(switch.select, switch.sense, (controller, switch)))
    rows = [[point for point in points if point.select == select] for select in range(len(machine.select))]
    return rows, [[point for point in points if point.sense == sense] for sense in range(width)]


def _pulling(machine: Machine) -> list[list[tuple[_Point, Iterable[int]]]]:
    """The switches that pull each sense line, each with the strobed lines that it needs; select -1 if any will do."""
    pulling: list[list[tuple[_Point, Iterable[int]]]] = [[] for _ in machine.sense]
    for controller in machine.controllers:
        for switch in controller.switches if controller.wired is not Wiring.CONTACT else ():
            own = -1 if switch.select is None else switch.select
            strobed = range(len(machine.select)) if switch.select is None else (switch.select,)
            pulling[switch.sense].append((_Point(own, switch.sense, (controller, switch)), strobed))
    return pulling


def _leaving_open(
    strokes: PlanStrokes, realizer: Realizer, contacts: tuple[Contact, ...], extra: tuple[Contact, ...]
) -> Iterator[tuple[Realization, tuple[Contact, ...]]]:
    """The easiest ways to close contacts and leave others open, each with the contacts that it leaves open."""
    if len(extra) == 1:
        how = realizer.realize(contacts, extra[0])
        yield from [(how, extra)] if how else []
        return
    how = realizer.realize(contacts)
    if how and not _closed_by(strokes, how) & contact_mask(extra):
        yield from [(how, extra)] if extra else []
    elif how:
        told: set[Contact] = set()
        for contact in extra:
            other = None if contact in told else realizer.realize(contacts, contact)
            if other:
                closed = _closed_by(strokes, other)
                read = tuple([each for each in extra if not closed >> each & 1])
                told.update(read)
                yield other, read


def _closed_by(strokes: PlanStrokes, how: Realization) -> int:
    """All closed contacts, as a mask."""
    hold, mask = how.fed, 0
    for item in how.items:
        hold |= item.hold
        mask |= item.mask
    return mask | contact_mask(contact for bit, contact in enumerate(strokes.modifier_keys) if hold >> bit & 1)


def _count(corners: Corners) -> int:
    return len(corners.rows) * len(corners.columns)
