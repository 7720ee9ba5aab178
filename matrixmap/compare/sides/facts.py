"""A plan as a flat mapping from facts to their values, all in names.

Contacts are given by the names of keys, and keys by the names of their lines. A key that moves in the matrix is one
fact with another value, and the triggers that press it stay as they are.

| fact | value |
| --- | --- |
| `layout`, field | id, title, machine, host, stand in, join, contacts, guard, locks kept, times |
| `accept`, slug | the reason, with count and witnesses |
| `command name`, number | the name in C of a command |
| `pad`, a switch, a source or a threshold in words | what closes it, what it does, or the number |
| `trigger`, usage, level, further modifiers | what it does |
| `dead key`, usage, level | the accent |
| `accent`, accent | the stroke that types it |
| `pair`, accent, usage, level | the stroke that types what both make |
| `stand-in`, usage, level | the legend of the host itself, and the one that stands in |
| `machine`, field | id, title, source, lines, diodes, order of modifiers and controllers, what the host's Shift feeds |
| `source`, key | where its facts come from, if not from the machine's source |
| `key`, key | the names of its lines |
| `types`, key, shift state | the legend, None where the key is said to type nothing |
| `latching`, key | the key that it is in parallel with |
| `also`, key, shift state | further meanings of the key |
| `option`, key | the option that it belongs to |
| `parallel`, cap | the keys with contacts that it closes |
| `modifier`, modifier | its keys |
| `diode`, lines | True |
| `scan`, field | the number, or the words |
| `visible`, legend | whether it shows on the screen `never` or `at times` |
| `place`, key | left edge, top edge and width in key pitches |
| `connector`, field; `pin`, number | the blanked pin; the line on a pin |
| `shape`, field | how the pins of the connector lie, where it is stated |
| `electric`, field; `closes to`, line | volts, milliamperes, what the machine does to lines; the other end of a direct line's switch |
| `value`, field | what else is known of its circuit in numbers: one, or the least and the most |
| `revision`, name | the facts of the five kinds above that are its own, as pairs |
| `wired`, controller | how its switches are wired |
| `switch`, controller, function | the names of its lines |
| `host`, field | id, title, source, form, AltGr |
| `print`, usage | the legends of the key |
| `unprinted`, usage | the levels of legends that cannot be read on the key, where there are any |
| `caps`, usage | which levels Caps Lock swaps, where it swaps any |
| `composes`, accent, character | what both make |
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import NamedTuple, TypeVar

from matrixmap.hid.pads.sources import source_name
from matrixmap.join.pads import driven_controllers
from matrixmap.model.host import CapsLock, Host
from matrixmap.model.layout import Layout
from matrixmap.model.legend import Legend
from matrixmap.model.machine import (
    Connector,
    Contact,
    Debounce,
    Drive,
    Electric,
    Gender,
    Keystroke,
    Machine,
    Numbering,
)
from matrixmap.model.plan import Action, Command, Demand, Feed, Latch, Nothing, Plan, Stroke


# A plan has a thousand of these in its facts; comparing tuples needs no call into Python.
class Name(NamedTuple):
    """A name that the user's files give to an object of a kind: `key`, `modifier`, `line` or `controller`."""

    kind: str
    text: str


Value = str | int | float | bool | None | Name | tuple["Value", ...] | frozenset["Value"]
"""The value of a fact. A legend is its text, a dead one the pair of `dead` and its text."""

Fact = tuple[Value, ...]
"""The key of a fact: its kind, then what it is about."""

Facts = Mapping[Fact, Value]

Key = TypeVar("Key")


def facts(plan: Plan) -> dict[Fact, Value]:
    """All facts of a plan. Two plans with the same facts do the same, starting with the machine and the host."""
    layout = plan.layout
    return {**dict(_layout_facts(plan)), **machine_facts(layout.machine), **host_facts(layout.host)}


def of_kind(some: Facts, kind: str) -> dict[Fact, Value]:
    """The facts of one kind."""
    return {fact: value for fact, value in some.items() if fact[0] == kind}


