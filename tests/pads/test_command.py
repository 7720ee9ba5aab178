"""`matrixmap pad`: what a pad can send, what it drives, and its table in C."""

from __future__ import annotations

import ctypes
import json
from pathlib import Path

import pytest

from matrixmap.emit.keyboards.pad_c import pad_table
from matrixmap.hid.descriptor import parse_descriptor
from matrixmap.hid.pads.steps import pads_of
from tests import tools
from tests.desk.generate import MODIFIERS, collection, logical, main_item, page, report_id, shape, usage, usages
from tests.pads.compiled import RUNTIME
from tests.pads.layouts import STEERED
from tests.pads.test_decoder import joystick
from tests.project import call, write_project

BUTTONS = page(9) + usages(1, 8) + logical(0, 1) + shape(1, 8) + main_item("input", 2)
TWO = b"".join(page(1) + usage(kind) + collection(1, report_id(id) + BUTTONS) for kind, id in ((4, 1), (5, 2)))
KEYBOARD = page(1) + usage(6) + collection(1, MODIFIERS)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A project with the layout that steers, and some descriptors."""
    files = {
        "layouts/steered.yaml": STEERED,
        "stick.hex": joystick(mended=True).hex(" "),
        "printed.hex": joystick(mended=False).hex(" "),
        "two.hex": TWO.hex(" "),
        "keyboard.hex": KEYBOARD.hex(" "),
        "both.rec": f"D: 0\nR: {len(KEYBOARD)} {KEYBOARD.hex(' ')}\nN: keys\nD: 1\nN: sticks\nR: {len(TWO)} {TWO.hex(' ')}\n"
        "E: 0.100000 2 01 04\nE: 0.200000 2 02 80\nE: 0.300000 2 01 00\nE: 0.400000 2 01 03\n",
    }
    write_project(tmp_path, files)
    (tmp_path / "stick.bin").write_bytes(joystick(mended=True))
    return tmp_path


def test_what_a_pad_can_send(folder: Path) -> None:
    """Buttons, hat and axes, how large its table is, and that positions are told by hand; binary and hexadecimal alike."""
    done = call("pad", "stick.hex", cwd=folder)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [
        "A Joystick, by the collection at byte 4.",
        "Buttons: 1 to 4.",
        "Directions: a hat of 4 directions, 0 to 3.",
        "Axes: X (8 bits, -127 to 127), Y (8 bits, -127 to 127).",
        "Its table for the firmware's decoder has 45 bytes; it fits in 128 bytes of RAM.",
        "A descriptor numbers the buttons, but does not say where they are. Press them one after the other and record that: "
        "the recording is then listed in this order. It shows, for example, which button is under the thumb, and which end "
        "of a stick its cable points to.",
    ]
    assert call("pad", "stick.bin", cwd=folder).stdout == done.stdout


def test_what_it_drives(folder: Path) -> None:
    """Each switch with the sources that this pad has; exit 1, for it closes some by nothing."""
    done = call("pad", "stick.hex", "steered", cwd=folder)
    assert done.returncode == 1
    lines = done.stdout.splitlines()
    assert "As pad 1 it drives tiller:" in lines
    assert "  Ahead      Hat up, Y-" in lines
    assert "  Ring  nothing" in lines
    assert "Button 8: space; this pad has none" in lines
    assert "The layout has nothing for 3 to 4." in lines


def test_json(folder: Path) -> None:
    """The same for programs."""
    (one,) = json.loads(call("pad", "stick.hex", "steered", "--format", "json", cwd=folder).stdout)["pads"]
    assert one["kind"] == "Joystick"
    assert one["table_bytes"] == 45
    assert one["drives"][0]["switches"]["Ahead"] == ["Hat up", "Y-"]
    assert one["buttons"][1] == {"source": "Button 9", "does": {"command": 3}, "there": False}


def test_a_recording_of_a_keyboard_and_two_pads(folder: Path) -> None:
    """The pads of a device are told one after the other, and the keyboard is not."""
    done = call("pad", "both.rec", cwd=folder)
    assert done.returncode == 0
    heads = [line for line in done.stdout.splitlines() if line.startswith("Device")]
    assert heads == ["Device 1, sticks, pad 1 of 2:", "Device 1, sticks, pad 2 of 2:"]
    seen = [line for line in done.stdout.splitlines() if line.startswith("The recording has")]
    assert seen == [
        "The recording has, in this order: Button 3, Button 1, Button 2.",
        "The recording has, in this order: Button 8.",
    ]


def test_what_cannot_be_used(folder: Path) -> None:
    """The standard's example as printed is refused with its byte; a keyboard is no pad; a layout needs the section: exit code 2."""
    for words, told in (
        (("printed.hex",), "printed.hex: byte 69: this Input field has a Usage Minimum without a Usage Maximum"),
        (("keyboard.hex",), "keyboard.hex: there is no joystick and no game pad in it"),
        (("stick.hex", "quillon8-en-GB-symbolic"), "has no section pads: write pads: {order: [tiller, oar]}"),
        (("stick.hex", "--emit", "rust"), "there is no form 'rust' to write a pad in"),
        (("nothing.hex",), "cannot read nothing.hex"),
        (("layouts/steered.yaml",), "is not pairs of hexadecimal digits"),
    ):
        done = call("pad", *words, cwd=folder)
        assert (done.returncode, done.stdout) == (2, ""), words
        assert told in done.stderr
    done = call("pad", "printed.hex", "--lenient", cwd=folder)
    assert (done.returncode, done.stderr.splitlines()[0][:27]) == (0, "note: printed.hex: byte 69:")
    assert "Buttons: 1 to 2." in done.stdout


def test_its_table_in_c(folder: Path) -> None:
    """Header and source compile without a warning and hold the table of each pad of the device."""
    done = call("pad", "two.hex", "--emit", "c", "--name", "*/ two", "--out", "tables", cwd=folder)
    assert done.returncode == 0, done.stderr
    names = sorted(path.name for path in (folder / "tables").iterdir())
    (source, header) = names
    library = folder / "table.so"
    tools.run(
        tools.tool("gcc"),
        *tools.STRICT,
        f"-I{RUNTIME}",
        "-shared",
        "-fPIC",
        "-o",
        library,
        folder / "tables" / source,
    )
    assert header == source.replace(".c", ".h")
    descriptor = parse_descriptor(TWO).descriptor
    lib = ctypes.CDLL(str(library))
    for number, pad in enumerate(pads_of(descriptor), 1):
        wanted = pad_table(descriptor, pad).to_bytes()
        assert bytes((ctypes.c_uint8 * len(wanted)).in_dll(lib, f"{source.removesuffix('.c')}_{number}")) == wanted
