"""Drivers of the shipped adapters, written into a folder with all that they include."""

from __future__ import annotations

from pathlib import Path

from matrixmap.emit.boards.board_c import board_files, driver_files
from matrixmap.emit.tables.build import MADE_BY
from matrixmap.emit.tables.runtime import runtime_files
from tests.board.boards import Edits, checked


def written(id: str, folder: Path, edits: Edits = {}) -> str:  # noqa: B006
    """The driver of a shipped adapter, after edits of files, with what it includes; its name."""
    board = checked(id, edits)
    assert board.traced is not None
    files = board_files(board.traced, MADE_BY)
    for name, text in {**dict(runtime_files()), **dict(driver_files()), **files}.items():
        (folder / name).write_text(text, encoding="utf-8")
    return next(name.removesuffix(".c") for name in files if name.endswith(".c"))
