"""How a filter of an inductor and a capacitor in a supply behaves: corner, damping, peak, attenuation, drop and inrush.

    supply ---- L, R ----+---- load
                         |
                    r, C to ground

All formulas follow from Kirchhoff's laws for this circuit: L i' = -R i - v and C u' = i - (load), v = u + r (i - load).
The circuit is linear and of the second order. The load is a current that does not depend on the voltage, as behind a
regulator, so it damps nothing. This share of the supply's alternating voltage passes, and the same share of the load's
alternating current:

    H(s) = (1 + s r C) / (1 + s (R + r) C + s^2 L C)

- corner 1 / (2 pi sqrt(L C)), damping (R + r) / 2 sqrt(C / L): coefficients of the denominator against
  s^2 + 2 d w s + w^2.
- peak: |H|^2 = (1 + a x) / ((1 - x)^2 + b x) with x = (f / corner)^2, a = r^2 C / L, b = (R + r)^2 C / L is largest
  where a x^2 + 2 x = a + 2 - b.
- drop after a step of the load by I: I (R + e^(-k t) (A cos w t + B sin w t)). It begins at r I with the slope
  I / C - r^2 I / L, and ends at R I; k = (R + r) / 2 L, w^2 = 1 / L C - k^2. It is largest where its slope is 0.
- inrush after the supply is switched on to an empty capacitor: V / (L w) e^(-k t) sin w t, largest at tan w t = w / k.
  If that is more than the inductor can carry before it saturates, V / (R + r) is the most that can flow.

If w is imaginary, sine and cosine become hyperbolic. Each answer is the worst of all corners of the values; it is not
proven that no point between them is worse.
"""

from __future__ import annotations

from cmath import exp as cexp
from cmath import sqrt as csqrt
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import atan2, atanh, hypot, inf, log10, pi, sqrt
from typing import NamedTuple

from matrixmap.board.nets import MACHINE, SUPPLY, Board, Groups, pins_joined
from matrixmap.model.boards.adapter import PartUse, Passive, Pin
from matrixmap.model.values.electric import Interval


class Filter(NamedTuple):
    """The values of a filter at a point: henries, farads, ohms of the inductor and of the capacitor."""

    henries: float
    farads: float
    ohms: float
    esr: float

    @property
    def corner_hz(self) -> float:
        """The frequency at which the filter begins to work."""
        return 1 / (2 * pi * sqrt(self.henries * self.farads))

    @property
    def damping(self) -> float:
        """The damping: 1 is the least at which nothing swings."""
        return (self.ohms + self.esr) / 2 * sqrt(self.farads / self.henries)

    def gain(self, hertz: float) -> float:
        """The share of the supply's alternating voltage, or the load's current, that passes; infinite without limit."""
        w = 2 * pi * hertz
        top = hypot(1, w * self.esr * self.farads)
        bottom = hypot(1 - w * w * self.henries * self.farads, w * (self.ohms + self.esr) * self.farads)
        return top / bottom if bottom else inf

    def peak(self) -> tuple[float, float]:
        """The largest gain, and its hertz; 1 at 0 if there is no peak, infinite at the corner if nothing damps."""
        if not self.ohms + self.esr:
            return inf, self.corner_hz
        a = self.esr**2 * self.farads / self.henries
        b = (self.ohms + self.esr) ** 2 * self.farads / self.henries
        under = 1 + a * (a + 2 - b)
        x = (a + 2 - b) / (1 + sqrt(under)) if under >= 0 else 0.0
        if x <= 0:
            return 1.0, 0.0
        hertz = self.corner_hz * sqrt(x)
        return self.gain(hertz), hertz

    @property
    def _decay(self) -> tuple[float, complex]:
        k = (self.ohms + self.esr) / (2 * self.henries)
        w = csqrt(1 / (self.henries * self.farads) - k * k)
        # If both are equal, a millionth more swing gives the same result in all digits that count.
        return k, w if abs(w) > 1e-6 * k else complex(1e-6 * k, 0)

    def drop(self, amps: float) -> float:
        """The most volts by which the load's supply falls after its current has risen by some amperes."""
        k, w = self._decay
        first = self.esr - self.ohms
        slope = 1 / self.farads - self.esr**2 / self.henries
        second = (slope + k * first) / w
        best = max(self.esr, self.ohms)
        for seconds in _tops(complex(slope), k * second + w * first, w):
            swing = first * _cos(w * seconds) + second * _sin(w * seconds)
            best = max(best, self.ohms + (cexp(-k * seconds) * swing).real)
        return amps * best

    def inrush(self, volts: float) -> float:
        """The most amperes after the supply is switched on to an empty capacitor, if the inductor does not saturate."""
        k, w = self._decay
        seconds = atan2(w.real, k) / w.real if w.real else atanh(w.imag / k) / w.imag
        return volts * (cexp(-k * seconds) * _sin(w * seconds) / (self.henries * w)).real

    def most_inrush(self, volts: float) -> float:
        """The amperes that no inrush exceeds, whatever the inductor does."""
        return volts / (self.ohms + self.esr) if self.ohms + self.esr else inf


