"""`matrixmap trace` with pads: steps in scripts, and recordings that hold keyboards and pads together."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from matrixmap.hid.recording import BOOT_DESCRIPTOR, Recording
from matrixmap.simulate.script import PadLink, PadMove, SwapPads, read_script
from tests.desk.generate import collection, page, report_id, usage
from tests.pads.layouts import STEERED
from tests.pads.test_decoder import joystick
from tests.project import call, write_project

LAYOUT = STEERED.replace("pads:", "command_names: {3: swap-pads}\npads:")

SCRIPT = """pad 0 press Hat up, Button 1
wait 50 ms
down KeyA
wait 30 ms
pad 0 press D-pad down
wait 30 ms
up KeyA
pad 0 release hat UP
wait 50 ms
pad 1 press Button 8
wait 60 ms
pad 1 release Button 8
pad 1 press Button 1
wait 50 ms
pad 0 press Button 9
wait 60 ms
pad 0 disconnect
wait 50 ms
swap pads
"""
CHANGES = [
    (0, "tiller", "Whistle, Ahead"),
    (80, "tiller", "Whistle"),
    (110, "tiller", "Whistle, Astern"),
    (220, "oar", "Pull"),
    (270, "tiller", "Whistle"),
    (330, "oar", "none"),
    (380, "tiller", "none"),
    (380, "oar", "Pull"),
]
"""Opposites let go at 80 ms; at 270 ms command 3 swaps, so that pad 1 drives the tiller; pad 0 drives the oar until it goes."""

STICK = joystick(mended=True)
BOTH = f"D: 0\nR: {len(BOOT_DESCRIPTOR)} {BOOT_DESCRIPTOR.hex(' ')}\nD: 1\nR: {len(STICK)} {STICK.hex(' ')}\n"
"""A keyboard and a stick, as a recording begins."""
WITH_ID = page(1) + usage(5) + collection(1, report_id(7) + STICK[6:-1])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A project with the layout that steers."""
    return write_project(tmp_path, {"layouts/steered.yaml": LAYOUT, "script.txt": SCRIPT})


def changes(told: list[dict[str, object]]) -> list[tuple[object, object, object]]:
    """What pads made of the switches, in a form to compare."""
    return [(row["time_ms"], row["controller"], row["closed"]) for row in told]


@pytest.mark.parametrize("engine", ["model", "c"])
def test_a_script_of_a_keyboard_and_two_pads(folder: Path, engine: str) -> None:
    """Switches open and close as the steps say, a button types, a command swaps, a pad that goes lets go; both engines agree."""
    done = call("trace", "steered", "script.txt", "--engine", engine, "--format", "json", "--timeline", cwd=folder)
    assert done.returncode == 1, done.stderr
    told = json.loads(done.stdout)
    # Three keys at once are more than the machine tells apart: the two of the tiller's switches and the space.
    assert (told["typed"], told["read"], told["commands"]) == ("a ", "<ArrowUp>:a<ArrowRight>", [3])
    assert (told["lost"], told["extra"]) == ([" "], [])
    assert told["read_by_pads"] == ["ArrowUp", ":", "ArrowRight"]
    assert [row["key"] for row in told["keys"] if "by_pad" in row] == ["up", "colon", "right"]
    assert changes(told["pads"]) == CHANGES
    kinds = [row["kind"] for row in told["timeline"]]
    assert kinds.count("switches") == len(CHANGES)
    assert {"input", "closed", "opened", "read", "command"} <= set(kinds)


def test_a_script_in_words(folder: Path) -> None:
    """The timeline has the pad's steps, what closes, and what its buttons press."""
    lines = call("trace", "steered", "script.txt", "--timeline", cwd=folder).stdout.splitlines()
    assert "       0.0 ms  pad 0 press Hat up, Button 1" in lines
    assert "       0.0 ms      pad     tiller: Whistle, Ahead" in lines
    assert "     160.0 ms  pads hold Button 8" in lines
    assert "     330.0 ms  pad: oar: none" in lines
    assert "      14.4 ms          the machine reads colon (plain): :, by a pad" in lines
    assert "read because of pads alone: ArrowUp, :, ArrowRight" in lines


