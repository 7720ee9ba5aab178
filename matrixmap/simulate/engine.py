"""What do both runtimes, the reference model and the compiled C, offer? Input sets in, contacts out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple, Protocol

from matrixmap.model.machine import Contact
from matrixmap.press.compiled import bits

NEVER = 0xFFFF
"""`advance` returns this if nothing will change before the next input."""

CLOCK_TICKS = 0x10000
"""The clock of the runtime wraps after this many ticks."""


def contacts_of(mask: int) -> frozenset[Contact]:
    """The contacts of a mask: bit n is contact n."""
    return frozenset(map(Contact, bits(mask)))


class Result(IntEnum):
    """The result of an input set; the numbers are those of `mm_result`."""

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


class ByPads(NamedTuple):
    """What pads do at one moment.

    `switches` has a mask of closed switches for each controller, in the order of the machine's file, up to the last
    controller with a closed one. `contacts` are the contacts that these switches close, `pulled` the crosspoints that
    read closed because of a pull: masks, bit n is contact n. `clashes` counts the strokes that stayed open or were
    opened because of pads.
    """

    switches: tuple[int, ...] = ()
    contacts: int = 0
    pulled: int = 0
    clashes: int = 0


def up_to_the_last(masks: Sequence[int]) -> tuple[int, ...]:
    """The masks without trailing zeros."""
    count = len(masks)
    while count and not masks[count - 1]:
        count -= 1
    return tuple(masks[:count])


NO_PADS = ByPads()
"""A runtime with no switch closed by pads."""


@dataclass(frozen=True, slots=True)
class Shown:
    """All that a runtime shows at one moment. `contacts` are all closed contacts, including those of pads.

    `leds` are the bits of the boot output report; a counter stays at its greatest value.
    """

    contacts: frozenset[Contact]
    leds: int
    overflows: int
    refusals: int
    idle: bool
    pads: ByPads = NO_PADS


class Engine(Protocol):
    """One state of a runtime with layouts to choose from; the first is used at the start."""

    def boot_report(self, keyboard: int, report: bytes) -> Result:
        """Takes a boot report."""

    def usages(self, keyboard: int, down: bytes) -> Result:
        """Takes the usages that are down as 32 bytes: bit u % 8 of byte u / 8."""

    def disconnected(self, keyboard: int) -> None:
        """The link to a keyboard is lost."""

    def change_layout(self, number: int) -> None:
        """Requests another of the layouts."""

    def controller(self, number: int, switches: int) -> None:
        """A pad holds these switches of a controller of the machine down; bits and number as in the machine's file."""

    def unplugged(self, number: int) -> None:
        """The pad of a controller is gone."""

    def advance(self, now: int) -> int:
        """Acts on what is due at a time in ticks (0 to 0xFFFF).

        Returns ticks to the next change, 0 for at once, or NEVER.
        """

    def take_command(self) -> int | None:
        """The command that is due; each is returned once."""

    def shown(self) -> Shown:
        """What is closed and lit, and the counters."""
