"""How many pairs and triples of strokes make a phantom on the bare matrix, counted without trying each.

Strokes with one contact and the same demands are alike but for the contact, so they are kept as masks over contacts:
for each pair of strokes, the third ones that complete a phantom are a mask, and counting them is counting bits.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from matrixmap.check.guard import held_contacts
from matrixmap.check.subject import Item, Subject
from matrixmap.check.ways import Demands, fed_bits, through_one, together
from matrixmap.circuit.corners import corners_of
from matrixmap.model.machine import Contact


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Counts of strokes of different host keys that can be closed together, and of those that make a phantom.

    `held` are the strokes with any set of modifiers that the typist holds besides and they let pass.
    """

    strokes: int
    lying_strokes: int
    held: int
    lying_held: int
    pairs: int
    lying_pairs: int
    triples: int
    lying_triples: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """Some modifiers held: whether they make a phantom among themselves, and which contacts do with them.

    `alone` are the contacts each of which makes one with the modifiers; `beside[c]` those that do with contact c.
    """

    lies: bool
    alone: int
    beside: tuple[int, ...]

    def pair_lies(self, one: Contact, other: Contact) -> bool:
        """Whether two contacts and the modifiers make a phantom."""
        return self.lies or bool((self.alone >> one | self.alone >> other | self.beside[one] >> other) & 1)

    def third(self, one: Contact, other: Contact) -> int:
        """The contacts that make a phantom with the modifiers and one of two contacts at least."""
        return self.alone | self.beside[one] | self.beside[other]


@dataclass(frozen=True, slots=True)
class _Alike:
    """Strokes of one contact each with the same demands: `layers[n]` are the contacts that more than n of them press."""

    demands: Demands
    layers: tuple[int, ...]

    def count(self, mask: int) -> int:
        """How many of the strokes press a contact of a mask."""
        count = 0
        for layer in self.layers:
            count += (layer & mask).bit_count()
        return count


def tally(subject: Subject) -> Tally:
    """The counts of a plan, the typist holding no more modifiers than the strokes need."""
    counter = _Counter(subject)
    return counter.tally()


