"""What a report descriptor says about a keyboard, for a person or a program that asks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.hid.descriptor import Descriptor, Field, ReportKind
from matrixmap.hid.items import Note
from matrixmap.hid.lights import LightReport, light_notes, light_report
from matrixmap.hid.report import Decoder, State
from matrixmap.hid.steps import Array, Bits, Step, field_steps, key_reports
from matrixmap.hid.usage_names import KEYBOARD, KEYPAD, extended_name
from matrixmap.hid.usages import (
    BOOT_FIRST_KEY_BYTE,
    BOOT_KEYS,
    BOOT_REPORT_BYTES,
    BOOT_RESERVED_BYTE,
    ERROR_ROLL_OVER,
    KEYBOARD_PAGE,
    LED_PAGE,
    MODIFIER_BITS,
    NO_EVENT,
    STATUS_USAGES,
    Usage,
)

NO_KEYS = frozenset((NO_EVENT, *STATUS_USAGES))


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyField:
    """A field that carries keys: how many values of how many bits, where, and the keys that they can report.

    `at_once` is the number of keys that it can report at once. `by_index` says that an array's values are not the
    numbers of their usages. `rolls` says whether it can report that too many keys are held.
    """

    report_id: int
    bit: int
    size: int
    count: int
    array: bool
    keys: tuple[Usage, ...]
    at_once: int
    by_index: bool
    rolls: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Led:
    """An LED: its usage on the LED page, its output report, and its bit there, counting the byte of the id.

    `is_set` says that the firmware sets this LED.
    """

    usage: int
    report_id: int
    bit: int
    is_set: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherUsages:
    """Usages of another page that the keyboard can send, including the page, and the report that carries them."""

    report_id: int
    first: int
    last: int


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyboardFacts:
    """A keyboard as its descriptor describes it.

    `keys` are the usages that its reports can carry; it need not have all these keys. `not_boot` says why its reports
    are not boot reports; `beyond_boot` are the keys that a host does not see if it reads them as boot reports. `lights`
    is the output report that the firmware sends to set LEDs; None if it can set none.
    """

    descriptor: Descriptor
    fields: tuple[KeyField, ...]
    keys: frozenset[Usage]
    not_boot: tuple[str, ...]
    beyond_boot: frozenset[Usage]
    leds: tuple[Led, ...]
    lights: LightReport | None
    others: tuple[OtherUsages, ...]
    oddities: tuple[Note, ...]


def keyboard_facts(descriptor: Descriptor) -> KeyboardFacts:
    """What a descriptor says about a keyboard."""
    fields = tuple(found for report in descriptor.inputs for field in report.fields for found in _key_fields(field))
    keys = frozenset(usage for field in fields for usage in field.keys)
    reasons, seen = _boot(descriptor, keys)
    lights = light_report(descriptor)
    odd = {*descriptor.oddities, *_oddities(descriptor, fields), *light_notes(descriptor)}
    notes = sorted(odd, key=lambda note: (note.offset, note.text))
    return KeyboardFacts(
        descriptor=descriptor,
        fields=fields,
        keys=keys,
        not_boot=tuple(reasons),
        beyond_boot=frozenset() if reasons else keys - seen,
        leds=tuple(_leds(descriptor, lights)),
        lights=lights,
        others=tuple(_others(descriptor)),
        oddities=tuple(notes),
    )


def step_keys(step: Step) -> Iterator[Usage]:
    """The usages that one step can find, as often as it can find them, including those that are not keys."""
    if isinstance(step, Bits):
        yield from (Usage(step.usage + index) for index in range(step.count))
    else:
        for values in step.values:
            yield from (Usage(values.usage + index) for index in range(values.count))


def _by_index(step: Step) -> bool:
    """Whether an array's values are not the numbers of their usages."""
    return isinstance(step, Array) and any(values.first != values.usage for values in step.values)


def _key_fields(field: Field) -> Iterator[KeyField]:
    steps = tuple(field_steps(field))
    every = {usage for step in steps for usage in step_keys(step)}
    if not every:
        return
    keys = tuple(sorted(every - NO_KEYS))
    array = not field.variable
    yield KeyField(
        report_id=field.report_id,
        bit=field.bit,
        size=field.size,
        count=field.count,
        array=array,
        keys=keys,
        at_once=min(field.count, len(keys)) if array else len(keys),
        by_index=any(map(_by_index, steps)),
        rolls=ERROR_ROLL_OVER in every,
    )


def _leds(descriptor: Descriptor, lights: LightReport | None) -> Iterator[Led]:
    set_bits = lights.bit_usages().keys() if lights else ()
    for report in descriptor.reports:
        for field in report.fields:
            if report.kind is not ReportKind.OUTPUT or field.constant or not field.variable:
                continue
            # An output with many values on the LED page would not be a keyboard's; its first 256 values are enough.
            for index in range(min(field.count, 256)):
                usage = field.usage_at(index)
                if usage is not None and usage >> 16 == LED_PAGE:
                    bit = field.bit + index * field.size
                    is_set = lights is not None and lights.id == report.id and bit in set_bits
                    yield Led(usage=usage & 0xFFFF, report_id=report.id, bit=bit, is_set=is_set)


