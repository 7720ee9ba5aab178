"""Writes a folder in one step: it is either all old or all new, however the program ends, and no foreign file is lost.

The new folder is made beside the old one. Files that are not ours are hard-linked into it, and the two are swapped.
Then sub-folders move over, and the old folder is removed:

    out/               the old one, then the new one
    .out.matrixmap-new the new one, then the old one, then gone
    .out.matrixmap-old the old one, if the system cannot swap but only rename

If the folder cannot be renamed, files are replaced one by one. A hidden folder inside keeps the old ones until all are.
"""

from __future__ import annotations

import errno
import os
import shutil
import stat
import sys
import tempfile
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

NEW, OLD, MADE = "new", "old", "made"
WITHIN = ".matrixmap-new"
"""The hidden folder in use while files are replaced one by one."""
LONGEST_NAME = 200
"""Bytes of a folder's name that leave room for the name of the folder beside it (255 on most disks)."""
NO_SWAP = frozenset({errno.EBUSY, errno.EXDEV, errno.EPERM, errno.EACCES})
"""A mount, another disk, or another owner's folder: it cannot be renamed, but its files may be replaceable."""
NO_LOCK = frozenset({errno.ENOLCK, errno.ENOTSUP, errno.EINVAL, errno.EBADF, errno.EACCES})
"""A network disk that locks no folder, or a folder that may not be listed."""
RENAME_EXCHANGE = RENAME_SWAP = 2
"""Flags of renameat2 (Linux 3.15) and of renamex_np (macOS 10.12)."""
AT_FDCWD = -100
"""Linux: paths count from the current folder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """How a folder shows which of its files are ours: the file that names them, and how to read it."""

    name: str
    read: Callable[[Path], Collection[str]]


@contextmanager
def parents_made(folder: Path) -> Iterator[None]:
    """Makes the folders above this one; if the code that follows fails, the new ones are removed again."""
    made = [path for path in folder.parents if not path.exists()]
    done = False
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        yield
        done = True
    finally:
        if not done:
            with suppress(OSError):
                for path in made:
                    path.rmdir()


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Keeps others from writing this folder; a second writer waits. The parent must exist, else OSError.

    The lock is on the parent, and the system drops it when the program ends in any way: no file stays.
    """
    descriptor = _take_lock(folder)
    try:
        yield
    finally:
        os.close(descriptor)


def _take_lock(folder: Path) -> int:
    if sys.platform == "win32":
        return _lock_of_windows(folder)
    while True:
        try:
            descriptor = _lock_of_unix(folder.parent)
            # During the wait, the parent may have been swapped, too.
            if os.path.samestat(os.fstat(descriptor), folder.parent.stat()):
                return descriptor
        except OSError as error:
            if error.errno not in NO_LOCK:
                raise
            # A file among the temporary ones represents the folder.
            return _lock_of_unix(_lock_file(folder), os.O_CREAT)
        os.close(descriptor)


def _lock_of_unix(path: Path, flags: int = 0) -> int:
    import fcntl

    descriptor = os.open(path, os.O_RDONLY | flags, 0o666)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX)
    except OSError:
        os.close(descriptor)
        raise
    return descriptor


def _lock_file(folder: Path) -> Path:
    """A file for a folder, elsewhere."""
    return (
        Path(tempfile.gettempdir())
        / f"matrixmap-{sha256(str(folder).encode('utf-8', 'surrogateescape')).hexdigest()[:32]}.lock"
    )


def _lock_of_windows(folder: Path) -> int:
    """The same on a system that locks only files."""
    import msvcrt
    import time

    descriptor = os.open(_lock_file(folder), os.O_RDWR | os.O_CREAT)
    while True:
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined, unused-ignore]
        except OSError:
            time.sleep(0.1)
        else:
            return descriptor


def beside(folder: Path, which: str) -> Path:
    """The folder beside another one while that is written."""
    return folder.parent / f".{folder.name}.matrixmap-{which}"


def left_beside(folder: Path) -> list[Path]:
    """What an earlier run left beside a folder."""
    others = [beside(folder, which) for which in (OLD, NEW)] if _has_room_beside(folder) else []
    return [path for path in others if _is_folder(path)]


def recover(folder: Path, ledger: Ledger) -> None:
    """Repairs what a killed run left: brings back what is not ours, removes the rest. OSError if that fails.

    The caller holds the lock.
    """
    for left in left_beside(folder):
        if left == beside(folder, OLD) and not os.path.lexists(folder):
            left.rename(folder)
        else:
            _bring_back(left, folder, ledger)
    hidden = folder / WITHIN
    if _is_folder(hidden):
        if (hidden / OLD).is_dir():
            _put_back(folder)
        _remove_within(hidden)


