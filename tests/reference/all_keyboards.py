"""Every keyboard of xkb-data through import, file, reader and join, with libxkbcommon's answer to compare.

The answer is found here without a keyboard state: the modifier sets of each level are asked for (key_get_mods_for_level),
the level is chosen by the set that is held, and its keysym is looked up. Names of functions and accents: xkb-names.yaml.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from matrixmap.hid.usages import ALT_RIGHT, KEYPAD_DIGITS, MODIFIER_BITS, Usage
from matrixmap.join.plan import compile_plan
from matrixmap.join.typed import ways_to_type
from matrixmap.model.host import Host
from matrixmap.model.layout import Layout
from matrixmap.model.plan import Plan
from matrixmap.source import xkb
from matrixmap.source.folder import DiskFolder, shipped_folder
from matrixmap.source.host_file import host_text
from matrixmap.source.legends import UNPRINTABLE, is_accent
from matrixmap.source.project import Project
from matrixmap.source.xkb import NationalKeyboard, XkbName, XkbSystem
from tests.project import HANDBOOK, read_layout
from tests.source.memory import MemoryFolder

HERE = Path(__file__).parent
MACHINES = {"quillon8": "base: quillon8-symbolic", "msx-uk": "machine: msx-uk\njoin: symbolic"}
"""Machine -> how its layouts begin: the demo, and a handbook machine (sources in msx-matrix.yaml)."""

CELLS_LEFT_OUT = {xkb.NO_CHARACTER, xkb.NO_PRINT, xkb.LONE_ACCENT, xkb.FALLS_APART, xkb.NOT_ON_FORM}

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
    findings: list[str] = field(default_factory=list)
    differences: list[tuple[str, int, int, Typed, Typed]] = field(default_factory=list)
    unreached: list[tuple[str, str, str]] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    reachable: Counter[str] = field(default_factory=Counter)


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
        shift, self.num = (1 << self.keymap.mod_get_index(mod) for mod in ("Shift", "Mod2"))
        self.masks = {1: 0, 2: shift, 3: altgr, 4: shift | altgr} if chooses else {1: 0, 2: shift}

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
        return self._typed(keysyms[0]) if len(keysyms) == 1 else None

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


def compare(tally: Tally, name: XkbName, keyboard: NationalKeyboard, host: Host, answers: Answers) -> None:
    """Adds the differences between a host and libxkbcommon, cell by cell."""
    left_out = {(item.usage, item.level) for item in keyboard.left_out if item.reason in CELLS_LEFT_OUT}
    for usage, level, theirs in answers.cells():
        key = host.keys.get(usage)
        legend = key.at(level) if key else None
        ours = (
            (("dead" if legend.dead else "character" if legend.is_character else "function"), legend.text)
            if legend
            else None
        )
        tally.pairs += 1
        if ours == theirs:
            continue
        excused = ours is None and (usage, level) in left_out
        if not excused or (fits_a_key(theirs) and usage not in (0x64, 0x87, 0x89)):
            tally.differences.append((str(name), usage, level, theirs, ours))


def reach(tally: Tally, name: XkbName, layout: Layout, ways: dict[str, Any]) -> None:
    """Adds the characters that host and machine both have and no press types, dead keys apart."""
    printed = {legend.text for key in layout.host.keys.values() for legend in key.legends if legend and not legend.dead}
    typed = {legend.text for key in layout.machine.keys for legend in key.types.values() if legend.is_character}
    both = printed & typed
    tally.reachable[layout.machine.id] += len(both & set(ways))
    tally.unreached += [(str(name), layout.machine.id, char) for char in sorted(both - set(ways))]


def examine(tally: Tally, system: XkbSystem, base: Any, name: XkbName) -> None:
    """Takes one keyboard all the way and adds what it gives."""
    keyboard, project = import_keyboard(system, base, name)
    tally.keyboards += 1
    tally.left_out.update(item.reason for item in keyboard.left_out)
    loaded = project.host("bench")
    if loaded is None or loaded.value is None:
        tally.findings += [f"{name}: {finding.text}" for finding in loaded.findings] if loaded else [f"{name}: no host"]
        return
    compare(tally, name, keyboard, loaded.value, Answers(system, name))
    for machine in MACHINES:
        plan = plan_of(project, machine)
        reach(tally, name, plan.layout, ways_to_type(plan))
