"""What is on each key of a picture? On the host's keys what they type, on the machine's keys what reaches them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property

from matrixmap.emit.pictures.columns import Cell, Cells, Held, modifier_name, num_off
from matrixmap.emit.pictures.svg import readable
from matrixmap.hid.geometry import FORM_NAMES, Cap, Form, form
from matrixmap.hid.usages import ALT_RIGHT, CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK, Usage, by_code
from matrixmap.model.host import Host
from matrixmap.model.machine import Contact, Machine, ShiftState
from matrixmap.model.plan import Plan, Trigger
from matrixmap.model.press import KeyPress, Way
from matrixmap.model.words import printed_name, printed_on, usage_name
from matrixmap.press.compiled import bits
from matrixmap.press.every import Every
from matrixmap.press.how_to_type import Closing, HowToType, key_press
from matrixmap.press.keyboard import key_usage
from matrixmap.press.rules import Rules
from matrixmap.press.table.format import Kind as Answer
from matrixmap.press.table.format import Table
from matrixmap.press.words import held_words, way_words


class Kind(Enum):
    """The sort of a key; pictures show it by more than colour."""

    TYPES = "types"
    MODIFIER = "modifier"
    LATCH = "latch"
    LOCK = "lock"
    COMMAND = "command"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A legend at its place on a key: its text, and the press that types it.

    `waits` is set if the text is the accent of a dead key, which waits for the next key. `side` says what to hold if
    only one side of a modifier types it, as in `right Shift+Alt`.
    """

    text: str
    press: KeyPress
    waits: bool = False
    side: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """A host key: its place, its print, and what it types in each column, below and above.

    `places` has two entries for each column, the lower first; None if the key does nothing, or, in a further column,
    only what it does without it. `whole` is set, and says everything, if the key does the same no matter what
    is held.
    """

    cap: Cap
    usage: Usage
    name: str
    printed: str
    kind: Kind
    whole: str | None
    places: tuple[Place | None, ...]

    @property
    def texts(self) -> tuple[str | None, ...]:
        """The text at each place."""
        return tuple(place.text if place else None for place in self.places)

    @property
    def waits(self) -> frozenset[int]:
        """The places of dead keys."""
        return frozenset(index for index, place in enumerate(self.places) if place and place.waits)

    @property
    def unprinted(self) -> frozenset[int]:
        """The places with a legend that is not printed on the host's key."""
        return frozenset(index for index, place in enumerate(self.places) if place and not place.press.printed)

    @property
    def sides(self) -> Mapping[int, str]:
        """What to hold at the places that only one side of a modifier types."""
        return {index: place.side for index, place in enumerate(self.places) if place and place.side}


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineFace:
    """A key of the machine: its name, what it types in each shift state, and the host keys that reach it.

    `contact` is None for a latching key, which shares the contact of the key named in `beside`, and for a cap in
    parallel, with what it closes there.
    """

    name: str
    contact: Contact | None
    beside: str | None
    types: tuple[tuple[str, str], ...]
    reached: Reach


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """The host keys that close a contact, by their print, the easiest first.

    `ways` is the long form of `keys`, with what to hold. `short` is for pictures: each key once, in its easiest
    way, with signs for levels and arrows: `⇧#`. With `held` they close it only as a modifier of their strokes.
    """

    keys: tuple[str, ...] = ()
    ways: tuple[str, ...] = ()
    short: tuple[str, ...] = ()
    held: bool = False


SHIFT_SIGN = "⇧"
"""The sign of ISO/IEC 9995-7 for the second level."""

_SHORT_NAMES = {"ArrowUp": "↑", "ArrowRight": "→", "ArrowDown": "↓", "ArrowLeft": "←", " ": "Space"}


def short_way(host: Host, way: Way) -> str:
    """A way as a picture writes it: `⇧#`, `AltGr Q`, `right ⇧R`, `^ Space`; the keypad's keys as `num 7`."""
    return " ".join(_short_press(host, press) for press in way)


def _short_press(host: Host, press: KeyPress) -> str:
    name = printed_name(host, press.usage)
    name = readable(_SHORT_NAMES.get(name, name.replace("keypad ", "num ")))
    held = "".join(f"{word} ".replace("Shift ", SHIFT_SIGN) for word in held_words(host, press))
    return f"{held}{name}"


def form_of(host: Host) -> Form | None:
    """The form of a host; None if it is not one that can be drawn."""
    return form(host.form) if host.form in FORM_NAMES else None


def cap_at(board: Form, usage: Usage) -> Cap | None:
    """The key of a form for a usage. Both usages of the code Backslash are one key."""
    for other in (usage, *by_code(usage_name(usage))):
        if other in board.by_usage:
            return board.by_usage[other]
    return None


