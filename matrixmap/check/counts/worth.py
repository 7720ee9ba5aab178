"""What would change if the adapter closed its contacts in another way, counted with the plan that the layout then has.

A contact with a diode in series, or one that follows its select line, lets no current back. So, by the circuit, the
adapter's contacts make no phantom by themselves. Two things can be left, and they are counted: phantoms through the
plain contact of a controller, and strokes that the machine's own limit of keys refuses. For these the layout is
compiled anew, because a stroke chooses the key of a modifier by the phantoms that it would make.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

from matrixmap.check.counts.overlaps import Overlaps
from matrixmap.check.counts.tally import Tally, subsets
from matrixmap.check.engine.closers import Realizer, fed_bits, find_closers
from matrixmap.check.engine.conflicts import find_pulls
from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.strokes import PlanStrokes, is_refused, make_strokes
from matrixmap.circuit.following import following_of
from matrixmap.circuit.reading import ADAPTER_CONDUCTION, Conduction
from matrixmap.join.plan import compile_plan
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Machine, Wiring
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import TableError


class Wrong(NamedTuple):
    """What goes wrong because of the way that contacts are closed; the guard matters for `refused` only.

    `presses` of one key make a phantom, counted with each set of modifiers that the stroke lets pass, and so do
    `triples` of strokes; both as in Tally. `pairs` of keys make one with some set of modifier keys held, as in
    Overlaps. The runtime refuses `refused` presses of one key. `controllers` are sets of contacts and controllers'
    switches that make a phantom.
    """

    presses: int
    pairs: int
    triples: int
    refused: int
    controllers: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """Another way to close contacts: what goes wrong now, and what would go wrong then."""

    contacts: Contacts
    now: Wrong
    then: Wrong

    @property
    def ends(self) -> Wrong:
        """How much less would go wrong."""
        return Wrong(*(now - then for now, then in zip(self.now, self.then, strict=True)))


def find_worth(conflicts: PlanConflicts, counted: Tally, overlaps: Overlaps) -> tuple[Worth, ...]:
    """What each way to close contacts that lets no current back would change; none if the layout has such a way.

    `counted` and `overlaps` belong to the same plan. Also none if no table can hold the plan that the layout then
    has.
    """
    if ADAPTER_CONDUCTION[conflicts.plan.contacts] is not Conduction.BOTH:
        return ()
    now = Wrong(
        presses=counted.lying_strokes + counted.lying_held,
        pairs=overlaps.lying,
        triples=counted.lying_triples,
        refused=_refused(conflicts.strokes),
        controllers=len(conflicts.pulls),
    )
    ways = [how for how, conduction in ADAPTER_CONDUCTION.items() if conduction is Conduction.FORWARD]
    # The plan and the readings depend on the conduction alone, so one count serves all of these ways.
    then = _then(conflicts.plan, ways[0], now)
    return tuple(Worth(contacts=how, now=now, then=then) for how in ways) if then else ()


def worth_line(plan: Plan, ways: tuple[Worth, ...]) -> str | None:
    """One line of at most 200 characters: what diodes, or following the select line, would end. None for nothing.

    Pairs and triples of more keys than the machine tells apart are left out, because the runtime never closes that
    many. Following is left out if the machine reads too soon after a strobe.
    """
    if not ways or not any(ways[0].ends):
        return None
    ends, now, rollover = ways[0].ends, ways[0].now, plan.layout.machine.scan.rollover
    sets = [
        _many(count, word)
        for keys, count, word in ((2, ends.pairs, "pair"), (3, ends.triples, "triple"))
        if count and (rollover is None or rollover >= keys)
    ]
    what = [_many(ends.refused, "refused press")] if ends.refused else []
    # A press that makes a phantom is refused if the guard is on.
    what += [f"{_many(ends.presses, 'press')} with a phantom"] if ends.presses and not plan.guard else []
    what += [f"{' and '.join(sets)} with a phantom"] if sets else []
    what += [f"{ends.controllers} of {_many(now.controllers, 'conflict')} with controllers"] if ends.controllers else []
    if not what:
        return None
    *first, last = what
    listed = f"{', '.join(first)}, and {last}" if first else last
    return f"{_names(plan.layout.machine, ways)} would end {listed}; but see diodes-cost-margin"


def _names(machine: Machine, ways: tuple[Worth, ...]) -> str:
    time = machine.scan.strobe_to_read_us
    too_soon = time is not None and time < following_of(machine).us
    follows = any(way.contacts is Contacts.FOLLOWS_SELECT for way in ways) and not too_soon
    return "Diodes in the contacts, or follows-select," if follows else "Diodes in the contacts"


def _many(count: int, word: str) -> str:
    if count == 1:
        return f"1 {word}"
    return f"{count} {word}{'es' if word.endswith('s') else 's'}"


def _then(plan: Plan, how: Contacts, now: Wrong) -> Wrong | None:
    """What would go wrong if contacts let no current back; None if no table can hold that plan."""
    joined = any(controller.wired is Wiring.CONTACT for controller in plan.layout.machine.controllers)
    # Without phantoms, only more keys than the machine tells apart are refused, and those are refused now too.
    if not joined and not now.refused:
        return Wrong(0, 0, 0, 0, 0)
    try:
        strokes = make_strokes(compile_plan(replace(plan.layout, contacts=how)), ways=False)
    except TableError:
        return None
    pulls = find_pulls(strokes, Realizer(find_closers(strokes)), two_way=False) if joined else ()
    return Wrong(0, 0, 0, _refused(strokes) if now.refused else 0, sum(1 for _ in pulls))


def _refused(strokes: PlanStrokes) -> int:
    """The presses of one key that the runtime refuses: strokes alone, and with each set of further modifiers."""
    refused = sum(is_refused(strokes, item) for item in strokes.items)
    fed = fed_bits(strokes)
    for item in strokes.items:
        for bits in subsets(fed & ~(item.hold | item.lift)):
            if bits:
                refused += strokes.rules.refusal(item.held, item.held.wants(bits)) is not None
    return refused
