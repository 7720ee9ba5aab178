"""Plans made out of facts again, so that nothing can hide that the facts do not tell."""

from __future__ import annotations

from dataclasses import dataclass, replace

from matrixmap.compare.sides.facts import Fact, Name, Value
from matrixmap.hid.usages import Usage
from matrixmap.model.host import CapsLock, Host, HostKey
from matrixmap.model.layout import Contacts, HostModifier, Join
from matrixmap.model.legend import Legend
from matrixmap.model.machine import (
    Connector,
    Contact,
    Controller,
    Debounce,
    Diodes,
    Drive,
    Electric,
    Gender,
    Header,
    Key,
    Machine,
    Modifier,
    MoreKeys,
    Numbering,
    Revision,
    Scan,
    SelectIndex,
    SenseIndex,
    Switch,
    Wiring,
)
from matrixmap.model.place import Place
from matrixmap.model.plan import (
    Action,
    Command,
    Demand,
    Feed,
    Latch,
    Nothing,
    Plan,
    StandIn,
    Stroke,
    Timing,
    Trigger,
)
from matrixmap.model.values.electric import Interval, LineValues

NOWHERE = Place(file="", line=0, column=0)


@dataclass(frozen=True)
class Meaning:
    """All of a plan that is not a place in a file, a line of a layout, or how a file writes a name."""

    layout: tuple
    accept: frozenset
    commands: frozenset
    machine: Machine
    turns: frozenset
    places: frozenset
    host: Host
    bindings: tuple[tuple[Trigger, Action], ...]
    dead: tuple
    stand_ins: frozenset
    locks: tuple[bool, bool]
    guard: bool
    timing: Timing


def meaning(plan: Plan) -> Meaning:
    """The meaning of a plan, taken from the plan itself."""
    layout, machine, dead = plan.layout, plan.layout.machine, plan.dead_keys
    stand_in = layout.stand_in.id if layout.stand_in else None
    places = {
        (name, left, row.row, width)
        for row in machine.rows
        for left, (name, width) in zip(_lefts(row.left, row.keys), row.keys, strict=True)
        if name is not None
    }
    return Meaning(
        layout=(layout.id, layout.title, stand_in, layout.join, layout.contacts, layout.resumes, layout.apart),
        accept=frozenset((line.slug, line.words) for line in layout.accept),
        commands=frozenset((line.number, line.name) for line in layout.command_names),
        machine=_sorted_machine(replace(machine, rows=())),
        turns=frozenset(_turns(machine)),
        places=frozenset(places),
        host=_bare_host(layout.host),
        bindings=tuple((binding.trigger, binding.action) for binding in plan.bindings),
        dead=_sorted_maps(dead.triggers, dead.accents, dead.pairs),
        stand_ins=frozenset(plan.stand_ins),
        locks=(plan.caps_lock, plan.num_lock),
        guard=plan.guard,
        timing=plan.timing,
    )


def _lefts(left: float, keys: tuple) -> list[float]:
    found = []
    for _, width in keys:
        found.append(left)
        left += width
    return found


def _sorted_maps(*maps) -> tuple:
    return tuple(tuple(sorted(some.items(), key=repr)) for some in maps)


def _turns(machine: Machine):
    """What a machine has of strokes in turn, by the words that name each; a sequence with how many strokes it has."""
    yield from (f"the mode {mode.name}" for mode in machine.modes)
    yield from (f"the sequence of {text} in {len(strokes)}" for text, strokes in machine.sequences.items())
    yield from (f"{accent} and then {char}" for accent, pairs in machine.composes.items() for char in pairs)
    for key in machine.keys:
        yield from (f"the dead key {accent}" for accent in key.dead.values())
        for mode, states in key.modes.items():
            for state in states:
                held = [modifier.name for modifier in machine.modifiers if modifier.name in state]
                yield f"{' + '.join([*held, key.name])} in the mode {mode}"


def _bare(electric: Electric | None) -> Electric | None:
    """The electrical side; that all lines close to ground may be said or not."""
    return electric and replace(electric, closes_to=dict(electric.closes_to) if electric.closes_to else None)


def _text(value):
    return value.text if isinstance(value, Name) else value


def socket(some) -> tuple[Connector | None, Electric | None]:
    """Connector and electrical side out of the facts of a machine or of a revision; None where there are none."""
    pins = {fact[1]: value for fact, value in some.items() if fact[0] == "pin"}
    shape = {fact[1]: value for fact, value in some.items() if fact[0] == "shape"}
    volts = {fact[1]: value for fact, value in some.items() if fact[0] == "electric"}
    ends = {fact[1].text: _text(value) for fact, value in some.items() if fact[0] == "closes to"}
    connector = electric = None
    if ("connector", "key pin") in some:
        header = None
        if shape:
            words = {"numbering": Numbering(shape.pop("numbering")), "gender": Gender(shape.pop("gender"))}
            header = Header(**words, **shape)
        texts = tuple(_text(pins[number]) for number in range(1, len(pins) + 1))
        connector = Connector(pins=texts, key_pin=some["connector", "key pin"], shape=header)
    if volts:
        drives = {field: Drive(volts.pop(field)) for field in ("select", "sense", "direct")}
        numbers = {
            fact[1]: Interval(*value) if isinstance(value, tuple) else value
            for fact, value in some.items()
            if fact[0] == "value"
        }
        electric = Electric(**drives, **volts, closes_to=ends or None, values=LineValues(**numbers))
    return connector, electric


