"""What the runtime promises, looked at from outside: the contacts over time, and what was typed.

Two ways to look. `surely_read` states the conditions in ticks under which no phase of the scan can fail, and is quick.
`read_at_every_phase` lets the machine scan at every critical phase.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from matrixmap.circuit.reading import phantoms
from matrixmap.circuit.timing import TICK_US
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.plan import Plan
from matrixmap.press.rules import Does
from matrixmap.simulate.engine import Result, Sizes, contacts_of
from matrixmap.simulate.scan import Finds, Moment, Reader, critical_phases
from matrixmap.simulate.tape import ModelTape
from tests.agree.streams import Stream

MANY = 100_000


@dataclass(frozen=True, slots=True)
class Meant:
    """A keystroke that was made: its contacts, and the machine's modifier keys that it is to be read with."""

    contacts: frozenset[Contact]
    modifiers: frozenset[Contact]


class Recorder(ModelTape):
    """Plays a stream with the model and keeps the contacts over time, in ticks."""

    def __init__(self, plans: Sequence[Plan], sizes: Sizes) -> None:
        super().__init__(plans, sizes)
        self.changes: list[tuple[int, int]] = []

    def record(self, stream: Stream) -> list[tuple[int, int]]:
        """Time and mask of all contacts, at each change."""
        self.changes = []
        self.play(b"".join(stream))
        return self.changes

    def _row(self, result: Result, wait: int) -> None:
        super()._row(result, wait)
        closed = self.model.closed()
        if not self.changes or self.changes[-1][1] != closed:
            if self.changes and self.changes[-1][0] == self.now:
                self.changes.pop()
            self.changes.append((self.now, closed))


class Listener(ModelTape):
    """Hears input and knows no time, so that the model keeps every press in its line."""

    def __init__(self, plans: Sequence[Plan]) -> None:
        super().__init__(plans, Sizes(keyboards=4, waiting=MANY))
        self.latches = 0

    def keystrokes(self, stream: Stream) -> list[Meant]:
        """The keystrokes that a stream means, in order, without those that the guard refuses.

        `latches` has the contacts that latches keep closed in the end.
        """
        self.play(b"".join(stream))
        rules = self.model.judging
        mask_of = rules.compiled.mask_of
        meant, latches = [], 0
        for press in self.model.line:
            asks = rules.asks(press.usage, press.level, press.extras, 0)
            if asks.does is Does.LATCH:
                latches ^= asks.value
            for stroke in asks.strokes:
                modifiers = stroke.wants(press.typist | latches)
                if rules.refusal(stroke, modifiers) is None:
                    meant.append(Meant(contacts_of(stroke.mask), contacts_of(mask_of(modifiers))))
        latches = mask_of(latches)
        self.latches = latches
        return meant

    def _settle(self) -> int:
        return 0

    def _run(self, ticks: int) -> None:
        self.now += ticks

    def _row(self, result: Result, wait: int) -> None:
        pass


def moments_of(changes: Sequence[tuple[int, int]]) -> list[Moment]:
    """Contacts over time in microseconds."""
    return [Moment(time * TICK_US, contacts_of(mask)) for time, mask in changes]


def read_at_every_phase(plan: Plan, changes: Sequence[tuple[int, int]], meant: Sequence[Meant]) -> None:
    """Asserts that a machine of either kind reads every keystroke once, in order and rightly shifted, whatever the phase."""
    machine = plan.layout.machine
    meant = with_returns(plan, changes, meant)
    tolerance = machine.scan.tolerance_percent
    moments = moments_of(changes)
    expected = [(key_at(machine, contact), state_of(machine, one)) for one in meant for contact in sorted(one.contacts)]
    for finds in [Finds.LAST_PRESSED] + [Finds.FIRST_FOUND] * (machine.scan.rollover == 1):
        for slow in sorted({-tolerance, 0, tolerance}):
            reader = Reader(machine, plan.contacts, finds, slow)
            for phase in critical_phases(moments, reader.pace):
                read = [(one.key, one.state) for one in reader.read(moments, phase)]
                assert read == expected, f"{finds.value}, {slow} % slow, phase {phase / reader.pace.grain} us"


def key_at(machine: Machine, contact: Contact) -> str:
    """The key at a contact, or its lines."""
    return next((key.name for key in machine.keys if key.contact == contact), machine.contact_name(contact))


def state_of(machine: Machine, meant: Meant) -> frozenset[str]:
    """The machine's modifiers of a keystroke."""
    return frozenset(
        one.name for one in machine.modifiers if any(machine.key(key).contact in meant.modifiers for key in one.keys)
    )


