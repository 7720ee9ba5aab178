"""Closed contacts that join outputs which drive against each other: how much current flows, and the volts of the line.

Some machines drive their select lines high while they are not strobed. Then every two contacts on one sense line join a
high output to the strobed one, which is low. A rectangle of four joins them twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from matrixmap.margins.shapes import Kinds, Shape
from matrixmap.margins.table import words_of
from matrixmap.margins.worst import CycleError


@dataclass(frozen=True, slots=True, kw_only=True)
class Fight:
    """Outputs that are joined: the most amperes out of a high and into the low one (None: no limit), the line's volts.

    `limit` is what an output tolerates (None: not stated).
    """

    kind: str
    out: Fraction | None
    into: Fraction | None
    volts: Fraction | None
    limit: Fraction | None

    @property
    def is_over(self) -> bool:
        """Whether more flows than an output tolerates, or an unknown amount."""
        found = [each for each in (self.out, self.into) if each is not None]
        return len(found) < 2 or (self.limit is not None and max(found) > self.limit)


def fights_of(kinds: Kinds) -> Iterator[Fight]:
    """What two contacts on a sense line do, and four in a rectangle; nothing if lines that are not strobed float."""
    facts = kinds.facts
    crosspoints = [contact for contact in facts.contacts if contact < len(facts.selects) * len(facts.senses)]
    if facts.unselected is None or facts.how != "switch" or not crosspoints:
        return
    single = kinds.shape(1 << min(crosspoints))
    kind = single.points[0][2]
    for selects, senses in ((2, 1), (2, 2)):
        points = tuple((row, column, kind) for row in range(selects) for column in range(senses))
        box = kinds.box(Shape(single.selects * selects, single.senses * senses, points), 0)
        try:
            out, into, volts = (
                box.worst_into("high S1", most=False).value,
                box.worst_into("strobe").value,
                box.worst("N0", True).value,
            )
        except CycleError:
            continue
        yield Fight(
            kind=words_of((selects, senses)),
            out=None if out is None else -out,
            into=into,
            volts=volts,
            limit=facts.output_amps,
        )
