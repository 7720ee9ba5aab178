"""A self-test for firmware: for each layout a script of reports and times, and what must be closed after each step."""

from __future__ import annotations

from binascii import crc_hqx
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from zlib import crc32

from matrixmap.emit.tables.index import built_macro
from matrixmap.emit.tables.licence import licence_lines
from matrixmap.emit.tables.names import comment
from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    BOOT_KEYS,
    CAPS_LOCK,
    CONTROL_LEFT,
    ERROR_ROLL_OVER,
    META_LEFT,
    MODIFIER_BITS,
    NUM_LOCK,
    SHIFT_LEFT,
    Usage,
)
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Command, Feed, Latch, Plan, Trigger
from matrixmap.model.words import usage_name
from matrixmap.press.table.format import Table
from matrixmap.simulate import tape
from matrixmap.simulate.compiled import ROW_BYTES
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER, Sizes
from matrixmap.simulate.tape import ModelTape

STEPS = "mm_selftest_steps.c"
LEAST, MOST = Sizes(waiting=4, held=8), Sizes(waiting=255, held=127)
"""Any sizes between these give the same results for a script."""
RANDOM_STEPS = 80
MOST_STEPS = 0xFFFE
"""The most steps that a number can identify; two numbers have another meaning."""

TIME, REPORT, BITMAP, LOST, TYPED, LAYOUT, SHORT = range(7)
FIRST, LAST = 0x5A, 0xFF
EXTRAS = {HostModifier.CONTROL: CONTROL_LEFT, HostModifier.ALT: ALT_LEFT, HostModifier.META: META_LEFT}


class StepsError(Exception):
    """The layouts need more steps than can be numbered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step: what the clock and the keyboard do, and the check of what is then shown."""

    kind: int
    ticks: int
    modifiers: int
    keys: tuple[Usage, ...]
    check: int

    def to_bytes(self) -> bytes:
        """As mm_selftest.c reads it."""
        told = bytes([self.modifiers, *self.keys]) if self.kind in (REPORT, BITMAP, TYPED, SHORT) else b""
        return (
            bytes([self.kind << 3 | len(self.keys)])
            + self.ticks.to_bytes(2, "little")
            + told
            + self.check.to_bytes(2, "big")
        )

    def words(self) -> str:
        """The comment of its line."""
        held = [usage_name(usage) for usage, bit in MODIFIER_BITS.items() if self.modifiers >> bit & 1]
        keys = " ".join([*held, *map(usage_name, self.keys)]) or "no key"
        what = {
            TIME: "",
            REPORT: keys,
            BITMAP: f"bitmap {keys}",
            LOST: "link lost",
            TYPED: f"typed {keys}",
            SHORT: f"short report {keys}",
        }
        return f"+{self.ticks} {what.get(self.kind, 'same layout again')}".rstrip()


