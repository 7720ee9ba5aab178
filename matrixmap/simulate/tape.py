"""Tapes: events as bytes. The compiled runtime plays them in one call, the model too; each event gives a row of bytes.

The shim (`shim.c`) describes events and rows.
"""

from __future__ import annotations

import ctypes
from collections.abc import Sequence

from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Plan
from matrixmap.simulate.compiled import MOST_SELECT, ROW_BYTES
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER, Result, Sizes
from matrixmap.simulate.model import Model

NO_LAYOUT = 255
"""The number of no layout."""


def start(number: int) -> bytes:
    """The runtime starts again with a layout."""
    return bytes([ord("i"), number])


def boot_report(report: bytes, keyboard: int = 0) -> bytes:
    """A boot report of up to 255 bytes."""
    return bytes([ord("b"), keyboard, len(report)]) + report


def usages(down: bytes, keyboard: int = 0) -> bytes:
    """A bitmap of 32 bytes."""
    return bytes([ord("u"), keyboard]) + down


def pasted(usage: int, modifiers: int) -> bytes:
    """A keystroke of pasted text, with bits of the modifier byte."""
    return bytes([ord("t"), usage, modifiers])


def controller(number: int, switches: int) -> bytes:
    """A pad holds these switches of a controller down; a second row has the pulls."""
    return bytes([ord("p"), number, switches])


def unplugged(number: int) -> bytes:
    """The pad of a controller is unplugged; a second row has the pulls."""
    return bytes([ord("g"), number])


def disconnected(keyboard: int = 0) -> bytes:
    """The link to a keyboard is lost."""
    return bytes([ord("x"), keyboard])


def change_layout(number: int) -> bytes:
    """A change of the layout."""
    return bytes([ord("l"), number])


def on_command(number: int = NO_LAYOUT) -> bytes:
    """From now until the next start, every command changes to this layout as soon as it is due, or to none."""
    return bytes([ord("c"), number])


def run(ticks: int) -> bytes:
    """Time passes; a row for each call that the runtime requests, and one at the end."""
    return b"r" + ticks.to_bytes(2, "little")


def jump(ticks: int) -> bytes:
    """The clock moves without a call in between."""
    return b"j" + (ticks % CLOCK_TICKS).to_bytes(2, "little")


class _Tape(ctypes.Structure):
    _fields_ = (
        ("next", ctypes.c_void_p),
        ("end", ctypes.c_void_p),
        ("rows", ctypes.c_void_p),
        ("rows_end", ctypes.c_void_p),
        ("tables", ctypes.c_void_p),
        ("sizes", ctypes.c_void_p),
        ("now", ctypes.c_uint16),
        ("on_command", ctypes.c_uint8),
        ("commands", ctypes.c_uint8),
        ("command", ctypes.c_uint8),
    )


def play_compiled(library: ctypes.CDLL, tables: Sequence[bytes], tape: bytes, most_rows: int) -> bytes:
    """The rows of a tape, played by the compiled runtime; at most that many."""
    state = ctypes.create_string_buffer(library.mm_state_bytes())
    kept = [ctypes.create_string_buffer(table, len(table)) for table in tables]
    pointers = (ctypes.c_void_p * len(kept))(*(ctypes.addressof(table) for table in kept))
    sizes = (ctypes.c_uint16 * len(kept))(*(len(table) for table in tables))
    source = ctypes.create_string_buffer(tape, len(tape))
    rows = ctypes.create_string_buffer(most_rows * ROW_BYTES)
    first, from_row = ctypes.addressof(source), ctypes.addressof(rows)
    arguments = _Tape(
        first, first + len(tape), from_row, from_row + len(rows), ctypes.addressof(pointers), ctypes.addressof(sizes)
    )
    library.mm_play(state, ctypes.byref(arguments))
    return ctypes.string_at(from_row, arguments.rows - from_row)


