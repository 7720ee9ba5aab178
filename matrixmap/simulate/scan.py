"""What does the scanning machine type when contacts close and open over time? This module answers exactly.

Times are exact integers in grains, a fraction of a microsecond that makes the period and the time between two select
lines whole. Select line k of n is read k * sweep / n after the scan begins; direct lines are read together with the
last one, after it. A key counts as pressed after `samples_down` equal scans and as released after `samples_up`. The
press types what the key types in the shift state that this same scan has read. The machine compares either each key by
itself, or everything that a scan reads, including modifiers. A contact that changes at the very moment of its reading
is read as it is after the change.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from itertools import pairwise
from math import lcm

from matrixmap.circuit.reading import adapter_points, read_matrix
from matrixmap.model.layout import Contacts
from matrixmap.model.legend import Legend
from matrixmap.model.machine import Contact, Debounce, Key, Machine, MoreKeys, Scan, ShiftState, Switch
from matrixmap.model.sequences import state_order
from matrixmap.press.compiled import bits
from matrixmap.press.turns import NOTHING_BEGUN, Turn, Turns

CACHED_SCANS = 4_096
"""The number of scan images that are cached with the keys in them."""


class Finds(Enum):
    """Which keys a scan finds.

    FIRST_FOUND: the first closed keys in the order of lines, up to the rollover. LAST_PRESSED: every closed key, as
    long as there are no more than the rollover. A scan with more is ignored, and a key counts as pressed only when
    the releases of others have made room. NONE_FOUND: the same, but a scan with more finds none, so that all are
    released. Modifiers and direct lines are always read.
    """

    FIRST_FOUND = "first-found"
    LAST_PRESSED = "last-pressed"
    NONE_FOUND = "none-found"


FINDS = {
    MoreKeys.FIRST: Finds.FIRST_FOUND,
    MoreKeys.KEPT: Finds.LAST_PRESSED,
    MoreKeys.RELEASED: Finds.NONE_FOUND,
}


def usual_finds(scan: Scan) -> Finds:
    """What the machine does with more keys than its rollover; if it may do several things, the first of them."""
    return FINDS[scan.with_more_keys[0]]


@dataclass(frozen=True, slots=True)
class Moment:
    """From this time on, in microseconds, exactly these contacts are closed.

    Of these, pads close `by_pads`. `pulled` are the crosspoints that read closed because pads pull a sense line low.
    Both are masks, bit n is contact n.
    """

    time_us: int
    contacts: frozenset[Contact]
    by_pads: int = 0
    pulled: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRead:
    """A press as the machine reads it: the time, the key, the shift state, and what it types (None: nothing).

    `waits`: it begins a sequence or the like. `completes`: how many reads before it belong to what it types.
    `by_pad`: its contact reads closed because of pads alone, no matter which keys are down.
    """

    time_us: int
    key: str
    state: ShiftState
    types: Legend | None
    waits: bool = False
    completes: int = 0
    by_pad: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """The scan in whole grains: `grain` a microsecond, `period` from scan to scan, `step` between select lines."""

    grain: int
    period: int
    step: int
    lines: int


def pace_of(scan: Scan, lines: int, slow_percent: float = 0) -> Pace:
    """The pace of a machine with a clock that is slow by this percentage (fast if negative).

    A microsecond has at least two grains, so that a phase fits between any two relevant moments.
    """
    slow = 1 + Fraction(str(slow_percent)) / 100
    period, step = scan.period_us * slow, scan.longest_sweep_us * slow / lines
    grain = 2 * lcm(period.denominator, step.denominator)
    return Pace(grain=grain, period=int(period * grain), step=int(step * grain), lines=lines)


def critical_phases(moments: Iterable[Moment], pace: Pace) -> tuple[int, ...]:
    """Phases in grains that show everything that any phase can show.

    The result changes only where a line is read at the very moment of a change. Between two such phases nothing
    changes, so these phases and one after each are enough.
    """
    edges = {
        (moment.time_us * pace.grain - line * pace.step) % pace.period
        for moment in moments
        for line in range(pace.lines)
    }
    return tuple(sorted(edges | {(edge + 1) % pace.period for edge in edges}))


class Reader:
    """Reads timelines as one machine does, with contacts closed in one way."""

    def __init__(self, machine: Machine, how: Contacts, finds: Finds | None = None, slow_percent: float = 0) -> None:
        self.machine = machine
        self.how = how
        self.finds = usual_finds(machine.scan) if finds is None else finds
        self.pace = pace_of(machine.scan, len(machine.select), slow_percent)
        self._keys: dict[Contact, Key] = {key.contact: key for key in machine.keys}
        modifiers = {name: modifier.name for modifier in machine.modifiers for name in modifier.keys}
        self._modifiers = {key.contact: modifiers[key.name] for key in machine.keys if key.name in modifiers}
        self._modifiers_act = bool(machine.acting)
        self._modifier_mask = sum(1 << contact for contact in self._modifiers)
        self._turns = Turns(machine)
        # Modifiers that are a stroke by themselves count as a key of their own, which is not a crosspoint.
        first = machine.crosspoints + len(machine.direct)
        alone = sorted(self._turns.alone, key=state_order)
        self._alone = {state: 1 << first + number for number, state in enumerate(alone)}
        self._states = {bit: state for state, bit in self._alone.items()}
        self._direct_mask = sum(self._states) | sum(
            1 << machine.crosspoints + line for line in range(len(machine.direct))
        )
        # Scans without change after which every press and release is certain.
        self._settled = machine.scan.samples_down + machine.scan.samples_up + 2
        self._wholes: dict[tuple[frozenset[Contact], int], int] = {}
        self._counted: dict[int, int] = {}
        # The contacts of all lines read before the line of an index; direct lines are read with the last.
        self._before = [(1 << line * len(machine.sense)) - 1 for line in range(len(machine.select))] + [-1]

    def image(self, contacts: frozenset[Contact], pulled: int = 0) -> int:
        """What all lines read while contacts are closed and pads pull crosspoints low: masks over all contacts."""
        found = self._wholes.get((contacts, pulled))
        if found is None:
            machine = self.machine
            lines = (machine.lines(contact) for contact in map(Contact, bits(pulled)))
            pulls = [Switch(function="", select=pair[0], sense=pair[1]) for pair in lines if pair]
            masks = read_matrix(adapter_points(machine, contacts, self.how), len(machine.select), pulls)
            found = sum(mask << select * len(machine.sense) for select, mask in enumerate(masks))
            found |= sum(1 << contact for contact in contacts if contact >= machine.crosspoints)
            self._wholes[contacts, pulled] = found
        return found

    def scans(self, moments: Sequence[Moment]) -> int:
        """The most scans that one reading of moments examines; of a long time without change, only the first ones."""
        period, most = self.pace.period, self._settled + 2
        times = [moment.time_us * self.pace.grain for moment in moments]
        return 2 * most + sum(min((after - before) // period + 1, most) for before, after in pairwise(times))

    def read(self, moments: Sequence[Moment], phase: int = 0, until_us: int | None = None) -> tuple[KeyRead, ...]:
        """The presses that are read, in the order in which they are typed.

        `moments` are in ascending order, with nothing closed before the first; `phase` is in grains. Reading continues
        for `until_us`, or long enough after the last moment for every press and release to be certain.
        """
        scan, pace = self.machine.scan, self.pace
        end = until_us * pace.grain if until_us is not None else _end(moments, pace) + self._settled * pace.period
        counter = self._counter()
        presses: list[KeyRead] = []
        turn = NOTHING_BEGUN
        compared, last = scan.debounce is Debounce.WHOLE, 0
        padded = any(moment.by_pads or moment.pulled for moment in moments)
        for start, whole in self._sweeps(moments, phase % pace.period, end):
            if compared and whole != last:
                counter.begin_anew()
                last = whole
            keys = self._counted.get(whole)
            if keys is None:
                if len(self._counted) >= CACHED_SCANS:
                    self._counted.clear()
                keys = self._counted[whole] = self._keys_in(whole)
            for contact in counter.take(keys):
                count = len(presses)
                turn = self._take(presses, turn, start, contact, whole)
                if padded and len(presses) > count:
                    presses[-1] = self._with_pads(presses[-1], contact, moments)
        return tuple(presses)

    def _with_pads(self, read: KeyRead, contact: int, moments: Sequence[Moment]) -> KeyRead:
        """A press, marked if its contact reads closed because of pads alone at that moment."""
        moment = moments[bisect_right(moments, read.time_us, key=lambda one: one.time_us) - 1]
        return replace(
            read, by_pad=bool(self.image(frozenset(map(Contact, bits(moment.by_pads))), moment.pulled) >> contact & 1)
        )

    def read_images(self, images: Sequence[int]) -> tuple[tuple[KeyRead, ...], ...]:
        """The presses read while images stay, one after the other, each long enough for all to be certain.

        An image is a mask of the contacts that read closed, as `image` returns it. For each image: the presses that it
        adds.
        """
        counter = self._counter()
        turn, found = NOTHING_BEGUN, []
        for whole in images:
            reads: list[KeyRead] = []
            keys = self._keys_in(whole)
            for _ in range(self._settled):
                for contact in counter.take(keys):
                    turn = self._take(reads, turn, 0, contact, whole)
            found.append(tuple(reads))
        return tuple(found)

    def held(self, image: int) -> int:
        """What counts as held in an image: of the matrix only modifiers, if too many keys release all."""
        rollover = self.machine.scan.rollover
        keys = self._keys_in(image) & ~self._direct_mask
        if self.finds is not Finds.NONE_FOUND or rollover is None or keys.bit_count() <= rollover:
            return image
        return image & ~keys

    def _counter(self) -> _FirstKey | _EveryKey:
        scan = self.machine.scan
        if self.finds is Finds.FIRST_FOUND and scan.rollover == 1:
            return _FirstKey(scan, self._direct_mask)
        return _EveryKey(scan, self._direct_mask, self.finds)

    def _take(self, presses: list[KeyRead], turn: Turn, start: int, contact: int, whole: int) -> Turn:
        """Adds what a contact types that is now certain as pressed; returns what the machine remembers then."""
        alone = self._states.get(1 << contact)
        if alone is not None:
            return self._turns.read(turn, None, alone, None).turn
        read = self._typed(start, contact, whole)
        if self._turns.any and Contact(contact) in self._keys:
            step = self._turns.read(turn, read.key, read.state, read.types)
            turn = step.turn
            read = replace(read, types=step.legend, waits=step.waits, completes=step.completes)
        presses.append(read)
        return turn

    def _sweeps(self, moments: Sequence[Moment], phase: int, end: int) -> Iterator[tuple[int, int]]:
        """Start and image of each sweep; a long time without change is cut once everything is settled."""
        pace = self.pace
        times = [moment.time_us * pace.grain for moment in moments]
        wholes = [self.image(frozenset()), *[self.image(moment.contacts, moment.pulled) for moment in moments]]
        # A sweep in progress at the first moment may see it.
        start = phase + (((times[0] if times else 0) - phase) // pace.period - 1) * pace.period
        index, quiet = 0, 0
        last = (pace.lines - 1) * pace.step
        while start < end:
            while index < len(times) and times[index] <= start:
                index, quiet = index + 1, 0
            following = times[index] if index < len(times) else end
            if following > start + last:
                yield start, wholes[index]
                quiet += 1
                if quiet > self._settled and following - start > pace.period:
                    start += (following - start) // pace.period * pace.period
                    continue
            else:
                yield start, self._mixed(times, wholes, start, index)
            start += pace.period

    def _mixed(self, times: list[int], wholes: list[int], start: int, index: int) -> int:
        """The image of a sweep during which contacts change: for each line, what is closed at its reading."""
        lines, step = self.pace.lines, self.pace.step
        whole = line = 0
        while line < lines:
            while index < len(times) and times[index] <= start + line * step:
                index += 1
            until = min(-(-(times[index] - start) // step), lines) if index < len(times) and step else lines
            whole |= wholes[index] & self._before[until] & ~self._before[line]
            line = until
        return whole

    def _keys_in(self, whole: int) -> int:
        """The keys in an image; modifiers count only if they are a stroke by themselves."""
        keys = whole & ~self._modifier_mask
        if not keys and self._alone:
            keys = self._alone.get(self._state(whole), 0)
        return keys or self._acting(whole)

    def _acting(self, whole: int) -> int:
        """The modifier's key that types something while only modifiers are read, as a mask."""
        if not self._modifiers_act:
            return 0
        acts = self.machine.acts(self._state(whole))
        return (1 << acts[0].contact) & whole if acts else 0

    def _state(self, whole: int) -> ShiftState:
        return frozenset(name for other, name in self._modifiers.items() if whole >> other & 1)

    def _typed(self, time: int, contact: int, whole: int) -> KeyRead:
        key = self._keys.get(Contact(contact))
        state = self._state(whole)
        line = min(contact // len(self.machine.sense), self.pace.lines - 1)
        return KeyRead(
            time_us=(time + line * self.pace.step) // self.pace.grain,
            key=key.name if key else self.machine.contact_name(Contact(contact)),
            state=state,
            types=key.types.get(state & key.selectors) if key else None,
        )


def _end(moments: Sequence[Moment], pace: Pace) -> int:
    return moments[-1].time_us * pace.grain if moments else 0


class _EveryKey:
    """Each key counts its own equal scans; the rollover limits how many are held at once."""

    def __init__(self, scan: Scan, direct: int, finds: Finds = Finds.LAST_PRESSED) -> None:
        self.scan = scan
        self.direct = direct
        self.finds = finds
        self.down = 0
        self.counts: dict[int, int] = {}
        self._least = min(scan.samples_down, scan.samples_up)

    def begin_anew(self) -> None:
        """Forgets the equal scans counted so far."""
        self.counts.clear()

    def take(self, keys: int) -> list[int]:
        """The contacts that one scan makes certain as pressed."""
        if self.finds is not Finds.LAST_PRESSED and self._too_many(keys):
            keys = self._found(keys)
        if keys == self.down and not self.counts:
            return []
        looked_at = self.direct if self._too_many(keys) else -1
        counts, changed = self.counts, keys ^ self.down
        for contact in [one for one in counts if looked_at & ~changed & 1 << one]:
            del counts[contact]
        most, rest = max(counts.values(), default=0), changed & looked_at
        while rest:
            contact = (rest & -rest).bit_length() - 1
            count = counts[contact] = counts.get(contact, 0) + 1
            most = max(most, count)
            rest &= rest - 1
        if most < self._least:
            return []
        # A release makes room for a press of the same scan.
        for contact in sorted(self.counts):
            if self.down >> contact & 1 and self.counts[contact] >= self.scan.samples_up:
                self.down ^= 1 << contact
                del self.counts[contact]
        return [contact for contact in sorted(self.counts) if self._press(contact)]

    def _found(self, keys: int) -> int:
        """What a scan finds if more keys than the rollover are closed: the first of them, or none."""
        found, rest = keys & self.direct, keys & ~self.direct
        for _ in range(self.scan.rollover or 0) if self.finds is Finds.FIRST_FOUND else ():
            found |= rest & -rest
            rest &= rest - 1
        return found

    def _press(self, contact: int) -> bool:
        """Whether a key is now certain as pressed: it is closed for long enough, and there is room for it."""
        down = self.down | 1 << contact
        if self.down >> contact & 1 or self.counts[contact] < self.scan.samples_down or self._too_many(down):
            return False
        self.down = down
        del self.counts[contact]
        return True

    def _too_many(self, keys: int) -> bool:
        rollover = self.scan.rollover
        return rollover is not None and (keys & ~self.direct).bit_count() > rollover


class _FirstKey:
    """The scan ends at the first closed key. Scans are equal if they find the same key, or none."""

    def __init__(self, scan: Scan, direct: int) -> None:
        self.scan = scan
        self.direct = direct
        self.lines = _EveryKey(scan, direct)
        self.current = self.candidate = -1
        self.count = 0

    def begin_anew(self) -> None:
        """Forgets the equal scans counted so far."""
        self.count = 0
        self.lines.begin_anew()

    def take(self, keys: int) -> list[int]:
        """The contacts that one scan makes certain as pressed."""
        inside = keys & ~self.direct
        found = (inside & -inside).bit_length() - 1
        self.count = self.count + 1 if found == self.candidate else 1
        self.candidate = found
        pressed = []
        if found != self.current and self.count >= (self.scan.samples_down if found >= 0 else self.scan.samples_up):
            self.current = found
            pressed = [found] if found >= 0 else []
        return pressed + self.lines.take(keys & self.direct)
