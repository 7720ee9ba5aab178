"""Where do files come from? From the user's own folder, and from the data shipped with the package."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from errno import EINVAL
from os import scandir
from pathlib import Path
from typing import Protocol

from matrixmap.limits import FILE_BYTES

KINDS = {
    "machine": "shared/machines",
    "host": "shared/hosts",
    "layout": "layouts",
    "part": "shared/parts",
    "adapter": "shared/adapters",
}
"""Kind of file -> its folder below a project's root."""

SUFFIX = ".yaml"


class Folder(Protocol):
    """A tree with `layouts/` and `shared/` below it."""

    def ids(self, kind: str) -> Iterable[str]:
        """The ids of a kind: the names of its files without the suffix."""

    def misnamed(self, kind: str) -> Iterable[str]:
        """Names that look like files of a kind but are not read: they end in `.yml` or capitals, or are not files."""

    def read(self, kind: str, id: str) -> bytes | None:
        """The bytes of a file, or None if there is none. OSError if it cannot be read."""

    def name(self, kind: str, id: str) -> str:
        """The name of the file in findings."""

    def beside(self, kind: str, file: str) -> bytes | None:
        """The bytes of a file of any name beside the files of a kind, or None if there is none."""


@dataclass(frozen=True, slots=True)
class DiskFolder:
    """A folder on disk. `shown` is put in front of its file names; it is empty for the current folder."""

    root: Path
    shown: str = ""

    def ids(self, kind: str) -> Iterable[str]:
        """The ids of a kind, sorted. Hidden files, which editors and systems make, and non-files do not count."""
        folder = self.root / KINDS[kind]
        linked = folder.is_symlink() or folder.parent.is_symlink()
        try:
            with scandir(folder) as entries:
                # The listing says what is a file, so that only links cost a look of their own.
                return sorted(
                    entry.name[: -len(SUFFIX)]
                    for entry in entries
                    if entry.name.endswith(SUFFIX)
                    and not entry.name.startswith(".")
                    and (self._is_own(folder / entry.name) if linked or entry.is_symlink() else entry.is_file())
                )
        except (FileNotFoundError, NotADirectoryError, PermissionError):
            return []

    def misnamed(self, kind: str) -> Iterable[str]:
        """Names that look like files of a kind but are not read: they end in `.yml` or capitals, or are not files."""
        folder = self.root / KINDS[kind]
        found = folder.iterdir() if folder.is_dir() else ()
        wrong = (
            path.name
            for path in found
            if path.suffix.lower() in (SUFFIX, ".yml") and not (path.suffix == SUFFIX and self._is_own(path))
        )
        return [f"{self.shown}{KINDS[kind]}/{name}" for name in sorted(wrong)]

    def read(self, kind: str, id: str) -> bytes | None:
        """The bytes of a file, or None if there is none. OSError if it cannot be read."""
        path = self.root / KINDS[kind] / f"{id}{SUFFIX}"
        return read_file(path) if self._is_own(path) else None

    def _is_own(self, path: Path) -> bool:
        """Whether a file of this tree exists. A link out of it does not count: foreign projects could name any file."""
        if not path.is_file():
            return False
        if not (path.is_symlink() or path.parent.is_symlink() or path.parent.parent.is_symlink()):
            return True
        return path.resolve().is_relative_to(self.root.resolve())

    def name(self, kind: str, id: str) -> str:
        """The path of the file, with the root as the user wrote it."""
        return f"{self.shown}{KINDS[kind]}/{id}{SUFFIX}"

    def beside(self, kind: str, file: str) -> bytes | None:
        """The bytes of a file of any name beside the files of a kind, or None. OSError if it cannot be read."""
        path = self.root / KINDS[kind] / file
        return read_file(path) if path.is_file() and self._is_own(path) else None


def read_file(path: Path) -> bytes:
    """The bytes of a file; of a too large one, enough to see that. OSError if it is not a file, such as a device."""
    # Opening a pipe would block until somebody writes, and a device has no end.
    if not path.is_file() and path.exists():
        raise OSError(EINVAL, "it is a folder" if path.is_dir() else "it is a device or a pipe, not a file", str(path))
    with path.open("rb") as file:
        return file.read(FILE_BYTES + 1)


def shipped_folder() -> DiskFolder:
    """The data shipped with the package: beside it in a checkout, inside it in an installed wheel."""
    package = Path(__file__).parent.parent
    for root in (package.parent, package / "data"):
        if (root / KINDS["machine"] / f"quillon8{SUFFIX}").is_file():
            return DiskFolder(root, shown="shipped:")
    return DiskFolder(package / "data", shown="shipped:")
