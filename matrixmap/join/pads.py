"""Which sources of a pad close which switch of a controller, by a layout's section `pads:` and its defaults.

The hat, the D-pad and the stick close a switch called Up, Down, Right or Left; the first two buttons close one called
Fire. A layout's line for a switch replaces these defaults.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from matrixmap.hid.pads.sources import DPAD, HAT, STICK, STROKE_USAGES, Direction, Source, direction_of
from matrixmap.hid.usages import Usage
from matrixmap.model.layout import Pads
from matrixmap.model.machine import Controller, Machine, Switch

FIRE: Final = "fire"
_FIRE_BUTTONS: Final = (Source(0), Source(1))


@dataclass(frozen=True, slots=True, kw_only=True)
class DrivenSwitch:
    """A switch of a controller, what closes it, and its direction, if its first source is one."""

    switch: Switch
    sources: tuple[Source, ...]
    direction: Direction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrivenController:
    """A controller that a pad drives: its number in the machine's file, and its switches in the file's order."""

    number: int
    controller: Controller
    switches: tuple[DrivenSwitch, ...]

    def closed(self, on: int) -> int:
        """A mask of the switches that are closed while these sources are on; of opposite directions, neither."""
        pressed = [bool(sum(1 << source for source in one.sources) & on) for one in self.switches]
        shown = {one.direction for one, down in zip(self.switches, pressed, strict=True) if down and one.direction}
        mask = 0
        for bit, (one, down) in enumerate(zip(self.switches, pressed, strict=True)):
            against = one.direction is not None and one.direction.opposite in shown
            mask |= (down and not against) << bit
        return mask


def driven_controllers(pads: Pads, machine: Machine) -> tuple[DrivenController, ...]:
    """The controllers in a layout's order, each switch with what closes it."""
    numbers = {controller.name: number for number, controller in enumerate(machine.controllers)}
    lines = {line.function: line.sources for line in pads.switches}
    taken = {button.source for button in pads.buttons}
    return tuple(
        DrivenController(
            number=numbers[name],
            controller=machine.controllers[numbers[name]],
            switches=tuple(
                _driven(switch, lines.get(switch.function), taken)
                for switch in machine.controllers[numbers[name]].switches
            ),
        )
        for name in pads.order
    )


def _driven(switch: Switch, sources: tuple[Source, ...] | None, taken: set[Source]) -> DrivenSwitch:
    if sources is None:
        sources = tuple(source for source in usual_sources(switch.function) if source not in taken)
    return DrivenSwitch(switch=switch, sources=sources, direction=direction_of(sources[0]) if sources else None)


def usual_sources(function: str) -> tuple[Source, ...]:
    """The default sources of a switch, by its name."""
    name = function.casefold()
    for direction in Direction:
        if name == direction.name.casefold():
            return tuple(Source(first + direction.value) for first in (HAT, DPAD, STICK))
    return _FIRE_BUTTONS if name == FIRE else ()


def stroke_usages(pads: Pads) -> Iterator[tuple[Source, Usage]]:
    """The buttons that press a stroke or send a command, each with its usage in the table."""
    for button, usage in zip(pads.buttons, STROKE_USAGES, strict=False):
        yield button.source, usage
