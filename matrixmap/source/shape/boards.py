"""The files of a board, declared: parts, and adapters made of them."""

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
        "takes": Field(PairOf(volts), "the volts that the part needs here, from and to"),
        "gives": Field(volts, "the volts that the part gives here"),
        "ma": Field(Number(0, 10_000, whole=False), "milliamperes drawn here at most"),
        "burst_ma": Field(
            Number(0, 10_000, whole=False), "milliamperes by which the draw jumps up, as when a radio sends"
        ),
        "burst_khz": Field(Number(0, 1_000_000, whole=False), "how often it jumps, in kilohertz"),
    },
)

PROCESSOR_PIN = Fields(
    "a pin of the processor",
    {
        "port": Field(
            Pattern("the name of a port", r"[A-Z][A-Z0-9]{0,3}|[0-9]"), "the port that the C writes", required=True
        ),
        "bit": Field(Number(0, 31), "its bit in the port", required=True),
        "does": Field(
            ListOf(Choice(tuple(does.value for does in Does)), least=1), "what the pin can do", required=True
        ),
        "at_reset": Field(
            Choice(("input", "pull-up", "high", "low")), "what the pin is until the program runs (input when not given)"
        ),
        "boot": Field(Choice(("low", "high")), "the state at reset that the processor needs to start as usual"),
        "also": Field(Choice(("debug-output",)), "a second use of the pin"),
        "tolerates_v": Field(volts, "the most volts that the pin stands"),
    },
)

