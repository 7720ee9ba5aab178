"""How does the machine scan? Times, samples and repeat, as a machine's file gives them."""

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
            "microseconds that one scan takes, to the end of its last line; when not given, the check warns and "
            "period_us is used",
        ),
        "samples_down": Field(Number(1, 16), "how many equal scans confirm a press (1 when not given)"),
        "samples_up": Field(Number(1, 16), "how many equal scans confirm a release (1 when not given)"),
        "debounce": Field(
            Choice(tuple(what.value for what in Debounce)),
            "key: each key counts its own equal scans; whole: only scans that are equal in all keys count, so every "
            "change restarts the count (key when not given)",
        ),
        "tolerance_percent": Field(
            Number(0, 20, whole=False), "by how many percent these times may be off (0 when not given)"
        ),
        "rollover": Field(Number(1, 255), "the most keys, besides modifiers, that the machine can tell apart"),
        "more_keys": Field(
            ListOf(Choice(tuple(what.value for what in MoreKeys)), single=True, least=1),
            "what a scan does that finds more keys than the rollover: kept: it counts for nothing; first: only the first keys in "
            "the order of the lines are found; released: it finds none; a list means one of these, not known which (when not "
            "given: first with a rollover of 1, else kept)",
        ),
        "strobe_to_read_us": Field(
            Number(0, 100_000, whole=False),
            "microseconds from the strobe of a select line to the read of the sense lines",
        ),
        "poll_us": Field(
            Number(100, 1_000_000),
            "microseconds from one read of the controllers to the next: a pad's switch stays closed for this long "
            "(as long as a key, when not given)",
        ),
        "repeat": Field(REPEAT, "when a key that stays down repeats"),
    },
)
