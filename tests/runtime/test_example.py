"""The example in mm_runtime.h, tick by tick, is what the compiled runtime does."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from matrixmap.hid.usages import by_code
from matrixmap.press.table.make import make_table
from tests.project import shipped_plan

from .engine import NEVER, Engine

HEADER = (Path(__file__).parents[2] / "matrixmap" / "runtime" / "mm_runtime.h").read_text(encoding="utf-8")
LEFT_SHIFT = 0x02


def told() -> tuple[str, tuple[int, ...], dict[int, str]]:
    """The layout of the example; its close, open and lead time; what happens at each tick."""
    text = HEADER[HEADER.index(" * AN EXAMPLE.") : HEADER.index("#ifndef MM_RUNTIME_H")]
    text = re.sub(r"\n \* ", "\n", text)
    times = re.search(
        r"layout (\S+) has a close time of (\d+) ticks, an open time of (\d+) and a lead time of (\d+)", text
    )
    assert times
    steps = {int(tick): words for tick, words in re.findall(r"^ +(\d+)  (.*(?:\n {10,}.*)*)", text, flags=re.MULTILINE)}
    return times[1], tuple(int(number) for number in times.groups()[1:]), steps


def test_the_example_is_what_happens(start: Callable[[bytes], Engine]) -> None:
    """Each tick that the header names changes just what it says there, and no other tick changes anything."""
    id, times, steps = told()
    plan = shipped_plan(id)
    machine = plan.layout.machine
    contacts = {key.name: ("x", *divmod(key.contact, len(machine.sense))) for key in machine.keys}
    table = make_table(plan)
    assert table.times == times
    engine = start(table.to_bytes())
    begin = engine.mark()
    engine.report(*by_code("Digit2")[:1], modifiers=LEFT_SHIFT)
    engine.run(50)
    engine.report()
    engine.run(1)
    waits = []
    while engine.now - begin < 1_000:
        wait = engine.settle()
        if wait == NEVER:
            waits.append(engine.now - begin)
            break
        engine.now += wait
    shift, d2 = contacts["shift-left"], contacts["d2"]
    assert engine.story == [(0, {shift}), (5, {shift, d2}), (296, {shift}), (301, frozenset())]
    assert waits == [583]
    assert [*steps] == [0, 5, 50, 296, 301, 583]
    assert "shift-left, which closes at once" in steps[0]
    assert "d2 closes" in steps[5]
    assert "d2 opens" in steps[296]
    assert "it opens" in steps[301]
    assert "MM_NEVER" in steps[583]
