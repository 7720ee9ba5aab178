"""Which bits of which output report light a keyboard's LEDs.

A firmware sets five LEDs: Num Lock, Caps Lock, Scroll Lock, Compose and Kana, those of the boot output report (USB-IF,
HID 1.11, appendix B.1; numbers: HID Usage Tables, chapter 11).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.hid.descriptor import Descriptor, Field, ReportKind
from matrixmap.hid.items import Note
from matrixmap.hid.steps import merged
from matrixmap.hid.usage_names import KEYBOARD, KEYPAD, extended_name
from matrixmap.hid.usages import LAST_BOOT_LED, LED_PAGE


@dataclass(frozen=True, slots=True, kw_only=True)
class LightRun:
    """`count` single bits from bit `bit` on, for as many usages in a row on the LED page, from `usage` on."""

    bit: int
    count: int
    usage: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LightReport:
    """The output report that sets the LEDs: its id (0: none), its length in bytes, including the id, and its runs."""

    id: int
    bytes: int
    runs: tuple[LightRun, ...]

    def bit_usages(self) -> dict[int, int]:
        """Bit -> the usage of its LED."""
        return {run.bit + number: run.usage + number for run in self.runs for number in range(run.count)}


def light_report(descriptor: Descriptor) -> LightReport | None:
    """The first output report, by the place of its first LED, with any of the five in a keyboard or a keypad.

    All of the five in this report count, even two with the same usage; those of other reports do not.
    """
    found: dict[int, LightReport] = {}
    for report in descriptor.outputs:
        runs = [(field.offset, run) for field in report.fields for run in light_runs(field)]
        if runs:
            found[runs[0][0]] = LightReport(id=report.id, bytes=report.bytes, runs=tuple(run for _, run in runs))
    return found[min(found)] if found else None


def light_runs(field: Field) -> Iterator[LightRun]:
    """The LEDs of one output field; none if it is an array or is outside keyboards and keypads.

    The lowest bit lights an LED of several bits. Values beyond the usages have no LED here, although HID 1.11, section
    6.2.2.8, gives them to the last usage: they are padding that somebody forgot to declare.
    """
    if field.constant or not field.variable or not field.size or field.application not in (KEYBOARD, KEYPAD):
        return
    index = 0
    for first, last in merged(field.usages):
        start = max(first & 0xFFFF, 1)
        end = min(last & 0xFFFF, LAST_BOOT_LED, (first & 0xFFFF) + field.count - index - 1)
        at = field.bit + (index + start - (first & 0xFFFF)) * field.size
        if first >> 16 == LED_PAGE and start <= end:
            if field.size == 1:
                yield LightRun(bit=at, count=end - start + 1, usage=start)
            else:
                for number in range(end - start + 1):
                    yield LightRun(bit=at + number * field.size, count=1, usage=start + number)
        index += last - first + 1


def light_notes(descriptor: Descriptor) -> Iterator[Note]:
    """What is odd about LEDs: those that the firmware does not set, with the reason, and those that might not obey."""
    lights = light_report(descriptor)
    for report in descriptor.reports:
        for field in report.fields if report.kind is ReportKind.OUTPUT else ():
            if field.count and field.size and any(usages.page == LED_PAGE for usages in field.usages):
                for text in _field_notes(field, lights):
                    yield Note(offset=field.offset, text=text)


def _field_notes(field: Field, lights: LightReport | None) -> Iterator[str]:
    if field.constant:
        yield "LEDs are declared, but as a constant: they are padding"
    elif not field.variable:
        yield "these LEDs are an array; mm_report_leds sets only LEDs that have a bit each"
    elif field.application not in (KEYBOARD, KEYPAD):
        where = f"a collection {extended_name(field.application)}" if field.application else "no application collection"
        yield f"these LEDs are in {where}; mm_report_leds sets only those of a keyboard or a keypad"
    elif lights and lights.id != field.report_id and any(light_runs(field)):
        first = f"report {lights.id}" if lights.id else "the report without an id"
        yield f"these LEDs are in output report {field.report_id}; mm_report_leds sets only those of {first}, which comes first"
    else:
        declared = sum(len(usages) for usages in field.usages)
        if declared < field.count:
            yield f"{field.count} values for {declared} LED{'s' if declared > 1 else ''}: mm_report_leds leaves the others 0"
        if field.logical_min > 0 or field.logical_max < 1:
            yield f"these LEDs have values from {field.logical_min} to {field.logical_max}; mm_report_leds writes 0 and 1"
