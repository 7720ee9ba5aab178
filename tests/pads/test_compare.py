"""`matrixmap compare` tells a change of what pads do."""

from __future__ import annotations

from pathlib import Path

from tests.pads.layouts import STEERED
from tests.project import call, write_project


def test_changes_of_pads_are_told(tmp_path: Path) -> None:
    """A switch, a button, the order and a threshold that change are an item each; the same section is none."""
    other = (
        STEERED.replace("Whistle: [Button 1, Button 2]", "Whistle: [Button 3]")
        .replace("Button 8: space", "Button 8: d1")
        .replace("order: [tiller, oar]", "order: [oar, tiller]")
        .replace("  Button 10: shift + a\n", "  press: 0.6\n")
    )
    for name, text in (("old", STEERED), ("new", other)):
        write_project(tmp_path / name, {"layouts/steered.yaml": text})
    told = " ".join(call("compare", "old", "new", cwd=tmp_path).stdout.split())
    for words in (
        "pads: Whistle of tiller: Button 3, was Button 1, Button 2",
        "pads: Button 8: d1, was space",
        "pads: Button 10: nothing, was shift + a",
        "pads: pad 1: the controller oar, was the controller tiller",
        "pads: the threshold press: 60 %, was 50 %",
    ):
        assert words in told, told
    assert "pads:" not in call("compare", "old", "old", cwd=tmp_path).stdout