def _bring_back(left: Path, folder: Path, ledger: Ledger) -> None:
    """Moves what is not ours and missing in the folder back to it, and removes the rest of the other folder."""
    ours = ledger.read(left)
    for name in _names(left):
        path, target = left / name, folder / name
        if _is_folder(path):
            if os.path.lexists(target):
                raise FileExistsError(
                    errno.EEXIST,
                    f"a killed build left this folder, and {target} exists too; move one away",
                    str(path),
                )
            folder.mkdir(exist_ok=True)
            path.rename(target)
        elif name != ledger.name and name not in ours and not os.path.lexists(target):
            folder.mkdir(exist_ok=True)
            path.rename(target)
    _remove(left, _names(left), ledger)


def write_folder(folder: Path, contents: Mapping[str, bytes], gone: Collection[str], ledger: Ledger) -> None:
    """Writes these files and removes those that are gone; all else in the folder stays. OSError, with all as it was.

    The caller holds the lock and has recovered the folder. Modes stay as they are; new files get those of the umask.
    What cannot be removed at the end stays beside the folder for the next run.
    """
    if _can_be_renamed(folder):
        try:
            _write_beside(folder, contents, gone, ledger)
        except OSError as error:
            if error.errno not in NO_SWAP:
                raise
        else:
            return
    _write_within(folder, contents, gone)


def _can_be_renamed(folder: Path) -> bool:
    """Whether there is no visible obstacle: a mount, the current folder inside it, missing rights, a long name."""
    here = Path.cwd()
    return (
        folder not in (here, *here.parents)
        and not os.path.ismount(folder)
        and os.access(folder.parent, os.W_OK | os.X_OK)
        and (not folder.exists() or os.access(folder, os.R_OK | os.W_OK | os.X_OK))
        and _has_room_beside(folder)
    )


def _has_room_beside(folder: Path) -> bool:
    """Whether a longer name than that of the folder can be made."""
    return len(os.fsencode(folder.name)) <= LONGEST_NAME


def _write_beside(folder: Path, contents: Mapping[str, bytes], gone: Collection[str], ledger: Ledger) -> None:
    stage = beside(folder, NEW)
    replaced = {*contents, *gone}
    twins: dict[str, os.stat_result] = {}
    stage.mkdir()
    try:
        _take_after(folder, stage)
        # The ledger comes first: if this folder is found half made, it must show what is ours.
        for name in sorted(contents, key=lambda name: (name != ledger.name, name)):
            _create(stage / name, contents[name], _mode(folder / name))
        for name in _names(folder) if folder.exists() else ():
            if name not in replaced and not _is_folder(folder / name):
                _make_twin(folder / name, stage / name, twins, replaced)
        _sync(stage)
        if folder.exists():
            _swap_with(stage, folder, replaced, twins)
        else:
            stage.rename(folder)
            _sync(folder.parent)
    finally:
        if stage.exists():
            _remove(stage, {*replaced, *twins}, ledger)


def _swap_with(stage: Path, folder: Path, replaced: Collection[str], twins: Mapping[str, os.stat_result]) -> None:
    """Swaps the new folder with the old one and moves over what could not be linked; undoes it all if that fails."""
    exchange(stage, folder)
    moved: list[str] = []
    done = False
    try:
        _sync(folder.parent)
        for name in _names(stage):
            if name in replaced or (name in twins and _is_as_it_was(stage / name, twins[name])):
                continue
            # A folder, or a file that somebody wrote in the meantime.
            (stage / name).replace(folder / name)
            moved.append(name)
        _sync(folder)
        done = True
    finally:
        if not done:
            for name in reversed(moved):
                (folder / name).replace(stage / name)
            exchange(stage, folder)


def exchange(stage: Path, folder: Path) -> None:
    """Swaps two folders in one step, or by renames if the system cannot."""
    if not _exchanged_at_once(stage, folder):
        old = beside(folder, OLD)
        folder.rename(old)
        try:
            stage.rename(folder)
        except OSError:
            old.rename(folder)
            raise
        try:
            old.rename(stage)
        except OSError:
            folder.rename(stage)
            old.rename(folder)
            raise


def _exchanged_at_once(stage: Path, folder: Path) -> bool:
    """Whether the system swapped them; false if it or the disk has no such call."""
    import ctypes

    if sys.platform not in ("linux", "darwin"):
        return False
    library = ctypes.CDLL(None, use_errno=True)
    paths = os.fsencode(stage), os.fsencode(folder)
    if sys.platform == "linux":
        if not hasattr(library, "renameat2"):
            return False
        code = library.renameat2(AT_FDCWD, paths[0], AT_FDCWD, paths[1], RENAME_EXCHANGE)
    else:
        if not hasattr(library, "renamex_np"):
            return False
        code = library.renamex_np(paths[0], paths[1], RENAME_SWAP)
    number = ctypes.get_errno()
    if code == 0:
        return True
    if number in {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP}:
        return False
    raise OSError(number, os.strerror(number), str(folder))


