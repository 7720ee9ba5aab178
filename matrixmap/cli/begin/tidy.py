"""`matrixmap tidy`: puts files in order."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.files import refuse_what_is_no_file
from matrixmap.cli.main import UsageError, make_app
from matrixmap.limits import FILE_BYTES

if TYPE_CHECKING:
    from matrixmap.model.finding import Finding
    from matrixmap.source.write.tidy import Tidied

app = make_app()


@app.command(epilog="Example: matrixmap tidy shared/machines/mine.yaml --check")
def tidy(
    files: list[Path] = typer.Argument(
        ..., metavar="FILE...", help="YAML files of machines, hosts, layouts, parts or adapters."
    ),
    check: bool = typer.Option(
        False, "--check", help="Write nothing; exit with 1 if a file would change or has findings."
    ),
) -> None:
    """Put files in order: quote what needs quotes, and sort fields, keys and lines. Comments stay, and so does what a file says."""
    from matrixmap.cli.files import write_files

    done = {path: _tidied(path) for path in dict.fromkeys(files)}
    unclear = [(path, found) for path, (_, found) in done.items() if any(found.faults)]
    for path, found in unclear:
        for fault in found.faults:
            _tell(f"{path}:{fault.line + 1}:{fault.column + 1}: {fault.rule.slug}: {fault.text}")
        _tell(f"{path} cannot be understood; nothing was written")
    if unclear:
        raise typer.Exit(2)
    changed = {path: found for path, (_, found) in done.items() if found.changes}
    for path, found in changed.items():
        for line, words in found.changes:
            _tell(f"{path}:{line}: {words}", err=False)
    findings = [finding for path, (text, found) in done.items() for finding in _findings(path, found.text)]
    for finding in findings:
        _tell(f"{finding.place}: {finding.slug}: {finding.text}")
    kept = len(done) - len(changed)
    if not check:
        write_files({path: _as_before(done[path][0], found.text) for path, found in changed.items()})
        typer.echo(f"{len(changed)} of {len(done)} files put in order, {kept} left unchanged")
    elif changed or findings:
        typer.echo(f"{len(changed)} of {len(done)} files would change; matrixmap tidy without --check writes them")
        raise typer.Exit(1)
    else:
        typer.echo(f"{len(done)} of {len(done)} files are in order")


def _tell(text: str, err: bool = True) -> None:
    from matrixmap.model.words import shown

    typer.echo(shown(text), err=err)


def _tidied(path: Path) -> tuple[str, Tidied]:
    """The text of a file as written and in order."""
    from matrixmap.source.folder import read_file
    from matrixmap.source.kinds.kind import kind_of
    from matrixmap.source.report import Report
    from matrixmap.source.text.nodes import decode
    from matrixmap.source.write.tidy import tidy as put_in_order

    refuse_what_is_no_file(path)
    try:
        data = read_file(path)
        if len(data) > FILE_BYTES:
            raise UsageError(f"{path} has more than {FILE_BYTES} bytes, which is the most for a file")
        text = data.decode("utf-8")
    except OSError as error:
        raise UsageError(f"cannot read {path}: {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise UsageError(
            f"{path} is not UTF-8: byte 0x{data[error.start]:02X} at {error.start}; nothing was written"
        ) from error
    report = Report()
    if decode(data, path.as_posix(), report) is None:
        fault = report.findings[0]
        raise UsageError(f"{fault.place}: {fault.slug}: {fault.text}; nothing was written")
    kind = kind_of(data)
    if kind is None:
        raise UsageError(
            f"{path} is not a machine, host, layout, part or adapter: none of its fields shows which; nothing was "
            "written"
        )
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n")
    try:
        return text, put_in_order(plain, kind)
    except RecursionError as error:
        raise UsageError(f"{path}: lists and mappings are nested too deep; nothing was written") from error


def _as_before(before: str, text: str) -> str:
    """The new text with the old line ends and the old byte order mark."""
    mark = "\ufeff" if before.startswith("\ufeff") else ""
    return mark + (text.replace("\n", "\r\n") if "\r\n" in before else text)


def _findings(path: Path, text: str) -> list[Finding]:
    """The findings of reading the file alone, without the files that it names."""
    from matrixmap.source.kinds.kind import kind_of, read_alone

    return read_alone(kind_of(text.encode()) or "", str(path), text.encode())