def _sin(value: complex) -> complex:
    return (cexp(1j * value) - cexp(-1j * value)) / 2j


def _cos(value: complex) -> complex:
    return (cexp(1j * value) + cexp(-1j * value)) / 2


def _tops(slope: complex, other: complex, w: complex) -> Iterator[float]:
    """The first two times after 0 at which slope cos(w t) = other sin(w t)."""
    if w.real:
        first = atan2(slope.real, other.real) / w.real
        yield from (at for at in (first, first + pi / w.real, first + 2 * pi / w.real) if at > 0)
    else:
        ratio = (slope / (other / 1j)).real if other else 2.0
        if abs(ratio) < 1:
            seconds = atanh(ratio) / w.imag
            if seconds > 0:
                yield seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """A filter on a board: its parts, the volts at its input, what it feeds, and what is missing.

    The loads draw `milliamps`, and `step_ma` more for a moment, `bursts_khz` times a millisecond. `needs_v` is the
    least that the loads need. `left_out` are smaller capacitors. `points` are the corners of its values; there are none
    if some are missing.
    """

    inductor: PartUse
    capacitor: PartUse | None
    volts: float
    loads: tuple[str, ...]
    milliamps: float
    step_ma: float | None
    bursts_khz: float | None
    needs_v: float | None
    left_out: tuple[str, ...]
    missing: tuple[tuple[PartUse, str], ...]
    points: tuple[Filter, ...]

    @property
    def step_amps(self) -> float:
        """The step that is considered: the jump of the loads, or everything that they draw."""
        return (self.milliamps if self.step_ma is None else self.step_ma) / 1000

    @property
    def drop_v(self) -> float:
        """The most volts that the load loses, by its steady current and by a step."""
        steady = self.milliamps / 1000
        return max(point.drop(self.step_amps) + point.ohms * steady for point in self.points)

    @property
    def peak(self) -> tuple[float, float]:
        """The largest gain of all corners, and where."""
        return max(point.peak() for point in self.points)

    @property
    def attenuation_db(self) -> float | None:
        """Decibels by which the loads' bursts are at least weaker in front of the filter; None without their pace."""
        if self.bursts_khz is None:
            return None
        return min(-20 * log10(point.gain(self.bursts_khz * 1000)) for point in self.points)

    @property
    def inrush_a(self) -> tuple[float, bool]:
        """The most amperes at switching on, and whether the inductor saturates: then what the resistances allow."""
        swings = max(point.inrush(self.volts) for point in self.points)
        most = self.inductor.values.saturation_ma
        if most is None or swings * 1000 <= most:
            return swings, False
        return max(point.most_inrush(self.volts) for point in self.points), True

    def damped_by(self, damping: float = 0.5) -> float:
        """The ohms in series with the capacitor for this damping in every corner; 0.5 gives a peak just over 1."""
        return max(2 * damping * sqrt(each.henries / each.farads) - each.ohms - each.esr for each in self.points)


