"""Presses of one key with a changed effect: the simplest ones, by side if that matters."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from matrixmap.compare.sides.held import SHIFTS_AND_ALTGR, bit, hold_sets, with_one_fewer, without_sides
from matrixmap.compare.sides.outcomes import NO_LOCK, Outcome, Press
from matrixmap.compare.sides.pair import Both, Pair
from matrixmap.hid.usages import ALT_RIGHT, MODIFIER_BITS, Usage


class Difference(NamedTuple):
    """A press with a changed outcome; `either` are the keys of `press.held` for which the right one works, too.

    `as_before` and `as_after` name the modifier without which the press did or does the same, so that holding it had no
    meaning; None if it has one. `paired` says whether it was and is a pair with a dead key.
    """

    press: Press
    either: int
    before: Outcome
    after: Outcome
    as_before: str | None
    as_after: str | None
    paired: tuple[bool, bool] = (False, False)


Results = Mapping[int, Both]
"""Held keys -> what a press did and does."""


class Differences:
    """The differences of a pair of plans that can both be played."""

    def __init__(self, pair: Pair) -> None:
        assert pair.played
        self.pair = pair
        before, after = (side.every.class_of for side in pair.played)
        classes: dict[tuple[int, int], list[int]] = {}
        for held in hold_sets(pair.altgr):
            # A held key that does something by itself on one side makes its set a class of its own. If it does so on
            # both sides, nobody holds it.
            if held in before or held in after:
                classes.setdefault((before.get(held, ~held), after.get(held, ~held)), []).append(held)
        self._classes = tuple(classes.values())

    def of_key(self, usage: Usage, lock: Usage = NO_LOCK) -> Iterator[Difference]:
        """The presses of a key after a lock key was pressed."""
        results = self._results(usage, lock)
        yield from self._simplest(Press(usage, 0, lock), results, results, {})

    def _results(self, usage: Usage, lock: Usage) -> Results:
        """What a key did and does with each set of held keys; empty if nothing changed."""
        outcome = self.pair.outcome
        if usage in MODIFIER_BITS:
            own = 1 << MODIFIER_BITS[usage]
            sets = (held for held in hold_sets(self.pair.altgr) if not held & own)
            return {held: outcome(Press(usage, held, lock)) for held in sets}
        # Sets of held keys with the same meaning on both sides are computed once.
        some = [(held, outcome(Press(usage, held[0], lock))) for held in self._classes]
        if all(before == after for _, (before, after) in some):
            return {}
        return {held: both for sets, both in some for held in sets}

    def of_pairs(self, accent: str, usage: Usage) -> Iterator[Difference]:
        """The presses of a key after a dead key that were or are a pair with it."""
        results: dict[int, Both] = {}
        paired: dict[int, tuple[bool, bool]] = {}
        for held in hold_sets(self.pair.altgr):
            own = MODIFIER_BITS.get(usage)
            plain = not held & ~SHIFTS_AND_ALTGR and (self.pair.altgr or not held & bit(ALT_RIGHT))
            if plain and (own is None or not held >> own & 1):
                both, pairs = self.pair.after_dead_key(Press(usage, held), accent)
                if any(pairs):
                    results[held], paired[held] = both, pairs
        yield from self._simplest(Press(usage), results, results, paired)

    def _simplest(
        self, press: Press, results: Results, candidates: Results, paired: Mapping[int, tuple[bool, bool]]
    ) -> Iterator[Difference]:
        """The changed presses, without those that changed in the same way with one key less; sides are merged."""
        altgr = self.pair.altgr
        found: dict[tuple[object, ...], list[int]] = {}
        for held, (before, after) in candidates.items():
            if before == after or any(results.get(less) == (before, after) for _, less in with_one_fewer(held, altgr)):
                continue
            needless = _needless(results, held, 0, altgr), _needless(results, held, 1, altgr)
            found.setdefault((before, after, *needless, paired.get(held, (False, False))), []).append(held)
        for cell, sets in found.items():
            for held, either in without_sides(sets, altgr):
                yield Difference(press._replace(held=held), either, *cell)  # type: ignore[arg-type]


def needless(pair: Pair, press: Press, side: int) -> str | None:
    """The modifier without which a press does the same in the old plan (side 0) or the new one (1); None if none."""
    sets = (press.held, *(less for _, less in with_one_fewer(press.held, pair.altgr)))
    return _needless({held: pair.outcome(press._replace(held=held)) for held in sets}, press.held, side, pair.altgr)


def _needless(results: Results, held: int, side: int, altgr: bool) -> str | None:
    outcome = results[held][side]
    if not outcome:
        return None
    fewer = ((name, results.get(less)) for name, less in with_one_fewer(held, altgr))
    return next((name for name, both in fewer if both and both[side] == outcome), None)
