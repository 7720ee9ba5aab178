"""A plan with all that its strokes close together and how that is read: what most rules look at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from matrixmap.check.engine.closers import Realizer, find_closers
from matrixmap.check.engine.conflict_words import ConflictWords
from matrixmap.check.engine.conflicts import Conflict, find_masks, find_phantoms, find_pulls
from matrixmap.check.engine.lines import Line, needless_lines
from matrixmap.check.engine.strokes import PlanStrokes, make_strokes
from matrixmap.circuit.corners import corners_of
from matrixmap.model.machine import Wiring
from matrixmap.model.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanConflicts:
    """The strokes of a plan with its conflicts: sets of contacts that make a phantom, that mask each other, or `pulls`, that make one with switches of controllers.

    `by_keys` has the phantoms by the number of host keys pressed. `wording` puts them in words. `needless` are lines of the layout that change nothing, each with whether it loses to other lines everywhere.
    """

    strokes: PlanStrokes
    wording: ConflictWords
    phantoms: tuple[Conflict, ...]
    by_keys: Mapping[int, tuple[Conflict, ...]]
    masks: tuple[Conflict, ...]
    pulls: tuple[Conflict, ...]
    needless: tuple[tuple[Line, bool], ...]

    @property
    def plan(self) -> Plan:
        """The plan under check."""
        return self.strokes.plan


def find_conflicts(plan: Plan) -> PlanConflicts:
    """The plan with its conflicts; without any where neither the adapter's contacts nor a controller's let current run back."""
    strokes = make_strokes(plan)
    needless = tuple(needless_lines(plan))
    corners = corners_of(plan.layout.machine, plan.contacts)
    if corners is None and not any(each.wired is Wiring.CONTACT for each in plan.layout.machine.controllers):
        return PlanConflicts(
            strokes=strokes,
            wording=ConflictWords(strokes),
            phantoms=(),
            by_keys={},
            masks=(),
            pulls=(),
            needless=needless,
        )
    realizer = Realizer(find_closers(strokes))
    found: dict[int, list[Conflict]] = {}
    phantoms = tuple(find_phantoms(realizer, corners)) if corners else ()
    for conflict in phantoms:
        found.setdefault(len(conflict.how.items), []).append(conflict)
    return PlanConflicts(
        strokes=strokes,
        wording=ConflictWords(strokes),
        phantoms=phantoms,
        by_keys=MappingProxyType({keys: tuple(conflicts) for keys, conflicts in found.items()}),
        masks=tuple(find_masks(realizer, corners)) if corners else (),
        pulls=tuple(find_pulls(strokes, realizer, corners is not None)),
        needless=needless,
    )
