"""Random edits of a machine, a host and a layout, such as contributors make."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import yaml
from hypothesis import strategies as st

from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.source.folder import KINDS
from matrixmap.source.kinds.project import Project
from tests.project import ROOT
from tests.source.memory import MemoryFolder

Tree = dict[str, Any]
Files = dict[tuple[str, str], Tree]

LETTERS = [*"abcxyz", "é", "ß", "@", "£", "#", "~", "]", " ", '"', "Enter", "Home", "B10"]
TRIGGERS = [
    "KeyA",
    "Shift+KeyA",
    "Alt+KeyA",
    "Digit2",
    "Shift+Digit2",
    "AltGr+KeyQ",
    "F9",
    "0x64",
    "Control+F1",
    "Backslash",
]
KEYS = ["a", "b", "d2", "space", "b1", "return", "shift-left", "hail", "blazon"]


def shipped_tree(kind: str, id: str) -> Tree:
    """A shipped file with every scalar as text."""
    return yaml.load((ROOT / KINDS[kind] / f"{id}.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)


BASE = {("host", "base"): shipped_tree("host", "base")}


def start(host: str, layout: str) -> Files:
    """The files of one shipped layout, its base among them."""
    files = {
        ("machine", "quillon8"): shipped_tree("machine", "quillon8"),
        ("host", host): shipped_tree("host", host),
        ("layout", layout): shipped_tree("layout", layout),
    }
    base = files["layout", layout]["base"]
    return {**BASE, **files, ("layout", base): shipped_tree("layout", base)}


class _Dumper(yaml.CSafeDumper):
    """Writes texts in quotes, numbers without: a reader of numbers takes no text for one."""


_Dumper.add_representer(
    str, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, style='"' if text else None)
)

NUMBERS = ("scan", "place", "connector", "electric", "revisions", "commands", "accept")


def _numbers(node: Any) -> Any:
    if isinstance(node, dict):
        return {key: _numbers(value) for key, value in node.items()}
    if isinstance(node, list):
        return [_numbers(value) for value in node]
    return float(node) if "." in node else int(node) if node.isdecimal() else node


def yaml_text(tree: Tree) -> bytes:
    """A tree as YAML."""
    ready = {key: _numbers(value) if key in NUMBERS else value for key, value in tree.items()}
    return yaml.dump(ready, Dumper=_Dumper, allow_unicode=True, sort_keys=False, width=10**6, encoding="utf-8")


def plan_of(files: Files, layout: str) -> Plan | None:
    """The plan that files describe, None if they cannot be read."""
    texts = {cell: yaml_text(tree) for cell, tree in files.items()}
    loaded = Project([MemoryFolder(texts)], ("print-differs", "unreachable-key", "one-shift-only")).layout(layout)
    return compile_plan(loaded.value) if loaded and loaded.value else None


Edit = Callable[[st.DrawFn, Files], None]


def _tree(files: Files, kind: str) -> Tree:
    """The file of that kind that a layout names itself (not a base)."""
    return next(tree for (of, id), tree in files.items() if of == kind and (kind, id) != ("host", "base"))


def swap_keys(draw: st.DrawFn, files: Files) -> None:
    """Two keys of the machine change places."""
    grid = _tree(files, "machine")["matrix"]["grid"]
    cells = st.tuples(st.sampled_from(sorted(grid)), st.integers(0, 7))
    (row, column), (other_row, other_column) = draw(cells), draw(cells)
    grid[row][column], grid[other_row][other_column] = grid[other_row][other_column], grid[row][column]


def rename_key(draw: st.DrawFn, files: Files) -> None:
    """A key of the machine gets another name, wherever it stands."""
    old = draw(st.sampled_from(["a", "d2", "shift-left", "b1", "hail", "blazon-latch"]))
    _rename(files, old, f"{old}-x")


def rename_modifier(draw: st.DrawFn, files: Files) -> None:
    """A modifier of the machine gets another name; shift keeps its name, by which the host's Shift finds it."""
    machine = _tree(files, "machine")
    machine["modifiers"] = {
        ("grave" if name == "blazon" else name): keys for name, keys in machine["modifiers"].items()
    }
    machine["types"] = {
        key: {state.replace("blazon", "grave"): legend for state, legend in states.items()}
        for key, states in machine["types"].items()
    }
    for (kind, _), tree in files.items():
        if kind == "layout":
            for trigger, stroke in tree.get("keys", {}).items():
                tree["keys"][trigger] = stroke.replace("blazon + ", "grave + ")
            tree["pass"] = {key: name.replace("blazon", "grave") for key, name in tree.get("pass", {}).items()}


