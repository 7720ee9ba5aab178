"""Connectors, controllers, the electrical side of the lines and revisions of a machine, declared."""

from __future__ import annotations

from matrixmap.model.machine import Drive, Gender, Numbering, Wiring
from matrixmap.source.shape.intervals import IntervalOf
from matrixmap.source.shape.names import LINE, a_line, true_or_false
from matrixmap.source.shape.shapes import Choice, Field, Fields, ListOf, MapOf, MapWithField, Number, Pattern, Words

MOST_PINS = 255

_rows = Field(Number(1, 8), "rows of pins (1 when not given)")
_numbering = Field(
    Choice(tuple(way.value for way in Numbering)),
    "how pins are counted: row by row, or in a zigzag, odd pins in one row of two (rows when not given)",
)
_gender = Field(Choice(tuple(gender.value for gender in Gender)), "plug: it has pins; socket: it has holes")

_clearance = Field(Number(0, MOST_PINS), "by how many pitches a plug may stick out before something beside it stops it")

CONNECTOR = Fields(
    "the connector",
    {
        "pins": Field(ListOf(a_line), "what is on each pin from pin 1: a line, ground, supply or none", required=True),
        "key_pin": Field(Number(1, MOST_PINS), "the blanked pin, which keeps the plug from going in the wrong way"),
        "rows": _rows,
        "numbering": _numbering,
        "gender": _gender,
        "shrouded": Field(true_or_false, "whether a wall around the pins lets a plug in one way only"),
        "clearance": _clearance,
    },
)

CONTROLLER = MapWithField(
    "wired",
    Field(
        Choice(tuple(wiring.value for wiring in Wiring)),
        "ground: always pulls a sense line low; gated: only while its select line is strobed; contact: joins both "
        "lines",
    ),
    MapOf(Pattern("the name of a switch", LINE), Pattern("a sense line, or select/sense", f"{LINE}(/{LINE})?")),
)

_drive = Choice(tuple(drive.value for drive in Drive))

ELECTRIC = Fields(
    "the electrical side",
    {
        "source": Field(Words(), "where these values come from, if not from source"),
        "supply_v": Field(Number(1, 50, whole=False), "volts of the supply pin"),
        "supply_ma": Field(Number(0, 100_000, whole=False), "the most milliamperes that the supply pin may give"),
        "line_v": Field(Number(1, 50, whole=False), "volts of a line that nothing pulls low"),
        "select": Field(_drive, "what the machine does to its select lines (low-only when not given)"),
        "sense": Field(_drive, "what the machine does to its sense lines (input when not given)"),
        "direct": Field(_drive, "what the machine does to its direct lines (input when not given)"),
        "unselected": Field(
            Choice(("float", "high")), "whether a select line that is not strobed floats or is driven high"
        ),
        "pull_up_ohms": Field(
            IntervalOf(10, 10_000_000), "ohms of the resistor that pulls up each sense and direct line"
        ),
        "pull_up_v": Field(IntervalOf(1, 50), "volts that these resistors pull to (line_v when not given)"),
        "driver_low_v": Field(IntervalOf(0, 50, at_most=True), "volts of the driver of a strobed select line"),
        "driver_ohms": Field(
            IntervalOf(0, 100_000, at_most=True), "ohms in series with that driver (0 when not given)"
        ),
        "driver_ma": Field(Number(0, 10_000, whole=False), "milliamperes up to which driver_low_v is promised"),
        "unselected_ohms": Field(
            IntervalOf(0, 100_000), "with unselected: high, the ohms through which such a line is driven"
        ),
        "output_most_ma": Field(
            Number(0, 10_000, whole=False), "the most milliamperes that an output of the machine tolerates"
        ),
        "reads_low_v": Field(Number(0, 50, whole=False), "volts up to which an input surely reads low"),
        "reads_high_v": Field(Number(0, 50, whole=False), "volts from which an input surely reads high"),
        "leakage_ua": Field(
            Number(0, 100_000, whole=False), "the most microamperes that flow into or out of a line of the machine"
        ),
        "line_pf": Field(IntervalOf(0, 1_000_000, at_most=True), "picofarads of a line within the machine"),
        "own_key_ohms": Field(
            IntervalOf(0, 100_000, at_most=True), "ohms of a closed key of the machine's own keyboard"
        ),
        "strobe_end_to_read_us": Field(
            Number(0, 1_000_000, whole=False), "microseconds from the end of a strobe to the read of the next line"
        ),
        "closes_to": Field(
            MapOf(a_line, a_line), "direct lines, each with what its key joins it to: ground (when not given) or a line"
        ),
    },
)

REVISION = Fields(
    "a revision",
    {
        "connector": Field(CONNECTOR, "the whole connector of this revision"),
        "electric": Field(ELECTRIC, "electrical values of this revision; other values are the machine's"),
    },
)

HEADER = Fields(
    "a header",
    {
        "rows": _rows,
        "columns": Field(Number(1, MOST_PINS), "columns of pins", required=True),
        "numbering": _numbering,
        "gender": Field(_gender.shape, _gender.meaning, required=True),
        "shrouded": Field(true_or_false, "whether a wall around the pins lets a plug in one way only"),
        "clearance": _clearance,
    },
)
