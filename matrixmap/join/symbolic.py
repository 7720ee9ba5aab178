"""The symbolic join: each host key types on the machine what is printed on it."""

from __future__ import annotations

from collections.abc import Mapping

from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.join.demands import make_stroke
from matrixmap.join.sequences import SequenceMaker
from matrixmap.model.host import HostKey
from matrixmap.model.layout import Layout
from matrixmap.model.legend import Legend, other_case
from matrixmap.model.machine import Contact, Key, Machine, ShiftState
from matrixmap.model.place import Place
from matrixmap.model.plan import Binding, Feed, StandIn, Stroke, Trigger
from matrixmap.model.sequences import sequences_of

Offer = tuple[Key, ShiftState]


class StrokeMaker:
    """Makes the stroke of each key and shift state once."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.passed = lock_modifiers(layout)
        self.made: dict[tuple[Contact, ShiftState], Stroke] = {}
        self.sequences = SequenceMaker(layout)

    def find(self, offers: Mapping[str, Offer], legend: Legend) -> Stroke | None:
        """What types a legend: one stroke, else a sequence; then, for a letter, the other case."""
        offer = offers.get(legend.text)
        if offer is None:
            sequence = self.sequences.find(legend, exact=True)
            if sequence is not None:
                return sequence
            offer = find_offer(offers, legend)
        return self.make(offer) if offer else self.sequences.find(legend)

    def make(self, offer: Offer) -> Stroke:
        """The stroke that types what a key offers in a shift state, and nothing else."""
        key, state = offer
        stroke = self.made.get((key.contact, state))
        if stroke is None:
            letter = self.passed if is_letter(key, state) else frozenset()
            stroke = make_stroke(self.layout.machine, self.layout.contacts, (key,), state, exact=True, passed=letter)
            self.made[key.contact, state] = stroke
        return stroke


def join_symbolic(layout: Layout) -> tuple[dict[Trigger, Binding], tuple[StandIn, ...]]:
    """A binding for every trigger with a character or function that the machine has, and for the modifiers.

    The second host of the layout stands in if the machine lacks what the first one prints; these triggers are listed.
    """
    offers = find_offers(layout)
    strokes = StrokeMaker(layout)
    useful = useful_accents(layout, offers)
    bindings: dict[Trigger, Binding] = {}
    stand_ins: list[StandIn] = []
    for usage, host_key in layout.host.keys.items():
        for level in levels_of(layout, usage):
            trigger = Trigger(usage=usage, level=level)
            own = host_key.at(level)
            stroke = strokes.find(offers, own) if own else None
            if stroke is None and _gives_way(host_key, own, useful):
                other = _stand_in(layout, trigger)
                stroke = strokes.find(offers, other) if other is not None else None
                if other is not None and stroke is not None:
                    stand_ins.append(StandIn(trigger=trigger, own=own, legend=other))
            if stroke is not None:
                bindings[trigger] = Binding(trigger=trigger, action=stroke, place=None)
    for trigger, feed, place in _feeds(layout):
        bindings[trigger] = Binding(trigger=trigger, action=feed, place=place)
    return bindings, tuple(stand_ins)


def _gives_way(key: HostKey, own: Legend | None, useful: frozenset[str]) -> bool:
    """Whether another host's character may stand in for a legend that the machine lacks.

    It may for a character, and on a level of a character key where nothing is printed, but not for a useful dead key.
    """
    if own is None:
        return any(legend is not None and legend.is_character for legend in key.legends)
    return own.is_character and not (own.dead and own.text in useful)


def _stand_in(layout: Layout, trigger: Trigger) -> Legend | None:
    """The character of the layout's second host on a trigger."""
    key = layout.stand_in.keys.get(trigger.usage) if layout.stand_in else None
    legend = key.at(trigger.level) if key else None
    return None if legend is None or legend.dead or not legend.is_character else legend


