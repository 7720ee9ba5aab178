"""JSON Schemas of one project: the general ones, plus the names of its machines, hosts, layouts and rules."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from matrixmap.hid.usages import KEYPAD_DIGITS, USAGES
from matrixmap.model.machine import Key, Machine
from matrixmap.model.rule import Rule
from matrixmap.source.shape.formats import DEAD, kinds
from matrixmap.source.shape.schema import DRAFT
from matrixmap.source.shape.shapes import A_TEXT, Schema

MARK = "of this project"
"""In the titles of these schemas, but not of the general ones."""

TRIGGER_MODIFIERS = ("Shift", "AltGr", "Control", "Alt", "Meta")
PASSED = ("Control", "Shift", "Alt", "Meta")
LOCKS = ("CapsLock", "NumLock", "ScrollLock")
RENEW = "(if it is new: run matrixmap schema --project)"

A_CHARACTER = r"[^\u0000-\u001f][\u0300-\u036f]?|[\ud800-\udbff][\udc00-\udfff]"
"""One character as editors count: possibly with an accent that NFC joins, or a pair of surrogates."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """The names of a project: its machines, the machine of each layout, the titles of hosts, and rules.

    `hosts` are those that a layout can join, `bases` those that a host can inherit from. `functions` are all
    that hosts have. `rules` are those that a layout may accept, `slugs` all that it can name.
    """

    machines: Mapping[str, Machine]
    layouts: Mapping[str, str | None]
    hosts: Mapping[str, str]
    bases: Mapping[str, str]
    functions: Sequence[str]
    rules: Sequence[Rule]
    slugs: Sequence[str]


def project_schema_texts(names: Names) -> dict[str, str]:
    """File name -> JSON Schema of each kind of file; `schema_texts` gives the same for any project."""
    shapes = kinds()
    machines = list(names.machines.values())
    shared = {"legend": _legend(machines, names.functions)}
    for machine in machines:
        shared |= _machine_defs(machine)
    wholes = {
        "machine": _with(shapes["machine"].schema(), _cases(machines, _is_machine, _machine_part), shared),
        "host": _host(shapes["host"].schema(), names, machines),
        "layout": _with(
            _layout(shapes["layout"].schema(), names),
            _cases(machines, lambda machine: _is_layout_of(machine, names), _layout_part),
            {"triggers": keyed(_triggers(), {}, A_TRIGGER, _trigger_pattern()), **_strokes_of(machines)},
        ),
    }
    wholes |= {kind: shapes[kind].schema() for kind in ("part", "adapter")}
    return {
        f"{kind}.json": json.dumps(
            {"$schema": DRAFT, "title": f"matrixmap {kind} {MARK}", **whole}, ensure_ascii=False, separators=(",", ":")
        )
        + "\n"
        for kind, whole in wholes.items()
    }


def is_general(text: str) -> bool:
    """Whether a schema in a folder is a general one, not one of a project."""
    return MARK not in text[:200]


def _with(schema: Schema, cases: list[Schema], defs: Schema) -> Schema:
    return {**schema, "allOf": [*schema.get("allOf", []), *cases], "$defs": defs}


def _cases(
    machines: Iterable[Machine], condition: Callable[[Machine], Schema], part: Callable[[Machine], Schema]
) -> list[Schema]:
    return [{"if": condition(machine), "then": part(machine)} for machine in machines]


def _is_machine(machine: Machine) -> Schema:
    return {"properties": {"machine": {"const": machine.id}}, "required": ["machine"]}


def _is_layout_of(machine: Machine, names: Names) -> Schema:
    """Either a layout names its machine, or its base does."""
    own = _is_machine(machine)
    bases = [id for id, of in names.layouts.items() if of == machine.id]
    if not bases:
        return own
    based = {"properties": {"machine": False, "base": {"enum": bases}}, "required": ["base"]}
    return {"anyOf": [own, based]}


def named(
    names: Mapping[str, str] | Iterable[str], message: str, meaning: str = "", pattern: str | None = None
) -> Schema:
    """A value with one of some names: an editor completes these, and shows the message for any other.

    A mapping gives a description for each name. If more is allowed than is completed, `pattern` says what.
    """
    listed = dict(names) if isinstance(names, Mapping) else dict.fromkeys(names, "")
    wanted = pattern or _one_of(listed)
    # Snippets are offered like examples, but an editor does not list all of them on hover.
    offered = [
        {"label": name, "body": name, **({"description": told} if told else {})} for name, told in listed.items()
    ]
    schema: Schema = {
        **A_TEXT,
        "pattern": f"^(?:{wanted})$",
        "patternErrorMessage": message,
        "defaultSnippets": offered,
    }
    return {**schema, "description": meaning} if meaning else schema


def keyed(names: Mapping[str, str], value: Schema, message: str, pattern: str | None = None) -> Schema:
    """A mapping from some names, each with its description, to a value; an empty value schema allows anything."""
    schema: Schema = {
        "properties": {name: {**value, **({"description": told} if told else {})} for name, told in names.items()},
        "propertyNames": {"pattern": f"^(?:{pattern or _one_of(names)})$", "patternErrorMessage": message},
    }
    return {**schema, "additionalProperties": value} if value else schema


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _one_of(names: Iterable[str]) -> str:
    return "|".join(map(re.escape, names)) or "(?!)"


# Layouts.


def _layout(schema: Schema, names: Names) -> Schema:
    """The schema of a layout, without the parts that depend on its machine."""
    fields = dict(schema["properties"])
    known = fields.copy()
    for field, ids, what in (
        ("machine", {id: machine.title for id, machine in names.machines.items()}, "machine"),
        ("host", names.hosts, "host"),
        ("stand_in", names.hosts, "host"),
        ("base", {id: f"for {of}" if of else "" for id, of in names.layouts.items()}, "layout"),
    ):
        fields[field] = named(ids, f"there is no {what} of this name {RENEW}", known[field]["description"])
    for field in ("keys", "commands"):
        # In the general shape the names are arbitrary texts.
        fields[field] = {**known[field], "propertyNames": True, **_ref("triggers")}
    sides = {f"{name}{side}": "" for name in PASSED for side in ("Left", "Right")}
    fields["pass"] = {
        **known["pass"],
        **keyed(dict.fromkeys(PASSED, "") | sides | dict.fromkeys(_codes(), ""), {}, A_HOST_KEY, _host_key_pattern()),
    }
    fields["locks"] = {**known["locks"], **keyed(dict.fromkeys(LOCKS, ""), {}, f"a lock is {' or '.join(LOCKS)}")}
    purposes = {rule.slug: rule.purpose for rule in names.rules}
    fields["accept"] = {
        **known["accept"],
        **keyed(purposes, {}, "no finding has this slug (matrixmap rules lists them)", _one_of(names.slugs)),
    }
    return {**schema, "properties": fields}


A_TRIGGER = "a trigger is a W3C code or a usage number, after modifiers: KeyQ, Shift+Digit2, AltGr+KeyE, 0x64"
A_HOST_KEY = "a key of the host is a W3C code or a usage number: KeyA, IntlBackslash, 0x64"


def _codes() -> dict[str, str]:
    """W3C code -> what HID calls that key."""
    return {fact.code: fact.name for fact in USAGES if fact.code}


def _host_key_pattern() -> str:
    return "|".join([*_codes(), *PASSED, "0[xX][0-9A-Fa-f]{1,2}"])


def _trigger_pattern() -> str:
    """A trigger with its modifiers in any order, none repeated."""
    any_modifier = "|".join(TRIGGER_MODIFIERS)
    twice = rf"(?!.*\b({any_modifier})\b.*\b\1\b)"
    many = rf"(?:(?:{any_modifier})\s*\+\s*)+\*"
    digits = "|".join([*(fact.code for fact in USAGES if fact.code and fact.usage in KEYPAD_DIGITS), *_hexadecimal()])
    no_level = rf"(?!.*\bAltGr\b.*\+\s*(?:{digits})$)"
    return (
        rf"{twice}{no_level}(?:{many}|(?:(?:{any_modifier})\s*\+\s*)*(?:{'|'.join(_codes())}|0[xX][0-9A-Fa-f]{{1,2}}))"
    )


def _hexadecimal() -> list[str]:
    """The keypad's digits as usage numbers, as patterns."""
    return [f"0[xX]{''.join(f'[{digit}{digit.upper()}]' for digit in f'{usage:02x}')}" for usage in KEYPAD_DIGITS]