def _others(descriptor: Descriptor) -> Iterator[OtherUsages]:
    found: dict[OtherUsages, None] = {}
    for report in descriptor.inputs:
        for field in report.fields:
            for usages in field.usages if not field.constant else ():
                if usages.page != KEYBOARD_PAGE and field.count and field.size:
                    found[OtherUsages(report_id=report.id, first=usages.first, last=usages.last)] = None
    yield from found


def _boot(descriptor: Descriptor, keys: frozenset[Usage]) -> tuple[list[str], frozenset[Usage]]:
    """Why the reports are not boot reports, found by decoding some; the keys that are where a boot report has them."""
    reports = key_reports(descriptor)
    if not reports:
        return ["it has no keys"], frozenset()
    if descriptor.numbered:
        return ["its reports begin with an id"], frozenset()
    length = reports[0].bytes
    if length < BOOT_REPORT_BYTES:
        return [f"its reports have {length} bytes, a boot report has {BOOT_REPORT_BYTES}"], frozenset()
    decoder = Decoder(descriptor)

    def keys_for(byte: int, value: int) -> frozenset[Usage]:
        data = bytearray(length)
        data[byte] = value
        decoded = decoder.decode(bytes(data))
        return decoded.key_set if decoded.state is State.KEYS else frozenset()

    reasons = []
    modifiers = {usage for usage, bit in MODIFIER_BITS.items() if keys_for(0, 1 << bit) == {usage}}
    if modifiers != set(MODIFIER_BITS):
        reasons.append("its first byte is not that of the eight modifiers")
    if keys_for(BOOT_RESERVED_BYTE, 0xFF):
        reasons.append("its second byte, which is reserved in a boot report, holds keys")
    places = range(BOOT_FIRST_KEY_BYTE, BOOT_FIRST_KEY_BYTE + BOOT_KEYS)
    arrayed = frozenset(usage for usage in keys if all(keys_for(byte, usage) == {usage} for byte in places))
    if not arrayed:
        reasons.append("its third to eighth bytes are not an array of six usages")
    return reasons, arrayed | frozenset(modifiers)


def _oddities(descriptor: Descriptor, fields: tuple[KeyField, ...]) -> Iterator[Note]:
    """What is odd about the keys."""
    seen: dict[Usage, int] = {}
    for report in descriptor.inputs:
        for field in report.fields:
            yield from _field_oddities(field)
        first = report.fields[0].offset
        mine = {usage for found in fields if found.report_id == report.id for usage in found.keys}
        for other in sorted({seen[usage] for usage in mine if usage in seen}):
            both = [usage for usage in mine if seen.get(usage) == other]
            text = (
                f"{len(both)} keys are in report {report.id} and in report {other}: they are down while either says so"
            )
            yield Note(offset=first, text=text)
        seen.update(dict.fromkeys(mine, report.id))
    if fields and not any(set(field.keys) & set(MODIFIER_BITS) for field in fields):
        yield Note(offset=0, text="there are no modifiers")
    if not fields:
        yield Note(offset=0, text="there are no keys: no input field has usages of the keyboard page")


def _field_oddities(field: Field) -> Iterator[Note]:
    steps = tuple(field_steps(field))
    if not steps:
        if field.constant and any(usages.page == KEYBOARD_PAGE for usages in field.usages) and field.count:
            yield Note(offset=field.offset, text="keys are declared, but as a constant: they are padding")
        return

    if field.application not in (KEYBOARD, KEYPAD):
        where = (
            f"in a collection {extended_name(field.application)}"
            if field.application
            else "in no application collection"
        )
        yield Note(offset=field.offset, text=f"these keys are {where}")
    declared = sum(len(usages) for usages in field.usages)
    if field.variable:
        yield from _bitmap_oddities(field, declared)
        return
    reachable = field.logical_max - field.logical_min + 1
    if field.logical_min == 0:
        reachable = min(reachable, 1 << field.size)
    if reachable < declared:
        last = field.usage_at(reachable - 1) if reachable > 0 else None
        upto = f"only those up to {extended_name(last)}" if last is not None else "none"
        yield Note(offset=field.offset, text=f"the array names {declared} usages, but its values reach {upto}")
    if any(map(_by_index, steps)):
        yield Note(
            offset=field.offset,
            text="the array's values are not the numbers of their usages, but count them from the logical minimum",
        )
    if not any(usage == ERROR_ROLL_OVER for step in steps for usage in step_keys(step)):
        yield Note(offset=field.offset, text="the array cannot say that too many keys are held (ErrorRollOver)")


def _bitmap_oddities(field: Field, declared: int) -> Iterator[Note]:
    offset = field.offset
    if field.size > 1:
        yield Note(offset=offset, text=f"each key has {field.size} bits; it is down if any of them is set")
    if declared < field.count:
        last = extended_name(field.usages[-1].last)
        rest = field.count - declared
        text = f"{field.count} values for {declared} usages: the other {rest} all mean the last one, {last}"
        yield Note(offset=offset, text=text)
    elif declared > field.count:
        text = f"{declared} usages for {field.count} values: the last {declared - field.count} are never sent"
        yield Note(offset=offset, text=text)
