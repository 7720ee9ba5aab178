"""Conflicts in words: what to hold and press, what closes, what the machine reads and types."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import product

from matrixmap.check.engine.closers import fed_bits
from matrixmap.check.engine.fingers import is_held
from matrixmap.check.engine.machine_words import MachineWords
from matrixmap.check.engine.playing import Hands, Made, Maker
from matrixmap.check.engine.strokes import Item, PlanStrokes, are_plain, sides_of
from matrixmap.hid.usages import KEYPAD_DIGITS, SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.model.machine import Contact
from matrixmap.model.place import Place
from matrixmap.model.press import Way
from matrixmap.model.witness import Witness
from matrixmap.model.words import in_a_row, shown
from matrixmap.press.compiled import bits
from matrixmap.press.every import SIDES
from matrixmap.press.words import held_word, held_words, key_words, lock_word, press_after_words


def contacts_of(mask: int) -> tuple[Contact, ...]:
    """The contacts of a mask, ascending."""
    return tuple([Contact(bit) for bit in bits(mask)])


class ConflictWords(MachineWords):
    """Words for the strokes, contacts and readings of one plan; each is worked out once."""

    def __init__(self, strokes: PlanStrokes) -> None:
        super().__init__(strokes.plan.layout.machine)
        self.strokes = strokes
        self.host = strokes.plan.layout.host
        self.fed = fed_bits(strokes)
        self.maker = Maker(strokes)
        self.hands = Hands(strokes.plan, strokes.rules)
        self._latches = self.hands.latches
        places = {binding.trigger: binding.place for binding in strokes.plan.bindings if binding.place}
        self._lines = places
        self._places = {
            item: place for item in strokes.items if (place := places.get(item.trigger)) and len(item.ways[0]) == 1
        }
        self._sides: dict[Item, list[list[Way]]] = {}
        self._split: dict[Way, tuple[tuple[str, ...], str]] = {}
        self._feeder: dict[int, tuple[Usage, str]] = {}
        self._last: tuple[tuple[Item, ...], int, Made | None] = ((), 0, None)

    def witness(
        self,
        items: tuple[Item, ...],
        fed: int,
        extra: tuple[Contact, ...] = (),
        unseen: tuple[Contact, ...] = (),
        switches: tuple[tuple[str, str], ...] = (),
    ) -> Witness:
        """The presses, the newest last, with what closes; `fed` are modifiers that the typist holds in addition."""
        made = self.made(items, fed)
        if made is None:
            closed = self.strokes.bare.compiled.mask_of(fed)
            for item in items:
                closed |= item.mask | self.strokes.bare.compiled.mask_of(item.hold)
            made = Made(self._held_keys(items, fed), tuple([item.ways[0] for item in items]), 0, closed)
            return Witness(made.held, made.presses, switches, contacts_of(closed), extra, unseen, 0, False)
        return Witness(made.held, made.presses, switches, contacts_of(made.closed), extra, unseen, made.first)

    def made(self, items: tuple[Item, ...], fed: int) -> Made | None:
        """An order of presses by which all strokes are closed, ignoring guard and rollover; None if there is none."""
        last, fed_last, found = self._last
        # For each conflict, the first question is whether it can be made, and the second how.
        if items is last and fed == fed_last:
            return found
        if not fed and are_plain(items):
            closed = 0
            for item in items:
                closed |= item.mask
            made: Made | None = Made((), tuple([item.ways[0] for item in items]), 0, closed)
        else:
            held = self._held_keys(items, fed)
            sides = [self._sides_of(item)[self._way(item, held)] for item in items]
            tried = (self.maker.make(items, held, ways, fed) for ways in product(*sides))
            made = next((some for some in tried if some), None)
        self._last = items, fed, made
        return made

    def _held_keys(self, items: tuple[Item, ...], fed: int) -> tuple[Usage, ...]:
        """The host keys to hold throughout: for modifiers that are fed, or held by one stroke and passed by another."""
        hold = 0
        for item in items:
            hold |= item.hold
        return tuple([self.feeder(bit)[0] for bit in _bits(fed | self.needed(items, hold))])

    def what_is_left(self, items: tuple[Item, ...], fed: int) -> Witness:
        """Presses that may contradict each other, the newest last, with those that stay closed without the guard."""
        held = tuple([self.feeder(bit)[0] for bit in _bits(fed)])
        presses = tuple([item.ways[0] for item in items])
        bare = self.strokes.bare
        closed = bare.closed(self.maker.hands.play(held, presses, 0).standing)
        extra = contacts_of(bare.phantoms(closed))
        return Witness(held=held, presses=presses, closed=contacts_of(closed), phantoms=extra)

    def needed(self, items: tuple[Item, ...], hold: int) -> int:
        """Modifiers that one stroke holds and another lets pass: the typist must hold them too."""
        needed = 0
        for item in items:
            needed |= hold & ~(item.hold | item.lift)
        return needed

    def feeder(self, bit: int) -> tuple[Usage, str]:
        """The host key that holds a modifier's key, and its name: `Shift` if both Shift keys do the same.

        A lock that works a latch in parallel with that key is used only if no key holds it.
        """
        if bit not in self._feeder:
            contact = self.strokes.modifier_keys[bit.bit_length() - 1]
            feeding = sorted(usage for usage, other in self.strokes.feeds.items() if other == contact)
            usages = [usage for usage in feeding if usage not in self._latches] or feeding
            both = any(set(pair) <= set(usages) for pair in SIDES if usages[0] in pair)
            latch = usages[0] in self._latches
            self._feeder[bit] = (
                usages[0],
                lock_word(self.host, usages[0]) if latch else held_word(self.host, usages[0], both),
            )
        return self._feeder[bit]

    def _sides_of(self, item: Item) -> list[list[Way]]:
        """For each way of a stroke, the ways that differ from it only in the side of a modifier."""
        if item not in self._sides:
            self._sides[item] = [sides_of(item, way) for way in item.ways]
        return self._sides[item]

    def _way(self, item: Item, held: tuple[Usage, ...]) -> int:
        """The number of the stroke's way to press while host keys are held; else of its easiest way."""
        if held:
            shift = self._shifts(held)
            for number, way in enumerate(item.ways):
                if (way[-1].level in (2, 4)) is shift or way[-1].usage in KEYPAD_DIGITS:
                    return number
        return 0

    def press(self, witness: Witness) -> str:
        """A witness as a person at the host carries it out: `hold Shift, press 2`."""
        if not witness.held:
            caps = []
            for way in witness.presses:
                modifiers, cap = self._parts(way)
                if modifiers:
                    break
                caps.append(cap)
            else:
                return f"press {in_a_row(caps)}" if caps else ""
        parts = [self._parts_beside(way, witness.held) for way in witness.presses]
        held = [self._held_name(usage) for usage in witness.held if usage not in self._latches]
        on = [self._held_name(usage) for usage in witness.held if usage in self._latches]
        latched = f"with {in_a_row(on)} on" if on else ""
        if not parts:
            return ", ".join(words for words in (latched, f"hold {in_a_row(held)}" if held else "") if words)
        return f"{latched}, {self._pressing(witness, parts, held)}" if on else self._pressing(witness, parts, held)

    def _pressing(self, witness: Witness, parts: list[tuple[tuple[str, ...], str]], held: list[str]) -> str:
        """What to hold and press, without latches."""
        own = [(*held, *modifiers) for modifiers, _ in parts]
        first = witness.first if held else 0
        if first:
            before = in_a_row([_chord(*part) for part in parts[:first]])
            keep = "it" if first == 1 else "them"
            rest = [_chord(own[number][len(held) :], parts[number][1]) for number in range(first, len(parts))]
            after = f" and press {in_a_row(rest)}" if rest else ""
            return f"press {before} and keep {keep} down, then hold {in_a_row(held)}{after}"
        if len(set(own)) == 1:
            caps = in_a_row([cap for _, cap in parts])
            return f"hold {in_a_row(list(own[0]))}, press {caps}" if own[0] else f"press {caps}"
        words = [_chord(modifiers, cap) for modifiers, (_, cap) in zip(own, parts, strict=True)]
        return f"press {in_a_row(words, ' then ')}"

    def _held_name(self, usage: Usage) -> str:
        contact = self.strokes.feeds[usage]
        return self.feeder(1 << self.strokes.modifier_keys.index(contact))[1]

    def _shifts(self, held: tuple[Usage, ...]) -> bool:
        return SHIFT_LEFT in held or SHIFT_RIGHT in held

    def _parts(self, way: Way) -> tuple[tuple[str, ...], str]:
        """The host modifiers of a way's press, and its key as printed; with a dead key before it, all in one text."""
        found = self._split.get(way)
        if found is None:
            found = self._split[way] = self._split_up(way)
        return found

    def _parts_beside(self, way: Way, held: tuple[Usage, ...]) -> tuple[tuple[str, ...], str]:
        """The same while keys are held throughout: a held Shift of either side counts as the Shift of a press."""
        modifiers, cap = self._parts(way)
        if not modifiers or not held:
            return modifiers, cap
        needed = tuple([usage for usage in way[-1].hold if not is_held(self.strokes.plan, usage, held)])
        return tuple(held_words(self.host, replace(way[-1], hold=needed))), cap

    def _split_up(self, way: Way) -> tuple[tuple[str, ...], str]:
        if len(way) > 1:
            return (), shown(press_after_words(self.host, way))
        return tuple(held_words(self.host, way[0])), shown(key_words(self.host, way[0]))

    def cap(self, way: Way) -> str:
        """A way in words, its modifiers first."""
        modifiers, cap = self._parts(way)
        return _chord(modifiers, cap)

    def key_of(self, way: Way) -> str:
        """The key of a way, without its modifiers."""
        return self._parts(way)[1]

    def place_of(self, way: Way) -> Place | None:
        """The line of the layout that causes a way; None if the join gives it."""
        return self._lines.get(way[-1].trigger) if len(way) == 1 else None

    def place(self, items: Iterable[Item]) -> Place | None:
        """The first line of the layout that causes one of some strokes; None if the join gives them all."""
        places = self._places
        found = [place for item in items if (place := places.get(item))] if places else []
        return min(found) if found else None


def _chord(modifiers: Iterable[str], cap: str) -> str:
    return " ".join((*modifiers, cap))


def _bits(mask: int) -> Iterable[int]:
    while mask:
        yield mask & -mask
        mask &= mask - 1
