"""The C decoder of pads as a shared library under ctypes."""

from __future__ import annotations

import ctypes
import struct
from pathlib import Path

from matrixmap.hid.pads.decoder import PadResult
from tests import tools
from tests.desk.compiled import RUNTIME, DescriptorResult

SHIM = Path(__file__).with_name("shim.c")
SOURCES = tuple(RUNTIME / f"{name}.c" for name in ("mm_pad", "mm_descriptor", "mm_report"))
FLAGS = ("-DMM_PADS=1", "-DMM_REPORTS=16", "-DMM_DESCRIPTOR_REPORTS=250", "-DMM_DESCRIPTOR_PUSHES=16")
"""As large as the table's format allows, so that C and Python differ in nothing but what the format cannot hold."""


def compile_library(compiler: str, path: Path, *flags: str) -> ctypes.CDLL:
    """Decoder and descriptor reader as one library, without a warning, with types for ctypes."""
    words = (tools.tool(compiler), *tools.STRICT, "-O2", *FLAGS, *flags, "-fPIC", "-shared", f"-I{RUNTIME}")
    tools.run(*words, "-o", path, *SOURCES, SHIM)
    lib = ctypes.CDLL(str(path))
    state, bytes_, u8, u16, u32 = ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint8, ctypes.c_uint16, ctypes.c_uint32
    for name, result, arguments in (
        ("mm_test_pad_size", u16, ()),
        ("mm_test_pads_size", u16, ()),
        ("mm_test_thresholds", None, (state, u8, u8)),
        ("mm_test_pad_batch", u32, (state, bytes_, u32, ctypes.c_void_p)),
        ("mm_test_pads_report", ctypes.c_int, (state, u8, bytes_, u16)),
        ("mm_test_pads_is_on", ctypes.c_bool, (state, u8, u8)),
        ("mm_pad_init", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_pad_init_ram", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_pad_report_of", ctypes.c_int, (state, u8, bytes_, u16)),
        ("mm_pad_is_on", ctypes.c_bool, (state, u8)),
        ("mm_pad_disconnected", None, (state,)),
        ("mm_pads_init", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_pads_change_map", ctypes.c_bool, (state, ctypes.c_void_p, u16)),
        ("mm_pads_connect", u8, (state, ctypes.c_void_p, u16, ctypes.c_bool)),
        ("mm_pads_disconnected", None, (state, u8)),
        ("mm_pads_swap", None, (state,)),
        ("mm_pads_controllers", u8, (state,)),
        ("mm_pads_switches", u8, (state, u8, ctypes.POINTER(u8))),
        ("mm_pads_usages", None, (state, ctypes.c_void_p)),
        ("mm_read_pad", ctypes.c_int, (bytes_, u16, u8, ctypes.c_void_p, u16, ctypes.POINTER(u16))),
        ("mm_read_descriptor", ctypes.c_int, (bytes_, u16, ctypes.c_void_p, u16, ctypes.POINTER(u16))),
    ):
        function = getattr(lib, name)
        function.restype = result
        function.argtypes = arguments
    return lib


ROOM = 0xFFFF
_OUT = ctypes.create_string_buffer(ROOM)


def read_pad(lib: ctypes.CDLL, data: bytes, number: int, room: int = ROOM) -> tuple[DescriptorResult, int, bytes]:
    """What mm_read_pad says, `*size` after it, and the table."""
    out = _OUT if room == ROOM else ctypes.create_string_buffer(max(room, 1))
    size = ctypes.c_uint16()
    result = DescriptorResult(lib.mm_read_pad(data, len(data), number, out, room, ctypes.byref(size)))
    return result, size.value, out.raw[: size.value] if result is DescriptorResult.READ else b""


class CPad:
    """One mm_pad with its table."""

    def __init__(self, lib: ctypes.CDLL, table: bytes, *, in_ram: bool = False) -> None:
        self.lib = lib
        self.state = ctypes.create_string_buffer(lib.mm_test_pad_size())
        self.table = ctypes.create_string_buffer(table, max(len(table), 1))
        self.sound = bool((lib.mm_pad_init_ram if in_ram else lib.mm_pad_init)(self.state, self.table, len(table)))

    def take_all(self, reports: list[bytes]) -> list[tuple[PadResult, int]]:
        """What became of each report, and what is on after it: bit n is source n."""
        framed = b"".join(struct.pack("<H", len(report)) + report for report in reports)
        out = ctypes.create_string_buffer(8 * max(len(reports), 1))
        self.lib.mm_test_pad_batch(self.state, framed, len(framed), out)
        return [
            (PadResult(out.raw[at]), int.from_bytes(out.raw[at + 1 : at + 8], "little"))
            for at in range(0, 8 * len(reports), 8)
        ]

    def take(self, report: bytes) -> tuple[PadResult, int]:
        """One report."""
        return self.take_all([report])[0]
