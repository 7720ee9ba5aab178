"""Machines re-made from the tables that handbooks print, and what a person types beyond the pasted table.

Tables: figure 36 of the MSX Red Book (msx-matrix.yaml) and the half-rows of the Spectrum manuals (spectrum-matrix.yaml), as they
are printed. The third is the demo's machine of 64 keys, printed as a handbook would print it: one label a key.
The person of these tests types the command, puts further legends into the table, and changes the written file until it means what the
fixture means. Each character typed counts, and each stretch that is taken out counts as one. Names of keys are free, and so
are places, which the fixtures of the handbooks do not have; plug and controllers are no part of a matrix.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping
from dataclasses import dataclass, fields
from itertools import chain, combinations
from pathlib import Path

import pytest

from matrixmap.model.machine import PLAIN, Key, Machine, Scan, ShiftState
from matrixmap.source.write.host_file import scalar
from tests.project import HANDBOOK, call, open_folders
from tests.reference.printed import tree

HERE = Path(__file__).parent
MOST = 1200
"""Characters that may be typed for a machine of 64 keys; others have as many for each key."""

HELD = {"msx-uk": 300, "zx-spectrum": 200, "quillon8": 560}
"""What is typed for each machine, rounded up, so that a proposal that gets worse is seen."""

FUNCTION_LABELS = {"Enter": "RETURN", " ": "SPACE"}
SCAN_FIELDS = (
    "period_us",
    "sweep_us",
    "samples_down",
    "samples_up",
    "tolerance_percent",
    "rollover",
    "strobe_to_read_us",
)


@dataclass(frozen=True)
class Job:
    """A machine to be re-made: the fixture, the table as it is pasted, and the options that it needs."""

    machine: Machine
    table: list[list[str]]
    states: tuple[str, ...]
    options: tuple[str, ...]


def machine_of(name: str) -> Machine:
    """A machine of the handbooks or a shipped one."""
    loaded = open_folders(HANDBOOK).machine(name)
    assert loaded is not None
    assert loaded.value is not None
    return loaded.value


def msx() -> Job:
    """Figure 36: the number of the row, then the keys from bit 7 to bit 0."""
    rows = tree(HERE / "msx-matrix.yaml")["rb_figure_36_uk"]
    table = [[number, *labels] for number, labels in rows.items()]
    return Job(machine_of("msx-uk"), table, ("shift",), ("--select", "Y", "--sense", "X7-X0"))


def spectrum() -> Job:
    """The half-rows: the address line, then the keys from D0 to D4."""
    rows = tree(HERE / "spectrum-matrix.yaml")["half_rows"]
    return Job(machine_of("zx-spectrum"), [[row["low_line"], *row["keys"]] for row in rows], (), ("--sense", "D"))


def demo() -> Job:
    """The demo's machine with its names of lines: letters and marks as they are typed plain, other keys by their names."""
    machine = machine_of("quillon8")
    names: dict[int, str] = {}
    for key in machine.keys:
        plain = key.types.get(PLAIN)
        label = plain.text.upper() if plain and plain.is_character else ""
        names[key.contact] = FUNCTION_LABELS.get(label, label) or key.name.upper().replace("-", " ")
    width = len(machine.sense)
    table = [["", *machine.sense]]
    for row, line in enumerate(machine.select):
        table.append([line, *(names.get(row * width + column, "none") for column in range(width))])
    others = [
        modifier.name for modifier in machine.modifiers if modifier.name not in ("shift", "control", "graph", "alt")
    ]
    used = {state for key in machine.keys for state in key.types}
    last = machine.modifiers[-1].name
    states = ["shift", last, *([f"shift+{last}"] if frozenset({"shift", last}) in used else [])]
    options = ("--legends", ",".join(states), *(("--modifiers", ",".join(others)) if others else ()))
    return Job(machine, table, tuple(states), options)


JOBS = {"msx-uk": msx, "zx-spectrum": spectrum, "quillon8": demo}


def state_of(text: str) -> ShiftState:
    """A shift state of the options."""
    return frozenset(text.split("+"))


def filled(job: Job) -> tuple[list[list[str]], int]:
    """The table with the legends that a person puts behind the printed ones, and the characters that this takes."""
    keys = {key.types[PLAIN].text.lower(): key for key in reversed(job.machine.keys) if PLAIN in key.types}
    typed = 0
    table = []
    for row in job.table:
        cells = []
        for cell in row:
            key = keys.pop(cell.lower(), None) if len(cell) == 1 and row[0] != cell else None
            more = behind(key, job.states) if key else ""
            typed += len(more)
            cells.append(cell + more)
        table.append(cells)
    return table, typed


def behind(key: Key, states: tuple[str, ...]) -> str:
    """The legends of a key in the order of the states, as far as none is missing; a letter's other case is understood."""
    letter = key.types[PLAIN].text.isalpha() and key.types[PLAIN].text.isascii()
    more = ""
    for state in states:
        if letter and state == "shift":
            continue
        legend = key.types.get(state_of(state))
        if legend is None:
            break
        more += f" {legend.text}"
    return more