def rename_line(draw: st.DrawFn, files: Files) -> None:
    """A line of the matrix gets another name."""
    _rename(files, draw(st.sampled_from(["S0", "S7", "N3", "HAIL"])), "L9")


def _rename(files: Files, old: str, new: str) -> None:
    def changed(node: Any) -> Any:
        if isinstance(node, dict):
            return {changed(key): changed(value) for key, value in node.items()}
        if isinstance(node, list):
            return [changed(value) for value in node]
        words = [new if word == old else word for word in node.split(" + ")]
        parts = [new if part == old else part for part in " + ".join(words).split("/")]
        return "/".join(parts)

    for (kind, id), tree in list(files.items()):
        if kind == "machine":
            types = tree.pop("types")
            edited = changed(tree)
            edited["types"] = {changed(key): states for key, states in types.items()}
            tree.clear()
            tree.update(edited)
        elif kind == "layout" and "keys" in tree:
            tree["keys"] = {trigger: changed(stroke) for trigger, stroke in tree["keys"].items()}
            tree["locks"] = changed(tree.get("locks", {}))
        assert (kind, id) in files


def change_legend(draw: st.DrawFn, files: Files) -> None:
    """A key of the machine types something else in a shift state, or nothing."""
    types = _tree(files, "machine")["types"]
    states = types.setdefault(draw(st.sampled_from(["a", "d2", "at", "b1", "space"])), {})
    state = draw(st.sampled_from(["plain", "shift", "blazon", "shift + blazon"]))
    legend = draw(st.sampled_from([*LETTERS, None]))
    states.pop(state, None)
    if legend is not None:
        states[state] = legend


def change_scan(draw: st.DrawFn, files: Files) -> None:
    """The machine scans in another way."""
    scan = _tree(files, "machine")["scan"]
    fields = ["rollover", "period_us", "samples_down", "tolerance_percent", "strobe_to_read_us", "sweep_us", "debounce"]
    fields += ["more_keys"]
    field = draw(st.sampled_from(fields))
    if draw(st.booleans()) and field != "period_us":
        scan.pop(field, None)
    elif field == "debounce":
        scan[field] = draw(st.sampled_from(["key", "whole"]))
    elif field == "more_keys":
        scan[field] = draw(st.sampled_from(["kept", "first", ["first", "released"]]))
        scan.setdefault("rollover", "2")
    else:
        scan[field] = str(draw(st.integers(5, 9)) * (1000 if field == "period_us" else 1))


def change_wiring(draw: st.DrawFn, files: Files) -> None:
    """Pins, diodes, controllers, order of lines or modifiers, latches."""
    machine = _tree(files, "machine")
    match draw(st.integers(0, 7)):
        case 0:
            pins = machine["connector"]["pins"]
            pins[0], pins[2] = pins[2], pins[0]
        case 1:
            machine["matrix"]["diodes"] = draw(st.sampled_from(["all", ["a", "d2"], ["d2"]]))
        case 2:
            rewired = [("oar", "Ring", "N1"), ("tiller", "Whistle", "S3/N2"), ("bell", "Ring", "N7")]
            name, switch, line = draw(st.sampled_from(rewired))
            fresh = {"wired": "contact"} if "/" in line else {}
            machine["controllers"].setdefault(name, fresh)[switch] = line
        case 3:
            machine["controllers"] = {f"{name}-b": switches for name, switches in machine["controllers"].items()}
        case 4:
            machine["matrix"]["select"].reverse()
        case 5:
            machine["modifiers"] = dict(reversed(machine["modifiers"].items()))
        case 6:
            machine["controllers"].setdefault("tiller", {})["wired"] = draw(st.sampled_from(["gated", "contact"]))
        case _:
            machine["latching"] = {}
            for (kind, _), tree in files.items():
                if kind == "layout":
                    tree.pop("locks", None)


def change_print(draw: st.DrawFn, files: Files) -> None:
    """A key of the host is printed otherwise, or loses its own line."""
    host = _tree(files, "host")
    legends = host["legends"]
    key = draw(st.sampled_from(["KeyA", "Digit2", "Equal", "Backquote", "Backslash", "Numpad7", "F9"]))
    for field in ("altgr", "not"):
        host.get("printed", {}).get(field, {}).pop(key, None)
    if draw(st.booleans()):
        legends.pop(key, None)
        return
    one = st.sampled_from([*LETTERS, {"dead": "´"}, {"dead": "^"}, "none"])
    legends[key] = draw(st.lists(one, min_size=1, max_size=2 if key == "Numpad7" else 4))


