"""A project: finds files by id, first in the user's folder, then in the shipped data, and reads each file once."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from hashlib import sha256
from types import MappingProxyType
from typing import Generic, Protocol, TypeVar

from matrixmap.limits import BASES
from matrixmap.model.boards.adapter import Adapter, Part
from matrixmap.model.finding import Finding
from matrixmap.model.host import Host
from matrixmap.model.layout import Layout
from matrixmap.model.machine import Machine
from matrixmap.model.place import Place
from matrixmap.source import board_rules, rules
from matrixmap.source.folder import KINDS, SUFFIX, Folder
from matrixmap.source.kinds.adapter import Beside, finish_adapter, read_adapter_record
from matrixmap.source.kinds.host import HostDraft, check_accents, finish_host, join_base, read_host
from matrixmap.source.kinds.layout import LayoutDraft, finish_layout, read_layout
from matrixmap.source.kinds.machine import read_machine
from matrixmap.source.kinds.netlist import Netlist, read_netlist
from matrixmap.source.kinds.part import read_part
from matrixmap.source.report import Report, listed, named
from matrixmap.source.text.nodes import Document, Text, read_document

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded(Generic[Value]):
    """The result of reading a file: the value (None: not usable), the findings, the hashes of all files read for it.

    Findings and hashes include those of the files that this one needs, each file once.
    """

    value: Value | None
    findings: tuple[Finding, ...]
    inputs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A file of a project: its kind and id, its folder (0 is the user's), and whether it hides another."""

    kind: str
    id: str
    folder: int
    hides: bool


