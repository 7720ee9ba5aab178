"""Every single press: each key with every set of keys that can be held for it, with locks, latches and dead keys.

Sets of held keys with the same meaning for the runtime are one *class*: they agree on Shift, AltGr, Control, Alt, Meta
and on the machine's modifier keys. So a press is computed once per class, and each class has its sets.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, combinations, pairwise
from typing import NamedTuple

from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CAPS_LOCK,
    CONTROL_LEFT,
    CONTROL_RIGHT,
    KEYPAD_DIGITS,
    META_LEFT,
    META_RIGHT,
    MODIFIER_BITS,
    NUM_LOCK,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.press.compiled import KEEPS, Entry, Keys
from matrixmap.press.keyboard import PhysicalKey, key_usage, physical_keys
from matrixmap.press.machine_reads import Typed, typed_in_the_end
from matrixmap.press.rules import REST, STROKES, Cause, Outcome, Rules, Standing
from matrixmap.press.table.cells import ACCENT_ALONE, ACCENT_GOES_ON
from matrixmap.press.table.format import Kind

SIDES: tuple[tuple[Usage, Usage], ...] = (
    (SHIFT_LEFT, SHIFT_RIGHT),
    (CONTROL_LEFT, CONTROL_RIGHT),
    (ALT_LEFT, ALT_RIGHT),
    (META_LEFT, META_RIGHT),
)
"""The left and the right key of each modifier; if the host has AltGr, right Alt is AltGr."""

MOST_LOCKS = 3
"""If there are more lock and latch keys than this, each is turned on only alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldClass:
    """Sets of host keys that have the same meaning while they are held.

    `sets` are masks over the keys of `Every.holding`, the fewest keys first. `typist` are the modifier keys that they
    feed.
    """

    keys: Keys
    typist: int
    sets: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Locks:
    """Lock and latch keys that were pressed beforehand, and the state that results.

    `pure` means that because of them the machine reads only modifiers.
    """

    on: tuple[Usage, ...]
    standing: Standing
    pure: bool


class Done(NamedTuple):
    """What a press does while only modifiers are held; it is the same for all presses with the same entry.

    `closed` are the contacts of its stroke, `modifiers` all modifier contacts closed at the same time, as masks;
    `asked` and `wanted` are their values without guard and rollover. `typed` are the keys that the machine newly reads;
    `lies` means that it newly reads a contact that is not closed at the end. `before` are the earlier strokes of a
    sequence, already released, each as its contacts and the modifier contacts. Then everything except `refused`,
    `typed` and `lies` is about the last stroke. `holds` are the modifier keys that the stroke itself holds.
    """

    kind: Kind
    value: int
    closed: int
    modifiers: int
    refused: Cause | None
    typed: tuple[Typed, ...]
    lies: bool = False
    asked: int = 0
    wanted: int = 0
    before: tuple[tuple[int, int], ...] = ()
    holds: int = 0

    @property
    def seen(self) -> tuple[object, ...]:
        """All that a person can see: equal for presses that differ only in the keys of the machine's modifiers."""
        return self.kind, self.value, self.refused, self.lies, tuple(typed.legend for typed in self.typed)

    @property
    def text(self) -> str | None:
        """The one character or function that the machine types; None if none, several, or if it reads a phantom."""
        if self.refused is None and not self.lies:
            typed = typed_in_the_end(self.typed)
            legend = typed[0].legend if len(typed) == 1 else None
            return legend.text if legend else None
        return None

    @property
    def texts(self) -> tuple[str, ...]:
        """All meanings of the one key that the machine reads, the main one first."""
        text = self.text
        return () if text is None else (text, *(legend.text for legend in self.typed[0].also))


class Pressed(NamedTuple):
    """One press: the key, the number of its hold class and of its locks, the dead key before it (0: none), and more.

    If there is a dead key, it and the key are a pair; other presses after a dead key are not included.
    """

    key: PhysicalKey
    hold: int
    locks: int
    accent: int
    level: int
    done: Done


