"""How far one value may change, with the others unchanged, before something is no longer certain.

This shows which change would be enough. Each answer is found by halving, rounded to three digits towards the safe side,
and checked once more in its rounded form.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import floor, log10

from matrixmap.margins.facts import ContactFacts, Facts, LineFacts
from matrixmap.margins.network import Junction, ShortError, Span, fraction
from matrixmap.margins.shapes import Kinds, Shape
from matrixmap.margins.table import closed_boxes
from matrixmap.margins.times import rising
from matrixmap.margins.worst import CycleError, most_drop

HALVINGS = 24
WIDEST = Fraction(10**6)
"""How far from its present value a value is looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A value with which something holds, the others unchanged: at most `value` if `most`, else at least; None: none.

    `now` is the present value at that end; `unit` is V, ohms, pF or m.
    """

    holds: str
    change: str
    most: bool
    value: float | None
    now: float
    unit: str

    @property
    def is_kept(self) -> bool:
        """Whether the present value is within the limit."""
        return self.value is not None and (self.now <= self.value if self.most else self.now >= self.value)


PRESSES = "every press is surely read"
NEVER = "no phantom is ever read"
OPEN = "an open line surely reads high"
RISEN = "a line is up again before the next read"

Change = Callable[[Facts, Fraction], Facts]


def _pull_up_least(facts: Facts, ohms: Fraction) -> Facts:
    return replace(facts, pull_up=Span(ohms, max(ohms, facts.pull_up.most)))


def _pull_up_most(facts: Facts, ohms: Fraction) -> Facts:
    return replace(facts, pull_up=Span(min(ohms, facts.pull_up.least), ohms))


def _contacts(facts: Facts, change: Callable[[ContactFacts], ContactFacts]) -> Facts:
    crosspoints = len(facts.selects) * len(facts.senses)
    made = {at: change(each) if at < crosspoints else each for at, each in facts.contacts.items()}
    return replace(facts, contacts=made)


def _ohms_most(facts: Facts, ohms: Fraction) -> Facts:
    return _contacts(facts, lambda each: replace(each, ohms=Span(min(ohms, each.ohms.least), ohms)))


def _ohms_least(facts: Facts, ohms: Fraction) -> Facts:
    return _contacts(facts, lambda each: replace(each, ohms=Span(ohms, max(ohms, each.ohms.most))))


def _driver(facts: Facts, volts: Fraction) -> Facts:
    return replace(facts, driver_v=Span(min(volts, facts.driver_v.least), volts))


def _emission(facts: Facts, emission: Fraction) -> Facts:
    def change(contact: ContactFacts) -> ContactFacts:
        made = tuple(
            each._replace(emission=Span(min(emission, each.emission.least), emission)) for each in contact.diodes
        )
        return replace(contact, diodes=made)

    return _contacts(facts, change)


def _farads(facts: Facts, farads: Fraction) -> Facts:
    def line(each: LineFacts) -> LineFacts:
        return replace(each, farads=Span(min(each.farads.least, farads), farads))

    return replace(facts, senses=tuple(map(line, facts.senses)), selects=tuple(map(line, facts.selects)))


@dataclass(frozen=True)
class Limits:
    """Looks for limits around the facts of a board.

    `parts` has one part of each shape that can be closed, as a mask; `phantoms` has one of each shape of three contacts
    that make a phantom.
    """

    facts: Facts
    width: int
    parts: tuple[int, ...]
    phantoms: tuple[int, ...]

    def _all(self, facts: Facts, parts: Iterable[int]) -> Iterator[tuple[Kinds, Shape]]:
        kinds = Kinds(facts, self.width)
        return ((kinds, kinds.shape(part)) for part in parts)

    def presses(self, facts: Facts) -> bool:
        """Whether each contact of each block is surely read, by its volts."""
        for kinds, shape in self._all(facts, self.parts):
            for box, node in closed_boxes(kinds, shape):
                worst = box.worst(node, True)
                if worst.value is None or worst.value > facts.low:
                    return False
        return True

    def never(self, facts: Facts) -> bool:
        """Whether the fourth corner of three contacts surely reads high."""
        for kinds, shape in self._all(facts, self.phantoms):
            select, sense = shape.open_corner
            worst = kinds.box(shape, select).worst(f"N{sense}", False)
            if worst.value is None or worst.value < facts.high:
                return False
        return True

    def open_line(self, facts: Facts) -> bool:
        """Whether a line without closed contacts surely reads high."""
        kinds = Kinds(facts, self.width)
        lowest = (kinds.open_line(line).worst("N0", False).value for line in dict.fromkeys(facts.senses))
        return all(each is not None and each >= facts.high for each in lowest)

    def risen(self, facts: Facts) -> bool:
        """Whether each sense line is high again when the next line is read."""
        until = facts.to_next or facts.to_read
        return until is not None and all(
            _longest(kinds, shape) <= until for kinds, shape in self._all(facts, self.parts)
        )

    def _slowest_risen(self, facts: Facts) -> bool:
        """The same for the one part that now takes longest: faster, and only a first guess."""
        until = facts.to_next or facts.to_read
        kinds = Kinds(facts, self.width)
        return until is not None and _longest(kinds, kinds.shape(self._slowest)) <= until

    @cached_property
    def _slowest(self) -> int:
        kinds = Kinds(self.facts, self.width)
        return max(self.parts, key=lambda part: _longest(kinds, kinds.shape(part)))

    def all(self, timed: bool = True) -> Iterator[Limit]:
        """The limits, by what they ensure; those of times only if everything that they need is known (`timed`)."""
        facts = self.facts
        now = [each for at, each in facts.contacts.items() if at < len(facts.selects) * len(facts.senses)]
        if facts.how != "follows-select" and now:
            ohms = Span(min(each.ohms.least for each in now), max(each.ohms.most for each in now))
            yield self._limit(PRESSES, self.presses, "ohms of a contact", _ohms_most, True, ohms.most)
            yield self._limit(
                PRESSES, self.presses, "pull-up of the machine", _pull_up_least, False, facts.pull_up.least
            )
            volts = facts.driver_v.most
            yield self._limit(PRESSES, self.presses, "low voltage of the driver", _driver, True, volts, "V")
            yield from self._diode(now)
            if self.phantoms:
                yield self._limit(NEVER, self.never, "ohms of a contact", _ohms_least, False, ohms.least)
        yield self._limit(OPEN, self.open_line, "pull-up of the machine", _pull_up_most, True, facts.pull_up.most)
        if timed and (facts.to_next or facts.to_read):
            yield self._risen("pull-up of the machine", _pull_up_most, facts.pull_up.most)
            yield from self._capacitance()

    def _diode(self, now: list[ContactFacts]) -> Iterator[Limit]:
        """The most that a diode may drop at the most current through it, found by making it worse or better."""
        with_diode = [each for each in now if each.diodes]
        if not with_diode:
            return
        diode = with_diode[0].diodes[0]
        words = "a diode's drop"
        found = self._limit(PRESSES, self.presses, words, _emission, True, diode.emission.most, "V", Fraction(30))
        amps = (self.facts.supply.most - self.facts.low) / self.facts.pull_up.least
        scale = most_drop_of(diode.saturation, amps)
        value = None if found.value is None else floor(found.value * scale * 1000) / 1000
        yield replace(found, value=value, now=round(float(diode.emission.most) * scale, 3))

    def _capacitance(self) -> Iterator[Limit]:
        """The most farads of a line, and how long a cable may then be."""
        farads = max(line.farads.most for line in (*self.facts.senses, *self.facts.selects)) or Fraction(1, 10**12)
        found = self._risen("capacitance of a line", _farads, farads)
        pico = replace(
            found,
            unit="pF",
            now=found.now * 1e12,
            value=None if found.value is None else rounded(found.value * 1e12, True),
        )
        yield pico
        metres, cable = self.facts.metres, self.facts.cable.most
        if metres and cable and pico.value is not None:
            per_metre = float(cable) * 1e12 / metres
            longest = rounded((pico.value - pico.now) / per_metre + metres, True)
            yield replace(pico, change="length of the cable", unit="m", now=metres, value=max(0.0, longest))

    def _risen(self, words: str, change: Change, now: Fraction) -> Limit:
        guess = self._limit(RISEN, self._slowest_risen, words, change, True, now)
        if guess.value is not None and self.risen(change(self.facts, fraction(guess.value))):
            return guess
        return self._limit(RISEN, self.risen, words, change, True, now)

    def _limit(
        self,
        holds: str,
        check: Callable[[Facts], bool],
        change_words: str,
        change: Change,
        most: bool,
        now: Fraction,
        unit: str = "ohms",
        widest: Fraction = WIDEST,
    ) -> Limit:
        """The last value that suffices, seen from the side where everything holds."""

        def fine(value: Fraction) -> bool:
            try:
                return check(change(self.facts, value))
            except (CycleError, ShortError):
                return False

        start = now or Fraction(1, 1000)
        good, bad = (start / widest, start * widest) if most else (start * widest, start / widest)
        found: float | None = None
        if fine(good):
            if fine(bad):
                good = bad
            for _ in range(HALVINGS):
                middle = Fraction(float(good * bad) ** 0.5)
                if abs(float(good / bad) - 1) < 1e-4:
                    break
                good, bad = (middle, bad) if fine(middle) else (good, middle)
            found = rounded(float(good), most)
            while not fine(fraction(found)):
                found = rounded(found * (0.998 if most else 1.002), most)
        return Limit(holds=holds, change=change_words, most=most, value=found, now=float(now), unit=unit)


def _longest(kinds: Kinds, shape: Shape) -> float:
    """Seconds after which each sense line of a part is surely high again."""
    settling = rising(kinds, shape, 0)
    lines = 1 if shape.is_uniform else len(shape.senses)
    return max(settling.bound(f"N{at}", kinds.facts.high) for at in range(lines))


def most_drop_of(saturation: Span, amps: Fraction) -> float:
    """The volts that a diode drops at a current for each unit of its emission coefficient."""
    one = Span(Fraction(1), Fraction(1))
    return float(most_drop(Junction("", "", "", saturation, one), amps))


def rounded(value: float, down: bool) -> float:
    """A value with three digits, rounded down or up."""
    if value <= 0:
        return 0.0
    step = 10 ** (floor(log10(value)) - 2)
    count = value / step
    whole = floor(count + 1e-9) if down else -floor(-count + 1e-9)
    return float(f"{whole * step:.6g}")
