"""`matrixmap new machine`: begins a machine file, from a pasted table or from probes if there are any."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.begin.new_files import ForceOption, Told, check_id, free_path, write_new
from matrixmap.cli.inputs import STDIN, open_input
from matrixmap.cli.main import UsageError
from matrixmap.cli.session import FormatOption, RootOption, print_reading_findings
from matrixmap.limits import FILE_BYTES

if TYPE_CHECKING:
    from matrixmap.source.propose.grid import Grid
    from matrixmap.source.propose.proposal import LegendChoices, Proposal
    from matrixmap.source.report import Report

EPILOG = (
    "Examples: matrixmap new machine quillon9 --from table.txt; matrixmap new machine quillon9 --from - --rows sense; "
    "matrixmap new machine quillon9 --probes probes.txt --strobed 3; matrixmap new machine quillon9 --select 8 --sense 8"
)
MOST = 16

FromOption = typer.Option(
    None, "--from", metavar="FILE", help="The matrix as the handbook prints it, pasted as text; - reads standard input."
)
RowsOption = typer.Option(
    None,
    "--rows",
    metavar="select|sense",
    help="What the rows of the table are (when left out, the names of the lines decide).",
)
LegendsOption = typer.Option(
    "shift",
    "--legends",
    metavar="STATE,...",
    help="The modifiers for the second legend in a cell, the third and so on: shift,graph,shift+graph.",
)


def machine(
    id: str = typer.Argument(help="The id, which is the name of the file."),
    select: str = typer.Option(
        "",
        "--select",
        metavar="NUMBER|NAMES",
        help=(
            "The lines that the machine strobes: their number (8 when left out), or names, A8-A15 or X0,X1; with a "
            "table, a prefix is possible too."
        ),
    ),
    sense: str = typer.Option(
        "", "--sense", metavar="NUMBER|NAMES", help="The lines that the machine reads back, in the same way."
    ),
    from_table: str | None = FromOption,
    rows: str | None = RowsOption,
    header: bool | None = typer.Option(
        None,
        "--header/--no-header",
        help="Whether the first line of the table names lines (when left out, its words decide).",
    ),
    labels: bool | None = typer.Option(
        None,
        "--labels/--no-labels",
        help="Whether the first column of the table names lines (when left out, its words decide).",
    ),
    probes: str | None = typer.Option(
        None, "--probes", metavar="FILE", help="Continuity probes, a: 3 - 14 on each line; - reads standard input."
    ),
    strobed: str = typer.Option(
        "", "--strobed", metavar="PIN,...", help="With --probes: a pin that the machine strobes."
    ),
    ground: str = typer.Option("", "--ground", metavar="PIN,...", help="With --probes: pins tied to ground."),
    active: str | None = typer.Option(
        None,
        "--active",
        metavar="low|high",
        help="With --probes: the level of a strobed line, which together with diodes shows the strobed side.",
    ),
    legends: str = LegendsOption,
    modifiers: str = typer.Option(
        "", "--modifiers", metavar="NAME,...", help="Keys that are held as modifiers but have no usual name."
    ),
    capitals: bool = typer.Option(False, "--capitals", help="Say that the machine has capital letters only."),
    place: str | None = typer.Option(
        None, "--place", metavar="FILE|none", help="The rows of the keyboard as text (usual places when left out)."
    ),
    title: str | None = typer.Option(None, "--title", help="The name as people write it."),
    source: str | None = typer.Option(None, "--source", help="Where the facts come from: document, edition, page."),
    root: Path | None = RootOption,
    force: bool = ForceOption,
    format: str = FormatOption,
) -> None:
    """Write a machine file out of a pasted table or of probes, or one to be filled in with a key at every crosspoint."""
    told = Told(format)
    given = {"--rows": rows, "--header": header, "--labels": labels}
    measured = {"--strobed": strobed or None, "--ground": ground or None, "--active": active}
    read = {"--modifiers": modifiers or None, "--place": place, "--capitals": capitals or None}
    _refuse_lone(given, from_table is not None, "--from")
    _refuse_lone(measured, probes is not None, "--probes")
    _refuse_lone(read, from_table is not None or probes is not None, "--from or --probes")
    if from_table is not None and probes is not None:
        raise UsageError("--from and --probes are two sources of one grid; use one of them")
    if from_table is None and probes is None:
        text = _template(id, select, sense, title, source)
        summary: list[str] = []
    else:
        check_id(id)
        free_path(root, "machine", id, force)
        if [from_table, probes, place].count(STDIN) > 1:
            raise UsageError("only one text can come from standard input")
        found = (
            _from_probes(str(probes), strobed, ground, active, select, sense)
            if from_table is None
            else _from_table(from_table, rows, header, labels, select, sense)
        )
        choices = _legend_choices(legends, modifiers, capitals)
        text, summary = _proposed(found, choices, place, id, title, source)
    write_new(root, "machine", id, text, force, told)
    for line in summary:
        told.line(line)
    first = "read the file through" if summary else "name its keys"
    told.line(f"next: {first}, then begin a layout: {_layout_command(id)}")
    told.end()


def _layout_command(id: str) -> str:
    return f"matrixmap new layout {id}-en-US --machine {id} --host en-US"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """A grid, its origin in words, and notes about it."""

    grid: Grid
    origin: str
    notes: tuple[str, ...]


def _refuse_lone(options: Mapping[str, object], wanted: bool, partner: str) -> None:
    lone = [name for name, value in options.items() if value is not None]
    if lone and not wanted:
        raise UsageError(f"{lone[0]} goes with {partner}")


def _template(id: str, select: str, sense: str, title: str | None, source: str | None) -> str:
    from matrixmap.source.write.scaffold import machine_text

    if title is not None or source is not None:
        raise UsageError(
            "--title and --source are for --from or --probes; without these, fill in the lines of the new file"
        )
    return machine_text(id, _template_lines("select", select, "S"), _template_lines("sense", sense, "N"))


def _template_lines(kind: str, given: str, prefix: str) -> list[str]:
    """The names of the lines in a file to be filled in: this many, or the given names."""
    from matrixmap.source.propose.grid import given_lines

    number = given or "8"
    if number.isdigit() and number.isascii():
        names: list[str] | None = [f"{prefix}{index}" for index in range(int(number[:3]))]
    else:
        names = given_lines(number, ())
    if not names or not 1 <= len(names) <= MOST or len(set(names)) < len(names):
        raise UsageError(
            f"--{kind} {given}: expected a number from 1 to {MOST}, or as many names, such as {prefix}0-{prefix}7"
        )
    return names


def _from_table(
    name: str, rows: str | None, header: bool | None, labels: bool | None, select: str, sense: str
) -> _Found:
    from matrixmap.source.propose.table import TableChoices, read_table
    from matrixmap.source.report import Report

    if rows not in (None, "select", "sense"):
        raise UsageError(f"--rows is select or sense, not {rows!r}")
    choices = TableChoices(
        rows_are_sense=None if rows is None else rows == "sense",
        header=header,
        labels=labels,
        select=select or None,
        sense=sense or None,
    )
    report = Report()
    table = read_table(_bytes_of(name), _shown_name(name), choices, report)
    if table is None:
        raise _refused(report)
    which = "sense" if table.rows_are_sense else "select"
    note = f"read as columns separated by {table.form}, its rows as {which} lines"
    return _Found(grid=table.grid, origin="the pasted table", notes=(note,))


def _from_probes(name: str, strobed: str, ground: str, active: str | None, select: str, sense: str) -> _Found:
    from matrixmap.source.propose.probes import ProbeChoices, read_probes
    from matrixmap.source.report import Report

    if select or sense:
        raise UsageError("--select and --sense are for --from; with probes, the lines get their names from the pins")
    if active not in (None, "low", "high"):
        raise UsageError(f"--active is low or high, not {active!r}")
    report = Report()
    choices = ProbeChoices(strobed=_listed(strobed), ground=_listed(ground), active=active)
    probed = read_probes(_bytes_of(name), _shown_name(name), choices, report)
    if probed is None:
        raise _refused(report)
    return _Found(grid=probed.grid, origin="the probes", notes=probed.notes)


def _legend_choices(legends: str, modifiers: str, capitals: bool) -> LegendChoices:
    import re

    from matrixmap.source.propose.proposal import LegendChoices
    from matrixmap.source.shape.names import NAME

    states = [[part.strip() for part in state.split("+")] for state in _listed(legends)]
    for option, name in (
        *(("--legends", part) for state in states for part in state),
        *(("--modifiers", name) for name in _listed(modifiers)),
    ):
        if not re.fullmatch(NAME, name) or name in ("plain", "none"):
            raise UsageError(f"{option}: {name!r} is not the name of a modifier (lower-case words joined by hyphens)")
    return LegendChoices(
        later=tuple(" + ".join(state) for state in states), modifiers=_listed(modifiers), capitals=capitals
    )


def _proposed(
    found: _Found, choices: LegendChoices, place: str | None, id: str, title: str | None, source: str | None
) -> tuple[str, list[str]]:
    """The text of the file, and the command's report about it."""
    from matrixmap.source.propose.places import pasted_rows, usual_rows
    from matrixmap.source.propose.proposal import propose_machine
    from matrixmap.source.report import Report
    from matrixmap.source.write.machine_file import Heading, proposed_text

    report = Report()
    proposal = propose_machine(found.grid, choices, report)
    if proposal is None:
        raise _refused(report)
    keys = proposal.keys.values()
    if place is None:
        rows = usual_rows(keys, proposal.modifiers)
    elif place == "none":
        rows = []
    else:
        pasted = pasted_rows(_bytes_of(place), _shown_name(place), keys, report)
        if pasted is None:
            raise _refused(report)
        rows = pasted
    heading = Heading(id=id, title=title, source=source, origin=found.origin)
    text = proposed_text(heading, proposal, rows, rows_are_proposed=place is None)
    return text, _summary(found, proposal, place, title, source)


