"""The nets of an adapter as a header for the model of its parts: made without the tracer, from parts and nets alone."""

from __future__ import annotations

from collections.abc import Iterable

from matrixmap.model.boards.adapter import Adapter, Addressed, Passive, Pin, Shifted
from matrixmap.model.machine import Machine

POWER = {"GND": 0, "SUPPLY": 1, "VBUS": 1, "3V3": 1}
"""Nets of the shipped adapters that have one level for good."""


def _numbers(values: Iterable[int]) -> str:
    return ", ".join(str(value) for value in values)


class Wired:
    """Nets of an adapter by number; those with a resistor or a diode between them are one."""

    def __init__(self, adapter: Adapter) -> None:
        self.adapter = adapter
        self.of: dict[Pin, str] = {pin: net.name for net in adapter.nets for pin in net.pins}
        self.same = {net.name: net.name for net in adapter.nets}
        self.pulls: dict[str, int] = {}
        for ref, use in adapter.parts.items():
            if use.part.passive in (Passive.RESISTOR, Passive.DIODE):
                for a, b in use.part.elements:
                    ends = [self.of.get(Pin(ref, a)), self.of.get(Pin(ref, b))]
                    if None in ends:
                        continue
                    fed = [end for end in ends if end in POWER]
                    free = [end for end in ends if end not in POWER]
                    if len(free) == 2:
                        self.same[self.root(str(free[0]))] = self.root(str(free[1]))
                    elif free and fed:
                        self.pulls[str(free[0])] = POWER[str(fed[0])]
        roots = sorted({self.root(name) for name in self.same})
        self.number = {name: roots.index(self.root(name)) for name in self.same}
        self.count = len(roots)

    def root(self, name: str) -> str:
        """The net that stands for all that are one with a net."""
        while self.same[name] != name:
            name = self.same[name]
        return name

    def at(self, ref: str, pin: str | None) -> int:
        """The number of the net that a pin is in, -1 for none."""
        name = self.of.get(Pin(ref, pin or ""))
        return -1 if name is None else self.number[name]


def model_header(adapter: Adapter, machine: Machine, ports: list[str], driver: str) -> str:
    """`model.h`: nets, pulls, parts and lines. `ports` are those of the driver, in its order."""
    wired = Wired(adapter)
    level = [0] * wired.count
    for name, value in {**wired.pulls, **POWER}.items():
        if name in wired.number:
            level[wired.number[name]] = value
    lines = {line: number for number, line in enumerate((*machine.select, *machine.sense))}
    lines |= {"GND": 16, "HAIL": 17}
    line_of = [-1] * wired.count
    for name, number in lines.items():
        line_of[wired.number[name]] = number
    for name in (*machine.select, *machine.sense, "HAIL"):
        level[wired.number[name]] = 1  # the machine's own pull-ups
    pin_net = [[-1] * 32 for _ in ports]
    arrays, registers, switches, drains, buffers = [], [], [], [], []
    times = (0, 0, 0)
    for ref, use in adapter.parts.items():
        part = use.part
        for number, known in part.processor.items():
            if known.port in ports:
                pin_net[ports.index(known.port)][known.bit] = wired.at(ref, number)
        named = {name: number for number, name in part.pins.items()}
        if part.times is not None:
            times = (part.times.setup_ns, part.times.pulse_ns, part.times.hold_ns)
        if isinstance(part.store, Addressed):
            x = _numbers(wired.at(ref, named[f"X{n}"]) for n in range(8))
            y = _numbers(wired.at(ref, named[f"Y{n}"]) for n in range(8))
            address = _numbers(wired.at(ref, pin) for pin in part.store.address)
            reset = wired.at(ref, part.store.reset)
            arrays.append(
                f"{{6, {{{address}}}, {wired.at(ref, part.store.data)}, {wired.at(ref, part.store.strobe)}, {reset}, {{{x}}}, {{{y}}}}}"
            )
        elif isinstance(part.store, Shifted):
            pins = [wired.at(ref, named[name]) for name in ("IN", "CLOCK", "LATCH", "ENABLE", "CLEAR", "OUT")]
            outputs = _numbers(wired.at(ref, named[f"Q{letter}"]) for letter in "ABCDEFGH")
            registers.append(f"{{{_numbers(pins)}, {{{outputs}}}}}")
        for channel in part.channels:
            if channel.control is not None:
                ends = (channel.a, channel.b, channel.control)
                switches.append(f"{{{_numbers(wired.at(ref, end) for end in ends)}}}")
        for buffer in part.buffers:
            ends = (wired.at(ref, buffer.input), wired.at(ref, buffer.output))
            if -1 not in ends:
                (drains if buffer.open_drain else buffers).append(f"{{{_numbers(ends)}}}")

    def table(kind: str, name: str, rows: list[str], empty: str) -> str:
        return f"static const struct {kind} {name}[] = {{{', '.join(rows or [empty])}}};"

    rows = "}, {".join(_numbers(row) for row in pin_net)
    return "\n".join(
        [
            f'#include "{driver}.h"',
            f"#define NETS {wired.count}",
            *(
                f"#define {word} {len(found)}"
                for word, found in (
                    ("ARRAYS", arrays),
                    ("REGISTERS", registers),
                    ("SWITCHES", switches),
                    ("DRAINS", drains),
                    ("BUFFERS", buffers),
                )
            ),
            f"#define SETUP_NS {times[0]}u",
            f"#define PULSE_NS {times[1]}u",
            f"#define HOLD_NS {times[2]}u",
            "#define DIRECT_GROUND 16",
            "#define DIRECT_LINE 17",
            "#define FOLLOWS MM_BOARD_FOLLOWS",
            "struct array { int bits, address[6], data, strobe, reset, x[8], y[8]; };",
            "struct shift { int input, clock, latch, enable, clear, out, outputs[8]; };",
            "struct gate { int a, b, control; };",
            "struct drain { int in, out; };",
            table("array", "arrays", arrays, "{0, {0}, 0, 0, 0, {0}, {0}}"),
            table("shift", "registers", registers, "{0, 0, 0, 0, 0, 0, {0}}"),
            table("gate", "switches", switches, "{0, 0, 0}"),
            table("drain", "drains", drains, "{0, 0}"),
            table("drain", "buffers", buffers, "{0, 0}"),
            f"static const uint8_t pulled[] = {{{_numbers(level)}}};",
            f"static const int line_of[] = {{{_numbers(line_of)}}};",
            f"static const int pin_net[][32] = {{{{{rows}}}}};",
            f"static const int select_net[] = {{{_numbers(wired.number[line] for line in machine.select)}}};",
            f"static const int sense_net[] = {{{_numbers(wired.number[line] for line in machine.sense)}}};",
            "",
        ]
    )
