"""Plays input sets and time against a runtime, as the main loop of a firmware does, and records what happens."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum
from itertools import zip_longest

from matrixmap.circuit.timing import TICK_US
from matrixmap.model.machine import Contact
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER, Engine, Result, Shown, contacts_of
from matrixmap.simulate.scan import Moment

MOST_CALLS = 256
"""A runtime that requests a call at once this often in a row is caught in a loop."""

LONGEST_STEP = 10_000
"""The main loop calls after at most this many ticks: a clock of 16 bits must not move half its range."""


class Kind(Enum):
    """What a note is about."""

    INPUT = "input"
    CLOSED = "closed"
    OPENED = "opened"
    LEDS = "leds"
    COMMAND = "command"
    COUNTER = "counter"
    SWITCHES = "switches"


@dataclass(frozen=True, slots=True)
class Note:
    """An event: its time in microseconds and what happened.

    `contacts` are the contacts of keys that closed or opened. `number` is the LED byte, the command, or how many
    presses were counted. `text` is the input, or the name of the counter. For SWITCHES, which pads close, `controller`
    is the number in the machine's file, and `number` the mask of the switches closed from then on.
    """

    time_us: int
    kind: Kind
    contacts: frozenset[Contact] = frozenset()
    number: int = 0
    text: str = ""
    controller: int = 0


class Player:
    """One runtime, with a clock that counts ticks without wrapping; the runtime sees the low 16 bits."""

    def __init__(self, engine: Engine, start: int = 0) -> None:
        self.engine = engine
        self.now = start
        self.offset = 0
        self.notes: list[Note] = []
        self.moments: list[Moment] = []
        self.last = engine.shown()
        self._settle()

    def _settle(self) -> int:
        """Calls the runtime until it wants to wait; returns for how long."""
        for _ in range(MOST_CALLS):
            wait = self.engine.advance((self.now + self.offset) % CLOCK_TICKS)
            self._note_changes()
            if wait:
                return wait
        raise AssertionError("the runtime asks to be called at once without end")

    def run(self, ticks: int) -> None:
        """Lets time pass, and calls the runtime whenever it asks for it."""
        self.run_until(self.now + ticks)

    def run_until(self, end: int) -> None:
        """Lets time pass up to a moment in ticks, and acts on what is due then.

        Once nothing is due, the runtime has no running time that a wrap of its clock could disturb: the rest is one
        step.
        """
        if end <= self.now:
            return
        wait = self._settle()
        while wait != NEVER:
            step = min(wait, LONGEST_STEP)
            if self.now + step > end:
                break
            self.now += step
            wait = self._settle()
        self.now = end
        self._settle()

    def jump(self, ticks: int) -> None:
        """Moves the runtime's clock without a call in between; the notes' clock only moves forwards."""
        if ticks > 0:
            self.now += ticks
        else:
            self.offset += ticks
        self._settle()

    def give(self, text: str, call: Callable[[Engine], Result | None]) -> Result | None:
        """Gives the runtime an input and acts on it at once; an input with a text is noted."""
        if text:
            self.notes.append(Note(self.time_us, Kind.INPUT, text=text))
        result = call(self.engine)
        self._note_changes()
        self._settle()
        return result

    @property
    def time_us(self) -> int:
        """The current time in microseconds."""
        return self.now * TICK_US

    def _note_changes(self) -> None:
        shown, last = self.engine.shown(), self.last
        if shown is not last and shown != last:
            self.last = shown
            if shown.pads.switches != last.pads.switches:
                self._note_switches(last.pads.switches, shown.pads.switches)
            before, after = _of_keys(last), _of_keys(shown)
            if before - after:
                self.notes.append(Note(self.time_us, Kind.OPENED, contacts=before - after))
            if after - before:
                self.notes.append(Note(self.time_us, Kind.CLOSED, contacts=after - before))
            if last.contacts != shown.contacts or last.pads[1:3] != shown.pads[1:3]:
                self._moment(Moment(self.time_us, shown.contacts, shown.pads.contacts, shown.pads.pulled))
            if shown.leds != last.leds:
                self.notes.append(Note(self.time_us, Kind.LEDS, number=shown.leds))
            self._note_counter("overflow", shown.overflows - last.overflows)
            self._note_counter("refusal", shown.refusals - last.refusals)
            self._note_counter("clash", shown.pads.clashes - last.pads.clashes)
        command = self.engine.take_command()
        while command is not None:
            self.notes.append(Note(self.time_us, Kind.COMMAND, number=command))
            command = self.engine.take_command()

    def _note_switches(self, before: tuple[int, ...], after: tuple[int, ...]) -> None:
        for number, (old, new) in enumerate(zip_longest(before, after, fillvalue=0)):
            if old != new:
                self.notes.append(Note(self.time_us, Kind.SWITCHES, number=new, controller=number))

    def _note_counter(self, name: str, more: int) -> None:
        if more:
            self.notes.append(Note(self.time_us, Kind.COUNTER, number=more, text=name))

    def _moment(self, moment: Moment) -> None:
        """Records a moment; of several at one time, only the last can be read."""
        if self.moments and self.moments[-1].time_us == moment.time_us:
            self.moments.pop()
        self.moments.append(moment)


def _of_keys(shown: Shown) -> frozenset[Contact]:
    """The contacts closed for keys: all except those of pads."""
    return shown.contacts - contacts_of(shown.pads.contacts) if shown.pads.contacts else shown.contacts


def commands(notes: Iterable[Note]) -> tuple[int, ...]:
    """The commands among some notes."""
    return tuple(note.number for note in notes if note.kind is Kind.COMMAND)