def _write_within(folder: Path, contents: Mapping[str, bytes], gone: Collection[str]) -> None:
    """Replaces the files one by one. If this run is killed, the next one undoes it."""
    hidden = folder / WITHIN
    made = not folder.exists()
    done = False
    folder.mkdir(exist_ok=True)
    hidden.mkdir()
    try:
        for path in (hidden / NEW, hidden / MADE, hidden / "part"):
            path.mkdir()
        for name in sorted(contents):
            _create(hidden / NEW / name, contents[name], _mode(folder / name))
            if not os.path.lexists(folder / name):
                _link(hidden / NEW / name, hidden / MADE / name)
        for name in sorted({*contents, *gone}):
            if os.path.lexists(folder / name):
                _link(folder / name, hidden / "part" / name)
        for path in (hidden / NEW, hidden / MADE, hidden / "part", hidden):
            _sync(path)
        # From here on, a killed run is undone.
        (hidden / "part").rename(hidden / OLD)
        _sync(hidden)
        for name in sorted(contents):
            (hidden / NEW / name).replace(folder / name)
        for name in gone:
            (folder / name).unlink()
        _sync(folder)
        # From here on, it is done.
        (hidden / OLD).rename(hidden / "done")
        done = True
    finally:
        if not done and (hidden / OLD).is_dir():
            _put_back(folder)
        with suppress(OSError):
            _remove_within(hidden)
        if made and not done:
            with suppress(OSError):
                folder.rmdir()


def _put_back(folder: Path) -> None:
    """Restores the files that were replaced one by one."""
    hidden = folder / WITHIN
    for name in _names(hidden / MADE):
        path = folder / name
        if path.is_file() and path.read_bytes() == (hidden / MADE / name).read_bytes():
            path.unlink()
    for name in _names(hidden / OLD):
        (hidden / OLD / name).replace(folder / name)
    with suppress(OSError):
        _sync(folder)


def _remove_within(hidden: Path) -> None:
    # The kept files go last: without them nothing can be restored.
    for which in (NEW, "part", "done", OLD, MADE):
        path = hidden / which
        if path.is_dir():
            for name in _names(path):
                (path / name).unlink()
            path.rmdir()
    hidden.rmdir()


def _create(path: Path, content: bytes, mode: int | None) -> None:
    """Makes a new file on the disk, with a mode or that of the umask."""
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        rest = memoryview(content)
        while rest:
            rest = rest[os.write(descriptor, rest) :]
        if mode is not None:
            path.chmod(mode)
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _mode(path: Path) -> int | None:
    """The mode of an existing file, None if there is none."""
    found = _standing(path)
    return stat.S_IMODE(found.st_mode) if found is not None and stat.S_ISREG(found.st_mode) else None


def _take_after(folder: Path, stage: Path) -> None:
    """Copies owner and mode of the folder that is to be replaced."""
    found, made = _standing(folder), stage.stat()
    if found is None:
        return
    if (found.st_uid, found.st_gid) != (made.st_uid, made.st_gid):
        os.chown(stage, found.st_uid, found.st_gid)
    if stat.S_IMODE(found.st_mode) != stat.S_IMODE(made.st_mode):
        stage.chmod(stat.S_IMODE(found.st_mode))


def _make_twin(path: Path, twin: Path, twins: dict[str, os.stat_result], replaced: set[str]) -> None:
    """Puts a file under its name into the new folder, too, if possible; notes both."""
    found = path.lstat()
    try:
        _link(path, twin)
    except FileExistsError:
        # On a disk that ignores the case of letters, this is a file that we write.
        replaced.add(path.name)
    except shutil.SpecialFileError:
        return
    else:
        twins[path.name] = found


def _link(path: Path, twin: Path) -> None:
    """A hard link, or a copy if that is impossible. SpecialFileError for what is not a file and cannot be linked."""
    try:
        if os.link in os.supports_follow_symlinks:
            os.link(path, twin, follow_symlinks=False)
        else:
            os.link(path, twin)
    except FileExistsError:
        raise
    except OSError:
        if not path.is_symlink() and not path.is_file():
            raise shutil.SpecialFileError(str(path)) from None
        shutil.copy2(path, twin, follow_symlinks=False)


def _is_as_it_was(path: Path, before: os.stat_result) -> bool:
    found = path.lstat()
    return os.path.samestat(found, before) and (found.st_mtime_ns, found.st_size) == (
        before.st_mtime_ns,
        before.st_size,
    )


def _remove(folder: Path, names: Iterable[str], ledger: Ledger) -> None:
    """Removes files and their folder, as far as possible; the ledger goes last, because it shows what is ours."""
    with suppress(OSError):
        for name in sorted(names, key=lambda name: (name == ledger.name, name)):
            (folder / name).unlink(missing_ok=True)
        folder.rmdir()


def _sync(folder: Path) -> None:
    """Writes the names in a folder to the disk."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as error:
        # Some disks cannot do this for folders.
        if error.errno not in {errno.EINVAL, errno.ENOTSUP}:
            raise
    finally:
        os.close(descriptor)


def _standing(path: Path) -> os.stat_result | None:
    try:
        return path.lstat()
    except FileNotFoundError:
        return None


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()
