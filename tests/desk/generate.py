"""Made-up report descriptors and reports for the comparisons: every form of item that keyboards use, and more."""

from __future__ import annotations

import random
from collections.abc import Callable

DESKTOP, KEYS, LEDS, CONSUMER, VENDOR = 0x01, 0x07, 0x08, 0x0C, 0xFF00


def item(prefix: int, value: int = 0, *, size: int | None = None, signed: bool = False) -> bytes:
    """A short item, as small as its value allows or with `size` bytes of data."""
    if size is None:
        sizes = (1, 2, 4)
        size = next(
            size
            for size in sizes
            if (-(1 << 8 * size - 1) <= value < 1 << 8 * size - 1 if signed else 0 <= value < 1 << 8 * size)
        )
    code = {0: 0, 1: 1, 2: 2, 4: 3}[size]
    return bytes([prefix | code]) + (value & (1 << 8 * size) - 1).to_bytes(size, "little")


def page(number: int) -> bytes:
    """Usage Page."""
    return item(0x04, number)


def usage(number: int) -> bytes:
    """Usage; with a page in the upper 16 bits it is a long one."""
    return item(0x08, number)


def usages(first: int, last: int) -> bytes:
    """Usage Minimum and Usage Maximum."""
    return item(0x18, first) + item(0x28, last)


def logical(low: int, high: int) -> bytes:
    """Logical Minimum and Logical Maximum."""
    return item(0x14, low, signed=True) + item(0x24, high, signed=True)


def shape(size: int, count: int) -> bytes:
    """Report Size and Report Count."""
    return item(0x74, size) + item(0x94, count)


def report_id(number: int) -> bytes:
    """Report ID."""
    return item(0x84, number)


def main_item(kind: str, flags: int) -> bytes:
    """Input, Output or Feature."""
    return item({"input": 0x80, "output": 0x90, "feature": 0xB0}[kind], flags)


def collection(kind: int, inside: bytes) -> bytes:
    """A collection and its end."""
    return item(0xA0, kind) + inside + b"\xc0"


MODIFIERS = page(KEYS) + usages(0xE0, 0xE7) + logical(0, 1) + shape(1, 8) + main_item("input", 2)


def _array(rng: random.Random) -> bytes:
    size = rng.choice((4, 5, 8, 8, 8, 8, 10, 16))
    count = rng.randint(1, 8)
    first = rng.choice((0, 0, 0, 1, 4, 0x53))
    last = rng.choice((0x65, 0x65, 0x77, 0xA4, 0xDD, 0xE7, 0xFF))
    low = rng.choice((0, 0, 0, first, 1, -1, -8, 100))
    high = max(low, min(low + last - first, rng.choice((101, 255, 400)), 1 << size))
    return page(KEYS) + usages(first, last) + logical(low, high) + shape(size, count) + main_item("input", 0)


def _listed_array(rng: random.Random) -> bytes:
    numbers = [rng.choice((0, 1, rng.randint(4, 0xE7), rng.randint(0, 0x1FF))) for _ in range(rng.randint(1, 20))]
    high = rng.randint(0, len(numbers) + 2)
    return (
        page(KEYS)
        + b"".join(map(usage, numbers))
        + logical(0, high)
        + shape(rng.choice((4, 8)), rng.randint(1, 4))
        + main_item("input", 0)
    )


def _bitmap(rng: random.Random) -> bytes:
    first = rng.choice((0, 4, 4, 0x50, 0x81))
    count = rng.choice((8, 16, 104, 120, 128, rng.randint(1, 200)))
    last = min(0x1FF, max(first, first + count - 1 + rng.choice((0, 0, 0, -3, 5))))
    return (
        page(KEYS) + usages(first, last) + logical(0, 1) + shape(1, count) + main_item("input", rng.choice((2, 2, 6)))
    )


def _listed_bits(rng: random.Random) -> bytes:
    numbers = [
        rng.choice((rng.randint(4, 0xE7), KEYS << 16 | rng.randint(4, 0xE7), CONSUMER << 16 | 0xE9))
        for _ in range(rng.randint(1, 12))
    ]
    size = rng.choice((1, 1, 2, 3, 8))
    count = len(numbers) + rng.choice((0, 0, 3, -1 if len(numbers) > 1 else 0))
    return page(KEYS) + b"".join(map(usage, numbers)) + logical(0, 1) + shape(size, count) + main_item("input", 2)


def _padding(rng: random.Random) -> bytes:
    return shape(*rng.choice(((8, 1), (1, 8), (1, 5), (3, 1), (16, 2)))) + main_item("input", rng.choice((1, 3)))


