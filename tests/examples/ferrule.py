"""The firmware of examples/ferrule/: built by CMake, run in simulators, its records read and held against the model."""

from __future__ import annotations

import subprocess
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from matrixmap.hid.usages import MODIFIER_BITS
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.model import Model
from tests import tools
from tests.project import ROOT, call, open_folders, read_layout

FERRULE = ROOT / "examples" / "ferrule"
LAYOUTS = ("ferrule-de-DE-symbolic", "ferrule-en-GB-symbolic", "ferrule-en-US-positional")
CHIPS = ("avr", "cortex-m0")
MOST_ON_THE_WAY = 4
"""Events that a firmware in real time has to take at once at most; its queue holds seven."""
NEXT, FIRST, PAIR, RESTART = 1, 2, 3, 4
SENSE = 8
LENGTHS = {"o": 3, "c": 3, "d": 1, "p": 0, "l": 1, "e": 2, "t": 2}


@dataclass(frozen=True, slots=True)
class Sent:
    """A record to the firmware, and when it begins, in microseconds."""

    at_us: int
    letter: str
    keyboard: int
    report: bytes = b""

    def to_bytes(self) -> bytes:
        """As the serial line carries it."""
        length = bytes([len(self.report)]) if self.letter == "R" else b""
        return self.letter.encode() + bytes([self.keyboard]) + length + self.report


@cache
def plans() -> tuple[Plan, ...]:
    """The layouts of the firmware, in the order of its index."""
    project = open_folders(FERRULE)
    return tuple(compile_plan(read_layout(project, id)) for id in LAYOUTS)


def write_tables(folder: Path, *words: str) -> Path:
    """The generated folder, as README.md of the example builds it."""
    done = call("build", "--quiet", "--root", FERRULE, *LAYOUTS, *words, "--out", folder)
    assert done.returncode == 0, done.stderr
    return folder


def build(folder: Path, chip: str, *words: str) -> Path:
    """The firmware for a chip."""
    tools.tool({"avr": "avr-gcc", "cortex-m0": "arm-none-eabi-gcc"}[chip])
    tables = folder / "tables"
    if not tables.exists():
        write_tables(tables)
    out = folder / chip
    toolchain = FERRULE / f"{chip}.cmake"
    options = (
        f"-DCMAKE_TOOLCHAIN_FILE={toolchain}",
        f"-DFERRULE_TABLES={tables}",
        "-DCMAKE_C_FLAGS_MINSIZEREL=-Os -Werror",
        *words,
    )
    tools.run(tools.tool("cmake"), "-S", FERRULE, "-B", out, *options)
    tools.run("cmake", "--build", out)
    return out / "ferrule.elf"


def run(
    firmware: Path, chip: str, sent: Sequence[Sent], end_us: int, kept: bytes | None = None, burst: bool = False
) -> bytes:
    """What the firmware sends while it gets these records; `kept` is what its memory has kept from before.

    The AVR is simulated by the cycle and time is its own; QEMU runs in real time, where only a `burst` may fill the queue.
    """
    memory = firmware.with_name("kept.bin")
    if kept is not None:
        memory.write_bytes(kept)
    if chip == "avr":
        return _on_avr(firmware, sent, end_us, memory if kept is not None else None)
    return _on_cortex(firmware, sent, end_us, memory if kept is not None else None, burst)