def surely_read(plan: Plan, changes: Sequence[tuple[int, int]], meant: Sequence[Meant], latches: int = 0) -> None:
    """Asserts P1 to P5 in ticks: closed, open and leading times, order, modifiers, no phantom, nothing stuck."""
    machine, timing = plan.layout.machine, plan.timing
    modifiers = sum(1 << machine.key(name).contact for one in machine.modifiers for name in one.keys)
    assert not changes or changes[-1][1] == latches, "something stays closed"
    closings = _closings(changes, modifiers)
    meant = with_returns(plan, changes, meant)
    assert [mask for _, mask, _ in closings] == [_mask(one.contacts) for one in meant], "not each once, in order"
    for (time, mask, closed_for), one in zip(closings, meant, strict=True):
        assert closed_for >= timing.close_ticks, f"closed for {closed_for} ticks"
        around = _states(changes, time - timing.lead_ticks, time + timing.close_ticks)
        assert {state & modifiers for state in around} == {_mask(one.modifiers)}, "not as demanded"
        before = _states(changes, time - timing.open_ticks, time)
        assert not any(state & mask for state in before), "not open for long enough"
        recent = _states(changes, time - timing.lead_ticks, time)
        assert len({state & ~modifiers for state in recent}) == 1, "a key opened less than a lead before"
    for (time, _, _), (later, _, _) in pairwise(closings):
        assert later - time >= timing.close_ticks, "two keystrokes within one closed time"
    _check_lag(changes, modifiers, timing.lead_ticks)
    _check_sets(plan, changes, modifiers)


def with_returns(plan: Plan, changes: Sequence[tuple[int, int]], meant: Sequence[Meant]) -> Sequence[Meant]:
    """The keystrokes, and where keys come back, each time that one did: a closing which is not that of the next keystroke, but of one before it.

    It is to be read with the modifiers that are closed then.
    """
    if not plan.layout.resumes:
        return meant
    machine = plan.layout.machine
    modifiers = sum(1 << machine.key(name).contact for one in machine.modifiers for name in one.keys)
    found: list[Meant] = []
    left = list(meant)
    for time, mask, _ in _closings(changes, modifiers):
        if left and _mask(left[0].contacts) == mask:
            found.append(left.pop(0))
        elif any(_mask(one.contacts) == mask for one in found):
            (closed,) = _states(changes, time, time + 1)
            found.append(Meant(contacts_of(mask), contacts_of(closed & modifiers)))
        else:
            break
    return [*found, *left]


def _mask(contacts: frozenset[Contact]) -> int:
    return sum(1 << contact for contact in contacts)


def _closings(changes: Sequence[tuple[int, int]], modifiers: int) -> list[tuple[int, int, int]]:
    """When keys close, which ones, and for how long the first of them to open stays closed."""
    found, last = [], 0
    for at, (time, mask) in enumerate(changes):
        new = mask & ~last & ~modifiers
        if new:
            opened = next((later for later, other in changes[at + 1 :] if new & ~other), None)
            found.append((time, new, (opened if opened is not None else 1 << 62) - time))
        last = mask
    return found


def _states(changes: Sequence[tuple[int, int]], start: int, end: int) -> set[int]:
    """All sets of contacts that are closed at some time from `start` up to, but not at, `end`."""
    states, last = set(), 0
    for time, mask in changes:
        if time >= end:
            break
        if time > start:
            states.add(last)
        last = mask
    return states | {last}


def _check_lag(changes: Sequence[tuple[int, int]], modifiers: int, lead: int) -> None:
    """Modifiers stay for a lead after a key has opened."""
    opened, last = -lead, 0
    for time, mask in changes:
        if (mask ^ last) & modifiers:
            assert time - opened >= lead, f"modifiers change {time - opened} ticks after a key opened"
        if last & ~mask & ~modifiers:
            opened = time
        last = mask


def _check_sets(plan: Plan, changes: Sequence[tuple[int, int]], modifiers: int) -> None:
    """No set of closed contacts makes a phantom, modifiers among themselves aside, or has more keys than the rollover."""
    machine, rollover = plan.layout.machine, plan.layout.machine.scan.rollover
    crosspoints = (1 << machine.crosspoints) - 1
    for _, mask in changes:
        if plan.guard and mask & ~modifiers & crosspoints:
            assert not phantoms(machine, contacts_of(mask), plan.contacts), "a phantom of ours"
        if rollover is not None:
            assert (mask & ~modifiers & crosspoints).bit_count() <= rollover, "more keys than the rollover"
