"""Two keys down at once while modifier keys are held, as in fast typing: counted for each set of modifier keys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.check.counts.tally import Held, Matrix, bits_of
from matrixmap.check.engine.strokes import PlanStrokes, contact_mask
from matrixmap.circuit.corners import corners_of
from matrixmap.hid.usages import ALT_RIGHT, Usage
from matrixmap.model.machine import Contact
from matrixmap.press.compiled import bits
from matrixmap.press.rules import STROKES
from matrixmap.press.words import held_order, held_word


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """Pairs of keys of the host's form that close contacts together while a set of modifier keys is held.

    `held` names what is held; it is empty for nothing. `pairs` can be closed together, ignoring guard and rollover;
    `lying` of them make the machine read a further key.
    """

    held: str
    pairs: int
    lying: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlaps:
    """The counts with no or one modifier key held; `pairs` and `lying` count pairs with some set of them held."""

    by_held: tuple[Overlap, ...]
    pairs: int
    lying: int


def count_overlaps(strokes: PlanStrokes) -> Overlaps:
    """The counts of a plan. A pair is two different keys, whatever their levels."""
    counter = _Counter(strokes)
    every, host = strokes.every, strokes.plan.layout.host
    rows: dict[tuple[int, int], list[Usage]] = {}
    for usage in counter.single_keys():
        rows.setdefault(counter.count(every.mask_of((usage,))), []).append(usage)
    plain = counter.count(0)
    named: list[tuple[int, Overlap]] = []
    for (pairs, lying), usages in rows.items():
        for held, either in every.without_sides(every.mask_of((usage,)) for usage in usages):
            usage = every.usages_of(held)[0]
            name = held_word(host, usage, bool(either))
            named.append((held_order(usage), Overlap(held=name, pairs=pairs, lying=lying)))
    found = [
        Overlap(held="", pairs=plain[0], lying=plain[1]),
        *(row for _, row in sorted(named, key=lambda row: row[0])),
    ]
    return Overlaps(by_held=tuple(found), pairs=counter.all_pairs(), lying=counter.all_lying())


class _Counter:
    """Pairs by class of held keys; each class is counted once."""

    def __init__(self, strokes: PlanStrokes) -> None:
        machine, how = strokes.plan.layout.machine, strokes.plan.contacts
        self.strokes = strokes
        self.every = strokes.every
        count = machine.crosspoints + len(machine.direct)
        self.matrix = Matrix(corners_of(machine, how), machine.crosspoints, count)
        self.held: dict[int, Held] = {}
        keys = [key.usage for key in self.every.keys if key.usual]
        self.number = {usage: number for number, usage in enumerate(keys)}
        self.possible = [0] * len(keys)
        self.lying = [0] * len(keys)
        groups_held: dict[int, dict[int, list[tuple[int, int]]]] = {}
        for pressed in self.every.single:
            done = pressed.done
            if done.kind in STROKES and pressed.key.usual and not pressed.locks:
                groups = groups_held.setdefault(pressed.hold, {})
                groups.setdefault(done.wanted, []).append((self.number[pressed.key.usage], done.asked))
        self.counts = {number: self._count(groups) for number, groups in groups_held.items()}

    def single_keys(self) -> Iterator[Usage]:
        """The modifier keys that change what some press does: they choose a level or feed a modifier."""
        host = self.strokes.plan.layout.host
        feeds = self.strokes.rules.compiled.feeds
        for usage in self.every.holding:
            held = self.every.mask_of((usage,))
            if held in self.every.class_of and (usage in feeds or (usage == ALT_RIGHT and host.has_altgr)):
                yield usage

    def count(self, held: int) -> tuple[int, int]:
        """The pairs while a set of keys is held, and how many of them make a phantom."""
        return self.counts.get(self.every.class_of[held], (0, 0))

    def all_pairs(self) -> int:
        """The pairs that can be closed together with some set of keys held."""
        return sum(mask.bit_count() for mask in self.possible) // 2

    def all_lying(self) -> int:
        """The pairs that make a phantom with some set of keys held."""
        return sum(mask.bit_count() for mask in self.lying) // 2

    def _count(self, groups: dict[int, list[tuple[int, int]]]) -> tuple[int, int]:
        pairs = lying = 0
        for wanted, strokes in groups.items():
            if wanted not in self.held:
                self.held[wanted] = Held(self.matrix, bits_of(wanted))
            held = self.held[wanted]
            by_contact: dict[Contact, int] = {}
            chords = []
            for number, mask in strokes:
                if mask.bit_count() == 1:
                    contact = Contact(mask.bit_length() - 1)
                    by_contact[contact] = by_contact.get(contact, 0) | 1 << number
                else:
                    chords.append((number, mask))
            for keys, together, false in self._partners(by_contact, chords, strokes, held):
                pairs += together.bit_count() * keys.bit_count()
                lying += false.bit_count() * keys.bit_count()
                for number in bits(keys):
                    self.possible[number] |= together
                    self.lying[number] |= false
        return pairs // 2, lying // 2

    def _partners(
        self, by_contact: dict[Contact, int], chords: list[tuple[int, int]], strokes: list[tuple[int, int]], held: Held
    ) -> Iterator[tuple[int, int, int]]:
        """Masks: keys that close the same, keys that close together with each, and those that then make a phantom.

        Keys of the same contact have the same partners, so partners are looked for once a contact.
        """
        lies = self.matrix.lies
        singles = contact_mask(by_contact)
        everything = 0
        for keys in by_contact.values():
            everything |= keys
        for contact, keys in by_contact.items():
            mask = 1 << contact
            together, false = everything & ~keys, 0
            for other in bits(held.seconds(contact) & singles & ~mask):
                false |= by_contact[Contact(other)]
            for number, more in chords:
                if not more & mask:
                    together |= 1 << number
                    false |= 1 << number if lies(held.mask | mask | more) else 0
            yield keys, together, false
        for number, mask in chords:
            others = [(other, more) for other, more in strokes if other != number and not more & mask]
            lying = sum([1 << other for other, more in others if lies(held.mask | mask | more)])
            yield 1 << number, sum([1 << other for other, _ in others]), lying
