"""Small layouts and a host for pictures: modifiers on one side, and legends that are not printed."""

from __future__ import annotations

import string
from collections.abc import Mapping
from pathlib import Path

from matrixmap.emit.pictures.faces import Face, Faces, form_of
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from tests.project import ROOT, open_folders, read_layout, write_project

LETTERS = "\n".join(
    f"  Key{letter}: [{letter.lower()}, {letter}]" for letter in string.ascii_uppercase if letter not in "EKNQUYZ"
)

HOST = f"""
host: xx-XX
title: Invented
source: invented
base: base
form: iso-105
legends:
{LETTERS}
  KeyE: [e, E, '^']
  KeyK: [k, K, '#', 'Ł']
  KeyN: ['n', 'N']
  KeyQ: [q, Q, '@']
  KeyU: [u, U, æ]
  KeyZ: [z, Z, 'y', 'Y']
  Digit1: [1, '!']
  Digit3: [3, '#']
  Minus: [ß, '?']
  Equal: ['=', '+']
  Backslash: ['\\', '|']
  IntlBackslash: ['\\', '|']
printed:
  source: invented
  altgr: {{KeyQ: '@'}}
  not: {{Equal: '='}}
"""

PRINTED = "layout: printed\nbase: quillon8-symbolic\nhost: xx-XX\n"


def plan_of(
    tmp_path: Path, keys: Mapping[str, str] | None = None, host: str = "en-US", machine: str | None = None
) -> Plan:
    """The positional layout of the demo for a host, with other strokes on some keys."""
    lines = "".join(f"  {key}: {stroke}\n" for key, stroke in (keys or {}).items())
    text = f"layout: mine\nbase: quillon8-positional\nhost: {host}\n" + (f"keys:\n{lines}" if lines else "")
    files = {"layouts/mine.yaml": text} | ({"shared/machines/quillon8.yaml": machine} if machine else {})
    return compile_plan(read_layout(open_folders(write_project(tmp_path, files)), "mine"))


def shift_locked_plan(tmp_path: Path, keys: Mapping[str, str]) -> Plan:
    """The same on a machine whose latch is in parallel with the left Shift."""
    machine = (ROOT / "shared" / "machines" / "quillon8.yaml").read_text(encoding="utf-8")
    locked = machine.replace("latching: {blazon-latch: blazon}", "latching: {blazon-latch: shift-left}")
    assert locked != machine
    return plan_of(tmp_path, keys, machine=locked)


def printed_plan(tmp_path: Path, host: str = HOST) -> Plan:
    """A symbolic layout for a host whose file says what is printed."""
    files = {"shared/hosts/xx-XX.yaml": host, "layouts/printed.yaml": PRINTED}
    return compile_plan(read_layout(open_folders(write_project(tmp_path, files)), "printed"))


def faces_of(plan: Plan) -> dict[str, Face]:
    """The faces of a plan's host keys by their codes."""
    board = form_of(plan.layout.host)
    assert board is not None
    return {face.name: face for face in Faces(plan).host(board)}
