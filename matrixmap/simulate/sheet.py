"""A plan as the reference model looks at it: what a press means at this moment, and which contacts clash.

Sets of contacts are masks here, bit n for contact n.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.circuit.reading import phantoms
from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CAPS_LOCK,
    CONTROL_LEFT,
    CONTROL_RIGHT,
    KEYPAD_DIGITS,
    META_LEFT,
    META_RIGHT,
    NUM_LOCK,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.model.host import CapsLock
from matrixmap.model.layout import Contacts, HostModifier
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Demand, Feed, Plan, Stroke, Trigger


@dataclass(frozen=True, slots=True)
class Asked:
    """A stroke in masks: the contacts to close, the modifier keys that it rules, and those of them that it holds.

    `order` are the contacts in the order of the stroke.
    """

    contacts: int
    rules: int
    holds: int
    order: tuple[Contact, ...] = ()

    @property
    def is_chord(self) -> bool:
        """Whether the stroke closes several contacts, or none: modifiers alone."""
        return len(self.order) != 1

    def modifiers(self, typist: int) -> int:
        """The modifier keys that are closed while this stroke rules and the typist holds some."""
        return typist & ~self.rules | self.holds


NOTHING_ASKED = Asked(0, 0, 0)


def mask_of(contacts: Iterable[Contact]) -> int:
    """The mask of some contacts."""
    return sum(1 << contact for contact in set(contacts))


def contacts_of(mask: int) -> frozenset[Contact]:
    """The contacts of a mask."""
    return frozenset(Contact(bit) for bit in range(mask.bit_length()) if mask >> bit & 1)


class Sheet:
    """What the model asks a plan, with the answers kept for the next time."""

    def __init__(self, plan: Plan) -> None:
        machine = plan.layout.machine
        self.plan = plan
        # A time of 0 counts as one tick: two changes never fall together.
        self.close = max(plan.timing.close_ticks, 1)
        self.open = max(plan.timing.open_ticks, 1)
        self.lead = max(plan.timing.lead_ticks, 1)
        self.rollover = machine.scan.rollover
        self.feeds = {
            binding.trigger.usage: 1 << binding.action.contact
            for binding in plan.bindings
            if isinstance(binding.action, Feed)
        }
        self.bound = {binding.trigger.usage for binding in plan.bindings}
        self._keys = {
            modifier.name: mask_of(machine.key(name).contact for name in modifier.keys)
            for modifier in machine.modifiers
        }
        self._crosspoints = (1 << machine.crosspoints) - 1
        self._asked: dict[int, Asked] = {}
        self._phantoms: dict[tuple[Contact, int], bool] = {}

    def keeps_lock(self, usage: Usage) -> bool:
        """Whether this usage toggles a lock that the runtime keeps."""
        kept = (usage == CAPS_LOCK and self.plan.caps_lock) or (usage == NUM_LOCK and self.plan.num_lock)
        return kept and usage not in self.bound

    def trigger(self, usage: Usage, down: frozenset[Usage] | set[Usage], caps: bool, num: bool) -> Trigger:
        """What a press is while these usages are down on its keyboard and these locks are on.

        A lock that the layout does not let the runtime keep counts as Caps Lock off, Num Lock on.
        """
        caps, num = caps and self.plan.caps_lock, num or not self.plan.num_lock
        extras = frozenset(
            extra
            for extra, usages in (
                (HostModifier.CONTROL, (CONTROL_LEFT, CONTROL_RIGHT)),
                (HostModifier.ALT, (ALT_LEFT,) if self.plan.layout.host.has_altgr else (ALT_LEFT, ALT_RIGHT)),
                (HostModifier.META, (META_LEFT, META_RIGHT)),
            )
            if any(one in down for one in usages)
        )
        level = self._level(usage, down, caps and HostModifier.CONTROL not in extras, num)
        return Trigger(usage=usage, level=level, extras=extras)

    def _level(self, usage: Usage, down: frozenset[Usage] | set[Usage], caps: bool, num: bool) -> int:
        if usage in KEYPAD_DIGITS:
            return 1 if num else 2
        shift = SHIFT_LEFT in down or SHIFT_RIGHT in down
        altgr = self.plan.layout.host.has_altgr and ALT_RIGHT in down
        key = self.plan.layout.host.keys.get(usage)
        if caps and key is not None:
            swapped = (CapsLock.ALTGR if altgr else CapsLock.SHIFT, CapsLock.BOTH)
            shift ^= key.caps in swapped
        return 1 + shift + 2 * altgr

    def asked(self, stroke: Stroke) -> Asked:
        """A stroke in masks."""
        found = self._asked.get(id(stroke))
        if found is None:
            pairs = zip(self._keys.values(), stroke.demands, strict=True)
            ruled = sum(keys for keys, demand in pairs if demand is not Demand.PASS)
            found = Asked(mask_of(stroke.contacts), ruled, mask_of(stroke.holds), stroke.contacts)
            self._asked[id(stroke)] = found
        return found

    def clashes(self, asked: Asked, present: int) -> bool:
        """Whether closing a stroke's contacts one after the other beside others makes a phantom that it has part in.

        Modifiers may make one among themselves; that is no fault of strokes on other lines.
        """
        if not self.plan.guard or self.plan.contacts is not Contacts.SWITCH:
            return False
        for contact in asked.order:
            present |= 1 << contact
            if self._phantom_at(contact, present):
                return True
        return False

    def _phantom_at(self, contact: Contact, mask: int) -> bool:
        """Whether the closed contacts that are joined to this one by lines make a phantom."""
        key = (contact, mask)
        found = self._phantoms.get(key)
        if found is None:
            joined = self._joined(contact, contacts_of(mask))
            found = bool(phantoms(self.plan.layout.machine, joined, self.plan.contacts))
            self._phantoms[key] = found
        return found

    def _joined(self, contact: Contact, closed: frozenset[Contact]) -> frozenset[Contact]:
        """The closed crosspoints that are connected with one, itself included."""
        machine = self.plan.layout.machine
        joined, grown = {contact}, True
        while grown:
            lines = {line for one in joined if (pair := machine.lines(one)) for line in enumerate(pair)}
            more = {one for one in closed if (pair := machine.lines(one)) and not lines.isdisjoint(enumerate(pair))}
            grown = not more <= joined
            joined |= more
        return frozenset(joined)

    def breaks_alone(self, asked: Asked, modifiers: int) -> bool:
        """Whether a stroke breaks a rule with its modifiers alone."""
        return self.rolls_over(asked.contacts) or self.clashes(asked, modifiers)

    def rolls_over(self, mask: int) -> bool:
        """Whether these are more crosspoints than the machine tells apart."""
        return self.rollover is not None and (mask & self._crosspoints).bit_count() > self.rollover
