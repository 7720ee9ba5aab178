"""`matrixmap keyboard`: what a keyboard's report descriptor says, what its recording contains, and its table in C."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.play.recordings import (
    DescriptorOption,
    Input,
    IntervalOption,
    LenientOption,
    RecordingFile,
    interval_us,
    look_at,
    read_descriptor,
)
from matrixmap.cli.session import FormatOption, RootOption, choose_format, one_plan, open_project, print_json

if TYPE_CHECKING:
    from matrixmap.hid.recording import Event
    from matrixmap.hid.usages import Usage
    from matrixmap.press.on_keyboard import Untypable

app = make_app()


@app.command(epilog="Example: matrixmap keyboard customer.rec --layout quillon8-en-GB-symbolic")
def keyboard(
    file: Path = typer.Argument(
        ...,
        metavar="FILE",
        help="A report descriptor (binary, hexadecimal text, C array) or a recording; - for standard input.",
    ),
    layout: str = typer.Option(None, "--layout", metavar="LAYOUT", help="Say what this layout cannot type on it."),
    keys: bool = typer.Option(False, "--keys", help="Print the keys that are down after each report of a recording."),
    emit: str = typer.Option(None, "--emit", metavar="c", help="Write the table for the runtime's decoder: c."),
    out: Path = typer.Option(Path("generated"), "--out", metavar="DIR", help="Folder that --emit writes to."),
    name: str = typer.Option(None, "--name", metavar="NAME", help="Name of the table (default: that of the file)."),
    descriptor: Path = DescriptorOption,
    interval: float = IntervalOption,
    lenient: bool = LenientOption,
    root: Path | None = RootOption,
    format: str = FormatOption,
) -> None:
    """Say what a keyboard's reports can carry, what is odd in them, and what its recording holds. Exit 1 if it lacks keys for --layout."""
    from matrixmap.hid.descriptor_text import is_recording

    choose_format(format)
    if emit not in (None, "c"):
        raise UsageError(f"there is no form {emit!r} to write a keyboard in (forms: c)")
    source = look_at(file)
    given = read_descriptor(look_at(descriptor), lenient) if descriptor is not None else None
    recording = None
    if is_recording(source.start) or keys or given is not None:
        recording = RecordingFile(source=source, descriptor=given, interval_us=interval_us(interval), lenient=lenient)
    if keys and recording is not None:
        _print_events(recording, format)
        return
    desk = _Desk(source, recording, lenient)
    missing = _missing(layout, root, desk) if layout is not None else None
    if emit is not None:
        written = _write_tables(desk, name or _table_name(file), out)
        typer.echo(f"{', '.join(written)} written to {out}", err=format == "json")
    if format == "json":
        print_json(desk.document(missing))
    else:
        for line in desk.lines(missing):
            typer.echo(line)
    if missing and any(item.lacks for found in missing for item in found):
        raise typer.Exit(1)


class _Seen:
    """The result of the events of one keyboard."""

    def __init__(self) -> None:
        self.reports = 0
        self.rolled = 0
        self.most = 0
        self.keys: frozenset[Usage] = frozenset()

    def take(self, event: Event, rolled: bool) -> None:
        """Takes one more event."""
        self.reports += 1
        self.rolled += rolled
        if event.keys - self.keys:
            self.keys |= event.keys
        self.most = max(self.most, len(event.keys))