def legend_value(legend: Legend | None) -> Value:
    """A legend as a value; None for nothing."""
    return None if legend is None else ("dead", legend.text) if legend.dead else legend.text


def contact_value(machine: Machine, contact: Contact) -> tuple[Name, ...]:
    """A contact by the names of its lines: select and sense line, or the direct line alone."""
    lines = machine.lines(contact)
    if lines is None:
        return (Name("line", machine.direct[contact - machine.crosspoints]),)
    return Name("line", machine.select[lines[0]]), Name("line", machine.sense[lines[1]])


class _Actions:
    """Actions of one plan as values; many triggers share one stroke."""

    def __init__(self, machine: Machine) -> None:
        self.modifiers = [Name("modifier", modifier.name) for modifier in machine.modifiers]
        self.keys = {key.contact: Name("key", key.name) for key in machine.keys}
        self.made: dict[Action, Value] = {}

    def value(self, action: Action) -> Value:
        found = self.made.get(action)
        if found is None:
            found = self.made[action] = self._make(action)
        return found

    def _make(self, action: Action) -> Value:
        match action:
            case Stroke():
                keys = tuple(self.keys[contact] for contact in action.contacts)
                before = tuple(self.value(stroke) for stroke in action.before)
                stroke = "stroke", keys, self._demands(action), legend_value(action.types)
                return (*stroke, before) if before else stroke
            case Feed():
                return "modifier", Name("modifier", action.modifier), self.keys[action.contact]
            case Latch():
                modifier = Name("modifier", action.modifier) if action.modifier else None
                return "latch", Name("key", action.key), modifier, self.keys[action.contact]
            case Command():
                return "command", action.number
            case Nothing():
                return ("nothing",)

    def _demands(self, stroke: Stroke) -> frozenset[Value]:
        """Modifiers that a stroke holds, each with its key, and those that it lifts; all others pass."""
        holds = iter(stroke.holds)
        asked: list[Value] = []
        for modifier, demand in zip(self.modifiers, stroke.demands, strict=True):
            if demand is Demand.HOLD:
                asked.append(("hold", modifier, self.keys[next(holds)]))
            elif demand is Demand.LIFT:
                asked.append(("lift", modifier))
        return frozenset(asked)


def _layout_facts(plan: Plan) -> Iterator[tuple[Fact, Value]]:
    layout = plan.layout
    fields: dict[str, Value] = {
        "id": layout.id,
        "title": layout.title,
        "machine": layout.machine.id,
        "host": layout.host.id,
        "stand in": layout.stand_in.id if layout.stand_in else None,
        "join": layout.join.value,
        "contacts": layout.contacts.value,
        "guard": plan.guard,
        "resume": layout.resumes,
        "keyboards": "apart" if layout.apart else "together",
        "Caps Lock": plan.caps_lock,
        "Num Lock": plan.num_lock,
        "close": plan.timing.close_ticks,
        "open": plan.timing.open_ticks,
        "lead": plan.timing.lead_ticks,
    }
    yield from ((("layout", field), value) for field, value in fields.items())
    yield from ((("accept", line.slug), line.words) for line in layout.accept)
    yield from ((("command name", line.number), line.name) for line in layout.command_names)
    yield from _pad_facts(layout)
    actions = _Actions(layout.machine)
    for binding in plan.bindings:
        trigger = binding.trigger
        extras = tuple(sorted(extra.value for extra in trigger.extras))
        yield ("trigger", trigger.usage, trigger.level, extras), actions.value(binding.action)
    for trigger, accent in plan.dead_keys.triggers.items():
        yield ("dead key", trigger.usage, trigger.level), accent
    for accent, stroke in plan.dead_keys.accents.items():
        yield ("accent", accent), actions.value(stroke)
    for (accent, usage, level), stroke in plan.dead_keys.pairs.items():
        yield ("pair", accent, usage, level), actions.value(stroke)
    for stand_in in plan.stand_ins:
        legends = legend_value(stand_in.own), legend_value(stand_in.legend)
        yield ("stand-in", stand_in.trigger.usage, stand_in.trigger.level), legends


