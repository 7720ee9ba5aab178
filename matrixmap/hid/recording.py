"""Recorded reports: the text of the Linux hid-recorder, or lines of hexadecimal digits with or without a time.

The forms of a line, which may be mixed:

    R: 9 05 01 ...                      the report descriptor of the current keyboard, after its length
    D: 1                                the current keyboard from here on (0 at the start)
    N: name    I: 3 1209 0001    P: ..  its name, its bus and ids, its port
    E: 000001.250000 8 00 00 04 ...     a report: its time in seconds, its length, its bytes
    1.250000: 00 00 04 ...              a report: its time in seconds (with a point), or as 1250ms or 1250000us
    00 00 04 ...                        a report without a time
    # ...                               a comment

A keyboard without an `R:` line sends boot reports (USB-IF, HID 1.11, appendix B.1) unless a descriptor is given.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

from matrixmap.hid.descriptor import Descriptor, Parsed, parse_descriptor
from matrixmap.hid.items import MAX_DESCRIPTOR_BYTES
from matrixmap.hid.report import CACHED_REPORTS, NO_KEYS, Decoded, Decoder, Keys, KeySet, State
from matrixmap.hid.usage_names import GAME_PAD, JOYSTICK
from matrixmap.limits import DESCRIPTORS_BYTES, RECORDED_KEYBOARDS, RECORDING_LINE_BYTES

BOOT_DESCRIPTOR: Final = bytes.fromhex(
    "05010906a10175019508050719e029e715002501810295017508810195057501050819012905910295017503"
    "910195067508150026ff000507190029ff8100c0"
)
"""HID 1.11, appendix B.1, as bytes."""

MAX_LINE_BYTES: Final = RECORDING_LINE_BYTES
"""The longest line: the longest descriptor in hexadecimal, and the same again for blanks."""

MAX_KEYBOARDS: Final = 256

REMEMBERED_BYTES: Final = 1 << 21
KEY_BYTES: Final = 64
"""About how many bytes the remembered reports of one keyboard may take, and how many one key in them takes."""

DEFAULT_INTERVAL_US: Final = 10_000
"""The time between two reports without times: the polling interval of the keyboard in HID 1.11, appendix E.5."""

MAX_TIME_DIGITS: Final = 18
"""The most digits of a time in microseconds: more than a clock of the time of day needs."""


class Event(NamedTuple):
    """One line of a recording that says something about the keys. A named tuple, because there are millions.

    `time_us` is in microseconds from the recording's own zero and never runs backwards. `keys` is the set of usages
    down after the line. `state` has these special values. ROLLED: the keyboard could not tell its keys apart (the keys
    stay, the modifiers are followed). OTHER: the report carries no keys. CONNECTED: the keyboard gave a descriptor
    again and starts with no keys. MALFORMED: the report is too short or its id is unknown, and it changes nothing.
    FAULT: the line cannot be read. For the last two, `fault` says why. `report` has the bytes of a report of a device
    with a pad.
    """

    time_us: int
    keyboard: int
    state: State
    keys: KeySet
    line: int
    fault: str | None
    report: bytes = b""


@dataclass(slots=True)
class Keyboard:
    """A keyboard of a recording: what its lines say about it."""

    number: int
    descriptor: Descriptor
    described: bool
    name: str
    keys: Keys
    by_text: dict[bytes, Decoded]
    has_pads: bool = False
    remembered: int = 0

    @property
    def reported(self) -> bool:
        """Whether the recording has a report of it."""
        return bool(self.by_text)

    def decode_text(self, text: bytes) -> Decoded | None:
        """A report as `length bytes`, remembered by its text; None if that makes no sense."""
        length, _, digits = text.partition(b" ")
        try:
            report = bytes.fromhex(digits.decode("ascii"))
        except ValueError:
            return None
        return self.remember(text, report) if length == b"%d" % len(report) else None

    def remember(self, text: bytes, report: bytes) -> Decoded:
        """Decodes a report, and remembers the result by its text."""
        if len(self.by_text) >= CACHED_REPORTS or self.remembered >= REMEMBERED_BYTES:
            self.by_text.clear()
            self.remembered = 0
        decoded = self.keys.decoder.decode(report)
        if self.has_pads:
            decoded = decoded._replace(report=report)
        self.by_text[text] = decoded
        self.remembered += len(text) + len(decoded.report) + KEY_BYTES * len(decoded.key_set)
        return decoded


class Recording:
    """Reads a recording line by line in constant memory; `keyboards` fills while `events` runs."""

    def __init__(self, descriptor: Descriptor | None = None, interval_us: int = DEFAULT_INTERVAL_US) -> None:
        self._given = descriptor
        self._interval_us = interval_us
        self._timed: bool | None = None
        self._now = 0
        self._current: Keyboard | None = None
        self._number = 0
        self._parsed: dict[bytes, Parsed] = {}
        self._described_bytes = 0
        self.keyboards: dict[int, Keyboard] = {}

    def events(self, lines: Iterable[bytes]) -> Iterator[Event]:
        """The events of the lines, in order. Lines that cannot be read, and times that run backwards, are FAULTs.

        After a FAULT, reading continues with the next line. A report with a time before the last one's gets the last
        one's time.
        """
        number = 0
        new = tuple.__new__  # an Event's own __new__ takes twice as long
        for line in lines:
            number += 1
            if line[:3] == b"E: ":
                # As hid-recorder writes it: its text is looked up as it is. Anything unusual takes the slow way.
                parts = line.split(b" ", 2)
                stamp = parts[1]
                keyboard = self._current
                if stamp[-7:-6] == b"." and keyboard is not None and self._timed:
                    digits = stamp.replace(b".", b"", 1)
                    decoded = keyboard.by_text.get(parts[-1]) or keyboard.decode_text(parts[-1])
                    if decoded is not None and len(digits) < MAX_TIME_DIGITS and digits.isdigit():
                        time = int(digits)
                        if time >= self._now:
                            self._now = time
                            keys = keyboard.keys.take(decoded)
                            told = (time, keyboard.number, decoded.state, keys, number, decoded.text, decoded.report)
                            yield new(Event, told)
                            continue
            found = self._line(number, line)
            if found is not None:
                yield from found

    def _fault(self, number: int, text: str) -> Event:
        keyboard = self._current
        down = keyboard.keys.down if keyboard else NO_KEYS
        return Event(self._now, self._number, State.FAULT, down, number, text)

    def _report(self, number: int, length: bytes, digits: bytes) -> Event:
        """A report of the current keyboard, with its bytes as text; `length` is empty if the line gives none."""
        keyboard = self._current or self._select(self._number)
        text = length + b" " + digits
        decoded = keyboard.by_text.get(text)
        if decoded is None:
            report, fault = _bytes_of(digits, length)
            if fault is not None:
                return self._fault(number, fault)
            decoded = keyboard.remember(text, report)
        keys = keyboard.keys.take(decoded)
        return Event(self._now, keyboard.number, decoded.state, keys, number, decoded.text, decoded.report)

    def _select(self, number: int) -> Keyboard:
        """The keyboard with this number, made if it is new."""
        keyboard = self.keyboards.get(number)
        if keyboard is None:
            descriptor = self._given or boot_descriptor()
            keyboard = _keyboard(number, descriptor, described=self._given is not None)
            self.keyboards[number] = keyboard
        self._number = number
        self._current = keyboard
        return keyboard

    def _line(self, number: int, line: bytes) -> Iterator[Event] | None:
        """What a line says that is not a plain report of hid-recorder."""
        if len(line) > MAX_LINE_BYTES:
            return iter([self._fault(number, f"the line is longer than {MAX_LINE_BYTES} bytes")])
        text = line.strip().lstrip(b"\xef\xbb\xbf") if number == 1 else line.strip()
        if not text or text.startswith(b"#"):
            return None
        tag, colon, rest = text.partition(b":")
        if colon and len(tag) == 1 and tag.isalpha():
            return self._tagged(number, tag.decode("ascii"), rest.strip())
        return self._hexadecimal(number, text)

    def _tagged(self, number: int, tag: str, rest: bytes) -> Iterator[Event] | None:
        match tag:
            case "E":
                parts = rest.split(None, 2)
                if len(parts) < 3:
                    return iter(
                        [self._fault(number, "a report needs a time, a length and bytes: the line is cut short")]
                    )
                time = _time_us(parts[0])
                if time is None:
                    return iter([self._fault(number, f"{_shown(parts[0])} is not a time in seconds")])
                return self._timed_report(number, time, parts[1], parts[2])
            case "R":
                return self._described(number, rest)
            case "D":
                if not rest.isdigit() or len(rest) > 3 or int(rest) >= MAX_KEYBOARDS:
                    return iter([self._fault(number, f"{_shown(rest)} is not the number of a keyboard (0 to 255)")])
                if int(rest) not in self.keyboards and len(self.keyboards) >= RECORDED_KEYBOARDS:
                    return iter([self._fault(number, f"this recording has more than {RECORDED_KEYBOARDS} keyboards")])
                self._select(int(rest))
            case "N":
                self._select(self._number).name = rest.decode("utf-8", "backslashreplace")[:200]
            case "I" | "P" | "B":
                pass
            case _:
                return iter([self._fault(number, f"no line of a recording begins with {tag}:")])
        return None

    def _described(self, number: int, rest: bytes) -> Iterator[Event]:
        """A descriptor: the current keyboard is a new one from here on, unless the readable part has no report."""
        length, _, digits = rest.partition(b" ")
        data, fault = _bytes_of(digits, length, MAX_DESCRIPTOR_BYTES)
        if data not in self._parsed:
            self._described_bytes += len(data)
            if self._described_bytes > DESCRIPTORS_BYTES:
                yield self._fault(number, f"the descriptors of this recording have more than {DESCRIPTORS_BYTES} bytes")
                return
            self._parsed[data] = parse_descriptor(data)
        parsed = self._parsed[data]
        if fault is not None:
            yield self._fault(number, f"the descriptor: {fault}")
        elif parsed.fault is not None:
            yield self._fault(number, f"the descriptor, {parsed.fault}")
        before = self.keyboards.get(self._number)
        if not parsed.descriptor.inputs and parsed.fault is not None and before is not None:
            return
        keyboard = _keyboard(self._number, parsed.descriptor, described=True)
        self.keyboards[self._number] = self._current = keyboard
        if before is not None:
            keyboard.name = before.name
            if before.reported:
                yield Event(self._now, self._number, State.CONNECTED, NO_KEYS, number, None)

    def _hexadecimal(self, number: int, text: bytes) -> Iterator[Event]:
        match = _TIMED.match(text)
        if match is not None:
            time = _time_us(match[1], match[2] or b"s")
            if time is None:
                yield self._fault(number, f"{_shown(match[1])} is not a time")
                return
            yield from self._timed_report(number, time, b"", match[3])
            return
        if self._timed:
            fault = "a report without a time among reports with times" if _HEX.match(text) else _no_report(text)
            yield self._fault(number, fault)
            return
        before = self._timed
        event = self._report(number, b"", text)
        if event.state is State.FAULT:
            yield event
            return
        self._timed = False
        # The first report is at 0, and each of the others an interval later.
        self._now = self._now + self._interval_us if before is False else 0
        yield event._replace(time_us=self._now)

    def _timed_report(self, number: int, time: int, length: bytes, digits: bytes) -> Iterator[Event]:
        if self._timed is False:
            yield self._fault(number, "a report with a time among reports without")
            return
        if time < self._now:
            text = (
                f"time runs backwards: {_seconds(time)} s after {_seconds(self._now)} s; this report counts as sent "
                "at the later time"
            )
            yield self._fault(number, text)
        self._timed = True
        self._now = max(self._now, time)
        yield self._report(number, length, digits)


def split_lines(blocks: Iterable[bytes]) -> Iterator[bytes]:
    """The lines of a file read in blocks, without their ends. Overlong lines are cut, so that memory is bounded."""
    rest = b""
    for block in blocks:
        lines = (rest + block).split(b"\n")
        rest = lines.pop()[: MAX_LINE_BYTES + 1]
        yield from lines
    if rest:
        yield rest


@lru_cache(maxsize=1)
def boot_descriptor() -> Descriptor:
    """The descriptor of a boot keyboard."""
    return parse_descriptor(BOOT_DESCRIPTOR).descriptor


_TIMED: Final = re.compile(rb"\[?\s*([0-9]+\.[0-9]+|[0-9]+(?=[mu]?s))(us|ms|s)?\s*\]?\s*:?\s+(.*)\Z", re.DOTALL)
_HEX: Final = re.compile(rb"(?:0[xX])?[0-9A-Fa-f]{2}(?:[\s,]*(?:0[xX])?[0-9A-Fa-f]{2})*[\s,]*\Z")
_HEX_CUT: Final = re.compile(rb"(?:[0-9A-Fa-f]{2}\s+)*[0-9A-Fa-f]\s*\Z")
_PREFIX: Final = re.compile(rb"0[xX](?=[0-9A-Fa-f]{2}(?![0-9A-Fa-f]))|,")
_UNITS: Final = {b"s": (6, 1_000_000), b"ms": (3, 1_000), b"us": (0, 1)}
"""The decimal places that count, and the microseconds in one unit."""


def _keyboard(number: int, descriptor: Descriptor, described: bool) -> Keyboard:
    keys = Keys(Decoder(descriptor))
    # The reports of devices with a pad are kept for the pads' decoder.
    has_pads = any(usage in (JOYSTICK, GAME_PAD) for _, usage in descriptor.applications)
    return Keyboard(
        number=number, descriptor=descriptor, described=described, name="", keys=keys, by_text={}, has_pads=has_pads
    )


def _time_us(text: bytes, unit: bytes = b"s") -> int | None:
    """A decimal number of seconds, milliseconds or microseconds, as whole microseconds; None if bad or too large."""
    whole, _, part = text.partition(b".")
    digits, scale = _UNITS[unit]
    if not whole.isdigit() or len(whole) + digits >= MAX_TIME_DIGITS or (part and not part.isdigit()):
        return None
    return int(whole) * scale + int(part[:digits].ljust(digits, b"0") or 0)


def _bytes_of(digits: bytes, length: bytes, most: int = MAX_LINE_BYTES) -> tuple[bytes, str | None]:
    """The bytes that hexadecimal digits give, as far as they can be read, and what is wrong with them."""
    if length and (not length.isdigit() or len(length) > 6):
        return b"", f"{_shown(length)} is not a length"
    try:
        data = bytes.fromhex(_PREFIX.sub(b" ", digits).decode("ascii"))
    except ValueError:
        cut = length and _HEX_CUT.match(digits)
        return b"", "the line ends inside a byte" if cut else _no_report(digits)
    if length and len(data) < int(length):
        return data, f"the line has {len(data)} of {int(length)} bytes: it is cut short"
    if length and len(data) > int(length):
        return data[: int(length)], f"the line has {len(data)} bytes, but says {int(length)}"
    if len(data) > most:
        return data[:most], f"{len(data)} bytes are too many"
    return data, None


def _no_report(text: bytes) -> str:
    return f"{_shown(text)} is not a report: pairs of hexadecimal digits are expected"


def _shown(text: bytes) -> str:
    """Bytes of a line for a message: short, and without anything that a terminal would obey."""
    words = text[:40].decode("ascii", "backslashreplace")
    visible = "".join(char if " " <= char <= "~" else f"\\x{ord(char):02x}" for char in words)
    return f"'{visible}{'...' if len(text) > 40 else ''}'"


def _seconds(time_us: int) -> str:
    return f"{time_us // 1_000_000}.{time_us % 1_000_000:06d}"
