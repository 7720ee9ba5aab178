"""Matings: every way to put the adapter on a machine, what it does, and what prevents it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import IntEnum

from matrixmap.board.geometry import AS_MEANT, Turn, Way, touching, ways
from matrixmap.board.nets import GROUND, SUPPLY, Board, Groups, Pairs, through_cable
from matrixmap.model.boards.adapter import Passive, Pin
from matrixmap.model.machine import Drive, Gender, Header


class Harm(IntEnum):
    """What a mating does, from harmless to worst."""

    WORKS = 0
    NO_CONTACT = 1
    WRONG_KEYS = 2
    TOO_MANY_VOLTS = 3
    DRIVERS = 4
    SUPPLY_ON_LINE = 5
    SUPPLY_REVERSED = 6
    SUPPLIES = 7
    SHORT = 8


WORDS: Mapping[Harm, str] = {
    Harm.WORKS: "works",
    Harm.NO_CONTACT: "does nothing",
    Harm.WRONG_KEYS: "types wrong keys, or none",
    Harm.TOO_MANY_VOLTS: "puts more volts on a pin than it tolerates",
    Harm.DRIVERS: "puts a driver against a driver",
    Harm.SUPPLY_ON_LINE: "puts a supply voltage on a line",
    Harm.SUPPLY_REVERSED: "feeds the board the wrong way round",
    Harm.SUPPLIES: "joins two supplies",
    Harm.SHORT: "joins a supply to ground",
}

HARMFUL = Harm.TOO_MANY_VOLTS
"""From this harm on, something may be damaged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mating:
    """A way to put the adapter on: what it does, at which joint, and what prevents it (None: nothing).

    `by_hand`: a slip of the hand is enough. The other ways need a connector that is mounted on the wrong side. `at`
    is the header if the slip is at the adapter's end of a cable, with the other end put on as meant; None if it is at
    the machine.
    """

    way: Way
    at: str | None
    harm: Harm
    because: str
    prevented_by: str | None
    by_hand: bool

    def words(self) -> str:
        """The way in words, with the end of the cable unless it is the machine's."""
        return self.way.words() if self.at is None else f"{self.way.words()} at {self.at}"

    @property
    def is_open_harm(self) -> bool:
        """Whether it may damage something and nothing prevents it."""
        return self.harm >= HARMFUL and self.prevented_by is None


@dataclass(frozen=True, slots=True, kw_only=True)
class PinToBlank:
    """The machine's pin that, removed and with its hole filled, leaves the fewest harmful matings by hand.

    `left` counts those matings, `without` counts them with no pin blanked, and `now` counts them as the board is.
    """

    pin: int | None
    left: int
    without: int
    now: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Node:
    """What a group of the adapter brings to a joint."""

    grounds: bool
    own_ground: bool
    takes: bool
    gives: float | None
    drives: str | None
    stands: float | None
    active: bool


def matings(board: Board) -> tuple[Mating, ...]:
    """All ways in which at least one pin touches another, the meant one first; with a cable, those at both its ends.

    Only one end slips at a time: two slips at once are not tried.
    """
    work = _Matings(board)
    return (*work.all(board.connector.key_pin, _own_key(board)), *work.all_far())


def joined_by(board: Board, mating: Mating) -> Pairs:
    """The pins that touch in a mating: the machine's pin, then the pin of the adapter's header."""
    way, far = (mating.way, AS_MEANT) if mating.at is None else (AS_MEANT, mating.way)
    return through_cable(board.fit, board.shape, board.own_shape, way, far)


def harmful_by_hand(board: Board) -> tuple[Mating, ...]:
    """The ways that need only a slip of the hand, may damage something, and are not prevented."""
    work = _Matings(board)
    key, own = board.connector.key_pin, _own_key(board)
    loose = [
        way for way in ways(board.shape, mirrored=False) if way != AS_MEANT and work.prevented(way, key, own) is None
    ]
    found = [work.mating(way, None) for way in loose]
    return tuple(mating for mating in (*found, *work.all_far(mirrored=False)) if mating.is_open_harm)