def _pad_facts(layout: Layout) -> Iterator[tuple[Fact, Value]]:
    """What pads do, each fact with the words for its subject."""
    if layout.pads is None:
        return
    for place, one in enumerate(driven_controllers(layout.pads, layout.machine), 1):
        yield ("pad", f"pad {place}"), f"the controller {one.controller.name}"
        for each in one.switches:
            named = ", ".join(map(source_name, each.sources)) or "nothing"
            yield ("pad", f"{each.switch.function} of {one.controller.name}"), named
    for button in layout.pads.buttons:
        yield ("pad", source_name(button.source)), button.words
    for field in ("press", "release"):
        yield ("pad", f"the threshold {field}"), f"{getattr(layout.pads.limits, field)} %"


def machine_facts(machine: Machine) -> dict[Fact, Value]:
    """The facts of a machine."""
    return dict(_machine_facts(machine))


def _machine_facts(machine: Machine) -> Iterator[tuple[Fact, Value]]:
    yield from ((("machine", field), getattr(machine, field)) for field in ("id", "title", "source"))
    for field in ("select", "sense", "direct"):
        yield ("machine", field), tuple(Name("line", line) for line in getattr(machine, field))
    yield ("machine", "diodes"), machine.diodes.value
    yield ("machine", "modifiers"), tuple(Name("modifier", modifier.name) for modifier in machine.modifiers)
    yield ("machine", "controllers"), tuple(Name("controller", controller.name) for controller in machine.controllers)
    if machine.host_shift:
        yield ("machine", "host shift"), Name("modifier", machine.host_shift)
    yield from _key_facts(machine)
    yield from _turn_facts(machine)
    yield from ((("diode", contact_value(machine, contact)), True) for contact in machine.diode_contacts)
    for latch, parallel in machine.latching.items():
        yield ("latching", Name("key", latch)), Name("key", parallel)
    yield from ((("option", Name("key", key)), option) for option, keys in machine.options.items() for key in keys)
    for cap, keys in machine.parallel.items():
        yield ("parallel", Name("key", cap)), tuple(Name("key", key) for key in keys)
    for modifier in machine.modifiers:
        yield ("modifier", Name("modifier", modifier.name)), tuple(Name("key", key) for key in modifier.keys)
    for field in machine.scan.__slots__:
        value = getattr(machine.scan, field)
        if isinstance(value, tuple):
            value = tuple(each.value for each in value) or None
        yield ("scan", field), value.value if isinstance(value, Debounce) else value
    yield from ((("visible", text), "never") for text in machine.unseen)
    yield from ((("visible", text), "at times") for text in machine.seen_at_times)
    for row in machine.rows:
        left = row.left
        for placed, width in row.keys:
            if placed is not None:
                yield ("place", Name("key", placed)), (left, row.row, width)
            left += width
    yield from _wiring_facts(machine)


def _turn_facts(machine: Machine) -> Iterator[tuple[Fact, Value]]:
    """Modes, dead keys and sequences, each by its name, with its contents in words."""
    for mode in machine.modes:
        strokes = (machine.keystroke_name(stroke) if stroke else None for stroke in (mode.by, mode.until))
        begins, ends = strokes
        parts = [
            f"from {begins}" if begins else "",
            "until the next key" if mode.one_key else f"until {ends}" if ends else "",
        ]
        yield ("in turn", f"the mode {mode.name}"), ", ".join(part for part in (*parts, mode.when) if part)
    for key in machine.keys:
        for state, accent in key.dead.items():
            yield ("in turn", f"the dead key {accent}"), machine.keystroke_name(Keystroke(state=state, key=key.name))
        for name, states in key.modes.items():
            for state, legend in states.items():
                stroke = machine.keystroke_name(Keystroke(state=state, key=key.name))
                yield ("in turn", f"{stroke} in the mode {name}"), legend.text
    for accent, pairs in machine.composes.items():
        yield from ((("in turn", f"{accent} and then {char}"), result) for char, result in pairs.items())
    for text, strokes_of in machine.sequences.items():
        yield ("in turn", f"the sequence of {text}"), ", then ".join(map(machine.keystroke_name, strokes_of))


