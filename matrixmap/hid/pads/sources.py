"""What can be on at a pad, by number and by name: `Button 1`, `D-pad up`, `Hat up`, `Y-`.

Usages are those of the USB-IF's HID Usage Tables: Generic Desktop (page 0x01) and Button (page 0x09). Left and up are
the negative ends of X and Y (Linux kernel, Documentation/input/gamepad.rst).
"""

from __future__ import annotations

from enum import Enum
from typing import Final, NewType

from matrixmap.hid.usages import Usage

Source = NewType("Source", int)
"""Buttons have the numbers 0 to 31; then come four each for D-pad, hat and stick (X and Y), then other axes."""

BUTTON_PAGE: Final = 0x09
FIRST_AXIS: Final = 0x30
HAT_USAGE: Final = 0x39
FIRST_DPAD: Final = 0x90
"""D-pad up, down, right and left are 0x90 to 0x93, in this order."""

STROKE_USAGES: Final = tuple(map(Usage, (*range(0xA5, 0xB0), 0xDE, 0xDF)))
"""Usages that a layout's table uses for sources that press a stroke: reserved on the keyboard page, so no key has them.

USB-IF, HID Usage Tables, keyboard page.
"""

AXES: Final = ("X", "Y", "Z", "Rx", "Ry", "Rz")
BUTTONS: Final = 32
"""The buttons that are read: 1 to 32."""

DPAD: Final = BUTTONS
HAT: Final = DPAD + 4
STICK: Final = HAT + 4
OTHER_AXES: Final = STICK + 4
SOURCES: Final = OTHER_AXES + 2 * (len(AXES) - 2)


class Direction(Enum):
    """A direction, by its place among the four of a D-pad, a hat or the stick."""

    UP = 0
    DOWN = 1
    RIGHT = 2
    LEFT = 3

    @property
    def opposite(self) -> Direction:
        """The opposite direction."""
        return Direction(self.value ^ 1)


_STICK_NAMES: Final = ("Y-", "Y+", "X+", "X-")


def source_name(source: Source) -> str:
    """The name of a source, as a layout writes it."""
    if source < DPAD:
        return f"Button {source + 1}"
    if source < STICK:
        direction = Direction((source - DPAD) % 4).name.lower()
        return f"{'D-pad' if source < HAT else 'Hat'} {direction}"
    if source < OTHER_AXES:
        return _STICK_NAMES[source - STICK]
    axis, end = divmod(source - OTHER_AXES, 2)
    return AXES[axis + 2] + "-+"[end]


NAMES: Final = tuple(source_name(Source(number)) for number in range(SOURCES))
_BY_NAME: Final = {name.casefold(): Source(number) for number, name in enumerate(NAMES)}


def source_named(text: str) -> Source | None:
    """The source with this name, in any letter case; None if there is none."""
    return _BY_NAME.get(" ".join(text.split()).casefold())


def direction_of(source: Source) -> Direction | None:
    """The direction of a source of the D-pad, the hat or the stick; buttons and other axes have none."""
    return Direction((source - DPAD) % 4) if DPAD <= source < OTHER_AXES else None
