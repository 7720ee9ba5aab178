"""Scripts: events of keyboards, time and firmware, one per line, as `docs/scripts.md` describes them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from matrixmap.circuit.timing import TICK_US
from matrixmap.hid.pads.sources import NAMES, Source, source_named
from matrixmap.hid.usages import USAGES, Usage, by_code, by_number
from matrixmap.limits import FINDINGS, SCRIPT_BYTES
from matrixmap.model.place import Place
from matrixmap.source.report import named, nearest

MOST_KEYBOARDS = 4
BITMAP_BYTES = 32
MOST_REPORT_BYTES = 64
MOST_TICKS = 10_000 * 1_000_000 // TICK_US
"""The most time of a single line: 10,000 seconds."""

UNITS_US = {"us": 1, "ms": 1_000, "s": 1_000_000}
LINES = ("down", "up", "report", "bitmap", "wait", "jump", "layout", "connect", "disconnect", "pad", "swap")
MOST_PADS = 8
PAD_STEPS = ("press", "release", "connect", "disconnect")


@dataclass(frozen=True, slots=True)
class KeyChange:
    """A key of the host that is pressed or released."""

    usage: Usage
    down: bool


@dataclass(frozen=True, slots=True)
class Keys:
    """Keys that change in one input set."""

    keyboard: int
    changes: tuple[KeyChange, ...]


@dataclass(frozen=True, slots=True)
class BootReport:
    """A boot report as received, of any length."""

    keyboard: int
    data: bytes


@dataclass(frozen=True, slots=True)
class Bitmap:
    """The usages that are down, bit u % 8 of byte u / 8."""

    keyboard: int
    data: bytes


@dataclass(frozen=True, slots=True)
class Wait:
    """Time passes, and the firmware calls the runtime whenever it asks for it."""

    ticks: int


@dataclass(frozen=True, slots=True)
class Jump:
    """The clock moves, backwards if negative, without a call in between."""

    ticks: int


@dataclass(frozen=True, slots=True)
class SwitchLayout:
    """The firmware requests another layout."""

    layout: str


@dataclass(frozen=True, slots=True)
class Connect:
    """The link to a keyboard is restored: its LEDs are due."""

    keyboard: int


@dataclass(frozen=True, slots=True)
class Disconnect:
    """The link to a keyboard is lost."""

    keyboard: int


@dataclass(frozen=True, slots=True)
class PadMove:
    """Sources of a pad that turn on or off in one report."""

    pad: int
    sources: tuple[Source, ...]
    on: bool


@dataclass(frozen=True, slots=True)
class PadLink:
    """A pad is plugged in or unplugged."""

    pad: int
    there: bool


@dataclass(frozen=True, slots=True)
class SwapPads:
    """The first two pads change sides."""


Action = Keys | BootReport | Bitmap | Wait | Jump | SwitchLayout | Connect | Disconnect | PadMove | PadLink | SwapPads


@dataclass(frozen=True, slots=True)
class Event:
    """An event and its line."""

    action: Action
    place: Place


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a line of a script."""

    place: Place
    text: str


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    place: Place


class _LineError(Exception):
    """Carries the fault of one line to the reader, which continues with the next line."""

    def __init__(self, place: Place, text: str) -> None:
        super().__init__(text)
        self.fault = Fault(place, text)


def read_script(data: bytes, file: str) -> tuple[tuple[Event, ...], tuple[Fault, ...]]:
    """The events of a script and all its faults; if there is a fault, do not use the events."""
    start = Place(file=file, line=1, column=1)
    if len(data) > SCRIPT_BYTES:
        return (), (Fault(start, f"the script is larger than {SCRIPT_BYTES} bytes"),)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        bad_line = data.count(b"\n", 0, error.start) + 1
        return (), (Fault(Place(file=file, line=bad_line, column=1), "the script is not UTF-8"),)
    events: list[Event] = []
    faults: list[Fault] = []
    for number, line in enumerate(text.split("\n"), start=1):
        words = list(_words(line, file, number))
        if not words:
            continue
        try:
            events.append(Event(_action(words), words[0].place))
        except _LineError as unreadable:
            faults.append(unreadable.fault)
            if len(faults) > FINDINGS:
                faults.append(Fault(words[0].place, "there are more faults than the list shows; the rest was not read"))
                break
    return tuple(events), tuple(faults)


