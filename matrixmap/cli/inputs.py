"""Opens what a command reads in addition to the files of a project: a file, a pipe, standard input."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path
from typing import BinaryIO

STDIN = "-"
"""The name of standard input."""


def open_input(path: Path) -> BinaryIO:
    """A file for reading, or standard input for `-`. Does not wait for a writer of a named pipe.

    OSError if it cannot be read. The caller must limit the bytes that it reads, because a device has no end.
    """
    if str(path) == STDIN:
        return sys.stdin.buffer
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    if hasattr(os, "set_blocking"):
        os.set_blocking(descriptor, True)
    return os.fdopen(descriptor, "rb")