def _triggers() -> dict[str, str]:
    """Every code with every set of modifiers of a trigger; plain ones first, with the HID name of the key."""
    sets = [chosen for count in range(len(TRIGGER_MODIFIERS) + 1) for chosen in combinations(TRIGGER_MODIFIERS, count)]
    no_level = {fact.code for fact in USAGES if fact.usage in KEYPAD_DIGITS}
    return {
        "+".join([*chosen, code]): name if not chosen else ""
        for chosen in sets
        for code, name in _codes().items()
        if "AltGr" not in chosen or code not in no_level
    }


def _layout_part(machine: Machine) -> Schema:
    """What the machine of a layout adds: its keys, modifiers, characters and functions."""
    stroke = _ref(f"{machine.id}-stroke")
    typed = {
        legend.text: f"typed by {' + '.join([*([machine.state_name(state)] if state else []), key.name])}"
        for key in reversed(machine.keys)
        for state, legend in reversed(list(key.types.items()))
    }
    modifiers = [modifier.name for modifier in machine.modifiers]
    keys = _keys(machine)
    return {
        "properties": {
            "types": keyed(typed, stroke, f"{machine.title} does not type this {RENEW}"),
            "keys": {"additionalProperties": stroke},
            "pass": {"additionalProperties": named(modifiers, f"{machine.title} has no such modifier {RENEW}")},
            "locks": {"additionalProperties": named(keys, f"{machine.title} has no such key {RENEW}")},
        }
    }


