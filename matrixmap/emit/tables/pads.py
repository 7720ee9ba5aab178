"""A layout's section `pads:` as C, as JSON and as a list of what closes each switch. `mm_pad.h` describes the map."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, TypedDict

from matrixmap.emit.tables.names import comment, identifier
from matrixmap.hid.pads.sources import source_name
from matrixmap.join.pads import driven_controllers, stroke_usages
from matrixmap.model.layout import StrokeName
from matrixmap.model.plan import Plan

PAD_MAP_VERSION: Final = 1


class PadSwitchDocument(TypedDict):
    """A switch of a controller and what closes it."""

    switch: str
    sources: list[str]
    direction: str | None


class PadControllerDocument(TypedDict):
    """A controller that a pad drives: its place in the machine's file, and its switches in the order there."""

    controller: str
    number: int
    switches: list[PadSwitchDocument]


class PadButtonDocument(TypedDict):
    """A source that presses a stroke or sends a command, and its usage in the table."""

    source: str
    usage: int
    stroke: str | None
    command: int | None


class PadsDocument(TypedDict):
    """What pads do: the controllers in the order of connection, the buttons, and thresholds in per cent."""

    controllers: list[PadControllerDocument]
    buttons: list[PadButtonDocument]
    press: int
    release: int


def pads_document(plan: Plan) -> PadsDocument:
    """The section, for a layout that has one."""
    pads = plan.layout.pads
    assert pads is not None
    usages = dict(stroke_usages(pads))
    return {
        "controllers": [
            {
                "controller": one.controller.name,
                "number": one.number,
                "switches": [
                    {
                        "switch": driven.switch.function,
                        "sources": [source_name(source) for source in driven.sources],
                        "direction": driven.direction.name.lower() if driven.direction else None,
                    }
                    for driven in one.switches
                ],
            }
            for one in driven_controllers(pads, plan.layout.machine)
        ],
        "buttons": [
            {
                "source": source_name(button.source),
                "usage": usages[button.source],
                "stroke": button.does.text if isinstance(button.does, StrokeName) else None,
                "command": button.does if isinstance(button.does, int) else None,
            }
            for button in pads.buttons
        ],
        "press": pads.limits.press,
        "release": pads.limits.release,
    }


def pad_map(plan: Plan) -> tuple[tuple[bytes, str], ...]:
    """The map of a layout with the section, one part with its comment per line."""
    pads = plan.layout.pads
    assert pads is not None
    driven = driven_controllers(pads, plan.layout.machine)
    usages = list(stroke_usages(pads))
    head = bytes((PAD_MAP_VERSION, pads.limits.press, pads.limits.release, len(usages)))
    lines = [(head, "version; press and release thresholds in per cent; number of buttons")]
    for (source, usage), button in zip(usages, pads.buttons, strict=True):
        lines.append((bytes((source, usage)), f"{source_name(source)}: {button.words}"))
    lines.append((bytes((len(driven),)), "number of controllers"))
    for one in driven:
        lines.append((bytes((one.number, len(one.switches))), f"{one.controller.name}: its number; number of switches"))
        for switch in one.switches:
            direction = switch.direction.value + 1 if switch.direction else 0
            named = ", ".join(map(source_name, switch.sources)) or "no source"
            data = bytes((direction, len(switch.sources), *switch.sources))
            lines.append((data, f"{switch.switch.function}: {named}"))
    return tuple(lines)


def pad_map_symbol(plan: Plan) -> str:
    """The C name of a layout's map."""
    return identifier(plan.id, "mm_pad_map_")


def pads_version(plan: Plan) -> list[str]:
    """What a header includes and checks for the map; nothing without the section."""
    if plan.layout.pads is None:
        return []
    return [
        "",
        '#include "mm_pad.h"',
        "",
        f"#if MM_PAD_MAP_VERSION != {PAD_MAP_VERSION}",
        '#error "this map and mm_pad.h are of different versions: run `matrixmap build` again"',
        "#endif",
    ]


def pads_declaration(plan: Plan) -> list[str]:
    """Declaration and size of the map; nothing without the section."""
    if plan.layout.pads is None:
        return []
    symbol = pad_map_symbol(plan)
    size = sum(len(data) for data, _ in pad_map(plan))
    return [
        "",
        "/* What pads do, for mm_pads_init(). */",
        f"#define {symbol.upper()}_SIZE {size}u",
        f"extern const uint8_t {symbol}[{symbol.upper()}_SIZE];",
    ]


def pads_lines(plan: Plan) -> Iterator[str]:
    """The map as C; nothing without the section."""
    if plan.layout.pads is None:
        return
    symbol = pad_map_symbol(plan)
    yield ""
    yield f"const uint8_t {symbol}[{symbol.upper()}_SIZE] MM_TABLE = {{"
    for data, text in pad_map(plan):
        yield f"    {' '.join(f'{byte},' for byte in data)} /* {comment(text)} */"
    yield "};"
