"""Strokes of nothing but a machine's modifiers, on a machine that tells any number of keys apart."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.project import call, write_project

LAYOUT = "layout: board\nmachine: ricasso12-fo\nhost: de-DE\njoin: {join}\nkeys:\n  F1: {stroke}\n  Alt+F2: {stroke}\n"


@pytest.mark.parametrize("join", ["symbolic", "positional"])
@pytest.mark.parametrize("stroke", ["third + duty", "shift + third"])
def test_a_stroke_of_modifiers_alone_is_checked(stroke: str, join: str, tmp_path: Path) -> None:
    """Check, show and build take it; none of its keys is a character, and no rollover counts them."""
    write_project(tmp_path, {"layouts/board.yaml": LAYOUT.format(join=join, stroke=stroke)})
    done = call("check", "board", "--format", "json", "--fail-on", "none", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "stroke-exceeds-rollover" not in done.stdout
    json.loads(done.stdout)
    shown = call("show", "board", cwd=tmp_path)
    assert (shown.returncode, shown.stderr) == (0, "")
    assert any(line.startswith("F1 ") for line in shown.stdout.splitlines())
    assert call("build", "board", "--quiet", cwd=tmp_path).returncode == 0


@pytest.mark.parametrize("stroke", ["shift + shift-left", "third + shift-left + shift-right"])
def test_a_stroke_that_names_a_modifiers_own_key_is_refused(stroke: str, tmp_path: Path) -> None:
    """No table holds it: a finding with its place in the check, an error in a build, and nothing written."""
    write_project(tmp_path, {"layouts/board.yaml": LAYOUT.format(join="positional", stroke=stroke)})
    done = call("check", "board", cwd=tmp_path)
    assert done.returncode == 2
    assert "layouts/board.yaml:6:3: table-unsound: F1 closes shift-left by itself" in done.stdout
    built = call("build", "board", cwd=tmp_path)
    assert built.returncode == 2
    assert "board cannot be built: F1 closes shift-left by itself" in built.stderr
    assert not (tmp_path / "generated").exists()
