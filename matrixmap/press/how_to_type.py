"""How to type what the machine types: the key to press, what to hold for it, and the side if it matters."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from matrixmap.hid.usages import MODIFIER_BITS, Usage
from matrixmap.model.legend import other_case
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress, Way
from matrixmap.press.compiled import bits
from matrixmap.press.every import Every, Pressed
from matrixmap.press.keyboard import PhysicalKey
from matrixmap.press.rules import Rules
from matrixmap.press.table.format import Kind
from matrixmap.press.table.make import EXTRA_BITS


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """The ways to close a contact, the easiest first: by a key of its own, or with `held` only as a modifier."""

    ways: tuple[Way, ...]
    held: bool = False


class HowToType:
    """The ways of one plan."""

    def __init__(self, every: Every) -> None:
        self.every = every
        self.host = every.plan.layout.host
        self._minimal: dict[tuple[frozenset[int], int], tuple[tuple[int, int], ...]] = {}

    def to_type(self) -> Mapping[str, tuple[Way, ...]]:
        """Character or function -> the ways to type exactly this, the easiest first.

        If one set of keys to hold for a key contains another, the larger set is left out. Locks count only if the key
        types it in no other way.
        """
        cells: dict[tuple[str, int], dict[PhysicalKey, dict[int, list[Pressed]]]] = {}
        every = self.every
        pure = [[every.pure(hold, locks) for locks in every.locks] for hold in every.classes]
        for pressed in (*every.single, *every.pairs):
            for text in pressed.done.texts if pure[pressed.hold][pressed.locks] else ():
                by_locks = cells.setdefault((text, pressed.accent), {}).setdefault(pressed.key, {})
                by_locks.setdefault(pressed.locks, []).append(pressed)
        dead = {accent: self._dead_press(accent) for accent in self.every.dead_keys}
        ways: dict[str, list[Way]] = {}
        for (text, accent), keys in cells.items():
            if accent and dead[accent] is None:
                continue
            before = (dead[accent],) if accent else ()
            for key, by_locks in keys.items():
                ways.setdefault(text, []).extend((*before, press) for press in self._key_presses(key, by_locks))
        for text, way in self._pressed_twice(dead):
            ways.setdefault(text, [way])
        return {text: tuple(sorted(found, key=_ease)) for text, found in ways.items()}

    def _pressed_twice(self, dead: Mapping[int, KeyPress | None]) -> Iterator[tuple[str, Way]]:
        """Accents typed by a dead key pressed twice where that is no pair: the second press types it, then waits."""
        rules = self.every.rules
        for press in filter(None, dead.values()):
            waiting = rules.let_all_go(rules.press(rules.hold(press.hold), press.usage).after)
            outcome = rules.press(rules.hold(press.hold, waiting), press.usage)
            typed = rules.types(outcome)
            if len(typed) == 1 and typed[0].legend and not outcome.refused and not rules.phantoms(outcome.closed):
                yield typed[0].legend.text, (press, press)

    def of_kind(self, kind: Kind) -> Mapping[int, tuple[KeyPress, ...]]:
        """Value of the entries of a kind (commands, latches) -> the presses that select them, the easiest first."""
        return self.where(self.every.single, lambda pressed: (pressed.done.value,) if pressed.done.kind is kind else ())

    def where(
        self, presses: Iterable[Pressed], values: Callable[[Pressed], Iterable[int]]
    ) -> Mapping[int, tuple[KeyPress, ...]]:
        """Each value found in some presses -> the presses of all keys that have it, the easiest first."""
        cells: dict[int, dict[PhysicalKey, dict[int, list[Pressed]]]] = {}
        for pressed in presses:
            for value in values(pressed):
                by_locks = cells.setdefault(value, {}).setdefault(pressed.key, {})
                by_locks.setdefault(pressed.locks, []).append(pressed)
        return {
            value: tuple(
                sorted(
                    (press for key, by_locks in keys.items() for press in self._key_presses(key, by_locks)),
                    key=KeyPress.ease,
                )
            )
            for value, keys in cells.items()
        }

    def to_close(self) -> Mapping[Contact, Closing]:
        """Contact -> the ways to close it that are not refused.

        Ways after a dead key count only if no single press closes it, and modifiers of strokes only if neither does.
        """
        every = self.every
        held = {
            contact: Closing(ways=tuple((press,) for press in presses), held=True)
            for contact, presses in self.where(every.single, self._modifiers).items()
        }
        pairs: dict[int, list[Way]] = {}
        for accent in every.dead_keys:
            dead = self._dead_press(accent)
            after = (pressed for pressed in every.pairs if pressed.accent == accent)
            for contact, presses in self.where(after, _own).items() if dead else ():
                pairs.setdefault(contact, []).extend((dead, press) for press in presses if dead)
        paired = {contact: Closing(ways=tuple(sorted(ways, key=_ease))) for contact, ways in pairs.items()}
        alone = {
            contact: Closing(ways=tuple((press,) for press in sorted(presses, key=KeyPress.ease)))
            for contact, presses in self._alone().items()
        }
        before = {
            contact: Closing(ways=tuple((press,) for press in presses))
            for contact, presses in self.where(every.single, _earlier).items()
        }
        found = {**held, **before, **paired, **alone}
        return {Contact(contact): found[contact] for contact in sorted(found)}

    def _alone(self) -> Mapping[int, list[KeyPress]]:
        """The contacts that single keys close as their own: by strokes, modifier keys and latch keys."""
        every = self.every
        compiled = every.rules.compiled
        found = {contact: list(presses) for contact, presses in self.where(every.single, _own).items()}
        for value, presses in self.of_kind(Kind.LATCH).items():
            for contact in bits(compiled.mask_of(value)):
                found.setdefault(contact, []).extend(presses)
        for key in every.keys:
            for contact in bits(compiled.mask_of(compiled.feeds.get(key.usage, 0))):
                found.setdefault(contact, []).append(key_press(every, key, 1, 0))
        return found

    def _modifiers(self, pressed: Pressed) -> Iterator[int]:
        """The modifier contacts that a stroke closes in addition to its own and that the typist does not hold."""
        every, done = self.every, pressed.done
        held = every.classes[pressed.hold].typist | every.locks[pressed.locks].standing.latches
        return bits(done.modifiers & ~every.rules.compiled.mask_of(held) if done.closed else 0)

    def _is_pure(self, pressed: Pressed) -> bool:
        every = self.every
        return every.pure(every.classes[pressed.hold], every.locks[pressed.locks])

    def _dead_press(self, accent: int) -> KeyPress | None:
        """The easiest way to make a dead key pending."""
        by_key: dict[PhysicalKey, dict[int, list[Pressed]]] = {}
        for pressed in self.every.single:
            if pressed.done.kind is Kind.DEAD_KEY and pressed.done.value == accent and self._is_pure(pressed):
                by_key.setdefault(pressed.key, {}).setdefault(pressed.locks, []).append(pressed)
        presses = [press for key, by_locks in by_key.items() for press in self._key_presses(key, by_locks)]
        return min((press for press in presses if not press.on), key=KeyPress.ease, default=None)

    def _key_presses(self, key: PhysicalKey, by_locks: Mapping[int, list[Pressed]]) -> Iterator[KeyPress]:
        """The equivalent presses of one key, with the fewest locks that any of them needs.

        If all of these hold a key other than the host's modifiers, also those without such a key, with the fewest
        locks.
        """
        counts = {number: len(self.every.locks[number].on) for number in by_locks}
        fewest = min(counts.values())
        plain = {number: [some for some in presses if self._is_plain(some)] for number, presses in by_locks.items()}
        without = min((counts[number] for number, presses in plain.items() if presses), default=fewest)
        for number, presses in by_locks.items():
            if counts[number] not in (fewest, without):
                continue
            locks = self.every.locks[number]
            kept = presses if counts[number] == fewest else plain[number]
            levels = {pressed.hold: pressed.level for pressed in kept}
            for held, either in self._fewest_held(key, frozenset(levels)):
                level = levels[self.every.class_of[held]]
                yield key_press(self.every, key, level, held, either, locks.on)

    def _is_plain(self, pressed: Pressed) -> bool:
        """Whether it is enough to hold the host's modifier keys for a press."""
        return any(held >> len(MODIFIER_BITS) == 0 for held in self.every.classes[pressed.hold].sets)

    def _fewest_held(self, key: PhysicalKey, classes: frozenset[int]) -> tuple[tuple[int, int], ...]:
        """Minimal sets of held keys in some classes, and the keys for which either side works.

        Of two sets that differ in the side of one modifier, the left one is returned, with a mask of those keys.
        """
        own = self.every.mask_of({key.usage}.intersection(self.every.holding))
        cell = (classes, own)
        if cell not in self._minimal:
            sets = {held for number in classes for held in self.every.classes[number].sets if not held & own}
            fewest: list[int] = []
            for held in sorted(sets, key=lambda held: (held.bit_count(), held)):
                if not any(less & ~held == 0 for less in fewest):
                    fewest.append(held)
            self._minimal[cell] = self.every.without_sides(fewest)
        return self._minimal[cell]


