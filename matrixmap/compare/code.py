"""What changes in the C of a layout."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.emit.c import source_text
from matrixmap.emit.table import TooLargeError, make_table
from matrixmap.model.plan import Plan


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
    """The C of two plans side by side; the line with the hash of the plan does not count."""
    (old_bytes, _), (new_bytes, fault) = _size(old), _size(new)
    lines: tuple[str, ...] = ()
    if old and new and old_bytes is not None and new_bytes is not None:
        lines = _different_lines(old, new)
    return CodeChange(old_bytes=old_bytes, new_bytes=new_bytes, lines=lines, fault=fault)


def _size(plan: Plan | None) -> tuple[int | None, str | None]:
    if plan is None:
        return None, None
    try:
        return len(make_table(plan).to_bytes()), None
    except TooLargeError as fault:
        return None, str(fault)


def _different_lines(old: Plan, new: Plan) -> tuple[str, ...]:
    from difflib import unified_diff

    texts = [source_text(plan, make_table(plan), "", "matrixmap").splitlines() for plan in (old, new)]
    lines = list(unified_diff(texts[0], texts[1], n=0, lineterm=""))[2:]
    return tuple(line for line in lines if not line.startswith("@@"))
