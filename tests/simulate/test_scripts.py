"""Scripts of events, played by both engines and read at every critical phase."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from matrixmap.model.plan import Plan
from matrixmap.simulate.engine import Engine
from matrixmap.simulate.model import Model
from matrixmap.simulate.player import Player
from matrixmap.simulate.scan import Reader, critical_phases
from matrixmap.simulate.script import Event, SwitchLayout, read_script
from matrixmap.simulate.texts import as_text, legends_of
from matrixmap.simulate.trace import Listener, Tracer
from tests.project import shipped_plan

SCRIPTS = sorted((Path(__file__).parents[1] / "scripts").glob("*.txt"))
FIELDS = {"layout", "read", "overflows", "refusals"}


def expectation(path: Path) -> dict[str, str]:
    """What the comments at the head of a script say: layout, what is read, and counts that are not 0."""
    found = dict(re.findall(r"^# ([a-z]+): ?(.*)$", path.read_text(encoding="utf-8"), re.MULTILINE))
    assert set(found) <= FIELDS, path
    assert {"layout", "read"} <= set(found), path
    return found


def plans_of(first: str, events: tuple[Event, ...]) -> dict[str, Plan]:
    """The layouts of a script by id, the one to begin with first."""
    others = [event.action.layout for event in events if isinstance(event.action, SwitchLayout)]
    return {id: shipped_plan(id) for id in dict.fromkeys([first, *others])}


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.stem)
def test_script(path: Path, start: Callable[[list[Plan]], Engine]) -> None:
    """A script reads what its head says, at every phase of the scan, and leaves every contact open."""
    events, faults = read_script(path.read_bytes(), path.name)
    assert not faults
    expected = expectation(path)
    plans = plans_of(expected["layout"], events)
    player = Player(start(list(plans.values())))
    Tracer(player, {id: number for number, id in enumerate(plans)}).play(events)
    plan = plans[expected["layout"]]
    reader = Reader(plan.layout.machine, plan.contacts)
    texts = {
        as_text(legends_of(reader.read(player.moments, phase)))
        for phase in critical_phases(player.moments, reader.pace)
    }
    assert (texts or {""}) == {expected["read"]}
    assert player.last.overflows == int(expected.get("overflows", "0"))
    assert player.last.refusals == int(expected.get("refusals", "0"))
    assert not player.last.contacts


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.stem)
def test_what_was_meant(path: Path, start: Callable[[list[Plan]], Engine]) -> None:
    """The keystrokes that a script means are those that are read, and those that were counted."""
    events, _ = read_script(path.read_bytes(), path.name)
    expected = expectation(path)
    plans = plans_of(expected["layout"], events)
    listener = Listener(start(list(plans.values())), list(plans.values()), 4)
    Tracer(Player(listener), {id: number for number, id in enumerate(plans)}).play(events)
    meant = as_text(listener.take_meant())
    counted = int(expected.get("overflows", "0")) + int(expected.get("refusals", "0"))
    assert meant.startswith(expected["read"])
    assert (meant == expected["read"]) == (counted == 0)


def test_the_reserved_byte_of_a_boot_report_is_no_key() -> None:
    """HID 1.11, appendix B.1: the second byte is reserved, and keys stand in the third to the eighth."""
    plan = shipped_plan("quillon8-en-US-positional")
    tracer = Tracer(Player(Model([plan])), {plan.id: 0})
    events, faults = read_script(b"report 02 05 04 00 00 00 00 06\n", "s.txt")
    assert not faults
    tracer.play(events)
    assert tracer.down == {0: {0x04, 0x06, 0xE1}}
