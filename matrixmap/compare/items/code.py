"""What changes in the C code of a layout."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.compare.sides.outcomes import Outcomes, outcomes_of
from matrixmap.emit.tables.c import header_text, machine_header_text, source_text
from matrixmap.model.plan import Plan
from matrixmap.press.levels import Levels
from matrixmap.press.table.make import TableError, make_table


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeChange:
    """Sizes of the table in bytes, and whether every byte is unchanged.

    A size of None: that side has no such layout, or no table can hold it; `fault` then says why.
    """

    old_bytes: int | None
    new_bytes: int | None
    same: bool = False
    fault: str | None = None


def compare_code(before: Outcomes | None, after: Outcomes | None, new: Plan | None) -> CodeChange:
    """The C code of two plans side by side; `before` and `after` are None without such a plan, or without its table."""
    tables = [side.rules.table.to_bytes() if side else None for side in (before, after)]
    sizes = [None if table is None else len(table) for table in tables]
    return CodeChange(
        old_bytes=sizes[0],
        new_bytes=sizes[1],
        same=tables[0] == tables[1] and tables[0] is not None,
        fault=_fault(new) if new and not after else None,
    )


def code_lines(old: Plan, new: Plan) -> tuple[str, ...]:
    """The lines of C removed (`-`) and added (`+`) between two plans; none if a plan has no table."""
    before, after = outcomes_of(old), outcomes_of(new)
    return _different_lines(_text(before), _text(after)) if before and after else ()


def _fault(plan: Plan) -> str | None:
    """Why no table can hold a plan."""
    try:
        make_table(plan)
    except TableError as fault:
        return str(fault)
    return None


def _text(side: Outcomes) -> str:
    """All C code of a layout and its machine, without the hash of the plan, which every change changes."""
    made_by = "matrixmap"
    headers = (
        machine_header_text(side.plan.layout.machine, made_by),
        header_text(side.plan, side.rules.table, "", made_by),
    )
    return "".join((*headers, source_text(Levels(side.every), "", made_by)))


def _different_lines(old: str, new: str) -> tuple[str, ...]:
    from difflib import unified_diff

    texts = old.splitlines(), new.splitlines()
    lines = list(unified_diff(texts[0], texts[1], n=0, lineterm=""))[2:]
    return tuple(line for line in lines if not line.startswith("@@"))