def pin_to_blank(board: Board) -> PinToBlank:
    """The best pin to blank: each pin that neither side needs is tried."""
    work = _Matings(board)
    known = work.harms()
    far = sum(mating.is_open_harm for mating in work.all_far(mirrored=False))

    def left(key: int | None, own: int | None) -> int:
        return far + sum(harm >= HARMFUL and work.prevented(way, key, own) is None for way, harm in known.items())

    home = dict(work.end_pairs(AS_MEANT))
    without = left(None, None)
    tried = [(left(pin, home[pin]), pin) for pin in _needless(board) if pin in home]
    best = min(tried, default=(without, 0))
    now = left(board.connector.key_pin, _own_key(board))
    if best[0] >= without:
        return PinToBlank(pin=None, left=without, without=without, now=now)
    return PinToBlank(pin=best[1], left=best[0], without=without, now=now)


def _own_key(board: Board) -> int | None:
    """The blanked pin of what is put on the machine: the header, or the cable's end."""
    return board.header.key_pin if board.fit.through is None else board.fit.through.key_pin


def _needless(board: Board) -> Iterator[int]:
    """Pins that the machine or the adapter does not use: no line, one of several grounds, or an unused supply."""
    lines = board.connector.pins
    own = dict(board.pairs)
    for number, line in enumerate(lines, start=1):
        spare_ground = line == GROUND and lines.count(GROUND) > 1
        pin = Pin(board.header.ref, str(own[number])) if number in own else None
        spare_supply = line == SUPPLY and pin in board.adapter.unused
        if line is None or spare_ground or spare_supply:
            yield number


