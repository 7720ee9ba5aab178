"""Keys that are held together: which changes would let them all be read, found by trying."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from matrixmap.check.engine.holding import Fate, HeldKey, Holding, PhantomCause, Status, phantom_causes
from matrixmap.circuit.diodes import diodes_needed
from matrixmap.join.plan import compile_plan
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Plan
from matrixmap.press.rules import Rules


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """A change of the layout, as a line of its file, and what happens to the keys with it."""

    line: str
    holding: Holding


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Some keys held together, played in every order.

    `holding` is with the layout as it is, `bare` without guard and rollover, `resumed` with `resume: on`. `cures` are
    the changes that were tried; there are none if nothing needs one. `unguarded` is with the guard off and the rollover
    in force. `diodes` are the fewest contacts that then need a diode so that nothing else is read; the others are plain
    switches.
    """

    plan: Plan
    holding: Holding
    bare: Holding
    resumed: Holding
    unguarded: Holding
    causes: tuple[PhantomCause, ...]
    cures: tuple[Cure, ...]
    diodes: tuple[Contact, ...]


def hold(plan: Plan, keys: Sequence[HeldKey]) -> Held:
    """What happens to keys that are held together. TableError if no table can hold the plan."""
    rules = Rules(plan)
    holding, bare = Holding(rules, keys), Holding(Rules(plan, rules.table, limits=False), keys)
    unguarded = Holding(Rules(replace(plan, guard=False)), keys) if plan.guard else holding
    plain = plan.contacts is Contacts.SWITCH
    needed = diodes_needed(plan.layout.machine, unguarded.all_moments()) if plain else frozenset()
    layout = plan.layout
    resumes = plan if layout.resumes else compile_plan(replace(layout, resumes=True))
    return Held(
        plan=plan,
        holding=holding,
        bare=bare,
        resumed=holding if layout.resumes else Holding(Rules(resumes), keys),
        unguarded=unguarded,
        causes=phantom_causes(bare),
        cures=() if holding.is_whole else tuple(_cures(plan, keys, unguarded)),
        diodes=tuple(sorted(needed)),
    )


def _cures(plan: Plan, keys: Sequence[HeldKey], unguarded: Holding) -> list[Cure]:
    found = [Cure(line="guard: off", holding=unguarded)] if plan.guard else []
    for how in (Contacts.SWITCH_WITH_DIODE, Contacts.FOLLOWS_SELECT):
        if how is not plan.contacts:
            # On contacts that make no phantom, an explicit `guard` of the layout has nothing to do.
            changed = compile_plan(replace(plan.layout, contacts=how, guard=None))
            found.append(Cure(line=f"contacts: {how.value}", holding=Holding(Rules(changed), keys)))
    return found


def losses(holding: Holding) -> tuple[tuple[Fate, int], ...]:
    """What keeps keys from being closed, each with the number of orders in which it does, the most frequent first."""
    found: dict[Fate, int] = {}
    for group in holding.groups():
        for fate in {fate for fate in group.result.fates if fate.status in (Status.OPENED, Status.REFUSED)}:
            found[fate] = found.get(fate, 0) + len(group.orders)
    return tuple(sorted(found.items(), key=lambda each: -each[1]))


def lying_orders(holding: Holding) -> int:
    """The number of orders in which the machine reads, at some moment, a crosspoint that nothing closes."""
    return sum(len(group.orders) for group in holding.groups() if group.result.lies)
