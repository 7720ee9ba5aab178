"""Machine, host and layout files read a second time, without the project's reader, model or join.

PyYAML's BaseLoader gives every scalar as text. What the files mean is written here anew: which contacts are which keys,
what the machine types for a set of closed contacts, what is printed on a key, and which lines of a layout speak of it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).parent
KEYPAD = range(0x59, 0x64)
SIDES = {"Control": (0xE0, 0xE4), "Shift": (0xE1, 0xE5), "Alt": (0xE2, 0xE6), "Meta": (0xE3, 0xE7)}

Contact = tuple[str, int, int]
State = frozenset[str]


def tree(path: Path) -> Any:
    """A file as text, mappings and lists."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


@cache
def usages_of_codes() -> Mapping[str, tuple[int, ...]]:
    """W3C code -> usages, from the reference table beside this file."""
    found: dict[str, tuple[int, ...]] = {}
    for row in tree(HERE / "hid-usages.yaml")["usages"]:
        if row["code"] != "null":
            found[row["code"]] = (*found.get(row["code"], ()), int(row["id"], 16))
    return found


def usages_named(name: str) -> tuple[int, ...]:
    """The usages of a code or number as files write them."""
    return (int(name, 16),) if name.lower().startswith("0x") else usages_of_codes()[name]


@dataclass(frozen=True)
class Machine:
    """The keys at their contacts and what they type, out of a machine file."""

    keys: Mapping[Contact, str]
    modifiers: Mapping[str, tuple[str, ...]]
    types: Mapping[str, Mapping[State, str | None]]
    latching: Mapping[str, str]
    sequences: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def contact(self, key: str) -> Contact:
        """Where a key is."""
        return next(contact for contact, name in self.keys.items() if name == key)

    def modifier_of(self, key: str) -> str | None:
        """The modifier that a key is, or None."""
        return next((name for name, keys in self.modifiers.items() if key in keys), None)

    def decode(self, closed: Iterable[Contact]) -> tuple[list[str], State]:
        """The keys that are no modifiers, and the modifiers held, of a set of closed contacts."""
        names = [self.keys[contact] for contact in sorted(closed)]
        held = frozenset(filter(None, map(self.modifier_of, names)))
        return [name for name in names if self.modifier_of(name) is None], held

    def typed(self, closed: Iterable[Contact]) -> str | None:
        """What the machine types: one key, in the state of the modifiers that make a difference to it; else None."""
        keys, held = self.decode(closed)
        if len(keys) != 1:
            return None
        types = self.types.get(keys[0], {})
        return types.get(held & frozenset().union(*types)) if types else None

    def has(self, text: str) -> bool:
        """Whether any key types this, or several strokes in turn."""
        return text in self.sequences or any(text in types.values() for types in self.types.values())

    def strokes(self, text: str) -> list[tuple[str, State]]:
        """The strokes that type something in turn: each key with the modifiers to hold."""
        parts = [[name.strip() for name in stroke.split("+")] for stroke in self.sequences[text]]
        return [(names[-1], frozenset(names[:-1])) for names in parts]

    def in_turn(self, texts: list[str]) -> list[str]:
        """What was typed stroke by stroke, with what strokes in turn make of it."""
        for text in self.sequences:
            single = [self.types[key][state] for key, state in self.strokes(text)]
            for start in range(len(texts) - len(single) + 1):
                if texts[start : start + len(single)] == single:
                    return self.in_turn([*texts[:start], text, *texts[start + len(single) :]])
        return texts


@cache
def read_machine(path: Path) -> Machine:
    """The machine of a file."""
    top = tree(path)
    matrix = top["matrix"]
    keys: dict[Contact, str] = {}
    for select, line in enumerate(matrix["select"]):
        for sense, name in enumerate(matrix["grid"][line]):
            if name != "none":
                keys["x", select, sense] = name
    for number, name in enumerate(top.get("direct", {})):
        keys["d", number, 0] = name
    modes = set(top.get("modes", {}))
    states = {
        name: {_state(text): _printed(legend) for text, legend in types.items() if not _state(text) & modes}
        for name, types in top["types"].items()
    }
    modifiers = {name: tuple([keys] if isinstance(keys, str) else keys) for name, keys in top["modifiers"].items()}
    sequences = {legend: tuple(strokes) for legend, strokes in top.get("sequences", {}).items()}
    return Machine(keys=keys, modifiers=modifiers, types=states, latching=top.get("latching", {}), sequences=sequences)