def _consumer(rng: random.Random) -> bytes:
    if rng.random() < 0.5:
        return (
            page(CONSUMER) + usages(0, 0x3FF) + logical(0, 0x3FF) + shape(16, rng.randint(1, 2)) + main_item("input", 0)
        )
    listed = b"".join(map(usage, (0xE9, 0xEA, 0xE2, 0xCD)))
    return page(CONSUMER) + listed + logical(0, 1) + shape(1, 4) + main_item("input", 2)


def _leds(rng: random.Random) -> bytes:
    """The LEDs of a boot keyboard, or some in any order and of any size, with other outputs around them."""
    if rng.random() < 0.3:
        padding = shape(1, 3) + main_item("output", 1)
        return page(LEDS) + usages(1, 5) + logical(0, 1) + shape(1, 5) + main_item("output", 2) + padding
    out = b""
    if rng.random() < 0.4:
        out += page(VENDOR) + usage(1) + shape(*rng.choice(((1, 3), (8, 2), (5, 1)))) + main_item("output", 2)
    for _ in range(rng.randint(1, 2)):
        out += page(LEDS)
        numbers = [rng.choice((0, 1, 1, 2, 3, 4, 5, 6)) for _ in range(rng.randint(1, 6))]
        first, last = numbers[0], rng.choice((5, 7, 0x4D))
        count = max(1, len(numbers) + rng.choice((0, 0, 0, 3, -1)))
        if rng.random() < 0.5 and first < last:
            out += usages(first, last)
            count = last - first + 1 + rng.choice((0, 0, 0, 3, -1))
        else:
            out += b"".join(usage(rng.choice((0, 0, 0, LEDS << 16, KEYS << 16)) | number) for number in numbers)
        out += logical(0, 1) + shape(rng.choice((1, 1, 1, 2, 8)), count)
        out += main_item("output", rng.choice((2, 2, 2, 2, 6, 0, 1, 3)))
    return out


def _feature(rng: random.Random) -> bytes:
    return (
        page(VENDOR)
        + usage(rng.randint(1, 9))
        + logical(0, 255)
        + shape(8, rng.randint(1, 8))
        + main_item("feature", 2)
    )


def _pushed(rng: random.Random) -> bytes:
    return b"\xa4" + _consumer(rng) + b"\xb4"


PARTS: tuple[Callable[[random.Random], bytes], ...] = (
    lambda rng: MODIFIERS,
    _array,
    _listed_array,
    _bitmap,
    _listed_bits,
    _padding,
    _consumer,
    _leds,
    _feature,
    _pushed,
)


def _whole_bytes(bits: int) -> bytes:
    """Padding up to the next whole byte."""
    return shape(1, -bits % 8) + main_item("input", 1) if bits % 8 else b""


def keyboard(rng: random.Random) -> bytes:
    """A descriptor of one to three application collections, each with fields in a random order."""
    numbered = rng.random() < 0.5
    ids = rng.sample(range(1, 256), 3)
    out = b""
    for number in range(rng.randint(1, 3)):
        inside = report_id(ids[number]) if numbered else b""
        for _ in range(rng.randint(1, 6)):
            part = rng.choice(PARTS)(rng)
            if rng.random() < 0.15:
                part = usage(0x06) + collection(rng.choice((0, 2)), part)
            inside += part
            if numbered and rng.random() < 0.1:
                inside += report_id(rng.choice(ids))
        out += page(DESKTOP) + usage(rng.choice((0x06, 0x06, 0x07, 0x80))) + collection(1, inside)
    return out


def broken(rng: random.Random) -> bytes:
    """A descriptor with a few bytes changed, lost or added."""
    data = bytearray(keyboard(rng))
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(data)) if data else 0
        match rng.randrange(5):
            case 0 if data:
                data[at] = rng.randrange(256)
            case 1 if data:
                del data[at : at + rng.randint(1, 4)]
            case 2:
                data[at:at] = rng.randbytes(rng.randint(1, 4))
            case 3:
                data[at:at] = rng.choice(
                    (
                        *(b"\xa4", b"\xb4", b"\xc0", b"\xa9\x01", b"\xa9\x00", b"\xfe\x02\x10ab", b"\xa1\x01"),
                        *(page(LEDS), usages(1, 3), usage(4), report_id(7), usage(DESKTOP << 16 | 6)),
                    )
                )
            case _:
                del data[at:]
    return bytes(data)


def report(rng: random.Random, length: int, id: int) -> bytes:
    """A report of that length: sparse, full, or of small values that arrays take for keys."""
    style = rng.randrange(4)
    if style == 0:
        data = bytearray(rng.randbytes(length))
    elif style == 1:
        data = bytearray(rng.choice((0, 0, 0, 4, 5, 0x1E, 0x65, 0xE1, 0xFF, 1, 2, 3)) for _ in range(length))
    else:
        data = bytearray(length)
        for _ in range(rng.randint(0, 6)):
            if length:
                data[rng.randrange(length)] |= 1 << rng.randrange(8)
    if id and length:
        data[0] = id
    return bytes(data)
