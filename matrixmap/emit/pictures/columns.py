"""What each key does with each set of held keys, and the sets that deserve a column of legends on the keys."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from matrixmap.hid.usages import ALT_RIGHT, KEYPAD_DIGITS, NUM_LOCK, SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.model.machine import Contact
from matrixmap.model.words import key_name
from matrixmap.press.compiled import bits
from matrixmap.press.every import SIDES, Every, HoldClass, Locks, Pressed
from matrixmap.press.rules import STROKES
from matrixmap.press.table.format import Kind
from matrixmap.press.words import holding_words, lock_word

Held = int
"""Held keys, as a mask over those of `Every.holding`."""


class Cell(NamedTuple):
    """What a press does: the character or function that it types, else its effect in words.

    `waits` is set for a dead key; the text is then its accent.
    """

    text: str
    waits: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of legends on a key: what is held apart from Shift, or turned on before, in words; empty for nothing.

    `upper` is what is also held for the upper legend: `Shift`, or one side of it. `sets` are the sets of keys, any of
    which may be held, the one with left keys first; `locks` is the number of the required locks. `further` means that
    the column needs more than AltGr.
    """

    title: str
    upper: str
    sets: tuple[Held, ...] = (0,)
    locks: int = 0
    further: bool = False


class Cells:
    """What every key does with every set of held keys, as texts."""

    def __init__(self, every: Every) -> None:
        self.every = every
        self.plan = every.plan
        self._contacts = {key.contact: key for key in self.plan.layout.machine.keys}
        self._pressed = {(pressed.key.usage, pressed.hold, pressed.locks): pressed for pressed in every.single}
        self._found: dict[tuple[Usage, int, int], Cell | None] = {}
        self.keys = tuple(key for key in every.keys if key.usual)
        self._own = {key.usage: every.mask_of({key.usage}.intersection(every.holding)) for key in every.keys}

    def pressed(self, usage: Usage, held: Held, locks: int = 0) -> Pressed | None:
        """The press of a key with a set of held keys and some locks; None if no entry answers it."""
        number = self.every.class_of.get(held)
        if number is None or held & self._own[usage]:
            return None
        return self._pressed.get((usage, number, locks))

    def cell(self, usage: Usage, held: Held, locks: int = 0) -> Cell | None:
        """What a press does; None if it does nothing."""
        number = self.every.class_of.get(held)
        if number is None or held & self._own[usage]:
            return None
        place = (usage, number, locks)
        if place not in self._found:
            pressed = self._pressed.get(place)
            self._found[place] = self._read(pressed) if pressed else None
        return self._found[place]

    def _read(self, pressed: Pressed) -> Cell | None:
        every, done = self.every, pressed.done
        match done.kind:
            case Kind.DEAD_KEY:
                accents = every.rules.table.accents
                return Cell(accents[done.value - 1], waits=True) if done.value <= len(accents) else None
            case Kind.COMMAND:
                return Cell(f"command {done.value}")
            case Kind.LATCH:
                return Cell(f"sets and frees {self.latch_name(done.value)}")
        if done.kind not in STROKES or done.refused or not every.pure(self._hold(pressed), self._locks(pressed)):
            return None
        if done.text is not None:
            return Cell(done.text)
        contact = done.closed.bit_length() - 1
        alone = len(done.typed) == 1 and done.closed == 1 << contact
        if alone and contact in self._contacts and self._contacts[Contact(contact)].types:
            return None
        return Cell(self._stroke(pressed)) if done.closed else None

    def _hold(self, pressed: Pressed) -> HoldClass:
        return self.every.classes[pressed.hold]

    def _locks(self, pressed: Pressed) -> Locks:
        return self.every.locks[pressed.locks]

    def _stroke(self, pressed: Pressed) -> str:
        """A stroke that types no single thing: what it closes, without the modifiers held for it."""
        machine, compiled = self.plan.layout.machine, self.every.rules.compiled
        held = compiled.mask_of(self._hold(pressed).typist | self._locks(pressed).standing.latches)
        own = pressed.done.modifiers & ~held & ~pressed.done.closed
        names = [modifier_name(self.every, Contact(contact)) for contact in bits(own)]
        return " + ".join(
            [*dict.fromkeys(names), *(key_name(machine, Contact(contact)) for contact in bits(pressed.done.closed))]
        )

    def latch_name(self, modifier_keys: int) -> str:
        """The latching key that closes some modifier keys of the machine."""
        machine, closed = self.plan.layout.machine, self.every.rules.compiled.mask_of(modifier_keys)
        names = (name for name, beside in machine.latching.items() if closed >> machine.key(beside).contact & 1)
        return next(names, "a latch")

    # ---- columns ----

    @cached_property
    def shifts(self) -> tuple[Held, ...]:
        """The Shift keys for the upper legend: both, or, if they do different things, the one that changes more."""
        sides = tuple(self.every.mask_of((usage,)) for usage in (SHIFT_LEFT, SHIFT_RIGHT))
        class_of = self.every.class_of
        # Sets of one class do the same, so one of each is enough.
        pairs = {
            (class_of.get(held | sides[0]), class_of.get(held | sides[1])): held
            for held in class_of
            if not held & sum(sides)
        }
        unlike = any(
            one and other and one != other
            for held in pairs.values()
            for key in self.keys
            for one, other in [(self.cell(key.usage, held | sides[0]), self.cell(key.usage, held | sides[1]))]
        )
        if not unlike:
            return sides
        changes = [sum(self.cell(key.usage, side) != self.cell(key.usage, 0) for key in self.keys) for side in sides]
        return (sides[changes[1] > changes[0]],)

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """What is held or turned on for the legends of each column, starting with nothing.

        A set of held keys counts if each of its keys matters: with it, some key types something that it does not type
        without it, with or without Shift. Sets that do the same share a column. Sets that differ only in a side also
        share one, unless a key does different things with them; a refused press does not count as different.
        """
        wanted = [sets for sets in self._alike() if any(self._is_worth(key.usage, sets[0]) for key in self.keys)]
        further = [self._held_column(sets) for sets in self._together(wanted)]
        altgr = self.every.mask_of((ALT_RIGHT,)) if self.plan.layout.host.has_altgr else 0
        further.sort(key=lambda column: (self.words((column.sets[0] & ~altgr,)), column.sets))
        return (Column(title="", upper=self._upper), *further, *self._lock_columns())

    def _alike(self) -> Iterator[tuple[Held, ...]]:
        """The smallest sets of held keys without Shift, grouped by their meaning without and with either Shift."""
        shift = sum(self.shifts)
        alike: dict[tuple[int | None, ...], list[Held]] = {}
        for held in sorted(self.every.class_of, key=lambda held: (held.bit_count(), held)):
            if not held & shift:
                means = tuple(self.every.class_of.get(held | side) for side in (0, *self.shifts))
                sets = alike.setdefault(means, [])
                if not sets or sets[0].bit_count() == held.bit_count():
                    sets.append(held)
        return (tuple(sets) for sets in alike.values() if sets[0])

    def places(self, usage: Usage) -> tuple[Held, ...]:
        """What may be held with the set of a column: nothing, or a Shift key, except for the keypad's digits."""
        return (0,) if usage in KEYPAD_DIGITS else (0, *self.shifts)

    def is_new(self, usage: Usage, held: Held, shift: Held) -> bool:
        """Whether a press does something that it does not do with one held key less, Shift not counted."""
        cell = self.cell(usage, held | shift)
        return cell is not None and all(self.cell(usage, held ^ 1 << bit | shift) != cell for bit in bits(held))

    def _is_worth(self, usage: Usage, held: Held) -> bool:
        """Whether a key does something with a set that it does not do with one key less, with or without Shift."""
        if usage in KEYPAD_DIGITS:
            return False
        fewer = {self.cell(usage, held ^ 1 << bit | shift) for bit in bits(held) for shift in self.places(usage)}
        cells = {self.cell(usage, held | shift) for shift in self.places(usage) if self.is_new(usage, held, shift)}
        return bool(cells - fewer)

    def _together(self, alike: list[tuple[Held, ...]]) -> Iterator[tuple[Held, ...]]:
        """The sets that share a column."""
        groups: list[list[Held]] = []
        for sets in alike:
            for group in groups:
                if self._share(group[0], sets[0]):
                    group.extend(sets)
                    break
            else:
                groups.append([*sets])
        return (tuple(sorted(group, key=lambda held: (held.bit_count(), held))) for group in groups)

    def _share(self, one: Held, other: Held) -> bool:
        """Whether two sets share a column: all keys do the same, or only sides differ without a contradiction."""
        cells = [
            (self.cell(key.usage, one | shift), self.cell(key.usage, other | shift), self.is_new(key.usage, one, shift))
            for key in self.keys
            for shift in self.places(key.usage)
        ]
        if self._sideless(one) != self._sideless(other):
            return all(a == b for a, b, _ in cells)
        return any(new and a == b for a, b, new in cells) and not any(a and b and a != b for a, b, _ in cells)

    def _sideless(self, held: Held) -> frozenset[Usage]:
        altgr = self.plan.layout.host.has_altgr
        left = {right: left for left, right in SIDES if not (altgr and right == ALT_RIGHT)}
        return frozenset(left.get(usage, usage) for usage in self.every.usages_of(held))

    def _held_column(self, sets: tuple[Held, ...]) -> Column:
        altgr = self.plan.layout.host.has_altgr and sets[0] == self.every.mask_of((ALT_RIGHT,))
        return Column(title=self.words(sets), upper=self._upper, sets=sets, further=not altgr)

    @property
    def _upper(self) -> str:
        return self.words(self.shifts)

    def _lock_columns(self) -> Iterator[Column]:
        """What must be on for the texts that no key types otherwise."""
        every = self.every
        usual = [pressed for pressed in every.single if pressed.key.usual]
        free = {self._text(pressed) for pressed in usual if not pressed.locks}
        wanted = {self._text(pressed) for pressed in usual if pressed.locks} - free
        for number, locks in enumerate(every.locks) if wanted else ():
            cells = {self.cell(key.usage, shift, number) for key in self.keys for shift in (0, *self.shifts)}
            here = {cell.text for cell in cells if cell}
            if locks.on and NUM_LOCK not in locks.on and here & wanted:
                wanted -= here
                on = ", ".join(lock_word(self.plan.layout.host, usage) for usage in locks.on)
                yield Column(title=f"{on} on", upper=self._upper, locks=number, further=True)

    def _text(self, pressed: Pressed) -> str | None:
        return pressed.done.text if self.every.pure(self._hold(pressed), self._locks(pressed)) else None

    def words(self, sets: Iterable[Held]) -> str:
        """Sets of held keys in words: `Alt`, `right Shift+Alt`."""
        host, every = self.plan.layout.host, self.every
        told = (
            holding_words(host, every.usages_of(held), every.usages_of(either))
            for held, either in every.without_sides(sets)
        )
        return " or ".join(map("+".join, told))


def modifier_name(every: Every, contact: Contact) -> str:
    """The modifier of the machine with its key at a contact, or the key's own name."""
    machine = every.plan.layout.machine
    name = key_name(machine, contact)
    return machine.modifier_of(name) or name


def num_off(every: Every) -> int | None:
    """The number of Num Lock turned off, None if the runtime does not keep that lock."""
    return next((number for number, locks in enumerate(every.locks) if locks.on == (NUM_LOCK,)), None)
