"""Beginnings of machine and layout files: in the right shape, with plain comments, readable at once."""

from __future__ import annotations

from collections.abc import Sequence

from matrixmap.model.host import Host
from matrixmap.model.machine import Machine
from matrixmap.source.report import named
from matrixmap.source.shape.schema import schema_comment
from matrixmap.source.write.host_file import scalar

TO_FILL_IN = "to be filled in"
"""The text in a new file for what only the writer knows."""

SCAN = """\
scan:
  period_us: 20000  # microseconds from one scan of the keyboard to the next; 20000 is 50 a second
  # sweep_us: 1000  # microseconds that one scan takes, to the end of its last line
  samples_down: 1  # how many equal scans confirm a press
  samples_up: 1  # how many equal scans confirm a release
  # debounce: whole  # if only scans that are equal in all keys count; else each key counts its own
  # rollover: 2  # the most keys, besides modifiers, that the machine can tell apart
  # more_keys: kept  # what a scan does that finds more keys: kept, first or released; a list if you do not know which
"""
"""The section of a new file about how the machine reads its keyboard."""

HOST_MODIFIERS = ("Control", "Alt", "Meta")


def machine_text(id: str, rows: Sequence[str], columns: Sequence[str]) -> str:
    """A machine with these select and sense lines, and a key with a provisional name at every crosspoint."""
    names = [[crosspoint_key(row, column) for column in columns] for row in rows]
    grid = [f"    {row}: [{', '.join(line)}]" for row, line in zip(rows, names, strict=True)]
    return f"""{schema_comment("machine")}machine: {id}
title: {scalar(id)}  # the name as people write it
source: {TO_FILL_IN}  # where the facts come from: document, edition, page

matrix:
  select: [{", ".join(rows)}]  # the lines that the machine strobes, by the names in its manual
  sense: [{", ".join(columns)}]  # the lines that it reads back
  diodes: none  # or all, or a list of the keys that have one
  # One row for each select line, one entry for each sense line, as the manual prints the matrix.
  # Give each key a name of lower-case words joined by hyphens; write none where there is no key.
  grid:
{chr(10).join(grid)}

# Keys on a line of their own, outside the matrix, and that line:
# direct: {{break: BRK}}

# The machine's modifiers and their keys, by their names in the grid:
# modifiers: {{shift: [shift-left, shift-right], control: control}}
modifiers: {{}}

# What each key types in each shift state: a character, or the name of a function such as Enter or ArrowUp.
# Put marks in quotes: '!'. For example:
#   d1: {{plain: 1, shift: '!'}}
#   a: {{plain: a, shift: A}}
#   return: {{plain: Enter}}
#   caret: {{plain: ^, shift: none}}
# With none a key types nothing in that state; a modifier that no state of a key names has no effect on it.
types: {{}}

{SCAN}
# The physical keyboard for positional layouts and pictures: rows from the top, in key pitches.
# place:
#   - {{row: 0, from: 0, keys: [d1, d2, {{gap: 0.5}}, {{key: return, width: 2}}]}}
"""


def crosspoint_key(select: str, sense: str) -> str:
    """The name of the key at a crosspoint in a new file."""
    return f"{select}-{sense}".lower()


def symbolic_text(id: str, machine: Machine, host: Host) -> str:
    """A layout that joins by print, with the host modifiers that feed the machine's."""
    fed = _fed(machine)
    passes = (
        f"pass: {{{', '.join(f'{name}: {modifier}' for name, modifier in fed.items())}}}\n"
        if fed
        else "# The machine has no others.\n"
    )
    shift = f"; Shift feeds {machine.host_shift} without a line" if machine.host_shift else ""
    return f"""{schema_comment("layout")}layout: {id}
machine: {machine.id}
host: {host.id}
join: symbolic  # every key types what is printed on it, if the machine has it
{_stand_in(machine, host)}
# Host modifiers that feed modifiers of the machine{shift}.
{passes}
# What the join does not give by itself; matrixmap check {id} says what no key reaches.
# A trigger and its stroke, or none to silence a key:
# keys:
#   F1: {example_key(machine)}
"""


def _stand_in(machine: Machine, host: Host) -> str:
    """For a host that prints no Latin letters of the machine's: the remark that a second host can stand in."""
    printed = {legend.text.lower() for key in host.keys.values() for legend in key.legends if legend}
    typed = {legend.text.lower() for key in machine.keys for legend in key.types.values() if legend.is_character}
    missing = sorted(text for text in typed - printed if text.isascii() and text.isalpha())
    if not missing:
        return ""
    return (
        f"\n# No key of this host prints {named(missing, 6)}. A second host can stand in: where the machine lacks what is\n"
        "# printed on a key, the key types what that host prints there.\n# stand_in: en-US\n"
    )


def _fed(machine: Machine) -> dict[str, str]:
    """Host modifier -> machine modifier: first those with the same name, then the others in the order of the file."""
    names = [modifier.name for modifier in machine.modifiers if modifier.name != machine.host_shift]
    fed = {host: host.lower() for host in HOST_MODIFIERS if host.lower() in names}
    others = [name for name in names if name not in fed.values()]
    free = [host for host in HOST_MODIFIERS if host not in fed]
    return fed | dict(zip(free, others, strict=False))


def example_key(machine: Machine) -> str:
    """A key for an example line; the machine may have none."""
    return machine.keys[0].name if machine.keys else "a"