class _Desk:
    """The keyboards of a file, with the contents of their recording if it is one."""

    def __init__(self, source: Input, recording: RecordingFile | None, lenient: bool) -> None:
        from matrixmap.hid.keyboard import keyboard_facts
        from matrixmap.hid.report import State

        self.first_us: int | None = None
        self.time_us = 0
        self.seen: dict[int, _Seen] = {}
        self.described: dict[int, bool] = {}
        self.names: dict[int, str] = {}
        if recording is None:
            self.facts = {0: keyboard_facts(read_descriptor(source, lenient))}
            return
        for event in recording.events():
            self.seen.setdefault(event.keyboard, _Seen()).take(event, event.state is State.ROLLED)
            self.time_us = event.time_us
            if self.first_us is None:
                self.first_us = event.time_us
        if not recording.keyboards:
            raise UsageError(f"{source.path}: there is no report and no descriptor in it")
        found = dict(sorted(recording.keyboards.items()))
        self.facts = {number: keyboard_facts(one.descriptor) for number, one in found.items()}
        self.described = {number: one.described for number, one in found.items()}
        self.names = {number: one.name for number, one in found.items()}

    def lines(self, missing: list[tuple[Untypable, ...]] | None) -> Iterator[str]:
        """Everything in plain words."""
        from matrixmap.emit.keyboards.keyboard_text import keyboard_lines
        from matrixmap.model.words import shown

        for place, (number, facts) in enumerate(self.facts.items()):
            if number or len(self.facts) > 1 or self.names.get(number):
                name = self.names.get(number)
                yield f"Keyboard {number}" + (f", {shown(name)}:" if name else ":")
            if not self.described.get(number, True):
                yield "The recording has no descriptor of it: its reports are read as boot reports."
            yield from keyboard_lines(facts)
            if number in self.seen:
                yield from self._seen_lines(number)
            if missing is not None:
                yield from _missing_lines(missing[place])

    def _seen_lines(self, number: int) -> Iterator[str]:
        from matrixmap.emit.keyboards.keyboard_text import key_runs

        seen = self.seen[number]
        lasted = (self.time_us - (self.first_us or 0)) / 1_000_000
        yield (
            f"The recording has {seen.reports} reports of it in {lasted:.6f} s, with at most {seen.most} keys down at "
            f"once and {seen.rolled} reports of too many keys."
        )
        if seen.keys:
            yield f"Keys seen: {key_runs(seen.keys)}."

    def document(self, missing: list[tuple[Untypable, ...]] | None) -> dict[str, object]:
        """Everything for programs."""
        from matrixmap.emit.keyboards.keyboard_text import keyboard_document

        keyboards = []
        for place, (number, facts) in enumerate(self.facts.items()):
            document = {
                "keyboard": number,
                "name": self.names.get(number, ""),
                "described": self.described.get(number, True),
                **keyboard_document(facts),
            }
            seen = self.seen.get(number)
            document["recording"] = seen and {
                "reports": seen.reports,
                "rolled": seen.rolled,
                "most_keys": seen.most,
                "keys_seen": sorted(seen.keys),
                "ends_us": self.time_us,
            }
            if missing is not None:
                document["cannot_type"] = [{"types": item.text, "lacks": list(item.lacks)} for item in missing[place]]
            keyboards.append(document)
        return {"keyboards": keyboards}


def _missing(layout: str, root: Path | None, desk: _Desk) -> list[tuple[Untypable, ...]]:
    """For each keyboard, what the layout cannot type on it."""
    from matrixmap.press.on_keyboard import untypable

    plan = one_plan(open_project(root), layout)
    return [untypable(plan, facts.keys) for facts in desk.facts.values()]


def _missing_lines(found: tuple[Untypable, ...]) -> Iterator[str]:
    from matrixmap.model.words import shown, usage_name

    lacking: dict[str, list[str]] = {}
    for item in found:
        if item.lacks:
            lacking.setdefault(" and ".join(map(usage_name, item.lacks)), []).append(shown(item.text))
    if lacking:
        yield "On this keyboard the layout cannot type, because a key is missing:"
        for key, texts in lacking.items():
            yield f"  {key}: {'  '.join(texts)}"
    else:
        yield "This keyboard can send every key that the layout needs."
    unreached = [shown(item.text) for item in found if not item.lacks]
    if unreached:
        yield f"No keyboard types these with it, because no key of the layout reaches them: {', '.join(unreached)}."


def _table_name(file: Path) -> str:
    return file.stem if str(file) != "-" else "keyboard"


def _write_tables(desk: _Desk, name: str, out: Path) -> list[str]:
    """Writes header and source of each keyboard's table; returns their names."""
    from matrixmap.cli.files import write_all
    from matrixmap.emit.keyboards.keyboard_c import keyboard_files, no_table
    from matrixmap.emit.tables.build import MADE_BY

    texts: dict[str, str] = {}
    for number, facts in desk.facts.items():
        reason = no_table(facts.descriptor)
        if reason is not None:
            raise UsageError(f"no table can be written for keyboard {number}: {reason}")
        texts.update(keyboard_files(f"{name}-{number}" if len(desk.facts) > 1 else name, facts, MADE_BY))
    write_all(out, texts)
    return list(texts)


def _print_events(recording: RecordingFile, format: str) -> None:
    """Prints a line per event as it is read; in JSON, an object per line, so that programs need little memory."""
    import json

    from matrixmap.hid.report import CACHED_REPORTS
    from matrixmap.model.words import usage_name

    words: dict[frozenset[Usage], str] = {}
    for event in recording.events():
        if len(words) >= CACHED_REPORTS:
            words.clear()
        held = words.get(event.keys)
        if held is None:
            usages = sorted(event.keys)
            held = json.dumps(usages) if format == "json" else " ".join(map(usage_name, usages)) or "none"
            words[event.keys] = held
        if format == "json":
            sys.stdout.write(
                f'{{"time_us": {event.time_us}, "keyboard": {event.keyboard}, "state": "{event.state.value}", '
                f'"keys": {held}, "line": {event.line}}}\n'
            )
            continue
        time = f"{event.time_us // 1_000_000:6d}.{event.time_us % 1_000_000:06d}"
        which = f"  keyboard {event.keyboard}" if event.keyboard else ""
        kind = "" if event.state.value == "keys" else f"  ({event.state.value})"
        sys.stdout.write(f"{time}{which}  {held}{kind}\n")
