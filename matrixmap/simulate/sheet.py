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
from matrixmap.join.typed import held_usages
from matrixmap.model.host import CapsLock
from matrixmap.model.layout import HostModifier
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Action, Demand, Feed, Plan, Stroke, Trigger


@dataclass(frozen=True, slots=True)
class Asked:
    """A stroke in masks: the contacts to close, the modifier keys that it rules, and those of them that it holds."""

    contacts: int
    rules: int
    holds: int

    def modifiers(self, typist: int) -> int:
        """The modifier keys that are closed while this stroke rules and the typist holds some."""
        return typist & ~self.rules | self.holds


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
        self.timing = plan.timing
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
        self._phantoms: dict[int, bool] = {}

    def lock_of(self, usage: Usage) -> bool:
        """Whether the runtime keeps a lock that this usage toggles."""
        kept = (usage == CAPS_LOCK and self.plan.caps_lock) or (usage == NUM_LOCK and self.plan.num_lock)
        return kept and usage not in self.bound

    def look_up(self, usage: Usage, down: frozenset[Usage] | set[Usage], caps: bool, num: bool) -> Action | None:
        """What a press does while these usages are down on its keyboard and these locks are on."""
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
        return self.plan.lookup(Trigger(usage=usage, level=level, extras=extras))

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
            found = Asked(mask_of(stroke.contacts), ruled, mask_of(stroke.holds))
            self._asked[id(stroke)] = found
        return found

    def makes_phantom(self, mask: int) -> bool:
        """Whether these contacts make the machine read one more, on a layout whose guard is on."""
        if not self.plan.guard:
            return False
        found = self._phantoms.get(mask)
        if found is None:
            found = bool(phantoms(self.plan.layout.machine, contacts_of(mask), self.plan.contacts))
            self._phantoms[mask] = found
        return found

    def refuses(self, press: Trigger) -> bool:
        """Whether a press makes a phantom with its modifiers alone, when the typist holds those of the trigger."""
        action = self.plan.lookup(press)
        if not isinstance(action, Stroke):
            return False
        typist = 0
        for usage in held_usages(press):
            typist |= self.feeds.get(usage, 0)
        asked = self.asked(action)
        return self.makes_phantom(asked.contacts | asked.modifiers(typist))

    def rolls_over(self, mask: int) -> bool:
        """Whether these are more crosspoints than the machine tells apart."""
        return self.rollover is not None and (mask & self._crosspoints).bit_count() > self.rollover
