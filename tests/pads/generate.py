"""Made-up report descriptors of pads and their reports: every form of item that pads use, and more."""

from __future__ import annotations

import random

from tests.desk import generate as keys
from tests.desk.generate import collection, item, logical, main_item, page, report_id, shape, usage, usages

DESKTOP, BUTTON = 0x01, 0x09
JOYSTICK, GAME_PAD = 0x04, 0x05
DATA, ARRAY, CONSTANT, NULL = 0x02, 0x00, 0x03, 0x42


def _range(rng: random.Random) -> tuple[int, int]:
    """Of an axis: as they occur, and some that make no sense."""
    return rng.choice(
        (
            (0, 255),
            (0, 255),
            (-127, 127),
            (-128, 127),
            (-1, 1),
            (0, 1023),
            (0, 65535),
            (-32768, 32767),
            (1, 255),
            (0, 3),
            (-32767, 32767),
            (5, 5),
            (0, 0x7FFFFFFF),
            (-40000, 30000),
            (rng.randint(-40000, 70000), rng.randint(-40000, 70000)),
        )
    )


def _flags(rng: random.Random) -> int:
    return rng.choice((DATA, DATA, DATA, NULL, NULL, 0x06, 0x82, CONSTANT))


def _size(rng: random.Random, low: int, high: int) -> int:
    bits = max(abs(low), abs(high)).bit_length() + (low < 0)
    return max(1, rng.choice((8, 8, 16, bits, bits, 12, 10, rng.randint(1, 18), 32)))


def _axes(rng: random.Random) -> bytes:
    low, high = _range(rng)
    numbers = rng.choice(
        (
            (0x30, 0x31),
            (0x30, 0x31),
            (0x30, 0x31, 0x32, 0x35),
            (0x30,),
            (0x31,),
            (0x30, 0x30, 0x31),
            tuple(rng.choice((0x30, 0x31, 0x32, 0x33, 0x34, 0x35, 0x36, 0x39)) for _ in range(rng.randint(1, 5))),
        )
    )
    count = max(1, len(numbers) + rng.choice((0, 0, 0, 0, 1, -1)))
    named = (
        usages(numbers[0], numbers[-1])
        if rng.random() < 0.2 and numbers[0] <= numbers[-1]
        else b"".join(map(usage, numbers))
    )
    inside = (
        page(DESKTOP)
        + named
        + logical(low, high)
        + shape(_size(rng, low, high), count)
        + main_item("input", _flags(rng))
    )
    return usage(1) + collection(0, inside) if rng.random() < 0.4 else inside


def _hat(rng: random.Random) -> bytes:
    low, values = rng.choice((0, 0, 0, 1, 1, -1, -4, 8, 100)), rng.choice((8, 8, 8, 4, 4, 9, 7, 1))
    size = rng.choice((4, 4, 4, 3, 8, 8, 2, 16, 20))
    return (
        page(DESKTOP)
        + usage(0x39)
        + logical(low, low + values - 1)
        + shape(size, 1)
        + main_item("input", rng.choice((NULL, NULL, DATA, CONSTANT)))
    )


def _buttons(rng: random.Random) -> bytes:
    first = rng.choice((1, 1, 1, 0, 9, 30))
    count = rng.choice((1, 2, 8, 10, 12, 16, rng.randint(1, 40)))
    last = max(first, first + count - 1 + rng.choice((0, 0, 0, -2, 3)))
    low, high = rng.choice(((0, 1), (0, 1), (0, 1), (0, 255), (0, 0), (1, 2), (-1, 0), (0, 15), (3, 9), (300, 400)))
    size = rng.choice((1, 1, 1, 1, 2, 8, 16, 17))
    return (
        page(BUTTON) + usages(first, last) + logical(low, high) + shape(size, count) + main_item("input", _flags(rng))
    )


def _listed(rng: random.Random) -> bytes:
    numbers = [
        rng.choice((BUTTON << 16 | rng.randint(0, 34), DESKTOP << 16 | rng.randint(0x8F, 0x94), rng.randint(1, 12)))
        for _ in range(rng.randint(1, 8))
    ]
    return (
        page(BUTTON)
        + b"".join(map(usage, numbers))
        + logical(0, 1)
        + shape(rng.choice((1, 1, 3)), max(1, len(numbers) + rng.choice((0, 0, 2, -1))))
        + main_item("input", rng.choice((DATA, NULL)))
    )