def test_a_key_that_gives_way_to_a_pad_is_told(folder: Path) -> None:
    """The pad pulls a sense line on which the slash key lies, and Shift would carry that on: counted, lost, and exit code 1."""
    script = "pad 1 connect\npad 0 press Button 1\nwait 40 ms\ndown ShiftLeft Slash\nwait 60 ms\nup ShiftLeft Slash\n"
    write_project(folder, {"clash.txt": script})
    done = call("trace", "steered", "clash.txt", "--timeline", cwd=folder)
    assert done.returncode == 1
    lines = done.stdout.splitlines()
    assert "      40.0 ms      key that gives way to a pad counted: 1" in lines
    assert "lost: ?" in lines
    assert "keys kept from closing, or opened, because of pads: 1" in lines
    told = json.loads(call("trace", "steered", "clash.txt", "--format", "json", cwd=folder).stdout)
    assert (told["clashes"], told["refusals"]) == (1, 0)


def test_steps_of_pads_are_read() -> None:
    """Sources in any case of letters between commas; connect, disconnect and swap."""
    events, faults = read_script(b"pad 1 press hat  up, button 3\npad 1 disconnect\npad 7 connect\nswap pads\n", "x")
    assert not faults
    assert [event.action for event in events] == [
        PadMove(1, (36, 2), True),  # type: ignore[arg-type]
        PadLink(1, False),
        PadLink(7, True),
        SwapPads(),
    ]


@pytest.mark.parametrize(
    ("line", "column", "text"),
    [
        ("pad", 1, "pad must be followed by its number"),
        ("pad 0", 1, "pad must be followed by its number"),
        ("pad 8 connect", 5, "pads have numbers from 0 to 7, not '8'"),
        ("pad one press Button 1", 5, "pads have numbers from 0 to 7"),
        ("pad 0 pres Button 1", 7, "a pad has no step 'pres'; did you mean press?"),
        ("pad 0 press", 7, "after press comes a source"),
        ("pad 0 press Button 1,", 21, "after press comes a source"),
        ("pad 0 press Button 33", 13, "a pad has no source 'Button 33'"),
        ("pad 0 connect Button 1", 15, "nothing may follow connect"),
        ("swap", 1, "after swap comes pads"),
        ("swap sides", 6, "swap must be followed by pads, not by 'sides'"),
    ],
)
def test_faults_in_steps_are_told_with_their_place(line: str, column: int, text: str) -> None:
    """Line and column of each."""
    _, faults = read_script(f"wait 1 ms\n{line}\n".encode(), "x")
    (fault,) = faults
    assert (fault.place.line, fault.place.column) == (2, column)
    assert text in fault.text


def test_steps_need_a_section(folder: Path) -> None:
    """A layout without pads: is refused with the place of the first step, and exit code 2."""
    done = call("trace", "quillon8-en-GB-symbolic", "script.txt", cwd=folder)
    assert (done.returncode, done.stdout) == (2, "")
    assert "script.txt:1:1: quillon8-en-GB-symbolic has no section pads" in done.stderr


@pytest.mark.parametrize("line", ["down KeyA on 3", "disconnect 3", "report 00 00 04 00 00 00 00 00 on 3"])
def test_the_keyboard_of_the_buttons_has_no_keys(folder: Path, line: str) -> None:
    """A script that moves keys of keyboard 3 is refused where buttons press strokes: they would let go of each other."""
    write_project(folder, {"keys.txt": f"pad 0 press Button 8\n{line}\n"})
    done = call("trace", "steered", "keys.txt", cwd=folder)
    assert (done.returncode, done.stdout) == (2, "")
    assert "keys.txt:2:1: keyboard 3 belongs to the buttons of pads" in done.stderr
    write_project(folder, {"keys.txt": f"{line}\n"})
    assert call("trace", "quillon8-en-GB-symbolic", "keys.txt", cwd=folder).returncode == 0


def test_a_layout_change_lets_go_what_only_the_old_one_drives(folder: Path) -> None:
    """To a layout of the oar alone and back: all opens until the new layout stands, and a tap lasts for its poll time there too."""
    oar = "layout: oar-only\nmachine: quillon8\nhost: en-GB\njoin: symbolic\npads: {order: oar, Ring: Button 1}\n"
    script = (
        "pad 0 press Button 1\nwait 20 ms\nlayout oar-only\nwait 20 ms\nlayout steered\nwait 20 ms\npad 0 disconnect\n"
    )
    write_project(folder, {"layouts/oar-only.yaml": oar, "change.txt": script})
    told = json.loads(call("trace", "steered", "change.txt", "--format", "json", cwd=folder).stdout)
    assert changes(told["pads"]) == [
        (0, "tiller", "Whistle"),
        (20, "tiller", "none"),
        (20.5, "oar", "Ring"),
        (40, "oar", "none"),
        (40.5, "tiller", "Whistle"),
        (40.5, "oar", "Ring"),
        (58.2, "oar", "none"),
        (60, "tiller", "none"),
    ]