def _wiring_facts(machine: Machine) -> Iterator[tuple[Fact, Value]]:
    lines = frozenset({*machine.select, *machine.sense, *machine.direct})
    yield from _socket_facts(machine.connector, machine.electric, lines)
    for revision in machine.revisions:
        yield ("revision", revision.name), frozenset(_socket_facts(revision.connector, revision.electric, lines))
    for controller in machine.controllers:
        yield ("wired", Name("controller", controller.name)), controller.wired.value
        for switch in controller.switches:
            sense = Name("line", machine.sense[switch.sense])
            select = None if switch.select is None else Name("line", machine.select[switch.select])
            yield ("switch", Name("controller", controller.name), switch.function), (select, sense)


def _socket_facts(
    connector: Connector | None, electric: Electric | None, lines: frozenset[str]
) -> Iterator[tuple[Fact, Value]]:
    """The key connector and what the machine does to its lines, for the machine itself or for a revision."""

    def line_value(text: str | None) -> Value:
        return Name("line", text) if text is not None and text in lines else text

    if connector is not None:
        yield ("connector", "key pin"), connector.key_pin
        for number, line in enumerate(connector.pins, start=1):
            yield ("pin", number), line_value(line)
        if connector.shape is not None:
            yield from ((("shape", field), _plain(getattr(connector.shape, field))) for field in SHAPE_FIELDS)
    if electric is not None:
        yield from ((("electric", field), _plain(getattr(electric, field))) for field in ELECTRIC_FIELDS)
        for each in fields(electric.values):
            stated = getattr(electric.values, each.name)
            if stated is not None:
                yield ("value", each.name), tuple(stated) if isinstance(stated, tuple) else stated
        for line, end in (electric.closes_to or {}).items():
            yield ("closes to", Name("line", line)), line_value(end)


SHAPE_FIELDS = ("rows", "columns", "numbering", "gender", "shrouded", "clearance")
ELECTRIC_FIELDS = ("supply_v", "supply_ma", "line_v", "select", "sense", "direct", "unselected_high")


def _plain(value: Numbering | Gender | Drive | float | None) -> Value:
    return value.value if isinstance(value, Numbering | Gender | Drive) else value


def _key_facts(machine: Machine) -> Iterator[tuple[Fact, Value]]:
    """The place of each key, what it types, and what else the file says about it."""
    yield from ((("source", Name("key", key)), source) for key, source in machine.sources.items())
    for key in machine.keys:
        name = Name("key", key.name)
        yield ("key", name), contact_value(machine, key.contact)
        for state, legend in key.types.items():
            held = frozenset(Name("modifier", modifier) for modifier in state)
            yield ("types", name, held), legend_value(legend)
        for state, meant in key.also.items():
            held = frozenset(Name("modifier", modifier) for modifier in state)
            yield ("also", name, held), tuple(map(legend_value, meant))
        for state in key.silent:
            yield ("types", name, frozenset(Name("modifier", modifier) for modifier in state)), None


def host_facts(host: Host) -> dict[Fact, Value]:
    """The facts of a host."""
    return dict(_host_facts(host))


def _host_facts(host: Host) -> Iterator[tuple[Fact, Value]]:
    yield from ((("host", field), getattr(host, field)) for field in ("id", "title", "source", "form"))
    yield ("host", "AltGr"), host.has_altgr
    for usage, key in host.keys.items():
        yield ("print", usage), tuple(legend_value(legend) for legend in key.legends)
        unprinted = frozenset(
            level for level, legend in enumerate(key.legends, start=1) if legend and level not in key.printed
        )
        if unprinted:
            yield ("unprinted", usage), unprinted
        if key.caps is not CapsLock.NONE:
            yield ("caps", usage), key.caps.value
    for accent, pairs in host.composes.items():
        yield from ((("composes", accent, char), result) for char, result in pairs.items())
