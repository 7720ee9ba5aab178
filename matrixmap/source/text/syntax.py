"""Explains a YAML syntax error to somebody who wrote a list of keys and legends.

The parser says what it expected; the writer needs to know which mark needs quotes or which bracket is open.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from matrixmap.source import rules

if TYPE_CHECKING:
    import yaml

OTHER_KIND = {"]": "{", "}": "["}
"""A closing bracket, and the opening one of the other kind: before it, that one was meant as a legend."""


@dataclass(frozen=True, slots=True)
class Fault:
    """A syntax error: its rule, where it is (line and column counted from 0), and the text."""

    rule: rules.Rule
    line: int
    column: int
    text: str


@dataclass(frozen=True, slots=True)
class _Error:
    """The parser's error, with the text that it is about."""

    problem: str
    context: str
    line: int
    column: int
    context_line: int
    context_column: int
    lines: list[str]

    @property
    def here(self) -> str:
        """The line where the parser stopped."""
        return self.lines[self.line] if self.line < len(self.lines) else ""

    @property
    def mark(self) -> str:
        """The character where the parser stopped, empty at the end of a line."""
        return self.here[self.column : self.column + 1]

    @property
    def begun(self) -> str:
        """The line in which the parser began the thing that it was reading."""
        return self.lines[self.context_line] if self.context_line < len(self.lines) else ""

    def fault(self, rule: rules.Rule, text: str) -> Fault:
        """A fault where the parser stopped."""
        return Fault(rule, self.line, self.column, text)

    def fault_at_begin(self, rule: rules.Rule, text: str) -> Fault:
        """A fault at the beginning of the thing that the parser was reading."""
        return Fault(rule, self.context_line, self.context_column, text)


def explain(error: yaml.MarkedYAMLError, lines: list[str]) -> Fault:
    """The fault that causes a parser's error in a text of these lines."""
    at, begun = error.problem_mark, error.context_mark
    line, column = (at.line, at.column) if at else (begun.line, begun.column) if begun else (0, 0)
    told = _Error(
        problem=error.problem or "it cannot be read",
        context=error.context or "",
        line=line,
        column=column,
        context_line=begun.line if begun else line,
        context_column=begun.column if begun else column,
        lines=lines,
    )
    for look in (_depth, _tab, _documents, _aliases, _quotes, _comment, _marks, _colons, _brackets, _indent):
        fault = look(told)
        if fault is not None:
            return fault
    where = f" (begun in line {told.context_line + 1})" if begun else ""
    text = f"this is not YAML: {told.problem}{where}; look for a missing bracket"
    return told.fault(rules.YAML_SYNTAX, text)


def quoted(mark: str) -> str:
    """A mark, quoted as it must be for a legend."""
    return f'"{mark}"' if mark == "'" else f"'{mark}'"


def _as_legend(mark: str) -> str:
    return f"as a legend it goes in quotes: {quoted(mark)}"


def _depth(error: _Error) -> Fault | None:
    if "depth" not in error.problem:
        return None
    return error.fault(rules.NESTED_TOO_DEEP, "lists and mappings are nested too deep")


def _tab(error: _Error) -> Fault | None:
    if "\t" not in error.here[: error.column + 1] and "tab" not in error.problem:
        return None
    return error.fault(rules.TAB, "a tab stands where only spaces may; YAML is indented with spaces")


def _documents(error: _Error) -> Fault | None:
    if "another document" in error.problem or "<document start>" in error.problem:
        return error.fault(rules.YAML_SYNTAX, "a second document begins here; a file describes one thing")
    return None


def _aliases(error: _Error) -> Fault | None:
    if "undefined alias" not in error.problem:
        return None
    return error.fault(rules.ALIAS, "names with & and * are not followed; write the value out, or quote a legend: '*'")


def _quotes(error: _Error) -> Fault | None:
    if "escape" in error.problem:
        return error.fault(
            rules.YAML_SYNTAX, "in double quotes a backslash begins an escape; in single quotes it is itself: '\\'"
        )
    if "quoted scalar" not in error.context:
        return None
    mark = error.begun[error.context_column : error.context_column + 1]
    if error.begun[error.context_column :].startswith('"\\"'):
        text = "the backslash takes the closing quote for a legend; in single quotes it is itself: '\\'"
    else:
        text = f"a quote is opened here and not closed; {_as_legend(mark)}; or a quote is missing further up"
    return error.fault_at_begin(rules.YAML_SYNTAX, text)


