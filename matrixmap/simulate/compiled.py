"""The compiled C runtime as an engine: packaged sources, the system's compiler, a temporary library."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import reduce
from importlib.resources import as_file, files
from operator import or_
from pathlib import Path

from matrixmap.model.machine import Contact, Machine, Wiring
from matrixmap.press.table.format import FLAG_RESUME, FLAG_SEQUENCES, FLAG_WHOLE, MOST_CONTROLLERS, Table
from matrixmap.simulate.engine import ByPads, Result, Shown, Sizes, up_to_the_last

SHIM = "shim.c"
MOST_SELECT = MOST_SENSE = 16
DIRECT_BYTE, SELECT_BYTE = 11, 12
ROW_BYTES = SELECT_BYTE + 2 * MOST_SELECT
PULLS_BYTE = 2 + MOST_CONTROLLERS
PADS_BYTES = PULLS_BYTE + 2 * (MOST_SELECT + 1)
FLAGS = ("-std=c99", "-O2", "-fPIC", "-shared")


class CompilerError(Exception):
    """There is no C compiler, or it fails to compile; the text says what to do."""


EVERY_FEATURE = ("MM_SEQUENCES", "MM_RESUME", "MM_WHOLE", "MM_PADS")
"""The features of a runtime that plays any table."""


def features_of(tables: Iterable[Table]) -> tuple[str, ...]:
    """The features that a runtime needs for these tables, as names of `mm_config.h`."""
    tables = tuple(tables)
    flags = reduce(or_, (table.flags for table in tables), 0)
    needs = {"MM_SEQUENCES": FLAG_SEQUENCES, "MM_RESUME": FLAG_RESUME, "MM_WHOLE": FLAG_WHOLE}
    found = tuple(feature for feature, flag in needs.items() if flags & flag)
    return (*found, "MM_PADS") if any(table.controllers for table in tables) else found


def find_compiler() -> str:
    """The system's C compiler: the one in CC, else cc, gcc or clang."""
    wanted = os.environ.get("CC")
    for name in [wanted] if wanted else ["cc", "gcc", "clang"]:
        path = shutil.which(name)
        if path is not None:
            return path
    what = f"the compiler {wanted!r} that CC names is not installed" if wanted else "no C compiler is installed"
    raise CompilerError(f"{what}; install one (on Debian: apt-get install gcc), or use --engine model")


def compile_library(
    folder: Path,
    sizes: Sizes,
    compiler: str | None = None,
    flags: Sequence[str] = FLAGS,
    sources: Path | None = None,
    features: Sequence[str] = (),
) -> Path:
    """Compiles the runtime with the shim into a shared library in a folder. CompilerError if that fails.

    `sources` is a folder with the runtime's files, by default the packaged one. `features` are names of `mm_config.h`
    to be set to 1: tables with sequences need MM_SEQUENCES, tables with keys that come back MM_RESUME, tables of
    machines that compare whole scans MM_WHOLE, tables with controllers that pads drive MM_PADS.
    """
    library = folder / "runtime.so"
    defines = [f"-DMM_KEYBOARDS={sizes.keyboards}", f"-DMM_WAITING={sizes.waiting}", f"-DMM_HELD={sizes.held}"]
    defines += [f"-D{feature}=1" for feature in features]
    defines += [f"-DMM_CONTROLLERS={MOST_CONTROLLERS}"] if "MM_PADS" in features else []
    package = files("matrixmap")
    with as_file(package / "runtime") as packaged, as_file(package / "simulate" / SHIM) as shim:
        runtime = sources or packaged
        command = [compiler or find_compiler(), *flags, *defines, f"-I{runtime}", "-o", str(library), str(shim)]
        command += sorted(str(path) for path in runtime.glob("*.c"))
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        first = next(iter(done.stderr.splitlines()), "it says nothing")
        raise CompilerError(f"{command[0]} cannot compile the runtime: {first}")
    return library


