"""How many pairs and triples of strokes make a phantom on the bare matrix, counted without trying each one.

Strokes with one contact and the same demands differ only in the contact, so they are kept as masks over contacts. For
each pair of strokes, the third strokes that complete a phantom are a mask, and counting them is counting bits.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

from matrixmap.check.engine.closers import Demands, fed_bits, together
from matrixmap.check.engine.strokes import Item, PlanStrokes, contact_mask, held_contacts, is_refused, lies_alone
from matrixmap.circuit.corners import Corners, corners_of
from matrixmap.model.machine import Contact
from matrixmap.press.compiled import bits


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Counts of strokes of different host keys that can be closed together, and of those that make a phantom.

    `lying_strokes` make a phantom with the modifiers that a person holds for them, in every way of making them. The
    runtime refuses `refused_strokes` of all strokes with no further key held. Pairs and triples are counted with no
    more modifiers than the strokes need. `held` counts each stroke with each set of further modifiers that the typist
    can hold and the stroke lets pass. `lying_held` of these make a phantom; of these in turn the runtime, with the
    layout's guard setting, does not close `lost_held`.
    """

    strokes: int
    lying_strokes: int
    refused_strokes: int
    held: int
    lying_held: int
    lost_held: int
    pairs: int
    lying_pairs: int
    triples: int
    lying_triples: int


def tally(strokes: PlanStrokes) -> Tally:
    """The counts of a plan; the typist holds no more modifiers than the strokes need."""
    return _Counter(strokes).tally()


def subsets(bits: int) -> Iterator[int]:
    """All subsets of a set of bits, the empty one first."""
    subset = 0
    while True:
        yield subset
        subset = (subset - bits) & bits
        if not subset:
            return


@dataclass(frozen=True, slots=True)
class _Alike:
    """Strokes of one contact each with the same demands. `layers[n]`: the contacts that more than n of them press."""

    demands: Demands
    layers: tuple[int, ...]

    def count(self, mask: int) -> int:
        """How many of the strokes press a contact of a mask."""
        count = 0
        for layer in self.layers:
            count += (layer & mask).bit_count()
        return count


def _alike(items: Iterable[Item]) -> list[_Alike]:
    layers: dict[Demands, list[int]] = {}
    for item in items:
        stack = layers.setdefault(Demands(item.hold, item.lift), [])
        mask = item.mask
        for number, layer in enumerate(stack):
            carried = layer & mask
            stack[number] = layer | mask
            mask = carried
        if mask:
            stack.append(mask)
    return [_Alike(demands, tuple(stack)) for demands, stack in layers.items()]


