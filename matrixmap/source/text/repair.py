"""Reads on after a syntax error: repairs the line for reading, so that the rest of the file is checked as well.

A mere consequence of a repair is never reported: what could not be read is marked, and that has already been reported.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from matrixmap.limits import QUOTED_LINES, REPAIRED_BYTES, REPAIRED_LINE_CHARACTERS, REPAIRED_LOOKS, REPAIRS
from matrixmap.source import rules
from matrixmap.source.text.slips import DOUBLE, KEY, OPENING, SINGLE, UNREAD, LineScan, Slip
from matrixmap.source.text.syntax import Fault, explain

if TYPE_CHECKING:
    import yaml


class Lines:
    """The lines of a file under repair, with the original column of each character."""

    def __init__(self, text: str) -> None:
        self.now = text.splitlines()
        self._columns: dict[int, list[int]] = {}
        self.whole = True

    def text(self) -> str:
        """All lines as they are now."""
        return "\n".join(self.now) + "\n"

    def column(self, line: int, column: int) -> int:
        """The column in the file for a current column."""
        columns = self._columns.get(line)
        return column if columns is None else columns[min(column, len(columns) - 1)]

    def put(self, line: int, start: int, end: int, text: str) -> None:
        """Replaces a part of a line."""
        here = self.now[line]
        columns = self._columns.setdefault(line, list(range(len(here) + 1)))
        self.now[line] = here[:start] + text + here[end:]
        columns[start:end] = [columns[start]] * len(text)


@dataclass(frozen=True, slots=True)
class Composed:
    """The nodes of a file from YAML (None: nothing), its lines as they were read, and the faults found."""

    root: yaml.Node | None
    lines: Lines
    faults: tuple[Fault, ...]
    slips: tuple[tuple[int, Slip], ...] = ()
    sure: bool = True


def compose(text: str) -> Composed:
    """Reads a text that is YAML, or nearly. RecursionError if it is nested too deep."""
    import yaml

    loader = base_loader()
    lines = Lines(text)
    try:
        return Composed(yaml.compose(text, Loader=loader), lines, ())
    except yaml.MarkedYAMLError as error:
        return _Repair(lines, loader).read_on(error)


def base_loader() -> type:
    """The YAML reader that makes texts of all scalars: the fast one if it is installed.

    The two accept different texts, such as `a?` in a flow mapping, so one of them reads a text throughout.
    """
    import yaml

    return getattr(yaml, "CBaseLoader", yaml.BaseLoader)


class _Repair:
    """Repairs one line after the other until YAML can read the rest."""

    def __init__(self, lines: Lines, loader: type) -> None:
        self.lines = lines
        self.size = len(lines.text())
        # Each line is scanned once; lines with slips are scanned again.
        self.looks = len(lines.now) + REPAIRED_LOOKS
        self.loader = loader
        self.faults: list[Fault] = []
        self.slips: list[tuple[int, Slip]] = []
        self.tried: dict[int, int] = {}
        self.sure = True

    def read_on(self, error: yaml.MarkedYAMLError) -> Composed:
        import yaml

        scanned = self._scan_all()
        # Each repair costs another reading of the file.
        for _ in range(min(REPAIRS, max(REPAIRED_BYTES // self.size, 1))):
            if not scanned and not self._repair(error):
                break
            scanned = False
            try:
                return self._composed(yaml.compose(self.lines.text(), Loader=self.loader))
            except yaml.MarkedYAMLError as next_error:
                error = next_error
        return self._cut(error)

    def _scan_all(self) -> bool:
        """Repairs the slips of all lines; returns whether there were any."""
        found = False
        number = 0
        while number < len(self.lines.now):
            end = _entry_end(self.lines.now, number)
            # A line may need a second look: after a bracket that is now closed, or a lost comma.
            while not _is_text(self.lines.now[number:end]) and self._scan_run(range(number, end)):
                self.looks -= (end - number) // 16
                found = True
            number = end
        return found

    def _composed(self, root: yaml.Node | None) -> Composed:
        faults = tuple(dict.fromkeys(self.faults))
        return Composed(root, self.lines, faults, tuple(self.slips), self.sure)

    def _cut(self, error: yaml.MarkedYAMLError) -> Composed:
        """Everything above the top-level entry with an error that cannot be repaired."""
        import yaml

        self.sure = self.lines.whole = False
        at, begun = error.problem_mark, error.context_mark
        line = min(mark.line for mark in (at, begun) if mark) if at or begun else 0
        last = min(line, len(self.lines.now) - 1)
        cut = next((n for n in range(last, -1, -1) if re.match(r"[^\s#\-]", self.lines.now[n])), 0)
        try:
            return self._composed(yaml.compose("\n".join(self.lines.now[:cut]) + "\n", Loader=self.loader))
        except yaml.YAMLError:
            return self._composed(None)

    def _repair(self, error: yaml.MarkedYAMLError) -> bool:
        """Reports a fault and repairs it; false if nothing is left to try."""
        if any(self._scan_run(run) for run in _runs(error, self.lines.now)):
            return True
        fault = explain(error, self.lines.now)
        if fault.rule is rules.NESTED_TOO_DEEP:
            self._tell(fault)
            return False
        tries = self.tried.get(fault.line, 0)
        self.tried[fault.line] = tries + 1
        if not tries and not any(number == fault.line for number, _ in self.slips):
            self._tell(fault)
        self.sure = False
        if fault.line >= len(self.lines.now):
            return False
        if not tries and fault.rule is rules.TAB:
            self._indent_again(fault.line)
            return True
        return self._skip(fault.line, tries)

    def _tell(self, fault: Fault) -> None:
        column = self.lines.column(fault.line, fault.column)
        self.faults.append(Fault(fault.rule, fault.line, column, fault.text))

    def _scan_run(self, run: range) -> bool:
        """Repairs the slips of the first line of a run that has any."""
        above: tuple[str, ...] = ()
        bracket: tuple[int, int] | None = None
        for number in run:
            self.looks -= 1
            if self.looks < 0 or len(self.lines.now[number]) > REPAIRED_LINE_CHARACTERS:
                return False
            scan = LineScan(self.lines.now[number], above)
            if scan.slips and self.tried.get(number, 0) < 2:
                self.tried[number] = self.tried.get(number, 0) + 1
                self._put(number, scan.slips)
                return True
            if scan.opened and not above:
                bracket = number, scan.opened[0]
            above = tuple(scan.open)
            if above and bracket and self._ends_open(bracket[0], number):
                return self._close(bracket, number, "".join(reversed(above)))
        return False

    def _put(self, number: int, slips: list[Slip]) -> None:
        for slip in slips:
            self._tell(Fault(slip.rule, number, slip.column, slip.text))
            self.sure &= slip.sure
        self.slips += [(number, slip) for slip in slips]
        for slip in reversed(slips):
            self.lines.put(number, slip.start, slip.end, slip.put)

    def _ends_open(self, first: int, number: int) -> bool:
        """Whether the next line that is not empty begins an entry of its own, so that a bracket was not closed."""
        indent = _indent(self.lines.now[first])
        for below in range(number + 1, len(self.lines.now)):
            line = self.lines.now[below]
            if line.strip() and not line.lstrip().startswith("#"):
                return _indent(line) <= indent and line.lstrip()[0] not in "]}"
        return True

    def _close(self, bracket: tuple[int, int], number: int, closing: str) -> bool:
        line, column = bracket
        if self.tried.get(line, 0) > 1:
            return False
        self.tried[line] = self.tried.get(line, 0) + 1
        here = self.lines.now[number]
        end = len(re.split(r"[ ]+#", here, maxsplit=1)[0].rstrip(" ,"))
        mark = self.lines.now[line][column]
        where = "at the end of this line" if line == number else f"at the end of line {number + 1}"
        text = f"this {mark} is not closed; {OPENING[mark]} is missing, perhaps {where}"
        self._tell(Fault(rules.YAML_SYNTAX, line, column, text))
        self.lines.put(number, end, end, closing)
        self.sure = False
        return True

    def _indent_again(self, number: int) -> None:
        """Replaces tabs by spaces, as many as the lines above suggest."""
        line = self.lines.now[number]
        blank = len(line) - len(line.lstrip(" \t"))
        if "\t" in line[:blank]:
            self.lines.put(number, 0, blank, " " * self._expected_indent(number))
        for at, char in enumerate(self.lines.now[number]):
            if char == "\t":
                self.lines.put(number, at, at + 1, " ")

    def _expected_indent(self, number: int) -> int:
        for line in reversed(self.lines.now[:number]):
            bare = re.split(r"[ ]+#", line, maxsplit=1)[0].rstrip()
            if bare and not bare.lstrip().startswith("#"):
                return _indent(line) + (2 if bare.endswith(":") else 0)
        return 0

    def _skip(self, number: int, tries: int) -> bool:
        """Reads a line first without its value, then without any content, then not at all."""
        line = self.lines.now[number]
        indent = _indent(line)
        found = re.match(r"[ ]*(?:-[ ]+)?[\w+-]+:[ ]+(?=\S)", line)
        if tries == 0 and found:
            self.lines.put(number, found.end(), len(line), UNREAD)
        elif tries <= 1:
            self.lines.put(number, indent, len(line), f"{UNREAD}{number}: {UNREAD}")
        elif tries == 2:
            self.lines.put(number, 0, len(line), "")
            self.lines.whole = False
            return True
        else:
            return False
        for below in range(number + 1, len(self.lines.now)):
            text = self.lines.now[below]
            if text.strip() and _indent(text) <= indent:
                break
            self.lines.put(below, 0, len(text), "")
        return True


def _runs(error: yaml.MarkedYAMLError, lines: list[str]) -> Iterator[range]:
    """The lines that may cause an error: each run starts at a line that begins an entry."""
    at, begun = error.problem_mark, error.context_mark
    where = at or begun
    last = min(where.line if where else 0, len(lines) - 1)
    starts = [last]
    if begun is not None and "block" not in (error.context or ""):
        starts.append(min(begun.line, last))
    above = next(
        (n for n in range(last - 1, -1, -1) if lines[n].strip() and not lines[n].lstrip().startswith("#")), None
    )
    if above is not None:
        starts.append(above)
    for start in sorted(set(starts)):
        yield range(start, last + 1)


def _entry_end(lines: list[str], first: int) -> int:
    """The line after an entry that begins in a line: after its brackets, or after the deeper indented text."""
    end = first + 1
    if len(lines[first]) > REPAIRED_LINE_CHARACTERS:
        return end
    scan = LineScan(lines[first])
    if any(slip.put in ("'", '"') for slip in scan.slips):
        last = min(len(lines), first + QUOTED_LINES)
        while end < last and lines[end].strip() and _indent(lines[end]) > _indent(lines[first]):
            end += 1
            if _is_text(lines[first:end]):
                return end
        return first + 1
    if scan.open:
        while end < len(lines) and (not lines[end].strip() or _indent(lines[end]) > _indent(lines[first])):
            end += 1
        return end + (end < len(lines) and lines[end].lstrip()[:1] in ("]", "}"))
    if re.search(r":[ ]+[^\s\[{#'\"]", lines[first]):
        while end < len(lines) and lines[end].strip() and _indent(lines[end]) > _indent(lines[first]):
            if KEY.match(lines[end].lstrip(" ")) and not re.search(r":[ ]+[|>][+-]?$", lines[first].rstrip()):
                break
            end += 1
    return end


def _is_text(lines: list[str]) -> bool:
    """Whether the lines of an entry are one quoted text over several lines."""
    if len(lines) < 2:
        return False
    key = KEY.match(lines[0].lstrip(" "))
    value = "\n".join([lines[0].lstrip(" ")[key.end() :] if key else lines[0].lstrip(" "), *lines[1:]])
    return any(quote.fullmatch(value.rstrip()) for quote in (SINGLE, DOUBLE))


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))
