"""Which strokes and held modifiers close a contact, and which of them can be closed together.

Strokes of different host keys are closed together if they ask for the same keys of the machine's modifiers and share no
contact. What strokes hold and what they keep open are sets of bits, so one operation checks a combination: the union of
what is held and the union of what is kept open must have no bit in common.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType
from typing import NamedTuple

from matrixmap.check.engine.strokes import Item, PlanStrokes
from matrixmap.model.machine import Contact


class Demands(NamedTuple):
    """What a stroke holds and what it lifts, as masks over the table's modifier keys."""

    hold: int
    lift: int


class Reading(NamedTuple):
    """One way to see contacts: those that keys press, and the bits of the modifiers to hold."""

    keys: tuple[Contact, ...]
    bits: int


class Taken(NamedTuple):
    """What strokes use so far: their usages and contacts, and masks of the modifiers that they hold and lift."""

    usages: int = 0
    contacts: int = 0
    hold: int = 0
    lift: int = 0


class Joined(NamedTuple):
    """Strokes with the same joint demands, one a contact: how many sets, and the number of each one's own demands."""

    sets: int
    numbers: tuple[int, ...]


class Rival(NamedTuple):
    """Strokes that close some contacts, and what they hold."""

    items: tuple[Item, ...]
    hold: int


class Combination(NamedTuple):
    """Strokes that close some contacts, what the typist holds in addition, and what the strokes hold."""

    items: tuple[Item, ...]
    fed: int
    hold: int


class Barred(NamedTuple):
    """Masks of the modifiers that strokes may not hold, and of the contacts that they may not close."""

    avoid: int
    spared: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Closers:
    """How the strokes of a plan can close each contact of a machine.

    `by_contact` maps a contact to the strokes that press it, by their demands, the likeliest first. `modifier_bit` maps
    the contacts of modifier keys to their bit. `fed` are the bits that the typist can hold with a separate host key.
    `usages` maps a contact to a mask of the host keys that press it by a stroke. The machine has `contacts` contacts.
    """

    by_contact: Mapping[Contact, Mapping[Demands, tuple[Item, ...]]]
    modifier_bit: Mapping[Contact, int]
    fed: int
    usages: Mapping[Contact, int]
    contacts: int


def find_closers(strokes: PlanStrokes) -> Closers:
    """How the strokes of a plan close contacts."""
    sorted_items = sorted(strokes.items, key=lambda item: (item.unlikelihood, item.trigger.sort_key()))
    found: dict[Contact, dict[Demands, list[Item]]] = {}
    usages: dict[Contact, int] = {}
    held = 0
    for item in sorted_items:
        held |= item.hold
        for contact in item.stroke.contacts:
            found.setdefault(contact, {}).setdefault(Demands(item.hold, item.lift), []).append(item)
            usages[contact] = usages.get(contact, 0) | 1 << item.usage
    bits = {contact: 1 << number for number, contact in enumerate(strokes.modifier_keys)}
    fed = fed_bits(strokes)
    return Closers(
        by_contact=MappingProxyType(
            {
                contact: MappingProxyType({demands: tuple(items) for demands, items in by_demands.items()})
                for contact, by_demands in found.items()
            }
        ),
        modifier_bit=MappingProxyType({contact: bit for contact, bit in bits.items() if bit & (held | fed)}),
        fed=fed,
        usages=MappingProxyType(usages),
        contacts=strokes.plan.layout.machine.crosspoints + len(strokes.plan.layout.machine.direct),
    )


def fed_bits(strokes: PlanStrokes) -> int:
    """The bits of modifier keys that a typist can hold with separate host keys."""
    fed = frozenset(strokes.feeds.values())
    return sum(1 << number for number, contact in enumerate(strokes.modifier_keys) if contact in fed)


def closable(closers: Closers) -> frozenset[Contact]:
    """The contacts that some host key closes."""
    return frozenset(closers.by_contact) | frozenset(closers.modifier_bit)


def together(items: Iterable[Item]) -> bool:
    """Whether strokes can be closed together: different host keys, compatible modifiers, no contact twice."""
    usages = contacts = hold = lift = 0
    for item in items:
        if usages >> item.usage & 1 or contacts & item.mask:
            return False
        usages |= 1 << item.usage
        contacts |= item.mask
        hold |= item.hold
        lift |= item.lift
    return not hold & lift


class Realization(NamedTuple):
    """How to close a set of contacts with the fewest host keys. A plan has thousands: a tuple is made quickly.

    `items` are the strokes, `fed` the bits of modifiers that the typist holds in addition, and `combinations` counts
    the sets of strokes that do the same.
    """

    items: tuple[Item, ...]
    fed: int
    combinations: int


