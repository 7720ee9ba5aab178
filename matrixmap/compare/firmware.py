"""What does a change mean to firmware? Names in C, places in the index, sizes, and whether boards are flashed again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from matrixmap.compare.layouts import LayoutComparison
from matrixmap.emit.tables.c import contact_names, machine_header_name, table_symbol
from matrixmap.emit.tables.id16 import id16_text
from matrixmap.emit.tables.index import command_macro
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A layout with another place in `mm_layouts`, counted from 0."""

    layout: str
    old: int
    new: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """A layout of the old side with a 16-bit id that no new layout has; `new` is its id now, None if it is gone."""

    layout: str
    id16: str
    new: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Firmware:
    """What firmware must know about a change.

    `gone` and `come` are names in C that other code may use. `moved` are layouts with another place in `mm_layouts`. Of
    `tables` tables on both sides, `differ` have other bytes, in total `old_bytes` and `new_bytes` long; `most` is the
    largest growth of one. `faults` are layouts that had a table and now have none. `stored` are the 16-bit ids of
    layouts that were removed or renamed: a choice that firmware stored is lost with them.
    """

    gone: tuple[str, ...] = ()
    come: tuple[str, ...] = ()
    moved: tuple[Moved, ...] = ()
    tables: int = 0
    differ: int = 0
    old_bytes: int = 0
    new_bytes: int = 0
    most: int = 0
    faults: tuple[str, ...] = ()
    flash: bool = False
    stored: tuple[Stored, ...] = ()

    @property
    def breaking(self) -> int:
        """The number of kinds of change that break code for old names or tables; the index guarantees no places."""
        return bool(self.gone) + len(self.faults) + len(self.stored)


def firmware_of(
    layouts: Sequence[LayoutComparison],
    untouched: Iterable[Machine],
    order: tuple[Sequence[str], Sequence[str]] | None,
) -> Firmware:
    """The meaning of a comparison for firmware.

    `untouched` are the machines of unchanged layouts: their names in C stay. `order` are the ids of all layouts of both
    sides in the order of the index, None if only some are compared.
    """
    names = [dict.fromkeys(_names(layouts, side)) for side in (0, 1)]
    kept = {name for machine in untouched for name in (machine_header_name(machine), *contact_names(machine).values())}
    both = [layout for layout in layouts if layout.code and layout.code.old_bytes is not None]
    codes = [layout.code for layout in both if layout.code and layout.code.new_bytes is not None]
    grown = [(code.new_bytes or 0) - (code.old_bytes or 0) for code in codes]
    renamed = any(layout.old_id not in (None, layout.id) for layout in layouts if layout.id is not None)
    titles = any(layout.old and layout.new and layout.old.layout.title != layout.new.layout.title for layout in layouts)
    come_or_gone = any(layout.code and None in (layout.code.old_bytes, layout.code.new_bytes) for layout in layouts)
    return Firmware(
        gone=tuple(sorted(name for name in names[0] if name not in names[1] and name not in kept)),
        come=tuple(sorted(name for name in names[1] if name not in names[0] and name not in kept)),
        moved=tuple(_moved(layouts, *order)) if order else (),
        tables=len(codes),
        differ=sum(not code.same for code in codes),
        old_bytes=sum(code.old_bytes or 0 for code in codes),
        new_bytes=sum(code.new_bytes or 0 for code in codes),
        most=max(grown, default=0),
        faults=tuple(layout.name for layout in both if layout.code and layout.code.fault is not None),
        flash=any(not code.same for code in codes) or come_or_gone or renamed or titles,
        stored=tuple(
            Stored(layout=layout.old_id, id16=id16_text(layout.old_id), new=layout.id)
            for layout in layouts
            if layout.old_id is not None and layout.id != layout.old_id
        ),
    )


def _names(layouts: Iterable[LayoutComparison], side: int) -> Iterator[str]:
    for layout in layouts:
        plan = (layout.old, layout.new)[side]
        if plan is not None:
            yield from names_in_c(plan)


def names_in_c(plan: Plan) -> Iterator[str]:
    """The names in C that other code may use because of a plan: its table, the keys of its machine, its commands.

    If firmware can identify a layout by anything else, such as a number that it stores, add it here.
    """
    yield table_symbol(plan.id)
    yield machine_header_name(plan.layout.machine)
    yield from contact_names(plan.layout.machine).values()
    yield from (f"{command_macro(line.name)} = {line.number}" for line in plan.layout.command_names)


def _moved(layouts: Iterable[LayoutComparison], old: Sequence[str], new: Sequence[str]) -> Iterator[Moved]:
    """Layouts on both sides with a different place."""
    now_called = {layout.old_id: layout.id for layout in layouts if layout.old_id and layout.id}
    at = {id: number for number, id in enumerate(new)}
    for number, id in enumerate(old):
        name = now_called.get(id, id)
        if name in at and at[name] != number:
            yield Moved(layout=name, old=number, new=at[name])