class Project:
    """Reads machines, hosts, layouts, parts and adapters by id. The first folder with an id wins."""

    def __init__(self, folders: Iterable[Folder], known_slugs: Iterable[str]) -> None:
        self.folders = tuple(folders)
        self.known_slugs = tuple(known_slugs)
        self._machines: dict[str, Loaded[Machine]] = {}
        self._hosts: dict[str, Loaded[Host]] = {}
        self._drafts: dict[str, Loaded[HostDraft]] = {}
        self._layouts: dict[str, Loaded[Layout]] = {}
        self._parts: dict[str, Loaded[Part]] = {}
        self._adapters: dict[str, Loaded[Adapter]] = {}
        self._layout_files: dict[str, _LayoutFile] = {}

    def entries(self, kind: str) -> tuple[Entry, ...]:
        """All files of a kind, sorted by id, without layouts that are only a base for others."""
        return tuple(entry for entry in self.files(kind) if kind != "layout" or not self._is_base_layout(entry.id))

    def files(self, kind: str) -> tuple[Entry, ...]:
        """All files of a kind, including bases, sorted by id."""
        found: dict[str, Entry] = {}
        for number, folder in enumerate(self.folders):
            for id in folder.ids(kind):
                first = found.get(id)
                if first is None:
                    found[id] = Entry(kind=kind, id=id, folder=number, hides=False)
                else:
                    found[id] = Entry(kind=kind, id=id, folder=first.folder, hides=True)
        return tuple(found[id] for id in sorted(found))

    def known(self, kind: str) -> frozenset[str]:
        """The ids of all files of a kind, including bases and files that cannot be read."""
        return frozenset(id for folder in self.folders for id in folder.ids(kind))

    def has(self, kind: str, id: str) -> bool:
        """Whether a file of a kind has this id and is not only a base for others; of all files only this one is opened."""
        return id in self.known(kind) and not (kind == "layout" and self._is_base_layout(id))

    def ids(self, kind: str) -> tuple[str, ...]:
        """The ids of a kind, sorted."""
        return tuple(entry.id for entry in self.entries(kind))

    def machine(self, id: str) -> Loaded[Machine] | None:
        """The machine with that id, or None if there is no such file."""
        if id not in self._machines:
            opened = self._open("machine", id)
            if opened is None:
                return None
            self._machines[id] = _read_one(read_machine, id, *opened)
        return self._machines[id]

    def machine_text(self, id: str, file: str, data: bytes) -> Loaded[Machine]:
        """The machine described by the bytes of a file outside the project's folders."""
        report = Report()
        document = read_document(data, file, report)
        return _read_one(read_machine, id, document, report, ((file, sha256(data).hexdigest()),))

    def part(self, id: str) -> Loaded[Part] | None:
        """The part with that id, or None if there is no such file."""
        if id not in self._parts:
            opened = self._open("part", id)
            if opened is None:
                return None
            self._parts[id] = _read_one(read_part, id, *opened)
        return self._parts[id]

    def adapter(self, id: str) -> Loaded[Adapter] | None:
        """The adapter with that id and its parts, or None if there is no such file."""
        if id not in self._adapters:
            opened = self._open("adapter", id)
            if opened is None:
                return None
            self._adapters[id] = self._read_adapter(id, *opened)
        return self._adapters[id]

    def adapter_text(self, id: str, file: str, data: bytes, beside: Callable[[str], bytes | None]) -> Loaded[Adapter]:
        """The adapter described by a file outside the project's folders; `beside` reads a netlist in its folder."""
        report = Report()
        document = read_document(data, file, report)
        return self._read_adapter(id, document, report, ((file, sha256(data).hexdigest()),), beside)

    def _read_adapter(
        self,
        id: str,
        document: Document,
        report: Report,
        inputs: tuple[tuple[str, str], ...],
        beside: Callable[[str], bytes | None] | None = None,
    ) -> Loaded[Adapter]:
        record = read_adapter_record(document, report)
        needed: list[Loaded[Part] | Loaded[Machine]] = []

        def known(kind: str, rule: rules.Rule, name: Text, loaded: Loaded[Value] | None) -> Value | None:
            if loaded is None:
                self._not_there(rule, kind, name, report)
                return None
            report.findings.extend(loaded.findings)
            return loaded.value

        def part(name: Text) -> Part | None:
            loaded = self.part(name.text)
            needed.extend([loaded] if loaded else [])
            return known("part", board_rules.UNKNOWN_PART, name, loaded)

        def machine(name: Text) -> Machine | None:
            loaded = self.machine(name.text)
            needed.extend([loaded] if loaded else [])
            return known("machine", rules.UNKNOWN_MACHINE, name, loaded)

        hashes: list[tuple[str, str]] = []

        def nets(name: Text) -> Netlist | None:
            data = beside(name.text) if beside is not None else None
            for folder in self.folders if beside is None else ():
                data = folder.beside("adapter", name.text) if data is None else data
            if data is None:
                text = f"there is no file {name.text} beside this one"
                report.add(board_rules.NETLIST_DAMAGED, name.place, text)
                return None
            hashes.append((f"{KINDS['adapter']}/{name.text}", sha256(data).hexdigest()))
            return read_netlist(data, name.text, report)

        adapter = finish_adapter(record, Beside(part=part, machine=machine, netlist=nets), report) if record else None
        if adapter is not None and adapter.id != id:
            _id_differs(adapter.id, id, adapter.place, report)
        others = [each for loaded in needed for each in loaded.inputs]
        return _loaded(adapter if document.whole else None, report, (*inputs, *hashes, *others))

    def host(self, id: str) -> Loaded[Host] | None:
        """The host with that id, with what it inherits from its bases; None if there is no such file."""
        if id not in self._hosts:
            draft = self.host_draft(id)
            if draft is None:
                return None
            report = Report()
            report.findings.extend(draft.findings)
            value = draft.value
            host = finish_host(value, value.form) if value and value.form else None
            if value:
                check_accents(value, report)
            if value and not value.form:
                text = f"{id} is a base for other hosts; a host that a layout can name has the field form"
                report.add(rules.MISSING_FIELD, value.place, text)
            self._hosts[id] = _loaded(host, report, draft.inputs)
        return self._hosts[id]

    def is_base(self, id: str) -> bool:
        """Whether that host file is readable and only a base for others."""
        draft = self.host_draft(id)
        return draft is not None and draft.value is not None and draft.value.form is None

    def layout(self, id: str) -> Loaded[Layout] | None:
        """The layout with that id, or None if there is no such file."""
        if id not in self._layouts:
            draft = self._layout_draft(id)
            if draft is None:
                return None
            self._layouts[id] = self._join_layout(id, draft)
        return self._layouts[id]

    def machine_of_layout(self, id: str) -> str | None:
        """The machine that a layout file or one of its bases names; None if that cannot be read."""
        seen: list[str] = []
        while id not in seen:
            seen.append(id)
            file = self._layout_draft(id)
            own = file.value.own if file and file.value else {}
            if own.get("machine"):
                return str(own["machine"].text)
            id = own["base"].text if own.get("base") else id
        return None

    def layout_text(self, id: str, file: str, data: bytes) -> Loaded[Layout]:
        """The layout described by the bytes of a file outside the project's folders."""
        report = Report()
        document = read_document(data, file, report)
        draft = _read_draft(id, document, report, ((file, sha256(data).hexdigest()),))
        return self._join_layout(id, draft)

    def not_read(self, kind: str, id: str) -> str:
        """`; X.yml is there ...` if the file of an id has an ending that is not read or is not a file, else nothing."""
        for file in (file for folder in self.folders for file in folder.misnamed(kind)):
            stem = file.rpartition("/")[2].rpartition(".")[0]
            if stem == id:
                return f"; {file} exists, but {why_not_read(file)}"
        return ""

    def _is_base_layout(self, id: str) -> bool:
        """Whether a layout file is readable and names no host."""
        found = (folder.read("layout", id) for folder in self.folders)
        data = next((data for data in found if data is not None), b"")
        # Nearly every file has this line; then it need not be parsed.
        if re.search(rb"(?m)^host[ \t]*:", data):
            return False
        draft = self._layout_draft(id)
        return draft is not None and draft.value is not None and not draft.findings and draft.value.is_base

    def _layout_draft(self, id: str) -> _LayoutFile | None:
        if id not in self._layout_files:
            opened = self._open("layout", id)
            if opened is None:
                return None
            self._layout_files[id] = _read_draft(id, *opened)
        return self._layout_files[id]

    def _open(self, kind: str, id: str) -> tuple[Document, Report, tuple[tuple[str, str], ...]] | None:
        for folder in self.folders:
            data = folder.read(kind, id)
            if data is not None:
                report = Report()
                document = read_document(data, folder.name(kind, id), report)
                return document, report, ((f"{KINDS[kind]}/{id}{SUFFIX}", sha256(data).hexdigest()),)
        return None

    def host_draft(self, id: str, above: tuple[str, ...] = ()) -> Loaded[HostDraft] | None:
        """A host file with what it inherits, finished or only a base; `above` are the files that inherit from it."""
        if id not in self._drafts:
            opened = self._open("host", id)
            if opened is None:
                return None
            document, report, inputs = opened
            draft = read_host(document, report)
            if draft is not None and draft.id != id:
                _id_differs(draft.id, id, draft.place, report)
            if draft is not None and draft.base is not None:
                base = self._base(draft.base, (*above, id), report)
                inputs = (*inputs, *(base.inputs if base else ()))
                draft = join_base(draft, base.value, report) if base and base.value else None
            elif draft is not None:
                draft = join_base(draft, None, report)
            self._drafts[id] = _loaded(draft, report, inputs)
        return self._drafts[id]

    def _base(self, name: Text, above: tuple[str, ...], report: Report) -> Loaded[HostDraft] | None:
        if name.text in above or len(above) > BASES:
            why = "would inherit from itself" if name.text in above else f"is more than {BASES} files away"
            report.add(rules.BASE_LOOP, name.place, f"the host {name.text} {why}")
            return None
        base = self.host_draft(name.text, above)
        if base is None:
            self._not_there(rules.UNKNOWN_HOST, "host", name, report)
            return None
        report.findings.extend(base.findings)
        return base

    def _join_layout(self, id: str, file: _LayoutFile) -> Loaded[Layout]:
        report = Report()
        report.findings.extend(file.findings)
        inputs = file.inputs
        if file.value is None:
            return _loaded(None, report, inputs)
        draft = file.value
        for base in self._base_layouts(id, draft, report):
            inputs = (*inputs, *base.inputs)
            draft = replace(draft, records=(*draft.records, *(base.value.records if base.value else ())))
        if draft.is_base and not report.findings:
            text = f"{id} is a base for other layouts; a layout that can be used has the field host"
            report.add(rules.MISSING_FIELD, draft.place, text)
        machine_name = draft.first("machine")
        machine = self.machine(machine_name.text) if machine_name else None
        if machine_name and machine is None:
            self._not_there(rules.UNKNOWN_MACHINE, "machine", machine_name, report)
        host = self._host_named(draft.own.get("host"), report)
        stand_in = self._host_named(draft.first("stand_in"), report)
        for needed in (machine, host, stand_in):
            if needed is not None:
                report.findings.extend(needed.findings)
                inputs = (*inputs, *needed.inputs)
        hashes = MappingProxyType(dict(sorted(inputs)))
        layout = finish_layout(
            draft,
            machine.value if machine else None,
            host.value if host else None,
            stand_in.value if stand_in else None,
            self.known_slugs,
            hashes,
            report,
        )
        return _loaded(layout, report, inputs)

    def _host_named(self, name: Text | None, report: Report) -> Loaded[Host] | None:
        host = self.host(name.text) if name else None
        if name and host is None:
            self._not_there(rules.UNKNOWN_HOST, "host", name, report)
        elif name and self.is_base(name.text):
            fault = f"{name.text} is a base for other hosts, without the field form; name the host of a country"
            report.add(rules.UNKNOWN_HOST, name.place, fault)
            return None
        return host

    def _base_layouts(self, id: str, draft: LayoutDraft, report: Report) -> Iterator[_LayoutFile]:
        """The files that a layout inherits from, the nearest first."""
        seen = [id]
        name: Text | None = draft.own.get("base")
        while name is not None:
            if name.text in seen or len(seen) > BASES:
                why = "would inherit from itself" if name.text in seen else f"is more than {BASES} files away"
                report.add(rules.BASE_LOOP, name.place, f"the layout {name.text} {why}")
                return
            seen.append(name.text)
            base = self._layout_draft(name.text)
            if base is None:
                self._not_there(rules.UNKNOWN_LAYOUT, "layout", name, report)
                return
            report.findings.extend(base.findings)
            yield base
            name = base.value.own.get("base") if base.value else None

    def _not_there(self, rule: rules.Rule, kind: str, name: Text, report: Report) -> None:
        known = [entry.id for entry in self.files(kind)]
        why = self.not_read(kind, name.text) or report.nearest(name.text, known)
        fault = f"there is no {kind} {name.text!r} in {KINDS[kind]}{why} (known: {named(known)})"
        report.add(rule, name.place, fault)


