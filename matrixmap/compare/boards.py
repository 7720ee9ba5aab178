"""What changed in the adapters and parts of a project? For people who make boards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TypeVar

from matrixmap.compare.items.item import Item, Section
from matrixmap.compare.items.item import Part as Of
from matrixmap.compare.once import News
from matrixmap.compare.side import Side
from matrixmap.compare.sides.words import Words, join_words, listed, say
from matrixmap.model.boards.adapter import Adapter, DriverTime, Fit, Part, PartUse
from matrixmap.source.folder import KINDS, SUFFIX
from matrixmap.source.kinds.project import Loaded

Told = tuple[bool, Section, Words]
"""Whether a board made from the old files is now a different one, the kind of change, and the words."""

Value = TypeVar("Value", Adapter, Part)


def board_news(old: Side, new: Side, machines: Mapping[str, str] | None = None) -> Iterator[News]:
    """The changes of the adapters and parts in a side's own folder, each under its name; breaking ones first.

    A part is reported once, not again for each adapter with it. `machines` maps old ids of machines to the new ids
    that replaced them.
    """
    found: list[News] = []
    for id in _own(old, new, "adapter"):
        found += _news(f"adapter {id}", old.project.adapter(id), new.project.adapter(id), machines or {})
    for id in _own(old, new, "part"):
        found += _news(f"part {id}", old.project.part(id), new.project.part(id), {})
    yield from sorted(found, key=lambda news: not news.breaking)


def board_files(old: Side, new: Side) -> set[str]:
    """The names of the files of adapters and parts in a side's own folder."""
    return {f"{KINDS[kind]}/{id}{SUFFIX}" for kind in ("adapter", "part") for id in _own(old, new, kind)}


def _own(old: Side, new: Side, kind: str) -> list[str]:
    return sorted({id for side in (old, new) for id in side.project.folders[0].ids(kind)})


def _news(
    subject: str, old: Loaded[Value] | None, new: Loaded[Value] | None, machines: Mapping[str, str]
) -> Iterator[News]:
    if old is not None and new is not None and old.inputs == new.inputs:
        return
    place = new.value.place if new is not None and new.value is not None else None
    for breaking, section, words in _told(old, new, machines):
        short = say("{}: {}", (subject,), words)
        item = Item(
            part=Of.BOARD, section=section, breaking=breaking, words=words, facts=frozenset(), place=place, short=short
        )
        broken = new is not None and new.value is None
        yield News(item=item, layouts=(), subject=subject, broken=broken)


def _told(old: Loaded[Value] | None, new: Loaded[Value] | None, machines: Mapping[str, str]) -> Iterator[Told]:
    before, after = (side.value if side is not None else None for side in (old, new))
    if new is not None and after is None:
        if old is None or before is not None:
            why = new.findings[0].text if new.findings else "its file is damaged"
            yield True, Section.WIRING, say("cannot be read: {}", why)
    elif new is None:
        yield True, Section.WIRING, ("is gone",)
    elif old is None:
        yield False, Section.WIRING, ("is new",)
    elif before is None:
        yield False, Section.WIRING, ("can be read again",)
    elif isinstance(before, Adapter) and isinstance(after, Adapter):
        yield from _of_adapter(before, after, machines)
    elif isinstance(before, Part) and isinstance(after, Part):
        yield from _of_part(before, after)


def _names(old: Adapter | Part, new: Adapter | Part) -> Iterator[Told]:
    for field in ("title", "source"):
        was, now = getattr(old, field), getattr(new, field)
        if was != now:
            yield False, Section.NAMES, say(f"{field}: {{}}, was {{}}", now, was)


# ---- adapters ----


def _of_adapter(old: Adapter, new: Adapter, machines: Mapping[str, str]) -> Iterator[Told]:
    yield from _names(old, new)
    yield from _of_parts(old.parts, new.parts)
    yield from _of_nets(_nets(old), _nets(new))
    kept = (replace(fit, machine=machines.get(fit.machine, fit.machine)) for fit in old.fits)
    yield from _of_fits(kept, new.fits)
    yield from _of_driver(old.driver, new.driver)
    unused = [{adapter.pin_name(pin) for pin in adapter.unused} for adapter in (old, new)]
    if unused[0] != unused[1]:
        parts = [
            say(words, listed(sorted(pins)))
            for words, pins in (("now {}", unused[1] - unused[0]), ("no longer {}", unused[0] - unused[1]))
            if pins
        ]
        yield False, Section.WIRING, say("pins that are said to be unused: {}", join_words(parts, last=", "))


def _of_driver(old: DriverTime | None, new: DriverTime | None) -> Iterator[Told]:
    """Tables that were built with the board have the old times, so a new time of its driver needs new tables."""
    times = [replace(driver, measured="") if driver is not None else None for driver in (old, new)]
    if times[0] != times[1]:
        yield (
            True,
            Section.WIRING,
            ("its driver takes another time, so tables that are built with it have other times",),
        )
    elif old != new and old is not None and new is not None:
        yield False, Section.NAMES, say("how its driver was measured: {}, was {}", new.measured, old.measured)


def _of_parts(old: Mapping[str, PartUse], new: Mapping[str, PartUse]) -> Iterator[Told]:
    for ref in sorted({*old, *new}):
        before, after = old.get(ref), new.get(ref)
        if before is None and after is not None:
            yield True, Section.WIRING, say("new part {}, {}", ref, after.part.id)
        elif after is None and before is not None:
            yield True, Section.WIRING, say("the part {}, {}, is gone", ref, before.part.id)
        elif before is not None and after is not None:
            yield from ((True, Section.WIRING, words) for words in _of_use(before, after))


