"""Netlists of the board editor KiCad: the pins of parts that each net joins.

The file is an S-expression, `(export (version "E") ... (components (comp (ref "U1") ...)) (nets (net (code "1") (name "S0")
(node (ref "U1") (pin "3")) ...)))`. Everything else in it is ignored.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.limits import NETLIST_DEPTH
from matrixmap.model.place import Place
from matrixmap.source import board_rules
from matrixmap.source.report import Report
from matrixmap.source.text.nodes import decode

TOKEN = re.compile(r'[ \t\r\n]+|(?P<open>\()|(?P<close>\))|"(?P<quoted>(?:[^"\\]|\\.)*)"|(?P<atom>[^\s()"]+)')


@dataclass(frozen=True, slots=True)
class Node:
    """A pin of a part in a net."""

    ref: str
    pin: str
    place: Place


@dataclass(frozen=True, slots=True)
class NamedNet:
    """A net by its name, with its pins."""

    name: str
    nodes: tuple[Node, ...]
    place: Place


@dataclass(frozen=True, slots=True)
class NamedPart:
    """A part by its reference, with its value and its fields."""

    ref: str
    value: str
    fields: tuple[tuple[str, str], ...]
    place: Place


@dataclass(frozen=True, slots=True)
class Netlist:
    """The contents of a netlist: its parts and its nets."""

    parts: tuple[NamedPart, ...]
    nets: tuple[NamedNet, ...]


@dataclass(slots=True)
class _List:
    """A list in brackets: its contents, and where it begins."""

    place: Place
    items: list[_List | str]

    def head(self) -> str:
        first = self.items[0] if self.items else ""
        return first if isinstance(first, str) else ""

    def lists(self, head: str) -> Iterator[_List]:
        return (item for item in self.items if isinstance(item, _List) and item.head() == head)

    def text(self, head: str) -> str | None:
        """The one word after a name: `(ref "U1")`."""
        for inner in self.lists(head):
            if len(inner.items) > 1 and isinstance(inner.items[1], str):
                return inner.items[1]
        return None


def read_netlist(data: bytes, file: str, report: Report) -> Netlist | None:
    """The netlist in the bytes of a file, or None after a finding."""
    text = decode(data, file, report)
    root = None if text is None else _parse(text, file, report)
    if root is None:
        return None
    before = len(report.findings)
    if root.head() != "export":
        _refuse(root.place, f"the file begins with ({root.head()}, but a netlist begins with (export", report)
        return None
    sections = {name: list(root.lists(name)) for name in ("components", "nets")}
    if not sections["nets"]:
        _refuse(root.place, "the file has no section (nets ...)", report)
    parts = [
        NamedPart(ref, part.text("value") or "", tuple(_fields(part)), part.place)
        for section in sections["components"]
        for part in section.lists("comp")
        if (ref := part.text("ref")) is not None
    ]
    nets = [_net(net, report) for section in sections["nets"] for net in section.lists("net")]
    if len(report.findings) > before:
        return None
    return Netlist(tuple(parts), tuple(net for net in nets if net is not None))


def _fields(part: _List) -> Iterator[tuple[str, str]]:
    """The fields of a part: `(fields (field (name "ohms") "100"))`."""
    for fields in part.lists("fields"):
        for each in fields.lists("field"):
            name, value = each.text("name"), each.items[-1]
            if name is not None and isinstance(value, str):
                yield name, value


def _net(net: _List, report: Report) -> NamedNet | None:
    name = net.text("name")
    if not name:
        _refuse(net.place, "a net has no name", report)
        return None
    nodes: list[Node] = []
    for node in net.lists("node"):
        ref, pin = node.text("ref"), node.text("pin")
        if not ref or not pin:
            _refuse(node.place, f"a node of the net {name[:60]} lacks its {'pin' if ref else 'ref'}", report)
            return None
        nodes.append(Node(ref, pin, node.place))
    # The editor puts the path of the sheet in front of a name.
    return NamedNet(name.removeprefix("/"), tuple(nodes), net.place)


def _refuse(place: Place, text: str, report: Report) -> None:
    report.add(board_rules.NETLIST_DAMAGED, place, text)


class _Parser:
    """Builds the lists of a text, token by token."""

    def __init__(self, file: str, report: Report) -> None:
        self.file = file
        self.report = report
        self.open: list[_List] = []
        self.root: _List | None = None

    def take(self, found: re.Match[str], place: Place) -> bool:
        """Takes a token; False after a finding."""
        kind = found.lastgroup
        if kind is None:
            return True
        fault = ""
        if self.root is not None:
            fault = "there is something after the end of the netlist"
        elif kind == "open":
            self.open.append(_List(place, []))
            if len(self.open) > NETLIST_DEPTH:
                fault = "brackets are nested deeper than in any netlist"
        elif not self.open:
            fault = f"{found[0][:40]!r} is outside of brackets; a netlist begins with (export"
        elif kind == "close":
            done = self.open.pop()
            if self.open:
                self.open[-1].items.append(done)
            else:
                self.root = done
        else:
            self.open[-1].items.append(re.sub(r"\\(.)", r"\1", found[kind]))
        if fault:
            _refuse(place, fault, self.report)
        return not fault

    def end(self) -> _List | None:
        """The one list; None after a finding if there is none or it does not end."""
        if self.open:
            text = f"this bracket is not closed, and {len(self.open)} are open at the end: the file is cut short"
            _refuse(self.open[-1].place, text, self.report)
        elif self.root is None:
            place = Place(file=self.file, line=1, column=1)
            _refuse(place, "the file is empty; a netlist begins with (export", self.report)
        return self.root


def _parse(text: str, file: str, report: Report) -> _List | None:
    """The one list that makes up the text; None after a finding."""
    parser = _Parser(file, report)
    line, start, at = 1, 0, 0
    while at < len(text):
        place = Place(file=file, line=line, column=at - start + 1)
        found = TOKEN.match(text, at)
        if found is None:
            _refuse(place, "this quote is opened and not closed; the file may be cut short", report)
            return None
        breaks = found[0].count("\n")
        line, start = (line + breaks, at + found[0].rindex("\n") + 1) if breaks else (line, start)
        at = found.end()
        if not parser.take(found, place):
            return None
    return parser.end()
