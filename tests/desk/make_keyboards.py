"""Writes the recordings in keyboards/ and, beside each, the keys that are down after each report.

The keyboards are invented: those that visitors of the harbour-town museum bring along. What each sends is packed here by
hand, without the project's own reader, so that the two can be compared.
Run it as `python -m tests.desk.make_keyboards`.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.desk.generate import (
    CONSUMER,
    DESKTOP,
    KEYS,
    LEDS,
    MODIFIERS,
    VENDOR,
    collection,
    logical,
    main_item,
    page,
    report_id,
    shape,
    usage,
    usages,
)

FOLDER = Path(__file__).with_name("keyboards")

PADDING = shape(8, 1) + main_item("input", 1)
LED_BYTE = page(LEDS) + usages(1, 5) + shape(1, 5) + main_item("output", 2) + shape(3, 1) + main_item("output", 1)
SIX = page(KEYS) + usages(0, 0x65) + logical(0, 0x65) + shape(8, 6) + main_item("input", 0)


def keyboard(inside: bytes) -> bytes:
    """An application collection Keyboard."""
    return page(DESKTOP) + usage(0x06) + collection(1, inside)


Keys = frozenset[int]
Packed = Iterator[bytes]


def modifier_byte(keys: Keys) -> int:
    """Bit n for usage 0xE0 + n."""
    return sum(1 << key - 0xE0 for key in keys if key >= 0xE0)


def six_values(keys: Keys, low: int, high: int) -> bytes:
    """The keys from `low` to `high` in the order of their numbers; all 0x01 if they are more than six."""
    held = sorted(key for key in keys if low <= key <= high)
    return bytes([1] * 6) if len(held) > 6 else bytes(held + [0] * (6 - len(held)))


def bitmap(keys: Keys, first: int, last: int, size: int) -> bytes:
    """A bit for each key from `first` to `last`."""
    return sum(1 << key - first for key in keys if first <= key <= last).to_bytes(size, "little")


def six_key(before: Keys, keys: Keys) -> Packed:
    """A boot report."""
    yield bytes([modifier_byte(keys), 0]) + six_values(keys, 4, 0x65)


def all_bits(before: Keys, keys: Keys) -> Packed:
    """The modifiers, then a bit for each usage from 0x00 to 0x97, under id 6."""
    yield bytes([6, modifier_byte(keys)]) + bitmap(keys, 0, 0x97, 19)


def mixed(before: Keys, keys: Keys) -> Packed:
    """A boot report, and after it a bit for each usage from 0x66 to 0xA5."""
    yield bytes([modifier_byte(keys), 0]) + six_values(keys, 4, 0x65) + bitmap(keys, 0x66, 0xA5, 8)


def with_consumer(before: Keys, keys: Keys) -> Packed:
    """A boot report under id 1; Volume Increment, under id 2, goes with Escape."""
    yield bytes([1, modifier_byte(keys), 0]) + six_values(keys, 4, 0x65)
    if (0x29 in keys) != (0x29 in before):
        yield bytes([2, 0xE9 if 0x29 in keys else 0, 0])


def short_of_a_bit(before: Keys, keys: Keys) -> Packed:
    """The modifiers and a bit for each usage from 0x04 to 0x67; three bits of padding where four were needed."""
    yield bytes([modifier_byte(keys)]) + bitmap(keys, 4, 0x67, 13)


def in_two(before: Keys, keys: Keys) -> Packed:
    """Six keys under id 1; what is too many for them goes as bits under id 2."""
    first = frozenset(sorted(key for key in keys if key < 0xE0)[:6])
    first_before = frozenset(sorted(key for key in before if key < 0xE0)[:6])
    rest, rest_before = (
        frozenset(key for key in some if key < 0xE0) - part for some, part in ((keys, first), (before, first_before))
    )
    if (first, modifier_byte(keys)) != (first_before, modifier_byte(before)):
        yield bytes([1, modifier_byte(keys), 0]) + six_values(first, 4, 0xE7)
    if rest != rest_before:
        yield bytes([2]) + bitmap(rest, 4, 0x7B, 15)


@dataclass(frozen=True, slots=True, kw_only=True)
class Visitor:
    """A keyboard: its name, its descriptor, what it sends, and whether its keys are more than it can tell at once."""

    name: str
    descriptor: bytes
    send: Callable[[Keys, Keys], Packed]
    six_only: bool


VISITORS = {
    "six-key": Visitor(
        name="Visitor's keyboard, six keys at once",
        descriptor=keyboard(MODIFIERS + PADDING + LED_BYTE + SIX),
        send=six_key,
        six_only=True,
    ),
    "bitmap": Visitor(
        name="Visitor's keyboard, a bit for each key",
        descriptor=keyboard(
            report_id(6)
            + MODIFIERS
            + usages(0, 0x97)
            + shape(1, 0x98)
            + main_item("input", 2)
            + page(LEDS)
            + usages(1, 3)
            + shape(1, 3)
            + main_item("output", 2)
            + shape(5, 1)
            + main_item("output", 1)
        ),
        send=all_bits,
        six_only=False,
    ),
    "mixed": Visitor(
        name="Visitor's keyboard, six keys and bits for the rest",
        descriptor=keyboard(
            MODIFIERS
            + PADDING
            + LED_BYTE
            + SIX
            + usages(0x66, 0xA5)
            + logical(0, 1)
            + shape(1, 0x40)
            + main_item("input", 2)
        ),
        send=mixed,
        six_only=True,
    ),
    "consumer": Visitor(
        name="Visitor's keyboard with volume keys",
        descriptor=keyboard(report_id(1) + MODIFIERS + PADDING + LED_BYTE + SIX)
        + page(CONSUMER)
        + usage(0x01)
        + collection(1, report_id(2) + usages(0, 0x3FF) + logical(0, 0x3FF) + shape(16, 1) + main_item("input", 0))
        + page(DESKTOP)
        + usage(0x80)
        + collection(
            1,
            report_id(3)
            + usages(0x81, 0x83)
            + logical(0, 1)
            + shape(1, 3)
            + main_item("input", 2)
            + shape(5, 1)
            + main_item("input", 3),
        ),
        send=with_consumer,
        six_only=True,
    ),
    "wrong-padding": Visitor(
        name="Visitor's keyboard, a bit short of whole bytes",
        descriptor=keyboard(
            MODIFIERS + usages(4, 0x67) + shape(1, 100) + main_item("input", 2) + shape(1, 3) + main_item("input", 1)
        ),
        send=short_of_a_bit,
        six_only=False,
    ),
    "two-collections": Visitor(
        name="Visitor's keyboard in two collections",
        descriptor=keyboard(
            report_id(1)
            + MODIFIERS
            + PADDING
            + page(KEYS)
            + usages(0, 0xE7)
            + logical(0, 0xE7)[:2]
            + b"\x26\xe7\x00"
            + shape(8, 6)
            + main_item("input", 0)
        )
        + keyboard(report_id(2) + page(KEYS) + usages(4, 0x7B) + logical(0, 1) + shape(1, 120) + main_item("input", 2))
        + page(VENDOR)
        + usage(1)
        + collection(
            1, report_id(9) + usage(2) + logical(0, 255)[:2] + b"\x26\xff\x00" + shape(8, 4) + main_item("feature", 2)
        ),
        send=in_two,
        six_only=False,
    ),
}

LETTERS = {chr(ord("a") + number): 0x04 + number for number in range(26)}
DIGITS = {digit: 0x1E + number for number, digit in enumerate("1234567890")}
PRINTED = {**LETTERS, **DIGITS, "\n": 0x28, " ": 0x2C, ",": 0x36, ".": 0x37}

TEXT = "Good morning, Quillon 8.\nThe Ferrule listens at the harbour, 1234567890.\n"


def strokes(rng: random.Random) -> Iterator[tuple[int, Keys]]:
    """Time in microseconds and keys that are down: a typist who presses the next key before the last is up."""
    now = 250_000
    held: list[int] = []

    def later(least: int, most: int) -> int:
        nonlocal now
        now += rng.randrange(least, most)
        return now

    for char in TEXT:
        key = PRINTED[char.lower()]
        shift = char.isupper()
        if key in held:
            held.remove(key)
            yield later(9_000, 20_000), frozenset(held)
        if shift:
            held.append(0xE1)
            yield later(15_000, 40_000), frozenset(held)
        held.append(key)
        yield later(30_000, 70_000), frozenset(held)
        if shift:
            held.remove(0xE1)
            yield later(8_000, 20_000), frozenset(held)
        while len(held) > 1 or (held and rng.random() < 0.4):
            held.pop(0)
            yield later(10_000, 40_000), frozenset(held)
    # A sleeve on the keys: eight at once, with Control, and up again; Escape, which some keyboards answer with volume.
    for key in (0xE0, 0x04, 0x16, 0x07, 0x09, 0x0A, 0x0B, 0x0D, 0x0E):
        held.append(key)
        yield later(8_000, 12_000), frozenset(held)
    for key in (0xE0, 0x0E, 0x0D, 0x04):
        held.remove(key)
        yield later(8_000, 12_000), frozenset(held)
    yield later(30_000, 60_000), frozenset()
    yield later(90_000, 120_000), frozenset({0x29})
    yield later(60_000, 90_000), frozenset()
    # The key beside Enter on an ISO board, which sends 0x32, and the one beside the left Shift.
    for key in (0x32, 0x64):
        yield later(90_000, 120_000), frozenset({key})
        yield later(60_000, 90_000), frozenset()


def session(visitor: Visitor, seed: int) -> Iterator[tuple[int, bytes, Keys, bool]]:
    """Each report with its time, the keys that a host should hold down after it, and whether it told of too many."""
    before: Keys = frozenset()
    shown: Keys = frozenset()
    for time, keys in strokes(random.Random(seed)):
        plain = frozenset(key for key in keys if key < 0xE0)
        rolled = visitor.six_only and len(plain) > 6
        shown = (shown - frozenset(range(0xE0, 0xE8)) | keys - plain) if rolled else keys
        reports = list(visitor.send(before, keys))
        for place, data in enumerate(reports):
            # Of two reports for one moment the first brings only its own part.
            other = data[0] == 2 and visitor.send is with_consumer
            part = shown if place == len(reports) - 1 or visitor.send is with_consumer else _first_part(data, before)
            yield time + 125 * place, data, part, rolled and not other
        before = keys


def _first_part(data: bytes, before: Keys) -> Keys:
    """Of a keyboard in two collections: the new keys of report 1 with the old ones of report 2."""
    modifiers = frozenset(0xE0 + bit for bit in range(8) if data[1] >> bit & 1)
    rest_before = frozenset(sorted(key for key in before if key < 0xE0)[6:])
    return modifiers | frozenset(data[3:]) - {0} | rest_before


def recording(visitor: Visitor, seed: int) -> tuple[str, str]:
    """The text of a recording and the list of the keys after each report, a line each."""
    descriptor = visitor.descriptor
    lines = [
        "# A keyboard invented for the demo scenario of matrixmap: the harbour-town museum.",
        "D: 0",
        f"R: {len(descriptor)} {descriptor.hex(' ')}",
        f"N: {visitor.name}",
        "I: 3 0000 0000",
    ]
    expected = []
    for time, data, keys, rolled in session(visitor, seed):
        stamp = f"{time // 1_000_000:06d}.{time % 1_000_000:06d}"
        lines.append(f"E: {stamp} {len(data)} {data.hex(' ')}")
        numbers = " ".join(f"{key:02x}" for key in sorted(keys))
        expected.append(f"{stamp} {'rolled' if rolled else 'keys'} {numbers}".rstrip())
    return "\n".join([*lines, ""]), "\n".join([*expected, ""])


def files() -> Iterator[tuple[str, str]]:
    """Name and text of every file."""
    for seed, (name, visitor) in enumerate(VISITORS.items()):
        text, expected = recording(visitor, seed)
        yield f"{name}.rec", text
        yield f"{name}.keys", expected


def main() -> None:
    """Write them all."""
    for name, text in files():
        (FOLDER / name).write_text(text, encoding="ascii", newline="\n")


if __name__ == "__main__":
    main()
