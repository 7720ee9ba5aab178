"""Every keyboard of xkb-data through import, file, reader and join, with libxkbcommon's answer to compare.

The answer is found here without a keyboard state: the modifier sets of each level are asked for (key_get_mods_for_level),
the level is chosen by the set that is held, and its keysym is looked up. Names of functions and accents: xkb-names.yaml.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from matrixmap.hid.usages import ALT_RIGHT, KEYPAD_DIGITS, MODIFIER_BITS, NUM_LOCK, Usage
from matrixmap.join.plan import compile_plan
from matrixmap.model.host import CapsLock, Host
from matrixmap.model.legend import Legend
from matrixmap.model.plan import Plan
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.source.folder import DiskFolder, shipped_folder
from matrixmap.source.kinds.project import Project
from matrixmap.source.propose import xkb
from matrixmap.source.propose.xkb import NationalKeyboard, XkbName, XkbSystem
from matrixmap.source.shape.legends import UNPRINTABLE, is_accent
from matrixmap.source.write.host_file import host_text
from tests.project import HANDBOOK, read_layout
from tests.source.memory import MemoryFolder

HERE = Path(__file__).parent
MACHINES = {
    **{machine: f"base: {machine}-symbolic" for machine in ("quillon8", "langet41", "ricasso12-fo")},
    "msx-uk": "machine: msx-uk\njoin: symbolic",
}
"""Machine -> how its layouts begin: those of the demo, and a handbook machine (sources in msx-matrix.yaml)."""

CELLS_LEFT_OUT = {xkb.NO_CHARACTER, xkb.NO_PRINT, xkb.LONE_ACCENT, xkb.FALLS_APART, xkb.NOT_ON_FORM}
CAPS_LOCK_LEFT_OUT = {xkb.ONLY_CAPS_LOCK, xkb.KEPT_CAPITAL}

Typed = tuple[str, str] | None


@cache
def names() -> dict[str, Any]:
    """Functions and accents by keysym."""
    read: dict[str, Any] = yaml.safe_load((HERE / "xkb-names.yaml").read_text(encoding="utf-8"))
    return read


@cache
def key_codes() -> dict[int, int]:
    """Usage -> XKB key code, but for the usages of which Linux makes another key."""
    facts = yaml.safe_load((HERE / "hid-usages.yaml").read_text(encoding="utf-8"))
    other = {0x76, 0x77, 0x79, 0x9C, 0xD8, *range(0x68, 0x74)}
    return {
        row["id"]: row["evdev"] + 8 for row in facts["usages"] if row["evdev"] is not None and row["id"] not in other
    }


@dataclass
class Tally:
    """What the keyboards seen so far gave."""

    keyboards: int = 0
    pairs: int = 0
    pairs_with_caps_lock: int = 0
    findings: list[str] = field(default_factory=list)
    differences: list[tuple[str, int, int, Typed, Typed]] = field(default_factory=list)
    unreached: list[tuple[str, str, str]] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    reachable: Counter[str] = field(default_factory=Counter)
    composed: Counter[str] = field(default_factory=Counter)


class Answers:
    """What libxkbcommon answers for one keyboard."""

    def __init__(self, system: XkbSystem, name: XkbName) -> None:
        self.xkb = system.xkb
        self.keymap = system.context.keymap_new_from_names(
            rules=xkb.RULES, model=xkb.MODEL, layout=name.layout, variant=name.variant or None
        )
        state = self.keymap.state_new()
        right_alt = key_codes()[ALT_RIGHT]
        chooses = self.xkb.keysym_get_name(state.key_get_one_sym(right_alt)).startswith("ISO_Level")
        state.update_key(right_alt, self.xkb.KeyDirection.XKB_KEY_DOWN)
        altgr = state.serialize_mods(self.xkb.StateComponent.XKB_STATE_MODS_DEPRESSED) if chooses else 0
        shift = 1 << self.keymap.mod_get_index("Shift")
        self.num = self._num_lock()
        self.caps = 1 << self.keymap.mod_get_index("Lock")
        self.masks = {1: 0, 2: shift, 3: altgr, 4: shift | altgr} if chooses else {1: 0, 2: shift}

    def _num_lock(self) -> int:
        """The modifiers that the Num Lock key locks: none where it is another key, as the left hand's keyboard of Braille has it."""
        state = self.keymap.state_new()
        for direction in (self.xkb.KeyDirection.XKB_KEY_DOWN, self.xkb.KeyDirection.XKB_KEY_UP):
            state.update_key(key_codes()[NUM_LOCK], direction)
        mask: int = state.serialize_mods(self.xkb.StateComponent.XKB_STATE_MODS_LOCKED)
        return mask

    def typed(self, usage: Usage, mask: int) -> Typed:
        """What a key types with a set of modifiers held: kind and text."""
        code = key_codes()[usage]
        levels = self.keymap.num_levels_for_key(code, 0)
        sets = [set(self.keymap.key_get_mods_for_level(code, 0, level)) for level in range(levels)]
        told = 0
        for every in sets:
            for one in every:
                told |= one
        level = next((number for number, every in enumerate(sets) if mask & told in every), 0)
        keysyms = self.keymap.key_get_syms_by_level(code, 0, level) if levels else []
        if len(keysyms) != 1:
            return None
        return self._typed(self.xkb.keysym_to_upper(keysyms[0]) if self._makes_capitals(code, mask) else keysyms[0])

    def _makes_capitals(self, code: int, mask: int) -> bool:
        """Whether the lock is on and does not choose the level: then libxkbcommon makes a capital of what the key types."""
        if not mask & self.caps:
            return False
        state = self.keymap.state_new()
        state.update_mask(mask & ~self.caps, 0, self.caps, 0, 0, 0)
        return not state.mod_index_is_consumed(code, self.keymap.mod_get_index("Lock"))

    def _typed(self, keysym: int) -> Typed:
        name = self.xkb.keysym_get_name(keysym)
        if name in ("NoSymbol", "VoidSymbol"):
            return None
        if name in names()["functions"]:
            return ("function", names()["functions"][name])
        if name in names()["accents"]:
            return ("dead", names()["accents"][name])
        text = unicodedata.normalize("NFC", self.xkb.keysym_to_string(keysym) or "")
        return ("character", text) if text else ("keysym", name)

    def cells(self) -> Iterator[tuple[Usage, int, Typed]]:
        """Every usage and level with what is typed there; the keypad's digits with Num Lock on and off."""
        for usage in map(Usage, key_codes()):
            if usage in MODIFIER_BITS:
                continue
            if usage in KEYPAD_DIGITS:
                yield usage, 1, self.typed(usage, self.num)
                yield usage, 2, self.typed(usage, 0)
            else:
                for level, mask in self.masks.items():
                    yield usage, level, self.typed(usage, mask)

    def cells_with_caps_lock(self) -> Iterator[tuple[Usage, int, Typed]]:
        """The same with Caps Lock on, the keypad's digits apart."""
        for usage in map(Usage, key_codes()):
            if usage not in MODIFIER_BITS and usage not in KEYPAD_DIGITS:
                for level, mask in self.masks.items():
                    yield usage, level, self.typed(usage, mask | self.caps)


