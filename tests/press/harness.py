"""Every key of a keyboard under every set of held keys, played through the compiled runtime.

Nothing here knows what a press should do: it only asks the C. `independent.py` reads what a person would see.

    played = Played(plan, asked(plan))
    for dead, lock in played.states:
        for usage in played.usages:
            for subset, id in enumerate(played.row(dead, lock, usage)):
                if id:  # 0: the usage is itself among the held keys
                    record = played.record(id)

Within one `Played` two presses have the same number if and only if their records are equal, so whole rows can be compared.
"""

from __future__ import annotations

import ctypes
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import chain
from pathlib import Path

from matrixmap.hid.geometry import form
from matrixmap.hid.usages import ALT_RIGHT, CAPS_LOCK, NUM_LOCK, SHIFT_LEFT, Usage
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Feed, Plan
from matrixmap.press.table.make import make_table
from tests import tools

RUNTIME = Path(__file__).parents[2] / "matrixmap" / "runtime"
PLAYER = Path(__file__).with_name("play_all.c")

MODIFIERS = tuple(Usage(0xE0 + bit) for bit in range(8))
"""The keys whose every set is held; bit n of a set is the n-th."""

LOCKS = (0, 1, 2, 3)
"""Lock states: bit 0, the key CapsLock was pressed and released before; bit 1, NumLock was. Caps Lock comes first."""

LEVELS = ((), (SHIFT_LEFT,), (ALT_RIGHT,), (SHIFT_LEFT, ALT_RIGHT))
"""What is held for levels 1 to 4."""

NOT_PLAYED = 0
"""The number of no record: the usage is among the held keys."""

NO_COMMAND = 0xFFFF
SMALL = 8
SELECTS = 16
MASKS = SELECTS + 1
MODIFIER_COUNT_AT, MODIFIER_KEYS_AT, CROSSPOINT = 4, 17, 0  # in a table, as mm_runtime.h says
FLAGS_AT, SEQUENCES = 9, 0x40


class _Mask(ctypes.Structure):
    _fields_ = (("lines", ctypes.c_uint16 * MASKS),)


