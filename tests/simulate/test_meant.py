"""What the listener of `trace` takes for meant is what `type` takes for meant, dead keys and pauses included."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from fractions import Fraction

import pytest

from matrixmap.hid.recording import Event
from matrixmap.hid.report import State
from matrixmap.hid.usages import Usage, by_code
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.simulate.engine import Engine
from matrixmap.simulate.recorded import Replay
from matrixmap.simulate.scan import Reader
from matrixmap.simulate.texts import Typing, as_text, legends_of, meant_by, play_typing
from matrixmap.simulate.trace import Listener
from matrixmap.simulate.typing.reports import Link
from matrixmap.simulate.typing.typist import usual_style
from tests.project import shipped_plan
from tests.shipped import seeds_up_to

Start = Callable[[list[Plan]], Engine]
LAYOUTS = ("quillon8-de-DE-symbolic", "quillon8-fr-FR-symbolic", "quillon8-es-ES-symbolic", "quillon8-en-GB-symbolic")
SECOND = 1_000_000


def dead_and_others(plan: Plan, seed: int) -> tuple[KeyPress, ...]:
    """Presses at random, half of them dead keys: pairs, accents by themselves, dead keys twice, taken back, dropped."""
    rng = random.Random(seed)
    ways = [found[0] for found in ways_to_type(plan).values()]
    dead = sorted({way[0] for way in ways if len(way) > 1}, key=KeyPress.ease) or [way[0] for way in ways]
    caret = [press for press in dead if plan.dead_key(press.trigger) == "^"] or dead
    chosen: list[KeyPress] = []
    for _ in range(60):
        chosen += rng.choice(((rng.choice(dead),), (rng.choice(caret),), rng.choice(ways), rng.choice(ways)))
    return tuple(chosen)


@pytest.mark.parametrize("seed", seeds_up_to(1, 3))
@pytest.mark.parametrize("id", LAYOUTS)
def test_dead_keys_are_meant_as_typed(start: Start, id: str, seed: int) -> None:
    """Typed at ease, what is meant by the listener, what is meant by the presses, and what is read are one."""
    plan = shipped_plan(id)
    presses = dead_and_others(plan, seed)
    listener = Listener(start([plan]), [plan], 4)
    typing = Typing(plan=plan, presses=presses, style=usual_style(Fraction(5)), link=Link.QUEUED, interval_us=8_000)
    player = play_typing(listener, typing)
    meant = as_text(meant_by(plan, presses))
    assert as_text(listener.take_meant()) == meant
    assert as_text(legends_of(Reader(plan.layout.machine, plan.contacts).read(player.moments, 0))) == meant


def taps(*codes: str, pause_us: int) -> Iterable[Event]:
    """A recording of keys that are pressed and released one after the other, with a pause after each."""
    time = 0
    for line, code in enumerate(codes):
        usage: Usage = by_code(code)[0]
        yield Event(time, 0, State.KEYS, frozenset({usage}), line, None)
        yield Event(time + SECOND // 10, 0, State.KEYS, frozenset(), line, None)
        time += SECOND // 10 + pause_us


@pytest.mark.parametrize("pause_us", [SECOND // 10, 10 * SECOND])
@pytest.mark.parametrize(
    ("id", "codes", "meant"),
    [
        ("quillon8-de-DE-symbolic", ("Backquote", "KeyA", "Backquote", "Space", "Backquote", "Backquote"), "^a^^"),
        ("quillon8-de-DE-symbolic", ("Backquote", "Backspace", "Space", "Equal", "KeyB"), " b"),
        ("quillon8-en-US-positional", ("CapsLock", "KeyB", "KeyX", "CapsLock", "KeyC"), "□◇c"),
    ],
)
def test_a_pause_ends_neither_dead_key_nor_latch(
    start: Start, id: str, codes: tuple[str, ...], meant: str, pause_us: int
) -> None:
    """However long a person waits after a dead key, or with a latch closed, the next key means the same."""
    replay = Replay(start([shipped_plan(id)]), shipped_plan(id), 4)
    stretches = list(replay.stretches(taps(*codes, pause_us=pause_us)))
    assert len(stretches) > 1
    assert as_text(legend for stretch in stretches for legend in stretch.meant) == meant