def _state(text: str) -> State:
    return frozenset(name.strip() for name in text.split("+") if name.strip() != "plain")


def _nfc(text: str) -> str:
    return unicodedata.normalize("NFC", text)


@dataclass(frozen=True)
class Host:
    """What is printed on the keys, out of a host file and those that it takes over from."""

    legends: Mapping[int, tuple[str | None, ...]]
    dead: frozenset[tuple[int, int]] = field(default_factory=frozenset)
    composes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    @property
    def levels(self) -> int:
        """4 where any key, the keypad aside, has more than two legends; else 2."""
        rows = [row for usage, row in self.legends.items() if usage not in KEYPAD]
        return 4 if any(len(row) > 2 for row in rows) else 2

    def at(self, usage: int, level: int) -> str | None:
        """What is typed at a level: a modifier for which the key has no legend of its own changes nothing."""
        row = self.legends.get(usage, ())
        return row[self._own(usage, level) - 1] if row else None

    def is_dead(self, usage: int, level: int) -> bool:
        """Whether the legend at a level is that of a dead key."""
        return bool(self.legends.get(usage)) and (usage, self._own(usage, level)) in self.dead

    def _own(self, usage: int, level: int) -> int:
        row = self.legends[usage]
        level -= 2 * (level > 2 and len(row) <= 2)
        return min(level, len(row))


@cache
def read_host(folder: Path, id: str) -> Host:
    """The host of that id, with its bases from the same folder."""
    chain = [tree(folder / f"{id}.yaml")]
    while "base" in chain[-1]:
        chain.append(tree(folder / f"{chain[-1]['base']}.yaml"))
    legends: dict[int, tuple[str | None, ...]] = {}
    dead: set[tuple[int, int]] = set()
    for top in reversed(chain):
        for name, row in (top.get("legends") or {}).items():
            items = row if isinstance(row, list) else [row]
            for usage in usages_named(name):
                legends[usage] = tuple(_printed(item) for item in items)
                dead = {cell for cell in dead if cell[0] != usage}
                dead |= {(usage, level) for level, item in enumerate(items, 1) if isinstance(item, dict)}
    composes: dict[str, dict[str, str]] = {}
    for top in reversed(chain):
        for accent, pairs in (top.get("composes") or {}).items():
            # `space'` is what the accent makes of a space; the other pairs are two characters each.
            words = [
                (" ", word[5:]) if word.startswith("space") else (word[0], word[1:]) for word in _nfc(pairs).split()
            ]
            composes[_nfc(accent)] = dict(words)
    return Host(legends=legends, dead=frozenset(dead), composes=composes)


def _printed(item: Any) -> str | None:
    if isinstance(item, dict):
        return _nfc(item["dead"])
    return None if item == "none" else _nfc(item)


@dataclass(frozen=True)
class Line:
    """A line of a layout: the usages and level that it speaks of (None: no modifier is named), and its stroke."""

    usages: tuple[int, ...]
    level: int | None
    extras: frozenset[str]
    stroke: str


@dataclass(frozen=True)
class Layout:
    """The lines of a layout with its machine and host."""

    machine: Machine
    host: Host
    symbolic: bool
    lines: tuple[Line, ...]
    feeds: Mapping[int, str]
    locks: Mapping[int, str]
    types: Mapping[str, str]
    stand_in: Host | None

    def line_for(self, usage: int, level: int, extras: frozenset[str]) -> Line | None:
        """The line that decides a press; one that names modifiers wins over one that names none."""
        found = [line for line in self.lines if usage in line.usages and line.extras == extras]
        named = [line for line in found if line.level == level]
        open_ = [line for line in found if line.level is None and (level == 1 or self._every_level(usage, line))]
        return next(iter([*named, *open_]), None)

    def _every_level(self, usage: int, line: Line) -> bool:
        alike = len(self.host.legends.get(usage, ("",))) == 1
        return not self.symbolic or alike or usage in KEYPAD or self.machine.modifier_of(line.stroke) is not None