def _strokes_of(machines: Iterable[Machine]) -> Schema:
    return {
        f"{machine.id}-stroke": named(_strokes(machine), _no_stroke(machine), pattern=_stroke_pattern(machine))
        for machine in machines
    }


def _no_stroke(machine: Machine) -> str:
    return f"a stroke is a key of {machine.title}, after its modifiers and a +, or none; it has no such key or modifier {RENEW}"


def _strokes(machine: Machine) -> dict[str, str]:
    """None, each key alone, and each key with the modifiers of another shift state, each with what it types."""
    strokes = {"none": "does nothing, on purpose"} | {key.name: key_words(machine, key) for key in machine.keys}
    strokes |= _caps(machine)
    for key in machine.keys:
        strokes |= {
            f"{machine.state_name(state)} + {key.name}": f"types {legend.text}"
            for state, legend in key.types.items()
            if state
        }
    return strokes | {f"{modifier.name} + *": "for many keys, as Alt+* is" for modifier in machine.modifiers}


def _stroke_pattern(machine: Machine) -> str:
    modifiers = [modifier.name for modifier in machine.modifiers]
    keys = [re.escape(name) for name in (*(key.name for key in machine.keys), *machine.parallel)]
    part = "|".join([*keys, *map(re.escape, modifiers)])
    return rf"none|(?:(?:{part})\s*\+\s*)*(?:{'|'.join(keys)})|(?:(?:{part})\s*\+\s*)+\*"


# Machines.


def _machine_part(machine: Machine) -> Schema:
    """What the file of a machine adds: its own lines and keys, as its grid has them."""
    a_key = _ref(f"{machine.id}-key")
    some_keys: Schema = {"anyOf": [a_key, {"type": "array", "items": a_key}]}
    row = {"minItems": len(machine.sense), "maxItems": len(machine.sense)}
    grid = keyed(
        dict.fromkeys(machine.select, f"one key for each sense line: {', '.join(machine.sense)}"),
        row,
        f"a row of the grid is for a select line: {', '.join(machine.select)} {RENEW}",
    )
    typed = {key.name: key_words(machine, key) for key in machine.keys}
    placed: Schema = {"anyOf": [a_key, {"properties": {"key": a_key}, "type": "object"}]}
    return {
        "properties": {
            "matrix": {"properties": {"grid": grid, "diodes": {"items": a_key}}},
            "latching": {"additionalProperties": a_key},
            "parallel": {"additionalProperties": some_keys},
            "options": {"additionalProperties": some_keys},
            "sources": keyed(_keys(machine), {}, _no_key(machine)),
            "modifiers": {"additionalProperties": some_keys},
            "types": keyed(typed, _ref(f"{machine.id}-types"), _no_key(machine)),
            "place": {"items": {"properties": {"keys": {"items": placed}}}},
            "connector": {"properties": {"pins": {"items": _ref(f"{machine.id}-pin")}}},
        }
    }


