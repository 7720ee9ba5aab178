"""A keyboard on the compiled runtime, and every press that hands can make on it, tried one by one."""

from __future__ import annotations

import ctypes
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain, combinations
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from matrixmap.hid.geometry import form
from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CAPS_LOCK,
    CONTROL_LEFT,
    KEYPAD_DIGITS,
    META_LEFT,
    NUM_LOCK,
    SHIFT_LEFT,
    SHIFT_RIGHT,
)
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Feed, Latch, Plan, Trigger
from matrixmap.press.table.make import make_table
from tests import tools
from tests.check.circuit import Circuit

EXTRAS = {HostModifier.CONTROL: CONTROL_LEFT, HostModifier.ALT: ALT_LEFT, HostModifier.META: META_LEFT}

RUNTIME = Path(__file__).parents[2] / "matrixmap" / "runtime"
MOST_MOMENTS = 64
"""Calls of `mm_advance` for one report; no press takes nearly as many."""

NO_COMMAND = 0xFFFF
WORD = 2


@cache
def library() -> ctypes.CDLL:
    """The runtime for any machine, with strokes in turn, and `desk.c` around it."""
    sources = (Path(__file__).with_name("desk.c"), RUNTIME / "mm_runtime.c")
    sizes = ("-DMM_SELECT_MAX=16", "-DMM_SENSE_MAX=16", "-DMM_SEQUENCES=1", "-DMM_RESUME=1", "-DMM_WHOLE=1")
    with TemporaryDirectory(prefix="desk-") as folder:
        path = Path(folder) / "desk.so"
        tools.run(
            tools.tool("gcc"), *tools.STRICT, "-O2", *sizes, "-fPIC", "-shared", f"-I{RUNTIME}", "-o", path, *sources
        )
        found = ctypes.CDLL(str(path))
    desk, data, u8, u16 = ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint8, ctypes.c_uint16
    for name, result, arguments in (
        ("desk_bytes", u16, ()),
        ("desk_masks", u16, ()),
        ("desk_start", ctypes.c_bool, (desk, ctypes.c_void_p, u16)),
        ("desk_leds", u8, (desk,)),
        ("desk_command", u16, (desk,)),
        ("desk_give", u16, (desk, data, ctypes.c_void_p, u16)),
    ):
        function = getattr(found, name)
        function.restype, function.argtypes = result, arguments
    return found


class Kept(NamedTuple):
    """A moment of a desk: the C structure, the keys that are down, the contacts that are closed."""

    state: bytes
    down: frozenset[int]
    closed: frozenset[int]


class Desk:
    """A keyboard on the compiled runtime, whose keys are pressed one after the other.

    `moments` are the contacts that were closed together, at each moment since the last press; `command` is the last one given.
    """

    def __init__(self, plan: Plan) -> None:
        self.machine = plan.layout.machine
        self.library = library()
        table = make_table(plan).to_bytes()
        self.table = ctypes.create_string_buffer(table, len(table))
        self.state = ctypes.create_string_buffer(self.library.desk_bytes())
        self.row = WORD * self.library.desk_masks()
        self.masks = ctypes.create_string_buffer(MOST_MOMENTS * self.row)
        self.contacts: dict[bytes, frozenset[int]] = {}
        self.start()

    def start(self) -> None:
        """As when the power comes on."""
        assert self.library.desk_start(self.state, self.table, len(self.table))
        self.down: set[int] = set()
        self.moments: list[frozenset[int]] = [frozenset()]

    def kept(self) -> Kept:
        """All that is so at this moment, to be brought back."""
        return Kept(self.state.raw, frozenset(self.down), self.closed())

    def bring_back(self, kept: Kept) -> None:
        """Makes all as it was."""
        ctypes.memmove(self.state, kept.state, len(kept.state))
        self.down = set(kept.down)
        self.moments = [kept.closed]

    def press(self, *usages: int) -> frozenset[int]:
        """Presses keys, each in its own report; the contacts that are closed once all is done."""
        for usage in usages:
            self.down.add(usage)
            self._send()
        return self.closed()

    def release(self, *usages: int) -> frozenset[int]:
        """Lets keys go."""
        self.down -= set(usages)
        self._send()
        return self.closed()

    def _send(self) -> None:
        bitmap = bytearray(32)
        for usage in self.down:
            bitmap[usage >> 3] |= 1 << (usage & 7)
        count = self.library.desk_give(self.state, bytes(bitmap), self.masks, MOST_MOMENTS)
        assert count < MOST_MOMENTS, "the runtime does not come to rest"
        raw = ctypes.string_at(self.masks, count * self.row)
        self.moments = [self._contacts(raw[at : at + self.row]) for at in range(0, len(raw), self.row)]

    def _contacts(self, row: bytes) -> frozenset[int]:
        found = self.contacts.get(row)
        if found is None:
            *selects, direct = (int.from_bytes(row[at : at + WORD], "little") for at in range(0, len(row), WORD))
            width = len(self.machine.sense)
            closed = {line * width + bit for line, mask in enumerate(selects) for bit in range(16) if mask >> bit & 1}
            closed |= {self.machine.crosspoints + bit for bit in range(8) if direct >> bit & 1}
            found = self.contacts[row] = frozenset(closed)
        return found

    def closed(self) -> frozenset[int]:
        """All closed contacts."""
        return self.moments[-1]

    def leds(self) -> int:
        """The LED byte."""
        return int(self.library.desk_leds(self.state))

    @property
    def command(self) -> int | None:
        """The last command that was given."""
        number = self.library.desk_command(self.state)
        return None if number == NO_COMMAND else number