def _words(line: str, file: str, number: int) -> Iterator[_Word]:
    """The words of a line up to a comment; a comma is a word of its own."""
    for match in re.finditer(r",|[^\s,]+", line.split("#", maxsplit=1)[0]):
        yield _Word(match.group(), Place(file=file, line=number, column=match.start() + 1))


def _action(words: list[_Word]) -> Action:
    first, rest = words[0], words[1:]
    match first.text:
        case "down" | "up":
            keyboard, rest = _keyboard_at_end(rest)
            return Keys(keyboard, tuple(_changes([first, *rest])))
        case "report":
            keyboard, rest = _keyboard_at_end(rest)
            return BootReport(keyboard, _bytes(first, rest, MOST_REPORT_BYTES))
        case "bitmap":
            keyboard, rest = _keyboard_at_end(rest)
            return Bitmap(keyboard, _bytes(first, rest, BITMAP_BYTES).ljust(BITMAP_BYTES, b"\0"))
        case "wait":
            return Wait(_ticks(first, rest, signed=False))
        case "jump":
            return Jump(_ticks(first, rest, signed=True))
        case "layout":
            return SwitchLayout(_one(first, rest, "the id of a layout").text)
        case "connect":
            return Connect(_keyboard(_one(first, rest, "the number of a keyboard")))
        case "disconnect":
            return Disconnect(_keyboard(_one(first, rest, "the number of a keyboard")))
        case "pad":
            return _pad_step(first, rest)
        case "swap":
            if _one(first, rest, "pads").text != "pads":
                raise _LineError(rest[0].place, f"swap must be followed by pads, not by {rest[0].text!r}")
            return SwapPads()
    raise _LineError(
        first.place, f"there is no event {first.text!r}{nearest(first.text, LINES)} (events: {named(LINES)})"
    )


def _one(first: _Word, rest: list[_Word], wanted: str) -> _Word:
    if not rest:
        raise _LineError(first.place, f"after {first.text} comes {wanted}")
    if len(rest) > 1:
        raise _LineError(
            rest[1].place,
            f"{first.text} must be followed by {wanted} and nothing else, but then comes {rest[1].text!r}",
        )
    return rest[0]


def _pad_step(first: _Word, rest: list[_Word]) -> Action:
    """`pad 0 press Hat up, Button 1`, `pad 0 release Hat up`, `pad 0 disconnect`."""
    if len(rest) < 2:
        raise _LineError(first.place, f"pad must be followed by its number and one of {named(PAD_STEPS)}")
    number, step, *names = rest
    if not re.fullmatch(r"[0-9]", number.text) or int(number.text) >= MOST_PADS:
        raise _LineError(number.place, f"pads have numbers from 0 to {MOST_PADS - 1}, not {number.text!r}")
    if step.text not in PAD_STEPS:
        text = f"a pad has no step {step.text!r}{nearest(step.text, PAD_STEPS)} (steps: {named(PAD_STEPS)})"
        raise _LineError(step.place, text)
    if step.text in ("press", "release"):
        return PadMove(int(number.text), tuple(_sources(step, names)), step.text == "press")
    if names:
        raise _LineError(names[0].place, f"nothing may follow {step.text}, but then comes {names[0].text!r}")
    return PadLink(int(number.text), step.text == "connect")


def _sources(step: _Word, words: list[_Word]) -> Iterator[Source]:
    """The names of sources between commas."""
    wanted = "a source such as Button 1, Hat up, D-pad up or Y-"
    groups: list[list[_Word]] = [[]]
    for word in words:
        if word.text == ",":
            groups.append([])
        else:
            groups[-1].append(word)
    for group in groups:
        if not group:
            raise _LineError(words[-1].place if words else step.place, f"after {step.text} comes {wanted}")
        text = " ".join(word.text for word in group)
        source = source_named(text)
        if source is None:
            raise _LineError(group[0].place, f"a pad has no source {text!r}{nearest(text, NAMES)} ({wanted})")
        yield source


