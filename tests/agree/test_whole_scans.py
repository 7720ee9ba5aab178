"""Machines that compare each key, and such that compare whole scans: at every phase each keystroke is read exactly once."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from matrixmap.hid.usages import CAPS_LOCK, MODIFIER_BITS, SHIFT_LEFT, Usage, by_code
from matrixmap.join.plan import compile_plan
from matrixmap.model.machine import Debounce
from matrixmap.model.plan import Plan, Stroke
from matrixmap.simulate import tape
from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.scan import Reader
from matrixmap.simulate.typing.reports import boot_report
from tests.agree.both import Both, build
from tests.agree.promises import Listener, Recorder, moments_of, read_at_every_phase, surely_read
from tests.agree.streams import Stream
from tests.agree.triggers import presses
from tests.project import shipped_plan
from tests.runtime.machine import Machine as OneScan
from tests.shipped import in_campaign, some_of

WHOLE = Debounce.WHOLE
IDS = (
    "quillon8-en-US-symbolic",
    "quillon8-de-DE-positional",
    "langet41-en-GB-symbolic",
    "ricasso12-fo-fo-FO-symbolic",
)
"""Shift held and lifted; a latch, and modifiers that follow the typist; strokes in turn, one key at a time; direct lines."""

SCANS: tuple[dict[str, object], ...] = (
    {},
    {"debounce": WHOLE},
    {"debounce": WHOLE, "samples_down": 1, "samples_up": 5},
    {"debounce": WHOLE, "samples_down": 3, "samples_up": 1, "sweep_us": None, "rollover": None},
)
WAITS = (3, 40, 100, 150, 200, 300, 300, 500, 700)
REST = 12_000
SIZES = Sizes(keyboards=2, waiting=200)


@cache
def scanned(id: str, number: int) -> Plan:
    """A shipped layout on its machine with one of the scans; no key comes back, so that what is read is what was typed."""
    layout = replace(shipped_plan(id).layout, resumes=False)
    scan = replace(layout.machine.scan, **SCANS[number])  # type: ignore[arg-type]
    return compile_plan(replace(layout, machine=replace(layout.machine, scan=scan)))


def roll_over(plan: Plan, seed: int, events: int) -> Stream:
    """A few keys and Shift on two keyboards that go down and up at the pace of quick typing, now and then pasted text."""
    rng = random.Random(seed)
    every = sorted(
        {press.usage for press in presses(plan) if not press.extras and isinstance(plan.lookup(press), Stroke)}
        - set(MODIFIER_BITS)
    )
    keys = rng.sample(every, rng.choice((2, 3, 5, 8)))
    down: list[set[Usage]] = [set(), set()]
    stream = [tape.start(0)]
    for _ in range(events):
        keyboard = rng.choice((0, 0, 0, 1))
        what = rng.random()
        if what < 0.05:
            stream.append(tape.pasted(rng.choice(keys), rng.choice((0, 0x02))))
        else:
            key = rng.choice(keys) if what < 0.75 else SHIFT_LEFT if what < 0.97 else CAPS_LOCK
            if key in down[keyboard]:
                down[keyboard].discard(key)
            elif len(set().union(*down)) < 5:
                down[keyboard].add(key)
            stream.append(tape.boot_report(boot_report(down[keyboard]), keyboard))
        stream.append(tape.run(REST if rng.random() < 0.05 else rng.choice(WAITS)))
    stream += [tape.boot_report(boot_report(set()), keyboard) for keyboard in range(2)]
    return [*stream, tape.run(REST)]


@pytest.fixture(scope="module", params=some_of(IDS, "whole scans", 2))
def both(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Both:
    """One layout with each of the scans, in both engines."""
    library = build(tmp_path_factory.mktemp("whole"), SIZES)
    return Both([scanned(request.param, number) for number in range(len(SCANS))], SIZES, library)


@pytest.mark.parametrize("seeds", [1, pytest.param(150, marks=pytest.mark.campaign)])
@pytest.mark.parametrize("number", [in_campaign(0), 1, in_campaign(2), 3])
def test_each_keystroke_is_read_once(both: Both, number: int, seeds: int) -> None:
    """Roll-over, Shift, latches, pasted text and strokes in turn, on two keyboards: P1 to P5 hold at every critical phase."""
    plan = both.plans[number]
    typed = 0
    for seed in range(seeds):
        stream = roll_over(plan, 100 * number + seed, 30)
        changes, meant = Recorder([plan], SIZES).record(stream), (listener := Listener([plan])).keystrokes(stream)
        try:
            surely_read(plan, changes, meant, listener.latches)
            read_at_every_phase(plan, changes, meant)
        except AssertionError as fault:
            raise AssertionError(f"seed {seed}: {fault}\n{changes}\n{meant}") from fault
        typed += len(meant)
        both.check([tape.start(number), *stream[1:]])
    assert typed > 5 * seeds


def test_roll_over_was_lost() -> None:
    """A down, B down at 100 ms, A up at 115, B up at 135: by the rules for each key a machine of 20 ms loses B in 28 of 40 phases.

    The two ways to write the machine down agree about that: `tests/runtime/test_promises.py` has the other.
    """
    layout = shipped_plan("quillon8-en-US-symbolic").layout
    a, b = by_code("KeyA")[0], by_code("KeyB")[0]
    stream = [tape.start(0)]
    for down, ticks in (((a,), 1000), ((a, b), 150), ((b,), 200), ((), 3000)):
        stream += [tape.boot_report(boot_report(set(down))), tape.run(ticks)]
    lost = []
    for told in Debounce:
        scan = replace(layout.machine.scan, period_us=20_000, sweep_us=640, tolerance_percent=0, debounce=told)
        plan = compile_plan(replace(layout, machine=replace(layout.machine, scan=scan)))
        moments = moments_of(Recorder([plan], SIZES).record(stream))
        machine = replace(layout.machine, scan=replace(scan, debounce=WHOLE))
        reader = Reader(machine, plan.contacts)
        reads = [[one.key for one in reader.read(moments, phase * reader.pace.period // 40)] for phase in range(40)]
        assert all(read in (["a", "b"], ["a"]) for read in reads)
        lost.append(sum(read == ["a"] for read in reads))
    assert lost == [28, 0]


@pytest.mark.parametrize("debounce", Debounce, ids=lambda one: one.value)
def test_short_keystrokes_do_not_repeat(debounce: Debounce) -> None:
    """A machine that needs one scan, five for a release, and repeats after 35, reads short keystrokes once at every phase."""
    layout = shipped_plan("quillon8-en-US-symbolic").layout
    scan = replace(layout.machine.scan, period_us=20_000, sweep_us=1_600, samples_down=1, samples_up=5, rollover=None)
    scan = replace(scan, tolerance_percent=0, debounce=debounce)
    plan = compile_plan(replace(layout, machine=replace(layout.machine, scan=scan)))
    machine = plan.layout.machine
    held = frozenset(
        lines
        for one in machine.modifiers
        for name in one.keys
        if (lines := machine.lines(machine.key(name).contact)) is not None
    )
    by_scans = OneScan(
        period=200,
        sweep=16,
        down=1,
        up=5,
        rollover=0,
        modifiers=frozenset((int(select), int(sense)) for select, sense in held),
        whole=debounce is WHOLE,
        repeat=35,
    )
    rng = random.Random(3)
    letters = [by_code(f"Key{letter}")[0] for letter in "ABCDEFGH"]
    stream = [tape.start(0)]
    for _ in range(25):
        first, second = rng.sample(letters, 2)
        for down in ({first}, {first, second}, rng.choice(({first}, {second})), set[Usage]()):
            stream += [tape.boot_report(boot_report(down)), tape.run(rng.choice((1, 40, 150, 250, 900)))]
        stream.append(tape.run(rng.choice((1, 1500))))
    stream.append(tape.run(REST))
    recorder = Recorder([plan], SIZES)
    changes = [(0, (0,) * 17)]
    width = len(machine.sense)
    for time, mask in recorder.record(stream):
        lines = [mask >> width * select & (1 << width) - 1 for select in range(len(machine.select))]
        changes.append((time + 1000, (*lines, *(0,) * (17 - len(lines)))))
    meant = [tuple(machine.lines(one) or () for one in each.contacts) for each in Listener([plan]).keystrokes(stream)]
    assert len(meant) == 50
    for phase in range(1, 201):
        read = by_scans.read(changes, phase, recorder.now + 3000)
        assert [(one.key,) for one in read] == meant, phase
