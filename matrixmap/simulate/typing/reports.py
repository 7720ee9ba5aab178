"""A keyboard: keys that a person moves become the reports that an adapter receives.

There are two kinds of link. One samples the keys at its interval, so that it misses a key that is pressed and released
in between. The other queues every change and sends one at each interval, late but complete.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from matrixmap.hid.usages import BOOT_KEYS, ERROR_ROLL_OVER, MODIFIER_BITS, Usage


class Link(Enum):
    """How changes of keys become reports."""

    SAMPLED = "sampled"
    QUEUED = "queued"


@dataclass(frozen=True, slots=True)
class Move:
    """A movement of a key at a time in microseconds."""

    time_us: int
    usage: Usage
    down: bool


@dataclass(frozen=True, slots=True)
class Sent:
    """A boot report that arrives at a time in microseconds."""

    time_us: int
    report: bytes


def boot_report(down: Iterable[Usage]) -> bytes:
    """The boot report of these keys, ErrorRollOver in all fields for more than six (HID 1.11, appendices B.1 and C)."""
    modifiers, keys = 0, []
    for usage in sorted(down):
        bit = MODIFIER_BITS.get(usage)
        if bit is None:
            keys.append(usage)
        else:
            modifiers |= 1 << bit
    fields = keys if len(keys) <= BOOT_KEYS else [ERROR_ROLL_OVER] * BOOT_KEYS
    return bytes([modifiers, 0, *fields, *[0] * (BOOT_KEYS - len(fields))])


def reports(moves: Iterable[Move], link: Link, interval_us: int) -> Iterator[Sent]:
    """The reports of moves in ascending order of time; a report is sent only if it differs from the one before."""
    return _sampled(moves, interval_us) if link is Link.SAMPLED else _queued(moves, interval_us)


def _sampled(moves: Iterable[Move], interval_us: int) -> Iterator[Sent]:
    down: set[Usage] = set()
    last = boot_report(down)
    due = 0
    for move in moves:
        # A sample includes moves at its very moment.
        slot = -(-move.time_us // interval_us) * interval_us
        if slot != due:
            report = boot_report(down)
            if report != last:
                yield Sent(due, report)
                last = report
            due = slot
        _apply(down, move)
    report = boot_report(down)
    if report != last:
        yield Sent(due, report)


def _queued(moves: Iterable[Move], interval_us: int) -> Iterator[Sent]:
    down: set[Usage] = set()
    last = boot_report(down)
    free = 0
    for move in moves:
        _apply(down, move)
        report = boot_report(down)
        if report == last:
            continue
        due = max(-(-move.time_us // interval_us) * interval_us, free)
        yield Sent(due, report)
        last, free = report, due + interval_us


def _apply(down: set[Usage], move: Move) -> None:
    if move.down:
        down.add(move.usage)
    else:
        down.discard(move.usage)
