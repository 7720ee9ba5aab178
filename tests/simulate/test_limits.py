"""What a replay and the phases of a scan may cost: work is bounded, and a real recording is far within."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from matrixmap import limits
from matrixmap.hid.recording import Event
from matrixmap.hid.report import State
from matrixmap.hid.usages import Usage
from matrixmap.simulate import recorded
from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.model import Model
from matrixmap.simulate.recorded import Replay, ReplayError
from matrixmap.simulate.scan import Moment, Reader, critical_phases
from matrixmap.simulate.trace import Listener
from tests.project import call, shipped_plan

LAYOUT = "quillon8-en-GB-symbolic"
STEP_US = 60_000
REPORTS = 10_000
"""Ten minutes of typing: eight keystrokes a second, two reports each."""


def typed(reports: int, held: frozenset[Usage] = frozenset()) -> Iterator[Event]:
    """Letters one after the other, each pressed and let go, while other keys stay down."""
    for number in range(reports):
        keys = held if number % 2 else held | {Usage(5 + number // 2 % 20)}
        yield Event((number + 1) * STEP_US, 0, State.KEYS, frozenset(keys), number + 1, None)


def replay() -> Replay:
    """A replay with the model."""
    plan = shipped_plan(LAYOUT)
    return Replay(Model([plan], Sizes(keyboards=4)), plan, 4)


def test_ten_minutes_of_typing_are_replayed(tmp_path: Path) -> None:
    """A recording as a customer sends it is far within every limit."""
    lines = (
        f"E: {event.time_us / 1e6:.6f} 8 00 00 {min(event.keys, default=0):02x} 00 00 00 00 00"
        for event in typed(REPORTS)
    )
    (tmp_path / "typing.rec").write_text("\n".join(lines))
    done = call("trace", LAYOUT, tmp_path / "typing.rec")
    assert done.returncode == 0, done.stderr
    assert f"{REPORTS} reports, 0 of them of too many keys" in done.stdout
    assert (tmp_path / "typing.rec").stat().st_size < limits.RECORDING_BYTES / 4
    assert REPORTS < limits.RECORDING_LINES / 4
    assert REPORTS / 2 < limits.REPLAYED_PRESSES / 2
    assert REPORTS < limits.REPLAYED_CHANGES / 2


@pytest.mark.parametrize("command", [("trace", LAYOUT), ("keyboard", "--keys")])
def test_a_recording_has_a_most_of_lines(command: tuple[str, ...], tmp_path: Path) -> None:
    """Lines count whatever is on them."""
    path = tmp_path / "long.rec"
    path.write_text("0000000000000000\n" + "#\n" * limits.RECORDING_LINES)
    done = call(*command, path)
    assert done.returncode == 2
    assert done.stderr.endswith(f"has more than {limits.RECORDING_LINES} lines; play it in parts\n")


@pytest.mark.parametrize(("limit", "what"), [("REPLAYED_PRESSES", "presses"), ("REPLAYED_CHANGES", "changes")])
def test_a_replay_has_a_most_of_presses_and_changes(limit: str, what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """As many as the limit are played; with one more the replay ends at the line."""
    most = 20
    monkeypatch.setattr(recorded, limit, most)
    within = most * 2 if limit == "REPLAYED_PRESSES" else most
    assert list(replay().stretches(typed(within)))
    with pytest.raises(ReplayError, match=f"more than {most} {what}") as told:
        list(replay().stretches(typed(within + 3)))
    assert told.value.line in (within + 1, within + 2)


def test_a_key_that_is_held_costs_no_look_at_all_presses_since(monkeypatch: pytest.MonkeyPatch) -> None:
    """While a key stays down, a report costs what it costs without it."""
    looks = []
    asked = Listener.asked
    monkeypatch.setattr(Listener, "asked", lambda self, press: looks.append(press) or asked(self, press))
    list(replay().stretches(typed(1_000, frozenset({Usage(4)}))))
    assert 0 < len(looks) < 4 * 1_000


@pytest.mark.parametrize("seed", range(20))
def test_scans_are_counted_before_they_are_read(seed: int) -> None:
    """The count of scans is a bound for what a reading at any phase looks at, and no large one."""
    rng = Random(seed)
    plan = shipped_plan(LAYOUT)
    reader = Reader(plan.layout.machine, plan.contacts)
    contacts = [key.contact for key in plan.layout.machine.keys]
    time, moments = 0, []
    for _ in range(rng.randint(1, 30)):
        time += 100 * rng.choice((1, rng.randint(1, 300), rng.randint(1, 100_000)))
        moments.append(Moment(time, frozenset(rng.sample(contacts, rng.randint(0, 3)))))
    end = (time + 1_000_000) * reader.pace.grain
    for phase in rng.sample(critical_phases(moments, reader.pace), 4):
        looked = sum(1 for _ in reader._sweeps(moments, phase, end))
        assert looked <= reader.scans(moments) <= 2 * looked + 20


def test_all_phases_of_much_text_are_refused() -> None:
    """More scans than are read are told before the first of them."""
    done = call("type", LAYOUT, "aB " * 100, "--phase", "all")
    assert done.returncode == 2
    assert f"--phase all would need more than {limits.PHASE_SCANS} scans" in done.stderr


def test_a_key_that_stays_down_is_counted_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A report repeats the keys that are held, and they go down no second time."""
    monkeypatch.setattr(recorded, "REPLAYED_PRESSES", 21)
    assert list(replay().stretches(typed(40, frozenset({Usage(4)}))))


def test_what_its_own_key_opens_was_not_opened_for_another() -> None:
    """Of two keys that are held the first is let go: its stroke opens, and that of the other is not told as opened."""
    sets = [{4}, {4, 5}, {5}, set()]
    events = [
        Event((number + 1) * STEP_US, 0, State.KEYS, frozenset(map(Usage, keys)), number + 1, None)
        for number, keys in enumerate(sets)
    ]
    assert not [opened for stretch in replay().stretches(events) for opened in stretch.opened]
