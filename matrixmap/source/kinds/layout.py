"""Layout files: the nodes of a file and of its bases become a Layout."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from matrixmap.hid.usages import Usage
from matrixmap.limits import CHORDS, LAYOUT_LINES
from matrixmap.model.host import Host
from matrixmap.model.layout import (
    CommandLine,
    CommandName,
    Contacts,
    HostModifier,
    Join,
    KeyLine,
    Layout,
    Pads,
    PassLine,
)
from matrixmap.model.machine import Machine
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.kinds.layout_lines import LineReader
from matrixmap.source.pads.section import read_pads
from matrixmap.source.report import Report
from matrixmap.source.shape.formats import LAYOUT
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Document, Text


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutDraft:
    """A layout file as read, with the files that it inherits from. Machine and host are ids, not yet looked up.

    `records` holds the fields of the file itself, then of its base, then of the base's base. A field that
    could not be read is missing, so that the rest of the file can still be checked.
    """

    records: tuple[Record, ...]
    place: Place

    @property
    def own(self) -> Record:
        """The fields of the file itself."""
        return self.records[0]

    @property
    def is_base(self) -> bool:
        """Whether the file names no host, so that it is only a base for others."""
        return "host" not in self.own

    def first(self, field: str) -> Text | None:
        """The value of a field: from the file itself, else from the nearest base that has it."""
        return next((record[field] for record in self.records if field in record), None)


def read_layout(document: Document, report: Report) -> LayoutDraft | None:
    """The draft that a document gives, without its base."""
    record = LAYOUT.read(document.root, report, document.to_the_end) if document.root else None
    if record is None:
        return None
    return LayoutDraft(records=(record,), place=record["layout"].place if "layout" in record else record.place)


def finish_layout(
    draft: LayoutDraft,
    machine: Machine | None,
    host: Host | None,
    stand_in: Host | None,
    known_slugs: Iterable[str],
    inputs: Mapping[str, str],
    report: Report,
) -> Layout | None:
    """The layout with its machine and hosts, or None after a finding.

    Without a machine or host, the lines are checked as far as possible.
    """
    before = len(report.findings)
    words = {
        name: text.text for name in ("join", "contacts", "guard", "resume", "keyboards") if (text := draft.first(name))
    }
    join = Join(words["join"]) if "join" in words else None
    reader = LineReader(machine, host, join, report)
    stand_in_name = draft.first("stand_in")
    if stand_in_name:
        reader.for_symbolic("stand_in", stand_in_name.place)
    files = [reader.lines(record, known_slugs) for record in draft.records]
    _bound_chords([line for lines in files for line in lines.keys], report)
    names = _first_of_each((line for lines in files for line in lines.command_names), lambda line: line.number)
    given = {line.number for lines in files for line in lines.commands} | set(_commands_of_pads(draft))
    # A base may name the commands of all layouts that inherit from it, and each of these gives only some.
    _judge_command_names(names, () if draft.is_base else files[0].command_names, given, report)
    _bound_lines([line for lines in files for line in lines.keys], report)
    pads = _pads(draft, machine, reader, report)
    if len(report.findings) > before or machine is None or host is None or join is None or "layout" not in draft.own:
        return None
    triggers = first_wins([*lines.keys, *lines.commands] for lines in files)
    title = draft.own.get("title")
    return Layout(
        id=draft.own["layout"].text,
        title=title.text if title else f"{machine.title}, {host.title}, {join.value}",
        machine=machine,
        host=host,
        stand_in=stand_in,
        join=join,
        contacts=Contacts(words.get("contacts", Contacts.SWITCH.value)),
        guard=words["guard"] == "on" if "guard" in words else None,
        resumes=words["resume"] == "on" if "resume" in words else join is Join.POSITIONAL,
        apart=words.get("keyboards") == "apart",
        types=_first_of_each((line for lines in files for line in lines.types), lambda line: line.legend),
        keys=tuple(line for line in triggers if isinstance(line, KeyLine)),
        many=_first_of_each(
            (line for lines in files for line in lines.many), lambda line: (line.trigger.level, line.trigger.extras)
        ),
        passes=_first_passes(lines.passes for lines in files),
        locks=_first_of_each((line for lines in files for line in lines.locks), lambda line: line.usage),
        commands=tuple(line for line in triggers if isinstance(line, CommandLine)),
        command_names=names,
        pads=pads,
        accept=_first_of_each((line for lines in files for line in lines.accept), lambda line: line.slug),
        place=draft.place,
        inputs=inputs,
    )


def _pads(draft: LayoutDraft, machine: Machine | None, reader: LineReader, report: Report) -> Pads | None:
    """The section `pads:` of the file itself, else of the nearest base that has one."""
    section = next((record["pads"] for record in draft.records if "pads" in record), None)
    return None if section is None else read_pads(section, draft.place, machine, reader.stroke, report)


def _commands_of_pads(draft: LayoutDraft) -> Iterator[int]:
    """The commands that buttons of pads send."""
    for record in draft.records:
        for _, value, _ in record.get("pads") or ():
            if isinstance(value, Record) and "command" in value:
                yield int(value["command"])


def _judge_command_names(
    names: Iterable[CommandName], own: Iterable[CommandName], given: set[int], report: Report
) -> None:
    """Reports a name for two numbers, and a name in the file itself for a command that nothing gives."""
    seen: dict[str, CommandName] = {}
    for line in names:
        first = seen.setdefault(line.name, line)
        if first is not line:
            text = f"{line.name} names command {line.number}, but also command {first.number} ({first.place})"
            report.add(rules.COMMAND_MISNAMED, line.place, text)
    for line in own:
        if line.number not in given:
            text = f"{line.name} names command {line.number}, but no line under commands gives that command"
            report.add(rules.COMMAND_MISNAMED, line.place, text)


def _bound_chords(lines: Iterable[KeyLine], report: Report) -> None:
    """A finding at the first line with a chord beyond the limit."""
    chords = [line for line in lines if len(line.stroke.keys) > 1]
    if len(chords) > CHORDS:
        text = (
            f"{len(chords)} lines ask for chords, which are strokes of more than one key; a layout has at most {CHORDS}"
        )
        report.add(rules.TOO_MANY, chords[CHORDS].stroke.place, text)


def _bound_lines(lines: Iterable[KeyLine], report: Report) -> None:
    """A finding at the first line beyond the limit. A chord line counts as several: checks try it several ways."""
    named = {(line.trigger.usages, line.trigger.level, line.trigger.extras): line for line in lines}
    count, first = 0, None
    for line in named.values():
        count += CHORD_LINES if len(line.stroke.keys) > 1 else 1
        first = line if first is None and count > LAYOUT_LINES else first
    if first is not None:
        text = (
            f"the layout has {count} lines under keys:, where a chord counts as {CHORD_LINES}; the most is "
            f"{LAYOUT_LINES}"
        )
        report.add(rules.TOO_MANY, first.trigger.place, text)


CHORD_LINES = 4
"""A line with a stroke of more than one key counts as this many lines."""

Cell = tuple[Usage, int, frozenset[HostModifier]]


def first_wins(files: Iterable[Iterable[KeyLine | CommandLine]]) -> tuple[KeyLine | CommandLine, ...]:
    """The lines that count, of several files, the file itself first. The first file that names a trigger wins."""
    taken: set[Cell] = set()
    kept: list[KeyLine | CommandLine] = []
    for lines in files:
        here: set[Cell] = set()
        for line in lines:
            name = line.trigger
            cells = {usage: (usage, name.level, name.extras) for usage in name.usages}
            usages = tuple(usage for usage, cell in cells.items() if cell not in taken)
            if usages:
                kept.append(replace(line, trigger=replace(name, usages=usages)))
            here.update(cells.values())
        taken |= here
    return tuple(kept)


def _first_passes(files: Iterable[tuple[PassLine, ...]]) -> tuple[PassLine, ...]:
    taken: set[Usage] = set()
    kept = []
    for lines in files:
        for line in lines:
            usages = tuple(usage for usage in line.usages if usage not in taken)
            if usages:
                kept.append(replace(line, usages=usages))
        taken.update(usage for line in lines for usage in line.usages)
    return tuple(kept)


Line = TypeVar("Line")


def _first_of_each(lines: Iterable[Line], key: Callable[[Line], Hashable]) -> tuple[Line, ...]:
    """The first line for each key, in order."""
    kept: dict[Hashable, Line] = {}
    for line in lines:
        kept.setdefault(key(line), line)
    return tuple(kept.values())
