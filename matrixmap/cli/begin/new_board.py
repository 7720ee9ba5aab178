"""`matrixmap new adapter`: begins a board from its netlist."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.begin.new_files import Told, check_id, free_path, tell_if_it_hides, write_with_schemas
from matrixmap.cli.inputs import open_input
from matrixmap.cli.main import UsageError
from matrixmap.cli.session import open_project, print_reading_findings
from matrixmap.limits import FILE_BYTES

if TYPE_CHECKING:
    from matrixmap.model.finding import Finding
    from matrixmap.source.kinds.netlist import Netlist
    from matrixmap.source.kinds.project import Project


def begin_adapter(id: str, netlist: Path, machines: list[str], root: Path | None, force: bool, told: Told) -> None:
    """Writes the file, and the netlist beside it. Writes nothing if the netlist is wrong or cannot be read."""
    from matrixmap.source.kinds.netlist import read_netlist
    from matrixmap.source.report import Report, named, nearest
    from matrixmap.source.write.adapter_file import adapter_text

    check_id(id)
    if root is not None and not root.is_dir():
        raise UsageError(f"there is no folder {root}")
    project = open_project(root)
    known = project.ids("machine")
    for machine in machines:
        name = machine.partition("/")[0]
        if name not in known:
            raise UsageError(f"there is no machine {name!r}{nearest(name, known)} (machines: {named(known)})")
    try:
        with open_input(netlist) as file:
            data = file.read(FILE_BYTES + 1)
    except OSError as error:
        raise UsageError(f"cannot read {netlist}: {error.strerror}") from error
    report = Report()
    read = read_netlist(data, str(netlist), report)
    if read is None:
        print_reading_findings(report.findings)
        raise typer.Exit(2)
    path = free_path(root, "adapter", id, force)
    beside = path.with_suffix(".net")
    if beside.exists() and not force and not (netlist.exists() and beside.samefile(netlist)):
        raise UsageError(f"{beside} already exists; --force replaces it")
    text = adapter_text(id, read, beside.name, machines, project.known("part"))
    wrong = _wrong(project, id, text, netlist, data, read)
    if wrong:
        print_reading_findings(wrong)
        raise typer.Exit(2)
    write_with_schemas(root or Path(), {path: text, beside: data.decode("utf-8")})
    told.wrote(path, beside, more=f": {len(read.parts)} parts, {len(read.nets)} nets")
    tell_if_it_hides(project, "adapter", id)
    told.line(f"next: matrixmap adapter {id} says what is joined to what")


def _wrong(project: Project, id: str, text: str, path: Path, data: bytes, netlist: Netlist) -> list[Finding]:
    """Faults of the netlist that no file could mend: undescribed parts, missing pins, pins in two nets, sizes."""
    from matrixmap.board.rules.run import NOT_MATED, check_board
    from matrixmap.model.boards.adapter import Mates
    from matrixmap.model.finding import Finding
    from matrixmap.source import board_rules
    from matrixmap.source.write.adapter_file import described_by

    known = project.known("part")
    found: list[Finding] = []
    for part in netlist.parts:
        name, _ = described_by(part, known)
        if name not in known:
            fault = (
                f"no file of shared/parts describes {name}, which is the value of {part.ref}; write "
                f"shared/parts/{name}.yaml first"
            )
            rule = board_rules.UNKNOWN_PART
            found.append(Finding(slug=rule.slug, severity=rule.severity, place=part.place, text=fault))
    if found:
        return found
    loaded = project.adapter_text(id, f"{id}.yaml", text.encode(), lambda _: data)
    slugs = {rule.slug for rule in (board_rules.UNKNOWN_PIN, board_rules.UNKNOWN_PART, board_rules.PIN_TWICE)}
    for finding in loaded.findings:
        if finding.slug in slugs and finding.place is not None and finding.place.file != f"{id}.yaml":
            found.append(replace(finding, place=replace(finding.place, file=str(path))))
    if found or loaded.value is None:
        return found
    places = {part.ref: part.place for part in netlist.parts}
    header = next(loaded.value.headers(Mates.KEYS), None)
    for fit in loaded.value.fits if header is not None else ():
        machine = project.machine(fit.machine)
        if machine is None or machine.value is None or machine.value.connector is None:
            continue
        for finding in check_board(loaded.value, machine.value, fit).findings:
            if header is not None and finding.slug == NOT_MATED.slug:
                found.append(replace(finding, place=places[header.ref]))
    return found
