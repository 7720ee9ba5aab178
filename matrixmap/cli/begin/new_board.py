"""`matrixmap new adapter`: a board begun from its netlist."""

from __future__ import annotations

from pathlib import Path

import typer

from matrixmap.cli.begin.new_files import Told, check_id, free_path, tell_if_it_hides, write_with_schemas
from matrixmap.cli.inputs import open_input
from matrixmap.cli.main import UsageError
from matrixmap.cli.session import open_project, print_reading_findings
from matrixmap.limits import FILE_BYTES


def begin_adapter(id: str, netlist: Path, machines: list[str], root: Path | None, force: bool, told: Told) -> None:
    """Write the file and the netlist beside it; nothing is written if the netlist cannot be read."""
    from matrixmap.source.kinds.netlist import read_netlist
    from matrixmap.source.report import Report, named, nearest
    from matrixmap.source.write.adapter_file import adapter_text, part_id

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
        raise UsageError(f"{beside} is there already; --force replaces it")
    text = adapter_text(id, read, beside.name, machines)
    write_with_schemas(root or Path(), {path: text, beside: data.decode("utf-8")})
    told.wrote(path, beside, more=f": {len(read.parts)} parts, {len(read.nets)} nets")
    tell_if_it_hides(project, "adapter", id)
    parts = project.known("part")
    missing = sorted({part_id(part) for part in read.parts} - parts)
    if missing:
        told.line(f"to be described in shared/parts: {named(missing)}")
    told.line(f"next: matrixmap adapter {id} says what is joined to what")
