"""Strokes of nothing but a machine's modifiers, on a machine that tells any number of keys apart."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.project import call, write_project

LAYOUT = "layout: board\nmachine: ricasso12-fo\nhost: de-DE\njoin: {join}\nkeys:\n  F1: {stroke}\n  Alt+F2: {stroke}\n"


@pytest.mark.parametrize("join", ["symbolic", "positional"])
@pytest.mark.parametrize("stroke", ["third + duty", "shift + shift-left", "third + shift-left + shift-right"])
def test_a_stroke_of_modifiers_alone_is_checked(stroke: str, join: str, tmp_path: Path) -> None:
    """Check, show and build take it; none of its keys is a character, and no rollover counts them."""
    write_project(tmp_path, {"layouts/board.yaml": LAYOUT.format(join=join, stroke=stroke)})
    done = call("check", "board", "--format", "json", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "stroke-exceeds-rollover" not in done.stdout
    json.loads(done.stdout)
    shown = call("show", "board", cwd=tmp_path)
    assert (shown.returncode, shown.stderr) == (0, "")
    assert any(line.startswith("F1 ") for line in shown.stdout.splitlines())
    assert call("build", "board", "--quiet", cwd=tmp_path).returncode == 0