class Script:
    """A script under construction: the model plays each step as it is added."""

    def __init__(self, plan: Plan, seed: int) -> None:
        self.tape = ModelTape([plan], LEAST)
        self.draws = seed
        self.steps: list[Step] = []
        self.played = [tape.start(0)]
        self.rows = [self.tape.play(self.played[0])]

    def draw(self, below: int) -> int:
        """A number from 0 to `below` - 1. The generator is written out, so that every Python draws the same.

        The factors are those of Knuth and Lewis, from memory: Press and others, Numerical Recipes, section 7.1.
        """
        self.draws = (self.draws * 1664525 + 1013904223) & 0xFFFFFFFF
        return (self.draws >> 16) % below

    @property
    def wait(self) -> int:
        """What `mm_advance` returned last."""
        return int.from_bytes(self.rows[-1][1:3], "little")

    def make_room(self) -> bool:
        """Lets time pass until line and places have room for one more press. True if keys had to be released."""
        model = self.tape.model
        before = len(self.steps)
        while len(model.line) > 1 or len(model.places) > LEAST.held - 2:
            if self.wait == NEVER:
                self.add(REPORT, 1)  # held strokes keep their places
            else:
                self.add(TIME, self.wait + 30)
        return any(step.kind == REPORT for step in self.steps[before:])

    def add(self, kind: int, ticks: int, modifiers: int = 0, keys: Sequence[Usage] = ()) -> None:
        """Adds one step."""
        events = [tape.jump(ticks)]
        if kind == REPORT:
            events.append(tape.boot_report(bytes([modifiers, 0, *keys]).ljust(8, b"\0")))
        elif kind == SHORT:
            events.append(tape.boot_report(bytes([modifiers, 0, *keys]).ljust(7, b"\0")))
        elif kind == BITMAP:
            down = sum(1 << usage for usage in keys) | modifiers << min(MODIFIER_BITS)
            events.append(tape.usages(down.to_bytes(32, "little")))
        elif kind == LOST:
            events.append(tape.disconnected())
        elif kind == TYPED:
            events.append(tape.pasted(keys[0], modifiers))
        elif kind == LAYOUT:
            events.append(tape.change_layout(0))
        self.played += events
        rows = self.tape.play(b"".join(events))
        self.rows += [rows[at : at + ROW_BYTES] for at in range(0, len(rows), ROW_BYTES)]
        check = crc_hqx(rows, 0xFFFF)
        self.steps.append(Step(kind=kind, ticks=ticks, modifiers=modifiers, keys=tuple(keys), check=check))


def script_of(plan: Plan, table: Table) -> tuple[Step, ...]:
    """The steps for a layout, always the same; they give the same results with sizes from LEAST to MOST."""
    for seed in range(100):
        script = Script(plan, crc32(plan.id.encode()) + seed)
        script.add(TIME, 0xFF00)  # the clock may start anywhere, and soon wraps
        _each_group(script, table)
        _at_random(script, plan)
        _to_the_end(script)
        if ModelTape([plan], MOST).play(b"".join(script.played)) == b"".join(script.rows):
            return tuple(script.steps)
    raise AssertionError(f"{plan.id}: no script suits all sizes")


def _held_for(trigger: Trigger) -> int:
    held = {SHIFT_LEFT} if trigger.level in (2, 4) else set()
    held |= {ALT_RIGHT} if trigger.level > 2 else set()
    held |= {EXTRAS[extra] for extra in trigger.extras}
    return sum(1 << MODIFIER_BITS[Usage(usage)] for usage in held)


def _each_group(script: Script, table: Table) -> None:
    """Taps a key of each group of the table, with its modifiers."""
    for group in table.groups:
        entries = [entry for entry in group.entries if entry.triggers and entry.usage not in MODIFIER_BITS]
        if entries:
            entry = entries[script.draw(len(entries))]
            trigger = entry.triggers[script.draw(len(entry.triggers))]
            held = _held_for(trigger)
            script.make_room()
            script.add(REPORT, 2 + script.draw(9), held, [entry.usage])
            script.add(REPORT, _some_ticks(script), held if script.draw(2) else 0)


def _some_ticks(script: Script) -> int:
    """A few ticks, or as many as requested, or one less, or plenty; now and then a step back."""
    timing = script.tape.model.closing
    wait = script.wait if script.wait != NEVER else script.draw(3000)
    times = (0, 1, 2, wait, wait, max(wait - 1, 0), timing.lead, timing.close, timing.open + 1, script.draw(900))
    choice = script.draw(len(times) + 1)
    return times[choice] if choice < len(times) else CLOCK_TICKS - 1 - script.draw(30)


