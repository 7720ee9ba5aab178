"""Plays a recording of a keyboard against a runtime, stretch by stretch, so that memory does not grow with its length.

A stretch ends when nothing is closed, nothing waits and the machine has read every release: from there on, nothing
depends on the past.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import reduce
from operator import or_
from typing import NamedTuple

from matrixmap.circuit.reading import phantoms
from matrixmap.circuit.timing import TICK_US
from matrixmap.hid.recording import Event, Keyboard
from matrixmap.hid.report import NO_KEYS, KeySet, State
from matrixmap.hid.usages import Usage
from matrixmap.limits import REPLAYED_CHANGES, REPLAYED_PRESSES
from matrixmap.model.machine import Contact, ControllerSwitch, Machine
from matrixmap.model.plan import Plan
from matrixmap.model.words import usage_name
from matrixmap.simulate.engine import Engine, contacts_of
from matrixmap.simulate.pads import PADS_KEYBOARD, PADS_KEYBOARD_IS_TAKEN, PadDesk, RecordedPads
from matrixmap.simulate.parts import Press
from matrixmap.simulate.player import Kind, Note, Player
from matrixmap.simulate.scan import Moment
from matrixmap.simulate.texts import finish
from matrixmap.simulate.trace import Listener

SETTLED_SCANS = 4
"""Scans beyond those that make a release certain: one in progress, one for the phase, two as a reserve."""

LONG_STRETCH = 10_000
"""After this many notes, a stretch ends as soon as nothing is closed and nothing waits.

The machine may then still be reading its last release. The runtime's open times ensure that it recognizes the next
press of the same key.
"""

MOST_NOTES = 30_000
"""The most notes of a stretch: this bounds the memory."""

CACHED_BITMAPS = 512
"""The number of key sets that are cached with their bitmaps; a typist makes a few hundred."""


class Flagged(NamedTuple):
    """A note of contacts that opened while their key was held: place, press, its contacts, those of all keys."""

    note: int
    press: Press
    contacts: int
    asked: int


class ReplayError(Exception):
    """A recording cannot be played; `line` is where this was noticed."""

    def __init__(self, line: int, text: str) -> None:
        super().__init__(text)
        self.line = line


class Reason(Enum):
    """Why a stroke was opened while its key was still held."""

    PHANTOM = "phantom"
    ROLLOVER = "rollover"
    SAME_CONTACT = "same contact"
    MODIFIERS = "modifiers"
    PAD = "pad"


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A stroke opened for a newer one, or because of a pad: the time, its host key and contact, and the reason."""

    time_us: int
    usage: Usage
    contact: Contact
    reason: Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """An independent part of a recording: what happened in it and what the typist meant."""

    notes: tuple[Note, ...]
    moments: tuple[Moment, ...]
    meant: tuple[str, ...]
    opened: tuple[Opened, ...]
    reports: int
    rolled: int


