"""`matrixmap new`: begins a file. A host is read from the system's keyboards."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import typer

from matrixmap.cli.begin.new_files import (
    ForceOption,
    Told,
    check_id,
    free_path,
    tell_if_it_hides,
    write_new,
    write_with_schemas,
)
from matrixmap.cli.begin.new_machine import EPILOG, machine
from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import FormatOption, RootOption, open_project, print_reading_findings

if TYPE_CHECKING:
    from matrixmap.source.kinds.host import HostDraft
    from matrixmap.source.kinds.project import Loaded, Project
    from matrixmap.source.propose.xkb import NationalKeyboard, XkbName, XkbSystem

ALL = "all"

Value = TypeVar("Value")

app = make_app()
app.command(epilog=EPILOG)(machine)


@app.callback(epilog="Example: matrixmap new layout quillon8-de-AT-symbolic --machine quillon8 --host de-AT")
def new() -> None:
    """Begin a host, a machine, a layout or an adapter."""


@app.command(epilog="Example: matrixmap new host de-AT --from-xkb at --title 'German (Austria)'")
def host(
    tag: str = typer.Argument(
        help="BCP 47 tag of language and country, which is the id; with --from-xkb all, the folder to fill."
    ),
    from_xkb: str = typer.Option(
        ..., "--from-xkb", metavar="NAME[:VARIANT]|all", help="The keyboard's name in the system's xkb-data."
    ),
    title: str | None = typer.Option(None, "--title", help="Language and country as people write them."),
    form: str | None = typer.Option(
        None,
        "--form",
        help="ansi-104, iso-105, jis-109, abnt-107 or ks-106 (when left out, the form that the keys suggest).",
    ),
    base: str = typer.Option("base", "--base", help="The host file that the new one inherits legends from."),
    root: Path | None = RootOption,
    force: bool = ForceOption,
    format: str = FormatOption,
) -> None:
    """Write a host file with the legends of a country's keyboard, read from xkb-data through libxkbcommon."""
    from matrixmap.hid.geometry import FORM_NAMES
    from matrixmap.source.propose.xkb import XkbError, XkbSystem

    told = Told(format)

    if form is not None and form not in FORM_NAMES:
        raise UsageError(f"there is no form {form!r} (forms: {', '.join(FORM_NAMES)})")
    try:
        system = XkbSystem()
        if from_xkb == ALL:
            if title is not None or root is not None:
                raise UsageError(
                    "--title and --root are for one keyboard; with --from-xkb all, name the folder to fill"
                )
            _import_all(system, Path(tag), form, base, force, told)
        else:
            _import_one(system, from_xkb, tag, title, form, base, root, force, told)
        told.end()
    except XkbError as error:
        raise UsageError(str(error)) from error


@app.command(epilog="Example: matrixmap new layout quillon8-de-AT-symbolic --machine quillon8 --host de-AT")
def layout(
    id: str = typer.Argument(help="The id, which is the name of the file."),
    machine: str = typer.Option(..., "--machine", metavar="ID", help="The machine to type on."),
    host: str = typer.Option(..., "--host", metavar="ID", help="The keyboard to type with."),
    positional: bool = typer.Option(
        False, "--positional", help="Join by place, with pairs proposed, instead of by what is printed."
    ),
    root: Path | None = RootOption,
    force: bool = ForceOption,
    format: str = FormatOption,
) -> None:
    """Write a layout file to be filled in, or with pairs proposed by place."""
    from matrixmap.join.left_dead import dead_keys
    from matrixmap.join.positional import propose_pairs
    from matrixmap.source.write.positional_file import positional_text
    from matrixmap.source.write.scaffold import symbolic_text

    told = Told(format)
    project = open_project(root)
    known_machine = _usable(project.machine(machine), project, "machine", machine)
    known_host = _usable(project.host(host), project, "host", host)
    if positional:
        pairs = propose_pairs(known_machine, known_host)
        text = positional_text(id, known_machine, known_host, pairs, dead_keys(known_machine, known_host, pairs))
    else:
        text = symbolic_text(id, known_machine, known_host)
    write_new(root, "layout", id, text, force, told)
    told.line(f"next: matrixmap check {id} says what no key reaches yet")
    told.end()


@app.command(epilog="Example: matrixmap new adapter bell --netlist board.net --machine quillon8")
def adapter(
    id: str = typer.Argument(help="The id, which is the name of the file."),
    netlist: Path = typer.Option(..., "--netlist", metavar="FILE", help="The netlist that the board editor exports."),
    machine: list[str] = typer.Option(
        ..., "--machine", metavar="ID[/REVISION]", help="A machine that the adapter fits."
    ),
    root: Path | None = RootOption,
    force: bool = ForceOption,
    format: str = FormatOption,
) -> None:
    """Write an adapter file with the parts of a netlist, and put the netlist beside it."""
    from matrixmap.cli.begin.new_board import begin_adapter

    told = Told(format)
    begin_adapter(id, netlist, machine, root, force, told)
    told.end()


