"""`matrixmap pad`: what a joystick or game pad can send, what it drives on the machine, and its table in C."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.play.recordings import (
    DescriptorOption,
    Input,
    LenientOption,
    RecordingFile,
    look_at,
    read_descriptor,
)
from matrixmap.cli.session import FormatOption, RootOption, choose_format, one_layout, open_project, print_json

if TYPE_CHECKING:
    from matrixmap.emit.keyboards.pad_text import PadFacts
    from matrixmap.hid.descriptor import Descriptor
    from matrixmap.hid.pads.sources import Source
    from matrixmap.model.layout import Layout

app = make_app()


@app.command(epilog="Example: matrixmap pad stick.hex quillon8-en-GB-symbolic")
def pad(
    file: Path = typer.Argument(
        ...,
        metavar="FILE",
        help="A report descriptor (binary, hexadecimal text, C array) or a recording; - for standard input.",
    ),
    layout: str = typer.Argument(
        None, metavar="[LAYOUT]", help="Say what the pad drives by this layout's section pads:."
    ),
    emit: str = typer.Option(None, "--emit", metavar="c", help="Write the table for the runtime's decoder: c."),
    out: Path = typer.Option(Path("generated"), "--out", metavar="DIR", help="Folder that --emit writes to."),
    name: str = typer.Option(None, "--name", metavar="NAME", help="Name of the table (default: that of the file)."),
    descriptor: Path = DescriptorOption,
    lenient: bool = LenientOption,
    root: Path | None = RootOption,
    format: str = FormatOption,
) -> None:
    """Say what a joystick or game pad can send, and what it drives. Exit 1 if LAYOUT has a switch that it closes by nothing."""
    from matrixmap.emit.keyboards.pad_text import undriven

    choose_format(format)
    if emit not in (None, "c"):
        raise UsageError(f"there is no form {emit!r} to write a pad in (forms: c)")
    found = _pads(file, look_at(file), descriptor, lenient)
    chosen = _layout(layout, root) if layout is not None else None
    if emit is not None:
        typer.echo(f"{', '.join(_write(file, found, name, out))} written to {out}", err=format == "json")
    if format == "json":
        print_json(_document(found, chosen))
    else:
        for line in _lines(found, chosen):
            typer.echo(line)
    if chosen and chosen.pads and any(undriven(facts, chosen.pads, chosen.machine) for facts in _all(found)):
        raise typer.Exit(1)


_Found = dict[int, tuple[str, tuple["PadFacts", ...]]]
"""The devices of a file by their numbers: name, and pads."""


def _all(found: _Found) -> Iterator[PadFacts]:
    for _, pads in found.values():
        yield from pads


def _pads(path: Path, source: Input, descriptor: Path | None, lenient: bool) -> _Found:
    """The devices with pads; UsageError if there is none, or if a pad is refused."""
    from matrixmap.hid.descriptor_text import is_recording

    found: _Found = {}
    if descriptor is None and not is_recording(source.start):
        found[0] = "", _facts(path, read_descriptor(source, lenient), lenient)
    else:
        given = read_descriptor(look_at(descriptor), lenient) if descriptor is not None else None
        recording = RecordingFile(source=source, descriptor=given, lenient=lenient)
        seen = _seen(recording)
        for number, one in sorted(recording.keyboards.items()):
            if one.described:
                facts = _facts(path, one.descriptor, lenient)
                kept = enumerate(facts)
                found[number] = one.name, tuple(replace(each, seen=seen.get((number, at), ())) for at, each in kept)
    if not any(pads for _, pads in found.values()):
        raise UsageError(
            f"{path}: there is no joystick and no game pad in it (matrixmap keyboard says what else it is)"
        )
    return found


def _seen(recording: RecordingFile) -> dict[tuple[int, int], tuple[Source, ...]]:
    """By device and pad, the sources that were on in the recording, in the order of their first use."""
    from matrixmap.hid.pads.decoder import PadDecoder, sources_on
    from matrixmap.hid.pads.steps import pads_of
    from matrixmap.hid.report import State

    decoders: dict[int, list[PadDecoder]] = {}
    found: dict[tuple[int, int], dict[Source, None]] = {}
    for event in recording.events():
        if event.state is State.CONNECTED:
            decoders.pop(event.keyboard, None)
        elif event.report:
            if event.keyboard not in decoders:
                descriptor = recording.keyboards[event.keyboard].descriptor
                decoders[event.keyboard] = [PadDecoder(descriptor, pad) for pad in pads_of(descriptor)]
            for place, decoder in enumerate(decoders[event.keyboard]):
                decoder.take(event.report)
                found.setdefault((event.keyboard, place), {}).update(dict.fromkeys(sources_on(decoder.on)))
    return {key: tuple(sources) for key, sources in found.items()}


def _facts(path: Path, descriptor: Descriptor, lenient: bool) -> tuple[PadFacts, ...]:
    from matrixmap.emit.keyboards.pad_text import pad_facts
    from matrixmap.hid.pads.steps import pads_of

    found = []
    for pad in pads_of(descriptor):
        if pad.fault is not None:
            if not lenient:
                raise UsageError(f"{path}: {pad.fault} (with --lenient the other fields are read)")
            typer.echo(f"note: {path}: {pad.fault}", err=True)
        found.append(pad_facts(descriptor, pad))
    return tuple(found)


def _layout(id: str, root: Path | None) -> Layout:
    layout = one_layout(open_project(root), id)
    if layout.pads is None:
        has = ", ".join(controller.name for controller in layout.machine.controllers)
        hint = f"write pads: {{order: [{has}]}}" if has else "its machine has no controllers"
        raise UsageError(f"the layout {layout.id} has no section pads: {hint}")
    return layout


def _lines(found: _Found, layout: Layout | None) -> Iterator[str]:
    from matrixmap.emit.keyboards.pad_text import BY_HAND, drive_lines, pad_lines
    from matrixmap.model.words import shown

    count = sum(len(pads) for _, pads in found.values())
    for number, (name, pads) in found.items():
        for place, facts in enumerate(pads):
            if count > 1 or name:
                yield f"Device {number}" + (f", {shown(name)}" if name else "") + f", pad {place + 1} of {len(pads)}:"
            yield from pad_lines(facts)
            if layout is not None and layout.pads is not None:
                yield from drive_lines(facts, layout.pads, layout.machine)
    yield BY_HAND


def _document(found: _Found, layout: Layout | None) -> dict[str, object]:
    from matrixmap.emit.keyboards.pad_text import pad_document

    pads, machine = (layout.pads, layout.machine) if layout else (None, None)
    return {
        "pads": [
            {"device": number, "name": name, "pad": place, **pad_document(facts, pads, machine)}
            for number, (name, facts_of) in found.items()
            for place, facts in enumerate(facts_of)
        ]
    }


def _write(file: Path, found: _Found, name: str | None, out: Path) -> list[str]:
    """Writes header and source of each device's tables; returns their names."""
    from matrixmap.cli.files import write_all
    from matrixmap.emit.keyboards.pad_c import pad_files
    from matrixmap.emit.tables.build import MADE_BY

    stem = name or (file.stem if str(file) != "-" else "pad")
    texts: dict[str, str] = {}
    devices = {number: pads for number, (_, pads) in found.items() if pads}
    for number, pads in devices.items():
        for facts in pads:
            if facts.no_table is not None:
                raise UsageError(f"no table can be written for device {number}: {facts.no_table}")
        own = f"{stem}-{number}" if len(devices) > 1 else stem
        texts.update(pad_files(own, pads[0].descriptor, tuple(facts.pad for facts in pads), MADE_BY))
    write_all(out, texts)
    return list(texts)