class _Record(ctypes.Structure):
    _fields_ = (
        ("first", ctypes.c_uint32),
        ("moments", ctypes.c_uint32),
        ("released", ctypes.c_uint32),
        ("refusals", ctypes.c_uint16),
        ("overflows", ctypes.c_uint16),
        ("command", ctypes.c_uint16),
        ("latches", ctypes.c_uint8),
        ("locks", ctypes.c_uint8),
        ("accent", ctypes.c_uint8),
        ("endless", ctypes.c_uint8),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What became of a press.

    `timeline` has the closed contacts from before the press (the first) until nothing changes any more, with the key
    still down; each moment differs from the one before. `refusals` and `overflows` are those that the press added,
    `command` the one that it gave. `latches` are the contacts that latches keep closed afterwards, `locks` bits as in
    the flags of a table (0x10 Caps Lock, 0x20 Num Lock), `accent` the dead key that is pending afterwards (0: none).
    `released` is closed once the key was let go while the others stay held; `stuck` is the part of it that was not
    closed before the press and is no key of a modifier nor of a latch. `endless`: the runtime did not come to rest, in the press or in what was played to come there.
    """

    timeline: tuple[frozenset[Contact], ...]
    refusals: int
    overflows: int
    command: int | None
    latches: frozenset[Contact]
    locks: int
    accent: int
    released: frozenset[Contact]
    stuck: frozenset[Contact]
    endless: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadKey:
    """A dead key that can be pending: its number in the runtime (0: none is), and the press that makes it so.

    `presses` has one usage and level for each lock state of LOCKS, the lowest level first; None: in that state no press
    was found, so nothing is played there. Number 0 needs no press and has none.
    """

    accent: int
    presses: tuple[tuple[Usage, int] | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A press: the number of the dead key in `dead_keys`, the lock state, the set of held keys, the key."""

    dead: int
    lock: int
    subset: int
    usage: Usage


def asked(plan: Plan) -> tuple[Usage, ...]:
    """The keys to ask: those of the host's physical form, modifiers among them, and all others that the plan binds."""
    caps = (cap.usage for cap in form(plan.layout.host.form).caps)
    bound = (binding.trigger.usage for binding in plan.bindings)
    dead = (trigger.usage for trigger in plan.dead_keys.triggers)
    paired = (usage for _, usage, _ in plan.dead_keys.pairs)
    return tuple(Usage(usage) for usage in sorted({*caps, *bound, *dead, *paired}))


def feeders(plan: Plan) -> tuple[Usage, ...]:
    """Other keys than the host's eight modifiers that feed a modifier of the machine: `further` takes two of them."""
    fed = {binding.trigger.usage for binding in plan.bindings if isinstance(binding.action, Feed)}
    return tuple(sorted(fed.difference(MODIFIERS)))


@cache
def _folder() -> tempfile.TemporaryDirectory[str]:
    """A folder of this process, which goes with it."""
    return tempfile.TemporaryDirectory(prefix="press-")


@cache
def library(lines: int = SELECTS, runtime: Path = RUNTIME, sequences: bool = False) -> ctypes.CDLL:
    """The player with a runtime for that many select and sense lines, compiled once a process."""
    made = Path(_folder().name)
    path = made / f"play-{lines}-{len(list(made.iterdir()))}.so"
    sizes = (
        f"-DMM_SELECT_MAX={lines}",
        f"-DMM_SENSE_MAX={lines}",
        f"-DMM_SEQUENCES={int(sequences)}",
        "-DMM_RESUME=1",
        "-DMM_WHOLE=1",
    )
    sources = (PLAYER, runtime / "mm_runtime.c")
    # A fault on purpose may be one that the compiler has a word for.
    warnings = tools.STRICT if runtime == RUNTIME else ("-std=c99", "-w")
    tools.run(tools.tool("gcc"), *warnings, "-O2", *sizes, "-fPIC", "-shared", f"-I{runtime}", "-o", path, *sources)
    lib = ctypes.CDLL(str(path))
    player, data, u8, u32 = ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint8, ctypes.c_uint32
    for name, result, arguments in (
        ("press_new", player, (data, ctypes.c_uint16)),
        ("press_free", None, (player,)),
        ("press_start", ctypes.c_bool, (player, data, ctypes.c_uint16, data, u8)),
        ("press_tap", u8, (player, data, u8, u8)),
        ("press_rows", None, (player, data, u32, data, u8, ctypes.c_void_p)),
        ("press_mask_count", u32, (player,)),
        ("press_record_count", u32, (player,)),
        ("press_moment_count", u32, (player,)),
        ("press_masks", ctypes.POINTER(_Mask), (player,)),
        ("press_records", ctypes.POINTER(_Record), (player,)),
        ("press_moments", ctypes.POINTER(u32), (player,)),
    ):
        function = getattr(lib, name)
        function.restype, function.argtypes = result, arguments
    return lib


class Played:
    """All presses of a plan.

    `usages` are the keys to press (`asked(plan)` are all that a keyboard has), `further` at most two more keys that are
    held besides the modifiers, such as an F9 that feeds a modifier: they are the bits above the eight of a set.
    `locks` are the lock states to play while no dead key is pending, `locks_after_dead` those while one is.
    `runtime` is the folder of the C, another one for a runtime with a fault on purpose.

    `dead_keys` has the dead keys that were found, the first is none; `states` the pairs of a number in `dead_keys` and
    a lock state that were played.
    """

    def __init__(
        self,
        plan: Plan,
        usages: Iterable[Usage],
        further: Sequence[Usage] = (),
        *,
        locks: Sequence[int] = LOCKS,
        locks_after_dead: Sequence[int] = LOCKS,
        runtime: Path = RUNTIME,
    ) -> None:
        assert len(further) <= 2
        self.plan = plan
        self.usages = tuple(usages)
        self.further = tuple(further)
        self.held_keys = (*MODIFIERS, *self.further)
        self.subsets = 1 << len(self.held_keys)
        self.table = make_table(plan).to_bytes()
        machine = plan.layout.machine
        small = max(len(machine.select), len(machine.sense)) <= SMALL
        sequences = bool(self.table[FLAGS_AT] & SEQUENCES)
        self._lib = library(SMALL if small else SELECTS, runtime, sequences)
        self._player = self._lib.press_new(self.table, len(self.table))
        assert self._player, f"{plan.id}: the runtime refuses the table"
        self._place = {usage: number for number, usage in enumerate(self.usages)}
        self._ids: dict[tuple[int, int], memoryview] = {}
        try:
            self.dead_keys = self._find_dead_keys(sorted({*locks, *locks_after_dead}))
            for dead in range(len(self.dead_keys)):
                for lock in locks_after_dead if dead else locks:
                    self._play(dead, lock)
            self._keep_records()
        finally:
            self._lib.press_free(self._player)

    @property
    def states(self) -> tuple[tuple[int, int], ...]:
        """The dead keys and lock states that were played, by their numbers."""
        return tuple(self._ids)

    def ids(self, dead: int, lock: int) -> memoryview:
        """All numbers of a state: those of the first usage for every set, then those of the second and so on."""
        return self._ids[dead, lock]

    def row(self, dead: int, lock: int, usage: Usage) -> memoryview:
        """The numbers of a key's records, one a set of held keys; KeyError where the state was not played."""
        start = self._place[usage] * self.subsets
        return self._ids[dead, lock][start : start + self.subsets]

    def record(self, id: int) -> Record:
        """The record of that number, from 1 on."""
        assert id != NOT_PLAYED
        return self.records[id]

    @cached_property
    def records(self) -> tuple[Record, ...]:
        """All records by number; number 0 is that of no press."""
        return tuple(map(self._read, self._records))

    @property
    def restless(self) -> list[Record]:
        """The records of presses that leave a contact closed, find no end, or are dropped."""
        return [record for record in self.records if record.stuck or record.endless or record.overflows]

    @property
    def pending(self) -> set[int]:
        """The numbers of the dead keys that are pending after some press."""
        return {record.accent for record in self.records}

    def held(self, subset: int) -> tuple[Usage, ...]:
        """The keys of a set."""
        return tuple(usage for bit, usage in enumerate(self.held_keys) if subset >> bit & 1)

    @property
    def all_ids(self) -> Iterator[int]:
        """The numbers of all presses of all states, one after the other."""
        return chain.from_iterable(self._ids.values())

    def spots(self, id: int) -> Iterator[Spot]:
        """Every press that has the record of that number."""
        return (self.spot(at) for at, other in enumerate(self.all_ids) if other == id)

    def spot(self, at: int) -> Spot:
        """The press at that place in `all_ids`."""
        rest, subset = divmod(at, self.subsets)
        state, number = divmod(rest, len(self.usages))
        dead, lock = self.states[state]
        return Spot(dead=dead, lock=lock, subset=subset, usage=self.usages[number])

    @cached_property
    def modifier_contacts(self) -> tuple[Contact, ...]:
        """The contacts of the machine's modifier keys and latches, in the order of the bits of the runtime."""
        keys = self.table[MODIFIER_KEYS_AT:][: 2 * self.table[MODIFIER_COUNT_AT]]
        senses = len(self.plan.layout.machine.sense)
        return tuple(
            Contact((value >> 4) * senses + (value & 15) if kind == CROSSPOINT else self._crosspoints + value)
            for kind, value in zip(keys[::2], keys[1::2], strict=True)
        )

    @property
    def _crosspoints(self) -> int:
        return self.plan.layout.machine.crosspoints

    def _start(self, lock: int) -> None:
        tapped = bytes(key for bit, key in enumerate((CAPS_LOCK, NUM_LOCK)) if lock >> bit & 1)
        self._lib.press_start(self._player, self.table, len(self.table), tapped, len(tapped))

    def _find_dead_keys(self, locks: Sequence[int]) -> tuple[DeadKey, ...]:
        """Presses every key at every level, and looks which dead key is pending afterwards."""
        found: dict[int, dict[int, tuple[Usage, int]]] = {}
        for lock in locks:
            for level, held in enumerate(LEVELS, 1):
                for usage in self.usages:
                    if usage in held:
                        continue
                    self._start(lock)
                    accent = self._lib.press_tap(self._player, bytes(held), len(held), usage)
                    if accent:
                        found.setdefault(accent, {}).setdefault(lock, (usage, level))
        none = DeadKey(accent=0, presses=())
        return (
            none,
            *(DeadKey(accent=accent, presses=tuple(map(found[accent].get, LOCKS))) for accent in sorted(found)),
        )

    def _play(self, dead: int, lock: int) -> None:
        self._start(lock)
        if dead:
            press = self.dead_keys[dead].presses[lock]
            if press is None:
                return
            held = LEVELS[press[1] - 1]
            self._lib.press_tap(self._player, bytes(held), len(held), press[0])
        ids = (ctypes.c_uint32 * (len(self.usages) * self.subsets))()
        self._lib.press_rows(
            self._player, bytes(self.usages), len(self.usages), bytes(self.further), len(self.further), ids
        )
        self._ids[dead, lock] = memoryview(ids).cast("B").cast("I")

    def _keep_records(self) -> None:
        lib, player = self._lib, self._player
        masks = lib.press_masks(player)[: lib.press_mask_count(player)]
        self._masks = tuple(frozenset(self._contacts(mask.lines)) for mask in masks)
        moments = lib.press_moments(player)[: lib.press_moment_count(player)]
        fields = [name for name, _ in _Record._fields_][2:]
        self._records = [
            (moments[raw.first : raw.first + raw.moments], *(getattr(raw, name) for name in fields))
            for raw in lib.press_records(player)[: lib.press_record_count(player)]
        ]

    def _contacts(self, lines: Sequence[int]) -> Iterator[Contact]:
        machine = self.plan.layout.machine
        senses, direct = len(machine.sense), len(machine.direct)
        for line, mask in enumerate(lines):
            there = direct if line == SELECTS else senses if line < len(machine.select) else 0
            assert not mask >> there, f"{self.plan.id}: a contact is closed that the machine does not have"
            first = line * senses if line < SELECTS else self._crosspoints
            yield from (Contact(first + bit) for bit in range(16) if mask >> bit & 1)

    def _read(self, raw: Sequence) -> Record:
        moments, released, refusals, overflows, command, latches, locks, accent, endless = raw
        timeline = tuple(self._masks[moment] for moment in moments)
        after = self._masks[released]
        before = timeline[0] if timeline else frozenset()
        return Record(
            timeline=timeline,
            refusals=refusals,
            overflows=overflows,
            command=None if command == NO_COMMAND else command,
            latches=frozenset(contact for bit, contact in enumerate(self.modifier_contacts) if latches >> bit & 1),
            locks=locks,
            accent=accent,
            released=after,
            stuck=after - before - frozenset(self.modifier_contacts),
            endless=bool(endless),
        )