def fits_a_key(typed: Typed) -> bool:
    """Whether a host file can hold what a key types."""
    if typed is None:
        return True
    kind, text = typed
    if kind == "character":
        return len(text) == 1 and unicodedata.category(text) not in UNPRINTABLE and not is_accent(text)
    return kind != "keysym"


def import_keyboard(system: XkbSystem, base: Any, name: XkbName) -> tuple[NationalKeyboard, Project]:
    """A keyboard, and a project with the host `bench` and a layout of it for each machine."""
    keyboard = system.read(name)
    files = {
        ("host", "bench"): host_text(
            "bench", str(name), "this test", keyboard.form, keyboard.legends, keyboard.caps, base
        )
    }
    for machine, begin in MACHINES.items():
        files["layout", machine] = f"layout: {machine}\n{begin}\nhost: bench\n"
    memory = MemoryFolder({key: text.encode() for key, text in files.items()})
    return keyboard, Project([memory, DiskFolder(HANDBOOK), shipped_folder()], ())


def plan_of(project: Project, machine: str) -> Plan:
    """The plan of the layout for a machine."""
    return compile_plan(read_layout(project, machine))


def text_of(legend: Legend | None) -> Typed:
    """A legend as the answers are told."""
    if legend is None:
        return None
    return ("dead" if legend.dead else "character" if legend.is_character else "function"), legend.text


