"""Puts a file in order: quotes what needs quotes, and sorts fields, keys and lines, without changing its meaning.

Works on whole lines, so that comments stay: a comment stays with the line below it, and lines are sorted only between
comments and blank lines.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from matrixmap.hid.geometry import form
from matrixmap.source import rules
from matrixmap.source.kinds.host import usages_named
from matrixmap.source.letters import other_blanks
from matrixmap.source.shape.formats import kinds
from matrixmap.source.shape.shapes import Fields, MapOf, Shape
from matrixmap.source.text.repair import Lines, base_loader, compose
from matrixmap.source.text.slips import quoted
from matrixmap.source.text.syntax import Fault
from matrixmap.source.write.host_file import ANSI_ROWS, ISO_ROWS

if TYPE_CHECKING:
    import yaml

Rank = Callable[[str], Any]
"""The sort key of a name; None for one without a place in this order, so that its neighbours keep theirs."""

IN_HOST_ORDER = ("legends", "altgr", "not")
IN_TRIGGER_ORDER = ("keys", "pass", "locks", "commands")
LEVELS = ("Shift", "AltGr")


@dataclass(frozen=True, slots=True)
class Tidied:
    """A file in order: its text, and the changes, each a line (counted from 1 in the original file) and words.

    `faults` say why the file cannot be understood; the text is then unchanged.
    """

    text: str
    changes: tuple[tuple[int, str], ...]
    faults: tuple[Fault, ...] = ()


def tidy(text: str, kind: str) -> Tidied:
    """The text of a file of a kind, in order. RecursionError if it is nested too deep."""
    import yaml

    changes: list[tuple[int, str]] = []
    spaced = _with_spaces(text, changes)
    composed = compose(spaced)
    if not composed.sure or composed.root is None or not isinstance(composed.root, yaml.MappingNode):
        return Tidied(text, (), composed.faults)
    if composed.root and (fault := _complex_key(composed.root)):
        return Tidied(text, (), (fault,))
    changes += [(number + 1, _slip_words(slip.put, slip.text)) for number, slip in composed.slips]
    lines = composed.lines
    _quote(composed.root, lines, changes)
    meaning = _meaning(lines.text())
    root = yaml.compose(lines.text(), Loader=base_loader())
    assert isinstance(root, yaml.MappingNode), "quotes make no other node of it"
    ordered = _Order(lines.now, kind, meaning, changes).ordered(root)
    made = "\n".join(line.rstrip() if not line.endswith("\\ ") else line for line in ordered).rstrip("\n") + "\n"
    assert _meaning(made) == meaning, "a file that is put in order says what it said"
    if made == text:
        return Tidied(text, ())
    if not changes:
        changes.append((1, "blanks at the end of lines removed, or the last line ended"))
    return Tidied(made, tuple(sorted(dict.fromkeys(changes))))


def _with_spaces(text: str, changes: list[tuple[int, str]]) -> str:
    lines = text.splitlines()
    for number, line in enumerate(lines):
        columns = set(other_blanks(line))
        if columns:
            lines[number] = "".join(" " if at in columns else char for at, char in enumerate(line))
            changes.append((number + 1, "a space for another kind of blank"))
    return "\n".join(lines) + "\n"


def _slip_words(put: str, text: str) -> str:
    return f"{put} in quotes" if len(put) == 3 and put[0] == put[2] and put[0] in "'\"" else text.partition(";")[0]


def _meaning(text: str) -> object:
    import yaml

    return yaml.load(text, Loader=base_loader())


def _quote(root: yaml.Node, lines: Lines, changes: list[tuple[int, str]]) -> None:
    """Quotes the texts that a strict reader of YAML 1.1 takes for something else and cannot construct."""
    for node in sorted(_scalars(root), key=lambda node: (node.start_mark.line, -node.start_mark.column)):
        mark = node.start_mark
        # The mark of a missing value is after the end, where there may be no line.
        if not node.style and node.value and node.value in lines.now[mark.line] and not readable(node.value):
            shown = quoted(node.value)
            lines.put(mark.line, mark.column, mark.column + len(node.value), shown)
            changes.append((mark.line + 1, f"{shown} in quotes"))


def _complex_key(root: yaml.Node) -> Fault | None:
    """The first key that is a list or a mapping.

    No file of a project has one, and Python's readers cannot construct it.
    """
    import yaml

    for node in _nodes(root):
        for key, _ in node.value if isinstance(node, yaml.MappingNode) else ():
            if not isinstance(key, yaml.ScalarNode):
                mark = key.start_mark
                text = "there must be a name before the colon, not a list or a mapping"
                return Fault(rules.WRONG_TYPE, mark.line, mark.column, text)
    return None


def _scalars(node: yaml.Node) -> Iterator[yaml.ScalarNode]:
    """The scalars of a tree, each once, at any depth."""
    import yaml

    for here in _nodes(node):
        if isinstance(here, yaml.ScalarNode):
            yield here


def _nodes(node: yaml.Node) -> Iterator[yaml.Node]:
    """The nodes of a tree, each once, at any depth."""
    import yaml

    waiting, seen = [node], set()
    while waiting:
        here = waiting.pop()
        if id(here) in seen:
            continue
        seen.add(id(here))
        yield here
        if isinstance(here, yaml.MappingNode):
            waiting += [part for pair in here.value for part in pair]
        elif isinstance(here, yaml.SequenceNode):
            waiting += here.value


def readable(text: str) -> bool:
    """Whether a strict reader of YAML 1.1 accepts a bare text: most refuse the meaning of `=` and `<<`."""
    import yaml

    if text in ("=", "<<"):
        return False
    if not re.fullmatch(r"[-+0-9.:_eTtZz \t]+", text):
        return True
    try:
        yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    except (yaml.YAMLError, ValueError):
        return False
    return True


@dataclass(slots=True)
class _Entry:
    """An entry of a block mapping: its name, the comments and blank lines above it, and its own lines."""

    name: str
    first: int
    above: list[str]
    own: list[str]

    @property
    def commented(self) -> bool:
        return any(line.strip() for line in self.above)


class _Order:
    """Sorts the entries of the block mappings of a file, the innermost first."""

    def __init__(self, lines: list[str], kind: str, meaning: object, changes: list[tuple[int, str]]) -> None:
        self.lines = lines
        self.shape = kinds()[kind]
        self.meaning: Mapping[str, Any] = meaning if isinstance(meaning, dict) else {}
        self.changes = changes

    def ordered(self, root: yaml.MappingNode) -> list[str]:
        if root.flow_style or not root.value:
            return self.lines
        start = root.value[0][0].start_mark.line
        return self.lines[:start] + self._block(root, self.shape, "", start, len(self.lines))

    def _block(self, node: yaml.MappingNode, shape: Shape, name: str, start: int, end: int) -> list[str]:
        """The lines from `start` to `end`, which hold a block mapping, in order."""
        import yaml

        entries: list[_Entry] = []
        firsts = [key.start_mark.line for key, _ in node.value]
        # Two entries on one line, or a key over several lines, are left alone.
        if len(set(firsts)) < len(firsts) or any(key.end_mark.line > key.start_mark.line for key, _ in node.value):
            return self.lines[start:end]
        column = node.start_mark.column
        begins = [
            _first_above(self.lines, first, column, start if not number else firsts[number - 1] + 1)
            for number, first in enumerate(firsts)
        ]
        begins[0] = start
        for (key, value), first, begin, stop in zip(node.value, firsts, begins, [*begins[1:], end], strict=True):
            inner = shape.fields[key.value].shape if isinstance(shape, Fields) and key.value in shape.fields else None
            own = self.lines[first:stop]
            if isinstance(value, yaml.MappingNode) and not value.flow_style and value.value and inner is not None:
                below = value.value[0][0].start_mark.line
                if below > first:
                    own = [*self.lines[first:below], *self._block(value, inner, key.value, below, stop)]
            entries.append(_Entry(key.value, first, self.lines[begin:first], own))
        if isinstance(shape, Fields):
            entries = self._fields(entries, list(shape.fields), name)
        elif isinstance(shape, MapOf) and (rank := self._rank(name)) is not None:
            entries = self._groups(entries, rank, name)
        return [line for entry in entries for line in (*entry.above, *entry.own)]

    def _fields(self, entries: list[_Entry], fields: list[str], name: str) -> list[_Entry]:
        made = sorted(entries, key=lambda entry: fields.index(entry.name) if entry.name in fields else len(fields))
        if made != entries:
            moved = next(entry for entry, before in zip(made, entries, strict=True) if entry is not before)
            where = f"the fields of {name}" if name else "the fields"
            self.changes.append((moved.first + 1, f"{where} in order: {', '.join(entry.name for entry in made)}"))
            if made[0] is not entries[0]:
                # A comment above the first field is about the section, and a section never begins with a blank line.
                made[0].above, entries[0].above = [*entries[0].above, *_without_blanks(made[0].above)], []
        return made

    def _groups(self, entries: list[_Entry], rank: Rank, name: str) -> list[_Entry]:
        """Sorts the entries between comments and blank lines; an entry below a comment stays there."""
        groups: list[list[_Entry]] = []
        for entry in entries:
            if not groups or entry.above:
                groups.append([])
            groups[-1].append(entry)
        made: list[_Entry] = []
        headed = self.lines[groups[0][0].first - 1].lstrip(" ").startswith("#")
        for group in groups:
            pinned = 1 if group[0].commented or (headed and group is groups[0]) else 0
            above, group[0].above = group[0].above, []
            ranks = {entry.name: rank(entry.name) for entry in group}
            known = all(ranks[entry.name] is not None for entry in group[pinned:])
            listed = [*group[:pinned], *sorted(group[pinned:], key=lambda entry: ranks[entry.name])] if known else group
            if listed != group:
                moved = [entry.name for entry, before in zip(listed, group, strict=True) if entry is not before]
                shown = ", ".join(moved[:6]) + (f" and {len(moved) - 6} more" if len(moved) > 6 else "")
                self.changes.append((group[0].first + 1, f"lines of {name} in order: {shown}"))
            listed[0].above = above
            made += listed
        return made

    def _rank(self, name: str) -> Rank | None:
        if name == "grid":
            return _by_place_in(self._names("matrix", "select"))
        if self.shape.phrase == "a machine" and name == "types":
            return _name_rank
        if name in IN_HOST_ORDER:
            text = str(self.meaning.get("form"))
            rows = ANSI_ROWS if text in ("ansi-104", "ks-106") else ISO_ROWS
            listed = [code for row in rows for code in row]
            return lambda code: listed.index(code) if code in listed else None
        if self.shape.phrase == "a layout" and name in IN_TRIGGER_ORDER:
            return _trigger_rank
        return None

    def _names(self, *path: str) -> list[str]:
        part: Any = self.meaning
        for field in path:
            part = part.get(field) if isinstance(part, dict) else None
        return [name for name in part if isinstance(name, str)] if isinstance(part, list) else []


def _first_above(lines: list[str], first: int, column: int, least: int) -> int:
    """The first comment or blank line above an entry that is not part of the entry before."""
    at = first
    while at > least:
        line = lines[at - 1]
        bare = line.lstrip(" ")
        if bare and (not bare.startswith("#") or len(line) - len(bare) != column):
            break
        at -= 1
    return at


def _without_blanks(lines: list[str]) -> list[str]:
    return [line for line in lines if line.strip()]


def _by_place_in(names: list[str]) -> Rank:
    return lambda name: names.index(name) if name in names else None


def _name_rank(name: str) -> tuple[str, int, int] | None:
    """Letters alphabetically; names that end in a number by the number, with 0 after 9 as on keyboards; others stay."""
    found = re.fullmatch(r"([a-z-]*?)([0-9]+)|([a-z])", name)
    if found is None:
        return None
    number = found[2] or ""
    return (found[1] if number else "", int(number or 0) if number != "0" else 10, ord(found[3] or " "))


def _usage(code: str) -> int:
    usages = usages_named(code)
    return usages[0] if usages else 0x100


@cache
def _board() -> Mapping[int, int]:
    """The order of the keys on the board: function keys, letters and digits by row, navigation, keypad."""
    return {cap.usage: number for number, cap in enumerate(form("iso-105").caps)}


def _trigger_rank(text: str) -> tuple[int, str, int, int, int]:
    """By the modifiers other than Shift and AltGr, then by the place of the key on the board, then by level."""
    *modifiers, key = (part.strip() for part in text.split("+"))
    usages = usages_named(key) or usages_named(f"{key}Left")
    level = sum(number for number, name in enumerate(LEVELS, start=1) if name in modifiers)
    others = [name for name in modifiers if name not in LEVELS]
    place = next((_board()[usage] for usage in usages if usage in _board()), 0x100 + _usage(key))
    return len(others), "+".join(others), level if others else 0, place, level