def _keyboard_at_end(rest: list[_Word]) -> tuple[int, list[_Word]]:
    """The keyboard in `on N` at the end of a line, 0 without it, and the words before."""
    if len(rest) >= 2 and rest[-2].text == "on":
        return _keyboard(rest[-1]), rest[:-2]
    return 0, rest


def _keyboard(word: _Word) -> int:
    if not re.fullmatch(r"[0-9]", word.text) or int(word.text) >= MOST_KEYBOARDS:
        raise _LineError(word.place, f"keyboards have numbers from 0 to {MOST_KEYBOARDS - 1}, not {word.text!r}")
    return int(word.text)


def _changes(words: list[_Word]) -> Iterator[KeyChange]:
    """Keys after `down` or `up`; after a comma the other word may follow, for keys that change in the same report."""
    down, named_one = words[0].text == "down", False
    after_comma = False
    for word in words[1:]:
        if word.text == ",":
            if not named_one or after_comma:
                raise _LineError(word.place, "there must be a key before a comma")
            after_comma = True
        elif after_comma and word.text in ("down", "up"):
            down, after_comma, named_one = word.text == "down", False, False
        else:
            yield KeyChange(_usage(word), down)
            named_one, after_comma = True, False
    if after_comma or not named_one:
        raise _LineError(
            words[-1].place, f"{'down' if down else 'up'} must be followed by the code of a key, such as KeyA"
        )


def _usage(word: _Word) -> Usage:
    if re.fullmatch(r"0[xX][0-9a-fA-F]{1,2}", word.text):
        fact = by_number(int(word.text, 16))
        if fact is not None:
            return fact.usage
        raise _LineError(word.place, f"page 0x07 of the HID usages has no {word.text}")
    usages = by_code(word.text)
    if usages:
        return usages[0]
    codes = {fact.code.casefold(): fact.code for fact in USAGES if fact.code}
    same = codes.get(word.text.casefold())
    hint = f"; did you mean {same}?" if same else nearest(word.text, codes.values())
    raise _LineError(
        word.place, f"there is no key {word.text!r}{hint} (a key is a W3C code such as KeyA, or a number such as 0x64)"
    )


def _bytes(first: _Word, rest: list[_Word], most: int) -> bytes:
    """Bytes of two hexadecimal digits each; blanks between them are optional."""
    out = bytearray()
    for word in rest:
        if not re.fullmatch(r"(?:[0-9a-fA-F]{2})+", word.text):
            raise _LineError(word.place, f"a byte is two hexadecimal digits, not {word.text!r}")
        out += bytes.fromhex(word.text)
        if len(out) > most:
            raise _LineError(word.place, f"{first.text} takes at most {most} bytes")
    return bytes(out)


def _ticks(first: _Word, rest: list[_Word], signed: bool) -> int:
    """A time as a number and its unit, in ticks."""
    wanted = "a time such as 20 ms"
    match = re.fullmatch(r"([+-]?)([0-9]{1,9}(?:\.[0-9]{1,6})?)(us|ms|s)", "".join(word.text for word in rest))
    if not match or (match.group(1) and not signed):
        raise _LineError(
            rest[0].place if rest else first.place, f"{first.text} must be followed by {wanted} (units: us, ms, s)"
        )
    ticks = Fraction(match.group(2)) * UNITS_US[match.group(3)] / TICK_US
    if ticks.denominator != 1:
        raise _LineError(rest[0].place, f"times are whole multiples of {TICK_US} us")
    if ticks > MOST_TICKS:
        raise _LineError(rest[0].place, "one line can move the time by at most 10,000 s")
    return -int(ticks) if match.group(1) == "-" else int(ticks)
