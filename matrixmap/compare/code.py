"""What changes in the C of a layout."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.emit.c import header_text, machine_header_text, source_text
from matrixmap.model.plan import Plan
from matrixmap.press.every import Every
from matrixmap.press.levels import Levels
from matrixmap.press.rules import Rules
from matrixmap.press.table import Table, TooLargeError, make_table


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeChange:
    """Sizes of the table in bytes, and the lines of C that went (`-`) and came (`+`).

    A size of None: there is no such layout on that side, or no table can hold it; `fault` then says why.
    """

    old_bytes: int | None
    new_bytes: int | None
    lines: tuple[str, ...] = ()
    fault: str | None = None

    @property
    def removed(self) -> int:
        """How many lines went."""
        return sum(line.startswith("-") for line in self.lines)

    @property
    def added(self) -> int:
        """How many lines came."""
        return sum(line.startswith("+") for line in self.lines)


def compare_code(old: Plan | None, new: Plan | None) -> CodeChange:
    """The C of two plans side by side."""
    (before, _), (after, fault) = _table(old), _table(new)
    lines: tuple[str, ...] = ()
    if old and new and before and after:
        lines = _different_lines(_text(old, before), _text(new, after))
    return CodeChange(
        old_bytes=len(before.to_bytes()) if before else None,
        new_bytes=len(after.to_bytes()) if after else None,
        lines=lines,
        fault=fault,
    )


def _table(plan: Plan | None) -> tuple[Table | None, str | None]:
    if plan is None:
        return None, None
    try:
        return make_table(plan), None
    except TooLargeError as fault:
        return None, str(fault)


def _text(plan: Plan, table: Table) -> str:
    """All C of a layout, that of its machine among it, without the hash of the plan, which any change changes."""
    made_by = "matrixmap"
    headers = machine_header_text(plan.layout.machine, made_by), header_text(plan, table, "", made_by)
    return "".join((*headers, source_text(Levels(Every(Rules(plan, table))), "", made_by)))


def _different_lines(old: str, new: str) -> tuple[str, ...]:
    from difflib import unified_diff

    texts = old.splitlines(), new.splitlines()
    lines = list(unified_diff(texts[0], texts[1], n=0, lineterm=""))[2:]
    return tuple(line for line in lines if not line.startswith("@@"))