def useful_accents(layout: Layout, offers: Mapping[str, Offer]) -> frozenset[str]:
    """The accents of the host that are useful: the machine has the accent, or what it makes of a letter."""
    letters = {legend.text for key in layout.host.keys.values() for legend in key.legends if legend}
    typed = offers.keys() | sequences_of(layout.machine).keys()
    return frozenset(
        accent
        for accent, pairs in layout.host.composes.items()
        if accent in typed or any(char in letters and result in typed for char, result in pairs.items())
    )


def levels_of(layout: Layout, usage: Usage) -> range:
    """The levels of a host key: those of the host, or two on the keypad (Num Lock on and off)."""
    return range(1, 3) if usage in KEYPAD_DIGITS else range(1, layout.host.levels + 1)


def find_offers(layout: Layout) -> Mapping[str, Offer]:
    """Character or function -> the key and shift state that type it.

    A line under `types` decides; else the fewest modifiers win, and ties go to grid order.
    """
    offers = best_offers(layout.machine)
    for line in layout.types:
        state, keys = line.stroke.modifiers, line.stroke.keys
        acts = layout.machine.acts(state)
        offers[line.legend.text] = acts if acts and not keys else (layout.machine.key(keys[0]), state)
    return offers


def best_offers(machine: Machine) -> dict[str, Offer]:
    """What the machine offers without a layout's choice: the fewest modifiers first, then grid order.

    Keys that only some machines have come after all others. A key's second meaning comes after the first meanings of
    its state.
    """
    found: dict[str, Offer] = {}
    states = sorted(
        {state for key in machine.keys for state in key.types}, key=lambda state: (len(state), sorted(state))
    )
    optional = machine.optional
    usual = [key for key in machine.keys if key.name not in optional]
    for keys in (usual, [key for key in machine.keys if key.name in optional]):
        for state in states:
            meant = [(key, key.meanings(state)) for key in keys]
            for key, legends in (*((key, each[:1]) for key, each in meant), *((key, each[1:]) for key, each in meant)):
                for legend in legends:
                    found.setdefault(legend.text, (key, state))
    return found


def find_offer(offers: Mapping[str, Offer], legend: Legend) -> Offer | None:
    """What types a legend; if the machine has one case of a letter, both cases find it."""
    offer = offers.get(legend.text)
    other = None if offer or not legend.is_character else other_case(legend.text)
    return offers.get(other) if other else offer


def is_letter(key: Key, state: ShiftState) -> bool:
    """Whether a key types one case of a letter in a shift state, and the other case in another."""
    legend = key.types.get(state)
    return legend is not None and other_case(legend.text) in [each.text for each in key.types.values()]


def lock_modifiers(layout: Layout) -> frozenset[str]:
    """The modifiers that a machine's own latch, worked by Caps Lock, holds: letters let them pass."""
    machine = layout.machine
    names = set()
    for lock in layout.locks:
        parallel = machine.latching.get(lock.key)
        modifier = machine.modifier_of(parallel) if parallel else None
        if lock.usage == CAPS_LOCK and modifier:
            names.add(modifier)
    return frozenset(names)


def _feeds(layout: Layout) -> list[tuple[Trigger, Feed, Place | None]]:
    """Host modifiers that reach machine modifiers; all keys of one modifier close the same contact."""
    machine = layout.machine
    first_key = {modifier.name: modifier.keys[0] for modifier in machine.modifiers if modifier.keys}
    wanted: list[tuple[Usage, str, Place | None]] = []
    if machine.host_shift in first_key:
        wanted += [(usage, machine.host_shift, None) for usage in (SHIFT_LEFT, SHIFT_RIGHT)]
    wanted += [(usage, line.modifier, line.place) for line in layout.passes for usage in line.usages]
    feeds = []
    for usage, modifier, place in wanted:
        feed = Feed(modifier=modifier, contact=machine.key(first_key[modifier]).contact)
        feeds += [(Trigger(usage=usage, level=level), feed, place) for level in range(1, layout.host.levels + 1)]
    return feeds
