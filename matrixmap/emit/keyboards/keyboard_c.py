"""A keyboard's reports as C: the table that the runtime's decoder reads. `mm_report.h` describes it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from matrixmap.emit.tables.licence import licence_lines
from matrixmap.emit.tables.names import comment, identifier
from matrixmap.hid.descriptor import Descriptor
from matrixmap.hid.keyboard import KeyboardFacts
from matrixmap.hid.lights import LightReport, LightRun, light_report
from matrixmap.hid.steps import Array, Bits, KeyReport, Values, key_reports
from matrixmap.hid.usage_names import extended_name
from matrixmap.hid.usages import KEYBOARD_PAGE, LED_PAGE

REPORT_TABLE_VERSION: Final = 2
MAX_REPORTS: Final = 16
MAX_REPORT_BYTES: Final = 8191
"""The bits of a report have numbers of two bytes."""

MAX_TABLE_BYTES: Final = 0xFFFF

_HEADER, _REPORT = 5, 3
_BITS, _WIDE, _ARRAY = 1, 2, 3
_MAX_RANGES: Final = 255
_MAX_RUNS_OF_LEDS: Final = 255


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Some bytes of a table and their meaning."""

    data: bytes
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportTable:
    """The table of one keyboard, one line per step, and the number of reports that it knows."""

    lines: tuple[Line, ...]
    reports: int

    def to_bytes(self) -> bytes:
        """All bytes."""
        return b"".join(line.data for line in self.lines)


def no_table(descriptor: Descriptor) -> str | None:
    """Why there can be no table for a keyboard; None if there can be one."""
    reports = key_reports(descriptor)
    if not reports:
        return "it has no keys"
    if len(reports) > MAX_REPORTS:
        return f"it has {len(reports)} reports with keys; the runtime's decoder knows {MAX_REPORTS}"
    lights = light_report(descriptor)
    longest = max(report.bytes for report in (*descriptor.inputs, *((lights,) if lights else ())))
    if longest > MAX_REPORT_BYTES:
        return f"it has a report of {longest} bytes; the runtime's decoder takes {MAX_REPORT_BYTES}"
    if lights and len(lights.runs) > _MAX_RUNS_OF_LEDS:
        return f"its LEDs are {len(lights.runs)} runs of bits; the runtime's decoder takes {_MAX_RUNS_OF_LEDS}"
    lines = (*_step_lines(reports), *_led_lines(lights))
    size = _HEADER + sum(len(line.data) for line in lines) + _REPORT * len(reports)
    if size > MAX_TABLE_BYTES:
        return f"its table would have {size} bytes; the runtime's decoder takes {MAX_TABLE_BYTES}"
    return None


def report_table(descriptor: Descriptor) -> ReportTable:
    """The table of a keyboard that `no_table` accepts."""
    reports = key_reports(descriptor)
    steps = tuple(_step_lines(reports))
    length = sum(len(line.data) for line in steps)
    head = head_lines(REPORT_TABLE_VERSION, numbered=descriptor.numbered, reports=len(reports), steps=length)
    ends = tuple(end_line(report.id, report.bytes) for report in reports)
    leds = tuple(_led_lines(light_report(descriptor)))
    return ReportTable(lines=(*head, *steps, *ends, *leds), reports=len(reports))


def head_lines(version: int, *, numbered: bool, reports: int, steps: int) -> tuple[Line, Line]:
    """The head of a table with this number of reports and this number of bytes of steps."""
    return (
        Line(
            data=bytes((version, int(numbered))),
            text=f"version; reports {'begin with their id' if numbered else 'have no id'}",
        ),
        Line(data=bytes((reports, *word(steps))), text="number of reports; bytes of the steps"),
    )


def end_line(id: int, length: int) -> Line:
    """The entry of a report, by its id (0: none) and its length in bytes."""
    return Line(data=bytes((id, *word(length))), text=f"{f'report {id}' if id else 'the report'}: {length} bytes")


def word(value: int) -> tuple[int, int]:
    """The two bytes of a number, a negative one in two's complement; the low one first."""
    return value & 0xFF, value >> 8 & 0xFF


def _step_lines(reports: tuple[KeyReport, ...]) -> Iterator[Line]:
    """The steps in the order of the descriptor, which may alternate between reports."""
    found = [
        (step_number, number, step)
        for number, report in enumerate(reports)
        for step_number, step in report.placed_steps
    ]
    for _, number, step in sorted(found, key=lambda entry: entry[0]):
        if isinstance(step, Bits):
            yield _bits_line(number, step)
        else:
            yield from _array_lines(number, step)


def _bits_line(number: int, step: Bits) -> Line:
    wide = step.size != 1
    data = bytes(((_WIDE if wide else _BITS) | number << 4, *word(step.bit), step.count - 1, step.usage))
    what = f"{step.size} bits each" if wide else "a bit each"
    return Line(
        data=data + bytes(word(step.size) if wide else ()),
        text=f"{_run(step.usage, step.count)}: {what} from bit {step.bit} on",
    )