def _machine_defs(machine: Machine) -> Schema:
    """The shared definitions of a machine's schema: a key, what a key types, what is on a pin."""
    states = {"plain": "with no modifier held"} | dict.fromkeys(_states(machine), "")
    lines = ["ground", "supply", "none", *machine.select, *machine.sense, *machine.direct]
    legends: Schema = {"anyOf": [_ref("legend"), {"type": "array", "items": _ref("legend")}, DEAD.schema()]}
    pin = f"a pin is a line of {machine.title}, ground, supply or none {RENEW}"
    return {
        f"{machine.id}-key": named(_keys(machine), _no_key(machine)),
        f"{machine.id}-types": keyed(states, legends, _no_state(machine), _state_pattern(machine)),
        f"{machine.id}-pin": named(lines, pin),
    }


def _legend(machines: Iterable[Machine], functions: Iterable[str]) -> Schema:
    """What a key types: any character and any function; known functions are completed."""
    return named(
        ["none", *functions, *_own_functions(machines)],
        "a key types one character, or a function by a name of letters and digits, such as Enter",
        pattern=f"none|[A-Za-z][A-Za-z0-9]{{1,31}}|{A_CHARACTER}",
    )


def _own_functions(machines: Iterable[Machine]) -> list[str]:
    made = (legend.text for machine in machines for key in machine.keys for legend in key.types.values())
    return list(dict.fromkeys(text for text in made if len(text) > 1))


def _no_key(machine: Machine) -> str:
    return f"{machine.title} has no key of this name in its grid, under direct, latching or parallel {RENEW}"


def _keys(machine: Machine) -> dict[str, str]:
    """The keys of a machine with what each types, and its latching keys."""
    keys = {key.name: key_words(machine, key) for key in machine.keys}
    return keys | {name: f"a latch in parallel with {key}" for name, key in machine.latching.items()} | _caps(machine)


def _caps(machine: Machine) -> dict[str, str]:
    return {name: f"closes {machine.closes(name)}" for name in machine.parallel}


def key_words(machine: Machine, key: Key) -> str:
    """What a key types, in one line: `plain: 1, shift: !`."""
    return ", ".join(f"{machine.state_name(state)}: {legend.text}" for state, legend in key.types.items())


def _states(machine: Machine) -> list[str]:
    names = [modifier.name for modifier in machine.modifiers]
    held = [" + ".join(chosen) for count in range(1, len(names) + 1) for chosen in combinations(names, count)][:64]
    return held + [mode.name for mode in machine.modes]


def _state_pattern(machine: Machine) -> str:
    known = [modifier.name for modifier in machine.modifiers] + [mode.name for mode in machine.modes]
    names = "|".join(map(re.escape, known))
    return rf"plain|(?:{names})(?:\s*\+\s*(?:{names}))*" if names else "plain"


def _no_state(machine: Machine) -> str:
    return f"a shift state is plain, or modifiers of {machine.title} joined by +: {', '.join(['plain', *_states(machine)][:4])} {RENEW}"


# Hosts.


def _host(schema: Schema, names: Names, machines: Sequence[Machine]) -> Schema:
    """The schema of a host with its keys, and the functions that machines have."""
    fields = dict(schema["properties"])
    legends = fields["legends"]
    offered = named([*names.functions, *_own_functions(machines)], "")["defaultSnippets"]
    legend = {**legends["additionalProperties"], "defaultSnippets": offered, "items": {"defaultSnippets": offered}}
    fields["legends"] = {**legends, **keyed(_codes(), _ref("legend"), A_HOST_KEY, _host_key_pattern())}
    fields["caps"] = {**fields["caps"], **keyed(_codes(), {}, A_HOST_KEY, _host_key_pattern())}
    fields["base"] = named(names.bases, f"there is no host of this name {RENEW}", fields["base"]["description"])
    return {**schema, "properties": fields, "$defs": {"legend": legend}}
