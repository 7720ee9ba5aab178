"""The code on the page about connections does what the page says, with a keyboard on the other end."""

from __future__ import annotations

import ctypes
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from matrixmap.hid.recording import BOOT_DESCRIPTOR
from tests import tools
from tests.desk import compiled
from tests.desk.generate import KEYS, MODIFIERS, logical, main_item, page, report_id, shape, usages
from tests.desk.test_leds import GAP, board, leds
from tests.project import ROOT
from tests.runtime.table import ANY_LEVEL, APART, PLAIN, SHIFTED, Group, Kind, Table, crosspoint

PAGE = (ROOT / "docs" / "connections.md").read_text(encoding="utf-8")
BLOCKS = dict(
    zip(
        ("usb", "idle", "low energy", "back", "two interfaces"),
        re.findall(r"^```c\n(.*?)^```", PAGE, flags=re.MULTILINE | re.DOTALL),
        strict=True,
    )
)

STUBS = r"""
#include "mm_runtime.h"
#include <string.h>
uint8_t mm_test_sent[64];
uint16_t mm_test_length, mm_test_value, mm_test_calls;
uint8_t mm_test_code, mm_test_to;
bool request(uint8_t code, uint16_t value, uint8_t interface, const uint8_t *data, uint16_t length);
void write_value(uint16_t handle, const uint8_t *value, uint16_t length);
bool request(uint8_t code, uint16_t value, uint8_t interface, const uint8_t *data, uint16_t length)
{
    mm_test_code = code;
    mm_test_value = value;
    mm_test_to = interface;
    mm_test_length = length;
    if (length > 0u) {
        memcpy(mm_test_sent, data, length);
    }
    mm_test_calls++;
    return true;
}
void write_value(uint16_t handle, const uint8_t *value, uint16_t length)
{
    (void)request(0, handle, 0, value, length);
}
"""
LED_STUB = r"""
void send_leds(uint8_t leds);
void send_leds(uint8_t leds)
{
    (void)request(1, 0, 0, &leds, 1);
}
"""

PARTS_STUB = r"""
bool mm_test_start(uint8_t number, const uint8_t *table, uint16_t size);
bool mm_test_start(uint8_t number, const uint8_t *table, uint16_t size)
{
    return mm_report_init_ram(&part[number], table, size);
}
"""

A_PLAIN, A_SHIFTED = crosspoint(0, 1), crosspoint(2, 3)
SHIFT, A = 0xE1, 4


@dataclass
class Desk:
    """A block of the page as a library, and a state whose layout has `a` on one contact and `A` on another."""

    lib: ctypes.CDLL
    state: ctypes.Array[ctypes.c_char]
    table: ctypes.Array[ctypes.c_char]
    now: int = 0

    def closed(self) -> set[int]:
        """The crosspoints that are closed once everything that was due is done, a tick at a time for half a second."""
        found: set[int] = set()
        for _ in range(5000):
            self.now += 1
            self.lib.mm_advance(self.state, ctypes.c_uint16(self.now & 0xFFFF))
            for select in range(4):
                mask = self.lib.mm_select_mask(self.state, select)
                found |= {crosspoint(select, sense) for sense in range(4) if mask >> sense & 1}
        return found

    def sent(self) -> tuple[int, int, int, bytes]:
        """How often something was sent, and the last: the code, the value or handle, and the bytes."""
        length = ctypes.c_uint16.in_dll(self.lib, "mm_test_length").value
        return (
            ctypes.c_uint16.in_dll(self.lib, "mm_test_calls").value,
            ctypes.c_uint8.in_dll(self.lib, "mm_test_code").value,
            ctypes.c_uint16.in_dll(self.lib, "mm_test_value").value,
            bytes((ctypes.c_uint8 * 64).in_dll(self.lib, "mm_test_sent"))[:length],
        )


