"""Text to nodes with places: what YAML says, and nothing of what it guesses.

Every scalar is its text as written, so `y`, `no`, `1` and `~` are themselves.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from matrixmap.model.finding import Place
from matrixmap.source import rules
from matrixmap.source.report import Report
from matrixmap.source.syntax import explain

if TYPE_CHECKING:
    import yaml

MOST_BYTES = 1 << 20
MOST_DEPTH = 16
TAG_TEXT = "tag:yaml.org,2002:str"
TAGS_PLAIN = {TAG_TEXT, "tag:yaml.org,2002:seq", "tag:yaml.org,2002:map"}

# YAML 1.1, section 5.1: the characters that a stream may not hold.
FORBIDDEN = re.compile(r"[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class Text:
    """A scalar: its text, where it stands, whether it was in quotes."""

    text: str
    place: Place
    quoted: bool = False


@dataclass(frozen=True, slots=True)
class Items:
    """A list. An item is None where a finding has already said what is wrong with it."""

    items: tuple[Node | None, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Entries:
    """A mapping in the order of the file. A value is None where a finding has already been made."""

    entries: tuple[tuple[Text, Node | None], ...]
    place: Place


Node = Text | Items | Entries


@dataclass(frozen=True, slots=True)
class Document:
    """A file as nodes. `root` is None if nothing could be read; `whole` is false if the end is missing."""

    root: Node | None
    whole: bool
    place: Place


def read_document(data: bytes, file: str, report: Report) -> Document:
    """Read the bytes of a file named `file` into nodes, with findings for all that YAML itself refuses."""
    start = Place(file=file, line=1, column=1)
    text = decode(data, file, report)
    if text is None:
        return Document(None, False, start)
    root, whole = _compose(text, file, report)
    if root is None:
        if whole:
            report.add(
                rules.EMPTY_FILE, start, "the file holds nothing; it must describe a machine, a host or a layout"
            )
        return Document(None, whole, start)
    return Document(_Builder(text, file, report).build(root, 0), whole, start)


def decode(data: bytes, file: str, report: Report) -> str | None:
    """The bytes of a file named `file` as text, or None after a finding."""
    if len(data) > MOST_BYTES:
        place = Place(file=file, line=1, column=1)
        report.add(rules.FILE_TOO_LARGE, place, f"the file has {len(data)} bytes; at most {MOST_BYTES} are read")
        return None
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8")
        place = _place_after(file, before)
        report.add(rules.NOT_UTF8, place, f"byte 0x{data[error.start]:02X} is not UTF-8; save the file as UTF-8")
        return None
    text = text.removeprefix("\ufeff")
    found = FORBIDDEN.search(text)
    if found:
        place = _place_after(file, text[: found.start()])
        report.add(
            rules.CONTROL_CHARACTER,
            place,
            f"the character U+{ord(found.group()):04X} cannot stand in a file; remove it",
        )
        return None
    return text


def _place_after(file: str, before: str) -> Place:
    lines = f"{before}.".splitlines()
    return Place(file=file, line=len(lines), column=len(lines[-1]))


def _compose(text: str, file: str, report: Report) -> tuple[yaml.Node | None, bool]:
    """The YAML node tree, and whether it is the whole file.

    After a syntax error the part above the top-level entry with the error is read all the same.
    """
    import yaml

    loader: type = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    lines = text.splitlines()
    try:
        return yaml.compose(text, Loader=loader), True
    except RecursionError:
        report.add(rules.NESTED_TOO_DEEP, Place(file=file, line=1, column=1), "lists and mappings are nested too deep")
        return None, False
    except yaml.MarkedYAMLError as error:
        fault = explain(error, lines)
        report.add(fault.rule, Place(file=file, line=fault.line + 1, column=fault.column + 1), fault.text)
        # What is in brackets or quotes is lost from where it began; a block is good up to the fault.
        begun = fault.line
        if error.context_mark and "block" not in (error.context or ""):
            begun = min(begun, error.context_mark.line)
    cut = next((n for n in range(min(begun, len(lines) - 1), -1, -1) if re.match(r"[^\s#\-]", lines[n])), 0)
    try:
        return yaml.compose("\n".join(lines[:cut]) + "\n", Loader=loader), False
    except yaml.YAMLError:
        return None, False


class _Builder:
    """Turns YAML nodes into ours, refusing what a layout file must not hold."""

    def __init__(self, text: str, file: str, report: Report) -> None:
        self.lines = text.splitlines()
        self.file = file
        self.report = report
        self.seen: set[int] = set()

    def build(self, node: yaml.Node, depth: int) -> Node | None:
        """The node, or None after a finding."""
        import yaml

        place = Place(file=self.file, line=node.start_mark.line + 1, column=node.start_mark.column + 1)
        if id(node) in self.seen:
            return None  # an alias; its anchor has had its finding
        self.seen.add(id(node))
        if self._begins_with(place, "&"):
            self.report.add(
                rules.ALIAS,
                place,
                "names with & and * are not followed; write the value out each time, or quote a legend: '&'",
            )
            return None
        if node.tag not in TAGS_PLAIN or self._begins_with(place, "!"):
            self.report.add(
                rules.TAGGED, place, "a value that begins with ! is a YAML tag; quote it: '!' is the exclamation mark"
            )
            return None
        if depth > MOST_DEPTH:
            self.report.add(rules.NESTED_TOO_DEEP, place, "lists and mappings are nested too deep")
            return None
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node, place)
        if isinstance(node, yaml.SequenceNode):
            return Items(tuple(self.build(item, depth + 1) for item in node.value), place)
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, place, depth)
        raise AssertionError(f"YAML has no node {node!r}")

    def _begins_with(self, place: Place, mark: str) -> bool:
        line = self.lines[place.line - 1] if place.line <= len(self.lines) else ""
        return line[place.column - 1 : place.column] == mark

    def _scalar(self, node: yaml.ScalarNode, place: Place) -> Text | None:
        if node.value == "":
            self.report.add(rules.EMPTY_TEXT, place, "nothing stands here; write a value, or take the line out")
            return None
        return Text(node.value, place, bool(node.style))

    def _mapping(self, node: yaml.MappingNode, place: Place, depth: int) -> Entries:
        entries: list[tuple[Text, Node | None]] = []
        first: dict[str, Place] = {}
        for key_node, value_node in node.value:
            key = self.build(key_node, depth + 1)
            value = self.build(value_node, depth + 1)
            if key is None:
                continue
            if not isinstance(key, Text):
                self.report.add(
                    rules.WRONG_TYPE, key.place, "a name must stand before the colon, not a list or a mapping"
                )
            elif key.text in first:
                self.report.add(
                    rules.KEY_TWICE,
                    key.place,
                    f"{key.text} stands here again; it was given in line {first[key.text].line}",
                )
            else:
                first[key.text] = key.place
                entries.append((key, value))
        return Entries(tuple(entries), place)
