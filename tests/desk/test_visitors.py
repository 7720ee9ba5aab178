"""The invented keyboards of the museum's visitors, each with a recorded session."""

from __future__ import annotations

import ctypes
from pathlib import Path

import pytest

from matrixmap.emit.keyboards.keyboard_c import report_table
from matrixmap.hid.keyboard import keyboard_facts
from matrixmap.hid.recording import Event, Recording, split_lines
from matrixmap.hid.report import State
from tests.desk import make_keyboards, oracle
from tests.desk.compiled import DescriptorResult, Keyboard, ReportResult, read_descriptor

VISITORS = sorted(make_keyboards.VISITORS)


def events(name: str) -> tuple[Recording, list[Event]]:
    """A recording, read."""
    recording = Recording()
    return recording, list(recording.events(split_lines([(make_keyboards.FOLDER / f"{name}.rec").read_bytes()])))


def expected(name: str) -> list[tuple[int, str, frozenset[int]]]:
    """What a host should hold down after each report: time, `keys` or `rolled`, usages."""
    rows = []
    for line in (make_keyboards.FOLDER / f"{name}.keys").read_text("ascii").splitlines():
        time, kind, *numbers = line.split()
        rows.append((int(time.replace(".", "")), kind, frozenset(int(number, 16) for number in numbers)))
    return rows


def reports(name: str) -> list[bytes]:
    """The reports of a recording as bytes, read by nothing but a split."""
    lines = (make_keyboards.FOLDER / f"{name}.rec").read_text("ascii").splitlines()
    return [bytes.fromhex("".join(line.split()[3:])) for line in lines if line.startswith("E:")]


def test_the_files_are_those_of_the_script() -> None:
    """The committed recordings are what their script writes."""
    written = dict(make_keyboards.files())
    assert {path.name for path in make_keyboards.FOLDER.iterdir()} == set(written)
    for name, text in written.items():
        assert (make_keyboards.FOLDER / name).read_text("ascii") == text, name


@pytest.mark.parametrize("name", VISITORS)
def test_a_session_is_decoded(name: str) -> None:
    """After each report of a session the keys are those that were packed into it by hand, at its time."""
    recording, found = events(name)
    kinds = [State.ROLLED if kind == "rolled" else None for _, kind, _ in expected(name)]
    assert [(event.time_us, event.keys) for event in found] == [(time, keys) for time, _, keys in expected(name)]
    for event, kind in zip(found, kinds, strict=True):
        assert event.state is (kind or (State.OTHER if event.state is State.OTHER else State.KEYS))
        assert event.fault is None
    assert recording.keyboards[0].descriptor.data == make_keyboards.VISITORS[name].descriptor


@pytest.mark.parametrize("name", VISITORS)
def test_a_session_agrees_with_hid_tools(name: str) -> None:
    """hid-tools sees the same fields, and in each report that is not rolled over the same keys."""
    recording, found = events(name)
    descriptor = recording.keyboards[0].descriptor
    theirs = oracle.read(descriptor.data)
    assert oracle.our_layout(descriptor) == oracle.their_layout(theirs)
    with_keys = {field.report_id for field in keyboard_facts(descriptor).fields}
    parts: dict[int, set[int]] = {}
    for event, report in zip(found, reports(name), strict=True):
        keys = oracle.down(theirs, report)
        assert keys is not None
        id = report[0] if descriptor.numbered else 0
        if event.state is State.ROLLED:
            assert keys & {1, 2, 3}
            parts[id] = parts.get(id, set()) - set(range(0xE0, 0xE8)) | keys & set(range(0xE0, 0xE8))
        elif id in with_keys:
            parts[id] = keys
        else:
            assert (event.state, keys) == (State.OTHER, set())
        assert event.keys == set().union(*parts.values())


@pytest.mark.parametrize("name", VISITORS)
def test_a_session_is_decoded_in_c(name: str, lib: ctypes.CDLL) -> None:
    """The table that is written, and the one that the descriptor reader makes in C, are one, and give the same keys."""
    recording, found = events(name)
    descriptor = recording.keyboards[0].descriptor
    table = report_table(descriptor).to_bytes()
    assert read_descriptor(lib, descriptor.data) == (DescriptorResult.READ, len(table), table)
    keyboard = Keyboard(lib, table, in_ram=True)
    for event, report in zip(found, reports(name), strict=True):
        result, keys = keyboard.take(report)
        assert result is ReportResult[event.state.name]
        assert keys == event.keys


def odd(name: str) -> str:
    """What is odd about a visitor's keyboard."""
    recording, _ = events(name)
    return "; ".join(note.text for note in keyboard_facts(recording.keyboards[0].descriptor).oddities)


def test_what_is_odd_about_them() -> None:
    """Only the keyboard with wrong padding and the one in two collections are odd, and both say why."""
    found = {name: text for name in VISITORS if (text := odd(name))}
    assert found == {
        "two-collections": "120 keys are in report 2 and in report 1: they are down while either says so",
        "wrong-padding": "the input report ends inside a byte, after 111 bits: the padding is wrong",
    }


def test_which_of_them_are_boot_keyboards() -> None:
    """The six-key one sends boot reports, the mixed one begins its reports as such, the others do not."""
    facts = {name: keyboard_facts(events(name)[0].keyboards[0].descriptor) for name in VISITORS}
    assert [name for name in VISITORS if not facts[name].not_boot] == ["mixed", "six-key"]
    assert facts["six-key"].beyond_boot == frozenset()
    assert facts["mixed"].beyond_boot == frozenset(range(0x66, 0xA6))


def test_the_folder_is_named_after_them() -> None:
    """The recordings lie beside the script that writes them."""
    assert Path(make_keyboards.__file__).parent == make_keyboards.FOLDER.parent
