"""Faults of the disk: the n-th call that changes it fails, or the program is killed there."""

from __future__ import annotations

import hashlib
import json
import os
import signal
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest

from matrixmap.cli import swap
from matrixmap.cli.make import build
from matrixmap.emit.tables.build import MANIFEST

CALLS = ("open", "write", "link", "symlink", "rename", "replace", "unlink", "mkdir", "rmdir", "chmod", "chown")
"""What the package calls of `os` to change the disk; `fsync` and the swap come to these."""
AT_ONCE = "_exchanged_at_once"


@contextmanager
def watched(before: Callable[[str], None], swaps: bool = True) -> Iterator[None]:
    """Tells every call that changes the disk before it is made; `swaps` is whether the system can swap folders."""
    with pytest.MonkeyPatch.context() as patch:

        def tell(name: str, function: Callable[..., object]) -> Callable[..., object]:
            def told(*words: object, **more: object) -> object:
                before(name)
                return function(*words, **more)

            return told

        told = {name: tell(name, getattr(os, name)) for name in CALLS}
        for name, function in told.items():
            patch.setattr(os, name, function)
        # Where the link call is a wrapper, it still follows no links.
        patch.setattr(os, "supports_follow_symlinks", {*os.supports_follow_symlinks, told["link"]})
        # Waiting for the disk would take most of the time and show nothing.
        patch.setattr(os, "fsync", tell("fsync", lambda descriptor: None))
        exchanged = getattr(swap, AT_ONCE) if swaps else lambda stage, folder: False
        patch.setattr(swap, AT_ONCE, tell("swap", exchanged))
        yield


def killed_at(number: int, work: Callable[[], object], swaps: bool = True) -> bool:
    """Whether a process that does this work is killed before its n-th change; false where it ends before that."""
    child = os.fork()
    if child:
        return os.WIFSIGNALED(os.waitpid(child, 0)[1])
    turns = count(1)

    def before(name: str) -> None:
        if next(turns) == number:
            os.kill(os.getpid(), signal.SIGKILL)

    try:
        with watched(before, swaps):
            work()
    finally:
        os._exit(0)


@contextmanager
def failing_at(number: int, code: int, names: tuple[str, ...] = (), swaps: bool = True) -> Iterator[list[str]]:
    """The n-th change fails with an error of the system; with names, every change of these names from the n-th on.

    The list gets the name of each call that failed.
    """
    turns = count(1)
    failed: list[str] = []

    def before(name: str) -> None:
        turn = next(turns)
        if (turn == number and not names) or (turn >= number and name in names):
            failed.append(name)
            raise OSError(code, os.strerror(code))

    with watched(before, swaps):
        yield failed


def contents(version: str, *names: str) -> dict[str, bytes]:
    """Small files that stand for those of a build, with their manifest."""
    out = {name: f"{name} {version}\n".encode() for name in names}
    files = {name: hashlib.sha256(data).hexdigest() for name, data in out.items()}
    return {**out, MANIFEST: json.dumps({"files": files}).encode()}


def write(folder: Path, files: Mapping[str, bytes], force: bool = False) -> int:
    """What `build` does once it has the texts."""
    return build._write(folder, files, force)


def snapshot(folder: Path) -> dict[str, object]:
    """All that stands below a folder: bytes and modes of files, where links lead, and folders."""
    found: dict[str, object] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink():
            found[name] = path.readlink()
        elif path.is_file():
            found[name] = (path.read_bytes(), path.stat().st_mode & 0o7777)
        else:
            found[name] = path.stat().st_mode
    return found
