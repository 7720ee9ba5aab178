"""`matrixmap build`: C tables, runtime, key lists and index of layouts."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    line_width,
    open_project,
    print_overrides,
    print_reading_findings,
    print_rows,
    print_written,
    read_layouts,
    usable,
)

if TYPE_CHECKING:
    from matrixmap.cli.make.owned import Standing
    from matrixmap.model.layout import CommandName
    from matrixmap.model.plan import Plan

app = make_app()


@app.command(epilog="Example: matrixmap build quillon8-en-GB-symbolic --out firmware/tables")
def build(
    layouts: list[str] = typer.Argument(
        None, metavar="[LAYOUT]...", help="Ids or YAML files; all layouts when left out."
    ),
    out: Path = typer.Option(Path("generated"), "--out", metavar="DIR", help="Folder to write to."),
    check: bool = typer.Option(
        False, "--check", help="Write nothing; exit with 1 if a file in the folder is stale, missing or left over."
    ),
    self_test: bool = typer.Option(
        False, "--self-test", help="Also write mm_selftest.c, with which firmware tests its port of the runtime."
    ),
    adapter: str | None = typer.Option(
        None,
        "--adapter",
        metavar="ADAPTER",
        help=(
            "Also write the driver of this adapter for the machines of the layouts; the times of the tables then "
            "allow for the driver's time."
        ),
    ),
    force: bool = typer.Option(False, "--force", help="Replace files that no build wrote."),
    quiet: bool = typer.Option(False, "--quiet", help="No summary."),
    format: str = FormatOption,
    root: Path | None = RootOption,
) -> None:
    """Write the C tables, the runtime, the key lists and the index of layouts."""
    from matrixmap.cli.make.boards import on_boards
    from matrixmap.emit.tables.build import build_files
    from matrixmap.emit.tables.selftest import StepsError
    from matrixmap.join.plan import compile_plan
    from matrixmap.press.table.make import TableError

    choose_format(format)
    if check and format == "json":
        raise UsageError("--check prints lines about files; --format json describes what was written")
    project = open_project(root)
    print_overrides(project, layouts or ())
    plans = [compile_plan(layout) for layout in usable(read_layouts(project, layouts or []))]
    _one_file_each(plans)
    _one_id16_each(plans)
    _one_name_each(plans)
    boards = on_boards(project, adapter, plans) if adapter else None
    plans = boards.plans if boards else plans
    try:
        texts = build_files(plans, self_test, boards.texts if boards else None)
    except (TableError, StepsError) as fault:
        raise UsageError(str(fault)) from fault
    contents = {name: text.encode("utf-8") for name, text in texts.items()}
    if check:
        _check_fresh(out, contents)
        return
    removed = _write(out, contents, force)
    if format == "json":
        print_written(format, [out / name for name in contents], removed=removed, layouts=list(map(_figures, plans)))
    elif not quiet:
        _print_summary(plans, out, len(contents), removed)
        for line in boards.told if boards else ():
            typer.echo(line)


def _one_file_each(plans: list[Plan]) -> None:
    """Ids that differ only in case would be one file on many disks: findings, and exit code 2."""
    from matrixmap.source.report import Report
    from matrixmap.source.rules import IDS_DIFFER_IN_CASE

    report = Report()
    layouts = {plan.id: plan.layout.place for plan in plans}
    machines = {plan.layout.machine.id: plan.layout.machine.place for plan in plans}
    for kind, places in (("layout", layouts), ("machine", machines)):
        seen: dict[str, str] = {}
        for id, place in places.items():
            other = seen.setdefault(id.lower(), id)
            if other != id:
                fault = (
                    f"{id} differs from the {kind} {other} ({places[other]}) only in case, so both would share one file"
                )
                report.add(IDS_DIFFER_IN_CASE, place, f"{fault}; rename one, or build them into different folders")
    if report.findings:
        print_reading_findings(report.findings)
        raise typer.Exit(2)


def _one_id16_each(plans: list[Plan]) -> None:
    """Two layouts with the same 16-bit id: findings, and exit code 2."""
    from matrixmap.emit.tables.id16 import id16_text, sharing
    from matrixmap.source.report import Report
    from matrixmap.source.rules import SAME_16_BIT_ID

    report = Report()
    places = {plan.id: plan.layout.place for plan in plans}
    for id, other in sharing(places).items():
        fault = f"{id} and {other} ({places[other]}) have the same 16-bit id, {id16_text(id)}"
        hint = "rename the one that no firmware has stored yet, or build them into different folders"
        report.add(SAME_16_BIT_ID, places[id], f"{fault}, so firmware that stored it could find either; {hint}")
    if report.findings:
        print_reading_findings(report.findings)
        raise typer.Exit(2)


def _one_name_each(plans: list[Plan]) -> None:
    """A command with another name or number in another layout: findings, and exit code 2."""
    from matrixmap.source.report import Report
    from matrixmap.source.rules import COMMAND_NAMES_DIFFER

    report = Report()
    numbers: dict[str, CommandName] = {}
    names: dict[int, CommandName] = {}
    # A line of a base is one line, even if many layouts inherit it.
    for line in dict.fromkeys(line for plan in plans for line in plan.layout.command_names):
        same_name, same_number = numbers.setdefault(line.name, line), names.setdefault(line.number, line)
        if same_name.number != line.number:
            fault = f"{line.name} is command {line.number} here, but {same_name.number} in {same_name.place}"
        elif same_number.name != line.name:
            fault = f"command {line.number} is {line.name} here, but {same_number.name} in {same_number.place}"
        else:
            continue
        report.add(COMMAND_NAMES_DIFFER, line.place, f"{fault}; one firmware cannot tell them apart")
    if report.findings:
        print_reading_findings(report.findings)
        raise typer.Exit(2)


def _check_fresh(out: Path, contents: Mapping[str, bytes]) -> None:
    """Exit code 1 and a line for each missing, stale or superfluous file; files that no build wrote do not count."""
    from matrixmap.cli.make.owned import look_at
    from matrixmap.cli.swap import locked

    with _faults_of(out):
        folder = out.resolve()
        # Without the lock, a running build could be seen half finished.
        with locked(folder) if folder.parent.is_dir() else nullcontext():
            found = look_at(out, contents)
    told = [
        *((name, "is missing") for name in found.missing),
        *((name, "is stale") for name in found.stale if name not in found.foreign),
        *(
            (name, f"does not belong to a build; only matrixmap build --force replaces it{_why(found)}")
            for name in found.foreign
        ),
        *((name, "no layout makes this file any more") for name in found.gone),
        *((name, "no layout makes this file any more; you changed it, so a build keeps it") for name in found.changed),
    ]
    for name, words in sorted(told):
        _tell(out / name, words)
    if told:
        count = "1 file is" if len(told) == 1 else f"{len(told)} files are"
        typer.echo(f"{count} stale, missing or left over; run matrixmap build", err=True)
        raise typer.Exit(1)
    typer.echo(f"{len(contents)} files in {out} are fresh")


def _write(out: Path, contents: Mapping[str, bytes], force: bool) -> int:
    """Writes the files and removes those that are no longer made; returns the number of the removed. All or nothing."""
    from matrixmap.cli.make.owned import LEDGER, look_at
    from matrixmap.cli.swap import left_beside, locked, parents_made, recover, write_folder

    with _faults_of(out):
        folder = out.resolve()
        with parents_made(folder), locked(folder):
            if folder.exists() and not folder.is_dir():
                raise UsageError(f"cannot write to {out}: it is a file")
            recover(folder, LEDGER)
            found = look_at(out, contents)
            if found.foreign and not force:
                _refuse(out, found)
            write_folder(folder, contents, found.gone, LEDGER)
            left = left_beside(folder)
    for path in left:
        _tell(path, "is no longer needed but could not be removed; the next build tries again")
    for name in found.gone:
        _tell(out / name, "no layout makes this file any more; it was removed")
    for name in found.changed:
        _tell(
            out / name,
            "no layout makes this file any more; you changed it, so it is kept, and from now on it is yours",
        )
    return len(found.gone)


@contextmanager
def _faults_of(out: Path) -> Iterator[None]:
    """Makes a usage error of what the system refuses."""
    try:
        yield
    except OSError as error:
        where = f" ({os.fsdecode(error.filename)})" if error.filename else ""
        raise UsageError(f"cannot write to {out}: {error.strerror or error}{where}") from error
    except RuntimeError as error:  # a link to itself
        raise UsageError(f"cannot write to {out}: {error}") from error


def _refuse(out: Path, found: Standing) -> NoReturn:
    """Prints a line for each file that would be replaced but belongs to no build; exit code 2."""
    from matrixmap.emit.tables.build import MANIFEST

    for name in found.foreign:
        _tell(out / name, f"does not belong to a build and would be replaced{_why(found)}")
    one = len(found.foreign) == 1
    raise UsageError(
        f"{len(found.foreign)} file{'' if one else 's'} in {out} that no {MANIFEST} there lists; nothing was written: "
        f"move {'it' if one else 'them'} away, choose another folder, or replace {'it' if one else 'them'} with "
        "--force"
    )


def _why(found: Standing) -> str:
    from matrixmap.emit.tables.build import MANIFEST

    return f" ({MANIFEST} is damaged: {found.damage})" if found.damage else ""


def _tell(path: Path, words: str) -> None:
    from matrixmap.model.words import shown

    typer.echo(shown(f"{path}: {words}"), err=True)


def _figures(plan: Plan) -> dict[str, object]:
    """The figures of a layout's table, sizes in bytes."""
    from matrixmap.emit.tables.figures import figures_of

    figures = figures_of(plan)
    return {
        "layout": plan.id,
        "triggers": figures.triggers,
        "strokes": figures.strokes,
        "characters": figures.characters,
        "header_bytes": figures.header_bytes,
        "table_bytes": figures.table_bytes,
        "floor_bytes": round(figures.floor_bytes),
        "ratio": round(figures.ratio, 2),
    }


FOOTNOTE = (
    "floor: the least bytes that the triggers and strokes of the table need, by the information in them; ratio: "
    "table to floor, 1 at best."
)


def _print_summary(plans: list[Plan], out: Path, files: int, removed: int) -> None:
    """Prints a line for each layout: what it does, and how its table compares with the smallest possible one."""
    from textwrap import wrap

    rows: list[tuple[str, ...]] = [("layout", "triggers", "strokes", "characters", "header", "table", "floor", "ratio")]
    for figures in map(_figures, plans):
        sizes = (f"{figures[f'{name}_bytes']} B" for name in ("header", "table", "floor"))
        counts = (str(figures[name]) for name in ("triggers", "strokes", "characters"))
        rows.append((str(figures["layout"]), *counts, *sizes, f"{figures['ratio']:.2f}"))
    print_rows(rows)
    for line in wrap(FOOTNOTE, line_width()):
        typer.echo(line)
    typer.echo(
        f"{files} files written to {out}" + (f", {removed} that no layout makes any more removed" if removed else "")
    )
