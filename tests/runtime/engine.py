"""The compiled runtime under ctypes."""

from __future__ import annotations

import ctypes
from collections.abc import Iterable
from enum import IntEnum
from pathlib import Path

NEVER = 0xFFFF

Contact = tuple[str, int, int]


class Result(IntEnum):
    """mm_result of the C header."""

    TAKEN = 0
    ROLLED = 1
    DROPPED = 2
    MALFORMED = 3


def load(path: Path) -> ctypes.CDLL:
    """The shared library with argument types, so that ctypes checks calls."""
    lib = ctypes.CDLL(str(path))
    state, bytes_, u8, u16 = ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint8, ctypes.c_uint16
    for name, result, arguments in (
        ("mm_test_state_size", u16, ()),
        ("mm_test_masks", None, (state, ctypes.c_void_p)),
        ("mm_test_waiting", u8, (state,)),
        ("mm_test_init", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_boot_report", u8, (state, u8, bytes_, u8)),
        ("mm_usages", u8, (state, u8, bytes_)),
        ("mm_disconnected", None, (state, u8)),
        ("mm_advance", u16, (state, u16)),
        ("mm_change_layout", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_select_mask", u16, (state, u8)),
        ("mm_direct_mask", u8, (state,)),
        ("mm_leds", u8, (state,)),
        ("mm_take_command", ctypes.c_bool, (state, ctypes.POINTER(u8))),
        ("mm_overflows", u16, (state,)),
        ("mm_refusals", u16, (state,)),
        ("mm_idle", ctypes.c_bool, (state,)),
        ("mm_room", u8, (state,)),
        ("mm_type", ctypes.c_bool, (state, u8, u8)),
        ("mm_controller", None, (state, u8, u8)),
        ("mm_unplugged", None, (state, u8)),
        ("mm_pulls", u16, (state, u8)),
        ("mm_clashes", u16, (state,)),
    ):
        function = getattr(lib, name, None)
        if function is None:
            continue  # the runtime was compiled without pads
        function.restype = result
        function.argtypes = arguments
    return lib


def contacts_of(masks: tuple[int, ...]) -> frozenset[Contact]:
    """Crosspoints `("x", select, sense)` and direct lines `("d", line, 0)` of 17 masks."""
    return frozenset(
        ("x", line, bit) if line < 16 else ("d", bit, 0)
        for line, mask in enumerate(masks)
        for bit in range(16)
        if mask >> bit & 1
    )


class Engine:
    """One mm_state and the tables that it reads; `now` counts ticks of 100 microseconds without wrapping."""

    def __init__(self, lib: ctypes.CDLL, table: bytes, *, start: int = 0) -> None:
        self.lib = lib
        self.state = ctypes.create_string_buffer(lib.mm_test_state_size())
        self.tables: list[ctypes.Array[ctypes.c_char]] = []
        self.now = start
        self.shown = (ctypes.c_uint16 * 17)()
        self.changes: list[tuple[int, tuple[int, ...]]] = []
        self.sound = bool(lib.mm_test_init(self.state, *self._keep(table)))
        self.settle()

    def _keep(self, table: bytes) -> tuple[ctypes.Array[ctypes.c_char], int]:
        self.tables.append(ctypes.create_string_buffer(table, len(table)))
        return self.tables[-1], len(table)

    def advance(self) -> int:
        """One call of mm_advance at `now`; what it changes joins `changes`."""
        ticks = int(self.lib.mm_advance(self.state, self.now & 0xFFFF))
        masks = self.masks
        if not self.changes or self.changes[-1][1] != masks:
            self.changes.append((self.now, masks))
        return ticks

    def settle(self) -> int:
        """Calls mm_advance as long as it asks to be called at once; the ticks that it then asks for."""
        for _ in range(64):
            ticks = self.advance()
            if ticks:
                return ticks
        raise AssertionError("mm_advance asks to be called at once without end")

    def mark(self) -> int:
        """Forgets the changes so far; the time, from which `story` counts."""
        self.changes = [(self.now, self.masks)]
        return self.now

    @property
    def story(self) -> list[tuple[int, frozenset[Contact]]]:
        """The changes since `mark`, with ticks counted from it."""
        return [(at - self.changes[0][0], contacts_of(masks)) for at, masks in self.changes[1:]]

    def run(self, ticks: int) -> None:
        """Lets time pass, calling whenever mm_advance asks for it."""
        end = self.now + ticks
        wait = self.settle()
        while wait != NEVER and self.now + wait <= end:
            self.now += wait
            wait = self.settle()
        self.now = end
        self.settle()

    def report(self, *usages: int, modifiers: int = 0, keyboard: int = 0) -> Result:
        """A boot report with these usages in its array, acted on at once."""
        array = bytes(usages) + bytes(6 - len(usages))
        return self.raw(bytes([modifiers, 0]) + array, keyboard=keyboard)

    def raw(self, report: bytes, *, keyboard: int = 0) -> Result:
        """A report as it came, acted on at once."""
        result = Result(self.lib.mm_boot_report(self.state, keyboard, report, len(report)))
        self.settle()
        return result

    def usages(self, usages: Iterable[int], *, keyboard: int = 0) -> Result:
        """A bitmap of 256 usages, acted on at once."""
        down = bytearray(32)
        for usage in usages:
            down[usage >> 3] |= 1 << (usage & 7)
        result = Result(self.lib.mm_usages(self.state, keyboard, bytes(down)))
        self.settle()
        return result

    def disconnect(self, keyboard: int = 0) -> None:
        """The link to a keyboard is lost."""
        self.lib.mm_disconnected(self.state, keyboard)
        self.settle()

    def change_layout(self, table: bytes) -> bool:
        """A layout change asked for at this moment."""
        taken = bool(self.lib.mm_change_layout(self.state, *self._keep(table)))
        self.settle()
        return taken

    def command(self) -> int | None:
        """The command that is due, once."""
        number = ctypes.c_uint8()
        return number.value if self.lib.mm_take_command(self.state, ctypes.byref(number)) else None

    def controller(self, number: int, *switches: int) -> None:
        """A pad closes these switches of a controller, and no others."""
        self.lib.mm_controller(self.state, number, sum(1 << switch for switch in switches))
        self.settle()

    def unplug(self, number: int) -> None:
        """The pad of a controller is gone."""
        self.lib.mm_unplugged(self.state, number)
        self.settle()

    @property
    def pulls(self) -> tuple[int, ...]:
        """Sense lines pulled low with each of 16 select lines, and whatever is strobed."""
        return tuple(int(self.lib.mm_pulls(self.state, line)) for line in range(17))

    @property
    def clashes(self) -> int:
        """Strokes that gave way to pads so far."""
        return int(self.lib.mm_clashes(self.state))

    @property
    def masks(self) -> tuple[int, ...]:
        """The masks of 16 select lines and of the direct lines."""
        self.lib.mm_test_masks(self.state, self.shown)
        return tuple(self.shown)

    @property
    def contacts(self) -> frozenset[Contact]:
        """Closed now."""
        return contacts_of(self.masks)

    @property
    def leds(self) -> int:
        """The LED byte."""
        return int(self.lib.mm_leds(self.state))

    @property
    def overflows(self) -> int:
        """Presses dropped so far."""
        return int(self.lib.mm_overflows(self.state))

    @property
    def refusals(self) -> int:
        """Presses refused so far."""
        return int(self.lib.mm_refusals(self.state))

    @property
    def idle(self) -> bool:
        """Nothing closed and nothing to do."""
        return bool(self.lib.mm_idle(self.state))