def _usable(loaded: Loaded[Value] | None, project: Project, kind: str, id: str) -> Value:
    """The value of a file that must exist and be readable."""
    from matrixmap.source.report import named, nearest

    if loaded is None:
        known = project.ids(kind)
        raise UsageError(f"there is no {kind} {id!r}{nearest(id, known)} (known: {named(known)})")
    if loaded.value is None:
        print_reading_findings(loaded.findings)
        raise typer.Exit(2)
    return loaded.value


def _import_one(
    system: XkbSystem,
    wanted: str,
    tag: str,
    title: str | None,
    form: str | None,
    base: str,
    root: Path | None,
    force: bool,
    told: Told,
) -> None:
    check_id(tag)
    keyboard = system.read(_listed_name(system, wanted), form)
    project = open_project(root)
    text = _host_text(system, keyboard, tag, title, _base_draft(project, base, tag))
    path = free_path(root, "host", tag, force)
    write_with_schemas(root or Path(), {path: text})
    told.wrote(path, more=f": {keyboard.form}, with the keys that differ from {base}")
    tell_if_it_hides(project, "host", tag)
    for line in _left_out_lines([keyboard]):
        told.line(line)
    if any(len(typed) > 2 for typed in keyboard.legends.values()):
        told.line(
            "next: xkb-data does not know what can be read on the keys; say it in a section printed (docs/format.md)"
        )


def _import_all(system: XkbSystem, folder: Path, form: str | None, base: str, force: bool, told: Told) -> None:
    from matrixmap.source.folder import KINDS, SUFFIX
    from matrixmap.source.propose.xkb import XkbError

    names = system.names()
    target = folder / KINDS["host"]
    there = [path for name in names if (path := target / f"{xkb_id(name)}{SUFFIX}").exists()]
    if there and not force:
        raise UsageError(
            f"{len(there)} of these files already exist in {target}, such as {there[0].name}; --force replaces them"
        )
    draft = _base_draft(open_project(None), base)
    texts: dict[str, str] = {}
    read: list[NationalKeyboard] = []
    failed: list[str] = []
    for name in names:
        try:
            keyboard = system.read(name, form)
        except XkbError as error:
            failed.append(str(error))
            continue
        id = xkb_id(name)
        read.append(keyboard)
        texts[f"{id}{SUFFIX}"] = _host_text(system, keyboard, id, None, draft)
    write_with_schemas(folder, {target / name: text for name, text in texts.items()})
    told.wrote_many(
        [target / name for name in texts], f"{len(texts)} hosts to {target}; matrixmap list --root {folder} lists them"
    )
    for line in (*failed, *_left_out_lines(read)):
        told.line(line)


def xkb_id(name: XkbName) -> str:
    """The id of a host in an import of all keyboards: `xkb-de-T3`."""
    import re

    return re.sub(r"[^A-Za-z0-9]+", "-", f"xkb-{name.layout}-{name.variant}").strip("-")


def _host_text(system: XkbSystem, keyboard: NationalKeyboard, id: str, title: str | None, base: HostDraft) -> str:
    from matrixmap.source.write.host_file import host_text

    name = keyboard.name
    variant = f", variant {name.variant}" if name.variant else ""
    return host_text(
        id=id,
        title=title or system.titles().get(name, str(name)),
        source=f"{system.version()}, layout {name.layout}{variant}, read through libxkbcommon",
        form=keyboard.form,
        legends=keyboard.legends,
        caps=keyboard.caps,
        base=base,
    )


def _listed_name(system: XkbSystem, wanted: str) -> XkbName:
    from matrixmap.source.propose.xkb import XkbName
    from matrixmap.source.report import nearest

    name = XkbName(*wanted.split(":", 1))
    listed = system.names()
    if name not in listed:
        raise UsageError(f"the system lists no keyboard {wanted!r}{nearest(wanted, map(str, listed))}")
    return name


def _base_draft(project: Project, base: str, id: str | None = None) -> HostDraft:
    """The base of new hosts; it must not inherit from the host `id` that is about to be written."""
    from matrixmap.source.folder import KINDS, SUFFIX

    loaded = project.host_draft(base)
    draft = _usable(loaded, project, "host", base)
    if loaded and f"{KINDS['host']}/{id}{SUFFIX}" in dict(loaded.inputs):
        raise UsageError(f"{base} inherits legends from {id}, so {id} cannot inherit from {base}")
    return draft


def _left_out_lines(keyboards: Iterable[NationalKeyboard]) -> list[str]:
    """What the files cannot hold, by reason, with counts and the first few cases."""
    from matrixmap.model.words import usage_name
    from matrixmap.source.report import named

    cases: dict[str, list[str]] = {}
    for keyboard in keyboards:
        for item in keyboard.left_out:
            cases.setdefault(item.reason, []).append(f"{item.keysym} on {usage_name(item.usage)}, level {item.level}")
    return [
        f"left out, {reason}: {len(found)} ({named(dict.fromkeys(found), 4)})"
        for reason, found in sorted(cases.items())
    ]
