"""What all commands share: the project, the requested layouts, and the printing of findings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import typer

from matrixmap.cli.files import read_named
from matrixmap.cli.main import UsageError

if TYPE_CHECKING:
    from rich.console import Console

    from matrixmap.model.finding import Finding
    from matrixmap.model.layout import Layout
    from matrixmap.model.machine import Machine
    from matrixmap.model.plan import Plan
    from matrixmap.source.kinds.project import Loaded, Project

Value = TypeVar("Value")

RootOption = typer.Option(
    None, "--root", metavar="DIR", help="Folder with layouts/ and shared/ of your own (default: the current folder)."
)
FormatOption = typer.Option("text", "--format", metavar="text|json", help="How to print: text or json.")
FailOnOption = typer.Option(
    "error",
    "--fail-on",
    metavar="error|warning|none",
    help="Exit with 1 if there are findings of this severity or a worse one.",
)
FAIL_ON = {"error": 3, "warning": 2, "none": 4}
"""Its choices, each with the least severity that fails."""


def open_project(root: Path | None) -> Project:
    """The project in a folder, followed by the shipped data."""
    from matrixmap.check.registry import known_slugs
    from matrixmap.source.folder import DiskFolder, shipped_folder
    from matrixmap.source.kinds.project import Project

    if root is not None and not root.is_dir():
        raise UsageError(f"there is no folder {root}")
    folder = root if root is not None else Path()
    shipped = shipped_folder()
    shown = f"{root.as_posix().rstrip('/')}/" if root is not None and str(root) != "." else ""
    own = DiskFolder(folder, shown=shown)
    if folder.resolve() == shipped.root.resolve():
        return Project([own], known_slugs())
    return Project([own, shipped], known_slugs())


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A requested layout: its name as given, and the result of reading it."""

    name: str
    loaded: Loaded[Layout]


def read_layouts(project: Project, names: Iterable[str]) -> list[Reading]:
    """Reads the layouts with these names (ids or paths of YAML files), else those of the first folder that has any."""
    return [Reading(name=name, loaded=_read_layout(project, name)) for name in layout_names(project, names)]


def layout_names(project: Project, names: Iterable[str]) -> list[str]:
    """These names, each once; without any, the ids of the layouts in the first folder that has some."""
    return list(dict.fromkeys(names)) or _default_layouts(project)


def _default_layouts(project: Project) -> list[str]:
    entries = project.entries("layout")
    if not entries:
        raise UsageError("there are no layouts here; a layout is a file in the folder layouts/")
    first = min(entry.folder for entry in entries)
    return [entry.id for entry in entries if entry.folder == first]


def _read_layout(project: Project, name: str) -> Loaded[Layout]:
    from matrixmap.source.folder import SUFFIX
    from matrixmap.source.report import named, nearest

    if name.endswith((SUFFIX, ".yml")):
        path, data = Path(name), read_named(name)
        _refuse_other_kinds(name, data)
        if not name.endswith(SUFFIX):
            raise UsageError(
                f"{name} ends in .yml, but project files end in {SUFFIX}; rename it to {path.stem}{SUFFIX}"
            )
        return project.layout_text(path.stem, name, data)
    loaded = project.layout(shortened(project, "layout", name))
    if loaded is None:
        for kind in ("machine", "host"):
            if name in project.ids(kind):
                file = next(folder.name(kind, name) for folder in project.folders if name in folder.ids(kind))
                raise UsageError(f"{name} is a {kind}, not a layout; {_instead(kind, name, file)}")
        known = project.ids("layout")
        why = project.not_read("layout", name) or nearest(name, known)
        raise UsageError(f"there is no layout {name!r}{why} (layouts: {named(known)})")
    return loaded


