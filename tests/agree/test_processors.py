"""The same tape on other processors: the same rows, byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.tape import ModelTape
from tests import tools
from tests.agree.layouts import few_plans
from tests.agree.processors import PROCESSORS, Processor, build_firmware, play_on
from tests.agree.streams import random_stream

SIZES = Sizes(keyboards=2)


@pytest.mark.parametrize("processor", PROCESSORS, ids=lambda processor: processor.name)
def test_same_rows(processor: Processor, tmp_path: Path) -> None:
    """A tape of 1,500 random events on six layouts shows on each processor what the model shows."""
    plans = few_plans()
    for name in processor.tools:
        tools.tool(name)
    tape = b"".join(
        event
        for number, plan in enumerate(plans)
        for event in random_stream(100 + number, plan, number, 250, keyboards=2, layouts=range(len(plans)))
    )
    expected = ModelTape(plans, SIZES).play(tape)
    rows = play_on(processor, build_firmware(processor, plans, SIZES, tmp_path), tape)
    width = 12 + 2 * max(len(plan.layout.machine.select) for plan in plans)
    full = len(expected) // (len(expected) // 44)
    assert len(rows) // width == len(expected) // full
    assert [rows[at : at + width] for at in range(0, len(rows), width)] == [
        expected[at : at + width] for at in range(0, len(expected), full)
    ]