def _array_lines(number: int, step: Array) -> Iterator[Line]:
    width = (step.size + 7) // 8
    for start in range(0, len(step.values), _MAX_RANGES):
        part = step.values[start : start + _MAX_RANGES]
        head = (_ARRAY | number << 4, *word(step.bit), step.size, *word(step.count), len(part))
        data = bytes(head) + b"".join(_value_bytes(values, width) for values in part)
        runs = ", ".join(_run(values.usage, values.count) for values in part[:4])
        more = f" and {len(part) - 4} more" if len(part) > 4 else ""
        yield Line(data=data, text=f"{step.count} of {runs}{more}: {step.size} bits each from bit {step.bit} on")


def _led_lines(report: LightReport | None) -> Iterator[Line]:
    if report is None:
        yield Line(data=b"\0", text="no LEDs")
        return
    named = f"output report {report.id}" if report.id else "the output report"
    data = bytes((len(report.runs), report.id, *word(report.bytes)))
    yield Line(data=data, text=f"runs of LEDs in {named}: {report.bytes} bytes")
    for run in report.runs:
        data = bytes((*word(run.bit), run.count - 1, run.usage))
        yield Line(data=data, text=f"{_led_run(run)}: a bit each from bit {run.bit} on")


def _led_run(run: LightRun) -> str:
    first = extended_name(LED_PAGE << 16 | run.usage)
    return f"{first} to {extended_name(LED_PAGE << 16 | run.usage + run.count - 1)}" if run.count > 1 else first


def _value_bytes(values: Values, width: int) -> bytes:
    return values.first.to_bytes(width, "little") + bytes((values.count - 1, values.usage))


def _run(usage: int, count: int) -> str:
    first = extended_name(KEYBOARD_PAGE << 16 | usage)
    return f"{first} to {extended_name(KEYBOARD_PAGE << 16 | usage + count - 1)}" if count > 1 else first


def keyboard_symbol(name: str) -> str:
    """The C name of a keyboard's table."""
    return identifier(name, "mm_keyboard_")


def keyboard_files(name: str, facts: KeyboardFacts, made_by: str) -> dict[str, str]:
    """File name -> text of the header and the source of a keyboard's table."""
    symbol = keyboard_symbol(name)
    table = report_table(facts.descriptor)
    checks = (
        '#include "mm_report.h"',
        "",
        f"#if MM_REPORT_TABLE_VERSION != {REPORT_TABLE_VERSION}",
        '#error "this table and mm_report.h are of different versions: run `matrixmap keyboard --emit c` again"',
        "#endif",
        f"#if MM_REPORTS < {table.reports}",
        f'#error "this keyboard has {table.reports} reports with keys: define MM_REPORTS as that or more"',
        "#endif",
    )
    return table_files(symbol, f"the keyboard {comment(name)}", facts.descriptor, {symbol: table}, checks, made_by)


def table_files(
    symbol: str,
    whose: str,
    descriptor: Descriptor,
    tables: Mapping[str, ReportTable],
    checks: Iterable[str],
    made_by: str,
) -> dict[str, str]:
    """File name -> text of the header and the source of a device's tables, by their C names.

    `whose` names the device for the comment, `checks` are the lines before the declarations.
    """
    opening = [
        *licence_lines(),
        "/*",
        f" * How to read the reports of {whose}.",
        f" * Made by {made_by} from its report descriptor, {len(descriptor.data)} bytes,",
        f" * SHA-256 {sha256(descriptor.data).hexdigest()}",
        " */",
    ]
    return {
        f"{symbol}.h": "\n".join([*opening, *_header(symbol, tables, checks), ""]),
        f"{symbol}.c": "\n".join([*opening, *_source(symbol, tables), ""]),
    }


def _header(symbol: str, tables: Mapping[str, ReportTable], checks: Iterable[str]) -> Iterator[str]:
    yield f"#ifndef {symbol.upper()}_H"
    yield f"#define {symbol.upper()}_H"
    yield ""
    yield from checks
    yield ""
    yield "#ifdef __cplusplus"
    yield 'extern "C" {'
    yield "#endif"
    yield ""
    for name, table in tables.items():
        yield f"#define {name.upper()}_SIZE {len(table.to_bytes())}u"
        yield f"extern const uint8_t {name}[{name.upper()}_SIZE];"
    yield ""
    yield "#ifdef __cplusplus"
    yield "}"
    yield "#endif"
    yield ""
    yield "#endif"


def _source(symbol: str, tables: Mapping[str, ReportTable]) -> Iterator[str]:
    yield f'#include "{symbol}.h"'
    for name, table in tables.items():
        yield ""
        yield f"const uint8_t {name}[{name.upper()}_SIZE] MM_TABLE = {{"
        for line in table.lines:
            yield f"    /* {comment(line.text)} */"
            for start in range(0, len(line.data), 16):
                yield "    " + " ".join(f"0x{byte:02X}," for byte in line.data[start : start + 16])
        yield "};"