def compare(tally: Tally, name: XkbName, keyboard: NationalKeyboard, host: Host, answers: Answers) -> None:
    """Adds the differences between a host and libxkbcommon, cell by cell."""
    left_out = {(item.usage, item.level) for item in keyboard.left_out if item.reason in CELLS_LEFT_OUT}
    for usage, level, theirs in answers.cells():
        key = host.keys.get(usage)
        ours = text_of(key.at(level)) if key else None
        tally.pairs += 1
        if ours == theirs:
            continue
        excused = ours is None and (usage, level) in left_out
        if not excused or (fits_a_key(theirs) and usage not in (0x64, 0x87, 0x89)):
            tally.differences.append((str(name), usage, level, theirs, ours))


def compare_with_caps_lock(
    tally: Tally, name: XkbName, keyboard: NationalKeyboard, host: Host, answers: Answers
) -> None:
    """Adds the differences with Caps Lock on: a key types one of its own legends, and a capital that none of them is, is named."""
    left_out = {(item.usage, item.level) for item in keyboard.left_out if item.reason in CAPS_LOCK_LEFT_OUT}
    for usage, level, theirs in answers.cells_with_caps_lock():
        key = host.keys.get(usage)
        swaps = key is not None and key.caps in (
            CapsLock.BOTH,
            CapsLock.SHIFT if level <= 2 else CapsLock.ALTGR,
        )
        ours = text_of(key.at(((level - 1) ^ swaps) + 1)) if key else None
        tally.pairs_with_caps_lock += 1
        if ours == theirs or not fits_a_key(theirs):
            continue
        # What has no capital of its own types the same with Caps Lock on, and was compared with it off.
        if (usage, level) not in left_out and usage not in (0x64, 0x87, 0x89):
            tally.differences.append((f"{name} with Caps Lock", usage, level, theirs, ours))


def reach(tally: Tally, name: XkbName, plan: Plan, ways: dict[str, Any]) -> None:
    """Adds the characters that host and machine both have and no press types, after a dead key or without one."""
    host, machine = plan.layout.host, plan.layout.machine
    legends = [legend for key in host.keys.values() for legend in key.legends if legend and legend.is_character]
    printed = {legend.text for legend in legends if not legend.dead}
    dead = {legend.text for legend in legends if legend.dead}
    composed = {
        result
        for accent in dead
        for char, result in host.composes.get(accent, {}).items()
        if (char in printed and char != accent) or char == accent
    }
    typed = {legend.text for key in machine.keys for legend in key.types.values() if legend.is_character}
    after_dead_key = {stroke.types.text for stroke in plan.dead_keys.pairs.values() if stroke.types}
    both, reached = (printed | composed) & typed, set(ways) | after_dead_key
    tally.reachable[machine.id] += len(both & reached)
    tally.composed[machine.id] += len((both - printed) & reached)
    tally.unreached += [(str(name), machine.id, char) for char in sorted(both - reached)]


def examine(tally: Tally, system: XkbSystem, base: Any, name: XkbName, machines: Iterable[str] = MACHINES) -> None:
    """Takes one keyboard all the way to some machines and adds what it gives."""
    keyboard, project = import_keyboard(system, base, name)
    tally.keyboards += 1
    tally.left_out.update(item.reason for item in keyboard.left_out)
    loaded = project.host("bench")
    if loaded is None or loaded.value is None:
        tally.findings += [f"{name}: {finding.text}" for finding in loaded.findings] if loaded else [f"{name}: no host"]
        return
    answers = Answers(system, name)
    compare(tally, name, keyboard, loaded.value, answers)
    compare_with_caps_lock(tally, name, keyboard, loaded.value, answers)
    for machine in machines:
        plan = plan_of(project, machine)
        reach(tally, name, plan, ways_to_type(plan))