class _Counter:
    """Counts combinations of the strokes of one subject."""

    def __init__(self, subject: Subject) -> None:
        machine, how = subject.plan.layout.machine, subject.plan.contacts
        self.subject = subject
        corners = corners_of(machine, how)
        count = machine.crosspoints + len(machine.direct)
        direct = (0,) * len(machine.direct)
        nothing = ((0,) * machine.crosspoints,) * machine.crosspoints
        rows = corners.table() if corners else nothing
        self.completing = (*((*row, *direct) for row in rows), *((0,) * count for _ in direct))
        self.all = (1 << count) - 1
        self.simple = [item for item in subject.items if len(item.stroke.contacts) == 1]
        self.chords = [item for item in subject.items if len(item.stroke.contacts) != 1]
        self.fed = fed_bits(subject)
        self.alike = _alike(self.simple)
        self._with: dict[int, _Held] = {}

    def tally(self) -> Tally:
        lying = sum(self.lies((item,)) for item in self.subject.items)
        pairs, lying_pairs, triples, lying_triples = self._simple_counts()
        for chord in self.chords:
            number = self.chords.index(chord)
            others = [item for item in (*self.simple, *self.chords[:number]) if together((chord, item), self.fed)]
            pairs += len(others)
            lying_pairs += sum(self.lies((chord, other)) for other in others)
            for one, other in combinations(others, 2):
                if together((chord, one, other), self.fed):
                    triples += 1
                    lying_triples += self.lies((chord, one, other))
        held, lying_held = self._held_counts()
        return Tally(
            strokes=len(self.subject.items),
            lying_strokes=lying,
            held=held,
            lying_held=lying_held,
            pairs=pairs,
            lying_pairs=lying_pairs,
            triples=triples,
            lying_triples=lying_triples,
        )

    def _held_counts(self) -> tuple[int, int]:
        count = lying = 0
        known: dict[tuple[int, int], bool] = {}
        for item in self.subject.items:
            for fed in subsets(self.fed & ~(item.hold | item.lift)):
                if fed:
                    cell = (item.mask, item.hold | fed)
                    if cell not in known:
                        known[cell] = self.lies((item,), fed)
                    count += 1
                    lying += known[cell]
        return count, lying

    def lies(self, items: Iterable[Item], fed: int = 0) -> bool:
        """Whether strokes that are closed together make a phantom, with their own modifiers and those that are fed."""
        hold, closed = fed, 0
        for item in items:
            hold |= item.hold
            closed |= item.mask
        for contact in held_contacts(self.subject, hold):
            closed |= 1 << contact
        points = _bits(closed)
        return any(self.completing[one][other] & closed for one, other in combinations(points, 2))

    def _held(self, hold: int) -> _Held:
        if hold not in self._with:
            held = held_contacts(self.subject, hold)
            alone = 0
            for one, other in combinations(held, 2):
                alone |= self.completing[one][other]
            beside = []
            for row in self.completing:
                mask = 0
                for one in held:
                    mask |= row[one]
                beside.append(mask)
            lies = any(alone >> contact & 1 for contact in held)
            self._with[hold] = _Held(lies=lies, alone=alone, beside=tuple(beside))
        return self._with[hold]

    def _simple_counts(self) -> tuple[int, int, int, int]:
        """Pairs, lying pairs, triples and lying triples of strokes with one contact each, in order of their demands."""
        pairs = lying_pairs = triples = lying_triples = 0
        nodes = [
            (contact, number, alike.count(1 << contact))
            for number, alike in enumerate(self.alike)
            for contact in _bits(alike.layers[0])
        ]
        joints: dict[tuple[int, int], tuple[_Held, list[tuple[_Alike, _Held, bool]]] | None] = {}
        for (one, first, alike_1), (other, second, alike_2) in combinations(nodes, 2):
            if one == other:
                continue
            cell = (first, second)
            if cell not in joints:
                joints[cell] = self._joint(first, second)
            joint = joints[cell]
            if joint is None:
                continue
            held, thirds = joint
            weight = alike_1 * alike_2
            row = self.completing[one][other]
            pairs += weight
            lying_pairs += weight * held.pair_lies(one, other)
            free = self.all & ~(1 << one | 1 << other)
            for third, wider, same in thirds:
                among = free & -(2 << other) if same else free
                triples += weight * third.count(among)
                beside = wider.beside
                if wider.lies or (wider.alone >> one | wider.alone >> other | beside[one] >> other) & 1:
                    lying_triples += weight * third.count(among)
                else:
                    mask = (row | beside[one] | beside[other] | wider.alone) & among
                    if mask:
                        lying_triples += weight * third.count(mask)
        return self._without_same_key(pairs, lying_pairs, triples, lying_triples)

    def _joint(self, first: int, second: int) -> tuple[_Held, list[tuple[_Alike, _Held, bool]]] | None:
        """For the demands of two strokes: what is held, and the third strokes at or after the second that go with them."""
        thirds = self._thirds(self.alike[first].demands, self.alike[second].demands)
        if thirds is None:
            return None
        hold = self.alike[first].demands[0] | self.alike[second].demands[0]
        after = [
            (alike, self._held(joint), self.alike.index(alike) == second)
            for alike, joint in thirds
            if self.alike.index(alike) >= second
        ]
        return self._held(hold), after

    def _thirds(self, one: Demands, other: Demands) -> list[tuple[_Alike, int]] | None:
        """The strokes that go with two demands, and what is held then; None if the two do not go together."""
        if not self._agree(one, other):
            return None
        hold = one[0] | other[0]
        return [(alike, hold | alike.demands[0]) for alike in self.alike if self._agree(one, other, alike.demands)]

    def _agree(self, *demands: Demands) -> bool:
        """Whether strokes with these demands can be closed together."""
        hold = lift = 0
        for held, lifted in demands:
            hold |= held
            lift |= lifted
        return not hold & lift and through_one(hold & ~self.fed, (held for held, _ in demands))

    def _without_same_key(
        self, pairs: int, lying_pairs: int, triples: int, lying_triples: int
    ) -> tuple[int, int, int, int]:
        """The counts less the combinations that would need one host key twice."""
        by_usage: dict[int, list[Item]] = {}
        for item in self.simple:
            by_usage.setdefault(item.usage, []).append(item)
        for items in by_usage.values():
            for one, other in combinations(items, 2):
                a, b = one.stroke.contacts[0], other.stroke.contacts[0]
                thirds = self._thirds((one.hold, one.lift), (other.hold, other.lift))
                if thirds is None or a == b:
                    continue
                pairs -= 1
                lying_pairs -= self._held(one.hold | other.hold).pair_lies(a, b)
                free = self.all & ~(1 << a | 1 << b)
                for third, joint in thirds:
                    held = self._held(joint)
                    mask = self.all if held.pair_lies(a, b) else self.completing[a][b] | held.third(a, b)
                    triples -= third.count(free)
                    lying_triples -= third.count(mask & free)
            # A triple of one key's strokes was taken away once a pair, three times in all, and counts once.
            for trio in combinations(items, 3):
                mask = trio[0].mask | trio[1].mask | trio[2].mask
                if mask.bit_count() == 3 and self._agree(*((item.hold, item.lift) for item in trio)):
                    triples += 2
                    lying_triples += 2 * self.lies(trio)
        return pairs, lying_pairs, triples, lying_triples


def subsets(bits: int) -> Iterator[int]:
    """All subsets of a set of bits, the empty one first."""
    subset = 0
    while True:
        yield subset
        subset = (subset - bits) & bits
        if not subset:
            return


def _alike(items: Iterable[Item]) -> list[_Alike]:
    layers: dict[Demands, list[int]] = {}
    for item in items:
        stack = layers.setdefault((item.hold, item.lift), [])
        mask = item.mask
        for number, layer in enumerate(stack):
            carried = layer & mask
            stack[number] = layer | mask
            mask = carried
        if mask:
            stack.append(mask)
    return [_Alike(demands, tuple(stack)) for demands, stack in layers.items()]


def _bits(mask: int) -> list[Contact]:
    return [Contact(number) for number in range(mask.bit_length()) if mask >> number & 1]
