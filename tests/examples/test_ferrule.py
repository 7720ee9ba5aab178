"""The example firmware in simulators: what it closes for recorded and random reports is what the model closes."""

from __future__ import annotations

import random
import re
import subprocess
from pathlib import Path

import pytest

from matrixmap.emit.tables.id16 import id16
from matrixmap.press.table.make import make_table
from tests import tools
from tests.agree.streams import Typist
from tests.examples.ferrule import (
    CHIPS,
    FERRULE,
    LAYOUTS,
    Record,
    Sent,
    Watched,
    build,
    described_report,
    kept_bytes,
    plans,
    recorded,
    records,
    run,
    write_tables,
)
from tests.project import call, shipped_ids, shipped_plan
from tests.shipped import in_campaign

ALT, CONTROL, KEY_A, KEY_B = 0x04, 0x01, 0x04, 0x05
F9, F10, F11, F12 = range(0x42, 0x46)
CAPS_LOCK = 0x39
START_US = 20_000
"""By then the firmware listens."""


@pytest.fixture(scope="session")
def firmware(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The firmware for each chip; built once, when it is asked for."""
    folder = tmp_path_factory.mktemp("ferrule")
    return {"folder": folder}


@pytest.fixture(params=CHIPS)
def chip(request: pytest.FixtureRequest) -> str:
    """A chip."""
    return str(request.param)


@pytest.fixture
def elf(firmware: dict[str, Path], chip: str) -> Path:
    """The firmware for the chip."""
    if chip not in firmware:
        firmware[chip] = build(firmware["folder"], chip)
    return firmware[chip]


def boot(at_us: int, *keys: int, modifiers: int = 0) -> Sent:
    """A boot report of keyboard 0."""
    return Sent(at_us, "B", 0, bytes([modifiers, 0, *keys]).ljust(8, b"\0"))


def tapped(at_us: int, key: int, modifiers: int = 0) -> list[Sent]:
    """A key that is held for 60 ms."""
    return [boot(at_us, key, modifiers=modifiers), boot(at_us + 60_000)]


def command(at_us: int, key: int) -> list[Sent]:
    """Control+Alt and a function key."""
    return tapped(at_us, key, CONTROL | ALT)


def test_two_recorded_keyboards(elf: Path, chip: str) -> None:
    """Two people type at once on two keyboards: every state of the contacts is that of the model at that time."""
    sent = [*recorded("six-key", "B", 0, START_US), *recorded("bitmap", "R", 1, START_US + 7_000)]
    sent.sort(key=lambda one: one.at_us)
    sent = [one for one in sent if one.at_us < 4_000_000]
    sent += [boot(4_100_000), Sent(4_110_000, "R", 1, described_report(()))]
    watched = Watched(sent).watch(run(elf, chip, sent, 4_600_000))
    watched.assert_all_was_taken()
    assert len(set(watched.states)) > 20


@pytest.mark.parametrize("chip", [CHIPS[0], *map(in_campaign, CHIPS[1:])], indirect=True)
def test_random_keys_with_commands_and_lost_links(elf: Path, chip: str) -> None:
    """Hasty keys, lost links and changes of layout in between: as the model, and every layout has its turn."""
    rng = random.Random(11)
    typist = Typist(rng, plans()[0], 2)
    sent, at = [], START_US
    for number in range(160):
        at += rng.choice((3_000, 10_000, 30_000, 60_000))
        if number % 25 == 24:
            sent += [boot(at), *command(at + 20_000, F12)]
            typist.down[0].clear()
            at += 90_000
        elif number % 17 == 16:
            keyboard = rng.randrange(2)
            typist.down[keyboard].clear()
            sent += [Sent(at, "L", keyboard), Sent(at + 4_000, "C", keyboard)]
            at += 5_000
        else:
            keyboard, down = typist.move(6)
            down -= {F9, F10, F11, F12}
            keys = sorted(usage for usage in down if usage < 0xE0)
            bits = sum(1 << usage - 0xE0 for usage in down if usage >= 0xE0)
            one = boot(at, *keys, modifiers=bits) if not keyboard else Sent(at, "R", 1, described_report(down))
            sent.append(one)
    sent += [boot(at + 50_000), Sent(at + 60_000, "R", 1, described_report(()))]
    watched = Watched(sent).watch(run(elf, chip, sent, at + 900_000))
    watched.assert_all_was_taken()
    assert {"layout 0", "layout 1", "layout 2"} == set(watched.obeyed)
    assert len(watched.lit[0]) > 1


def test_a_layout_outlives_a_reset(elf: Path, chip: str) -> None:
    """It begins with the first layout; the one that a command chose is there after a reset, and so is that after the next."""
    sent = [
        *tapped(START_US, KEY_A),
        *command(150_000, F12),
        *command(500_000, F9),
        *tapped(1_200_000, KEY_B),
        *command(1_300_000, F12),
        *command(1_700_000, F9),
        *command(2_400_000, F11),
        *command(2_800_000, F9),
        *tapped(3_500_000, KEY_A),
    ]
    heard = run(elf, chip, sent, 3_700_000)
    heard_all = records(heard)
    starts = [
        heard_all[at + 1].data[0] for at, one in enumerate(heard_all) if one.letter == "e" and one.data[:1] == b"H"
    ]
    assert starts == [0, 1, 2, 0]
    # A report that came during a reset was not heard: the model gets what the firmware tells that it took.
    assert [one.data for one in records(heard) if one.letter == "l"][:3] == [b"\x00", b"\x01", b"\x01"]
    assert any(one.letter == "c" for one in records(heard)[-20:])


@pytest.mark.parametrize(
    ("kept", "number"),
    [
        (kept_bytes(id16(LAYOUTS[2])), 2),
        (kept_bytes(id16(LAYOUTS[1])), 1),
        (kept_bytes(id16(LAYOUTS[1]))[:2] + kept_bytes(id16(LAYOUTS[1]) ^ 0x0001)[2:], 0),
        (kept_bytes(id16(LAYOUTS[1]))[:3] + b"\xff", 0),
        (kept_bytes(id16("a-layout-of-an-older-firmware")), 0),
        (b"\xff" * 4, 0),
        (bytes(4), 0),
        (kept_bytes(0x0000), 0),
        (kept_bytes(0xFFFF), 0),
    ],
    ids=["the last", "the second", "damaged", "half written", "unknown", "erased", "zeros", "no layout", "nor this"],
)
def test_what_was_kept(elf: Path, chip: str, kept: bytes, number: int) -> None:
    """A kept 16-bit id chooses its layout; one that is damaged or unknown chooses the first."""
    heard = records(run(elf, chip, [], 150_000, kept))
    assert [one.data for one in heard if one.letter == "l"] == [bytes([number])]


def test_leds(elf: Path, chip: str) -> None:
    """LEDs go to both keyboards when they change, and again to one that has connected."""
    sent = [*tapped(START_US, CAPS_LOCK), Sent(300_000, "C", 1), Sent(400_000, "C", 0), Sent(500_000, "C", 2)]
    watched = Watched(sent).watch(run(elf, chip, sent, 700_000))
    assert watched.lit == {0: [b"\0\1", b"\0\3", b"\0\3"], 1: [b"\6\1", b"\6\3", b"\6\3"]}


def test_a_lost_link_of_the_described_keyboard(elf: Path, chip: str) -> None:
    """What was down is forgotten: a first report that cannot tell keys apart closes nothing."""
    rolled = bytes([6, 0, 0b1110]).ljust(21, b"\0")
    sent = [
        Sent(START_US, "R", 1, described_report([KEY_A])),
        Sent(100_000, "L", 1),
        Sent(200_000, "R", 1, rolled),
        Sent(300_000, "R", 1, described_report([KEY_B])),
        Sent(400_000, "R", 1, described_report(())),
    ]
    Watched(sent).watch(run(elf, chip, sent, 600_000)).assert_all_was_taken()


def test_pairing(elf: Path, chip: str) -> None:
    """The command to pair reaches the radio, once a press."""
    sent = [*command(START_US, F10), *command(300_000, F10)]
    heard = run(elf, chip, sent, 600_000)
    Watched(sent).watch(heard)
    assert sum(one.letter == "p" for one in records(heard)) == 2


def closed_after_each(heard: list[Record]) -> list[int]:
    """The contacts that are closed after each record."""
    closed, states = 0, []
    for one in heard:
        mask = int.from_bytes(one.data[1:], "little") << 8 * one.data[0] if one.letter in "oc" else 0
        closed = closed & ~mask if one.letter == "o" else closed | mask
        states.append(closed)
    return states


def test_a_burst_is_survived(elf: Path, chip: str) -> None:
    """After more reports than the queue holds nothing is closed, and the next key is heard."""
    burst = [*([boot(START_US, KEY_B)] * 60), boot(START_US)]
    heard = records(run(elf, chip, [*burst, boot(600_000, KEY_A), boot(900_000)], 1_200_000, burst=True))
    states = closed_after_each(heard)
    pressed = [at for at, one in enumerate(heard) if one.letter == "e"][-2]
    assert (states[pressed], states[-1]) == (0, 0)
    assert any(states[pressed:])


@pytest.mark.parametrize("chip", ["avr"])
def test_a_release_that_the_queue_has_no_room_for(elf: Path, chip: str) -> None:
    """By the cycle, bursts are found whose last report, a release, is lost: the key is let go all the same."""
    for length in range(50, 80):
        later = START_US + 100_000  # the key's close time is over, so that a release that is heard opens it at once
        burst = [boot(START_US, KEY_B), *([boot(later, KEY_B)] * length), boot(later)]
        heard = records(run(elf, chip, burst, 600_000, burst=True))
        full = [at for at, one in enumerate(heard) if one.data == b"F\0"]
        states = closed_after_each(heard)
        if full and states[full[-1] - 1]:
            assert states[-1] == 0, "the key hangs"
            return
    pytest.fail("no burst lost its end")


def test_noise_before_a_record(elf: Path, chip: str) -> None:
    """Bytes that begin no record are passed over, and reports of a length that cannot be."""
    noise = [Sent(START_US, "\0", 7), Sent(START_US + 1000, "R", 1, b""), *tapped(50_000, KEY_A)]
    watched = Watched(noise[2:]).watch(run(elf, chip, noise, 400_000))
    watched.assert_all_was_taken()


@pytest.mark.parametrize("optimized", ["-Os", "-O2"])
def test_each_file_compiles_strictly(tmp_path: Path, optimized: str) -> None:
    """The portable part compiles under all warnings by each compiler, and each board's part by its own."""
    tables = write_tables(tmp_path / "tables")
    include = (f"-I{tables}", f"-I{FERRULE}", f"-I{FERRULE / 'keyboard'}", "-DMM_KEYBOARDS=2")
    portable = [FERRULE / "ferrule.c", FERRULE / "serial.c", FERRULE / "keyboard" / "mm_keyboard_visitor.c"]
    targets = {
        ("gcc",): portable,
        ("clang",): portable,
        ("avr-gcc", "-mmcu=atmega328p"): [*portable, FERRULE / "board_avr.c"],
        ("arm-none-eabi-gcc", "-mcpu=cortex-m0", "-mthumb"): [*portable, FERRULE / "board_cortex_m0.c"],
    }
    for (compiler, *flags), sources in targets.items():
        tools.run(tools.tool(compiler), *flags, *tools.STRICT, optimized, *include, "-c", *sources, cwd=tmp_path)


def page_sizes() -> dict[tuple[str, int], tuple[int, int]]:
    """Chip and number of layouts -> bytes of flash and RAM, as README.md says."""
    names = {"ATmega328P": "avr", "Cortex-M0": "cortex-m0"}
    rows = re.findall(r"^\| (\S+) \| (\d) \| ([\d,]+) \| (\d+) \|$", (FERRULE / "README.md").read_text(), re.MULTILINE)
    return {(names[chip], int(count)): (int(flash.replace(",", "")), int(ram)) for chip, count, flash, ram in rows}


@pytest.mark.parametrize("layouts", [1, 3])
def test_sizes_on_the_page(firmware: dict[str, Path], tmp_path: Path, chip: str, layouts: int) -> None:
    """Flash and RAM are what README.md says, but for what another version of a compiler makes of it: three in a hundred."""
    assert len(page_sizes()) == 4
    (tmp_path / "tables").symlink_to(write_tables(firmware["folder"] / "tables"))
    made = build(
        tmp_path, chip, f"-DMATRIXMAP_LAYOUTS={';'.join(LAYOUTS[1 : 1 + layouts] if layouts < 3 else LAYOUTS)}"
    )
    command_line = tools.run(tools.tool("avr-size" if chip == "avr" else "arm-none-eabi-size"), made)
    text, data, bss = map(int, command_line.stdout.splitlines()[1].split()[:3])
    flash, ram = page_sizes()[chip, layouts]
    assert text + data == pytest.approx(flash, rel=0.03)
    assert data + bss == pytest.approx(ram, rel=0.03)


def test_all_layouts_do_not_fit() -> None:
    """What README.md says about all shipped layouts of the Quillon 8: their number, bytes and mean, and how many fit."""
    plans_of_it = [shipped_plan(id) for id in shipped_ids() if id.startswith("quillon8-")]
    entry = 10  # three pointers, a size and a 16-bit id
    total = sum(
        len(make_table(plan).to_bytes()) + len(plan.id) + len(plan.layout.title.encode()) + 2 + entry
        for plan in plans_of_it
    )
    mean = round(total / len(plans_of_it))
    fit = 1 + (32_768 - page_sizes()["avr", 1][0]) // mean
    text = (FERRULE / "README.md").read_text(encoding="utf-8")
    assert f"all {len(plans_of_it)} shipped layouts of the Quillon 8 take {total:,} bytes" in text
    assert f"with their mean of {mean} bytes, about {fit} of them fit" in text


def test_the_table_of_the_keyboard_is_fresh(tmp_path: Path) -> None:
    """The decoder's table beside the firmware is what the tool makes of the recording."""
    recording = FERRULE.parents[1] / "tests" / "desk" / "keyboards" / "bitmap.rec"
    assert call("keyboard", recording, "--emit", "c", "--name", "visitor", "--out", tmp_path).returncode == 0
    for path in sorted((FERRULE / "keyboard").iterdir()):
        assert (tmp_path / path.name).read_bytes() == path.read_bytes()


def test_the_build_says_what_is_missing(tmp_path: Path) -> None:
    """Without tables, or without a chip, CMake ends with a sentence that says what to do."""
    for words, told in (
        ((f"-DFERRULE_TABLES={tmp_path / 'none'}",), "run matrixmap build"),
        ((f"-DFERRULE_TABLES={write_tables(tmp_path / 'tables')}",), "give a chip"),
    ):
        command_line = [tools.tool("cmake"), "-S", str(FERRULE), "-B", str(tmp_path / "out"), *words]
        done = subprocess.run(command_line, capture_output=True, text=True, check=False)
        assert done.returncode != 0
        assert told in " ".join(done.stderr.split())