def _own(pressed: Pressed) -> Iterator[int]:
    return bits(pressed.done.closed)


def _earlier(pressed: Pressed) -> Iterator[int]:
    """The contacts of the strokes of a sequence that are released before the last one."""
    for contacts, _ in pressed.done.before:
        yield from bits(contacts)


def key_press(
    every: Every, key: PhysicalKey, level: int, held: int, either: int = 0, on: tuple[Usage, ...] = ()
) -> KeyPress:
    """A press at a level, from masks of the keys to hold and of those for which either side works."""
    hold = every.usages_of(held)
    keys = every.rules.compiled.keys(frozenset((*hold, key.usage)))
    extras = frozenset(extra for extra, bit in EXTRA_BITS.items() if keys.extras & bit)
    host_key = every.plan.layout.host.keys.get(key.usage)
    unprinted = host_key is not None and host_key.at(level) is not None and not host_key.is_printed(level)
    return KeyPress(
        usage=key.usage,
        level=level,
        extras=extras,
        hold=hold,
        either=frozenset(every.usages_of(either)),
        on=on,
        usual=key.usual,
        printed=bool(extras) or not unprinted,
    )


def _ease(way: Way) -> tuple[object, ...]:
    return len(way), *(press.ease() for press in reversed(way))


def every_press(plan: Plan) -> Every:
    """All presses of a plan. TableError if no table can hold it."""
    return Every(Rules(plan))


def machine_text(machine: Machine, text: str) -> str:
    """What a writer of this character means on a machine: if the machine has only one case of a letter, that case."""
    other = other_case(text)
    if other is None:
        return text
    has = {legend.text for key in machine.keys for state in key.types for legend in key.meanings(state)}
    return other if other in has and text not in has else text


def ways_to_type(plan: Plan) -> Mapping[str, tuple[Way, ...]]:
    """Character or function -> the ways to type exactly this, the easiest first. TableError if no table can hold the plan."""
    return HowToType(every_press(plan)).to_type()
