"""A pad's reports as C: the table that the runtime's decoder of pads reads. `mm_pad.h` describes it."""

from __future__ import annotations

from typing import Final

from matrixmap.emit.keyboards.keyboard_c import (
    MAX_REPORT_BYTES,
    MAX_REPORTS,
    MAX_TABLE_BYTES,
    Line,
    ReportTable,
    end_line,
    head_lines,
    table_files,
    word,
)
from matrixmap.emit.tables.names import comment, identifier
from matrixmap.hid.descriptor import Descriptor
from matrixmap.hid.pads.sources import AXES, Source, source_name
from matrixmap.hid.pads.steps import Axis, Choices, Hat, Pad, Step, Switches, WideSwitches

PAD_TABLE_VERSION: Final = 1
PAD_DESCRIPTOR_BYTES: Final = 128
"""The RAM that a firmware reserves for the table of an unknown device."""

_HEADER, _REPORT = 5, 3
_SWITCHES, _WIDE_SWITCHES, _CHOICES, _AXIS, _HAT = 1, 2, 3, 4, 5
_SAME, _SIGNED, _NULL = 0x80, 0x20, 0x40


def no_pad_table(descriptor: Descriptor, pad: Pad) -> str | None:
    """Why there can be no table for a pad; None if there can be one."""
    if not pad.reports:
        return "it has nothing that can be read"
    if len(pad.reports) > MAX_REPORTS:
        return f"it has {len(pad.reports)} reports; the runtime's decoder knows {MAX_REPORTS}"
    longest = max(report.bytes for report in descriptor.inputs)
    if longest > MAX_REPORT_BYTES:
        return f"it has a report of {longest} bytes; the runtime's decoder takes {MAX_REPORT_BYTES}"
    size = _HEADER + sum(len(_step_bytes(number, step)) for number, step in pad.steps) + _REPORT * len(pad.reports)
    return (
        None
        if size <= MAX_TABLE_BYTES
        else f"its table would have {size} bytes; the runtime's decoder takes {MAX_TABLE_BYTES}"
    )


def pad_table(descriptor: Descriptor, pad: Pad) -> ReportTable:
    """The table of a pad that `no_pad_table` accepts."""
    steps = [Line(data=_step_bytes(number, step), text=_step_text(step)) for number, step in pad.steps]
    length = sum(len(line.data) for line in steps)
    head = head_lines(PAD_TABLE_VERSION, numbered=descriptor.numbered, reports=len(pad.reports), steps=length)
    ends = [end_line(report.id, report.bytes) for report in pad.reports]
    return ReportTable(lines=(*head, *steps, *ends), reports=len(pad.reports))


def _shape(size: int, low: int, null: bool) -> int:
    return size | (_SIGNED if low < 0 else 0) | (_NULL if null else 0)


def _step_bytes(number: int, step: Step) -> bytes:
    kind, rest = _kind_and_rest(step)
    return bytes((kind | number << 4, *word(step.bit), *rest))


def _kind_and_rest(step: Step) -> tuple[int, tuple[int, ...]]:
    match step:
        case Switches():
            return _SWITCHES, (*word(step.count), step.source | _SAME * step.same)
        case WideSwitches():
            shape = _shape(step.size, step.low, step.null)
            source = step.source | _SAME * step.same
            return _WIDE_SWITCHES, (*word(step.count), source, shape, *word(step.low), *word(step.high))
        case Choices():
            runs = [value for run in step.named for value in (*word(run.first), run.count, run.source)]
            return _CHOICES, (step.size, step.count, len(step.named), *runs)
        case Axis():
            shape = _shape(step.size, step.low, step.null)
            return _AXIS, (shape, step.axis, *word(step.low), *word(step.high - step.low))
        case Hat():
            return _HAT, (_shape(step.size, step.low, False), step.values, *word(step.low))


def _step_text(step: Step) -> str:
    where = f"from bit {step.bit} on"
    match step:
        case Switches():
            return f"{_run(step.source, step.count, step.same)}: a bit each {where}"
        case WideSwitches():
            ranged = f", {step.low} to {step.high}" if step.low <= step.high else ""
            return f"{_run(step.source, step.count, step.same)}: {step.size} bits each{ranged} {where}"
        case Choices():
            runs = ", ".join(_run(run.source, run.count, False) for run in step.named[:4])
            return f"{step.count} of {runs}: {step.size} bits each {where}"
        case Axis():
            return f"{AXES[step.axis]}: {step.size} bits, {step.low} to {step.high}, {where}"
        case Hat():
            return f"hat: {step.size} bits, {step.values} directions from {step.low} on, {where}"


def _run(source: int, count: int, same: bool) -> str:
    first = source_name(Source(source))
    if same:
        return f"{first}, any of {count}"
    return f"{first} to {source_name(Source(source + count - 1))}" if count > 1 else first


def pad_files(name: str, descriptor: Descriptor, pads: tuple[Pad, ...], made_by: str) -> dict[str, str]:
    """File name -> text of the header and the source of the tables of a device's pads."""
    symbol = identifier(name, "mm_pad_table_")
    tables = {
        f"{symbol}_{place + 1}" if len(pads) > 1 else symbol: pad_table(descriptor, pad)
        for place, pad in enumerate(pads)
    }
    checks = (
        '#include "mm_pad.h"',
        "",
        f"#if MM_PAD_TABLE_VERSION != {PAD_TABLE_VERSION}",
        '#error "this table and mm_pad.h are of different versions: run `matrixmap pad --emit c` again"',
        "#endif",
    )
    return table_files(symbol, f"the pad {comment(name)}", descriptor, tables, checks, made_by)
