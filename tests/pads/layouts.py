"""Layouts with a section `pads:`, for tests."""

from __future__ import annotations

from pathlib import Path

from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from tests.project import open_folders, read_layout, write_project

STEERED = """layout: steered
machine: quillon8
host: en-GB
join: symbolic
pads:
  order: [tiller, oar]
  Ahead: [Hat up, D-pad up, Y-]
  Astern: [Hat down, D-pad down, Y+]
  Port: [Hat left, D-pad left, X-]
  Starboard: [Hat right, D-pad right, X+]
  Whistle: [Button 1, Button 2]
  Pull: Button 1
  Button 8: space
  Button 9: {command: 3}
  Button 10: shift + a
"""


def plan_of(folder: Path, text: str = STEERED, id: str = "steered") -> Plan:
    """The plan of a layout, in a folder of its own with the shipped files behind it."""
    write_project(folder, {f"layouts/{id}.yaml": text})
    return compile_plan(read_layout(open_folders(folder), id))