def _of_use(old: PartUse, new: PartUse) -> Iterator[Words]:
    if old.part.id != new.part.id:
        yield say("{} is {}, was {}", new.ref, new.part.id, old.part.id)
    if old.ohms != new.ohms:
        yield say("ohms of {}: {}, was {}", new.ref, _number(new.ohms), _number(old.ohms))
    if old.values != new.values:
        yield say("other numbers of {}: changed", new.ref)
    if old.mates is not new.mates:
        yield say("{} is for: {}, was for {}", new.ref, new.mates.value, old.mates.value)
    if old.closed != new.closed:
        yield say("the jumper {} is {}", new.ref, ("closed now" if new.closed else "open now",))
    if old.key_pin != new.key_pin:
        yield say("blanked pin of {}: {}, was {}", new.ref, _number(new.key_pin), _number(old.key_pin))


def _number(value: float | None) -> str:
    return "none" if value is None else f"{value:g}"


def _nets(adapter: Adapter) -> dict[str, frozenset[str]]:
    """The nets by name, each with its pins in the form that people write."""
    return {net.name: frozenset(map(adapter.pin_name, net.pins)) for net in adapter.nets}


def _of_nets(old: Mapping[str, frozenset[str]], new: Mapping[str, frozenset[str]]) -> Iterator[Told]:
    names = {pins: name for name, pins in old.items() if name not in new}
    renamed = {names[pins]: name for name, pins in new.items() if name not in old and pins in names}
    for was, name in sorted(renamed.items()):
        yield False, Section.NAMES, say("the net {} is now called {}", was, name)
    for name in sorted({*old, *new} - {*renamed, *renamed.values()}):
        before, after = old.get(name), new.get(name)
        if before is None and after is not None:
            yield True, Section.WIRING, say("new net {}: {}", name, listed(sorted(after)))
        elif after is None and before is not None:
            yield True, Section.WIRING, say("the net {} is gone, which joined {}", name, listed(sorted(before)))
        elif before is not None and after is not None and before != after:
            parts = [
                say(words, listed(sorted(pins)))
                for words, pins in (("now {}", after - before), ("no longer {}", before - after))
                if pins
            ]
            yield True, Section.WIRING, say("the net {} joins {}", name, join_words(parts, last=", "))


def _of_fits(old: Iterable[Fit], new: Iterable[Fit]) -> Iterator[Told]:
    sides = [{fit.name: fit for fit in fits} for fits in (old, new)]
    for name in sorted({*sides[0], *sides[1]}):
        before, after = (side.get(name) for side in sides)
        if before is None:
            yield False, Section.WIRING, say("fits {} now", name)
        elif after is None:
            yield True, Section.WIRING, say("no longer fits {}", name)
        elif _how(before) != _how(after):
            yield True, Section.WIRING, say("is put on {} {}, was {}", name, (_how(after),), (_how(before),))
        elif before.metres != after.metres:
            metres = (_number(fit.metres) for fit in (after, before))
            yield False, Section.WIRING, say("metres of the cable to {}: {}, was {}", name, *metres)


def _how(fit: Fit) -> str:
    through = f"through {fit.through.id}" if fit.through else "straight"
    return f"{through}, on the other side" if fit.other_side else through


# ---- parts ----

WIRED = {
    "pins": "its pins",
    "processor": "what the pins of the processor can do",
    "channels": "its switches",
    "store": "how its store is written",
    "buffers": "its drivers",
    "passive": "what it is",
    "elements": "between which pins it lies",
    "header": "how its pins lie",
    "wires": "its wires",
    "key_pin": "its blanked pin",
}
"""Fields that make a different board if they change."""

STATED = {
    "power": "what its supply pins take and give",
    "inputs": "from which voltages its inputs are high and low",
    "output_high_v": "volts that its outputs surely reach",
    "values": "its other numbers",
    "clamps": "whether it pulls lines towards ground without supply",
    "times": "its times",
    "tolerates_v": "the most volts that its pins tolerate",
}
"""Fields that say what the part withstands and supplies: the board stays the same, but the knowledge of it changes."""


def _of_part(old: Part, new: Part) -> Iterator[Told]:
    yield from _names(old, new)
    for breaking, fields in ((True, WIRED), (False, STATED)):
        for field, words in fields.items():
            was, now = getattr(old, field), getattr(new, field)
            if was != now:
                less = field == "tolerates_v" and None not in (was, now) and now < was
                yield breaking or less, Section.WIRING, _field_words(words, was, now, {**old.pins, **new.pins})


def _field_words(words: str, was: object, now: object, pins: Mapping[str, str]) -> Words:
    """A number with its old value; for values per pin, the pins with a difference."""
    if isinstance(was, float | int | None) and isinstance(now, float | int | None) and not isinstance(now, bool):
        return say(f"{words}: {{}}, was {{}}", _number(now), _number(was))
    if isinstance(was, Mapping) and isinstance(now, Mapping):
        keys = [key for key in {**was, **now} if was.get(key) != now.get(key)]
        return say(f"{words}: otherwise for {{}}", listed((pins.get(str(key), str(key)) for key in keys), 6))
    return (f"{words}: changed",)
