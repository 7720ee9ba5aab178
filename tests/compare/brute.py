"""What a plan's presses type, by the compiled C and by pulling lines low one after the other; and small random projects.

Nothing here reads a plan's bindings: keys go down and up, the C closes contacts, and the machine's file says what the
keys type that are newly read.
"""

from __future__ import annotations

import ctypes
import tempfile
from collections.abc import Iterable, Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from matrixmap.circuit.reading import Conduction
from matrixmap.hid.usages import CAPS_LOCK, NUM_LOCK, Usage
from matrixmap.join.plan import compile_plan
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from tests import tools
from tests.circuit import naive
from tests.compare.sides import side
from tests.runtime.engine import Engine, load

RUNTIME = Path(__file__).parents[2] / "matrixmap" / "runtime"
SHIM = Path(__file__).parents[1] / "runtime" / "shim.c"
LONG = 30_000
"""Ticks after which everything has come to rest."""

Taps = tuple[tuple[tuple[Usage, ...], Usage], ...]
"""Presses made and let go before: what is held, and the key."""


@cache
def _folder() -> tempfile.TemporaryDirectory[str]:
    """A folder of this process, which goes with it."""
    return tempfile.TemporaryDirectory(prefix="brute-")


@cache
def library() -> ctypes.CDLL:
    """The runtime, compiled once a process."""
    path = Path(_folder().name) / "runtime.so"
    sources = (RUNTIME / "mm_runtime.c", SHIM)
    tools.run(
        tools.tool("gcc"),
        *tools.STRICT,
        "-O2",
        "-DMM_KEYBOARDS=2",
        "-DMM_RESUME=1",
        "-DMM_WHOLE=1",
        "-fPIC",
        "-shared",
        f"-I{RUNTIME}",
        "-o",
        path,
        *sources,
    )
    return load(path)


class Player:
    """One plan's adapter and its machine."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.machine = plan.layout.machine
        self.table = make_table(plan).to_bytes()
        switch = plan.layout.contacts is Contacts.SWITCH
        self.conduction = Conduction.BOTH if switch else Conduction.FORWARD
        self.keys = {key.contact: key for key in self.machine.keys}
        self.modifier_at = {
            self.machine.key(name).contact: modifier.name
            for modifier in self.machine.modifiers
            for name in modifier.keys
        }
        self._reads: dict[frozenset[Any], frozenset[int]] = {}
        self._typed: dict[tuple[Taps, frozenset[Usage], Usage], tuple[str, ...]] = {}

    def typed(self, held: Iterable[Usage], key: Usage, taps: Taps = ()) -> tuple[str, ...]:
        """What the machine types because a key goes down while others are held, `?` for what its file does not say.

        A refused press that follows a dead key gives `refused` at the end.
        """
        cell = taps, frozenset(held), key
        if cell not in self._typed:
            self._typed[cell] = tuple(self._play(sorted(cell[1]), key, taps))
        return self._typed[cell]

    def _play(self, held: list[Usage], key: Usage, taps: Taps) -> Iterator[str]:
        engine = Engine(library(), self.table)
        assert engine.sound
        for before, tapped in taps:
            for down in ((*before,), (*before, tapped), (*before,), ()):
                engine.usages(down)
                engine.run(LONG)
        for number in range(len(held)):
            engine.usages(held[: number + 1])
            engine.run(LONG)
        first, refused = engine.contacts, engine.refusals
        engine.mark()
        engine.usages((*held, key))
        engine.run(LONG)
        for before, after in pairwise((first, *(contacts for _, contacts in engine.story))):
            read = self._read(after)
            state = frozenset(name for contact, name in self.modifier_at.items() if contact in read)
            for contact in sorted(read - self._read(before) - self.modifier_at.keys()):
                legend = (
                    self.keys[contact].types.get(state & self.keys[contact].selectors) if contact in self.keys else None
                )
                yield legend.text if legend else "?"
        if taps and taps[-1][1] not in (CAPS_LOCK, NUM_LOCK) and engine.refusals != refused:
            yield "refused"

    def _read(self, closed: frozenset[Any]) -> frozenset[int]:
        if closed not in self._reads:
            selects, senses = len(self.machine.select), len(self.machine.sense)
            points = [(line, bit, self.conduction) for kind, line, bit in closed if kind == "x"]
            direct = {selects * senses + line for kind, line, _ in closed if kind == "d"}
            pairs = naive.read(points, selects, senses)
            self._reads[closed] = frozenset(direct | {select * senses + sense for select, sense in pairs})
        return self._reads[closed]


MACHINE = """machine: little
title: Little
source: invented for this test
matrix:
  select: [S0, S1, S2, S3]
  sense: [N0, N1, N2]
  grid:
    S0: [{0}, {1}, {2}]
    S1: [{3}, {4}, {5}]
    S2: [{6}, {7}, {8}]
    S3: [{9}, {10}, none]
