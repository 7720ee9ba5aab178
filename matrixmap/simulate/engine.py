"""What a runtime offers, whether it is the reference model or the compiled C: input sets in, contacts out."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Protocol

from matrixmap.model.machine import Contact
from matrixmap.press.compiled import bits

NEVER = 0xFFFF
"""What `advance` returns when nothing will change before the next input."""

CLOCK_TICKS = 0x10000
"""The clock of the runtime wraps after this many ticks."""


def contacts_of(mask: int) -> frozenset[Contact]:
    """The contacts of a mask: bit n is contact n."""
    return frozenset(map(Contact, bits(mask)))


class Result(IntEnum):
    """What became of an input set; the numbers are those of `mm_result`."""

    TAKEN = 0
    ROLLED = 1
    DROPPED = 2
    MALFORMED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Sizes of the runtime's fixed memory, as in `mm_config.h`."""

    keyboards: int = 1
    waiting: int = 8
    held: int = 10


@dataclass(frozen=True, slots=True)
class Shown:
    """All that a runtime shows at one moment.

    `leds` are the bits of the boot output report; counters stay at their greatest value.
    """

    contacts: frozenset[Contact]
    leds: int
    overflows: int
    refusals: int
    idle: bool


class Engine(Protocol):
    """One state of a runtime with layouts to choose from; the first is used from the start."""

    def boot_report(self, keyboard: int, report: bytes) -> Result:
        """Takes a boot report."""

    def usages(self, keyboard: int, down: bytes) -> Result:
        """Takes 32 bytes with the usages that are down, bit u % 8 of byte u / 8."""

    def disconnected(self, keyboard: int) -> None:
        """The link to a keyboard is lost."""

    def change_layout(self, number: int) -> None:
        """Asks for another of the layouts."""

    def advance(self, now: int) -> int:
        """Acts on what is due at a time in ticks (0 to 0xFFFF); ticks to the next change, 0 for at once, or NEVER."""

    def take_command(self) -> int | None:
        """The command that is due, once."""

    def shown(self) -> Shown:
        """What is closed and lit, and the counters."""