def _on_avr(firmware: Path, sent: Sequence[Sent], end_us: int, kept: Path | None) -> bytes:
    host = firmware.with_name("serial-host")
    if not host.exists():
        tools.tool("simavr")
        source = Path(__file__).with_name("serial_host.c")
        tools.run(tools.tool("gcc"), "-O2", "-o", host, source, "-lsimavr", "-lelf")
    if kept is not None:
        kept.write_bytes(b"\xff" + kept.read_bytes())  # the firmware leaves the first byte of the EEPROM alone
    tape = b"".join(one.at_us.to_bytes(4, "little") + bytes([len(one.to_bytes())]) + one.to_bytes() for one in sent)
    words = [host, firmware, kept or "-", str(end_us // 1000)]
    done = subprocess.run(list(map(str, words)), input=tape, capture_output=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr
    # The loader of simavr prints a line of its own in front.
    return done.stdout[done.stdout.index(b"eH") :]


def _on_cortex(firmware: Path, sent: Sequence[Sent], end_us: int, kept: Path | None, burst: bool) -> bytes:
    words = [
        tools.tool("qemu-system-arm"),
        "-M",
        "microbit",
        "-display",
        "none",
        "-monitor",
        "none",
        "-serial",
        "stdio",
    ]
    words += ["-kernel", str(firmware)]
    if kept is not None:
        words += ["-device", f"loader,file={kept},addr=0x3FC00,force-raw=on"]
    emulator = subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert emulator.stdin is not None
    assert emulator.stdout is not None
    heard = bytearray()
    stdout = emulator.stdout

    def listen() -> None:
        while byte := stdout.read(1):
            heard.extend(byte)

    listener = threading.Thread(target=listen)
    listener.start()
    try:
        _until(lambda: records(bytes(heard))[-1:] and records(bytes(heard))[-1].letter == "t")
        before_us = given = 0
        for one in sent:
            time.sleep(max(one.at_us - before_us, 0) / 1e6)
            before_us = one.at_us
            if not burst:
                # Where this machine is busy, the gaps become longer and not the queue full.
                _until(lambda given=given: given - taken(bytes(heard)) < MOST_ON_THE_WAY)  # type: ignore[misc]
            emulator.stdin.write(one.to_bytes())
            emulator.stdin.flush()
            given += one.letter != "C"
        time.sleep(max(end_us - before_us, 0) / 1e6)
    finally:
        emulator.terminate()
        emulator.wait()
        listener.join()
    return bytes(heard)


def _until(holds: Callable[[], object]) -> None:
    """Waits until something holds, at most five seconds."""
    end = time.monotonic() + 5
    while not holds() and time.monotonic() < end:
        time.sleep(0.001)


def taken(heard: bytes) -> int:
    """How many events the firmware has told that it took."""
    return sum(one.letter == "e" and one.data[:1] != b"H" for one in records(heard))


@dataclass(frozen=True, slots=True)
class Record:
    """A record of the firmware: its letter and what belongs to it."""

    letter: str
    data: bytes


def records(heard: bytes) -> list[Record]:
    """The records in what the firmware sent; one that was cut off at the end is left out."""
    found, at = [], 0
    while at < len(heard):
        letter = chr(heard[at])
        if letter == "k":
            length = 3 + heard[at + 3] if at + 3 < len(heard) else 3
        else:
            assert letter in LENGTHS, f"no record: {heard[at : at + 20]!r} at {at}"
            length = LENGTHS[letter]
        if at + 1 + length > len(heard):
            break
        found.append(Record(letter, heard[at + 1 : at + 1 + length]))
        at += 1 + length
    return found


@dataclass
class Watched:
    """The model beside the firmware: it gets what the firmware took, at the times that the firmware tells.

    `states` are the masks that were shown one after the other, `starts` the layouts with which the firmware began.
    """

    sent: Iterable[Sent]
    model: Model = field(init=False)
    closed: int = 0
    direct: int = 0
    chosen: int = 0
    states: list[int] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)
    obeyed: list[str] = field(default_factory=list)
    lit: dict[int, list[bytes]] = field(default_factory=lambda: {0: [], 1: []})
    closing: bool = False
    starting: bool = False

    def __post_init__(self) -> None:
        self.model = Model(plans(), Sizes(keyboards=2))
        self.waiting = {
            keyboard: [one for one in self.sent if one.keyboard == keyboard and one.letter != "C"]
            for keyboard in (0, 1)
        }

    def watch(self, heard: bytes) -> Watched:
        """Goes through all records."""
        for record in records(heard):
            getattr(self, f"on_{record.letter}")(record.data)
        return self

    def on_e(self, data: bytes) -> None:
        """An event left the queue, or the firmware started."""
        what, keyboard = chr(data[0]), data[1]
        assert what != "F", "the queue was full"
        if what == "H":
            self.starting = True
            return
        one = self.waiting[keyboard].pop(0)
        if what == "L":
            assert one.letter == "L"
            self.model.disconnected(keyboard)
        elif keyboard == 0:
            self.model.boot_report(0, one.report)
        else:
            self.model.usages(1, usages_of(one.report))

    def on_l(self, data: bytes) -> None:
        """A layout is asked for; after a start the one that was kept."""
        if self.starting:
            self.starting = False
            self.starts.append(data[0])
            self.chosen = data[0]
            self.model.start(data[0])
            self.closed = self.direct = 0
            self.asked, self.expected = [], []
        else:
            self.asked.append(f"layout {data[0]}")

    def on_p(self, _: bytes) -> None:
        """Pairing is asked for."""
        self.asked.append("pair")

    def on_o(self, data: bytes) -> None:
        """Contacts open: those that were closed, and before any closes."""
        mask = int.from_bytes(data[1:], "little") << SENSE * data[0]
        assert not self.closing, "a contact opened after another had closed"
        assert mask & self.closed == mask, "what opens was closed"
        self.closed &= ~mask

    def on_c(self, data: bytes) -> None:
        """Contacts close: those that were open."""
        mask = int.from_bytes(data[1:], "little") << SENSE * data[0]
        assert not mask & self.closed, "what closes was open"
        self.closing = True
        self.closed |= mask

    def on_d(self, data: bytes) -> None:
        """The direct lines."""
        self.direct = data[0]

    def on_k(self, data: bytes) -> None:
        """LEDs go to a keyboard."""
        self.lit[data[0]].append(data[1:2] + data[3:])

    def on_t(self, data: bytes) -> None:
        """All that is due is shown: as the model shows it at this time."""
        now, wait = int.from_bytes(data, "little"), 0
        while not wait:
            wait = self.model.advance(now)
            self._obey(self.model.take_command())
        assert self.asked == self.expected
        self.obeyed += self.asked
        self.asked, self.expected, self.closing = [], [], False
        closed = self.closed | self.direct << 8 * SENSE
        assert closed == self.model.closed(), f"{closed:x} is closed, the model has {self.model.closed():x}"
        self.states.append(closed)
        assert self.lit[0][-1] == bytes([0, self.model.leds()])
        assert self.lit[1][-1] == bytes([6, self.model.leds()])

    def _obey(self, command: int | None) -> None:
        if command in (NEXT, FIRST):
            self.chosen = (self.chosen + 1) % len(LAYOUTS) if command == NEXT else 0
            self.model.change_layout(self.chosen)
            self.expected.append(f"layout {self.chosen}")
        elif command == PAIR:
            self.expected.append("pair")

    def assert_all_was_taken(self) -> None:
        """No report is left over, nothing is closed any more, and something was."""
        assert not any(self.waiting.values())
        assert self.states[-1] == 0
        assert any(self.states)


def usages_of(report: bytes) -> bytes:
    """The bitmap of a report of the described keyboard: its id 6, modifiers, then usages 0x00 to 0x97, a bit each."""
    down = int.from_bytes(report[2:21], "little") & ~0xF | report[1] << 0xE0
    return down.to_bytes(32, "little")


def described_report(down: Iterable[int]) -> bytes:
    """The report of the described keyboard for these usages."""
    usages = set(down)
    modifiers = sum(1 << bit for usage, bit in MODIFIER_BITS.items() if usage in usages)
    keys = sum(1 << usage for usage in usages if 4 <= usage <= 0x97)
    return bytes([6, modifiers]) + keys.to_bytes(19, "little")


def recorded(name: str, letter: str, keyboard: int, after_us: int) -> list[Sent]:
    """A recording of tests/desk/ as records, from a moment on."""
    text = (ROOT / "tests" / "desk" / "keyboards" / f"{name}.rec").read_bytes()
    out = []
    for line in text.decode().splitlines():
        words = line.split()
        if words[:1] == ["E:"]:
            report = bytes.fromhex("".join(words[3:]))
            out.append(Sent(after_us + int(float(words[1]) * 1e6), letter, keyboard, report))
    return out


def kept_bytes(id16: int) -> bytes:
    """What the firmware keeps for a layout: its 16-bit id, low byte first, and the same with each bit turned."""
    return id16.to_bytes(2, "little") + (id16 ^ 0xFFFF).to_bytes(2, "little")
