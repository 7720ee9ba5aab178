"""`matrixmap schema`: the shapes of the files, for editors and for readers."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    open_project,
    print_reading_findings,
    print_written,
)

app = make_app()


@app.command(epilog="Example: matrixmap schema --project --root museum")
def schema(
    out: Path | None = typer.Option(
        None, "--out", metavar="DIR", help="Folder to write the JSON Schemas to (default: schema, in the project)."
    ),
    project: bool = typer.Option(
        False,
        "--project",
        help="Write the names of this project into the schemas: keys, lines, hosts, machines, functions.",
    ),
    root: Path | None = RootOption,
    check: bool = typer.Option(False, "--check", help="Write nothing; exit with 1 if a schema in the folder is stale."),
    format: str = FormatOption,
    page: bool = typer.Option(
        False, "--page", help="Print the reference page of the file format, in Markdown, and write no schemas."
    ),
) -> None:
    """Write the JSON Schemas of the kinds of file, by which editors complete and check."""
    from matrixmap.source.shape.schema import SCHEMA_FOLDER, format_page, schema_texts

    if choose_format(format) == "json" and (check or page):
        raise UsageError("--format json describes what was written; --check and --page write nothing")
    if page and (check or project):
        raise UsageError("--page is the same for every project, so there is nothing to check")
    if root is not None and not project:
        raise UsageError("--root needs --project; the general schemas are the same everywhere")
    if page:
        typer.echo(format_page(), nl=False)
        return
    folder = out or (root or Path()) / SCHEMA_FOLDER
    texts = _project_texts(root) if project else schema_texts()
    if check:
        _check(folder, texts)
    else:
        _write(folder, texts, format)


def _project_texts(root: Path | None) -> Mapping[str, str]:
    from matrixmap.cli.begin.schemas import names_of
    from matrixmap.source.shape.project_schema import project_schema_texts

    names, findings = names_of(open_project(root))
    if findings:
        print_reading_findings(findings)
        raise typer.Exit(2)
    return project_schema_texts(names)


def _check(folder: Path, texts: Mapping[str, str]) -> None:
    from matrixmap.cli.files import read_text

    stale = [name for name, text in texts.items() if read_text(folder / name) != text]
    for name in stale:
        typer.echo(f"{folder / name}: is stale", err=True)
    if stale:
        raise typer.Exit(1)
    typer.echo(f"{len(texts)} schemas in {folder} are fresh")


def _write(folder: Path, texts: Mapping[str, str], format: str) -> None:
    from matrixmap.cli.files import write_all

    write_all(folder, texts)
    if format == "json":
        print_written(format, [folder / name for name in texts])
        return
    typer.echo(f"wrote {', '.join(texts)} to {folder}")
