"""Machines and layouts made at random, as texts that the reader reads: the same for the same seed, on any computer.

They have what shipped ones lack: any size from one crosspoint to 16x16, every kind of contact, odd feeders, chords,
strokes of modifiers alone, locks worked by a latch or a key, direct lines, controllers. No stroke names the contact of
a modifier key or of a latch: mm_runtime.h rules that out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from random import Random
from typing import Any

from matrixmap.hid.usages import KEYPAD_DIGITS, by_code
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from tests.shipped import seeds_up_to

HOSTS = ("en-US", "de-DE", "fr-FR")
WITH_ALT_GR = ("de-DE", "fr-FR")
KINDS = ("switch", "switch", "switch-with-diode", "follows-select")
SEEDS = 1
"""The seeds of machines that the suite plays."""
CAMPAIGN_SEEDS = 16
"""Those of the campaign."""
MACHINES_A_SEED = 25

EDGES = ((1, 1), (16, 16), (1, 16), (16, 1), (2, 2), (8, 8))
"""Sizes that come first, whatever the seed."""

CHARACTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~ £§°µ€´¨áéíóúàèâêîôäëïöüÄÖÜñ"
FUNCTIONS = ("Enter", "Escape", "Backspace", "Tab", "ArrowUp", "ArrowLeft", "Home", "U1", "U2")
LETTERS = tuple(f"Key{letter}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
HOST_KEYS = (
    *LETTERS,
    *(f"Digit{digit}" for digit in range(10)),
    *(f"F{number}" for number in range(1, 13)),
    *("Minus", "Equal", "BracketLeft", "Semicolon", "Quote", "Backquote", "Comma", "Period", "Slash", "IntlBackslash"),
    *("Enter", "Escape", "Backspace", "Tab", "Space", "ArrowUp", "ArrowLeft", "Home", "Pause", "0x32", "0x68"),
    *("Numpad0", "Numpad1", "Numpad7", "NumpadDecimal", "NumpadEnter", "NumpadAdd"),
)
FEEDERS = (
    *("ShiftLeft", "ShiftRight", "ControlLeft", "ControlRight", "AltLeft", "AltRight", "MetaLeft", "MetaRight"),
    *("F9", "F10", "CapsLock", "KeyZ"),
)
PASSED = ("Shift", "Control", "Alt", "Meta", "ControlLeft", "ControlRight", "AltLeft", "MetaRight", "F9")
LOCK_KEYS = ("CapsLock", "NumLock", "ScrollLock")
PREFIXES = ("", "", "", "Shift+", "Shift+", "Control+", "Alt+", "Meta+", "Control+Alt+", "Shift+Control+", "Shift+Alt+")
ALT_GR_PREFIXES = ("AltGr+", "Shift+AltGr+", "AltGr+Control+")
MODIFIERS = ("shift", "control", "graph")


@dataclass(slots=True)
class _Texts:
    """Files by kind and id."""

    files: dict[tuple[str, str], str] = field(default_factory=dict)

    def misnamed(self, kind: str) -> Sequence[str]:
        return ()

    def ids(self, kind: str) -> Sequence[str]:
        return sorted(id for other, id in self.files if other == kind)

    def read(self, kind: str, id: str) -> bytes | None:
        text = self.files.get((kind, id))
        return None if text is None else text.encode()

    def name(self, kind: str, id: str) -> str:
        return f"{kind}/{id}.yaml"


@dataclass(slots=True, kw_only=True)
class _Machine:
    """A machine while it is made: its grid by rows, its modifiers with their keys, and what may be pressed."""

    grid: list[list[str]]
    direct: list[str]
    modifiers: dict[str, list[str]]
    latches: dict[str, str]
    plain: list[str]
    types: dict[str, dict[str, str]]
    sequences: dict[str, list[str]] = field(default_factory=dict)


def random_texts(count: int, seed: int, sequences: bool = False) -> Iterator[tuple[str, str, str]]:
    """So many ids, each with the text of a machine and that of a layout of that id on it; with sequences if wanted."""
    for number in range(count):
        chosen = Random(f"{seed}/{number}")
        id = f"random-{seed}-{number}"
        size = EDGES[number] if number < len(EDGES) else _size(chosen)
        machine = _make(chosen, *size)
        if sequences:
            _add_sequences(chosen, machine)
        yield id, _machine_text(chosen, id, machine), _layout_text(chosen, id, machine)


def seeds() -> list[Any]:
    """The seeds for a test that plays MACHINES_A_SEED machines of each: the first in the suite, all in the campaign."""
    return seeds_up_to(SEEDS, CAMPAIGN_SEEDS)


def random_plans(count: int, seed: int = 0, sequences: bool = False) -> Iterator[Plan]:
    """The plans of so many random layouts, each on a machine of its own."""
    workshop = Workshop()
    return (workshop.plan(*texts) for texts in random_texts(count, seed, sequences))


class Workshop:
    """Plans from texts, with the shipped hosts behind them, which are read once."""

    def __init__(self) -> None:
        self._texts = _Texts()
        self._project = Project([self._texts, shipped_folder()], ())

    def plan(self, id: str, machine: str, layout: str) -> Plan:
        """The plan of a layout on a machine, both of that id; they must read without a finding."""
        self._texts.files["machine", id] = machine
        self._texts.files["layout", id] = layout
        loaded = self._project.layout(id)
        assert loaded is not None
        assert loaded.value is not None, f"{[finding.text for finding in loaded.findings]}\n{machine}\n{layout}"
        return compile_plan(loaded.value)


# ---- the machine ----


def _size(chosen: Random) -> tuple[int, int]:
    largest = chosen.choice((4, 6, 10, 16))
    return chosen.randint(1, largest), chosen.randint(1, largest)


def _make(chosen: Random, selects: int, senses: int) -> _Machine:
    density = chosen.choice((0.4, 0.8, 1.0))
    grid = [
        [f"k{row}-{column}" if chosen.random() < density else "none" for column in range(senses)]
        for row in range(selects)
    ]
    if all(name == "none" for row in grid for name in row):
        grid[0][0] = "k0-0"
    direct = [f"d{number}" for number in range(chosen.choice((0, 0, 1, 3, 8)))]
    left = [name for row in grid for name in row if name != "none"] + direct
    chosen.shuffle(left)
    modifiers = {}
    for name in MODIFIERS[: chosen.randint(0, 3)]:
        keys = [left.pop() for _ in range(chosen.choice((1, 1, 2))) if len(left) > 1]
        if keys:
            modifiers[name] = keys
    latches = {}
    parallel = [key for keys in modifiers.values() for key in keys]
    if len(left) > 2 and chosen.random() < 0.2:
        parallel.append(left.pop())  # a latch on a key that no modifier has, and that no stroke presses
    for number in range(chosen.choice((0, 1, 2))):
        if parallel:
            latches[f"latch{number}"] = parallel.pop(chosen.randrange(len(parallel)))
    types = {name: _types(chosen, list(modifiers)) for name in left if chosen.random() < 0.9}
    types.setdefault(left[0], {"plain": chosen.choice("abcxyz")})
    return _Machine(grid=grid, direct=direct, modifiers=modifiers, latches=latches, plain=left, types=types)


def _add_sequences(chosen: Random, machine: _Machine) -> None:
    """Some characters that several strokes type; those that come first type nothing by themselves."""
    states = ["plain", *machine.modifiers]
    strokes = [(key, state) for key in machine.plain for state in states]
    first = chosen.sample(strokes, min(len(strokes) - 1, 3))
    for key, state in first:
        machine.types.setdefault(key, {})[state] = "none"
        if state == "plain":
            # Else the plain legend would stand for other states, too.
            machine.types[key].update(dict.fromkeys(states, "none"))
    begins = [_written(key, state) for key, state in first]
    pairs = [list(pair) for pair in combinations(machine.modifiers, 2)]
    if pairs and not any(_holds(state, pairs[0]) for typed in machine.types.values() for state in typed):
        begins.append(" + ".join(pairs[0]))
    last = [_written(key, state) for key, state in strokes if (key, state) not in first]
    for text in chosen.sample(CHARACTERS, 12) if begins and last else ():
        sequence = [*(chosen.choice(begins) for _ in range(chosen.choice((1, 1, 2, 3)))), chosen.choice(last)]
        alone = [stroke for stroke, other in pairwise(sequence) if " + " in stroke and stroke == other]
        if sequence not in machine.sequences.values() and not alone and text != "¨":
            machine.sequences[_quoted(text)] = sequence


def _written(key: str, state: str) -> str:
    return key if state == "plain" else f"{state} + {key}"


def _holds(state: str, modifiers: Sequence[str]) -> bool:
    return set(modifiers) <= set(state.split(" + "))


def _types(chosen: Random, modifiers: list[str]) -> dict[str, str]:
    states = ["plain", *modifiers, *(f"{one} + {other}" for one in modifiers for other in modifiers if one < other)]
    wanted = [state for state in states if chosen.random() < 0.6] or ["plain"]
    return {state: _legend(chosen) for state in wanted}


def _legend(chosen: Random) -> str:
    kind = chosen.random()
    if kind < 0.05:
        return "none"
    return _quoted(chosen.choice(FUNCTIONS) if kind < 0.2 else chosen.choice(CHARACTERS))


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _mapping(entries: dict[str, str]) -> str:
    return "{" + ", ".join(f"{name}: {value}" for name, value in entries.items()) + "}"


def _machine_text(chosen: Random, id: str, machine: _Machine) -> str:
    selects = [f"S{row}" for row in range(len(machine.grid))]
    senses = [f"N{column}" for column in range(len(machine.grid[0]))]
    lines = [f"machine: {id}", "title: A random machine", "source: made for this test", "matrix:"]
    lines += [f"  select: [{', '.join(selects)}]", f"  sense: [{', '.join(senses)}]", "  grid:"]
    lines += [f"    {line}: [{', '.join(row)}]" for line, row in zip(selects, machine.grid, strict=True)]
    if machine.direct:
        lines.append(f"direct: {_mapping({name: f'L{name}' for name in machine.direct})}")
    if machine.modifiers:
        lines += ["modifiers:", *(f"  {name}: [{', '.join(keys)}]" for name, keys in machine.modifiers.items())]
    if machine.latches:
        lines.append(f"latching: {_mapping(machine.latches)}")
    lines += ["types:", *(f"  {name}: {_mapping(typed)}" for name, typed in machine.types.items())]
    if machine.sequences:
        lines += ["sequences:", *(f"  {text}: [{', '.join(turns)}]" for text, turns in machine.sequences.items())]
    scan = {
        "period_us": str(chosen.choice((1000, 5000, 20000))),
        "sweep_us": str(chosen.choice((0, 100, 640))),
        "samples_down": str(chosen.randint(1, 3)),
        "samples_up": str(chosen.randint(1, 3)),
        "tolerance_percent": str(chosen.choice((0, 1, 5))),
    }
    rollover = chosen.choice((None, 1, 2, 3))
    lines.append(f"scan: {_mapping(scan | ({'rollover': str(rollover)} if rollover else {}))}")
    if chosen.random() < 0.3:
        fire = f"{chosen.choice(selects)}/{chosen.choice(senses)}"
        wired = chosen.choice(("gated", "contact"))
        lines.append(f"controllers: {{stick: {{Up: {chosen.choice(senses)}}}, pad: {{wired: {wired}, Fire: {fire}}}}}")
    return "\n".join([*lines, ""])


# ---- the layout ----


def _layout_text(chosen: Random, id: str, machine: _Machine) -> str:
    host, join = chosen.choice(HOSTS), chosen.choice(("symbolic", "positional"))
    lines = [f"layout: {id}", f"machine: {id}", f"host: {host}", f"join: {join}", f"contacts: {chosen.choice(KINDS)}"]
    guard = chosen.choice((None, None, "on", "off"))
    if guard:
        lines.append(f"guard: {guard}")
    locks = _locks(chosen, machine)
    keys = _feeds(chosen, machine, join)
    for _ in range(chosen.randint(*((5, 60) if join == "positional" else (0, 25)))):
        keys.setdefault(_trigger(chosen, host), _stroke(chosen, machine))
    commands: dict[str, str] = {}
    for _ in range(chosen.choice((0, 1, 3))):
        trigger = _trigger(chosen, host)
        if trigger not in keys:
            commands[trigger] = str(chosen.randint(0, 255))
    sections = {"locks": locks, "keys": keys, "commands": commands}
    if join == "symbolic":
        sections["pass"] = _passes(chosen, machine)
        sections["types"] = _choices(chosen, machine)
    for name, entries in sections.items():
        if entries:
            lines += [f"{name}:", *(f"  {key}: {value}" for key, value in entries.items())]
    return "\n".join([*lines, ""])


def _locks(chosen: Random, machine: _Machine) -> dict[str, str]:
    """Lock keys that work a latch or a key instead."""
    locks = {}
    for lock in LOCK_KEYS:
        if chosen.random() < 0.3:
            locks[lock] = chosen.choice(list(machine.latches) or machine.plain)
    return locks


def _feeds(chosen: Random, machine: _Machine, join: str) -> dict[str, str]:
    """Host keys that are keys of modifiers, fewer where the join feeds Shift by itself."""
    modifiers = [key for keys in machine.modifiers.values() for key in keys]
    likely = 0.5 if join == "positional" else 0.15
    return {feeder: chosen.choice(modifiers) for feeder in FEEDERS if modifiers and chosen.random() < likely}


def _trigger(chosen: Random, host: str) -> str:
    key = chosen.choice(FEEDERS) if chosen.random() < 0.1 else chosen.choice(HOST_KEYS)
    # The keypad's digits and its point have two levels.
    alt_gr = host in WITH_ALT_GR and not any(usage in KEYPAD_DIGITS for usage in by_code(key))
    prefixes = (*PREFIXES, *ALT_GR_PREFIXES) if alt_gr else PREFIXES
    return chosen.choice(prefixes) + key


def _stroke(chosen: Random, machine: _Machine) -> str:
    kind = chosen.random()
    if kind < 0.05:
        return "none"
    held = [name for name in machine.modifiers if chosen.random() < 0.25]
    if kind < 0.1 and len(machine.modifiers) > 1:
        return " + ".join(list(machine.modifiers)[: chosen.randint(2, len(machine.modifiers))])
    most = min(4, len(machine.plain))
    pressed = chosen.sample(machine.plain, chosen.randint(2, most) if kind < 0.25 and most > 1 else 1)
    return " + ".join([*held, *pressed])


def _passes(chosen: Random, machine: _Machine) -> dict[str, str]:
    return {
        name: chosen.choice(list(machine.modifiers)) for name in PASSED if machine.modifiers and chosen.random() < 0.2
    }


def _choices(chosen: Random, machine: _Machine) -> dict[str, str]:
    """Some of what keys type in some state, as lines that choose this stroke."""
    choices = {}
    for name, typed in machine.types.items():
        state, legend = chosen.choice(list(typed.items()))
        if legend != "none" and chosen.random() < 0.1:
            choices[legend] = name if state == "plain" else f"{state} + {name}"
    return choices