def shortened(project: Project, kind: str, name: str) -> str:
    """The id that a part of it stands for, such as `de-DE`, if only one id has that part; else the name as written.

    A part begins and ends at a hyphen or an end. UsageError if several ids have it.
    """
    from matrixmap.source.report import named

    # A complete name of a machine means the machine.
    if not name or project.has(kind, name) or (kind == "layout" and project.has("machine", name)):
        return name
    fitting = [id for id in project.ids(kind) if f"-{name.lower()}-" in f"-{id.lower()}-"]
    if len(fitting) > 1:
        raise UsageError(f"{name!r} fits {len(fitting)} {kind}s; write more of the id ({kind}s: {named(fitting)})")
    return fitting[0] if fitting else name


def _refuse_other_kinds(name: str, data: bytes) -> None:
    """A usage error for a file that describes a machine or a host."""
    from matrixmap.source.kinds.kind import kind_of

    kind = kind_of(data)
    if kind in ("machine", "host"):
        raise UsageError(f"{name} describes a {kind}, not a layout; {_instead(kind, Path(name).stem, name)}")


def _instead(kind: str, id: str, file: str) -> str:
    """The commands that take a machine or a host."""
    pair = f"--machine {id} --host en-US" if kind == "machine" else f"--machine ID --host {id}"
    return (
        f"matrixmap tidy --check {file} says what is wrong in it, and matrixmap new layout {id}-layout {pair} begins "
        "a layout for it, which this command takes"
    )


def usable(readings: Iterable[Reading]) -> list[Layout]:
    """The layouts, if all can be read; otherwise their findings go to stderr and the program ends with exit code 2."""
    listed = list(readings)
    findings = [finding for reading in listed for finding in reading.loaded.findings]
    if findings:
        print_reading_findings(findings)
        raise typer.Exit(2)
    return [reading.loaded.value for reading in listed if reading.loaded.value is not None]


def one_layout(project: Project, name: str) -> Layout:
    """The one layout of a command."""
    return usable(read_layouts(project, [name]))[0]


def one_machine(project: Project, name: str) -> Machine:
    """The one machine of a command: an id, or a YAML file; otherwise its findings go to stderr, with exit code 2."""
    from matrixmap.source.folder import SUFFIX
    from matrixmap.source.kinds.kind import kind_of

    loaded: Loaded[Machine] | None
    if name.endswith(SUFFIX):
        data = read_named(name)
        kind = kind_of(data)
        if kind not in ("machine", None):
            raise UsageError(f"{name} describes a {kind}, not a machine")
        loaded = project.machine_text(Path(name).stem, name, data)
    else:
        loaded = project.machine(shortened(project, "machine", name))
    return usable_one(project, "machine", name, loaded)


def usable_one(project: Project, kind: str, name: str, loaded: Loaded[Value] | None) -> Value:
    """The value of the one file of a command; otherwise the reason why there is none, with exit code 2."""
    from matrixmap.source.report import named, nearest

    if loaded is None:
        known = project.ids(kind)
        why = project.not_read(kind, name) or nearest(name, known)
        raise UsageError(f"there is no {kind} {name!r}{why} ({kind}s: {named(known)})")
    if loaded.value is None:
        print_reading_findings(loaded.findings)
        raise typer.Exit(2)
    return loaded.value


def one_plan(project: Project, name: str) -> Plan:
    """The plan of the one layout of a command; UsageError if no table can hold it."""
    from matrixmap.join.plan import compile_plan
    from matrixmap.press.table.make import TableError, make_table

    plan = compile_plan(one_layout(project, name))
    try:
        make_table(plan)
    except TableError as fault:
        raise UsageError(str(fault)) from fault
    return plan


def print_reading_findings(findings: Iterable[Finding]) -> None:
    """Prints each reading finding once, as `file:line:column: slug: text`, on stderr."""
    from matrixmap.model.words import shown
    from matrixmap.source.report import listed

    unique = listed(dict.fromkeys(findings))
    for finding in unique:
        typer.echo(f"{shown(str(finding.place))}: {finding.slug}: {shown(finding.text)}", err=True)
    count = sum(finding.count for finding in unique)
    typer.echo(f"{count} finding{'s' if count != 1 else ''}; nothing was used", err=True)


