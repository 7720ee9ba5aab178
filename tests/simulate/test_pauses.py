"""A pause costs no work, however long it is: a runtime that waits for nothing is not called."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from matrixmap.hid.recording import Event
from matrixmap.hid.report import NO_KEYS, State
from matrixmap.hid.usages import by_code
from matrixmap.model.plan import Plan
from matrixmap.simulate.engine import Engine
from matrixmap.simulate.recorded import Replay, Stretch
from tests.project import shipped_plan

DAY_US = 86_400 * 1_000_000
NOW_US = 1_700_000_000 * 1_000_000
HELD_US = 50_000
MOST_CALLS = 200
"""Calls of the runtime for a few keystrokes, whatever the pauses are."""


class Counted:
    """A runtime whose calls with the time are counted."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self.calls = 0

    def __getattr__(self, name: str) -> object:
        return getattr(self._engine, name)

    def advance(self, now: int) -> int:
        """Acts on what is due."""
        self.calls += 1
        return self._engine.advance(now)


def keystrokes(first_us: int, held_us: int, pause_us: int) -> Iterator[Event]:
    """The keys A, B and A again."""
    time = first_us
    for line, code in enumerate(("KeyA", "KeyB", "KeyA"), 1):
        yield Event(time, 0, State.KEYS, frozenset(by_code(code)), line, None)
        yield Event(time + held_us, 0, State.KEYS, NO_KEYS, line, None)
        time += held_us + pause_us


def changes(stretches: list[Stretch]) -> list[int]:
    """When a contact closed or opened."""
    return [moment.time_us for stretch in stretches for moment in stretch.moments]


@pytest.mark.parametrize(
    ("first_us", "held_us", "pause_us"),
    [(0, HELD_US, 11 * DAY_US), (0, 11 * DAY_US, HELD_US), (NOW_US, HELD_US, HELD_US), (0, 365 * DAY_US, 9 * DAY_US)],
    ids=["between keys", "while a key is held", "a clock set to the time of day", "a year"],
)
def test_a_pause_costs_no_calls(
    start: Callable[[list[Plan]], Engine], first_us: int, held_us: int, pause_us: int
) -> None:
    """A recording with long pauses calls the runtime as often as one with short ones, and shows the recording's times."""
    plan = shipped_plan("quillon8-en-GB-symbolic")
    found = []
    for times in ((0, HELD_US, HELD_US), (first_us, held_us, pause_us)):
        engine = Counted(start([plan]))
        replay = Replay(engine, plan, 4)  # type: ignore[arg-type]
        stretches = list(replay.stretches(keystrokes(*times)))
        found.append("".join(text for stretch in stretches for text in stretch.meant))
        assert engine.calls < MOST_CALLS
        assert changes(stretches) == [event.time_us for event in keystrokes(*times)]
    assert found == ["aba", "aba"]