def recording(second: str = "") -> str:
    """A keyboard, a joystick without ids and a game pad with one."""
    return (
        f"{BOTH}"
        f"D: 2\nR: {len(WITH_ID)} {WITH_ID.hex(' ')}\n"
        "D: 1\nE: 000000.010000 4 00 00 0f 00\n"
        "D: 2\nE: 000000.020000 5 07 00 00 0f 00\n"
        "D: 0\nE: 000000.030000 8 00 00 04 00 00 00 00 00\n"
        "D: 1\nE: 000000.040000 4 00 81 1f 00\n"
        "D: 2\nE: 000000.050000 5 07 00 00 1f 00\n"
        "D: 0\nE: 000000.060000 8 00 00 00 00 00 00 00 00\n"
        f"{second}"
        "D: 1\nE: 000000.100000 4 00 00 0f 00\n"
    )


@pytest.mark.parametrize("engine", ["model", "c"])
def test_a_recording_of_a_keyboard_and_two_pads(folder: Path, engine: str) -> None:
    """The first pad's stick up and its Button 1 drive the tiller, the second one's Button 1 the oar; the keyboard types."""
    (folder / "both.rec").write_text(recording(), encoding="utf-8")
    done = call("trace", "steered", "both.rec", "--engine", engine, "--format", "json", "--timeline", cwd=folder)
    assert done.returncode == 1, done.stderr
    told = json.loads(done.stdout)
    # Before the machine has read it twice, two keys of the tiller's come, and then a whole sense line.
    assert (told["typed"], told["read"], told["lost"]) == ("a", "", ["a"])
    assert changes(told["pads"]) == [(40, "tiller", "Whistle, Ahead"), (50, "oar", "Pull"), (100, "tiller", "none")]
    assert [row["kind"] for row in told["timeline"]].count("switches") == 3


def test_a_pad_that_comes_again_takes_the_lowest_place(folder: Path) -> None:
    """The first pad gives its descriptor again: its switches open at once, and as the second still has its place, it gets its own back."""
    again = f"D: 1\nR: {len(STICK)} {STICK.hex(' ')}\nE: 000000.080000 4 00 81 1f 00\n"
    (folder / "both.rec").write_text(recording(again), encoding="utf-8")
    told = json.loads(call("trace", "steered", "both.rec", "--format", "json", cwd=folder).stdout)
    # The descriptor stands at the time of the report before it; held up since it came back, the stick shows nothing.
    assert changes(told["pads"]) == [
        (40, "tiller", "Whistle, Ahead"),
        (50, "oar", "Pull"),
        (60, "tiller", "none"),
        (80, "tiller", "Whistle"),
        (127.3, "tiller", "none"),
    ]


def test_a_layout_without_the_section_hears_no_pad(folder: Path) -> None:
    """The same recording against a layout without pads: types as before."""
    (folder / "both.rec").write_text(recording(), encoding="utf-8")
    told = json.loads(call("trace", "quillon8-en-GB-symbolic", "both.rec", "--format", "json", cwd=folder).stdout)
    assert (told["typed"], told["read"], told["pads"]) == ("a", "a", [])


def test_reports_are_kept_of_devices_with_pads_alone() -> None:
    """An event has the bytes of its report where the device has a pad, by every way to write it, and else none."""
    for descriptor, wanted in ((STICK, bytes((0, 0, 0x0F, 0))), (BOOT_DESCRIPTOR, b"")):
        report = "00 00 0f 00" if wanted else "00 00 04 00 00 00 00 00"
        length = len(bytes.fromhex(report))
        lines = [
            f"R: {len(descriptor)} {descriptor.hex(' ')}",
            *[f"E: 000000.0{n}0000 {length} {report}" for n in (1, 2, 3)],
        ]
        events = list(Recording().events(line.encode() for line in lines))
        assert [event.report for event in events] == [wanted] * 3