def desk(name: str, folder: Path, flags_of_table: int = 0) -> Desk:
    """A block, compiled with what stands for the stack."""
    stubs = STUBS + (LED_STUB if name == "back" else "")
    (folder / "block.c").write_text(BLOCKS[name] + (PARTS_STUB if name == "two interfaces" else ""), encoding="utf-8")
    (folder / "stubs.c").write_text(stubs, encoding="utf-8")
    library = folder / "block.so"
    flags = ("-std=c99", "-Wall", "-Wextra", "-Werror", "-DMM_KEYBOARDS=2", f"-I{compiled.RUNTIME}", "-shared", "-fPIC")
    sources = (folder / "block.c", folder / "stubs.c", compiled.SHIM, *compiled.SOURCES)
    tools.run(tools.tool("gcc"), *flags, "-o", library, *sources)
    lib = ctypes.CDLL(str(library))
    lib.mm_select_mask.restype = ctypes.c_uint16
    groups = (
        Group(kind=Kind.MODIFIER, entries=((SHIFT, 0),)),
        Group(kind=Kind.CROSSPOINT, when=PLAIN, entries=((A, A_PLAIN),)),
        Group(kind=Kind.CROSSPOINT, when=SHIFTED, entries=((A, A_SHIFTED),)),
        Group(kind=Kind.COMMAND, when=ANY_LEVEL, entries=((0x29, 1),)),
    )
    data = Table(select=4, sense=4, groups=groups, flags=flags_of_table).to_bytes()
    table = ctypes.create_string_buffer(data, len(data))
    state = ctypes.create_string_buffer(lib.mm_test_state_size())
    assert lib.mm_test_init(state, table, len(data))
    return Desk(lib=lib, state=state, table=table)


BITS = board(
    report_id(3) + MODIFIERS + page(KEYS) + usages(4, 0x1B) + logical(0, 1) + shape(1, 24) + main_item("input", 2)
    + report_id(5) + GAP + leds(1, 2)
)  # fmt: skip
ODD = b"\xa4" * 3 + BOOT_DESCRIPTOR + b"\xb4" * 3
"""A descriptor with more Push items than the usual sizes take."""


def test_report_protocol_over_usb(tmp_path: Path) -> None:
    """A descriptor that can be read: Set_Protocol 1, reports by the table with their id, LEDs after theirs."""
    it = desk("usb", tmp_path)
    assert it.lib.start_interface(0, True, BITS, len(BITS))
    assert it.sent() == (1, 0x0B, 1, b"")
    it.lib.on_report(it.state, bytes([3, 2, 1, 0, 0]), 5)
    assert it.closed() == {A_SHIFTED}
    it.lib.send_leds(0, 2)
    assert it.sent() == (2, 0x09, 0x0205, bytes([5, 0x10]))


def test_boot_protocol_over_usb(tmp_path: Path) -> None:
    """A boot keyboard whose descriptor cannot be read: Set_Protocol 0, boot reports, the LED byte as it is."""
    it = desk("usb", tmp_path)
    assert it.lib.start_interface(0, True, ODD, len(ODD))
    assert it.sent() == (1, 0x0B, 0, b"")
    it.lib.on_report(it.state, bytes([0, 0, 4, 0, 0, 0, 0, 0]), 8)
    assert it.closed() == {A_PLAIN}
    it.lib.send_leds(0, 2)
    assert it.sent() == (2, 0x09, 0x0200, b"\x02")


def test_other_interfaces_over_usb(tmp_path: Path) -> None:
    """An interface that is no boot interface is not asked; one that has neither way is refused; LEDs without an id."""
    it = desk("usb", tmp_path)
    it.lib.start_interface.restype = ctypes.c_bool
    assert not it.lib.start_interface(1, False, ODD, len(ODD))
    assert it.lib.start_interface(1, False, BOOT_DESCRIPTOR, len(BOOT_DESCRIPTOR))
    assert it.sent() == (0, 0, 0, b"")
    it.lib.send_leds(1, 3)
    assert it.sent() == (1, 0x09, 0x0200, b"\x03")
    bare = board(MODIFIERS)
    assert it.lib.start_interface(1, False, bare, len(bare))
    it.lib.send_leds(1, 3)
    assert it.sent()[0] == 1


