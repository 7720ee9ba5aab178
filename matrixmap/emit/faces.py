"""What stands on each key of a picture: the host's keys with what they type, the machine's with what reaches them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from matrixmap.hid.geometry import FORM_NAMES, Cap, Form, form
from matrixmap.hid.usages import ALT_RIGHT, CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK, Usage, by_code
from matrixmap.join.typed import fed_state, held_usages, presses, state_during
from matrixmap.model.host import Host
from matrixmap.model.layout import HostModifier
from matrixmap.model.machine import Contact, Machine, ShiftState
from matrixmap.model.plan import Action, Command, Feed, Latch, Plan, Stroke, Trigger
from matrixmap.model.words import action_name, printed_keys, printed_name, printed_on, usage_name

Extras = frozenset[HostModifier]


class Kind(Enum):
    """What sort of key it is, told by more than colour in every picture."""

    TYPES = "types"
    MODIFIER = "modifier"
    LATCH = "latch"
    LOCK = "lock"
    COMMAND = "command"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of legends on a key: what is held besides Shift (in words, empty for nothing), and the levels.

    `low` is the level without Shift, drawn below, and the one with Shift, drawn above, follows it.
    """

    title: str
    low: int
    extras: Extras


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """A host key: where it is, what is printed on it, and what it types in each column, below and above.

    `texts` has two entries a column, the lower first; None where the key does nothing. `waits` are the places in it
    that are dead keys, whose accent stands there: they wait for the next key.
    `whole` is set, and says it all, where the key does the same whatever is held.
    """

    cap: Cap
    usage: Usage
    name: str
    printed: str
    kind: Kind
    whole: str | None
    texts: tuple[str | None, ...]
    waits: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineFace:
    """A key of the machine: its name, what it types in each shift state, and the host keys that reach it.

    `ways` says in full what `reached` says short: with the modifiers to hold. `contact` is None for a latching key,
    which shares the contact of the key named in `beside`.
    """

    name: str
    contact: Contact | None
    beside: str | None
    types: tuple[tuple[str, str], ...]
    reached: tuple[str, ...]
    ways: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """The host keys that close a contact, by their print, and with the modifiers to hold."""

    keys: tuple[str, ...] = ()
    ways: tuple[str, ...] = ()


def form_of(host: Host) -> Form | None:
    """The form of a host, None if its name is none of those that can be drawn."""
    return form(host.form) if host.form in FORM_NAMES else None


def cap_at(board: Form, usage: Usage) -> Cap | None:
    """The key of a form for a usage. Both usages of the code Backslash are one key."""
    for other in (usage, *by_code(usage_name(usage))):
        if other in board.by_usage:
            return board.by_usage[other]
    return None


