"""The plan: a compiled layout, every trigger with what it does. All later steps read only this."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from matrixmap.hid.usages import Usage
from matrixmap.model.layout import Contacts, HostModifier, Layout
from matrixmap.model.legend import Legend
from matrixmap.model.machine import Contact
from matrixmap.model.place import Place


class Demand(Enum):
    """What a stroke asks of a machine modifier."""

    HOLD = "hold"
    LIFT = "lift"
    PASS = "pass"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trigger:
    """A host usage at a level from 1 to 4, with exactly these of Control, Alt and Meta held.

    On the keypad digit keys level 1 is Num Lock on, level 2 Num Lock off.
    """

    usage: Usage
    level: int
    extras: frozenset[HostModifier] = frozenset()

    def sort_key(self) -> tuple[int, int, tuple[str, ...]]:
        """By usage, then level, then further modifiers."""
        return self.usage, self.level, tuple(sorted(extra.value for extra in self.extras))


Way = tuple[Trigger, ...]
"""How to do something: one press, or a dead key and the press after it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """What one press does: contacts to close, and its demands on the machine's modifiers.

    `demands` has one entry a machine modifier, in the machine's order; `holds` are the contacts of the modifier keys
    that fulfil each HOLD, in the same order. `types` is what the machine then types, if anything. `before` are strokes
    that are played and released first: with them it is a sequence, and `types` is what all of them type.
    """

    contacts: tuple[Contact, ...]
    demands: tuple[Demand, ...]
    holds: tuple[Contact, ...]
    types: Legend | None
    before: tuple[Stroke, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """A host key that is a machine modifier: the contact that it closes while it is down."""

    modifier: str
    contact: Contact


@dataclass(frozen=True, slots=True, kw_only=True)
class Latch:
    """A press that sets or frees a latch: the contact that stays closed until it is freed."""

    key: str
    modifier: str | None
    contact: Contact


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A numbered command for the firmware."""

    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Nothing:
    """A trigger that a layout silences on purpose."""


Action = Stroke | Feed | Latch | Command | Nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """A trigger and its action; `place` is the layout line that causes it, None if the join gives it."""

    trigger: Trigger
    action: Action
    place: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """The shortest safe times, in ticks of 100 microseconds.

    A contact stays closed for `close_ticks`, and open for `open_ticks` between two closings. Modifiers are presented
    `lead_ticks` before a key that needs them and held for the same time after it. In addition to one tick, these times
    include the `driver_us` of the board's driver.
    """

    close_ticks: int
    open_ticks: int
    lead_ticks: int
    driver_us: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Driven:
    """Set if the adapter closes the switches of the machine's controllers for pads.

    `controllers` are those that pads drive (None: all of the machine). `opposites` are `(controller, function,
    function)`: switches that are never closed together. `poll_ticks` is how long the machine may go without polling a
    controller, in ticks of 100 microseconds; None: as long as for a key.
    """

    controllers: tuple[str, ...] | None = None
    opposites: tuple[tuple[str, str, str], ...] = ()
    poll_ticks: int | None = None

    def drives(self, controller: str) -> bool:
        """Whether pads drive a controller."""
        return self.controllers is None or controller in self.controllers


@dataclass(frozen=True, slots=True, kw_only=True)
class StandIn:
    """A trigger with a legend that the machine lacks, and the legend of the layout's second host that it types instead.

    `own` is None if nothing is printed at that level of a key that has characters at other levels.
    """

    trigger: Trigger
    own: Legend | None
    legend: Legend


PairKey = tuple[str, Usage, int]
"""What was typed after a dead key: its accent, and the usage and level of the next key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadKeys:
    """What dead keys do; all empty if the host has none or the layout is positional.

    `triggers` are the dead keys with their accents; they have no bindings. `pairs` are the strokes for the character
    that an accent makes of the next key, if table and machine have it. `accents` are those for the accent alone, typed
    before the next key if there is no pair; an accent that the machine lacks is missing.
    """

    triggers: Mapping[Trigger, str]
    accents: Mapping[str, Stroke]
    pairs: Mapping[PairKey, Stroke]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A compiled layout.

    `bindings` is sorted by trigger. `caps_lock` and `num_lock` say whether the runtime keeps these locks. `guard` says
    whether the phantom guard is on. `stand_ins` are the triggers that type what a second host prints. `pad_bindings`
    are the buttons of pads that press a stroke or send a command, on usages that no key has. `driven` is set if pads
    drive the machine's controllers through the adapter.
    """

    layout: Layout
    bindings: tuple[Binding, ...]
    dead_keys: DeadKeys
    stand_ins: tuple[StandIn, ...]
    caps_lock: bool
    num_lock: bool
    guard: bool
    timing: Timing
    by_trigger: Mapping[Trigger, Action]
    pad_bindings: tuple[Binding, ...] = ()
    driven: Driven | None = None

    @property
    def id(self) -> str:
        """The layout's id."""
        return self.layout.id

    @property
    def contacts(self) -> Contacts:
        """How the adapter closes contacts."""
        return self.layout.contacts

    def lookup(self, trigger: Trigger) -> Action | None:
        """What a press does: the trigger with its further modifiers, else the same without them, else None.

        Also None for a dead key.
        """
        action = self.by_trigger.get(trigger)
        if action is None and trigger.extras:
            action = self.by_trigger.get(Trigger(usage=trigger.usage, level=trigger.level))
        return action

    def dead_key(self, press: Trigger) -> str | None:
        """The accent if a press is a dead key, else None; with further modifiers it is the same dead key."""
        if press.extras and press not in self.by_trigger:
            press = Trigger(usage=press.usage, level=press.level)
        return self.dead_keys.triggers.get(press)
