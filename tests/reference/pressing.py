"""A typist's press through the compiled runtime, and what stays closed then."""

from __future__ import annotations

import ctypes
from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.hid.usages import Usage
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Demand, Feed, Latch, Plan, Stroke, Trigger
from tests.emit.test_tables import where
from tests.reference.printed import KEYPAD, Contact
from tests.runtime.engine import Engine

CAPS_LOCK, NUM_LOCK = 0x39, 0x53
LEVEL_SIDES = {"left": (0xE1, 0xE6), "right": (0xE5, 0xE6)}
EXTRA_SIDES = {
    "left": {"Control": 0xE0, "Alt": 0xE2, "Meta": 0xE3},
    "right": {"Control": 0xE4, "Alt": 0xE2, "Meta": 0xE7},
}


@dataclass(frozen=True)
class Press:
    """A usage pressed at a level, further modifiers held, with the Shift, Control and Meta of one side."""

    usage: int
    level: int
    extras: frozenset[str] = frozenset()
    side: str = "left"

    @property
    def held(self) -> tuple[int, ...]:
        """The modifier usages that are down."""
        shift, altgr = LEVEL_SIDES[self.side]
        chosen = () if self.usage in KEYPAD else (shift,) * (self.level in (2, 4)) + (altgr,) * (self.level > 2)
        return (*chosen, *(EXTRA_SIDES[self.side][extra] for extra in sorted(self.extras)))

    @property
    def modifier_byte(self) -> int:
        """The same as the first byte of a boot report."""
        return sum(1 << (usage - 0xE0) for usage in self.held)


def pause(plan: Plan) -> int:
    """Ticks after which nothing of a press is left to do."""
    times = plan.timing
    return 4 * (times.close_ticks + times.open_ticks + times.lead_ticks) + 10


def closed_by(lib: ctypes.CDLL, table: bytes, plan: Plan, press: Press, caps: bool = False) -> frozenset[Contact]:
    """What is closed while a press lasts, time having passed. Afterwards everything opens, latches aside."""
    engine = Engine(lib, table)
    assert engine.sound
    for usage in [CAPS_LOCK] * caps + [NUM_LOCK] * (press.usage in KEYPAD and press.level == 2):
        engine.report(usage)
        engine.report()
    engine.report(modifiers=press.modifier_byte)
    engine.run(pause(plan))
    if press.usage >= 0xE0:
        engine.report(modifiers=press.modifier_byte | 1 << (press.usage - 0xE0))
    else:
        engine.report(press.usage, modifiers=press.modifier_byte)
    engine.run(pause(plan))
    closed = engine.contacts
    engine.report()
    engine.run(pause(plan))
    assert engine.overflows == 0
    latched = [binding.action for binding in plan.bindings if isinstance(binding.action, Latch)]
    left = {where(plan.layout.machine, action.contact) for action in latched}
    assert engine.contacts <= left, f"{press} leaves {engine.contacts} closed"
    return closed


def closed_in_plan(plan: Plan, press: Press) -> frozenset[Contact]:
    """What the plan says shall be closed while a press lasts."""
    machine = plan.layout.machine
    extras = frozenset(map(HostModifier, press.extras))
    trigger = Trigger(usage=Usage(press.usage), level=press.level, extras=extras)
    action = None if plan.dead_key(trigger) is not None else plan.lookup(trigger)
    fed = dict(fed_contacts(plan, press.held))
    demands = action.demands if isinstance(action, Stroke) else (Demand.PASS,) * len(machine.modifiers)
    closed: set[int] = set()
    for modifier, demand in zip(machine.modifiers, demands, strict=True):
        if demand is Demand.PASS:
            closed |= {contact for contact, name in fed.items() if name == modifier.name}
    if isinstance(action, Stroke):
        closed |= {*action.contacts, *action.holds}
    elif isinstance(action, Feed | Latch):
        closed.add(action.contact)
    return frozenset(where(machine, contact) for contact in closed)


def fed_contacts(plan: Plan, held: Iterable[int]) -> Iterable[tuple[int, str]]:
    """The contacts that held host modifiers close, and the machine modifier of each."""
    for usage in held:
        action = plan.by_trigger.get(Trigger(usage=Usage(usage), level=1))
        if isinstance(action, Feed):
            yield action.contact, action.modifier