CHANNEL = Fields(
    "a channel",
    {
        "a": Field(a_pin, "one end", required=True),
        "b": Field(a_pin, "the other end", required=True),
        "when": Field(a_pin, "the control pin that closes it; without one it is always closed"),
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

_low = Field(ListOf(a_pin), "those of these pins that are active low")

STORE = Fields(
    "a store",
    {
        "address": Field(ListOf(a_pin, least=1, most=12), "address pins, the one that counts 1 first"),
        "data": Field(a_pin, "the pin with the bit to be stored"),
        "strobe": Field(a_pin, "stores the bit while it is active"),
        "reset": Field(a_pin, "clears all bits while it is active"),
        "in": Field(a_pin, "the pin with the bit to be shifted in"),
        "clock": Field(a_pin, "shifts by one when it becomes active"),
        "latch": Field(a_pin, "shows the shifted bits at the outputs when it becomes active"),
        "enable": Field(a_pin, "lets the outputs drive while it is active"),
        "clear": Field(a_pin, "clears the shifted bits while it is active"),
        "out": Field(a_pin, "hands the last bit on to the next register"),
        "outputs": Field(ListOf(a_pin, least=1, most=64), "the outputs, the one that a bit reaches first in front"),
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
        "low_share": Field(Number(0, 1, whole=False), "the same as a share of the supply"),
        "high_share": Field(Number(0, 1, whole=False), "the same as a share of the supply"),
    },
)

DIODE = Fields(
    "a diode",
    {
        "saturation_na": Field(IntervalOf(0.000001, 1_000_000), "its saturation current in nanoamperes", required=True),
        "emission": Field(IntervalOf(0.5, 5), "its emission coefficient", required=True),
        "series_ohms": Field(IntervalOf(0, 1000), "its ohms in series (0 when not given)"),
    },
)

TIMES = Fields(
    "times",
    {
        "setup_ns": Field(Number(0, 100_000), "nanoseconds that inputs stand before a pulse", required=True),
        "pulse_ns": Field(Number(0, 100_000), "nanoseconds of a pulse", required=True),
        "hold_ns": Field(Number(0, 100_000), "nanoseconds that inputs stand after a pulse", required=True),
    },
)

CABLE = Fields(
    "a cable",
    {
        "wires": Field(
            OneOf(text=Choice(("straight",)), items=ListOf(PairOf(Number(1, 255)), least=1)),
            "straight: each pin to the pin of its number; else pairs of pins, of this end and of that one",
            required=True,
        ),
        "end": Field(
            HEADER, "the end at the machine; the other is the same, but a plug if this is a socket", required=True
        ),
        "key_pin": Field(Number(1, 255), "the hole of this end that is filled, or the pin that is taken out"),
        "pf_per_m": Field(IntervalOf(0, 10_000, at_most=True), "picofarads of a wire to the others, for each metre"),
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
        "array": Field(ARRAY, "switches between each port of x and each of y, worked by the bits of the store"),
        "store": Field(STORE, "bits that work the array or the outputs: by address, or shifted in"),
        "buffers": Field(ListOf(BUFFER, least=1), "drivers from pin to pin"),
        "passive": Field(Choice(tuple(kind.value for kind in Passive)), "a part of two ends that no control works"),
        "elements": Field(
            ListOf(PairOf(a_pin), least=1),
            "the ends of each element of a passive, a diode's anode first ([1, 2] if not given)",
        ),
        "header": Field(HEADER, "a connector of the adapter"),
        "cable": Field(CABLE, "what leads from connector to connector"),
        "inputs": Field(INPUTS, "where its inputs read low and high"),
        "output_high_v": Field(volts, "volts that its outputs surely reach"),
        "tolerates_v": Field(volts, "the most volts that its inputs and outputs stand"),
        "on_ohms": Field(IntervalOf(0, 100_000, at_most=True), "ohms of a closed channel"),
        "leakage_ua": Field(
            Number(0, 100_000, whole=False),
            "microamperes of a pin whose switches are open or whose output is off, at most",
        ),
        "pin_pf": Field(IntervalOf(0, 100_000, at_most=True), "picofarads of a pin"),
        "output_low_v": Field(IntervalOf(0, 60, at_most=True), "volts of an output that is low"),
        "output_low_ma": Field(Number(0, 10_000, whole=False), "milliamperes up to which output_low_v holds"),
        "diode": Field(DIODE, "how much a diode drops, by Shockley's equation"),
        "unpowered": Field(
            Choice(("clamps", "high-impedance")),
            "what its pins do to lines without supply (high-impedance when not given)",
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
            "what a header is for: keys (the machine's key connector), own-keyboard (the machine's own keyboard, in parallel)",
        ),
        "ohms": Field(Number(0, 100_000_000, whole=False), "of a resistor"),
        "tolerance_percent": Field(Number(0, 50, whole=False), "by how much these ohms may be off (0 when not given)"),
        "microhenries": Field(IntervalOf(0.001, 10_000_000), "of an inductor"),
        "saturation_ma": Field(Number(0, 100_000, whole=False), "milliamperes up to which an inductor keeps these"),
        "microfarads": Field(IntervalOf(0.000001, 1_000_000), "of a capacitor"),
        "series_ohms": Field(IntervalOf(0, 1000), "ohms within an inductor or a capacitor (its ESR)"),
        "closed": Field(true_or_false, "whether a jumper is closed (true when not given)"),
        "key_pin": Field(Number(1, 255), "the pin of a header that is taken out, or the hole that is filled"),
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
            "microseconds between the fastest and the slowest moment at which mm_board_show changes a contact: where one changes, "
            "where two change together, and so on",
            required=True,
        ),
        "each_us": Field(
            Number(0, 100_000, whole=False),
            "what each contact beyond these adds that changes with them (0 when not given)",
        ),
        "write_ns": Field(
            Number(0, 60_000),
            "nanoseconds that one mm_board_write takes at least; the driver does not wait for less (0 when not given)",
        ),
        "follow_us": Field(
            Number(0, 100_000, whole=False),
            "microseconds from the change of a select line until the sense lines are right, where contacts follow select lines",
        ),
        "measured": Field(Words(), "on which processor, at which clock, and how it was measured", required=True),
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
            "each part by its reference: the file that describes it, with what holds for this one alone",
            required=True,
        ),
        "nets": Field(
            MapOf(a_net, ListOf(a_pin_of_a_part, least=1)),
            "pins that are joined; a net with the name of a line of the machine has to lead to it",
            required=True,
            unless="netlist",
        ),
        "netlist": Field(
            Pattern("the name of a file beside this one", r"[A-Za-z0-9_.-]{1,56}\.net"),
            "a netlist of the board editor KiCad in place of nets; pins that it leaves open are unused",
        ),
        "unused": Field(ListOf(a_pin_of_a_part), "pins that are in no net on purpose"),
        "driver": Field(DRIVER, "how long the driver takes on this board's processor, which the times of tables count"),
        "fits": Field(
            MapOf(Pattern("a machine, or machine/revision", r"[A-Za-z0-9-]+(/[a-z0-9-]+)?"), FIT),
            "the machines that it is for, each straight on the connector or through a cable",
            required=True,
        ),
    },
)


def texts(items: list[Text | None] | None) -> list[Text]:
    """The items of a list that could be read."""
    return [item for item in items or () if item is not None]
