"""The C decoder as a shared library under ctypes, and as programs with sanitizers."""

from __future__ import annotations

import ctypes
from enum import IntEnum
from pathlib import Path

from tests import tools

RUNTIME = Path(__file__).parents[2] / "matrixmap" / "runtime"
SHIM = Path(__file__).with_name("shim.c")
SOURCES = tuple(RUNTIME / f"{name}.c" for name in ("mm_report", "mm_descriptor", "mm_runtime"))

# As large as the table's format allows, so that C and Python differ in nothing but what the format cannot hold.
LARGE = ("-DMM_REPORTS=16", "-DMM_DESCRIPTOR_REPORTS=250", "-DMM_DESCRIPTOR_PUSHES=16")
SANITIZED = [
    "-std=c99",
    "-O1",
    "-g",
    "-fsanitize=address,undefined,bounds-strict",
    "-fno-sanitize-recover=all",
    "-fno-omit-frame-pointer",
]


class ReportResult(IntEnum):
    """mm_report_result of the C header."""

    KEYS = 0
    ROLLED = 1
    OTHER = 2
    MALFORMED = 3


class DescriptorResult(IntEnum):
    """mm_descriptor_result of the C header."""

    READ = 0
    MALFORMED = 1
    NO_KEYS = 2
    NO_ROOM = 3


def compile_library(compiler: str, path: Path, *flags: str) -> ctypes.CDLL:
    """Decoder, descriptor reader and runtime as one library, without a warning, with types for ctypes."""
    words = (tools.tool(compiler), *tools.STRICT, "-O2", *flags, "-fPIC", "-shared", f"-I{RUNTIME}")
    tools.run(*words, "-o", path, *SOURCES, SHIM)
    lib = ctypes.CDLL(str(path))
    state, bytes_, u8, u16, u32 = ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint8, ctypes.c_uint16, ctypes.c_uint32
    for name, result, arguments in (
        ("mm_test_report_state_size", u16, ()),
        ("mm_test_state_size", u16, ()),
        ("mm_test_report_batch", u32, (state, bytes_, u32, ctypes.c_void_p)),
        ("mm_test_replay", u32, (state, state, bytes_, u32, ctypes.POINTER(u32))),
        ("mm_test_replay_sets", u32, (state, bytes_, u32, ctypes.POINTER(u32))),
        ("mm_report_init", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_report_init_ram", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_report_keys", ctypes.c_int, (state, bytes_, u16, ctypes.c_void_p)),
        ("mm_report_keys_of", ctypes.c_int, (state, u8, bytes_, u16, ctypes.c_void_p)),
        ("mm_report_leds", u16, (state, u8, ctypes.POINTER(u8), ctypes.c_void_p, u16)),
        ("mm_report_disconnected", None, (state,)),
        ("mm_read_descriptor", ctypes.c_int, (bytes_, u16, ctypes.c_void_p, u16, ctypes.POINTER(u16))),
        ("mm_test_init", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_boot_report", ctypes.c_int, (state, u8, bytes_, u8)),
        ("mm_usages", ctypes.c_int, (state, u8, ctypes.c_void_p)),
    ):
        function = getattr(lib, name)
        function.restype = result
        function.argtypes = arguments
    return lib


def read_descriptor(lib: ctypes.CDLL, data: bytes, room: int = 0xFFFF) -> tuple[DescriptorResult, int, bytes]:
    """What mm_read_descriptor says, `*size` after it, and the table; the buffer has `room` bytes exactly."""
    out = ctypes.create_string_buffer(max(room, 1))
    size = ctypes.c_uint16()
    result = DescriptorResult(lib.mm_read_descriptor(data, len(data), out, room, ctypes.byref(size)))
    return result, size.value, out.raw[: size.value] if result is DescriptorResult.READ else b""


class Keyboard:
    """One mm_report_state with its table."""

    def __init__(self, lib: ctypes.CDLL, table: bytes, *, in_ram: bool = False) -> None:
        self.lib = lib
        self.state = ctypes.create_string_buffer(lib.mm_test_report_state_size())
        self.table = ctypes.create_string_buffer(table, max(len(table), 1))
        start = lib.mm_report_init_ram if in_ram else lib.mm_report_init
        self.sound = bool(start(self.state, self.table, len(table)))
        self.down = ctypes.create_string_buffer(32)

    def take(self, report: bytes) -> tuple[ReportResult, frozenset[int]]:
        """A report, and the usages that are down after it."""
        result = ReportResult(self.lib.mm_report_keys(self.state, report, len(report), self.down))
        return result, usages_of(self.down.raw)

    def take_of(self, id: int, report: bytes) -> tuple[ReportResult, frozenset[int]]:
        """The same with the id beside the report."""
        result = ReportResult(self.lib.mm_report_keys_of(self.state, id, report, len(report), self.down))
        return result, usages_of(self.down.raw)

    def leds(self, leds: int, room: int = 0xFFFF) -> tuple[int, int, bytes]:
        """The length that mm_report_leds says, the id, and what it wrote; a buffer of `room` bytes was full of 0xAA."""
        id = ctypes.c_uint8(0xAA)
        out = ctypes.create_string_buffer(b"\xaa" * room, room)
        length = self.lib.mm_report_leds(self.state, leds, ctypes.byref(id), out, room)
        return length, id.value, out.raw[: min(length, room)]

    def disconnect(self) -> None:
        """The link is lost."""
        self.lib.mm_report_disconnected(self.state)


def usages_of(bitmap: bytes) -> frozenset[int]:
    """The usages whose bits are set."""
    number = int.from_bytes(bitmap, "little")
    return frozenset(usage for usage in range(256) if number >> usage & 1)
