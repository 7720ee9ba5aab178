"""The standard streams made safe: one that is closed leads nowhere, and what stderr cannot take is dropped."""

from __future__ import annotations

import io
import os
import sys

READ, WRITE, ERROR = 0, 1, 2
"""Descriptors of the standard streams."""


class Unheard(io.RawIOBase):
    """Writes to stderr; what cannot be written there is lost, for nobody could be told."""

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
    """Open closed streams on nothing, and let no stream end the program for want of a reader or a character.

    Else the next file to be opened would take the place of a closed stream, and messages would be written into it.
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
        # Where the terminal's encoding lacks a character, its code point is better than an end of the program.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
