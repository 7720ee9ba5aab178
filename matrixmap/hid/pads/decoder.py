"""What is on at a pad after each of its reports. A malformed report changes nothing.

The rules for values outside their logical range are those of the Linux kernel, drivers/hid/hid-input.c. A hat is then
at rest. Another value is ignored if its field has a null state; otherwise it is brought into the range.
"""

from __future__ import annotations

from enum import Enum
from typing import Final

from matrixmap.hid.descriptor import Descriptor
from matrixmap.hid.pads.sources import AXES, HAT, OTHER_AXES, SOURCES, STICK, Direction, Source
from matrixmap.hid.pads.steps import Axis, Choices, Hat, Pad, PadReport, Switches, WideSwitches
from matrixmap.hid.pads.stick import USUAL, Reach, Side, Thresholds, moved, slid

_HAT_STEPS: Final = (
    (Direction.UP,),
    (Direction.UP, Direction.RIGHT),
    (Direction.RIGHT,),
    (Direction.RIGHT, Direction.DOWN),
    (Direction.DOWN,),
    (Direction.DOWN, Direction.LEFT),
    (Direction.LEFT,),
    (Direction.LEFT, Direction.UP),
)
"""Clockwise from up."""


class PadResult(Enum):
    """How a report was handled: taken, not one of the pad's ids, or malformed."""

    TAKEN = 0
    OTHER = 1
    MALFORMED = 2


class PadDecoder:
    """One pad: takes its reports and knows what is on."""

    def __init__(self, descriptor: Descriptor, pad: Pad, limits: Thresholds = USUAL) -> None:
        self.numbered = descriptor.numbered
        self.limits = limits
        self._reports = {report.id: report for report in pad.reports}
        self._axes = {step.axis: step for report in pad.reports for step in report.steps if isinstance(step, Axis)}
        self.disconnect()

    def disconnect(self) -> None:
        """The link is lost: everything is released, and the stick must be seen at rest again."""
        self._switches = 0
        self._hat: tuple[Direction, ...] = ()
        self._values: dict[int, int] = {}
        self._stick = (Reach.NEW, frozenset[Direction]())
        self._sides = dict.fromkeys(range(2, len(AXES)), Side.NEW)

    def take(self, report: bytes) -> PadResult:
        """Takes a report as it came, including the byte of its id if the device has ids."""
        if not report or not self._reports:
            return PadResult.MALFORMED
        known = self._reports.get(report[0] if self.numbered else 0)
        if known is None:
            return PadResult.OTHER
        if len(report) < known.bytes:
            return PadResult.MALFORMED
        self._read(known, int.from_bytes(report[: known.bytes], "little"))
        self._move()
        return PadResult.TAKEN

    @property
    def on(self) -> int:
        """What is on: bit n is source n."""
        found = self._switches
        for direction in self._hat:
            found |= 1 << (HAT + direction.value)
        for direction in self._stick[1]:
            found |= 1 << (STICK + direction.value)
        for axis, side in self._sides.items():
            if side in (Side.LOW, Side.HIGH):
                found |= 1 << (OTHER_AXES + 2 * (axis - 2) + (side is Side.HIGH))
        return found

    def _read(self, report: PadReport, number: int) -> None:
        own = on = 0
        for step in report.steps:
            match step:
                case Switches() | WideSwitches():
                    mine, set_ = _switches(step, number)
                    own, on = own | mine, on | set_
                case Choices():
                    mine, set_ = _choices(step, number)
                    own, on = own | mine, on | set_
                case Axis():
                    value = _value(number, step.bit, step.size, step.low < 0)
                    if step.low <= value <= step.high or not step.null:
                        self._values[step.axis] = min(max(value, step.low), step.high)
                case Hat():
                    place = _value(number, step.bit, step.size, step.low < 0) - step.low
                    self._hat = _HAT_STEPS[place * 8 // step.values] if 0 <= place < step.values else ()
        self._switches = self._switches & ~own | on

    def _move(self) -> None:
        """Moves the stick and the other axes, once all axes of the stick are known."""
        places = {
            axis: (2 * self._values[axis] - step.low - step.high, step.high - step.low)
            for axis, step in self._axes.items()
            if axis in self._values
        }
        needed = {0, 1} & self._axes.keys()
        if needed and needed <= places.keys():
            x, x_range = places.get(0) or (0, places[1][1])
            y, y_range = places.get(1) or (0, x_range)
            self._stick = moved(self._stick[0], x, x_range, y, y_range, self.limits)
        for axis, before in self._sides.items():
            if axis in places:
                self._sides[axis] = slid(before, *places[axis], self.limits)


def sources_on(on: int) -> tuple[Source, ...]:
    """The sources of a mask."""
    return tuple(Source(number) for number in range(SOURCES) if on >> number & 1)


def _value(number: int, bit: int, size: int, signed: bool) -> int:
    value = number >> bit & (1 << size) - 1
    return value - (1 << size) if signed and value >> (size - 1) else value


def _switches(step: Switches | WideSwitches, number: int) -> tuple[int, int]:
    """The sources that this step covers, and those that are on."""
    own = on = 0
    for index in range(step.count):
        source = 1 << (step.source if step.same else step.source + index)
        if isinstance(step, Switches):
            value = number >> (step.bit + index) & 1
        else:
            value = _value(number, step.bit + index * step.size, step.size, step.low < 0)
            if not step.low <= value <= step.high and step.low <= step.high:
                if step.null:
                    continue
                value = min(max(value, step.low), step.high)
        own |= source
        on |= source if value else 0
    return own, on


def _choices(step: Choices, number: int) -> tuple[int, int]:
    own = on = 0
    mask = (1 << step.size) - 1
    for named in step.named:
        own |= ((1 << named.count) - 1) << named.source
    for index in range(step.count):
        value = number >> (step.bit + index * step.size) & mask
        for named in step.named:
            offset = (value - named.first) & mask
            if offset < named.count:
                on |= 1 << (named.source + offset)
    return own, on
