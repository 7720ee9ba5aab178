"""Scripts: every kind of line, and every way to get one wrong."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from matrixmap.hid.usages import Usage
from matrixmap.limits import SCRIPT_BYTES
from matrixmap.simulate import script
from matrixmap.simulate.script import KeyChange, read_script

A, B, SHIFT = Usage(0x04), Usage(0x05), Usage(0xE1)


def actions(text: str) -> list[script.Action]:
    """The actions of a script without faults."""
    events, faults = read_script(text.encode(), "s.txt")
    assert not faults
    return [event.action for event in events]


@pytest.mark.parametrize(
    ("line", "action"),
    [
        ("down KeyA", script.Keys(0, (KeyChange(A, True),))),
        ("  up\tKeyA  # let go", script.Keys(0, (KeyChange(A, False),))),
        ("down KeyA KeyB", script.Keys(0, (KeyChange(A, True), KeyChange(B, True)))),
        (
            "down KeyA , up ShiftLeft,down 0x05 on 1",
            script.Keys(1, (KeyChange(A, True), KeyChange(SHIFT, False), KeyChange(B, True))),
        ),
        ("report 02 00 04 00 00 00 00 00", script.BootReport(0, bytes([2, 0, 4, 0, 0, 0, 0, 0]))),
        ("report 0200 0a on 3", script.BootReport(3, bytes([2, 0, 10]))),
        ("report", script.BootReport(0, b"")),
        ("bitmap 10", script.Bitmap(0, b"\x10" + bytes(31))),
        ("wait 20 ms", script.Wait(200)),
        ("wait 7.5ms", script.Wait(75)),
        ("wait 100 us", script.Wait(1)),
        ("jump -3 ms", script.Jump(-30)),
        ("jump 4 s", script.Jump(40_000)),
        ("layout quillon8-en-GB-symbolic", script.SwitchLayout("quillon8-en-GB-symbolic")),
        ("connect 1", script.Connect(1)),
        ("disconnect 0", script.Disconnect(0)),
    ],
)
def test_line(line: str, action: script.Action) -> None:
    """A line is the event that the page of the format says."""
    assert actions(line) == [action]


def test_comments_and_empty_lines() -> None:
    """Lines without an event count for the places of those that follow."""
    events, _ = read_script(b"\xef\xbb\xbf# first\r\n\r\n  wait 1 ms\r\n", "s.txt")
    assert [(event.action, str(event.place)) for event in events] == [(script.Wait(10), "s.txt:3:3")]


@pytest.mark.parametrize(
    ("line", "column", "words"),
    [
        ("press KeyA", 1, "no event 'press'"),
        ("dwon KeyA", 1, "did you mean down?"),
        ("down", 1, "the code of a key"),
        ("down KeyA, up", 12, "the code of a key"),
        ("down , KeyA", 6, "before a comma"),
        ("down KeyA,", 10, "the code of a key"),
        ("down KeyA,, KeyB", 11, "before a comma"),
        ("down Keya", 6, "did you mean KeyA?"),
        ("down 0xA6", 6, "has no 0xA6"),
        ("down KeyA on 4", 14, "from 0 to 3"),
        ("down KeyA on x", 14, "from 0 to 3"),
        ("report 2", 8, "two hexadecimal digits"),
        ("report 02 zz", 11, "two hexadecimal digits"),
        ("report " + "00" * 65, 8, "at most 64 bytes"),
        ("bitmap " + "00" * 33, 8, "at most 32 bytes"),
        ("wait", 1, "a time such as 20 ms"),
        ("wait 20", 6, "units: us, ms, s"),
        ("wait -20 ms", 6, "a time such as"),
        ("wait 1e3 ms", 6, "a time such as"),
        ("wait 50 us", 6, "multiples of 100 us"),
        ("wait 10001 s", 6, "at most 10,000 s"),
        ("layout", 1, "the id of a layout"),
        ("layout a b", 10, "nothing else"),
        ("connect", 1, "the number of a keyboard"),
        ("disconnect ٣", 12, "from 0 to 3"),
    ],
)
def test_fault(line: str, column: int, words: str) -> None:
    """A line that is no event is told by line and column, and reading goes on behind it."""
    events, faults = read_script(f"wait 1 ms\n{line}\nwait 2 ms\nnope\n".encode(), "s.txt")
    assert [event.action for event in events] == [script.Wait(10), script.Wait(20)]
    assert (faults[0].place.line, faults[0].place.column) == (2, column)
    assert words in faults[0].text
    assert [fault.place.line for fault in faults] == [2, 4]


def test_unusable_files() -> None:
    """What is no text, or far too large, is refused by its place."""
    assert str(read_script(b"wait 1 ms\n\xff", "s.txt")[1][0].place) == "s.txt:2:1"
    assert "larger" in read_script(bytes(SCRIPT_BYTES + 1), "s.txt")[1][0].text


def test_page_lists_every_event() -> None:
    """The page of the format has a row for each kind of line, and its rows are readable."""
    page = (Path(__file__).parents[2] / "docs" / "scripts.md").read_text(encoding="utf-8")
    rows = [
        row for cell in re.findall(r"^\| (`[^|]+) \|", page, re.MULTILINE) for row in re.findall(r"`([^`]+)`", cell)
    ]
    for row in rows:
        actions(row)
    assert {row.split()[0] for row in rows} == set(script.LINES)