def load_library(path: Path) -> ctypes.CDLL:
    """The library with its argument types."""
    library = ctypes.CDLL(str(path))
    state, text, u8, u16 = ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint8, ctypes.c_uint16
    for name, result, arguments in (
        ("mm_state_bytes", u16, ()),
        ("mm_row_bytes", u16, ()),
        ("mm_begin", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_boot_report", u8, (state, u8, text, u8)),
        ("mm_usages", u8, (state, u8, text)),
        ("mm_disconnected", None, (state, u8)),
        ("mm_advance", u16, (state, u16)),
        ("mm_change_layout", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_take_command", ctypes.c_bool, (state, ctypes.POINTER(u8))),
        ("mm_show_row", None, (state, ctypes.c_void_p)),
        ("mm_play", None, (state, ctypes.c_void_p)),
    ):
        function = getattr(library, name)
        function.restype = result
        function.argtypes = arguments
    if hasattr(library, "mm_show_pads"):
        library.mm_controller.argtypes = (state, u8, u8)
        library.mm_unplugged.argtypes = (state, u8)
        library.mm_show_pads.argtypes = (state, ctypes.c_void_p)
        library.mm_show_pads.restype = None
    return library


class Compiled:
    """One state of the compiled runtime. `tables` are the layouts to choose from; the first is used at the start."""

    def __init__(self, library: ctypes.CDLL, machine: Machine, tables: Sequence[bytes]) -> None:
        self.library = library
        self.machine = machine
        self.state = ctypes.create_string_buffer(library.mm_state_bytes())
        self.tables = [ctypes.create_string_buffer(table, len(table)) for table in tables]
        self.row = ctypes.create_string_buffer(ROW_BYTES)
        self.pads_row = ctypes.create_string_buffer(PADS_BYTES)
        self._knows_pads = hasattr(library, "mm_show_pads")
        self._row_shown = b""
        self._shown: Shown | None = None
        self.sound = bool(library.mm_begin(self.state, self.tables[0], len(self.tables[0])))

    def boot_report(self, keyboard: int, report: bytes) -> Result:
        """Takes a boot report."""
        return Result(self.library.mm_boot_report(self.state, keyboard, report, len(report)))

    def usages(self, keyboard: int, down: bytes) -> Result:
        """Takes the set of usages that are down."""
        return Result(self.library.mm_usages(self.state, keyboard, down))

    def disconnected(self, keyboard: int) -> None:
        """The link to a keyboard is lost."""
        self.library.mm_disconnected(self.state, keyboard)

    def change_layout(self, number: int) -> None:
        """Requests another layout."""
        self.library.mm_change_layout(self.state, self.tables[number], len(self.tables[number]))

    def controller(self, number: int, switches: int) -> None:
        """A pad holds these switches of a controller down; a runtime without pads ignores it."""
        if self._knows_pads:
            self.library.mm_controller(self.state, number, switches)

    def unplugged(self, number: int) -> None:
        """The pad of a controller is gone."""
        if self._knows_pads:
            self.library.mm_unplugged(self.state, number)

    def advance(self, now: int) -> int:
        """Acts on what is due."""
        return int(self.library.mm_advance(self.state, now))

    def take_command(self) -> int | None:
        """The command that is due; each is returned once."""
        number = ctypes.c_uint8()
        return number.value if self.library.mm_take_command(self.state, ctypes.byref(number)) else None

    def shown(self) -> Shown:
        """What is closed and lit, and the counters."""
        self.library.mm_show_row(self.state, self.row)
        if self._knows_pads:
            self.library.mm_show_pads(self.state, self.pads_row)
        row, pads = self.row.raw, self.pads_row.raw
        if self._shown is None or row + pads != self._row_shown:
            shown = shown_of(row, self.machine)
            self._row_shown = row + pads
            self._shown = replace(shown, pads=by_pads(pads, shown.contacts, self.machine)) if any(pads) else shown
        return self._shown


def by_pads(row: bytes, contacts: frozenset[Contact], machine: Machine) -> ByPads:
    """The output of `mm_show_pads`, plus the closed contacts.

    A switch without effect in the layout counts as open.
    """
    numbers = [int.from_bytes(row[at : at + 2], "little") for at in range(PULLS_BYTE, PADS_BYTES, 2)]
    width = len(machine.sense)
    pulled = sum(mask << select * width for select, mask in enumerate(numbers[: len(machine.select)]))
    switches, joined = [], 0
    for controller, shut in zip(machine.controllers, row[2:PULLS_BYTE], strict=False):
        closed = 0
        for number, switch in enumerate(controller.switches):
            contact = Contact((switch.select or 0) * width + switch.sense)
            if controller.wired is Wiring.CONTACT:
                does = contact in contacts
            else:
                does = bool(numbers[-1] >> switch.sense & 1 if switch.select is None else pulled >> contact & 1)
            if shut >> number & 1 and does:
                closed |= 1 << number
                joined |= 1 << contact if controller.wired is Wiring.CONTACT else 0
        switches.append(closed)
    return ByPads(up_to_the_last(switches), joined, pulled, int.from_bytes(row[:2], "little"))


def shown_of(row: bytes, machine: Machine) -> Shown:
    """A row of the shim as a Shown."""
    width = len(machine.sense)
    contacts = {
        Contact(machine.crosspoints + line) for line in range(len(machine.direct)) if row[DIRECT_BYTE] >> line & 1
    }
    for select in range(len(machine.select)):
        mask = int.from_bytes(row[SELECT_BYTE + 2 * select : SELECT_BYTE + 2 * select + 2], "little")
        contacts |= {Contact(select * width + sense) for sense in range(width) if mask >> sense & 1}
    return Shown(
        contacts=frozenset(contacts),
        leds=row[3],
        overflows=int.from_bytes(row[6:8], "little"),
        refusals=int.from_bytes(row[8:10], "little"),
        idle=bool(row[10]),
    )
