"""A plan with everything that its strokes close together and how that is read: the input of most rules."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType

from matrixmap.check.engine.closers import Realizer, find_closers
from matrixmap.check.engine.conflict_words import ConflictWords
from matrixmap.check.engine.conflicts import Conflict, find_masks, find_phantoms, find_pulls
from matrixmap.check.engine.lines import Line, needless_lines
from matrixmap.check.engine.printed import Printed, what_is_printed
from matrixmap.check.engine.strokes import PlanStrokes, make_strokes
from matrixmap.circuit.corners import corners_of
from matrixmap.model.machine import Wiring
from matrixmap.model.plan import Plan
from matrixmap.press.every import Every
from matrixmap.press.words import is_sided, way_words


class PlanConflicts:
    """The strokes of a plan with its conflicts; each kind is worked out when it is asked for."""

    def __init__(self, strokes: PlanStrokes) -> None:
        self.strokes = strokes
        self._corners = corners_of(strokes.plan.layout.machine, strokes.plan.contacts)

    @property
    def plan(self) -> Plan:
        """The plan under check."""
        return self.strokes.plan

    @cached_property
    def wording(self) -> ConflictWords:
        """Puts conflicts in words."""
        return ConflictWords(self.strokes)

    @cached_property
    def needless(self) -> tuple[tuple[Line, bool], ...]:
        """Lines of the layout that change nothing, each with whether it loses to other lines everywhere."""
        return tuple(needless_lines(self.plan))

    @cached_property
    def printed(self) -> Printed:
        """What is printed on the host's keys, and whether that is typed."""
        return what_is_printed(self.strokes)

    @cached_property
    def one_side(self) -> tuple[tuple[str, str], ...]:
        """What can be typed with only one side of a modifier, with its easiest press in words."""
        host = self.plan.layout.host
        return tuple(
            (text, way_words(host, ways[0]))
            for text, ways in self.strokes.typed.items()
            if any(is_sided(host, press) for press in ways[0])
        )

    @cached_property
    def _realizer(self) -> Realizer:
        return Realizer(find_closers(self.strokes))

    @cached_property
    def phantoms(self) -> tuple[Conflict, ...]:
        """Sets of three contacts that make a phantom; none if the adapter's contacts let no current back."""
        return tuple(find_phantoms(self._realizer, self._corners)) if self._corners else ()

    @cached_property
    def by_keys(self) -> Mapping[int, tuple[Conflict, ...]]:
        """The phantoms by the number of host keys pressed."""
        found: dict[int, list[Conflict]] = {}
        for conflict in self.phantoms:
            found.setdefault(len(conflict.how.items), []).append(conflict)
        return MappingProxyType({keys: tuple(conflicts) for keys, conflicts in found.items()})

    @cached_property
    def masks(self) -> tuple[Conflict, ...]:
        """Rectangles of four contacts, which mask each other."""
        return tuple(find_masks(self._realizer, self._corners)) if self._corners else ()

    @cached_property
    def pulls(self) -> tuple[Conflict, ...]:
        """Sets of contacts that make a phantom with switches of controllers.

        A plain contact that the adapter closes for a pad conducts as the adapter's other contacts do.
        """
        driven = self.plan.driven
        plain = any(
            each.wired is Wiring.CONTACT and not (driven and driven.drives(each.name))
            for each in self.plan.layout.machine.controllers
        )
        if self._corners is None and not plain:
            return ()
        return tuple(find_pulls(self.strokes, self._realizer, self._corners is not None))


def find_conflicts(plan: Plan, known: Every | None = None) -> PlanConflicts:
    """The plan with its conflicts. TableError if no table can hold it; `known` are its presses, else worked out."""
    return PlanConflicts(make_strokes(plan, known=known))
