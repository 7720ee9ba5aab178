"""What do pads close at one moment? Contacts, sense lines that are pulled low, modifier keys that count as held.

From `mm_runtime.h`, OUTPUT 10 and 11. Sets of crosspoints are masks: bit n is contact n. A sense line that is pulled
low while a select line is strobed reads like the crosspoint of both, so pulls are such masks, too.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from matrixmap.press.compiled import Compiled
from matrixmap.press.table.format import Wired


class Padded(NamedTuple):
    """Contacts that pads close, crosspoints that read closed by a pull, and modifier keys that pads close."""

    joined: int = 0
    pulled: int = 0
    held: int = 0


NONE = Padded()
"""No switch is closed."""


def padded_by(compiled: Compiled, shut: Sequence[int]) -> Padded:
    """What the closed switches do: one mask for each controller, in the order of the machine's file."""
    joined = pulled = held = 0
    for controller, switches in zip(compiled.controllers, shut, strict=False):
        for number, (wired, value, modifier) in enumerate(controller.switches):
            if not switches >> number & 1:
                continue
            select, sense = divmod(value, 16)
            if wired is Wired.GROUND:
                pulled |= sum(1 << line * compiled.sense + value for line in range(compiled.select))
            elif wired is Wired.GATED:
                pulled |= 1 << select * compiled.sense + sense
            else:
                joined |= 1 << select * compiled.sense + sense
                held |= modifier
    return Padded(joined, pulled, held)


def carries_on(contact: int, present: int, pulled: int, width: int, lines: int) -> bool:
    """Whether a contact, closed among those present, joins its sense line to one that is not read with it.

    Either its select line shares some, but not all, sense lines with what is read on another select line. Or another
    select line with the same sense line has one that is not read on its own.
    """
    row = (1 << width) - 1
    own, sense = divmod(contact, width)
    joined = present >> own * width & row
    here = joined | pulled >> own * width & row
    for line in range(lines):
        if line == own:
            continue
        there = present >> line * width & row
        read = there | pulled >> line * width & row
        if joined & read and joined & ~read:
            return True
        if there >> sense & 1 and there & ~here:
            return True
    return False