class Replay:
    """Plays the timed events of recorded keyboards against an engine with one layout.

    `device` returns a device of the recording by its number, for the pads among them; without it, pads are ignored.
    """

    def __init__(
        self, engine: Engine, plan: Plan, keyboards: int, device: Callable[[int], Keyboard] | None = None
    ) -> None:
        self.plan = plan
        self.machine: Machine = plan.layout.machine
        self.listener = Listener(engine, [plan], keyboards)
        self.player = Player(self.listener)
        self.pads = RecordedPads(PadDesk(self.player, plan), device) if device else None
        self._modifiers = frozenset(
            self.machine.key(name).contact for modifier in self.machine.modifiers for name in modifier.keys
        )
        scan = self.machine.scan
        scans = scan.samples_down + scan.samples_up + SETTLED_SCANS
        self._settled_us = scans * scan.period_us + scan.longest_sweep_us
        self._held: dict[int, KeySet] = {}
        self._bitmaps: dict[KeySet, bytes] = {}
        self._flagged: list[Flagged] = []
        self._past: list[Press] = []
        # For the presses in the listener's line: how many were examined, what they ask for, and which are held.
        self._known = 0
        self._asked: Counter[int] = Counter()
        self._held_presses: list[tuple[int, Press]] = []
        self._seen_notes = 0
        self._reports = 0
        self._rolled = 0
        self._presses = 0
        self._changes = 0
        self._names: dict[Usage, str] = {}

    def stretches(self, events: Iterable[Event]) -> Iterator[Stretch]:
        """Plays all events, then the time that waiting presses still need; yields every stretch as it ends.

        ReplayError if no stretch ends for too long, or if there are more presses or changes than can be played.
        """
        for event in events:
            self.player.run_until(event.time_us // TICK_US)
            self._look_at_notes()
            if self._is_settled():
                yield self._cut()
            self._give(event)
            self._look_at_notes()
            self._put_by()
            self._refuse_too_much(event.line)
        finish(self.player)
        self._look_at_notes()
        yield self._cut()

    def _refuse_too_much(self, line: int) -> None:
        """Limits the memory of a stretch and the time of the replay."""
        if len(self.player.notes) > MOST_NOTES:
            text = (
                f"during {MOST_NOTES} changes there is no moment without a closed contact: this is not typing, and "
                "cannot be played"
            )
            raise ReplayError(line, text)
        for what, count, most in (
            ("presses", self._presses, REPLAYED_PRESSES),
            ("changes of contacts", self._changes + len(self.player.moments), REPLAYED_CHANGES),
        ):
            if count > most:
                raise ReplayError(line, f"there are more than {most} {what} up to this line; play it in parts")

    def _give(self, event: Event) -> None:
        if self.pads is not None:
            self.pads.take(event)
        self._reports += event.state is not State.CONNECTED
        self._rolled += event.state is State.ROLLED
        if event.state is State.CONNECTED:
            self._held.pop(event.keyboard, None)
            self.player.give(f"connected{_on(event)}", lambda engine: engine.disconnected(event.keyboard))
            return
        if event.state is State.OTHER:
            return
        if event.keyboard == PADS_KEYBOARD and self.plan.pad_bindings:
            raise ReplayError(event.line, PADS_KEYBOARD_IS_TAKEN)
        if self._held.get(event.keyboard) == event.keys:
            # The runtime gets it anyway: a report that changes nothing must change nothing.
            self.listener.usages(event.keyboard, self._bitmap(event.keys))
            return
        self._presses += len(event.keys - self._held.get(event.keyboard, NO_KEYS))
        self._held[event.keyboard] = event.keys
        bitmap = self._bitmap(event.keys)
        words = " ".join(map(self._name, sorted(event.keys))) or "no key"
        rolled = " (rolled over)" if event.state is State.ROLLED else ""
        self.player.give(f"{words}{rolled}{_on(event)}", lambda engine: engine.usages(event.keyboard, bitmap))

    def _name(self, usage: Usage) -> str:
        found = self._names.get(usage)
        if found is None:
            found = self._names[usage] = usage_name(usage)
        return found

    def _bitmap(self, keys: KeySet) -> bytes:
        found = self._bitmaps.get(keys)
        if found is None:
            if len(self._bitmaps) >= CACHED_BITMAPS:
                self._bitmaps.clear()
            found = self._bitmaps[keys] = sum(1 << usage for usage in keys).to_bytes(32, "little")
        return found

    def _look_at_presses(self) -> None:
        """Finds what each new press in the listener's line asks for."""
        line = self.listener.heard.line
        for press in line[self._known :]:
            contacts = self.listener.asked(press)
            self._asked[contacts] += 1
            if contacts:
                self._held_presses.append((contacts, press))
        self._known = len(line)

    def _put_by(self) -> None:
        """Removes the released presses at the front of the listener's line: usually all of them."""
        line = self.listener.heard.line
        count = next((place for place, press in enumerate(line) if not press.released), len(line))
        self._asked.subtract(map(self.listener.asked, line[:count]))
        self._past += line[:count]
        del line[:count]
        self._known = len(line)

    def _look_at_notes(self) -> None:
        """Finds strokes that were opened while their keys were held."""
        notes = self.player.notes
        self._look_at_presses()
        while self._seen_notes < len(notes):
            note = notes[self._seen_notes]
            self._seen_notes += 1
            if note.kind is not Kind.OPENED:
                continue
            opened = sum(1 << contact for contact in note.contacts)
            held = []
            for contacts, press in self._held_presses:
                if press.released:
                    continue
                if contacts & opened:
                    asked = reduce(or_, (mask for mask, count in self._asked.items() if count), 0)
                    self._flagged.append(Flagged(self._seen_notes - 1, press, contacts, asked))
                    opened &= ~contacts
                else:
                    held.append((contacts, press))
            self._held_presses = held

    def _is_settled(self) -> bool:
        player = self.player
        if not player.last.idle or player.last.contacts or not player.notes:
            return False
        if len(player.notes) > LONG_STRETCH:
            return True
        quiet_since = player.moments[-1].time_us if player.moments else 0
        return player.time_us - quiet_since > self._settled_us

    def _cut(self) -> Stretch:
        player = self.player
        self.listener.heard.line[:0] = self._past
        self._past.clear()
        stretch = Stretch(
            notes=tuple(player.notes),
            moments=tuple(player.moments),
            meant=tuple(self.listener.take_meant()),
            opened=tuple(self._reasons()),
            reports=self._reports,
            rolled=self._rolled,
        )
        self._changes += len(player.moments)
        player.notes.clear()
        player.moments.clear()
        self._flagged.clear()
        self._held_presses.clear()
        self._asked.clear()
        self._known = 0
        self._seen_notes = self._reports = self._rolled = 0
        return stretch

    def _reasons(self) -> Iterator[Opened]:
        """The reason for each of those openings: what would otherwise have been closed together shows it."""
        notes = self.player.notes
        closed = _closed_before(notes)
        modifiers = self._modifiers
        later = _closed_next(notes)
        pads = self._pads_at(notes)
        for place, press, contacts, asked in self._flagged:
            if _gave_way(notes, place):
                own = min(contacts_of(contacts))
                yield Opened(time_us=notes[place].time_us, usage=press.usage, contact=own, reason=Reason.PAD)
                continue
            newer = later[place]
            if newer - modifiers - contacts_of(asked):
                newer = frozenset()  # of a key that was not down yet, so the stroke was not opened because of it
            yield Opened(
                time_us=notes[place].time_us,
                usage=press.usage,
                contact=min(contacts_of(contacts)),
                reason=self._reason(closed[place], newer, contacts_of(contacts), pads[place]),
            )

    def _pads_at(self, notes: Sequence[Note]) -> list[tuple[ControllerSwitch, ...]]:
        """For each note, the switches that pads have closed by then; a stretch begins without any."""
        found = []
        closed: dict[int, int] = {}
        now: tuple[ControllerSwitch, ...] = ()
        for note in notes:
            if note.kind is Kind.SWITCHES:
                closed[note.controller] = note.number
                now = tuple(
                    (controller, switch)
                    for number, controller in enumerate(self.machine.controllers)
                    for bit, switch in enumerate(controller.switches)
                    if closed.get(number, 0) >> bit & 1
                )
            found.append(now)
        return found

    def _reason(
        self,
        closed: frozenset[Contact],
        newer: frozenset[Contact],
        own: frozenset[Contact],
        pads: tuple[ControllerSwitch, ...],
    ) -> Reason:
        machine = self.machine
        if newer & own:
            return Reason.SAME_CONTACT
        together = closed | newer
        if self.plan.guard and phantoms(machine, tuple(together), self.plan.contacts):
            return Reason.PHANTOM
        keys = [contact for contact in together - self._modifiers if contact < machine.crosspoints]
        if machine.scan.rollover is not None and len(keys) > machine.scan.rollover:
            return Reason.ROLLOVER
        if pads and self.plan.guard and phantoms(machine, tuple(together), self.plan.contacts, pads):
            return Reason.PAD
        return Reason.MODIFIERS


def _on(event: Event) -> str:
    return f" on {event.keyboard}" if event.keyboard else ""


def _gave_way(notes: Sequence[Note], place: int) -> bool:
    """Whether the call that opened these contacts counted a clash with pads: counters are the last notes of a call."""
    for note in notes[place + 1 :]:
        if note.kind is Kind.COUNTER and note.text == "clash":
            return True
        if note.kind not in (Kind.CLOSED, Kind.LEDS, Kind.COUNTER):
            return False
    return False


def _closed_before(notes: Sequence[Note]) -> list[frozenset[Contact]]:
    """For each note, the contacts that were closed before it."""
    found = []
    closed: frozenset[Contact] = frozenset()
    for note in notes:
        found.append(closed)
        if note.kind is Kind.CLOSED:
            closed |= note.contacts
        elif note.kind is Kind.OPENED:
            closed -= note.contacts
    return found


def _closed_next(notes: Sequence[Note]) -> list[frozenset[Contact]]:
    """For each note, the contacts that close next after it."""
    found = []
    following: frozenset[Contact] = frozenset()
    for note in reversed(notes):
        found.append(following)
        if note.kind is Kind.CLOSED:
            following = note.contacts
    return found[::-1]
