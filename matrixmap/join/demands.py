"""Strokes: which contacts a key and a shift state ask for, and what they demand of the modifiers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import product
from types import MappingProxyType

from matrixmap.circuit.reading import phantoms
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Key, Machine, ShiftState
from matrixmap.model.plan import Demand, Stroke


def make_stroke(
    machine: Machine,
    how: Contacts,
    keys: tuple[Key, ...],
    state: ShiftState,
    exact: bool,
    passed: frozenset[str] = frozenset(),
) -> Stroke:
    """The stroke that presses keys in a shift state.

    With `exact` it lifts each modifier that selects among what the keys type and is not in the state, except those in
    `passed`; without it, these pass. Modifiers that select nothing on these keys always pass.
    """
    if len(keys) == 1 and state and state in keys[0].types and (own := machine.modifier_of(keys[0].name)):
        return _modifiers_alone(machine, how, keys[0], state | {own}, exact)
    if not keys and (acts := machine.acts(state)):
        return _modifiers_alone(machine, how, acts[0], state, exact)
    selectors = frozenset().union(*(key.selectors for key in keys)) if keys else frozenset()
    demands = []
    for modifier in machine.modifiers:
        if modifier.name in passed:
            demands.append(Demand.PASS)
        elif modifier.name in state:
            demands.append(Demand.HOLD)
        else:
            lifts = exact and modifier.name in selectors
            demands.append(Demand.LIFT if lifts else Demand.PASS)
    contacts = tuple(key.contact for key in keys)
    held = [modifier.name for modifier, demand in zip(machine.modifiers, demands, strict=True) if demand is Demand.HOLD]
    typed = keys[0].types.get(state) if len(keys) == 1 else None
    return Stroke(
        contacts=contacts,
        demands=tuple(demands),
        holds=choose_holds(machine, how, contacts, held),
        types=typed,
    )


def _modifiers_alone(machine: Machine, how: Contacts, key: Key, held: ShiftState, exact: bool) -> Stroke:
    """The stroke that holds modifiers and no other key, if one of the modifiers' keys then types something itself."""
    demands = tuple(
        Demand.HOLD
        if modifier.name in held
        else Demand.LIFT
        if exact and modifier.name in key.selectors
        else Demand.PASS
        for modifier in machine.modifiers
    )
    names = [modifier.name for modifier in machine.modifiers if modifier.name in held]
    own = machine.modifier_of(key.name)
    return Stroke(
        contacts=(),
        demands=demands,
        holds=choose_holds(machine, how, (), names, {own: key.contact} if own else {}),
        types=key.types.get((held - {own}) & key.selectors),
    )


def choose_holds(
    machine: Machine,
    how: Contacts,
    contacts: Iterable[Contact],
    modifiers: Iterable[str],
    fixed: Mapping[str, Contact] = MappingProxyType({}),
) -> tuple[Contact, ...]:
    """One contact a modifier, so that they make no phantom with the contacts; the first of each if all choices do.

    A modifier in `fixed` is held by that contact. Choices are tried in the order of the machine's file.
    """
    by_name = {modifier.name: modifier for modifier in machine.modifiers}
    choices = [
        [fixed[name]] if name in fixed else [machine.key(key).contact for key in by_name[name].keys]
        for name in modifiers
    ]
    own = tuple(contacts)
    first: tuple[Contact, ...] | None = None
    for choice in product(*choices):
        first = choice if first is None else first
        if not phantoms(machine, (*own, *choice), how):
            return choice
    return first or ()