class ModelTape:
    """Plays tapes with the reference model."""

    def __init__(self, plans: Sequence[Plan], sizes: Sizes) -> None:
        self.plans = plans
        self.sizes = sizes
        self.machine = plans[0].layout.machine
        self.model = Model(plans, sizes)
        self.now = 0
        self.on_command = NO_LAYOUT
        self.commands: list[int] = []
        self.rows: list[bytes] = []
        self._masks: dict[int, bytes] = {}

    def play(self, tape: bytes) -> bytes:
        """The rows of a tape."""
        self.rows = []
        at = 0
        while at < len(tape):
            at = self._event(tape, at)
        return b"".join(self.rows)

    def _event(self, tape: bytes, at: int) -> int:
        """Plays the event at a place of the tape; returns the place of the next."""
        letter, number = chr(tape[at]), tape[at + 1]
        result, after = Result.TAKEN, at + 2
        match letter:
            case "r":
                self._run(int.from_bytes(tape[at + 1 : at + 3], "little"))
                return at + 3
            case "j":
                self.now += int.from_bytes(tape[at + 1 : at + 3], "little")
                after = at + 3
            case "i":
                self.model.start(number)
                self.now = 0
                self.on_command = NO_LAYOUT
            case "c":
                self.on_command = number
            case "l":
                self._change_layout(number)
            case "t":
                after = at + 3
                result = Result.TAKEN if self.model.type(Usage(number), tape[at + 2]) else Result.DROPPED
            case "x":
                self.model.disconnected(number)
            case "p" | "g":
                after = self._pad(tape, at)
            case "b":
                after = at + 3 + tape[at + 2]
                result = self.model.boot_report(number, tape[at + 3 : after])
            case "u":
                after = at + 34
                result = self.model.usages(number, tape[at + 2 : after])
            case _:
                raise ValueError(f"no event of a tape: {letter!r}")
        self._row(result, self._settle())
        if letter in "pg":
            self._pulls()
        return after

    def _pad(self, tape: bytes, at: int) -> int:
        """Plays an event of a pad; returns the place of the next."""
        if tape[at] == ord("g"):
            self.model.pads.unplug(tape[at + 1])
            return at + 2
        self.model.controller(tape[at + 1], tape[at + 2])
        return at + 3

    def _pulls(self) -> None:
        """Adds a row with the pulls in place of contacts, and clashes in place of overflows."""
        low, always = self.model.pads.low(self.model.closing)
        width = len(self.machine.sense)
        row = bytes(6) + self.model.clashes.to_bytes(2, "little") + bytes(3) + bytes([always & 0xFF])
        for select in range(MOST_SELECT):
            mask = low >> select * width & (1 << width) - 1 if select < len(self.machine.select) else always
            row += mask.to_bytes(2, "little")
        self.rows.append(row)

    def _settle(self) -> int:
        wait = 0
        while not wait:
            wait = self.model.advance(self.now % CLOCK_TICKS)
            command = self.model.take_command()
            if command is not None:
                self.commands.append(command)
                if self.on_command != NO_LAYOUT:
                    self._change_layout(self.on_command)
        return wait

    def _change_layout(self, number: int) -> None:
        self.model.change_layout(number)

    def _run(self, ticks: int) -> None:
        wait = self._settle()
        while wait != NEVER and wait <= ticks:
            ticks -= wait
            self.now += wait
            wait = self._settle()
            self._row(Result.TAKEN, wait)
        self.now += ticks
        self._row(Result.TAKEN, self._settle())

    def _row(self, result: Result, wait: int) -> None:
        model = self.model
        commands, self.commands = self.commands, []
        closed = model.closed()
        masks = self._masks.get(closed)
        if masks is None:
            masks = self._masks[closed] = self._lines(closed)
        self.rows.append(
            bytes([result, wait & 0xFF, wait >> 8, model.leds(), len(commands), (commands or [0])[-1]])
            + model.overflows.to_bytes(2, "little")
            + model.refusals.to_bytes(2, "little")
            + bytes([model.idle()])
            + masks
        )

    def _lines(self, closed: int) -> bytes:
        """The direct lines, then two bytes for each select line."""
        width = len(self.machine.sense)
        line = (1 << width) - 1
        out = bytes([closed >> self.machine.crosspoints])
        for select in range(MOST_SELECT):
            mask = closed >> select * width & line if select < len(self.machine.select) else 0
            out += mask.to_bytes(2, "little")
        return out


def rows_of(data: bytes) -> list[bytes]:
    """The separate rows."""
    return [data[at : at + ROW_BYTES] for at in range(0, len(data), ROW_BYTES)]
