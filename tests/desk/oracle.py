"""hid-tools as a second reader of descriptors and reports. It is an oracle of the tests alone, for its licence is GPL."""

from __future__ import annotations

from typing import Any

from matrixmap.hid.descriptor import Descriptor, ReportKind
from tests import tools

KEYBOARD_PAGE = 7

Layout = dict[tuple[str, int], tuple[int, list[tuple[int, int, bool, tuple[int, ...]]]]]
"""(kind, id) -> bits, and of every value that is no padding: bit, size, whether it is of an array, usages."""


def read(data: bytes) -> Any:
    """What hid-tools makes of a descriptor; it raises many things at a malformed one."""
    return tools.module("hidtools.hid", "hid-tools").ReportDescriptor.from_bytes(list(data))


def rejects(data: bytes) -> bool:
    """Whether hid-tools raises anything at all at a descriptor."""
    try:
        read(data)
    except Exception:  # noqa: BLE001 - a foreign program's way to say no
        return True
    return False


def down(read_descriptor: Any, report: bytes) -> set[int] | None:
    """The usages 0x01 to 0xFF of the keyboard page that are down in a report; None where hid-tools knows no such report."""
    fields = read_descriptor.get(report[0], len(report))
    if fields is None:
        return None
    found = set()
    for field in fields:
        if field.is_const:
            continue
        for place, value in enumerate(field.get_values(list(report))):
            if isinstance(value, str):
                continue  # hid-tools writes "<.>" where the report is too short
            if field.is_array:
                index = value - field.logical_min
                inside = field.logical_min <= value <= field.logical_max and 0 <= index < len(field.usages)
                usage = field.usages[index] if inside else 0
            else:
                usage = (field.usages[place] if field.usages else field.usage) if value else 0
            if usage >> 16 == KEYBOARD_PAGE and 0 < usage & 0xFFFF < 0x100:
                found.add(usage & 0xFFFF)
    return found


def lit(read_descriptor: Any, id: int, report: bytes) -> set[int]:
    """The usages, page included, whose values in an output report are not 0; `report` begins with the id if it is not 0."""
    found = set()
    for field in read_descriptor.output_reports[id or -1]:
        if field.is_const:
            continue
        for place, value in enumerate(field.get_values(list(report))):
            if value:
                found.add(field.usages[place] if field.usages else field.usage)
    return found


def their_layout(read_descriptor: Any) -> Layout:
    """Where hid-tools sees what."""
    found: Layout = {}
    for kind in ("input", "output", "feature"):
        for id, report in getattr(read_descriptor, f"{kind}_reports").items():
            values = []
            for field in report:
                if field.is_const or (not field.is_array and not field.usage):
                    continue
                if field.is_array:
                    usages = tuple(field.usages or ())
                    values += [(field.start + n * field.size, field.size, True, usages) for n in range(field.count)]
                else:
                    values.append((field.start, field.size, False, (field.usage,)))
            found[kind, max(id, 0)] = (report.bitsize, values)
    return found


def our_layout(descriptor: Descriptor) -> Layout:
    """Where this project sees what, in the same form."""
    found: Layout = {}
    for report in descriptor.reports:
        values = []
        for field in report.fields:
            if field.constant:
                continue
            listed = tuple(usage for run in field.usages for usage in range(run.first, run.last + 1))
            for place in range(field.count):
                bit = field.bit + place * field.size
                if not field.variable:
                    values.append((bit, field.size, True, listed))
                elif listed:
                    usage = field.usage_at(place)
                    assert usage is not None
                    values.append((bit, field.size, False, (usage,)))
        found[report.kind.value, report.id] = (report.bits, values)
    assert {report.kind for report in descriptor.reports} <= set(ReportKind)
    return found