# A contact and the number of its signature in one integer, so that sorting is fast.
SHIFT = 16
CONTACT = (1 << SHIFT) - 1


class Realizer:
    """Finds how sets of contacts can be closed, and remembers the result for contacts that are alike."""

    def __init__(self, closers: Closers) -> None:
        self.closers = closers
        size = closers.contacts
        self._signature = [-1] * size
        self._usages = [0] * size
        self._bit = [closers.modifier_bit.get(Contact(number), 0) for number in range(size)]
        self._easiest: dict[int, tuple[Item, ...]] = {}
        numbers: dict[tuple[tuple[Demands, int], ...], int] = {}
        for contact, by_demands in closers.by_contact.items():
            shape = tuple((demands, len(items)) for demands, items in by_demands.items())
            self._signature[contact] = numbers.setdefault(shape, len(numbers))
            self._usages[contact] = closers.usages[contact]
            self._easiest[contact] = tuple(items[0] for items in by_demands.values())
        self._shapes = list(numbers)
        self._chords = {
            contact
            for contact, by_demands in closers.by_contact.items()
            if any(len(item.stroke.contacts) > 1 for items in by_demands.values() for item in items)
        }
        # A contact's key and the host keys that press it, if single contacts alone close it, and in one way.
        self._simple = [
            (signature << SHIFT | number, self._usages[number])
            if signature >= 0 and not self._bit[number] and number not in self._chords
            else None
            for number, signature in enumerate(self._signature)
        ]
        self._merged: dict[tuple[int, ...], dict[Demands, Joined]] = {(): {Demands(0, 0): Joined(1, ())}}
        self._chosen: dict[tuple[int, ...], tuple[int, int, tuple[int, ...]] | None] = {}

    def realize(self, contacts: tuple[Contact, ...], open_one: Contact | None = None) -> Realization | None:
        """The easiest way to close some contacts together and leave one open; None if there is none."""
        bits = usages = shared = 0
        avoid = 0 if open_one is None else self._bit[open_one]
        keys = []
        for contact in contacts:
            simple = self._simple[contact]
            if simple is None:
                if self._signature[contact] >= 0:
                    return self._realize_slowly(self._readings(contacts), avoid, open_one)
                bits |= self._bit[contact]
                continue
            key, pressing = simple
            shared |= usages & pressing
            usages |= pressing
            keys.append(key)
        keys.sort()
        if shared:
            return self._realize_slowly([Reading(tuple(Contact(key & CONTACT) for key in keys), bits)], avoid, open_one)
        cell = (bits, avoid, *[key >> SHIFT for key in keys])
        if cell in self._chosen:
            chosen = self._chosen[cell]
        else:
            chosen = self._chosen[cell] = self._choose(bits, avoid, cell[2:])
        if chosen is None:
            # Modifiers alone, and no typist can close them all: strokes of other contacts hold the rest.
            held = bits and not keys and not self._possible(0, 0, bits)
            return self._realize_slowly([Reading((), bits)], avoid, open_one) if held else None
        count, fed, numbers = chosen
        easiest = self._easiest
        items = tuple([easiest[key & CONTACT][number] for key, number in zip(keys, numbers, strict=True)])
        return Realization(items, fed, count)

    def _choose(self, bits: int, avoid: int, signatures: tuple[int, ...]) -> tuple[int, int, tuple[int, ...]] | None:
        """How many strokes of contacts with these signatures go together, and the easiest demands.

        Valid for contacts that share no host key: the result for one set then holds for all that are alike.
        """
        possible = [
            (hold, count, numbers)
            for (hold, lift), (count, numbers) in self._merge(signatures).items()
            if self._possible(hold, lift, bits) and not hold & avoid
        ]
        if not possible:
            return None
        hold, _, numbers = min(possible, key=lambda way: ((bits & ~way[0]).bit_count(), way[0].bit_count(), -way[1]))
        return sum(count for _, count, _ in possible), bits & ~hold, numbers

    def _merge(self, signatures: tuple[int, ...]) -> dict[Demands, Joined]:
        """Joint demands of one stroke a contact -> how many sets, and the number of each stroke's own demands."""
        if signatures not in self._merged:
            merged: dict[Demands, Joined] = {}
            for (hold, lift), (count, numbers) in self._merge(signatures[:-1]).items():
                for number, ((held, lifted), alike) in enumerate(self._shapes[signatures[-1]]):
                    demands = Demands(hold | held, lift | lifted)
                    if not demands.hold & demands.lift:
                        known, first = merged.get(demands, (0, (*numbers, number)))
                        merged[demands] = Joined(known + count * alike, first)
            self._merged[signatures] = merged
        return self._merged[signatures]

    def _possible(self, hold: int, lift: int, bits: int) -> bool:
        """Whether strokes with this hold and this lift can be closed together with some modifiers."""
        return not (hold & lift or bits & lift or bits & ~(hold | self.closers.fed))

    def _realize_slowly(self, readings: Iterable[Reading], avoid: int, open_one: Contact | None) -> Realization | None:
        """For contacts that one host key may press, or that close in two ways: tries each combination.

        `readings` are all ways to see the set: the contacts to press with the modifiers to hold. The modifiers in
        `avoid` and the contact `open_one` stay open.
        """
        spared = 0 if open_one is None else 1 << open_one
        # By the set of strokes: two readings may give the same strokes in another order.
        found: dict[frozenset[Item], Combination] = {}
        for keys, bits in readings:
            for items, hold in self._combinations(keys, bits, avoid, spared):
                fed, strokes = bits & ~hold, frozenset(items)
                if strokes not in found or fed.bit_count() < found[strokes].fed.bit_count():
                    found[strokes] = Combination(items, fed, hold)
        if not found:
            return None
        fewest = min(map(len, found))
        rivals = [rival for strokes, rival in found.items() if len(strokes) == fewest]
        items, fed, _ = min(rivals, key=_difficulty) if len(rivals) > 1 else rivals[0]
        return Realization(items, fed, len(rivals))

    def _combinations(self, keys: tuple[Contact, ...], bits: int, avoid: int, spared: int) -> list[Rival]:
        """Strokes that press some contacts and go together, each set once, with what they hold.

        None of them holds a modifier in `avoid` or closes a contact in `spared`.
        """
        found: list[Rival] = []
        self._combine(found, keys, bits, Barred(avoid, spared), Taken(), ())
        return found

    def _combine(
        self,
        found: list[Rival],
        keys: tuple[Contact, ...],
        bits: int,
        barred: Barred,
        taken: Taken,
        chosen: tuple[Item, ...],
    ) -> None:
        """Adds the combinations that begin with the chosen strokes; `taken` is what these use."""
        usages, contacts, hold, lift = taken
        missing = bits & ~(hold | self.closers.fed)
        if not keys and not missing:
            if self._possible(hold, lift, bits):
                found.append(Rival(chosen, hold))
            return
        if keys and contacts >> keys[0] & 1:
            self._combine(found, keys[1:], bits, barred, taken, chosen)
            return
        closed = contacts | barred.spared
        pressing = self.closers.by_contact[keys[0]] if keys else self._holding(missing & -missing)
        for (held, lifted), items in pressing.items():
            joint_hold, joint_lift = hold | held, lift | lifted
            if joint_lift & (joint_hold | bits) or joint_hold & barred.avoid:
                continue
            for item in items:
                if not usages >> item.usage & 1 and not closed & item.mask:
                    more = Taken(usages | 1 << item.usage, contacts | item.mask, joint_hold, joint_lift)
                    self._combine(found, keys[1:], bits, barred, more, (*chosen, item))

    def _holding(self, bit: int) -> Mapping[Demands, tuple[Item, ...]]:
        """The strokes that hold a modifier, by their demands."""
        found: dict[Demands, dict[Item, None]] = {}
        for by_demands in self.closers.by_contact.values():
            for demands, items in by_demands.items():
                if demands.hold & bit:
                    found.setdefault(demands, {}).update(dict.fromkeys(items))
        return {demands: tuple(items) for demands, items in found.items()}

    def _readings(self, contacts: tuple[Contact, ...]) -> Iterator[Reading]:
        """The ways to see contacts as keys to press and modifiers to hold."""
        known = (("key", self.closers.by_contact), ("modifier", self.closers.modifier_bit))
        choices = [[what for what, among in known if contact in among] for contact in contacts]
        for choice in product(*choices):
            pairs = list(zip(contacts, choice, strict=True))
            bits = sum(self.closers.modifier_bit[contact] for contact, what in pairs if what == "modifier")
            yield Reading(tuple(contact for contact, what in pairs if what == "key"), bits)


def _difficulty(rival: Combination) -> tuple[int, int, int]:
    items, fed, hold = rival
    return fed.bit_count(), hold.bit_count(), sum([item.unlikelihood for item in items])


def held_and_lifted(items: Iterable[Item]) -> Demands:
    """Everything that some strokes hold, and everything that they lift."""
    hold = lift = 0
    for item in items:
        hold |= item.hold
        lift |= item.lift
    return Demands(hold, lift)
