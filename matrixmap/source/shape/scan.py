"""What a machine's file says of how the machine scans: times, samples, and repeat."""

from __future__ import annotations

from matrixmap.model.machine import Debounce, MoreKeys
from matrixmap.source.shape.shapes import Choice, Field, Fields, ListOf, Number

REPEAT = Fields(
    "the repeat",
    {
        "delay_ms": Field(Number(1, 10_000), "milliseconds until a key that stays down repeats", required=True),
        "every_ms": Field(Number(1, 10_000), "milliseconds from one repetition to the next", required=True),
    },
)

SCAN = Fields(
    "the scan",
    {
        "period_us": Field(Number(100, 1_000_000), "microseconds from one scan to the next", required=True),
        "sweep_us": Field(
            Number(0, 1_000_000),
            "microseconds that one scan takes, to the end of its last line; a warning when not given, and then reckoned as period_us",
        ),
        "samples_down": Field(Number(1, 16), "equal scans that make a press certain (1 when not given)"),
        "samples_up": Field(Number(1, 16), "equal scans that make a release certain (1 when not given)"),
        "debounce": Field(
            Choice(tuple(what.value for what in Debounce)),
            "key: each key counts its own equal scans; whole: only scans that are equal in all keys count, so that every "
            "change begins the count anew (key when not given)",
        ),
        "tolerance_percent": Field(Number(0, 20, whole=False), "how far these times may be off (0 when not given)"),
        "rollover": Field(Number(1, 255), "the most keys, modifiers apart, that the machine tells apart"),
        "more_keys": Field(
            ListOf(Choice(tuple(what.value for what in MoreKeys)), single=True, least=1),
            "what a scan does that finds more of them: kept: it counts for nothing; first: only the first in the order of the lines "
            "are found; released: it finds none; of a list it is one, and not known which (first with a rollover of 1, else kept, "
            "when not given)",
        ),
        "strobe_to_read_us": Field(
            Number(0, 100_000, whole=False), "microseconds from strobing a select line to reading the sense lines"
        ),
        "poll_us": Field(
            Number(100, 1_000_000),
            "microseconds from one look at the controllers to the next: a pad's switch stays closed for as long (as a key, when not given)",
        ),
        "repeat": Field(REPEAT, "when a key that stays down repeats"),
    },
)