def supplies_of(board: Board) -> tuple[Supply, ...]:
    """The filters between a supply and what it feeds: an inductor with the supply at one end."""
    traced = _Traced(board)
    return tuple(
        found
        for use in board.adapter.parts.values()
        if use.part.passive is Passive.INDUCTOR
        for ends in use.part.elements
        if (found := traced.filter(use, ends)) is not None
    )


class _Traced:
    """The nets of a board with inductors left out."""

    def __init__(self, board: Board) -> None:
        self.board = board
        joined = pins_joined(board.adapter, board.connector, board.header, board.pairs, {Passive.JUMPER})
        self.groups = Groups(*joined)

    def filter(self, use: PartUse, ends: tuple[str, str]) -> Supply | None:
        """The filter that an inductor begins; None unless a supply is at exactly one of its ends."""
        sides = [self.groups.of(Pin(use.ref, end)) for end in ends]
        volts = [self._volts(side) for side in sides]
        if (volts[0] is None) == (volts[1] is None):
            return None
        load, given = (sides[1], volts[0]) if volts[0] is not None else (sides[0], volts[1])
        assert given is not None
        fed = [
            (self.board.shown(pin), power)
            for pin in self.groups.members(load)
            if pin.ref in self.board.adapter.parts
            and (power := self.board.adapter.part(pin).power.get(pin.number)) is not None
            and power.takes_v is not None
        ]
        across = self._capacitors(load)
        largest = across[0] if across else None
        small = [each.ref for each in across[1:]]
        missing = [(use, "microhenries")] if use.values.microhenries is None else []
        missing += [(use, "series_ohms")] if use.values.series_ohms is None else []
        if largest is not None:
            missing += [
                (largest, name) for name in ("microfarads", "series_ohms") if getattr(largest.values, name) is None
            ]
        steps = [power.burst_ma for _, power in fed if power.burst_ma is not None]
        paces = [power.burst_khz for _, power in fed if power.burst_khz is not None]
        return Supply(
            inductor=use,
            capacitor=largest,
            volts=given,
            loads=tuple(name for name, _ in fed),
            milliamps=sum(power.draws_ma for _, power in fed),
            step_ma=sum(steps) if steps else None,
            bursts_khz=min(paces, default=None),
            needs_v=max((power.takes_v[0] for _, power in fed if power.takes_v), default=None),
            left_out=tuple(small),
            missing=tuple(missing),
            points=() if missing or largest is None else tuple(_points(use, largest)),
        )

    def _volts(self, group: Pin) -> float | None:
        for pin in self.groups.members(group):
            if pin.ref == MACHINE:
                if self.board.connector.pins[int(pin.number) - 1] == SUPPLY:
                    return self.board.electric.supply_v
            elif (
                power := self.board.adapter.part(pin).power.get(pin.number)
            ) is not None and power.gives_v is not None:
                return power.gives_v
        return None

    def _capacitors(self, load: Pin) -> list[PartUse]:
        """The capacitors from a group to ground, the largest first; those without a value come before all others."""
        ground = {self.board.near.of(group) for group in self.board.ground}
        found = []
        for use in self.board.adapter.parts.values():
            for ends in use.part.elements if use.part.passive is Passive.CAPACITOR else ():
                here = [self.groups.of(Pin(use.ref, end)) == load for end in ends]
                there = [self.board.near.of(Pin(use.ref, end)) in ground for end in ends]
                if (here[0] and there[1]) or (here[1] and there[0]):
                    found.append(use)
        known = [use for use in found if use.values.microfarads is not None]
        return sorted(known, key=_largest) or found[:1]


def _largest(use: PartUse) -> float:
    return -(use.values.microfarads or Interval(0, 0)).most


def _points(inductor: PartUse, capacitor: PartUse) -> Iterator[Filter]:
    values = (inductor.values.microhenries, capacitor.values.microfarads, inductor.values.series_ohms)
    esr = capacitor.values.series_ohms
    ends = [each for each in (*values, esr) if each is not None]
    for henries, farads, ohms, own in product(*(sorted(set(each)) for each in ends)):
        yield Filter(henries / 1e6, farads / 1e6, ohms, own)