def change_printed(draw: st.DrawFn, files: Files) -> None:
    """Something else can be read on the keys of the host, or the file no longer says what."""
    host = _tree(files, "host")
    if draw(st.booleans()):
        host.pop("printed", None)
        return
    typed = {key: legends for key, legends in host["legends"].items() if isinstance(legends, list)}
    altgr = [(key, legends[2]) for key, legends in typed.items() if len(legends) > 2]
    plain = [(key, legends[0]) for key, legends in typed.items() if len(legends) > 1]
    host["printed"] = {"source": "this test"}
    for field, some in (("altgr", altgr), ("not", plain)):
        if some:
            host["printed"][field] = dict(draw(st.lists(st.sampled_from(some), max_size=3)))


def change_caps(draw: st.DrawFn, files: Files) -> None:
    """Caps Lock acts otherwise on a key of the host."""
    caps = _tree(files, "host").setdefault("caps", {})
    caps[draw(st.sampled_from(["KeyA", "Digit2"]))] = draw(st.sampled_from(["none", "shift", "altgr", "both"]))


def change_titles(draw: st.DrawFn, files: Files) -> None:
    """Title or source of any file."""
    tree = _tree(files, draw(st.sampled_from(["machine", "host", "layout"])))
    tree["title"] = draw(st.sampled_from(["Another", "a | b <c>"]))


def change_lines(draw: st.DrawFn, files: Files) -> None:
    """Lines of the layout come, go or change."""
    layout = _tree(files, "layout")
    match draw(st.integers(0, 7)):
        case 0 | 1 | 2:
            keys = layout.setdefault("keys", {})
            strokes = [*KEYS, "none", "shift + d2", "blazon + a", "d2 + a", "helm + shift + b"]
            keys[draw(st.sampled_from(TRIGGERS))] = draw(st.sampled_from(strokes))
        case 3:
            layout.pop("keys", None)
        case 4:
            layout["commands"] = {draw(st.sampled_from(["F11", "Alt+F12"])): str(draw(st.integers(0, 9)))}
        case 5:
            layout["guard"] = draw(st.sampled_from(["on", "off"]))
            layout["contacts"] = draw(st.sampled_from(["switch", "switch-with-diode", "follows-select"]))
            layout["resume"] = draw(st.sampled_from(["on", "off"]))
            layout["keyboards"] = draw(st.sampled_from(["together", "apart"]))
        case 6:
            layout["accept"] = {"print-differs": draw(st.sampled_from(["so be it", "stickers"]))}
        case _:
            layout["pass"] = {"Meta": "helm", "AltLeft": draw(st.sampled_from(["helm", "blazon"]))}


def change_base_lines(draw: st.DrawFn, files: Files) -> None:
    """Lines of the layout that others share come or go."""
    base = list(files.values())[-1]
    keys = base["keys"]
    if draw(st.booleans()):
        keys.pop(draw(st.sampled_from(sorted(keys))))
    else:
        base["locks"] = {"CapsLock": "blazon-latch"}


EDITS: tuple[Edit, ...] = (
    swap_keys,
    rename_key,
    rename_modifier,
    rename_line,
    change_legend,
    change_scan,
    change_wiring,
    change_print,
    change_printed,
    change_caps,
    change_titles,
    change_lines,
    change_base_lines,
)

STARTS = (
    ("de-DE", "quillon8-de-DE-symbolic"),
    ("en-GB", "quillon8-en-GB-symbolic"),
    ("en-US", "quillon8-en-US-symbolic"),
    ("de-DE", "quillon8-de-DE-positional"),
)


class TwoPlans:
    """A plan before and after some edits; it is shown by the names of these alone, for plans are long."""

    def __init__(self, old: Plan, new: Plan, edits: list[Edit]) -> None:
        self.old = old
        self.new = new
        self.edits = edits

    def __repr__(self) -> str:
        return f"TwoPlans({self.old.id}, {[edit.__name__ for edit in self.edits]})"


@st.composite
def two_plans(draw: st.DrawFn) -> TwoPlans:
    """A plan before and after up to three edits; before them the files may have been edited as well."""
    host, layout = draw(st.sampled_from(STARTS))
    before = start(host, layout)
    first = draw(st.lists(st.sampled_from(EDITS), max_size=1))
    for edit in first:
        _edit(draw, before, edit, layout)
    after = copy.deepcopy(before)
    then = draw(st.lists(st.sampled_from(EDITS), min_size=1, max_size=3))
    for edit in then:
        _edit(draw, after, edit, layout)
    old, new = plan_of(before, layout), plan_of(after, layout)
    assert old is not None
    assert new is not None
    return TwoPlans(old, new, [*first, *then])


def _edit(draw: st.DrawFn, files: Files, edit: Edit, layout: str) -> None:
    """Edits the files, or leaves them alone where they could then no longer be read."""
    edited = copy.deepcopy(files)
    edit(draw, edited)
    if plan_of(edited, layout) is not None:
        files.clear()
        files.update(edited)
