"""Which files of a folder belong to the build? Those that its manifest names, and no others."""

from __future__ import annotations

import json
import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType

from matrixmap.cli.main import UsageError
from matrixmap.cli.swap import Ledger
from matrixmap.emit.tables.build import MANIFEST


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """The contents of a folder's manifest: file -> SHA-256 of what was written, or why it says nothing."""

    files: Mapping[str, str] = field(default_factory=dict)
    damage: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The files in a folder where a build would write, each by name, in order.

    `foreign` files would be replaced but belong to no build; `gone` files belong to a build and are no longer made;
    `changed` files are such files that differ from what was written.
    """

    damage: str
    missing: tuple[str, ...]
    stale: tuple[str, ...]
    foreign: tuple[str, ...]
    gone: tuple[str, ...]
    changed: tuple[str, ...]


def read_manifest(folder: Path) -> Manifest:
    """The manifest in a folder; without one, no file there belongs to a build."""
    path = folder / MANIFEST
    kind = _kind(path)
    if kind is None:
        return Manifest()
    if not stat.S_ISREG(kind):
        return Manifest(damage="it is not a file")
    try:
        document = json.loads(path.read_bytes())
    except (ValueError, RecursionError):
        return Manifest(damage="it is not JSON")
    files = document.get("files") if isinstance(document, dict) else None
    if not isinstance(files, dict):
        return Manifest(damage="it has no list of files")
    for name, digest in files.items():
        if name in ("", ".", "..", MANIFEST) or re.search(r"[/\\:\0]", name):
            return Manifest(damage=f"{name!r} is not the name of a file")
        if not isinstance(digest, str) or not re.fullmatch(r"[0-9a-f]{64}", digest):
            return Manifest(damage=f"it has no SHA-256 for {name!r}")
    return Manifest(files=MappingProxyType(files))


def owned_names(folder: Path) -> tuple[str, ...]:
    """The names in the manifest of a folder, no matter what these files are now."""
    return tuple(read_manifest(folder).files)


LEDGER = Ledger(name=MANIFEST, read=owned_names)
"""The manifest, for the code that swaps folders."""


def look_at(folder: Path, contents: Mapping[str, bytes]) -> Standing:
    """How a folder, which need not exist, differs from what would be written. UsageError if no file can be written."""
    manifest = read_manifest(folder)
    missing, stale, foreign = [], [], []
    for name, content in contents.items():
        kind = _kind(folder / name)
        if kind is None:
            missing.append(name)
        elif stat.S_ISDIR(kind):
            raise UsageError(f"cannot write {folder / name}: it is a folder")
        elif not stat.S_ISREG(kind) and not stat.S_ISLNK(kind):
            raise UsageError(f"cannot write {folder / name}: it is not a file")
        elif stat.S_ISLNK(kind) or (folder / name).read_bytes() != content:
            stale.append(name)
            # We write no links: a link is somebody's own, even if the manifest names it. A readable manifest is ours.
            named = name in manifest.files or (name == MANIFEST and not manifest.damage)
            if stat.S_ISLNK(kind) or not named:
                foreign.append(name)
    left = {name: digest for name, digest in sorted(manifest.files.items()) if name not in contents}
    standing = {name: _kind(folder / name) for name in left}
    gone = [
        name
        for name, kind in standing.items()
        if kind is not None and stat.S_ISREG(kind) and sha256((folder / name).read_bytes()).hexdigest() == left[name]
    ]
    return Standing(
        damage=manifest.damage,
        missing=tuple(missing),
        stale=tuple(stale),
        foreign=tuple(foreign),
        gone=tuple(gone),
        changed=tuple(name for name, kind in standing.items() if kind is not None and name not in gone),
    )


def _kind(path: Path) -> int | None:
    """The mode of the file with a name; a link counts as itself. None if there is none."""
    try:
        return path.lstat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return None