modifiers: {{shift: [{shift}], graph: graph}}
types:
  a: {{plain: a, shift: A, graph: {graph}}}
  b: {{plain: b, shift: {upper}}}
  c: {{plain: '1', shift: '!'}}
  d: {{plain: Enter}}
  e: {{plain: a, shift: '^'}}
  hat: {{plain: '^', graph: ê}}
  f: {{plain: ' '}}
scan: {{period_us: 20000{rollover}}}
"""
HOST = """host: xx
title: A host
source: invented for this test
form: iso-105
legends:
  KeyA: [{a}]
  KeyB: [b, B]
  KeyE: [e]
  Digit1: ['1', '!']
  Equal: [{equal}]
  Enter: [Enter]
  Space: [' ']
  Numpad7: ['1', Enter]
{caps}composes: {{'^': {composes}}}
"""
LAYOUT = """layout: x
machine: little
host: xx
join: {join}
{lines}"""
KEYS = ["a", "b", "hat", "c", "shift", "shift-r", "d", "e", "graph", "f", "g"]

LINES = {
    "keys": [
        "{F1: a + b}",
        "{F1: shift + b}",
        "{F1: e, Alt+KeyA: b}",
        "{Shift+KeyA: none}",
        "{F1: graph + hat}",
        "{Backslash: a}",
    ],
    "pass": ["{Alt: graph}", "{Control: graph}", "{AltLeft: graph}"],
    "types": ["{a: e}", "{a: a}"],
    "guard": ["off"],
    "resume": ["on", "off"],
    "keyboards": ["apart"],
}


@st.composite
def choices(draw: st.DrawFn) -> dict[str, Any]:
    """What a small project consists of."""
    return {
        "swap": draw(st.tuples(st.integers(0, 10), st.integers(0, 10))),
        "shift": draw(st.sampled_from(["shift, shift-r", "shift-r, shift", "shift", "shift-r"])),
        "graph": draw(st.sampled_from(["â", "x"])),
        "upper": draw(st.sampled_from(["B", "'&'"])),
        "rollover": draw(st.sampled_from(["", ", rollover: 2", ", rollover: 1"])),
        "a": draw(st.sampled_from(["a, A", "a, A, b", "a, A, b, B", "{dead: '^'}"])),
        "equal": draw(st.sampled_from(["{dead: '^'}", "'^'", "x, {dead: '^'}"])),
        "caps": draw(st.sampled_from(["", "caps: {KeyA: shift}\n", "caps: {KeyA: shift, KeyB: shift}\n"])),
        "composes": draw(st.sampled_from(["aâ eê space^ ^^", "aâ eê", "space^ aâ", "^^"])),
        "join": draw(st.sampled_from(["symbolic", "symbolic", "positional"])),
        **{name: draw(st.sampled_from([*some, "", "", ""])) for name, some in LINES.items()},
    }


class TwoSmallPlans:
    """A small project before and after a few edits, shown by what it consists of, for plans are long."""

    def __init__(self, chosen: dict[str, Any], edited: dict[str, Any]) -> None:
        self.chosen = chosen
        self.edited = edited
        self.old, self.new = small_plan(chosen), small_plan({**chosen, **edited})

    def __repr__(self) -> str:
        return f"TwoSmallPlans({self.chosen}, {self.edited})"


@st.composite
def two_small_plans(draw: st.DrawFn) -> TwoSmallPlans:
    """A small project before and after up to three edits."""
    old, other = draw(choices()), draw(choices())
    edited = draw(st.sets(st.sampled_from(sorted(old)), min_size=1, max_size=3))
    return TwoSmallPlans(old, {name: other[name] for name in sorted(edited)})


def small_plan(chosen: dict[str, Any]) -> Plan | None:
    """The plan of a small project, None if it cannot be read."""
    keys = list(KEYS)
    one, other = chosen["swap"]
    keys[one], keys[other] = keys[other], keys[one]
    symbolic = chosen["join"] == "symbolic"
    names = [name for name in LINES if chosen[name] and (symbolic or name not in ("pass", "types"))]
    lines = "".join(f"{name}: {chosen[name]}\n" for name in names)
    files = {
        "shared/machines/little.yaml": MACHINE.format(*keys, **chosen),
        "shared/hosts/xx.yaml": HOST.format(**chosen),
        "layouts/x.yaml": LAYOUT.format(join=chosen["join"], lines=lines),
    }
    loaded = side("x", files).load("x")
    return compile_plan(loaded.value) if loaded and loaded.value else None
