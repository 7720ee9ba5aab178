"""HID report descriptors: which reports a device has, and which usage each bit carries.

Source: USB-IF, Device Class Definition for HID 1.11, sections 5.4 to 5.8, 6.2.2 and 8.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from matrixmap.hid.items import MAX_DESCRIPTOR_BYTES, Item, MalformedDescriptorError, Note, Tag, read_items
from matrixmap.limits import DESCRIPTOR_NOTES, DESCRIPTOR_USAGES

MAX_REPORT_BYTES: Final = 0xFFFF
"""wLength, which gives the length of a report in Get_Report, has 16 bits (section 7.2.1)."""

MAX_PUSHED: Final = 16
"""The most copies of the global items that a descriptor may keep; the standard gives no limit."""

CONSTANT: Final = 0x01
VARIABLE: Final = 0x02
RELATIVE: Final = 0x04
NULL_STATE: Final = 0x40

APPLICATION: Final = 0x01
"""The type of an application collection (section 6.2.2.6)."""


class ReportKind(Enum):
    """What a report is for: keys go in, LEDs go out, settings are features."""

    INPUT = "input"
    OUTPUT = "output"
    FEATURE = "feature"


MAIN_KINDS: Final = {
    Tag.INPUT: ReportKind.INPUT,
    Tag.OUTPUT: ReportKind.OUTPUT,
    Tag.FEATURE: ReportKind.FEATURE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class UsageRange:
    """Usages in a row on one page, with the page in the upper 16 bits: `0x00070004` to `0x00070065`."""

    first: int
    last: int

    def __len__(self) -> int:
        return self.last - self.first + 1

    @property
    def page(self) -> int:
        """The usage page."""
        return self.first >> 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """What one Input, Output or Feature item declares: `count` values of `size` bits each.

    `offset` is the item's place in the descriptor; `bit` is the field's place in the report, including the byte of the
    report id. `application` is the usage of the application collection around it, 0 if there is none, and `collection`
    the place of that collection in the descriptor. `lone_end` says that its local items include a Usage Minimum or
    Maximum without the other.
    """

    kind: ReportKind
    report_id: int
    offset: int
    bit: int
    size: int
    count: int
    flags: int
    logical_min: int
    logical_max: int
    usages: tuple[UsageRange, ...]
    application: int
    collection: int = 0
    lone_end: bool = False

    @property
    def holds(self) -> tuple[int, int]:
        """The least and the greatest number in a value's bits, which are signed if the logical minimum is negative."""
        half = 1 << (self.size - 1)
        return (-half, half - 1) if self.logical_min < 0 else (0, 2 * half - 1)

    @property
    def constant(self) -> bool:
        """Whether this is padding."""
        return bool(self.flags & CONSTANT)

    @property
    def variable(self) -> bool:
        """Whether each value belongs to one usage; else these are values of an array, which choose among the usages."""
        return bool(self.flags & VARIABLE)

    def usage_at(self, index: int) -> int | None:
        """The usage with this index, including its page; None beyond the last.

        A variable's last usage applies to all values after it (section 6.2.2.8).
        """
        for usages in self.usages:
            if index < len(usages):
                return usages.first + index
            index -= len(usages)
        return self.usages[-1].last if self.variable and self.usages else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """One report: its id (0: none), its length in bits, including the byte of the id, and its fields."""

    kind: ReportKind
    id: int
    bits: int
    fields: tuple[Field, ...]

    @property
    def bytes(self) -> int:
        """The length in bytes; a part of a byte counts as one."""
        return (self.bits + 7) // 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Descriptor:
    """A report descriptor that was read: its bytes, its reports in order of appearance, and what is odd in it.

    `applications` are its outermost application collections, each with its place and its usage.
    """

    data: bytes
    reports: tuple[Report, ...]
    oddities: tuple[Note, ...]
    applications: tuple[tuple[int, int], ...] = ()

    @property
    def numbered(self) -> bool:
        """Whether an input report begins with its id."""
        return any(report.id for report in self.inputs)

    @property
    def inputs(self) -> tuple[Report, ...]:
        """The input reports. If some have ids, one without an id cannot be told apart and is left out."""
        return self._told_apart(ReportKind.INPUT)

    @property
    def outputs(self) -> tuple[Report, ...]:
        """The output reports; those without an id are left out in the same case."""
        return self._told_apart(ReportKind.OUTPUT)

    def _told_apart(self, kind: ReportKind) -> tuple[Report, ...]:
        found = [report for report in self.reports if report.kind is kind]
        numbered = [report for report in found if report.id]
        return tuple(numbered or found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Parsed:
    """The result of reading: the descriptor, up to the fault if there is one."""

    descriptor: Descriptor
    fault: Note | None


@dataclass(frozen=True, slots=True)
class _Globals:
    """The global items that matter for keys (section 6.2.2.7)."""

    page: int = 0
    logical_min: int = 0
    logical_max: int = 0
    logical_max_unsigned: int = 0
    report_size: int = 0
    report_count: int = 0
    report_id: int = 0


@dataclass(slots=True)
class _Usages:
    """The usages declared since the last main item; `short` ones took their page from the page item before them."""

    first: int
    last: int
    short: bool


def parse_descriptor(data: bytes) -> Parsed:
    """Reads a report descriptor as far as it makes sense. Never raises: what ends the reading is in `fault`."""
    parser = _Parser()
    fault = None
    try:
        if not data:
            raise MalformedDescriptorError(0, "the descriptor is empty")
        if len(data) > MAX_DESCRIPTOR_BYTES:
            raise MalformedDescriptorError(
                MAX_DESCRIPTOR_BYTES, f"{len(data)} bytes are too many for a report descriptor ({MAX_DESCRIPTOR_BYTES})"
            )
        for item in read_items(data):
            parser.take(item)
        parser.end(len(data))
    except MalformedDescriptorError as error:
        fault = error.note
    return Parsed(descriptor=parser.descriptor(data), fault=fault)


class _Parser:
    """The state of the reading between two items (section 5.4)."""

    def __init__(self) -> None:
        self.globals = _Globals()
        self.pushed: list[_Globals] = []
        self.usages: list[_Usages] = []
        self.minimum: Item | None = None
        self.maximum: Item | None = None
        self.alternatives = 0
        self.inside_set = False
        self.collections: list[int] = []
        self.application = 0
        self.application_depth = 0
        self.applications: list[tuple[int, int]] = []
        self.bits: dict[tuple[ReportKind, int], int] = {}
        self.fields: dict[tuple[ReportKind, int], list[Field]] = {}
        self.oddities: list[Note] = []
        self.declared = 0
        self.ids: dict[int, Item] = {}

    def take(self, item: Item) -> None:
        """Takes one more item."""
        tag = item.tag
        if self.declared > DESCRIPTOR_USAGES:
            text = f"the descriptor has more than {DESCRIPTOR_USAGES} usages, ranges of usages and fields"
            raise MalformedDescriptorError(item.offset, text)
        if tag is None:
            self.note(item, f"a reserved or long item (0x{item.prefix:02X}), which means nothing in HID 1.11")
        elif tag in MAIN_KINDS:
            self.field(item, MAIN_KINDS[tag])
        elif tag is Tag.COLLECTION:
            self.open_collection(item)
        elif tag is Tag.END_COLLECTION:
            self.close_collection(item)
        elif tag in (Tag.USAGE, Tag.USAGE_MINIMUM, Tag.USAGE_MAXIMUM, Tag.DELIMITER):
            self.local(item, tag)
        else:
            self.global_(item, tag)

    def note(self, item: Item, text: str) -> None:
        """Notes something odd at an item; of very many notes, only the first are kept."""
        if len(self.oddities) < DESCRIPTOR_NOTES:
            self.oddities.append(Note(offset=item.offset, text=text))

    def global_(self, item: Item, tag: Tag) -> None:
        match tag:
            case Tag.USAGE_PAGE:
                self.globals = replace(self.globals, page=item.unsigned & 0xFFFF)
            case Tag.LOGICAL_MINIMUM:
                self.globals = replace(self.globals, logical_min=item.signed)
            case Tag.LOGICAL_MAXIMUM:
                self.globals = replace(self.globals, logical_max=item.signed, logical_max_unsigned=item.unsigned)
            case Tag.REPORT_SIZE:
                self.globals = replace(self.globals, report_size=item.unsigned)
            case Tag.REPORT_COUNT:
                self.globals = replace(self.globals, report_count=item.unsigned)
            case Tag.REPORT_ID:
                if not 1 <= item.unsigned <= 0xFF:
                    raise MalformedDescriptorError(item.offset, f"Report ID is 1 to 255, not {item.unsigned}")
                self.globals = replace(self.globals, report_id=item.unsigned)
                self.ids.setdefault(item.unsigned, item)
            case Tag.PUSH:
                if len(self.pushed) == MAX_PUSHED:
                    raise MalformedDescriptorError(item.offset, f"more than {MAX_PUSHED} Push items without a Pop")
                self.pushed.append(self.globals)
            case Tag.POP:
                if not self.pushed:
                    raise MalformedDescriptorError(item.offset, "a Pop without a Push before it")
                self.globals = self.pushed.pop()

    def local(self, item: Item, tag: Tag) -> None:
        match tag:
            case Tag.USAGE:
                usage, short = self.complete(item)
                self.add_usages(usage, usage, short)
            case Tag.USAGE_MINIMUM:
                self.minimum = item
            case Tag.USAGE_MAXIMUM:
                self.maximum = item
            case Tag.DELIMITER:
                if (item.unsigned == 1) == self.inside_set or item.unsigned > 1:
                    raise MalformedDescriptorError(item.offset, "a Delimiter that neither opens nor closes a set")
                self.inside_set = item.unsigned == 1
                self.alternatives = 0
        if self.minimum is not None and self.maximum is not None:
            self.add_range(item, self.minimum, self.maximum)
            self.minimum = self.maximum = None

    def complete(self, item: Item) -> tuple[int, bool]:
        """A usage with its page: a long one contains its page, a short one takes the page in force."""
        if item.size > 2:
            return item.unsigned, False
        return self.globals.page << 16 | item.unsigned, True

    def add_range(self, item: Item, minimum: Item, maximum: Item) -> None:
        (first, first_short), (last, last_short) = self.complete(minimum), self.complete(maximum)
        if first_short and not last_short:
            first = last & 0xFFFF0000 | first & 0xFFFF
        elif last_short and not first_short:
            last = first & 0xFFFF0000 | last & 0xFFFF
        if first > last or first >> 16 != last >> 16:
            text = f"the usages from 0x{first:X} to 0x{last:X} are not a range"
            raise MalformedDescriptorError(item.offset, text)
        self.add_usages(first, last, first_short and last_short)

    def add_usages(self, first: int, last: int, short: bool) -> None:
        """Adds usages. Of a set between delimiters only the first counts: it is the preferred one (section 6.2.2.8)."""
        if self.inside_set:
            self.alternatives += 1
            if self.alternatives > 1:
                return
        self.usages.append(_Usages(first=first, last=last, short=short))
        self.declared += 1

    def end_locals(self, item: Item) -> tuple[UsageRange, ...]:
        """The usages that a main item takes; after it there are none.

        A page that follows its usages still counts for them (section 6.2.2.8: a main item joins the last page and the
        usage). It does not count for those before a usage that was declared on that page, because devices mix pages in
        this way.
        """
        if self.inside_set:
            raise MalformedDescriptorError(item.offset, "a set of alternative usages (Delimiter) is not closed")
        if self.minimum is not None or self.maximum is not None:
            self.note(self.minimum or self.maximum or item, "a Usage Minimum or Maximum without its other end; ignored")
        page = self.globals.page
        for usages in reversed(self.usages):
            if usages.short and usages.first >> 16 == page:
                break
            if usages.short:
                usages.first = page << 16 | usages.first & 0xFFFF
                usages.last = page << 16 | usages.last & 0xFFFF
        found = tuple(UsageRange(first=usages.first, last=usages.last) for usages in self.usages)
        self.usages = []
        self.minimum = self.maximum = None
        return found

    def open_collection(self, item: Item) -> None:
        usages = self.end_locals(item)
        self.collections.append(item.offset)
        if item.unsigned == APPLICATION and not self.application_depth:
            self.application = usages[-1].last if usages else 0
            self.application_depth = len(self.collections)
            self.applications.append((item.offset, self.application))

    def close_collection(self, item: Item) -> None:
        if not self.collections:
            raise MalformedDescriptorError(item.offset, "an End Collection without a Collection before it")
        self.end_locals(item)
        self.collections.pop()
        if len(self.collections) < self.application_depth:
            self.application = self.application_depth = 0

    def field(self, item: Item, kind: ReportKind) -> None:
        lone_end = self.minimum is not None or self.maximum is not None
        usages = self.end_locals(item)
        known = self.globals
        key = (kind, known.report_id)
        bit = self.bits.get(key, 8 if known.report_id else 0)
        bits = known.report_size * known.report_count
        if bit + bits > 8 * MAX_REPORT_BYTES:
            text = f"{known.report_count} fields of {known.report_size} bits make a report longer than {MAX_REPORT_BYTES} bytes"
            raise MalformedDescriptorError(item.offset, text)
        self.bits[key] = bit + bits
        self.declared += 1
        field = Field(
            kind=kind,
            report_id=known.report_id,
            offset=item.offset,
            bit=bit,
            size=known.report_size,
            count=known.report_count,
            flags=item.unsigned,
            logical_min=known.logical_min,
            logical_max=self.logical_max(),
            usages=usages,
            application=self.application,
            collection=self.applications[-1][0] if self.application_depth else 0,
            lone_end=lone_end,
        )
        self.fields.setdefault(key, []).append(field)
        self.note_field(item, field)

    def logical_max(self) -> int:
        """A maximum below a minimum that is not negative can only be meant without sign: `25 FF` is then 255."""
        known = self.globals
        return known.logical_max_unsigned if known.logical_max < 0 <= known.logical_min else known.logical_max

    def note_field(self, item: Item, field: Field) -> None:
        """What is odd about a field, whatever its usages are."""
        title = field.kind.value.capitalize()
        if not field.count or not field.size:
            named = "Report Count" if field.size else "Report Size"
            self.note(item, f"the {title} field is empty: its {named} is 0")
        elif not self.collections:
            self.note(item, f"the {title} field is outside every collection")
        if field.constant:
            return
        if not field.usages and field.count and field.size:
            self.note(item, f"the {title} field of {field.count} x {field.size} bits has data but no usage")
        if self.globals.logical_max < 0 <= field.logical_min:
            self.note(
                item,
                f"Logical Maximum is written as {self.globals.logical_max}, below the minimum; read as {field.logical_max}",
            )
        elif field.logical_max < field.logical_min:
            self.note(item, f"Logical Maximum {field.logical_max} is below Logical Minimum {field.logical_min}")
        if not field.variable and field.size > 32:
            self.note(item, f"an array of {field.size} bits a value: HID 1.11, section 8.4, allows 32; ignored")

    def end(self, length: int) -> None:
        """The last byte has been read."""
        if self.collections:
            count = len(self.collections)
            text = f"{count} collection{'s are' if count > 1 else ' is'} not closed; the last opens at byte {self.collections[-1]}"
            raise MalformedDescriptorError(length, text)
        if self.pushed:
            self.oddities.append(Note(offset=length, text="a Push without a Pop after it"))

    def descriptor(self, data: bytes) -> Descriptor:
        """What was read so far."""
        used = {id for _, id in self.bits}
        for id, item in self.ids.items():
            if id not in used:
                self.note(item, f"report id {id} has no field: there is no such report")
        reports = tuple(
            Report(kind=kind, id=id, bits=self.bits[kind, id], fields=tuple(fields))
            for (kind, id), fields in self.fields.items()
        )
        return Descriptor(
            data=data,
            reports=reports,
            oddities=(*self.oddities, *_report_oddities(reports)),
            applications=tuple(self.applications),
        )


def _report_oddities(reports: tuple[Report, ...]) -> Iterator[Note]:
    """What is odd about whole reports."""
    for report in reports:
        name = f"the {report.kind.value} report" + (f" {report.id}" if report.id else "")
        last = report.fields[-1].offset
        if report.bits % 8:
            yield Note(offset=last, text=f"{name} ends inside a byte, after {report.bits} bits: the padding is wrong")
        mixed = any(other.id for other in reports if other.kind is report.kind)
        if mixed and not report.id:
            text = f"{name} has no id, but others have: no host can tell it apart, and it is left out"
            yield Note(offset=report.fields[0].offset, text=text)