def every_set(things: Iterable[int]) -> Iterator[tuple[int, ...]]:
    """All subsets, the empty one first."""
    among = tuple(things)
    return chain.from_iterable(combinations(among, count) for count in range(len(among) + 1))


def without_limits(plan: Plan) -> Plan:
    """The plan with the guard off, on a machine that tells any number of keys apart."""
    return replace(without_rollover(plan), guard=False)


def without_rollover(plan: Plan) -> Plan:
    """The plan on a machine that tells any number of keys apart."""
    machine = replace(plan.layout.machine, scan=replace(plan.layout.machine.scan, rollover=None))
    return replace(plan, layout=replace(plan.layout, machine=machine))


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """One press that was tried: the keys held meanwhile, the dead key before it, if any, Num Lock, and the key itself.

    `moments` are what was closed for it besides modifiers, each with the contacts of modifiers that were closed with it.
    `acted` is set where it did anything: closed a contact, worked a lock or a latch, or gave a command; `before` is what was closed before it, `closings` how often
    contacts closed for it, `beside` where a
    latch kept another key than a modifier closed all the time.
    """

    held: tuple[int, ...]
    dead: Trigger | None
    num: bool
    usage: int
    moments: frozenset[tuple[frozenset[int], frozenset[int]]]
    acted: bool
    beside: bool
    before: frozenset[int]
    closings: int

    @property
    def usages(self) -> frozenset[int]:
        """All keys that it needs, Shift and AltGr of the dead key aside."""
        return frozenset({*self.held, self.usage} | ({self.dead.usage} if self.dead else set()))


