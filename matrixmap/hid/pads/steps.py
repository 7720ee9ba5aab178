"""The steps that find what is on in the reports of each pad of a descriptor.

The decoder in Python, the table for the C decoder and the description of a pad are all made from these steps. A pad is
an application collection Joystick or Game Pad of the Generic Desktop page (USB-IF, HID Usage Tables).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from matrixmap.hid.descriptor import NULL_STATE, RELATIVE, Descriptor, Field, UsageRange
from matrixmap.hid.items import Note
from matrixmap.hid.pads.sources import (
    AXES,
    BUTTON_PAGE,
    BUTTONS,
    DPAD,
    FIRST_AXIS,
    FIRST_DPAD,
    HAT_USAGE,
    Source,
)
from matrixmap.hid.usage_names import DESKTOP_PAGE, GAME_PAD, JOYSTICK, extended_name

MAX_VALUE_BITS: Final = 16
"""The most bits of a value that is read as a number."""

LOWEST: Final = -0x8000
HIGHEST: Final = 0xFFFF
WIDEST: Final = 0xFFFF
"""The largest logical minimum or maximum of a value that is read, and the largest difference between them."""

MAX_CHOICES: Final = 255
"""The most values of an array, and the most runs of usages that its values name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Switches:
    """`count` one-bit values from bit `bit` on, for sources in a row from `source` on, or all for `source` (`same`)."""

    bit: int
    count: int
    source: Source
    same: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WideSwitches:
    """The same for values of `size` bits, on if not 0. Beyond `low` or `high` they are clipped, or with `null` ignored.

    If `low` is above `high`, every value counts as it is.
    """

    bit: int
    size: int
    count: int
    source: Source
    same: bool
    low: int
    high: int
    null: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """`count` values in a row of an array, from `first` on, as unsigned bits, and the sources that they name."""

    first: int
    count: int
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """`count` values of `size` bits, each of which may name a source that is on."""

    bit: int
    size: int
    count: int
    named: tuple[Named, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A value of `size` bits from `low` to `high` for an axis, by its place in `AXES`."""

    bit: int
    size: int
    axis: int
    low: int
    high: int
    null: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Hat:
    """A value of `size` bits: 4 or 8 (`values`) directions from `low` on, clockwise from up; else it has none."""

    bit: int
    size: int
    low: int
    values: int


Step = Switches | WideSwitches | Choices | Axis | Hat


@dataclass(frozen=True, slots=True, kw_only=True)
class PadReport:
    """A report that carries something of a pad: its id (0: none), its length in bytes, and the steps to read it."""

    id: int
    bytes: int
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """One pad: the start of its collection, its usage (joystick or game pad), its reports, and what is not read.

    `steps` has every step with the number of its report, in the order of the descriptor. `fault` names the field with
    usages that cannot be known; such a pad is refused, and its steps are those of the other fields.
    """

    collection: int
    usage: int
    reports: tuple[PadReport, ...]
    steps: tuple[tuple[int, Step], ...]
    notes: tuple[Note, ...]
    fault: Note | None

    @property
    def title(self) -> str:
        """`Joystick` or `Gamepad`."""
        return extended_name(self.usage)


def pads_of(descriptor: Descriptor) -> tuple[Pad, ...]:
    """The pads of a descriptor, in order; a pad without anything readable has no report."""
    return tuple(
        _pad(descriptor, collection, usage)
        for collection, usage in descriptor.applications
        if usage in (JOYSTICK, GAME_PAD)
    )


def _pad(descriptor: Descriptor, collection: int, usage: int) -> Pad:
    fields = [field for report in descriptor.inputs for field in report.fields if field.collection == collection]
    reader = _Fields()
    found: list[tuple[int, Step]] = []
    for field in sorted(fields, key=lambda field: field.offset):
        found += [(field.report_id, step) for step in reader.steps(field)]
    numbers = {id: number for number, id in enumerate(dict.fromkeys(id for id, _ in found))}
    lengths = {report.id: report.bytes for report in descriptor.inputs}
    return Pad(
        collection=collection,
        usage=usage,
        reports=tuple(
            PadReport(id=id, bytes=lengths[id], steps=tuple(step for each, step in found if each == id))
            for id in numbers
        ),
        steps=tuple((numbers[id], step) for id, step in found),
        notes=tuple(reader.notes),
        fault=reader.fault,
    )


class _Fields:
    """Makes the steps of one pad, field by field; if an axis or a hat occurs twice, the first one counts."""

    def __init__(self) -> None:
        self.notes: list[Note] = []
        self.fault: Note | None = None
        self.axes: set[int] = set()
        self.hat = False

    def steps(self, field: Field) -> Iterator[Step]:
        if field.constant or not field.size or not field.count:
            return
        if field.lone_end and self.fault is None:
            text = "this Input field has a Usage Minimum without a Usage Maximum, or the other way round"
            self.fault = Note(offset=field.offset, text=text)
        if not field.usages:
            return
        if not field.variable:
            yield from self._choices(field)
            return
        index = 0
        for usages in field.usages:
            if index >= field.count:
                return
            yield from self._run(field, usages, index)
            index += len(usages)
        # The last usage applies to all values without a usage of their own.
        source = _source(field.usages[-1].last)
        if index < field.count and source is not None:
            yield from self._switches(field, index, field.count - index, source, same=True)

    def _run(self, field: Field, usages: UsageRange, index: int) -> Iterator[Step]:
        """The steps of usages in a row; `index` is the value of the first one."""
        first, last = usages.first & 0xFFFF, usages.last & 0xFFFF
        last = min(last, first + field.count - index - 1)
        if usages.page == BUTTON_PAGE:
            yield from self._sources(field, index - first, max(first, 1), min(last, BUTTONS), Source(0), 1)
            if last > BUTTONS:
                self._note(field, f"buttons above {BUTTONS} are not read")
        elif usages.page == DESKTOP_PAGE:
            for usage in range(max(first, FIRST_AXIS), min(last, FIRST_AXIS + len(AXES) - 1) + 1):
                yield from self._axis(field, index + usage - first, usage - FIRST_AXIS)
            if first <= HAT_USAGE <= last:
                yield from self._hat(field, index + HAT_USAGE - first)
            least, most = max(first, FIRST_DPAD), min(last, FIRST_DPAD + 3)
            yield from self._sources(field, index - first, least, most, Source(DPAD), FIRST_DPAD)

    def _sources(
        self, field: Field, shift: int, least: int, most: int, source: Source, usage: int
    ) -> Iterator[Switches | WideSwitches]:
        """Values for the usages from `least` to `most`; `usage` is that of `source`."""
        if least <= most:
            first = Source(source + least - usage)
            yield from self._switches(field, least + shift, most - least + 1, first, same=False)

    def _switches(
        self, field: Field, index: int, count: int, source: Source, *, same: bool
    ) -> Iterator[Switches | WideSwitches]:
        bit = field.bit + index * field.size
        low, high = field.logical_min, field.logical_max
        least, most = field.holds if field.size <= MAX_VALUE_BITS else (0, 0)
        if field.size == 1 and (low >= high or (low <= least and most <= high)):
            yield Switches(bit=bit, count=count, source=source, same=same)
        elif field.size > MAX_VALUE_BITS:
            self._note(field, f"buttons of {field.size} bits each are not read ({MAX_VALUE_BITS} at most)")
        else:
            if low < high and (low > most or high < least):
                self._note(field, "buttons with all values outside their logical range are not read")
                return
            low, high = (max(low, least), min(high, most)) if low < high else (1, 0)
            null = bool(field.flags & NULL_STATE)
            yield WideSwitches(
                bit=bit, size=field.size, count=count, source=source, same=same, low=low, high=high, null=null
            )

    def _axis(self, field: Field, index: int, axis: int) -> Iterator[Axis]:
        name = AXES[axis]
        low, high = field.logical_min, field.logical_max
        if axis in self.axes:
            self._note(field, f"{name} appears again; the first one counts")
        elif field.flags & RELATIVE:
            self._note(field, f"{name} is relative, as on a mouse: not read")
        elif field.size > MAX_VALUE_BITS:
            self._note(field, f"{name} has {field.size} bits; at most {MAX_VALUE_BITS} are read")
        elif low >= high or low < LOWEST or high > HIGHEST or high - low > WIDEST:
            self._note(field, f"{name} runs from {low} to {high}, which is not a range that can be read")
        else:
            self.axes.add(axis)
            yield Axis(
                bit=field.bit + index * field.size,
                size=field.size,
                axis=axis,
                low=low,
                high=high,
                null=bool(field.flags & NULL_STATE),
            )

    def _hat(self, field: Field, index: int) -> Iterator[Hat]:
        low, high = field.logical_min, field.logical_max
        values = high - low + 1
        least, most = field.holds if field.size <= MAX_VALUE_BITS else (0, 0)
        if self.hat:
            self._note(field, "a second hat is not read")
        elif field.size > MAX_VALUE_BITS or low < LOWEST or high > HIGHEST:
            self._note(field, f"a hat of {field.size} bits from {low} to {high} is not read")
        elif values not in (4, 8):
            self._note(field, f"the hat has {max(values, 0)} values, {low} to {high}; hats of 4 or 8 are read")
        elif low <= least and most <= high:
            self._note(
                field,
                f"the hat's {field.size} bits have no value for rest, so it would always point somewhere; not read",
            )
        else:
            self.hat = True
            if not field.flags & NULL_STATE:
                self._note(field, "the hat declares no null state; values outside its range count as at rest")
            yield Hat(bit=field.bit + index * field.size, size=field.size, low=low, values=values)

    def _choices(self, field: Field) -> Iterator[Choices]:
        """An array: its values, counted from the logical minimum, name buttons and directions of the D-pad."""
        if field.size > MAX_VALUE_BITS or field.count > MAX_CHOICES:
            if any(_source(usages.first) is not None for usages in field.usages):
                self._note(field, f"an array of {field.count} values of {field.size} bits is not read")
            return
        low, high = field.logical_min, field.logical_max
        least, most = field.holds
        least, most = max(least, low), min(most, high)
        named: list[Named] = []
        index = 0
        for usages in field.usages:
            first, last = _clipped(usages)
            start = low + index + first - usages.first
            end = start + last - first
            skipped = max(least - start, 0)
            source = _source(first + skipped) if first <= last and start + skipped <= min(end, most) else None
            if source is not None and len(named) < MAX_CHOICES:
                value = (start + skipped) & (1 << field.size) - 1
                named.append(Named(first=value, count=min(end, most) - start - skipped + 1, source=source))
            index += len(usages)
        if named:
            yield Choices(bit=field.bit, size=field.size, count=field.count, named=tuple(named))

    def _note(self, field: Field, text: str) -> None:
        note = Note(offset=field.offset, text=text)
        if note not in self.notes:
            self.notes.append(note)


def _source(usage: int) -> Source | None:
    """The source for a usage with its page, among buttons and D-pad; None for others."""
    page, number = usage >> 16, usage & 0xFFFF
    if page == BUTTON_PAGE and 1 <= number <= BUTTONS:
        return Source(number - 1)
    if page == DESKTOP_PAGE and FIRST_DPAD <= number < FIRST_DPAD + 4:
        return Source(DPAD + number - FIRST_DPAD)
    return None


def _clipped(usages: UsageRange) -> tuple[int, int]:
    """The part of usages in a row that are buttons or directions of the D-pad; empty if the first is above the last."""
    least, most = (1, BUTTONS) if usages.page == BUTTON_PAGE else (FIRST_DPAD, FIRST_DPAD + 3)
    if usages.page not in (BUTTON_PAGE, DESKTOP_PAGE):
        return 1, 0
    return max(usages.first, usages.page << 16 | least), min(usages.last, usages.page << 16 | most)
