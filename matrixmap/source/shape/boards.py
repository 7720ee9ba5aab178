"""The files of a board, declared: parts, and the adapters made of them."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.model.boards.adapter import Does, Mates, Passive
from matrixmap.source.report import Report
from matrixmap.source.shape.intervals import IntervalOf
from matrixmap.source.shape.names import a_title, an_id, true_or_false
from matrixmap.source.shape.plugs import HEADER
from matrixmap.source.shape.shapes import (
    Choice,
    Field,
    Fields,
    ListOf,
    MapOf,
    Number,
    OneOf,
    Pattern,
    Schema,
    Shape,
    Words,
)
from matrixmap.source.text.nodes import Items, Node, Text

PIN = r"[A-Za-z0-9~/#+_-]{1,24}"
REF = r"[A-Za-z]{1,8}[0-9]{1,4}"
NET = r"[A-Za-z0-9~/#+_()-]{1,60}"

a_pin = Pattern("a pin by name or number", PIN)
a_ref = Pattern("a reference such as U1", REF)
a_pin_of_a_part = Pattern("a pin of a part such as U1.3 or U2.X0", rf"{REF}\.{PIN}")
a_net = Pattern("the name of a net", NET)


@dataclass(frozen=True)
class PairOf(Shape):
    """A list of exactly two of one shape. Reads to a tuple."""

    item: Shape

    def describe(self) -> str:
        return f"a list of two ({self.item.describe()} each)"

    def schema(self) -> Schema:
        return {"type": "array", "items": self.item.schema(), "minItems": 2, "maxItems": 2}

    def read(self, node: Node, report: Report) -> tuple[object, object] | None:
        if not isinstance(node, Items):
            self.refuse(node, report)
            return None
        read = ListOf(self.item, least=2, most=2).read(node, report)
        return None if read is None or None in read else (read[0], read[1])


volts = Number(0, 60, whole=False)

POWER = Fields(
    "a supply pin",
    {
        "takes": Field(PairOf(volts), "the volts that the part needs at this pin, from and to"),
        "gives": Field(volts, "the volts that the part supplies at this pin"),
        "ma": Field(Number(0, 10_000, whole=False), "the most milliamperes that the part draws at this pin"),
        "burst_ma": Field(
            Number(0, 10_000, whole=False), "the milliamperes by which the draw rises in bursts, as when a radio sends"
        ),
        "burst_khz": Field(Number(0, 1_000_000, whole=False), "how often the bursts come, in kilohertz"),
    },
)

PROCESSOR_PIN = Fields(
    "a pin of the processor",
    {
        "port": Field(
            Pattern("the name of a port", r"[A-Z][A-Z0-9]{0,3}|[0-9]"),
            "the port, as the C code names it",
            required=True,
        ),
        "bit": Field(Number(0, 31), "its bit in the port", required=True),
        "does": Field(
            ListOf(Choice(tuple(does.value for does in Does)), least=1), "what the pin can do", required=True
        ),
        "at_reset": Field(
            Choice(("input", "pull-up", "high", "low")),
            "the state of the pin until the program runs (input when not given)",
        ),
        "boot": Field(Choice(("low", "high")), "the state at reset that the processor needs to start the program"),
        "also": Field(Choice(("debug-output",)), "a second use of the pin"),
        "tolerates_v": Field(volts, "the most volts that the pin tolerates"),
    },
)

CHANNEL = Fields(
    "a channel",
    {
        "a": Field(a_pin, "one end", required=True),
        "b": Field(a_pin, "the other end", required=True),
        "when": Field(a_pin, "the control pin that closes it; a channel without one is always closed"),
        "at": Field(Choice(("high", "low")), "the state of the control that closes it (high when not given)"),
    },
)

ARRAY = Fields(
    "an array of switches",
    {
        "x": Field(ListOf(a_pin, least=1), "the ports of one side; the address counts these first", required=True),
        "y": Field(ListOf(a_pin, least=1), "the ports of the other side", required=True),
    },
)

_low = Field(ListOf(a_pin), "the pins in this list that are active low")

STORE = Fields(
    "a store",
    {
        "address": Field(ListOf(a_pin, least=1, most=12), "address pins; the pin that counts 1 is the first"),
        "data": Field(a_pin, "the pin with the bit to store"),
        "strobe": Field(a_pin, "stores the bit while it is active"),
        "reset": Field(a_pin, "clears all bits while it is active"),
        "in": Field(a_pin, "the pin with the bit to shift in"),
        "clock": Field(a_pin, "shifts by one when it becomes active"),
        "latch": Field(a_pin, "shows the shifted bits at the outputs when it becomes active"),
        "enable": Field(a_pin, "lets the outputs drive while it is active"),
        "clear": Field(a_pin, "clears the shifted bits while it is active"),
        "out": Field(a_pin, "passes the last bit on to the next register"),
        "outputs": Field(ListOf(a_pin, least=1, most=64), "the outputs; the one that a bit reaches first is the first"),
        "low": _low,
    },
)

BUFFER = Fields(
    "a buffer",
    {
        "in": Field(a_pin, "its input", required=True),
        "out": Field(a_pin, "its output", required=True),
        "drives": Field(Choice(("push-pull", "open-drain")), "how it drives (push-pull when not given)"),
    },
)

INPUTS = Fields(
    "thresholds of inputs",
    {
        "low_v": Field(volts, "volts up to which an input reads low"),
        "high_v": Field(volts, "volts from which an input reads high"),
        "low_share": Field(Number(0, 1, whole=False), "the same, as a share of the supply"),
        "high_share": Field(Number(0, 1, whole=False), "the same, as a share of the supply"),
    },
)

DIODE = Fields(
    "a diode",
    {
        "saturation_na": Field(IntervalOf(0.000001, 1_000_000), "its saturation current in nanoamperes", required=True),
        "emission": Field(IntervalOf(0.5, 5), "its emission coefficient", required=True),
        "series_ohms": Field(IntervalOf(0, 1000), "its series resistance in ohms (0 when not given)"),
    },
)

TIMES = Fields(
    "times",
    {
        "setup_ns": Field(Number(0, 100_000), "nanoseconds that inputs must be stable before a pulse", required=True),
        "pulse_ns": Field(Number(0, 100_000), "nanoseconds that a pulse must last", required=True),
        "hold_ns": Field(Number(0, 100_000), "nanoseconds that inputs must be stable after a pulse", required=True),
    },
)

CABLE = Fields(
    "a cable",
    {
        "wires": Field(
            OneOf(text=Choice(("straight",)), items=ListOf(PairOf(Number(1, 255)), least=1)),
            "straight: each pin leads to the pin with its number; otherwise pairs of pins, one of this end and one "
            "of the other",
            required=True,
        ),
        "end": Field(
            HEADER, "the end at the machine; the other end is the same, but a plug if this is a socket", required=True
        ),
        "key_pin": Field(Number(1, 255), "the hole of this end that is filled, or the pin that is removed"),
        "pf_per_m": Field(
            IntervalOf(0, 10_000, at_most=True), "picofarads between a wire and the others, for each metre"
        ),
    },
)

PART = Fields(
    "a part",
    {
        "part": Field(an_id, "the id, which is the name of the file", required=True),
        "title": Field(a_title, "the name as people write it", required=True),
        "source": Field(
            Words(), "where the values come from: data sheet, edition, section; or honestly from memory", required=True
        ),
        "pins": Field(
            ListOf(a_pin, least=1, most=255), "the names of the pins from pin 1; headers and cables need none"
        ),
        "power": Field(
            MapOf(a_pin, OneOf(text=Choice(("ground",)), entries=POWER)), "the supply pins, by name or number"
        ),
        "processor": Field(MapOf(a_pin, PROCESSOR_PIN), "the pins of a processor that a program can use"),
        "channels": Field(ListOf(CHANNEL, least=1), "switches, each between two pins"),
        "array": Field(ARRAY, "switches between each port of x and each of y; the bits of the store work them"),
        "store": Field(STORE, "bits that work the array or the outputs: written by address, or shifted in"),
        "buffers": Field(ListOf(BUFFER, least=1), "drivers from pin to pin"),
        "passive": Field(Choice(tuple(kind.value for kind in Passive)), "a part with two ends and no control"),
        "elements": Field(
            ListOf(PairOf(a_pin), least=1),
            "the ends of each element of a passive, a diode's anode first ([1, 2] if not given)",
        ),
        "header": Field(HEADER, "a connector of the adapter"),
        "cable": Field(CABLE, "a cable that leads from connector to connector"),
        "inputs": Field(INPUTS, "the voltages at which its inputs read low and high"),
        "output_high_v": Field(volts, "volts that its outputs surely reach"),
        "tolerates_v": Field(volts, "the most volts that its inputs and outputs tolerate"),
        "on_ohms": Field(IntervalOf(0, 100_000, at_most=True), "ohms of a closed channel"),
        "leakage_ua": Field(
            Number(0, 100_000, whole=False),
            "the most microamperes of a pin with open switches, or with its output off",
        ),
        "pin_pf": Field(IntervalOf(0, 100_000, at_most=True), "picofarads of a pin"),
        "output_low_v": Field(IntervalOf(0, 60, at_most=True), "volts of an output that is low"),
        "output_low_ma": Field(Number(0, 10_000, whole=False), "milliamperes up to which output_low_v is promised"),
        "diode": Field(DIODE, "how much a diode drops, by Shockley's equation"),
        "unpowered": Field(
            Choice(("clamps", "high-impedance")),
            "what its pins do to lines when it has no supply (high-impedance when not given)",
        ),
        "times": Field(TIMES, "what a store needs of the pulses that work it"),
    },
)

PART_USE = Fields(
    "a part of the board",
    {
        "part": Field(an_id, "the file that describes it", required=True),
        "mates": Field(
            Choice(tuple(mates.value for mates in Mates)),
            "what a header is for: keys (the machine's key connector), own-keyboard (the machine's own keyboard, in "
            "parallel)",
        ),
        "ohms": Field(Number(0, 100_000_000, whole=False), "of a resistor"),
        "tolerance_percent": Field(
            Number(0, 50, whole=False), "by how many percent these ohms may be off (0 when not given)"
        ),
        "microhenries": Field(IntervalOf(0.001, 10_000_000), "of an inductor"),
        "saturation_ma": Field(Number(0, 100_000, whole=False), "milliamperes up to which an inductor keeps these"),
        "microfarads": Field(IntervalOf(0.000001, 1_000_000), "of a capacitor"),
        "series_ohms": Field(IntervalOf(0, 1000), "series resistance of an inductor or a capacitor (its ESR), in ohms"),
        "closed": Field(true_or_false, "whether a jumper is closed (true when not given)"),
        "key_pin": Field(Number(1, 255), "the pin of a header that is removed, or the hole that is filled"),
    },
)

FIT = Fields(
    "a fit",
    {
        "through": Field(an_id, "the cable that leads there"),
        "mount": Field(
            Choice(("same-side", "other-side")), "on which side of the machine's board (same-side when not given)"
        ),
        "metres": Field(Number(0, 100, whole=False), "how long that cable is"),
    },
)

DRIVER = Fields(
    "the time of the driver",
    {
        "spread_us": Field(
            ListOf(Number(0, 10_000_000, whole=False), least=1, most=64),
            "microseconds between the fastest and the slowest moment at which mm_board_show changes a contact: first "
            "for one contact that changes, then for two that change together, and so on",
            required=True,
        ),
        "each_us": Field(
            Number(0, 100_000, whole=False),
            "microseconds that each further contact adds (0 when not given)",
        ),
        "write_ns": Field(
            Number(0, 60_000),
            "the least nanoseconds that one mm_board_write takes; the driver does not wait where a part needs less "
            "(0 when not given)",
        ),
        "follow_us": Field(
            Number(0, 100_000, whole=False),
            "microseconds from the change of a select line until the sense lines are right, where contacts follow select lines",
        ),
        "measured": Field(Words(), "on which processor and at which clock it was measured, and how", required=True),
    },
)

ADAPTER = Fields(
    "an adapter",
    {
        "adapter": Field(an_id, "the id, which is the name of the file", required=True),
        "title": Field(a_title, "the name as people write it", required=True),
        "source": Field(Words(), "where the wiring comes from", required=True),
        "parts": Field(
            MapOf(a_ref, OneOf(text=an_id, entries=PART_USE)),
            "each part by its reference: the file that describes it, and facts about this part alone",
            required=True,
        ),
        "nets": Field(
            MapOf(a_net, ListOf(a_pin_of_a_part, least=1)),
            "pins that are joined; a net that has the name of a machine's line must lead to that line",
            required=True,
            unless="netlist",
        ),
        "netlist": Field(
            Pattern("the name of a file beside this one", r"[A-Za-z0-9_.-]{1,56}\.net"),
            "a netlist of the board editor KiCad in place of nets; pins that it leaves open are unused",
        ),
        "unused": Field(ListOf(a_pin_of_a_part), "pins that are left open on purpose"),
        "driver": Field(
            DRIVER, "how long the driver takes on this board's processor; the times of the tables allow for it"
        ),
        "fits": Field(
            MapOf(Pattern("a machine, or machine/revision", r"[A-Za-z0-9-]+(/[a-z0-9-]+)?"), FIT),
            "the machines that it fits, each directly on the connector or through a cable",
            required=True,
        ),
    },
)


def texts(items: list[Text | None] | None) -> list[Text]:
    """The items of a list that could be read."""
    return [item for item in items or () if item is not None]
