"""What does a report descriptor say about a keyboard? In plain words and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeVar

from matrixmap.hid.descriptor import Field, Report, ReportKind
from matrixmap.hid.keyboard import KeyboardFacts, KeyField
from matrixmap.hid.usage_names import extended_name, page_name
from matrixmap.hid.usages import LED_PAGE, USAGES, Usage
from matrixmap.model.words import usage_name

Number = TypeVar("Number", bound=int)

NAMED = 12
"""The most names in a line; the rest is counted."""


def keyboard_lines(facts: KeyboardFacts) -> Iterator[str]:
    """A keyboard in plain words, one line per fact."""
    descriptor = facts.descriptor
    kinds = ", ".join(
        f"{count} {kind.value} report{'s' if count > 1 else ''}"
        for kind in ReportKind
        if (count := sum(report.kind is kind for report in descriptor.reports))
    )
    yield f"The descriptor has {len(descriptor.data)} bytes: {kinds or 'no reports'}."
    by_bit = {(field.report_id, field.bit): field for field in facts.fields}
    for report in descriptor.reports:
        yield from _report_lines(report, by_bit)
    yield from _key_lines(facts)
    yield from _boot_lines(facts)
    leds = ", ".join(extended_name(LED_PAGE << 16 | led.usage).removesuffix(" LED") for led in facts.leds)
    yield f"LEDs: {leds or 'none'}."
    yield from _light_lines(facts)
    others = [_run_name(other.first, other.last) for other in facts.others]
    yield f"Besides keys it sends: {_some(others)}." if others else "It sends nothing but keys."
    if not facts.oddities:
        yield "Nothing odd was found in it."
        return
    yield "Odd in it:"
    for note in facts.oddities:
        yield f"  {note}"


def _light_lines(facts: KeyboardFacts) -> Iterator[str]:
    lights = facts.lights
    if lights is None:
        if facts.leds:
            yield "Firmware can set none of them (mm_report_leds)."
        return
    name = f"output report {lights.id}" if lights.id else "the output report"
    length = f"{lights.bytes} byte{'s' if lights.bytes > 1 else ''}{', the first of them its id' if lights.id else ''}"
    found = ", ".join(
        f"{extended_name(LED_PAGE << 16 | usage).removesuffix(' LED')} by bit {bit}"
        for bit, usage in sorted(lights.bit_usages().items())
    )
    yield f"Firmware can set {found} of {name}, {length} (mm_report_leds)."


def _report_lines(report: Report, keys: dict[tuple[int, int], KeyField]) -> Iterator[str]:
    id = f" {report.id}" if report.id else ""
    yield f"{report.kind.value.capitalize()} report{id}, {report.bytes} byte{'s' if report.bytes != 1 else ''}{', the first of them its id' if report.id else ''}:"
    for field in report.fields:
        found = keys.get((report.id, field.bit)) if report.kind is ReportKind.INPUT else None
        if field.count and field.size:
            yield f"  from bit {field.bit}: {_key_field(found) if found and not field.constant else _field(field)}"


def _key_field(field: KeyField) -> str:
    runs = key_runs(field.keys) if field.keys else "no key"
    bits = f"{field.size} bit{'s' if field.size > 1 else ''}"
    if not field.array:
        return f"{len(field.keys)} keys, {bits} each, all at once: {runs}"
    told = "reports when more are held" if field.rolls else "does not report when more are held"
    return (
        f"an array of {field.count} x {bits}: {field.at_once} keys at once out of {len(field.keys)}, {runs}; it {told}"
    )


def _field(field: Field) -> str:
    bits = f"{field.count} x {field.size} bit{'s' if field.size > 1 else ''}"
    if field.constant:
        return f"{bits} of padding"
    runs = [_run_name(usages.first, usages.last) for usages in field.usages]
    return f"{bits}: {_some(runs) if runs else 'data without a usage'}"


def _run_name(first: int, last: int) -> str:
    if first == last:
        return extended_name(first)
    return f"0x{first & 0xFFFF:02X} to 0x{last & 0xFFFF:02X} of {page_name(first >> 16)}"


def _some(names: list[str]) -> str:
    rest = len(names) - NAMED
    return ", ".join(names[:NAMED]) + (f" and {rest} more" if rest > 0 else "")


def runs_of(numbers: Iterable[Number]) -> list[tuple[Number, Number]]:
    """Usages, or sources of a pad, as ranges of first and last, ascending."""
    runs: list[tuple[Number, Number]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return runs


def key_runs(usages: Iterable[Usage]) -> str:
    """Keys in words, with neighbours as ranges: `KeyA to ContextMenu (0x04 to 0x65)`."""
    return _some([_key_run(first, last) for first, last in runs_of(usages)])


def _key_run(first: Usage, last: Usage) -> str:
    if first == last:
        return usage_name(first)
    numbers = f"0x{first:02X} to 0x{last:02X}"
    names = usage_name(first), usage_name(last)
    return numbers if any(name.startswith("0x") for name in names) else f"{names[0]} to {names[1]} ({numbers})"


def _key_lines(facts: KeyboardFacts) -> Iterator[str]:
    if not facts.keys:
        return
    known = frozenset(fact.usage for fact in USAGES if fact.code)
    yield (
        f"Its reports can carry {len(facts.keys)} usages of the keyboard page; only the keyboard itself shows which "
        "of them are keys."
    )
    missing = known - facts.keys
    if missing:
        yield f"They cannot carry {len(missing)} keys that have a W3C code: {key_runs(missing)}."
    both = {Usage(0x31), Usage(0x32)} & facts.keys
    if both:
        names = " and ".join(f"0x{usage:02X}" for usage in sorted(both))
        yield f"The key beside Enter (Backslash) can come as {names}; a layout that names Backslash accepts either."


def _boot_lines(facts: KeyboardFacts) -> Iterator[str]:
    if facts.not_boot:
        yield f"Its reports are not boot reports: {'; '.join(facts.not_boot)}."
    elif facts.beyond_boot:
        yield (
            f"Its reports begin as boot reports (HID 1.11, appendix B.1), but {len(facts.beyond_boot)} keys are "
            f"elsewhere: {key_runs(facts.beyond_boot)}."
        )
    else:
        yield "Its reports can be read as boot reports (HID 1.11, appendix B.1)."
    yield "Its interface descriptor, not this one, says whether it has the boot protocol (HID 1.11, appendix E.3)."


def keyboard_document(facts: KeyboardFacts) -> dict[str, object]:
    """A keyboard for programs. Usages are numbers; those of other pages have the page in the upper 16 bits."""
    descriptor = facts.descriptor
    return {
        "descriptor": descriptor.data.hex(),
        "reports": [_report_document(report) for report in descriptor.reports],
        "keys": [
            {
                "report": field.report_id,
                "bit": field.bit,
                "kind": "array" if field.array else "bitmap",
                "size": field.size,
                "count": field.count,
                "at_once": field.at_once,
                "tells_rollover": field.rolls,
                "usages": list(field.keys),
            }
            for field in facts.fields
        ],
        "usages": sorted(facts.keys),
        "boot": {
            "readable": not facts.not_boot,
            "reasons": list(facts.not_boot),
            "keys_elsewhere": sorted(facts.beyond_boot),
        },
        "leds": [{"led": led.usage, "report": led.report_id, "bit": led.bit, "set": led.is_set} for led in facts.leds],
        "led_report": {"report": facts.lights.id, "bytes": facts.lights.bytes} if facts.lights else None,
        "others": [
            {
                "report": other.report_id,
                "first": other.first,
                "last": other.last,
                "name": _run_name(other.first, other.last),
            }
            for other in facts.others
        ],
        "odd": [{"offset": note.offset, "text": note.text} for note in facts.oddities],
    }


def _report_document(report: Report) -> dict[str, object]:
    return {
        "kind": report.kind.value,
        "id": report.id,
        "bits": report.bits,
        "fields": [
            {
                "offset": field.offset,
                "bit": field.bit,
                "size": field.size,
                "count": field.count,
                "constant": field.constant,
                "variable": field.variable,
                "logical_min": field.logical_min,
                "logical_max": field.logical_max,
                "usages": [[usages.first, usages.last] for usages in field.usages],
            }
            for field in report.fields
        ],
    }