class Every:
    """All presses of single keys on a plan's keyboard."""

    def __init__(self, rules: Rules) -> None:
        self.rules = rules
        self.plan = rules.plan
        self.keys = physical_keys(rules.plan)
        host = rules.plan.layout.host
        # Of two usages for one key, the one for another keyboard form is on no key here.
        further = {usage for usage in rules.compiled.feeds if key_usage(host, usage) == usage} - set(MODIFIER_BITS)
        self.acting = frozenset(usage for usage in MODIFIER_BITS if self._acts(usage))
        self.holding: tuple[Usage, ...] = (*MODIFIER_BITS, *sorted(further))
        self.classes = tuple(self._classes())
        self.locks = tuple(self._locks())
        self._done: dict[tuple[object, ...], Done] = {}

    def usages_of(self, held: int) -> tuple[Usage, ...]:
        """The host keys in a set."""
        return tuple(usage for bit, usage in enumerate(self.holding) if held >> bit & 1)

    @cached_property
    def class_of(self) -> Mapping[int, int]:
        """Mask of held keys -> the number of its class."""
        return {held: number for number, some in enumerate(self.classes) for held in some.sets}

    def mask_of(self, usages: Iterable[Usage]) -> int:
        """The mask of held keys; each must be one of `holding`."""
        return sum(1 << self.holding.index(usage) for usage in usages)

    def without_sides(self, sets: Iterable[int]) -> tuple[tuple[int, int], ...]:
        """Masks of held keys with the same effect; those that differ only in a side are merged.

        A merged entry has the left key, and a mask of the keys for which either side works.
        """
        found = dict.fromkeys((held, 0) for held in sets)
        for left, right in SIDES:
            if right == ALT_RIGHT and self.plan.layout.host.has_altgr:
                continue
            low, high = self.mask_of((left,)), self.mask_of((right,))
            for held, either in list(found):
                other = (held ^ low ^ high, either)
                if held & low and not held & high and other in found:
                    del found[held, either], found[other]
                    found[held, either | low] = None
        return tuple(found)

    def _classes(self) -> Iterator[HoldClass]:
        compiled = self.rules.compiled
        found: dict[tuple[Keys, int], list[int]] = {}
        # A modifier key with an effect of its own is not held for another key.
        acting = self.mask_of(self.acting)
        for held in range(1 << len(MODIFIER_BITS)):
            if held & acting:
                continue
            found.setdefault(self._meaning(held), []).append(held)
        # Other keys that feed modifiers count only if they add something that the host's modifier keys cannot give.
        for bit in range(len(MODIFIER_BITS), len(self.holding)):
            fed = compiled.feeds[self.holding[bit]]
            for (keys, typist), sets in list(found.items()):
                if typist | fed != typist:
                    more = [held | 1 << bit for held in sets]
                    known = found.setdefault((keys, typist | fed), more)
                    if known is not more and all(held >> len(MODIFIER_BITS) for held in known):
                        known += more
        for (keys, typist), sets in found.items():
            yield HoldClass(
                keys=keys, typist=typist, sets=tuple(sorted(sets, key=lambda held: (held.bit_count(), held)))
            )

    def _meaning(self, held: int) -> tuple[Keys, int]:
        """The meaning of a set of held keys: the modifiers of the host, and those of the machine that it feeds."""
        usages = frozenset(self.usages_of(held))
        return self.rules.compiled.keys(usages), self.rules.compiled.fed(usages)

    def _acts(self, usage: Usage) -> bool:
        """Whether a key closes contacts, switches a latch, gives a command or waits, instead of feeding a modifier."""
        answers = self.rules.compiled.answers.get(usage, ())
        return usage not in self.rules.compiled.feeds and any(entry.kind is not Kind.NOTHING for entry in answers)

    def _locks(self) -> Iterator[Locks]:
        """First nothing turned on, then each set of locks and latches."""
        compiled = self.rules.compiled
        keys = [CAPS_LOCK] if compiled.caps_lock and compiled.caps else []
        keys += [NUM_LOCK] if compiled.num_lock else []
        keys += [
            key.usage
            for key in self.keys
            if any(entry.kind is Kind.LATCH for entry in compiled.answers.get(key.usage, ()))
        ]
        most = len(keys) if len(keys) <= MOST_LOCKS else 1
        for chosen in chain.from_iterable(combinations(keys, count) for count in range(most + 1)):
            standing = REST
            for usage in chosen:
                standing = self.rules.release(self.rules.press(standing, usage).after, usage)
            closed = self.rules.closed(standing)
            pure = not self.rules.read(closed) & ~self.rules.modifier_mask
            yield Locks(on=chosen, standing=standing, pure=pure)

    @cached_property
    def dead_keys(self) -> Mapping[int, list[tuple[PhysicalKey, int]]]:
        """Number of a dead key -> the keys and hold classes that make it pending, with locks off."""
        found: dict[int, list[tuple[PhysicalKey, int]]] = {}
        for pressed in self.single:
            if pressed.done.kind is Kind.DEAD_KEY and not pressed.locks:
                found.setdefault(pressed.done.value, []).append((pressed.key, pressed.hold))
        return found

    @cached_property
    def single(self) -> tuple[Pressed, ...]:
        """All presses without a dead key before them that an entry answers, except those that feed a modifier."""
        return tuple(self._presses(0, self.keys))

    @cached_property
    def pairs(self) -> tuple[Pressed, ...]:
        """All presses that are pairs with the dead key before them."""
        return tuple(pressed for accent in sorted(self.dead_keys) for pressed in self._presses(accent, self.keys))

    @cached_property
    def accents(self) -> tuple[Pressed, ...]:
        """The accents of dead keys alone: for each class of held keys, one press that types the accent first."""
        return tuple(pressed for accent in sorted(self.dead_keys) for pressed in self._accent_first(accent))

    def _accent_first(self, accent: int) -> Iterator[Pressed]:
        compiled = self.rules.compiled
        alone = compiled.look_up(ACCENT_ALONE, 1, 0, accent)
        if alone is None or not (alone.kind in STROKES or alone.sequence):
            return
        for number, hold in enumerate(self.classes):
            for key in self.keys if not hold.keys.extras else ():
                level = compiled.level(key.usage, hold.keys, False, True)
                entry = compiled.look_up(key.usage, level, 0, accent)
                if entry and not entry.after and entry.kind is not Kind.NOTHING and key.usage not in MODIFIER_BITS:
                    yield Pressed(key, number, 0, accent, level, self.done(alone, hold.typist, 0))
                    break

    def _presses(self, accent: int, keys: Iterable[PhysicalKey]) -> Iterator[Pressed]:
        compiled = self.rules.compiled
        for key in keys:
            usage = key.usage
            answers = compiled.answers.get(usage, ())
            if accent:
                answers = [entry for entry in answers if entry.after == accent and entry.after < KEEPS]
            if not answers or usage in compiled.feeds or self._is_lock(usage):
                continue
            different = tuple(self._locks_for(usage))
            for number, hold in enumerate(self.classes):
                if accent and hold.keys.extras:
                    continue
                for locks in different:
                    pressed = self.press(key, number, locks, accent)
                    if pressed is not None:
                        yield pressed

    def _is_lock(self, usage: Usage) -> bool:
        compiled = self.rules.compiled
        return (usage == CAPS_LOCK and compiled.caps_lock) or (usage == NUM_LOCK and compiled.num_lock)

    def _locks_for(self, usage: Usage) -> Iterator[int]:
        """The locks that can affect a key."""
        compiled = self.rules.compiled
        for number, locks in enumerate(self.locks):
            standing = locks.standing
            caps = not standing.caps or compiled.caps_pairs(usage)
            num = standing.num or usage in KEYPAD_DIGITS
            if caps and num:
                yield number

    def press(self, key: PhysicalKey, number: int, locks: int = 0, accent: int = 0) -> Pressed | None:
        """One press with a class of held keys, locks and a pending dead key; None if no entry answers, or no pair."""
        return self._press(key, self.classes[number], number, locks, accent)

    def press_beside(self, key: PhysicalKey, held: int, locks: int = 0, accent: int = 0) -> Pressed | None:
        """The same with any set of held keys, ignoring what each of them does alone. The class is then -1."""
        number = self.class_of.get(held)
        if number is not None:
            return self.press(key, number, locks, accent)
        keys, typist = self._meaning(held)
        return self._press(key, HoldClass(keys=keys, typist=typist, sets=(held,)), -1, locks, accent)

    def _press(self, key: PhysicalKey, hold: HoldClass, number: int, locks: int, accent: int) -> Pressed | None:
        compiled, standing = self.rules.compiled, self.locks[locks].standing
        keys = hold.keys
        if key.usage in MODIFIER_BITS:
            # The key itself is down when it is judged: the sets without it are in one class, those with it in another.
            own = self.mask_of((key.usage,))
            held = next((some for some in hold.sets if not some & own), None)
            if held is None:
                return None
            keys = compiled.keys(frozenset(self.usages_of(held | own)))
        level = compiled.level(key.usage, keys, standing.caps, standing.num)
        entry = compiled.look_up(key.usage, level, keys.extras, accent)
        if entry is None or (accent and entry.after != accent):
            return None
        done = self.done(entry, hold.typist, standing.latches, key.usage, level)
        return Pressed(key, number, locks, accent, level, done)

    def done(self, entry: Entry, typist: int, latches: int, usage: Usage = ACCENT_GOES_ON, level: int = 1) -> Done:
        """What an entry does while only some modifier keys are held.

        A sequence is that of a usage at a level; by default, that of an accent alone.
        """
        cell = (entry, typist, latches, usage, level) if entry.sequence else (entry, typist, latches)
        found = self._done.get(cell)
        if found is None:
            parts = self.rules.parts(usage, level, entry)
            found = self._done[cell] = self._work_out(parts, typist | latches)
        return found

    def _work_out(self, entries: tuple[Entry, ...], typist: int) -> Done:
        rules = self.rules
        *before, entry = entries
        if entry.kind not in STROKES:
            value = entry.value
            return Done(entry.kind, value, 0, 0, None, ())
        outcome = rules.close_alone(entries, typist)
        wanted = outcome.after.modifiers
        stroke = rules.stroke(Usage(0), entry)
        closed = 0 if outcome.refused else stroke.mask
        # A contact that is about to close may read closed a moment early: that is not another key.
        own = outcome.moments[-1] if outcome.moments else 0
        strokes = [rules.stroke(Usage(0), each) for each in before]
        for each in strokes:
            own |= each.mask
        lies = any(rules.phantoms(after) & ~rules.read(before) & ~own for before, after in pairwise(outcome.moments))
        modifiers = rules.compiled.mask_of(wanted)
        asked, meant = stroke.mask, rules.compiled.mask_of(stroke.wants(typist))
        masks = tuple((each.mask, rules.compiled.mask_of(each.wants(typist))) for each in strokes)
        typed = rules.types(outcome)
        return Done(
            entry.kind, entry.value, closed, modifiers, outcome.refused, typed, lies, asked, meant, masks, stroke.holds
        )

    def pure(self, hold: HoldClass, locks: Locks) -> bool:
        """Whether the machine reads only modifiers because of what is held and turned on."""
        if not locks.pure:
            return False
        closed = self.rules.compiled.mask_of(hold.typist | locks.standing.latches)
        return not self.rules.read(closed) & ~self.rules.modifier_mask

    def outcome(self, pressed: Pressed) -> Outcome:
        """The executed press, with the first of its sets of held keys; a pair after the easiest dead key."""
        own = self.mask_of({pressed.key.usage}.intersection(self.holding))
        held = next(some for some in self.classes[pressed.hold].sets if not some & own)
        standing = self.rules.hold(self.usages_of(held), self.locks[pressed.locks].standing)
        return self.rules.press(standing._replace(accent=pressed.accent), pressed.key.usage)
