"""A machine that scans: what it reads from a story of closed contacts, whatever the phase of its scan."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from operator import or_

Masks = tuple[int, ...]


@lru_cache(maxsize=4096)
def read_lines(masks: Masks) -> list[int]:
    """What each strobed select line reads without diodes: all sense lines of its connected part.

    Lines are joined by closed contacts; select lines that are not strobed float.
    """
    read = []
    for start, _ in enumerate(masks):
        lines, sense, grown = {start}, 0, True
        while grown:
            grown = False
            for line in list(lines):
                sense |= masks[line]
            for line, mask in enumerate(masks):
                if line not in lines and mask & sense:
                    lines.add(line)
                    grown = True
        read.append(sense)
    return read


def phantoms(masks: Sequence[int]) -> frozenset[tuple[int, int]]:
    """Crosspoints read closed though no switch there is; of 17 masks the last has the direct lines, which have none."""
    return frozenset(
        (line, bit)
        for line, (read, mask) in enumerate(zip(read_lines(tuple(masks[:16])), masks, strict=False))
        for bit in range(16)
        if (read & ~mask) >> bit & 1
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Keystroke:
    """A key that the machine took, with the modifier crosspoints that it read in that sweep."""

    key: tuple[int, int]
    modifiers: frozenset[tuple[int, int]]


@dataclass(slots=True, kw_only=True)
class Machine:
    """Reads select line by select line within `sweep` ticks, every `period`.

    A key counts as down after `down` equal samples and as up after `up`. With more than `rollover` keys down it loses a
    new one (0: no limit). If it compares `whole` scans, only a scan that is equal to the one before in all that it reads
    counts as an equal sample, of every key. A key that has been down for `repeat` scans types once more (0: never).
    """

    period: int
    sweep: int
    down: int
    up: int
    rollover: int
    modifiers: frozenset[tuple[int, int]]
    select: int = 8
    whole: bool = False
    repeat: int = 0

    def read(self, changes: Sequence[tuple[int, Masks]], phase: int, end: int) -> list[Keystroke]:
        """The keystrokes read from changes `(time, masks)` by a scan that starts at `phase`."""
        times = [at for at, _ in changes]
        runs: dict[tuple[int, int], int] = {}
        held: set[tuple[int, int]] = set()
        lost: set[tuple[int, int]] = set()
        ages: dict[tuple[int, int], int] = {}
        last: set[tuple[int, int]] = set()
        taken = []
        for start in range(phase, end, self.period):
            sample: set[tuple[int, int]] = set()
            for line in range(self.select):
                masks = changes[bisect_right(times, start + line * self.sweep // self.select) - 1][1]
                read = read_lines(masks[: self.select])[line]
                if read:
                    sample |= {(line, bit) for bit in range(16) if read >> bit & 1}
            modifiers = frozenset(sample & self.modifiers)
            if self.whole and sample != last:
                runs.clear()
            last = sample
            for key in sorted((sample | runs.keys() | held | lost) - self.modifiers):
                runs[key] = max(runs.get(key, 0), 0) + 1 if key in sample else min(runs.get(key, 0), 0) - 1
                if key not in held | lost and runs[key] >= self.down:
                    if self.rollover and len(held | lost) >= self.rollover:
                        lost.add(key)
                    else:
                        held.add(key)
                        taken.append(Keystroke(key=key, modifiers=modifiers))
            for key in list(held | lost):
                if runs[key] <= -self.up:
                    held.discard(key)
                    lost.discard(key)
            ages = {key: ages.get(key, -1) + 1 for key in held}
            for key, age in ages.items():
                if self.repeat and age and age % self.repeat == 0:
                    taken.append(Keystroke(key=key, modifiers=modifiers))
        return taken


@lru_cache(maxsize=4096)
def read_pulled(joined: Masks, pulls: Masks) -> list[int]:
    """The sense lines that read low with each select line strobed: a search from the strobed line and the pulled ones.

    `joined` are the sense lines that closed contacts join to each select line, `pulls` those that are pulled low with it.
    """
    read = []
    for start, low in enumerate(pulls):
        lines = {start}
        senses: set[int] = set()
        left = [("select", start), *(("sense", bit) for bit in range(16) if low >> bit & 1)]
        while left:
            side, number = left.pop()
            if side == "select":
                lines.add(number)
                left += [("sense", bit) for bit in range(16) if joined[number] >> bit & 1 and bit not in senses]
            elif number not in senses:
                senses.add(number)
                left += [
                    ("select", line) for line, mask in enumerate(joined) if mask >> number & 1 and line not in lines
                ]
        read.append(sum(1 << bit for bit in senses))
    return read


@lru_cache(maxsize=4096)
def pulled_phantoms(joined: Masks, pulls: Masks) -> frozenset[tuple[int, int]]:
    """Crosspoints read closed though no switch is there, nor any that pulls their sense line low with their select line."""
    read = read_pulled(joined, pulls)
    return frozenset(
        (line, bit)
        for line, (low, own) in enumerate(zip(read, map(or_, joined, pulls), strict=True))
        for bit in range(16)
        if (low & ~own) >> bit & 1
    )