class _Matings:
    """Works out the matings of one board. The adapter's own groups are the same in all of them."""

    def __init__(self, board: Board) -> None:
        self.board = board
        adapter = board.adapter
        pins = [Pin(ref, number) for ref, use in adapter.parts.items() for number in use.part.pins]
        joins = [(net.pins[0], pin) for net in adapter.nets for pin in net.pins[1:]]
        for use in adapter.parts.values():
            if use.part.passive in (Passive.JUMPER, Passive.INDUCTOR) and use.closed:
                joins += [(Pin(use.ref, a), Pin(use.ref, b)) for a, b in use.part.elements]
        groups = Groups(pins, joins)
        nodes = {group: self._node(groups.members(group)) for group in groups.all()}
        size = board.own_shape.size
        self.nodes = {own: nodes[groups.of(Pin(board.header.ref, str(own)))] for own in range(1, size + 1)}
        self.groups = {own: groups.of(Pin(board.header.ref, str(own))) for own in range(1, size + 1)}
        self.meant = self._reached(through_cable(board.fit, board.shape, board.own_shape, AS_MEANT))

    def _node(self, pins: Iterable[Pin]) -> _Node:
        grounds = own_ground = takes = active = False
        gives: float | None = None
        drives: str | None = None
        stands: list[float] = []
        for pin in pins:
            part = self.board.adapter.part(pin)
            power = part.power.get(pin.number)
            grounds |= power is not None and power.is_ground
            source = any(each.gives_v is not None for each in part.power.values())
            own_ground |= source and power is not None and power.is_ground
            takes |= power is not None and power.takes_v is not None
            gives = power.gives_v if power is not None and power.gives_v is not None else gives
            known = part.processor.get(pin.number)
            most = known.tolerates_v if known is not None else part.tolerates_v
            if most is not None and power is None:
                stands.append(most)
            outputs = {buffer.output for buffer in part.buffers if not buffer.open_drain}
            drives = self.board.shown(pin) if pin.number in outputs else drives
            active |= known is not None or pin.number in outputs or any(pin.number in (c.a, c.b) for c in part.channels)
            active |= any(pin.number in (buffer.input, buffer.output) for buffer in part.buffers)
        return _Node(
            grounds=grounds,
            own_ground=own_ground,
            takes=takes,
            gives=gives,
            drives=drives,
            stands=min(stands, default=None),
            active=active,
        )

    def all(self, key: int | None, own: int | None) -> Iterator[Mating]:
        """Every mating, given these blanked pins."""
        for way in ways(self.board.shape):
            yield self.mating(way, self.prevented(way, key, own) if way != AS_MEANT else None)

    def all_far(self, mirrored: bool = True) -> Iterator[Mating]:
        """The matings by a slip at the adapter's end of the cable; none without a cable."""
        board = self.board
        if board.fit.through is None:
            return
        for way in ways(board.own_shape, mirrored=mirrored):
            if way != AS_MEANT:
                pairs = through_cable(board.fit, board.shape, board.own_shape, AS_MEANT, way)
                yield self._mating(way, pairs, self.far_prevented(way), board.header.ref)

    def mating(self, way: Way, prevented_by: str | None) -> Mating:
        """What one way of putting it on at the machine does."""
        pairs = through_cable(self.board.fit, self.board.shape, self.board.own_shape, way)
        return self._mating(way, pairs, prevented_by, None)

    def _mating(self, way: Way, pairs: Pairs, prevented_by: str | None, at: str | None) -> Mating:
        harm, because = self._effect(pairs)
        by_hand = way.turn in (Turn.STRAIGHT, Turn.TURNED)
        return Mating(way=way, at=at, harm=harm, because=because, prevented_by=prevented_by, by_hand=by_hand)

    def far_prevented(self, way: Way) -> str | None:
        """What prevents a way at the adapter's end. The plug lacks the pin that, as meant, is over the filled hole."""
        cable = self.board.fit.through
        assert cable is not None
        assert cable.header is not None
        header, key = self.board.own_shape, self.board.header.key_pin
        if header.shrouded or cable.header.shrouded:
            return "the shroud"
        if header.clearance is not None and max(abs(way.down), abs(way.along)) > header.clearance:
            return "the neighbourhood"
        for own, end in touching(header, cable.header, way):
            if header.gender is Gender.SOCKET and own == key != end:
                return f"the filled hole on pin {own} of {self.board.header.ref}"
        return None

    def harms(self) -> dict[Way, Harm]:
        """What each way does that needs only a hand; the meant way is left out."""
        shape, own = self.board.shape, self.board.own_shape
        return {
            way: self._effect(through_cable(self.board.fit, shape, own, way))[0]
            for way in ways(shape, mirrored=False)
            if way != AS_MEANT
        }

    def _end(self) -> Header:
        """What is put on the machine: the header itself, or the end of the cable."""
        cable = self.board.fit.through
        return cable.header if cable is not None and cable.header is not None else self.board.own_shape

    def end_pairs(self, way: Way) -> Pairs:
        """Pins of the machine with the pins of what is put on it: of the cable's end if there is one."""
        board = self.board
        straight = type(board.fit)(
            machine=board.fit.machine,
            revision=board.fit.revision,
            through=None,
            other_side=board.fit.other_side,
            place=board.fit.place,
        )
        return through_cable(straight, board.shape, self._end(), way)

    def prevented(self, way: Way, key: int | None, own: int | None) -> str | None:
        """What prevents a way, given the blanked pins of both sides."""
        shape, end = self.board.shape, self._end()
        if shape.shrouded or end.shrouded:
            return "the shroud"
        clear = shape.clearance
        if clear is not None and max(abs(way.down), abs(way.along)) > clear:
            return "the neighbourhood"
        # A blanked side with holes has one hole filled; a blanked side with pins lacks one.
        for pin, at in self.end_pairs(way):
            filled, lacks = (at == own, pin == key) if shape.gender is Gender.PLUG else (pin == key, at == own)
            if filled and not lacks:
                return f"the filled hole on pin {pin}"
        return None

    def _reached(self, pairs: Pairs) -> dict[str, Pin]:
        """Line -> the group of the adapter that touches it."""
        pins = self.board.connector.pins
        return {line: self.groups[own] for pin, own in pairs if (line := pins[pin - 1]) not in (None, GROUND, SUPPLY)}

    def _effect(self, pairs: Pairs) -> tuple[Harm, str]:
        """What happens if these pins touch: the worst harm, and where."""
        blank = {self.board.connector.key_pin}
        live = tuple((pin, own) for pin, own in pairs if pin not in blank and own != self.board.header.key_pin)
        joints: dict[Pin, set[str]] = {}
        for pin, own in live:
            line = self.board.connector.pins[pin - 1]
            if line is not None:
                joints.setdefault(self.groups[own], set()).add(line)
        # Pins of one line are one node inside the machine: the line joins all groups that touch it.
        merged = _merge(joints)
        worst = max((self._joint(groups, lines) for groups, lines in merged), default=(Harm.NO_CONTACT, ""))
        reversed_by = self._reversed(joints)
        if reversed_by and worst[0] < Harm.SUPPLY_REVERSED:
            return Harm.SUPPLY_REVERSED, reversed_by
        if worst[0] >= HARMFUL:
            return worst
        reached = {line: group for line, group in self._reached(live).items() if self._active(group)}
        if not reached:
            return Harm.NO_CONTACT, ""
        return (Harm.WORKS, "") if self._reached(live) == self.meant else (Harm.WRONG_KEYS, "")

    def _active(self, group: Pin) -> bool:
        return any(self.nodes[own].active for own, each in self.groups.items() if each == group)

    def _of(self, group: Pin) -> _Node:
        return next(self.nodes[own] for own, each in self.groups.items() if each == group)

    def _joint(self, groups: frozenset[Pin], lines: frozenset[str]) -> tuple[Harm, str]:
        """The harm of one joint: groups of the adapter and lines of the machine that are connected."""
        nodes = [self._of(group) for group in groups]
        own = sorted(lines - {GROUND, SUPPLY})
        electric = self.board.electric
        gives = [node.gives for node in nodes if node.gives is not None]
        supplies = [*gives, *([electric.supply_v or 0.0] if SUPPLY in lines else [])]
        # The ground of a board with its own supply is ground too: both supplies are earthed, or one of them is put on
        # the other.
        grounds = GROUND in lines or any(node.own_ground for node in nodes)
        if supplies and grounds:
            return Harm.SHORT, "a supply and ground"
        if len(supplies) > 1:
            return Harm.SUPPLIES, " and ".join(f"{volts:g} V" for volts in supplies)
        if supplies and own:
            return Harm.SUPPLY_ON_LINE, f"a supply of {supplies[0]:g} V on {own[0]}"
        driven = next((node.drives for node in nodes if node.drives is not None), None)
        pushed = [line for line in own if self._drive(line) is Drive.PUSH_PULL]
        outputs = [line for line in own if self._drive(line) is not Drive.INPUT]
        if (
            (driven and (outputs or GROUND in lines or SUPPLY in lines))
            or len(pushed) > 1
            or (pushed and GROUND in lines)
        ):
            return Harm.DRIVERS, f"{driven or pushed[0]} against {(outputs or ['a supply'])[-1]}"
        volts = max([*supplies, *([electric.line_v] if own and electric.line_v else [])], default=0.0)
        if any(node.stands is not None and volts > node.stands for node in nodes):
            return Harm.TOO_MANY_VOLTS, f"{volts:g} V"
        return Harm.WRONG_KEYS, ""

    def _drive(self, line: str) -> Drive:
        machine, electric = self.board.machine, self.board.electric
        return (
            electric.select if line in machine.select else electric.sense if line in machine.sense else electric.direct
        )

    def _reversed(self, joints: Mapping[Pin, set[str]]) -> str:
        """Text if the board's ground is on the machine's supply and its supply pin on ground or a line; else empty."""
        grounds = [group for group in joints if self._of(group).grounds and SUPPLY in joints[group]]
        takes = [group for group in joints if self._of(group).takes and joints[group] - {SUPPLY}]
        return "its ground is on the supply" if grounds and takes else ""


def _merge(joints: Mapping[Pin, set[str]]) -> list[tuple[frozenset[Pin], frozenset[str]]]:
    """Groups with the lines that each touches -> joints that share no line."""
    merged: list[tuple[set[Pin], set[str]]] = []
    for group, lines in joints.items():
        same = [each for each in merged if each[1] & lines]
        merged = [each for each in merged if not each[1] & lines]
        merged.append(({group}.union(*(each[0] for each in same)), lines.union(*(each[1] for each in same))))
    return [(frozenset(groups), frozenset(lines)) for groups, lines in merged]


def touches(board: Board, way: Way) -> Pairs:
    """The pins that touch at the machine's connector itself, whatever a cable does behind it."""
    return touching(board.shape, board.own_shape, way)
