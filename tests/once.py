"""What costs seconds and is the same for all tests is made once in a run, by the first worker that asks for it."""

from __future__ import annotations

import fcntl
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest


class Once:
    """Folders that belong to the run and to all of its workers."""

    def __init__(self, config: pytest.Config, factory: pytest.TempPathFactory) -> None:
        own = factory.getbasetemp()
        # A worker of a parallel run has a folder of its own in that of the run.
        self.root = own.parent if hasattr(config, "workerinput") else own

    def folder(self, name: str, make: Callable[[Path], object]) -> Path:
        """The folder of that name; the first who asks fills it, the others wait for that. Nobody else writes to it."""
        folder, making = self.root / name, self.root / f"{name}.making"
        with (self.root / f"{name}.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not folder.exists():
                # What an attempt that failed left there is no use.
                shutil.rmtree(making, ignore_errors=True)
                making.mkdir()
                make(making)
                making.rename(folder)
        return folder
