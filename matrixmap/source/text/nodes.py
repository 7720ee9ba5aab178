"""Text to nodes with places: what YAML says, without its guesses.

Every scalar is its text as written, so `y`, `no`, `1` and `~` are themselves.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING

from matrixmap.limits import DEPTH, ENTRIES, FILE_BYTES, TEXT_CHARACTERS
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.letters import other_blanks
from matrixmap.source.report import Report
from matrixmap.source.text.repair import Lines, compose
from matrixmap.source.text.slips import UNREAD, other_sign

if TYPE_CHECKING:
    import yaml

TAG_TEXT = "tag:yaml.org,2002:str"
TAGS_PLAIN = {TAG_TEXT, "tag:yaml.org,2002:seq", "tag:yaml.org,2002:map"}

# YAML 1.1, section 5.1: the characters that a stream must not contain; and the mark for what cannot be read.
FORBIDDEN = re.compile(
    r"[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010fffc\U0010fffe\U0010ffff]"
)


@dataclass(frozen=True, slots=True)
class Text:
    """A scalar: its text, its place, and whether it was quoted."""

    text: str
    place: Place
    quoted: bool = False


@dataclass(frozen=True, slots=True)
class Items:
    """A list. An item is None if it has already been reported."""

    items: tuple[Node | None, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Entries:
    """A mapping in the order of the file. A value is None if it has already been reported.

    `whole` is false if an entry could not be read: something that seems to be missing may be that entry.
    """

    entries: tuple[tuple[Text, Node | None], ...]
    place: Place
    whole: bool = True


Node = Text | Items | Entries


@dataclass(frozen=True, slots=True)
class Document:
    """A file as nodes. `root` is None if nothing could be read.

    `whole`: it was read as written, without findings. `to_the_end`: no line was skipped, though some may have been
    repaired.
    """

    root: Node | None
    whole: bool
    place: Place
    to_the_end: bool = True


def read_document(data: bytes, file: str, report: Report) -> Document:
    """Reads the bytes of a file named `file` into nodes, with findings for everything that YAML itself refuses."""
    start, before = Place(file=file, line=1, column=1), len(report.findings)
    text = decode(data, file, report)
    if text is None:
        return Document(None, False, start)
    text = _with_spaces(text, file, report)
    try:
        composed = compose(text)
    except RecursionError:
        report.add(rules.NESTED_TOO_DEEP, start, "lists and mappings are nested too deep")
        return Document(None, False, start)
    for fault in composed.faults:
        report.add(fault.rule, Place(file=file, line=fault.line + 1, column=fault.column + 1), fault.text)
    to_the_end = composed.lines.whole
    if composed.root is None:
        if not composed.faults:
            report.add(
                rules.EMPTY_FILE,
                start,
                "the file is empty; it must describe a machine, a host, a layout, a part or an adapter",
            )
        return Document(None, False, start, to_the_end)
    root = _Builder(composed.lines, file, report).build(composed.root, 0)
    return Document(root, len(report.findings) == before, start, to_the_end)


def decode(data: bytes, file: str, report: Report) -> str | None:
    """The bytes of a file named `file` as text, or None after a finding."""
    if len(data) > FILE_BYTES:
        place = Place(file=file, line=1, column=1)
        report.add(rules.FILE_TOO_LARGE, place, f"the file has more than {FILE_BYTES} bytes")
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
            f"the character U+{ord(found.group()):04X} is not allowed in a file; remove it",
        )
        return None
    return text


def _with_spaces(text: str, file: str, report: Report) -> str:
    """The text, with a space for every other blank in the place of a space; one finding a line."""
    if text.isascii():
        return text
    lines = text.splitlines()
    for number, line in enumerate(lines):
        columns = list(other_blanks(line))
        if columns:
            char = line[columns[0]]
            name = f"U+{ord(char):04X} {unicodedata.name(char, 'a blank')}"
            where = "in the indent" if not line[: columns[0]].strip() else "here"
            report.add(
                rules.OTHER_BLANK,
                Place(file=file, line=number + 1, column=columns[0] + 1),
                f"{where} is {name}, which looks like a space but is another character; replace it by a space",
            )
            lines[number] = "".join(" " if at in columns else char for at, char in enumerate(line))
    return "\n".join(lines) + "\n"


def _place_after(file: str, before: str) -> Place:
    lines = f"{before}.".splitlines()
    return Place(file=file, line=len(lines), column=len(lines[-1]))


class _Builder:
    """Turns YAML nodes into ours, refusing what a layout file must not contain."""

    def __init__(self, lines: Lines, file: str, report: Report) -> None:
        self.lines = lines
        self.file = file
        self.report = report
        self.seen: set[int] = set()

    def build(self, node: yaml.Node, depth: int) -> Node | None:
        """The node, or None after a finding."""
        import yaml

        line, column = node.start_mark.line, node.start_mark.column
        place = Place(file=self.file, line=line + 1, column=self.lines.column(line, column) + 1)
        mark = self.lines.now[line][column : column + 1] if line < len(self.lines.now) else ""
        if id(node) in self.seen:
            return None  # an alias; its anchor has already been reported
        self.seen.add(id(node))
        if mark == "&":
            self.report.add(
                rules.ALIAS,
                place,
                "matrixmap does not follow names with & and *; write the value each time, or quote a legend: '&'",
            )
            return None
        if node.tag not in TAGS_PLAIN or mark == "!":
            self.report.add(
                rules.TAGGED,
                place,
                "a value that begins with ! is a YAML tag; if you mean the exclamation mark, quote it: '!'",
            )
            return None
        if depth > DEPTH:
            self.report.add(rules.NESTED_TOO_DEEP, place, "lists and mappings are nested too deep")
            return None
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node, place)
        if len(node.value) > ENTRIES:
            text = f"there are {len(node.value)} entries; a list or mapping has at most {ENTRIES}"
            self.report.add(rules.WRONG_LENGTH, place, text)
            return None
        if isinstance(node, yaml.SequenceNode):
            return Items(tuple(self.build(item, depth + 1) for item in node.value), place)
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, place, depth)
        raise AssertionError(f"YAML has no node {node!r}")

    def _scalar(self, node: yaml.ScalarNode, place: Place) -> Text | None:
        if UNREAD in node.value:
            return None  # the slip has already been reported
        if node.value == "":
            self.report.add(
                rules.EMPTY_TEXT,
                place,
                "there is nothing here; write a value, remove the line, or indent the lines below that belong to it",
            )
            return None
        if len(node.value) > TEXT_CHARACTERS:
            text = f"this text has {len(node.value)} characters; a text has at most {TEXT_CHARACTERS}"
            self.report.add(rules.TEXT_TOO_LONG, place, text)
            return None
        return Text(node.value, place, bool(node.style))

    def _mapping(self, node: yaml.MappingNode, place: Place, depth: int) -> Entries:
        entries: list[tuple[Text, Node | None]] = []
        first: dict[str, Place] = {}
        whole = True
        for key_node, value_node in node.value:
            if self._lost_blank(key_node, value_node):
                whole = False
                continue
            key = self.build(key_node, depth + 1)
            value = self.build(value_node, depth + 1)
            if key is None:
                whole = False
                continue
            if not isinstance(key, Text):
                self.report.add(
                    rules.WRONG_TYPE, key.place, "there must be a name before the colon, not a list or a mapping"
                )
            elif key.text in first:
                self.report.add(
                    rules.KEY_TWICE,
                    key.place,
                    f"{key.text} is here again; it was given in line {first[key.text].line}",
                )
            else:
                first[key.text] = key.place
                entries.append((key, value))
        return Entries(tuple(entries), place, whole)

    def _lost_blank(self, key: yaml.Node, value: yaml.Node) -> bool:
        """Whether a name has its value directly after the colon: YAML takes `{plain:a}` for a name without a value."""
        import yaml

        if not isinstance(key, yaml.ScalarNode) or key.style or value.value != "":
            return False
        found = re.fullmatch(r"([A-Za-z][\w+ -]*):(\S+)", key.value)
        text = (
            f"there is no blank after the colon of {found[1]}; write {found[1]}: {found[2]}"
            if found
            else other_sign(key.value)
        )
        if not text:
            return False
        line, column = key.start_mark.line, key.start_mark.column
        place = Place(file=self.file, line=line + 1, column=self.lines.column(line, column) + 1)
        self.report.add(rules.YAML_SYNTAX, place, text)
        return True