def meaning(machine: Machine) -> Mapping[str, object]:
    """What a machine file says, whatever it calls its keys: lines, contacts, what is typed in each state, times."""
    names = [modifier.name for modifier in machine.modifiers]
    states = [*map(frozenset, chain.from_iterable(combinations(names, size) for size in range(len(names) + 1)))]
    at = {key.name: machine.contact_name(key.contact) for key in machine.keys}
    return {
        "title": machine.title,
        "source": machine.source,
        "lines": (sorted(machine.select), sorted(machine.sense), machine.direct),
        "diodes": (machine.diodes, machine.diode_contacts),
        "keys": {at[key.name]: {state: types(key, state) for state in states} for key in machine.keys},
        "modifiers": {modifier.name: sorted(at[key] for key in modifier.keys) for modifier in machine.modifiers},
        "latching": sorted(at[key] for key in machine.latching.values()),
        "scan": times(machine.scan),
    }


def types(key: Key, state: ShiftState) -> str | None:
    """What a key types while modifiers are held."""
    legend = key.types.get(state & key.selectors)
    return legend.text if legend else None


def times(scan: Scan) -> dict[str, float | None]:
    """The times of a scan by name."""
    assert set(SCAN_FIELDS) <= {field.name for field in fields(Scan)}
    return {name: getattr(scan, name) for name in SCAN_FIELDS}


class Editor:
    """A text, and how many characters were typed into it."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.typed = 0

    def replace(self, pattern: str, new: str) -> None:
        """Put a text where exactly one stretch matches; a stretch that is only taken out counts as one."""
        self.text, times = re.subn(pattern, lambda _: new, self.text, flags=re.MULTILINE)
        assert times == 1, (pattern, times)
        self.typed += max(1, len(new))

    def add(self, line: str) -> None:
        """A line at the end."""
        self.text += f"{line}\n"
        self.typed += len(line) + 1


def types_text(machine: Machine, key: Key) -> str:
    """What stands behind a key under `types`."""
    states = {machine.state_name(state): scalar(legend.text) for state, legend in key.types.items()}
    states |= {machine.state_name(state): "none" for state in key.silent}
    return "{" + ", ".join(f"{state}: {legend}" for state, legend in states.items()) + "}"


def finish(editor: Editor, wanted: Machine, found: Machine) -> None:
    """Changes a written file until it means what is wanted."""
    made = {found.contact_name(key.contact): key for key in found.keys}
    for key in wanted.keys:
        own = made.get(wanted.contact_name(key.contact))
        if own is None:
            continue
        states = {*key.types, *key.silent, *own.types}
        if any(types(key, state) != types(own, state) for state in states):
            # What the file has already stays; what is missing is typed behind it.
            kept, new = types_text(found, own)[:-1], types_text(wanted, key)
            if not key.types:
                editor.replace(rf"^  {own.name}: {{.*}}.*\n", "")
            elif new.startswith(kept):
                editor.replace(rf"(?<=^  {own.name}: {re.escape(kept)})(?=}})", new[len(kept) : -1])
            else:
                editor.replace(rf"(?<=^  {own.name}: ){{.*}}", new)
    for name, value in times(wanted.scan).items():
        if value == times(found.scan)[name]:
            continue
        shown = f"{value:g}" if value is not None else ""
        if name == "rollover":
            editor.replace(r"# rollover: 2", f"rollover: {shown}")
        elif re.search(rf"^  {name}:", editor.text, re.MULTILINE):
            editor.replace(rf"(?<=^  {name}: )\d+", shown)
        else:
            editor.replace(r"(?<=^scan:)(?=.*$)", f"\n  {name}: {shown}")
    direct = [key for key in wanted.keys if wanted.lines(key.contact) is None]
    if direct:
        editor.add("direct: {" + ", ".join(f"{key.name}: {wanted.contact_name(key.contact)}" for key in direct) + "}")
        for key in direct:
            editor.replace(r"(?<=^types:)(?=$)", f"\n  {key.name}: {types_text(wanted, key)}")
    names = {found.contact_name(key.contact): key.name for key in found.keys}
    if wanted.latching:
        pairs = (
            f"{latch}: {names[wanted.contact_name(wanted.key(key).contact)]}" for latch, key in wanted.latching.items()
        )
        editor.add("latching: {" + ", ".join(pairs) + "}")


@pytest.mark.parametrize("name", JOBS)
def test_a_machine_is_re_made_with_few_characters(name: str, tmp_path: Path) -> None:
    """The file means what the fixture means after at most 1,200 characters for 64 keys, the command among them."""
    job = JOBS[name]()
    table, typed = filled(job)
    (tmp_path / "table.txt").write_text("\n".join("\t".join(row) for row in table) + "\n", encoding="utf-8")
    said = ("--title", job.machine.title, "--source", job.machine.source)
    words = ("new", "machine", name, "--from", "table.txt", *job.options, *said, "--place", "none")
    typed += len(shlex.join(("matrixmap", *words[:-2]))) + 1
    done = call(*words, cwd=tmp_path)
    assert (
        done.returncode,
        done.stderr.replace(f"note: your machine {name} is used in place of the shipped one\n", ""),
    ) == (0, "")
    path = tmp_path / "shared" / "machines" / f"{name}.yaml"
    found = open_folders(tmp_path).machine(name)
    assert found is not None
    assert found.value is not None
    editor = Editor(path.read_text(encoding="utf-8"))
    finish(editor, job.machine, found.value)
    path.write_text(editor.text, encoding="utf-8")
    again = open_folders(tmp_path).machine(name)
    assert again is not None
    assert again.value is not None, again.findings
    assert meaning(again.value) == meaning(job.machine)
    typed += editor.typed
    print(f"{name}: {len(job.machine.keys)} keys, {typed} characters typed, of them {editor.typed} in the file")
    assert typed <= min(HELD[name], MOST * len(job.machine.keys) / 64)
