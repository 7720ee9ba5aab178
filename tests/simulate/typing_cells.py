"""Texts, links and scans to type through: the cells of a grid, each feasible or limited by something it names."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import product

from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress, Way
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.simulate.texts import Typing
from matrixmap.simulate.typing.reports import Link
from matrixmap.simulate.typing.typist import usual_style
from tests.project import shipped_plan

INTERVALS_US = (7500, 15000, 30000, 50000)
PERIODS_US = (16667, 20000, 60000)
RATE = Fraction(15)

PROSE = (
    "The Quillon 8 stands by the window of the harbour museum. Visitors type on keyboards from many countries, "
    'and each of them asks: "How do I type a bracket here?" Press Return; 10 PRINT (2 + 3) * 4, then RUN.\n'
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A report interval and link, and how the machine scans."""

    interval_us: int
    link: Link
    period_us: int
    samples: int

    def __str__(self) -> str:
        return f"{self.interval_us / 1000:g} ms {self.link.value}, scan {self.period_us / 1000:g} ms x {self.samples}"


CELLS = tuple(
    Cell(interval_us=interval, link=link, period_us=period, samples=samples)
    for interval, link, period, samples in product(INTERVALS_US, Link, PERIODS_US, (1, 2))
)


@cache
def plan_with_scan(id: str, period_us: int, samples: int) -> Plan:
    """A shipped layout on a machine that scans at another pace."""
    layout = shipped_plan(id).layout
    scan = replace(layout.machine.scan, period_us=period_us, samples_down=samples, samples_up=samples)
    return compile_plan(replace(layout, machine=replace(layout.machine, scan=scan)))


@cache
def ways_of(id: str) -> Mapping[str, tuple[Way, ...]]:
    """The ways to type of a shipped layout: the pace of its machine's scan changes none."""
    return ways_to_type(shipped_plan(id))


def presses_of(plan: Plan, text: str) -> tuple[KeyPress, ...]:
    """The easiest presses for each character; those that the layout cannot type are left out."""
    ways = ways_of(plan.id)
    names = ({"\n": "Enter"}.get(char, char) for char in text)
    return tuple(press for name in names if name in ways for press in ways[name][0])


def random_presses(plan: Plan, count: int, seed: int) -> tuple[KeyPress, ...]:
    """Presses for characters at random, one in eight twice in a row."""
    rng = random.Random(seed)
    ways = ways_of(plan.id)
    characters = sorted(name for name in ways if len(name) == 1)
    names: list[str] = []
    while len(names) < count:
        name = rng.choice(characters)
        names += [name] * (2 if rng.random() < 0.125 else 1)
    return tuple(press for name in names for press in ways[name][0])[:count]


def typing(plan: Plan, presses: Sequence[KeyPress], cell: Cell) -> Typing:
    """Fifteen keystrokes a second with rollover, through the link of a cell."""
    return Typing(
        plan=plan, presses=tuple(presses), style=usual_style(RATE), link=cell.link, interval_us=cell.interval_us
    )
