"""Sides of a comparison made of files in memory, and comparisons of them."""

from __future__ import annotations

from collections.abc import Mapping

from matrixmap.check.registry import known_slugs
from matrixmap.compare.comparison import Comparison, compare_sides
from matrixmap.compare.side import Side
from matrixmap.source.folder import KINDS
from matrixmap.source.kinds.project import Project
from tests.source.memory import MemoryFolder

FOLDER_KINDS = {folder: kind for kind, folder in KINDS.items()}


def side(name: str, files: Mapping[str, str]) -> Side:
    """A side with these files, such as `layouts/x.yaml`."""
    cells = {}
    for path, text in files.items():
        folder, _, file = path.rpartition("/")
        cells[FOLDER_KINDS[folder], file.removesuffix(".yaml")] = text.encode()
    return Side(name, Project([MemoryFolder(cells)], known_slugs()))


def compared(old: Mapping[str, str], new: Mapping[str, str]) -> Comparison:
    """Both sides with their findings, of which the one is called old and the other new."""
    return compare_sides(side("old", old), side("new", new), findings=True)


MACHINE = """machine: little
title: Little
source: invented for this test
matrix:
  select: [S0, S1, S2]
  sense: [N0, N1]
  grid:
    S0: [a, b]
    S1: [c, shift]
    S2: [d, none]
modifiers: {shift: shift}
types:
  a: {plain: a, shift: A}
  b: {plain: b, shift: B}
  c: {plain: '1', shift: '!'}
  d: {plain: Enter}
scan: {period_us: 20000, sweep_us: 0, rollover: 2}
"""
HOST = """host: xx
title: A host
source: invented for this test
form: iso-105
legends:
  KeyA: [a, A]
  KeyB: [b, B]
  Digit1: ['1', '!']
  Enter: [Enter]
"""
LAYOUT = """layout: {id}
machine: little
host: xx
join: symbolic
"""


def little(**layouts: str) -> dict[str, str]:
    """A machine of five keys with a host and layouts, each with lines after its first four."""
    files = {"shared/machines/little.yaml": MACHINE, "shared/hosts/xx.yaml": HOST}
    files.update({f"layouts/{id}.yaml": LAYOUT.format(id=id) + lines for id, lines in layouts.items()})
    return files