def _sorted_machine(machine: Machine) -> Machine:
    return replace(
        machine,
        place=NOWHERE,
        keys=tuple(
            replace(key, place=NOWHERE, types=dict(key.types), also=dict(key.also), dead={}, modes={})
            for key in machine.keys
        ),
        modes=(),
        composes={},
        sequences={},
        latching=dict(machine.latching),
        parallel=dict(machine.parallel),
        options={option: tuple(sorted(keys)) for option, keys in machine.options.items()},
        sources=dict(machine.sources),
        electric=_bare(machine.electric),
        revisions=tuple(
            replace(revision, electric=_bare(revision.electric))
            for revision in sorted(machine.revisions, key=lambda revision: revision.name)
        ),
        controllers=tuple(
            replace(controller, switches=tuple(sorted(controller.switches, key=lambda switch: switch.function)))
            for controller in machine.controllers
        ),
    )


def _bare_host(host: Host) -> Host:
    keys = {usage: replace(key, name="", place=NOWHERE) for usage, key in host.keys.items()}
    composes = {accent: dict(pairs) for accent, pairs in host.composes.items()}
    return replace(host, keys=keys, composes=composes, place=NOWHERE)


def rebuilt(some: dict[Fact, Value]) -> Meaning:
    """The meaning of a plan, made out of its facts alone."""
    return _Rebuilder(some).meaning()


