"""Writes files so that a reader never sees half of one, and so that either all or none are written."""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from pathlib import Path

from matrixmap.cli.main import UsageError


def write_all(folder: Path, texts: Mapping[str, str | bytes]) -> None:
    """Writes every text (in UTF-8) or content under its name in a folder; all or nothing, as `write_files` does."""
    write_files({folder / name: text for name, text in texts.items()})


def write_files(texts: Mapping[Path, str | bytes]) -> None:
    """Writes every text (in UTF-8) or content to its path: first to temporary files, which are then renamed.

    Missing folders are made. An existing file keeps its mode; a new one gets that of the umask.
    Raises UsageError, with nothing changed, if one cannot be written.
    """
    pending: list[tuple[Path, Path]] = []
    target = Path()
    try:
        for target, text in texts.items():
            target.parent.mkdir(parents=True, exist_ok=True)
            if target.is_dir():
                raise UsageError(f"cannot write {target}: it is a folder")
            if target.exists() and not target.is_file():
                raise UsageError(f"cannot write {target}: it is not a file")
            temporary = target.with_name(f".{target.name[:100]}.{os.urandom(4).hex()}")
            pending.append((temporary, target))
            with temporary.open("xb") as file:
                if target.is_file():
                    temporary.chmod(stat.S_IMODE(target.stat().st_mode))
                file.write(text if isinstance(text, bytes) else text.encode("utf-8"))
        for temporary, target in pending:
            temporary.replace(target)
    except OSError as error:
        raise UsageError(f"cannot write to {target.parent}: {error.strerror or error}") from error
    finally:
        for temporary, _ in pending:
            temporary.unlink(missing_ok=True)


def refuse_what_is_no_file(path: Path) -> None:
    """UsageError for a pipe, a socket or a device: reading could block for ever or never end."""
    if path.exists() and not path.is_file() and not path.is_dir():
        raise UsageError(f"cannot read {path}: it is not a file")


def read_named(name: str) -> bytes:
    """The bytes of a file named in a call; UsageError if it cannot be read."""
    from matrixmap.source.folder import read_file

    path = Path(name)
    refuse_what_is_no_file(path)
    try:
        return read_file(path)
    except OSError as error:
        raise UsageError(f"cannot read {name}: {error.strerror}") from error


def read_text(path: Path) -> str | None:
    """The text of a file; None if it does not exist or is not text."""
    try:
        return path.read_bytes().decode("utf-8") if path.is_file() else None
    except (FileNotFoundError, IsADirectoryError, NotADirectoryError, UnicodeDecodeError):
        return None
    except OSError as error:
        raise UsageError(f"cannot read {path}: {error.strerror or error}") from error