@pytest.mark.parametrize(("milliseconds", "value"), [(4, 0x0100), (500, 0x7D00), (1020, 0xFF00)])
def test_idle(milliseconds: int, value: int, tmp_path: Path) -> None:
    """HID 1.11 section 7.2.4: the duration in units of 4 ms in the high byte; 0 for changes only."""
    it = desk("idle", tmp_path)
    it.lib.report_changes_only(0)
    assert it.sent() == (1, 0x0A, 0, b"")
    it.lib.report_every(0, milliseconds)
    assert it.sent() == (2, 0x0A, value, b"")


@pytest.mark.parametrize("id", [0, 3])
def test_notifications(id: int, tmp_path: Path) -> None:
    """A notification goes by its handle to its report, without an id; LEDs are written to the output report without one."""
    inside = MODIFIERS + page(KEYS) + usages(0, 0x1B) + logical(0, 0x1B) + shape(8, 2) + main_item("input", 0)
    data = (
        board(inside + GAP + leds(1, 2)) if id == 0 else board(report_id(3) + inside + report_id(5) + GAP + leds(1, 2))
    )
    it = desk("low energy", tmp_path)
    assert it.lib.on_report_map(data, len(data))
    assert it.lib.on_report_reference(0x20, bytes([id, 1]))
    assert it.lib.on_report_reference(0x24, bytes([5 if id else 0, 2]))
    it.lib.on_notification(it.state, 0x24, bytes([2, 4, 0]), 3)
    it.lib.on_notification(it.state, 0x99, bytes([2, 4, 0]), 3)
    it.lib.on_notification(it.state, 0x20, bytes([2, 4]), 2)
    assert it.closed() == set()
    it.lib.on_notification(it.state, 0x20, bytes([2, 4, 0]), 3)
    assert it.closed() == {A_SHIFTED}
    it.lib.send_leds(2)
    assert it.sent() == (1, 0, 0x24, b"\x10")


def test_a_link_that_is_back(tmp_path: Path) -> None:
    """A lost link releases the keys; when it is back notifications are turned on, and LEDs sent though they are the same."""
    it = desk("back", tmp_path)
    it.lib.after_each_advance(it.state)
    assert it.sent()[0] == 0
    handles = (ctypes.c_uint16 * 2)(7, 9)
    for round in (1, 2):
        it.lib.on_encrypted(handles, 2)
        assert it.sent() == (3 * round - 1, 0, 9, b"\x01\x00")
        it.lib.after_each_advance(it.state)
        it.lib.after_each_advance(it.state)
        assert it.sent()[:2] == (3 * round, 1)
        it.lib.mm_boot_report(it.state, 0, bytes([0, 0, 4, 0, 0, 0, 0, 0]), 8)
        assert it.closed() == {A_PLAIN}
        it.lib.on_link_lost(it.state)
        it.closed()
        assert it.closed() == set()
        it.lib.after_each_advance(it.state)
        assert it.sent()[0] == 3 * round


def test_one_keyboard_with_two_interfaces(tmp_path: Path) -> None:
    """Shift from one interface and `a` from the other are a capital with one number; with two and keyboards apart they are none."""
    it = desk("two interfaces", tmp_path, APART)
    sent = (bytes([2, 0, 0, 0, 0, 0, 0, 0]), bytes([3, 0, 1, 0, 0]))
    tables, alone = [], []
    for number, data in enumerate((BOOT_DESCRIPTOR, BITS)):
        result, size, table = compiled.read_descriptor(it.lib, data)
        assert result is compiled.DescriptorResult.READ
        tables.append(ctypes.create_string_buffer(table, size))
        alone.append(ctypes.create_string_buffer(it.lib.mm_test_report_state_size()))
        assert it.lib.mm_test_start(number, tables[-1], size)
        assert it.lib.mm_report_init_ram(alone[-1], tables[-1], size)
    for number, report in enumerate(sent):
        it.lib.on_report_of(it.state, number, report, len(report))
    assert it.closed() == {A_SHIFTED}
    it.lib.on_gone(it.state)
    it.closed()
    assert it.closed() == set()

    down = ctypes.create_string_buffer(32)
    for number, report in enumerate(sent):
        assert it.lib.mm_report_keys(alone[number], report, len(report), down) == 0
        it.lib.mm_usages(it.state, number, down)
    assert it.closed() == {A_PLAIN}
