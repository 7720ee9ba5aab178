"""Caps Lock on a latch whose modifier makes no capitals but pictures, some of them on the keys of letters."""

from pathlib import Path

import pytest

from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Demand, Stroke
from tests.project import open_folders, read_layout, write_project

LAYOUT = "layout: mine\nbase: quillon8-symbolic\nhost: en-GB\nlocks: {CapsLock: blazon-latch}\n"


@pytest.mark.parametrize(("text", "demand"), [("l", Demand.PASS), ("L", Demand.PASS), ("£", Demand.HOLD)])
def test_only_letters_let_the_latch_pass(tmp_path: Path, text: str, demand: Demand) -> None:
    """The latch turns l into £, and what is printed as £ is £ without it too: the stroke holds the modifier itself."""
    plan = compile_plan(read_layout(open_folders(write_project(tmp_path, {"layouts/mine.yaml": LAYOUT})), "mine"))
    blazon = next(number for number, each in enumerate(plan.layout.machine.modifiers) if each.name == "blazon")
    strokes = {
        binding.action.demands[blazon]
        for binding in plan.bindings
        if isinstance(binding.action, Stroke) and binding.action.types and binding.action.types.text == text
        if not binding.trigger.extras
    }
    assert strokes == {demand}
