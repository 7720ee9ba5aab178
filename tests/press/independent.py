"""What a person sees of a press: what the machine reads at each moment, and what it types then.

Read from the closed contacts alone, by pulling lines low one after the other (tests/circuit/naive.py) and by the table
of what each key types. Nothing here looks at a plan's bindings or strokes.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from matrixmap.circuit.reading import Conduction
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Key, Machine, ShiftState
from tests.circuit import naive
from tests.press.harness import NOT_PLAYED, Played, Record, Spot

CONDUCTION = {
    Contacts.SWITCH: Conduction.BOTH,
    Contacts.SWITCH_WITH_DIODE: Conduction.FORWARD,
    Contacts.FOLLOWS_SELECT: Conduction.FORWARD,
}
"""Which way a contact of each kind lets current pass: one that follows its select line drives the sense line only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """What the machine reads while some contacts are closed: the contacts, those closed nowhere, the shift state."""

    read: frozenset[Contact]
    phantoms: frozenset[Contact]
    state: ShiftState


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What a press makes the machine read.

    `typed` has an entry for each key that is newly read, in the order of time and, within one moment, of contacts: its
    text in the shift state that is read in that moment, None where the key types nothing then. Modifier keys make the
    state and have no entry. `phantoms` are those read in any moment after the press; of them `new_phantoms` were not
    read before it. Both are empty where the press changes nothing. `closed` are the contacts that the press closes,
    modifier keys too, each with the shift state that is read in that moment.
    """

    typed: tuple[str | None, ...]
    phantoms: frozenset[Contact]
    new_phantoms: frozenset[Contact]
    closed: frozenset[tuple[Contact, ShiftState]]

    @property
    def closes_nothing(self) -> bool:
        """Whether the press closes no contact at all."""
        return not self.closed

    @property
    def text(self) -> str | None:
        """The one text that the press types if it types that and nothing else is read because of it, else None."""
        return self.typed[0] if len(self.typed) == 1 and not self.new_phantoms else None


class Watcher:
    """Reads moments of one machine with contacts of one kind; what it has read once it keeps."""

    def __init__(self, machine: Machine, contacts: Contacts) -> None:
        self.machine = machine
        self.conduction = CONDUCTION[contacts]
        self.keys: Mapping[Contact, Key] = {key.contact: key for key in machine.keys}
        self.modifier_of: Mapping[Contact, str] = {
            machine.key(name).contact: modifier.name for modifier in machine.modifiers for name in modifier.keys
        }
        self._moments: dict[frozenset[Contact], Moment] = {}
        self._turns = {
            text: [self._text(machine.key(stroke.key), stroke.state) for stroke in strokes if stroke.key]
            for text, strokes in machine.sequences.items()
        }

    def moment(self, closed: frozenset[Contact]) -> Moment:
        """What the machine reads for closed contacts, the machine's own keyboard and its controllers unplugged."""
        if closed not in self._moments:
            self._moments[closed] = self._look(closed)
        return self._moments[closed]

    def _look(self, closed: frozenset[Contact]) -> Moment:
        senses, selects = len(self.machine.sense), len(self.machine.select)
        direct = frozenset(contact for contact in closed if contact >= selects * senses)
        points = [(*divmod(contact, senses), self.conduction) for contact in closed - direct]
        pairs = naive.read(points, selects, senses)
        read = direct | frozenset(Contact(select * senses + sense) for select, sense in pairs)
        state = frozenset(name for contact, name in self.modifier_of.items() if contact in read)
        return Moment(read=read, phantoms=read - closed, state=state)

    def see(self, record: Record) -> Sight:
        """What the machine makes of a press."""
        typed: list[str | None] = []
        closed: set[tuple[Contact, ShiftState]] = set()
        for before, after in pairwise(record.timeline):
            moment = self.moment(after)
            new = moment.read - self.moment(before).read - self.modifier_of.keys()
            typed += [self._text(self.keys[contact], moment.state) for contact in sorted(new & self.keys.keys())]
            closed.update((contact, moment.state) for contact in after - before)
        later = [self.moment(moment).phantoms for moment in record.timeline[1:]]
        phantoms = frozenset().union(*later)
        return Sight(
            typed=tuple(self._in_turn(typed)),
            phantoms=phantoms,
            new_phantoms=phantoms - self.moment(record.timeline[0]).read,
            closed=frozenset(closed),
        )

    def _in_turn(self, typed: list[str | None]) -> list[str | None]:
        """What strokes in turn make of what each types by itself, where each types something."""
        for text, single in self._turns.items():
            for start in range(len(typed) - len(single) + 1):
                if None not in single and typed[start : start + len(single)] == single:
                    return self._in_turn([*typed[:start], text, *typed[start + len(single) :]])
        return typed

    @staticmethod
    def _text(key: Key, state: ShiftState) -> str | None:
        selecting = {name for some in (*key.types, *key.silent) for name in some}
        legend = key.types.get(state & selecting)
        return legend.text if legend else None


@dataclass(frozen=True)
class Seen:
    """What all presses of a plan make the machine read, together; `sights` by the number of the record (0: None)."""

    played: Played
    sights: tuple[Sight | None, ...] = field(repr=False)

    @cached_property
    def typed(self) -> Mapping[str, array[int]]:
        """Text -> the presses that type it and nothing else, no dead key pending: places in `played.all_ids`."""
        return {text: places for (accent, text), places in self._typed.items() if accent == 0}

    @cached_property
    def typed_after(self) -> Mapping[tuple[int, str], array[int]]:
        """The number of the dead key that is pending, and a text -> the presses that then type it and nothing else."""
        return {after: places for after, places in self._typed.items() if after[0] != 0}

    def spots(self, places: Iterable[int]) -> Iterator[Spot]:
        """The presses at some places."""
        return map(self.played.spot, places)

    @cached_property
    def closable(self) -> frozenset[Contact]:
        """The contacts that some press closes."""
        return frozenset(contact for contact, _ in self.closed)

    @cached_property
    def closed(self) -> frozenset[tuple[Contact, ShiftState]]:
        """The contacts that some press closes, each with the shift states that are read in that moment."""
        return frozenset().union(*(sight.closed for sight in self.sights if sight))

    @cached_property
    def _typed(self) -> Mapping[tuple[int, str], array[int]]:
        texts = [sight.text if sight else None for sight in self.sights]
        found: dict[tuple[int, str], array[int]] = {}
        at = 0
        for dead, lock in self.played.states:
            accent = self.played.dead_keys[dead].accent
            for id in self.played.ids(dead, lock):
                text = texts[id]
                if text is not None:
                    found.setdefault((accent, text), array("I")).append(at)
                at += 1
        return found


def look(played: Played) -> Seen:
    """What all presses of a plan make its machine read."""
    watcher = Watcher(played.plan.layout.machine, played.plan.layout.contacts)
    records = enumerate(played.records)
    return Seen(played, tuple(None if id == NOT_PLAYED else watcher.see(record) for id, record in records))