class Matrix:
    """Which contacts make a phantom with which, as masks. Without corners, none do."""

    def __init__(self, corners: Corners | None, crosspoints: int, contacts: int) -> None:
        self.all = (1 << contacts) - 1
        self.crosspoints = crosspoints
        self.possible = corners is not None
        self.width = len(corners.columns) if corners else 1
        self.row = (1 << self.width) - 1
        self.matrix = (1 << crosspoints) - 1
        rows = corners.table() if corners else ((0,) * crosspoints,) * crosspoints
        direct = (0,) * (contacts - crosspoints)
        self.completing = (*((*row, *direct) for row in rows), *((0,) * contacts for _ in direct))

    def lies(self, closed: int) -> bool:
        """Whether contacts make a phantom: two select lines share a sense line, but differ in another one."""
        if not self.possible:
            return False
        rows: list[int] = []
        closed &= self.matrix
        while closed:
            row = closed & self.row
            closed >>= self.width
            for other in rows:
                if row & other and row != other:
                    return True
            if row:
                rows.append(row)
        return False

    def lying_with(self, closed: int) -> int:
        """A mask of the further contacts that, closed with the given ones, leave or make a phantom.

        A phantom is two select lines that share a sense line and differ. One more contact changes one select line. All
        pairs of the other lines stay as they are, so only the pairs of the changed line are looked at.
        """
        if not self.possible:
            return 0
        rows = []
        for select in range(self.crosspoints // self.width):
            row = closed >> select * self.width & self.row
            if row:
                rows.append((select, row))
        wrong = [{a, b} for (a, one), (b, other) in combinations(rows, 2) if one & other and one != other]
        own = dict(rows)
        # A phantom stays, unless every phantom is between the changing line and another one.
        changing = set.intersection(*wrong) if wrong else set(range(self.crosspoints // self.width))
        found = self.all if wrong else 0
        for select in changing:
            row, lying = own.get(select, 0), 0
            for other, against in rows:
                if other != select:
                    # A contact that makes both lines equal leaves no phantom between them.
                    missing = against & ~row
                    equal = missing if not row & ~against and missing.bit_count() == 1 else 0
                    lying |= (self.row if row & against else against) & ~equal
            found = found & ~(self.row << select * self.width) | lying << select * self.width
        return found & ~closed

    def fourth(self, one: int, other: int, third: int) -> int:
        """The last corner of the rectangle of three corners: on the lines that only one of the three is on."""
        (a, i), (b, j), (c, k) = (divmod(contact, self.width) for contact in (one, other, third))
        return (a ^ b ^ c) * self.width + (i ^ j ^ k)


class Held:
    """Some modifiers held, and which contacts make a phantom with them."""

    def __init__(self, matrix: Matrix, contacts: Iterable[Contact]) -> None:
        contacts = tuple(contacts)
        self.matrix = matrix
        self.contacts = contacts
        self.mask = contact_mask(contacts)
        crosspoints = [contact for contact in contacts if contact < matrix.crosspoints]
        self.none = not crosspoints
        self._seconds: dict[Contact, int] = {}
        self.only = crosspoints[0] if len(crosspoints) == 1 else None
        # What completes a phantom with two of the modifiers, and with one of them and each contact.
        self.among = 0
        for one, other in combinations(crosspoints, 2):
            self.among |= matrix.completing[one][other]
        self.beside = [0] * len(matrix.completing)
        for held in crosspoints:
            self.beside = [mask | more for mask, more in zip(self.beside, matrix.completing[held], strict=True)]

    def pair_lies(self, one: Contact, other: Contact) -> bool:
        """Whether two contacts and the modifiers make a phantom."""
        if self.only is not None:
            return bool(self.beside[one] >> other & 1)
        if self.mask >> other & 1:
            return self.matrix.lies(self.mask | 1 << one)
        return bool(self.seconds(one) >> other & 1)

    def seconds(self, one: Contact) -> int:
        """A mask of the contacts that make a phantom when closed with a given one and the modifiers."""
        if self.none:
            return 0
        if self.only is not None:
            return self.beside[one]
        found = self._seconds.get(one)
        if found is None:
            found = self._seconds[one] = self.matrix.lying_with(self.mask | 1 << one)
        return found

    def thirds(self, one: Contact, other: Contact) -> int:
        """A mask of the contacts that make a phantom when closed with two given ones and the modifiers."""
        matrix = self.matrix
        mask = matrix.completing[one][other] | self.among | self.beside[one] | self.beside[other]
        closed = self.mask | 1 << one | 1 << other
        if not mask & closed:
            return mask
        # There is already a phantom. It stays whatever else closes, except if its own corner closes.
        if self.only is not None:
            return matrix.all & ~(1 << matrix.fourth(self.only, one, other))
        return matrix.lying_with(closed)


class Counts(NamedTuple):
    """Pairs and triples of strokes, and how many of each make a phantom."""

    pairs: int
    lying_pairs: int
    triples: int
    lying_triples: int


class _Thirds(NamedTuple):
    """Strokes that go with two others while the same modifiers are held: how many there are a contact, as planes.

    Strokes with the same demands as the second stroke count only at contacts after it.
    """

    held: Held
    planes: tuple[int, ...]
    alike: tuple[int, ...]


class _Joint(NamedTuple):
    """Two strokes that go together: what is held, the third strokes that go with them, and all their planes."""

    held: Held
    thirds: tuple[_Thirds, ...]
    planes: tuple[int, ...]
    alike: tuple[int, ...]


def _planes(layers: Iterable[int]) -> tuple[int, ...]:
    """How many of some masks have each bit, as planes: bit c of plane n is bit n of the count of c.

    Hundreds of masks become a few planes, so a mask is counted plane by plane.
    """
    planes: list[int] = []
    for layer in layers:
        carried = layer
        for number, plane in enumerate(planes):
            planes[number] = plane ^ carried
            carried &= plane
        if carried:
            planes.append(carried)
    return tuple(planes)


def _count(planes: tuple[int, ...], mask: int) -> int:
    """The sum of the counts at the contacts of a mask."""
    count = 0
    for number, plane in enumerate(planes):
        count += (plane & mask).bit_count() << number
    return count


class _Counter:
    """Counts combinations of the strokes of one plan."""

    def __init__(self, strokes: PlanStrokes) -> None:
        machine, how = strokes.plan.layout.machine, strokes.plan.contacts
        self.strokes = strokes
        self.matrix = Matrix(corners_of(machine, how), machine.crosspoints, machine.crosspoints + len(machine.direct))
        self.simple = [item for item in strokes.items if len(item.stroke.contacts) == 1]
        self.chords = [item for item in strokes.items if len(item.stroke.contacts) != 1]
        self.fed = fed_bits(strokes)
        self.alike = _alike(self.simple)
        self._with: dict[int, Held] = {}
        self._beside: dict[tuple[Demands, Demands], list[tuple[Held, tuple[int, ...]]] | None] = {}

    def tally(self) -> Tally:
        held, lying_held, lost_held = self._held_counts()
        pairs, lying_pairs, triples, lying_triples = self._simple_counts()
        if self.chords:
            found = self._chord_counts()
            pairs, lying_pairs = pairs + found.pairs, lying_pairs + found.lying_pairs
            triples, lying_triples = triples + found.triples, lying_triples + found.lying_triples
        return Tally(
            strokes=len(self.strokes.items),
            lying_strokes=sum(lies_alone(self.strokes, item) for item in self.strokes.items),
            refused_strokes=sum(is_refused(self.strokes, item) for item in self.strokes.items),
            held=held,
            lying_held=lying_held,
            lost_held=lost_held,
            pairs=pairs,
            lying_pairs=lying_pairs,
            triples=triples,
            lying_triples=lying_triples,
        )

    def _chord_counts(self) -> Counts:
        """Pairs, lying pairs, triples and lying triples that include a chord.

        Strokes go together if every two of them do, so the strokes that go with one are a mask with a bit for each.
        Third strokes that close and hold the same are checked once.
        """
        items = (*self.simple, *self.chords)
        alike: dict[tuple[int, int], int] = {}
        for number, item in enumerate(items):
            alike[item.mask, item.hold] = alike.get((item.mask, item.hold), 0) | 1 << number
        goes_with = [
            sum(1 << place for place in range(number) if together((items[place], item)))
            for number, item in enumerate(items)
        ]
        lying: dict[int, bool] = {}
        pairs = lying_pairs = triples = lying_triples = 0
        for number in range(len(self.simple), len(items)):
            chord, with_chord = items[number], goes_with[number]
            for other in bits(with_chord):
                one = items[other]
                hold, closed = chord.hold | one.hold, chord.mask | one.mask
                pairs += 1
                lying_pairs += self._lies(closed, hold, lying)
                # Only strokes before both: each set of three is met once.
                thirds = with_chord & goes_with[other]
                triples += thirds.bit_count()
                for (mask, held), group in alike.items() if thirds else ():
                    among = thirds & group
                    if among and self._lies(closed | mask, hold | held, lying):
                        lying_triples += among.bit_count()
        return Counts(pairs, lying_pairs, triples, lying_triples)

    def _lies(self, closed: int, hold: int, known: dict[int, bool]) -> bool:
        """Whether contacts and held modifiers make a phantom; remembered by everything that is closed."""
        closed |= self._held(hold).mask
        found = known.get(closed)
        if found is None:
            found = known[closed] = self.matrix.lies(closed)
        return found

    def lies(self, items: Iterable[Item], fed: int = 0) -> bool:
        """Whether strokes closed together make a phantom, with their own modifiers and those that are fed."""
        hold, closed = fed, 0
        for item in items:
            hold |= item.hold
            closed |= item.mask
        return self.matrix.lies(closed | self._held(hold).mask)

    def _held(self, hold: int) -> Held:
        if hold not in self._with:
            self._with[hold] = Held(self.matrix, tuple(sorted(held_contacts(self.strokes, hold))))
        return self._with[hold]

    def _held_counts(self) -> tuple[int, int, int]:
        count = lying = lost = 0
        for item in self.strokes.items:
            for fed in subsets(self.fed & ~(item.hold | item.lift)):
                if fed:
                    count += 1
                    if self.lies((item,), fed):
                        lying += 1
                        lost += self.strokes.rules.refusal(item.held, item.held.wants(fed)) is not None
        return count, lying, lost

    def _simple_counts(self) -> Counts:
        """Pairs, lying pairs, triples and lying triples of strokes with one contact each, in order of their demands."""
        pairs = lying_pairs = triples = lying_triples = 0
        nodes = [
            (contact, number, alike.count(1 << contact))
            for number, alike in enumerate(self.alike)
            for contact in bits_of(alike.layers[0])
        ]
        joints: dict[tuple[int, int], _Joint | None] = {}
        everything = self.matrix.all
        for (one, first, alike_1), (other, second, alike_2) in combinations(nodes, 2):
            if one == other:
                continue
            cell = (first, second)
            if cell not in joints:
                joints[cell] = self._joint(first, second)
            joint = joints[cell]
            if joint is None:
                continue
            held, thirds, planes, same = joint
            weight = alike_1 * alike_2
            pairs += weight
            if not held.none and held.pair_lies(one, other):
                lying_pairs += weight
            free = everything & ~(1 << one | 1 << other)
            after = free & -(2 << other)
            count = lying = 0
            for number, plane in enumerate(planes):
                count += (plane & free).bit_count() << number
            if same:
                count += _count(same, after)
            for wider, among, alike in thirds:
                false = wider.thirds(one, other) & free
                if false:
                    for number, plane in enumerate(among):
                        lying += (plane & false).bit_count() << number
                    if alike:
                        lying += _count(alike, false & after)
            triples += weight * count
            lying_triples += weight * lying
        return self._without_same_key(pairs, lying_pairs, triples, lying_triples)

    def _joint(self, first: int, second: int) -> _Joint | None:
        """For two strokes' demands: what is held, and the third strokes, at or after the second, that go with them."""
        one, other = self.alike[first].demands, self.alike[second].demands
        if not self._agree(one, other):
            return None
        hold, own = one.hold | other.hold, _planes(self.alike[second].layers)
        layers: dict[int, list[int]] = {hold: []}
        for alike in self.alike[second + 1 :]:
            if self._agree(one, other, alike.demands):
                layers.setdefault(hold | alike.demands.hold, []).extend(alike.layers)
        thirds = tuple(
            [
                _Thirds(self._held(joint), _planes(among), own if joint == hold else ())
                for joint, among in layers.items()
            ]
        )
        every = _planes(layer for among in layers.values() for layer in among)
        return _Joint(self._held(hold), thirds, every, own)

    def _thirds(self, one: Demands, other: Demands) -> list[tuple[Held, tuple[int, ...]]] | None:
        """The strokes that go with two demands, as planes, by what is then held; None if the two do not go together."""
        cell = (one, other)
        if cell not in self._beside:
            layers: dict[int, list[int]] = {}
            hold = one.hold | other.hold
            for alike in self.alike if self._agree(one, other) else ():
                if self._agree(one, other, alike.demands):
                    layers.setdefault(hold | alike.demands.hold, []).extend(alike.layers)
            found = [(self._held(joint), _planes(among)) for joint, among in layers.items()]
            self._beside[cell] = found if self._agree(one, other) else None
        return self._beside[cell]

    @staticmethod
    def _agree(*demands: Demands) -> bool:
        """Whether strokes with these demands can be closed together."""
        hold = lift = 0
        for held, lifted in demands:
            hold |= held
            lift |= lifted
        return not hold & lift

    def _without_same_key(self, pairs: int, lying_pairs: int, triples: int, lying_triples: int) -> Counts:
        """The counts without the combinations that need one host key twice."""
        by_usage: dict[int, list[Item]] = {}
        for item in self.simple:
            by_usage.setdefault(item.usage, []).append(item)
        for items in by_usage.values():
            for one, other in combinations(items, 2):
                a, b = one.stroke.contacts[0], other.stroke.contacts[0]
                thirds = self._thirds(Demands(one.hold, one.lift), Demands(other.hold, other.lift))
                if thirds is None or a == b:
                    continue
                pairs -= 1
                lying_pairs -= self.lies((one, other))
                free = self.matrix.all & ~(1 << a | 1 << b)
                for held, planes in thirds:
                    triples -= _count(planes, free)
                    lying_triples -= _count(planes, held.thirds(a, b) & free)
            # A triple of one key's strokes is taken away once a pair, so three times instead of once.
            for trio in combinations(items, 3):
                mask = trio[0].mask | trio[1].mask | trio[2].mask
                if mask.bit_count() == 3 and self._agree(*(Demands(item.hold, item.lift) for item in trio)):
                    triples += 2
                    lying_triples += 2 * self.lies(trio)
        return Counts(pairs, lying_pairs, triples, lying_triples)


def bits_of(mask: int) -> list[Contact]:
    """The contacts of a mask, ascending."""
    return [Contact(bit) for bit in bits(mask)]