class _Rebuilder:
    def __init__(self, some: dict[Fact, Value]) -> None:
        self.facts = some
        self.select, self.sense, self.direct = (
            tuple(name.text for name in some["machine", field]) for field in ("select", "sense", "direct")
        )
        self.contacts = {fact[1]: self.contact(value) for fact, value in self.of("key")}
        self.modifiers = some["machine", "modifiers"]

    def of(self, kind: str):
        return sorted(((fact, value) for fact, value in self.facts.items() if fact[0] == kind), key=repr)

    def contact(self, lines: tuple[Name, ...]) -> Contact:
        if len(lines) == 1:
            return Contact(len(self.select) * len(self.sense) + self.direct.index(lines[0].text))
        return Contact(self.select.index(lines[0].text) * len(self.sense) + self.sense.index(lines[1].text))

    def meaning(self) -> Meaning:
        some = self.facts
        layout = {fact[1]: value for fact, value in self.of("layout")}
        assert layout["machine"] == some["machine", "id"]
        assert layout["host"] == some["host", "id"]
        bindings = {self.trigger(*fact[1:]): self.action(value) for fact, value in self.of("trigger")}
        dead = (
            {self.trigger(*fact[1:], ()): accent for fact, accent in self.of("dead key")},
            {fact[1]: self.action(value) for fact, value in self.of("accent")},
            {(fact[1], fact[2], fact[3]): self.action(value) for fact, value in self.of("pair")},
        )
        return Meaning(
            layout=(
                layout["id"],
                layout["title"],
                layout["stand in"],
                Join(layout["join"]),
                Contacts(layout["contacts"]),
                layout["resume"],
                layout["keyboards"] == "apart",
            ),
            accept=frozenset((fact[1], reason) for fact, reason in self.of("accept")),
            commands=frozenset((fact[1], name) for fact, name in self.of("command name")),
            machine=self.machine(),
            turns=frozenset(self.turns()),
            places=frozenset((fact[1].text, *value) for fact, value in self.of("place")),
            host=self.host(),
            bindings=tuple((trigger, bindings[trigger]) for trigger in sorted(bindings, key=Trigger.sort_key)),
            dead=_sorted_maps(*dead),
            stand_ins=frozenset(
                StandIn(trigger=self.trigger(*fact[1:], ()), own=legend(value[0]), legend=legend(value[1]))
                for fact, value in self.of("stand-in")
            ),
            locks=(layout["Caps Lock"], layout["Num Lock"]),
            guard=layout["guard"],
            timing=Timing(close_ticks=layout["close"], open_ticks=layout["open"], lead_ticks=layout["lead"]),
        )

    def trigger(self, usage: int, level: int, extras: tuple[str, ...]) -> Trigger:
        return Trigger(usage=Usage(usage), level=level, extras=frozenset(HostModifier(extra) for extra in extras))

    def action(self, value: Value) -> Action:
        match value:
            case ("stroke", keys, demands, types, *more):
                asked = {demand[1]: demand for demand in demands}
                words = [asked.get(modifier, ("pass",)) for modifier in self.modifiers]
                return Stroke(
                    contacts=tuple(self.contacts[key] for key in keys),
                    demands=tuple(Demand(word[0]) for word in words),
                    holds=tuple(self.contacts[word[2]] for word in words if word[0] == "hold"),
                    types=legend(types),
                    before=tuple(self.action(stroke) for strokes in more for stroke in strokes),
                )
            case ("modifier", modifier, key):
                return Feed(modifier=modifier.text, contact=self.contacts[key])
            case ("latch", key, modifier, parallel):
                return Latch(
                    key=key.text, modifier=modifier.text if modifier else None, contact=self.contacts[parallel]
                )
            case ("command", number):
                return Command(number=number)
        assert value == ("nothing",)
        return Nothing()

    def machine(self) -> Machine:
        some = self.facts
        types: dict[Name, dict] = {}
        for (_, key, state), value in self.of("types"):
            types.setdefault(key, {})[frozenset(name.text for name in state)] = legend(value)
        keys = []
        for name, contact in self.contacts.items():
            states = types.pop(name, {})
            typed = {state: text for state, text in states.items() if text is not None}
            silent = frozenset(states) - frozenset(typed)
            further = {
                frozenset(name.text for name in state): tuple(map(legend, values))
                for (_, key, state), values in self.of("also")
                if key == name
            }
            keys.append(Key(name=name.text, contact=contact, types=typed, place=NOWHERE, silent=silent, also=further))
        assert not types
        modifiers = dict(self.of("modifier"))
        options: dict[str, tuple[str, ...]] = {}
        for fact, option in self.of("option"):
            options[option] = tuple(sorted((*options.get(option, ()), fact[1].text)))
        connector, electric = socket(some)
        return Machine(
            id=some["machine", "id"],
            title=some["machine", "title"],
            source=some["machine", "source"],
            select=self.select,
            sense=self.sense,
            direct=self.direct,
            diodes=Diodes(some["machine", "diodes"]),
            diode_contacts=frozenset(self.contact(fact[1]) for fact, _ in self.of("diode")),
            keys=tuple(sorted(keys, key=lambda key: key.contact)),
            latching={fact[1].text: value.text for fact, value in self.of("latching")},
            modifiers=tuple(
                Modifier(name=name.text, keys=tuple(key.text for key in modifiers["modifier", name]))
                for name in self.modifiers
            ),
            scan=Scan(
                **{
                    fact[1]: Debounce(value)
                    if fact[1] == "debounce"
                    else tuple(map(MoreKeys, value or ()))
                    if fact[1] == "more_keys"
                    else value
                    for fact, value in self.of("scan")
                }
            ),
            unseen=tuple(sorted(fact[1] for fact, value in self.of("visible") if value == "never")),
            seen_at_times=tuple(sorted(fact[1] for fact, value in self.of("visible") if value == "at times")),
            rows=(),
            connector=connector,
            electric=electric,
            revisions=tuple(
                Revision(name=fact[1], connector=own[0], electric=own[1])
                for fact, value in sorted(self.of("revision"))
                if (own := socket(dict(value)))
            ),
            controllers=tuple(self.controller(name) for name in some["machine", "controllers"]),
            place=NOWHERE,
            host_shift=some["machine", "host shift"].text if ("machine", "host shift") in some else None,
            options=options,
            parallel={fact[1].text: tuple(key.text for key in value) for fact, value in self.of("parallel")},
            sources={fact[1].text: value for fact, value in self.of("source")},
        )

    def turns(self):
        for (_, what), words in self.of("in turn"):
            strokes = f" in {len(words.split(', then '))}" if what.startswith("the sequence of ") else ""
            yield f"{what}{strokes}"

    def controller(self, name: Name) -> Controller:
        switches = [
            Switch(
                function=fact[2],
                sense=SenseIndex(self.sense.index(lines[1].text)),
                select=None if lines[0] is None else SelectIndex(self.select.index(lines[0].text)),
            )
            for fact, lines in self.of("switch")
            if fact[1] == name
        ]
        return Controller(
            name=name.text,
            wired=Wiring(self.facts["wired", name]),
            switches=tuple(sorted(switches, key=lambda switch: switch.function)),
        )

    def host(self) -> Host:
        some = self.facts
        keys = {}
        for (_, usage), legends in sorted(self.of("print"), key=lambda pair: pair[0][1]):
            keys[usage] = HostKey(
                usage=usage,
                name="",
                legends=tuple(map(legend, legends)),
                caps=CapsLock(some.get(("caps", usage), "none")),
                printed=frozenset(
                    level
                    for level, typed in enumerate(legends, start=1)
                    if typed is not None and level not in some.get(("unprinted", usage), ())
                ),
                place=NOWHERE,
            )
        accents = {each.text for key in keys.values() for each in key.legends if each and each.dead}
        composes: dict[str, dict[str, str]] = {accent: {} for accent in sorted(accents)}
        for (_, accent, char), result in self.of("composes"):
            composes[accent][char] = result
        return Host(
            id=some["host", "id"],
            title=some["host", "title"],
            source=some["host", "source"],
            form=some["host", "form"],
            keys=keys,
            has_altgr=some["host", "AltGr"],
            composes=composes,
            place=NOWHERE,
        )


def legend(value: Value) -> Legend | None:
    """The legend that a fact tells."""
    if value is None:
        return None
    return Legend(value[1], dead=True) if isinstance(value, tuple) else Legend(value)
