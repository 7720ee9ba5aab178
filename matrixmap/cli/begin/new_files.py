"""Writes the files that `matrixmap new` begins: their places, and the schemas named in their first lines."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError
from matrixmap.cli.session import choose_format, open_project, print_json
from matrixmap.model.words import in_a_row

if TYPE_CHECKING:
    from matrixmap.source.kinds.project import Project

ForceOption = typer.Option(False, "--force", help="Replace a file that already exists.")


class Told:
    """What a command that begins files reports: line by line, or at the end as one JSON object."""

    def __init__(self, format: str) -> None:
        self._format = choose_format(format)
        self._files: list[str] = []
        self._lines: list[str] = []

    def wrote(self, *paths: Path, more: str = "") -> None:
        """Files that were written, and the remarks about them."""
        self.wrote_many(paths, in_a_row([str(path) for path in paths]) + more)

    def wrote_many(self, paths: Iterable[Path], words: str) -> None:
        """Files that were written, reported in given words."""
        self._files += map(str, paths)
        self.line(f"wrote {words}", written=True)

    def line(self, text: str, *, written: bool = False) -> None:
        """A line for the reader."""
        if self._format == "text":
            typer.echo(text)
        elif not written:
            self._lines.append(text)

    def end(self) -> None:
        """Ends the report."""
        if self._format == "json":
            print_json({"files": self._files, "notes": self._lines})


def write_new(root: Path | None, kind: str, id: str, text: str, force: bool, told: Told) -> None:
    """Writes a new file of a kind and reports its place."""
    check_id(id)
    if root is not None and not root.is_dir():
        raise UsageError(f"there is no folder {root}")
    path = free_path(root, kind, id, force)
    write_with_schemas(root or Path(), {path: text})
    told.wrote(path)
    tell_if_it_hides(open_project(root), kind, id)


def tell_if_it_hides(project: Project, kind: str, id: str) -> None:
    """Reports a new file that hides a shipped one with the same id."""
    if len(project.folders) > 1 and id in project.folders[-1].ids(kind):
        typer.echo(f"note: your {kind} {id} is used in place of the shipped one", err=True)


def check_id(id: str) -> None:
    """UsageError if this is not an id."""
    import re

    from matrixmap.source.shape.names import ID, an_id

    if not re.fullmatch(ID, id):
        raise UsageError(f"{id!r} is not an id: letters, digits and hyphens, such as de-AT")
    if an_id.refuses(id):
        raise UsageError(
            f"{id!r} cannot be an id: it is the name of a device on Windows, where no file can have that name"
        )


def free_path(root: Path | None, kind: str, id: str, force: bool) -> Path:
    """The path of a new file; an existing file is kept unless `force` is given."""
    from matrixmap.source.folder import KINDS, SUFFIX

    path = (root or Path()) / KINDS[kind] / f"{id}{SUFFIX}"
    if os.path.lexists(path) and not force:
        raise UsageError(f"{path} already exists; --force replaces it")
    return path


def write_with_schemas(root: Path, texts: Mapping[Path, str]) -> None:
    """Writes new files of a project with the schemas named in their first lines; the schemas have the new names."""
    from matrixmap.cli.begin.schemas import schemas_beside
    from matrixmap.cli.files import write_files

    write_files({**texts, **schemas_beside(root, texts)})