def slash_under_a_pull() -> str:
    """A keyboard whose `?` is closed when the second pad's Button 1 comes, and another one while that is held."""
    keys = "02 00 38 00 00 00 00 00"
    none = "00 00 00 00 00 00 00 00"
    return (
        f"{BOTH}"
        f"D: 2\nR: {len(WITH_ID)} {WITH_ID.hex(' ')}\n"
        "D: 1\nE: 000000.000000 4 00 00 0f 00\n"
        f"D: 0\nE: 000000.010000 8 {keys}\n"
        "D: 2\nE: 000000.060000 5 07 00 00 1f 00\n"
        f"D: 0\nE: 000000.100000 8 {none}\n"
        f"E: 000000.150000 8 {keys}\n"
        f"E: 000000.200000 8 {none}\n"
        "D: 2\nE: 000000.250000 5 07 00 00 0f 00\n"
    )


def test_a_recording_tells_each_key_that_gave_way(folder: Path) -> None:
    """One that was closed is told as opened for a pad, one that was not as a press that was not played."""
    (folder / "slash.rec").write_text(slash_under_a_pull(), encoding="utf-8")
    told = json.loads(call("trace", "steered", "slash.rec", "--format", "json", cwd=folder).stdout)
    assert (told["typed"], told["read"], told["lost"], told["clashes"]) == ("??", "?", ["?"], 2)
    assert told["opened"] == [{"time_ms": 60, "host_key": "Slash", "key": "slash", "reason": "pad"}]
    assert [(row["time_ms"], row["count"], row["reason"]) for row in told["not_played"]] == [(150, 1, "clash")]
    lines = call("trace", "steered", "slash.rec", cwd=folder).stdout.splitlines()
    assert "strokes opened for a newer one or a pad: 1" in lines
    assert "      60.0 ms  slash (Slash): it gives way to what a pad closes" in lines
    assert any("a press not played: it gives way to what a pad closes" in line for line in lines)


def test_a_key_opened_beside_another_is_told_for_the_pad(folder: Path) -> None:
    """N and D are no phantom; with the tiller's Whistle they are, so the older one opens, and the pad is the reason."""
    text = (
        f"{BOTH}"
        "D: 1\nE: 000000.000000 4 00 00 0f 00\n"
        "D: 0\nE: 000000.010000 8 00 00 11 00 00 00 00 00\n"
        "E: 000000.060000 8 00 00 11 07 00 00 00 00\n"
        "D: 1\nE: 000000.120000 4 00 00 1f 00\n"
        "D: 0\nE: 000000.170000 8 00 00 00 00 00 00 00 00\n"
        "D: 1\nE: 000000.220000 4 00 00 0f 00\n"
    )
    (folder / "beside.rec").write_text(text, encoding="utf-8")
    told = json.loads(call("trace", "steered", "beside.rec", "--format", "json", cwd=folder).stdout)
    assert (told["typed"], told["lost"], told["read_by_pads"]) == ("nd", [], [":"])
    assert [(row["time_ms"], row["key"], row["reason"]) for row in told["opened"]] == [(120, "n", "pad")]


def test_a_key_whose_contact_a_pad_closes_is_told_for_the_pad(folder: Path) -> None:
    """The arrow key gives its contact to the tiller's Ahead, which is the same one: the machine reads one press."""
    text = (
        f"{BOTH}"
        "D: 1\nE: 000000.000000 4 00 00 0f 00\n"
        "D: 0\nE: 000000.010000 8 00 00 52 00 00 00 00 00\n"
        "D: 1\nE: 000000.060000 4 00 81 0f 00\n"
        "E: 000000.120000 4 00 00 0f 00\n"
        "D: 0\nE: 000000.170000 8 00 00 00 00 00 00 00 00\n"
    )
    (folder / "same.rec").write_text(text, encoding="utf-8")
    told = json.loads(call("trace", "steered", "same.rec", "--format", "json", "--timeline", cwd=folder).stdout)
    assert (told["read"], told["lost"], told["read_by_pads"], told["clashes"]) == ("<ArrowUp>", [], [], 1)
    assert [(row["time_ms"], row["key"], row["reason"]) for row in told["opened"]] == [(60, "up", "pad")]
    kinds = [
        (row["time_ms"], row["kind"]) for row in told["timeline"] if row["kind"] in ("closed", "opened", "switches")
    ]
    assert kinds == [(10, "closed"), (60, "switches"), (60, "opened"), (120, "switches")]