def _at_random(script: Script, plan: Plan) -> None:
    """Hasty typing: overlapping keys, tapped modifiers, locks, latches, commands and mishaps."""
    usages = sorted({binding.trigger.usage for binding in plan.bindings} - set(MODIFIER_BITS))
    special = {one.trigger.usage for one in plan.bindings if isinstance(one.action, Latch | Command)}
    special |= {trigger.usage for trigger in plan.dead_keys.triggers} | {CAPS_LOCK, NUM_LOCK}
    feeds = {one.trigger.usage for one in plan.bindings if isinstance(one.action, Feed)}
    modifiers = sorted(feeds | {SHIFT_LEFT, CONTROL_LEFT, ALT_RIGHT})
    pools = (usages, usages, usages, sorted(special - set(MODIFIER_BITS)), modifiers, modifiers)
    down: list[Usage] = []
    for _ in range(RANDOM_STEPS):
        if script.make_room():
            down.clear()
        ticks = _some_ticks(script)
        what = script.draw(24)
        if what == 0:
            down.clear()
            script.add(LOST, ticks)
        elif what < 3:
            script.add(LAYOUT, ticks)
        elif what == 3:
            script.add(TYPED, ticks, (0, 0x02, 0x01, 0x40)[script.draw(4)], [_one_of(script, usages)])
        elif what == 4:
            script.add(REPORT, ticks, 1 << script.draw(8), [ERROR_ROLL_OVER] * BOOT_KEYS)
        elif what == 5:
            script.add(SHORT, ticks, 0, [_one_of(script, usages)])
        elif what < 8:
            script.add(TIME, ticks)
        else:
            _move(script, pools, down)
            kind = BITMAP if what == 8 else REPORT
            script.add(kind, ticks, _modifiers(down), [key for key in down if key not in MODIFIER_BITS])


def _one_of(script: Script, usages: Sequence[Usage]) -> Usage:
    return usages[script.draw(len(usages))]


def _move(script: Script, pools: Sequence[Sequence[Usage]], down: list[Usage]) -> None:
    """Presses or releases one key, or both one each, or presses two."""
    choice = script.draw(8)
    if down and choice < 4:
        down.pop(script.draw(len(down)))
    for _ in range((0, 0, 0, 1, 1, 1, 1, 2)[choice]):
        usage = _one_of(script, pools[script.draw(len(pools))])
        if usage not in down and len(down) < BOOT_KEYS:
            down.append(usage)


def _modifiers(down: Iterable[Usage]) -> int:
    return sum(1 << MODIFIER_BITS[usage] for usage in down if usage in MODIFIER_BITS)


def _to_the_end(script: Script) -> None:
    """Releases all keys, and lets time pass until nothing is left to do."""
    script.add(REPORT, 5)
    while script.wait != NEVER:
        script.add(TIME, script.wait)


def steps_source(plans: Sequence[Plan], table_of: Callable[[Plan], Table], made_by: str) -> str:
    """`mm_selftest_steps.c`. StepsError if the steps cannot be numbered."""
    lines = [
        *licence_lines(),
        "/*",
        " * The steps that mm_selftest.c plays, one per line: step number, ticks, and what the keyboard then does.",
        f" * Made by {made_by}. If the firmware includes only some of the layouts, it counts only their steps.",
        " */",
        '#include "mm_selftest.h"',
        "",
        "const uint8_t mm_selftest_steps[] MM_TABLE = {",
    ]
    number = 0
    for plan in plans:
        steps = script_of(plan, table_of(plan))
        lines.append(f"#if {built_macro(plan.id)}")
        lines.append(f"    /* {comment(plan.id)}: steps {number + 1} to {number + len(steps)} */")
        lines.append(f"    0x{FIRST:02X},")
        lines += _step_lines(steps, number)
        lines += [f"    0x{LAST:02X},", "#endif"]
        number += len(steps)
    if number > MOST_STEPS:
        raise StepsError(f"a self-test of {len(plans)} layouts has {number} steps; at most {MOST_STEPS} have a number")
    return "\n".join([*lines, "};", ""])


def _step_lines(steps: Iterable[Step], before: int) -> Iterator[str]:
    for number, step in enumerate(steps, before + 1):
        data = ", ".join(f"0x{byte:02X}" for byte in step.to_bytes())
        yield f"    {data}, /* {number}: {comment(step.words())} */"