def _comment(error: _Error) -> Fault | None:
    """A `#` inside brackets, which hides the closing one."""
    if "flow" not in error.context and "expected node content" not in error.problem:
        return None
    for number in sorted({error.context_line, error.line - 1}):
        line = error.lines[number] if 0 <= number < len(error.lines) else ""
        found = re.search(r"[\[{,:\s](#)(?=.*[\]},])", line)
        if found:
            text = f"a # begins a comment, so the rest of the line is not read; {_as_legend('#')}"
            return Fault(rules.UNQUOTED, number, found.start(1), text)
    return None


def _marks(error: _Error) -> Fault | None:
    """A mark of YAML's own where a value is expected."""
    if "anchor" in error.context or "alias" in error.context or "tag" in error.context:
        mark = error.begun[error.context_column : error.context_column + 1]
        return error.fault_at_begin(rules.UNQUOTED, f"{mark} is a mark of YAML's own; {_as_legend(mark)}")
    if "cannot start any token" in error.problem and error.mark:
        return error.fault(rules.UNQUOTED, f"a value cannot begin with {error.mark}; {_as_legend(error.mark)}")
    if "sequence entries are not allowed" in error.problem or "mapping keys are not allowed" in error.problem:
        return error.fault(rules.UNQUOTED, f"{error.mark} is a mark of YAML's own; {_as_legend(error.mark)}")
    before = error.here[: error.column].rstrip()[-1:]
    if "expected node content" in error.problem and error.mark:
        if before == OTHER_KIND.get(error.mark, ""):
            column = error.here.rindex(before, 0, error.column)
            return Fault(rules.UNQUOTED, error.line, column, f"{before} opens a bracket; {_as_legend(before)}")
        return error.fault(rules.UNQUOTED, f"a value is missing before {error.mark}; {_as_legend(error.mark)}")
    if error.mark in ("]", "}"):
        return error.fault(rules.UNQUOTED, f"this {error.mark} closes nothing; {_as_legend(error.mark)}")
    return None


def _colons(error: _Error) -> Fault | None:
    if "could not find expected ':'" in error.problem:
        if re.search(r"\w:\S", error.begun[error.context_column :]):
            return error.fault_at_begin(rules.YAML_SYNTAX, "behind the colon of this line a blank is missing")
        name = error.begun.strip() or "the name"
        return error.fault_at_begin(rules.YAML_SYNTAX, f"behind {name} the colon is missing; write {name}:")
    above = next((line for line in reversed(error.lines[: error.line]) if line.strip()), "")
    if "mapping values are not allowed" in error.problem and _indent_of(error.here) > _indent_of(above):
        name = above.strip().split(":")[0]
        text = f"this line is indented deeper than the line of {name} above, which has its value already"
        text += "; lines that belong together begin in one column"
        return Fault(rules.YAML_SYNTAX, error.line, _indent_of(error.here), text)
    if "mapping values are not allowed" in error.problem:
        text = f"a colon stands where none can; {_as_legend(':')}; or a colon or an indent is missing further up"
        return error.fault(rules.YAML_SYNTAX, text)
    return None


def _indent_of(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def _brackets(error: _Error) -> Fault | None:
    if "flow" not in error.context or "expected ','" not in error.problem:
        return None
    opened = error.begun[error.context_column : error.context_column + 1]
    text = f"the {opened} of line {error.context_line + 1} is not closed before this, or a comma or quote is missing"
    return error.fault(rules.YAML_SYNTAX, text)


def _indent(error: _Error) -> Fault | None:
    if "expected key" not in error.problem and "expected '-'" not in error.problem:
        return None
    if error.here[: error.column].strip():
        text = "after a closing quote or bracket, nothing may follow but a comment"
    else:
        text = "the indent of this line fits no line above; lines that belong together begin in one column"
    return error.fault(rules.YAML_SYNTAX, text)
