"""Boards under test: the shipped adapters, with edits of their files and of those that they lean on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from matrixmap.board.rules.run import BoardChecked, check_board
from matrixmap.model.boards.adapter import Adapter
from matrixmap.model.machine import Machine
from matrixmap.source.folder import KINDS, shipped_folder
from matrixmap.source.kinds.project import Project
from tests.project import ROOT
from tests.source.memory import MemoryFolder

SHIPPED = ("ferrule", "locket", "pommel")

Edits = Mapping[tuple[str, str], Iterable[tuple[str, str]]]
"""Kind and id of a file -> pieces of it, each with what stands in its place."""


def text_of(kind: str, id: str) -> str:
    """A shipped file."""
    return (ROOT / KINDS[kind] / f"{id}.yaml").read_text(encoding="utf-8")


def edited(text: str, pairs: Iterable[tuple[str, str]]) -> str:
    """A text with each piece, which stands in it once, in another way."""
    for before, after in pairs:
        assert text.count(before) == 1, f"{before!r} stands {text.count(before)} times"
        text = text.replace(before, after)
    return text


def project_with(edits: Edits) -> Project:
    """The shipped project with edits of some files."""
    files = {(kind, id): edited(text_of(kind, id), pairs).encode() for (kind, id), pairs in edits.items()}
    return Project([MemoryFolder(files), shipped_folder()], ())


def read(project: Project, id: str) -> tuple[Adapter, Machine]:
    """An adapter that must read without a finding, and the demo's machine."""
    loaded = project.adapter(id)
    assert loaded is not None
    assert loaded.value is not None, "\n".join(f"{found.place}: {found.text}" for found in loaded.findings)
    machine = project.machine("quillon8")
    assert machine is not None
    assert machine.value is not None
    return loaded.value, machine.value


def checked(id: str, edits: Edits = {}, fit: str = "quillon8") -> BoardChecked:  # noqa: B006
    """What is found on an adapter after edits, on one of the machines that it fits."""
    adapter, machine = read(project_with(edits), id)
    return check_board(adapter, machine, next(each for each in adapter.fits if each.name == fit))