def why_not_read(file: str) -> str:
    """Why a file that looks like part of a project is not read, by its name."""
    if file.endswith(SUFFIX):
        return "it is not a file: it is a folder, a pipe, or a link that leads nowhere or out of the project"
    stem = file.rpartition("/")[2].rpartition(".")[0]
    return f"project files end in {SUFFIX}: rename it to {stem}{SUFFIX}"


@dataclass(frozen=True, slots=True, kw_only=True)
class _LayoutFile:
    """A layout file on its own: what could be read of it, the findings, its hash."""

    value: LayoutDraft | None
    findings: tuple[Finding, ...]
    inputs: tuple[tuple[str, str], ...]


def _read_draft(id: str, document: Document, report: Report, inputs: tuple[tuple[str, str], ...]) -> _LayoutFile:
    draft = read_layout(document, report)
    name: Text | None = draft.own.get("layout") if draft else None
    if name is not None and name.text != id:
        _id_differs(name.text, id, name.place, report)
    return _LayoutFile(value=draft, findings=listed(report.findings), inputs=inputs)


class _Named(Protocol):
    """A value described by a file that gives its own id."""

    @property
    def id(self) -> str: ...

    @property
    def place(self) -> Place: ...


Named = TypeVar("Named", bound=_Named)


def _read_one(
    read: Callable[[Document, Report], Named | None],
    id: str,
    document: Document,
    report: Report,
    inputs: tuple[tuple[str, str], ...],
) -> Loaded[Named]:
    """The value that a document describes; a finding if its id differs from that of its file."""
    value = read(document, report)
    if value is not None and value.id != id:
        _id_differs(value.id, id, value.place, report)
    return _loaded(value, report, inputs)


def _id_differs(id: str, file_id: str, place: Place, report: Report) -> None:
    report.add(rules.ID_DIFFERS, place, f"the id is {id!r}, but the file is {file_id}{SUFFIX}; both must agree")


def _file_order(finding: Finding, files: list[str]) -> tuple[int, int, int]:
    """Sort key: by file in the order of reading, then from top to bottom."""
    place = finding.place
    return (files.index(place.file), place.line, place.column) if place else (len(files), 0, 0)


def _loaded(value: Value | None, report: Report, inputs: tuple[tuple[str, str], ...]) -> Loaded[Value]:
    files = list(dict.fromkeys(finding.place.file for finding in report.findings if finding.place))
    findings = listed(sorted(dict.fromkeys(report.findings), key=lambda finding: _file_order(finding, files)))
    usable = value if not findings else None
    return Loaded(value=usable, findings=findings, inputs=tuple(dict.fromkeys(inputs)))
