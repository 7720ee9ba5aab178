"""Makes the standard streams safe: a closed one leads nowhere, and output that stderr cannot take is dropped."""

from __future__ import annotations

import io
import os
import sys

READ, WRITE, ERROR = 0, 1, 2
"""Descriptors of the standard streams."""


class Unheard(io.RawIOBase):
    """Writes to stderr and drops what cannot be written there, because nobody could be told."""

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return ERROR

    def isatty(self) -> bool:
        return os.isatty(ERROR)

    def write(self, data: bytes) -> int:  # type: ignore[override]
        try:
            return os.write(ERROR, data)
        except OSError:
            return len(data)


def make_streams_safe() -> None:
    """Opens closed streams on nothing, so that no missing reader or character ends the program.

    Otherwise the next opened file would replace a closed stream, and messages would be written into that file.
    """
    while (descriptor := os.open(os.devnull, os.O_RDWR)) <= ERROR:
        os.set_inheritable(descriptor, True)
    os.close(descriptor)
    if sys.stdin is None:
        sys.stdin = os.fdopen(READ, encoding="utf-8")
    if sys.stdout is None:
        sys.stdout = os.fdopen(WRITE, "w", encoding="utf-8")
    if sys.stderr is None or (sys.stderr is sys.__stderr__ and os.name == "posix"):
        encoding = sys.stderr.encoding if sys.stderr else "utf-8"
        sys.stderr = io.TextIOWrapper(io.BufferedWriter(Unheard()), encoding=encoding, line_buffering=True)
    for stream in (sys.stdout, sys.stderr):
        # If the terminal's encoding lacks a character, its code point is better than an end of the program.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
