"""Which pins of the adapter and the machine's connector are joined by nets, connectors and conducting parts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from matrixmap.board.geometry import AS_MEANT, Turn, Way, touching
from matrixmap.model.boards.adapter import Adapter, Fit, Mates, Net, PartUse, Passive, Pin
from matrixmap.model.machine import Connector, Electric, Header, Machine

MACHINE = "the machine"
"""Takes the place of a part's reference for the machine's connector."""

GROUND, SUPPLY = "ground", "supply"

Pairs = tuple[tuple[int, int], ...]
"""Pins of the machine's connector, each with the pin of the adapter's header that it is joined to."""


class Groups:
    """Joined pins as groups; the least of its pins names a group."""

    def __init__(self, pins: Iterable[Pin], joins: Iterable[tuple[Pin, Pin]]) -> None:
        self._root = {pin: pin for pin in pins}
        for a, b in joins:
            first, second = sorted((self._find(a), self._find(b)))
            self._root[second] = first
        self._members: dict[Pin, list[Pin]] = {}
        for pin in sorted(self._root):
            self._root[pin] = self._find(pin)
            self._members.setdefault(self._root[pin], []).append(pin)

    def _find(self, pin: Pin) -> Pin:
        while self._root[pin] != pin:
            self._root[pin] = self._root[self._root[pin]]
            pin = self._root[pin]
        return pin

    def of(self, pin: Pin) -> Pin:
        """The group that a pin is in."""
        return self._root[pin]

    def members(self, group: Pin) -> tuple[Pin, ...]:
        """The pins of a group, sorted."""
        return tuple(self._members[group])

    def all(self) -> Iterable[Pin]:
        """All groups."""
        return self._members


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """What feeds a group: the volts, and what gives them: a part, by its reference, or the machine."""

    volts: float
    of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """A resistor from a group to ground or a supply (volts of 0: ground)."""

    ref: str
    ohms: float
    volts: float
    of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """An adapter on a machine: what is joined to what.

    `near` joins by nets, connectors, closed jumpers and inductors; `groups` also joins by resistors and diodes in
    series. `shape` is the shape of the machine's connector, `own_shape` that of the header on it. `lines` maps a group
    to the machine's lines in it, without ground and supply. `power` maps a group to what feeds it. `ground` has the
    groups of ground; `pulls` maps a group to its resistors to ground or a supply.
    """

    adapter: Adapter
    machine: Machine
    fit: Fit
    connector: Connector
    electric: Electric
    header: PartUse
    shape: Header
    own_shape: Header
    pairs: Pairs
    near: Groups
    groups: Groups
    lines: Mapping[Pin, tuple[str, ...]]
    ground: frozenset[Pin]
    power: Mapping[Pin, tuple[Supply, ...]]
    pulls: Mapping[Pin, tuple[Pull, ...]]
    nets: Mapping[Pin, Net]

    def line_group(self, line: str) -> Pin | None:
        """The group that contains a line of the machine; None if the connector does not have the line."""
        if line not in self.connector.pins:
            return None
        return self.groups.of(Pin(MACHINE, str(self.connector.pins.index(line) + 1)))

    def shown(self, pin: Pin) -> str:
        """A pin as people write it."""
        if pin.ref == MACHINE:
            line = self.connector.pins[int(pin.number) - 1]
            return f"the machine's pin {pin.number} ({line})"
        return self.adapter.pin_name(pin)

    @property
    def contact_lines(self) -> tuple[str, ...]:
        """All lines of the machine that its contacts use: select, sense and direct."""
        return (*self.machine.select, *self.machine.sense, *self.machine.direct)


def connector_of(machine: Machine, revision: str | None) -> tuple[Connector | None, Electric]:
    """The connector of a machine or of one of its revisions, and the electrical values of its lines."""
    connector, electric = machine.connector, machine.electric or Electric()
    for each in machine.revisions:
        if each.name == revision:
            connector, electric = each.connector or connector, each.electric or electric
    return connector, electric


def through_cable(fit: Fit, shape: Header, header: Header, way: Way, far: Way = AS_MEANT) -> Pairs:
    """The machine's pins, each with a pin of the adapter's header put on in some way, through the fit's cable if any.

    `far` is how the other end of the cable is put on the header.
    """
    turn = way
    if fit.other_side:
        other = {
            Turn.STRAIGHT: Turn.OTHER_SIDE,
            Turn.OTHER_SIDE: Turn.STRAIGHT,
            Turn.TURNED: Turn.OTHER_SIDE_TURNED,
            Turn.OTHER_SIDE_TURNED: Turn.TURNED,
        }
        turn = Way(turn=other[way.turn], down=way.down, along=way.along)
    if fit.through is None:
        return touching(shape, header, turn)
    assert fit.through.header is not None
    wires = dict(fit.through.wires)
    own = {end: pin for pin, end in touching(header, fit.through.header, far)}
    ends = touching(shape, fit.through.header, turn)
    return tuple((pin, own[wires[end]]) for pin, end in ends if wires.get(end) in own)


def fits_in_size(fit: Fit, shape: Header, header: Header) -> bool:
    """Whether connector, cable and header have the same numbers of rows and columns."""
    sizes = {(shape.rows, shape.columns), (header.rows, header.columns)}
    if fit.through is not None and fit.through.header is not None:
        sizes.add((fit.through.header.rows, fit.through.header.columns))
    return len(sizes) == 1


def fits_in_gender(fit: Fit, shape: Header, header: Header) -> bool:
    """Whether pins go into holes at each joint. The two ends of a cable differ in gender."""
    if fit.through is None or fit.through.header is None:
        return shape.gender is not header.gender
    return shape.gender is not fit.through.header.gender and header.gender is fit.through.header.gender


def make_board(
    adapter: Adapter, machine: Machine, fit: Fit, way: Way = AS_MEANT, pairs: Pairs | None = None
) -> Board | None:
    """An adapter on a machine, put on in some way; `pairs` overrides which pins touch.

    None if the machine's connector or the header is not described, if their sizes differ, or if both are plugs or both
    are sockets.
    """
    connector, electric = connector_of(machine, fit.revision)
    header = next(adapter.headers(Mates.KEYS), None)
    if connector is None or connector.shape is None or header is None or header.part.header is None:
        return None
    if not fits_in_size(fit, connector.shape, header.part.header):
        return None
    if not fits_in_gender(fit, connector.shape, header.part.header):
        return None
    if pairs is None:
        pairs = through_cable(fit, connector.shape, header.part.header, way)
    blank = {connector.key_pin}
    pairs = tuple((pin, own) for pin, own in pairs if pin not in blank and own != header.key_pin)
    return _joined(adapter, machine, fit, connector, electric, header, connector.shape, pairs)


def pins_joined(
    adapter: Adapter, connector: Connector, header: PartUse, pairs: Pairs, always: Collection[Passive]
) -> tuple[list[Pin], list[tuple[Pin, Pin]]]:
    """All pins of an adapter and of the machine's connector, and the pairs that are joined.

    Pins are joined by nets, by touching, and by parts of the kinds in `always`.
    """
    theirs = [Pin(MACHINE, str(number)) for number in range(1, len(connector.pins) + 1)]
    pins = [*(Pin(ref, number) for ref, use in adapter.parts.items() for number in use.part.pins), *theirs]
    joins = [(net.pins[0], pin) for net in adapter.nets for pin in net.pins[1:]]
    joins += [(Pin(MACHINE, str(pin)), Pin(header.ref, str(at))) for pin, at in pairs]
    for name in (GROUND, SUPPLY):
        # Inside the machine, all its pins of one supply are joined.
        same = [pin for pin, line in zip(theirs, connector.pins, strict=True) if line == name]
        joins += [(same[0], pin) for pin in same[1:]]
    for use in adapter.parts.values():
        if use.part.passive in always and use.closed:
            joins += [(Pin(use.ref, a), Pin(use.ref, b)) for a, b in use.part.elements]
    return pins, joins


def _joined(
    adapter: Adapter,
    machine: Machine,
    fit: Fit,
    connector: Connector,
    electric: Electric,
    header: PartUse,
    shape: Header,
    pairs: Pairs,
) -> Board:
    pins, joins = pins_joined(adapter, connector, header, pairs, {Passive.JUMPER, Passive.INDUCTOR})
    near = Groups(pins, joins)
    ground, power = _power(adapter, connector, electric, near)
    pulls, series = _resistors(adapter, near, ground, power)
    groups = Groups(pins, [*joins, *series])
    lines: dict[Pin, list[str]] = {}
    for at, line in enumerate(connector.pins, start=1):
        if line not in (None, GROUND, SUPPLY):
            lines.setdefault(groups.of(Pin(MACHINE, str(at))), []).append(line or "")
    pulled: dict[Pin, list[Pull]] = {}
    for pin, pull in pulls:
        pulled.setdefault(groups.of(pin), []).append(pull)
    return Board(
        adapter=adapter,
        machine=machine,
        fit=fit,
        connector=connector,
        electric=electric,
        header=header,
        shape=shape,
        own_shape=header.part.header or shape,
        pairs=pairs,
        near=near,
        groups=groups,
        lines={group: tuple(found) for group, found in lines.items()},
        ground=frozenset(groups.of(pin) for pin in ground),
        power={groups.of(group): found for group, found in power.items()},
        pulls={group: tuple(found) for group, found in pulled.items()},
        nets={pin: net for net in adapter.nets for pin in net.pins},
    )


def _resistors(
    adapter: Adapter, near: Groups, ground: set[Pin], power: Mapping[Pin, tuple[Supply, ...]]
) -> tuple[list[tuple[Pin, Pull]], list[tuple[Pin, Pin]]]:
    """Resistors to ground or a supply, each with the pin it pulls; then resistors and diodes between other nets."""
    pulls: list[tuple[Pin, Pull]] = []
    series: list[tuple[Pin, Pin]] = []
    for use in adapter.parts.values():
        for a, b in use.part.elements if use.part.passive in (Passive.RESISTOR, Passive.DIODE) else ():
            ends = (Pin(use.ref, a), Pin(use.ref, b))
            fed = [near.of(end) in ground or near.of(end) in power for end in ends]
            if fed == [False, False]:
                series.append(ends)
            elif fed != [True, True] and use.part.passive is Passive.RESISTOR:
                to, end = (ends[0], ends[1]) if fed[0] else (ends[1], ends[0])
                source = power.get(near.of(to), (Supply(volts=0.0, of=GROUND),))[0]
                volts = 0.0 if near.of(to) in ground else source.volts
                pulls.append((end, Pull(ref=use.ref, ohms=use.ohms or 0.0, volts=volts, of=source.of)))
    return pulls, series


def _power(
    adapter: Adapter, connector: Connector, electric: Electric, near: Groups
) -> tuple[set[Pin], dict[Pin, tuple[Supply, ...]]]:
    """The groups of ground, and those of supplies: the machine's, and those of parts that give volts."""
    ground: set[Pin] = set()
    power: dict[Pin, list[Supply]] = {}
    for at, line in enumerate(connector.pins, start=1):
        group = near.of(Pin(MACHINE, str(at)))
        if line == GROUND:
            ground.add(group)
        elif line == SUPPLY and electric.supply_v is not None:
            supply = Supply(volts=electric.supply_v, of=MACHINE)
            if supply not in power.setdefault(group, []):
                power[group].append(supply)
    for use in adapter.parts.values():
        gives = any(pin.gives_v is not None for pin in use.part.power.values())
        for number, pin in use.part.power.items():
            group = near.of(Pin(use.ref, number))
            if pin.gives_v is not None:
                supply = Supply(volts=pin.gives_v, of=use.ref)
                if supply not in power.setdefault(group, []):
                    power[group].append(supply)
            elif pin.is_ground and gives:
                ground.add(group)
    return ground, {group: tuple(found) for group, found in power.items()}