class Hands:
    """Tries every press on a plan; keys that are one are pressed by the usage of the host's form."""

    def __init__(self, plan: Plan, limits: bool = True) -> None:
        """Without `limits` guard and rollover refuse nothing."""
        self.plan = plan
        machine = plan.layout.machine
        self.keys = {key.contact: key for key in machine.keys}
        self.modifier_of = {machine.key(name).contact: each.name for each in machine.modifiers for name in each.keys}
        self.board = frozenset(form(plan.layout.host.form).by_usage)
        asked = {binding.trigger.usage for binding in plan.bindings} | set(plan.layout.host.keys) | self.board
        twins = {0x31, 0x32}
        spare = twins - self.board if twins & self.board else {0x32}
        self.usages = sorted(asked - spare)
        self.circuit = Circuit(machine, plan.contacts)
        self.latching = {each.trigger.usage for each in plan.bindings if isinstance(each.action, Latch)}
        self.desk = Desk(plan if limits else without_limits(plan))

    def held_keys(self) -> list[int]:
        """The host keys that, held or turned on, change what another key does.

        Those that feed a modifier or work a latch, those that choose levels, and one of each kind that some trigger names.
        """
        bindings = self.plan.bindings
        feeding = {binding.trigger.usage for binding in bindings if isinstance(binding.action, Feed | Latch)}
        named = {EXTRAS[extra] for binding in bindings for extra in binding.trigger.extras}
        # With one more of them held a trigger that names them does not answer.
        named = set(EXTRAS.values()) if named else named
        levels = {SHIFT_LEFT, SHIFT_RIGHT} | ({ALT_RIGHT} if self.plan.layout.host.has_altgr else set())
        locks = {CAPS_LOCK} if self.plan.caps_lock and CAPS_LOCK in self.usages else set()
        return sorted(feeding | named | levels | locks)

    def every_press(self, held: Iterable[int]) -> Iterator[Tried]:
        """Every key with every set of these held, after every dead key and without, Num Lock on and off on the keypad."""
        for together in every_set(held):
            for num in (True, False):
                usages = [usage for usage in self.usages if usage not in together and (num or usage in KEYPAD_DIGITS)]
                for dead in (None, *(self.plan.dead_keys.triggers if num else ())):
                    yield from self._each(usages, together, dead, num)

    def _each(self, usages: list[int], held: tuple[int, ...], dead: Trigger | None, num: bool) -> Iterator[Tried]:
        self._rest(held, dead, num)
        kept = self.desk.kept()
        for usage in usages:
            self.desk.bring_back(kept)
            yield self._try(usage, held, dead, num)

    def _rest(self, held: tuple[int, ...], dead: Trigger | None, num: bool) -> None:
        """Nothing but some keys held, a dead key pending."""
        self.desk.start()
        if not num:
            self.desk.press(NUM_LOCK)
        if dead:
            levels = [SHIFT_LEFT] * (dead.level in (2, 4)) + [ALT_RIGHT] * (dead.level in (3, 4))
            self.desk.press(*levels, dead.usage)
            self.desk.release(*levels, dead.usage)
        self.desk.press(*held)

    def _state(self) -> tuple[frozenset[int], int, int | None]:
        return self.desk.closed(), self.desk.leds(), self.desk.command

    def _try(self, usage: int, held: tuple[int, ...], dead: Trigger | None, num: bool) -> Tried:
        before = self._state()
        self.desk.press(usage)
        after = self._state()
        moments = set()
        closings, open_before = 0, True
        for closed in self.desk.moments:
            pressed = frozenset(closed - before[0] - self.modifier_of.keys())
            closings += bool(pressed) and open_before
            open_before = not pressed
            if pressed:
                moments.add((pressed, frozenset(closed & self.modifier_of.keys())))
        beside = bool(before[0] - self.modifier_of.keys())
        acted = bool(moments) or after != before
        return Tried(
            held=held,
            dead=dead,
            num=num,
            usage=usage,
            moments=frozenset(moments),
            acted=acted,
            beside=beside,
            before=before[0],
            closings=closings,
        )

    def texts(self, tried: Tried) -> frozenset[str]:
        """What a press types, and nothing besides: none where it types several, or the machine reads a phantom."""
        if tried.usage in self.latching:
            return frozenset()  # what a latch closes is no press of a key
        if len(tried.moments) != 1 or tried.closings != 1 or tried.beside:
            return frozenset()
        (pressed, modifiers) = next(iter(tried.moments))
        if len(pressed) != 1 or self.circuit.extra(pressed | modifiers) or self.circuit.extra(tried.before):
            return frozenset()
        key = self.keys[next(iter(pressed))]
        typed = key.types.get(self.state(modifiers) & key.selectors)
        return frozenset({typed.text} if typed else ())

    def is_usual(self, tried: Tried) -> bool:
        """Whether the host's form has all keys that a press takes, those that are held for it aside."""
        return tried.usage in self.board and (tried.dead is None or tried.dead.usage in self.board)

    def state(self, modifiers: Iterable[int]) -> frozenset[str]:
        """The machine's modifiers that are closed."""
        return frozenset(self.modifier_of[contact] for contact in modifiers)