def read_layout(root: Path, id: str, data: Path | None = None) -> Layout:
    """The layout of that id in a folder; machine and host from there or from `data`."""
    top = _with_bases(root / "layouts", id)
    roots = [root, *([data] if data else [])]

    def find(kind: str, name: str) -> Path:
        return next(path for at in roots if (path := at / "shared" / kind / f"{name}.yaml").is_file())

    def host_path(field: str) -> Path:
        return find("hosts", top[field])

    machine = read_machine(find("machines", top["machine"]))
    host = read_host(host_path("host").parent, top["host"])
    symbolic = top["join"] == "symbolic"
    written = top.get("keys", {})
    lines = [_line(trigger, stroke) for trigger, stroke in written.items() if not trigger.endswith("*")]
    feeds: dict[int, str] = {}
    shift = tree(find("machines", top["machine"])).get("host_shift", "shift")
    if symbolic and shift in machine.modifiers:
        feeds = dict.fromkeys(SIDES["Shift"], machine.modifiers[shift][0])
    for name, modifier in top.get("pass", {}).items():
        for usage in SIDES.get(name) or usages_named(name):
            if usage != 0xE6 or host.levels == 2:
                feeds[usage] = machine.modifiers[modifier][0]
    for line in lines:
        if machine.modifier_of(line.stroke) is not None:
            feeds.update(dict.fromkeys(line.usages, line.stroke))
    locks = {usages_named(name)[0]: key for name, key in top.get("locks", {}).items()}
    layout = Layout(
        machine=machine,
        host=host,
        symbolic=symbolic,
        lines=tuple(line for line in lines if machine.modifier_of(line.stroke) is None),
        feeds=feeds,
        locks=locks,
        types=top.get("types", {}),
        stand_in=read_host(host_path("stand_in").parent, top["stand_in"]) if "stand_in" in top else None,
    )
    many = [
        line for trigger, stroke in written.items() if trigger.endswith("*") for line in _many(layout, trigger, stroke)
    ]
    return replace(layout, lines=(*layout.lines, *many))


def _many(layout: Layout, trigger: str, stroke: str) -> Iterator[Line]:
    """A line for many keys written out: for each key that types something in its state, the host key that types its plain legend.

    Of several host keys the first: not on the keypad, not of the second host, at the lowest level, of the lowest usage. A
    host key answers for one key.
    """
    pattern = _line(trigger.replace("*", "KeyA"), stroke)
    state = _state(stroke.rpartition("+")[0])
    wanted = {key for key, types in layout.machine.types.items() if types.get(state)}
    codes = {usage: code for code, usages in usages_of_codes().items() for usage in usages}
    presses = []
    for usage in layout.host.legends:
        for level in range(1, 3 if usage in KEYPAD else layout.host.levels + 1):
            key, second = _plain_key(layout, usage, level)
            if key in wanted:
                presses.append((codes[usage].startswith("Numpad"), second, level, usage, key))
    taken: set[str] = set()
    for *_, usage, key in sorted(presses):
        if key in wanted and codes[usage] not in taken:
            wanted.discard(key)
            taken.add(codes[usage])
            usages = usages_of_codes()[codes[usage]]
            named = any(
                set(line.usages) & set(usages) and (line.level or 1, line.extras) == (pattern.level, pattern.extras)
                for line in layout.lines
            )
            if not named:
                yield Line(usages, pattern.level, pattern.extras, stroke.replace("*", key))


def _plain_key(layout: Layout, usage: int, level: int) -> tuple[str | None, bool]:
    """The key of the machine that a press alone makes type its plain legend, if any, and whether by the second host."""
    machine = layout.machine
    line = layout.line_for(usage, level, frozenset())
    if line is not None or usage in layout.feeds or usage in layout.locks:
        alone = line is not None and line.stroke in machine.types
        return (line.stroke if line and alone else None), False
    for host in (layout.host, layout.stand_in):
        text = host.at(usage, level) if host and not host.is_dead(usage, level) else None
        for some in (text, text.swapcase() if text and len(text) == 1 else None):
            if some is not None and machine.has(some):
                typing = [key for key in machine.keys.values() if machine.types.get(key, {}).get(frozenset()) == some]
                return (typing[0] if typing else None), host is layout.stand_in
    return None, False


def _with_bases(folder: Path, id: str) -> Any:
    top = tree(folder / f"{id}.yaml")
    if "base" not in top:
        return top
    base = _with_bases(folder, top["base"])
    merged = {**base, **top}
    for section in ("keys", "pass", "locks", "types", "commands"):
        if section in base or section in top:
            merged[section] = {**base.get(section, {}), **top.get(section, {})}
    return merged


def _line(trigger: str, stroke: str) -> Line:
    *modifiers, key = (part.strip() for part in trigger.split("+"))
    level = 1 + ("Shift" in modifiers) + 2 * ("AltGr" in modifiers)
    extras = frozenset(modifiers) - {"Shift", "AltGr"}
    return Line(usages_named(key), level if modifiers else None, extras, stroke)