def _summary(found: _Found, proposal: Proposal, place: str | None, title: str | None, source: str | None) -> list[str]:
    grid = found.grid
    direct = f", {len(grid.direct)} on lines of their own" if grid.direct else ""
    open_ = [name for name, value in (("title", title), ("source", source)) if value is None]
    open_ += [
        f"{key.name} ({note.removeprefix('to be filled in: ')})" for key in proposal.keys.values() for note in key.notes
    ]
    held = ", ".join(proposal.modifiers) or "none"
    return [
        f"{len(proposal.keys)} keys{direct}; {len(grid.select)} select and {len(grid.sense)} sense lines; modifiers: {held}",
        *(f"note: {note}" for note in (*found.notes, *proposal.notes)),
        f"to be filled in: {', '.join([*open_, 'the times under scan'])}"
        + ("; places are proposed" if place is None else ""),
    ]


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())


def _shown_name(name: str) -> str:
    return "stdin" if name == STDIN else name


def _bytes_of(name: str) -> bytes:
    """The bytes of a pasted text; of a too large one, enough to see that."""
    try:
        with open_input(Path(name)) as file:
            return file.read(FILE_BYTES + 1)
    except OSError as error:
        raise UsageError(f"cannot read {name}: {error.strerror or error}") from error


def _refused(report: Report) -> typer.Exit:
    """Prints the findings; returns the exit of the command."""
    print_reading_findings(report.findings)
    return typer.Exit(2)