class Faces:
    """The faces of a plan's keys. What a press types is asked for many times and found once."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._keys = {key.contact: key for key in plan.layout.machine.keys}
        self._texts: dict[Trigger, str | None] = {}
        named = {binding.trigger for binding in plan.bindings}
        self.waiting = waiting(plan)
        self._telling = {press for press in presses(plan) if press in named or not press.extras or self._is_new(press)}
        self._telling |= self.waiting.keys()
        self.columns = self._columns()

    def _columns(self) -> tuple[Column, ...]:
        used = {
            (press.level > 2, press.extras)
            for press in self._telling
            if press.usage not in KEYPAD_DIGITS and (press.level > 2 or press.extras) and self._is_new(press)
        }
        columns = [Column(title="", low=1, extras=frozenset())]
        for altgr, extras in sorted(used, key=lambda pair: (sorted(extra.value for extra in pair[1]), pair[0])):
            names = [*(["AltGr"] if altgr else []), *(extra.value for extra in HostModifier if extra in extras)]
            columns.append(Column(title="+".join(names), low=3 if altgr else 1, extras=extras))
        return tuple(columns)

    def _is_new(self, press: Trigger) -> bool:
        """Whether a press with AltGr or further modifiers does something that it does not with one of them left out."""
        text = self.text(press)
        if text is None:
            return False
        fewer = [Trigger(usage=press.usage, level=press.level, extras=press.extras - {extra}) for extra in press.extras]
        if press.level > 2:
            fewer.append(Trigger(usage=press.usage, level=press.level - 2, extras=press.extras))
        return all(self.text(other) != text for other in fewer)

    def text(self, press: Trigger) -> str | None:
        """What a press types, the accent of a dead key, else the stroke that it is, else None."""
        if press in self.waiting:
            return self.waiting[press]
        if press not in self._texts:
            self._texts[press] = self._find_text(press)
        return self._texts[press]

    def _find_text(self, press: Trigger) -> str | None:
        action = self.plan.lookup(press)
        if action is None:
            return None
        machine = self.plan.layout.machine
        if isinstance(action, Stroke) and len(action.contacts) == 1 and action.contacts[0] in self._keys:
            key = self._keys[action.contacts[0]]
            if key.types:
                state = state_during(machine, action, fed_state(self.plan, held_usages(press)))
                legend = key.types.get(state & key.selectors)
                return legend.text if legend else None
        return action_name(machine, action)

    def host(self, board: Form) -> tuple[Face, ...]:
        """The faces of all keys of a form, in its order."""
        bound = {binding.trigger.usage for binding in self.plan.bindings}
        return tuple(self._face(cap, _bound_usage(cap, bound)) for cap in board.caps)

    def _face(self, cap: Cap, usage: Usage) -> Face:
        presses_ = [
            Trigger(usage=usage, level=level, extras=column.extras)
            for column in self.columns
            for level in (column.low, column.low + 1)
        ]
        texts = tuple(self.text(press) if press in self._telling else None for press in presses_)
        kind, whole = self._kind(usage, texts)
        return Face(
            cap=cap,
            usage=usage,
            name=usage_name(usage),
            printed=printed_on(self.plan.layout.host, usage),
            kind=kind,
            whole=whole,
            texts=texts,
            waits=frozenset(place for place, press in enumerate(presses_) if press in self.waiting),
        )

    def _kind(self, usage: Usage, texts: tuple[str | None, ...]) -> tuple[Kind, str | None]:
        plan = self.plan
        action = plan.by_trigger.get(Trigger(usage=usage, level=1))
        if {CAPS_LOCK: plan.caps_lock, NUM_LOCK: plan.num_lock}.get(usage, False):
            return Kind.LOCK, "Caps Lock" if usage == CAPS_LOCK else "Num Lock"
        if isinstance(action, Feed):
            return Kind.MODIFIER, action.modifier
        if isinstance(action, Latch):
            return Kind.LATCH, action.key
        if isinstance(action, Command):
            return Kind.COMMAND, f"command {action.number}"
        if not any(texts):
            altgr = usage == ALT_RIGHT and plan.layout.host.has_altgr
            return (Kind.MODIFIER, "AltGr") if altgr else (Kind.NOTHING, None)
        count = 2 if usage in KEYPAD_DIGITS else plan.layout.host.levels
        levels = {self.text(Trigger(usage=usage, level=level)) for level in range(1, count + 1)}
        waits = any(press.usage == usage for press in self.waiting)
        alike = not waits and levels == {texts[0]} and set(texts) <= {texts[0], None}
        return Kind.TYPES, texts[0] if alike else None


def waiting(plan: Plan) -> Mapping[Trigger, str]:
    """The dead keys that make something on this machine, with their accents: the accent alone, or a pair."""
    dead = plan.dead_keys
    useful = {*dead.accents, *(accent for accent, _, _ in dead.pairs)}
    return {press: accent for press, accent in dead.triggers.items() if accent in useful}


def _bound_usage(cap: Cap, bound: set[Usage]) -> Usage:
    """The usage of the key that the plan speaks of, where two share its code."""
    twins = by_code(usage_name(cap.usage))
    return next((usage for usage in (cap.usage, *twins) if usage in bound), cap.usage)


def reaching(plan: Plan, board: Form | None = None) -> Mapping[Contact, Reach]:
    """Contact -> the host keys that close it as their own, the keypad's last; of a form, only its keys."""
    host = plan.layout.host
    found: dict[Contact, tuple[dict[str, None], dict[str, None]]] = {}
    for binding in sorted(plan.bindings, key=lambda binding: usage_name(binding.trigger.usage).startswith("Numpad")):
        action, press = binding.action, binding.trigger
        if board is not None and cap_at(board, press.usage) is None:
            continue
        for contact in _own_contacts(action):
            keys, ways = found.setdefault(contact, ({}, {}))
            name = printed_name(host, press.usage)
            keys[name] = None
            ways[name if isinstance(action, Feed) else printed_keys(host, press)] = None
    return {contact: Reach(keys=tuple(keys), ways=tuple(ways)) for contact, (keys, ways) in found.items()}


def _own_contacts(action: Action) -> tuple[Contact, ...]:
    match action:
        case Stroke():
            return action.contacts
        case Feed() | Latch():
            return (action.contact,)
        case _:
            return ()


def state_columns(machine: Machine) -> tuple[ShiftState, ...]:
    """The shift states that begin a column on the machine's keys: plain first, then those without the first modifier."""
    first = frozenset({machine.modifiers[0].name}) if machine.modifiers else frozenset()
    states = {state - first for key in machine.keys for state in key.types}
    order = [modifier.name for modifier in machine.modifiers]
    return tuple(sorted(states, key=lambda state: (len(state), sorted(order.index(name) for name in state))))


def machine_faces(plan: Plan, board: Form | None = None) -> Mapping[str, MachineFace]:
    """The faces of all keys of the machine by name, latching keys included; reached from the keys of a form."""
    machine = plan.layout.machine
    reached = reaching(plan, board)
    faces: dict[str, MachineFace] = {}
    for key in machine.keys:
        reach = reached.get(key.contact, Reach())
        faces[key.name] = MachineFace(
            name=key.name,
            contact=key.contact,
            beside=None,
            types=tuple((machine.state_name(state), legend.text) for state, legend in key.types.items()),
            reached=reach.keys,
            ways=reach.ways,
        )
    latched: dict[str, dict[str, None]] = {}
    for binding in plan.bindings:
        if isinstance(binding.action, Latch):
            printed = printed_name(plan.layout.host, binding.trigger.usage)
            latched.setdefault(binding.action.key, {})[printed] = None
    for name, beside in machine.latching.items():
        by = tuple(latched.get(name, ()))
        faces[name] = MachineFace(name=name, contact=None, beside=beside, types=(), reached=by, ways=by)
    return faces