def print_overrides(project: Project, names: Iterable[str]) -> None:
    """Prints one line on stderr with the user's files that these layouts use in place of shipped ones, if any."""
    readings = read_layouts(project, names)
    used = {file for reading in readings for file, _ in reading.loaded.inputs}
    hiding = [
        f"{entry.kind} {entry.id}"
        for kind in ("machine", "host", "layout")
        for entry in project.files(kind)
        if entry.hides and project.folders[entry.folder].name(kind, entry.id) in used
    ]
    if hiding:
        *rest, last = hiding
        listed = f"{', '.join(rest)} and {last} are" if rest else f"{last} is"
        what = "ones" if rest else "one"
        typer.echo(f"note: your {listed} used in place of the shipped {what}", err=True)


def print_not_read(project: Project) -> None:
    """Prints a line on stderr for each of the user's files that looks like one of a project but is not read."""
    from matrixmap.model.words import shown
    from matrixmap.source.folder import KINDS
    from matrixmap.source.kinds.project import why_not_read

    for kind in KINDS:
        for file in project.folders[0].misnamed(kind):
            typer.echo(f"note: {shown(file)} is not read: {shown(why_not_read(file))}", err=True)


def make_console(stderr: bool = False) -> Console:
    """A console that neither wraps nor colours in a pipe, and obeys NO_COLOR."""
    from rich.console import Console

    console = Console(stderr=stderr, highlight=False, markup=False, emoji=False)
    if not console.is_terminal:
        console = Console(stderr=stderr, highlight=False, markup=False, emoji=False, width=10_000, color_system=None)
    return console


PIPE_WIDTH = 200
"""Columns of the longest line if no terminal gives its width."""

TERMINAL_WIDTHS = (40, 80)
"""The least and the most columns of a line on a terminal: longer lines are hard to read."""


def line_width() -> int:
    """The columns of a line of prose on stdout."""
    import shutil
    import sys

    if not sys.stdout.isatty():
        return PIPE_WIDTH
    low, high = TERMINAL_WIDTHS
    return min(max(shutil.get_terminal_size().columns, low), high)


def print_rows(rows: Sequence[tuple[str, ...]]) -> None:
    """Prints a table with titles in the first row, the first column left-aligned and the others right-aligned.

    If a line would be wider than the terminal, each row becomes a paragraph: its first cell, then title and value.
    Nothing is cut.
    """
    from matrixmap.form.parts.wrapping import wrapped

    width = line_width()
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    if sum(widths) + 2 * len(widths) - 2 <= width:
        for row in rows:
            first, *rest = zip(row, widths, strict=True)
            cells = [first[0].ljust(first[1]), *(cell.rjust(own) for cell, own in rest)]
            typer.echo("  ".join(cells).rstrip())
        return
    titles, *others = rows
    for row in others:
        for line in wrapped(f"{titles[0]} {row[0]}", width):
            typer.echo(line)
        told = ", ".join(f"{title} {value}" for title, value in zip(titles[1:], row[1:], strict=True))
        for line in wrapped(told, width - 2):
            typer.echo(f"  {line}")


def choose_format(chosen: str, known: tuple[str, ...] = ("text", "json")) -> str:
    """The output format, if it is one of the known ones."""
    if chosen not in known:
        raise UsageError(f"there is no format {chosen!r} (formats: {', '.join(known)})")
    return chosen


def choose_fail_on(chosen: str) -> int:
    """The least severity that ends a command with 1."""
    if chosen not in FAIL_ON:
        raise UsageError(f"there is no severity {chosen!r} for --fail-on (choices: {', '.join(FAIL_ON)})")
    return FAIL_ON[chosen]


def print_written(format: str, files: Iterable[Path], **more: object) -> None:
    """Prints the files that a command wrote: one line each, or as JSON with further facts."""
    paths = [str(path) for path in files]
    if format == "json":
        print_json({"files": paths, **more})
        return
    for path in paths:
        typer.echo(f"{path} written")


def print_json(value: object) -> None:
    """Prints a value as JSON on stdout: always UTF-8, indented, keys in the given order."""
    from matrixmap.model.words import json_text

    typer.echo(json_text(value).encode("utf-8"))