class Faces:
    """The faces of a plan's keys, by what each press does. TableError if no table can hold the plan."""

    def __init__(self, plan: Plan, table: Table | None = None) -> None:
        self.plan = plan
        self.every = Every(Rules(plan, table))
        self.cells = Cells(self.every)
        self.columns = self.cells.columns
        self._num_off = num_off(self.every)
        self._keys = {key.usage: key for key in self.every.keys}

    @cached_property
    def ways(self) -> HowToType:
        """The ways to type and to close things."""
        return HowToType(self.every)

    @cached_property
    def to_type(self) -> Mapping[str, tuple[Way, ...]]:
        """Character or function -> the ways to type it, the easiest first."""
        return self.ways.to_type()

    @cached_property
    def to_close(self) -> Mapping[Contact, Closing]:
        """Contact -> the ways to close it."""
        return self.ways.to_close()

    @property
    def waiting(self) -> bool:
        """Whether some dead key composes something on this machine."""
        return bool(self.every.rules.table.accents)

    def host(self, board: Form) -> tuple[Face, ...]:
        """The faces of all keys of a form, in its order."""
        return tuple(self._face(cap) for cap in board.caps)

    def of_use(self, face: Face) -> Face:
        """A face without legends that are neither printed on the key nor needed: another way types them, too."""
        kept = (
            place if place is None or place.press.printed or place.press.trigger in self._needed else None
            for place in face.places
        )
        return replace(face, places=tuple(kept))

    @cached_property
    def _needed(self) -> frozenset[Trigger]:
        """The presses in the easiest ways to type."""
        return frozenset(press.trigger for ways in self.to_type.values() for press in ways[0])

    def _face(self, cap: Cap) -> Face:
        host = self.plan.layout.host
        usage = key_usage(host, cap.usage)
        places = self._keypad(usage) if usage in KEYPAD_DIGITS else self._places(usage)
        kind, whole = self._kind(usage, places)
        return Face(
            cap=cap,
            usage=usage,
            name=usage_name(usage),
            printed=printed_on(host, usage),
            kind=kind,
            whole=whole,
            places=places,
        )

    def _keypad(self, usage: Usage) -> tuple[Place | None, ...]:
        """A digit of the keypad: with Num Lock on, and with it off."""
        places = [self._place(usage, {0: self.cells.cell(usage, 0)}, 0)]
        off = self._num_off
        places.append(self._place(usage, {0: self.cells.cell(usage, 0, off)}, off) if off is not None else None)
        return (*places, *[None] * (2 * len(self.columns) - 2))

    def _places(self, usage: Usage) -> tuple[Place | None, ...]:
        cells, found = self.cells, []
        for column in self.columns:
            for shifts in ((0,), cells.shifts):
                held = [some | shift for some in column.sets for shift in shifts]
                does = {some: cells.cell(usage, some, column.locks) for some in held}
                if column.locks:
                    shown = any(cells.cell(usage, some) != cell for some, cell in does.items())
                else:
                    shown = any(cells.is_new(usage, some, shift) for some in column.sets for shift in shifts)
                found.append(self._place(usage, does, column.locks) if shown else None)
        return tuple(found)

    def _place(self, usage: Usage, cells: Mapping[Held, Cell | None], locks: int) -> Place | None:
        """What a key does with any of some sets of held keys that do not contradict each other."""
        does = next((cell for cell in cells.values() if cell), None)
        if does is None:
            return None
        every = self.every
        sets = [held for held, cell in cells.items() if cell == does]
        held, either = every.without_sides(sets)[0]
        pressed = self.cells.pressed(usage, held, locks)
        level = pressed.level if pressed else 1
        press = key_press(every, self._keys[usage], level, held, either, every.locks[locks].on)
        side = self.cells.words(sets) if len(sets) < len(cells) else ""
        return Place(text=does.text, press=press, waits=does.waits, side=side)

    def _kind(self, usage: Usage, places: tuple[Place | None, ...]) -> tuple[Kind, str | None]:
        every, host = self.every, self.plan.layout.host
        compiled = every.rules.compiled
        if {CAPS_LOCK: compiled.caps_lock, NUM_LOCK: compiled.num_lock}.get(usage, False):
            return Kind.LOCK, "Caps Lock" if usage == CAPS_LOCK else "Num Lock"
        if usage in compiled.feeds:
            fed = bits(compiled.mask_of(compiled.feeds[usage]))
            return Kind.MODIFIER, " and ".join(dict.fromkeys(modifier_name(every, Contact(contact)) for contact in fed))
        plain = self.cells.pressed(usage, 0)
        if plain and plain.done.kind is Answer.LATCH:
            return Kind.LATCH, self.cells.latch_name(plain.done.value)
        if plain and plain.done.kind is Answer.COMMAND:
            return Kind.COMMAND, f"command {plain.done.value}"
        if not any(places):
            altgr = usage == ALT_RIGHT and host.has_altgr
            return (Kind.MODIFIER, "AltGr") if altgr else (Kind.NOTHING, None)
        return Kind.TYPES, self._whole(usage, places)

    def _whole(self, usage: Usage, places: tuple[Place | None, ...]) -> str | None:
        """What a key does with and without Shift and AltGr, if that is always the same and it does nothing else."""
        cells, host = self.cells, self.plan.layout.host
        if any(places[2:]) or not places[0]:
            return None
        altgr = [self.every.mask_of((ALT_RIGHT,))] if host.has_altgr and usage not in KEYPAD_DIGITS else []
        does = {cells.cell(usage, held | shift) for held in (0, *altgr) for shift in cells.places(usage)}
        if usage in KEYPAD_DIGITS:
            does.add(cells.cell(usage, 0, self._num_off) if self._num_off is not None else cells.cell(usage, 0))
        return places[0].text if does == {Cell(places[0].text)} else None

    # ---- what reaches the machine ----

    def reaching(self, board: Form | None = None) -> Mapping[Contact, Reach]:
        """Contact -> the host keys that close it, the easiest first; with a form, only its keys."""
        return {
            contact: reach
            for contact, closing in self.to_close.items()
            if (reach := self._reach(closing.ways, board, closing.held)).keys
        }

    def _reach(self, every_way: Iterable[Way], board: Form | None, held: bool = False) -> Reach:
        host, feeds = self.plan.layout.host, self.every.rules.compiled.feeds
        ways = [way for way in every_way if board is None or all(cap_at(board, press.usage) for press in way)]
        signs: dict[str, str] = {}
        for way in ways:
            signs.setdefault(", ".join(printed_name(host, press.usage) for press in way), short_way(host, way))
        told = dict.fromkeys(
            printed_name(host, way[-1].usage) if way[-1].usage in feeds else way_words(host, way) for way in ways
        )
        return Reach(keys=tuple(signs), ways=tuple(told), short=tuple(dict.fromkeys(signs.values())), held=held)

    def machine(self, board: Form | None = None) -> Mapping[str, MachineFace]:
        """The faces of all keys of the machine by name, also latching keys and caps, as reached from a form's keys."""
        machine = self.plan.layout.machine
        reached = self.reaching(board)
        faces: dict[str, MachineFace] = {}
        for key in machine.keys:
            reach = reached.get(key.contact, Reach())
            faces[key.name] = MachineFace(
                name=key.name,
                contact=key.contact,
                beside=None,
                types=tuple((machine.state_name(state), legend.text) for state, legend in key.types.items()),
                reached=reach,
            )
        latches = {
            self.cells.latch_name(value): self._reach([(press,) for press in presses], board)
            for value, presses in self.ways.of_kind(Answer.LATCH).items()
        }
        for name, beside in machine.latching.items():
            by = latches.get(name, Reach())
            faces[name] = MachineFace(name=name, contact=None, beside=beside, types=(), reached=by)
        for name in machine.parallel:
            held, keys = machine.pressed(name)
            types = machine.cap_types(name)
            if held or len(keys) > 1:
                texts = {legend.text for legend in types.values()}
                by = self._reach([way for text in texts for way in self.to_type.get(text, ())], board)
            else:
                by = reached.get(machine.key(keys[0]).contact, Reach())
            faces[name] = MachineFace(
                name=name,
                contact=None,
                beside=machine.closes(name),
                types=tuple((machine.state_name(state), legend.text) for state, legend in types.items()),
                reached=by,
            )
        return faces


def reaching(plan: Plan, board: Form | None = None) -> Mapping[Contact, Reach]:
    """Contact -> the host keys that close it as their own, the easiest first; with a form, only its keys.

    If no key does, those with strokes that close it as a modifier. TableError if no table can hold the plan.
    """
    return Faces(plan).reaching(board)


def state_columns(machine: Machine) -> tuple[ShiftState, ...]:
    """The shift states that begin a column on the machine's keys: plain first, then those without the first modifier."""
    first = frozenset({machine.modifiers[0].name}) if machine.modifiers else frozenset()
    states = {state - first for key in machine.keys for state in key.types}
    order = [modifier.name for modifier in machine.modifiers]
    return tuple(sorted(states, key=lambda state: (len(state), sorted(order.index(name) for name in state))))