def _dpad(rng: random.Random) -> bytes:
    named = usages(0x90, 0x93) if rng.random() < 0.5 else b"".join(map(usage, rng.sample(range(0x90, 0x94), 4)))
    return page(DESKTOP) + named + logical(0, 1) + shape(1, 4) + main_item("input", DATA)


def _array(rng: random.Random) -> bytes:
    low = rng.choice((0, 1, 1, -2, 5))
    first, last = sorted((rng.randint(0, 6), rng.randint(4, 36)))
    high = low + rng.choice((last - first, 3, 12, 40))
    named = usages(first, last) + (usage(DESKTOP << 16 | 0x92) if rng.random() < 0.4 else b"")
    return (
        page(BUTTON)
        + named
        + logical(low, high)
        + shape(rng.choice((1, 3, 4, 8, 8, 16, 20)), rng.randint(1, 4))
        + main_item("input", ARRAY)
    )


def _padding(rng: random.Random) -> bytes:
    return shape(*rng.choice(((8, 1), (1, 4), (1, 6), (3, 1)))) + main_item("input", rng.choice((1, 3)))


def _vendor(rng: random.Random) -> bytes:
    return page(0xFF00) + usage(0x20) + logical(0, 255) + shape(8, rng.randint(1, 3)) + main_item("input", DATA)


def _lone(rng: random.Random) -> bytes:
    """A Usage Minimum or a Maximum alone, rarely."""
    lone = item(rng.choice((0x18, 0x28)), 3) if rng.random() < 0.1 else b""
    return page(BUTTON) + lone + usage(5) + logical(0, 1) + shape(1, 2) + main_item("input", rng.choice((2, 2, 1)))


def _pushed(rng: random.Random) -> bytes:
    return b"\xa4" + _axes(rng) + b"\xb4"


PARTS = (_axes, _axes, _hat, _hat, _buttons, _buttons, _listed, _dpad, _array, _padding, _vendor, _pushed, _lone)


def pad(rng: random.Random) -> bytes:
    """A device of some collections, most of them pads, with ids or without."""
    numbered = rng.random() < 0.5
    number, data = 0, b""
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        kind = rng.choice((JOYSTICK, GAME_PAD, GAME_PAD, 6, 8))
        inside = b""
        for _ in range(rng.choice((1, 1, 2))):
            if numbered and rng.random() < 0.92:
                number += 1
                inside += report_id(rng.choice((number, number, rng.randint(1, 3))))
            if kind == 6:
                inside += keys.MODIFIERS
            for _ in range(rng.randint(1, 5)):
                inside += rng.choice(PARTS)(rng)
        data += page(DESKTOP) + usage(kind) + collection(rng.choice((1, 1, 1, 1, 1, 0)), inside)
    return data


def damaged(rng: random.Random, data: bytes) -> bytes:
    """The same with some bytes changed, cut, doubled or left out."""
    out = bytearray(data)
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(out)) if out else 0
        match rng.randint(0, 4):
            case 0 if out:
                out[at] = rng.randrange(256)
            case 1 if out:
                out[at] ^= 1 << rng.randrange(8)
            case 2 if out:
                del out[at]
            case 3:
                out[at:at] = item(rng.choice((0x04, 0x08, 0x14, 0x24, 0x74, 0x94, 0x84, 0xA8)), rng.randrange(300))
            case _:
                del out[at:]
    return bytes(out)


def report(rng: random.Random, length: int, id: int) -> bytes:
    """A report: random, all zeros, all ones, or near the middle; sometimes too short or too long, or of another id."""
    fill = rng.choice((0x00, 0xFF, 0x7F, 0x80, 0x0F))
    kind = rng.random()
    out = bytearray(rng.randbytes(length) if kind < 0.5 else bytes([fill]) * length)
    if kind > 0.7:
        for _ in range(rng.randint(1, 4)):
            if out:
                out[rng.randrange(len(out))] = rng.choice((0, 1, 8, 0x0F, 0x40, 0x7F, 0x80, 0xC0, 0xFF))
    if id and out:
        out[0] = id if rng.random() < 0.95 else rng.randrange(256)
    if rng.random() < 0.05:
        out = out[: rng.randint(0, length)]
    if rng.random() < 0.05:
        out += b"\xa5"
    return bytes(out)
